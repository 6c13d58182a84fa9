import { LARGE, bytesIn, kept, letGo, memory, note, recall, tell } from './keep.js';
import { leave } from './leave.js';
import { gpuStage, programs } from './programs.js';
import { work } from '../state/work.js';

const its = work.run;

/** @typedef {{plain: boolean, memory: WebAssembly.Memory, over: Promise<void>, undo: () => void}} Running */

const stage = () => /** @type {{stage?: import('../state/types.js').Stage}} */ (/** @type {unknown} */ (globalThis)).stage;

/** Which presenter is asked for by ?present=plain or ebiten; "" where the machine decides. */
const asked = () => /^(?:plain|ebiten)$/.exec(new URLSearchParams(location.search).get('present') ?? '')?.[0] ?? '';

/** True where WebGL is missing or drawn by the processor: presenting through it is 20 times dearer there. */
function wantsPlain() {
  const gl = document.createElement('canvas').getContext('webgl2');
  if (!gl) return true;
  const info = gl.getExtension('WEBGL_debug_renderer_info');
  const name = String(gl.getParameter(info ? info.UNMASKED_RENDERER_WEBGL : gl.RENDERER));
  gl.getExtension('WEBGL_lose_context')?.loseContext();
  return /swiftshader|llvmpipe|softpipe|software|basic render/i.test(name);
}

/**
 * Starts the stage, and puts the figure on it that is kept.
 * @param {{plain?: boolean}} [options] plain: whatever else is there
 */
export async function startStage({ plain = false } = {}) {
  if (its.running) return;
  if (asked() === 'ebiten' && its.starts === 0) its.gpu = await gpuStage();
  const gpu = plain ? null : its.gpu;
  const module = gpu ?? await programs().stage;
  const go = new (/** @type {any} */ (globalThis).Go)();
  const instance = await WebAssembly.instantiate(module, go.importObject);
  its.running = hangIn(go, instance, !gpu);
  if (!stage()) throw new Error('the stage did not start');
  note({ stage: size(instance) });
  await replay();
  tell('stage', { plain: !gpu, restarted: its.starts++ > 0 });
}

/**
 * Fetches Ebitengine's program where a real graphics processor answers, behind all that the page needs. It presents at
 * once where nothing is shown yet, else from the next figure on: a picture that is looked at is not taken away.
 */
export async function useGpu() {
  if (asked() === 'plain' || its.gpu || !its.running || wantsPlain()) return;
  const module = await gpuStage();
  if (!its.running) return; // the plain one could not go on
  its.gpu = module;
  if (its.gpu && !kept.rig) await restart();
}

/** @param {WebAssembly.Instance} instance */
const size = (instance) => memoryOf(instance).buffer.byteLength;

/** @param {WebAssembly.Instance} instance */
const memoryOf = (instance) => /** @type {WebAssembly.Memory} */ (instance.exports.mem);

/** Ebitengine asks for another frame in each. One that has nothing to draw is kept back until something is asked for. */
function frames() {
  const ask = globalThis.requestAnimationFrame;
  let resting = false;
  /** @type {FrameRequestCallback|null} */
  let held = null;
  return {
    ask: (/** @type {FrameRequestCallback} */ draw) => { if (!resting) return ask(draw); held = draw; return 0; },
    rest: () => { resting = true; },
    wake: () => {
      resting = false;
      if (held) ask(held);
      held = null;
    },
  };
}

/**
 * Runs the program. It appends its canvas to the body, and Ebitengine hangs listeners on window and document that it
 * never takes off; they are recorded, since one left behind throws when the program has ended, and keeps its memory.
 * @param {any} go @param {WebAssembly.Instance} instance @param {boolean} plain @returns {Running}
 */
