import { h, must } from '../base/dom.js';
import { desk, tell } from '../state/desk.js';
import { newer } from '../talk/examine.js';
import { ending, ofPicker, sort } from '../talk/files.js';

/** @typedef {import('../talk/files.js').Source} Source */

/** A figure lies on the desk, and another file is dropped: what is it for? @param {Source[]} sources @param {{open: () => void, beside: () => void, part: () => void}} acts beside: in the line-up @returns {boolean} false: nothing to ask */
export function offer(sources, acts) {
  const { figure } = sort(sources);
  if (!figure || !desk.figure || desk.phase !== 'done') return false;
  const dialog = /** @type {HTMLDialogElement} */ (must('offer'));
  const name = desk.figure.file.name, again = newer(figure.name);
  const take = (/** @type {() => void} */ then) => () => { dialog.close(); then(); };
  must('offer-body').replaceChildren(
    h('p', { class: 'prose' }, h('b', {}, figure.name), ...(again ? [' was dropped, and a file of that name is open. Read as the newer one, the ledger says what changed.'] : [' was dropped while ', h('b', {}, name), ' is open.'])),
    h('p', { class: 'row' },
      h('button', { class: 'btn lead', type: 'button', 'data-offer': 'open', click: take(acts.open) }, again ? 'Read it as the newer one' : 'Open it instead'),
      h('button', { class: 'btn', type: 'button', 'data-offer': 'motion', click: take(() => tell('motion', sources)) }, `Use it as motion for ${name}`),
      ending(figure.name) !== 'bvh' && h('button', { class: 'btn', type: 'button', 'data-offer': 'part', click: take(acts.part) }, 'Take a part from it'),
      ending(figure.name) !== 'bvh' && h('button', { class: 'btn', type: 'button', 'data-offer': 'beside', click: take(acts.beside) }, 'Set them side by side')),
    h('p', { class: 'soft' }, 'As motion: its clips move the open figure, joint by joint. Which joint moves which is shown first, and can be put right. A part: its surfaces, ticked, are laid on the open figure by joints of like role, on trial.'),
  );
  if (!dialog.open) dialog.showModal();
  /** @type {HTMLElement|null} */ (dialog.querySelector('[data-offer="open"]'))?.focus();
  return true;
}

/** Asks for a file whose clips are to move the open figure. @param {HTMLInputElement} picker */
export async function askMotion(picker) {
  if (!desk.figure) return tell('say', 'Open a figure first; then a second file can move it.');
  if (desk.phase !== 'done') return tell('say', 'A second file can move the figure once it is examined.');
  const sources = await ofPicker(picker);
  if (sources.length > 0) tell('motion', sources);
}
