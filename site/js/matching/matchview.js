import { draw, h, must, sheet } from '../base/dom.js';
import { refill } from '../base/redraw.js';
import { desk, on, show, tell } from '../state/desk.js';
import { openClip } from '../shared/clips.js';
import { run } from '../shared/clips.js';
import { secondFigure, standBeside } from '../talk/beside.js';
import { setStage } from '../talk/stage.js';
import { setCarried } from './carryview.js';
import { carried, matched, second, wordsOf } from '../talk/ask.js';
import { order, pinsOf, pinsText, rowsOf, withPin, without } from './pins.js';
import { saveText } from '../shared/save.js';
import { figureOf } from './twofigures.js';
import { seconds, some } from '../base/words.js';
import { rooms } from '../state/rooms.js';

const its = rooms.match;

/** @typedef {import('./pins.js').Table} Table */
/** @typedef {import('./twofigures.js').Stand} Stand */

const dialog = () => /** @type {HTMLDialogElement} */ (must('match'));
const says = (/** @type {string} */ words) => { must('match-says').textContent = words; };
const called = (/** @type {{node: number, name: string|null}} */ j) => j.name || `node ${j.node}`;
const byNode = (/** @type {Stand[]} */ list, /** @type {number} */ n) => list.find((j) => j.node === n) ?? null;

/**
 * The view of two skeletons; the news 'motion' brings the files of the second one.
 * @param {{many: (sources: import('../talk/files.js').Source[]) => boolean, keep: typeof its.keep}} handed many: takes several files; keep: puts what was carried over on trial
 */
export function mountMatch(handed) {
  its.keep = handed.keep;
  must('match-stage').addEventListener('click', () => { dialog().close(); bothOnStage(); });
  on('show', (c) => { if ('clip' in c && desk.beside?.what === 'source') setStage({ otherClip: clipOfSource() }); });
  must('match-helpers').addEventListener('change', fill);
  on('motion', async (sources) => {
    if (handed.many(sources)) return;
    its.sources = sources;
    tell('say', 'Reading the motion.');
    const m = await second(sources);
    if (!m) return; // another figure came
    if (m.kind !== 'second') return tell('say', wordsOf(m));
    its.file = JSON.parse(m.json);
    its.table = null;
    its.ticked = new Set(its.file?.clips.map((c) => c.clip));
    its.picked = { source: -1, target: -1 };
    its.editing = -1;
    draft();
    dialog().showModal();
    await solve('');
    tell('say', '');
  });
  on('fresh', () => { if (dialog().open) dialog().close(); });
  dialog().addEventListener('cancel', (e) => { // Esc goes one step back
    if (its.picked.source < 0 && its.picked.target < 0 && its.editing < 0) return;
    e.preventDefault();
    its.picked = { source: -1, target: -1 };
    its.editing = -1;
    fill();
    says('');
  });
}

/** The pairs anew, around what is set by hand. @param {string} pins */
async function solve(pins) {
  const mine = ++its.asked;
  const m = await matched(pins);
  if (mine !== its.asked || !m) return;
  if (m.kind !== 'match') return says(wordsOf(m));
  its.table = JSON.parse(m.json);
  fill();
}

/** Which clip of the second figure the one that is shown was carried from; −1: none, or not known. */
const clipOfSource = () => its.carried[desk.carried.findIndex((c) => c.clip === desk.clip)] ?? -1;

/** The second figure stands beside the open one, joint beside the joint that it moves. */
function bothOnStage() {
  const f = its.file, second = secondFigure(), own = desk.figure;
  if (!f || !its.table || !second || !own) return tell('say', 'The second file is not held any more. Hand it over again.');
  const partners = its.table.pairs.flatMap((p) => (p.source && p.target ? [p.target.node, p.source.node] : []));
  standBeside(second, { what: 'source', words: `${f.name}, which moves it, on the right.`, halves: [own.file.name ?? '', f.name], partners, otherClip: clipOfSource() });
  if (!desk.bones) show({ bones: true });
  tell('say', 'Choose a joint on either figure: its partner is inked on the other.');
}

