import { draw, h, sheet } from '../base/dom.js';
import { choose, desk, on, tell } from '../state/desk.js';
import { guarded, setStage } from '../talk/stage.js';
import { fixed, metres, plain, some } from '../base/words.js';
import { rooms } from '../state/rooms.js';

const its = rooms.sum;

// The skinning sum of a vertex with its own numbers, term by term, in the card and on the figure.

/**
 * @typedef {Wire.Term} Term
 * @typedef {Wire.Rule} Rule
 * @typedef {Wire.Sum} Written
 */

/** Terms that are added of n. @param {number} n */
const now = (n) => Math.min(its.added, n);

/** A sum as the stage works it out at the pose that is shown. @param {number} surface @param {number} vertex @returns {Written|null} */
export const sumOf = (surface, vertex) => guarded((s) => s.sum(surface, vertex));

/** Tells the stage what to draw of the sum; another vertex starts with all of it. */
export function mountSum() {
  on('chosen', () => {
    const c = desk.chosen;
    const key = c.kind === 'vertex' ? `${c.surface}:${c.vertex}` : '';
    if (key !== its.vertex) its.added = Infinity;
    its.vertex = key;
    sent();
  });
}

const sent = () => setStage({ sum: desk.chosen.kind === 'vertex', terms: Math.min(its.added, 9999) });

/** One term more or less. @param {number} d */
export function stepTerm(d) {
  const c = desk.chosen;
  const w = c.kind === 'vertex' ? sumOf(c.surface, c.vertex) : null;
  if (!w) return tell('say', 'Choose a vertex first: a click on the surface.');
  const n = w.terms.length;
  const to = now(n) + d;
  take(to < 0 ? n : to > n ? 0 : to); // round and round, so that one key is enough
  const t = w.terms[now(n) - 1];
  tell('say', t ? `${t.letter}, ${nameOf(t)}: ${plain(t.weight)} of its place is added; ${now(n)} of ${n}.` : 'No term is added yet: the vertex stands at rest.');
}

/** @param {number} n */
function take(n) {
  its.added = n;
  sent();
  tell('probe');
}

/** Five digits after the point, as the command line prints them. @param {number} x */
export const five = (x) => fixed(x, 5);
/** Up to six significant digits, as the command line prints a weight. @param {number} x */
export const six = (x) => String(Number(x.toPrecision(6))).replace('-', '\u2212');
/** Millimetres of metres, three digits after the point. @param {number} m */
export const mm = (m) => `${fixed(1000 * m, 3)}\u00a0mm`;

/** @param {Term} t */
const nameOf = (t) => t.name || `node ${t.node}`;

/** Joints agree when what they say of a vertex differs by less than this, metres. */
const AGREE = 1e-5;

/**
 * What a learner reads first.
 * @param {Written} w @param {{posed: boolean, clips: boolean, skinned: boolean}} how
 */
export function lead(w, how) {
  const n = w.terms.length;
  if (n === 0) return 'No joint holds this vertex, so its sum is empty: a player leaves it at the origin of the scene.';
  if (!how.skinned) return 'No skin moves this vertex. It follows the node that carries it, stiffly: one matrix, no weights.';
  if (n === 1) return 'One joint alone holds this vertex, so there is nothing to add up: it goes where that joint carries it.';
  const agree = w.spread < AGREE;
  const first = `Each of its ${n} joints says where it alone would carry the vertex. The place is the sum of these, each counted by its weight.`;
  if (!agree) return `${first} Here they disagree by up to ${metres(w.spread)}.`;
  if (how.posed) return `${first} At this moment they all name the same place, so the weights make no difference.`;
  return `${first} At rest they all name the same place, so the weights make no difference yet: play a move from the card of one of them${how.clips ? ', or a clip,' : ''} and see them part.`;
}

/** place = 0.61 A + 0.39 B. @param {Written} w */
export const formula = (w) => `place = ${w.terms.length === 0 ? '0' : w.terms.map((t) => `${six(t.weight)} ${t.letter}`).join(' + ')}`;

