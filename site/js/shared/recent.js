import { on, tell } from '../state/desk.js';
import { rooms } from '../state/rooms.js';
import { heldFiles, open } from '../talk/examine.js';

// Files that were opened before, where the browser gives handles to them: kept in this browser, by name and handle. No
// byte of a file is kept, and nothing is read before its name is pressed. Where there are no handles nothing is kept.

/** @typedef {{name: string, handle: FileSystemFileHandle}} Held a file of a figure, the model first */
/** @typedef {{name: string, files: Held[], at: number}} Recent name: of the model; at: when it was opened */

const its = rooms.recent;

/** How many are kept (common practice, no source). */
export const MOST = 6;

/** What is asked of the browser's own store. @template T @param {IDBTransactionMode} mode @param {(s: IDBObjectStore) => IDBRequest<T>} ask @returns {Promise<T>} */
async function stored(mode, ask) {
  /** @type {IDBDatabase} */
  const db = await new Promise((yes, no) => {
    const r = indexedDB.open('rigloupe', 1);
    r.onupgradeneeded = () => { r.result.createObjectStore('recent', { keyPath: 'name' }); };
    r.onsuccess = () => yes(r.result);
    r.onerror = () => no(r.error);
  });
  try {
    return await new Promise((yes, no) => {
      const r = ask(db.transaction('recent', mode).objectStore('recent'));
      r.onsuccess = () => yes(r.result);
      r.onerror = () => no(r.error);
    });
  } finally {
    db.close();
  }
}

/** Reads the list anew, the last one opened first. */
async function list() {
  try {
    its.list = (await stored('readonly', (s) => s.getAll())).filter((/** @type {any} */ r) => typeof r?.name === 'string' && Array.isArray(r.files)).sort((/** @type {Recent} */ a, /** @type {Recent} */ b) => b.at - a.at);
  } catch {
    its.list = []; // the store is shut, or the page was opened from disk
  }
  tell('recent');
}

/** The figure that is open, with all its files, where each has a handle. */
async function remember() {
  const held = heldFiles();
  if (held.length === 0 || held.some((s) => !s.handle)) return;
  const name = held[0].name;
  try {
    await stored('readwrite', (s) => s.put({ name, files: held.map((x) => ({ name: x.name, handle: x.handle })), at: Date.now() }));
    await list();
    for (const old of its.list.slice(MOST)) await stored('readwrite', (s) => s.delete(old.name));
  } catch { /* the store is shut: the page does without */ }
  await list();
}

/** Forgets one, or all of them. @param {string} [name] */
export async function forgetRecent(name) {
  try {
    await stored('readwrite', (s) => (name === undefined ? s.clear() : s.delete(name)));
  } catch { /* there is none then */ }
  await list();
}

/** Opens one again: the browser may ask first. @param {Recent} r */
export async function openRecent(r) {
  try {
    const sources = [];
    for (const { name, handle } of r.files) {
      const h = /** @type {any} */ (handle), may = { mode: 'read' };
      if ((await h.queryPermission?.(may)) === 'prompt' && (await h.requestPermission(may)) !== 'granted') return tell('say', `${name} was not opened: the browser was not allowed to read it.`);
      sources.push({ name, file: await h.getFile(), handle });
    }
    await open(sources, false);
  } catch (e) {
    const gone = /** @type {Error} */ (e).name === 'NotFoundError';
    tell('say', gone ? `${r.name} is no longer where it was; it is off the list.` : `${r.name} was not opened: the browser cannot read it now.`);
    if (gone) await forgetRecent(r.name);
  }
}

export function mountRecent() {
  on('done', remember);
  list();
}