/** What may be carried over, and how. */
function carryRow() {
  const f = its.file;
  if (!f || f.clips.length === 0) return [h('span', { class: 'soft' }, `${f?.name ?? ''} holds no clip: there is nothing to carry over.`)];
  const over = h('button', { class: f.same ? 'btn' : 'btn lead', type: 'button', id: 'carry-over', click: () => carry([...its.ticked].sort((a, b) => a - b), !feet.checked) }, '');
  const name = () => {
    over.textContent = f.clips.length > 1 ? `Carry over ${some(its.ticked.size, 'clip')}` : 'Carry over';
    over.disabled = its.ticked.size === 0;
  };
  const tick = (/** @type {boolean} */ on, /** @type {number[]} */ clips) => {
    for (const c of clips) its.ticked[on ? 'add' : 'delete'](c);
    name();
  };
  const box = (/** @type {typeof f.clips[number]} */ c) => h('label', { class: 'check' }, h('input', { type: 'checkbox', 'data-clip': c.clip, checked: its.ticked.has(c.clip), change: (/** @type {Event} */ e) => tick(/** @type {HTMLInputElement} */ (e.target).checked, [c.clip]) }), h('span', {}, `${c.name || `clip ${c.clip}`}, ${seconds(c.seconds)}`));
  const all = (/** @type {boolean} */ on, /** @type {string} */ words) => h('button', { class: 'text', type: 'button', click: () => { tick(on, f.clips.map((c) => c.clip)); for (const i of /** @type {NodeListOf<HTMLInputElement>} */ (must('match-carry').querySelectorAll('[data-clip]'))) i.checked = on; } }, words);
  name();
  const feet = h('input', { type: 'checkbox', checked: true, id: 'carry-feet' });
  return [
    f.same && h('span', {}, 'The skeletons are the same: the clips can be taken as they are.'),
    f.same && h('button', { class: 'btn lead', type: 'button', id: 'carry-same', click: () => carry(f.clips.map((c) => c.clip), true) }, `Add ${f.clips.length === 1 ? 'the clip' : `all ${f.clips.length} clips`}`),
    f.clips.length === 1 ? h('span', {}, `${f.clips[0].name || 'clip 0'}, ${seconds(f.clips[0].seconds)}`) : h('fieldset', { class: 'clips' }, h('legend', {}, 'Clips '), all(true, 'all'), ' ', all(false, 'none'), h('div', { class: 'ticks' }, ...f.clips.map(box))),
    h('label', { class: 'check' }, feet, ' feet kept on the ground'),
    over,
  ];
}

/** @param {number[]} clips @param {boolean} freeFeet */
async function carry(clips, freeFeet) {
  if (!its.table || !its.file) return;
  const f = its.file;
  says('Carrying over.');
  const buttons = /** @type {NodeListOf<HTMLButtonElement>} */ (must('match-carry').querySelectorAll('button'));
  for (const b of buttons) b.disabled = true;
  const pins = pinsText(pinsOf(its.table)), sources = its.sources;
  const m = await carried({ clips: JSON.stringify(clips), pins, freeFeet, rename: '' });
  for (const b of buttons) b.disabled = false;
  if (!m) return says('');
  if (!('doc' in m)) return says(wordsOf(m));
  says('');
  its.carried = clips;
  setCarried({ source: f.name, stands: f.source, places: m.places, count: m.doc.clips.length, again: () => dialog().showModal(), beside: bothOnStage, keep: () => its.keep(sources, { clips, feet: !freeFeet, pins }) });
  dialog().close();
  openClip(desk.carried[0].clip);
  run(true);
  tell('say', `${some(m.doc.clips.length, 'clip')} carried over from ${f.name}.`);
}

