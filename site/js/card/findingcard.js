import { h, icon, mark } from '../base/dom.js';
import { choose, desk, jointOf, ranked, tell, told } from '../state/desk.js';
import { openClip } from '../shared/clips.js';
import { gauge } from '../shared/gauge.js';
import { GRADE, GRADE_SAYS } from '../shared/grades.js';
import { entryOf, limitsOf } from '../shared/limits.js';
import { picture } from '../shared/pictures.js';
import { beside, count, limited, measured, some } from '../base/words.js';
import { copy } from '../shared/save.js';
import { wholeList } from '../talk/ask.js';
import { weldCurve } from '../shared/weld.js';
import { nextPlace, placesOf, rowNow, showRow } from '../shared/places.js';
import { rooms } from '../state/rooms.js';

const its = rooms.findings;

/** @typedef {import('../state/types.js').Finding} Finding */

/** The findings that belong to one joint. @param {number} node */
export const findingsOf = (node) =>
  told().filter((f) => f.station !== 'intake' && f.where.joints?.some((j) => j.node === node));

/** Head of the card for a finding that is of no joint. @param {Finding} f @param {() => void} list */
export function findingHead(f, list) {
  const all = ranked(), at = all.indexOf(f);
  const station = desk.figure?.stations.find((s) => s.name === f.station);
  const step = (/** @type {number} */ d) => choose({ kind: 'finding', number: all[(at + d + all.length) % all.length].number }, { turn: true });
  return h(
    'header',
    {},
    h(
      'p',
      { class: 'kick' },
      `${station?.title ?? ''}, ${at + 1} of ${all.length} by weight`,
      h('button', { class: 'text', type: 'button', 'data-focus': 'list', click: list }, 'All joints'),
      h(
        'span',
        { class: 'nav' },
        h(
          'button',
          {
            class: 'btn sq',
            type: 'button',
            'data-focus': 'back',
            'aria-label': 'Previous finding',
            'data-key': 'Shift N',
            'data-tip': 'Previous finding',
            click: () => step(-1),
          },
          icon('i-back'),
        ),
        h(
          'button',
          {
            class: 'btn sq',
            type: 'button',
            'data-focus': 'on',
            'aria-label': 'Next finding',
            'data-key': 'N',
            'data-tip': 'Next finding',
            click: () => step(1),
          },
          icon('i-step'),
        ),
      ),
    ),
    h('h2', { id: 'h-card', class: 'long' }, f.title),
    f.subject && h('p', { class: 'subject' }, f.subject),
  );
}

/** One finding: what, how much, its place, why, remedy, acts, mends; then its other numbers and places. @param {Finding} f @param {{among?: string, titled: boolean, more?: (Node|false|null)[]}} how more: what other rooms say of it */
export function findingBody(f, how) {
  const steps = f.remedy.split('\n').filter(Boolean);
  return h(
    'article',
    { class: 'finding', 'aria-labelledby': 'h-find' },
    h(
      'h3',
      { id: 'h-find' },
      mark(f.grade),
      h('span', { class: 'grade', 'data-tip': `${GRADE[f.grade]}: ${GRADE_SAYS[f.grade]}` }, GRADE[f.grade]),
      ' ',
      h('i', {}, String(f.number)),
      ' ',
      how.titled ? f.title : measured(f.measures[0]),
      ' ',
      h('small', {}, how.among ?? ''),
    ),
    how.titled && f.subject && h('p', { class: 'subject' }, f.subject),
    (!counted(f) && gauge(f)) || (f.measures[0] ? h('p', { class: 'role' }, `${f.measures[0].name}: ${beside(f.measures[0])}, ${limited(f.measures[0])}`) : null),
    follows(f),
    picture(f, 'large', `The place of ${f.title}`),
    h('p', { class: 'why' }, f.why),
    steps.length > 0 && h('h4', {}, 'Remedy'),
    steps.length > 1 ? h('ol', { class: 'remedy' }, ...steps.map((s) => h('li', {}, s))) : steps.length === 1 && h('p', { class: 'why' }, steps[0]),
    ...(how.more ?? []),
    h('p', { class: 'acts2' }, ...acts(f)),
    f.id === 'surface/near-coincident' && weldCurve('card'),
    f.measures.length > 1 &&
      h(
        'dl',
        { class: 'facts' },
        ...f.measures
          .slice(1)
          .flatMap((m) => [
            h('dt', {}, m.name.replaceAll('_', ' ')),
            h('dd', {}, beside(m), m.limit_says ? `, ${limited(m)}` : ''),
          ]),
      ),
    hangs(f) ?? rows(f) ?? here(f),
    inClips(f),
    f.source && h('p', { class: 'src' }, `Limit: ${f.source}`, /[.)]$/.test(f.source) ? '' : '.'),
    limitsOf(f),
  );
}

