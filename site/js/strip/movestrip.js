import { draw, h, radios } from '../base/dom.js';
import { desk, choose } from '../state/desk.js';
import { clipNow, run, takeWay } from '../shared/clips.js';
import { degreesIn, foundIn, jointName, namedIn, reachOf, takeMove, turnNow, turnsOf, turnTo } from '../shared/moves.js';
import { hatch, valueMark } from '../shared/gauge.js';
import { followPlay } from './timeline.js';
import { degrees } from '../base/words.js';

/** The time strip while a move is shown: play, angle, axes, ways of blending, and the range with its plumb-bob. */

const X0 = 66; // as in the clip's strip
const HEIGHT = 50;

/** Linear blend, dual quaternion, or both side by side. @param {boolean} tight */
export const ways = (tight) =>
  h(
    'span',
    { class: 'pair way', role: 'group', 'aria-label': 'Skinning' },
    ...radios(
      'way',
      [
        ['linear', tight ? 'linear' : 'linear blend'],
        ['dual', tight ? 'dual' : 'dual quaternion'],
        ['both', 'both'],
      ],
      desk.method,
      takeWay,
      {
        linear: 'Blends the joints’ matrices: what most players do',
        dual: 'Blends the turns themselves: keeps the width where a limb is twisted',
        both: 'Side by side: left linear blend, right dual quaternion',
      },
    ),
  );

/** @param {HTMLElement} root @param {boolean} tight */
export function fillMove(root, tight) {
  const move = desk.move;
  if (!move) return;
  const clip = clipNow();
  root.replaceChildren(
    h(
      'header',
      { class: tight ? 'tight' : '' },
      h('h2', { id: 'h-time', class: 'vh' }, 'Move player'),
      h('button', { class: 'btn round', type: 'button', id: 'play', 'data-focus': 'play', 'data-key': 'Space', click: () => run() }),
      h(
        'p',
        { class: 'clock turned' },
        h('b', {}),
        h('button', {
          class: 'text',
          type: 'button',
          'data-focus': 'whose',
          'data-tip': 'To the card of this joint',
          click: () => choose({ kind: 'joint', node: move.joint }),
        }),
      ),
      h(
        'span',
        { class: 'pair', role: 'group', 'aria-label': `Axis of ${jointName(move.joint)}` },
        ...radios(
          'turn-axis',
          turnsOf(move.joint).map((t) => /** @type {[string, string]} */ ([t.axis, t.axis])),
          move.axis,
          (axis) => takeMove({ joint: move.joint, axis, degrees: 0 }),
          Object.fromEntries(turnsOf(move.joint).map((t) => [t.axis, `${rangeWords(t)}; limits: ${t.source}`])),
        ),
      ),
      ways(tight),
      h(
        'button',
        {
          class: 'btn back',
          type: 'button',
          'data-focus': 'leave',
          'aria-label': tight ? (clip ? `to ${clip.name}` : 'to rest') : null,
          'data-tip': clip ? `Ends the move; ${clip.name} is shown again` : 'Ends the move; the rest pose is shown again',
          click: () => takeMove(null),
        },
        tight ? '×' : clip ? `to ${clip.name}` : 'to rest',
      ),
    ),
    h('div', { class: 'strip' }),
  );
  drawMove(root);
}

/** @param {import('../state/types.js').Turn} t */
export const rangeWords = (t) => `${degrees(t.min)} to ${degrees(t.max)}`;

