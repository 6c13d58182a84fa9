import assert from 'node:assert/strict';
import { test } from 'node:test';
import { firstIsLeft } from '../js/card/histogram.js';
import { named, rowsOf } from '../js/card/jointrows.js';

const held = (node, name, more) => ({ node, name, vertices: 3, dominant: 2, weight_sum: 1.5, largest: 1, histogram: [1, 0, 0, 0, 0, 0, 0, 0, 0, 2], reach_m: 0.2, islands: 1, partner: null, mirror_mismatch_sum: 0.4, idle: '', ...more });

test('a row a joint of a skin, as the file has them; what was not measured is no nought', () => {
  const byNode = new Map([[4, { name: 'hand_R', side: 'right' }]]);
  const skins = [
    { skin: 0, joints: [held(3, '', { partner: 4 }), held(4, 'hand_R', { vertices: 0, reach_m: 0, idle: 'end' })] },
    { skin: 1, joints: [held(4, 'hand_R', {})] },
  ];
  const rows = rowsOf({ doc: { facts_of: { binding: { skins, mirror_mismatch: null } } }, byNode });
  assert.deepEqual(
    rows.map((r) => [r.skin, r.name, r.partner, r.reach, r.difference, r.idle]),
    [
      [0, 'node 3', 'hand_R', 0.2, null, ''],
      [0, 'hand_R', '', null, null, 'end'],
      [1, 'hand_R', '', 0.2, null, ''],
    ],
  );
  assert.equal(rowsOf({ doc: { facts_of: { binding: { skins, mirror_mismatch: {} } } }, byNode })[0].difference, 0.4);
  assert.deepEqual(rowsOf({ doc: { facts_of: {} }, byNode }), []);
  assert.deepEqual(named(rows, ' HAND r').length, 3);
  assert.deepEqual(named(rows, 'node').map((r) => r.node), [3]);
});

test('of two joints the left one stands left, else the first', () => {
  const j = (side) => ({ side });
  assert.equal(firstIsLeft(j('left'), j('right')), true);
  assert.equal(firstIsLeft(j('right'), j('left')), false);
  assert.equal(firstIsLeft(j('centre'), j('left')), false);
  assert.equal(firstIsLeft(j('right'), j('centre')), false);
  assert.equal(firstIsLeft(j(null), j(null)), true);
  assert.equal(firstIsLeft(j('left'), j('left')), true);
});
