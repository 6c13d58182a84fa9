// What the engine room tells the page, and what it keeps for a stage that has to start again.

/** Events 'stage', 'stage-lost', 'stage-failed', 'changed', 'fault', 'memory'; each a CustomEvent with a detail. */
export const bus = new EventTarget();

/** @param {string} kind @param {unknown} [detail] */
export const tell = (kind, detail) => { bus.dispatchEvent(new CustomEvent(kind, { detail })); };

/** The figure on the desk, in the flat form that the stage reads, and where its eye was. */
export const kept = {
  /** which figure, or which clips of it: another number with each rig */ round: 0,
  /** what stands in for prepared until that comes @type {Uint8Array|null} */ sketch: null,
  /** @type {Uint8Array|Lying|null} */ rig: null,
  /** @type {Uint8Array|Lying|null} */ prepared: null,
  /** @type {Uint8Array|Lying|null} */ fields: null,
  /** of the lens last asked for @type {Uint8Array|null} */ field: null,
  /** of the finding that is chosen @type {Uint8Array|null} */ overlay: null,
  /** decoded pictures, as they came @type {Uint8Array[]} */ textures: [],
  /** @type {Wire.Some<Wire.Show>|null} */ camera: null,
  /** the figure that lay on the desk before this one @type {Stood|null} */ older: null,
  /** the figure of the second file @type {Stood|null} */ second: null,
  /** the figure of another file that stands beside the open one @type {Stood|null} */ beside: null,
};

/** @typedef {{rig: Uint8Array, prepared: Uint8Array|null, textures: Uint8Array[]}} Stood a figure as the stage takes it */

/** @typedef {{memory: WebAssembly.Memory, at: number, length: number}} Lying what the stage alone holds, in its memory */

/** Bytes from which on a part of a figure is held by the stage alone: a copy here would be the second. */
export const LARGE = 8 << 20;

/** The bytes of a part; those that lie in the stage are copied. @param {Uint8Array|Lying} part */
export const bytesIn = (part) => (part instanceof Uint8Array ? part : new Uint8Array(part.memory.buffer, part.at, part.length).slice());

/** Gives the memory of bytes back that are not wanted any more, where the browser can: Go's side lets go of them late. @param {Uint8Array|null|undefined} bytes */
export const letGo = (bytes) => { /** @type {{transfer?: (size: number) => void}|undefined} */ (bytes?.buffer)?.transfer?.(0); };

/** Copies what lies in a stage that is about to end. */
export function recall() {
  for (const kind of PARTS) {
    const part = kept[kind];
    if (part) kept[kind] = bytesIn(part);
  }
}

/** What of a figure the stage may hold alone. */
const PARTS = /** @type {const} */ (['rig', 'prepared', 'fields']);

/** Bytes of an older figure that are kept: it lies in memory beside the newer one. */
const OLDER = 96 << 20;

/** Keeps the bytes of one message of the examiner. @param {{kind: string, bytes?: ArrayBuffer}} m */
export function keep(m) {
  if (!m.bytes) return;
  const bytes = new Uint8Array(m.bytes);
  if (m.kind === 'sketch') kept.sketch = bytes; // before its rig
  if (m.kind === 'rig') kept.older = kept.rig && kept.prepared && kept.rig.length + kept.prepared.length < OLDER ? { rig: bytesIn(kept.rig), prepared: bytesIn(kept.prepared), textures: kept.textures } : null;
  if (m.kind === 'rig') Object.assign(kept, { round: kept.round + 1, rig: bytes, prepared: null, fields: null, field: null, overlay: null, camera: null });
  if (m.kind === 'field') kept.field = bytes;
  if (m.kind === 'prepared') Object.assign(kept, { prepared: bytes, sketch: null });
  if (m.kind === 'fields') kept.fields = bytes;
  if (m.kind === 'secondRig') kept.second = { rig: bytes, prepared: null, textures: [] };
  if (m.kind === 'secondPrepared' && kept.second) kept.second.prepared = bytes;
}

const used = { examiner: 0, stage: 0 };

/** Bytes of WebAssembly memory; it only grows while a program lives. */
export const memory = () => ({ ...used });

/** @param {Partial<typeof used>} now */
export function note(now) {
  const before = used.examiner + used.stage;
  Object.assign(used, now);
  if (used.examiner + used.stage !== before) tell('memory', memory());
}
