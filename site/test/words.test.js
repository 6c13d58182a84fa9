import assert from 'node:assert/strict';
import { test } from 'node:test';
import { bytes, count, cut, limited, measured, metres, percent, plain, roleWords, signed, value } from '../js/words.js';

const G = '\u00a0',
  T = '\u202f';

test('numbers as people read them', () => {
  for (const [got, want, what] of [
    [count(10482), `10${T}482`, 'thousands'],
    [count(999), '999', 'no gap'],
    [count(1234567), `1${T}234${T}567`, 'millions'],
    [count(-1200), `\u22121${T}200`, 'minus'],
    [plain(0.071), '0.071', 'three figures'],
    [plain(2.5), '2.5', 'no zeros'],
    [plain(12345.6), `12${T}346`, 'large'],
    [plain(0), '0', 'zero'],
    [plain(1.001), '1.001', 'not quite one'],
    [plain(79.03), '79.03', 'not quite whole'],
    [plain(18.00000001), '18', 'whole but for rounding'],
    [plain(NaN), 'none', 'no number'],
    [plain(3e-9), '3 × 10⁻⁹', 'tiny'],
    [metres(1.86), `1.86${G}m`, 'a height'],
    [metres(0.742), `0.742${G}m`, 'a reach'],
    [metres(0.0004), `0.4${G}mm`, 'under a centimetre'],
    [metres(0), `0${G}m`, 'nothing'],
    [metres(null), 'none', 'no value'],
    [metres(-0.2), `\u22120.200${G}m`, 'below'],
    [percent(0.048), `4.8${G}%`, 'a share'],
    [percent(0.01), `1${G}%`, 'whole'],
    [percent(0.0004), `0.04${G}%`, 'small'],
    [percent(1), `100${G}%`, 'all'],
    [bytes(3412806), `3.4${G}MB`, 'a file'],
    [bytes(512), `512${G}bytes`, 'small file'],
    [bytes(18460), `18.5${G}kB`, 'kilo'],
    [signed(138, count), '+138', 'more'],
    [signed(-1, count), '\u22121', 'less'],
    [roleWords('leftUpperArm'), 'upper arm', 'side taken off'],
    [roleWords('hips'), 'hips', 'no side'],
    [roleWords('leftover'), 'leftover', 'no capital after it'],
    [cut('abcdefghij', 7), 'abc…hij', 'middle'],
    [cut('abc', 7), 'abc', 'short'],
  ])
    assert.equal(got, want, what);
});

test('a measure carries its unit and its limit', () => {
  const m = (name, v, unit, limit) => ({ name, value: v, unit, limit });
  for (const [got, want] of [
    [measured(m('share', 0.048, '', 0.01)), `4.8${G}%`],
    [limited(m('share', 0.048, '', 0.01)), `limit${G}1${G}%`],
    [measured(m('vertices', 14, '', 0)), `14${G}vertices`],
    [value(1, 'joints'), `1${G}joint`],
    [value(1, 'vertices'), `1${G}vertex`],
    [value(3, 'joints'), `3${G}joints`],
    [value(1, 'cross'), `1${G}cross`],
    [measured(m('joints', 1, '', 0)), `1${G}joint`],
    [limited(m('vertices', 14, '', 0)), `limit${G}0`],
    [measured(m('height', 0.2, 'm', 0.5)), `0.200${G}m`],
    [measured(m('turn', 14, '°', 0.5)), '14°'],
    [limited(m('joints', 1, '', null)), 'listed'],
    [value(0.574, 'of the volume'), `57.4${G}% of the volume`],
    [value(0.0125, '× diagonal'), `0.0125${G}× diagonal`],
    [value(null, 'm'), 'no value'],
    [measured(undefined), ''],
  ])
    assert.equal(got, want);
});
