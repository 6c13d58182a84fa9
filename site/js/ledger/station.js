import { h, mark } from '../base/dom.js';
import { choose, desk, on, tell } from '../state/desk.js';
import { sieve, rooms } from '../state/rooms.js';
import { GRADE } from '../shared/grades.js';
import { count, lengths, limitedShort, measuredShort, some } from '../base/words.js';

const its = rooms.work;

/** @typedef {import('../state/types.js').Station} Station */
/** @typedef {import('../state/types.js').Finding} Finding */

/** Findings of one station that are shown at once: thousands hold the page for seconds. */
const MOST = 100;

on('progress', (p) => {
  its.progress = p;
});
/** @param {string} name */
export const progressWords = (name) => (its.progress?.station === name && its.progress.total > 0 ? `${its.progress.done} of ${its.progress.total}` : 'at work');

/** All that a station's rows are built of; the same text: the same rows. What a person folded or opened is on the page already. @param {Station} s */
export function stationAs(s) {
  const chosen = desk.chosen.kind === 'finding' && s.findings.some((f) => 'number' in desk.chosen && f.number === desk.chosen.number) ? desk.chosen.number : 0;
  return JSON.stringify([
    lengths.unit, s.state, s.whole, chosen, [...sieve.shown], sieve.clearToo, sieve.most.get(s.name), desk.figure?.running, known(s.name),
    s.checks.map((c) => [c.id, c.state, c.reason]),
    s.findings.map((f) => [f.number, f.id, f.grade, f.title, f.subject, f.measures[0], f.cause?.number, desk.changes?.of.get(f.number)]),
    (desk.figure?.doc.folds ?? []).filter((f) => f.station === s.name),
    gone(s.name).map((f) => [f.id, f.subject]), s.findings.map((f) => desk.mended?.of.get(f.number)),
  ]);
}

/** @param {Station} s */
export function station(s) {
  const all = s.findings.filter((f) => sieve.shown.has(f.grade));
  const most = sieve.most.get(s.name) ?? MOST;
  const rows = all.slice(0, most);
  const chosen = desk.chosen.kind === 'finding' ? desk.chosen.number : 0;
  rows.push(...all.slice(most).filter((f) => f.number === chosen));
  const waits = s.checks.filter((c) => c.state === 'not-looked-at');
  const clear = s.checks.filter((c) => c.state === 'clear');
  const reasons = [...new Set(waits.map((c) => c.reason))];
  const allWait = s.checks.length > 0 && waits.length === s.checks.length;
  const says =
    s.state === 'absent'
      ? desk.figure?.running === false && known(s.name)
        ? 'not reached'
        : 'not in this version'
      : s.state === 'now'
        ? progressWords(s.name)
        : s.state === 'wait'
          ? 'waits'
          : allWait
            ? 'not looked at'
            : clear.length > 0
              ? `${clear.length} clear`
              : '';
  if (s.state === 'absent' || (s.state !== 'done' && rows.length === 0 && gone(s.name).length === 0)) {
    return h(
      'li',
      { class: s.state, 'data-station': s.name },
      h(
        'div',
        { class: 'summary-like' },
        h(
          'details',
          {},
          h('summary', {}, h('h3', {}, s.title), h('span', { class: 'clear' }, says)),
          h('p', { class: 'station-says' }, s.state === 'absent' ? absentWords(s) : `${s.says[0]?.toUpperCase()}${s.says.slice(1)}.`),
        ),
      ),
    );
  }
  return h(
    'li',
    { class: allWait ? 'wait' : s.state, 'data-station': s.name },
    h(
      'details',
      {
        open: !sieve.folded.has(s.name),
        toggle: (/** @type {Event} */ e) => {
          if (/** @type {HTMLDetailsElement} */ (e.target).open) sieve.folded.delete(s.name);
          else sieve.folded.add(s.name);
        },
      },
      h('summary', { 'data-focus': `s-${s.name}` }, h('h3', {}, s.title), h('span', { class: 'clear' }, says)),
      s.whole && h('p', { class: 'station-says' }, s.whole),
      allWait && reasons.length === 1 && h('p', { class: 'station-says' }, `${s.title} was not looked at: ${reasons[0]}.`),
      h(
        'ul',
        {},
        ...entries(s.name, rows),
        ...gone(s.name).map(goneRow),
        all.length > rows.length &&
          h('li', {}, h('button', { class: 'text', type: 'button', 'data-focus': `more-${s.name}`, click: () => { sieve.most.set(s.name, most + MOST); tell('sieve'); } }, `Show ${Math.min(MOST, all.length - rows.length)} of ${count(all.length - rows.length)} more findings`)),
        ...(sieve.shown.has('wait') && !(allWait && reasons.length === 1)
          ? waits.map((c) =>
              h(
                'li',
                {},
                h(
                  'div',
                  { class: 'find quietly' },
                  mark('wait'),
                  h('span', { class: 't' }, h('span', { class: 'vh' }, 'Not looked at: '), c.title),
                  h('span', { class: 'p' }, c.reason),
                ),
              ),
            )
          : []),
        ...(sieve.clearToo
          ? clear.map((c) =>
              h(
                'li',
                {},
                h('div', { class: 'find quietly' }, mark('clear'), h('span', { class: 't' }, h('span', { class: 'vh' }, 'Clear: '), c.title)),
              ),
            )
          : []),
      ),
    ),
  );
}

