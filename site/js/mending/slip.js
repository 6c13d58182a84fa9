import { h } from '../base/dom.js';
import { refresh } from '../base/redraw.js';
import { compare } from '../talk/changes.js';
import { desk, on, tell } from '../state/desk.js';
import { rooms } from '../state/rooms.js';
import { beginMending, changeSlip, stopMending, suggestMends } from '../talk/mend.js';
import { some } from '../base/words.js';
import { keptPlan } from '../talk/revive.js';
import { startAgain } from '../talk/examine.js';
import { saveAs } from '../shared/save.js';
import { showAll } from './all.js';
import { askHandOver } from './handover.js';
import { choosePlan, doPlan } from './plan.js';
import { ill, receiptTable, receiptWords, titled } from './receipt.js';

const its = rooms.mending;

// The mending slip under the ledger: the kept mends in their order. Each can be taken back, switched off, moved.

const root = h('section', { class: 'slip', 'aria-labelledby': 'h-slip', id: 'slip', hidden: true });

/** Something was kept, or taken back: the ledger is that of the mended figure. @param {Wire.MendSheet} sheet */
export function slipTaken(sheet) {
  its.sheet = sheet;
  mark();
  tell('offers-stale');
  tell('figure');
  tell('chosen', {});
  tell('mended', sheet.kept > 0 ? sheet.says : '');
  if (sheet.kept === 0) tell('say', sheet.steps.length > 0 ? 'Taken back. The figure is as it was opened.' : '');
  fill();
}

/** What the kept mends changed, row by row. */
function mark() {
  const s = its.sheet;
  if (!s || s.kept === 0 || !desk.figure) {
    desk.mended = null;
    return;
  }
  const c = compare(its.first, desk.figure.findings);
  const of = new Map(c.of);
  for (const [number, words] of c.of) {
    const f = desk.figure.findings[number - 1];
    if (s.change.accepted.includes(f.id)) of.set(number, 'planted, insisted on');
    else if (s.change.planted.includes(f.id)) of.set(number, words === 'new' ? 'planted' : `planted, ${words}`);
    else if (words === 'new' || s.change.revealed.includes(f.id)) of.set(number, 'came to light');
  }
  desk.mended = { gone: c.gone, hidden: s.change.hidden, of };
}

/** The mends are not handed over as they are now. */
export const unsaved = () => Boolean(its.sheet && its.sheet.kept > 0 && its.handed !== signature());

export const signature = () => JSON.stringify([its.sheet?.cursor, its.sheet?.steps.map((s) => [s.mend, s.words, s.off])]);

/** One change of the slip. @param {'back'|'forward'|'off'|'on'|'move'} act @param {number} [step] @param {number} [to] */
export async function change(act, step = 0, to = 0) {
  if (still() || !its.sheet) return;
  if (act === 'back' && its.sheet.cursor === 0) return;
  if (act === 'forward' && its.sheet.cursor === its.sheet.steps.length) return;
  its.plan = null; // what it did is past
  its.busy = act === 'back' ? 'Taking back' : act === 'forward' ? 'Putting back' : 'Doing the steps again';
  fill();
  const m = await changeSlip(act, step, to);
  its.busy = '';
  if (typeof m === 'string') tell('say', titled(m));
  else if (m) return slipTaken(m);
  fill();
}

/** Opens the file for mending, once. @returns {Promise<string>} why it cannot be mended; empty: it can */
export async function begun() {
  if (its.begun) return '';
  its.first = desk.figure?.findings ?? [];
  const sheet = await beginMending();
  if (typeof sheet === 'string') return sheet;
  its.begun = true;
  its.sheet = sheet;
  return '';
}

/** Tries what the findings call for, in the order of the work, and keeps what plants nothing. */
export async function mendSure() {
  if (still()) return;
  its.busy = 'Mending all that is sure';
  Object.assign(its, { steps: [], plan: null });
  fill();
  const why = await begun();
  if (why) {
    its.busy = '';
    tell('say', why);
    return fill();
  }
  const m = await suggestMends();
  its.busy = '';
  if (typeof m === 'string') tell('say', titled(m));
  else if (m) slipTaken(m);
  fill();
}

on('mend-step', (told) => {
  its.steps.push(told);
  fill();
});
on('mend-progress', (p) => {
  const line = root.querySelector('.now');
  if (its.busy && line) line.textContent = `${its.busy}. ${p.text}`;
});