/** Ruler in degrees, what was found where, plumb-bob. @param {HTMLElement} root */
export function drawMove(root) {
  const box = root.querySelector('.strip');
  const move = desk.move,
    t = turnNow();
  if (!box || !move) return;
  document.body.dataset.strip = 'low';
  if (!t) {
    box.replaceChildren(h('p', { class: 'empty' }, 'This joint has no such move.'));
    return;
  }
  const W = Math.max(box.clientWidth, 120),
    x1 = W - 14;
  const reach = reachOf(move, t),
    span = Math.max(reach.max - reach.min, 1e-9);
  const X = (/** @type {number} */ d) => X0 + ((x1 - X0) * (d - reach.min)) / span;
  const name = jointName(move.joint);
  const found = foundIn(move);
  const s = /** @type {SVGSVGElement} */ (
    draw(box, 'svg', {
      viewBox: `0 0 ${W} ${HEIGHT}`,
      role: 'img',
      'aria-label': `${name}, ${t.axis}, ${rangeWords(t)}${beyond(reach, t)}${found.flatMap((f) => degreesIn(f, move).map((at) => `; at ${degrees(at)}: ${f.title}`)).join('')}`,
    })
  );
  const step = niceAngle((span * 34) / Math.max(x1 - X0, 1));
  const small = niceAngle((span * 5) / Math.max(x1 - X0, 1));
  for (let d = Math.ceil(reach.min / small) * small; d <= reach.max + 1e-9; d += small)
    draw(s, 'path', { class: 'ln', d: `M${X(d) + 0.5} 16v-${d % step ? 3 : 6}` });
  /** @type {number[]} */
  const labels = [];
  const put = (/** @type {number} */ d) => {
    if (labels.every((l) => Math.abs(X(l) - X(d)) > 26)) labels.push(d);
  };
  for (const d of [reach.min, reach.max, t.min, t.max]) put(d);
  for (let d = Math.ceil(reach.min / step) * step; d <= reach.max; d += step) put(d);
  for (const d of labels) draw(s, 'text', { class: 'm', x: X(d), y: 8 }, degrees(d));
  draw(s, 'path', { class: 'ln', d: `M${X0} 16.5H${x1}` });
  draw(s, 'text', { x: 0, y: 13 }, 'turn');
  draw(s, 'rect', { class: 'rl fwe', x: X0 + 0.5, y: 24.5, width: x1 - X0 - 1, height: 18 });
  // beyond what the joint can do: hatched, as beyond a limit
  if (reach.min < t.min) hatch(s, X0 + 1, X(t.min), 25, 42, 'hatch wait', 6);
  if (reach.max > t.max) hatch(s, X(t.max), x1 - 1, 25, 42, 'hatch wait', 6);
  for (const d of [t.min, t.max]) if (d > reach.min && d < reach.max) draw(s, 'path', { class: 'ln', d: `M${X(d)} 20V46` });
  draw(s, 'path', { class: 'ln heavy', d: `M${X(0)} 12V43` }); // rest
  draw(s, 'text', { x: 0, y: 37 }, 'found');
  if (found.length === 0)
    draw(
      s,
      'text',
      { x: X(0) + 7 + (X(0) > W / 2 ? -14 : 0), y: 37, class: X(0) > W / 2 ? 'e' : '' },
      emptyWords(move),
    );
  for (const f of found) for (const at of degreesIn(f, move)) valueMark(s, f.grade, X(at), 33.5);
  const g = draw(s, 'g', { class: 'bob' });
  draw(g, 'path', { class: 'sbr', d: `M0 12V${HEIGHT - 1}` });
  draw(g, 'path', { class: 'fbr ln', d: 'M-5 9.5h10v5l-5 6-5-6z' });
  const range = h('input', {
    type: 'range',
    min: String(reach.min),
    max: String(reach.max),
    step: '1',
    'aria-label': `${t.axis} of ${name}, degrees`,
    'data-focus': 'range',
    input: (/** @type {Event} */ e) => {
      run(false);
      turnTo(Number(/** @type {HTMLInputElement} */ (e.target).value));
    },
  });
  box.replaceChildren(s, range);
  const pull = (/** @type {PointerEvent} */ e) => {
    run(false);
    turnTo(Math.round(reach.min + (span * ((e.clientX - s.getBoundingClientRect().left) * (W / s.getBoundingClientRect().width) - X0)) / (x1 - X0)));
  };
  s.addEventListener('pointerdown', (e) => {
    s.setPointerCapture(e.pointerId);
    pull(e);
  });
  s.addEventListener('pointermove', (e) => {
    if (s.hasPointerCapture(e.pointerId)) pull(e);
  });
  followMove(root);
}

/** @param {import('../state/types.js').Move} move */
function emptyWords(move) {
  if (!desk.figure?.doc.facts_of.bends) return 'Bends is still to come';
  const named = namedIn(move).map((f) => f.number);
  return named.length > 0 ? `named in ${named.length > 1 ? 'findings' : 'finding'} ${named.join(', ')}, of another joint’s move` : 'nothing';
}

/** In words, where a finding shows beyond the range. @param {{min: number, max: number}} reach @param {import('../state/types.js').Turn} t */
const beyond = (reach, t) => (reach.min < t.min || reach.max > t.max ? `, tried to ${degrees(reach.min < t.min ? reach.min : reach.max)}` : '');

/** @param {number} least */
const niceAngle = (least) => [5, 10, 15, 30, 45, 90].find((n) => n >= least) ?? 90;

/** The angle and the plumb-bob follow the move. @param {HTMLElement} root */
export function followMove(root) {
  const move = desk.move,
    t = turnNow();
  const s = root.querySelector('svg[viewBox]'),
    bob = root.querySelector('.bob');
  if (!move || !t || !s || !bob) return;
  const W = Number(s.getAttribute('viewBox')?.split(' ')[2]);
  const reach = reachOf(move, t);
  const x = X0 + ((W - 14 - X0) * (move.degrees - reach.min)) / Math.max(reach.max - reach.min, 1e-9);
  bob.setAttribute('transform', `translate(${x} 0)`);
  const [b, whose] = root.querySelector('.clock')?.children ?? [];
  const words = degrees(move.degrees);
  if (b && b.textContent !== words) b.textContent = words;
  if (whose && whose.textContent !== jointName(move.joint)) whose.textContent = jointName(move.joint);
  followPlay();
  const range = /** @type {HTMLInputElement|null} */ (root.querySelector('input[type="range"]'));
  if (range) {
    range.value = String(move.degrees);
    range.setAttribute('aria-valuetext', `${Math.round(move.degrees)} degrees`);
  }
}
