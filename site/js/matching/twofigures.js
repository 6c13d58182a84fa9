import { draw, sheet } from '../base/dom.js';

/** @typedef {Wire.Stand} Stand */

const W = 260, H = 330, AIR = 16;

/**
 * A skeleton seen from before: ring, stem, sides as everywhere; a joint that has a pair is filled.
 * @param {Stand[]} joints @param {string} label @param {(node: number) => void} picked
 * @returns {{drawing: SVGSVGElement, mark: (paired: Set<number>, chosen: Set<number>) => void}}
 */
export function figureOf(joints, label, picked) {
  const svg = sheet('skeleton', W, H, label);
  const xs = joints.map((j) => j.at[0]), ys = joints.map((j) => j.at[1]);
  const low = (/** @type {number[]} */ v) => v.reduce((a, b) => Math.min(a, b), Infinity), high = (/** @type {number[]} */ v) => v.reduce((a, b) => Math.max(a, b), -Infinity);
  const wide = Math.max(high(xs) - low(xs), 1e-6), tall = Math.max(high(ys) - low(ys), 1e-6);
  const k = Math.min((W - 2 * AIR) / wide, (H - 2 * AIR) / tall);
  // From before, the figure's left is on the right of the picture.
  const spot = (/** @type {Stand} */ j) => [W / 2 + (j.at[0] - (low(xs) + high(xs)) / 2) * k, H / 2 - (j.at[1] - (low(ys) + high(ys)) / 2) * k];
  const by = new Map(joints.map((j) => [j.node, j]));
  for (const j of joints) {
    const up = j.parent === null ? undefined : by.get(j.parent);
    if (!up) continue;
    const [x1, y1] = spot(up), [x2, y2] = spot(j);
    draw(svg, 'line', { class: `stem ${j.side}`, x1, y1, x2, y2 });
  }
  /** @type {Map<number, SVGElement>} */
  const rings = new Map();
  for (const j of joints) {
    const [cx, cy] = spot(j);
    const ring = draw(svg, 'circle', { class: `ring ${j.side}`, cx, cy, r: 3.2 });
    rings.set(j.node, ring);
  }
  const nearest = (/** @type {MouseEvent} */ e) => {
    const box = svg.getBoundingClientRect();
    const s = Math.min(box.width / W, box.height / H) || 1;
    const x = (e.clientX - box.left - (box.width - W * s) / 2) / s, y = (e.clientY - box.top - (box.height - H * s) / 2) / s;
    /** @type {Stand|null} */
    let best = null;
    let far = 14;
    for (const j of joints) {
      const [jx, jy] = spot(j), d = Math.hypot(x - jx, y - jy);
      if (d <= far) [best, far] = [j, d]; // of several in one place the last, which moves the least
    }
    return best;
  };
  const name = draw(svg, 'text', { class: 'called', x: W / 2, y: H - 3 }, '');
  svg.addEventListener('pointermove', (e) => { name.textContent = nearest(e)?.name ?? ''; });
  svg.addEventListener('pointerleave', () => { name.textContent = ''; });
  svg.addEventListener('click', (e) => { const j = nearest(e); if (j) picked(j.node); });
  return {
    drawing: svg,
    mark: (paired, chosen) => {
      for (const [n, ring] of rings) {
        ring.classList.toggle('paired', paired.has(n));
        ring.classList.toggle('chosen', chosen.has(n));
        ring.setAttribute('r', chosen.has(n) ? '5.5' : '3.2');
      }
    },
  };
}
