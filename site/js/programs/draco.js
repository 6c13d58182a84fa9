// Runs Draco's decoder in the examiner's worker. site/bundle puts this text behind the worker's own: the program comes
// through a port from the page, which fetches it when the first file with packed shapes asks for it.
/** @typedef {{module: string, raise: string, abort: string, copy: string, grow: string, memory: string}} Names what the program imports, and its memory, by its own short names */

/**
 * @param {() => Promise<WebAssembly.Module>} fetched
 * @returns {(limit: number, names: Names) => Promise<WebAssembly.Instance>} limit: bytes that the program's memory may grow to
 */
function dracoStarter(fetched) {
  return async (limit, names) => {
    const page = 65536;
    const broken = (/** @type {string} */ why) => () => { throw new Error(why); };
    const instance = new WebAssembly.Instance(await fetched(), {
      [names.module]: {
        [names.raise]: broken('an exception that nothing catches'),
        [names.abort]: broken('it ended itself, for want of memory or for damage'),
        [names.copy]: (/** @type {number} */ to, /** @type {number} */ from, /** @type {number} */ n) => { new Uint8Array(memory.buffer).copyWithin(to >>> 0, from >>> 0, (from >>> 0) + (n >>> 0)); },
        // A size in bytes; 0 lets it go without.
        [names.grow]: (/** @type {number} */ size) => {
          const more = (size >>> 0) - memory.buffer.byteLength;
          if ((size >>> 0) > limit) return 0;
          try {
            if (more > 0) memory.grow(Math.ceil(more / page));
          } catch { return 0; }
          return 1;
        },
      },
    });
    const memory = /** @type {WebAssembly.Memory} */ (instance.exports[names.memory]);
    return instance;
  };
}
/** @type {any} */ (globalThis).dracoStarter = dracoStarter;