/** Findings of the file that was opened which the kept mends made go. @param {string} name */
const gone = (name) => (desk.mended?.gone ?? []).filter((f) => f.station === name && sieve.shown.has(f.grade));

/** A struck row is the proof. @param {Finding} f */
function goneRow(f) {
  const unseen = desk.mended?.hidden.includes(f.id);
  return h(
    'li',
    {},
    h(
      'div',
      { class: `find quietly ${unseen ? '' : 'gone'}` },
      mark(unseen ? 'wait' : f.grade),
      h('span', { class: 't' }, h('span', { class: 'vh' }, unseen ? 'No longer looked at: ' : `Cleared, ${GRADE[f.grade]}: `), f.title),
      h('span', { class: 'p' }, unseen ? 'no longer looked at' : [`was ${measuredShort(f.measures[0])}`, f.subject].filter(Boolean).join(', ')),
    ),
  );
}

/** The rows of a station: stops and flaws one by one, all its notes behind one line. @param {string} name @param {Finding[]} rows */
function entries(name, rows) {
  const notes = rows.filter((f) => f.grade === 'note'), others = rows.filter((f) => f.grade !== 'note');
  const list = others.map((f) => h('li', {}, row(f)));
  if (notes.length < 2) return [...list, ...notes.map((f) => h('li', {}, row(f)))];
  const inner = kinds(name, notes);
  return [...list, h('li', {}, folded(`n-${name}`, some(notes.length, 'note'), '', inner.map((k) => k.title).join(', '), notes, inner.length > 1 ? inner.map((k) => h('li', {}, k.node)) : notes.map((f) => h('li', {}, row(f)))))];
}

/** Notes by their kind: several of one in one row that opens. @param {string} name @param {Finding[]} notes */
function kinds(name, notes) {
  const folds = /** @type {import('../state/types.js').Fold[]} */ (desk.figure?.doc.folds ?? []).filter((f) => f.station === name);
  /** @type {{title: string, node: Node}[]} */
  const list = [];
  for (const f of notes) {
    const fold = folds.find((x) => x.findings.includes(f.number));
    const kept = fold ? notes.filter((x) => fold.findings.includes(x.number)) : [];
    if (!fold || kept.length < 2) list.push({ title: f.title, node: row(f) });
    else if (kept[0] === f)
      list.push({ title: fold.title, node: folded(`k-${fold.title}`, fold.title, some(kept.length, 'note'), [...new Set(kept.map((x) => x.title))].join(', '), kept, kept.map((x) => h('li', {}, row(x)))) });
  }
  return list;
}

/**
 * Rows behind one line that opens.
 * @param {string} key @param {string} title @param {string} many how many, where the title does not say it @param {string} holds what stands in it @param {Finding[]} of @param {Node[]} rows
 */
function folded(key, title, many, holds, of, rows) {
  const chosen = desk.chosen.kind === 'finding' ? desk.chosen.number : 0;
  return h(
    'details',
    {
      class: 'kind',
      open: of.some((f) => f.number === chosen) || sieve.kinds.has(key),
      toggle: (/** @type {Event} */ e) => {
        if (/** @type {HTMLDetailsElement} */ (e.target).open) sieve.kinds.add(key);
        else sieve.kinds.delete(key);
      },
    },
    h(
      'summary',
      { class: 'find', 'data-focus': key, 'data-tip': holds },
      mark('note'),
      h('i', {}),
      h('span', { class: 't' }, many && h('span', { class: 'vh' }, `${GRADE.note}: `), title),
      many && h('span', { class: 'v' }, many),
      h('span', { class: 'p' }, holds),
    ),
    h('ul', {}, ...rows),
  );
}

/** @param {string} name */
const known = (name) => desk.catalogue.some((s) => s.name === name);

/** @param {Station} s */
const absentWords = (s) =>
  known(s.name) ? `${s.title} was not reached: the examination was stopped before it.` : `This version does not look at ${s.title} yet: ${s.says}.`;

/** A finding's row. @param {Finding} f */
function row(f) {
  const m = f.measures[0];
  const change = desk.changes?.of.get(f.number) ?? desk.mended?.of.get(f.number);
  const current = desk.chosen.kind === 'finding' && desk.chosen.number === f.number;
  return h(
    'button',
    {
      class: 'find',
      type: 'button',
      'data-number': f.number,
      'data-focus': `f${f.number}`,
      'aria-current': current ? 'true' : null,
      click: () => choose({ kind: 'finding', number: f.number }, { turn: true }),
    },
    mark(f.grade),
    h('i', {}, String(f.number)),
    h('span', { class: 't' }, h('span', { class: 'vh' }, `${GRADE[f.grade]}: `), f.title),
    h('span', { class: 'v' }, measuredShort(m)),
    h('span', { class: 'p' }, f.subject),
    h('span', { class: 'l' }, change ? h('span', { class: 'was' }, change) : f.cause ? `follows from ${f.cause.number}` : limitedShort(m)),
  );
}
