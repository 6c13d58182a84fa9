import { h, icon, mark, must } from '../base/dom.js';
import { refill } from '../base/redraw.js';
import { on, tell } from '../state/desk.js';
import { isNight } from '../state/habits.js';
import { addOpen, closeLineup, isRunning, line, loadLineup, lineupIsOpen, openFigure, openRow, outdated, refresh, remove, stopLineup } from './lineup.js';
import { ordered, sortHead } from '../base/sortable.js';
import { saveAs } from '../shared/save.js';
import { cut, some, value } from '../base/words.js';

/** @typedef {import('./lineup.js').Entry} Entry */
/** @typedef {import('./lineup.js').Cell} Cell */
/** @typedef {{entry: Entry, row: Wire.LineupRow|null}} Line a row as it is shown: row null while it is not examined */

/** The line-up as a sheet over the stage: acts, argument, table. @param {{pick: () => void}} acts */
export function mountLineup(acts) {
  const root = must('lineup');
  const head = h('header', {}),
    says = h('div', { class: 'argues' }),
    thead = h('thead', {}),
    tbody = h('tbody', {});
  const region = h(
    'div',
    { class: 'spread', role: 'region', 'aria-label': 'Table of the models', tabindex: '0' },
    h('table', { class: 'lined' }, h('caption', { class: 'vh' }, 'Models side by side; a heading sorts, a marked cell opens the finding behind it'), thead, tbody),
  );
  const foot = h('footer', { class: 'soft' });
  root.append(head, says, region, foot);

  const draw = () => {
    for (const b of document.querySelectorAll('.acts [data-act="lineup"]')) {
      b.textContent = line.entries.length > 0 ? `Line-up (${line.entries.length})` : 'Line-up';
      b.setAttribute('aria-pressed', String(lineupIsOpen()));
    }
    if (!lineupIsOpen()) return;
    refill(head, ...headOf(acts));
    refill(says, ...argument());
    const rows = lines().filter(wanted);
    region.hidden = foot.hidden = line.entries.length === 0;
    const turn = (/** @type {import('../base/sortable.js').Order} */ o) => {
      line.order = o;
      draw();
    };
    refill(thead, line.doc || rows.length > 0 ? heads(turn) : null);
    refill(tbody, ...rows.map(rowOf));
    if (rows.length === 0 && line.entries.length > 0) tbody.append(h('tr', {}, h('td', { colspan: 99, class: 'soft' }, 'No model matches.')));
    foot.textContent = 'A marked cell opens the finding behind it, a name the model. Clips do not count in the argument, since they are put on afterwards.';
  };
  on('lineup', (how) => {
    draw();
    if (how.opened) must('h-lineup').focus();
    const button = /** @type {HTMLElement} */ (document.querySelector('.acts [data-act="lineup"]'));
    if (how.closed) (button.offsetParent ? button : must('pad')).focus({ preventScroll: true });
  });
  on('lineup-progress', (e) => {
    const cell = tbody.querySelector(`[data-progress="${e.id}"]`);
    if (cell) refill(cell, ...progress(e));
  });
  for (const kind of ['judge', 'phase', 'paper']) on(kind, draw);
  draw();
}

/** @param {{pick: () => void}} acts */
function headOf(acts) {
  const done = line.entries.filter((e) => e.state === 'done').length,
    all = line.entries.length;
  const button = (/** @type {string} */ focus, /** @type {string} */ words, /** @type {() => void} */ click, cls = 'btn') =>
    h('button', { class: cls, type: 'button', 'data-focus': focus, click }, words);
  const stopped = line.entries.some((e) => e.state === 'stopped');
  return [
    h('h2', { id: 'h-lineup', tabindex: '-1' }, 'Line-up'),
    h('p', { class: 'soft' }, all === 0 ? '' : done === all ? some(all, 'model') : `${done} of ${some(all, 'model')} examined`),
    h(
      'div',
      { class: 'row' },
      isRunning() && button('stop', 'Stop here', stopLineup),
      !isRunning() && (stopped || outdated().length > 0) && button('again', stopped ? 'Examine the rest' : 'Examine again', refresh),
      button('add', 'Add models…', acts.pick, all === 0 ? 'btn lead' : 'btn'),
      openFigure() && button('add-open', 'Add the open figure', addOpen),
      h('label', { class: 'btn file' }, 'Load a line-up…', h('input', { class: 'vh', type: 'file', id: 'lineup-load', accept: '.json', change: load })),
      line.doc && button('csv', 'Save the table (CSV)', () => saveAs(line.csv, 'line-up.csv', 'text/csv', 'The table is saved.')),
      line.doc && button('json', 'Save it as JSON', () => saveAs(line.json, 'line-up.json', 'application/json', 'The line-up is saved.')),
      button('close', 'Back', closeLineup, 'btn'),
    ),
  ];
}

