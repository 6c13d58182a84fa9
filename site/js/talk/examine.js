import { give, lighten, paintPictures, startExaminer, stopPainting } from '../programs/shell.js';
import { memory } from '../programs/keep.js';
import { wordsOf } from './ask.js';
import { sameFigure, since } from './changes.js';
import { choose, desk, on, show, tell } from '../state/desk.js';
import { ROUTE, blank, readCatalogue, readFigure, restate } from './figure.js';
import { again, asideWords, sort } from './files.js';
import { longJSON } from '../base/longjson.js';
import { drawn } from '../base/slices.js';
import { revive } from './revive.js';
import { live, pictured, stageReady } from './stage.js';
import { inTurns } from '../base/turns.js';
import { work } from '../state/work.js';

const its = work.examination;

/** @typedef {import('./files.js').Source} Source */
/** @typedef {import('../state/types.js').Message} Message */
/** @typedef {import('../state/types.js').Refusal} Refusal */
/** @template {keyof Wire.Questions} K @typedef {import('../state/types.js').Answer<K>} Answer */
/** @template {keyof Wire.Questions} K @typedef {{data: Wire.Questions[K]['ask'] & Wire.Files, transfer: Transferable[]}} Asked */
/** @typedef {{kind: 'after', taken: (v?: unknown) => void}} After what waits for its turn behind all that was told */

/** Lenses of the surface alone: a figure may begin with the one that was taken last. */
const BARE = ['painted', 'plain', 'dominant', 'count'];

/** Bytes that the figure on the desk may hold while another is read beside it. */
const BESIDE = 512 << 20;

export const heldFiles = () => its.held;
export const triedFiles = () => its.tried;

/** Files from a drop or a picker. @param {Source[]} dropped @param {boolean} adds the open notice asked for missing files */
export async function open(dropped, adds) {
  if (dropped.length === 0) return;
  const sorted = sort(dropped, adds ? its.tried : []);
  const aside = asideWords(sorted);
  if (aside) tell('say', aside);
  if (!sorted.figure || !(await its.mayLeave())) return;
  const before = newer(sorted.figure.name) && desk.figure ? { doc: desk.figure.doc, json: desk.figure.json, again: false } : null;
  await examine([sorted.figure, ...sorted.sides], { aside, before });
}

/** A file of this name is a newer one of the figure that lies on the desk, examined. @param {string} name */
export const newer = (name) => desk.phase === 'done' && its.held.length > 0 && its.held[0].name === name && its.mended === '';

/** What changed since the figure was read before, once all of it is examined. @param {Talk} talk */
async function changed(talk) {
  const { before, worker } = talk;
  talk.before = null;
  if (!before || !desk.figure || before.doc.checks.length === 0 || !sameFigure(before.doc, desk.figure.doc)) return;
  const m = await worker?.ask('compare', { before: before.json });
  if (m?.kind !== 'compared' || its.examiner !== worker || its.mended !== '') return;
  desk.changes = since(JSON.parse(m.json));
  tell('figure');
  tell('say', `Since the last reading: ${desk.changes.report.says}`);
}

/** Files that are sorted already: the figure first. @param {Source[]} files */
export async function openFiles(files) {
  if (await its.mayLeave()) await examine(files);
}

/** Reads the same files again, after a re-export, and says what changed. */
export async function reread() {
  if (its.held.length === 0 || !desk.figure) return;
  if (!(await its.mayLeave())) return;
  const before = { doc: desk.figure.doc, json: desk.figure.json, again: true };
  const files = await again(its.held).catch(() => null);
  if (!files) return tell('say', 'The browser no longer lets this file be read. Open it again.');
  await examine(files, { before });
}

/** The built-in figure. @param {number} [fault] number of the one that is planted in it */
export async function sample(fault = 0) {
  if (!(await its.mayLeave())) return;
  await converse('lamplighter.glb', 'sample', () => ({ data: { pose: 'T', names: '', size: 0, fault, limits: limitsText() }, transfer: [] }));
}

