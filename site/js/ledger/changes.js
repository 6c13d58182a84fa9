import { h, mark } from '../base/dom.js';
import { choose, desk } from '../state/desk.js';
import { olderFigure, standBeside, takeBesideAway } from '../talk/beside.js';

/** At the head of the ledger, after the file or a newer one of its name was read: what changed, numbers side by side. @param {() => void} fill */
export function changesStrip(fill) {
  const c = desk.changes?.report;
  if (!c) return null;
  const rows = [
    ...c.fresh.map((f) => line('new', f, null)),
    ...c.worse.map((p) => line('worse', p.is, p.was)),
    ...c.better.map((p) => line('better', p.is, p.was)),
    ...c.gone.map((f) => line('gone', f, f)),
    ...c.counts.map((n) => h('tr', {}, h('th', { scope: 'row' }, n.name), h('td', {}, n.was), h('td', {}, n.is))),
  ];
  return h(
    'section',
    { class: 'changes', 'aria-label': 'Since the last reading' },
    h(
      'header',
      {},
      h('p', {}, h('b', {}, 'Since the last reading: '), c.says),
      olderFigure() && h('button', { class: 'text', type: 'button', 'data-focus': 'older', 'data-tip': 'As it was read before, beside it as it is: one camera, one lens, one moment', click: standOlder }, 'Side by side'),
      h('button', { class: 'text', type: 'button', 'data-focus': 'seen', click: () => { desk.changes = null; if (desk.beside?.what === 'older') takeBesideAway(); fill(); } }, 'Seen'),
    ),
    rows.length > 0 &&
      h(
        'table',
        {},
        h('thead', {}, h('tr', {}, h('th', { scope: 'col' }, 'what changed'), h('th', { scope: 'col' }, 'was'), h('th', { scope: 'col' }, 'is'))),
        h('tbody', {}, ...rows),
      ),
    c.unknown.length > 0 && h('p', {}, `Nothing is told of ${c.unknown.join(', ')}: not looked at on one side.`),
  );
}

/** The figure as it was read before stands beside the newer one. */
function standOlder() {
  const older = olderFigure();
  if (older) standBeside(older, { what: 'older', words: 'Newer on the left, older on the right.', halves: ['newer', 'older'] });
}

/** @param {'new'|'worse'|'better'|'gone'} how @param {Wire.CompareFinding} f @param {Wire.CompareFinding|null} was */
const line = (how, f, was) =>
  h(
    'tr',
    { 'data-change': how },
    h(
      'th',
      { scope: 'row' },
      mark(f.grade),
      h('span', { class: 'how' }, ` ${how} `),
      how === 'gone'
        ? h('s', {}, f.title)
        : h('button', { class: 'text', type: 'button', 'data-focus': `since-${f.number}`, 'data-tip': f.subject || null, click: () => choose({ kind: 'finding', number: f.number }, { turn: true }) }, `${f.number} ${f.title}`),
    ),
    h('td', {}, was ? said(was) : '–'),
    h('td', {}, how === 'gone' ? '–' : said(f)),
  );

/** @param {Wire.CompareFinding} f */
const said = (f) => f.says || f.grade;
