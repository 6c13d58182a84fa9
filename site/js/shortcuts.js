import { h, must } from './base/dom.js';
import { choose, chosenFinding, desk, show, tell } from './state/desk.js';
import { rooms } from './state/rooms.js';
import { run, stepKey, takeWay } from './shared/clips.js';
import { nextPlace } from './shared/places.js';
import { closeLineup, lineupIsOpen } from './lineup/lineup.js';
import { leaveLesson, lessonIsOpen } from './lessons/lesson.js';
import { leaveTour, tourIsOpen } from './tour/tour.js';
import { lensNames } from './stage/lens.js';
import { undoLimits } from './shared/limits.js';
import { takeMove } from './shared/moves.js';
import { guarded } from './talk/stage.js';
import { stepTerm } from './card/sum.js';
import { keep, recall } from './state/habits.js';
import { savePicture } from './shared/stagepicture.js';
import { alone, goBack } from './stage/view.js';
import { child, finding, neighbour, parent, partner, station } from './shared/walk.js';

/** @typedef {{keys: string[], shift?: boolean, does: string, single?: boolean, run: (e: KeyboardEvent) => void}} Shortcut */

/** 15° in pixels of a drag: the stage's camera turns 180° in 600 */
const TURN = 50;

/** @param {{open: () => void, motion: () => void, part: () => void, reread: () => void, report: () => void, find: () => void}} acts @returns {Shortcut[]} */
function table(acts) {
  return [
    { keys: ['1', '2', '3', '4', '5', '6'], does: 'station', run: (e) => station(Number(e.key) - 1) },
    { keys: ['n'], does: 'next finding', run: () => finding(1) },
    { keys: ['n'], shift: true, does: 'previous finding', run: () => finding(-1) },
    {
      keys: ['Enter'],
      does: 'show the place',
      run: () => {
        const f = chosenFinding();
        if (f) tell('place', f);
        else tell('frame');
      },
    },
    { keys: ['Enter'], shift: true, does: 'next place of the finding', run: () => nextPlace(1) },
    { keys: ['ArrowLeft', 'ArrowRight'], does: 'neighbour joint', run: (e) => neighbour(e.key === 'ArrowLeft' ? -1 : 1) },
    { keys: ['ArrowUp'], does: 'parent joint', run: () => parent() },
    { keys: ['ArrowDown'], does: 'child joint', run: () => child() },
    { keys: ['p'], does: 'the partner on the other side', run: () => partner() },
    { keys: ['ArrowLeft', 'ArrowRight', 'ArrowUp', 'ArrowDown'], shift: true, does: 'turn by 15°', run: (e) => turn(e.key) },
    { keys: ['+', '='], does: 'nearer', run: () => near(1.2) },
    { keys: ['-'], does: 'farther', run: () => near(1 / 1.2) },
    { keys: ['w', 'a', 's', 'd'], shift: true, does: 'shift the picture', run: (e) => shift(e.key.toLowerCase()) },
    {
      keys: ['0'],
      does: 'whole figure',
      run: () => {
        guarded((s) => s.frameAll());
      },
    },
    { keys: ['Backspace'], does: 'back to where I was', run: goBack },
    { keys: ['z'], does: 'the view as it was before the last change', run: () => { if (!guarded((s) => s.undoView())) tell('say', 'The view is as it began.'); } },
    { keys: ['z'], shift: true, does: 'the limits as they were before the last change', run: undoLimits },
    { keys: ['l'], does: 'next lens', run: () => lens(1) },
    { keys: ['l'], shift: true, does: 'previous lens', run: () => lens(-1) },
    { keys: [' '], does: 'play or pause the clip or the move', run: () => run() },
    { keys: [','], does: '1/30 s back; of a move 5°', run: () => stepKey(-1) },
    { keys: ['.'], does: '1/30 s on; of a move 5°', run: () => stepKey(1) },
    { keys: ['t'], does: 'of a vertex: one term of its sum more', run: () => stepTerm(1) },
    { keys: ['t'], shift: true, does: 'one term less', run: () => stepTerm(-1) },
    { keys: ['b'], does: 'bones', run: () => show({ bones: !desk.bones }) },
    { keys: ['k'], does: 'pointers', run: () => show({ pointers: !desk.pointers }) },
    { keys: ['u'], does: 'loupe', run: () => show({ loupe: !desk.loupe }) },
    {
      keys: ['d'],
      does: 'linear blend, dual quaternion, or both',
      run: () => {
        takeWay({ linear: 'dual', dual: 'both', both: 'linear' }[desk.method] ?? 'linear');
      },
    },
    { keys: ['o'], does: 'open a file', run: acts.open },
    { keys: ['m'], does: 'motion from a second file', run: acts.motion },
    { keys: ['a'], does: 'a part from a second figure', run: acts.part },
    { keys: ['r'], does: 'read the file again', run: acts.reread },
    { keys: ['e'], does: 'report of the examination, to print and sign', run: acts.report },
    { keys: ['g'], does: 'the picture of the stage saved', run: savePicture },
    { keys: ['f', '/'], does: 'search findings, joints, clips and what can be done', run: acts.find },
    { keys: ['?'], does: 'this list', run: help },
  ];
}

