import { h, must } from '../base/dom.js';
import { refill } from '../base/redraw.js';
import { chosenFinding, desk, on, tell } from '../state/desk.js';
import { rooms } from '../state/rooms.js';
import { stoodAlone } from '../talk/beside.js';
import { dressTrial, keepMend, leaveMend, showTrial, stopMending, takeTrialAway, tryMend } from '../talk/mend.js';
import { guarded, setStage } from '../talk/stage.js';
import { layBoard, liftBoard, refreshBoard } from './board.js';
import { dials, pieces } from './dials.js';
import { brief, receiptTable, receiptWords, titleOf, titled } from './receipt.js';
import { begun, fill, slipTaken } from './slip.js';

const its = rooms.mending;

// A mend on trial: the figure as it is and as it would be, its dials, the receipt as it comes, Keep and Leave.

/**
 * @typedef {object} Trial
 * @property {Wire.MendOffer} offer
 * @property {Record<string, unknown>} called what the finding calls for
 * @property {Record<string, unknown>} values
 * @property {import('./dials.js').Lists} lists what can be ticked, by parameter
 * @property {{number: number, id: string, title: string, subject: string}|null} finding
 * @property {Wire.MendTold|null} told the receipt of the values as they are; null: it is still to come
 * @property {string} words why there is no receipt
 * @property {boolean} running an answer is awaited
 * @property {boolean} again the values have changed since it was asked
 * @property {boolean} insisting Keep all the same was pressed, and asks once more
 * @property {HTMLElement|null} old what had the focus before
 */

/**
 * Puts a mend on trial.
 * @param {Wire.MendOffer} offer @param {import('../state/types.js').Finding|null} f
 * @param {{values?: Record<string, unknown>, lists?: import('./dials.js').Lists}} [more] values to begin with; what can be ticked, by parameter
 */
export async function startTrial(offer, f, more = {}) {
  if (its.trial || its.busy || its.ended) return;
  const call = offer.calls.find((c) => !f || c.aims.includes(f.id)) ?? null;
  const called = { ...(call?.values ?? {}), ...more.values };
  its.trial = {
    offer,
    called,
    values: { ...called },
    lists: more.lists ?? {},
    finding: f && { number: f.number, id: f.id, title: f.title, subject: f.subject },
    told: null,
    words: '',
    running: false,
    again: false,
    insisting: false,
    old: /** @type {HTMLElement|null} */ (document.activeElement),
  };
  stoodAlone(); // its half is needed
  document.body.dataset.trial = 'on';
  document.body.dataset.tab = 'card';
  tell('say', `On trial: ${offer.title.toLowerCase()}. Nothing is kept yet.`);
  draw();
  fill(); // the slip rests while a mend is on trial
  must('trial').focus({ preventScroll: true });
  await run();
  if (offer.id === 'fit' && its.trial?.offer === offer && its.begun) {
    await layBoard(its.trial.values, (points) => {
      if (!its.trial) return;
      if (Object.keys(points).length > 0) its.trial.values.points = points;
      else delete its.trial.values.points;
      run();
    });
  }
}

/** Asks for the figure as it would be and its receipt; what is turned meanwhile is asked for next. */
async function run() {
  const t = its.trial;
  if (!t) return;
  if (t.running) {
    t.again = true;
    stopMending();
    return;
  }
  t.running = true;
  t.told = null;
  t.words = '';
  t.insisting = false;
  follow();
  const why = await begun();
  if (its.trial !== t) return;
  if (why) return over(t, null, why);
  do {
    t.again = false;
    const why = t.finding ? t.finding.id + (t.finding.subject ? ` (${t.finding.subject})` : '') : '';
    const m = await tryMend(t.offer.id, t.values, why);
    if (its.trial !== t) return;
    if (typeof m === 'string') over(t, null, m);
    else if (m) over(t, m, m.receipt?.why === 'refused' ? m.receipt.refused.join(' ') : '');
    else if (!t.again) over(t, null, 'It was stopped.');
  } while (t.again);
}

/** @param {Trial} t @param {Wire.MendTold|null} told @param {string} words */
function over(t, told, words) {
  t.running = t.again;
  t.told = told;
  t.words = words;
  if (words) takeTrialAway();
  if (t.again) return;
  follow();
  refreshBoard(t.values);
}

