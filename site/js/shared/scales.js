// The scales of drawings: where a value stands on an axis, and which lines it has.

/**
 * Where a count stands. Linear: share of a round top. Log: decades, 1 on the ground line, 0 below it.
 * @param {number} most largest count @param {'log'|'linear'} axis
 * @returns {{at: (v: number) => number, lines: number[]}} at: 0 ground to 1 top
 */
export function heights(most, axis) {
  if (axis === 'log') {
    const top = Math.max(1, Math.log10(Math.max(most, 1)) * 1.04);
    const lines = [];
    for (let d = 0; 10 ** d <= Math.max(most, 10); d++) lines.push(10 ** d);
    for (const m of [5, 2])
      if (10 ** Math.floor(top) * m <= most) {
        lines.push(10 ** Math.floor(top) * m);
        break;
      }
    return { at: (v) => Math.max(0, Math.log10(Math.max(v, 1e-9)) / top), lines };
  }
  const step = niceStep(most / 3);
  const lines = [];
  for (let v = 0; v <= most * 1.001 || lines.length < 2; v += step) lines.push(v);
  return { at: (v) => v / Math.max(most * 1.06, step), lines };
}

/** The next of 1, 2, 5, 10 … at or above x. @param {number} x */
export function niceStep(x) {
  if (!(x > 0)) return 1;
  const e = 10 ** Math.floor(Math.log10(x));
  return e * (x <= e * 1.0001 ? 1 : x <= 2 * e ? 2 : x <= 5 * e ? 5 : 10);
}
