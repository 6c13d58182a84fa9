import { startExaminer } from './examiner.js';
import { kept } from './keep.js';
import { giveTexture } from './stagestart.js';
import { work } from '../state/work.js';

const its = work.painting;

/** @typedef {{name: string, bytes: ArrayBuffer}} Encoded name: the place of the image in the file */

/** Another figure comes: the pictures of the one before are not wanted any more. */
export function stopPainting() {
  its.round++;
  its.painter?.end();
  its.painter = null;
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
  const mine = its.round;
  const hear = (/** @type {import('../state/types.js').Message} */ m) => {
    if (mine !== its.round || m.kind !== 'texture' || !m.bytes) return;
    const bytes = new Uint8Array(m.bytes);
    kept.textures.push(bytes);
    giveTexture(bytes);
  };
  const worker = await startExaminer({ keeps: false, onMessage: hear }).catch(() => null); // without it the figure stays plain
  if (!worker) return;
  if (mine !== its.round) return worker.end();
  its.painter = worker;
  await worker.ask('paint', { files }, files.map((f) => f.bytes));
  worker.end();
  if (mine === its.round) its.painter = null;
}
