import { h, must } from '../base/dom.js';
import { refill } from '../base/redraw.js';
import { desk, tell } from '../state/desk.js';
import { rooms } from '../state/rooms.js';
import { ending } from '../talk/files.js';
import { besideFigure, keepMend, leaveMend, stopMending, tryMend } from '../talk/mend.js';
import { seconds, some } from '../base/words.js';
import { titled } from './receipt.js';
import { begun, fill as fillSlip, slipTaken } from './slip.js';
import { startTrial } from './trial.js';

const its = rooms.mending;

// Clips of other files, kept as steps: those of one file on trial, or those of many, ticked in one list.

/** @typedef {import('../talk/files.js').Source} Source */
/** @typedef {{source: Source, file: Wire.MendSecond|null, why: string, ticked: Set<string>, done: string}} Capture */

/** What can move a figure, each by itself. @param {Source[]} sources */
export const movers = (sources) => sources.filter((s) => ['bvh', 'glb', 'vrm'].includes(ending(s.name)) && !s.name.split('/').some((p) => p.startsWith('.') || p === '__MACOSX'));

const why = () => (!desk.figure || desk.phase !== 'done' ? 'Clips can be carried over once the figure is examined.' : its.trial ? 'A mend is on trial: keep or leave it first.' : its.busy ? `${its.busy}. Try again after that.` : its.ended);

/** Puts on trial what was carried over from one file. @param {Source[]} sources @param {{clips: number[], feet: boolean, pins: string}} how */
export async function keepCarried(sources, how) {
  const not = why();
  const offer = its.offers.find((o) => o.id === 'carry');
  if (not || !offer) return tell('say', not || 'What can be mended is still being looked up. Try again in a moment.');
  const of = desk.figure;
  const words = await begun();
  if (words) return tell('say', words);
  const file = await besideFigure(sources);
  if (desk.figure !== of) return;
  if (typeof file === 'string') return tell('say', file);
  /** @type {Record<string, unknown>} */
  const values = { from: { name: file.name, sha256: file.sha256 }, clips: how.clips.map((n) => file.clips[n]?.named ?? String(n)), feet: how.feet };
  if (how.pins) values.pins = how.pins;
  await startTrial(offer, null, { values, lists: { clips: file.clips.map((c) => ({ name: c.named, says: [c.named === c.name ? '' : c.name, seconds(c.seconds - c.start)].filter(Boolean).join(', ') })) } });
}

/** Reads many files and lists their clips. @param {Source[]} sources */
export async function carryMany(sources) {
  const not = why();
  if (not) return tell('say', not);
  const dialog = /** @type {HTMLDialogElement} */ (must('captures'));
  its.captures = sources.map((source) => ({ source, file: null, why: '', ticked: new Set(), done: '' }));
  const of = its.captures;
  its.carrying = 'Reading';
  draw();
  if (!dialog.open) dialog.showModal();
  const words = await begun();
  for (const c of of) {
    if (its.captures !== of) return;
    const file = words || (await besideFigure([c.source]));
    if (typeof file === 'string') c.why = file;
    else if (file.clips.length === 0) c.why = 'It holds no clip.';
    else Object.assign(c, { file, ticked: new Set(file.clips.map((x) => x.named)) });
    draw();
  }
  its.carrying = '';
  draw();
}

const ticked = () => its.captures.filter((c) => c.ticked.size > 0 && !c.done);

/** Carries what is ticked, file by file; each file is a step of the slip. */
async function carryTicked() {
  const of = its.captures;
  its.carrying = 'Carrying over';
  its.busy = 'Carrying clips over';
  fillSlip();
  for (const c of ticked()) {
    if (!c.file || its.captures !== of || its.carrying === 'Stopping') break;
    c.done = 'at work';
    draw();
    const m = await tryMend('carry', { from: { name: c.file.name, sha256: c.file.sha256 }, clips: [...c.ticked] }, '');
    if (m === null) { c.done = ''; break; }
    const receipt = typeof m === 'string' ? null : m.receipt;
    if (typeof m !== 'string' && receipt?.kept) {
      const sheet = await keepMend([]);
      c.done = typeof sheet === 'string' ? titled(sheet) : sheet ? 'carried over' : 'stopped';
      if (sheet && typeof sheet !== 'string') slipTaken(sheet);
    } else {
      c.done = `Not kept: ${titled(typeof m === 'string' ? m : receipt?.why === 'refused' ? receipt.refused.join(' ') : (receipt?.why ?? ''))}`;
      await leaveMend();
    }
    draw();
  }
  its.busy = its.carrying = '';
  fillSlip();
  draw();
  if (its.captures === of) tell('say', `${some(of.filter((c) => c.done === 'carried over').length, 'file')} of ${some(of.length, 'file')} carried over.`);
}

function draw() {
  const last = its.captures.filter((c) => c.done).map((c) => `${c.source.name} ${c.done}.`).at(-1) ?? '';
  if (must('captures-says').textContent !== last) must('captures-says').textContent = last;
  const n = ticked().reduce((a, c) => a + c.ticked.size, 0);
  refill(
    must('captures-body'),
    h('p', { class: 'prose' }, 'Each file is kept as a step of its own: it can be taken back, and the plan does it again. Joints are matched for each by itself.'),
    h('ul', { class: 'captures' }, ...its.captures.map((c, i) => h('li', {},
      h('b', {}, c.source.name), c.why ? h('span', { class: 'no' }, ` ${titled(c.why)}`) : !c.file ? h('span', { class: 'soft' }, ' is read') : c.done && h('span', { class: 'soft' }, ` ${c.done}`),
      ...(c.file?.clips ?? []).map((x) => h('label', { class: 'check' }, h('input', { type: 'checkbox', 'data-focus': `capture-${i}-${x.named}`, checked: c.ticked.has(x.named), disabled: Boolean(its.carrying || c.done), change: (/** @type {Event} */ e) => {
        if (/** @type {HTMLInputElement} */ (e.target).checked) c.ticked.add(x.named);
        else c.ticked.delete(x.named);
        draw();
      } }), h('span', {}, x.name || `clip ${x.named}`, h('span', { class: 'soft' }, `, ${seconds(x.seconds - x.start)}`)))))),
    ),
    h('p', { class: 'row' },
      h('button', { class: 'btn lead', type: 'button', id: 'captures-do', 'data-focus': 'captures-do', disabled: Boolean(its.carrying) || n === 0, click: carryTicked }, its.carrying ? `${its.carrying}…` : `Carry over ${some(n, 'clip')}`),
      its.carrying === 'Carrying over' && h('button', { class: 'btn', type: 'button', 'data-focus': 'captures-stop', click: () => { its.carrying = 'Stopping'; stopMending(); } }, 'Stop')),
  );
}
