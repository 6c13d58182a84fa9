import assert from 'node:assert/strict';
import { beforeEach, test } from 'node:test';
import { setImmediate } from 'node:timers';

// The page and the worker, as much of them as the engine room touches. The programs are the shortest legal ones.
const program = new Uint8Array([0, 0x61, 0x73, 0x6d, 1, 0, 0, 0]);
let asked = [];
let workers = [];
const hears = {}; // what the document calls
const wrongType = false;

class FakeWorker {
  constructor(url) { this.url = url; this.heard = []; this.ended = false; workers.push(this); }
  postMessage(m) {
    this.heard.push(m);
    if (m.module) queueMicrotask(() => this.say({ kind: 'ready' }));
  }
  say(data) { if (!this.ended) this.onmessage?.({ data }); }
  terminate() { this.ended = true; }
}

Object.assign(globalThis, {
  document: { baseURI: 'http://x/y/', getElementById: () => null, addEventListener: (kind, hear) => { hears[kind] = hear; } },
  Worker: FakeWorker,
  fetch: async (url) => {
    asked.push(String(url));
    const wasm = String(url).endsWith('.wasm');
    return new Response(wasm ? program : `// ${url}`, { headers: { 'Content-Type': wasm && !wrongType ? 'application/wasm' : 'text/plain' } });
  },
});

const { startExaminer, warmUp } = await import('../js/programs/examiner.js');
const { bus, keep, kept, letGo, memory, recall } = await import('../js/programs/keep.js');
const { work } = await import('../js/state/work.js');
const { inTurns } = await import('../js/base/turns.js');
const { gpuStage, load, programs } = await import('../js/programs/programs.js');

const later = () => new Promise((r) => setTimeout(r));
beforeEach(() => { workers = []; });

test('everything is fetched once, relative to the page', async () => {
  await load();
  await load();
  assert.deepEqual(asked.toSorted(), ['http://x/y/examiner.wasm', 'http://x/y/stage.wasm', 'http://x/y/worker.js']);
  assert.ok((await programs().worker).startsWith('blob:'));
  asked = [];
  const e = await startExaminer();
  e.end();
  assert.deepEqual(asked, [], 'a fresh worker asks for nothing');
  assert.ok(workers[0].heard[0].module instanceof WebAssembly.Module);
  asked = [];
  assert.ok((await gpuStage()) instanceof WebAssembly.Module);
  await gpuStage();
  assert.deepEqual(asked, ['http://x/y/gpu.wasm'], 'the other presenter only where it is wanted, once');
});

/** An examiner waits, warm: answers it. */
async function waiting() {
  await warmUp();
  const w = workers.at(-1);
  w.say({ id: 1, kind: 'done', end: true });
  return w;
}

test('one is made ready unseen, keeps no figure, and ends where a real one starts meanwhile', async () => {
  kept.rig = null;
  await warmUp();
  const [warm] = workers;
  assert.deepEqual(warm.heard[1], { id: 1, kind: 'warm', size: 0 }, 'the whole sample, the first time');
  warm.say({ id: 1, kind: 'rig', bytes: new ArrayBuffer(8) });
  assert.equal(kept.rig, null);
  const e = await startExaminer();
  assert.ok(warm.ended);
  assert.equal(workers.length, 2);
  const begun = warmUp(); // none yet
  e.end();
  const real = await startExaminer();
  await begun;
  assert.equal(workers.filter((w) => !w.ended).length, 1, 'it ends as soon as it is there');
  real.end();
});

