import { draw, h, mark, sheet } from '../base/dom.js';
import { desk, on, tell } from '../state/desk.js';
import { savedCarry, wordsOf } from '../talk/ask.js';
import { saveAs } from '../shared/save.js';
import { fixed, percent, seconds, some } from '../base/words.js';
import { rooms } from '../state/rooms.js';

const its = rooms.carried;

/** @typedef {import('./twofigures.js').Stand} Stand */
/** @typedef {Wire.CarryReport} Report */

/** @param {NonNullable<typeof rooms.carried.now>} what again: opens the pairs once more */
export function setCarried(what) {
  its.now = what;
}

on('time', () => its.follow());
on('show', () => its.follow());
on('phase', () => {
  if (desk.phase === 'examining') its.now = null;
});

/** What a clip's card says of a clip that was carried over; nothing of others. @param {import('../state/types.js').Clip} c @returns {Node[]} */
export function carriedPart(c) {
  its.follow = () => {};
  const r = c.facts.carried;
  const places = its.now?.places.get(c.name);
  if (!r || !its.now || !places) return [];
  const { source, count, again, beside } = its.now;
  const picture = sheet('stick', 300, 190, `The joints of ${source}, in step with the figure`);
  its.follow = stick(picture, its.now.stands, places, c.clip);
  its.follow();
  return [
    h('section', { class: 'carried' },
      h('h3', {}, 'Carried over'),
      h('p', { class: 'told' }, `${r.source_name || 'A clip'} of ${source}, as its own joints move:`),
      picture,
      h('p', { class: 'acts2 row' },
        desk.figure?.file.kind !== 'bvh' && h('button', { class: 'btn lead', type: 'button', 'data-focus': 'carry-keep', id: 'carry-keep', 'data-tip': 'On trial as a step of the mending slip: what comes after can move on it', click: () => its.now?.keep() }, 'Keep as a step'),
        h('button', { class: 'btn', type: 'button', 'data-focus': 'carry-glb', id: 'carry-glb', 'data-tip': 'The figure’s own file with the new clip behind its own', click: () => save('glb') }, 'Save as GLB'),
        count === 1 && h('button', { class: 'btn', type: 'button', 'data-focus': 'carry-bvh', id: 'carry-bvh', 'data-tip': 'The joints and the new clip', click: () => save('bvh') }, 'Save as BVH'),
        h('button', { class: 'btn', type: 'button', 'data-focus': 'carry-beside', id: 'carry-beside', 'data-tip': 'Both figures on the stage, by one camera and in step', click: beside }, 'Side by side'),
        h('button', { class: 'btn', type: 'button', 'data-focus': 'carry-pairs', click: again }, 'The pairs…')),
      h('p', { class: 'carried-said' }, r.said),
      h('ul', { class: 'carried-says', id: 'carried-marked' }, ...reportRows(r, true)),
      h('details', { class: 'carried-rest' },
        h('summary', { 'data-focus': 'carried-rest' }, 'All of the report'),
        limbs(r),
        feet(r),
        h('ul', { class: 'carried-says' }, ...reportRows(r, false), h('li', {}, some(r.frames, 'keyframe'))))),
  ];
}

/** @param {string} format */
async function save(format) {
  try {
    const m = await savedCarry(format);
    if (m?.kind === 'saved') saveAs(m.bytes, m.name, format === 'bvh' ? 'text/plain' : 'model/gltf-binary', `${m.name} is saved.`);
    else if (m) tell('say', wordsOf(m));
  } catch {
    tell('say', 'The browser no longer lets the figure’s file be read. Open it again.');
  }
}

/** @param {Report} r */
function limbs(r) {
  return h('table', { class: 'pairs wide' }, h('caption', { class: 'vh' }, 'How far the bones point away from the source’s'),
    h('thead', {}, h('tr', {}, h('th', { scope: 'col' }, 'off by'), h('th', { scope: 'col' }, 'mean'), h('th', { scope: 'col' }, 'at most'))),
    h('tbody', {}, ...r.limbs.map((l) => h('tr', { 'data-limb': l.name, 'data-tip': `${some(l.bones, 'bone')}; worst ${l.worst.name || `node ${l.worst.node}`} at ${seconds(l.worst_time)}` },
      h('th', { scope: 'row' }, l.name), h('td', {}, `${fixed(l.mean_degrees, 2)}°`), h('td', {}, `${fixed(l.largest_degrees, 2)}°`)))));
}

