import assert from 'node:assert/strict';
import { test } from 'node:test';
import { matches } from '../js/find/matches.js';

const all = [['Flaw', 'Weight far from joint', '6 · lowerArm_L'], ['Joint', 'lowerArm_L', 'left lower arm'], ['Joint', 'Arm', ''], ['Joint', 'Forearm', ''], ['Clip', 'café walk', ''], ['Do', 'Next lens', 'L']].map(([kind, title, more]) => ({ kind, title, more, run: () => {} }));
const found = (typed) => matches(all, typed).map((t) => t.title);

test('the search holds every word, what begins so first', () => {
  for (const [typed, want] of [
    ['arm', ['Arm', 'lowerArm_L', 'Forearm', 'Weight far from joint']],
    ['ARM left', ['lowerArm_L']],
    ['cafe', ['café walk']],
    ['joint', ['Weight far from joint', 'lowerArm_L', 'Arm', 'Forearm']],
    ['lens', ['Next lens']],
    ['6', ['Weight far from joint']],
    ['nothing such', []],
    ['  ', []],
    ['(.*', []],
  ])
    assert.deepEqual(found(typed), want, typed);
});

test('names that a person made up are text', () => {
  const odd = [{ kind: 'Joint', title: '<b>$&\u202E', more: '', run: () => {} }];
  assert.equal(matches(odd, '<b>').length, 1);
  assert.equal(matches(odd, '$&').length, 1);
});
