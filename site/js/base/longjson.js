import { breathe } from './turns.js';

/** Characters that JSON.parse is given at once: about 5 ms on a slow machine. */
const PIECE = 1 << 18;
/** How long reading holds the page at once, in milliseconds. */
const SLICE = 8;

/**
 * JSON.parse in slices, between which the page answers: a document of 20 MB would hold it for a quarter of a second.
 * @param {string} text @param {() => boolean} [wanted] false: nobody waits for it any more
 * @returns {Promise<unknown>} undefined where it is not wanted any more
 */
export async function longJSON(text, wanted = () => true) {
  if (text.length <= PIECE) return JSON.parse(text);
  const r = { text, at: 0, start: performance.now(), wanted };
  try {
    return await value(r);
  } catch (e) {
    if (e === VAIN) return undefined;
    throw e;
  }
}

/** What ends the reading of a text that nobody waits for any more: it may stand deep in it. */
const VAIN = Symbol('vain');

/** @typedef {{text: string, at: number, start: number, wanted: () => boolean}} Reader at: the next character */

/** The value at r.at, too long for one piece. @param {Reader} r @returns {Promise<any>} */
async function value(r) {
  const open = r.text[r.at];
  if (open !== '[' && open !== '{') { // a long text or number cannot be cut
    const end = skip(r.text, r.at, Infinity);
    const v = JSON.parse(r.text.slice(r.at, end));
    r.at = end;
    return v;
  }
  const close = open === '[' ? ']' : '}';
  /** @type {any} */
  const out = open === '[' ? [] : {};
  const put = (/** @type {string} */ items) => {
    const more = JSON.parse(open + items + close);
    if (open === '[') for (const v of more) out.push(v);
    else for (const k in more) define(out, k, more[k]);
  };
  r.at = blank(r.text, r.at + 1);
  let from = r.at; // of what is read at once
  while (r.text[r.at] !== close) {
    if (!r.wanted()) throw VAIN;
    const head = r.at; // of this item, its key with it
    let key = '';
    if (open === '{') {
      const end = skip(r.text, r.at, Infinity);
      key = r.text.slice(r.at, end);
      r.at = blank(r.text, end) + 1; // the colon
    }
    r.at = blank(r.text, r.at);
    const end = skip(r.text, r.at, PIECE);
    if (end >= 0) r.at = end;
    else {
      if (head > from) put(r.text.slice(from, lastComma(r.text, head)));
      const v = await value(r);
      if (open === '[') out.push(v);
      else define(out, JSON.parse(key), v);
      from = -1;
    }
    r.at = blank(r.text, r.at);
    const more = r.text[r.at] === ',';
    if (from >= 0 && (!more || r.at - from > PIECE)) {
      put(r.text.slice(from, r.at));
      from = -1;
    }
    if (more) r.at = blank(r.text, r.at + 1);
    else if (r.text[r.at] !== close) throw new SyntaxError(`JSON: ${close} wanted at ${r.at}`);
    if (from >= 0) continue;
    from = r.at; // something was read
    if (performance.now() - r.start < SLICE) continue;
    await breathe();
    r.start = performance.now();
  }
  r.at++;
  return out;
}

/** As JSON.parse does: a key "__proto__" is one like any other. @param {any} o @param {string} k @param {any} v */
function define(o, k, v) {
  if (k === '__proto__') Object.defineProperty(o, k, { value: v, writable: true, enumerable: true, configurable: true });
  else o[k] = v;
}

/** @param {string} text @param {number} i @returns {number} past white space */
function blank(text, i) {
  while (text.charCodeAt(i) <= 32) i++;
  return i;
}

/** The comma before an item. @param {string} text @param {number} i */
function lastComma(text, i) {
  while (text[i - 1] !== ',') i--;
  return i - 1;
}

/** Where a value ends. @param {string} text @param {number} i @param {number} most @returns {number} -1: it is longer than that */
function skip(text, i, most) {
  const last = Math.min(text.length, i + most);
  for (let deep = 0; i < last; i++) {
    const c = text.charCodeAt(i);
    if (c === 34) {
      do { i = text.indexOf('"', i + 1); if (i < 0) throw new SyntaxError('JSON: a text has no end'); } while (escaped(text, i));
      if (deep === 0) return i + 1;
    } else if (c === 91 || c === 123) deep++;
    else if (c === 93 || c === 125) {
      if (deep === 0) return i; // a number or a word ends before it
      if (--deep === 0) return i + 1;
    } else if (deep === 0 && (c === 44 || c <= 32)) return i;
  }
  if (last === text.length) throw new SyntaxError('JSON: a value has no end');
  return -1;
}

/** An odd number of backslashes stands before it. @param {string} text @param {number} i */
function escaped(text, i) {
  let n = 0;
  while (text[i - 1 - n] === '\\') n++;
  return n % 2 === 1;
}
