import { exchange } from '../programs/shell.js';
import { letGo } from '../programs/keep.js';
import { longJSON } from '../base/longjson.js';
import { desk, tell } from '../state/desk.js';
import { work } from '../state/work.js';
import { FILES_GONE, ownFiles } from './ask.js';
import { readFigure } from './figure.js';
import { asideWords, sort } from './files.js';
import { guarded, setStage, stageReady } from './stage.js';

// Mends are done in the examiner, on a copy of the open file; here it is asked, and what it answers is put on the desk.

const its = work.examination;

/** @typedef {{kind: 'gone', text: string}} Gone nobody is there to ask any more */

const GONE = /** @type {Gone} */ ({ kind: 'gone', text: 'The examination of this figure was ended, so it cannot be mended. Open the file again first.' });

/**
 * Asks about the figure that is mended.
 * @template {keyof Wire.Questions} K @param {K} kind @param {Wire.Questions[K]['ask'] & Wire.Files} data @param {Transferable[]} [transfer]
 * @returns {Promise<import('../state/types.js').Answer<K>|Gone>}
 */
async function asked(kind, data, transfer) {
  if (!its.examiner && its.reviving) await its.reviving.over;
  const of = its.examiner;
  its.doing = -1;
  const m = await of?.ask(kind, data, transfer);
  if (m && 'broke' in m && m.broke && its.reviving) return { kind: 'gone', text: await its.reviving.over };
  return m && of === its.examiner ? m : GONE;
}

/** Which mends there are for the figure on the desk. @returns {Promise<Wire.MendOffer[]>} */
export async function offered() {
  const m = await asked('offers', {});
  return m.kind === 'offers' ? JSON.parse(m.json) : [];
}

/** Opens the figure's own files for mending. @returns {Promise<Wire.MendSheet|string>} the empty slip, or why not */
export async function beginMending() {
  const list = await ownFiles();
  if (!list) return FILES_GONE;
  const m = await asked('begin', { files: list }, list.map((f) => f.bytes));
  return m.kind === 'slip' ? JSON.parse(m.json) : wordsOf(m);
}

/** Hands over a second file, for a mend that takes a part from it. @param {import('./files.js').Source[]} dropped @returns {Promise<Wire.MendSecond|string>} what can be taken, or why nothing can */
export async function besideFigure(dropped) {
  const sorted = sort(dropped);
  if (!sorted.figure) return asideWords(sorted);
  const list = await Promise.all([sorted.figure, ...sorted.sides].map(async (s) => ({ name: s.name, bytes: await s.file.arrayBuffer() }))).catch(() => null);
  if (!list) return `The browser cannot read ${sorted.figure.name} any more. Choose it again.`;
  const m = await asked('beside', { files: list }, list.map((f) => f.bytes));
  if (m.kind === 'beside') its.beside.set(sorted.figure.name, [sorted.figure, ...sorted.sides]);
  return m.kind === 'beside' ? JSON.parse(m.json) : wordsOf(m);
}

/** The figure from two sides for a fit, and where its points are. @param {Record<string, unknown>} values @param {{width: number, height: number, night: boolean}|null} draws null: the pictures are there @returns {Promise<{doc: Wire.BoardDocument, pictures: Uint8Array[]}|string>} */
export async function boardOf(values, draws) {
  for (const k of BOARD) its.parcels.delete(k);
  const m = await asked('board', { values: JSON.stringify(values), width: draws?.width ?? 0, height: draws?.height ?? 0, night: draws?.night ?? false });
  if (m.kind !== 'board') return wordsOf(m);
  return { doc: JSON.parse(m.json), pictures: BOARD.flatMap((k) => its.parcels.get(k) ?? []) };
}

const BOARD = ['boardFront', 'boardSide'];

/** Where a point goes that was put on a picture. @param {Wire.AskSettle} where @returns {Promise<Wire.SettledDocument|string>} */
export async function settledPoint(where) {
  const m = await asked('settle', where);
  return m.kind === 'settled' ? JSON.parse(m.json) : wordsOf(m);
}

/** A refusal in words. @param {{kind: string, text?: string, hint?: string}} m */
const wordsOf = (m) => (m.kind === 'done' ? 'It was stopped.' : `${m.text ?? ''} ${m.hint ?? ''}`.trim());

/** Tries a mend. @param {string} mend @param {Record<string, unknown>} values @param {string} why @returns {Promise<Wire.MendTold|string|null>} null: it was stopped */
export async function tryMend(mend, values, why) {
  const m = await asked('try', { mend, values: JSON.stringify(values), why });
  if (m.kind === 'receipt') return JSON.parse(m.json);
  return m.kind === 'done' ? null : wordsOf(m);
}

/** Ends what is tried or suggested. */
export const stopMending = () => its.examiner?.stop();

/** Drops the trial. */
export async function leaveMend() {
  await asked('leave', {});
}

/** @param {string[]} accept */
export const keepMend = async (accept) => settled(await asked('keep', { accept }));

/** @param {'back'|'forward'|'off'|'on'|'move'} act @param {number} [step] @param {number} [to] */
export const changeSlip = async (act, step = 0, to = 0) => settled(await asked('slip', { act, step, to }));

/** Tries what the findings call for and keeps what plants nothing. */
export const suggestMends = async () => settled(await asked('suggest', {}));

