// Mends in Firefox: node firefoxmend.mjs URL FIGURE SHOTS. Drop, try, keep three, take one back, hand over; the saved
// file, dropped again, has the ledger that was promised.
import assert from 'node:assert/strict';
import { readFile } from 'node:fs/promises';
import puppeteer from 'puppeteer-core';

const [url, figure, shots] = process.argv.slice(2);
const browser = await puppeteer.launch({ browser: 'firefox', executablePath: process.env.FIREFOX ?? '/usr/bin/firefox-esr', headless: true });
try {
  const page = await browser.newPage();
  const said = [];
  page.on('console', (m) => { if (m.type() === 'error') said.push(m.text()); });
  page.on('pageerror', (e) => said.push(String(e)));
  await page.setViewport({ width: 1440, height: 900 });
  await page.goto(url);
  const until = async (what, js) => {
    for (let i = 0; i < 900; i++) {
      if (await page.evaluate(js)) return;
      await new Promise((r) => setTimeout(r, 100));
    }
    await page.screenshot({ path: `${shots}/failed-firefox-mend.png` });
    assert.fail(`waited for ${what}`);
  };
  await until('the stage', '!!(globalThis.stage && stage.state().w > 0)');
  await page.evaluate('globalThis.seenFaults = []; document.addEventListener(\'securitypolicyviolation\', (e) => seenFaults.push(e.effectiveDirective + \' \' + e.blockedURI)); 0');
  const done = 'document.body.dataset.phase === \'done\' && stage.state().shown && stage.state().fine';
  // Made in the page, since Firefox's protocol has no drag of files.
  const drop = (name, packed) => page.evaluate(`(() => {
    const bytes = Uint8Array.from(atob(${JSON.stringify(packed)}), (c) => c.charCodeAt(0));
    const dataTransfer = new DataTransfer();
    dataTransfer.items.add(new File([bytes], '${name}'));
    document.body.dispatchEvent(new DragEvent('drop', { dataTransfer, bubbles: true, cancelable: true }));
  })()`);
  await drop('lamp.glb', (await readFile(figure)).toString('base64'));
  await until('the figure', done);
  const kept = async (n) => until(`${n} kept mends`, `document.querySelectorAll('#slip li.kept:not(.off)').length === ${n} && !document.body.dataset.trial && !document.querySelector('#slip > .now')`);
  for (const [i, [title, mend]] of [['Weight far', 'clean'], ['Names that', 'names'], ['Scale not', 'scale']].entries()) {
    const row = `[...document.querySelectorAll('#ledger .find[data-number]')].find((b) => b.querySelector('.t').textContent.includes('${title}'))`;
    await until(title, `!!${row}`);
    await page.evaluate(`${row}.click()`);
    await until(`the mend of ${title}`, `!!document.querySelector('#card [data-mend="${mend}"]')`);
    await page.evaluate(`document.querySelector('#card [data-mend="${mend}"]').click()`);
    await until('the receipt', '!!document.querySelector(\'#trial-receipt .receipt\') && !document.getElementById(\'trial-keep\').disabled');
    if (i === 0) {
      await until('both halves', 'stage.state().beside && stage.state().fine');
      await page.screenshot({ path: `${shots}/firefox-trial.png` });
    }
    await page.keyboard.press('Enter');
    await kept(i + 1);
  }
  await page.keyboard.down('Control');
  await page.keyboard.press('z');
  await page.keyboard.up('Control');
  await kept(2);
  const ledger = '[...document.querySelectorAll(\'#ledger .stations .find[data-number]\')].map((b) => [...b.querySelectorAll(\'.t, .p\')].map((e) => e.textContent).join(\'|\')).join(\'\\n\')';
  const promised = await page.evaluate(ledger);
  await page.click('#slip-hand');
  await page.screenshot({ path: `${shots}/firefox-hand-over.png` });
  const files = await page.evaluate(`(async () => {
    const blobs = [], names = [], real = URL.createObjectURL;
    URL.createObjectURL = (b) => { blobs.push(b); return real(b); };
    HTMLAnchorElement.prototype.click = function () { names.push(this.download); };
    document.getElementById('hand-over-save').click();
    for (let i = 0; !/^(Saved|Nothing)/.test(document.getElementById('hand-over-says').textContent) && i < 900; i++) await new Promise((r) => setTimeout(r, 100));
    const b = new Uint8Array(await blobs[0].arrayBuffer());
    let s = '';
    for (const x of b) s += String.fromCharCode(x);
    return [names, btoa(s)];
  })()`);
  assert.equal(files[0].length, 3, files[0].join(', '));
  assert.equal(files[0][0], 'lamp-mended.glb');
  await page.evaluate('document.getElementById(\'hand-over\').close()');
  await drop('lamp-mended.glb', files[1]);
  await until('the offer', 'document.getElementById(\'offer\').open');
  await page.click('[data-offer="open"]');
  await until('the saved file', `document.querySelector('#file-name').textContent === 'lamp-mended.glb' && ${done}`);
  await until('its ledger', `document.querySelectorAll('#ledger .stations .find[data-number]').length === ${promised.split('\n').length} && document.querySelectorAll('#ledger .gone').length === 0`);
  assert.equal(await page.evaluate(ledger), promised);
  const faults = await page.evaluate('[...seenFaults]');
  assert.deepEqual([...faults, ...said], []);
  console.log(await browser.version());
} finally {
  await browser.close();
}