/** @param {Source[]} files @param {How} [how] */
async function examine(files, how) {
  await converse(
    files[0].name,
    'examine',
    async () => {
      const list = await Promise.all(files.map(async (s) => ({ name: s.name, bytes: await s.file.arrayBuffer() })));
      return { data: { files: list, limits: limitsText() }, transfer: list.map((f) => f.bytes) };
    },
    { ...how, files },
  );
}

/** The limits changed in the page, for the examiner. */
export const limitsText = () => (Object.keys(desk.limits).length > 0 ? JSON.stringify(desk.limits) : '');

/** @typedef {{aside?: string, files?: Source[], before?: Before|null}} How aside: what was left aside; before: what lay on the desk when the file is read again, or a newer one of its name */
/** @typedef {{doc: Wire.Examination, json: string, again: boolean}} Before again: it is the same file, so the view stays */

/**
 * One examination from the first question to the last answer. What lies on the desk stays, and answers, until there is
 * something to put there instead.
 * @template {'examine'|'sample'} K @param {string} name @param {K} kind
 * @param {() => Asked<K>|Promise<Asked<K>>} prepare @param {How} [how]
 */
async function converse(name, kind, prepare, { aside = '', files = [], before = null } = {}) {
  const mine = ++its.turn;
  its.coming?.end();
  its.coming = null;
  if (desk.phase === 'examining') halted(); // what it has found so far stays
  else if (memory().examiner > BESIDE) dismiss();
  its.tried = files;
  /** @type {Talk} */
  const talk = { name, turn: mine, started: performance.now(), heard: performance.now(), now: '', json: '', fresh: true, over: false, plainer: !before?.again, left: [], pictures: [], queue: () => {}, worker: null, files, built: null, before };
  talk.queue = inTurns((m, later) => take(talk, m, later));
  its.talking = talk;
  tell('begin', { name, aside });
  silence(talk);
  const message = (/** @type {Message} */ m) => {
    if (mine === its.turn || (talk.worker && talk.worker === its.examiner)) hear(talk, m);
  };
  const asked = Promise.resolve(prepare()); // read while an examiner starts
  asked.catch(() => {}); // told below
  try {
    const next = await startExaminer({ onMessage: message, onDeath: (m, asked) => lost(talk, m, asked) });
    if (mine !== its.turn) return next.end();
    talk.worker = its.coming = next;
    const { data, transfer } = await asked;
    if (mine === its.turn) await next.ask(kind, data, transfer);
    await new Promise((taken) => talk.queue({ kind: 'after', taken })); // the last word is heard, and waits its turn
  } catch (e) {
    if (mine !== its.turn) return;
    its.turn++;
    its.coming?.end();
    its.coming = null;
    const err = /** @type {Error} */ (e);
    const gone = err.name === 'NotReadableError' || err.name === 'NotFoundError';
    tell('refused', {
      name,
      missing: [],
      text: gone ? 'The browser cannot read the file any more.' : `The examination broke off: ${err.message ?? err}`,
      hint: gone ? 'It has changed or moved since it was opened. Open it again.' : '',
    });
  }
}

/**
 * @typedef {{name: string, turn: number, started: number, heard: number, now: string, json: string, fresh: boolean, over: boolean, plainer: boolean, left: string[], pictures: import('../programs/painter.js').Encoded[], queue: (m: Message|After) => void, worker: import('../programs/examiner.js').Examiner|null, files: Source[], built: {name: string, bytes: ArrayBuffer}|null, before: Before|null}} Talk
 * before: what lay on the desk when the file is read again, or a newer one of its name; built: the sample's own file; left: what no picture shows; pictures: encoded; heard: when the last message came; now: the station at work; json: of the last document; fresh: nothing of it is shown yet
 */