/** What a plan, or a proof sheet with one, would do. @param {string} text @returns {Promise<Wire.MendPlanTold|string>} or why it is none */
export async function readPlan(text) {
  const m = await asked('plan', { text });
  return m.kind === 'plan' ? JSON.parse(m.json) : wordsOf(m);
}

/** Does a plan on the figure as it was opened; its limits hold from then on. @param {string} text @param {boolean} goOn past an outcome that it does not expect */
export async function doPlan(text, goOn) {
  const sheet = await settled(await asked('doPlan', { text, goOn }));
  if (sheet && typeof sheet !== 'string') {
    desk.limits = JSON.parse(its.slip).plan.limits ?? {};
    its.judged = { ...desk.limits };
  }
  return sheet;
}

/** @param {'figure'|'plan'|'proof'} what @param {string} date stands on the proof sheet @returns {Promise<{name: string, bytes: ArrayBuffer}|string>} */
export async function handOver(what, date) {
  const m = await asked('handOver', { what, date });
  return m.kind === 'handed' ? { name: m.name, bytes: m.bytes } : wordsOf(m);
}

/**
 * What was mended takes the desk: the same figure to look at, where it is looked at from.
 * @param {{kind: string, json?: string, text?: string, hint?: string}} m @returns {Promise<Wire.MendSheet|string|null>} the slip, or why not; null: it was stopped
 */
export async function settled(m) {
  const of = its.examiner;
  const { mended, parcels } = its;
  its.mended = '';
  its.parcels = new Map();
  if (m.kind !== 'slip' || !m.json) return m.kind === 'done' ? null : wordsOf(m);
  const sheet = /** @type {Wire.MendSheet} */ (JSON.parse(m.json));
  const doc = mended ? /** @type {Wire.Examination|undefined} */ (await longJSON(mended, () => of === its.examiner)) : undefined;
  if (!doc || of !== its.examiner) return sheet;
  const chosen = desk.chosen.kind === 'finding' ? desk.figure?.findings[desk.chosen.number - 1] : null;
  const was = desk.figure?.doc.facts_of.intake?.height ?? 0, is = doc.facts_of.intake?.height ?? 0;
  const lost = sheet.steps[sheet.cursor - 1]?.mend === 'carry' ? 0 : desk.carried.length; // kept as a step, it is the figure's own now
  if (lost > 0) setTimeout(() => tell('say', `${lost === 1 ? 'The clip that was carried over was' : 'The clips that were carried over were'} of the figure before; carry over again.`));
  desk.carried = [];
  desk.changes = null;
  desk.figure = readFigure(mended, doc, desk.catalogue, { running: false });
  const clips = desk.figure.clips;
  if (desk.clip >= 0 && !clips.some((c) => c.clip === desk.clip)) Object.assign(desk, { clip: -1, seconds: 0, playing: false });
  const still = chosen && desk.figure.findings.find((f) => f.id === chosen.id && f.subject === chosen.subject);
  if (chosen) desk.chosen = still ? { kind: 'finding', number: still.number } : { kind: 'none' };
  if (desk.chosen.kind === 'joint' && !desk.figure.byNode.has(desk.chosen.node)) desk.chosen = { kind: 'none' };
  if (desk.chosen.kind === 'vertex') desk.chosen = { kind: 'none' }; // its number may be another's
  const away = desk.away;
  const [rig, prepared, fields] = ['mendedRig', 'mendedPrepared', 'mendedFields'].map((k) => parcels.get(k));
  if (rig && prepared && fields) {
    await takeTrialAway();
    if (away) await backFromPlace(); // that way would end with the figure that is exchanged
    await exchange({ rig, prepared, fields });
    if (of !== its.examiner || !desk.figure) return sheet;
    setStage({ pointerList: [] });
    stageReady();
    if (!(Math.abs(is - was) <= 0.1 * was)) guarded((s) => s.frameAll()); // of another size: it would stand out of the picture
  }
  tell('rig');
  tell('fields');
  if (away && still && desk.chosen.kind === 'finding') tell('place', desk.figure.findings[desk.chosen.number - 1]);
  return sheet;
}

/** The eye goes back to where it was before a place was shown, and stands there. */
async function backFromPlace() {
  guarded((s) => s.back());
  for (let i = 0; i < 60 && guarded((s) => s.state().moving); i++) await new Promise((r) => setTimeout(r, 16));
}

/** The figure as it would be stands in the right half. */
export async function showTrial() {
  const rig = its.parcels.get('trialRig');
  if (!rig) return;
  const sketch = its.parcels.get('trialSketch') ?? null;
  for (const kind of ['trialRig', 'trialSketch']) its.parcels.delete(kind);
  const wrong = await guarded((s) => s.trial(rig, sketch));
  letGo(rig); // the stage has it
  if (wrong) console.warn('stage:', wrong);
}

export async function dressTrial() {
  const prepared = its.parcels.get('trialPrepared');
  its.parcels.delete('trialPrepared');
  if (prepared) await guarded((s) => s.trialPrepared(prepared));
  letGo(prepared);
}

export async function takeTrialAway() {
  for (const kind of ['trialRig', 'trialSketch', 'trialPrepared']) its.parcels.delete(kind);
  await guarded((s) => s.trial());
}
