import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { mkdirSync, readFileSync, readdirSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { before, test } from 'node:test';
import { Vector3 } from 'three';
import { folder, models, opened, places, playing, problems, root, without } from './outside.js';

// Every mend of the table on every real model, dressed with extensions, members and extras that nobody knows, and as it is what is refused
// beside those: what is written has no error that the file had not before (the glTF conformance checker), and three.js sees every vertex where Rigloupe does.
// A mend that cannot be done says why; on the models together each is done.

/** @typedef {{clip: number, seconds: number, morph: number, first: number}} Moment */
/** @typedef {{form: string, name: string, mend?: string, refused?: string, file: string, places: string, moments: Moment[], surfaces: any[]}} Row */

let program = '';
before(() => {
  program = join(folder, 'mended');
  execFileSync('go', ['build', '-o', program, './site/mended'], { cwd: root, env: { ...process.env, CGO_ENABLED: '0' } });
});

/** Whether an attribute has weight at a vertex. @param {any} w @param {number} i */
const weighs = (w, i) => w && w.getX(i) + w.getY(i) + w.getZ(i) + w.getW(i) > 0;

/** Largest distance of a vertex at any moment, three.js against ours, in diagonals of the figure. @param {Row} row @param {string} at the folder */
async function apart(row, at) {
  const gltf = await opened(join(at, row.file));
  const ours = readFileSync(join(at, row.places));
  const list = places(gltf);
  const low = [Infinity, Infinity, Infinity];
  const high = [-Infinity, -Infinity, -Infinity];
  const v = new Vector3();
  let worst = 0;
  let where = '';
  let seen = 0;
  for (const m of row.moments) {
    const stop = playing(gltf, m);
    for (const s of row.surfaces) {
      const o = list.get(`${s.node} ${s.primitive}`);
      if (!o) continue; // outside the scene that three.js shows
      assert.equal(o.geometry.attributes.position.count, s.vertices, `${row.form} ${row.name}: vertices of node ${s.node}`);
      const { weights_1: fifth, weights_2: ninth } = o.geometry.attributes; // three.js plays four joints a vertex
      for (let i = 0; i < s.vertices; i++) {
        const k = 12 * (m.first + s.first + i);
        const p = [ours.readFloatLE(k), ours.readFloatLE(k + 4), ours.readFloatLE(k + 8)];
        for (let a = 0; a < 3; a++) [low[a], high[a]] = [Math.min(low[a], p[a]), Math.max(high[a], p[a])];
        if (weighs(fifth, i) || weighs(ninth, i)) continue;
        seen++;
        o.getVertexPosition(i, v);
        v.applyMatrix4(o.matrixWorld);
        const d = Math.hypot(v.x - p[0], v.y - p[1], v.z - p[2]);
        if (!(d <= worst)) [worst, where] = [d, `vertex ${i} of node ${s.node} in clip ${m.clip} at ${m.seconds} s`];
      }
    }
    stop();
  }
  assert.ok(seen >= row.moments.length, `${row.form} ${row.name}: ${seen} vertices were compared`);
  return { far: worst / Math.hypot(high[0] - low[0], high[1] - low[1], high[2] - low[2]), where };
}

test('every mend on every real model', { skip: without }, async (t) => {
  const done = new Map();
  let refused = 0;
  for (const model of readdirSync(models).filter((f) => /\.gl(b|tf)$/.test(f)))
    await t.test(model, async (t) => {
      const at = join(folder, model + ' mended');
      mkdirSync(at);
      /** @type {Row[]} */
      const rows = JSON.parse(execFileSync(program, [at, join(models, model)], { encoding: 'utf8', maxBuffer: 1 << 28 }));
      let had = new Map(); // problems of the form itself
      let own = 0; // how far three.js is off in the forms themselves: it plays turns that are no unit quaternions otherwise
      let farthest = 0;
      for (const row of rows) {
        if (row.refused !== undefined) {
          assert.match(row.refused, /^.{20,}\.$/su, `${row.form} ${row.name} is refused in words`);
          refused++;
          continue;
        }
        const now = await problems(join(at, row.file));
        const { far, where } = await apart(row, at);
        if (!row.name) [had, own] = [now, Math.max(own, far)];
        else done.set(row.mend, (done.get(row.mend) ?? 0) + 1);
        // An error is known where the file had it, or fewer of its kind are left: a sweep counts places anew.
        for (const [code, list] of now) {
          const was = had.get(code) ?? [];
          const fresh = list.filter((e) => !was.some((w) => w.split(':')[0] === e.split(':')[0]));
          assert.ok(!row.name || !fresh.length || list.length <= was.length, `${row.form} ${row.name}: ${fresh.slice(0, 3).join('; ')}`);
        }
        assert.ok(far < Math.max(1e-5, 1.01 * Math.min(own, 1e-3)), `${row.form} ${row.name}: three.js is ${far} diagonals off: ${where}`);
        farthest = Math.max(farthest, far);
      }
      t.diagnostic(`${rows.length} rows, ${rows.filter((r) => r.refused !== undefined).length} refused; three.js is ${farthest.toExponential(1)} diagonals off at most`);
      rmSync(at, { recursive: true });
    });
  const mends = JSON.parse(execFileSync('go', ['run', './inspect/cmd/rigloupe', 'mends', '--json'], { cwd: root, encoding: 'utf8' })).map((/** @type {any} */ m) => m.id);
  for (const id of mends) assert.ok(done.get(id) > 0, `${id} is done on no model`);
  t.diagnostic(`${[...done.values()].reduce((a, b) => a + b, 0)} done, ${refused} refused in words, 0 neither`);
});
