import { h } from '../base/dom.js';
import { desk, tell } from '../state/desk.js';
import { guarded } from '../talk/stage.js';
import { saveAs } from './save.js';

/** Takes what lies between the sheets out of the stage's picture. @param {HTMLCanvasElement} canvas @returns {boolean} false: there is none */
export function drawStage(canvas) {
  let drawn = false;
  guarded((s) => {
    const { w, h, rgba } = s.pixels();
    if (!w || !h) return;
    const ratio = w / desk.free.width;
    const [top, right, bottom, left] = desk.free.inset.map((n) => Math.round(n * ratio));
    canvas.width = Math.max(1, w - left - right);
    canvas.height = Math.max(1, h - top - bottom);
    canvas.getContext('2d')?.putImageData(new ImageData(new Uint8ClampedArray(rgba), w, h), -left, -top);
    drawn = true;
  });
  return drawn;
}

/** Saves the picture of the stage as it is shown. */
export function savePicture() {
  const canvas = h('canvas');
  if (desk.phase === 'first' || !drawStage(canvas)) return tell('say', 'There is no picture to save.');
  canvas.toBlob((png) => {
    const name = `${(desk.figure?.file.name ?? 'figure').replace(/\.[^.]*$/, '')}.png`;
    if (png) saveAs(png, name, 'image/png', `${name} is saved.`);
  });
}
