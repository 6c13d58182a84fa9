import { h } from './dom.js';

// A table whose heads sort its rows. The one who draws it keeps the order, so that it lives on when the table is drawn anew.

/** @typedef {{key: string, down: boolean}} Order key '': as the rows come */

/** What a press on a head makes of the order: its first way, then the other, then as the rows come. @param {Order} o @param {string} key @param {boolean} [down] its first way @returns {Order} */
export function turned(o, key, down = false) {
  if (o.key !== key) return { key, down };
  return o.down === down ? { key, down: !down } : { key: '', down: false };
}

const words = new Intl.Collator('en', { numeric: true });
/** @param {unknown} v */
const none = (v) => v === null || v === undefined || v === '' || Number.isNaN(v);

/**
 * The rows in order, as a new list. Equal ones stay as they come; those without a value stand last, whichever way;
 * numbers stand before words.
 * @template R
 * @param {R[]} rows @param {Order} o @param {(row: R, key: string) => number|string|boolean|null|undefined} value
 * @returns {R[]}
 */
export function ordered(rows, o, value) {
  if (o.key === '') return [...rows];
  const way = o.down ? -1 : 1;
  return rows
    .map((row) => ({ row, v: value(row, o.key) }))
    .sort((a, b) => {
      if (none(a.v) || none(b.v)) return Number(none(a.v)) - Number(none(b.v));
      const [x, y] = [a.v, b.v].map((v) => (typeof v === 'boolean' ? Number(v) : v));
      if (typeof x === 'number' && typeof y === 'number') return way * (x - y);
      if (typeof x !== typeof y) return typeof x === 'number' ? -1 : 1;
      return way * words.compare(String(x), String(y));
    })
    .map((r) => r.row);
}

/**
 * The head of a column that sorts. Draw the table anew in `turn`; refill() gives the focus back.
 * @param {Order} o @param {string} key @param {string} label
 * @param {(next: Order) => void} turn
 * @param {{down?: boolean, tip?: string, class?: string}} [more] down: the first press puts the largest first; tip: what the column holds
 */
export function sortHead(o, key, label, turn, more = {}) {
  const here = o.key === key;
  return h(
    'th',
    { scope: 'col', class: more.class, 'aria-sort': here ? (o.down ? 'descending' : 'ascending') : 'none' },
    h('button', { class: 'sort', type: 'button', 'data-focus': `sort-${key}`, 'data-tip': more.tip, click: () => turn(turned(o, key, more.down)) }, label),
  );
}
