// The stage in Firefox at many window sizes: node firefoxsizes.mjs URL SIZES FOLDER writes a
// screenshot of the bare stage and the stage's own picture for each size and ratio. The Go
// test that runs it compares them.
import assert from 'node:assert/strict';
import { writeFile } from 'node:fs/promises';
import { FIREFOX, launch, tab } from './driven.mjs';

const [url, sizes, folder] = process.argv.slice(2);
const { ratios, windows } = JSON.parse(sizes);
const still = '(() => { const n = stage.state().frames; return new Promise((done) => setTimeout(() => { const s = stage.state(); done(s.fine && !s.moving && s.frames === n && Math.abs(s.w - innerWidth * s.ratio) < 2); }, 200)); })()';
const browser = await launch('firefox', FIREFOX);
try {
  for (const [at, deviceScaleFactor] of ratios.entries()) {
    const { page, until, open, click } = await tab(browser, folder, { width: 1280, height: 800, deviceScaleFactor }); // the ratio it starts with
    await open(url);
    assert.equal(await page.evaluate('devicePixelRatio'), deviceScaleFactor);
    assert.equal(await page.evaluate('stage.state().plain'), url.includes('present=plain'), 'the presenter that was asked for');
    await click('#first [data-act="sample"]');
    await until('the sample', 'document.body.dataset.phase === \'done\' && stage.state().shown && stage.state().fine');
    await page.evaluate('(() => { for (const e of document.body.children) if (e.tagName !== \'CANVAS\' && e.tagName !== \'SCRIPT\') e.style.visibility = \'hidden\'; return 0; })()');
    let i = 0;
    const keep = async (name) => {
      await page.screenshot({ path: `${folder}/${name}.png` });
      const told = await page.evaluate('(() => { const { w, h, rgba } = stage.pixels(); let s = \'\'; for (let i = 0; i < rgba.length; i += 32768) s += String.fromCharCode(...rgba.subarray(i, i + 32768)); return { W: w, H: h, RGBA: btoa(s) }; })()');
      await writeFile(`${folder}/${name}.json`, JSON.stringify(told));
    };
    for (const [width, height] of windows[at]) {
      await page.setViewport({ width, height, deviceScaleFactor });
      const name = `${deviceScaleFactor}-${i++}-${width}x${height}`;
      await until(name, `innerWidth === ${width} && ${still}`);
      await page.evaluate('new Promise((r) => requestAnimationFrame(() => requestAnimationFrame(() => r(0))))'); // the browser composes
      await keep(name);
    }
    await page.evaluate('new Promise((done) => { dispatchEvent(new Event(\'resize\')); requestAnimationFrame(() => requestAnimationFrame(() => done(0))); })');
    await keep(`${deviceScaleFactor}-told-of-no-change`);
    await page.close();
  }
} finally {
  await browser.close();
}
