// A press outlives a redraw. Between the button going down and coming up the part under it may be written anew (a row of
// the ledger, a button of the slip), and the browser then gives no click, or one on what lies behind. The control
// that stands there now and says the same gets it, once.

/** Controls that a press acts on when it ends. */
const CONTROLS = 'button, summary, a[href], label, input[type="checkbox"], input[type="radio"]';

/** Fields in which something is being typed that no change event has told of yet. @type {WeakSet<Element>} */
export const typing = new WeakSet();

/** A part is being written anew: what leaves the page tells nothing of it. */
export const redrawing = { now: false };

/** @param {EventTarget|null} t */
const controlOf = (t) => (t instanceof Element ? t.closest(CONTROLS) : null);

/** A control as a person knows it: what it is, and what it says. One that says something else now is another. @param {Element} e */
const known = (e) => [e.tagName, e.getAttribute('data-focus') ?? e.id, e.getAttribute('aria-label') ?? '', e.getAttribute('value') ?? '', e.textContent].join('\n');

/** Listens to all presses of the page, before anyone else. */
export function mountPress() {
  /** @type {{control: Element, as: string}|null} */
  let held = null;
  let given = false;
  const down = (/** @type {Event} */ e) => {
    const control = controlOf(e.target);
    held = control && { control, as: known(control) };
  };
  const up = (/** @type {Event} */ e) => {
    const was = held;
    held = null;
    if (!was || was.control.isConnected) return;
    const now = /** @type {HTMLElement|null} */ (controlOf(e.target));
    if (!now || known(now) !== was.as) return;
    now.focus({ preventScroll: true });
    now.click();
    given = true; // a click of the browser's own for the same press follows before anything else is pressed, or none
    setTimeout(() => { given = false; });
  };
  for (const begins of ['mousedown', 'keydown', 'touchstart']) addEventListener(begins, () => { given = false; }, { capture: true, passive: true }); // the timer may come after it
  const space = (/** @type {(e: Event) => void} */ does) => (/** @type {KeyboardEvent} */ e) => {
    if (e.key === ' ' && !e.repeat) does(e);
  };
  addEventListener('mousedown', (e) => { if (e.button === 0) down(e); }, true);
  addEventListener('mouseup', (e) => { if (e.button === 0) up(e); }, true);
  addEventListener('keydown', space(down), true);
  addEventListener('keyup', space(up), true);
  addEventListener('click', (e) => {
    if (!given || !e.isTrusted) return;
    e.stopImmediatePropagation();
    e.preventDefault();
  }, true);
  words();
}

/** Words being typed are told of once they are done, though their field is another than they were begun in: a browser tells only of those typed in one. */
function words() {
  const tell = (/** @type {EventTarget|null} */ t) => { if (t instanceof Element && typing.has(t)) t.dispatchEvent(new Event('change', { bubbles: true })); };
  addEventListener('input', (e) => { if (e.target instanceof Element) typing.add(e.target); }, true);
  addEventListener('change', (e) => {
    if (redrawing.now) e.stopImmediatePropagation();
    else if (e.target instanceof Element) typing.delete(e.target);
  }, true);
  addEventListener('focusout', (e) => { if (!redrawing.now) tell(e.target); }, true);
  addEventListener('keydown', (e) => { if (e.key === 'Enter') setTimeout(() => tell(e.target)); }, true);
}