/** What does not change with the pairs. */
function draft() {
  if (!its.file) return;
  const f = its.file;
  const pick = (/** @type {'source'|'target'} */ side) => (/** @type {number} */ node) => {
    its.picked[side] = its.picked[side] === node ? -1 : node;
    const s = byNode(f.source, its.picked.source), t = byNode(f.target, its.picked.target);
    if (s && t) {
      its.picked = { source: -1, target: -1 };
      set(t, s);
    } else if (s || t) {
      says(s ? `${called(s)} is picked. Click the joint on the right that it shall move.` : `${called(/** @type {Stand} */ (t))} is picked. Click the joint on the left that shall move it.`);
      unroll(t?.node ?? -1);
    } else says('');
    marks();
  };
  its.figures = {
    source: figureOf(f.source, `Joints of ${f.name}, from before`, pick('source')),
    target: figureOf(f.target, `Joints of ${desk.figure?.file.name ?? 'the open figure'}, from before`, pick('target')),
  };
  const long = f.clips.reduce((a, c) => a + c.seconds, 0);
  must('match-facts').textContent = `${some(f.source.length, 'joint')}, ${some(f.clips.length, 'clip')}${f.clips.length > 0 ? `, ${long.toFixed(1)} s in all` : ''}`;
  must('match-figures').replaceChildren(
    h('figure', {}, h('figcaption', {}, h('b', {}, f.name), ' moves'), its.figures.source.drawing),
    h('figure', {}, h('figcaption', {}, h('b', {}, desk.figure?.file.name ?? '')), its.figures.target.drawing),
  );
  refill(must('match-carry'), ...carryRow());
  must('match-rows').replaceChildren();
  must('match-left').replaceChildren();
}

/** @param {import('./pins.js').Place} target @param {import('./pins.js').Place|null} source */
function set(target, source) {
  if (!its.table) return;
  its.editing = -1;
  says(source ? `${called(source)} moves ${called(target)}. The rest was found again around it.` : `${called(target)} stays without a pair.`);
  const place = (/** @type {import('./pins.js').Place} */ p) => ({ node: p.node, name: p.name });
  solve(pinsText(withPin(pinsOf(its.table), place(target), source && place(source))));
}

function marks() {
  if (!its.figures || !its.table) return;
  const sources = new Set(its.table.pairs.filter((p) => p.target).flatMap((p) => [p.source?.node ?? -1, p.beside?.node ?? -1]));
  const targets = new Set(its.table.pairs.filter((p) => p.source).map((p) => p.target?.node ?? -1));
  const row = its.table.pairs.find((p) => p.target?.node === its.editing);
  its.figures.source.mark(sources, new Set([its.picked.source, row?.source?.node ?? -1]));
  its.figures.target.mark(targets, new Set([its.picked.target, its.editing]));
}

/** @param {number} node of a target */
const unroll = (node) => must('match-rows').querySelector(`[data-row="${node}"]`)?.scrollIntoView({ block: 'nearest' });

function fill() {
  if (!its.file || !its.table) return;
  const t = its.table;
  const rows = rowsOf(its.file.target, t);
  const { unsure, rest, helpers } = order(rows, (node) => Boolean(desk.figure?.byNode.get(node)?.idle));
  const all = /** @type {HTMLInputElement} */ (must('match-helpers')).checked;
  must('match-helpers-sum').textContent = `${some(helpers.length, 'helper joint')} too`;
  /** @type {HTMLElement} */ (must('match-helpers').parentElement).hidden = helpers.length === 0;
  const head = (/** @type {string} */ words) => h('tr', { class: 'first-of' }, h('th', { colspan: 4, scope: 'rowgroup' }, words));
  refill(
    must('match-rows'),
    ...(unsure.length > 0 ? [head(`Look at ${unsure.length === 1 ? 'this' : `these ${unsure.length}`} first`), ...unsure.map(row), head('The others, as they hang on one another')] : []),
    ...rest.map(row),
    ...(all ? helpers.map(row) : []),
  );
  const paired = rows.filter((r) => r.pair?.source).length, pinned = pinsOf(t).length;
  must('match-sum').textContent = `${paired} of ${some(rows.length, 'joint')} have a pair${pinned > 0 ? `; ${pinned} set by hand` : ''}.${t.mirrored ? ' One is the mirror image of the other: left moves right.' : ''} ${t.remarks.join('. ')}`;
  refill(must('match-left'), ...t.unmatched.source.map((l) => h('li', {}, h('b', {}, called(l)), h('span', { class: 'soft' }, ` ${l.why}`))));
  must('match-left-sum').textContent = `${some(t.unmatched.source.length, 'joint')} of ${its.file.name} without a pair`;
  marks();
}

