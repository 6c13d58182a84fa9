import { startExaminer } from '../programs/shell.js';
import { choose, desk, tell } from '../state/desk.js';
import { rowOfOpen, wordsOf } from '../talk/ask.js';
import { heldFiles, limitsText, openFiles, sample } from '../talk/examine.js';
import { ending, models, sidesOf } from '../talk/files.js';
import { rooms } from '../state/rooms.js';

const its = rooms.queue;

// The line-up: several models, examined one after the other, each in a worker of its own that is ended afterwards, so
// that its memory is given back. Of each model only its files' handles and its row are kept.

/** @typedef {import('../talk/files.js').Source} Source */
/**
 * @typedef {object} Entry one model
 * @property {number} id
 * @property {string} path as it was dropped
 * @property {Source[]} sources the model first; none: the built-in figure
 * @property {'waiting'|'now'|'done'|'stopped'} state
 * @property {string} row as the examiner wrote it
 * @property {string} limits it was examined with
 * @property {Wire.Progress|null} progress
 * @property {Record<string, string>} shots addresses of its picture by day and by night
 * @property {boolean} [loaded] it comes from a saved line-up, which holds no model
 */
/** @typedef {Wire.LineupCell} Cell */

export const line = {
  /** @type {Entry[]} */ entries: [],
  /** the table as the command line writes it @type {Wire.LineupDocument|null} */ doc: null,
  json: '',
  csv: '',
  /** which entry each row of the document is @type {Entry[]} */ of: [],
  /** @type {import('../base/sortable.js').Order} */ order: { key: '', down: false },
  /** what names, reasons and findings are searched for, and whether only those are shown in whose way nothing stands */ wanted: '',
  fit: false,
  /** the one that was opened last @type {Entry|null} */ opened: null,
};

/** Size of a row's picture, twice that of css/lineup.css. */
const SHOT = { width: 104, height: 128 };

/** @param {Uint8Array} png */
const address = (png) => URL.createObjectURL(new Blob([/** @type {BlobPart} */ (png)], { type: 'image/png' }));

export const lineupIsOpen = () => document.body.dataset.lineup === 'open';
export const isRunning = () => its.running;

/** Shows the table; where there is none yet, with the figure that is open as its first row. */
export async function showLineup() {
  if (lineupIsOpen()) return closeLineup();
  document.body.dataset.lineup = 'open';
  tell('lineup', { opened: true });
  if (line.entries.length === 0) await addOpen();
}

export function closeLineup() {
  delete document.body.dataset.lineup;
  tell('lineup', { closed: true });
}

/** The open figure, when it is examined, in no row and told of. @returns {Source[]|null} none: the built-in one */
export function openFigure() {
  if (!desk.figure || desk.phase !== 'done' || desk.covered) return null; // a row would tell what a puzzle hides
  const held = heldFiles();
  return line.entries.some((e) => e.sources === held || (held.length === 0 && e.sources.length === 0 && !e.loaded)) ? null : held;
}

/** The open figure as a row, from the examination that it has. */
export async function addOpen() {
  const sources = openFigure();
  if (!sources) return;
  const path = sources[0]?.name ?? desk.figure?.file.name;
  const m = await rowOfOpen({ name: path, limits: '', ...SHOT });
  if (!m && sources.length === 0) return tell('say', 'Open the sample figure again to set it beside others.');
  line.entries.push({ id: ++its.ids, path, sources, state: m ? 'done' : 'waiting', row: m?.row ?? '', limits: limitsText(), progress: null, shots: Object.fromEntries([...(m?.shots ?? [])].map(([k, b]) => [k, address(b)])) });
  if (m) await join();
  else run();
}

/**
 * Several models go to the line-up; a single one only while it is open.
 * @param {Source[]} dropped @returns {boolean} false: not for the line-up
 */
