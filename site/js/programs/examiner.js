import { bus, keep, memory, note } from './keep.js';
import { draco, programs } from './programs.js';
import { work } from '../state/work.js';

const its = work.examiners;

/** @typedef {import('../state/types.js').Message} Message */
/** @typedef {{ask: <K extends keyof Wire.Questions>(kind: K, data: Wire.Questions[K]['ask'] & Wire.Files, transfer?: Transferable[]) => Promise<import('../state/types.js').Answer<K>>, stop: () => void, end: () => void, rest: () => void}} Examiner rest: it holds no figure, and may be the spare one from now on */

/** Bytes of WebAssembly memory of each examiner that holds a figure. @type {Map<Worker, number>} */
const takes = new Map();
const noteAll = () => note({ examiner: [...takes.values()].reduce((a, b) => a + b, 0) });

/** @typedef {{kind: 'refused', missing: string[], broke: string, full: boolean, text: string, hint: string}} Death */

/** A worker with the examiner in it, that takes questions. Who holds it sets hear and died. @typedef {{worker: Worker, memory: number, over: boolean, warm: boolean, hear: (data: any) => void, died: (why: string, full: boolean) => void, end: () => void}} Program */

/** Starts one; rejects where it cannot be. @returns {Promise<Program>} */
async function begun() {
  const p = programs();
  const [module, url] = await Promise.all([p.examiner, p.worker]);
  const worker = new Worker(url);
  const lock = `examiner ${performance.timeOrigin} ${++its.locks}`;
  const ended = new AbortController();
  /** @type {Program} */
  const it = { worker, memory: 0, over: false, warm: false, hear: () => {}, died: () => {}, end: () => { it.over = true; worker.terminate(); ended.abort(); } };
  const died = (/** @type {string} */ why, full = false) => {
    if (it.over) return;
    it.end();
    it.died(why, full);
  };
  await new Promise((/** @type {(v?: any) => void} */ ready, fail) => {
    worker.onerror = (e) => { const why = e.message || 'the worker failed'; fail(new Error(why)); died(why, outOfMemory(why)); };
    worker.onmessageerror = () => died('a message of the worker cannot be read');
    worker.onmessage = ({ data }) => {
      if (it.over) return;
      if (data.kind === 'ready') return ready();
      if (data.kind === 'locked') return watch(lock, ended.signal, () => died('it ended without a word'));
      if (data.kind === 'ended') { fail(new Error(data.text)); return died(data.text, outOfMemory(`${data.text} ${data.said ?? ''}`)); }
      if (data.memory) it.memory = data.memory;
      it.hear(data);
    };
    const beside = decoders(ended.signal);
    worker.postMessage({ module, lock, beside }, [beside]);
  });
  return it;
}

/**
 * An examiner that takes questions: the spare one, where there is one, else another.
 * @param {{onMessage?: (m: Message) => void, onDeath?: (m: Death, asked: string[]) => void, keeps?: boolean}} [options] onDeath: it is gone without being ended, and what it was asked; keeps: its figure is the one on the desk
 * @returns {Promise<Examiner>}
 */
export async function startExaminer({ onMessage = () => {}, onDeath = () => {}, keeps = true } = {}) {
  if (keeps) makeWay();
  const it = spare() ?? await begun();
  const { worker } = it;
  /** who waits for the answer of each ask @type {Map<number, {kind: string, done: (m: any) => void}>} */
  const waiting = new Map();
  let ids = 0;
  const answered = (/** @type {number} */ id, /** @type {any} */ m) => {
    const w = waiting.get(id);
    if (!w) return;
    waiting.delete(id);
    if (--its.asked === 0) quiet();
    w.done(m);
  };

  /** The worker is gone: whatever is asked gets that for an answer. */
  it.died = (why, full) => {
    if (takes.delete(worker)) noteAll();
    const m = /** @type {Death} */ ({
      kind: 'refused',
      missing: [],
      broke: why,
      full,
      text: full ? 'The examiner ran out of memory.' : `The examiner broke off: ${why}.`,
      hint: full ? 'A browser gives one page only so much memory. Close other pages, or open a smaller figure; the command line has all of the machine’s memory.' : '',
    });
    onDeath(m, [...waiting.values()].map((w) => w.kind));
    for (const id of waiting.keys()) { onMessage({ id, ...m, missing: [] }); answered(id, { id, ...m }); }
  };
  it.hear = (data) => {
    if (data.memory && keeps) { takes.set(worker, data.memory); noteAll(); }
    if (keeps) keep(data);
    onMessage(data);
    if (data.end) answered(data.id, data); // the last word bears an end, and no other
  };
  const end = () => {
    it.end();
    if (takes.delete(worker)) noteAll();
    its.asked -= waiting.size; // nobody answers them; who asked knows that it was ended
    waiting.clear();
    if (its.asked === 0) quiet();
  };

  return {
    end,
    rest: () => {
      if (it.over || waiting.size > 0 || its.spare || !mayWait()) return end();
      it.hear = () => {};
      it.died = () => { if (its.spare === it) its.spare = null; };
      its.spare = it;
    },
    stop: () => worker.postMessage({ kind: 'stop' }),
    ask: (kind, data, transfer = []) => new Promise((done) => {
      if (it.over) return done({ id: 0, kind: 'refused', text: 'The examiner has ended.', hint: '', missing: [] });
      if (kind === 'examine' || kind === 'sample' || kind === 'row') its.warmed = true;
      waiting.set(++ids, { kind, done });
      its.asked++;
      worker.postMessage({ ...data, id: ids, kind }, transfer);
    }),
  };
}

