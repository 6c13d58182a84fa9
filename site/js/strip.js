import { draw, h, icon, must, radios } from './dom.js';
import { desk, on, show, tell } from './desk.js';
import { niceStep } from './histogram.js';
import { hatch } from './gauge.js';
import { setStage } from './stage.js';
import { seconds, some } from './words.js';

/** @typedef {import('./types.js').Clip} Clip */

const X0 = 66;
const SPEEDS = [0.1, 0.25, 0.5, 1, 2];

/** The clip that runs or is held. */
export const clipNow = () => desk.figure?.clips.find((c) => c.clip === desk.clip) ?? null;

/** Time of each key where the document gives them, else thirtieths. @param {Clip} c @returns {{times: number[], word: string}} */
export function keysOf(c) {
  const given = c.facts.key_times;
  if (Array.isArray(given) && given.length > 1) return { times: given, word: 'key' };
  const times = [];
  for (let f = Math.floor(c.start * 30 + 1e-6); f <= Math.ceil(c.seconds * 30 - 1e-6) && f < 20000; f++) times.push(Math.max(c.start, Math.min(f / 30, c.seconds)));
  return { times, word: '1/30 s' };
}

/** The place in a sorted list: last entry that is not after t. @param {number[]} times @param {number} t */
export function keyAt(times, t) {
  let lo = 0, hi = times.length - 1;
  while (lo < hi) {
    const mid = (lo + hi + 1) >> 1;
    if (times[mid] <= t + 1e-4) lo = mid;
    else hi = mid - 1;
  }
  return lo;
}

/** @param {number} d keys on or back */
export function stepKey(d) {
  const c = clipNow() ?? desk.figure?.clips[0];
  if (!c) return;
  if (desk.clip !== c.clip) takeClip(c.clip);
  const { times } = keysOf(c);
  const at = keyAt(times, desk.seconds);
  const to = d < 0 && desk.seconds > times[at] + 1e-4 ? at : at + d;
  run(false);
  seek(times[Math.max(0, Math.min(times.length - 1, to))]);
}

/** @param {number} s */
export function seek(s) {
  desk.seconds = s;
  setStage({ seconds: s });
  tell('time');
}

/** @param {boolean} [playing] */
export function run(playing = !desk.playing) {
  const clips = desk.figure?.clips ?? [];
  if (clips.length === 0) return;
  if (playing && desk.clip < 0) takeClip(clips[0].clip);
  desk.playing = playing;
  setStage({ playing });
  tell('time');
}

/** @param {number} clip -1: rest */
export function takeClip(clip) {
  const seconds = desk.figure?.clips.find((c) => c.clip === clip)?.start ?? 0;
  show({ clip, seconds });
  setStage({ clip, seconds });
  if (clip < 0 && desk.playing) run(false);
  tell('time');
}

/** The time strip: clips, blend method, speed, and the stretch of time with its plumb-bob. */
export function mountStrip() {
  const root = must('time');
  on('figure', () => fill(root));
  on('phase', () => fill(root));
  on('show', (c) => { if ('clip' in c || 'method' in c || 'speed' in c) fill(root); });
  on('time', () => follow(root));
  new ResizeObserver(() => { fill(root); drawStrip(root); }).observe(root);
}

