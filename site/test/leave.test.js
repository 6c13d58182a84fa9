// A Go program that ends leaves no sleep and no function behind that throws: Go's own loader, from the toolchain.
import test from 'node:test';
import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { leave } from '../js/programs/leave.js';

await import(`${execFileSync('go', ['env', 'GOROOT']).toString().trim()}/lib/wasm/wasm_exec.js`);

/** A program that sleeps 5 ms, and a function of it that the page holds. */
function running() {
  const go = new globalThis.Go();
  const woken = { times: 0 };
  go.mem = new DataView(new ArrayBuffer(64));
  go._inst = { exports: { resume: () => { woken.times++; go._scheduledTimeouts.clear(); } } };
  const called = (name) => go.importObject.gojs[name](0);
  const sleep = () => { go.mem.setInt32(8, 5, true); go.mem.setInt32(12, 0, true); called('runtime.scheduleTimeoutEvent'); };
  return { go, woken, sleep, held: go._makeFuncWrapper(7), end: (code) => { go.mem.setInt32(8, code, true); called('runtime.wasmExit'); } };
}

const pause = () => new Promise((done) => { setTimeout(done, 30); });

test('the loader throws when what is left behind is called: what leave is there for', () => {
  const p = running();
  p.go.exit = () => {};
  p.end(0);
  assert.throws(p.held, /already exited/);
});

test('a program that lives wakes and answers', async () => {
  const p = running();
  leave(p.go, () => assert.fail('it has not ended'));
  p.sleep();
  await pause();
  p.held();
  assert.equal(p.woken.times, 2);
});

test('one that ended does neither, and its code is told', async () => {
  const p = running();
  const codes = [];
  leave(p.go, (code) => codes.push(code));
  p.sleep();
  p.sleep();
  p.end(2);
  await pause(); // a sleep that is left would throw here, outside of any promise
  assert.equal(p.held(), undefined);
  assert.equal(p.woken.times, 0);
  assert.deepEqual(codes, [2]);
});