function hangIn(go, instance, plain) {
  /** @type {[EventTarget, any[]][]} */
  const mine = [];
  /** @type {Running|null} */
  let run = null;
  let ended = false;
  leave(go, () => { ended = true; });
  const { requestAnimationFrame } = globalThis, loop = frames();
  /** @type {any} */ (globalThis).stageOptions = {
    rest: loop.rest,
    wake: loop.wake,
    changed: (/** @type {Wire.Changed} */ c) => { note({ stage: size(instance) }); tell('changed', c); },
    fault: (/** @type {string} */ text) => tell('fault', { text }),
    failed: (/** @type {string} */ text) => setTimeout(() => { if (its.running === run) again(text); }), // it may fail inside go.run
  };
  if (!plain) globalThis.requestAnimationFrame = loop.ask; // Ebitengine takes hold of it as it starts
  for (const target of [window, document]) {
    target.addEventListener = (/** @type {any[]} */ ...a) => {
      mine.push([target, a]);
      EventTarget.prototype.addEventListener.apply(target, /** @type {any} */ (a));
    };
  }
  const before = document.body.lastElementChild;
  /** @type {Promise<void>} */
  let over;
  try {
    over = go.run(instance);
  } finally {
    for (const target of [window, document]) delete (/** @type {any} */ (target).addEventListener);
    globalThis.requestAnimationFrame = requestAnimationFrame;
  }
  if (!plain) { // another size is drawn by Ebitengine itself; the stage may have more to say of it
    mine.push([window, ['resize', loop.wake]]);
    addEventListener('resize', loop.wake);
  }
  const canvas = document.body.lastElementChild;
  if (canvas instanceof HTMLCanvasElement && canvas !== before) {
    canvas.tabIndex = -1;
    canvas.setAttribute('aria-hidden', 'true');
  }
  const undo = () => {
    for (const [target, a] of mine) target.removeEventListener(.../** @type {[any, any, any?]} */ (a));
    if (canvas !== before) canvas?.remove();
    delete /** @type {any} */ (globalThis).stage;
  };
  run = { plain, memory: memoryOf(instance), over, undo };
  over.then(() => { if (its.running === run && !its.restarting && ended) again('the program that draws it ended by itself'); }, (e) => { if (its.running === run) again(String(e)); });
  return run;
}

/** What the stage says of a figure that it was not to show any more. */
const OVERTAKEN = 'another figure came meanwhile';

/**
 * Hands the stage one part of what is kept; it takes it in slices. What is large it holds alone from then on.
 * @param {'rig'|'prepared'|'fields'} kind @returns {Promise<boolean>} false: it is not taken
 */
export async function give(kind) {
  const run = its.running, part = kept[kind], s = stage();
  if (!run || !part || !s) return false;
  /** @type {[typeof kind, NonNullable<typeof part>, Uint8Array][]} */
  const given = [[kind, part, bytesIn(part)]];
  // Where the lines are known the sketch is none the better.
  if (kind === 'rig' && kept.prepared) given.push(['prepared', kept.prepared, bytesIn(kept.prepared)]);
  const [bytes, lines] = given.map((g) => g[2]);
  const told = kind === 'rig' ? s.show(bytes, lines ?? kept.sketch ?? null) : s[kind](bytes);
  const wrong = await Promise.race([told, run.over.then(() => 'the stage has ended', () => 'the stage has ended')]);
  if (wrong && wrong !== OVERTAKEN && its.running === run) tell('fault', { text: wrong });
  if (!wrong && its.running === run) for (const g of given) liesThere(run, ...g);
  return !wrong;
}

/** @param {Running} run @param {'rig'|'prepared'|'fields'} kind @param {Uint8Array|import('./keep.js').Lying} part @param {Uint8Array} bytes that were given of it */
function liesThere(run, kind, part, bytes) {
  if (kept[kind] !== part || bytes.length < LARGE) return;
  const at = stage()?.lies(kind);
  if (!at || at[1] !== bytes.length) return;
  kept[kind] = { memory: run.memory, at: at[0], length: at[1] };
  letGo(bytes);
}

/** A decoded picture for the figure that is shown. @param {Uint8Array} bytes */
export async function giveTexture(bytes) {
  const run = its.running, s = stage();
  if (!run || !s) return; // the next one gets all that are kept
  const wrong = await Promise.race([s.texture(bytes), run.over.then(() => OVERTAKEN, () => OVERTAKEN)]);
  if (wrong && wrong !== OVERTAKEN && its.running === run) tell('fault', { text: wrong });
}

/** Stands the kept figure of another file beside the open one; none: what stood there goes. @returns {Promise<string|null>} what went wrong */
export async function giveBeside() {
  const run = its.running, s = stage(), it = kept.beside;
  if (!run || !s) return null;
  const over = run.over.then(() => null, () => null); // one that has ended answers no more; the next gets what is kept
  if (!it?.prepared) return Promise.race([s.foreign(), over]);
  const wrong = await Promise.race([s.foreign(it.rig, it.prepared), over]);
  for (const t of it.textures) {
    if (wrong || kept.beside !== it || its.running !== run) break;
    await Promise.race([s.foreignTexture(t), over]);
  }
  return wrong;
}

