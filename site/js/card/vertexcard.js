import { draw, h, sheet } from '../base/dom.js';
import { choose, desk } from '../state/desk.js';
import { count, metres, plain, point } from '../base/words.js';
import { lensReads, probe } from '../talk/stage.js';
import { sumOf, sumSection } from './sum.js';

/**
 * A vertex probed: its joints and weights, its places, its mirror partner.
 * @param {{surface: number, vertex: number}} at @param {() => void} list
 * @returns {(Node|false)[]}
 */
export function vertexCard(at, list) {
  const p = probe(at.surface, at.vertex);
  if (!p) return [h('h2', { id: 'h-card' }, 'Vertex'), h('p', { class: 'prose' }, 'The stage is not ready to read this vertex.')];
  const other = p.partner >= 0 ? probe(p.partnerSurface, p.partner) : null;
  const sum = sumOf(at.surface, at.vertex);
  const own = p.partner === at.vertex && p.partnerSurface === at.surface;
  return [
    h(
      'header',
      {},
      h(
        'p',
        { class: 'kick' },
        `${p.meshName || `Mesh ${p.mesh}`}, primitive ${p.primitive}, element ${count(p.element)}`,
        h('button', { class: 'text', type: 'button', 'data-focus': 'list', click: list }, 'All joints'),
      ),
      h('h2', { id: 'h-card' }, `Vertex ${count(at.vertex)}`),
      h(
        'p',
        { class: 'role' },
        p.influences.length === 0 ? 'Held by no joint.' : `Held by ${p.influences.length === 1 ? 'one joint' : `${p.influences.length} joints`}.`,
        underLens(at),
      ),
    ),
    h('section', {}, h('h3', {}, 'Weights'), weights(p, other)),
    sumSection(sum, p.influences.length > 0 || sum?.terms.length === 0),
    h(
      'section',
      {},
      h('h3', {}, 'Place'),
      h(
        'dl',
        { class: 'facts' },
        h('dt', {}, 'as stored'),
        h('dd', {}, point(p.position)),
        ...(p.posed
          ? [h('dt', {}, desk.clip < 0 && !desk.move ? 'in the scene' : 'as posed'), h('dd', {}, `${point(sum?.place ?? p.posed)}\u00a0m`)]
          : [h('dt', {}, 'drawn'), h('dd', {}, 'no: no triangle uses it')]),
      ),
    ),
    h(
      'section',
      {},
      h('h3', {}, 'Mirror partner'),
      other
        ? h(
            'p',
            { class: 'role' },
            own
              ? 'It stands on the middle plane and is its own partner'
              : h(
                  'button',
                  {
                    class: 'text',
                    type: 'button',
                    'data-focus': 'partner',
                    'data-key': 'P',
                    'data-tip': 'The vertex on the other side',
                    click: () => choose({ kind: 'vertex', surface: p.partnerSurface, vertex: p.partner }),
                  },
                  `Vertex ${count(p.partner)}`,
                ),
            p.distance === null || own ? '.' : `, ${metres(p.distance)} from the mirrored place.`,
            p.mismatch === null ? '' : ` The weights differ by ${plain(p.mismatch)}.`,
          )
        : h('p', { class: 'role' }, desk.figure?.running === false ? 'None: no vertex stands near the mirrored place.' : 'Not looked for yet.'),
    ),
  ];
}

/** What its colour stands for. @param {{surface: number, vertex: number}} at */
function underLens(at) {
  const says = lensReads(at.surface, at.vertex);
  return says ? h('span', { class: 'under-lens' }, ` Under the lens: ${says}.`) : false;
}

/** @param {Wire.Probe} p @param {Wire.Probe|null} other */
function weights(p, other) {
  const by = desk.figure?.byNode;
  /** @type {Map<number, number>} */
  const theirs = new Map(); // the partner's weights, filed under this side's joints
  for (const i of other?.influences ?? []) theirs.set(by?.get(i.node)?.partner ?? i.node, i.weight);
  const mine = new Set(p.influences.map((i) => i.node));
  const rows = [
    ...p.influences,
    ...[...theirs].filter(([node]) => !mine.has(node)).map(([node]) => ({ node, name: by?.get(node)?.name ?? `node ${node}`, weight: 0 })),
  ];
  return h(
    'table',
    { class: 'pairs wide weights' },
    h('caption', { class: 'vh' }, 'Joints that hold this vertex'),
    h(
      'thead',
      {},
      h(
        'tr',
        {},
        h('th', { scope: 'row' }, 'joint'),
        h('td', {}),
        h('th', { scope: 'col' }, 'weight'),
        other && h('th', { scope: 'col' }, 'partner'),
      ),
    ),
    h(
      'tbody',
      {},
      ...rows.map((i) =>
        h(
          'tr',
          {},
          h(
            'th',
            { scope: 'row' },
            h(
              'button',
              { class: 'text', type: 'button', 'data-focus': `w${i.node}`, click: () => choose({ kind: 'joint', node: i.node }) },
              i.name || `node ${i.node}`,
            ),
          ),
          h('td', { class: 'w' }, bar(i.weight)),
          h('td', {}, i.weight === 0 ? 'none' : plain(i.weight)),
          other && h('td', {}, theirs.has(i.node) ? plain(theirs.get(i.node) ?? 0) : 'none'),
        ),
      ),
      h(
        'tr',
        { class: Math.abs(p.sum - 1) > 1e-3 ? 'off' : '' },
        h('th', { scope: 'row' }, 'sum'),
        h('td', {}),
        h('td', {}, Number(p.sum.toFixed(6)).toString()),
        other && h('td', {}, Number(other.sum.toFixed(6)).toString()),
      ),
    ),
  );
}

/** @param {number} weight */
function bar(weight) {
  const s = sheet('', 100, 12);
  draw(s, 'rect', { class: 'fwe', x: 0.5, y: 1.5, width: 99, height: 9 });
  const w = Math.max(0, Math.min(1, weight));
  if (w > 0) draw(s, 'rect', { class: `c${Math.max(1, Math.min(10, Math.ceil(w * 10)))} bar`, x: 0.5, y: 1.5, width: 99 * w, height: 9 });
  draw(s, 'path', { class: 'ln', d: 'M0 10.5H100' });
  return s;
}