on('mend-parcel', (kind) => {
  if (!its.trial) return;
  if (kind === 'trialRig') showTrial();
  if (kind === 'trialPrepared') dressTrial();
});
on('mend-progress', (p) => {
  const line = document.getElementById('trial-now');
  if (its.trial?.running && line) line.textContent = `Examining it again. ${p.text}`;
});
on('judge', leave); // the receipt was made with the limits of before
on('fresh', () => {
  if (!its.trial) return;
  its.trial = null;
  shut();
});

/** Leaves the trial: nothing was done. */
export async function leave() {
  const t = its.trial;
  if (!t) return;
  its.trial = null;
  if (t.running) stopMending();
  shut();
  tell('say', 'Left. Nothing was changed.');
  back(t);
  await takeTrialAway();
  await leaveMend();
}

function shut() {
  delete document.body.dataset.trial;
  liftBoard();
  must('trial').replaceChildren();
  setStage({ loupe: desk.loupe });
  fill();
  tell('chosen', {});
}

/** The focus goes to where the trial was started, or to the card. @param {Trial} t */
function back(t) {
  const again = t.old?.getAttribute('data-focus');
  const to = /** @type {HTMLElement|null} */ (t.old?.isConnected ? t.old : again ? document.querySelector(`#card [data-focus="${CSS.escape(again)}"]`) : null);
  (to ?? must('card')).focus({ preventScroll: true });
}

/** Keeps the mend; what it plants has to be insisted on. */
export async function keep() {
  const t = its.trial;
  const r = t?.told?.receipt;
  if (!t?.told || !r || t.running || its.busy) return;
  if (!r.kept && (t.told.insist.length === 0 || !t.insisting)) {
    t.insisting = t.told.insist.length > 0;
    follow();
    if (t.insisting) must('trial').querySelector('[data-focus="keep"]')?.scrollIntoView({ block: 'nearest' });
    return;
  }
  const accept = r.kept ? [] : t.told.insist;
  its.busy = `Keeping: ${t.offer.title.toLowerCase()}`;
  follow();
  const sheet = await keepMend(accept);
  its.busy = '';
  if (its.trial !== t) return;
  if (typeof sheet === 'string' || !sheet) return over(t, t.told, sheet ?? 'It was stopped.'); // where the examiner died, nothing is told any more
  its.trial = null;
  shut();
  slipTaken(sheet);
  back(t);
}

/** Brings a place to the front, with the loupe on it. @param {number[]} point */
function showPoint(point) {
  const extent = 0.05;
  setStage({ loupe: true, chosen: { kind: 'finding', number: 0, point, extent } });
  guarded((s) => s.frame({ point, extent }));
}

/** The whole sheet: dials once, the receipt again and again. */
function draw() {
  const t = /** @type {Trial} */ (its.trial);
  const turned = (/** @type {string} */ name, /** @type {unknown} */ v) => {
    if (v === undefined) delete t.values[name];
    else t.values[name] = v;
    const own = t.offer.parameters.find((p) => p.name === name);
    if (own?.kind === 'pairs' || name === 'set' || t.offer.parameters.some((p) => p.where?.name === name)) exchangeDials(t, turned);
    run();
  };
  refill(
    must('trial'),
    h('p', { class: 'kick' }, t.finding ? `Mend for finding ${t.finding.number}: ${t.finding.title}` : 'Mend'),
    h('h2', { id: 'h-trial' }, t.offer.title),
    h('p', { class: 'does' }, t.offer.does),
    h('form', { class: 'dials', 'aria-label': 'Dials', submit: (/** @type {Event} */ e) => e.preventDefault() }, ...dials(t.offer.parameters, t.called, t.values, turned, t.lists)),
    h('div', { id: 'trial-pieces' }),
    h('div', { id: 'trial-receipt' }),
    h('div', { class: 'decide', id: 'trial-acts' }),
  );
}

/** @param {Trial} t @param {(name: string, v: unknown) => void} turned */
function exchangeDials(t, turned) {
  const form = /** @type {HTMLElement} */ (must('trial').querySelector('.dials'));
  refill(form, ...dials(t.offer.parameters, t.called, t.values, turned, t.lists));
}