/** Some mend is called for by what was found. */
const sure = () => its.offers.some((o) => o.calls.length > 0);

/** @param {string} cls @param {string} focus @param {string} words @param {() => void} does @param {Record<string, unknown>} [more] */
const button = (cls, focus, words, does, more = {}) => h('button', { class: cls, type: 'button', 'data-focus': focus, disabled: still(), click: does, ...more }, words);

export function fill() {
  const s = its.sheet;
  root.hidden = desk.phase !== 'done' || !desk.figure || desk.figure.file.kind === 'bvh' || (its.offers.length === 0 && !s?.steps.length && !its.busy && !its.ended);
  const steps = s?.steps ?? [];
  const empty = !its.busy && !its.ended && !its.plan && steps.length === 0 && its.steps.length === 0; // one line: the stations need the room
  root.classList.toggle('empty', empty);
  const load = its.offers.length > 0 && button('text', 'slip-plan', 'Load a plan…', choosePlan, { id: 'slip-plan', disabled: still(), 'data-tip': 'A plan that was saved, or a proof sheet: its steps are done on this figure. It can be dropped, too' });
  const all = its.offers.length > 0 && button('text', 'slip-all', 'All mends…', () => showAll(its.start), { id: 'slip-all', 'data-tip': 'Every mend there is, whatever was found' });
  refresh(
    root,
    h('header', {}, h('h2', { id: 'h-slip' }, 'Mending slip'), empty && load, all, !its.busy && sure() && button('text', 'slip-sure', 'Mend all that is sure', mendSure, { 'data-tip': 'Tries what the findings call for, in the order of the work, and keeps what plants no flaw' })),
    its.busy && h('p', { class: 'now' }, `${its.busy}.`),
    its.busy && h('p', {}, h('button', { class: 'text', type: 'button', 'data-focus': 'slip-stop', click: stopMending }, 'Stop')),
    its.busy && its.steps.length > 0 && h('ul', { class: 'steps' }, ...its.steps.map((t) => h('li', {}, titled(t.sentence)))),
    !its.busy && its.ended && h('div', { class: 'ended', role: 'note' }, h('p', { class: 'prose no' }, its.ended), h('p', { class: 'row' }, steps.length > 0 && h('button', { class: 'btn lead', type: 'button', 'data-focus': 'slip-save', click: savePlan }, 'Save the plan'), h('button', { class: 'btn', type: 'button', 'data-focus': 'slip-start', click: startAgain }, 'Start it again'))),
    !its.busy && steps.length === 0 && h('p', { class: 'soft' }, sure() ? 'Nothing is mended yet. Try a mend from a finding’s card; what you keep stands here.' : 'No finding calls for a mend that is sure. What is kept stands here.'),
    steps.length > 0 && h('ol', { 'aria-label': 'Kept mends, in the order they are done' }, ...steps.map((x, i) => row(/** @type {Wire.MendSheet} */ (s), x, i))),
    !its.busy && its.plan && planDone(its.plan),
    !its.busy && !its.plan && its.steps.some((t) => !t.receipt?.kept) && h('details', { class: 'more' }, h('summary', { 'data-focus': 'slip-left' }, `${some(its.steps.filter((t) => !t.receipt?.kept).length, 'mend was tried and not kept', 'mends were tried and not kept')}`), h('ul', { class: 'steps' }, ...its.steps.filter((t) => !t.receipt?.kept).map((t) => h('li', {}, titled(t.sentence))))),
    !empty && h('p', { class: 'row' },
      steps.length > 0 && button('btn lead', 'slip-hand', 'Hand over…', askHandOver, { id: 'slip-hand', disabled: still() || s?.kept === 0 }),
      steps.length > 0 && button('btn', 'slip-undo', 'Undo', () => change('back'), { id: 'slip-undo', 'data-key': 'Ctrl Z', disabled: still() || s?.cursor === 0 }),
      load),
  );
}

/** The slip cannot be changed now. */
const still = () => Boolean(its.busy) || Boolean(its.trial) || Boolean(its.ended);

/** The kept mends, where nobody can write the figure any more. */
function savePlan() {
  const plan = keptPlan();
  if (plan) saveAs(plan, `${its.sheet?.name ?? 'figure'}.plan.json`, 'application/json', 'The plan is saved. Load it once the file is open again.');
}

