// The rows of the table of joints, out of the document.

/** @typedef {{skin: number, node: number, name: string, side: string|null, vertices: number, dominant: number, weight_sum: number, largest: number, histogram: number[], reach: number|null, islands: number|null, partner: string, difference: number|null, idle: string}} Row */

/** One row a joint of a skin, as the command line's table has them. @param {import('../state/types.js').Figure} figure @returns {Row[]} */
export function rowsOf(figure) {
  const binding = figure.doc.facts_of.binding;
  const nameOf = (/** @type {number|null|undefined} */ n) => (n === null || n === undefined ? '' : (figure.byNode.get(n)?.name ?? `node ${n}`));
  return (binding?.skins ?? []).flatMap((s) =>
    s.joints.map((j) => ({
      skin: s.skin,
      node: j.node,
      name: j.name || `node ${j.node}`,
      side: figure.byNode.get(j.node)?.side ?? null,
      vertices: j.vertices,
      dominant: j.dominant,
      weight_sum: j.weight_sum,
      largest: j.largest,
      histogram: j.histogram,
      reach: j.vertices > 0 ? j.reach_m : null,
      islands: j.islands,
      partner: nameOf(j.partner),
      difference: binding?.mirror_mismatch ? j.mirror_mismatch_sum : null,
      idle: j.idle,
    })),
  );
}

/** Rows whose name or partner holds every word. @param {Row[]} rows @param {string} text */
export function named(rows, text) {
  const words = text.toLowerCase().split(/\s+/).filter(Boolean);
  return rows.filter((r) => words.every((w) => `${r.name} ${r.partner} ${r.node}`.toLowerCase().includes(w)));
}
