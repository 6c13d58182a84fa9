import { work } from '../state/work.js';

const its = work.programs;

/** @typedef {{examiner: Promise<WebAssembly.Module>, stage: Promise<WebAssembly.Module>, worker: Promise<string>}} Programs */
// The two WebAssembly programs and the worker's text. Each is fetched and compiled once a page: a fresh worker then
// starts in milliseconds, keeps the code the browser has already optimised, and causes no request.

/** @param {string} id @returns {string|null} text of a data block of the single-file page; it is read once and then removed */
function block(id) {
  const el = document.getElementById(id);
  const text = el?.textContent ?? null;
  if (el && el.tagName === 'SCRIPT' && id !== 'exec') el.remove();
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
    throw new Error(/Content Security Policy|unsafe-eval/i.test(words) ? 'This browser or its settings do not allow WebAssembly, which does all the work here.' : words);
  }
}

/** Address of the worker's text: loader and starter in one, held by the page itself. @returns {Promise<string>} */
async function workerText() {
  const inline = block('worker');
  const texts = inline === null
    ? await Promise.all(['wasm_exec.js', 'js/programs/worker.js'].map(async (p) => (await fetched(p)).text()))
    : [block('exec') ?? '', inline];
  return URL.createObjectURL(new Blob([texts.join('\n')], { type: 'text/javascript' }));
}

/** Starts loading, once. @returns {Programs} */
export function programs() {
  if (!its.all) {
    its.all = { worker: workerText(), examiner: compiled('examiner.wasm'), stage: compiled('stage.wasm') };
    for (const p of Object.values(its.all)) p.catch(() => {}); // told where it is awaited
  }
  return its.all;
}

/** Resolves when everything is here; after that the page asks for nothing any more. */
export async function load() {
  const p = programs();
  await Promise.all([p.worker, p.examiner, p.stage]);
}
