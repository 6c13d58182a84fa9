import { h, icon } from '../base/dom.js';
import { choose, desk, on } from '../state/desk.js';
import { rooms } from '../state/rooms.js';
import { chain } from './chain.js';
import { movesOf } from './movecard.js';
import { sectionOf } from './section.js';
import { histogram } from './histogram.js';
import { count, cut, metres, plain, roleWords, signed, weightSum } from '../base/words.js';

/** @typedef {import('../state/types.js').Joint} Joint */

const { how, against } = rooms.joint;
on('fresh', () => against.clear());

/** The joint's side in words, with its stroke. @param {Joint} joint @param {string} [words] */
export const sideWords = (joint, words) =>
  h(
    'span',
    { class: `side ${joint.side === 'left' || joint.side === 'right' ? joint.side : joint.side === 'centre' ? '' : 'none'}` },
    words ?? joint.side ?? '',
  );

/** Head of the card: which joint, its role and partner. @param {Joint} joint @param {() => void} list opens the list */
export function jointHead(joint, list) {
  const { joints, byNode } = /** @type {import('../state/types.js').Figure} */ (desk.figure);
  const at = joints.indexOf(joint);
  const step = (/** @type {number} */ d) => choose({ kind: 'joint', node: joints[(at + d + joints.length) % joints.length].node });
  const partner = joint.partner === null ? null : (byNode.get(joint.partner) ?? null);
  return h(
    'header',
    {},
    h(
      'p',
      { class: 'kick' },
      `Joint ${at + 1} of ${joints.length}`,
      h('button', { class: 'text', type: 'button', 'data-focus': 'list', 'data-tip': 'List of all joints', click: list }, 'All joints'),
      h(
        'span',
        { class: 'nav' },
        h('button', { class: 'btn sq', type: 'button', 'data-focus': 'back', 'aria-label': 'Previous joint', click: () => step(-1) }, icon('i-back')),
        h('button', { class: 'btn sq', type: 'button', 'data-focus': 'on', 'aria-label': 'Next joint', click: () => step(1) }, icon('i-step')),
      ),
    ),
    h('h2', { id: 'h-card', class: joint.name.length > 22 ? 'long' : '' }, joint.name),
    h('p', { class: 'role' }, ...roleLine(joint, partner)),
    joint.role && joint.evidence && h('p', { class: 'told' }, `Recognised by: ${joint.evidence}.`),
    chain(joint, byNode),
  );
}

/** The joint that a finding is about, under it: its name opens its own card. @param {Joint} joint */
export function jointUnder(joint) {
  const { byNode } = /** @type {import('../state/types.js').Figure} */ (desk.figure);
  const partner = joint.partner === null ? null : (byNode.get(joint.partner) ?? null);
  return h(
    'section',
    { class: 'under' },
    h('h3', {}, h('button', { class: 'text', type: 'button', 'data-focus': 'under', click: () => choose({ kind: 'joint', node: joint.node }) }, joint.name), ' in numbers'),
    h('p', { class: 'role' }, ...roleLine(joint, partner)),
    chain(joint, byNode),
  );
}

/** @param {Joint} joint @param {Joint|null} partner @returns {(Node|string)[]} */
function roleLine(joint, partner) {
  /** @type {(Node|string)[]} */
  const out = [];
  const role = joint.role ? roleWords(joint.role).replace(/^(left|right) /, '') : null; // the side stands before it, in its colour
  const sided = joint.side === 'left' || joint.side === 'right';
  if (sided) out.push(sideWords(joint), role ? ' ' : ', ');
  out.push(role ? `${role}${joint.sure === null ? '' : `, ${Math.round(100 * joint.sure)} % sure`}.` : sided ? 'no body role.' : 'No body role.');
  if (partner)
    out.push(
      ' Partner ',
      h(
        'button',
        {
          class: 'text',
          type: 'button',
          'data-focus': 'partner',
          'data-tip': 'The joint on the other side',
          'data-key': 'P',
          click: () => choose({ kind: 'joint', node: partner.node }),
        },
        partner.name,
      ),
    );
  return out;
}

/** Influence, the joint's moves, and the section where there is one. @param {Joint} joint @param {() => void} redraw */
export const jointBody = (joint, redraw) => [...influence(joint, redraw), movesOf(joint), sectionOf(joint, redraw)];

/** The second joint of the histogram: the one chosen for it, else the partner. @param {Joint} joint */
function secondOf(joint) {
  const node = against.get(joint.node) ?? joint.partner;
  return node === null || node < 0 ? null : (desk.figure?.byNode.get(node) ?? null);
}

