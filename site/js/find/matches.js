/** @typedef {{kind: string, title: string, more: string, run: () => void}} Thing something that can be sought */

/** Small letters without marks on them: "Café" is found by "cafe". @param {string} s */
const plain = (s) => s.toLowerCase().normalize('NFD').replace(/\p{M}/gu, '');

/**
 * What holds every word that was typed, best first: a title that begins so, a word of it that does, the title anywhere,
 * last what stands beside it; those alike keep their order.
 * @param {Thing[]} all @param {string} typed @returns {Thing[]}
 */
export function matches(all, typed) {
  const words = plain(typed).split(/\s+/).filter(Boolean);
  if (words.length === 0) return [];
  /** @type {{thing: Thing, worth: number}[]} */
  const found = [];
  for (const thing of all) {
    const title = plain(thing.title), more = plain(`${thing.kind} ${thing.more}`);
    let worth = 0;
    for (const w of words) {
      const at = title.indexOf(w);
      const begins = at === 0 ? 0 : at > 0 && !/[\p{L}\p{N}]/u.test(title[at - 1]) ? 1 : at > 0 ? 2 : more.includes(w) ? 3 : Infinity;
      worth = Math.max(worth, begins);
    }
    if (worth < Infinity) found.push({ thing, worth });
  }
  return found.sort((a, b) => a.worth - b.worth).map((f) => f.thing);
}