/** A message as it comes: what may wait its turn does. @param {Talk} talk @param {Message} m */
function hear(talk, m) {
  talk.heard = performance.now();
  if (m.kind === 'carriedRig') its.carriedRig = bytesOf(m);
  if (m.kind === 'portrait') its.portraits.set(m.name, bytesOf(m));
  if (m.kind === 'secondPlaces') its.places.set(m.name, new Float32Array(bytesOf(m).slice().buffer));
  if (heardOfMends(m)) return;
  if (talk.over) { // what comes now answers a judgement, a list or a mend
    if (m.kind === 'progress') tell('mend-progress', m);
    return;
  }
  if (m.kind === 'progress') {
    if (m.station !== talk.now) {
      talk.now = m.station;
      if (desk.figure?.running && !talk.fresh) restated(talk);
    }
    tell('progress', { ...m, elapsed: performance.now() - talk.started });
  } else talk.queue(m);
}

/** The examiner of the figure on the desk died after its last word: another takes its place. @param {Talk} talk @param {import('../programs/examiner.js').Death} m @param {string[]} asked */
function lost(talk, m, asked) {
  if (!talk.over || talk.worker !== its.examiner) return;
  its.examiner = null;
  revive(talk, m, asked, hear);
}

/** What is told while mends are tried and kept, beside the last word. @param {Message} m @returns {boolean} it is of them */
function heardOfMends(m) {
  if (m.kind === 'mended') its.mended = m.json;
  else if (m.kind === 'slipSaved') its.slip = m.json;
  else if (m.kind === 'doing') its.doing = Number(m.json);
  else if (m.kind === 'switchedOff') its.switchedOff = m.json;
  else if (m.kind === 'step') tell('mend-step', JSON.parse(m.json));
  else if (/^(trial|mended|board)[A-Z]/.test(m.kind)) {
    its.parcels.set(m.kind, bytesOf(/** @type {Wire.Beside} */ (m)));
    tell('mend-parcel', m.kind);
  } else return false;
  return true;
}

/** First the picture, then what is found. @param {Talk} talk @param {Message|After} m @param {(Message|After)[]} later what came meanwhile */
async function take(talk, m, later) {
  if (m.kind === 'after') return m.taken();
  if (talk.turn !== its.turn) return;
  if (talk.pictures.length > 0 && m.kind !== 'picture') paintPictures(talk.pictures.splice(0)); // all of them came
  switch (m.kind) {
    case 'file':
      talk.built = { name: m.name, bytes: m.bytes ?? new ArrayBuffer(0) };
      if (!talk.fresh) its.built = talk.built;
      break;
    case 'catalogue':
      desk.catalogue = readCatalogue(JSON.parse(m.json));
      break;
    case 'left':
      talk.left = m.words;
      break;
    case 'picture':
      talk.pictures.push({ name: m.name, bytes: m.bytes ?? new ArrayBuffer(0) });
      break;
    case 'rig':
      fresh(talk);
      if (!(await lighten())) await give('rig'); // before the cards are written, which takes as long; where they stand is known
      if (its.lying !== talk) return; // though it was stopped meanwhile: what is there stays
      if (live()) stageReady(); // a new figure stands at rest; a file read again keeps its pose
      tell('figure');
      tell('rig');
      await pictured();
      break;
    case 'prepared':
      await give('prepared');
      if (talk.turn === its.turn) tell('fields');
      break;
    case 'fields':
      await give('fields');
      if (talk.turn !== its.turn) return;
      tell('fields');
      tell('probe');
      break;
    case 'partial':
      if (later.some((n) => n.kind === 'partial' || n.kind === 'result')) return; // the newer one holds all of it
    // falls through
    case 'result':
      fresh(talk);
      await place(talk, m.json, m.kind === 'partial');
      await drawn();
      break;
    case 'done':
      talk.over = true;
      if (!talk.json) return stopped();
      desk.phase = 'done';
      if (desk.figure?.running) restated(talk);
      await drawn();
      if (talk.turn !== its.turn) return;
      tell('phase');
      if (m.stopped) tell('stopped', true);
      else {
        tell('done', { ms: m.ms });
        changed(talk);
      }
      break;
    case 'refused':
      refused(talk, m);
      break;
  }
}

