// Starts the examiner in a worker. It runs from a Blob that has wasm_exec.js before this text, or from a URL beside it.
const scope = /** @type {any} */ (globalThis);
if (!scope.Go) scope.importScripts('../wasm_exec.js');
onmessage = async ({ data }) => {
  onmessage = null; // the program sets its own
  try {
    const go = new scope.Go();
    let code = 0;
    go.exit = (/** @type {number} */ c) => { code = c; };
    const instance = await WebAssembly.instantiate(/** @type {WebAssembly.Module} */ (data.module), go.importObject);
    scope.memoryUsed = () => /** @type {WebAssembly.Memory} */ (instance.exports.mem).buffer.byteLength;
    await go.run(instance);
    postMessage({ kind: 'ended', text: `it ended with code ${code}` });
  } catch (e) {
    postMessage({ kind: 'ended', text: String(e) });
  }
};
