import assert from 'node:assert/strict';
import { test } from 'node:test';
import { lacks } from '../js/programs/able.js';

const all = () => ({
  WebAssembly: { instantiate() {} },
  Worker: function () {},
  ResizeObserver: function () {},
});

test('a browser that has all is told nothing', () => assert.equal(lacks(all()), ''));

test('what is missing is named in one sentence, and what follows from it', () => {
  for (const name of ['WebAssembly', 'Worker', 'ResizeObserver']) {
    const w = { ...all(), [name]: undefined };
    const says = lacks(w);
    assert.match(says, new RegExp(name, 'i'));
    assert.match(says, /no file can be examined|nothing is opened/);
  }
});
