// Numbers as people read them: a unit, a thin space between thousands, a true minus.

const THIN = '\u202f';
const GAP = '\u00a0';

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

/** Three significant figures, no more than needed, never an exponent a reader would have to decode. @param {number} n @returns {string} */
export function plain(n) {
  if (!Number.isFinite(n)) return 'none';
  const a = Math.abs(n);
  if (a === 0) return '0';
  if (Number.isInteger(n) || a >= 1000) return fixed(n, 0);
  if (a < 1e-6) {
    const e = Math.floor(Math.log10(a));
    return `${plain(Number((n / 10 ** e).toPrecision(2)))} × 10${[...String(e)].map((c) => (c === '-' ? '⁻' : '⁰¹²³⁴⁵⁶⁷⁸⁹'[Number(c)])).join('')}`;
  }
  let digits = Math.max(0, 2 - Math.floor(Math.log10(a)));
  for (let more = 0; more < 3 && Number.isInteger(Number(a.toFixed(digits))); more++) digits++; // 1.001 is not 1
  return fixed(n, digits)
    .replace(/(\.\d*?)0+$/, '$1')
    .replace(/\.$/, '');
}

/** A sum of weights: one digit after the point from ten on. @param {number} n */
export const weightSum = (n) => (Math.abs(n) >= 10 ? fixed(n, 1) : plain(n));

/** Metres; below a centimetre in millimetres. @param {number|null|undefined} m */
export function metres(m) {
  if (m === null || m === undefined || !Number.isFinite(m)) return 'none';
  const a = Math.abs(m);
  if (a === 0) return `0${GAP}m`;
  if (a < 1e-5) return `${plain(m * 1e6)}${GAP}µm`;
  if (a < 0.01) return `${plain(Number((m * 1000).toPrecision(2)))}${GAP}mm`;
  return `${fixed(m, a < 1 ? 3 : a < 100 ? 2 : 0)}${GAP}m`;
}

/** @param {number} x 0 to 1 */
export function percent(x) {
  const p = x * 100;
  const a = Math.abs(p);
  const digits = a === 0 || Number.isInteger(p) ? 0 : a < 0.1 ? 2 : a < 99.95 ? 1 : 0;
  return `${fixed(p, digits)}${GAP}%`;
}

/** @param {number} n */
export function bytes(n) {
  if (n < 1000) return `${n}${GAP}bytes`;
  if (n < 1e6) return `${fixed(n / 1e3, n < 1e5 ? 1 : 0)}${GAP}kB`;
  return `${fixed(n / 1e6, n < 1e8 ? 1 : 0)}${GAP}MB`;
}

/** A turn in whole degrees. @param {number} d */
export const degrees = (d) => `${Math.round(d) < 0 ? '−' : ''}${Math.abs(Math.round(d))}°`;

/** @param {number} s */
export const seconds = (s) => `${fixed(s, s < 100 ? 2 : 1)}${GAP}s`;

/** "1 joint", "2 joints". @param {number} n @param {string} one @param {string} [many] */
export const some = (n, one, many = `${one}s`) => `${count(n)}${GAP}${n === 1 ? one : many}`;

/** @param {string} many */
const singular = (many) => (many === 'vertices' ? 'vertex' : /^[a-z]+[^s]s$/.test(many) ? many.slice(0, -1) : many);

/** A value with its unit. @param {number|null|undefined} v @param {string} unit as the engine names it: "", "m", "°", "%", "× height" @param {string} [name] what is measured */
export function value(v, unit, name = '') {
  if (v === null || v === undefined || !Number.isFinite(v)) return 'no value';
  switch (unit) {
    case 'm':
      return metres(v);
    case '%':
      return `${plain(v)}${GAP}%`;
    case '°':
      return `${plain(v)}°`;
    case 's':
      return seconds(v);
    case 'bytes':
    case 'B':
      return bytes(v);
    case 'share':
      return percent(v);
    case '×':
    case 'factor':
      return `×${GAP}${plain(v)}`;
    case '':
    case undefined:
      if (/share|portion/.test(name)) return percent(v);
      return plain(v);
    default:
      if (unit.startsWith('of the ')) return `${percent(v)} ${unit}`; // a part of a whole
      return `${plain(v)}${GAP}${v === 1 ? singular(unit) : unit}`;
  }
}

/** The measure of a row: "4.8 %", "212 pairs", "0.61 m". @param {import('./types.js').Measure|undefined} m */
export function measured(m) {
  if (!m) return '';
  const words = value(m.value, m.unit, m.name);
  const bare = m.unit === '' && !/share|portion/.test(m.name);
  return bare && m.value !== null && Number.isInteger(m.value) && /^[a-z ]+$/.test(m.name) && m.name.length < 14
    ? `${words}${GAP}${m.value === 1 ? singular(m.name) : m.name}`
    : words;
}

/** "limit 1 %", or that it is listed only. @param {import('./types.js').Measure|undefined} m */
export function limited(m) {
  if (!m || m.limit === null || m.limit === undefined) return 'listed';
  return `limit${GAP}${value(m.limit, m.unit, m.name)}`;
}

/** Sign kept: "+138", "−0.2 m". @param {number} d @param {(n: number) => string} words */
export const signed = (d, words) => (d > 0 ? `+${words(d)}` : words(d));

/** leftUpperArm → "upper arm". @param {string} role a VRM bone name */
export function roleWords(role) {
  return role
    .replace(/^(left|right)(?=[A-Z])/, '')
    .replace(/([A-Z])/g, ' $1')
    .trim()
    .toLowerCase();
}

/** A point in space. @param {number[]} p */
export const point = (p) => p.map((x) => fixed(x, 3)).join(', ');

/** Text cut in the middle, since names differ at their ends. @param {string} s @param {number} max characters */
export function cut(s, max) {
  if (s.length <= max) return s;
  const tail = Math.floor((max - 1) / 2);
  return `${s.slice(0, max - 1 - tail)}…${s.slice(-tail)}`;
}
