import { draw, h, sheet } from '../base/dom.js';
import { desk, on } from '../state/desk.js';
import { openClip } from '../shared/clips.js';
import { run, seek } from '../shared/clips.js';
import { niceStep } from '../shared/scales.js';
import { curvesOf } from './motionfacts.js';
import { metres, plain, seconds, some } from '../base/words.js';
import { rooms } from '../state/rooms.js';

const its = rooms.curves;

/** @typedef {import('./motionfacts.js').Curves} Curves */

const X0 = 34;
const X1 = 322;

/** What one joint does in the clip that is taken: its turn from rest and its speed, with key marks. @param {import('../state/types.js').Joint} joint */
export function curves(joint) {
  const clip = desk.figure?.clips.find((c) => c.clip === desk.clip);
  if ((desk.figure?.clips.length ?? 0) === 0) return null;
  const root = h('section', { class: 'curves', 'aria-labelledby': 'h-curves' });
  if (!clip) {
    root.append(h('h3', { id: 'h-curves' }, 'In a clip'), h('p', { class: 'prose' }, 'At rest. Choose a clip in the time strip, and this joint’s curves stand here.'));
    return root;
  }
  root.append(h(
    'h3',
    { id: 'h-curves' },
    h('span', {}, `In ${clip.name}`),
    h('button', { class: 'text', type: 'button', 'data-focus': 'rows', click: () => openClip(clip.clip) }, 'joint by joint'),
  ));
  curvesOf(clip.clip, joint.node).then((c) => {
    if (!c) return root.append(h('p', { class: 'prose' }, 'The curves stand here as soon as the figure is examined.'));
    root.append(...body(c));
    follow();
  });
  return root;
}

/** @param {Curves} c */
function body(c) {
  const turns = c.channels.find((k) => k.path === 'rotation');
  const shifts = c.channels.find((k) => k.path === 'translation');
  if (!turns && !shifts) return [h('p', { class: 'prose' }, 'No channel of this clip turns or shifts this joint: it goes with the one above.')];
  const says = h('span', { class: 'curve-says' });
  its.said = { c, says };
  const parts = [];
  if (turns) {
    parts.push(chart(c, 'turn from rest, °', [c.x_degrees, c.y_degrees, c.z_degrees], turns, 96));
    parts.push(chart(c, 'speed, °/s', [c.degrees_per_second], null, 52));
  }
  if (shifts) parts.push(chart(c, 'shift from rest, m', [c.x_m, c.y_m, c.z_m], shifts, 84));
  parts.push(says);
  parts.push(
    h(
      'p',
      { class: 'src' },
      [
        turns && `${some(turns.keys.length, 'rotation keyframe')}, ${KIND[turns.interpolation] ?? turns.interpolation}`,
        shifts && `${some(shifts.keys.length, 'translation keyframe')}, ${KIND[shifts.interpolation] ?? shifts.interpolation}`,
      ]
        .filter(Boolean)
        .join('; '),
      turns ? '. The turn is about the joint’s own axes: its direction is the axis, its length the angle.' : '.',
    ),
  );
  return parts;
}

/** @type {Record<string, string>} */
const KIND = { LINEAR: 'linear', STEP: 'in steps', CUBICSPLINE: 'cubic' };

const STROKES = ['ln', 'ln dash', 'ln dots'];

/**
 * @param {Curves} c @param {string} title @param {number[][]} lists one, or x y z
 * @param {{keys: number[]}|null} channel whose keys are marked @param {number} height
 */
