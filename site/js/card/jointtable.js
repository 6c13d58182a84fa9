import { h, must } from '../base/dom.js';
import { choose, desk, on, tell } from '../state/desk.js';
import { ask } from '../talk/ask.js';
import { spark } from './histogram.js';
import { named, rowsOf } from './jointrows.js';
import { saveText } from '../shared/save.js';
import { part } from '../base/slices.js';
import { ordered, sortHead } from '../base/sortable.js';
import { count, metres, plain, some, weightSum } from '../base/words.js';
import { rooms } from '../state/rooms.js';

const its = rooms.table;

/** @typedef {import('./jointrows.js').Row} Row */

/** @type {[string, string, string, boolean][]} key, head, what it holds, largest first */
const COLUMNS = [
  ['name', 'joint', 'Name of the joint', false],
  ['vertices', 'vertices', 'Vertices that it holds with any weight', true],
  ['dominant', 'strongest', 'Vertices that no other joint holds more', true],
  ['weight_sum', 'sum', 'Sum of all its weights', true],
  ['largest', 'largest', 'Its largest weight', true],
  ['', 'histogram', '', false],
  ['reach', 'reach', 'Farthest vertex that it holds', true],
  ['islands', 'patches', 'Separate patches of surface', true],
  ['partner', 'partner', 'The joint on the other side', false],
  ['difference', 'differs', 'How much the weights of the two sides differ, summed over its vertices', true],
];

/** A dialog over the page; the list of joints asks for it by the news 'joint-table'. */
export function mountJointTable() {
  const dialog = /** @type {HTMLDialogElement} */ (must('joint-table'));
  on('joint-table', () => {
    fill();
    dialog.showModal();
  });
  on('figure', part(() => {
    if (dialog.open) fill();
  }).later);
}

function fill() {
  const figure = desk.figure;
  if (!figure) return;
  if (its.kept?.of !== figure) its.kept = { of: figure, drawn: new Map(), rows: rowsOf(figure) };
  const { rows } = its.kept;
  const several = new Set(rows.map((r) => r.skin)).size > 1;
  const body = h('tbody', {});
  const says = h('span', { class: 'soft', role: 'status' });
  const put = () => {
    const left = ordered(named(rows, its.wanted), its.order, (r, k) => /** @type {any} */ (r)[k]);
    body.replaceChildren(...left.map((r) => drawnRow(r, several)));
    if (left.length === 0) body.replaceChildren(h('tr', {}, h('td', { colspan: COLUMNS.length + Number(several), class: 'soft' }, 'No joint matches.')));
    says.textContent = left.length === rows.length ? some(rows.length, 'row') : `${count(left.length)} of ${some(rows.length, 'row')}`;
  };
  const turn = (/** @type {import('../base/sortable.js').Order} */ next) => {
    its.order = next;
    const held = document.activeElement?.getAttribute('data-focus');
    head.replaceChildren(...heads());
    put();
    if (held) /** @type {HTMLElement|null} */ (head.querySelector(`[data-focus="${held}"]`))?.focus();
  };
  const heads = () => [
    several && sortHead(its.order, 'skin', 'skin', turn),
    ...COLUMNS.map(([key, label, tip, down]) =>
      key ? sortHead(its.order, key, label, turn, { tip, down, class: key === 'name' || key === 'partner' ? 'name' : '' }) : h('th', { scope: 'col' }, label),
    ),
  ].filter((x) => x !== false);
  const head = h('tr', {}, ...heads());
  put();
  must('joint-table-body').replaceChildren(
    h(
      'div',
      { class: 'row table-tools' },
      h('input', {
        class: 'field',
        type: 'search',
        placeholder: 'Name',
        'aria-label': 'Only joints whose name holds',
        value: its.wanted,
        input: (/** @type {Event} */ e) => {
          its.wanted = /** @type {HTMLInputElement} */ (e.target).value;
          put();
        },
      }),
      says,
      h('button', { class: 'btn', type: 'button', 'data-focus': 'csv', 'data-tip': 'All rows, for a spreadsheet', click: saveTable }, 'Save as CSV'),
    ),
    h(
      'div',
      { class: 'table-room', tabindex: '0', role: 'region', 'aria-label': 'Table of joints' },
      h('table', { class: 'joint-rows' }, h('caption', { class: 'vh' }, 'What each joint holds. Heads sort; a name shows the joint.'), h('thead', {}, head), body),
    ),
  );
}

/** @param {Row} r @param {boolean} several */
function drawnRow(r, several) {
  const old = its.kept?.drawn.get(r);
  if (old) return old;
  const td = (/** @type {string} */ words) => h('td', {}, words);
  const row = h(
    'tr',
    { class: r.vertices === 0 ? 'idle' : '' },
    several && td(String(r.skin)),
    h('th', { scope: 'row' }, h('button', { class: `text ${r.side ?? ''}`, type: 'button', click: () => show(r.node) }, r.name), r.idle && h('small', {}, ` ${r.idle}`)),
    td(count(r.vertices)),
    td(count(r.dominant)),
    td(weightSum(r.weight_sum)),
    td(plain(r.largest)),
    h('td', { class: 'pic' }, spark(r.histogram), h('span', { class: 'vh' }, r.histogram.join(', '))),
    td(r.reach === null ? '' : metres(r.reach)),
    td(r.islands === null ? '' : count(r.islands)),
    h('td', { class: 'name' }, r.partner),
    td(r.difference === null ? '' : plain(r.difference)),
  );
  its.kept?.drawn.set(r, row);
  return row;
}

/** @param {number} node */
function show(node) {
  /** @type {HTMLDialogElement} */ (must('joint-table')).close();
  choose({ kind: 'joint', node }, { turn: true });
}

/** The very file that the command line writes with --joints-csv. */
async function saveTable() {
  const m = await ask('joints', {});
  if (m?.json) saveText(m.json, 'joints.csv', 'text/csv', 'The table of joints is saved.');
  else tell('say', 'The examination has ended before Binding; read the file again to save its table.');
}
