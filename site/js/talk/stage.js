import { desk } from '../state/desk.js';
import { work } from '../state/work.js';

const its = work.stage;

// The stage's own functions stand on globalThis.stage once the wasm runs; until then what is set is kept.
// It is one object for both presenters, and a new one after a lost context: then all is set again.

/** @typedef {import('../state/types.js').Stage} Stage */

/** @type {Wire.Some<Wire.Show>} */
const wanted = {};

/** What the stage takes as no move. */
export const NO_MOVE = { joint: -1, axis: '', degrees: 0 };

/** @returns {Stage|null} the running stage */
export const live = () => (its.ready ? (/** @type {{stage?: Stage}} */ (/** @type {unknown} */ (globalThis)).stage ?? null) : null);

/** Sets part of what is shown. @param {Wire.Some<Wire.Show>} part */
export function setStage(part) {
  Object.assign(wanted, part);
  for (const once of /** @type {const} */ (['seconds', 'degrees', 'from'])) if (once in part) delete wanted[once];
  guarded((s) => {
    const wrong = s.set(part);
    if (wrong) console.warn('stage:', wrong);
  });
}

/** What was wanted of a figure that is not there any more. @param {keyof Wire.Show} name */
export const unwant = (name) => { delete wanted[name]; };

/** The stage is there (again), or has another figure: hand it all that is wanted. */
export function stageReady() {
  its.ready = true;
  /** @type {Wire.Some<Wire.Show>} */
  const all = { ...wanted, clip: desk.clip, seconds: desk.seconds, move: desk.move ?? NO_MOVE };
  guarded((s) => {
    if (!s.set(all)) return;
    delete all.lens; // one that shows a field which a new figure has not got yet
    s.set(all);
  });
}

export const stageGone = () => {
  its.ready = false;
};

/** Runs on the stage, if it is there. @template T @param {(stage: Stage) => T} fn @returns {T|null} */
export function guarded(fn) {
  const s = live();
  if (!s) return null;
  try {
    return fn(s);
  } catch (e) {
    // a stage that has ended throws; the shell starts a new one
    console.warn('stage:', e);
    return null;
  }
}

/** Resolves when the stage has shown the figure it has, or will not: a page in the background draws nothing. @returns {Promise<void>} */
export function pictured() {
  const frames = () => guarded((s) => { const t = s.state(); return t.fault ? -1 : t.frames; }) ?? -1;
  const before = frames();
  return new Promise((done) => {
    const late = setTimeout(done, 400);
    const look = () => {
      if (frames() === before && before >= 0) return requestAnimationFrame(look);
      clearTimeout(late);
      done();
    };
    if (before < 0) look();
    else requestAnimationFrame(look);
  });
}

/**
 * All there is about one vertex.
 * @param {number} surface @param {number} vertex in the mesh
 * @returns {Wire.Probe|null}
 */
export const probe = (surface, vertex) => guarded((s) => s.probe(surface, vertex));

/** What the lens that is shown says of a vertex: what its colour stands for, in words. @param {number} surface @param {number} vertex in the mesh */
export const lensReads = (surface, vertex) => guarded((s) => s.reads(surface, vertex)) ?? '';
