import assert from 'node:assert/strict';
import { after, test } from 'node:test';

const awake = setInterval(() => {}, 1000); // the page's turns alone do not keep Node running
after(() => clearInterval(awake));
/** @type {any[]} */
const observers = [];
const errors = [];
Object.assign(globalThis, {
  ResizeObserver: class { constructor(fn) { this.fn = fn; } observe(root) { observers.push(this); this.root = root; } },
  reportError: (e) => errors.push(e),
});
const { drawn, part } = await import('../js/base/slices.js');
const { breathe } = await import('../js/base/turns.js');

const hold = (ms) => { for (const end = performance.now() + ms; performance.now() < end;); };

test('what is asked for many times in a turn is drawn once, in order', async () => {
  const did = [];
  const a = part(() => { did.push('a'); }), b = part(() => { did.push('b'); });
  a.later(); b.later(); a.later();
  assert.deepEqual(did, []);
  await drawn();
  assert.deepEqual(did, ['b', 'a']);
});

test('between slices other tasks run; a part asked for again begins again', async () => {
  let ran = 0, over = false, longest = 0, begun = 0;
  const others = (async () => { for (let last = performance.now(); !over; ran++) { await breathe(); const now = performance.now(); longest = Math.max(longest, now - last); last = now; } })();
  const long = part(function* () {
    begun++;
    for (let i = 0; i < 20; i++) { hold(3); yield; }
  });
  long.later();
  await breathe();
  await breathe();
  long.later();
  await drawn();
  over = true;
  await others;
  assert.ok(begun === 2, `begun ${begun} times`);
  assert.ok(ran >= 6, `${ran} turns of others in 60 ms`);
});

test('at once is whole, and what waited is done with it', async () => {
  const did = [];
  const p = part(function* () { did.push(1); yield; did.push(2); });
  p.later();
  p.now();
  assert.deepEqual(did, [1, 2]);
  await drawn();
  assert.deepEqual(did, [1, 2]);
});

test('a part that throws does not keep the next from being drawn', async () => {
  let did = 0;
  part(() => { throw new Error('no'); }).later();
  part(() => { did++; }).later();
  await drawn();
  assert.equal(did, 1);
  assert.equal(errors.length, 1);
});

test('what nobody sees is drawn when it comes to be seen', async () => {
  let did = 0;
  const p = part(() => { did++; }, {});
  const seen = (width) => observers.at(-1).fn([{ contentRect: { width } }]);
  seen(0);
  p.later();
  await drawn();
  assert.equal(did, 0);
  seen(300);
  assert.equal(did, 1);
  seen(400);
  assert.equal(did, 1, 'nothing new');
  p.later();
  await drawn();
  assert.equal(did, 2);
});
