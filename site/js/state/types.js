// The shapes of the page. What Go defines is printed into wire.d.ts, namespace Wire; nothing of it is written down again here.

/** @typedef {Wire.Finding['grade']} Grade */
/** @typedef {Wire.Move} Move one joint turned from rest */
/** @typedef {Wire.Turn} Turn */
/** @typedef {'left'|'right'|'centre'|null} Side */
/** @typedef {Wire.Measure} Measure */
/** @typedef {Wire.Where} Where a place in the file's own numbers */
/** @typedef {Wire.Row} Row one place of a finding */
/** @typedef {Wire.Fold} Fold notes of one kind, by number */
/** @typedef {Wire.Finding} Finding */
/**
 * @typedef {object} Held what a joint holds
 * @property {number} vertices
 * @property {number} dominant
 * @property {number} weight_sum
 * @property {number} largest
 * @property {number[]} histogram ten counts
 * @property {number|null} reach_m
 * @property {number|null} islands
 */
/**
 * @typedef {object} Joint
 * @property {number} node
 * @property {string} name
 * @property {number|null} parent node of the joint above
 * @property {number[]} children nodes
 * @property {number} depth
 * @property {number[]|null} position
 * @property {number|null} length
 * @property {string|null} role
 * @property {number|null} sure confidence of the role
 * @property {string} evidence what the role was told by, in words
 * @property {Side} side
 * @property {number|null} partner node
 * @property {Held|null} held null: not in any skin that was looked at
 * @property {boolean} idle holds no vertex
 * @property {string} idleAs what an idle joint is for: end, carries, structural, helper
 * @property {Cut|null} cut the section of the surface around it; null: none was measured
 */
/** @typedef {{radius: number|null, offset: number|null, outside: boolean}} Cut offset ÷ radius from its middle */
/** @typedef {{id: string, title: string, state: Wire.Outcome['state'], reason: string}} CheckRow */
/** @typedef {{name: string, title: string, says: string, state: 'done'|'now'|'wait'|'absent', checks: CheckRow[], findings: Finding[], whole: string}} Station whole: what it tells of the figure as a whole */
/** @typedef {{clip: number, name: string, start: number, seconds: number, facts: ClipFacts}} Clip */
/** @typedef {Partial<Wire.MotionClip> & {carried?: Wire.CarryReport}} ClipFacts what Motion measured, or what carrying it over kept and lost */
/** @typedef {Wire.CatalogueLimit} Limit */
/** @typedef {Wire.CatalogueEntry} Entry */
/** @typedef {{name: string, title: string, entries: Entry[]}} CatalogueStation */
/**
 * @typedef {object} Figure
 * @property {Wire.Examination} doc the document as the engine wrote it
 * @property {string} json its text
 * @property {Wire.File} file
 * @property {Joint[]} joints in tree order
 * @property {Map<number, Joint>} byNode
 * @property {Finding[]} findings
 * @property {Station[]} stations
 * @property {Clip[]} clips
 * @property {boolean} running true while stations are still to come
 */
/** @typedef {{kind: 'none'}|{kind: 'joint', node: number}|{kind: 'vertex', surface: number, vertex: number}|{kind: 'finding', number: number}|{kind: 'clip', clip: number}} Chosen */
/** @typedef {Wire.Refused & Wire.Beside & {broke?: string, full?: boolean}} Refusal broke: the worker is gone, and why; full: its memory was short */
/** @typedef {Wire.Message | Refusal} Message */
/** @template {keyof Wire.Questions} K @typedef {Wire.Answer<K> | Refusal} Answer */
/**
 * The running stage, as wasm/stage hangs it on the page; a text is what went wrong.
 * @typedef {object} Stage
 * @property {(rig: Uint8Array, sketch?: Uint8Array|null) => Promise<string|null>} show
 * @property {(bytes: Uint8Array) => Promise<string|null>} prepared
 * @property {(bytes: Uint8Array) => Promise<string|null>} fields
 * @property {(bytes: Uint8Array) => Promise<string|null>} texture
 * @property {(rig?: Uint8Array, sketch?: Uint8Array|null) => Promise<string|null>} trial another figure for the right half; without a sketch it has the shape of the open one; nothing: it goes
 * @property {(rig?: Uint8Array, prepared?: Uint8Array) => Promise<string|null>} foreign the figure of another file for the right half; nothing: it goes
 * @property {(bytes: Uint8Array) => Promise<string|null>} foreignTexture a decoded picture of that file
 * @property {(bytes: Uint8Array) => Promise<string|null>} trialPrepared
 * @property {(bytes: Uint8Array) => string|null} field
 * @property {(bytes?: Uint8Array|null) => string|null} overlay null or nothing: takes it away
 * @property {(kind: string) => [number, number]|null} lies where the bytes of the figure's rig, prepared or fields lie in its memory, and how many
 * @property {() => null} empty
 * @property {(part: Wire.Some<Wire.Show>) => string|null} set
 * @property {(x: number, y: number) => void} turn
 * @property {(factor: number, x?: number, y?: number) => void} near
 * @property {(x: number, y: number) => void} shift
 * @property {() => void} frameAll
 * @property {(place: Wire.Some<Wire.Place>) => string|null} frame
 * @property {() => void} keepView before a change of the view begins
 * @property {() => boolean} undoView the view before the last change; false: none is left
 * @property {() => boolean} back
 * @property {(node: number) => Turn[]} turns
 * @property {(x: number, y: number) => Wire.Hit} pick
 * @property {(x: number, y: number) => Wire.Hit} hover
 * @property {(surface: number, vertex: number) => Wire.Probe|null} probe
 * @property {(surface: number, vertex: number) => string} reads what the lens says of a vertex, in words
 * @property {(surface: number, vertex: number, toSurface: number, to: number) => string|null} length how far apart two vertices are as posed, in words
 * @property {(surface: number, vertex: number) => Wire.Sum|null} sum
 * @property {() => Wire.StageState} state
 * @property {() => Wire.Legend} legend
 * @property {() => {w: number, h: number, rgba: Uint8Array}} pixels
 * @property {() => void} stop
 */
export {};
