// Starts the examiner in a worker. It runs from a Blob; site/bundle puts Go's loader, wasm_exec.js, before this text.
const scope = /** @type {any} */ (globalThis);
onmessage = async ({ data }) => {
  onmessage = null; // the program sets its own
  let said = '';
  // A lock that comes free when this worker is gone: nothing else tells the page of a worker that the browser ends. A page
  // from disk may have none.
  const locked = new Promise((/** @type {(v?: any) => void} */ go) => {
    if (!scope.navigator?.locks) return go();
    scope.navigator.locks.request(data.lock, () => { postMessage({ kind: 'locked' }); go(); return new Promise(() => {}); }).catch(go);
  });
  // What Go's runtime says before it ends tells why.
  const words = new TextDecoder();
  const write = scope.fs?.writeSync;
  if (write) scope.fs.writeSync = (/** @type {number} */ fd, /** @type {Uint8Array} */ bytes) => { said = (said + words.decode(bytes)).slice(0, 2000); return write.call(scope.fs, fd, bytes); };
  try {
    const go = new scope.Go();
    let code = 0;
    go.exit = (/** @type {number} */ c) => { code = c; };
    const instance = await WebAssembly.instantiate(/** @type {WebAssembly.Module} */ (data.module), go.importObject);
    await locked;
    scope.startDraco = scope.dracoStarter(() => new Promise((done, fail) => {
      data.beside.onmessage = (/** @type {MessageEvent<{bytes?: ArrayBuffer, wrong?: string}>} */ { data: m }) => m.bytes ? done(WebAssembly.compile(m.bytes)) : fail(new Error(m.wrong));
      data.beside.postMessage('draco');
    }));
    scope.memoryUsed = () => /** @type {WebAssembly.Memory} */ (instance.exports.mem).buffer.byteLength;
    await go.run(instance);
    postMessage({ kind: 'ended', text: `it ended with code ${code}`, said });
  } catch (e) {
    postMessage({ kind: 'ended', text: String(e), said });
  }
};