/** The section of the card. @param {Written|null} w @param {boolean} skinned */
export function sumSection(w, skinned) {
  if (!w) return false;
  const n = w.terms.length,
    k = now(n);
  return h(
    'section',
    { class: 'sum', 'aria-labelledby': 'h-sum' },
    h('h3', { id: 'h-sum' }, 'The sum written out', n > 1 && steps(k, n)),
    h('p', { class: 'prose' }, lead(w, { posed: desk.clip >= 0 || desk.move !== null, clips: (desk.figure?.clips.length ?? 0) > 0, skinned })),
    n > 1 && h('p', { class: 'formula' }, formula(w)),
    terms(w, k),
    n > 1 && onFigure(w),
    n > 0 && skinned && rules(w),
  );
}

/** @param {number} k @param {number} n */
function steps(k, n) {
  const button = (/** @type {string} */ name, /** @type {string} */ word, /** @type {string} */ sign, /** @type {string} */ key, /** @type {number} */ d) =>
    h(
      'button',
      { class: 'btn sq', type: 'button', 'data-focus': name, 'aria-label': word, 'data-tip': word, 'data-key': key, click: () => stepTerm(d) },
      sign,
    );
  return h(
    'span',
    { class: 'steps', role: 'group', 'aria-label': 'Terms that are added' },
    h('span', {}, `${k} of ${n} added`),
    button('less', 'One term less', '\u2212', 'Shift T', -1),
    button('more', 'One term more', '+', 'T', 1),
  );
}

/** @param {Written} w @param {number} k terms added */
function terms(w, k) {
  const n = w.terms.length;
  const xyz = (/** @type {number[]} */ p) => p.map((x) => h('td', {}, five(x)));
  const row = (/** @type {string} */ cls, /** @type {(Node|string)[]} */ name, /** @type {number[]} */ p) =>
    h('tr', { class: cls }, h('th', { scope: 'row' }, ...name), ...xyz(p));
  return h(
    'table',
    { class: 'terms' },
    h('caption', { class: 'vh' }, 'The terms of the sum, in the order the file stores them'),
    h('thead', {}, h('tr', {}, h('td', {}), ...['x', 'y', 'z'].map((c) => h('th', { scope: 'col' }, c)))),
    h(
      'tbody',
      {},
      row('', [`vertex as stored${w.morphed ? ', morphed' : ''}`], w.position),
      row('', [spot('rest'), 'where it stands at rest'], w.rest),
    ),
    ...w.terms.map((t, i) =>
      h(
        'tbody',
        { class: i < k ? (i === k - 1 ? 'now' : '') : 'later' },
        h(
          'tr',
          { class: 'joint-row' },
          h(
            'th',
            { colspan: 4, scope: 'rowgroup' },
            h('b', { class: `letter ${side(t)}` }, t.letter),
            ' ',
            h(
              'button',
              { class: 'text', type: 'button', 'data-focus': `t${i}`, 'data-tip': 'This joint\u2019s card', click: () => choose({ kind: 'joint', node: t.node }) },
              nameOf(t),
            ),
            h('span', { class: 'wt' }, 'weight ', h('b', {}, six(t.weight))),
          ),
        ),
        i === k - 1 && h('tr', {}, h('td', { colspan: 4 }, matrix(t))),
        row('', [spot(`end ${side(t)}`), `${t.letter}: matrix × vertex`], t.alone),
        i < k && row('adds', [`${six(t.weight)} × ${t.letter} adds`], t.adds),
        i < k && n > 1 && row('total', ['sum so far'], t.total),
        i === k - 1 && n > 1 && row('stands', [spot('stands'), i === n - 1 ? 'end of the dotted way' : 'dotted way so far'], t.stands),
      ),
    ),
    h(
      'tbody',
      { class: k === n ? 'end' : 'end later' },
      n > 1 &&
        h(
          'tr',
          { class: Math.abs(w.weight_sum - 1) > 1e-6 ? 'off' : '' },
          h('th', { scope: 'row' }, 'weights sum to'),
          h('td', { colspan: 3 }, six(w.weight_sum)),
        ),
      row('', [h('b', {}, 'place, metres')], w.stored),
      desk.method !== 'linear' && n > 1 && row('', [spot('stands'), 'by dual quaternion'], w.dual.place),
    ),
  );
}

