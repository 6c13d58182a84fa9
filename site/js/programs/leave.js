/**
 * What a Go program leaves in the page when it ends: a sleep of its runtime, which wakes later, and functions that the page
 * may still call. Go's loader throws for either, so the sleeps go and the functions do nothing.
 * @param {any} go what runs it, of Go's wasm_exec.js @param {(code: number) => void} ended
 */
export function leave(go, ended) {
  go.exit = (/** @type {number} */ code) => {
    for (const sleep of go._scheduledTimeouts.values()) clearTimeout(sleep);
    go._resume = () => {};
    ended(code);
  };
}