/** @param {Event} e */
async function load(e) {
  const input = /** @type {HTMLInputElement} */ (e.target);
  const text = await input.files?.[0]?.text();
  input.value = '';
  if (text !== undefined) tell('say', loadLineup(text) || 'The line-up is loaded. Drop its models to open them.');
}

/** What is searched for stands in a name, a reason, a finding or a word of the table. @param {Line} l */
function wanted(l) {
  if (line.fit && !l.row?.fit) return false;
  const row = l.row;
  const text = [l.entry.path, row?.file, row?.reason, row?.body, row?.error, ...(row?.findings ?? []).map((f) => f.title), ...Object.values(row?.cells ?? {}).map((c) => c.words ?? '')].join(' ').toLowerCase();
  return line.wanted.toLowerCase().split(/\s+/).every((w) => text.includes(w));
}

function argument() {
  if (line.entries.length === 0)
    return [
      h(
        'div',
        { class: 'drop-in' },
        h('p', { class: 'prose' }, 'Drop several models here: they are examined one after the other and set side by side, and the best for rigging is argued for.'),
        h('p', { class: 'soft' }, 'Nothing leaves this machine, and each model gives its memory back when it is examined.'),
      ),
    ];
  const old = outdated().length;
  return [
    line.doc && h('p', { class: 'prose' }, line.doc.argument.says),
    h(
      'div',
      { class: 'row sieve' },
      h('label', {}, 'Only ', h('input', { class: 'field', id: 'lineup-wanted', 'data-focus': 'lineup-wanted', value: line.wanted, placeholder: 'name, reason or finding', autocomplete: 'off', input: (/** @type {Event} */ e) => sift({ wanted: /** @type {HTMLInputElement} */ (e.target).value }) })),
      h('label', { class: 'check' }, h('input', { type: 'checkbox', 'data-focus': 'lineup-fit', id: 'lineup-fit', checked: line.fit, change: (/** @type {Event} */ e) => sift({ fit: /** @type {HTMLInputElement} */ (e.target).checked }) }), 'nothing in the way'),
    ),
    old > 0 && h('p', { class: 'soft' }, `${old === 1 ? 'One model was' : `${old} models were`} examined with other limits than those of the page now.`),
  ];
}

/** @param {{wanted?: string, fit?: boolean}} to */
function sift(to) {
  Object.assign(line, to);
  tell('lineup', {});
}

/** @returns {Line[]} in the order asked for; what is not examined stands last */
function lines() {
  const here = new Set(line.entries);
  /** @type {Line[]} */
  const done = line.of.map((entry, i) => ({ entry, row: line.doc?.rows[i] ?? null })).filter((l) => here.has(l.entry) && l.entry.state === 'done');
  const shown = new Set(done.map((l) => l.entry));
  const rest = line.entries.filter((e) => !shown.has(e)).map((entry) => ({ entry, row: null }));
  return [...ordered(done, line.order, sortValue), ...rest];
}

/** @param {Line} l @param {string} key */
const sortValue = (l, key) => (key === 'place' ? l.row?.place || null : key === 'file' ? l.row?.file : l.row?.cells?.[key]?.value);

/** @param {(o: import('../base/sortable.js').Order) => void} turn */
function heads(turn) {
  return h(
    'tr',
    {},
    sortHead(line.order, 'place', 'place', turn, { class: 'num', tip: '1 is the best for rigging; the same place: nothing that decides tells them apart' }),
    h('th', { scope: 'col' }, h('span', { class: 'vh' }, 'Picture')),
    sortHead(line.order, 'file', 'model', turn, { class: 'name' }),
    h('th', { scope: 'col', class: 'say' }, 'why'),
    ...(line.doc?.columns ?? []).map((c) => sortHead(line.order, c.key, c.title, turn, { down: c.down, tip: c.tells, class: wordy(c) ? 'say' : 'num' })),
    h('th', { scope: 'col' }, h('span', { class: 'vh' }, 'Remove')),
  );
}