let filled = '';
/** @param {HTMLElement} root */
function fill(root) {
  const clips = desk.figure?.clips ?? [];
  const state = JSON.stringify([clips.map((c) => [c.clip, c.name, c.seconds]), desk.clip, desk.method, desk.speed, desk.phase, desk.figure?.running === false]);
  if (state === filled) return;
  filled = state;
  const focus = root.contains(document.activeElement) ? document.activeElement?.getAttribute('data-focus') ?? /** @type {any} */ (document.activeElement).name : null;
  const tight = root.clientWidth < 610 && innerWidth > 820;
  const method = h('span', { class: 'pair way', role: 'group', 'aria-label': 'Skinning' }, ...radios('way', tight ? [['linear', 'linear'], ['dual', 'dual']] : [['linear', 'linear blend'], ['dual', 'dual quaternion']], desk.method, (m) => { setStage({ method: m }); show({ method: m }); },
    { linear: 'Blends the joints’ matrices: what most players do', dual: 'Blends the turns themselves: keeps the width where a limb is wrung' }));
  if (clips.length === 0) {
    root.replaceChildren(h('header', {}, h('h2', { id: 'h-time', class: 'vh' }, 'Time strip'), h('p', { class: 'clock soft' }, desk.figure?.running ? 'Clips stand here as soon as they are read.' : 'No clip in this file; with one, it runs here.'), method));
    document.body.dataset.strip = 'none';
    return;
  }
  root.replaceChildren(h('header', {}, h('h2', { id: 'h-time', class: 'vh' }, 'Time strip'),
    h('button', { class: 'btn round', type: 'button', id: 'play', 'data-focus': 'play', 'data-key': 'Space', click: () => run() }),
    h('button', { class: 'btn sq', type: 'button', 'data-focus': 'kb', 'aria-label': 'One key back', 'data-tip': 'One key back', 'data-key': ',', click: () => stepKey(-1) }, icon('i-back')),
    h('button', { class: 'btn sq', type: 'button', 'data-focus': 'kf', 'aria-label': 'One key on', 'data-tip': 'One key on', 'data-key': '.', click: () => stepKey(1) }, icon('i-step')),
    h('p', { class: 'clock' }, h('b', {}), h('span', {})),
    h('div', { class: 'clips' }, clips.length <= (tight ? 0 : 3) ? clipRadios(clips) : clipSelect(clips)),
    h('select', { class: 'field', 'aria-label': 'Speed', 'data-focus': 'speed', change: (/** @type {Event} */ e) => { const speed = Number(/** @type {HTMLSelectElement} */ (e.target).value); setStage({ speed }); show({ speed }); } },
      ...SPEEDS.map((s) => h('option', { value: String(s), selected: s === desk.speed }, `× ${s}`))),
    method),
  h('div', { class: 'strip' }));
  drawStrip(root);
  if (focus) /** @type {HTMLElement|null} */ (root.querySelector(`[data-focus="${focus}"], input[name="${focus}"]:checked`))?.focus({ preventScroll: true });
}

/** @param {Clip[]} clips */
function clipRadios(clips) {
  const s = h('span', { class: 'pair', role: 'group', 'aria-label': 'Clip' }, ...radios('clip', [['-1', 'rest'], ...clips.map((c) => /** @type {[string, string]} */ ([String(c.clip), c.name]))], String(desk.clip), (v) => takeClip(Number(v)), { '-1': 'The pose the file stores' }));
  s.querySelectorAll('label').forEach((l, i) => { if (i > 0) l.lastElementChild?.append(' ', h('small', {}, seconds(clips[i - 1].seconds))); });
  return s;
}

/** @param {Clip[]} clips */
function clipSelect(clips) {
  return h('select', { class: 'field', 'aria-label': 'Clip', 'data-focus': 'clip', change: (/** @type {Event} */ e) => takeClip(Number(/** @type {HTMLSelectElement} */ (e.target).value)) },
    h('option', { value: '-1', selected: desk.clip < 0 }, `rest, or one of ${clips.length} clips`), ...clips.map((c) => h('option', { value: String(c.clip), selected: c.clip === desk.clip }, `${c.name}, ${seconds(c.seconds)}`)));
}