/** The pieces of a binding, with what each may follow. @param {Trial} t */
function followPieces(t) {
  const list = t.told?.pieces ?? [];
  if (t.running) return; // as they were, until they are told anew
  refill(must('trial-pieces'), ...pieces(list, t.told?.joints ?? [], /** @type {Record<string, string>} */ (t.values.parts ?? {}), (v) => {
    if (Object.keys(v).length > 0) t.values.parts = v;
    else delete t.values.parts;
    run();
  }));
}

/** Receipt and acts follow what is known. */
function follow() {
  const t = its.trial;
  if (!t || !document.getElementById('trial-receipt')) return;
  followPieces(t);
  const r = t.told?.receipt ?? null;
  const moved = r?.moved;
  refill(
    must('trial-receipt'),
    h('h3', {}, 'Receipt'),
    t.running && h('p', { class: 'now', id: 'trial-now' }, its.begun ? 'Trying it.' : 'Opening the file for mending.'),
    !t.running && t.words && h('p', { class: 'prose no', role: 'note' }, r?.why === 'refused' ? h('b', {}, 'Refused. ') : '', titled(t.words)),
    !t.running && t.words && !r && h('p', {}, h('button', { class: 'text', type: 'button', 'data-focus': 'again', click: run }, 'Try it again')),
    !t.running && r && !r.kept && r.why !== 'refused' && h('p', { class: 'prose no' }, h('b', {}, 'Not kept: '), `${titled(r.why)}.`),
    !t.running && t.told && receiptTable(t.told, (row) => (row.name === 'moved at rest' && moved?.point ? h('button', { class: 'text', type: 'button', 'data-focus': 'worst', 'data-tip': 'Shows where it moved farthest, under the loupe', click: () => showPoint(/** @type {number[]} */ (moved.point)) }, row.says) : null)),
    !t.running && t.told && moved && !moved.point && chosenFinding() && h('p', {}, h('button', { class: 'text', type: 'button', 'data-focus': 'worst', click: () => tell('place', chosenFinding()) }, 'Show the place')),
    ...(!t.running && t.told ? receiptWords(t.told) : []),
  );
  const insists = Boolean(r && !r.kept && t.told && t.told.insist.length > 0);
  refill(
    must('trial-acts'),
    insists && t.insisting && h('p', { class: 'prose no', role: 'alert' }, h('b', {}, 'It plants: '), (t.told?.insist ?? []).map(titleOf).join('; '), '. The proof will say that you insisted.'),
    h('p', { class: 'brief', 'aria-hidden': 'true' }, t.running ? 'Trying it…' : r && r.why !== 'refused' ? brief(r) : r ? 'refused' : ''),
    h(
      'p',
      { class: 'row' },
      h('button', { class: 'btn lead', type: 'button', 'data-focus': 'keep', id: 'trial-keep', disabled: t.running || Boolean(its.busy) || !r || (!r.kept && !insists), click: keep }, its.busy ? 'Keeping…' : insists ? (t.insisting ? 'Keep it with that' : 'Keep all the same…') : 'Keep'),
      h('button', { class: 'btn', type: 'button', 'data-focus': 'leave', id: 'trial-leave', 'data-key': 'Esc', disabled: Boolean(its.busy), click: leave }, 'Leave'),
    ),
  );
  if (!t.running) speak(t.words ? titled(t.words) : t.told ? titled(t.told.sentence) : '');
}

/** The receipt is spoken, at most once a second. @param {string} words */
function speak(words) {
  clearTimeout(its.speaking);
  its.speaking = window.setTimeout(() => {
    its.spoken = performance.now();
    if (its.trial) tell('speak', words);
  }, Math.max(0, 1000 - (performance.now() - its.spoken)));
}

/** Enter keeps, Esc leaves: also from the stage; a control that takes Enter itself has it. @param {KeyboardEvent} e @returns {boolean} it was for the trial */
export function trialKey(e) {
  if (!its.trial || document.querySelector('dialog[open]') || e.ctrlKey || e.metaKey || e.altKey) return false;
  if (e.key === 'Escape') {
    leave();
    return true;
  }
  const t = /** @type {HTMLElement} */ (e.target);
  if (e.key !== 'Enter' || e.shiftKey || t.closest('button, a, summary, select')) return false;
  keep();
  return true;
}
