import assert from 'node:assert/strict';
import { Buffer } from 'node:buffer';
import { execFileSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { after, before } from 'node:test';
import validator from 'gltf-validator';
import { AnimationMixer, LoopOnce, SkinnedMesh, Vector3 } from 'three';

// What the command line writes, held against programs that are not ours: three.js plays it, the glTF conformance checker reads it.

globalThis.self ??= globalThis;
globalThis.ProgressEvent ??= /** @type {any} */ (class extends Event {});
// three.js divides weights by their sum as it loads them; what is compared is what is stored.
SkinnedMesh.prototype.normalizeSkinWeights = () => {};
const { GLTFLoader } = await import('three/examples/jsm/loaders/GLTFLoader.js');

export const root = join(import.meta.dirname, '../..');
export const models = join(root, '../shared/corpus/models');
export let folder = '';
let program = '';

before(() => {
  folder = mkdtempSync(join(tmpdir(), 'outside-'));
  program = join(folder, 'rigloupe');
  execFileSync('go', ['build', '-o', program, './inspect/cmd/rigloupe'], { cwd: root, env: { ...process.env, CGO_ENABLED: '0' } });
});
after(() => rmSync(folder, { recursive: true, force: true }));

/** @param {...string} args */
export const rigloupe = (...args) => execFileSync(program, args, { cwd: folder, encoding: 'utf8', maxBuffer: 1 << 28 });

/** A GLB as three.js reads it, pictures left out: Node has no decoder for them, and no place depends on them. @param {string} path */
export async function opened(path) {
  const d = readFileSync(path);
  const n = d.readUInt32LE(12);
  const json = JSON.parse(d.toString('utf8', 20, 20 + n));
  delete json.images;
  delete json.textures;
  delete json.samplers;
  json.materials = (json.materials ?? []).map((/** @type {any} */ m) => ({ name: m.name }));
  let text = Buffer.from(JSON.stringify(json));
  text = Buffer.concat([text, Buffer.alloc((4 - (text.length % 4)) % 4, 32)]);
  const head = Buffer.alloc(20);
  head.write('glTF', 0, 'latin1');
  head.writeUInt32LE(2, 4);
  head.writeUInt32LE(20 + text.length + d.length - 20 - n, 8);
  head.writeUInt32LE(text.length, 12);
  head.write('JSON', 16, 'latin1');
  const all = Buffer.concat([head, text, d.subarray(20 + n)]);
  return new GLTFLoader().parseAsync(all.buffer.slice(all.byteOffset, all.byteOffset + all.byteLength), '');
}

/** What three.js shows, by node and primitive of the file. @param {any} gltf */
export function places(gltf) {
  const meshes = new Map();
  gltf.scene.traverse((/** @type {any} */ o) => {
    if (!o.isMesh) return;
    let p = o;
    while (p && gltf.parser.associations.get(p)?.nodes === undefined) p = p.parent;
    const of = gltf.parser.associations.get(p).nodes;
    meshes.set(`${of} ${gltf.parser.associations.get(o).primitives ?? 0}`, o);
  });
  return meshes;
}

/** Brings the figure to a moment of a clip (−1: none), all morph targets as far as asked; the answer ends it. @param {any} gltf @param {{clip: number, seconds: number, morph: number}} m */
export function playing(gltf, m) {
  const mixer = new AnimationMixer(gltf.scene);
  const stood = /** @type {[any, number[]][]} */ ([]);
  if (m.clip >= 0) {
    const a = mixer.clipAction(gltf.animations[m.clip]);
    a.setLoop(LoopOnce, 1);
    a.clampWhenFinished = true;
    a.play();
    mixer.setTime(m.seconds);
  }
  if (m.morph)
    gltf.scene.traverse((/** @type {any} */ o) => {
      if (!o.morphTargetInfluences) return;
      stood.push([o, [...o.morphTargetInfluences]]);
      o.morphTargetInfluences.fill(m.morph);
    });
  gltf.scene.updateMatrixWorld(true);
  return () => {
    mixer.stopAllAction(); // what was bound stands as it did
    for (const [o, w] of stood) o.morphTargetInfluences.splice(0, w.length, ...w);
  };
}

/** Largest distance of a vertex in heights of the figure, three.js against ours. @param {string} file @param {string} clip @param {number} at */
export async function apart(file, clip, at) {
  const gltf = await opened(join(folder, file));
  playing(gltf, { clip: gltf.animations.findIndex((/** @type {any} */ c) => c.name === clip), seconds: at, morph: 0 });
  const said = JSON.parse(rigloupe('pose', file, '--clip', clip, '--at', String(at), '--out', 'p.f32'));
  const ours = readFileSync(join(folder, 'p.f32'));
  const meshes = places(gltf);
  const v = new Vector3();
  let worst = 0,
    low = Infinity,
    high = -Infinity,
    seen = 0;
  for (const s of said.surfaces) {
    const o = meshes.get(`${s.node} ${s.primitive}`);
    if (!o) continue; // outside the scene that three.js shows
    assert.equal(o.geometry.attributes.position.count, s.vertices);
    for (let i = 0; i < s.vertices; i++, seen++) {
      o.getVertexPosition(i, v);
      v.applyMatrix4(o.matrixWorld);
      const k = 12 * (s.first + i);
      worst = Math.max(worst, Math.hypot(v.x - ours.readFloatLE(k), v.y - ours.readFloatLE(k + 4), v.z - ours.readFloatLE(k + 8)));
      low = Math.min(low, v.y);
      high = Math.max(high, v.y);
    }
  }
  assert.ok(seen > 100, `${seen} vertices were compared`);
  return worst / (high - low);
}

/** Errors of the conformance checker, by their kind. @param {string} path @returns {Promise<Map<string, string[]>>} */
export async function problems(path) {
  const report = await validator.validateBytes(new Uint8Array(readFileSync(path)), {
    maxIssues: 0,
    externalResourceFunction: async (/** @type {string} */ uri) => new Uint8Array(readFileSync(join(models, uri))),
  });
  const out = new Map();
  for (const m of report.issues.messages) if (m.severity === 0) out.set(m.code, [...(out.get(m.code) ?? []), `${m.code} ${m.pointer}: ${m.message}`]);
  return out;
}

/** @param {string} file */
export const errors = async (file) => [...(await problems(join(folder, file))).values()].flat();

/** Why tests on real models are left out, false: they are there. */
export const without = existsSync(models) ? false : 'no folder of real models beside the repository';

/** The kinds of errors that a model's own file has. @param {string} file */
export const had = async (file) => new Set((await problems(file)).keys());
