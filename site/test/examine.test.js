import assert from 'node:assert/strict';
import { test } from 'node:test';

// The engine room with workers that say what a test wants: which of them lives, and what is asked of which.
/** @type {any[]} */
const workers = [];
class FakeWorker {
  constructor() { this.heard = []; this.ended = false; workers.push(this); }
  postMessage(m) {
    this.heard.push(m);
    if (m.module) queueMicrotask(() => this.say({ kind: 'ready' }));
  }
  say(data) { if (!this.ended) this.onmessage?.({ data }); }
  terminate() { this.ended = true; }
  /** the last question of a kind */
  asked(kind) { return this.heard.findLast((m) => m.kind === kind); }
}
const program = new Uint8Array([0, 0x61, 0x73, 0x6d, 1, 0, 0, 0]);
Object.assign(globalThis, {
  document: { baseURI: 'http://x/y/', body: {}, getElementById: () => null },
  Worker: FakeWorker,
  ResizeObserver: class { observe() {} },
  addEventListener() {},
  requestAnimationFrame: (fn) => setTimeout(fn),
  fetch: async (url) => new Response(String(url).endsWith('.wasm') ? program : '', { headers: { 'Content-Type': 'application/wasm' } }),
});

const { ask, second } = await import('../js/talk/ask.js');
const { heldFiles, open, reread, stopHere, triedFiles } = await import('../js/talk/examine.js');
const { desk, on } = await import('../js/state/desk.js');
const { memory } = await import('../js/programs/keep.js');
const { blank } = await import('../js/talk/figure.js');

const source = (name) => ({ name, handle: null, file: /** @type {any} */ ({ name, size: 1, arrayBuffer: async () => new ArrayBuffer(1) }) });
const until = async (is) => { for (let i = 0; i < 400 && !is(); i++) await new Promise((r) => setTimeout(r, 5)); assert.ok(is(), `waited for ${is}`); };
const asked = async (kind) => { await until(() => workers.at(-1)?.asked(kind)); return workers.at(-1); };
const document_ = (name) => JSON.stringify(blank(name));

/** Opens a file whose examination ends well. @param {string} name */
async function good(name, bytes = 1000) {
  const before = workers.length;
  const over = open([source(name)], false);
  await until(() => workers.length > before);
  const w = await asked('examine'), { id } = w.asked('examine');
  w.say({ id, kind: 'result', json: document_(name), memory: bytes });
  w.say({ id, kind: 'done', ms: 1, stopped: false, end: true });
  await over;
  return w;
}

/** Opens a file and answers its worker before anything was said. @param {string} name */
async function begun(name) {
  const before = workers.length;
  open([source(name)], false);
  await until(() => workers.length > before);
  return asked('examine');
}

/** Does the figure on the desk answer? @param {any} w its worker */
async function answers(w) {
  const m = ask('joints');
  await until(() => w.asked('joints'));
  w.say({ id: w.asked('joints').id, kind: 'joints', json: '[]', end: true });
  return (await m)?.json === '[]';
}

test('the figure on the desk answers while another is read, and after that was refused', async () => {
  const first = await good('first.glb');
  const held = heldFiles();
  assert.equal(held[0].name, 'first.glb');
  const next = await begun('bad.glb');
  assert.equal(first.ended, false);
  assert.ok(await answers(first), 'while another is read');
  let said = 0;
  on('refused', () => { said++; });
  next.say({ id: next.asked('examine').id, kind: 'refused', text: 'no.', missing: ['bad.bin'], end: true });
  await until(() => said === 1);
  assert.equal(next.ended, true);
  assert.equal(first.ended, false);
  assert.equal(desk.figure?.file.name, 'first.glb');
  assert.ok(await answers(first), 'after the refusal');
  assert.equal(heldFiles(), held, 'the open figure’s own files');
  assert.equal(triedFiles()[0].name, 'bad.glb', 'missing files are added to these');
  const m = second([source('walk.bvh')]);
  await until(() => first.asked('second'));
  first.say({ id: first.asked('second').id, kind: 'second', json: '{}', end: true });
  assert.equal((await m)?.kind, 'second');
  reread();
  const again = await asked('examine');
  await until(() => workers.at(-1) !== next && workers.at(-1).asked('examine'));
  assert.equal(workers.at(-1).asked('examine').files[0].name, 'first.glb', 'what is read again is the open figure');
  void again;
  stopHere();
});

test('a stop while another is read ends only that', async () => {
  const first = await good('one.glb');
  const next = await begun('two.glb');
  stopHere();
  assert.equal(next.ended, true);
  assert.equal(first.ended, false);
  assert.equal(desk.phase, 'done');
  assert.ok(await answers(first));
});

test('the figure before is given up when the next one is there; both are counted until then', async () => {
  const first = await good('one.glb', 1000);
  assert.equal(memory().examiner, 1000);
  const next = await begun('two.glb');
  next.say({ id: next.asked('examine').id, kind: 'progress', station: 'intake', done: 0, total: 1, memory: 500 });
  assert.equal(memory().examiner, 1500);
  next.say({ id: next.asked('examine').id, kind: 'partial', json: document_('two.glb') });
  await until(() => first.ended);
  assert.equal(memory().examiner, 500);
  assert.equal(desk.figure?.file.name, 'two.glb');
  // A third one comes before the second is done: what that has found stays, and it goes no further.
  const third = await begun('three.glb');
  assert.equal(next.ended, true);
  assert.equal(desk.phase, 'done');
  third.say({ id: third.asked('examine').id, kind: 'refused', text: 'no.', missing: [], end: true });
  await until(() => third.ended);
  assert.equal(desk.figure?.file.name, 'two.glb');
  assert.equal(desk.figure?.running, false);
});

test('two large figures do not stand side by side', async () => {
  const first = await good('large.glb', 600 << 20);
  await begun('next.glb');
  assert.equal(first.ended, true);
  stopHere();
});

test('what cannot be motion is told in words', async () => {
  await good('one.glb');
  assert.match((await second([source('walk.fbx')])).text, /only glTF 2\.0 and BVH can/);
});

test('an examiner that dies is followed by another, but not for ever', async () => {
  const told = [];
  on('revived', (r) => told.push(r));
  let w = await good('mortal.glb');
  for (let i = 0; i < 2; i++) {
    const before = workers.length;
    w.say({ kind: 'ended', text: 'it ended with code 2', said: 'out of memory' });
    await until(() => workers.length > before && workers.at(-1).asked('reopen'));
    w = workers.at(-1);
    const { id, files, slip } = w.asked('reopen');
    assert.deepEqual([files.map((f) => f.name), slip], [['mortal.glb'], '']);
    w.say({ id, kind: 'done', ms: 1, stopped: false, end: true });
    await until(() => told.length === i + 1);
    assert.match(told[i].words, /ran out of memory, and was started anew: nothing is lost/);
    assert.ok(!told[i].failed && (await answers(w)));
  }
  const before = workers.length;
  w.say({ kind: 'ended', text: 'it ended with code 2', said: 'out of memory' });
  await until(() => told.length === 3);
  assert.ok(told[2].failed && workers.length === before);
  assert.match(told[2].words, /could not be started anew: it ends again and again/);
});
