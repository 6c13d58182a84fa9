// The shapes that cross the page. The document itself is described in the notes of the command line (--json).

/** @typedef {'stop'|'flaw'|'note'} Grade */
/** @typedef {{joint: number, axis: string, degrees: number}} Move one joint turned from rest */
/** @typedef {{axis: string, min: number, max: number, source: string}} Turn */
/** @typedef {'left'|'right'|'centre'|null} Side */
/** @typedef {{name: string, value: number|null, unit: string, limit: number|null, says: string, beside?: string, limit_says: string, against: string, below: boolean}} Measure says: in words, as everywhere; beside: the same after its name; against: the limit beside it */
/**
 * @typedef {object} Where a place in the file's own numbers
 * @property {number[]} [nodes]
 * @property {{node: number, name: string}[]} [joints]
 * @property {number} [joint_total]
 * @property {number|null} [skin]
 * @property {number|null} [clip]
 * @property {{clip: number, name: string|null}[]} [clips] all that it is found in, clip the first
 * @property {number|null} [time]
 * @property {number|null} [surface]
 * @property {number|null} [mesh]
 * @property {number|null} [primitive]
 * @property {number[]} [vertices]
 * @property {number} [vertex_total]
 * @property {{surface: number, primitive: number, vertices: number[], vertex_total: number}[]} [places] a primitive's share each
 * @property {number[][]} [edges]
 * @property {number[]|null} [point]
 * @property {number|null} [extent]
 * @property {Move} [move] the pose it shows in
 * @property {Row[]} [rows] the places of a finding that stands in several, the worst first
 * @property {{child: {node: number, name: string|null}, parent: {node: number, name: string|null}|null}[]} [hang] joints that hang wrongly, each with the one to hang it on
 */
/** @typedef {{subject: string, measures: Measure[], joints: {node: number, name: string|null}[], move?: Move, vertex_total: number}} Row one place of a finding */
/** @typedef {{station: string, title: string, findings: number[]}} Fold notes of one kind, by number */
/**
 * @typedef {object} Finding
 * @property {number} number key number: place in the document, from 1
 * @property {string} id
 * @property {string} station
 * @property {Grade} grade
 * @property {string} title
 * @property {string} subject
 * @property {Measure[]} measures
 * @property {Where} where
 * @property {string} why
 * @property {string} remedy
 * @property {string} source
 * @property {{number: number, id: string, title: string, subject: string}|null} [cause] the finding it follows from
 */
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
/** @typedef {{id: string, title: string, state: 'clear'|'found'|'not-looked-at', reason: string}} CheckRow */
/** @typedef {{name: string, title: string, says: string, state: 'done'|'now'|'wait'|'absent', checks: CheckRow[], findings: Finding[], whole: string}} Station whole: what it tells of the figure as a whole */
/** @typedef {{clip: number, name: string, start: number, seconds: number, facts: any}} Clip */
/** @typedef {{name: string, unit: string, one: string, value: number, grade: string, below: boolean, reached: boolean, says: string}} Limit one: of what unit counts; below: passed by less; says: when it is passed */
/** @typedef {{id: string, title: string, measure?: string, limits: Limit[], source?: string, lens?: string}} Entry lens: that shows best where it is found */
/** @typedef {{name: string, title: string, entries: Entry[]}} CatalogueStation */
/**
 * @typedef {object} Figure
 * @property {any} doc the document as the engine wrote it
 * @property {string} json its text
 * @property {any} file
 * @property {Joint[]} joints in tree order
 * @property {Map<number, Joint>} byNode
 * @property {Finding[]} findings
 * @property {Station[]} stations
 * @property {Clip[]} clips
 * @property {boolean} running true while stations are still to come
 */
/** @typedef {{kind: 'none'}|{kind: 'joint', node: number}|{kind: 'vertex', surface: number, vertex: number}|{kind: 'finding', number: number}|{kind: 'clip', clip: number}} Chosen */
export {};
