import { desk } from '../state/desk.js';
import { seconds, some } from '../base/words.js';

// What a dial that takes names can be given: the figure's own surfaces, joints and clips, so that nobody types them.

/** @typedef {{name: string, says: string}} Named name: as the mend takes it; says: what tells it from others */

/** Which of the figure's parts a parameter names. @type {Record<string, 'surfaces'|'joints'|'clips'>} */
const OF = { surfaces: 'surfaces', leave: 'surfaces', without: 'surfaces', over: 'surfaces', stored: 'joints', chains: 'joints', clips: 'clips', clip: 'clips', fit: 'clips' };

/** Each by its name; one without, or with the name of another, by its number. @param {{name: string|null, says: string, number: string}[]} all @returns {Named[]} */
function told(all) {
  const times = new Map();
  for (const x of all) times.set(x.name, (times.get(x.name) ?? 0) + 1);
  return all.map((x) => (x.name && times.get(x.name) === 1 && !/^#?\d+$/.test(x.name) ? { name: x.name, says: x.says } : { name: x.number, says: [x.name, x.says].filter(Boolean).join(', ') }));
}

/** What can be named for a parameter, in the file's order; empty: nothing is known of it. @param {Wire.MendParameter} p @returns {Named[]} */
export function namesFor(p) {
  const f = desk.figure;
  if (!f || (p.kind !== 'list' && p.kind !== 'text')) return [];
  switch (OF[p.name]) {
    case 'surfaces':
      return told((f.doc.facts_of.surface?.surfaces ?? []).map((s, i) => ({ name: s.name, number: `#${i + 1}`, says: `${some(s.vertices, 'vertex', 'vertices')}${s.gear ? ', gear' : ''}` })));
    case 'joints':
      return told(f.joints.map((j) => ({ name: j.name, number: `#${j.node}`, says: j.role ?? '' })));
    case 'clips':
      return told(f.clips.filter((c) => !desk.carried.includes(c)).map((c) => ({ name: c.name, number: String(c.clip), says: seconds(c.seconds) })));
  }
  return [];
}

/** Why words that were typed for a parameter are none it takes; empty: they may do. @param {Wire.MendParameter} p @param {string[]} words */
export function amiss(p, words) {
  if (!p.says.includes('"x y z"')) return '';
  const bad = words.find((w) => !/^\s*[-+]?[\d.]+(e[-+]?\d+)?(\s+[-+]?[\d.]+(e[-+]?\d+)?){2}\s*$/i.test(w));
  return bad === undefined ? '' : `“${bad}” is no place: three numbers in metres, with spaces, are.`;
}