/** The 3×4 that counts of a joint's matrix, and the row every such matrix ends in. @param {Term} t */
function matrix(t) {
  const rows = [0, 1, 2].map((r) => t.matrix.slice(4 * r, 4 * r + 4).map(five));
  rows.push(['0', '0', '0', '1']);
  return h(
    'table',
    { class: 'matrix' },
    h('caption', {}, `matrix of ${nameOf(t)}: from the bind pose to here`),
    h('tbody', {}, ...rows.map((r) => h('tr', {}, ...r.map((x) => h('td', {}, x))))),
  );
}

/** @param {Term} t */
function side(t) {
  const s = desk.figure?.byNode.get(t.node)?.side;
  return s === 'left' || s === 'right' ? s : 'middle';
}

/** The mark that stands on the figure. @param {string} kind */
function spot(kind) {
  const s = sheet('spot', 12, 12);
  const [what, which] = kind.split(' ');
  if (what === 'rest') draw(s, 'circle', { class: 'ring', cx: 6, cy: 6, r: 3.4 });
  else if (what === 'end') draw(s, 'circle', { class: `dot-${which}`, cx: 6, cy: 6, r: 3.4 });
  else draw(s, 'circle', { class: 'dot-now', cx: 6, cy: 6, r: 3.4 });
  return s;
}

/** What is drawn on the stage, in words. @param {Written} w */
function onFigure(w) {
  const short = w.weight_sum - 1;
  return h(
    'p',
    { class: 'soft figure-says' },
    'On the figure: ',
    spot('rest'),
    ' at rest; the letters stand where one joint alone would carry the vertex; the dotted way adds one pull after the other, each its weight\u2019s share of the way to its letter. What is not added yet still counts at rest.',
    Math.abs(short) > 1e-6 && ` The weights ${short < 0 ? 'lack' : 'exceed 1 by'} ${plain(Math.abs(short))}${short < 0 ? ' of 1' : ''}: the last piece of the way, ${short < 0 ? 'towards' : 'away from'} the origin.`,
    desk.method !== 'linear' &&
      ` ${desk.method === 'both' ? 'The right half is drawn' : 'Drawn'} by dual quaternions: the brass line, ${mm(w.dual.shift_m)} from this sum.`,
    ' ',
    h('button', { class: 'text', type: 'button', 'data-focus': 'way', click: () => frameWay(w) }, 'Bring the way to the front'),
  );
}

/** @param {Written} w */
function frameWay(w) {
  const all = [w.rest, w.stored, w.place, ...w.terms.map((t) => t.alone)];
  const low = [0, 1, 2].map((c) => Math.min(...all.map((p) => p[c]))),
    high = [0, 1, 2].map((c) => Math.max(...all.map((p) => p[c])));
  guarded((s) => s.frame({ point: low.map((x, c) => (x + high[c]) / 2), extent: Math.max(0.02, 2 * Math.hypot(...low.map((x, c) => high[c] - x))) }));
}

/** Where other rules would put it. @param {Written} w */
function rules(w) {
  const n = w.terms.length;
  /** @type {[string, Rule][]} */
  const all = [
    ['weights made whole', w.whole],
    ['four strongest, made whole', w.strongest],
    ['first four stored, made whole', w.first_four],
    ['dual quaternion', w.dual],
  ];
  return h(
    'table',
    { class: 'pairs rules' },
    h('caption', {}, 'By other rules'),
    h(
      'thead',
      { class: 'vh' },
      h('tr', {}, h('th', { scope: 'col' }, 'rule'), h('th', { scope: 'col' }, 'joints counted'), h('th', { scope: 'col' }, 'shift')),
    ),
    h(
      'tbody',
      {},
      ...all.map(([name, r]) =>
        h(
          'tr',
          {},
          h('th', { scope: 'row' }, name),
          h('td', { class: 'soft' }, r.influences === n ? `all ${n}` : `${r.influences} of ${some(n, 'joint')}`),
          h('td', {}, mm(r.shift_m)),
        ),
      ),
    ),
  );
}
