import assert from 'node:assert/strict';
import { test } from 'node:test';
import { compare, sameFigure, since } from '../js/talk/changes.js';

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

test('what changed since stands in the rows of what is new, worse or better', () => {
  const one = (number, says, grade = 'flaw') => ({ number, id: 'a/x', grade, title: 'x', subject: 's', says, figure: null });
  const report = { old: 'a', new: 'a', says: '', gone: [one(9, '9')], fresh: [one(1, '1')], worse: [{ was: one(4, '4 m'), is: one(2, '5 m') }], better: [{ was: one(5, '', 'stop'), is: one(3, '') }], same: [{ was: one(6, '6'), is: one(6, '6') }], counts: [], unknown: [] };
  assert.deepEqual([...since(report).of], [[1, 'new'], [2, 'was 4 m'], [3, 'was stop']]);
});

test('the same figure bears the joints of the one before, most of them', () => {
  const of = (...names) => ({ joints: names.map((name, node) => ({ node, name })) });
  for (const [a, b, want] of [
    [of('hips', 'spine'), of('hips', 'spine', 'chest', 'neck'), true],
    [of('hips', 'a', 'b', 'c'), of('hips', 'x', 'y', 'z'), false],
    [of('hips', 'a'), of('hips', 'x'), true],
    [of('a', 'b', 'c'), of('a', 'y', 'z'), false],
    [of(), of(), true],
    [of(), of('hips'), false],
    [of('hips'), of(), false],
  ])
    assert.equal(sameFigure(a, b), want);
});
