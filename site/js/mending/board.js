import { draw, h, sheet } from '../base/dom.js';
import { refill } from '../base/redraw.js';
import { tell } from '../state/desk.js';
import { isNight } from '../state/habits.js';
import { rooms } from '../state/rooms.js';
import { boardOf, settledPoint } from '../talk/mend.js';
import { percent, some } from '../base/words.js';

const its = rooms.mending;

// The board of a fit: the figure from before and from its left at one scale, with the eight points on it. A point on a
// screen has no depth: put on the front view it goes to the middle of the section there, on the side view it keeps how
// far to the left it is. The other side mirrors it.

/** @typedef {Wire.BoardDocument} Doc */
/** @typedef {(points: Record<string, string>) => void} Set what is set by now, by name */

/** Pixels of each picture; the views are drawn as large as there is room. */
const W = 460, H = 620;
const VIEWS = [{ side: false, title: 'Front' }, { side: true, title: 'Left' }];

/** Where a place of the world stands on a picture. @param {Wire.BoardEye} e @param {number[]} p */
export function onPicture(e, p) {
  const d = p.map((v, i) => v - e.target[i]);
  const dot = (/** @type {number[]} */ a) => d[0] * a[0] + d[1] * a[1] + d[2] * a[2];
  const k = (e.scale * e.distance) / (e.distance - dot(e.back));
  return [e.cx + k * dot(e.right), e.cy - k * dot(e.up)];
}

/** The place on the other side. @param {number[]} plane normal and offset @param {number[]} p */
export function mirrored(plane, p) {
  const off = 2 * (p[0] * plane[0] + p[1] * plane[1] + p[2] * plane[2] - plane[3]);
  return p.map((v, i) => v - off * plane[i]);
}

/** Lays the figure on the board. @param {Record<string, unknown>} values of the fit @param {Set} set */
export async function layBoard(values, set) {
  const b = (its.board = { doc: null, pictures: [], chosen: '', set, asked: 0, root: h('section', { class: 'board', 'aria-label': 'The figure from two sides' }) });
  document.querySelector('main')?.append(b.root);
  document.body.dataset.board = 'on';
  fill();
  await refreshBoard(values, true);
}

/** Takes the board away. */
export function liftBoard() {
  for (const url of its.board?.pictures ?? []) URL.revokeObjectURL(url);
  its.board?.root.remove();
  its.board = null;
  delete document.body.dataset.board;
}

/** Where the points are with these values. @param {Record<string, unknown>} values @param {boolean} [pictures] draw the figure, too */
export async function refreshBoard(values, pictures = false) {
  const b = its.board;
  if (!b) return;
  const mine = ++b.asked;
  const m = await boardOf(values, pictures || b.pictures.length === 0 ? { width: W, height: H, night: isNight() } : null);
  if (its.board !== b || mine !== b.asked) return;
  if (typeof m === 'string') return tell('say', m);
  if (m.doc.refused && m.doc.refused !== b.doc?.refused) tell('speak', m.doc.refused);
  b.doc = m.doc;
  if (m.pictures.length === 2) b.pictures = m.pictures.map((p) => URL.createObjectURL(new Blob([/** @type {Uint8Array<ArrayBuffer>} */ (p)], { type: 'image/png' })));
  if (!b.chosen) b.chosen = b.doc.spots.find((s) => !s.at)?.name ?? b.doc.spots.toSorted((x, y) => x.sure - y.sure)[0]?.name ?? '';
  fill();
}

/** Puts a point on a picture, where the pointer or the arrows want it. @param {string} name @param {boolean} side @param {number} x @param {number} y */
async function put(name, side, x, y) {
  const b = its.board;
  const spot = b?.doc?.spots.find((s) => s.name === name);
  if (!b || !spot) return;
  const m = await settledPoint({ name, side, x, y, was: spot.text });
  if (its.board !== b) return;
  if (typeof m === 'string') return tell('say', m);
  Object.assign(spot, { at: m.at, text: m.text, sure: 1, set: true });
  if (!m.inside) tell('say', `The ${name} lies beside the figure there.`);
  fill();
  b.set(Object.fromEntries((b.doc?.spots ?? []).filter((s) => s.set).map((s) => [s.name, s.text])));
}

/** Gives a point back to the proposal. @param {string} name */
function free(name) {
  const b = its.board;
  b?.set(Object.fromEntries((b.doc?.spots ?? []).filter((s) => s.set && s.name !== name).map((s) => [s.name, s.text])));
}

/** Draws both views and the list. */
function fill() {
  const b = its.board;
  if (!b) return;
  const d = b.doc;
  refill(
    b.root,
    h('div', { class: 'views' }, ...VIEWS.map((v, i) => h('figure', {}, h('figcaption', {}, v.title), d?.eyes[i] && b.pictures[i] ? view(d, i) : h('p', { class: 'soft' }, d ? d.refused : 'Drawing the figure.')))),
    d && d.eyes.length > 0 && d.spots.length > 0 && h('ol', { class: 'spots', 'aria-label': 'Points' }, ...d.spots.map((s, i) => h('li', {},
      h('button', { class: 'spot', type: 'button', 'data-focus': `spot-${s.name}`, 'data-spot': s.name, 'aria-pressed': String(s.name === b.chosen), 'data-tip': s.at ? 'Drag it on a view; arrow keys move it by 1 mm, with Shift by 10' : 'Press where it is on the front view', click: () => choose(s.name), keydown: (/** @type {KeyboardEvent} */ e) => arrow(e, s.name, false) },
        h('b', {}, `${i + 1} `), s.name, h('span', { class: 'soft' }, s.set ? ', set' : s.at ? `, ${percent(Math.round(100 * s.sure) / 100)} sure` : ', not found')),
      s.set && h('button', { class: 'text', type: 'button', 'data-focus': `free-${s.name}`, 'aria-label': `${s.name}: as proposed`, click: () => free(s.name) }, 'as proposed')))),
    d && h('p', { class: d.refused ? 'prose no' : 'soft' }, d.refused || (d.spots.length > 0 ? `${some(d.joints.length, 'joint')} follow. Drag a point; on the front view it settles in the middle of the section, and the other side follows.` : `${some(d.joints.length, 'joint')} stand in it.`)),
  );
}