export function takeModels(dropped) {
  const found = models(dropped);
  if (found.length === 0 && lineupIsOpen() && addSides(sidesOf(dropped))) return true;
  if (found.length === 0 || (found.length === 1 && !lineupIsOpen())) return false;
  const same = (/** @type {Source} */ a, /** @type {Source} */ b) =>
    a.name === b.name && a.file.size === b.file.size && a.file.lastModified === b.file.lastModified;
  let twice = 0;
  for (const sources of found) {
    const saved = line.entries.find((e) => e.loaded && base(e.path) === base(sources[0].name));
    if (line.entries.some((e) => e.sources.length > 0 && same(e.sources[0], sources[0]))) twice++;
    else if (saved) Object.assign(saved, { path: sources[0].name, sources, state: 'waiting', row: '', loaded: false });
    else line.entries.push({ id: ++its.ids, path: sources[0].name, sources, state: 'waiting', row: '', limits: '', progress: null, shots: {} });
  }
  if (twice > 0) tell('say', twice === 1 ? 'One of them is in the line-up already.' : `${twice} of them are in the line-up already.`);
  document.body.dataset.lineup = 'open';
  tell('lineup', { opened: true });
  run();
  return true;
}

/** @param {string} path */
const base = (path) => path.split(/[\\/]/).pop();

/**
 * A line-up as it was saved: its rows, without their models; a model of a row's name that is dropped takes its place.
 * @param {string} text @returns {string} what is wrong with it; empty: nothing
 */
export function loadLineup(text) {
  /** @type {Wire.LineupDocument|null} */
  let doc = null;
  try {
    doc = JSON.parse(text);
  } catch { /* said below */ }
  if (!Array.isArray(doc?.rows) || !Array.isArray(doc?.columns) || doc.rows.some((r) => typeof r?.file !== 'string' || !Array.isArray(r.findings))) return 'This is no line-up that was saved as JSON.';
  for (const r of doc.rows) {
    if (line.entries.some((e) => base(e.path) === base(r.file))) continue;
    line.entries.push({ id: ++its.ids, path: r.file, sources: [], state: 'done', row: JSON.stringify({ ...r, path: r.file }), limits: limitsText(), progress: null, shots: {}, loaded: true });
  }
  join();
  return '';
}

/** Files for the .gltf models that could not be read; they are tried again. @param {Source[]} sides */
function addSides(sides) {
  const lacking = line.entries.filter((e) => e.state === 'done' && ending(e.path) === 'gltf' && JSON.parse(e.row).state === 'unread');
  if (sides.length === 0 || lacking.length === 0) return false;
  for (const e of lacking) Object.assign(e, { sources: [...e.sources, ...sides], state: 'waiting', row: '' });
  run();
  return true;
}

/** Examines all again whose limits are not those of the page now. */
export function refresh() {
  for (const e of line.entries) {
    if ((e.loaded || e.limits === limitsText()) && e.state === 'done') continue;
    if (e.sources.length > 0) Object.assign(e, { state: 'waiting', row: '' });
    else line.entries = line.entries.filter((x) => x !== e);
  }
  run();
}

/** The rows that other limits were held against. */
export const outdated = () => line.entries.filter((e) => e.state === 'done' && !e.loaded && e.limits !== limitsText());

async function run() {
  if (its.running) return;
  its.running = true;
  tell('lineup', {});
  const started = performance.now();
  let stopped = false;
  for (;;) {
    const e = line.entries.find((x) => x.state === 'waiting');
    if (!e || stopped) break;
    stopped = (await one(e)) === 'stop';
    tell('say', `Line-up: ${line.entries.filter((x) => x.state === 'done').length} of ${line.entries.length} models examined.`);
  }
  for (const e of line.entries) if (e.state === 'waiting') e.state = 'stopped';
  its.running = false;
  tell('lineup', {});
  if (stopped) tell('say', 'Stopped. The rows that are done stay.');
  else tell('say', `Line-up of ${line.entries.length} examined in ${((performance.now() - started) / 1000).toFixed(1)} s.`);
}

