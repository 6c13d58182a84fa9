import assert from 'node:assert/strict';
import { test } from 'node:test';
import { desk } from '../js/state/desk.js';
import { amiss, namesFor } from '../js/mending/names.js';

// What a dial offers is what the figure has, each by a name that the engine takes for one thing alone.

const parameter = (name, kind = 'list', says = '') => /** @type {any} */ ({ name, kind, says, title: '' });
const figure = () => {
  const clips = [{ name: 'walk', clip: 0, seconds: 1.2 }, { name: '', clip: 1, seconds: 2 }, { name: 'walk', clip: 2, seconds: 3 }, { name: '7', clip: 3, seconds: 1 }];
  desk.figure = /** @type {any} */ ({
    doc: { facts_of: { surface: { surfaces: [{ name: 'Body', vertices: 900, gear: false }, { name: 'Sword', vertices: 12, gear: true }, { name: 'Sword', vertices: 1, gear: true }, { name: '', vertices: 3, gear: false }] } } },
    joints: [{ name: 'hips', node: 4, role: 'hips' }, { name: 'bone', node: 9, role: null }, { name: 'bone', node: 12, role: null }],
    clips,
  });
  desk.carried = [clips[0]];
};

test('names that stand for one thing alone stand as they are, others by their number', () => {
  figure();
  assert.deepEqual(namesFor(parameter('surfaces')).map((x) => x.name), ['Body', '#2', '#3', '#4']);
  assert.match(namesFor(parameter('without'))[1].says, /^Sword, 12\s+vertices, gear$/);
  assert.deepEqual(namesFor(parameter('stored')).map((x) => x.name), ['hips', '#9', '#12']);
});

test('a clip that was carried over is no clip of the file, and a name that is a number is none', () => {
  figure();
  assert.deepEqual(namesFor(parameter('clip', 'text')).map((x) => x.name), ['1', 'walk', '3']);
});

test('nothing is offered for what the figure has no list of', () => {
  figure();
  for (const p of [parameter('pieces'), parameter('height', 'number'), parameter('on', 'pairs')]) assert.deepEqual(namesFor(p), []);
  desk.figure = null;
  assert.deepEqual(namesFor(parameter('surfaces')), []);
});

test('a place is three numbers', () => {
  const p = parameter('pieces', 'list', 'each by a place: "x y z" in metres');
  for (const good of ['0 1 2', ' -0.5  +1.25 3e-2 ']) assert.equal(amiss(p, [good]), '');
  for (const bad of ['', '0 1', 'left hand', '0 1 2 3', '0,1,2']) assert.notEqual(amiss(p, ['0 1 2', bad]), '', bad);
  assert.equal(amiss(parameter('fit'), ['anything']), '');
});
