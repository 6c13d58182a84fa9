import { redrawing, typing } from './press.js';

// Parts are written anew whole; what a person holds in them outlives it: the focus, words being typed, what is opened,
// how far it is rolled. A press that is under way is press.js's.

/** @typedef {HTMLInputElement|HTMLTextAreaElement} Field */

/** A control or a place by a name that its successor has too. @param {Element} e */
const called = (e) => e.getAttribute('data-focus') || e.id || '';

/** @param {ParentNode} root @param {string} name @returns {HTMLElement|null} */
const find = (root, name) => (name ? root.querySelector(`[data-focus="${CSS.escape(name)}"], [id="${CSS.escape(name)}"]`) : null);

/** What is opened by hand: a fold is called as its line is. @param {Element} root */
const folds = (root) => /** @type {[string, HTMLDetailsElement][]} */ ([...root.querySelectorAll('details')].map((d) => [called(d.querySelector(':scope > summary') ?? d), d])).filter(([name]) => name);

/** Folds of the new part stand open where the old ones do. @param {Element} old @param {Element} fresh */
function stayOpen(old, fresh) {
  const open = new Set(folds(old).filter(([, d]) => d.open).map(([name]) => name));
  if (open.size > 0) for (const [name, d] of folds(fresh)) if (open.has(name)) d.open = true;
}

/** What is held in a part now, as a function that gives it back to the part that stands there then. @param {Element} old @returns {(fresh: Element) => void} */
function holding(old) {
  const at = document.activeElement;
  const name = at && old.contains(at) ? called(at) : '';
  const field = name && at && 'selectionStart' in at ? /** @type {Field} */ (at) : null;
  const typed = field ? { value: field.value, of: typing.has(field), from: field.selectionStart, to: field.selectionEnd } : null;
  const rolled = [...rolls].filter((e) => e.isConnected && e !== old && old.contains(e)).map((e) => ({ name: called(e), top: e.scrollTop, left: e.scrollLeft }));
  return (fresh) => {
    for (const r of rolled) {
      const e = find(fresh, r.name);
      if (e) Object.assign(e, { scrollTop: r.top, scrollLeft: r.left });
    }
    const next = find(fresh, name);
    if (!next) return;
    next.focus({ preventScroll: true });
    if (!typed || !('selectionStart' in next)) return;
    const f = /** @type {Field} */ (/** @type {unknown} */ (next));
    if (typed.of) {
      f.value = typed.value;
      typing.add(f);
    }
    if (typed.from !== null && f.value === typed.value) f.setSelectionRange(typed.from, typed.to);
  };
}

/** Places inside parts that were rolled. @type {Set<Element>} */
const rolls = new Set();

/** Notes which places a person rolls. */
export function mountRolls() {
  document.addEventListener('scroll', (e) => {
    if (!(e.target instanceof Element)) return;
    for (const r of rolls) if (!r.isConnected) rolls.delete(r);
    rolls.add(e.target);
  }, { capture: true, passive: true });
}

/** @typedef {Node|string|null|undefined|false} Kid */
/** @param {Kid[]} kids */
const there = (kids) => /** @type {(Node|string)[]} */ (kids.filter((k) => k !== null && k !== undefined && k !== false));

/** Puts a part in the place of another. @param {Element} old @param {Element} fresh */
export function exchange(old, fresh) {
  stayOpen(old, fresh);
  const give = holding(old);
  silently(() => old.replaceWith(fresh));
  give(fresh);
}

/** Rewrites a part. @param {Element} root @param {...Kid} kids */
export function refill(root, ...kids) {
  put(root, drawn(root, kids));
}

/** Rewrites a part where that changes anything. For parts whose listeners hold nothing that is not to be seen in the markup. @param {Element} root @param {...Kid} kids */
export function refresh(root, ...kids) {
  const next = drawn(root, kids);
  if (next.childNodes.length === root.childNodes.length && [...next.childNodes].every((n, i) => n.isEqualNode(root.childNodes[i]))) return;
  put(root, next);
}

/** @param {Element} root @param {Kid[]} kids */
function drawn(root, kids) {
  const next = document.createElement('div');
  next.append(...there(kids));
  stayOpen(root, next);
  return next;
}

/** @param {Element} root @param {Element} next */
function put(root, next) {
  const give = holding(root);
  silently(() => root.replaceChildren(...next.childNodes));
  give(root);
}

/** @param {() => void} write */
function silently(write) {
  redrawing.now = true;
  try {
    write();
  } finally {
    redrawing.now = false;
  }
}