function chart(c, title, lists, channel, height) {
  const axes = lists.length === 3 ? ['x', 'y', 'z'] : [''];
  let low = Math.min(0, ...lists.map((l) => l.reduce((a, v) => Math.min(a, v), 0)));
  let high = Math.max(0, ...lists.map((l) => l.reduce((a, v) => Math.max(a, v), 0)));
  const step = niceStep(Math.max(high - low, 1e-3) / 2.5);
  low = Math.floor(low / step + 1e-6) * step;
  high = Math.ceil(high / step - 1e-6) * step;
  if (high === low) high = low + step;
  const unit = title.split(', ')[1];
  const range = lists.map((l, i) => `${axes[i]} ${plain(l.reduce((a, v) => Math.min(a, v), Infinity))} to ${plain(l.reduce((a, v) => Math.max(a, v), -Infinity))}`.trim());
  const s = sheet('curve', 324, height + 16, `${title} of ${c.name} over ${seconds(c.seconds)}: ${range.join('; ')} ${unit}`);
  const y0 = height - (channel ? 6 : 2);
  const span = Math.max(c.seconds - c.start_seconds, 1e-9);
  const X = (/** @type {number} */ t) => X0 + ((X1 - X0) * (t - c.start_seconds)) / span;
  const Y = (/** @type {number} */ v) => y0 - ((y0 - 14) * (v - low)) / (high - low);
  for (let v = low; v <= high + step / 2; v += step) {
    draw(s, 'path', { class: Math.abs(v) < step / 2 ? 'ln' : 'hl', d: `M${X0} ${Math.round(Y(v)) + 0.5}H${X1}` });
    draw(s, 'text', { class: 'e', x: X0 - 4, y: Y(v) + 3.5 }, plain(Number(v.toPrecision(4))));
  }
  draw(s, 'text', { x: X0, y: 9 }, title);
  lists.forEach((list, i) => {
    const d = list.map((v, k) => `${k === 0 ? 'M' : 'L'}${X(c.times[k]).toFixed(2)} ${Y(v).toFixed(2)}`).join('');
    draw(s, 'path', { class: `wave ${STROKES[i]}`, d });
    if (axes[i]) {
      draw(s, 'path', { class: `wave ${STROKES[i]}`, d: `M${214 + i * 38} 5.5h16` });
      draw(s, 'text', { x: 233 + i * 38, y: 9 }, axes[i]);
    }
  });
  if (channel) {
    const every = Math.max(1, Math.ceil(channel.keys.length / 140));
    let ticks = '';
    for (let k = 0; k < channel.keys.length; k += every) ticks += `M${X(channel.keys[k]).toFixed(2)} ${y0 + 2}v5`;
    draw(s, 'path', { class: 'ln', d: ticks });
  }
  draw(s, 'path', { class: 'sbr curve-bob', d: `M0 12V${height + 2}` });
  draw(s, 'text', { x: X0, y: height + 14 }, seconds(c.start_seconds));
  draw(s, 'text', { class: 'e', x: X1, y: height + 14 }, seconds(c.seconds));
  const scrub = (/** @type {PointerEvent} */ e) => {
    if (desk.playing) run(false);
    const box = s.getBoundingClientRect();
    const at = ((e.clientX - box.left) * 324) / Math.max(box.width, 1);
    seek(c.start_seconds + span * Math.max(0, Math.min(1, (at - X0) / (X1 - X0))));
  };
  s.addEventListener('pointerdown', (e) => {
    s.setPointerCapture(e.pointerId);
    scrub(e);
  });
  s.addEventListener('pointermove', (e) => {
    if (s.hasPointerCapture(e.pointerId)) scrub(e);
  });
  return s;
}

/** The place in rising times: last that is not after t. @param {number[]} times @param {number} t */
function before(times, t) {
  let lo = 0,
    hi = times.length - 1;
  while (lo < hi) {
    const mid = (lo + hi + 1) >> 1;
    if (times[mid] <= t + 1e-9) lo = mid;
    else hi = mid - 1;
  }
  return lo;
}

function follow() {
  if (!its.said?.says.isConnected || desk.clip !== its.said.c.clip) return;
  const { c, says } = its.said;
  const x = X0 + (X1 - X0) * Math.max(0, Math.min(1, (desk.seconds - c.start_seconds) / Math.max(c.seconds - c.start_seconds, 1e-9)));
  for (const bob of document.querySelectorAll('.curve-bob')) bob.setAttribute('transform', `translate(${x} 0)`);
  const k = before(c.times, desk.seconds);
  const shift = c.x_m.length > 0 ? `; shifted ${metres(Math.hypot(c.x_m[k], c.y_m[k], c.z_m[k]))}` : '';
  says.textContent = `at ${seconds(c.times[k])}: ${plain(Number(c.degrees[k].toPrecision(4)))}° from rest, ${plain(Number(c.degrees_per_second[k].toPrecision(4)))} °/s${shift}`;
}
on('time', follow);
