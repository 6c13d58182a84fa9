import { h, must } from '../base/dom.js';
import { refill } from '../base/redraw.js';
import { desk, on, ranked, choose } from '../state/desk.js';
import { rooms } from '../state/rooms.js';
import { sample } from '../talk/examine.js';

const its = rooms.tour;

// Four steps through a figure that was examined. It comes when it is asked for, and at no other time.

/** @typedef {{title: string, says: string, at: string, tab: string, high?: boolean, before?: () => void}} Step at: what it speaks of; tab: the sheet on a narrow window; high: that stands low, so the tour stands above it */

/** @type {Step[]} */
const STEPS = [
  { title: 'The answer first', says: 'One sentence says what the figure is and what stands in its way. Under it stand the findings that matter most: press one.', at: '#ledger .verdict', tab: 'ledger' },
  { title: 'Where it is', says: 'Pointers lead from the findings to their places. Drag to turn the figure, roll or pinch to come nearer; a click on a joint or a place tells all there is about it.', at: '#view', tab: 'ledger' },
  { title: 'What, how much, why', says: 'The card of a finding holds its measure against its limit, the reason, what to do, and Try the mend where there is one: nothing is kept until you say so.', at: '#card', tab: 'card', before: () => { const f = ranked()[0]; if (f) choose({ kind: 'finding', number: f.number }, { turn: true }); } },
  { title: 'What the colours say', says: 'A lens colours the surface by one thing and writes it out beside its scale. Under it clips run and joints bend, so that you see what the numbers mean.', at: '#lens', tab: 'time', high: true },
];

export const tourIsOpen = () => its.step >= 0;

/** Begins, on the figure that is open or on the sample. */
export async function startTour() {
  if (desk.phase === 'first') await sample();
  if (desk.figure) go(0);
}

/** @param {number} step */
function go(step) {
  its.step = step;
  const s = STEPS[step];
  s.before?.();
  document.body.dataset.tab = s.tab;
  frame(s.at);
  const last = step === STEPS.length - 1;
  must('tour').hidden = false;
  must('tour').classList.toggle('high', s.high ?? false);
  refill(
    must('tour'),
    h('p', { class: 'soft' }, `${step + 1} of ${STEPS.length}`),
    h('h2', { id: 'h-tour', tabindex: '-1' }, s.title),
    h('p', { class: 'prose' }, s.says),
    h('p', { class: 'row' },
      h('button', { class: 'text quiet', type: 'button', 'data-focus': 'tour-leave', id: 'tour-leave', 'data-key': 'Esc', click: leaveTour }, 'Leave the tour'),
      h('span', {},
        step > 0 && h('button', { class: 'btn', type: 'button', 'data-focus': 'tour-back', id: 'tour-back', click: () => go(step - 1) }, 'Back'), ' ',
        h('button', { class: 'btn lead', type: 'button', 'data-focus': 'tour-on', id: 'tour-on', click: () => (last ? leaveTour() : go(step + 1)) }, last ? 'Done' : 'Next'))),
  );
  document.querySelector(s.at)?.scrollIntoView({ block: 'start', behavior: 'instant' }); // a sheet may be rolled on
  must('h-tour').focus({ preventScroll: true });
}

/** @param {string} at a selector; empty: nothing is framed */
function frame(at) {
  for (const e of document.querySelectorAll('.toured')) e.classList.remove('toured');
  if (at) document.querySelector(at)?.classList.add('toured');
}

export function leaveTour() {
  if (its.step < 0) return;
  its.step = -1;
  frame('');
  must('tour').hidden = true;
  must('tour').replaceChildren();
  must('pad').focus({ preventScroll: true });
}

export function mountTour() {
  on('begin', leaveTour);
  on('lineup', leaveTour);
  on('figure', () => { if (its.step >= 0) requestAnimationFrame(() => frame(STEPS[its.step]?.at ?? '')); }); // what it framed may be written anew
}
