import assert from 'node:assert/strict';
import { test } from 'node:test';
import { stopAt, weldStops, weldWords } from '../js/shared/weld.js';
import { sectionWords } from '../js/card/section.js';

const step = (metres, distinct, edges_lost = 0, triangles_lost = 0, largest_shift = 0) => ({ metres, distinct, edges_lost, triangles_lost, largest_shift });
const facts = { weld_steps: [step(0, 100), step(0.001, 98, 2, 0, 0.0004), step(0.01, 90, 20, 12, 0.006)], suggested_weld: 0.004, suggested_step: { ...step(0.004, 94, 0, 0, 0.002), open_edges_left: 3 } };

test('the slider stops at the measured steps and at the suggested distance between two of them', () => {
  const stops = weldStops(facts);
  assert.deepEqual(stops.map((s) => [s.metres, s.suggested]), [[0.001, false], [0.004, true], [0.01, false]]);
  assert.equal(stopAt(stops, 0), 1);
  assert.equal(stopAt(stops, 0.01), 2);
  assert.equal(stopAt(stops, 0.001), 0, 'the first was chosen, not the suggested one');
  assert.equal(stopAt(stops, 7), 1, 'a distance of another file: the suggested one');
  assert.equal(stopAt(weldStops({ ...facts, suggested_weld: null }), 0), 0);
  assert.deepEqual(weldStops({ ...facts, suggested_weld: null }).map((s) => s.suggested), [false, false]);
  assert.deepEqual(weldStops({ ...facts, suggested_weld: 0.01 }).map((s) => s.suggested), [false, true]);
  assert.deepEqual(weldStops({ ...facts, suggested_weld: 0.0001 }).map((s) => s.left), [[94], [98], [90]]);
  assert.deepEqual(weldStops(undefined), []);
});

test('what a step costs is said in words', () => {
  const [a, b, c] = weldStops(facts);
  assert.equal(weldWords(a, 100).replaceAll('\u00a0', ' '), 'At 1 mm: 98 of 100 places are left. 2 edges and 0 triangles are lost; a vertex moves by 0.4 mm at most.');
  assert.equal(weldWords(b, 100).replaceAll('\u00a0', ' '), 'Suggested, 4 mm: 94 of 100 places are left. No edge is lost; a vertex moves by 2 mm at most. 3 edges stay open.');
  assert.match(weldWords({ ...b, open: 0 }, 100), / No edge stays open\.$/);
  assert.match(weldWords(c, 100).replaceAll('\u00a0', ' '), /20 edges and 12 triangles are lost; a vertex moves by 6.mm at most\.$/);
  assert.match(weldWords({ ...a, left: [100], edges: 0, triangles: 0, shift: 0 }, 100), /Nothing is lost, nothing moves\.$/);
});

test('a section in words', () => {
  assert.equal(sectionWords({ radius: 0.058, offset: 0.684, outside: false }).replaceAll('\u00a0', ' '), 'Radius 58 mm. The joint stands 39.7 mm, 68.4 % of the radius, from the middle.');
  assert.match(sectionWords({ radius: null, offset: null, outside: true }), /outside the surface/);
});
