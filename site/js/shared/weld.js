import { draw, h, sheet } from '../base/dom.js';
import { desk, on, show } from '../state/desk.js';
import { count, metres, some } from '../base/words.js';

// The weld curve: how many places are left when vertices nearer than a distance become one, and what that costs.

/** @typedef {{metres: number, left: number[], edges: number, triangles: number, shift: number, open?: number, suggested: boolean}} Stop left: places, one number or least and most; open: edges that are left open */

/**
 * What the slider stops at: the steps of the curve that were measured, and the suggested distance between two of them.
 * @param {Wire.SurfaceFacts|undefined} facts of the station Surface @returns {Stop[]}
 */
export function weldStops(facts) {
  const steps = facts?.weld_steps ?? [];
  /** @type {Stop[]} */
  const out = steps
    .filter((s) => s.metres > 0)
    .map((s) => ({ metres: s.metres, left: [s.distinct], edges: s.edges_lost, triangles: s.triangles_lost, shift: s.largest_shift, suggested: false }));
  const best = facts?.suggested_weld;
  if (!facts || typeof best !== 'number' || !(best > 0) || out.length === 0) return out;
  const same = out.find((s) => s.metres === best);
  if (same) same.suggested = true;
  else {
    const at = out.filter((s) => s.metres < best).length;
    const below = out[at - 1]?.left[0] ?? steps[0].distinct,
      above = out[at]?.left[0] ?? below;
    const own = facts.suggested_step; // measured at that very distance
    if (own) out.splice(at, 0, { metres: best, left: [own.distinct], edges: own.edges_lost, triangles: own.triangles_lost, shift: own.largest_shift, open: own.open_edges_left, suggested: true });
    else out.splice(at, 0, { metres: best, left: below === above ? [below] : [above, below], edges: 0, triangles: 0, shift: 0, suggested: true });
  }
  return out;
}

/** What a stop does, in words. @param {Stop} s @param {number} all places that are there now */
export function weldWords(s, all) {
  const head = `${s.suggested ? 'Suggested, ' : 'At '}${metres(s.metres)}: `;
  if (s.left.length === 1 && s.left[0] === all) return `${head}no place is that near another. Nothing is lost, nothing moves.`;
  const left = s.left.map(count).join(' to ');
  const lost = s.edges === 0 ? 'No edge is lost' : `${some(s.edges, 'edge')} and ${some(s.triangles, 'triangle')} are lost`;
  const open = s.open === undefined ? '' : s.open === 0 ? ' No edge stays open.' : ` ${some(s.open, 'edge')} ${s.open === 1 ? 'stays' : 'stay'} open.`;
  return `${head}${left} of ${count(all)} places are left. ${lost}; a vertex moves by ${metres(s.shift)} at most.${open}`;
}

/** Which stop is meant: the one of the distance that was chosen, else the suggested one, else the first. @param {Stop[]} stops @param {number} chosen */
export function stopAt(stops, chosen) {
  const i = stops.findIndex((s) => s.metres === chosen);
  return i >= 0 ? i : Math.max(0, stops.findIndex((s) => s.suggested));
}

/** The distance that slider and lens both stand for, in metres; 0: this file has no curve. */
export function weldNow() {
  const stops = weldStops(desk.figure?.doc.facts_of.surface);
  return stops.length > 0 ? stops[stopAt(stops, desk.weld)].metres : 0;
}

const W = 324,
  X0 = 10,
  X1 = 314,
  Y0 = 18,
  Y1 = 58;

/** The curve with its slider; null: this file has none. @param {string} id tells two on one page apart */
export function weldCurve(id) {
  const facts = desk.figure?.doc.facts_of.surface;
  const stops = weldStops(facts);
  if (stops.length === 0 || !facts?.weld_steps) return null;
  const all = facts.weld_steps[0].distinct;
  const least = Math.min(...stops.flatMap((s) => s.left));
  const x = (/** @type {number} */ i) => X0 + ((X1 - X0) * i) / Math.max(1, stops.length - 1);
  const y = (/** @type {number} */ n) => Y1 - (least < all ? (n - least) / (all - least) : 1) * (Y1 - Y0);
  const middle = (/** @type {Stop} */ s) => s.left.reduce((a, b) => a + b) / s.left.length;

  const s = sheet('weld-curve', W, 82);
  draw(s, 'path', { class: 'ln', d: `M${X0} ${Y1 + 0.5}H${X1}` });
  draw(s, 'path', { class: 'rl dot', d: `M${X0} ${Y0 - 0.5}H${X1}` });
  stops.forEach((p, i) => {
    draw(s, 'path', { class: 'ln', d: `M${x(i)} ${Y1}v4` });
    if (p.suggested) {
      draw(s, 'path', { class: 'sbr', d: `M${x(i)} ${Y0 - 6}V${Y1}` });
      draw(s, 'text', { class: i > stops.length * 0.7 ? 'e' : 'm', x: Math.max(26, x(i)), y: 9 }, 'suggested');
    }
  });
  draw(s, 'path', { class: 'ln heavy', d: `M${stops.map((p, i) => `${x(i)} ${y(middle(p))}`).join('L')}` });
  for (const [i, cls] of /** @type {[number, string][]} */ ([[0, ''], [stops.length - 1, 'e']]))
    draw(s, 'text', { class: cls, x: i === 0 ? X0 - 8 : X1 + 8, y: Y1 + 20 }, metres(stops[i].metres));
  const here = draw(s, 'text', { class: 'k m', y: Y1 + 20 });
  const bob = draw(s, 'g', {});
  const stem = draw(bob, 'path', { class: 'ln' });
  const ring = draw(bob, 'circle', { class: 'fsh ln heavy', r: 5 });

  const says = h('p', { class: 'weld-says' });
  const range = h('input', {
    type: 'range',
    min: '0',
    max: String(stops.length - 1),
    step: '1',
    'aria-label': 'Weld distance',
    'data-focus': `weld-${id}`,
    'data-tip': 'Shows on the figure which vertices lose an edge at this distance',
    input: (/** @type {Event} */ e) => {
      const at = stops[Number(/** @type {HTMLInputElement} */ (e.target).value)];
      show({ weld: at.metres, lens: 'detail-at-risk', byHand: true });
    },
  });
  const sync = () => {
    const i = stopAt(stops, desk.weld),
      p = stops[i],
      words = weldWords(p, all);
    range.value = String(i);
    range.setAttribute('aria-valuetext', words);
    says.textContent = words;
    ring.setAttribute('cx', String(x(i)));
    ring.setAttribute('cy', String(y(middle(p))));
    stem.setAttribute('d', `M${x(i)} ${Y0}V${Y1 + 8}`);
    here.setAttribute('x', String(Math.min(X1 - 74, Math.max(X0 + 74, x(i)))));
    here.textContent = i > 0 && i < stops.length - 1 ? metres(p.metres) : '';
  };
  const box = h('div', { class: 'weld' }, h('div', { class: 'weld-pull' }, s, range), says);
  sync();
  box.addEventListener('weld', sync);
  live.add(box);
  return box;
}

/** The curves on the page; those that were taken off it are forgotten. @type {Set<HTMLElement>} */
const live = new Set();

export function mountWeld() {
  on('show', () => {
    for (const box of live) {
      if (box.isConnected) box.dispatchEvent(new Event('weld'));
      else live.delete(box);
    }
  });
  on('fresh', () => {
    desk.weld = 0;
  });
}
