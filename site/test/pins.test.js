import assert from 'node:assert/strict';
import { test } from 'node:test';
import { order, pinsOf, pinsText, rowsOf, withPin, without } from '../js/matching/pins.js';

const hips = { node: 0, name: 'Hips' }, arm = { node: 4, name: 'Arm' };
const found = { source: hips, target: { node: 1, name: 'hips' }, role: 'hips', confidence: 0.9, pinned: false, evidence: 'both are hips' };
const table = { pairs: [found], unmatched: { source: [], target: [{ node: 2, name: 'yoke', why: 'nothing looks like it' }] }, remarks: [], mirrored: false };

test('a word for a target takes the place of the one before, and of "no pair" for its source', () => {
  let pins = withPin([], { node: 1, name: 'hips' }, arm);
  pins = withPin(pins, { node: 1, name: 'hips' }, hips);
  assert.deepEqual(pins.map((p) => p.source?.node), [0]);
  const away = { source: arm, target: null, role: null, confidence: 1, pinned: true, evidence: '' };
  assert.equal(withPin([away], { node: 2, name: 'yoke' }, arm).length, 1);
  assert.equal(withPin([away], { node: 2, name: 'yoke' }, hips).length, 2);
  assert.equal(withPin(pins, { node: 2, name: 'yoke' }, null).length, 2);
  assert.deepEqual(without(pins, 1), []);
});

test('what is set reads like a saved table; nothing set is no text', () => {
  assert.equal(pinsText(pinsOf(table)), '');
  const text = JSON.parse(pinsText(withPin([], { node: 2, name: 'yoke' }, arm)));
  assert.equal(text.match, 1);
  assert.deepEqual(text.pairs[0].target, { node: 2, name: 'yoke' });
  assert.equal(text.pairs[0].pinned, true);
});

test('every target has a row, with its reason where it has no pair', () => {
  const rows = rowsOf([{ node: 1, name: 'hips' }, { node: 2, name: 'yoke' }], table);
  assert.deepEqual(rows.map((r) => [r.target.name, r.pair?.source?.name ?? null, r.why]), [['hips', 'Hips', 'both are hips'], ['yoke', null, 'nothing looks like it']]);
});

test('what is least sure comes first; a joint that holds nothing and has no pair is hidden, one set by hand is not', () => {
  const row = (node, confidence, more = {}) => ({ target: { node, name: `j${node}` }, pair: confidence === null ? null : { ...found, confidence, ...more }, why: '' });
  const rows = [row(1, 0.9), row(2, 0.65), row(3, null), row(4, 0.3), row(5, null), row(6, 0.2, { pinned: true }), row(7, 1, { pinned: true, source: null }), row(8, 0.7)];
  const { unsure, rest, helpers } = order(rows, (node) => node !== 5);
  const nodes = (list) => list.map((r) => r.target.node);
  assert.deepEqual([nodes(unsure), nodes(rest), nodes(helpers)], [[4, 2], [1, 5, 6, 7, 8], [3]]);
});
