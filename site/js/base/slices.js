// Parts of the page are drawn in slices: what the examiner tells is drawn part by part, and between two of them the page
// answers. Parts that a person changes are drawn at once, by the same function.

import { breathe } from './turns.js';

/** How long drawing holds the page at once, in milliseconds: half a frame at 60 Hz, so that the other half is left to the browser's own layout. */
const SLICE = 8;

/** @typedef {{later: () => void, now: () => void}} Part later: in its turn, once, however often it was asked for; now: at once, whole */
/** @typedef {{fill: () => void|Iterator<void>, unseen: () => boolean, going: Iterator<void>|null, stale: boolean}} Kept going: begun and not yet done; stale: not seen when its turn came */

/** what waits, in this order @type {Set<Kept>} */
const queue = new Set();
/** @type {(() => void)[]} */
const waiting = [];
const loop = { busy: false };

/**
 * A part of the page that is drawn out of what lies on the desk.
 * @param {() => void|Iterator<void>} fill draws it; a generator yields where it may be left for a while
 * @param {Element} [seen] it is drawn while this is seen, and else when it comes to be
 * @returns {Part}
 */
export function part(fill, seen) {
  let width = -1;
  /** @type {Kept} */
  const p = { fill, unseen: () => width === 0, going: null, stale: false };
  const now = () => {
    drop(p);
    whole(fill());
  };
  if (seen) new ResizeObserver(([e]) => {
    width = e.contentRect.width;
    if (width > 0 && p.stale) now();
  }).observe(seen);
  return {
    now,
    later: () => {
      drop(p); // behind those that were asked for meanwhile, and from its beginning
      queue.add(p);
      run();
    },
  };
}

/** Resolves when nothing waits to be drawn. @returns {Promise<void>} */
export const drawn = () => new Promise((done) => {
  if (loop.busy) waiting.push(done);
  else done();
});

/** @param {Kept} p */
function drop(p) {
  queue.delete(p);
  p.going = null;
  p.stale = false;
}

/** Draws all pieces at once. @param {void|Iterator<void>} going */
export function whole(going) {
  while (going && !going.next().done);
}

async function run() {
  if (loop.busy) return;
  loop.busy = true;
  await breathe(); // all that is told in one turn comes together
  let start = performance.now();
  for (const p of queue) {
    while (queue.has(p)) {
      step(p);
      if (performance.now() - start < SLICE) continue;
      await breathe();
      start = performance.now();
    }
  }
  loop.busy = false;
  for (const done of waiting.splice(0)) done();
}

/** One piece of a part; what goes wrong in one does not keep the others from being drawn. @param {Kept} p */
function step(p) {
  try {
    if (!p.going && p.unseen()) {
      drop(p);
      p.stale = true;
      return;
    }
    p.going ??= p.fill() ?? null;
    if (p.going && !p.going.next().done) return;
  } catch (e) {
    reportError(e);
  }
  drop(p);
}
