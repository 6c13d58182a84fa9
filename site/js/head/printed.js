import { must } from '../base/dom.js';
import { desk } from '../state/desk.js';
import { isNight } from '../state/habits.js';
import { guarded } from '../talk/stage.js';

/** While the page is printed every station is open and the figure stands as a picture among the sheets. */
export function mountPrint() {
  const canvas = /** @type {HTMLCanvasElement} */ (must('printed'));
  /** @type {HTMLDetailsElement[]} */
  let opened = [];
  addEventListener('beforeprint', () => {
    opened = [...must('ledger').querySelectorAll('details')].filter((d) => !d.open);
    for (const d of opened) d.open = true;
    canvas.hidden = desk.phase === 'first' || !draw(canvas);
  });
  addEventListener('afterprint', () => {
    for (const d of opened) d.open = false;
    canvas.hidden = true;
    canvas.width = canvas.height = 0;
  });
}

/** Takes what lies between the sheets out of the stage's picture. @param {HTMLCanvasElement} canvas */
function draw(canvas) {
  let drawn = false;
  guarded((s) => {
    const { w, h, rgba } = s.pixels();
    if (!w || !h) return;
    const ratio = w / desk.free.width;
    const [top, right, bottom, left] = desk.free.inset.map((n) => Math.round(n * ratio));
    canvas.width = Math.max(1, w - left - right);
    canvas.height = Math.max(1, h - top - bottom);
    const [x0, y0] = [left, top];
    canvas.getContext('2d')?.putImageData(new ImageData(new Uint8ClampedArray(rgba), w, h), -x0, -y0);
    canvas.classList.toggle('night', isNight());
    drawn = true;
  });
  return drawn;
}
