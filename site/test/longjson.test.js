import assert from 'node:assert/strict';
import { after, test } from 'node:test';
import { longJSON } from '../js/base/longjson.js';
import { breathe } from '../js/base/turns.js';

const awake = setInterval(() => {}, 1000); // the page's turns alone do not keep Node running
after(() => clearInterval(awake));

// The reference is JSON.parse itself (ECMA-262, JSON.parse).
const same = async (v, space) => {
  const text = typeof v === 'string' ? v : JSON.stringify(v, null, space);
  assert.equal(JSON.stringify(await longJSON(text)), JSON.stringify(JSON.parse(text))); // order of keys too
};
const many = (n, of) => Array.from({ length: n }, (_, i) => of(i));
const words = ['plain', 'quote " and \\ backslash', '\\\\', '] } , [ {', 'line\nbreak', '\u2028 and ü', ''];

test('a long document is what JSON.parse makes of it', async () => {
  const row = (i) => ({ node: i, name: `${words[i % words.length]} ${i}`, at: [i / 3, -i, 1e-9 * i], none: null, yes: i % 2 === 0, deep: { a: [[], {}, [i]] } });
  const doc = { file: { name: 'a"b\\' }, facts_of: { bends: { moves: many(30000, row), turns: [] }, none: {} }, findings: many(3, (i) => ({ list: many(40000, (k) => k * i) })), end: 1.5 };
  await same(doc);
  await same(doc, 2);
  await same(many(60000, row));
  await same(Object.fromEntries(many(60000, (i) => [`${words[i % words.length]}${i}`, i])));
  await same({ first: 1, long: 'x'.repeat(700000), '__proto__': { a: 1 }, last: [true] });
  await same(`{"a":1,"__proto__":${JSON.stringify(many(60000, row))},"b":2}`);
  await same(`[${'['.repeat(400)}${JSON.stringify(many(60000, row))}${']'.repeat(400)}]`);
  await same(JSON.stringify('"'.repeat(300000)));
});

test('pieces of every length give the same', async () => {
  for (let n = 0; n < 40; n++) await same([1, 'x'.repeat((1 << 18) - 20 + n), { a: 'y'.repeat((1 << 18) - 20 + n), b: 2 }, 3]);
});

test('other tasks run meanwhile, and what is not wanted any more is left', async () => {
  const text = JSON.stringify(many(400000, (i) => ({ name: `joint ${i}`, at: [i, i] })));
  let ran = 0, over = false;
  const others = (async () => { for (; !over; ran++) await breathe(); })();
  await longJSON(text);
  over = true;
  await others;
  assert.ok(ran >= 3, `${ran} times`);
  let left = true;
  const vain = longJSON(text, () => left);
  left = false;
  assert.equal(await vain, undefined);
  // Wherever it stands in the text, it ends without a word.
  const deep = JSON.stringify({ a: { b: [{ c: many(60000, (i) => [i, `${i}`]) }, { d: many(60000, (i) => ({ i })) }] }, e: many(60000, (i) => i) });
  for (let looks = 1; looks < 60; looks += 3) {
    let n = looks;
    const v = await longJSON(deep, () => n-- > 0);
    assert.ok(v === undefined || v.e.length === 60000, `after ${looks} looks`);
  }
});

test('what is no JSON is refused', async () => {
  const long = JSON.stringify(many(60000, (i) => ({ i })));
  for (const bad of [long.slice(0, -1), long.slice(0, -3), `${long.slice(0, -1)}}`, long.replace(',', ',,'), `{"a":${long}`]) await assert.rejects(longJSON(bad), SyntaxError);
});