/** Ruler, rows of what the clip's facts tell, plumb-bob. @param {HTMLElement} root */
function drawStrip(root) {
  const box = root.querySelector('.strip');
  const c = clipNow() ?? desk.figure?.clips[0];
  if (!box || !c) return;
  const rows = factRows(c);
  document.body.dataset.strip = rows.length > 1 ? 'full' : 'low';
  const W = Math.max(box.clientWidth, 120), height = rows.length > 1 ? 102 : 50, x1 = W - 4;
  const X = (/** @type {number} */ t) => X0 + (x1 - X0) * Math.min(1, t / Math.max(c.seconds, 1e-9));
  const s = /** @type {SVGSVGElement} */ (draw(box, 'svg', { viewBox: `0 0 ${W} ${height}`, role: 'img', 'aria-label': `Clip ${c.name}, ${seconds(c.seconds)}${rows.map((r) => `; ${r.says}`).join('')}` }));
  const { times } = keysOf(c);
  const every = Math.max(1, Math.ceil(times.length * 3 / (x1 - X0)));
  for (let i = 0; i < times.length; i += every) draw(s, 'path', { class: 'ln', d: `M${X(times[i]) + 0.5} 16v-${i % (every * 5) ? 2 : 3.5}` });
  const step = niceStep(c.seconds / 5);
  for (let t = 0; t <= c.seconds + step / 1e6; t += step) {
    const end = t > c.seconds - step * 0.4;
    draw(s, 'path', { class: 'ln', d: `M${X(t) + 0.5} 16v-6` });
    if (!end) draw(s, 'text', { class: t === 0 ? '' : 'm', x: X(t), y: 8 }, Number(t.toPrecision(4)));
  }
  draw(s, 'text', { class: 'e', x: x1, y: 8 }, seconds(c.seconds));
  draw(s, 'path', { class: 'ln', d: `M${X0} 16.5H${x1}` });
  draw(s, 'text', { x: 0, y: 13 }, 'time');
  rows.forEach((r, i) => r.draw(s, X, 24 + i * (78 / rows.length)));
  if (rows.length === 0) {
    draw(s, 'rect', { class: 'rl fwe', x: X0 + 0.5, y: 24.5, width: x1 - X0 - 1, height: 14 });
    draw(s, 'text', { x: 0, y: 35 }, 'moves');
    draw(s, 'text', { x: X0 + 6, y: 35 }, moves(c));
  }
  const g = draw(s, 'g', { class: 'bob' });
  draw(g, 'path', { class: 'sbr', d: `M0 12V${height - 1}` });
  draw(g, 'path', { class: 'fbr ln', d: 'M-5 9.5h10v5l-5 6-5-6z' });
  const range = h('input', { type: 'range', min: '0', max: String(c.seconds), step: 'any', 'aria-label': `Time in ${c.name}`, 'data-focus': 'range',
    input: (/** @type {Event} */ e) => { hold(c); seek(Number(/** @type {HTMLInputElement} */ (e.target).value)); },
    keydown: (/** @type {KeyboardEvent} */ e) => { const d = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1 }[e.key]; if (d) { e.preventDefault(); stepKey(d); } } });
  box.replaceChildren(s, range);
  const scrub = (/** @type {PointerEvent} */ e) => { hold(c); seek(Math.max(0, Math.min(1, (e.clientX - s.getBoundingClientRect().left - X0) / (x1 - X0))) * c.seconds); };
  s.addEventListener('pointerdown', (e) => { s.setPointerCapture(e.pointerId); scrub(e); });
  s.addEventListener('pointermove', (e) => { if (s.hasPointerCapture(e.pointerId)) scrub(e); });
  follow(root);
}

/** Scrubbing holds the clip, and takes it when the figure is at rest. @param {Clip} c */
function hold(c) {
  if (desk.clip < 0) takeClip(c.clip);
  if (desk.playing) run(false);
}

/** @param {Clip} c */
const moves = (c) => [c.facts.nodes !== undefined && `${some(c.facts.nodes, 'node')} keyed`, c.facts.moving_joints !== undefined && `${some(c.facts.moving_joints, 'joint')} of them ${c.facts.moving_joints === 1 ? 'moves' : 'move'}`, c.facts.channels !== undefined && some(c.facts.channels, 'channel'), c.start > 0 && `first key at ${seconds(c.start)}`].filter(Boolean).join(', ') || 'this version measures no more of a clip than its length';

