import { inUnit } from './words.js';

/**
 * Builds an element. Text goes in as text, never as markup.
 * @template {keyof HTMLElementTagNameMap} T
 * @param {T} tag
 * @param {Record<string, any>} [at] attributes; a function is a listener for the event of that name; undefined, null, false: left out
 * @param {...(Node|string|number|null|undefined|false)} kids
 * @returns {HTMLElementTagNameMap[T]}
 */
export function h(tag, at = {}, ...kids) {
  const e = document.createElement(tag);
  for (const [k, v] of Object.entries(at)) {
    if (v === undefined || v === null || v === false) continue;
    if (typeof v === 'function') e.addEventListener(k, v);
    else if (k === 'checked' || k === 'value' || k === 'disabled' || k === 'selected') Object.assign(e, { [k]: v });
    else e.setAttribute(k, v === true ? '' : SAID.has(k) ? inUnit(String(v)) : String(v));
  }
  e.append(
    ...kids
      .filter((k) => k !== null && k !== undefined && k !== false)
      .map((k) => (typeof k === 'number' ? String(k) : typeof k === 'string' ? inUnit(k) : k)),
  );
  return e;
}

/** Attributes that hold words for people. */
const SAID = new Set(['aria-label', 'data-tip', 'title', 'alt', 'aria-description']);

const NS = 'http://www.w3.org/2000/svg';

/**
 * Adds an SVG element.
 * @param {Element} to @param {string} tag @param {Record<string, string|number>} at @param {string|number} [text]
 */
export function draw(to, tag, at, text) {
  const e = /** @type {SVGElement} */ (document.createElementNS(NS, tag));
  for (const k in at) e.setAttribute(k, String(at[k]));
  if (text !== undefined) e.textContent = inUnit(String(text));
  to.append(e);
  return e;
}

/** An empty drawing. @param {string} cls @param {number} w @param {number} height @param {string} [label] */
export function sheet(cls, w, height, label) {
  const s = /** @type {SVGSVGElement} */ (document.createElementNS(NS, 'svg'));
  s.setAttribute('class', cls);
  s.setAttribute('viewBox', `0 0 ${w} ${height}`);
  if (label) {
    s.setAttribute('role', 'img');
    s.setAttribute('aria-label', inUnit(label));
  } else s.setAttribute('aria-hidden', 'true');
  return s;
}

/** A symbol of the page's set. @param {string} id @param {string} [cls] */
export function icon(id, cls) {
  const s = document.createElementNS(NS, 'svg');
  s.setAttribute('aria-hidden', 'true');
  if (cls) s.setAttribute('class', cls);
  draw(s, 'use', { href: `#${id}` });
  return s;
}

/** A grade's mark. @param {string} grade stop, flaw, note, wait or clear */
export const mark = (grade) => icon(`m-${grade}`, `mark ${grade}`);

/** Element that must be there: its absence is our own mistake. @template {HTMLElement} T @param {string} id @returns {T} */
export function must(id) {
  const e = document.getElementById(id);
  if (!e) throw new Error(`the page has no #${id}`);
  return /** @type {T} */ (e);
}

/**
 * Radio choice of a few.
 * @param {string} name @param {[string, string][]} options value, label @param {string} value
 * @param {(value: string) => void} chosen @param {Record<string, string>} [tips] by value
 */
export function radios(name, options, value, chosen, tips = {}) {
  return options.map(([v, label]) =>
    h(
      'label',
      { class: 'pick', 'data-tip': tips[v] },
      h('input', { type: 'radio', name, value: v, checked: v === value, change: () => chosen(v) }),
      h('span', {}, label),
    ),
  );
}
