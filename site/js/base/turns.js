// Work in turns: one thing after the other, and between them the page answers.

const channel = new MessageChannel();
/** @type {(() => void)[]} */
const resting = [];
channel.port1.onmessage = () => resting.shift()?.();
/** @type {any} */ (channel.port1).unref?.(); // a test that is done may end

/** Lets other tasks run once; setTimeout would cost 4 ms. @returns {Promise<void>} */
export const breathe = () => new Promise((done) => { resting.push(done); channel.port2.postMessage(0); });

/**
 * A queue that is emptied in turns.
 * @template T @param {(item: T, later: T[]) => void|Promise<void>} take later: what waits behind it @returns {(item: T) => void} puts one behind the others
 */
export function inTurns(take) {
  /** @type {T[]} */
  const list = [];
  let busy = false;
  return async (item) => {
    list.push(item);
    if (busy) return;
    busy = true;
    try {
      for (let next = list.shift(); next !== undefined; next = list.shift()) {
        await take(next, list);
        await breathe();
      }
    } finally {
      busy = false;
    }
  };
}