/** @param {string} name */
function choose(name) {
  if (!its.board) return;
  its.board.chosen = name;
  fill();
}

/** One picture with points and joints. @param {Doc} d @param {number} i */
function view(d, i) {
  const b = /** @type {NonNullable<typeof its.board>} */ (its.board);
  const eye = d.eyes[i], side = VIEWS[i].side;
  const svg = sheet('picture', W, H, `The figure, ${VIEWS[i].title.toLowerCase()}`);
  svg.setAttribute('role', 'group');
  draw(svg, 'image', { href: b.pictures[i], x: 0, y: 0, width: W, height: H });
  for (const j of d.joints) {
    const up = d.joints[j.parent];
    if (!up) continue;
    const [x1, y1] = onPicture(eye, up.at), [x2, y2] = onPicture(eye, j.at);
    draw(svg, 'line', { class: 'bone', x1, y1, x2, y2 });
  }
  d.spots.forEach((s, n) => {
    if (!s.at) return;
    const [x, y] = onPicture(eye, s.at);
    if (!side && s.name !== 'chin' && s.name !== 'groin') {
      const [cx, cy] = onPicture(eye, mirrored(d.plane, s.at));
      draw(svg, 'circle', { class: 'mirror', cx, cy, r: 5 });
    }
    const g = draw(svg, 'g', { class: `point${s.set ? ' set' : ''}${s.name === b.chosen ? ' chosen' : ''}`, 'data-point': s.name, tabindex: '0', role: 'button', 'aria-label': `${n + 1} ${s.name}, ${s.set ? 'set' : 'proposed'}: arrow keys move it`, 'data-focus': `point-${i}-${s.name}` });
    draw(g, 'circle', { class: 'reach', cx: x, cy: y, r: 16 });
    draw(g, 'circle', { class: 'stud', cx: x, cy: y, r: 7 });
    draw(g, 'text', { x: x + 10, y: y - 7 }, n + 1);
    g.addEventListener('keydown', (e) => arrow(/** @type {KeyboardEvent} */ (e), s.name, side));
    g.addEventListener('pointerdown', (e) => drag(/** @type {PointerEvent} */ (e), svg, g, s.name, side));
  });
  svg.addEventListener('click', (e) => {
    const s = d.spots.find((p) => p.name === b.chosen);
    if (s && !s.at && !side && !(/** @type {Element} */ (e.target).closest('.point'))) put(s.name, side, ...within(svg, e));
  });
  return svg;
}

/** @param {SVGSVGElement} svg @param {MouseEvent} e @returns {[number, number]} pixels of the picture */
function within(svg, e) {
  const r = svg.getBoundingClientRect(), k = Math.min(r.width / W, r.height / H) || 1;
  return [(e.clientX - r.left - (r.width - W * k) / 2) / k, (e.clientY - r.top - (r.height - H * k) / 2) / k];
}

/** A point follows the pointer until it is let go. @param {PointerEvent} down @param {SVGSVGElement} svg @param {SVGElement} g @param {string} name @param {boolean} side */
function drag(down, svg, g, name, side) {
  if (down.button !== 0) return;
  down.preventDefault();
  const from = within(svg, down);
  let at = from;
  g.setPointerCapture(down.pointerId);
  const move = (/** @type {Event} */ e) => {
    at = within(svg, /** @type {PointerEvent} */ (e));
    g.setAttribute('transform', `translate(${at[0] - from[0]} ${at[1] - from[1]})`);
  };
  const end = (/** @type {Event} */ e) => {
    for (const [kind, f] of ends) g.removeEventListener(kind, f);
    if (its.board) its.board.chosen = name;
    const moved = Math.hypot(at[0] - from[0], at[1] - from[1]) > 1;
    const spot = its.board?.doc?.spots.find((s) => s.name === name), eye = its.board?.doc?.eyes[side ? 1 : 0];
    if (e.type === 'pointercancel' || !moved || !spot?.at || !eye) return fill();
    const [x, y] = onPicture(eye, spot.at); // the grip may be beside the point's own middle
    put(name, side, x + at[0] - from[0], y + at[1] - from[1]);
  };
  const ends = /** @type {[string, (e: Event) => void][]} */ ([['pointermove', move], ['pointerup', end], ['pointercancel', end]]);
  for (const [kind, f] of ends) g.addEventListener(kind, f);
}

const WAYS = /** @type {Record<string, [number, number]>} */ ({ ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] });

/** @param {KeyboardEvent} e @param {string} name @param {boolean} side */
function arrow(e, name, side) {
  const way = WAYS[e.key];
  const spot = its.board?.doc?.spots.find((s) => s.name === name), eye = its.board?.doc?.eyes[side ? 1 : 0];
  if (!way || !spot?.at || !eye || e.ctrlKey || e.metaKey || e.altKey) return;
  e.preventDefault();
  e.stopPropagation();
  if (its.board) its.board.chosen = name;
  const [x, y] = onPicture(eye, spot.at), step = eye.scale * (e.shiftKey ? 0.01 : 0.001);
  put(name, side, x + way[0] * step, y + way[1] * step);
}