/** Its measure counts something: a gauge of two joints out of one says nothing. @param {Finding} f */
function counted(f) {
  const m = f.measures[0];
  const l = m && entryOf(f.id)?.limits.find((x) => x.unit === m.unit);
  return Boolean(l && l.one !== l.unit && l.unit !== 'bytes');
}

/** A finding in words, for a message to the one who made the figure. @param {Finding} f @param {string} file */
export function asText(f, file) {
  const m = f.measures[0], steps = f.remedy.split('\n').filter(Boolean);
  return [
    `${GRADE[f.grade]} ${f.number}: ${f.title}${m ? `, ${measured(m)} (${limited(m)})` : ''}`,
    [f.subject, file].filter(Boolean).join(', in '),
    ...(f.cause ? [`Follows from ${f.cause.number}, ${f.cause.title}.`] : []),
    f.why,
    ...steps.map((s, i) => (steps.length > 1 ? `${i + 1}. ${s}` : s)),
    f.source && `Limit: ${f.source}${/[.)]$/.test(f.source) ? '' : '.'}`,
  ].filter(Boolean).join('\n');
}

/** The finding it follows from, to be chosen. @param {Finding} f */
function follows(f) {
  const c = f.cause;
  if (!c) return null;
  return h(
    'p',
    { class: 'here' },
    h('b', {}, 'Follows from '),
    h(
      'button',
      { class: 'text', type: 'button', 'data-focus': 'cause', click: () => choose({ kind: 'finding', number: c.number }, { turn: true }) },
      `${c.number}, ${c.title}`,
    ),
  );
}

/** Joints that hang wrongly, each beside the one to hang it on. @param {Finding} f */
function hangs(f) {
  const rows = f.where.hang ?? [];
  if (rows.length === 0) return null;
  const to = (/** @type {{node: number, name: string|null}|null} */ j, /** @type {number} */ i, /** @type {string} */ of) =>
    j === null
      ? 'nothing that is there'
      : h(
          'button',
          { class: 'text', type: 'button', 'data-focus': `${of}${i}`, click: () => choose({ kind: 'joint', node: j.node }) },
          j.name || `node ${j.node}`,
        );
  return h('ul', { class: 'hangs', 'aria-label': 'To hang: child, parent' }, ...rows.map((r, i) => h('li', {}, to(r.child, i, 'hc'), ' → ', to(r.parent, i, 'hp'))));
}

/** Rows that are shown before a person asks for all. */
const FIRST_ROWS = 12;

/** The places of a finding that stands in several, the worst first: each shows itself, in its own pose. @param {Finding} f */
function rows(f) {
  const list = f.where.rows ?? [];
  if (list.length === 0) return null;
  const now = rowNow(f);
  const whole = its.allRows === f.id || list.length <= FIRST_ROWS + 1;
  return h(
    'div',
    { class: 'here' },
    h('b', {}, `${count(list.length)} places, the worst first`),
    h(
      'ol',
      { class: 'hangs', 'aria-label': 'Places' },
      ...list.slice(0, whole ? list.length : FIRST_ROWS).map((r, i) =>
        h(
          'li',
          {},
          h(
            'button',
            { class: 'text', type: 'button', 'data-focus': `row${i}`, 'aria-pressed': String(i === now), 'data-tip': 'Shows this place in its own pose', click: () => showRow(f, i) },
            r.subject || `place ${i + 1}`,
          ),
          r.measures[0] ? ` ${measured(r.measures[0])}` : '',
        ),
      ),
    ),
    !whole &&
      h(
        'button',
        {
          class: 'text',
          type: 'button',
          'data-focus': 'row-all',
          click: () => {
            its.allRows = f.id;
            tell('places');
          },
        },
        `${count(list.length - FIRST_ROWS)} more`,
      ),
  );
}

