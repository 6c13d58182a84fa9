import { h, must } from '../base/dom.js';
import { refill } from '../base/redraw.js';
import { rooms } from '../state/rooms.js';

const its = rooms.mending;

// Every mend, in the order of the work: whatever was found, a person may try any.

/** What a person calls each stage of the order. @type {Record<string, string>} */
const STAGES = { scale: 'Scale', weld: 'Weld', even: 'Even', fit: 'Fit', bind: 'Bind', clean: 'Weights', 're-rest': 'Rest', hang: 'Hang on', part: 'Parts', motion: 'Motion', thin: 'Thin out' };

/** Opens the list. @param {(id: string) => void} start */
export function showAll(start) {
  const dialog = /** @type {HTMLDialogElement} */ (must('all-mends'));
  const stages = [...new Set(its.offers.map((o) => o.stage))];
  refill(
    must('all-mends-body'),
    ...stages.map((stage) => h('section', {},
      h('h3', {}, STAGES[stage] ?? stage),
      h('ul', {}, ...its.offers.filter((o) => o.stage === stage).map((o) => h('li', {},
        h('button', { class: 'btn', type: 'button', 'data-any': o.id, click: () => { dialog.close(); start(o.id); } }, o.title),
        h('span', { class: 'soft' }, `${o.does.split('. ')[0].replace(/[.;:]$/, '')}.`)))))),
  );
  if (!dialog.open) dialog.showModal();
}