/** A stage whose memory is far more than the figure to come needs: WebAssembly gives none back while a program lives. */
const MUCH = 256 << 20;

/** Another program on the stage, with what is kept. */
async function restart() {
  its.restarting = true;
  its.broke = '';
  try {
    await stopStage();
    kept.camera = null; // of the figure before
    await startStage();
  } finally {
    its.restarting = false;
  }
  if (its.broke) await again(its.broke);
}

/**
 * Starts the stage anew where its memory far exceeds what is kept now, or where Ebitengine's program came after the figure
 * before; the figure is then on it. @returns {Promise<boolean>}
 */
export async function lighten() {
  if (!its.running || !kept.rig) return false;
  const need = kept.rig.length + (kept.prepared ?? kept.sketch ?? kept.rig).length;
  const late = its.running.plain && its.gpu;
  if (!late && memory().stage < Math.max(MUCH, 8 * need)) return false;
  await restart();
  return true;
}

/** Hands a fresh stage what the one before had. */
async function replay() {
  const { round } = kept;
  if (!kept.rig || !(await give('rig')) || kept.round !== round) return;
  if (kept.fields) await give('fields');
  for (const t of kept.textures) await giveTexture(t);
  if (kept.round !== round || !its.running) return; // another came meanwhile: it is given by itself
  const s = stage();
  if (kept.field) s?.field(kept.field);
  if (kept.overlay) s?.overlay(kept.overlay);
  await giveBeside();
  if (kept.camera) s?.set(kept.camera);
}

/** The same figure with other clips; everything else stays, the eye too. @param {Uint8Array} rig */
export async function swap(rig) {
  keepCamera();
  Object.assign(kept, { round: kept.round + 1, rig });
  if (its.running) await replay();
}

/** The same figure after mends: another shape perhaps, looked at as before. @param {{rig: Uint8Array, prepared: Uint8Array, fields: Uint8Array}} parts */
export async function exchange(parts) {
  keepCamera();
  Object.assign(kept, parts, { round: kept.round + 1, sketch: null, field: null, overlay: null });
  if (its.running) await replay();
}

/** Where the eye is, with the insets it was made for: the free rectangle decides where the figure stands. */
function keepCamera() {
  const st = stage()?.state();
  if (st?.shown) kept.camera = { camera: st.camera, inset: st.camera.inset.map((/** @type {number} */ v) => v / st.ratio) };
}

/** Ends the stage; the figure is kept for the next one. */
export async function stopStage() {
  const run = its.running;
  if (!run) return;
  its.running = null;
  try {
    recall();
    keepCamera();
    stage()?.stop();
    await run.over;
  } catch { /* it had ended already */ }
  run.undo();
  note({ stage: 0 });
}

/** A stage that cannot go on is started again, plain, in the same page; the page itself stays as it is. @param {string} text */
async function again(text) {
  if (its.restarting) { its.broke = text; return; }
  its.restarting = true;
  tell('stage-lost', { text });
  const wasPlain = its.running?.plain ?? false;
  its.gpu = null; // what broke once is not asked again
  try {
    await stopStage();
    if (wasPlain && its.starts > 4) throw new Error(text); // it fails for another reason than the presenter
    await startStage({ plain: true });
  } catch (e) {
    tell('stage-failed', { text: String(/** @type {Error} */ (e).message ?? e) });
  } finally {
    its.restarting = false;
  }
}

// Ebitengine would load the whole page again, and the person's file would be gone. After a restored context it draws
// into a blank canvas, so there is no use in waiting for one.
addEventListener('webglcontextlost', (e) => {
  const target = /** @type {Node|null} */ (e.target);
  if (!target?.isConnected) return; // the one that wantsPlain looked through
  e.stopImmediatePropagation();
  again('the graphics context was lost');
}, true);

// The raster follows the body, and Ebitengine only hears of a resized window.
new ResizeObserver(() => dispatchEvent(new Event('resize'))).observe(document.body);

/** Drops the figure. */
export function forget() {
  Object.assign(kept, { sketch: null, rig: null, prepared: null, fields: null, field: null, overlay: null, camera: null, older: null, second: null, beside: null });
  if (its.running) stage()?.empty();
}
