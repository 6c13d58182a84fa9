import { h, must } from '../base/dom.js';
import { refill } from '../base/redraw.js';
import { some } from '../base/words.js';
import { desk, tell } from '../state/desk.js';
import { rooms } from '../state/rooms.js';
import { doPlan as done, readPlan } from '../talk/mend.js';
import { titled } from './receipt.js';
import { begun, fill, slipTaken } from './slip.js';

const its = rooms.mending;

// A plan that a person hands over: saved by the page or the command line, or on a proof sheet.

/** More than this is no plan. */
const LARGE = 64 << 20;

/** Asks for a file. */
export const choosePlan = () => must('plan-file').click();

/** Takes a plan, and does it at once where it is this file's and nothing is kept yet. @param {{name: string, file: Blob}} source */
export async function takePlan(source) {
  const not = !desk.figure ? 'Open the figure first; then hand over its plan.' : desk.phase !== 'done' ? 'A plan can be done once the figure is examined.' : its.trial ? 'A mend is on trial. Keep or leave it, then hand over the plan.' : its.busy ? `${its.busy}. Hand over the plan after that.` : its.ended;
  if (not) return tell('say', not);
  if (source.file.size > LARGE) return refuse(source.name, 'It is too large to be a plan.');
  const text = await source.file.text().catch(() => null);
  if (text === null) return refuse(source.name, 'The browser cannot read the file any more. Choose it again.');
  its.busy = `Reading ${source.name}`;
  fill();
  const why = await begun();
  const told = why || (await readPlan(text));
  its.busy = '';
  fill();
  if (typeof told === 'string') return refuse(source.name, told);
  its.plan = { name: source.name, text, steps: told.steps.length, stopped: -1 };
  if (told.same && told.limits === 0 && !its.sheet?.steps.length) return doPlan(false);
  ask(source.name, told);
}

/** What is to be known before it is done. @param {string} name @param {Wire.MendPlanTold} told */
function ask(name, told) {
  const n = its.sheet?.steps.length ?? 0;
  refill(
    must('plan-body'),
    !told.same && h('p', { class: 'prose' }, h('b', {}, 'It was made for another file'), told.name ? `, ${told.name}. ` : '. ', `${desk.figure?.file.name} is another, or has changed since: a step may do something else here, or nothing. Each is tried, and what plants a flaw is not kept.`),
    n > 0 && h('p', { class: 'prose' }, `${some(n, 'step')} on the slip ${n === 1 ? 'goes' : 'go'}: a plan is done on the figure as it was opened.`),
    told.limits > 0 && h('p', { class: 'prose' }, `It moves the limits of ${some(told.limits, 'check')}; these hold from then on.`),
    h('ol', { class: 'steps', 'aria-label': `Steps of ${name}` }, ...told.steps.map((s) => h('li', {}, s))),
  );
  must('plan-do').hidden = false;
  show('Do this plan?');
}

/** @param {string} name @param {string} why */
function refuse(name, why) {
  refill(must('plan-body'), h('p', { class: 'prose', role: 'alert' }, h('b', {}, name), `: ${titled(why.replace(/^plan[:,] /, ''))}`));
  must('plan-do').hidden = true;
  show('Plan not done');
}

/** @param {string} title */
function show(title) {
  must('h-plan').textContent = title;
  const dialog = /** @type {HTMLDialogElement} */ (must('plan'));
  if (!dialog.open) dialog.showModal();
}

/** Does the plan that was taken last. @param {boolean} goOn past an outcome that it does not expect */
export async function doPlan(goOn) {
  const p = its.plan;
  if (!p || its.busy || its.trial) return;
  its.busy = `Doing ${p.name}`;
  its.steps = [];
  fill();
  const m = await done(p.text, goOn);
  its.busy = '';
  p.stopped = its.steps.findIndex((t) => t.odd) === its.steps.length - 1 && its.steps.length < p.steps ? its.steps.length - 1 : -1;
  if (typeof m === 'string') tell('say', titled(m));
  else if (m) {
    slipTaken(m);
    const not = its.steps.filter((t) => !t.receipt?.kept).length;
    if (not > 0 || p.stopped >= 0) tell('say', `${p.name}: ${some(its.steps.length - not, 'step')} kept${not > 0 ? `, ${not} not` : ''}${p.stopped >= 0 ? `; step ${p.stopped + 1} is not as the plan expects` : ''}. The slip says why.`);
  }
  fill();
}

export function mountPlan() {
  must('plan-file').addEventListener('change', (e) => {
    const input = /** @type {HTMLInputElement} */ (e.target);
    const file = input.files?.[0];
    input.value = '';
    if (file) takePlan({ name: file.name, file });
  });
  must('plan').addEventListener('close', () => {
    if (/** @type {HTMLDialogElement} */ (must('plan')).returnValue === 'do') doPlan(false);
    else if (!its.busy && its.steps.length === 0) its.plan = null;
  });
}