/** Nothing, or nothing more, comes. What is there stays. @param {Talk} talk @param {Refusal} m */
function refused(talk, m) {
  its.turn++;
  talk.over = true;
  if (talk.fresh) {
    its.coming?.end();
    its.coming = null;
  } else if (m.broke) dismiss();
  const title = ROUTE.find(([name]) => name === talk.now)?.[1];
  if (talk.fresh) {
    mendsStay();
    const text = m.broke ? `${m.text.replace(/\.$/, '')} while it read the file.` : m.text;
    return tell('refused', { name: talk.name, ...m, text, title: m.broke ? 'File not opened' : '' });
  }
  desk.phase = 'done';
  restated(talk);
  tell('phase');
  const text = `${m.text} That was ${title ? `during ${title}, ` : ''}after the figure was read and drawn. ${talk.json ? 'What was found before stays in the ledger.' : 'Nothing was found before.'}`;
  tell('refused', { name: talk.name, ...m, text, title: 'The examination broke off', kept: true });
}

/** Starts one more examiner for the figure on the desk, where the last could not be. */
export function startAgain() {
  its.deaths = [];
  if (its.lying && !its.examiner) revive(its.lying, null, [], hear);
}

/** The figure on the desk stays after all: where its examiner made way for another file, its mends are done again. */
function mendsStay() {
  if (its.lying && !its.examiner && its.slip) revive(its.lying, null, [], hear);
}

/** Says when the examiner gives no sign for long: one station may take its time, but nobody should wait without knowing. @param {Talk} talk */
function silence(talk) {
  setTimeout(() => {
    if (talk.turn !== its.turn || talk.over) return;
    const seconds = (performance.now() - talk.heard) / 1000;
    if (seconds > 10) tell('silent', { seconds, title: ROUTE.find(([name]) => name === talk.now)?.[1] ?? '' });
    silence(talk);
  }, 5000);
}

/** @param {Wire.Beside} m */
const bytesOf = (m) => new Uint8Array(m.bytes ?? new ArrayBuffer(0));

/** The new figure takes the desk, with nothing found yet; the one before is put away. Who calls it tells 'figure'. @param {Talk} talk */
function fresh(talk) {
  if (!talk.fresh) return;
  talk.fresh = false;
  its.lying = talk;
  if (its.examiner !== talk.worker) dismiss();
  its.examiner = talk.worker;
  its.coming = null;
  its.held = talk.files;
  its.built = talk.built;
  const same = Boolean(talk.before?.again);
  desk.changes = desk.mended = null;
  its.parcels = new Map();
  its.beside = new Map();
  its.mended = its.slip = '';
  its.judged = { ...desk.limits };
  desk.left = talk.left;
  stopPainting();
  if (desk.clip >= 0 && desk.carried.some((c) => c.clip === desk.clip)) Object.assign(desk, { clip: -1, seconds: 0, playing: false });
  desk.carried = [];
  desk.phase = 'examining';
  const doc = blank(talk.name);
  desk.figure = readFigure(JSON.stringify(doc), doc, desk.catalogue, { running: true, now: talk.now });
  if (!same) {
    Object.assign(desk, { clip: -1, seconds: 0, playing: false, joint: -1, lens: BARE.includes(desk.ownLens) ? desk.ownLens : 'painted', byHand: false });
    desk.chosen = { kind: 'none' };
  }
  tell('phase');
  if (!same) tell('fresh');
}

/** Another station is at work, or none: the document is the same. @param {Talk} talk */
function restated(talk) {
  if (!desk.figure) return;
  restate(desk.figure, desk.catalogue, { running: desk.phase !== 'done', now: talk.now });
  tell('figure');
}

/** A document takes the place of the one before. @param {Talk} talk @param {string} json @param {boolean} running */
async function place(talk, json, running) {
  const doc = /** @type {Wire.Examination|undefined} */ (await longJSON(json, () => talk.turn === its.turn));
  if (talk.turn !== its.turn || !doc) return;
  talk.json = json;
  desk.figure = readFigure(json, doc, desk.catalogue, { running, now: talk.now });
  const c = desk.chosen;
  if (
    (c.kind === 'finding' && c.number > desk.figure.findings.length) ||
    (c.kind === 'joint' && !desk.figure.running && !desk.figure.byNode.has(c.node))
  )
    choose({ kind: 'none' });
  if (talk.plainer && desk.figure.doc.facts_of.intake) {
    talk.plainer = false;
    const i = desk.figure.doc.facts_of.intake;
    if (desk.lens === 'painted' && i.images === 0 && i.materials < 2) show({ lens: 'plain' });
  }
  tell('figure');
}

