import assert from 'node:assert/strict';
import { copyFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { test } from 'node:test';
import { apart, errors, folder, had, models, rigloupe, without } from './outside.js';

// What `rigloupe mend` writes, as others read and play it.

/** Whether all steps were kept. @param {string} file @param {object[]} steps */
function mended(file, steps) {
  const plan = { rigloupe_plan: 1, order: 'free', steps };
  writeFileSync(join(folder, 'plan.json'), JSON.stringify(plan));
  // Exit 1 tells of a step that is not kept: what is written is looked at all the same.
  let said = '';
  try {
    said = rigloupe('mend', file, '--with', 'plan.json', '--out', 'mended.glb', '--json');
  } catch (e) {
    if (/** @type {any} */ (e).status !== 1) throw e;
    said = /** @type {any} */ (e).stdout;
  }
  return (JSON.parse(said) ?? []).every((/** @type {any} */ r) => r.kept);
}

test('the sample’s faults mended as suggested: no error, played alike', async (t) => {
  for (const fault of ['intake/unapplied-scale', 'intake/uneven-scale', 'intake/unapplied-turn', 'intake/off-ground', 'surface/near-coincident', 'surface/slivers', 'surface/doubled-vertices'])
    await t.test(fault, async () => {
      // The first of uneven-scale cannot be mended; all others are.
      rigloupe('sample', '--fault', fault, '--out', 'a.glb');
      const plan = JSON.parse(rigloupe('mend', 'a.glb', '--suggest'));
      if (fault === 'intake/uneven-scale') assert.deepEqual(plan.steps, []);
      mended('a.glb', plan.steps);
      assert.deepEqual(await errors('mended.glb'), []);
      for (const at of [0, 0.31, 1.2]) assert.ok((await apart('mended.glb', 'stroll', at)) < 1e-5);
    });
});

test('real models brought to half their size and welded', { skip: without }, async (t) => {
  for (const [model, clip] of [
    ['Knight.glb', 'Walking_A'],
    ['robot.glb', 'Robot_Walking'],
    ['Fox.glb', 'Walk'],
    ['rigged_simple.gltf', ''],
    ['interpolation_test.gltf', ''],
    ['MorphStressTest.gltf', ''],
    ['hand_left.glb', ''],
  ])
    await t.test(model, async () => {
      for (const f of [model, 'interpolation_test.bin']) copyFileSync(join(models, f), join(folder, f));
      mended(model, [
        { mend: 'scale', parameters: { factor: 0.5 }, accept: ['intake/odd-height'] },
        { mend: 'weld', parameters: { unused: true } },
      ]);
      const known = await had(join(models, model));
      assert.deepEqual(
        (await errors('mended.glb')).filter((e) => !known.has(e.split(' ')[0])),
        [],
      );
      if (clip) for (const at of [0, 0.25, 0.6]) assert.ok((await apart('mended.glb', clip, at)) < 1e-5);
    });
});

test('real models in a new rest, bound anew, and made even', { skip: without }, async (t) => {
  const steps = {
    rest: { mend: 'rest', parameters: { pose: 'T' } },
    rebind: { mend: 'rebind', parameters: { pose: 'T', price: 1 } },
    draw: { mend: 'even', parameters: { form: 'draw', from: 'left' } },
    halve: { mend: 'even', parameters: { form: 'halve', from: 'left' } },
  };
  let written = 0;
  for (const [model, clip] of [
    ['cesium_man.gltf', ''],
    ['Knight.glb', 'Walking_A'],
    ['robot.glb', 'Robot_Walking'],
    ['Fox.glb', 'Walk'],
  ])
    for (const [name, step] of Object.entries(steps))
      await t.test(`${model} ${name}`, async () => {
        copyFileSync(join(models, model), join(folder, model));
        // Whatever it plants is insisted on: how the file is written is what is looked at.
        const accept = JSON.parse(rigloupe('checks', '--json')).map((/** @type {any} */ c) => c.id);
        const kept = mended(model, [{ ...step, accept }]);
        if (!kept) return; // refused in words, or of what it aims at nothing clears
        written++;
        const known = await had(join(models, model));
        assert.deepEqual(
          (await errors('mended.glb')).filter((e) => !known.has(e.split(' ')[0])),
          [],
        );
        if (clip) for (const at of [0, 0.25, 0.6]) assert.ok((await apart('mended.glb', clip, at)) < 1e-5);
      });
  assert.ok(written >= 6, `${written} files were written`);
});

test('the sample bound anew in T is played as its receipt says', async () => {
  rigloupe('sample', '--pose', 'A', '--out', 'a.glb');
  for (const way of ['seen', 'dual', 'clips']) {
    assert.ok(mended('a.glb', [{ mend: 'rebind', parameters: { pose: 'T', way, price: 1 } }]));
    assert.deepEqual(await errors('mended.glb'), []);
    for (const clip of ['stroll', 'wave']) for (const at of [0, 0.31, 0.83]) assert.ok((await apart('mended.glb', clip, at)) < 1e-5);
  }
});