/**
 * Rows below the ruler, each from a fact that this build has.
 * @param {Clip} c @returns {{says: string, low?: boolean, draw: (s: SVGElement, x: (t: number) => number, y: number) => void}[]}
 */
function factRows(c) {
  const rows = [];
  const name = (/** @type {number} */ n) => desk.figure?.byNode.get(n)?.name ?? `node ${n}`;
  const chains = c.facts.still_chains ?? [];
  if (chains.length > 0) {
    const names = chains.map((/** @type {number[]} */ k) => (k.length > 1 ? `${name(k[0])} and ${k.length - 1} below` : name(k[0])));
    rows.push({
      says: `still throughout: ${names.join(', ')}`, low: true,
      draw: (/** @type {SVGElement} */ s, /** @type {(t: number) => number} */ X, /** @type {number} */ y) => {
        draw(s, 'text', { x: 0, y: y + 11 }, 'still');
        const shown = names.slice(0, 3), w = (X(c.seconds) - X0) / shown.length;
        shown.forEach((/** @type {string} */ n, /** @type {number} */ i) => {
          const a = X0 + i * w, b = a + w - 6, text = i === 2 && names.length > 3 ? `${n} and ${names.length - 3} more chains` : n, tw = Math.min(b - a - 8, text.length * 5.6 + 10);
          draw(s, 'rect', { class: 'ln fsh', x: a + 0.5, y: y + 0.5, width: b - a - 1, height: 14 });
          hatch(s, a + 1, b - 1, y + 1, y + 14, 'hatch flaw', 6);
          draw(s, 'rect', { class: 'fsh', x: (a + b) / 2 - tw / 2, y: y + 1, width: tw, height: 13 });
          draw(s, 'text', { class: 'm k', x: (a + b) / 2, y: y + 11 }, text);
        });
      },
    });
  }
  return rows;
}

/** Clock and plumb-bob follow the time. @param {HTMLElement} root */
function follow(root) {
  const c = clipNow() ?? desk.figure?.clips[0];
  const s = root.querySelector('svg[viewBox]');
  const bob = root.querySelector('.bob');
  const clock = root.querySelector('.clock');
  if (!c || !s || !bob || !clock?.lastElementChild) return;
  const resting = desk.clip < 0;
  const W = Number(s.getAttribute('viewBox')?.split(' ')[2]);
  bob.setAttribute('transform', `translate(${X0 + (W - 4 - X0) * (resting ? 0 : Math.min(1, desk.seconds / Math.max(c.seconds, 1e-9)))} 0)`);
  bob.toggleAttribute('hidden', resting);
  bob.setAttribute('visibility', resting ? 'hidden' : 'visible');
  const { times, word } = keysOf(c);
  const [b, span] = [clock.firstElementChild, clock.lastElementChild];
  if (b) b.textContent = resting ? 'Rest' : desk.seconds.toFixed(2);
  span.textContent = resting ? '' : ` s of ${c.seconds.toFixed(2)}${word === 'key' ? `, key ${keyAt(times, desk.seconds) + 1}` : ''}`;
  const range = /** @type {HTMLInputElement|null} */ (root.querySelector('input[type="range"]'));
  if (range) {
    range.value = String(desk.seconds);
    range.setAttribute('aria-valuetext', resting ? 'rest pose' : `${desk.seconds.toFixed(2)} of ${c.seconds.toFixed(2)} seconds`);
  }
  const play = document.getElementById('play');
  const icons = desk.playing ? 'i-hold' : 'i-play';
  if (play && play.dataset.icon !== icons) {
    play.dataset.icon = icons;
    play.replaceChildren(icon(icons));
    play.setAttribute('aria-label', desk.playing ? 'Hold' : 'Run');
    play.dataset.tip = desk.playing ? 'Holds the clip' : 'Runs the clip';
  }
}
