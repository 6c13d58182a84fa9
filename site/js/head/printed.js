import { must } from '../base/dom.js';
import { desk } from '../state/desk.js';
import { isNight } from '../state/habits.js';
import { drawStage } from '../shared/stagepicture.js';

/** While the page is printed every station is open and the figure stands as a picture among the sheets. */
export function mountPrint() {
  const canvas = /** @type {HTMLCanvasElement} */ (must('printed'));
  /** @type {HTMLDetailsElement[]} */
  let opened = [];
  addEventListener('beforeprint', () => {
    opened = [...must('ledger').querySelectorAll('details')].filter((d) => !d.open);
    for (const d of opened) d.open = true;
    canvas.hidden = desk.phase === 'first' || !drawStage(canvas);
    canvas.classList.toggle('night', isNight());
  });
  addEventListener('afterprint', () => {
    for (const d of opened) d.open = false;
    canvas.hidden = true;
    canvas.width = canvas.height = 0;
  });
}
