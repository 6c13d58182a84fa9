import assert from 'node:assert/strict';
import { join } from 'node:path';
import { test } from 'node:test';
import { apart, errors, had, models, rigloupe, without } from './outside.js';

// What `rigloupe carry` writes, as others read and play it.

test('the sample’s stroll on its A-pose: played alike, no error', async () => {
  rigloupe('sample', '--pose', 'A', '--out', 'a.glb');
  rigloupe('carry', 'sample', 'a.glb', '--clip', 'stroll', '--name', 'walked', '--out', 'b.glb');
  assert.deepEqual(await errors('b.glb'), []);
  for (const at of [0, 0.31, 0.77, 1.2]) assert.ok((await apart('b.glb', 'walked', at)) < 1e-4);
});

test('a clip of motion capture written by ourselves comes back', async () => {
  rigloupe('sample', '--pose', 'A', '--out', 'a.glb');
  rigloupe('carry', 'sample', 'a.glb', '--clip', 'stroll', '--name', 'walked', '--out', 'c.bvh');
  rigloupe('carry', 'c.bvh', 'a.glb', '--name', 'again', '--out', 'd.glb');
  assert.deepEqual(await errors('d.glb'), []);
  assert.ok((await apart('d.glb', 'again', 0.5)) < 1e-4);
});

test('real models as targets', { skip: without }, async (t) => {
  const walk = join(models, '01_01.bvh');
  for (const [source, clip, target] of [
    [walk, '0', 'Knight.glb'],
    [walk, '0', 'robot.glb'],
    [walk, '0', 'cesium_man.gltf'],
    [join(models, 'Knight.glb'), 'Walking_A', 'robot.glb'],
    [join(models, 'robot.glb'), 'Robot_Walking', 'sample'],
    [join(models, 'Knight.glb'), 'Walking_A', 'cesium_man.gltf'],
  ])
    await t.test(`${source.split('/').at(-1)} to ${target}`, async () => {
      const at = target === 'sample' ? target : join(models, target);
      rigloupe('carry', source, at, '--clip', clip, '--name', 'carried over', '--out', 'e.glb');
      // What the target's own file breaks is no fault of what was added.
      const known = target === 'sample' ? new Set() : await had(at);
      assert.deepEqual(
        (await errors('e.glb')).filter((e) => !known.has(e.split(' ')[0])),
        [],
      );
      // three.js makes weights whole when it reads them, and this model's are not: its places differ by that alone.
      if (target !== 'cesium_man.gltf') assert.ok((await apart('e.glb', 'carried over', 0.4)) < 1e-4);
    });
});