test('the one that waits takes the next file at once, and once', async () => {
  const w = await waiting();
  assert.equal(w.heard[1].size, 500, 'a small sample, from the second on');
  await warmUp();
  assert.equal(workers.length, 1, 'one waits, not two');
  const heard = [];
  const e = await startExaminer({ onMessage: (m) => heard.push(m.kind) });
  assert.equal(workers.length, 1, 'nothing is started');
  assert.ok(!w.ended);
  const answer = e.ask('examine', { files: [], limits: '' });
  assert.equal(w.heard.at(-1).kind, 'examine');
  await warmUp();
  assert.equal(workers.length, 1, 'none is made ready while something is asked');
  const other = await startExaminer();
  assert.equal(workers.length, 2, 'it is taken once');
  w.say({ id: 1, kind: 'partial' });
  w.say({ id: 1, kind: 'done', end: true });
  assert.equal((await answer).kind, 'done');
  assert.deepEqual(heard, ['partial', 'done']);
  e.end();
  other.end();
  assert.ok(w.ended);
});

test('one that waits may die: the next file starts another', async () => {
  for (const how of [(w) => w.say({ kind: 'ended', text: 'it ended with code 2' }), (w) => w.onerror({ message: 'RuntimeError: unreachable' })]) {
    workers = [];
    how(await waiting());
    const deaths = [];
    const e = await startExaminer({ onDeath: (m) => deaths.push(m) });
    assert.equal(workers.length, 2);
    assert.deepEqual(deaths, [], 'nobody is told of it');
    e.end();
  }
  workers = [];
  await warmUp(); // and while it is made ready
  workers[0].say({ kind: 'ended', text: 'it ended with code 2' });
  await warmUp();
  assert.equal(workers.length, 2);
  workers[1].say({ id: 1, kind: 'refused', text: 'no', end: true });
  assert.ok(workers[1].ended, 'one that cannot do the sample is of no use');
});

test('one that a file was taken from it dies like any other', async () => {
  const w = await waiting();
  const deaths = [];
  const e = await startExaminer({ onDeath: (m, asked) => deaths.push([m.broke, asked]) });
  const answer = e.ask('examine');
  w.say({ kind: 'ended', text: 'it ended with code 2' });
  assert.equal((await answer).broke, 'it ended with code 2');
  assert.deepEqual(deaths, [['it ended with code 2', ['examine']]]);
});

test('none waits beside a large figure, on one processor, or where nobody looks', async () => {
  const w = await waiting();
  const e = await startExaminer();
  w.say({ id: 1, kind: 'progress', memory: 40e6 });
  const second = await waiting();
  assert.ok(!second.ended);
  w.say({ id: 1, kind: 'progress', memory: 300e6 });
  assert.ok(second.ended, 'the figure has grown');
  await warmUp();
  assert.equal(workers.length, 2);
  e.end();
  const alone = { hardwareConcurrency: 1 };
  const before = Object.getOwnPropertyDescriptor(globalThis, 'navigator');
  Object.defineProperty(globalThis, 'navigator', { configurable: true, value: alone });
  await warmUp();
  assert.equal(workers.length, 2);
  alone.hardwareConcurrency = 2;
  globalThis.document.visibilityState = 'hidden';
  await warmUp();
  assert.equal(workers.length, 2);
  delete globalThis.document.visibilityState;
  if (before) Object.defineProperty(globalThis, 'navigator', before);
  else delete globalThis.navigator;
  (await waiting()).onerror({ message: 'over' });
});

/** What was begun has come as far as it can. */
const settled = () => new Promise((r) => setImmediate(r));

test('another waits half a second after the last answer, and none before the page is ready', async (t) => {
  t.mock.timers.enable({ apis: ['setTimeout'] });
  const { ready } = work.examiners;
  work.examiners.ready = false;
  const first = await startExaminer();
  const early = first.ask('catalogue');
  workers[0].say({ id: 1, kind: 'catalogue', end: true });
  await early;
  t.mock.timers.tick(60_000);
  await settled();
  assert.equal(workers.length, 1, 'the stage is still starting');
  work.examiners.ready = ready;
  const answer = first.ask('examine');
  t.mock.timers.tick(60_000);
  await settled();
  assert.equal(workers.length, 1, 'something is asked');
  workers[0].say({ id: 2, kind: 'done', end: true });
  await answer;
  t.mock.timers.tick(499);
  await settled();
  assert.equal(workers.length, 1);
  t.mock.timers.tick(1);
  await settled();
  assert.equal(workers[1]?.heard[1].kind, 'warm');
  workers[1].say({ id: 1, kind: 'done', end: true });
  globalThis.document.visibilityState = 'hidden';
  hears.visibilitychange();
  t.mock.timers.tick(59_999);
  assert.ok(!workers[1].ended, 'a file may be dropped from another window');
  t.mock.timers.tick(1);
  assert.ok(workers[1].ended, 'nobody has looked for a minute');
  delete globalThis.document.visibilityState;
  hears.visibilitychange();
  t.mock.timers.tick(500);
  await settled();
  assert.equal(workers.length, 3, 'somebody looks again');
  workers[2].onerror({ message: 'over' });
  first.end();
});