/** @param {Entry} e @returns {Promise<'done'|'stop'|'removed'>} */
async function one(e) {
  /** @type {Promise<'stop'|'removed'>} */
  const halted = new Promise((r) => {
    its.halt = r;
  });
  Object.assign(e, { state: 'now', limits: limitsText(), progress: null });
  tell('lineup', {});
  /** @type {import('../programs/examiner.js').Examiner|null} */
  let worker = null;
  const work = async () => {
    const files = await Promise.all(e.sources.map(async (s) => ({ name: s.name, bytes: await s.file.arrayBuffer() })));
    worker = await startExaminer({
      keeps: false,
      onMessage: (m) => {
        if (m.kind === 'portrait') e.shots[m.name] = address(new Uint8Array(m.bytes ?? new ArrayBuffer(0)));
        if (m.kind !== 'progress') return;
        e.progress = m;
        tell('lineup-progress', e);
      },
    });
    return worker.ask(
      'row',
      { name: e.path, files, limits: e.limits, ...SHOT },
      files.map((f) => f.bytes),
    );
  };
  try {
    const m = await Promise.race([work(), halted]);
    if (m === 'stop') e.state = 'stopped';
    if (m === 'stop' || m === 'removed') return m;
    e.row = m.kind === 'row' ? m.json : unread(e, wordsOf(m));
  } catch (x) {
    const err = /** @type {Error} */ (x);
    const gone = err.name === 'NotReadableError' || err.name === 'NotFoundError';
    e.row = unread(e, gone ? 'The browser cannot read the file any more: it has changed or moved since it was dropped.' : String(err.message ?? err));
  } finally {
    /** @type {import('../programs/examiner.js').Examiner|null} */ (worker)?.end(); // set while work was waited for
  }
  e.state = 'done';
  await join();
  return 'done';
}

/** @param {Entry} e @param {string} error */
const unread = (e, error) =>
  JSON.stringify({ path: e.path, state: 'unread', error, bytes: e.sources[0]?.file.size ?? 0, steps: [], bones_missing: [], findings: [] });

/** Makes the table of the rows that are done; the examiner's program does it, so that it is the command line's. */
async function join() {
  const mine = ++its.joins;
  const done = line.entries.filter((e) => e.state === 'done');
  if (done.length === 0) {
    Object.assign(line, { doc: null, json: '', csv: '', of: [] });
    return tell('lineup', {});
  }
  const worker = await startExaminer({ keeps: false });
  try {
    const m = await worker.ask('lineup', { rows: `[${done.map((e) => e.row).join(',')}]` });
    if (mine !== its.joins) return;
    if (m.kind !== 'lineup') return tell('say', wordsOf(m));
    Object.assign(line, { doc: JSON.parse(m.json), json: m.json, csv: m.csv, of: m.from.map((i) => done[i]) });
  } finally {
    worker.rest();
  }
  tell('lineup', {});
}

/** @param {Entry} e */
export async function remove(e) {
  line.entries = line.entries.filter((x) => x !== e);
  for (const url of Object.values(e.shots)) URL.revokeObjectURL(url);
  if (e.state === 'now') its.halt('removed');
  tell('lineup', {});
  if (e.row) await join();
}

export const stopLineup = () => its.halt('stop');

/** Opens a model on the stage, with a finding chosen. @param {Entry} e @param {number} [number] of the finding */
export async function openRow(e, number = 0) {
  if (e.loaded) return tell('say', `Drop ${base(e.path)} here to open it: a saved line-up holds no models.`);
  line.opened = e;
  closeLineup();
  const there = () => desk.figure && desk.phase === 'done' && !desk.covered && (e.sources.length > 0 ? heldFiles() === e.sources : heldFiles().length === 0);
  if (!there()) {
    if (e.sources.length > 0) await openFiles(e.sources);
    else await sample();
  }
  if (!there() || number === 0 || !desk.figure) return;
  const wanted = JSON.parse(e.row).findings[number - 1];
  // By its number where the limits are the same, else by its check.
  const f = [desk.figure.findings[number - 1], ...desk.figure.findings].find((x) => x?.id === wanted?.id);
  if (f) choose({ kind: 'finding', number: f.number }, { turn: true });
  else tell('say', `${wanted?.title ?? 'This finding'}: within the limit now.`);
}
