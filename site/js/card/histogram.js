import { draw, h, radios, sheet } from '../base/dom.js';
import { hatch } from '../shared/gauge.js';
import { heights } from '../shared/scales.js';
import { count, some } from '../base/words.js';

/** Bin k holds weights over k/10 up to (k+1)/10. @param {number} k */
export const binWords = (k) => `${(k / 10).toFixed(1)} to ${((k + 1) / 10).toFixed(1)}`;

/**
 * The influence histogram: the bars are the ramp, so it is the legend too. A second joint is outlined: as a dashed step
 * over the bars, or back to back with them.
 * @param {import('../state/types.js').Joint} joint @param {import('../state/types.js').Joint|null} other
 * @param {{axis: string, way: string}} how axis: log, linear or table; way: over or apart
 * @param {(how: {axis?: string, way?: string}) => void} turned
 * @param {Node} [choice] which second joint
 */
export function histogram(joint, other, how, turned, choice) {
  const mine = joint.held?.histogram ?? [];
  const theirs = other?.held?.histogram ?? null;
  const says = h('span', { class: how.axis === 'table' ? 'vh' : 'output' });
  const axis = how.axis === 'linear' ? 'linear' : 'log';
  const body =
    how.axis === 'table'
      ? table(joint, mine, other, theirs, false)
      : other && theirs && how.way === 'apart'
        ? backToBack(joint, mine, other, theirs, axis, says)
        : bars(joint, mine, other, theirs, axis, says);
  return h(
    'section',
    { class: 'hist', 'aria-labelledby': 'h-hist' },
    h(
      'h3',
      { id: 'h-hist', 'aria-label': 'Influence' }, // not the names of the switches beside it, too
      'Influence ',
      h(
        'span',
        { class: 'pair', role: 'group', 'aria-label': 'Axis of the counts' },
        ...radios(
          'axis',
          [
            ['log', 'log'],
            ['linear', 'linear'],
            ['table', 'table'],
          ],
          how.axis,
          (a) => turned({ axis: a }),
        ),
      ),
    ),
    choice &&
      h(
        'div',
        { class: 'row against' },
        choice,
        other &&
          theirs &&
          how.axis !== 'table' &&
          h(
            'span',
            { class: 'pair', role: 'group', 'aria-label': 'How the two are drawn' },
            ...radios(
              'two',
              [
                ['over', 'overlaid'],
                ['apart', 'mirrored'],
              ],
              how.way,
              (w) => turned({ way: w }),
              { over: 'The second joint as a dashed step over the bars', apart: 'Back to back: left one way, right the other' },
            ),
          ),
      ),
    ...(how.axis === 'table' ? [body] : [body, says, table(joint, mine, other, theirs, true)]),
  );
}

/** Counts so far apart that both halves of a figure drawn alike would not have them: by a tenth, and by more than rounding moves. @param {number} a @param {number} b */
export const unlike = (a, b) => Math.abs(a - b) > Math.max(2, 0.1 * Math.max(a, b));

/** Stroke of a second joint. @param {import('../state/types.js').Joint} j */
const outline = (j) => (j.side === 'left' ? 'sl' : j.side === 'right' ? 'sr' : 'ln');

/** Which of two stands on the left: the left one of a pair, else the first. @param {import('../state/types.js').Joint} a @param {import('../state/types.js').Joint} b */
export const firstIsLeft = (a, b) => !(b.side === 'left' && a.side !== 'left') && !(a.side === 'right' && b.side !== 'right');

/**
 * Two joints back to back: the left one's bars to the left, the right one's to the right, weights upwards between them.
 * @param {import('../state/types.js').Joint} joint @param {number[]} mine @param {import('../state/types.js').Joint} other @param {number[]} theirs @param {'log'|'linear'} axis @param {HTMLElement} says
 */
