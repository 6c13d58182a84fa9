import { h, mark, must } from '../base/dom.js';
import { exchange, refill } from '../base/redraw.js';
import { desk, on } from '../state/desk.js';
import { GRADE, GRADE_SAYS } from '../shared/grades.js';
import { changesStrip } from './changes.js';
import { moved, takeLimits } from '../shared/limits.js';
import { saveJSON } from '../shared/save.js';
import { part } from '../base/slices.js';
import { sieve } from '../state/rooms.js';
import { progressWords, station, stationAs } from './station.js';
import { verdict } from './verdict.js';
import { some } from '../base/words.js';

const GRADES = /** @type {const} */ (['stop', 'flaw', 'note', 'wait']);

/** The ledger: grade sifters, then the stations. Of these only what changed is built again. @param {{below?: Node[]}} [handed] what other rooms put under the stations */
export function mountLedger({ below = /** @type {Node[]} */ ([]) } = {}) {
  const root = must('ledger');
  const head = h('header', {}),
    list = h('ol', { class: 'stations' }),
    foot = h('footer', {});
  /** what stands under the head after a file was read again @type {Element|null} */
  let changes = null;
  /** the verdict @type {Element|null} */
  let opinion = null;
  /** that other limits than those delivered judge @type {Element|null} */
  let own = null;
  /** how each station was when it was built, by its name @type {Map<string, {as: string, li: Element}>} */
  const built = new Map();
  function* fill() {
    const f = desk.figure;
    if (!f) return;
    fillHead(head, f, ledger.now);
    const strip = changesStrip(ledger.now);
    const said = verdict(f);
    const limits = ownLimits();
    own?.remove();
    own = limits;
    changes?.remove();
    opinion?.remove();
    changes = strip;
    opinion = said;
    refill(foot, ...footer());
    if (!head.isConnected) root.replaceChildren(head, list, ...below, foot);
    if (said) head.before(said);
    if (strip) head.after(strip);
    if (limits) head.before(limits);
    for (const s of f.stations) {
      const as = stationAs(s),
        old = built.get(s.name);
      if (old?.as === as) continue;
      yield;
      const li = station(s);
      built.set(s.name, { as, li });
      if (old) exchange(old.li, li);
      else list.append(li);
    }
  }
  const ledger = part(fill);
  on('figure', ledger.later);
  on('sieve', ledger.now);
  on('progress', () => {
    const now = desk.figure?.stations.find((s) => s.state === 'now');
    const li = now && root.querySelector(`[data-station="${now.name}"]`);
    if (li) /** @type {HTMLElement} */ (li.querySelector('.clear')).textContent = progressWords(now.name);
  });
  on('chosen', () => {
    ledger.now(); // the row may not be there yet
    const number = desk.chosen.kind === 'finding' ? String(desk.chosen.number) : '';
    for (const b of root.querySelectorAll('.find[data-matters]')) {
      if (b.getAttribute('data-matters') === number) b.setAttribute('aria-current', 'true');
      else b.removeAttribute('aria-current');
    }
    for (const b of root.querySelectorAll('.find[data-number]')) {
      if (b.getAttribute('data-number') === number) {
        b.setAttribute('aria-current', 'true');
        for (let d = b.closest('details'); d; d = d.parentElement?.closest('details') ?? null) d.open = true;
        b.scrollIntoView({ block: 'nearest' });
      } else b.removeAttribute('aria-current');
    }
  });
}

/** What was found hangs on limits that a person moved, perhaps long ago: said above it, with the way back. */
function ownLimits() {
  const n = moved();
  if (n === 0) return null;
  return h('p', { class: 'own-limits row' }, `Judged by ${some(n, 'limit')} of your own.`, h('button', { class: 'text', type: 'button', 'data-focus': 'as-delivered', 'data-tip': 'All limits as delivered', click: () => takeLimits({}) }, 'Use those delivered'));
}

/** @param {Element} head @param {import('../state/types.js').Figure} f @param {() => void} redraw */
function fillHead(head, f, redraw) {
  const looked = f.stations.flatMap((s) => s.checks);
  const clear = looked.filter((c) => c.state === 'clear').length;
  const counts = { stop: 0, flaw: 0, note: 0, wait: looked.filter((c) => c.state === 'not-looked-at').length };
  for (const x of f.findings) counts[x.grade]++;
  refill(
    head,
    h('h2', { id: 'h-ledger' }, 'Ledger'),
    h(
      'p',
      { class: 'tally' },
      h('b', {}, String(f.findings.length)),
      f.findings.length === 1 ? ' finding, ' : ' findings, ',
      h(
        'button',
        {
          class: 'text',
          type: 'button',
          'data-focus': 'clear',
          'aria-pressed': String(sieve.clearToo),
          'data-tip': 'Shows the clear checks too',
          click: () => {
            sieve.clearToo = !sieve.clearToo;
            redraw();
          },
        },
        h('b', {}, String(clear)),
        clear === 1 ? ' check clear' : ' checks clear',
      ),
    ),
    h(
      'div',
      { class: 'sift', role: 'group', 'aria-label': 'Show grades' },
      ...GRADES.map((g) =>
        h(
          'button',
          {
            type: 'button',
            'data-focus': g,
            'aria-pressed': String(sieve.shown.has(g)),
            'data-tip': g === 'wait' ? 'Checks that could not run, and why' : `${GRADE[g]}: ${GRADE_SAYS[g]}`,
            click: () => {
              if (!sieve.shown.delete(g)) sieve.shown.add(g);
              redraw();
            },
          },
          mark(g),
          g === 'wait' ? 'not looked at ' : `${g} `,
          h('b', {}, String(counts[g])),
        ),
      ),
    ),
  );
}

const footer = () => [
  h('button', { class: 'text quiet', type: 'button', 'data-focus': 'save', 'data-tip': 'A file on this machine, the same as the command line prints', click: saveJSON }, 'Save the findings (JSON)'),
  h('button', { class: 'text quiet', type: 'button', 'data-focus': 'checks', 'data-act': 'checks', 'aria-haspopup': 'dialog' }, limitsWords()),
];

function limitsWords() {
  const n = moved();
  return n === 0 ? 'Checks and limits' : `${some(n, 'limit')} changed here`;
}
