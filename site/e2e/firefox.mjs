// The smoke test in Firefox: node firefox.mjs URL HAND SHOTS. Headless Firefox has WebGL
// only with a display; without one the stage takes the plain presenter.
import assert from 'node:assert/strict';
import { readFile } from 'node:fs/promises';
import { FIREFOX, done, launch, tab } from './driven.mjs';

const [url, hand, shots] = process.argv.slice(2);
const browser = await launch('firefox', FIREFOX);
try {
  const { page, until, open, click, drop, clean } = await tab(browser, shots);
  await open(url);
  await click('#first [data-act="sample"]');
  await until('the sample', done);
  await page.screenshot({ path: `${shots}/firefox-sample.png` });
  const colours = await page.evaluate('(() => { const { rgba } = stage.pixels(); return new Set(new Uint32Array(rgba.buffer, rgba.byteOffset, rgba.length / 4)).size; })()');
  assert.ok(colours > 50, `the picture holds ${colours} colours: blank?`);
  await drop('hand_left.glb', (await readFile(hand)).toString('base64')); // a real file
  await until('the offer', 'document.getElementById(\'offer\').open');
  await click('[data-offer="open"]'); // not as motion, nor beside the sample
  await until('the dropped figure', `document.querySelector('#file-name').textContent.includes('hand_left') && ${done}`);
  await page.screenshot({ path: `${shots}/firefox-hand.png` });
  await clean();
  console.log(await browser.version());
} finally {
  await browser.close();
}
