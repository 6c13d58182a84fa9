// Mends in Firefox: node firefoxmend.mjs URL FIGURE SHOTS. Drop, try, keep three, take one back, hand over; the saved
// file, dropped again, has the ledger that was promised.
import assert from 'node:assert/strict';
import { readFile } from 'node:fs/promises';
import { FIREFOX, done, launch, tab } from './driven.mjs';

const [url, figure, shots] = process.argv.slice(2);
const browser = await launch('firefox', FIREFOX);
try {
  const { page, until, open, click, press, drop, clean } = await tab(browser, shots);
  await open(url);
  await drop('lamp.glb', (await readFile(figure)).toString('base64'));
  await until('the figure', done);
  const kept = async (n) => until(`${n} kept mends`, `document.querySelectorAll('#slip li.kept:not(.off)').length === ${n} && !document.body.dataset.trial && !document.querySelector('#slip > .now')`);
  for (const [i, [title, mend]] of [['Weight far', 'clean'], ['Names that', 'names'], ['Scale not', 'scale']].entries()) {
    await press(title, `[...document.querySelectorAll('#ledger .find[data-number]')].find((b) => b.querySelector('.t').textContent.includes('${title}'))`);
    await press(`the mend of ${title}`, `document.querySelector('#card [data-mend="${mend}"]')`);
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
  await click('#slip-hand');
  await until('the sheet', 'document.getElementById(\'hand-over\').open');
  await page.screenshot({ path: `${shots}/firefox-hand-over.png` });
  await page.evaluate(`{
    const by = new Map(), real = URL.createObjectURL; // the page makes addresses of pictures, too
    URL.createObjectURL = (b) => { const url = real(b); by.set(url, b); return url; };
    globalThis.saved = [];
    HTMLAnchorElement.prototype.click = function () { saved.push([this.download, by.get(this.href)]); };
  } 0`);
  await click('#hand-over-save');
  await until('what is saved', '/^(Saved|Nothing)/.test(document.getElementById(\'hand-over-says\').textContent)');
  const files = await page.evaluate(`(async () => {
    const b = new Uint8Array(await saved.find(([name]) => name.endsWith('.glb'))[1].arrayBuffer());
    let s = '';
    for (const x of b) s += String.fromCharCode(x);
    return [saved.map(([name]) => name), btoa(s)];
  })()`);
  assert.equal(files[0].length, 3, files[0].join(', '));
  assert.equal(files[0][0], 'lamp-mended.glb');
  await page.evaluate('document.getElementById(\'hand-over\').close()');
  await drop('lamp-mended.glb', files[1]);
  await until('the offer', 'document.getElementById(\'offer\').open');
  await click('[data-offer="open"]');
  await until('the saved file', `document.querySelector('#file-name').textContent === 'lamp-mended.glb' && ${done}`);
  await until('its ledger', `document.querySelectorAll('#ledger .stations .find[data-number]').length === ${promised.split('\n').length} && document.querySelectorAll('#ledger .gone').length === 0`);
  assert.equal(await page.evaluate(ledger), promised);
  await clean();
  console.log(await browser.version());
} finally {
  await browser.close();
}
