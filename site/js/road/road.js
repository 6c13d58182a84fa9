import { h, must } from '../base/dom.js';
import { refill } from '../base/redraw.js';
import { choose, desk, on, tell } from '../state/desk.js';
import { rooms } from '../state/rooms.js';
import { walkedRoad } from '../talk/ask.js';

const its = rooms.road;

// The road: the steps from a download to a moving character, on top of the desk. Any step opens what does it.

/** @typedef {Wire.RoadStep} Step */

const STATE = { done: 'done', 'to-do': 'to do', choice: 'a choice', needless: 'not needed' };

/**
 * @param {{lineup: () => void, motion: () => void, handOver: () => boolean, report: () => void, tryMend: (id: string) => boolean}} does what steps open in other rooms; false: it cannot now
 * @returns {Node} the line that stands in the ledger of a narrow window
 */
export function mountRoad(does) {
  const root = must('road');
  const line = h('p', { class: 'next-step' });
  /** @param {Step} s */
  const open = (s) => {
    if (s.id === 'choose') return does.lineup();
    if (s.findings.length > 0) return choose({ kind: 'finding', number: s.findings[0] }, { turn: true });
    if (s.id === 'hand-over') return does.handOver() ? undefined : does.report();
    if (s.id === 'motion') return does.motion();
    if (s.mends.some((id) => does.tryMend(id))) return;
    tell('say', `${s.title}: ${s.says}.`);
  };
  const fill = () => {
    const way = desk.phase === 'done' && desk.figure && !desk.figure.running ? its.way : null;
    const next = way?.steps.find((s) => s.id === way.next);
    root.hidden = !way?.says;
    document.body.toggleAttribute('data-road', !root.hidden);
    line.hidden = !next;
    refill(line, next && h('button', { class: 'text', type: 'button', 'data-focus': 'road-line', click: () => open(next) }, `Next: ${next.title.toLowerCase()}`), next && h('span', {}, ` ${next.says}`));
    if (!way?.says) return;
    refill(root, h('p', { class: 'says', 'data-tip': way.says }, next ? `Next: ${next.title.toLowerCase()}, ${next.says}` : way.says), h('ol', {}, ...way.steps.map((s) => step(s, s === next, open))));
  };
  /** Where the figure on the desk stands. */
  const ask = async () => {
    const f = desk.figure;
    if (!f || f.running || its.of === f.json) return fill();
    const way = await walkedRoad();
    if (desk.figure !== f) return;
    Object.assign(its, { of: f.json, way });
    fill();
  };
  on('fresh', () => {
    Object.assign(its, { of: '', way: null });
    fill();
  });
  for (const kind of ['done', 'figure', 'phase']) on(kind, ask);
  fill();
  return line;
}

/** @param {Step} s @param {boolean} next @param {(s: Step) => void} open */
const step = (s, next, open) =>
  h(
    'li',
    { class: s.state },
    h(
      'button',
      { type: 'button', 'data-focus': `road-${s.id}`, 'data-step': s.id, 'aria-current': next ? 'step' : null, 'data-tip': `${s.title}: ${s.says}`, click: () => open(s) },
      h('i', { 'aria-hidden': 'true' }),
      h('span', {}, s.title),
      h('span', { class: 'vh' }, `, ${STATE[s.state]}: ${s.says}`),
    ),
  );
