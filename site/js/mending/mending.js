import { h, must } from '../base/dom.js';
import { desk, on, tell } from '../state/desk.js';
import { rooms } from '../state/rooms.js';
import { work } from '../state/work.js';
import { COVERED } from '../shared/save.js';
import { offered } from '../talk/mend.js';
import { showAll } from './all.js';
import { askHandOver, mountHandOver } from './handover.js';
import { carryMany, keepCarried, movers } from './carry.js';
import { askPart } from './part.js';
import { mountPlan, takePlan } from './plan.js';
import { change, fill, mountSlip, slipTaken, unsaved } from './slip.js';
import { startTrial, trialKey } from './trial.js';

const its = rooms.mending;

// The room of the mends: what is offered on a finding's card, the trial, the slip, the handing over.

/**
 * @param {{motion: () => void}} asks for a second file to move the figure
 * @returns {{slip: Node, part: import('../card/card.js').FindingPart, tryMend: (id: string) => boolean, handOver: () => boolean, takePlan: typeof takePlan, carried: typeof keepCarried, all: () => void, many: (sources: import('../talk/files.js').Source[]) => boolean}} what other rooms are handed
 */
export function mountMending(asks) {
  its.start = (id) => (id === 'part' ? askPart(/** @type {HTMLInputElement} */ (must('picker'))) : id === 'carry' ? asks.motion() : tryMend(id));
  const slip = mountSlip();
  mountHandOver();
  mountPlan();
  on('fresh', () => Object.assign(its, { offers: [], of: '', first: [], sheet: null, begun: false, busy: '', steps: [], plan: null, ended: '', handed: '', captures: [], carrying: '' }));
  on('reviving', () => {
    Object.assign(its, { busy: 'Starting the examiner again', ended: '' });
    fill();
  });
  on('revived', revived);
  on('done', ask);
  on('offers-stale', ask);
  document.addEventListener('keydown', (e) => {
    if (trialKey(e)) {
      e.preventDefault();
      e.stopPropagation();
    } else undoKey(e);
  }, true);
  addEventListener('beforeunload', (e) => {
    if (unsaved()) e.preventDefault();
  });
  work.examination.mayLeave = mayLeave;
  return { slip, part, tryMend, handOver, takePlan, carried: keepCarried, many, all: () => its.offers.length > 0 && (desk.covered ? tell('say', COVERED) : showAll(its.start)) }; // a trial tells what goes
}

/** Puts a mend on trial by its id, for no finding. @param {string} id @returns {boolean} there is such a mend, and none is on trial */
function tryMend(id) {
  const offer = its.offers.find((o) => o.id === id);
  if (!offer || its.trial || its.busy) return false;
  startTrial(offer, null);
  return true;
}

/** Takes files to carry clips of where there are several. @param {import('../talk/files.js').Source[]} sources @returns {boolean} there are */
function many(sources) {
  const list = movers(sources);
  if (list.length < 2) return false;
  carryMany(list);
  return true;
}

/** Opens the handing over. @returns {boolean} there is something to hand over */
function handOver() {
  if (!its.sheet?.kept || its.trial || its.busy) return false;
  askHandOver();
  return true;
}

/** Which mends there are for what lies on the desk. */
async function ask() {
  const f = desk.figure;
  if (!f || f.running || its.of === f.json) return;
  const offers = await offered();
  if (desk.figure !== f) return;
  its.of = f.json;
  its.offers = offers;
  tell('offers');
}

/** Another examiner took the place of one that died, with the kept mends as they were; or none could. @param {import('../talk/revive.js').Revived} r */
function revived({ sheet, words, failed }) {
  its.busy = '';
  its.begun = sheet !== null;
  its.ended = failed ? words : '';
  if (its.trial) its.trial.told = null; // the one that died had it
  if (sheet) slipTaken(sheet);
  else fill();
  tell('say', words);
}

/** Ctrl Z takes the last mend back, with Shift it is put back. @param {KeyboardEvent} e */
function undoKey(e) {
  if (!(e.ctrlKey || e.metaKey) || e.altKey || e.key.toLowerCase() !== 'z' || its.trial || !its.sheet?.steps.length) return;
  const t = /** @type {HTMLElement} */ (e.target);
  if (t.closest('dialog, textarea, select, input:not([type="radio"], [type="checkbox"], [type="range"])')) return;
  e.preventDefault();
  change(e.shiftKey ? 'forward' : 'back');
}

/** Mends that answer a finding, and those that a person may want beside it. @param {import('../state/types.js').Finding} f */
const answers = (f) => (f.cause ? [] : its.offers.filter((o) => o.answers.includes(f.id) || o.beside.includes(f.id)).sort((a, b) => Number(calls(b, f)) - Number(calls(a, f))));

/** @param {Wire.MendOffer} o @param {import('../state/types.js').Finding} f */
const calls = (o, f) => o.calls.some((c) => c.aims.includes(f.id));

/** What a finding's card says of its mends. @param {import('../state/types.js').Finding} f */
function part(f) {
  const list = answers(f);
  if (list.length === 0) return null;
  return h(
    'section',
    { class: 'mends' },
    h('h4', {}, list.length === 1 ? 'Mend' : 'Mends'),
    h(
      'ul',
      {},
      ...list.map((o) =>
        h(
          'li',
          {},
          h('b', {}, o.title),
          h('button', { class: 'btn', type: 'button', 'data-focus': `try-${o.id}`, 'data-mend': o.id, 'aria-label': `Try the mend: ${o.title}`, 'data-tip': o.does, click: () => (o.id === 'part' || o.id === 'carry' ? its.start(o.id) : startTrial(o, f)) }, 'Try the mend'),
        ),
      ),
    ),
  );
}

/** Asks once before mends that are not handed over are lost. @returns {Promise<boolean>} they may go */
function mayLeave() {
  if (!unsaved()) return Promise.resolve(true);
  const dialog = /** @type {HTMLDialogElement} */ (must('mends-lost'));
  must('mends-lost-says').textContent = `${its.sheet?.says}. They are not handed over, and another figure takes their place.`;
  dialog.returnValue = '';
  dialog.showModal();
  return new Promise((answer) => {
    dialog.addEventListener('close', () => {
      if (dialog.returnValue === 'go') its.handed = ''; // the slip goes with its figure
      answer(dialog.returnValue === 'go');
    }, { once: true });
  });
}
