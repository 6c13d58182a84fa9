/** @typedef {import('../state/types.js').Joint} Joint */

/**
 * The joint with the one above and two below, along the longest way down.
 * @param {Joint} joint @param {Map<number, Joint>} by
 */
export function chainOf(joint, by) {
  const chain = [joint];
  const above = joint.parent === null ? undefined : by.get(joint.parent);
  if (above) chain.unshift(above);
  for (let j = joint; chain.length < (above ? 4 : 3);) {
    const next = mainChild(j, by);
    if (!next || chain.includes(next)) break;
    chain.push(next);
    j = next;
  }
  return chain;
}

/** The child with the longest line of joints below it. @param {Joint} joint @param {Map<number, Joint>} by */
export function mainChild(joint, by) {
  /** @type {(j: Joint, left: number) => number} */
  const depth = (j, left) =>
    left === 0
      ? 0
      : 1 +
        Math.max(
          0,
          ...j.children.map((c) => {
            const k = by.get(c);
            return k ? depth(k, left - 1) : 0;
          }),
        );
  const kids = joint.children.map((c) => by.get(c)).filter((k) => k !== undefined);
  return kids.sort((a, b) => depth(b, 6) - depth(a, 6))[0];
}
