import { h, mark, must, refill } from './dom.js';
import { choose, desk, on } from './desk.js';
import { GRADE, GRADE_SAYS } from './findingcard.js';
import { changesStrip } from './changes.js';
import { limited, measured, some } from './words.js';
import { saveJSON } from './save.js';

/** @typedef {import('./types.js').Station} Station */
/** @typedef {import('./types.js').Finding} Finding */

const GRADES = /** @type {const} */ (['stop', 'flaw', 'note', 'wait']);
/** @type {Set<string>} grades shown; wait: not looked at */
const shown = new Set(['stop', 'flaw', 'note']);
let clearToo = false;
/** stations folded by hand @type {Set<string>} */
const folded = new Set();

/** @param {string} grade */
export const isSifted = (grade) => !shown.has(grade);

/** The ledger: grade sifters, then the stations. */
export function mountLedger() {
  const root = must('ledger');
  const fill = () => {
    if (!desk.figure) return;
    const f = desk.figure;
    const looked = f.stations.flatMap((s) => s.checks);
    const clear = looked.filter((c) => c.state === 'clear').length;
    const counts = { stop: 0, flaw: 0, note: 0, wait: looked.filter((c) => c.state === 'not-looked-at').length };
    for (const x of f.findings) counts[x.grade]++;
    const scrolled = root.querySelector('.stations')?.scrollTop ?? 0;
    refill(root, h('header', {},
      h('h2', { id: 'h-ledger' }, 'Ledger'),
      h('p', { class: 'sum' }, h('b', {}, String(f.findings.length)), f.findings.length === 1 ? ' finding, ' : ' findings, ',
        h('button', { class: 'text', type: 'button', 'data-focus': 'clear', 'aria-pressed': String(clearToo), 'data-tip': 'Shows the clear checks too', click: () => { clearToo = !clearToo; fill(); } }, h('b', {}, String(clear)), clear === 1 ? ' check clear' : ' checks clear')),
      h('div', { class: 'sift', role: 'group', 'aria-label': 'Show grades' }, ...GRADES.map((g) => h('button', {
        type: 'button', 'data-focus': g, 'aria-pressed': String(shown.has(g)), 'data-tip': g === 'wait' ? 'Checks that could not run, and why' : `${GRADE[g]}: ${GRADE_SAYS[g]}`,
        click: () => { if (!shown.delete(g)) shown.add(g); fill(); },
      }, mark(g), g === 'wait' ? 'not looked at ' : `${g} `, h('b', {}, String(counts[g])))))),
    changesStrip(fill),
    h('ol', { class: 'stations' }, ...f.stations.map(station)),
    h('footer', {}, h('button', { class: 'text quiet', type: 'button', 'data-focus': 'save', 'data-tip': 'A file on this machine, the same as the command line prints', click: saveJSON }, 'Save the findings (JSON)'), h('button', { class: 'text quiet', type: 'button', 'data-focus': 'checks', 'data-act': 'checks', 'aria-haspopup': 'dialog' }, limitsWords())));
    const list = root.querySelector('.stations');
    if (list) list.scrollTop = scrolled;
  };
  for (const kind of ['figure', 'phase']) on(kind, fill);
  on('progress', () => {
    const now = desk.figure?.stations.find((s) => s.state === 'now');
    const li = now && root.querySelector(`[data-station="${now.name}"]`);
    if (li) /** @type {HTMLElement} */ (li.querySelector('.clear')).textContent = progressWords(now.name);
  });
  on('chosen', () => {
    const number = desk.chosen.kind === 'finding' ? String(desk.chosen.number) : '';
    for (const b of root.querySelectorAll('.find[data-number]')) {
      if (b.getAttribute('data-number') === number) {
        b.setAttribute('aria-current', 'true');
        const station = b.closest('details');
        if (station) station.open = true;
        b.scrollIntoView({ block: 'nearest' });
      } else b.removeAttribute('aria-current');
    }
  });
}

