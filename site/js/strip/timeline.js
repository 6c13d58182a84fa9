import { draw, h, icon } from '../base/dom.js';
import { clipNow, stepsOf, run, seek, stepKey, takeClip } from '../shared/clips.js';
import { desk } from '../state/desk.js';
import { hatch } from '../shared/gauge.js';
import { niceStep } from '../shared/scales.js';
import { seconds, some } from '../base/words.js';

/** @typedef {import('../state/types.js').Clip} Clip */

const X0 = 66; // left of it stand the names of the rows

/** Ruler, rows of what the clip's facts tell, plumb-bob. @param {HTMLElement} root */
export function drawStrip(root) {
  const box = root.querySelector('.strip');
  const c = clipNow() ?? desk.figure?.clips[0];
  if (!box || !c) return;
  const rows = factRows(c);
  document.body.dataset.strip = rows.length > 1 ? 'full' : 'low';
  const W = Math.max(box.clientWidth, 120),
    height = rows.length > 1 ? 102 : 50,
    x1 = W - 4;
  const X = (/** @type {number} */ t) => X0 + (x1 - X0) * Math.min(1, t / Math.max(c.seconds, 1e-9));
  const s = /** @type {SVGSVGElement} */ (
    draw(box, 'svg', {
      viewBox: `0 0 ${W} ${height}`,
      role: 'img',
      'aria-label': `Clip ${c.name}, ${seconds(c.seconds)}${rows.map((r) => `; ${r.says}`).join('')}`,
    })
  );
  const times = stepsOf(c);
  const every = Math.max(1, Math.ceil((times.length * 3) / (x1 - X0)));
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
  const range = h('input', {
    type: 'range',
    min: '0',
    max: String(c.seconds),
    step: 'any',
    'aria-label': `Time in ${c.name}`,
    'data-focus': 'range',
    input: (/** @type {Event} */ e) => {
      const to = Number(/** @type {HTMLInputElement} */ (e.target).value); // holding puts the slider where the clip was
      hold(c);
      seek(to);
    },
    keydown: (/** @type {KeyboardEvent} */ e) => {
      const d = { ArrowLeft: -1, ArrowDown: -1, ArrowRight: 1, ArrowUp: 1 }[e.key];
      if (d) {
        e.preventDefault();
        stepKey(d);
      }
    },
  });
  box.replaceChildren(s, range);
  const scrub = (/** @type {PointerEvent} */ e) => {
    hold(c);
    seek(Math.max(0, Math.min(1, (e.clientX - s.getBoundingClientRect().left - X0) / (x1 - X0))) * c.seconds);
  };
  s.addEventListener('pointerdown', (e) => {
    s.setPointerCapture(e.pointerId);
    scrub(e);
  });
  s.addEventListener('pointermove', (e) => {
    if (s.hasPointerCapture(e.pointerId)) scrub(e);
  });
  follow(root);
}

/** Scrubbing holds the clip, and takes it when the figure is at rest. @param {Clip} c */
function hold(c) {
  if (desk.clip < 0) takeClip(c.clip);
  if (desk.playing) run(false);
}

/** @param {Clip} c */
const moves = (c) =>
  [
    c.facts.nodes !== undefined && `${some(c.facts.nodes, 'node')} keyed`,
    c.facts.moving_joints !== undefined && `${some(c.facts.moving_joints, 'joint')} of them ${c.facts.moving_joints === 1 ? 'moves' : 'move'}`,
    c.facts.channels !== undefined && some(c.facts.channels, 'channel'),
    c.start > 0 && `first keyframe at ${seconds(c.start)}`,
  ]
    .filter(Boolean)
    .join(', ') || 'this version measures no more of a clip than its length';

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
      says: `still throughout: ${names.join(', ')}`,
      low: true,
      draw: (/** @type {SVGElement} */ s, /** @type {(t: number) => number} */ X, /** @type {number} */ y) => {
        draw(s, 'text', { x: 0, y: y + 11 }, 'still');
        const shown = names.slice(0, 3),
          w = (X(c.seconds) - X0) / shown.length;
        shown.forEach((/** @type {string} */ n, /** @type {number} */ i) => {
          const a = X0 + i * w,
            b = a + w - 6,
            room = Math.max(2, Math.floor((b - a - 12) / 5.6)),
            whole = i === 2 && names.length > 3 ? `${n} and ${names.length - 3} more chains` : n,
            text = whole.length <= room ? whole : short(name(chains[i][0]), chains[i].length - 1, room),
            tw = Math.min(b - a - 8, text.length * 5.6 + 10);
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

/** Of a chain what there is room for, in letters: how many hang below is the last to go; the row's label says all. @param {string} first @param {number} below @param {number} room */
function short(first, below, room) {
  const more = below > 0 ? ` +${below}` : '';
  const left = room - more.length;
  return `${first.length <= left ? first : `${first.slice(0, Math.max(1, left - 1))}…`}${more}`;
}

/** Clock and plumb-bob follow the time. @param {HTMLElement} root */
export function follow(root) {
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
  const [b, span] = [clock.firstElementChild, clock.lastElementChild];
  if (b) b.textContent = resting ? 'Rest' : desk.seconds.toFixed(2);
  span.textContent = resting ? '' : ` s of ${c.seconds.toFixed(2)}`;
  const range = /** @type {HTMLInputElement|null} */ (root.querySelector('input[type="range"]'));
  if (range) {
    range.value = String(desk.seconds);
    range.setAttribute('aria-valuetext', resting ? 'rest pose' : `${desk.seconds.toFixed(2)} of ${c.seconds.toFixed(2)} seconds`);
  }
  followPlay();
}

/** The button says what it would do. */
export function followPlay() {
  const play = document.getElementById('play');
  const icons = desk.playing ? 'i-hold' : 'i-play';
  if (play && play.dataset.icon !== icons) {
    play.dataset.icon = icons;
    play.replaceChildren(icon(icons));
    play.setAttribute('aria-label', desk.playing ? 'Hold' : 'Run');
    play.dataset.tip = desk.move ? (desk.playing ? 'Pauses the move' : 'Plays the move there and back') : desk.playing ? 'Pauses the clip' : 'Plays the clip';
  }
}
