import assert from 'node:assert/strict';
import { test } from 'node:test';
import { compare } from '../js/talk/changes.js';

const f = (number, id, subject, v, grade = 'flaw') => ({
  number,
  id,
  subject,
  grade,
  title: id,
  measures: [{ name: 'vertices', value: v, unit: 'vertices', limit: 0, says: `${v} vertices`, limit_says: '0 vertices', against: 'limit 0 vertices', below: false }],
});

test('what changed between two readings', () => {
  const before = [f(1, 'a/x', 'coat', 5), f(2, 'a/y', 'hat', 2), f(3, 'a/z', '14 vertices', 14), f(4, 'a/same', 's', 1)];
  const after = [f(1, 'a/x', 'coat', 3), f(2, 'a/z', '9 vertices', 9), f(3, 'a/same', 's', 1), f(4, 'a/new', 'n', 1)];
  const c = compare(before, after);
  assert.deepEqual([c.gone.map((x) => x.id), c.fresh, c.moved, c.same], [['a/y'], 1, 2, 1]);
  assert.deepEqual([c.of.get(1), c.of.get(2), c.of.get(3), c.of.get(4)], ['was 5 vertices', 'was 14 vertices', undefined, 'new']);
});

test('the same file again: nothing changed', () => {
  const list = [f(1, 'a/x', 'coat', 5), f(2, 'a/x', 'coat', 5)];
  const c = compare(list, list);
  assert.deepEqual([c.gone.length, c.fresh, c.moved, c.same, c.of.size], [0, 0, 0, 2, 0]);
});

test('a better grade is a change', () => assert.equal(compare([f(1, 'a', 's', 1, 'stop')], [f(1, 'a', 's', 1, 'note')]).moved, 1));