/** @param {{target: import('./pins.js').Place, pair: import('./pins.js').Pair|null, why: string}} r */
function row(r) {
  const side = byNode(its.file?.target ?? [], r.target.node)?.side ?? '';
  const p = r.pair;
  const from = !p?.source ? 'no pair' : called(p.source) + (p.beside ? ` and ${Math.round(100 * (p.share ?? 0))} % ${called(p.beside)}` : '');
  const open = its.editing === r.target.node;
  return h('tr', { 'data-row': r.target.node, class: [p?.source ? '' : 'idle', p?.pinned ? 'pinned' : '', open ? 'open' : ''].join(' ') },
    h('th', { scope: 'row', class: side === 'left' || side === 'right' ? side : '' }, called(r.target)),
    h('td', {}, open ? choice(r) : h('button', { class: 'text', type: 'button', 'data-focus': `row-${r.target.node}`, 'aria-label': `${called(r.target)} is moved by ${from}; change`, click: () => { its.editing = r.target.node; fill(); /** @type {HTMLElement|null} */ (must('match-rows').querySelector('select'))?.focus(); } }, from)),
    h('td', { class: 'sure' }, p?.source ? bar(p.confidence) : null),
    h('td', { class: 'soft why' }, r.why));
}

/** All source joints to choose from; the browser's own list takes typed letters. @param {{target: import('./pins.js').Place, pair: import('./pins.js').Pair|null}} r */
function choice(r) {
  const p = r.pair;
  const now = !p ? '' : p.source ? String(p.source.node) : 'none';
  const select = h('select', { class: 'field', 'data-focus': `row-${r.target.node}`, 'aria-label': `Joint that moves ${called(r.target)}` },
    p?.pinned ? h('option', { value: 'free' }, 'as matched by the program') : null,
    h('option', { value: 'none', selected: now === 'none' || now === '' }, 'no pair'),
    ...(its.file?.source ?? []).map((j) => h('option', { value: j.node, selected: String(j.node) === now }, called(j))));
  select.addEventListener('change', () => {
    if (!its.table || !its.file) return;
    if (select.value === 'free') {
      its.editing = -1;
      says(`${called(r.target)} is matched by the program again.`);
      solve(pinsText(without(pinsOf(its.table), r.target.node)));
    } else set(r.target, select.value === 'none' ? null : byNode(its.file.source, Number(select.value)));
  });
  return select;
}

/** How sure a pair is. @param {number} v 0…1 */
function bar(v) {
  const s = sheet('sure-bar', 60, 10);
  draw(s, 'rect', { class: 'track', x: 0.5, y: 2.5, width: 59, height: 5 });
  draw(s, 'rect', { class: 'fill', x: 0.5, y: 2.5, width: Math.max(1, 59 * v), height: 5 });
  return h('span', {}, s, h('span', {}, v.toFixed(2)));
}

/** The very file that the command line writes. @param {string} format json or csv */
export async function saveTable(format) {
  if (!its.table) return;
  const m = await matched(pinsText(pinsOf(its.table)), format);
  if (m?.kind === 'match') saveText(m.json, `match.${format}`, format === 'csv' ? 'text/csv' : 'application/json', 'The table of pairs is saved.');
}

/** A saved table, JSON or CSV, for these two. @param {File} saved */
export async function loadTable(saved) {
  says(`${saved.name} is read.`);
  await solve(await saved.text());
}