function backToBack(joint, mine, other, theirs, axis, says) {
  const s = sheet('bars apart', 324, 172, `Histograms of the weights of ${joint.name} and ${other.name}, back to back. The table below holds the counts.`);
  const middle = 162,
    gap = 14,
    long = 146,
    y0 = 156,
    step = 13.6;
  const { at, lines } = heights(Math.max(...mine, ...theirs), axis);
  const left = firstIsLeft(joint, other);
  const name = (/** @type {string} */ n) => (n.length > 22 ? `${n.slice(0, 21)}…` : n);
  const length = (/** @type {number} */ v) => Math.min(1, at(v)) * (long - 4) || (v > 0 ? 1 : 0);
  /** @type {[number, number, number, number][]} */
  const over = [];
  for (const sign of [-1, 1]) {
    const x0 = middle + sign * gap;
    let last = 0;
    for (const v of lines) {
      const x = Math.round(x0 + sign * at(v) * (long - 4)) + 0.5;
      draw(s, 'path', { class: v === lines[0] ? 'ln' : 'hl', d: `M${x} 16V${y0}` });
      if (v === lines[0] || Math.abs(x - x0) - last < 26) continue;
      last = Math.abs(x - x0);
      draw(s, 'text', { class: 'm', x: Math.max(8, Math.min(316, x)), y: y0 + 13 }, v >= 10000 ? `${count(v / 1000)} k` : count(v));
    }
    const own = (sign < 0) === left;
    const shown = own ? joint : other;
    draw(s, 'text', { class: sign < 0 ? 'k' : 'k e', x: sign < 0 ? 0 : 324, y: 10 }, name(shown.name));
    (own ? mine : theirs).forEach((v, i) => {
      const less = (own ? theirs : mine)[i];
      if (v <= 0) return;
      const w = length(v),
        y = y0 - (i + 1) * step + 1.8;
      const x = sign < 0 ? x0 - w : x0;
      if (v > less && unlike(v, less)) over.push([sign < 0 ? x : x0 + length(less), sign < 0 ? x0 - length(less) : x0 + w, y, y + step - 3.6]);
      draw(s, 'rect', own ? { class: `c${i + 1} bar`, x, y, width: w, height: step - 3.6 } : { class: `step ${outline(other)}`, x, y, width: w, height: step - 3.6 });
    });
  }
  for (const [a, b, top, low] of over) hatch(s, a, b, top, low, 'hatch differs', 4);
  for (let i = 0; i <= 10; i += 2) draw(s, 'text', { class: 'm', x: middle, y: y0 - i * step + 3.5 }, (i / 10).toFixed(1));
  draw(s, 'text', { class: 'm', x: middle, y: 10 }, 'weight');
  draw(s, 'text', { class: 'm', x: middle, y: y0 + 13 }, 'vertices');
  const tell = (/** @type {number} */ i) => {
    says.textContent = `${binWords(i)}: ${joint.name} ${count(mine[i])}, ${other.name} ${count(theirs[i])}`;
  };
  mine.forEach((_, i) => {
    const hit = draw(s, 'rect', { class: 'hit', x: 0, y: y0 - (i + 1) * step, width: 324, height: step });
    hit.addEventListener('pointerenter', () => tell(i));
    hit.addEventListener('click', () => tell(i));
  });
  s.addEventListener('pointerleave', () => {
    says.textContent = '';
  });
  return s;
}

