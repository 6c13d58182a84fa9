import { h, mark } from '../base/dom.js';
import { some } from '../base/words.js';
import { GRADE } from '../shared/grades.js';
import { entryOf } from '../shared/limits.js';

// A receipt as a person reads it: what a mend cleared, planted and moved.

/** A check by its title. @param {string} id */
export const titleOf = (id) => entryOf(id)?.title ?? id;

/** The engine's words with checks called by their titles. @param {string} words */
export const titled = (words) => words.replace(/\b(intake|surface|skeleton|binding|bends|motion)\/[a-z-]+/g, (id) => titleOf(id).replace(/^[A-Z](?=[a-z])/, (c) => c.toLowerCase()));

/** Checks with the mark of their grade. @param {string[]} ids @param {(id: string) => string} gradeOf */
const list = (ids, gradeOf) => h('ul', {}, ...ids.map((id) => h('li', {}, mark(gradeOf(id) || 'note'), h('span', { class: 'vh' }, `${GRADE[/** @type {keyof typeof GRADE} */ (gradeOf(id) || 'note')]}: `), titleOf(id))));

/** What came by a mend: "2 planted, 1 made worse", '' where nothing did. @param {Wire.MendReceipt} r */
export const ill = (r) => [r.planted.length > r.worse.length && `${r.planted.length - r.worse.length} planted`, r.worse.length > 0 && `${r.worse.length} made worse`].filter(Boolean).join(', ');

/** The outcome in a line: "4 cleared · none planted". @param {Wire.MendReceipt} r */
export const brief = (r) => `${r.cleared.length > 0 ? `${some(r.cleared.length, 'check')} cleared` : r.shrunk.length > 0 ? `${some(r.shrunk.length, 'check')} less` : 'nothing cleared'} · ${ill(r) || 'none planted'}`;

/**
 * The table of a receipt.
 * @param {Wire.MendTold} told @param {(row: Wire.MendRow) => (Node|null)} [instead] what stands in the place of a row's words
 */
export function receiptTable(told, instead = () => null) {
  const r = told.receipt;
  if (!r || r.why === 'refused') return null;
  const before = (/** @type {string} */ id) => r.checks.find((c) => c.id === id)?.before.grade ?? '';
  const after = (/** @type {string} */ id) => r.checks.find((c) => c.id === id)?.after.grade ?? '';
  /** @type {[string, string[], (id: string) => string, boolean][]} */
  const rows = [
    ['cleared', r.cleared, before, true],
    ['less', r.shrunk, after, false],
    ['planted', r.planted.filter((id) => !r.worse.includes(id)), after, true],
    ['made worse', r.worse, after, false],
    ['came to light', r.revealed, after, false],
    ['no longer looked at', r.hidden, before, false],
  ];
  return h(
    'table',
    { class: 'receipt' },
    h('caption', { class: 'vh' }, 'Receipt'),
    h(
      'tbody',
      {},
      ...rows
        .filter(([, ids, , always]) => always || ids.length > 0)
        .map(([name, ids, grade]) => h('tr', { 'data-row': name.replaceAll(' ', '-') }, h('th', { scope: 'row' }, name), h('td', {}, ids.length > 0 ? list(ids, grade) : 'none'))),
      ...told.rows.map((row) => h('tr', { 'data-row': row.name.replaceAll(' ', '-') }, h('th', { scope: 'row' }, row.name), h('td', {}, instead(row) ?? row.says))),
    ),
  );
}

/** What a receipt says besides: its sentences, and what was left as it was. @param {Wire.MendTold} told */
export function receiptWords(told) {
  const r = told.receipt;
  if (!r || r.why === 'refused') return [];
  return [
    ...r.says.map((s) => h('p', { class: 'prose' }, s)),
    ...r.refused.map((s) => h('p', { class: 'prose' }, h('b', {}, 'Left as it is: '), s)),
  ];
}
