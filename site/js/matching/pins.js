// What a person has set by hand in a table of pairs, as the table itself carries it.

/** @typedef {Wire.MatchPlace} Place */
/** @typedef {Wire.MatchRow} Pair */
/** @typedef {Wire.MatchDocument} Table */

/** The rows set by hand. @param {Table} table */
export const pinsOf = (table) => table.pairs.filter((p) => p.pinned);

/**
 * The rows set by hand after one more word: this source moves that target; null: the target stays without.
 * @param {Pair[]} pins @param {Place} target @param {Place|null} source
 */
export const withPin = (pins, target, source) => [
  ...pins.filter((p) => p.target?.node !== target.node && !(source && !p.target && p.source?.node === source.node)),
  { source, target, role: null, confidence: 1, pinned: true, evidence: '' },
];

/** What was set for one target is given back. @param {Pair[]} pins @param {number} target node */
export const without = (pins, target) => pins.filter((p) => p.target?.node !== target);

/** As text that is read like a saved table; nothing set: empty. @param {Pair[]} pins */
export const pinsText = (pins) => (pins.length > 0 ? JSON.stringify({ match: 1, pairs: pins }) : '');

/** Below it a pair is one to look at. */
const SURE = 0.7;

/**
 * What to look at first, the rest, and what is hidden until asked for: joints that hold no vertex and have no pair.
 * @template {{target: Place, pair: Pair|null}} R @param {R[]} rows @param {(node: number) => boolean} idle
 * @returns {{unsure: R[], rest: R[], helpers: R[]}} unsure: the least sure first
 */
export function order(rows, idle) {
  const helps = (/** @type {R} */ r) => !r.pair?.source && !r.pair?.pinned && idle(r.target.node);
  const doubts = (/** @type {R} */ r) => Boolean(r.pair?.source) && !r.pair?.pinned && (r.pair?.confidence ?? 1) < SURE;
  return {
    unsure: rows.filter(doubts).sort((a, b) => (a.pair?.confidence ?? 0) - (b.pair?.confidence ?? 0)),
    rest: rows.filter((r) => !helps(r) && !doubts(r)),
    helpers: rows.filter(helps),
  };
}

/**
 * One row a target joint, in the order of its tree.
 * @param {Place[]} targets @param {Table} table
 * @returns {{target: Place, pair: Pair|null, why: string}[]}
 */
export function rowsOf(targets, table) {
  const of = new Map(table.pairs.filter((p) => p.target).map((p) => [/** @type {Place} */ (p.target).node, p]));
  const why = new Map(table.unmatched.target.map((l) => [l.node, l.why]));
  return targets.map((target) => {
    const pair = of.get(target.node) ?? null;
    return { target, pair, why: pair ? pair.evidence : (why.get(target.node) ?? '') };
  });
}
