// A press outlives a redraw: node press.mjs BROWSER PROGRAM URL FIGURE SHOTS. Between the button going down and coming
// up the part is written anew, and the action happens once; words being typed, folds and rolled places stay.
import assert from 'node:assert/strict';
import { readFile } from 'node:fs/promises';
import { done, launch, running, tab } from './driven.mjs';

const [name, program, url, figure, shots] = process.argv.slice(2);
const browser = await launch(name, program);
try {
  const { page, until, open, press, drop, clean } = await tab(browser, shots);
  await open(url);

  // On a part of its own: every kind of control, and what must not happen.
  await page.evaluate(running(`(async () => {
    const { h } = await import('./js/base/dom.js'), { refill, refresh } = await import('./js/base/redraw.js');
    const box = h('section', { id: 'scratch' });
    box.style.cssText = 'position: fixed; inset: 0; z-index: 99; background: Canvas; overflow: auto; display: grid; gap: 12px; padding: 20px; justify-items: start; align-content: start';
    document.body.append(box);
    document.styleSheets[0].insertRule('#scratch-roll { height: 80px; width: 200px; overflow: auto }');
    globalThis.acts = [];
    globalThis.changes = [];
    const act = (what) => () => acts.push(what);
    globalThis.again = (words = 'Keep', by = refill) => {
      const was = document.querySelector('#scratch-button');
      by(box,
        h('button', { id: 'scratch-button', type: 'button', 'data-focus': 'b', click: act('button') }, words),
        h('details', {}, h('summary', { id: 'scratch-summary', 'data-focus': 'fold' }, 'More'), h('p', {}, 'inside')),
        h('label', { id: 'scratch-label' }, h('input', { type: 'checkbox', 'data-focus': 'c', change: act('check') }), ' tick'),
        h('input', { id: 'scratch-text', type: 'text', 'data-focus': 't', value: '', change: (e) => changes.push(e.target.value) }),
        h('div', { id: 'scratch-roll', 'data-focus': 'roll', tabindex: '0' }, ...Array.from({ length: 40 }, (_, i) => h('p', {}, 'row ' + i))));
      if (by === refill && was?.isConnected) throw new Error('nothing was redrawn');
    };
    globalThis.kept = (words) => { const was = document.querySelector('#scratch-button'); again(words, refresh); return was.isConnected; };
    again();
  })()`));
  const middle = (selector) => page.evaluate(`(() => { const r = document.querySelector('${selector}').getBoundingClientRect(); return [r.x + Math.min(20, r.width / 2), r.y + r.height / 2]; })()`);
  const acts = () => page.evaluate('acts.splice(0).join()');
  const pressed = async (selector, between, to = selector) => {
    await page.mouse.move(...(await middle(selector)));
    await page.mouse.down();
    if (between) await page.evaluate(between);
    await page.mouse.move(...(await middle(to)));
    await page.mouse.up();
    await page.evaluate('new Promise((r) => setTimeout(r))'); // a task after the press: a second click would have come
    return acts();
  };
  assert.equal(await pressed('#scratch-button', ''), 'button', 'no redraw');
  assert.equal(await pressed('#scratch-button', 'again()'), 'button', 'a redraw under the press');
  assert.equal(await pressed('#scratch-button', 'again(); again()'), 'button', 'two redraws');
  assert.equal(await pressed('#scratch-button', 'again("Leave")'), '', 'it says something else now');
  assert.equal(await pressed('#scratch-button', 'again()', '#scratch-text'), '', 'let go elsewhere');
  assert.equal(await pressed('#scratch-text', 'again("Keep")', '#scratch-button'), '', 'pressed elsewhere');
  assert.equal(await pressed('#scratch-label', 'again()'), 'check', 'a tick');
  assert.equal(await page.evaluate('document.querySelector("#scratch-label input").checked'), true);
  await pressed('#scratch-summary', 'again()');
  assert.equal(await page.evaluate('document.querySelector("#scratch details").open'), true, 'a fold');
  await page.evaluate('again()');
  assert.equal(await page.evaluate('document.querySelector("#scratch details").open'), true, 'a fold that stays open');

  // By key: Space acts when it comes up, Enter at once.
  await page.evaluate('document.getElementById("scratch-button").focus()');
  await page.keyboard.down(' ');
  await page.evaluate('again()');
  await page.keyboard.up(' ');
  assert.equal(await acts(), 'button', 'Space');
  await page.keyboard.press('Enter');
  await page.evaluate('again()');
  await page.keyboard.press(' ');
  assert.equal(await acts(), 'button,button', 'Enter and Space after a redraw');

  // Words being typed stay, with the place in them, and are told of once they are done.
  await page.evaluate('document.getElementById("scratch-text").focus()');
  await page.keyboard.type('abd');
  await page.keyboard.press('ArrowLeft');
  await page.evaluate('again()');
  await page.keyboard.type('c');
  assert.equal(await page.evaluate('document.activeElement.id + " " + document.activeElement.value'), 'scratch-text abcd');
  assert.equal(await page.evaluate('changes.length'), 0, 'half a word was told of');
  await page.evaluate('again()');
  await page.evaluate('document.getElementById("scratch-button").focus()');
  assert.equal(await page.evaluate('changes.splice(0).join()'), 'abcd', 'the whole word, once');

  // What is rolled stays; where nothing changes nothing is written.
  await page.evaluate('new Promise((r) => { const e = document.getElementById("scratch-roll"); e.addEventListener("scroll", () => r(0), { once: true }); e.scrollTop = 333; })');
  await page.evaluate('again()');
  assert.equal(await page.evaluate('document.getElementById("scratch-roll").scrollTop'), 333);
  assert.equal(await page.evaluate('kept("Keep")'), true, 'equal content was written again');
  assert.equal(await page.evaluate('kept("Other")'), false, 'other content was not written');
  await page.evaluate('document.getElementById("scratch").remove()');

  // In the rooms themselves: the card under the button that tries a mend, the head of the ledger, the slip.
  await drop('lamp.glb', (await readFile(figure)).toString('base64'));
  await until('the figure', done);
  await press('the finding', '[...document.querySelectorAll(\'#ledger .find[data-number]\')].find((b) => b.querySelector(\'.t\').textContent.includes(\'Weight far\'))');
  await until('the mend', '!!document.querySelector(\'#card [data-mend="clean"]\')');
  const tells = (kind, before = '', after = '') => `Promise.all([import('./js/state/desk.js'), import('./js/state/rooms.js')]).then(([d, { rooms }]) => { const its = rooms.mending; ${before}; d.tell('${kind}'); ${after} })`;
  const room = async (selector, redraw) => {
    await page.evaluate(`document.querySelector('${selector}').scrollIntoView({ block: 'nearest' })`);
    await page.evaluate(`globalThis.old = document.querySelector('${selector}'); globalThis.heard = 0; addEventListener('click', globalThis.hears = (e) => { if (e.target.closest('${selector}')) heard++; }); 0`);
    await page.mouse.move(...(await middle(selector)));
    await page.mouse.down();
    await page.evaluate(running(redraw));
    await until(`${selector} to be written anew`, '!old.isConnected');
    await page.mouse.move(...(await middle(selector)));
    await page.mouse.up();
    assert.equal(await page.evaluate('removeEventListener(\'click\', hears), heard'), 1, selector);
  };
  await room('#card [data-mend="clean"]', tells('offers'));
  await until('the receipt', 'document.querySelector(\'#trial-receipt .receipt\') && !document.getElementById(\'trial-keep\').disabled');
  await page.keyboard.press('Enter');
  await until('one kept mend', 'document.querySelectorAll(\'#slip li.kept:not(.off)\').length === 1 && !document.body.dataset.trial && !document.querySelector(\'#slip > .now\')');
  const notes = 'document.querySelector(\'.sift [data-focus="note"]\').getAttribute(\'aria-pressed\')';
  const before = await page.evaluate(notes);
  await room('.sift [data-focus="note"]', tells('figure'));
  assert.notEqual(await page.evaluate(notes), before);
  await room('#slip-undo', tells('offers', 'const kept = its.offers; its.offers = []', 'its.offers = kept'));
  await until('it is taken back', 'document.querySelectorAll(\'#slip li.kept.off\').length === 1 && !document.querySelector(\'#slip > .now\')');
  await clean();
  console.log(await browser.version());
} finally {
  await browser.close();
}
