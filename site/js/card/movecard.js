import { h } from '../base/dom.js';
import { desk } from '../state/desk.js';
import { measuredOf, takeMove, turnsOf } from '../shared/moves.js';
import { degrees, plain } from '../base/words.js';

/** The moves of a joint: each end of each range, what it does to the surface, and the way to see it. @param {import('../state/types.js').Joint} joint */
export function movesOf(joint) {
  const turns = turnsOf(joint.node);
  if (turns.length === 0) return null;
  const facts = measuredOf(joint.node);
  const rows = turns.flatMap((t) =>
    [t.min, t.max]
      .filter((d) => d !== 0)
      .map((d) => {
        const f = facts.find((x) => x.axis === t.axis && Math.abs(x.degrees - d) < 1e-6);
        const on = desk.move?.joint === joint.node && desk.move.axis === t.axis && Math.sign(desk.move.degrees) === Math.sign(d);
        return h(
          'tr',
          {},
          h(
            'th',
            { scope: 'row' },
            h(
              'button',
              {
                class: 'text',
                type: 'button',
                'data-focus': `move-${t.axis}-${d < 0 ? 'down' : 'up'}`,
                'aria-pressed': String(on),
                'data-tip': `Shows it; the strip below takes it through its range. Limits: ${t.source}`,
                click: () => takeMove({ joint: joint.node, axis: t.axis, degrees: d }),
              },
              `${t.axis} ${degrees(d)}`,
            ),
          ),
          h('td', {}, f && f.stretch_p99 !== null ? `×\u00a0${plain(Number(f.stretch_p99.toFixed(2)))}` : ''),
          h('td', {}, f && f.volume_ratio !== null ? `${Math.round(100 * f.volume_ratio)}\u00a0%` : ''),
          h('td', {}, f && f.turned_over_share !== null ? String(Math.round(f.turned_over_share * f.moved_triangles)) : ''),
        );
      }),
  );
  const cols = facts.length > 0;
  return h(
    'section',
    { class: 'moves' },
    h('h3', {}, 'Moves'),
    h(
      'table',
      { class: 'pairs' },
      h('caption', { class: 'vh' }, `Moves of ${joint.name}, linear blend`),
      h(
        'thead',
        {},
        h(
          'tr',
          {},
          h('th', { scope: 'col' }, 'turned to'),
          h('th', { scope: 'col', 'data-tip': '99 % of the triangles that it moves are drawn out no more' }, cols ? 'stretch' : ''),
          h('th', { scope: 'col', 'data-tip': 'What is left of the volume where it bends' }, cols ? 'volume' : ''),
          h('th', { scope: 'col', 'data-tip': 'Triangles that turn over' }, cols ? 'turned over' : ''),
        ),
      ),
      h('tbody', {}, ...rows),
    ),
  );
}
