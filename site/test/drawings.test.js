import assert from 'node:assert/strict';
import { test } from 'node:test';
import { binWords } from '../js/card/histogram.js';
import { heights, niceStep } from '../js/shared/scales.js';
import { gaugeScale } from '../js/shared/gauge.js';
import { keyAt, stepsOf } from '../js/shared/clips.js';

test('log heights: one stands on the ground, the most within the frame', () => {
  for (const most of [1, 7, 338, 120000]) {
    const { at, lines } = heights(most, 'log');
    assert.equal(at(1), 0);
    assert.ok(at(most) <= 1 && at(most) >= 0, `most ${most} at ${at(most)}`);
    assert.equal(at(0), 0);
    assert.equal(lines[0], 1);
  }
});

test('linear heights are proportional', () => {
  const { at, lines } = heights(300, 'linear');
  assert.ok(Math.abs(at(150) * 2 - at(300)) < 1e-12);
  assert.deepEqual(lines, [0, 100, 200, 300]);
  assert.ok(at(300) > 0.9 && at(300) < 0.96, `the highest bar stays clear of the frame: ${at(300)}`);
  assert.deepEqual(heights(0, 'linear').lines, [0, 1]);
});

test('steps are 1, 2, 5 of a decade', () => {
  for (const [x, want] of [
    [0.3, 0.5],
    [1, 1],
    [1.1, 2],
    [73, 100],
    [0, 1],
  ])
    assert.equal(niceStep(x), want);
});

test('bins in words', () => assert.deepEqual([binWords(0), binWords(9)], ['0.0 to 0.1', '0.9 to 1.0']));

test('a gauge holds value and limit; far apart it is logarithmic', () => {
  for (const [v, limit, log] of [
    [0.61, 0.57, false],
    [14, 0, false],
    [0.048, 0.01, false],
    [40, 0.5, true],
    [24, 1, false], // the factor from which on it is logarithmic: 25
    [26, 1, true],
    [1, 26, true],
    [-38, -35, false],
    [0.2, 0.5, false],
    [0, 0, false],
  ]) {
    const s = gaugeScale(v, limit);
    assert.equal(s.log, log, `${v} against ${limit}`);
    for (const x of [v, limit]) assert.ok(s.at(x) >= 0 && s.at(x) <= 1, `${x} stands at ${s.at(x)} of ${v}/${limit}`);
    assert.ok(s.ticks.length >= 2 && s.ticks.length <= 9, `${s.ticks.length} ticks`);
  }
});

test('keys of a clip', () => {
  const clip = { clip: 0, name: 'a', start: 0.5, seconds: 1, facts: {} };
  const times = stepsOf(clip);
  assert.deepEqual([times[0], times.at(-1)], [0.5, 1]);
  assert.deepEqual([keyAt([0, 1, 2], 1), keyAt([0, 1, 2], 1.5), keyAt([0, 1, 2], 9), keyAt([0, 1, 2], -1)], [1, 1, 2, 0]);
  // Times are float32 in the file and float64 here: a hair ahead is there, a hundredth is not.
  assert.deepEqual([keyAt([0, 1, 2], 1 - 5e-5), keyAt([0, 1, 2], 0.995)], [1, 0]);
});

test('ticks of a gauge bear a number each, the unit at the ends', async () => {
  const { tick } = await import('../js/shared/gauge.js');
  const all = (unit, to, ticks) => ticks.map((t, i) => tick(t, { unit }, i === 0 || i === ticks.length - 1, to).replaceAll('\u00a0', ' ')).join(' | ');
  assert.equal(all('×', 15, [0, 5, 10, 15]), '0 × | 5 | 10 | 15 ×');
  assert.equal(all('× bone', 10, [0, 2, 10]), '0 × | 2 | 10 ×');
  assert.equal(all('× height', 0.1, [0, 0.05, 0.1]), '0 % | 5 | 10 %');
  assert.equal(all('of the box', 0.5, [0, 0.25, 0.5]), '0 % | 25 | 50 %');
  assert.equal(all('vertices', 20, [0, 10, 20]), '0 vertices | 10 | 20 vertices');
  assert.equal(all('m', 2, [0, 1, 2]), '0 m | 1 | 2 m');
});

test('a clip of hours has at most 20,001 steps, first and last in place', () => {
  for (const [start, seconds] of [
    [0, 1e9],
    [1e9, 1e9],
    [3e38, 3e38],
    [0, 3e38],
    [5000, 5001],
    [0, 0],
  ]) {
    const times = stepsOf({ clip: 0, name: 'long', start, seconds, facts: {} });
    assert.ok(times.length > 0 && times.length <= 20001, `${start} to ${seconds}: ${times.length}`);
    assert.ok(times.every((t, i) => t >= start && t <= seconds && (i === 0 || t >= times[i - 1])));
    assert.equal(times[0], start);
    assert.ok(seconds - (times.at(-1) ?? 0) <= (seconds - start) / 15000);
  }
});

test('what differs between two partners is told from rounding', async () => {
  const { unlike } = await import('../js/card/histogram.js');
  for (const [a, b, want] of /** @type {[number, number, boolean][]} */ ([[100, 100, false], [100, 90, false], [100, 89, true], [2, 0, false], [3, 0, true], [0, 3, true], [1000, 950, false], [10, 12, false], [10, 13, true]]))
    assert.equal(unlike(a, b), want, `${a}, ${b}`);
});