/** Which second joint. @param {Joint} joint @param {() => void} redraw */
function secondChoice(joint, redraw) {
  const { joints, byNode } = /** @type {import('../state/types.js').Figure} */ (desk.figure);
  const now = against.get(joint.node);
  const partner = joint.partner === null ? null : byNode.get(joint.partner);
  const option = (/** @type {string} */ value, /** @type {string} */ words) => h('option', { value, selected: value === String(now ?? '') }, words);
  return h(
    'label',
    { class: 'second' },
    'beside ',
    h(
      'select',
      {
        class: 'field',
        'data-focus': 'second',
        change: (/** @type {Event} */ e) => {
          const v = /** @type {HTMLSelectElement} */ (e.target).value;
          if (v === '') against.delete(joint.node);
          else against.set(joint.node, Number(v));
          redraw();
        },
      },
      option('', partner ? `its partner, ${partner.name}` : 'no other joint'),
      partner && option('-1', 'no other joint'),
      ...joints.filter((j) => j.held && j !== joint && j !== partner).map((j) => option(String(j.node), j.name)),
    ),
  );
}

/** Histogram and the numbers beside those of a second joint. @param {Joint} joint @param {() => void} redraw */
function influence(joint, redraw) {
  const partner = secondOf(joint);
  if (!joint.held)
    return [
      h(
        'section',
        {},
        h('h3', {}, 'Influence'),
        h(
          'p',
          { class: 'prose' },
          desk.figure?.running === false
            ? 'This joint is in no skin, so it moves no surface by itself.'
            : 'Binding is still to come; the influence of this joint will stand here.',
        ),
      ),
    ];
  if (joint.idle && !against.has(joint.node) && (!partner?.held || partner.idle))
    return [
      h(
        'section',
        {},
        h('h3', {}, 'Influence'),
        h(
          'p',
          { class: 'prose' },
          `Holds no vertex${joint.idleAs ? `: ${IDLE[joint.idleAs] ?? joint.idleAs}` : ''}.${partner ? ' Its partner holds none either.' : ''}`,
        ),
      ),
    ];
  return [
    histogram(
      joint,
      partner,
      how,
      (change) => {
        Object.assign(how, change);
        redraw();
      },
      secondChoice(joint, redraw),
    ),
    joint.idle && h('p', { class: 'role' }, `Holds no vertex${joint.idleAs ? `: ${IDLE[joint.idleAs] ?? joint.idleAs}` : ''}.`),
    pairs(joint, partner),
  ];
}

/** Why a joint may hold nothing. @type {Record<string, string>} */
const IDLE = {
  end: 'it marks the tip of the bone above',
  carries: 'a surface without skin hangs on it',
  structural: 'joints below it do',
  helper: 'nor does any joint below it',
};

/** Rows of the table: name, value of a joint, words. @type {[string, (h: import('../state/types.js').Held) => number|null, (n: number) => string][]} */
const ROWS = [
  ['vertices held', (x) => x.vertices, count],
  ['where it is strongest', (x) => x.dominant, count],
  ['weight sum', (x) => x.weight_sum, weightSum],
  ['largest weight', (x) => x.largest, plain],
  ['reach', (x) => x.reach_m, metres],
  ['patches', (x) => x.islands, count],
];

/** @param {Joint} joint @param {Joint|null} partner */
function pairs(joint, partner) {
  const a = /** @type {import('../state/types.js').Held} */ (joint.held),
    b = partner?.held ?? null;
  const rows = ROWS.filter(([name, of]) => of(a) !== null && !(name === 'largest weight' && of(a) === 1 && (!b || of(b) === 1))).map(
    ([name, of, words]) => {
      const mine = of(a),
        theirs = b ? of(b) : null;
      const differs = mine !== null && theirs !== null && !same(mine, theirs);
      return h(
        'tr',
        { class: differs ? 'off' : '' },
        h('th', { scope: 'row' }, name),
        h('td', {}, mine === null ? 'none' : words(mine)),
        b && h('td', {}, theirs === null ? 'none' : words(theirs)),
        b && h('td', { class: 'd' }, mine === null || theirs === null ? '' : differs ? signed(mine - theirs, words) : '0'),
      );
    },
  );
  return h(
    'table',
    { class: 'pairs' },
    h('caption', { class: 'vh' }, partner ? `${joint.name} beside ${partner.name}` : `Numbers of ${joint.name}`),
    h(
      'thead',
      {},
      h(
        'tr',
        {},
        h('td', {}),
        h('th', { scope: 'col' }, joint.side ? sideWords(joint) : 'this joint'),
        b &&
          partner &&
          h('th', { scope: 'col' }, partner.node === joint.partner ? sideWords(partner, partner.side ?? 'partner') : sideWords(partner, cut(partner.name, 14))),
        b && h('th', { scope: 'col' }, 'differs'),
      ),
    ),
    h('tbody', {}, ...rows),
  );
}

/** Equal but for the last digits of a float. @param {number} a @param {number} b */
const same = (a, b) => a === b || Math.abs(a - b) <= 1e-4 * Math.max(Math.abs(a), Math.abs(b));
