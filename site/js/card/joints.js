import { draw, h, radios, sheet } from '../base/dom.js';
import { choose, desk, tell } from '../state/desk.js';
import { rooms } from '../state/rooms.js';
import { spark } from './histogram.js';
import { whole } from '../base/slices.js';
import { count, roleWords, some } from '../base/words.js';

/** @typedef {import('../state/types.js').Joint} Joint */

/** Rows that are made at once: five thousand hold the page for seconds. */
const MOST = 300;
const { wanted } = rooms.joints;

/**
 * The joints that the search and the filters leave. Words are looked for in name and role, each anywhere.
 * @param {Joint[]} joints @param {{text: string, side: string, idle: boolean}} want
 */
export function sift(joints, want) {
  const words = want.text.toLowerCase().split(/\s+/).filter(Boolean);
  return joints.filter((j) => {
    const text = `${j.name} ${j.role ? roleWords(j.role) : ''} ${j.node}`.toLowerCase();
    return words.every((w) => text.includes(w)) && (want.side === 'all' || j.side === want.side) && (!want.idle || j.idle);
  });
}

/** Rows that are made before the page answers again. */
const PIECE = 40;

/** All that the list is built of; the same text: the same list. */
export const jointListAs = () =>
  JSON.stringify([desk.joint, desk.figure?.running, (desk.figure?.joints ?? []).map((j) => [j.node, j.name, j.depth, j.side, j.role, j.idle, j.held && [j.held.vertices, j.held.histogram]])]);

/** First face of the card: all joints, made in pieces. @returns {Generator<void, Node[]>} */
export function* jointList() {
  const joints = desk.figure?.joints ?? [];
  const head = h(
    'header',
    {},
    h(
      'p',
      { class: 'kick' },
      joints.length > 0 ? 'Choose one here or on the figure' : '',
      joints.some((j) => j.held) &&
        h('button', { class: 'text', type: 'button', 'data-focus': 'table', 'aria-haspopup': 'dialog', 'data-tip': 'All numbers of all joints, to sort and to save', click: () => tell('joint-table') }, 'As a table'),
    ),
    h('h2', { id: 'h-card' }, joints.length > 0 ? some(joints.length, 'joint') : 'Joints'),
    joints.some((j) => j.held) && h('p', { class: 'soft' }, 'A click on the surface shows a vertex, and why it goes where it goes.'),
  );
  if (joints.length === 0) {
    return [
      head,
      h(
        'p',
        { class: 'prose empty' },
        desk.figure && desk.figure.running
          ? 'The joints will stand here as soon as they are read: each with its role, the vertices it holds and the histogram of its weights.'
          : 'This file has no joints. In a file with a skeleton each joint stands here with its role, the vertices it holds and the histogram of its weights.',
      ),
    ];
  }
  const idle = joints.filter((j) => j.idle).length;
  const list = h('ol', { class: 'joints' });
  let most = MOST;
  /** @param {boolean} aloud */
  const fill = (aloud) => whole(pieces(aloud));
  /** @param {boolean} aloud */
  function* pieces(aloud) {
    const left = sift(joints, wanted);
    const shown = left.slice(0, most),
      rows = [];
    for (let i = 0; i < shown.length; i += PIECE) {
      rows.push(...shown.slice(i, i + PIECE).map(row));
      yield;
    }
    list.replaceChildren(...rows);
    if (left.length > most)
      list.append(h('li', {}, h('button', { class: 'text', type: 'button', 'data-focus': 'more-joints', click: () => { most += MOST; fill(false); } }, `Show ${Math.min(MOST, left.length - most)} of ${count(left.length - most)} more joints`)));
    if (left.length === 0) list.replaceChildren(h('li', { class: 'soft' }, h('p', { class: 'station-says' }, 'No joint matches.')));
    if (aloud) tell('speak', `${some(left.length, 'joint')}.`);
  }
  yield* pieces(false);
  const sides = [
    ['all', 'all'],
    ['left', 'left'],
    ['centre', 'centre'],
    ['right', 'right'],
  ];
  return [
    head,
    h(
      'div',
      { class: 'list-tools' },
      h('input', {
        class: 'field',
        type: 'search',
        placeholder: 'Name or role',
        'aria-label': 'Search the joints by name or role',
        value: wanted.text,
        'data-focus': 'search',
        input: (/** @type {Event} */ e) => {
          wanted.text = /** @type {HTMLInputElement} */ (e.target).value;
          fill(true);
        },
      }),
      h(
        'div',
        { class: 'row' },
        h(
          'span',
          { class: 'pair', role: 'group', 'aria-label': 'Side' },
          ...radios('side', /** @type {[string, string][]} */ (sides), wanted.side, (s) => {
            wanted.side = s;
            fill(true);
          }),
        ),
        h(
          'label',
          { class: 'check', 'data-tip': 'Joints that hold no vertex' },
          h('input', {
            type: 'checkbox',
            checked: wanted.idle,
            change: (/** @type {Event} */ e) => {
              wanted.idle = /** @type {HTMLInputElement} */ (e.target).checked;
              fill(true);
            },
          }),
          `idle only (${idle})`,
        ),
      ),
    ),
    list,
  ];
}

/** @param {Joint} j */
function row(j) {
  const chosen = desk.joint === j.node; // where one came from
  return h(
    'li',
    {},
    h(
      'button',
      {
        type: 'button',
        'aria-current': chosen ? 'true' : null,
        'data-focus': `j${j.node}`,
        click: () => choose({ kind: 'joint', node: j.node }, { turn: false }),
      },
      h('span', { class: 'n' }, ring(j), h('b', {}, j.name)),
      j.held ? spark(j.held.histogram) : h('span', {}),
      h(
        'span',
        { class: 'c' },
        j.held ? (j.idle ? 'idle' : count(j.held.vertices)) : '',
        h('span', { class: 'vh' }, `${j.held && !j.idle ? ' vertices' : ''}${j.role ? `, ${roleWords(j.role)}` : j.side ? `, ${j.side}` : ''}`),
      ),
    ),
  );
}

/** Ring and stem, as deep as the joint hangs; the stroke tells the side. @param {Joint} j */
function ring(j) {
  const deep = Math.min(j.depth, 9) * 5;
  const s = sheet('', deep + 14, 14);
  s.setAttribute('width', String(deep + 14));
  const stroke = j.side === 'left' ? 'fl' : j.side === 'right' ? 'fr' : 'ln';
  if (deep > 0) draw(s, 'path', { class: stroke, d: `M0 7H${deep + 1}` });
  const ink = j.side === 'left' ? 'sl' : j.side === 'right' ? 'sr' : 'ln';
  draw(s, 'circle', { class: `${ink} fsh`, cx: deep + 6, cy: 7, r: 4 });
  if (j.idle) draw(s, 'path', { class: ink, d: `M${deep + 2.5} 10.5l7-7` });
  return s;
}