const speed = (/** @type {number} */ v) => fixed(100 * v, 1);

/** @param {Report} r */
function feet(r) {
  if (r.feet.length === 0) return h('p', { class: 'told' }, 'No foot stands in the source.');
  return h('table', { class: 'pairs wide' }, h('caption', { class: 'vh' }, 'How fast a foot slides while it stands, centimetres a second'),
    h('thead', {}, h('tr', {}, h('th', { scope: 'col' }, 'slides, cm/s'), h('th', { scope: 'col' }, 'source'), h('th', { scope: 'col' }, 'before'), h('th', { scope: 'col' }, 'after'))),
    h('tbody', {}, ...r.feet.map((f) => h('tr', { 'data-foot': f.side, 'data-tip': `It stands ${percent(f.stands_share)} of the clip. Before: by the turns alone; after: in the finished clip` },
      h('th', { scope: 'row' }, `${f.side} foot`), h('td', {}, speed(f.source_m_s)), h('td', {}, speed(f.before_m_s)), h('td', {}, speed(f.after_m_s))))));
}

/** The rows of a report that have a mark, or the others. @param {Report} r @param {boolean} marked */
function reportRows(r, marked) {
  return r.rows.filter((w) => Boolean(w.grade) === marked).map((w) =>
    h('li', { 'data-grade': w.grade || undefined }, marked && mark(w.grade), marked && h('span', { class: 'vh' }, `${w.grade}: `), w.text));
}

/** Degrees that the eye goes round the figure to its left. @type {Record<string, number>} */
const ROUND = { front: 0, left: 90, back: 180 };
const W = 300, H = 190, AIR = 12;

/**
 * The source as lines between its joints, seen from where the view stands; it stays in the middle, the floor under it.
 * @param {SVGSVGElement} svg @param {Stand[]} stands @param {Float32Array} at @param {number} clip
 * @returns {() => void} draws the moment that is shown
 */
export function stick(svg, stands, at, clip) {
  const [start, end, frames] = at;
  const joints = stands.length, base = 3;
  const row = new Map(stands.map((j, i) => [j.node, i]));
  const up = stands.map((j) => (j.parent === null ? -1 : (row.get(j.parent) ?? -1)));
  let low = Infinity, high = -Infinity;
  for (let i = base + 1; i < at.length; i += 3) {
    if (at[i] < low) low = at[i];
    if (at[i] > high) high = at[i];
  }
  const k = (H - 2 * AIR) / Math.max(high - low, 0.5);
  draw(svg, 'path', { class: 'floor', d: `M0 ${H - AIR + 0.5}H${W}` });
  const lines = /** @type {[string, SVGElement][]} */ (['centre', 'right', 'left'].map((side) => [side, draw(svg, 'path', { class: side, d: '' })]));
  let last = '';
  return () => {
    const part = desk.clip === clip && end > start ? Math.max(0, Math.min(1, (desk.seconds - start) / (end - start))) : 0;
    const f = Math.round(part * (frames - 1));
    const key = `${f} ${desk.from}`;
    if (key === last) return;
    last = key;
    const a = ((ROUND[desk.from] ?? 24) * Math.PI) / 180, cos = Math.cos(a), sin = Math.sin(a);
    const from = base + f * joints * 3;
    const flat = stands.map((_, i) => at[from + 3 * i] * cos - at[from + 3 * i + 2] * sin);
    const middle = flat.reduce((s, x) => s + x, 0) / Math.max(1, joints);
    const spot = (/** @type {number} */ i) => `${(W / 2 + (flat[i] - middle) * k).toFixed(1)} ${(H - AIR - (at[from + 3 * i + 1] - low) * k).toFixed(1)}`;
    for (const [side, line] of lines) {
      let d = '';
      stands.forEach((j, i) => {
        if (up[i] >= 0 && (j.side === 'left' || j.side === 'right' ? j.side : 'centre') === side) d += `M${spot(up[i])}L${spot(i)}`;
      });
      line.setAttribute('d', d);
    }
  };
}
