// Numbers as people read them: a unit, a thin space between thousands, a true minus.

const THIN = '\u202f';
const GAP = '\u00a0';

/** What lengths are read in: m, cm or in. Documents stay in metres. */
export const lengths = { unit: 'm' };

/** An inch in metres, exactly. */
const INCH = 0.0254;

/**
 * The lengths within words of the engine in the unit that is read. As say.In of the engine: of inches as many figures as
 * what was rounded still tells. @param {string} words
 */
export function inUnit(words) {
  if (lengths.unit === 'm' || !words.includes(GAP)) return words;
  return words.replace(/([\d.\u2212\u202f]+)\u00a0(mm|m)(?![\p{L}\p{N}])/gu, (all, number, unit) => {
    const v = Number(number.replaceAll(THIN, '').replace('\u2212', '-'));
    if (!Number.isFinite(v)) return all;
    const metres = unit === 'mm' ? 1e-3 : 1;
    if (lengths.unit === 'cm') return `${three(v * metres * 100)}${GAP}cm`;
    const half = v === 0 ? 0.5 : 0.5 * 10 ** -Math.max(0, 2 - Math.floor(Math.log10(Math.abs(v))));
    for (let n = 3; n > 0; n--) {
      const low = Number((((v - half) * metres) / INCH).toPrecision(n));
      if (low === Number((((v + half) * metres) / INCH).toPrecision(n))) return `${three(low)}${GAP}in`;
    }
    return `${three((v * metres) / INCH)}${GAP}in`;
  });
}

/** @param {number} n @param {number} digits after the point */
export function fixed(n, digits) {
  const s = Math.abs(n).toFixed(digits);
  const [whole, part] = s.split('.');
  const grouped = whole.replace(/\B(?=(\d{3})+$)/g, THIN);
  const minus = n < 0 && Number(s) !== 0 ? '\u2212' : '';
  return minus + grouped + (part ? `.${part}` : '');
}

/** A whole number. @param {number} n */
export const count = (n) => fixed(n, 0);

/** Three figures at most, no exponent a reader would have to decode; whole numbers are counts and stay whole. As check.Plain of the engine. @param {number} n @returns {string} */
export function plain(n) {
  if (!Number.isFinite(n)) return 'none';
  const a = Math.abs(n);
  if (a < 1e-12) return '0';
  if (a < 1e15 && (Number.isInteger(n) || a >= 1000)) return fixed(n, 0);
  const off = Math.abs(a - 1);
  if (off < 0.005) return trimmed(n, Math.min(6, 1 - Math.floor(Math.log10(off)))); // 1.001 is not 1
  return three(n);
}

/** @param {number} n @returns {string} three figures, zeros at the end left out */
function three(n) {
  const a = Math.abs(n);
  if (a === 0) return '0';
  if (a < 1e-6 || a >= 1e15) {
    const [m, e] = a.toExponential(1).split('e'); // rounding may raise the power
    return `${n < 0 ? '\u2212' : ''}${m.replace(/\.0$/, '')} × 10${[...String(Number(e))].map((c) => (c === '-' ? '⁻' : '⁰¹²³⁴⁵⁶⁷⁸⁹'[Number(c)])).join('')}`;
  }
  return trimmed(n, Math.max(0, 2 - Math.floor(Math.log10(a))));
}

/** @param {number} n @param {number} digits */
function trimmed(n, digits) {
  const s = fixed(n, digits);
  return s.includes('.') ? s.replace(/\.?0+$/, '') : s;
}

/** A sum of weights: one digit after the point from ten on. @param {number} n */
export const weightSum = (n) => (Math.abs(n) >= 10 ? fixed(n, 1) : plain(n));

/** Metres; under a decimetre in millimetres, under ten micrometres in those. @param {number|null|undefined} m */
export function metres(m) {
  if (m === null || m === undefined || !Number.isFinite(m)) return 'none';
  const a = Math.abs(m);
  if (a < 5e-10) return `0${GAP}m`; // under half a nanometre: the dust of rounding
  if (a < 1e-5) return `${three(m * 1e6)}${GAP}µm`;
  if (lengths.unit !== 'm') return lengths.unit === 'cm' ? `${three(m * 100)}${GAP}cm` : `${three(m / INCH)}${GAP}in`;
  if (a < 0.0995) return `${three(m * 1e3)}${GAP}mm`;
  return `${three(m)}${GAP}m`;
}

/** @param {number} x 0 to 1 */
export function percent(x) {
  const p = x * 100;
  const a = Math.abs(p);
  if (x !== 0 && Math.abs(x) < 1e-6) return `under 0.0001${GAP}%`; // the dust of rounding, and one of millions: not none
  return `${a > 99.95 && a < 100 ? fixed((Math.sign(p) * Math.floor(a * 100)) / 100, 2) : three(p)}${GAP}%`; // not quite all is not all
}

