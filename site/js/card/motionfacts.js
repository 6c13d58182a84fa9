import { desk, on } from '../state/desk.js';
import { rooms } from '../state/rooms.js';
import { ask } from '../talk/ask.js';

// What the examiner tells of a clip joint by joint, and of one joint's curves: asked for once, kept while the figure lies on the desk.

/** @typedef {Wire.MotionRow} Row */
/** @typedef {Wire.MotionClipRows} Rows */
/** @typedef {Wire.MotionJointCurves} Curves */

/** Columns that a clip is cut into. */
export const COLUMNS = 120;

/** @type {Map<string, Rows|Curves>} */
const held = new Map();
const its = rooms.motionFacts;
on('carried', () => held.clear()); // another clip under the same number

/**
 * @template {'rows'|'curves'} K @param {string} key @param {K} kind @param {Wire.Questions[K]['ask']} data
 * @returns {Promise<Wire.Questions[K]['document']|null>}
 */
async function once(key, kind, data) {
  const of = desk.figure?.doc ?? null;
  if (its.of !== of) held.clear(); // another figure, or the same one read again or mended
  its.of = of;
  const known = held.get(key);
  if (known) return /** @type {Wire.Questions[K]['document']} */ (known);
  if (desk.phase !== 'done') return null; // the examiner answers one thing at a time
  const m = await ask(kind, data);
  if (!m) return null;
  if ((desk.figure?.doc ?? null) !== of) return once(key, kind, data); // what was asked of is gone
  if (held.size > 60) held.clear();
  const answer = JSON.parse(m.json);
  held.set(key, answer);
  return answer;
}

/** @param {number} clip @returns {Promise<Rows|null>} null: not yet, or the examiner is gone */
export const rowsOf = (clip) => once(`rows ${clip}`, 'rows', { clip, columns: COLUMNS });

/** @param {number} clip @param {number} node @returns {Promise<Curves|null>} */
export const curvesOf = (clip, node) => once(`curves ${clip} ${node}`, 'curves', { clip, joint: node });
