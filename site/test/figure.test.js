import assert from 'node:assert/strict';
import { test } from 'node:test';
import { blank, placeWords, readCatalogue, readFigure, readJoints } from '../js/talk/figure.js';
import { chainOf, mainChild } from '../js/shared/tree.js';
import { sift } from '../js/card/joints.js';
import { catalogue, facts } from './fixture.js';

const table = readCatalogue(catalogue());
/** A joint as Skeleton tells it, nothing measured. */
const joint = (node, name, parent = null) => ({ node, name, parent, position: [0, 0, 0], role: '', role_confidence: 0, side: '', partner: null, evidence: '', length: null, off_centre: null, section_radius_m: null, outside: false });
const whole = () => readFigure('', facts(), table, { running: false });

test('stations that this build lacks are told from those that are clear', () => {
  const f = whole();
  assert.deepEqual(
    f.stations.map((s) => [s.name, s.state]),
    [
      ['intake', 'done'],
      ['surface', 'done'],
      ['skeleton', 'absent'],
      ['binding', 'done'],
      ['bends', 'absent'],
      ['motion', 'done'],
    ],
  );
  assert.equal(f.stations[0].checks.find((c) => c.id === 'intake/morphs')?.reason, 'no morph target in this file');
  assert.equal(f.stations[3].findings.length, 5);
});

test('what a station tells of the whole figure stands with it', () => {
  const doc = facts();
  doc.facts_of.surface = { ...doc.facts_of.surface, ready_to_bind: { verdict: 'ready', steps: [], says: 'Ready to be bound.' } };
  doc.facts_of.skeleton = { says: '34 joints.', joints: [{ ...joint(4, 'a'), role: 'hips', evidence: 'the name says it', off_centre: 0.2, section_radius_m: 0.1 }] };
  const f = readFigure('', doc, table, { running: false });
  assert.deepEqual(f.stations.slice(0, 4).map((s) => s.whole), ['', 'Ready to be bound.', '34 joints.', '']);
  assert.equal(f.byNode.get(4)?.evidence, 'the name says it');
  assert.deepEqual(f.byNode.get(4)?.cut, { radius: 0.1, offset: 0.2, outside: false });
});

test('while it runs, one station is at work and the later ones wait', () => {
  const doc = facts();
  doc.checks = doc.checks.filter((c) => c.id.startsWith('intake/'));
  const f = readFigure('', doc, table, { running: true, now: 'surface' });
  assert.deepEqual(
    f.stations.map((s) => s.state),
    ['done', 'now', 'absent', 'wait', 'absent', 'wait'],
  );
});

test('a new station of the catalogue stands in the ledger by itself', () => {
  const more = readCatalogue([...catalogue(), { id: 'cloth/tear', station: 'cloth', title: 'Tear', limits: [] }]);
  assert.equal(readFigure('', facts(), more, { running: true }).stations.at(-1)?.name, 'cloth');
});

test('joints: tree order, partners both ways, idle ones', () => {
  const { joints, byNode } = whole();
  assert.equal(joints[0].name, 'hips');
  for (const j of joints) {
    if (j.parent !== null) assert.ok(joints.indexOf(byNode.get(j.parent)) < joints.indexOf(j), `${j.name} stands before its parent`);
    if (j.partner !== null) assert.equal(byNode.get(j.partner).partner, j.node);
  }
  assert.deepEqual(
    joints.filter((j) => j.idle).map((j) => j.name),
    ['neck'],
  );
  const arm = joints.find((j) => j.name === 'upperArm_L');
  assert.deepEqual([arm.held.vertices, arm.held.histogram[9], arm.role, arm.side], [1204, 273, 'leftUpperArm', 'left']);
});

test('a joint of two skins holds the sum', () => {
  const one = {
    node: 1,
    name: 'a',
    vertices: 3,
    dominant: 2,
    weight_sum: 1.5,
    largest: 0.5,
    histogram: [1, 0, 0, 0, 2, 0, 0, 0, 0, 0],
    reach_m: 0.1,
    islands: 1,
  };
  const [j] = readJoints({ ...blank('x'), joints: [joint(1, 'a')], facts_of: { binding: { skins: [{ joints: [one] }, { joints: [{ ...one, largest: 0.9, reach_m: 0.4 }] }] } } });
  assert.deepEqual([j.held.vertices, j.held.largest, j.held.reach_m, j.held.histogram[4]], [6, 0.9, 0.4, 4]);
});

test('a ring of parents in a file does not hang the page', () => {
  const list = readJoints({ ...blank('x'), joints: [joint(0, 'a', 1), joint(1, 'b', 0)] });
  assert.equal(list.length, 2);
  const by = new Map(list.map((j) => [j.node, j]));
  assert.ok(chainOf(list[0], by).length <= 4);
});

test('the chain goes down the longest way', () => {
  const { joints, byNode } = whole();
  const named = (n) => joints.find((j) => j.name === n);
  assert.equal(mainChild(named('chest'), byNode)?.name, 'yoke_L'); // yoke and five chain joints: longer than an arm
  assert.deepEqual(
    chainOf(named('upperArm_L'), byNode).map((j) => j.name),
    ['shoulder_L', 'upperArm_L', 'lowerArm_L', 'hand_L'],
  );
  assert.deepEqual(
    chainOf(named('headEnd'), byNode).map((j) => j.name),
    ['head', 'headEnd'],
  );
});

test('search and filters of the joint list', () => {
  const { joints } = whole();
  const names = (want) => sift(joints, { text: '', side: 'all', idle: false, ...want }).map((j) => j.name);
  assert.deepEqual(names({ text: 'upper arm', side: 'left' }), ['upperArm_L']);
  assert.deepEqual(names({ text: 'ARM_r' }), ['upperArm_R', 'lowerArm_R']);
  assert.deepEqual(names({ idle: true }), ['neck']);
  assert.equal(names({ side: 'centre' }).length, 6);
  assert.deepEqual(names({ text: '<b>' }), []);
});

test('a place in words', () => {
  const nowhere = { joints: [], nodes: [], mesh: null, clip: null, vertex_total: 0 };
  assert.equal(placeWords({ ...nowhere, joints: [1, 2, 3, 4, 5].map((n) => ({ node: n, name: `j${n}` })) }), 'j1, j2, j3 and 2 more');
  assert.equal(placeWords({ ...nowhere, mesh: 0, vertex_total: 14 }), 'mesh 0, 14 vertices');
  assert.equal(placeWords(nowhere), '');
});
