import assert from 'node:assert/strict';
import { test } from 'node:test';
import { desk, on } from '../js/state/desk.js';
import { moved, takeLimits, undoLimits, wrongLimits } from '../js/shared/limits.js';

const entry = { id: 'surface/lopsided', title: 'Sides not alike', limits: [{ name: 'share', value: 0.01 }, { name: 'most', value: 0.1 }] };
desk.catalogue = /** @type {any} */ ([{ name: 'surface', title: 'Surface', entries: [entry] }]);

test('limits from a file are taken whole or not at all, with the reason', () => {
  for (const [x, why] of /** @type {[unknown, string][]} */ ([
    [{ 'surface/lopsided': { share: 0.02 } }, ''],
    [{}, ''],
    [[], 'it holds no limits'],
    [null, 'it holds no limits'],
    [{ 'surface/lopsidded': { share: 0.02 } }, 'there is no check "surface/lopsidded"'],
    [{ 'surface/lopsided': { shares: 0.02 } }, 'surface/lopsided has no limit "shares"'],
    [{ 'surface/lopsided': { share: '0.02' } }, 'share of surface/lopsided is no number'],
    [{ 'surface/lopsided': { share: null } }, 'share of surface/lopsided is no number'],
    [{ 'surface/lopsided': 3 }, 'surface/lopsided holds no limits'],
    [JSON.parse('{"__proto__": {"a": 1}}'), 'there is no check "__proto__"'],
  ])) assert.equal(wrongLimits(x), why, JSON.stringify(x));
});

test('each change of a limit is taken back, the last one first', () => {
  let judged = 0;
  on('judge', () => { judged++; });
  const first = desk.limits;
  takeLimits({ 'surface/lopsided': { share: 0.02 } });
  takeLimits({ 'surface/lopsided': { share: 0.02, most: 0.3 } });
  assert.equal(moved(), 2);
  undoLimits();
  assert.deepEqual(desk.limits, { 'surface/lopsided': { share: 0.02 } });
  undoLimits();
  assert.equal(desk.limits, first);
  assert.equal(judged, 4);
  undoLimits(); // nothing is left to take back
  assert.equal(judged, 4);
});
