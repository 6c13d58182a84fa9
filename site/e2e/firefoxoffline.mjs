// The page kept, the server cut, in Firefox: node firefoxoffline.mjs URL SHOTS. Says "kept", and waits for a line: by then
// the server is gone.
import assert from 'node:assert/strict';
import { once } from 'node:events';
import { FIREFOX, done, launch, tab } from './driven.mjs';

const [url, shots] = process.argv.slice(2);
const browser = await launch('firefox', FIREFOX);
try {
  const { page, until, open, click, clean } = await tab(browser, shots);
  await open(url);
  await click('.head [data-act="vow"]');
  await click('#offline-keep');
  await until('the page kept', "document.body.dataset.kept === 'kept'");
  console.log('kept');
  await once(process.stdin, 'data');
  await assert.rejects(page.evaluate('fetch(\'/is-there-a-server?\' + Math.random())'), 'the server is still there');
  await open(url);
  await click('#first [data-act="sample"]');
  await until('the sample', done);
  assert.ok(await page.evaluate('document.querySelectorAll(\'#ledger .find\').length') >= 3);
  await page.screenshot({ path: `${shots}/firefox-offline.png` });
  await clean();
} finally {
  await browser.close();
}
process.exit(0);
