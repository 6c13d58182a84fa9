// What a link to this page says of what is shown: the part behind the #. It holds state, never the model.

/**
 * @typedef {object} Link
 * @property {string} [lesson] id
 * @property {number} [fault] number of a faulty sample
 * @property {boolean} [sample] the built-in figure as it is
 * @property {string} [view] the side it is seen from
 * @property {string} [lens]
 * @property {string} [joint] name
 * @property {string} [method]
 * @property {string} [clip] name
 * @property {number} [at] seconds
 * @property {{joint: string, axis: string, degrees: number}} [move]
 */

const WORDS = /** @type {const} */ (['lesson', 'view', 'lens', 'joint', 'method', 'clip']);

/** @param {string} hash with or without its # @returns {Link} what is not understood is left out */
export function readLink(hash) {
  const text = hash.replace(/^#/, '');
  if (text === 'sample') return { sample: true };
  const q = new URLSearchParams(text);
  /** @type {Link} */
  const out = {};
  for (const w of WORDS) {
    const v = q.get(w);
    if (v) out[w] = v;
  }
  const fault = Number(q.get('fault'));
  if (Number.isInteger(fault) && fault > 0) out.fault = fault;
  const at = Number(q.get('at'));
  if (q.get('at') && Number.isFinite(at)) out.at = at;
  const m = /^(.+):([a-z]+):(-?\d+(?:\.\d+)?)$/.exec(q.get('move') ?? '');
  if (m) out.move = { joint: m[1], axis: m[2], degrees: Number(m[3]) };
  return out;
}

/** The same, written. @param {Link} l @returns {string} without a #; empty: nothing to say */
export function writeLink(l) {
  if (l.sample) return 'sample';
  const q = new URLSearchParams();
  for (const w of WORDS) if (l[w]) q.set(w, String(l[w]));
  if (l.fault) q.set('fault', String(l.fault));
  if (l.at !== undefined) q.set('at', String(Math.round(l.at * 1000) / 1000));
  if (l.move) q.set('move', `${l.move.joint}:${l.move.axis}:${Math.round(l.move.degrees * 10) / 10}`);
  return q.toString();
}
