import { desk, on } from '../state/desk.js';
import { ask } from '../talk/examine.js';

// What the examiner tells of a clip joint by joint, and of one joint's curves: asked for once, kept while the figure lies on the desk.

/** @typedef {{node: number, name: string, depth: number, state: string, follows: boolean, keys: number, degrees: number, metres: number, keyed: number[], degrees_per_second: number[], metres_per_second: number[]}} Row */
/** @typedef {{clip: number, name: string, start_seconds: number, seconds: number, columns: number, joints: Row[]}} Rows */
/** @typedef {{clip: number, node: number, name: string, start_seconds: number, seconds: number, times: number[], x_degrees: number[], y_degrees: number[], z_degrees: number[], degrees: number[], degrees_per_second: number[], x_m: number[], y_m: number[], z_m: number[], channels: {path: string, interpolation: string, keys: number[]}[]}} Curves */

/** Columns that a clip is cut into. */
export const COLUMNS = 120;

/** @type {Map<string, any>} */
const held = new Map();
on('phase', () => {
  if (desk.phase === 'examining') held.clear(); // another file, or the same one read again
});

on('carried', () => held.clear()); // another clip under the same number

/** @param {string} key @param {string} kind @param {any} data */
async function once(key, kind, data) {
  const known = held.get(key);
  if (known) return known;
  if (desk.phase !== 'done') return null; // the examiner answers one thing at a time
  const m = await ask(kind, data);
  if (!m) return null;
  if (held.size > 60) held.clear();
  const answer = JSON.parse(m.json);
  held.set(key, answer);
  return answer;
}

/** @param {number} clip @returns {Promise<Rows|null>} null: not yet, or the examiner is gone */
export const rowsOf = (clip) => once(`rows ${clip}`, 'rows', { clip, columns: COLUMNS });

/** @param {number} clip @param {number} node @returns {Promise<Curves|null>} */
export const curvesOf = (clip, node) => once(`curves ${clip} ${node}`, 'curves', { clip, joint: node });