/** @type {{station: string, done: number, total: number, text: string}|null} */
let progress = null;
on('progress', (p) => { progress = p; });
/** @param {string} name */
const progressWords = (name) => (progress?.station === name && progress.total > 0 ? `${progress.done} of ${progress.total}` : 'at work');

/** @param {Station} s */
function station(s) {
  const rows = s.findings.filter((f) => shown.has(f.grade));
  const waits = s.checks.filter((c) => c.state === 'not-looked-at');
  const clear = s.checks.filter((c) => c.state === 'clear');
  const reasons = [...new Set(waits.map((c) => c.reason))];
  const allWait = s.checks.length > 0 && waits.length === s.checks.length;
  const says = s.state === 'absent' ? (desk.figure?.running === false && known(s.name) ? 'not reached' : 'not in this version')
    : s.state === 'now' ? progressWords(s.name) : s.state === 'wait' ? 'waits' : allWait ? 'not looked at' : clear.length > 0 ? `${clear.length} clear` : '';
  if (s.state === 'absent' || (s.state !== 'done' && rows.length === 0)) {
    return h('li', { class: s.state, 'data-station': s.name }, h('div', { class: 'summary-like' }, h('details', {}, h('summary', {}, h('h3', {}, s.title), h('span', { class: 'clear' }, says)),
      h('p', { class: 'station-says' }, s.state === 'absent' ? absentWords(s) : `${s.says[0]?.toUpperCase()}${s.says.slice(1)}.`))));
  }
  return h('li', { class: allWait ? 'wait' : s.state, 'data-station': s.name }, h('details', {
    open: !folded.has(s.name),
    toggle: (/** @type {Event} */ e) => { if (/** @type {HTMLDetailsElement} */ (e.target).open) folded.delete(s.name); else folded.add(s.name); },
  }, h('summary', { 'data-focus': `s-${s.name}` }, h('h3', {}, s.title), h('span', { class: 'clear' }, says)),
  allWait && reasons.length === 1 && h('p', { class: 'station-says' }, `${s.title} was not looked at: ${reasons[0]}.`),
  h('ul', {}, ...rows.map((f) => h('li', {}, row(f))),
    ...(shown.has('wait') && !(allWait && reasons.length === 1) ? waits.map((c) => h('li', {}, h('div', { class: 'find quietly' }, mark('wait'), h('span', { class: 't' }, h('span', { class: 'vh' }, 'Not looked at: '), c.title), h('span', { class: 'p' }, c.reason)))) : []),
    ...(clearToo ? clear.map((c) => h('li', {}, h('div', { class: 'find quietly' }, mark('clear'), h('span', { class: 't' }, h('span', { class: 'vh' }, 'Clear: '), c.title)))) : []))));
}

/** @param {string} name */
const known = (name) => desk.catalogue.some((s) => s.name === name);

/** @param {Station} s */
const absentWords = (s) => (known(s.name) ? `${s.title} was not reached: the examination was stopped before it.` : `This version does not look at ${s.title} yet: ${s.says}.`);

/** A finding's row. @param {Finding} f */
export function row(f) {
  const m = f.measures[0];
  const change = desk.changes?.of.get(f.number);
  const current = desk.chosen.kind === 'finding' && desk.chosen.number === f.number;
  return h('button', {
    class: 'find', type: 'button', 'data-number': f.number, 'data-focus': `f${f.number}`, 'aria-current': current ? 'true' : null,
    click: () => choose({ kind: 'finding', number: f.number }, { turn: true }),
  }, mark(f.grade), h('i', {}, String(f.number)), h('span', { class: 't' }, h('span', { class: 'vh' }, `${GRADE[f.grade]}: `), f.title), h('span', { class: 'v' }, measured(m)),
  h('span', { class: 'p' }, f.subject), h('span', { class: 'l' }, change ? h('span', { class: 'was' }, change) : limited(m)));
}

function limitsWords() {
  const n = Object.keys(desk.limits).length;
  return n === 0 ? 'Checks and limits' : `${some(n, 'limit')} changed here`;
}