/** Columns of words. @param {{key: string}} c */
const wordy = (c) => ['skin', 'arms', 'ready'].includes(c.key);

/** @param {Line} l */
function rowOf(l) {
  const { entry, row } = l;
  const name = row?.file ?? entry.path.split('/').pop() ?? entry.path;
  const open = () => openRow(entry);
  const columns = line.doc?.columns ?? [];
  const shot = entry.shots[isNight() ? 'night' : 'day'];
  return h(
    'tr',
    {
      'aria-current': line.opened === entry ? 'true' : null,
      class: row?.place === 1 && row.fit ? 'best' : '',
      click: (/** @type {Event} */ e) => {
        if (row && e.target instanceof Element && !e.target.closest('button')) open();
      },
    },
    h('td', { class: 'num' }, row?.place ? String(row.place) : ''),
    h('td', { class: 'seen' }, h('span', { class: 'portrait' }, shot ? h('img', { src: shot, alt: '', width: 52, height: 64, draggable: 'false' }) : null)),
    h(
      'th',
      { scope: 'row', class: 'name' },
      row ? h('button', { class: 'text', type: 'button', 'data-focus': `open-${entry.id}`, 'data-tip': `Open ${name}`, click: open }, cut(name, 40)) : cut(name, 40),
    ),
    h('td', { class: 'why' }, row?.reason ? h('span', { 'data-tip': row.reason.length > 60 ? row.reason : null }, row.reason) : ''),
    ...(row && row.state !== 'unread'
      ? columns.map((c) => cellOf(entry, c, row.cells?.[c.key]))
      : [h('td', { colspan: Math.max(1, columns.length), class: 'say', 'data-progress': entry.id }, ...(row ? [mark('wait'), ' ', row.error] : progress(entry)))]),
    h(
      'td',
      {},
      h(
        'button',
        { class: 'btn sq', type: 'button', 'aria-label': `Take ${name} out of the line-up`, 'data-tip': 'Take it out', 'data-focus': `out-${entry.id}`, click: () => remove(entry) },
        icon('i-out'),
      ),
    ),
  );
}

/** @param {Entry} entry @param {{key: string, title: string, unit: string}} c @param {Cell|undefined} cell */
function cellOf(entry, c, cell) {
  if (!cell) return h('td', {});
  const none = cell.value === null;
  const text = none ? '—' : typeof cell.value === 'number' ? value(cell.value, c.unit) : (cell.words ?? String(cell.value));
  const words = [cell.at_least && '≥\u00a0', text, none && h('span', { class: 'vh' }, ` no value: ${cell.reason ?? ''}`)];
  const cls = wordy(c) ? 'say' : 'num';
  if (!cell.finding) return h('td', { class: cls, 'data-tip': none ? cell.reason : null }, ...words);
  return h(
    'td',
    { class: cls },
    h(
      'button',
      {
        class: 'cell',
        type: 'button',
        'data-focus': `${c.key}-${entry.id}`,
        'data-tip': tipOf(entry, cell),
        click: () => openRow(entry, cell.finding),
      },
      mark(cell.grade ?? 'note'),
      ...words,
      h('span', { class: 'vh' }, `, ${c.title}: ${cell.grade}, ${tipOf(entry, cell)}`),
    ),
  );
}

/** @param {Entry} entry @param {Cell} cell */
const tipOf = (entry, cell) => JSON.parse(entry.row).findings[(cell.finding ?? 1) - 1].title;

/** @param {Entry} e @returns {(Node|string)[]} */
function progress(e) {
  const p = e.progress;
  if (e.state === 'waiting') return [h('span', { class: 'soft' }, 'waits')];
  if (e.state === 'stopped') return [mark('wait'), ' ', h('span', { class: 'soft' }, 'not examined: stopped')];
  return [
    h('progress', { max: Math.max(1, p?.total ?? 1), value: p?.done ?? 0, 'aria-label': `Progress of ${e.path}` }),
    ' ',
    h('span', { class: 'soft' }, p?.text || 'Reading the file'),
  ];
}
