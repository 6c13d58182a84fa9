import { draw, sheet } from '../base/dom.js';
import { niceStep } from './scales.js';
import { limited, plain, value } from '../base/words.js';

/** Diagonal strokes over a box. @param {Element} s @param {number} x0 @param {number} x1 @param {number} y0 @param {number} y1 @param {string} cls @param {number} [step] */
export function hatch(s, x0, x1, y0, y1, cls, step = 5) {
  let d = '';
  const height = y1 - y0;
  for (let x = x0 - height; x < x1; x += step) {
    const a = Math.max(x, x0),
      b = Math.min(x + height, x1);
    if (b > a) d += `M${a} ${y1 - (a - x)}L${b} ${y1 - (b - x)}`;
  }
  draw(s, 'path', { class: cls, d });
}

/**
 * The scale of a gauge: from, to, ticks; logarithmic when value and limit lie more than a factor 25 apart.
 * @param {number} v @param {number} limit
 */
export function gaugeScale(v, limit) {
  const lo = Math.min(v, limit),
    hi = Math.max(v, limit);
  if (lo > 0 && hi / lo > 25) {
    const from = Math.floor(Math.log10(lo)),
      to = Math.max(Math.ceil(Math.log10(hi * 1.001)), from + 2);
    const every = Math.ceil((to - from) / 5);
    const ticks = [];
    for (let d = from; d <= to; d += every) ticks.push(10 ** d);
    return { log: true, from: 10 ** from, to: 10 ** to, ticks, at: (/** @type {number} */ x) => (Math.log10(x) - from) / (to - from) };
  }
  const from = lo < 0 ? -niceStep(-lo * 1.2) : 0;
  const span = Math.max(hi, 0) - from || 1;
  const step = niceStep((span * 1.2) / 5);
  const to = from + step * Math.ceil(Math.max(span * 1.12, step) / step);
  const ticks = [];
  for (let x = from; x <= to + step / 1e6; x += step) ticks.push(Math.abs(x) < step / 1e6 ? 0 : x);
  return { log: false, from, to, ticks, at: (/** @type {number} */ x) => (x - from) / (to - from) };
}

/**
 * Limit: heavy stroke. Beyond it: hatched. Value: the grade's own mark. Null where a finding has no limit.
 * @param {import('../state/types.js').Finding} finding
 */
export function gauge(finding) {
  const m = finding.measures[0];
  if (!m || m.value === null || m.limit === null || m.limit === undefined) return null;
  const { value: v, limit } = m;
  const words = m.says,
    against = limited(m);
  const s = sheet('gauge', 324, 52, `${m.name}: ${words}; ${against}`);
  const scale = gaugeScale(v, limit);
  const x = (/** @type {number} */ n) => Math.round((6 + 312 * Math.min(1, Math.max(0, scale.at(n)))) * 2) / 2;
  const y = 28,
    { below } = m;
  draw(s, 'rect', { class: 'fwe', x: 6, y: y - 9, width: 312, height: 9 });
  hatch(s, below ? 6 : x(limit), below ? x(limit) : 318, y - 9, y, `hatch ${finding.grade}`);
  draw(s, 'path', { class: 'ln', d: `M6 ${y + 0.5}H318` });
  scale.ticks.forEach((t, i) => {
    const last = i === scale.ticks.length - 1;
    draw(s, 'path', { class: 'ln', d: `M${x(t)} ${y}v6` });
    draw(s, 'text', { class: i === 0 ? '' : last ? 'e' : 'm', x: i === 0 ? 3 : last ? 320 : x(t), y: y + 17 }, tick(t, m, i === 0 || last, scale.to));
    const next = scale.ticks[i + 1];
    if (!scale.log && next !== undefined) for (let k = 1; k < 4; k++) draw(s, 'path', { class: 'ln', d: `M${x(t + ((next - t) * k) / 4)} ${y}v3` });
  });
  draw(s, 'path', { class: 'ln heavy', d: `M${x(limit)} ${y - 13}v17` });
  label(s, x(limit), x(v), against, '');
  const p = x(v);
  draw(s, 'path', { class: 'ln', d: `M${p} ${y - 2}V8` });
  valueMark(s, finding.grade, p, y - 7.5);
  label(s, p, x(limit), words, 'k');
  return s;
}

/** A label on the free side of its stroke. @param {Element} s @param {number} at @param {number} other @param {string} text @param {string} cls */
function label(s, at, other, text, cls) {
  const wide = text.length * 5.4;
  const right = at >= other ? at + wide + 8 < 322 : at - wide - 8 < 2;
  const dodge = at >= other && !right; // no room outside: stand inside, above the other's label
  draw(
    s,
    'text',
    { class: `${cls} ${right ? '' : 'e'}`.trim(), x: right ? at + 7 : at - 6, y: dodge && Math.abs(at - other) < wide + 90 ? 2 : 12 },
    text,
  );
}

/** What a tick says: the bare number, with its unit at the two ends. @param {number} t @param {import('../state/types.js').Measure} m @param {boolean} unit @param {number} most the largest tick */
export function tick(t, m, unit, most) {
  if (m.unit === 'm' && t >= 0.01) return unit ? `${plain(t)}\u00a0m` : plain(t);
  if (m.unit.startsWith('×')) return most < 1.5 && m.unit !== '×' && m.unit !== '× rest' ? `${plain(100 * t)}${unit ? '\u00a0%' : ''}` : `${plain(t)}${unit ? '\u00a0×' : ''}`;
  const words = value(t, m.unit);
  // What it is a part of stands at the value and at the limit; a tick has no room for it.
  return unit ? words.replace(/(\d[\u00a0 ][^\u00a0 ]+) .*$/, '$1') : words.replace(/[\u00a0 ].*$/, '');
}

/** @param {Element} s @param {import('../state/types.js').Grade} grade @param {number} x @param {number} y */
export function valueMark(s, grade, x, y) {
  if (grade === 'stop') {
    draw(s, 'rect', { class: 'fst', x: x - 5.5, y: y - 5.5, width: 11, height: 11 });
    draw(s, 'rect', { class: 'fsh', x: x - 3, y: y - 1, width: 6, height: 2 });
  } else if (grade === 'flaw') {
    draw(s, 'path', { class: 'sfl fsh', d: `M${x} ${y - 5.5}l5.5 5.5-5.5 5.5-5.5-5.5z` });
    draw(s, 'path', { class: 'ffl', d: `M${x} ${y - 5.5}v11l-5.5-5.5z` });
  } else {
    draw(s, 'path', { class: 'fsh', d: `M${x - 6} ${y + 5}l6-10 6 10z` });
    draw(s, 'path', { class: 'sno', d: `M${x - 4.5} ${y + 4}l4.5-8 4.5 8` });
  }
}
