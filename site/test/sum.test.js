import assert from 'node:assert/strict';
import { test } from 'node:test';
import { five, formula, lead, mm, six } from '../js/card/sum.js';

const term = (letter, weight) => ({ letter, weight, node: 0, name: 'j', slot: 0, matrix: [], alone: [], adds: [], total: [], stands: [] });
const sum = (weights, spread) => ({ terms: weights.map((w, i) => term('ABCD'[i], w)), spread });

test('numbers read as the command line prints them', () => {
  assert.deepEqual([five(-0.064721), five(1.5), five(1e-9), five(-1e-9)], ['\u22120.06472', '1.50000', '0.00000', '0.00000']);
  assert.deepEqual([six(0.107421875), six(1), six(0.05), six(254 / 255)], ['0.107422', '1', '0.05', '0.996078']);
  assert.deepEqual([mm(0.006666667), mm(0), mm(1.5)], ['6.667\u00a0mm', '0.000\u00a0mm', '1\u202f500.000\u00a0mm']);
});

test('the equation names each influence by its weight and its letter', () => {
  assert.equal(formula(sum([0.84, 0.11, 0.05], 1)), 'place = 0.84 A + 0.11 B + 0.05 C');
  assert.equal(formula(sum([], 0)), 'place = 0');
});

test('a learner is told what this vertex teaches', () => {
  const how = { posed: false, clips: true, skinned: true };
  for (const [name, w, h, want] of [
    ['parted', sum([0.5, 0.5], 0.085), how, /disagree by up to 85\u00a0mm/],
    ['at rest', sum([0.5, 0.5], 0), how, /At rest they all name the same place.*, or a clip, and see/],
    ['at rest, no clip', sum([0.5, 0.5], 0), { ...how, clips: false }, /play a move from the card of one of them and see them part/],
    ['posed, yet alike', sum([0.5, 0.5], 1e-6), { ...how, posed: true }, /At this moment they all name the same place/],
    ['parted by a hair', sum([0.5, 0.5], 2e-5), how, /disagree by up to 0\.02\u00a0mm/],
    ['alike to rounding', sum([0.5, 0.5], 9e-6), how, /At rest they all name the same place/],
    ['one joint', sum([1], 0), how, /One joint alone/],
    ['no joint', sum([], 0), how, /No joint holds this vertex/],
    ['no skin', sum([1], 0), { ...how, skinned: false }, /No skin moves this vertex/],
  ])
    assert.match(lead(w, h), want, name);
});
