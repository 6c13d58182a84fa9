import { h, must } from '../base/dom.js';
import { refill } from '../base/redraw.js';
import { desk, tell } from '../state/desk.js';
import { rooms } from '../state/rooms.js';
import { handOver } from '../talk/mend.js';
import { saveAs, today } from '../shared/save.js';
import { bytes, some } from '../base/words.js';
import { signature } from './slip.js';
import { titleOf } from './receipt.js';

const its = rooms.mending;

// Hand over: the mended figure, the plan that made it, the proof.

/** @type {{what: 'figure'|'plan'|'proof', type: string}[]} */
const PARTS = [
  { what: 'figure', type: 'model/gltf-binary' },
  { what: 'plan', type: 'application/json' },
  { what: 'proof', type: 'text/html' },
];

/** Opens the sheet with what would be written. */
export function askHandOver() {
  const s = its.sheet;
  if (!s || s.kept === 0 || its.busy) return;
  const open = (desk.figure?.findings ?? []).filter((f) => (f.grade === 'stop' || f.grade === 'flaw') && !f.cause);
  const unseen = (desk.figure?.doc.checks ?? []).filter((c) => c.state === 'not-looked-at').length;
  const says = { figure: [s.name, bytes(s.bytes)], plan: ['Plan', some(s.kept, 'step')], proof: ['Proof sheet', 'a page to print and sign'] };
  refill(
    must('hand-over-body'),
    h('p', { class: 'prose' }, 'The file you opened is untouched. A new one is written, with the plan that made it and the proof.'),
    h('p', { class: 'told' }, h('b', {}, s.says)),
    h(
      'table',
      { class: 'receipt' },
      h('caption', { class: 'vh' }, 'What is written'),
      h(
        'tbody',
        {},
        ...PARTS.map(({ what }) => h('tr', {}, h('th', { scope: 'row' }, h('label', { class: 'check' }, h('input', { type: 'checkbox', checked: true, name: 'hand', value: what }), says[what][0])), h('td', {}, says[what][1]))),
        h('tr', {}, h('th', { scope: 'row' }, 'stays as it is'), h('td', {}, s.stays)),
        h('tr', {}, h('th', { scope: 'row' }, 'insisted on'), h('td', {}, s.change.accepted.length > 0 ? s.change.accepted.map(titleOf).join('; ') : 'nothing')),
        h('tr', {}, h('th', { scope: 'row' }, 'still open'), h('td', {}, open.length > 0 ? [...new Set(open.map((f) => f.title))].join('; ') : 'no stop and no flaw')),
        h('tr', {}, h('th', { scope: 'row' }, 'not looked at'), h('td', {}, some(unseen, 'check'))),
      ),
    ),
    h('p', { class: 'told', id: 'hand-over-says', role: 'status' }),
  );
  /** @type {HTMLDialogElement} */ (must('hand-over')).showModal();
}

/** Saves what is ticked, one file after the other. */
async function save() {
  const ticked = /** @type {HTMLInputElement[]} */ ([...document.querySelectorAll('#hand-over input[name="hand"]:checked')]).map((i) => i.value);
  const said = [];
  const button = /** @type {HTMLButtonElement} */ (must('hand-over-save'));
  must('hand-over-says').textContent = ticked.includes('proof') ? 'Drawing the proof sheet.' : '';
  button.disabled = true;
  for (const { what, type } of PARTS.filter((p) => ticked.includes(p.what))) {
    const m = await handOver(what, today());
    if (typeof m === 'string') {
      must('hand-over-says').textContent = m;
      button.disabled = false;
      return;
    }
    if (said.length > 0) await new Promise((on) => setTimeout(on, 150)); // a browser takes one after the other
    saveAs(m.bytes, m.name, type, `${m.name} is saved.`);
    said.push(m.name);
    if (what === 'figure') its.handed = signature();
  }
  button.disabled = false;
  must('hand-over-says').textContent = said.length > 0 ? `Saved: ${said.join(', ')}.` : 'Nothing is ticked.';
  if (said.length > 0) tell('say', its.sheet?.says ?? '');
}

export function mountHandOver() {
  must('hand-over-save').addEventListener('click', save);
}