/** @param {import('../state/types.js').Joint} joint @param {number[]} mine @param {import('../state/types.js').Joint|null} partner @param {number[]|null} theirs @param {'log'|'linear'} axis @param {HTMLElement} says */
function bars(joint, mine, partner, theirs, axis, says) {
  const s = sheet('bars', 324, 188, `Histogram of the weights of ${joint.name}, ten bins from low to high. The table below holds the counts.`);
  const x0 = 34,
    x1 = 322,
    y0 = 152,
    y1 = 6,
    w = (x1 - x0) / 10;
  const { at, lines } = heights(Math.max(...mine, ...(theirs ?? [0])), axis);
  const y = (/** @type {number} */ v) => Math.round(y0 - (y0 - y1) * Math.min(1, at(v))) + 0.5;
  let last = Infinity;
  for (const v of lines) {
    const ground = v === lines[0];
    draw(s, 'path', { class: ground ? 'ln' : 'hl', d: `M${x0} ${y(v)}H${x1}` });
    if (last - y(v) < 11) continue;
    last = y(v);
    draw(s, 'text', { class: 'e', x: x0 - 5, y: y(v) + 3.5 }, v >= 10000 ? `${count(v / 1000)} k` : count(v));
  }
  mine.forEach((v, i) => {
    const rest = y0 + 0.5 - y(v) || (v > 0 ? 1 : 0); // a single vertex stands on the ground of the log axis: show a sliver
    if (v > 0) draw(s, 'rect', { class: `c${i + 1} bar`, x: x0 + i * w + 3.5, y: y0 + 0.5 - rest, width: w - 7, height: rest });
  });
  theirs?.forEach((v, i) => {
    if (unlike(mine[i], v)) hatch(s, x0 + i * w + 3.5, x0 + (i + 1) * w - 3.5, Math.min(y(v), y(mine[i]), y0), Math.min(Math.max(y(v), y(mine[i])), y0), 'hatch differs', 4);
    if (v > 0)
      draw(s, 'path', { class: `step ${partner ? outline(partner) : ''}`, d: `M${x0 + i * w + 0.5} ${y(v)}H${x0 + (i + 1) * w - 0.5}` });
  });
  for (let i = 0; i <= 10; i++) {
    draw(s, 'path', { class: 'ln', d: `M${x0 + i * w + 0.5} ${y0}v${i % 5 ? 3 : 6}` });
    if (i % 2 === 0) draw(s, 'text', { class: 'm', x: x0 + i * w, y: 169 }, (i / 10).toFixed(1));
  }
  draw(s, 'text', { class: 'e', x: x1, y: 186 }, 'weight →');
  draw(s, 'text', { x: 0, y: 186 }, '↑ vertices');
  if (partner && theirs) {
    draw(s, 'path', { class: `step ${outline(partner)}`, d: 'M104 182.5h19' });
    draw(s, 'text', { x: 128, y: 186 }, partner.name.length > 20 ? `${partner.name.slice(0, 19)}…` : partner.name);
  }
  const tell = (/** @type {number} */ i) => {
    says.textContent = `${binWords(i)}: ${some(mine[i], 'vertex', 'vertices')}${theirs && partner ? `; ${partner.name} ${count(theirs[i])}` : ''}`;
  };
  mine.forEach((_, i) => {
    const hit = draw(s, 'rect', { class: 'hit', x: x0 + i * w, y: 0, width: w, height: y0 });
    hit.addEventListener('pointerenter', () => tell(i));
    hit.addEventListener('click', () => tell(i));
  });
  s.addEventListener('pointerleave', () => {
    says.textContent = '';
  });
  return s;
}

/** @param {import('../state/types.js').Joint} joint @param {number[]} mine @param {import('../state/types.js').Joint|null} partner @param {number[]|null} theirs @param {boolean} unseen */
function table(joint, mine, partner, theirs, unseen) {
  return h(
    'table',
    { class: unseen ? 'vh' : 'pairs' },
    h('caption', { class: 'vh' }, `Vertices by weight: ${joint.name}${partner ? ` and ${partner.name}` : ''}`),
    h(
      'thead',
      {},
      h(
        'tr',
        {},
        h('th', { scope: 'col' }, 'weight'),
        h('th', { scope: 'col' }, joint.name),
        theirs && partner && h('th', { scope: 'col' }, partner.name),
      ),
    ),
    h(
      'tbody',
      {},
      ...mine.map((v, i) =>
        h('tr', {}, h('th', { scope: 'row' }, `over ${binWords(i)}`), h('td', {}, count(v)), theirs && h('td', {}, count(theirs[i]))),
      ),
    ),
  );
}

/** The ten bins as a small picture for a row of the joint list. @param {number[]|undefined} bins */
export function spark(bins = []) {
  const s = sheet('spark', 62, 20);
  const { at } = heights(Math.max(1, ...bins), 'log');
  draw(s, 'path', { class: 'hl', d: 'M0 19.5H62' });
  bins.forEach((v, i) => {
    if (v > 0) {
      const y = Math.max(1.5, at(v) * 17);
      draw(s, 'rect', { class: `c${i + 1} bar`, 'stroke-width': 0.5, x: 1 + i * 6, y: 19 - y, width: 5, height: y });
    }
  });
  return s;
}