/** Stop: what was found stays in the ledger. Before anything is found the examiner is ended at once; later it may say what it has, if it hears the page. */
export function stopHere() {
  const mine = its.turn;
  if (its.talking?.fresh || !its.examiner || !desk.figure?.running || desk.figure.doc.checks.length === 0) return stopped();
  its.examiner.stop();
  setTimeout(() => {
    if (mine === its.turn && desk.phase !== 'done') stopped();
  }, 400);
}

function stopped() {
  its.turn++;
  if (its.talking?.fresh) { // only what is being read ends
    its.coming?.end();
    its.coming = null;
    mendsStay();
    tell('phase');
    return tell('stopped', false);
  }
  const shown = desk.phase === 'examining' && desk.figure;
  halted();
  tell('stopped', Boolean(shown && shown.doc.checks.length > 0));
}

/** The examination of the figure on the desk goes no further, and nobody answers for it any more. */
function halted() {
  dismiss();
  if (desk.phase === 'examining' && desk.figure) {
    restate(desk.figure, desk.catalogue, { running: false });
    desk.phase = 'done';
    tell('figure');
  }
  tell('phase');
}

function dismiss() {
  its.examiner?.end();
  its.examiner = null;
}

/** The clips carried over stand behind the figure's own. @param {import('../state/types.js').Figure} f */
const withCarried = (f) => Object.assign(f, { clips: [...f.clips, ...desk.carried] });

/** Moved limits: judged again by the examiner that still holds the facts, else examined again. */
export async function judge() {
  if (!desk.figure) return tell('say', 'The limits hold for the next file.');
  if (!its.examiner) return its.held.length > 0 ? examine(await again(its.held)) : sample();
  const numbers = desk.figure?.findings ?? [];
  const chosen = desk.chosen.kind === 'finding' ? numbers[desk.chosen.number - 1] : null;
  const of = its.examiner;
  const m = await of.ask('judge', { limits: JSON.stringify(desk.limits) });
  if ('broke' in m && m.broke) { // another examiner judges as it was judged before
    desk.limits = its.judged;
    return tell('figure');
  }
  if (m.kind === 'refused' && of === its.examiner) { // a kept mend would not be kept with them
    desk.limits = its.judged;
    tell('say', `${m.text} ${m.hint}`.trim());
    return tell('figure');
  }
  if (m.kind === 'result') {
    const doc = /** @type {Wire.Examination|undefined} */ (await longJSON(m.json, () => of === its.examiner));
    if (of !== its.examiner || !doc) return;
    its.judged = { ...desk.limits };
    desk.figure = withCarried(readFigure(m.json, doc, desk.catalogue, { running: false }));
    const still = chosen && desk.figure.findings.find((f) => f.id === chosen.id && f.subject === chosen.subject);
    if (chosen) desk.chosen = still ? { kind: 'finding', number: still.number } : { kind: 'none' };
    tell('figure');
    tell('chosen', {});
    tell('say', chosen && !still ? `${chosen.title}: within the limit now.` : `Judged again: ${desk.figure.findings.length} findings.`);
  }
}

/** @param {() => void} ready the catalogue is there */
export async function readCatalogueFirst(ready) {
  const first = await startExaminer({ keeps: false });
  try {
    const m = await first.ask('catalogue', {});
    if (m.kind !== 'catalogue') throw new Error(wordsOf(m));
    desk.catalogue = readCatalogue(JSON.parse(m.json));
    ready();
    if (desk.figure) {
      desk.figure = withCarried(readFigure(desk.figure.json, desk.figure.doc, desk.catalogue, { running: desk.figure.running })); // a file came first: now its checks have titles
      tell('figure');
    }
  } finally {
    first.rest();
  }
}

on('judge', judge);
