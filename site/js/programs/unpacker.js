// A worker that unpacks the programs of the single file, so that the page goes on meanwhile; site/bundle joins it to one text.
import { ZSTDDecoder } from 'zstddec';
import { undense } from './dense.js';

// The decoder carries its program as base64 and would fetch it, or take Node's way: the page's policy lets nothing be fetched.
const scope = /** @type {any} */ (globalThis);
scope.fetch = undefined;
scope.Buffer = { from: (/** @type {string} */ text) => Uint8Array.from(atob(text), (c) => c.charCodeAt(0)) };

/** text: one Zstandard stream of `bytes` bytes, dense; sizes: of the programs that it holds, one behind the other @typedef {{text: string, bytes: number, sizes: number[]}} Packed */

scope.onmessage = async (/** @type {MessageEvent<Packed>} */ { data }) => {
  try {
    const decoder = new ZSTDDecoder();
    await decoder.init();
    const whole = data.sizes.reduce((a, b) => a + b, 0);
    const all = decoder.decode(undense(data.text, data.bytes), whole);
    if (all.length !== whole) throw new Error('they are not whole'); // its own errors are sizes that cannot be
    let at = 0;
    const parts = data.sizes.map((n) => all.slice(at, at += n).buffer);
    scope.postMessage({ parts }, parts);
  } catch (e) {
    scope.postMessage({ wrong: String(/** @type {Error} */ (e).message ?? e) });
  }
};
