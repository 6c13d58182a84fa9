// The smoke test in Firefox: node firefox.mjs URL HAND SHOTS. puppeteer-core speaks
// WebDriver BiDi to Debian's firefox-esr; no driver program. Headless Firefox has
// WebGL only with a display; without one the stage takes the plain presenter.
import assert from 'node:assert/strict';
import { readFile } from 'node:fs/promises';
import puppeteer from 'puppeteer-core';

const [url, hand, shots] = process.argv.slice(2);
const browser = await puppeteer.launch({ browser: 'firefox', executablePath: process.env.FIREFOX ?? '/usr/bin/firefox-esr', headless: true });
try {
  const page = await browser.newPage();
  const said = [];
  page.on('console', (m) => { if (m.type() === 'error') said.push(m.text()); });
  page.on('pageerror', (e) => said.push(String(e)));
  await page.setViewport({ width: 1440, height: 900 });
  await page.goto(url);
  const until = async (what, js) => {
    for (let i = 0; i < 600; i++) {
      if (await page.evaluate(js)) return;
      await new Promise((r) => setTimeout(r, 100));
    }
    await page.screenshot({ path: `${shots}/failed-firefox.png` });
    assert.fail(`waited a minute for ${what}`);
  };
  await until('the stage', '!!(globalThis.stage && stage.state().w > 0)');
  await page.evaluate('globalThis.seenFaults = []; document.addEventListener(\'securitypolicyviolation\', (e) => seenFaults.push(e.effectiveDirective + \' \' + e.blockedURI)); 0');
  await page.click('#first [data-act="sample"]');
  const done = 'document.body.dataset.phase === \'done\' && stage.state().shown && stage.state().fine';
  await until('the sample', done);
  await page.screenshot({ path: `${shots}/firefox-sample.png` });
  const colours = await page.evaluate('(() => { const { rgba } = stage.pixels(); return new Set(new Uint32Array(rgba.buffer, rgba.byteOffset, rgba.length / 4)).size; })()');
  assert.ok(colours > 50, `the picture holds ${colours} colours: blank?`);

  // A real file, dropped: made in the page, since Firefox's protocol has no drag of files.
  const packed = (await readFile(hand)).toString('base64');
  await page.evaluate(`(() => {
    const bytes = Uint8Array.from(atob(${JSON.stringify(packed)}), (c) => c.charCodeAt(0));
    const dataTransfer = new DataTransfer();
    dataTransfer.items.add(new File([bytes], 'hand_left.glb'));
    document.body.dispatchEvent(new DragEvent('drop', { dataTransfer, bubbles: true, cancelable: true }));
  })()`);
  await until('the offer', 'document.getElementById(\'offer\').open');
  await page.click('[data-offer="open"]'); // not as motion, nor beside the sample
  await until('the dropped figure', `document.querySelector('#file-name').textContent.includes('hand_left') && ${done}`);
  await page.screenshot({ path: `${shots}/firefox-hand.png` });
  const faults = await page.evaluate('[...seenFaults]');
  assert.deepEqual([...faults, ...said], []);
  console.log(await browser.version());
} finally {
  await browser.close();
}
