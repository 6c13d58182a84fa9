import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import { count, cut, inUnit, lengths, limited, measured, measuredShort, metres, passed, plain, point, roleWords, seconds, signed, value, weightSum } from '../js/base/words.js';

const G = '\u00a0',
  T = '\u202f';

test('numbers as people read them', () => {
  for (const [got, want, what] of [
    [count(10482), `10${T}482`, 'thousands'],
    [count(999), '999', 'no gap'],
    [count(1234567), `1${T}234${T}567`, 'millions'],
    [count(-1200), `\u22121${T}200`, 'minus'],
    [plain(NaN), 'none', 'no number'],
    [metres(null), 'none', 'no value'],
    [signed(138, count), '+138', 'more'],
    [signed(-1, count), '\u22121', 'less'],
    [roleWords('leftUpperArm'), 'left upper arm', 'with its side'],
    [roleWords('hips'), 'hips', 'no side'],
    [cut('abcdefghij', 7), 'abc…hij', 'middle'],
    [cut('abc', 7), 'abc', 'short'],
    [value(null, 'm'), 'no value', 'nothing'],
    [seconds(12.345), `12.35${G}s`, 'hundredths up to a hundred seconds'],
    [seconds(99.99), `99.99${G}s`, 'hundredths up to a hundred seconds'],
    [seconds(123.45), `123.5${G}s`, 'tenths beyond'],
    [weightSum(12.04), '12.0', 'one digit from ten on, a nought as well'],
    [weightSum(123.45), '123.5', 'one digit from ten on'],
    [weightSum(9.876), '9.88', 'three figures below'],
    [point([0.0014, -1.2346, 2]), '0.001, \u22121.235, 2.000', 'to the millimetre'],
  ])
    assert.equal(got, want, what);
});

test('a number with its unit is said as the engine says it', () => {
  // inspect/check/say_test.go reads the same table.
  const { quantities, limits } = JSON.parse(readFileSync(new URL('../../testdata/says.json', import.meta.url), 'utf8'));
  const bare = (s) => s.replaceAll(G, ' ').replaceAll(T, '_');
  for (const [v, unit, want, one] of quantities.slice(1)) assert.equal(bare(value(v, unit, one)), want, `${v} ${unit}`);
  for (const l of limits) assert.equal(bare(passed(l, l.value)), l.says);
});

test('lengths are read in another unit as the engine says them', () => {
  // inspect/say/length_test.go reads the same table.
  const rows = JSON.parse(readFileSync(new URL('../../testdata/says.json', import.meta.url), 'utf8')).lengths.slice(1);
  const marked = (s) => s.replaceAll('~', G).replaceAll('_', T);
  try {
    for (const [words, unit, want] of rows) {
      lengths.unit = unit;
      assert.equal(inUnit(marked(words)), marked(want), `${words} in ${unit}`);
    }
    lengths.unit = 'in';
    assert.equal(metres(1.8), `70.9${G}in`, 'from the number itself: three figures');
    lengths.unit = 'cm';
    assert.equal(value(0.0447, 'm'), `4.47${G}cm`);
  } finally {
    lengths.unit = 'm';
  }
  assert.ok(rows.length >= 18);
});

test('a measure is said in the words of the engine', () => {
  const m = { name: 'loss', value: 0.57, unit: 'of the volume', limit: 0.35, says: '−57 % volume', limit_says: '−35 % volume', against: `limit${G}−35 % volume` };
  assert.equal(measured(m), '−57 % volume');
  assert.equal(limited(m), `limit${G}−35 % volume`);
  assert.equal(limited(undefined), 'listed');
  assert.equal(measured(undefined), '');
  for (const [says, want] of [['4.38\u00a0% of the triangles moved', '4.38\u00a0%'], ['7.21\u00a0× the bone', '7.21\u00a0× the bone'], ['1.2 m (half of it)', '1.2 m'], ['58.7 % of the section (limit)', '58.7 %']])
    assert.equal(measuredShort({ ...m, says }), want);
});
