import { h, must } from '../base/dom.js';
import { choose, desk, ranked } from '../state/desk.js';
import { rooms } from '../state/rooms.js';
import { openClip } from '../shared/clips.js';
import { GRADE } from '../shared/grades.js';
import { count, measuredShort, roleWords } from '../base/words.js';
import { matches } from './matches.js';

/** @typedef {import('./matches.js').Thing} Thing */

const its = rooms.find;

/** How many are shown; the rest is counted. */
const MOST = 10;

const sheet = () => /** @type {HTMLDialogElement} */ (must('find'));
const field = () => /** @type {HTMLInputElement} */ (must('find-text'));

/** All that can be sought: findings as the verdict ranks them, joints, clips, then what the page can do. @returns {Thing[]} */
function things() {
  const f = desk.figure;
  return [
    ...ranked().map((x) => ({ kind: GRADE[x.grade], title: x.title, more: [String(x.number), measuredShort(x.measures[0]), x.subject].filter(Boolean).join(' · '), run: () => choose({ kind: 'finding', number: x.number }, { turn: true }) })),
    ...(f?.joints ?? []).map((j) => ({ kind: 'Joint', title: j.name, more: j.role ? roleWords(j.role) : '', run: () => choose({ kind: 'joint', node: j.node }) })),
    ...(f?.clips ?? []).map((c) => ({ kind: 'Clip', title: c.name, more: '', run: () => openClip(c.clip) })),
    ...its.commands,
  ];
}

export function openFind() {
  if (document.querySelector('dialog[open]')) return;
  its.all = things();
  field().value = '';
  fill();
  sheet().showModal();
  field().focus();
}

function fill() {
  const found = matches(its.all, field().value);
  its.found = found.slice(0, MOST);
  its.at = 0;
  must('find-list').replaceChildren(
    ...its.found.map((t, i) =>
      h(
        'li',
        { role: 'option', id: `find-${i}`, 'aria-selected': String(i === 0), click: () => take(i) },
        h('span', { class: 'kind' }, t.kind),
        h('b', {}, t.title),
        h('span', { class: 'soft' }, t.more),
      ),
    ),
  );
  const typed = field().value.trim() !== '';
  must('find-says').textContent = !typed ? `${count(its.all.length)} to search: ${desk.covered ? '' : 'findings, '}joints, clips and what the page can do.` : found.length === 0 ? 'Nothing has that name.' : found.length > MOST ? `${count(found.length - MOST)} more; keep typing.` : '';
  point();
}

/** The option that Enter takes. */
function point() {
  [...must('find-list').children].forEach((li, i) => li.setAttribute('aria-selected', String(i === its.at)));
  const li = must('find-list').children[its.at];
  if (li) field().setAttribute('aria-activedescendant', li.id);
  else field().removeAttribute('aria-activedescendant');
  li?.scrollIntoView({ block: 'nearest' });
}

/** @param {number} i */
function take(i) {
  const t = its.found[i];
  if (!t) return;
  sheet().close();
  t.run();
}

/** @param {Thing[]} commands what the page can do */
export function mountFind(commands) {
  its.commands = commands;
  field().addEventListener('input', fill);
  field().addEventListener('keydown', (e) => {
    const n = its.found.length;
    if (e.key === 'Enter') take(its.at);
    else if ((e.key === 'ArrowDown' || e.key === 'ArrowUp') && n > 0) {
      its.at = (its.at + (e.key === 'ArrowDown' ? 1 : n - 1)) % n;
      point();
    } else return;
    e.preventDefault();
  });
}