rooms.keys.single = recall('keys') !== 'off';

/** Keys act while the stage or the ledger has the focus; Esc goes one step back and throws no work away. @param {{open: () => void, motion: () => void, part: () => void, reread: () => void, report: () => void, find: () => void}} acts @returns {import('./find/matches.js').Thing[]} what can be done by one key, for the search */
export function mountShortcuts(acts) {
  const all = table(acts);
  const plain = (/** @type {Shortcut} */ k) => k.keys.every((x) => x.length === 1);
  must('keys-body').replaceChildren(
    ...all.map((k) =>
      h(
        'tr',
        {},
        h(
          'th',
          { scope: 'row' },
          k.shift ? h('kbd', {}, 'Shift') : '',
          k.shift ? ' ' : '',
          ...names(k.keys).flatMap((n, i) => [i > 0 ? ' ' : '', h('kbd', {}, n)]),
        ),
        h('td', {}, k.does),
      ),
    ),
    ...(/** @type {[string[], string][]} */ ([
      [['Shift', 'click'], 'with a vertex chosen: how far it is to another'],
      [['Esc'], 'one step back; a mend on trial is left'],
      [['Enter'], 'keeps the mend on trial'],
      [['Ctrl', 'Z'], 'takes the last mend back; with Shift it is put back'],
      [['Alt', '↑', '↓'], 'on the mending slip: the step earlier or later'],
    ])).map(([keys, does]) => h('tr', {}, h('th', { scope: 'row' }, ...keys.flatMap((k, i) => [i > 0 ? ' ' : '', h('kbd', {}, k)])), h('td', {}, does))),
  );
  const box = /** @type {HTMLInputElement} */ (must('single-keys'));
  box.checked = rooms.keys.single;
  box.addEventListener('change', () => {
    rooms.keys.single = box.checked;
    keep('keys', rooms.keys.single ? '' : 'off');
  });
  document.addEventListener('keydown', (e) => {
    if (e.ctrlKey || e.metaKey || e.altKey || e.defaultPrevented) return;
    if (e.key === 'Escape') return back();
    const t = /** @type {HTMLElement} */ (e.target);
    const named = e.key.length === 1 ? e.key.toLowerCase() : e.key;
    const where = roomOf(t);
    if (where === 'other' && !(named === 't' && t.closest('.sum'))) return;
    const shifted = e.shiftKey && !'+?=/'.includes(e.key);
    if (where !== 'stage' && where !== 'first' && (e.key.startsWith('Arrow') || e.key === ' ' || e.key === 'Enter')) return ledgerKey(e, t);
    if (where === 'first' && named !== 'o' && named !== '?') return; // there is no figure yet
    const k = all.find((x) => x.keys.includes(named) && Boolean(x.shift) === shifted);
    if (!k || (!rooms.keys.single && plain(k) && e.key !== '?')) return;
    e.preventDefault();
    k.run(e);
  });
  return all.filter((k) => k.keys.length === 1 && k.keys[0] !== 'Enter').map((k) => ({
    kind: 'Do',
    title: `${k.does[0].toUpperCase()}${k.does.slice(1)}`,
    more: `${k.shift ? 'Shift ' : ''}${names(k.keys).join(' ')}`,
    run: () => k.run(new window.KeyboardEvent('keydown', { key: k.keys[0], shiftKey: Boolean(k.shift) })),
  }));
}

