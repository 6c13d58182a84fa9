import { measured } from '../base/words.js';

/** @typedef {import('../state/types.js').Finding} Finding */
/** @typedef {{of: Map<number, string>, gone: Finding[], fresh: number, moved: number, same: number}} Changes of: words by number of the new finding */
/** @typedef {{of: Map<number, string>, report: Wire.CompareReport}} Since what the examiner says changed since an older reading; of: words by number of the new finding */

/** The rows' words of what changed since an older reading. @param {Wire.CompareReport} report @returns {Since} */
export function since(report) {
  const of = new Map(report.fresh.map((f) => [f.number, 'new']));
  for (const p of [...report.worse, ...report.better]) of.set(p.is.number, `was ${p.was.says || p.was.grade}`);
  return { of, report };
}

/** Half of the joints of the smaller figure bear a name of the other: only then is it the same figure, changed. Without joints it is, where both have none. @param {Pick<Wire.Examination, 'joints'>} a @param {Pick<Wire.Examination, 'joints'>} b */
export function sameFigure(a, b) {
  const names = (/** @type {Pick<Wire.Examination, 'joints'>} */ d) => d.joints.map((j) => j.name ?? '');
  const [few, many] = [names(a), names(b)].sort((x, y) => x.length - y.length);
  const known = new Set(many);
  return few.length === 0 ? many.length === 0 : 2 * few.filter((n) => known.has(n)).length >= few.length;
}

/** Findings are the same one when check and subject agree. @param {Finding} f */
const key = (f) => `${f.id}\n${f.subject}`;

/**
 * What changed in the findings between two readings of a file.
 * @param {Finding[]} before @param {Finding[]} after @returns {Changes}
 */
export function compare(before, after) {
  /** @type {Map<string, Finding[]>} */
  const old = new Map();
  for (const f of before) old.set(key(f), [...(old.get(key(f)) ?? []), f]);
  /** @type {Changes} */
  const c = { of: new Map(), gone: [], fresh: 0, moved: 0, same: 0 };
  const left = [];
  for (const f of after) {
    const was = old.get(key(f))?.shift();
    if (was) settle(c, was, f);
    else left.push(f);
  }
  for (const f of left) {
    // the subject's words may hold a count that changed: the same check, once before and once now
    const rest = [...old.values()].flat().filter((o) => o.id === f.id);
    if (rest.length === 1 && left.filter((o) => o.id === f.id).length === 1) {
      const was = /** @type {Finding} */ (old.get(key(rest[0]))?.shift());
      settle(c, was, f);
    } else {
      c.fresh++;
      c.of.set(f.number, 'new');
    }
  }
  c.gone = [...old.values()].flat();
  return c;
}

/** @param {Changes} c @param {Finding} was @param {Finding} f */
function settle(c, was, f) {
  if (was.measures[0]?.value === f.measures[0]?.value && was.grade === f.grade) c.same++;
  else {
    c.moved++;
    c.of.set(f.number, `was ${measured(was.measures[0])}`);
  }
}
