import assert from 'node:assert/strict';
import { test } from 'node:test';
import { ordered, turned } from '../js/base/sortable.js';

test('a head goes its first way, then the other, then gives the order back', () => {
  let o = { key: '', down: false };
  o = turned(o, 'height', true);
  assert.deepEqual(o, { key: 'height', down: true });
  o = turned(o, 'height', true);
  assert.deepEqual(o, { key: 'height', down: false });
  o = turned(o, 'height', true);
  assert.deepEqual(o, { key: '', down: false });
  assert.deepEqual(turned({ key: 'height', down: true }, 'name'), { key: 'name', down: false }, 'another head');
});

test('rows in order', () => {
  const value = (r, key) => r[key];
  const by = (rows, key, down) => ordered(rows, { key, down }, value).map((r) => r.id);
  const rows = [
    { id: 'a', n: 2, w: 'bone 10', yes: true },
    { id: 'b', n: null, w: 'bone 9' },
    { id: 'c', n: 11, w: '', yes: false },
    { id: 'd', n: 2, w: 'Bone 9', yes: true },
    { id: 'e', n: NaN, w: 'arm' },
  ];
  for (const [key, down, want, what] of [
    ['n', false, 'adcbe', 'least first, equal ones as they come, no value last'],
    ['n', true, 'cadbe', 'largest first, no value still last'],
    ['w', false, 'ebdac', 'words, their numbers by size'],
    ['w', true, 'adbec', 'words backwards: no word still last'],
    ['yes', false, 'cadbe', 'no before yes'],
    ['', false, 'abcde', 'as they come'],
  ])
    assert.equal(by(rows, key, down).join(''), want, what);
  assert.equal(by([{ id: 1, x: 'none' }, { id: 2, x: 5 }], 'x', true).join(''), '21', 'numbers before words, either way');
  assert.equal(rows.map((r) => r.id).join(''), 'abcde', 'the list itself is left alone');
});