/** A port that answers with the bytes of the decoder of packed shapes, loaded when the first file asks for it: a page from disk may send no compiled program through a port. @param {AbortSignal} ended the worker that asks @returns {MessagePort} */
function decoders(ended) {
  const { port1, port2 } = new MessageChannel();
  port1.onmessage = () => draco().then((bytes) => port1.postMessage({ bytes }), (e) => port1.postMessage({ wrong: String(e.message ?? e) }));
  /** @type {any} */ (port1).unref?.(); // a test that is done may end
  ended.addEventListener('abort', () => port1.close());
  return port2;
}

/** What Go's runtime and the browsers say when memory is short. @param {string} words */
const outOfMemory = (words) => /out of memory|cannot allocate|allocation failed|memory limit/i.test(words);

/** The worker holds a lock as long as it lives; it comes free when the worker is gone, however that happened. @param {string} name @param {AbortSignal} signal @param {() => void} gone */
function watch(name, signal, gone) {
  navigator.locks.request(name, { signal }, gone).catch(() => {}); // aborted: it was ended here
}

// A spare examiner waits while nothing is asked, so that the next file begins at once: it runs already, and has examined a
// small sample unseen, after which its tables are built. The first one of a page examines the whole sample, for the browser
// to have optimised code when the first file comes.

/** How long nothing was asked before a spare one is seen to, in milliseconds. */
const QUIET = 500;
/** Bytes that the programs hold, from which on none waits: it would take another thirty million. */
const LARGE = 256 << 20;
/** Vertices of the sample that a later one examines. */
const SMALL = 500;
/** How long a page that nobody sees keeps it, in milliseconds. */
const UNSEEN = 60_000;

/** One may wait: there are processors, there is memory, somebody looks. */
const mayWait = () => (globalThis.navigator?.hardwareConcurrency ?? 2) > 1 && memory().examiner + memory().stage < LARGE && globalThis.document?.visibilityState !== 'hidden';

/** Takes the one that waits. @returns {Program|null} */
function spare() {
  const it = its.spare;
  its.spare = null;
  return it;
}

/** Ends the one that waits, and the one that is being made ready. */
function noSpare() {
  spare()?.end();
  its.warming?.end();
  its.warming = null;
}

/** Nothing is asked any more: a spare one is seen to if that stays so. */
function quiet() {
  if (!its.ready) return;
  clearTimeout(its.quiet);
  its.quiet = setTimeout(warmUp, QUIET);
  /** @type {any} */ (its.quiet).unref?.(); // a test that is done may end
}

/** Sees to it that an examiner waits, and is warm. The page calls it once, when all is here; from then on one always waits. */
export async function warmUp() {
  its.ready = true;
  if (its.asked > 0 || its.warming || its.spare?.warm) return;
  if (!mayWait()) return noSpare();
  const mine = its.ways;
  try {
    const it = spare() ?? await begun();
    if (mine !== its.ways || its.asked > 0 || its.warming || its.spare) return it.end(); // something was asked meanwhile
    const size = its.warmed ? SMALL : 0;
    its.warmed = true;
    its.warming = it;
    it.died = () => {
      if (its.warming === it) its.warming = null;
      if (its.spare === it) its.spare = null;
    };
    it.hear = (m) => {
      if (!m.end || its.warming !== it) return;
      its.warming = null;
      if (m.kind !== 'done' || its.spare || !mayWait()) return it.end();
      it.warm = true;
      it.hear = () => {};
      its.spare = it;
    };
    it.worker.postMessage({ id: 1, kind: 'warm', size });
  } catch { /* the first real file will tell */ }
}

/** One that is being made ready ends where a real examiner starts: there are few processors. */
function makeWay() {
  its.ways++;
  its.warming?.end();
  its.warming = null;
}

bus.addEventListener('memory', () => { if (its.spare && !mayWait()) noSpare(); });
globalThis.document?.addEventListener?.('visibilitychange', () => {
  clearTimeout(its.unseen);
  if (document.visibilityState === 'hidden') its.unseen = setTimeout(noSpare, UNSEEN);
  else quiet();
});