/**
 * Where a key was pressed. Nothing in particular, as after a click beside everything, counts as the stage; so do the
 * choices that stand on it, but for what they take themselves: arrows and the space bar.
 * @param {HTMLElement} t @returns {'stage'|'plate'|'ledger'|'first'|'other'}
 */
function roomOf(t) {
  if (t.closest('dialog, select, textarea, input:not([type="radio"], [type="checkbox"])')) return 'other';
  if (desk.phase === 'first') return 'first';
  if (t.id === 'pad' || t === document.body) return 'stage';
  return t.closest('#ledger') ? 'ledger' : t.closest('.plate') ? 'plate' : 'other';
}

/** @param {string[]} keys */
function names(keys) {
  const words = /** @type {Record<string, string>} */ ({ ArrowLeft: '←', ArrowRight: '→', ArrowUp: '↑', ArrowDown: '↓', ' ': 'Space', '-': '−' });
  const shown = keys.filter((k) => k !== '=').map((k) => words[k] ?? (k.length === 1 ? k.toUpperCase() : k));
  return shown.length === 6 ? ['1', '…', '6'] : shown;
}

/** Up and down go from row to row. @param {KeyboardEvent} e @param {HTMLElement} t */
function ledgerKey(e, t) {
  if (!t.closest('#ledger')) return;
  if (e.key !== 'ArrowUp' && e.key !== 'ArrowDown') return;
  const rows = /** @type {HTMLElement[]} */ ([...document.querySelectorAll('#ledger :is(summary, .find[data-number])')]).filter(
    (x) => x.offsetParent !== null,
  );
  const at = rows.indexOf(t);
  const to = rows[at + (e.key === 'ArrowUp' ? -1 : 1)];
  if (!to) return;
  e.preventDefault();
  to.focus();
}

export function help() {
  /** @type {HTMLDialogElement} */ (must('help')).showModal();
}

function back() {
  if (document.querySelector('dialog[open]')) return;
  if (lineupIsOpen()) return closeLineup();
  if (tourIsOpen()) return leaveTour();
  const notice = must('notice');
  const close = /** @type {HTMLElement|null} */ (
    notice.hidden || notice.dataset.kind === 'run' ? null : notice.querySelector('.row button:last-child')
  );
  if (close) close.click();
  else if (desk.playing) run(false);
  else if (lessonIsOpen()) leaveLesson();
  else if (desk.beside) alone();
  else if (desk.move && desk.chosen.kind !== 'finding') takeMove(null);
  else if (desk.chosen.kind !== 'none') choose({ kind: 'none' });
}

/** @param {string} key */
function turn(key) {
  guarded((s) => s.keepView());
  guarded((s) => s.turn(key === 'ArrowLeft' ? -TURN : key === 'ArrowRight' ? TURN : 0, key === 'ArrowUp' ? -TURN : key === 'ArrowDown' ? TURN : 0));
}
/** @param {number} factor */
function near(factor) {
  guarded((s) => s.keepView());
  guarded((s) => s.near(factor)); // about what it looks at
}
/** @param {string} key */
function shift(key) {
  guarded((s) => s.keepView());
  guarded((s) => s.shift(key === 'a' ? -40 : key === 'd' ? 40 : 0, key === 'w' ? -40 : key === 's' ? 40 : 0));
}
/** @param {number} d */
function lens(d) {
  const names = lensNames();
  show({ byHand: true, lens: names[(names.indexOf(desk.lens) + d + names.length) % names.length] });
}
