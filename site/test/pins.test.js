import assert from 'node:assert/strict';
import { test } from 'node:test';
import { pinsOf, pinsText, rowsOf, withPin, without } from '../js/matching/pins.js';

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