test('one that was asked what concerns no figure may wait from then on', async () => {
  const e = await startExaminer({ keeps: false });
  e.rest();
  const next = await startExaminer();
  assert.equal(workers.length, 1);
  const open = next.ask('examine');
  next.rest(); // it owes an answer
  assert.ok(workers[0].ended);
  assert.equal(await Promise.race([open, later().then(() => 'none')]), 'none');
  await warmUp();
  assert.equal(workers.length, 2, 'what was asked of it is over');
  workers[1].onerror({ message: 'over' });
  (await startExaminer({ keeps: false })).rest();
  workers[2].onerror({ message: 'it dies while it waits' });
  (await startExaminer()).end();
  assert.equal(workers.length, 4);
});

test('an ask ends with the message that bears an end, whatever its kind', async () => {
  const heard = [];
  const e = await startExaminer({ onMessage: (m) => heard.push(m.kind) });
  const [w] = workers;
  const all = e.ask('examine', { files: [], limits: '' });
  assert.deepEqual(w.heard[1], { files: [], limits: '', id: 1, kind: 'examine' });
  for (const kind of ['progress', 'rig', 'partial', 'result', 'prepared', 'fields', 'done']) w.say({ id: 1, kind, end: kind === 'done', bytes: new ArrayBuffer(8) });
  assert.equal((await all).kind, 'done');
  const judged = e.ask('judge', { limits: '{}' });
  w.say({ id: 2, kind: 'result', json: '{}', end: true });
  assert.equal((await judged).json, '{}');
  let over = false;
  const other = e.ask('one of tomorrow').then((m) => { over = true; return m; });
  w.say({ id: 3, kind: 'done' });
  await later();
  assert.equal(over, false, 'no end yet');
  w.say({ id: 3, kind: 'what it likes', end: true });
  assert.equal((await other).kind, 'what it likes');
  assert.deepEqual(heard, ['progress', 'rig', 'partial', 'result', 'prepared', 'fields', 'done', 'result', 'done', 'what it likes']);
  e.stop();
  assert.equal(w.heard.at(-1).kind, 'stop');
  e.end();
  assert.equal((await e.ask('judge')).kind, 'refused', 'an ended examiner answers at once');
});

test('what is refused is an answer, not an exception', async () => {
  const e = await startExaminer();
  const answer = e.ask('examine');
  workers[0].say({ id: 1, kind: 'refused', text: 'no', hint: '', missing: ['a.bin'], end: true });
  assert.deepEqual((await answer).missing, ['a.bin']);
  e.end();
});

test('a worker that dies answers all that was asked', async () => {
  const heard = [];
  const e = await startExaminer({ onMessage: (m) => heard.push(m) });
  const one = e.ask('examine'), two = e.ask('judge');
  workers[0].say({ kind: 'ended', text: 'it ended with code 2' });
  for (const m of await Promise.all([one, two])) {
    assert.equal(m.kind, 'refused');
    assert.match(m.text, /code 2/);
    assert.equal(m.broke, 'it ended with code 2');
    assert.equal(m.full, false, 'nothing tells that memory was short');
  }
  assert.equal(heard.length, 2);
  assert.ok(workers[0].ended);
  workers[0].onerror?.({ message: 'once more' });
  assert.equal(heard.length, 2, 'told once');
});