/** The joints it names, each to be chosen. @param {Finding} f */
function here(f) {
  const joints = f.where.joints ?? [];
  if (joints.length === 0 || jointOf(f) !== undefined) return null;
  const total = f.where.joint_total ?? joints.length;
  return h(
    'p',
    { class: 'here' },
    h('b', {}, joints.length === 1 ? 'Joint ' : 'Joints '),
    ...joints.flatMap((j, i) => [
      i > 0 ? ', ' : '',
      h(
        'button',
        { class: 'text', type: 'button', 'data-focus': `h${j.node}`, click: () => choose({ kind: 'joint', node: j.node }) },
        j.name || `node ${j.node}`,
      ),
    ]),
    total > joints.length ? ` and ${count(total - joints.length)} more` : '',
  );
}

/** The clips it is found in, each to be opened. @param {Finding} f */
function inClips(f) {
  const clips = f.where.clips ?? [];
  if (clips.length < 2) return null;
  return h(
    'p',
    { class: 'here clips' },
    h('b', {}, `${some(clips.length, 'clip')} `),
    ...clips.flatMap((c, i) => [
      i > 0 ? ', ' : '',
      h('button', { class: 'text', type: 'button', 'data-focus': `c${c.clip}`, click: () => openClip(c.clip) }, c.name || `clip ${c.clip}`),
    ]),
  );
}

/** @param {Finding} f */
function acts(f) {
  const w = f.where;
  const list = listWords(f);
  const out = [];
  if (hasPlace(f))
    out.push(
      h(
        'button',
        {
          class: 'btn lead',
          type: 'button',
          'data-focus': 'show',
          'data-key': 'Enter',
          'data-tip': 'Brings the place to the front',
          click: () => tell('place', f),
        },
        'Show the place',
      ),
    );
  const { all, at } = placesOf(f);
  if (all.length > 1)
    out.push(
      h(
        'span',
        { class: 'nav places' },
        h(
          'button',
          { class: 'btn sq', type: 'button', 'data-focus': 'place-back', 'aria-label': 'Place before', 'data-tip': 'Place before', click: () => nextPlace(-1) },
          icon('i-back'),
        ),
        h('span', { class: 'at' }, ` place ${at + 1} of ${count(all.length)} `),
        h(
          'button',
          {
            class: 'btn sq',
            type: 'button',
            'data-focus': 'place-on',
            'aria-label': 'Next place',
            'data-key': 'Shift Enter',
            'data-tip': 'Next place of this finding',
            click: () => nextPlace(1),
          },
          icon('i-step'),
        ),
      ),
    );
  if (list)
    out.push(
      h(
        'button',
        { class: 'btn', type: 'button', 'data-focus': 'copy', 'data-tip': w.hang?.length ? `Copies ${list}, child and parent, comma-separated` : w.rows ? `Copies ${list} with their joints, angles and vertices, comma-separated` : `Copies ${list}, by number`, click: () => copyList(f, list) },
        'Copy the list',
      ),
    );
  if (w.clip !== null && w.clip !== undefined && w.clip >= 0 && desk.figure?.clips.some((c) => c.clip === w.clip)) {
    out.push(h('button', { class: 'btn', type: 'button', 'data-focus': 'moment', click: () => tell('moment', f) }, 'Show the moment'));
    out.push(h('button', { class: 'btn', type: 'button', 'data-focus': 'rows', click: () => openClip(/** @type {number} */ (w.clip)) }, 'Joint by joint'));
  }
  out.push(h('button', { class: 'btn', type: 'button', 'data-focus': 'as-text', 'data-tip': 'What, how much, where, why and what to do, as words', click: () => copy(asText(f, desk.figure?.file.name ?? ''), 'the finding is copied') }, 'Copy as text'));
  return out;
}

/** @param {Finding} f */
export function hasPlace(f) {
  const w = f.where;
  return Boolean(w.point || w.vertices?.length || w.nodes?.length || w.joints?.length);
}

/** What "Copy the list" puts on the clipboard, in words; null: there is no list. @param {Finding} f */
export function listWords(f) {
  const w = f.where,
    vertices = w.vertex_total ?? 0,
    joints = w.joint_total ?? w.joints?.length ?? 0;
  if (w.hang?.length) return some(w.hang.length, 'row');
  if (w.rows) return some(w.rows.length, 'place');
  if (vertices > 0) return some(vertices, 'vertex', 'vertices');
  if (joints > 1) return some(joints, 'joint');
  const clips = w.clips?.length ?? 0;
  return clips > 1 ? some(clips, 'clip') : null;
}

/** @param {Finding} f @param {string} words */
async function copyList(f, words) {
  const text = await wholeList(f.number);
  if (text) await copy(text, `${words} copied`);
  else tell('say', 'The examiner has ended; open the file again to copy the list.');
}
