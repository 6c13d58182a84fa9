import { lacks } from './able.js';
import { undense } from './dense.js';
import { work } from '../state/work.js';

const its = work.programs;

/** @typedef {{examiner: Promise<WebAssembly.Module>, stage: Promise<WebAssembly.Module>, worker: Promise<string>}} Programs */
// The WebAssembly programs and the worker's text. Each is fetched and compiled once a page: a fresh worker then starts
// in milliseconds, keeps the code the browser has already optimised, and causes no request. The stage's other program,
// which presents by a graphics processor, comes behind them, and only where it is wanted.

/** @param {string} id @returns {string|null} text of a data block of the single-file page; it is read once and then removed */
function block(id) {
  const el = document.getElementById(id);
  const text = el?.textContent ?? null;
  if (el && el.tagName === 'SCRIPT') el.remove();
  return text;
}

/**
 * The programs that a single-file page carries, in one Zstandard stream, so that what they share stands there once.
 * @returns {Promise<Record<string, ArrayBuffer>>|null} by name; null where the page is served as a folder
 */
function carried() {
  const el = document.getElementById('programs');
  const { names, sizes, bytes } = el?.dataset ?? {};
  const text = block('programs'), unpacker = block('unpacker');
  if (!text || !unpacker || !names || !sizes) return null;
  const address = URL.createObjectURL(new Blob([unpacker], { type: 'text/javascript' }));
  const worker = new Worker(address);
  return new Promise((/** @type {(v: Record<string, ArrayBuffer>) => void} */ done, fail) => {
    const wrong = (/** @type {unknown} */ words) => fail(new Error(`The programs that this one file carries cannot be unpacked (${words || 'the worker that does it did not start'}); take another copy of the file.`));
    worker.onmessage = ({ data }) => data.parts ? done(Object.fromEntries(names.split(' ').map((n, i) => [n, data.parts[i]]))) : wrong(data.wrong);
    worker.onerror = (e) => wrong(e.message);
    worker.postMessage({ text, bytes: Number(bytes), sizes: sizes.split(' ').map(Number) });
  }).finally(() => { worker.terminate(); URL.revokeObjectURL(address); });
}

/** @param {string} path @returns {Promise<Response>} */
async function fetched(path) {
  const response = await fetch(new URL(path, document.baseURI)).catch((e) => { throw new Error(`${path} cannot be loaded: ${e.message}`); });
  if (!response.ok) throw new Error(`${path} cannot be loaded: the server answers ${response.status}`);
  return response;
}

/** @param {string} name @param {ReturnType<typeof carried>} [inside] @returns {Promise<WebAssembly.Module>} */
async function compiled(name, inside = null) {
  try {
    if (inside) return await WebAssembly.compile((await inside)[name]);
    const response = await fetched(name);
    // A server that does not know the type must not keep the page from working.
    if (response.headers.get('Content-Type')?.startsWith('application/wasm')) return await WebAssembly.compileStreaming(response);
    return await WebAssembly.compile(await response.arrayBuffer());
  } catch (e) {
    const words = String(/** @type {Error} */ (e).message ?? e);
    throw new Error(/Content Security Policy|unsafe-eval/i.test(words) ? 'This browser or its settings do not allow WebAssembly, which does all the work here.' : e instanceof WebAssembly.CompileError ? `${name} is not whole, or this browser cannot run it` : words);
  }
}

/** Address of the worker's text: loader and starter in one, held by the page itself. @returns {Promise<string>} */
async function workerText() {
  const inline = block('worker');
  its.single = inline !== null;
  const text = inline ?? await (await fetched('worker.js')).text();
  return URL.createObjectURL(new Blob([text], { type: 'text/javascript' }));
}

/** Starts loading, once. @returns {Programs} */
export function programs() {
  if (!its.all) {
    const inside = lacks(globalThis) ? null : carried();
    its.all = { worker: workerText(), examiner: compiled('examiner.wasm', inside), stage: compiled('stage.wasm', inside) };
    for (const p of Object.values(its.all)) p.catch(() => {}); // told where it is awaited
  }
  return its.all;
}

/** The stage that Ebitengine presents; null where it is not to be had: the single file carries the plain one alone. @returns {Promise<WebAssembly.Module|null>} */
export async function gpuStage() {
  const p = programs();
  if (its.single) return null;
  await Promise.allSettled(Object.values(p)); // what every page needs comes first
  its.gpu ??= compiled('gpu.wasm');
  return its.gpu.catch(() => null); // the plain one does it all
}

/** The decoder of shapes packed by Draco, which few files need: it is loaded when the first one does. @returns {Promise<ArrayBuffer>} */
export function draco() {
  its.draco ??= its.single ? alone('draco') : fetched('draco.wasm').then((r) => r.arrayBuffer());
  its.draco.catch(() => { its.draco = null; }); // the next file asks again
  return its.draco;
}

/** A program that the single file carries by itself, by gzip and dense. @param {string} id @returns {Promise<ArrayBuffer>} */
async function alone(id) {
  const length = Number(document.getElementById(id)?.dataset.bytes);
  const text = block(id);
  if (!text) throw new Error(`this copy of the page has no ${id}`);
  return new Response(new Blob([undense(text, length)]).stream().pipeThrough(new DecompressionStream('gzip'))).arrayBuffer();
}

/** Rejects where the program that examines cannot be had: nothing can be done then. */
export const examinerIsHere = () => programs().examiner;

/** Resolves when what every page needs is here. */
export async function load() {
  const p = programs();
  await Promise.all([p.worker, p.examiner, p.stage]);
}
