import { some } from '../base/words.js';
import { desk, tell } from '../state/desk.js';
import { rooms } from '../state/rooms.js';
import { besideFigure } from '../talk/mend.js';
import { ofPicker } from '../talk/files.js';
import { begun } from './slip.js';
import { startTrial } from './trial.js';

const its = rooms.mending;

// A part from another figure: the second file's surfaces, ticked, on trial.

/** @typedef {import('../talk/files.js').Source} Source */

/** Asks for a file to take a part from. @param {HTMLInputElement} picker */
export async function askPart(picker) {
  if (!desk.figure) return tell('say', 'Open a figure first; then a second file can give it a part.');
  if (desk.phase !== 'done') return tell('say', 'A second file can give the figure a part once it is examined.');
  const sources = await ofPicker(picker);
  if (sources.length > 0) await takePart(sources);
}

/** Reads the second file and puts the mend on trial: what it wears is ticked, or all that it is. @param {Source[]} sources */
export async function takePart(sources) {
  const offer = its.offers.find((o) => o.id === 'part');
  if (its.trial || its.busy || its.ended) return tell('say', 'A mend is on trial: keep or leave it first.');
  if (!offer) return tell('say', 'What can be mended is still being looked up. Try again in a moment.');
  const of = desk.figure;
  tell('say', 'Reading the second file.');
  const words = await begun();
  if (words) return tell('say', words);
  const file = await besideFigure(sources);
  if (desk.figure !== of) return;
  if (typeof file === 'string') return tell('say', file);
  if (file.surfaces.length === 0) return tell('say', `${file.name} holds no surface: there is no part to take.`);
  const worn = file.surfaces.filter((s) => s.worn);
  await startTrial(offer, null, {
    values: { from: { name: file.name, sha256: file.sha256 }, surfaces: (worn.length > 0 ? worn : file.surfaces).map((s) => s.name) },
    lists: { surfaces: file.surfaces.map((s) => ({ name: s.name, says: `${some(s.vertices, 'vertex', 'vertices')}, ${some(s.triangles, 'triangle')}${s.worn ? '' : s.body ? ', of the body' : ''}` })) },
  });
}
