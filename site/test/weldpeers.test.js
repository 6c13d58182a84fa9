import assert from 'node:assert/strict';
import { copyFileSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { test } from 'node:test';
import { NodeIO } from '@gltf-transform/core';
import { KHRMeshQuantization } from '@gltf-transform/extensions';
import { weld as peerWeld } from '@gltf-transform/functions';
import { BufferAttribute, BufferGeometry } from 'three';
import { mergeVertices } from 'three/examples/jsm/utils/BufferGeometryUtils.js';
import { folder, models, rigloupe, without } from './outside.js';

// Weld, held against three.js, which joins vertices in cells of a grid, and the weld of a
// package for glTF files, which joins those that are equal to the bit in every attribute.

/** @param {string} file */
function glb(file) {
  const d = readFileSync(join(folder, file));
  const n = d.readUInt32LE(12);
  return { json: JSON.parse(d.toString('utf8', 20, 20 + n)), bin: d.subarray(28 + n) };
}

/** Positions and corners of every primitive. @param {string} file */
function primitives(file) {
  const { json, bin } = glb(file);
  /** @param {number} i */
  const read = (i) => {
    const a = json.accessors[i];
    const v = json.bufferViews[a.bufferView];
    const from = (v.byteOffset ?? 0) + (a.byteOffset ?? 0);
    const width = /** @type {any} */ ({ SCALAR: 1, VEC3: 3 })[a.type];
    const size = /** @type {any} */ ({ 5121: 1, 5123: 2, 5125: 4, 5126: 4 })[a.componentType];
    const stride = v.byteStride ?? width * size;
    const out = a.componentType === 5126 ? new Float32Array(width * a.count) : new Uint32Array(width * a.count);
    for (let k = 0; k < a.count; k++)
      for (let c = 0; c < width; c++) {
        const at = from + k * stride + c * size;
        out[k * width + c] = a.componentType === 5126 ? bin.readFloatLE(at) : bin.readUIntLE(at, size);
      }
    return out;
  };
  return json.meshes.flatMap((/** @type {any} */ m) =>
    m.primitives.map((/** @type {any} */ p) => ({ positions: /** @type {Float32Array} */ (read(p.attributes.POSITION)), corners: p.indices === undefined ? null : /** @type {Uint32Array} */ (read(p.indices)) })),
  );
}

/** Places that three.js finds within a distance. @param {any} p @param {number} metres */
function places(p, metres) {
  const g = new BufferGeometry();
  g.setAttribute('position', new BufferAttribute(p.positions, 3));
  g.setIndex(new BufferAttribute(p.corners ?? Uint32Array.from({ length: p.positions.length / 3 }, (_, i) => i), 1));
  const m = mergeVertices(g, metres);
  return new Set(m.getIndex()?.array).size;
}

/** @param {string} file @param {object} parameters */
function weld(file, parameters) {
  writeFileSync(join(folder, 'plan.json'), JSON.stringify({ rigloupe_plan: 1, steps: [{ mend: 'weld', parameters }] }));
  let said = '';
  try {
    said = rigloupe('mend', file, '--with', 'plan.json', '--out', 'welded.glb', '--json');
  } catch (e) {
    if (/** @type {any} */ (e).status !== 1) throw e;
    said = /** @type {any} */ (e).stdout;
  }
  return JSON.parse(said)[0];
}

test('a figure cut and shaken: welded, three.js finds the places of the figure before the cut', () => {
  rigloupe('sample', '--out', 'sound.glb');
  rigloupe('sample', '--fault', 'surface/near-coincident', '--out', 'cut.glb');
  const truth = places(primitives('sound.glb')[0], 1e-7);
  assert.ok(places(primitives('cut.glb')[0], 1e-7) > truth);
  assert.ok(weld('cut.glb', {}).kept);
  assert.equal(places(primitives('welded.glb')[0], 1e-7), truth);
});

test('real models: no place is left that three.js joins within a rounding, and none is lost that it keeps', { skip: without }, async (t) => {
  for (const model of ['Fox.glb', 'Knight.glb', 'robot.glb', 'hand_left.glb'])
    await t.test(model, () => {
      copyFileSync(join(models, model), join(folder, model));
      weld(model, { copies: true });
      const was = primitives(model);
      const is = primitives('welded.glb');
      assert.equal(is.length, was.length);
      for (let i = 0; i < is.length; i++) {
        const size = Math.max(...was[i].positions.map(Math.abs));
        assert.ok(places(is[i], 1e-9 * size) <= places(was[i], 1e-9 * size));
        // A grid parts what lies on both sides of a line: it may find more places, never fewer than ours at our distance.
        assert.ok(places(is[i], 1e-9 * size) >= places(was[i], 1e-3 * size), `primitive ${i}`);
      }
    });
});

test('copies: as many vertices are left as the package for glTF files leaves', { skip: without }, async (t) => {
  for (const model of ['', 'Fox.glb', 'Knight.glb', 'robot.glb'])
    await t.test(model || 'the sample with a vertex stored twice', async () => {
      if (model) copyFileSync(join(models, model), join(folder, model));
      else rigloupe('sample', '--fault', 'surface/doubled-vertices', '--out', 'twice.glb');
      const file = model || 'twice.glb';
      weld(file, { distance: 0 });
      const io = new NodeIO().registerExtensions([KHRMeshQuantization]);
      const peer = await io.read(join(folder, file));
      await peer.transform(peerWeld({ overwrite: true }));
      const theirs = peer
        .getRoot()
        .listMeshes()
        .flatMap((m) => m.listPrimitives().map((p) => p.getAttribute('POSITION')?.getCount() ?? 0));
      // Both feet of the robot have two triangles without area; they go, with two vertices of their own each.
      if (model === 'robot.glb') for (const foot of [2, 3]) theirs[foot] -= 2;
      assert.deepEqual(
        primitives('welded.glb').map((p) => p.positions.length / 3),
        theirs,
      );
    });
});
