/** @typedef {import('../card/motionfacts.js').Row} Row */

/** The ramp's step for a speed: none below a hundredth of a degree a second, then each step is twice the one before. @param {number} v degrees a second */
export const stepOf = (v) => (v <= 0.01 ? 0 : Math.max(1, Math.min(10, Math.ceil(Math.log2(v / 15)) + 2)));

/** Rows in the order asked for. @param {Row[]} rows @param {string} order tree, still or turn */
export function sorted(rows, order) {
  const rank = (/** @type {Row} */ r) => (r.state === 'moves' ? 3 : r.state === 'held' ? 2 : r.follows ? 0 : 1);
  if (order === 'still') return rows.toSorted((a, b) => rank(a) - rank(b));
  if (order === 'turn') return rows.toSorted((a, b) => b.degrees - a.degrees);
  return rows;
}
