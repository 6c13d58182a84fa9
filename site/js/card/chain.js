import { draw, sheet } from '../base/dom.js';
import { cut, metres } from '../base/words.js';
import { choose } from '../state/desk.js';
import { chainOf } from '../shared/tree.js';

/** @typedef {import('../state/types.js').Joint} Joint */

/** Metres between two joints, from their places. @param {Joint} a @param {Joint} b */
function apart(a, b) {
  if (!a.position || !b.position) return null;
  const [p, q] = [a.position, b.position];
  return Math.hypot(q[0] - p[0], q[1] - p[1], q[2] - p[2]);
}

/** Drawn as the stage draws joints and bones; a click chooses. @param {Joint} joint @param {Map<number, Joint>} by */
export function chain(joint, by) {
  const joints = chainOf(joint, by);
  const lengths = joints.slice(1).map((j, i) => apart(joints[i], j));
  const s = sheet(
    'chain',
    324,
    52,
    `Chain: ${joints.map((j, i) => (i < lengths.length ? `${j.name}${lengths[i] === null ? '' : ` ${metres(lengths[i])}`}` : j.name)).join(', ')}`,
  );
  if (joints.length === 1) {
    draw(s, 'circle', { class: 'ln heavy fbr', cx: 12, cy: 22.5, r: 6.5 });
    draw(s, 'text', { class: 'k', x: 26, y: 26 }, 'stands alone: no joint above or below');
    return s;
  }
  const total = lengths.reduce((/** @type {number} */ a, l) => a + Math.max(l ?? 0, 1e-9), 0);
  const xs = [12];
  lengths.forEach((l) => xs.push(xs[xs.length - 1] + (0.45 * 296 * Math.max(l ?? 0, 1e-9)) / total + (0.55 * 296) / lengths.length));
  joints.slice(1).forEach((_, i) => {
    const chosen = joints[i] === joint;
    const a = xs[i] + (chosen ? 8 : 6),
      b = xs[i + 1] - (joints[i + 1] === joint ? 8 : 6),
      m = a + (b - a) * 0.4;
    draw(s, 'path', { class: `ln${chosen ? ' heavy' : ''}`, d: `M${a} 22.5H${b}M${m} 22.5v6` });
    const l = lengths[i];
    if (l !== null) draw(s, 'text', { class: 'm', x: (a + b) / 2, y: 13 }, metres(l));
  });
  const room = Math.floor(324 / joints.length / 5.8);
  joints.forEach((j, i) => {
    const chosen = j === joint;
    const g = draw(s, 'g', { 'data-node': j.node });
    draw(g, 'circle', { class: 'hit', cx: xs[i], cy: 22.5, r: 13 });
    draw(g, 'circle', { class: chosen ? 'ln heavy fbr' : 'ln fsh', cx: xs[i], cy: 22.5, r: chosen ? 6.5 : 4.5 });
    const last = i === joints.length - 1;
    draw(
      g,
      'text',
      { class: `${chosen ? 'k ' : ''}${i === 0 ? '' : last ? 'e' : 'm'}`, x: i === 0 ? 4 : last ? 322 : xs[i], y: 46 },
      cut(j.name, Math.max(room, 7)),
    );
    g.addEventListener('click', () => choose({ kind: 'joint', node: j.node }));
  });
  return s;
}
