// A page driven by puppeteer-core, in Firefox (WebDriver BiDi, no driver program) or Chromium: states are waited for,
// never times, and no element is held over a redraw.
import assert from 'node:assert/strict';
import puppeteer from 'puppeteer-core';

/** How long a state is waited for: a busy machine takes ten times what a quiet one does. */
const PATIENCE = 180_000;

/** @param {string} name firefox or chrome @param {string} program where it is */
export const launch = (name, program) => puppeteer.launch({ browser: name, executablePath: program, headless: true, protocolTimeout: PATIENCE, args: name === 'chrome' ? ['--no-sandbox', '--disable-gpu'] : [] });

export const FIREFOX = process.env.FIREFOX ?? '/usr/bin/firefox-esr';

/** Modules of the page, which is served as one: import('./js/state/desk.js') gives the one that runs. @param {string} js */
export const running = (js) => js.replaceAll(/import\('\.\/js\/([^']+)'\)/g, "import('./js/page.js').then((m) => m.modules['$1'])");

/** The page is examined and drawn. */
export const done = 'document.body.dataset.phase === \'done\' && stage.state().shown && stage.state().fine';

/**
 * A tab on a page, with what it complains of.
 * @param browser @param {string} shots folder for the picture of a failure @param {object} viewport
 */
export async function tab(browser, shots, viewport = { width: 1440, height: 900 }) {
  const page = await browser.newPage();
  page.setDefaultTimeout(PATIENCE);
  const said = [];
  page.on('console', (m) => { if (m.type() === 'error') said.push(m.text()); });
  page.on('pageerror', (e) => said.push(String(e)));
  await page.setViewport(viewport);
  const until = async (what, js) => {
    for (const end = Date.now() + PATIENCE; Date.now() < end;) {
      if (await page.evaluate(`(async () => { try { return !!(await (${running(js)})); } catch (e) { if (e instanceof TypeError) return false; throw e; } })()`)) return;
      await new Promise((r) => setTimeout(r, 50));
    }
    await page.screenshot({ path: `${shots}/failed-${what.replaceAll(/\W+/g, '-')}.png` });
    assert.fail(`waited for ${what}: ${js}`);
  };
  return {
    page,
    said,
    until,
    /** Opens an address and waits for the stage. @param {string} url */
    open: async (url) => {
      await page.goto(url);
      await until('the stage', '!!(globalThis.stage && stage.state().w > 0)');
      await page.evaluate('globalThis.seenFaults = []; document.addEventListener(\'securitypolicyviolation\', (e) => seenFaults.push(e.effectiveDirective + \' \' + e.blockedURI)); 0');
    },
    /** Presses what a selector names, found anew until it can be pressed. @param {string} selector */
    click: (selector) => page.locator(selector).setTimeout(PATIENCE).click(),
    /** Clicks by script what an expression answers, found and clicked in one task. @param {string} what @param {string} js */
    press: (what, js) => until(`${what} to press`, `((e) => { if (!e || e.disabled) return false; e.click(); return true; })(${js})`),
    /** Drops a file: made in the page, since Firefox's protocol has no drag of files. @param {string} name @param {string} packed base64 */
    drop: (name, packed) => page.evaluate(`(() => {
      const bytes = Uint8Array.from(atob(${JSON.stringify(packed)}), (c) => c.charCodeAt(0));
      const dataTransfer = new DataTransfer();
      dataTransfer.items.add(new File([bytes], '${name}'));
      document.body.dispatchEvent(new DragEvent('drop', { dataTransfer, bubbles: true, cancelable: true }));
    })()`),
    /** Nothing was complained of. */
    clean: async () => assert.deepEqual([...(await page.evaluate('[...seenFaults]')), ...said], []),
  };
}
