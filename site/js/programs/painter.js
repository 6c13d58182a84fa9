import { startExaminer } from './examiner.js';
import { kept } from './keep.js';
import { giveTexture } from './stagestart.js';

/** @typedef {{name: string, bytes: ArrayBuffer}} Encoded name: the place of the image in the file */

/** @type {import('./examiner.js').Examiner|null} */
let painter = null;
let round = 0;

/** Another figure comes: the pictures of the one before are not wanted any more. */
export function stopPainting() {
  round++;
  painter?.end();
  painter = null;
  kept.textures = [];
}

/**
 * Decodes a figure's pictures in a worker of its own, beside the examination, and hands each to the stage. Its memory,
 * which large pictures take much of, is given back when it ends.
 * @param {Encoded[]} files
 */
export async function paintPictures(files) {
  stopPainting();
  if (files.length === 0) return;
  const mine = round;
  const hear = (/** @type {import('../state/types.js').Message} */ m) => {
    if (mine !== round || m.kind !== 'texture' || !m.bytes) return;
    const bytes = new Uint8Array(m.bytes);
    kept.textures.push(bytes);
    giveTexture(bytes);
  };
  const worker = await startExaminer({ keeps: false, onMessage: hear }).catch(() => null); // without it the figure stays plain
  if (!worker) return;
  if (mine !== round) return worker.end();
  painter = worker;
  await worker.ask('paint', { files }, files.map((f) => f.bytes));
  worker.end();
  if (mine === round) painter = null;
}