test('a worker that ran out of memory says so', async () => {
  for (const [words, said] of [['it ended with code 2', 'runtime: out of memory: cannot allocate 4194304-byte block'], ['RangeError: WebAssembly.Memory(): could not allocate; out of memory', '']]) {
    workers = [];
    const e = await startExaminer();
    const one = e.ask('examine');
    workers[0].say({ kind: 'ended', text: words, said });
    const m = await one;
    assert.ok(m.full);
    assert.match(m.text, /ran out of memory/);
    assert.match(m.hint, /smaller/);
  }
});

test('a worker that ends without a word is noticed by its lock', async () => {
  const held = new Map();
  Object.defineProperty(globalThis, 'navigator', { configurable: true, value: { locks: { request: (name, { signal }, gone) => { held.set(name, { signal, gone }); return new Promise(() => {}); } } } });
  const e = await startExaminer();
  const [w] = workers;
  const { lock } = w.heard[0];
  const one = e.ask('examine');
  w.say({ kind: 'locked' });
  assert.ok(held.has(lock));
  held.get(lock).gone(); // the browser took the worker: its lock came free
  assert.equal((await one).broke, 'it ended without a word');
  const other = await startExaminer();
  workers[1].say({ kind: 'locked' });
  other.end();
  assert.ok(held.get(workers[1].heard[0].lock).signal.aborted, 'one that was ended here is not waited for');
});

test('work is done in turns, and sees what waits behind it', async () => {
  const seen = [];
  const put = inTurns(async (n, later) => { seen.push([n, [...later]]); await later; });
  put(1); put(2); put(3);
  assert.deepEqual(seen, [[1, []]], 'the first at once');
  await new Promise((r) => setTimeout(r, 20));
  assert.deepEqual(seen, [[1, []], [2, [3]], [3, []]]);
});

test('the bytes of the last figure are kept for a stage that starts again', async () => {
  const e = await startExaminer();
  const [w] = workers;
  const bytes = (n) => new Uint8Array([n]).buffer;
  w.say({ id: 1, kind: 'rig', bytes: bytes(1) });
  w.say({ id: 1, kind: 'prepared', bytes: bytes(2) });
  w.say({ id: 1, kind: 'fields', bytes: bytes(3) });
  assert.deepEqual([kept.rig[0], kept.prepared[0], kept.fields[0]], [1, 2, 3]);
  w.say({ id: 2, kind: 'rig', bytes: bytes(4) });
  assert.deepEqual([kept.rig[0], kept.prepared, kept.fields], [4, null, null], 'another figure: what belongs to the one before is dropped');
  keep({ kind: 'progress' });
  assert.equal(kept.rig[0], 4);
  e.end();
});

test('a large figure lies in the stage alone, and is copied out of it when it ends', () => {
  const memory = { buffer: new ArrayBuffer(64) };
  new Uint8Array(memory.buffer).set([7, 8, 9], 16);
  kept.rig = { memory, at: 16, length: 3 };
  kept.prepared = new Uint8Array([1, 2]);
  recall();
  new Uint8Array(memory.buffer).fill(0);
  assert.deepEqual([[...kept.rig], [...kept.prepared], kept.fields], [[7, 8, 9], [1, 2], null]);
  const given = new Uint8Array(1000);
  letGo(given);
  assert.equal(given.length, typeof ArrayBuffer.prototype.transfer === 'function' ? 0 : 1000, 'what was handed over takes no memory');
});

test('memory is told when it changes', async () => {
  const told = [];
  bus.addEventListener('memory', (e) => told.push(e.detail.examiner));
  const e = await startExaminer();
  for (const m of [5e6, 5e6, 9e6]) workers[0].say({ id: 1, kind: 'progress', memory: m });
  assert.deepEqual(memory().examiner, 9e6);
  e.end();
  assert.deepEqual(told, [5e6, 9e6, 0]);
});
