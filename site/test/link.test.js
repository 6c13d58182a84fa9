import assert from 'node:assert/strict';
import { test } from 'node:test';

import { readLink, writeLink } from '../js/base/link.js';

test('a link says what is shown and reads back', () => {
  for (const l of [
    { sample: true },
    { lesson: 'collapse' },
    { fault: 48213 },
    { view: 'front', lens: 'influence', joint: 'Arm.L 01 & co#2', method: 'both', clip: 'läuft = schnell', at: 0.533 },
    { lens: 'stretch', move: { joint: 'mixed:Arm', axis: 'flexion', degrees: -37.5 } },
  ]) assert.deepEqual(readLink(`#${writeLink(l)}`), l);
  assert.equal(writeLink({}), '');
  assert.equal(writeLink({ view: 'front', at: 1 / 3 }), 'view=front&at=0.333');
});

test('what is not understood is left out', () => {
  for (const hash of ['', '#', '#ledger', '#fault=x', '#fault=-3', '#fault=1.5', '#at=soon', '#move=arm', '#move=arm:flexion:far', '#file=secret.glb', '#%E0%A4%A']) assert.deepEqual(readLink(hash), {}, hash);
});