/** @param {number} n */
export function bytes(n) {
  if (n < 1000) return some(n, 'byte');
  if (n < 999.5e3) return `${three(n / 1e3)}${GAP}kB`;
  if (n < 999.5e6) return `${three(n / 1e6)}${GAP}MB`;
  return `${three(n / 1e9)}${GAP}GB`;
}

/** A turn in whole degrees. @param {number} d */
export const degrees = (d) => `${Math.round(d) < 0 ? '−' : ''}${Math.abs(Math.round(d))}°`;

/** @param {number} s */
export const seconds = (s) => `${fixed(s, s < 100 ? 2 : 1)}${GAP}s`;

/** "1 joint", "2 joints". @param {number} n @param {string} one @param {string} [many] */
export const some = (n, one, many = `${one}s`) => `${count(n)}${GAP}${n === 1 ? one : many}`;

/**
 * A value with its unit, for what the engine has not put into words: a limit that was moved, the
 * ticks of a gauge. Held to check.Quantity by a table that both read.
 * @param {number|null|undefined} v @param {string} unit as the engine names it: "", "m", "°", "× height", what is counted in the plural
 * @param {string} [one] what is counted in the singular
 */
export function value(v, unit, one = unit) {
  if (v === null || v === undefined || !Number.isFinite(v)) return 'no value';
  switch (unit) {
    case 'm':
      return metres(v);
    case 'm/s':
      return `${metres(v)}/s`;
    case '°':
    case '°/s':
      return `${plain(v)}${unit}`;
    case 's':
      return `${plain(v)}${GAP}s`;
    case 'bytes':
      return bytes(v);
    case 'share':
      return percent(v);
    case '×':
      return `×${GAP}${plain(v)}`;
    case '× rest':
      return `×${GAP}${plain(v)} of rest`;
    case 'off 1':
      return `${plain(v)} off 1`;
    case '':
    case undefined:
      return plain(v);
    default:
      if (unit.startsWith('of the ')) return `${percent(v)} ${unit}`; // a part of a whole
      if (unit.startsWith('share of ')) return `${percent(v)} of the ${unit.slice(9).replace(/^the /, '')}`;
      if (unit.startsWith('× ')) return `${Math.abs(v) >= 1.5 ? `${plain(v)}${GAP}× the` : `${percent(v)} of the`} ${unit.slice(2).replace(/\/s$/, '')}${unit.endsWith('/s') ? ' a second' : ''}`;
      return `${plain(v)}${GAP}${Math.abs(v) === 1 ? one : unit}`;
  }
}

/**
 * When a limit is passed, for one that was moved here: "more than 5 %", "fewer than 1 skin". Held to say.Limit of the engine by the same table.
 * @param {import('../state/types.js').Limit} l @param {number} v
 */
export function passed(l, v) {
  const words = value(v, l.unit, l.one);
  const counts = l.one !== l.unit;
  if (l.reached) return `${words} or ${l.below ? (counts ? 'fewer' : 'less') : 'more'}`;
  if (l.below) return `${counts ? 'fewer' : 'less'} than ${words}`;
  return counts && v === 0 ? `any ${l.one}` : `more than ${words}`;
}

/** The measure of a row as the engine says it: "4.8 %", "212 pairs", "−57 % volume". @param {import('../state/types.js').Measure|undefined} m */
export const measured = (m) => m?.says ?? '';

/** The measure where its name stands before it: what is counted is not said twice. @param {import('../state/types.js').Measure|undefined} m */
export const beside = (m) => m?.beside ?? measured(m);

/** Words where room is short: without what stands in brackets and what a share is of; the card says both. @param {string} words */
const short = (words) => words.replace(/ \(.*\)$/, '').replace(/(\d[\u00a0 ]%) of the .*$/, '$1');

/** The measure where room is short. @param {import('../state/types.js').Measure|undefined} m */
export const measuredShort = (m) => short(measured(m));

/** "limit 1 %", "fewer than 1 skin", or that it is listed only. @param {import('../state/types.js').Measure|undefined} m */
export const limited = (m) => m?.against ?? 'listed';

/** The limit where room is short. @param {import('../state/types.js').Measure|undefined} m */
export const limitedShort = (m) => short(limited(m));

/** Sign kept: "+138", "−0.2 m". @param {number} d @param {(n: number) => string} words */
export const signed = (d, words) => (d > 0 ? `+${words(d)}` : words(d));

/** leftUpperArm → "left upper arm", as the engine says it. @param {string} role a VRM bone name */
export const roleWords = (role) => role.replace(/[A-Z]/g, (c) => ` ${c.toLowerCase()}`);

/** A point in space. @param {number[]} p */
export const point = (p) => p.map((x) => fixed(x, 3)).join(', ');

/** Text cut in the middle, since names differ at their ends. @param {string} s @param {number} max characters */
export function cut(s, max) {
  if (s.length <= max) return s;
  const tail = Math.floor((max - 1) / 2);
  return `${s.slice(0, max - 1 - tail)}…${s.slice(-tail)}`;
}