/** What became of each step of a plan. @param {{name: string, steps: number, stopped: number}} p */
function planDone(p) {
  const left = p.steps - its.steps.length;
  return h(
    'section',
    { class: 'plan-done', 'aria-label': 'Steps of the plan' },
    h('h3', {}, p.name),
    h('ol', { class: 'steps' }, ...its.steps.map((t) => h('li', {}, titled(t.sentence), t.odd && h('b', {}, ` Not as the plan expects: ${titled(t.odd)}.`)))),
    left > 0 && h('p', {}, `${p.stopped >= 0 ? 'It ends there' : 'It was stopped'}: ${some(left, 'step')} after it ${left === 1 ? 'was' : 'were'} not done.`),
    p.stopped >= 0 && left > 0 && h('p', {}, button('text', 'slip-rest', 'Do the rest all the same', () => doPlan(true))),
  );
}

/** @param {Wire.MendSheet} s @param {Wire.MendSheetStep} x @param {number} i */
function row(s, x, i) {
  const back = i >= s.cursor;
  const r = x.told?.receipt;
  const off = back || x.off;
  const name = `${x.title}${x.words ? `, ${x.words}` : ''}`;
  const act = back
    ? i === s.cursor && button('text', `slip-act-${i}`, 'Put back', () => change('forward'))
    : i === s.cursor - 1 && !x.off
      ? button('text', `slip-act-${i}`, 'Take back', () => change('back'))
      : button('text', `slip-act-${i}`, x.off ? 'Switch on' : 'Switch off', () => change(x.off ? 'on' : 'off', i));
  const may = (/** @type {number} */ to) => (to < i ? x.up : x.down);
  const move = (/** @type {number} */ to) => {
    const why = may(to);
    if (why) tell('say', `${x.title} stays where it is: ${why}.`);
    else change('move', i, to);
  };
  return h(
    'li',
    {
      class: `kept${off ? ' off' : ''}`,
      draggable: back ? null : 'true',
      'data-step': i,
      dragstart: (/** @type {DragEvent} */ e) => e.dataTransfer?.setData('text/x-step', String(i)),
      dragover: (/** @type {DragEvent} */ e) => { if (e.dataTransfer?.types.includes('text/x-step')) e.preventDefault(); },
      drop: (/** @type {DragEvent} */ e) => {
        const from = Number(e.dataTransfer?.getData('text/x-step') || NaN);
        if (!Number.isInteger(from) || from === i) return;
        e.preventDefault();
        e.stopPropagation();
        change('move', from, i);
      },
      keydown: (/** @type {KeyboardEvent} */ e) => {
        if (!e.altKey || (e.key !== 'ArrowUp' && e.key !== 'ArrowDown')) return;
        e.preventDefault();
        move(e.key === 'ArrowUp' ? i - 1 : i + 1);
      },
    },
    h('i', {}, off ? '–' : String(s.steps.slice(0, i + 1).filter((y, k) => k < s.cursor && !y.off).length)),
    h(
      'details',
      {},
      h('summary', { 'data-focus': `slip-${i}` }, h('span', { class: 'n' }, name), back ? h('span', { class: 'soft' }, ' (taken back)') : x.off ? h('span', { class: 'soft' }, ' (switched off)') : '', h('span', { class: 'did' }, r ? did(r) : '')),
      x.why && h('p', { class: 'soft' }, `For ${titled(x.why)}`),
      x.told && receiptTable(x.told),
      ...(x.told ? receiptWords(x.told) : []),
      !back && h('p', { class: 'row' },
        button('text', `slip-up-${i}`, 'Earlier', () => move(i - 1), { 'data-key': 'Alt ↑', 'aria-description': x.up || null, 'data-tip': x.up || 'Moves it one step earlier' }),
        button('text', `slip-down-${i}`, 'Later', () => move(i + 1), { 'data-key': 'Alt ↓', 'aria-description': x.down || null, 'data-tip': x.down || 'Moves it one step later' })),
    ),
    act,
  );
}

/** What a step did, short. @param {Wire.MendReceipt} r */
const did = (r) => [r.cleared.length > 0 && `${some(r.cleared.length, 'check')} cleared`, r.cleared.length === 0 && r.shrunk.length > 0 && `${some(r.shrunk.length, 'check')} less`, ill(r)].filter(Boolean).join(', ');

/** The slip, to be put under the ledger's stations. */
export function mountSlip() {
  on('phase', fill);
  on('offers', fill);
  return root;
}
