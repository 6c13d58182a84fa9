import { h, mark, must } from '../base/dom.js';
import { desk, on, told } from '../state/desk.js';
import { limitsForm } from '../shared/limits.js';
import { part } from '../base/slices.js';
import { passed } from '../base/words.js';

/** @typedef {import('../state/types.js').Entry} Entry */

/** All that is looked at, with measures and limits, as the catalogue has it; each limit can be moved. */
export function showChecks() {
  fill();
  /** @type {HTMLDialogElement} */ (must('checks')).showModal();
}

function fill() {
  const states = new Map(desk.covered ? [] : desk.figure?.stations.flatMap((s) => s.checks.map((c) => [c.id, c])));
  must('checks-body').replaceChildren(
    ...desk.catalogue.flatMap((s) => [h('h3', {}, s.title), h('ul', { class: 'checks' }, ...s.entries.map((e) => row(e, states.get(e.id))))]),
  );
}

const again = part(() => {
  if (/** @type {HTMLDialogElement} */ (must('checks')).open) fill();
});
on('judge', again.now);
on('figure', again.later);

/** @param {Entry} e @param {import('../state/types.js').CheckRow|undefined} c */
function row(e, c) {
  const worst = told().find((f) => f.id === e.id)?.grade;
  const said = c ? { clear: 'clear', found: 'found', 'not-looked-at': `not looked at: ${c.reason}` }[c.state] : '';
  return h(
    'li',
    {},
    h(
      'p',
      { class: 'row' },
      c && mark(c.state === 'found' ? (worst ?? 'note') : c.state === 'clear' ? 'clear' : 'wait'),
      h('b', {}, e.title),
      h('span', { class: 'soft' }, said),
    ),
    e.measure && h('p', {}, e.measure),
    h('p', { class: 'soft' }, e.limits.map((l) => limitWords(e, l)).join('; ') || 'listed, no limit', e.source ? `. Source: ${e.source}` : ''),
    limitsForm(e),
  );
}

/** @param {Entry} e @param {import('../state/types.js').Limit} l */
const limitWords = (e, l) =>
  `${desk.limits[e.id]?.[l.name] === undefined ? l.says : passed(l, desk.limits[e.id][l.name])}: ${l.grade} (${l.name})`;
