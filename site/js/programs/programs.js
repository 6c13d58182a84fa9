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

/** @param {string} packed base64 of a gzip stream @returns {Promise<ArrayBuffer>} */
function unpacked(packed) {
  const trimmed = packed.trim();
  const decode = /** @type {any} */ (Uint8Array).fromBase64;
  /** @type {Uint8Array<ArrayBuffer>} */
  const bytes = decode ? decode.call(Uint8Array, trimmed) : Uint8Array.from(atob(trimmed), (c) => c.charCodeAt(0));
  return new Response(new Blob([bytes]).stream().pipeThrough(new DecompressionStream('gzip'))).arrayBuffer();
}

/** @param {string} path @returns {Promise<Response>} */
async function fetched(path) {
  const response = await fetch(new URL(path, document.baseURI)).catch((e) => { throw new Error(`${path} cannot be loaded: ${e.message}`); });
  if (!response.ok) throw new Error(`${path} cannot be loaded: the server answers ${response.status}`);
  return response;
}

/** @param {string} name @returns {Promise<WebAssembly.Module>} */
async function compiled(name) {
  const packed = block(name + '.gz');
  try {
    if (packed) return await WebAssembly.compile(await unpacked(packed));
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
    its.all = { worker: workerText(), examiner: compiled('examiner.wasm'), stage: compiled('stage.wasm') };
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

/** Resolves when what every page needs is here. */
export async function load() {
  const p = programs();
  await Promise.all([p.worker, p.examiner, p.stage]);
}
