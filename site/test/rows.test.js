import assert from 'node:assert/strict';
import { test } from 'node:test';
import { sorted, stepOf } from '../js/base/rows.js';

test('each step of the ramp is twice as fast as the one before', () => {
  assert.deepEqual(
    [0, 0.01, 0.02, 7.4, 7.6, 15, 15.1, 30, 31, 120, 960, 961, 3840, 1e6].map(stepOf),
    [0, 0, 1, 1, 2, 2, 3, 3, 4, 5, 8, 9, 10, 10],
  );
});

test('still first: those whose parent moves, the other still ones, held, moving', () => {
  const row = (name, state, follows, degrees = 0) => ({ name, state, follows, degrees });
  const rows = [row('a', 'moves', false, 5), row('b', 'at rest', false), row('c', 'held', true), row('d', 'never keyed', true), row('e', 'moves', true, 9)];
  assert.equal(sorted(rows, 'still').map((r) => r.name).join(''), 'dbcae');
  assert.equal(sorted(rows, 'turn').map((r) => r.name).join(''), 'eabcd');
  assert.equal(sorted(rows, 'tree'), rows);
});
