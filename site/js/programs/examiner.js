import { keep, note } from './keep.js';
import { draco, programs } from './programs.js';
import { work } from '../state/work.js';

const its = work.examiners;

/** @typedef {import('../state/types.js').Message} Message */
/** @typedef {{ask: <K extends keyof Wire.Questions>(kind: K, data: Wire.Questions[K]['ask'] & Wire.Files, transfer?: Transferable[]) => Promise<import('../state/types.js').Answer<K>>, stop: () => void, end: () => void}} Examiner */

/** Bytes of WebAssembly memory of each examiner that holds a figure. @type {Map<Worker, number>} */
const takes = new Map();
const noteAll = () => note({ examiner: [...takes.values()].reduce((a, b) => a + b, 0) });

/** @typedef {{kind: 'refused', missing: string[], broke: string, full: boolean, text: string, hint: string}} Death */

/**
 * Starts a worker with the examiner in it and resolves when it takes questions.
 * @param {{onMessage?: (m: Message) => void, onDeath?: (m: Death, asked: string[]) => void, keeps?: boolean}} [options] onDeath: it is gone without being ended, and what it was asked; keeps: its figure is the one on the desk
 * @returns {Promise<Examiner>}
 */
export async function startExaminer({ onMessage = () => {}, onDeath = () => {}, keeps = true } = {}) {
  if (keeps) makeWay();
  const p = programs();
  const [module, url] = await Promise.all([p.examiner, p.worker]);
  const worker = new Worker(url);
  /** who waits for the answer of each ask @type {Map<number, {kind: string, done: (m: any) => void}>} */
  const waiting = new Map();
  let ids = 0, over = false;
  const lock = `examiner ${performance.timeOrigin} ${++its.locks}`;
  const ended = new AbortController();

  /** The worker is gone: whatever is asked gets that for an answer. @param {string} why @param {boolean} [full] it ran out of memory */
  const died = (why, full = false) => {
    if (over) return;
    end();
    const m = /** @type {Death} */ ({
      kind: 'refused',
      missing: [],
      broke: why,
      full,
      text: full ? 'The examiner ran out of memory.' : `The examiner broke off: ${why}.`,
      hint: full ? 'A browser gives one page only so much memory. Close other pages, or open a smaller figure; the command line has all of the machine’s memory.' : '',
    });
    onDeath(m, [...waiting.values()].map((w) => w.kind));
    for (const [id, w] of waiting) { onMessage({ id, ...m, missing: [] }); w.done({ id, ...m }); }
    waiting.clear();
  };
  const end = () => { over = true; worker.terminate(); ended.abort(); if (takes.delete(worker)) noteAll(); };

  await new Promise((/** @type {(v?: any) => void} */ ready, fail) => {
    worker.onerror = (e) => { const why = e.message || 'the worker failed'; fail(new Error(why)); died(why, outOfMemory(why)); };
    worker.onmessageerror = () => died('a message of the worker cannot be read');
    worker.onmessage = ({ data }) => {
      if (over) return;
      if (data.memory && keeps) { takes.set(worker, data.memory); noteAll(); }
      if (data.kind === 'ready') return ready();
      if (data.kind === 'locked') return watch(lock, ended.signal, () => died('it ended without a word'));
      if (data.kind === 'ended') { fail(new Error(data.text)); return died(data.text, outOfMemory(`${data.text} ${data.said ?? ''}`)); }
      if (keeps) keep(data);
      onMessage(data);
      const w = waiting.get(data.id);
      if (!w || !data.end) return; // the last word bears an end, and no other
      waiting.delete(data.id);
      w.done(data);
    };
    const beside = decoders();
    worker.postMessage({ module, lock, beside }, [beside]);
  });

  return {
    end,
    stop: () => worker.postMessage({ kind: 'stop' }),
    ask: (kind, data, transfer = []) => new Promise((done) => {
      if (over) return done({ id: 0, kind: 'refused', text: 'The examiner has ended.', hint: '', missing: [] });
      if (kind === 'examine' || kind === 'sample' || kind === 'row') its.warmed = true;
      waiting.set(++ids, { kind, done });
      worker.postMessage({ ...data, id: ids, kind }, transfer);
    }),
  };
}

/** A port that answers with the decoder of packed shapes, which is loaded when the first file asks for it. @returns {MessagePort} */
function decoders() {
  const { port1, port2 } = new MessageChannel();
  port1.onmessage = () => draco().then((module) => port1.postMessage({ module }), (e) => port1.postMessage({ wrong: String(e.message ?? e) }));
  return port2;
}

/** What Go's runtime and the browsers say when memory is short. @param {string} words */
const outOfMemory = (words) => /out of memory|cannot allocate|allocation failed|memory limit/i.test(words);

/** The worker holds a lock as long as it lives; it comes free when the worker is gone, however that happened. @param {string} name @param {AbortSignal} signal @param {() => void} gone */
function watch(name, signal, gone) {
  navigator.locks.request(name, { signal }, gone).catch(() => {}); // aborted: it was ended here
}

/** Runs the sample once, unseen, so that the browser has optimised code when the first file comes. */
export async function warmUp() {
  if (its.warmed) return;
  its.warmed = true;
  const mine = its.ways;
  try {
    const e = await startExaminer({ keeps: false });
    if (mine !== its.ways) return e.end(); // a real one was asked for meanwhile
    its.warming = e;
    await e.ask('sample', { pose: 'T', names: '', size: 0, fault: 0, limits: '' });
    e.end();
  } catch { /* the first real file will tell */ }
  its.warming = null;
}

/** A warm-up ends where a real examiner starts: there are few processors. */
function makeWay() {
  its.ways++;
  its.warming?.end();
  its.warming = null;
}
