import { lengths } from '../base/words.js';
import { swap } from '../programs/shell.js';
import { desk, tell } from '../state/desk.js';
import { work } from '../state/work.js';
import { asideWords, sort } from './files.js';
import { stageReady } from './stage.js';

// What the examiner of the open figure is asked. It may be gone, or another figure may come before it answers: then null.

const its = work.examination;

/** @typedef {import('./files.js').Source} Source */
/** @template {keyof Wire.Questions} K @typedef {import('../state/types.js').Answer<K>} Answer */
/** @typedef {{kind: 'refused', text: string, hint?: string}} Said what the page itself says no to */

/** The figure on the desk can still be asked about. */
export const answers = () => its.examiner !== null;

/** A refusal in words; what was stopped has none. @param {{kind: string, text?: string, hint?: string}} m */
export const wordsOf = (m) => `${m.text ?? 'It was stopped.'} ${m.hint ?? ''}`.trim();

/** The whole place of a finding as text: the document cuts its lists. @param {number} number @returns {Promise<string|null>} null: the examiner is gone */
export async function wholeList(number) {
  const m = await its.examiner?.ask('list', { number });
  return m?.kind === 'list' ? m.json : null;
}

/** The bytes of the open figure's own files, for an ask that reads them again; null: the browser no longer gives them. @returns {Promise<{name: string, bytes: ArrayBuffer}[]|null>} */
export async function ownFiles() {
  const files = its.held.length > 0 ? its.held : its.built ? [{ name: its.built.name, file: new Blob([its.built.bytes]) }] : [];
  return Promise.all(files.map(async (s) => ({ name: s.name, bytes: await s.file.arrayBuffer() }))).catch(() => null);
}

/** What is said where they are gone. */
export const FILES_GONE = 'The browser no longer lets the figure’s file be read. Open it again.';

/** The report of the figure on the desk. @param {string} date stands on it; empty: none does @returns {Promise<{name: string, bytes: ArrayBuffer}|string|null>} or why not; null: it was stopped */
export async function written(date) {
  const of = its.examiner;
  const files = await ownFiles();
  if (!files) return FILES_GONE;
  const m = of === its.examiner ? await of?.ask('report', { date, units: lengths.unit, files }, files.map((f) => f.bytes)) : undefined;
  if (!m || of !== its.examiner) return 'The examination of this figure was ended. Open the file again first.';
  if (m.kind === 'reported') return { name: m.name, bytes: m.bytes };
  return m.kind === 'done' ? null : wordsOf(m);
}

/** Where the figure on the desk stands, and what is left to do. @returns {Promise<Wire.Road|null>} null: the examiner is gone */
export async function walkedRoad() {
  const m = await ask('road', {});
  return m ? JSON.parse(m.json) : null;
}

/** The picture of a finding's place, as PNG. @param {Wire.AskPlace} how @returns {Promise<Blob|null|undefined>} null: it has no place; undefined: nobody draws it any more */
export async function placePicture(how) {
  const of = its.examiner;
  const m = await of?.ask('place', how);
  if (!m || m.kind !== 'placed' || of !== its.examiner) return undefined;
  return m.bytes ? new Blob([m.bytes], { type: 'image/png' }) : null;
}

/** The figure on the desk as a row of a line-up, with its pictures by paper. @param {Wire.AskRow} how @returns {Promise<{row: string, shots: Map<string, Uint8Array>}|null>} null: the examiner is gone */
export async function rowOfOpen(how) {
  its.portraits = new Map();
  const m = await ask('row', how);
  return m && { row: m.json, shots: its.portraits };
}

/** Ends what the examiner of the open figure is at. */
export const stopAsked = () => its.examiner?.stop();

/**
 * Asks the examiner for something about the figure on the desk.
 * @template {keyof Wire.Questions} K @param {K} kind @param {Wire.Questions[K]['ask']} data
 * @returns {Promise<(Wire.Questions[K]['ends'] & Wire.Beside)|null>} null: it is gone, or it refuses
 */
export async function ask(kind, data) {
  const of = its.examiner;
  const m = await of?.ask(kind, data);
  return m && m.kind === kind && of === its.examiner ? /** @type {Wire.Questions[K]['ends'] & Wire.Beside} */ (m) : null;
}

/**
 * Hands over another model or motion capture, for the open figure.
 * @param {Source[]} dropped @returns {Promise<Answer<'second'>|Said|null>} what it holds, or the refusal; null: nothing to ask, or another figure came meanwhile
 */
export async function second(dropped) {
  const sorted = sort(dropped);
  const of = its.examiner;
  if (!sorted.figure) return { kind: 'refused', text: asideWords(sorted) };
  if (!of) return { kind: 'refused', text: 'The examination of the open figure was ended, so nothing can be laid over it. Open it again first.' };
  const list = await Promise.all([sorted.figure, ...sorted.sides].map(async (s) => ({ name: s.name, bytes: await s.file.arrayBuffer() }))).catch(() => null);
  if (!list) return { kind: 'refused', text: `The browser cannot read ${sorted.figure.name} any more. Choose it again.` };
  const m = of === its.examiner ? await of.ask('second', { files: list }, list.map((f) => f.bytes)) : null;
  return of === its.examiner ? m : null;
}

/** Which joint of the second file moves which of the open figure. @param {string} pins a table, JSON or CSV @param {string} [format] csv, else JSON @returns {Promise<Answer<'match'>|null>} likewise */
export async function matched(pins, format = '') {
  const of = its.examiner;
  const m = await of?.ask('match', { pins, format });
  return m && of === its.examiner ? m : null;
}

/**
 * Lays a clip of the second file over the open figure, and shows it on the stage as a clip of its own.
 * @param {Wire.AskCarry} how
 * @returns {Promise<{kind: 'carry', doc: Wire.CarryDocument, places: Map<string, Float32Array>}|Answer<'carry'>|null>} the report with the places of the source's joints by clip, or the refusal; null: another figure came meanwhile
 */
export async function carried(how) {
  const of = its.examiner;
  its.places = new Map();
  its.carriedRig = null;
  const m = await of?.ask('carry', how);
  if (!m || of !== its.examiner || !desk.figure) return null;
  if (m.kind !== 'carry' || !its.carriedRig) return m;
  const doc = /** @type {Wire.CarryDocument} */ (JSON.parse(m.json));
  const own = desk.figure.clips.length - desk.carried.length;
  Object.assign(desk, { clip: -1, seconds: 0, playing: false });
  desk.carried = doc.clips.map((c, i) => ({
    clip: own + i,
    name: c.name,
    start: its.places.get(c.name)?.[0] ?? 0,
    seconds: its.places.get(c.name)?.[1] ?? c.seconds,
    facts: { still_chains: c.still_chains.map((k) => k.map((j) => j.node)), carried: c },
  }));
  desk.figure.clips.splice(own, Infinity, ...desk.carried);
  await swap(its.carriedRig);
  if (of !== its.examiner || !desk.figure) return null;
  its.carriedRig = null; // the page keeps it for the stage
  stageReady();
  tell('carried');
  tell('figure');
  return { kind: 'carry', doc, places: its.places };
}

/** The file that the command line would write of what was carried last. @param {string} format glb or bvh @returns {Promise<Answer<'save'>|null>} */
export async function savedCarry(format) {
  const of = its.examiner;
  const list = format === 'bvh' ? [] : await ownFiles();
  if (!list || of !== its.examiner) return null;
  const m = of && await of.ask('save', { format, files: list }, list.map((f) => f.bytes));
  return of === its.examiner ? m : null;
}
