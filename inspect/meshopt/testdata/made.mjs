// Makes made.json.gz: streams by the encoder of the npm package meshoptimizer, and what its
// decoder answers for them. Called from site: node ../inspect/meshopt/testdata/made.mjs
import { createRequire } from 'node:module';
import { writeFileSync } from 'node:fs';
import { gzipSync } from 'node:zlib';
import { pathToFileURL } from 'node:url';
const from = createRequire(process.cwd() + '/');
const load = async (name) => await import(pathToFileURL(from.resolve(name)).href);
const { MeshoptEncoder: E } = await load('meshoptimizer/encoder');
const { MeshoptDecoder: D } = await load('meshoptimizer/decoder');
await E.ready; await D.ready;

let seed = 7;
const random = () => { seed = (Math.imul(seed, 1103515245) + 12345) >>> 0; return (seed >>> 8) / 2 ** 24; };
const text = (a) => Buffer.from(a.buffer, a.byteOffset, a.byteLength).toString('base64');
const bytes = (a) => new Uint8Array(a.buffer, a.byteOffset, a.byteLength);
const out = [];

/** One stream and what it stands for, which the package's own decoder says. */
function add(mode, count, stride, packed, filter) {
  const want = new Uint8Array(count * stride);
  D.decodeGltfBuffer(want, count, stride, packed, mode, filter ?? 'NONE');
  out.push({ mode, filter: filter ?? '', count, stride, packed: text(packed), want: text(want) });
}

const shapes = {
  zero: () => 0,
  random: () => random() * 256,
  smooth: (i, k) => i * (k % 5) + random() * 3,
  rare: () => (random() < 0.05 ? random() * 256 : 0),
  steps: (i, k) => (k % 2 ? 0 : i >> 3),
};
for (const [count, stride] of [[1, 4], [15, 8], [16, 12], [17, 16], [255, 12], [257, 64], [300, 20], [40, 256]]) {
  for (const shape of Object.values(shapes)) {
    const a = new Uint8Array(count * stride);
    for (let i = 0; i < a.length; i++) a[i] = shape(Math.floor(i / stride), i % stride);
    for (const version of [0, 1]) add('ATTRIBUTES', count, stride, E.encodeGltfBuffer(a, count, stride, 'ATTRIBUTES', version));
    add('ATTRIBUTES', count, stride, E.encodeVertexBufferLevel(a, count, stride, 3, 1));
  }
}
// Pairs and floats that change slowly, so that version 1 takes deltas of 16 bits and of differing bits.
for (const n of [50, 300]) {
  const shorts = Uint16Array.from({ length: n * 4 }, (_, i) => 300 * i + random() * 40);
  const floats = Float32Array.from({ length: n * 3 }, (_, i) => Math.sin(i / 90) + random() * 1e-3);
  for (const level of [0, 2, 3]) {
    add('ATTRIBUTES', n, 8, E.encodeVertexBufferLevel(bytes(shorts), n, 8, level, 1));
    add('ATTRIBUTES', n, 12, E.encodeVertexBufferLevel(bytes(floats), n, 12, level, 1));
  }
}
const unit = (n, size) => Float32Array.from(Array.from({ length: n }, () => {
  const v = Array.from({ length: size }, () => random() * 2 - 1);
  const l = Math.hypot(...v) || 1;
  return v.map((x) => x / l);
}).flat());
const n = 120;
for (const bits of [4, 8]) add('ATTRIBUTES', n, 4, E.encodeGltfBuffer(E.encodeFilterOct(fourth(unit(n, 3)), n, 4, bits), n, 4, 'ATTRIBUTES', 0), 'OCTAHEDRAL');
for (const bits of [10, 12, 16]) add('ATTRIBUTES', n, 8, E.encodeGltfBuffer(E.encodeFilterOct(fourth(unit(n, 3)), n, 8, bits), n, 8, 'ATTRIBUTES', 1), 'OCTAHEDRAL');
for (const bits of [6, 11, 16]) add('ATTRIBUTES', n, 8, E.encodeGltfBuffer(E.encodeFilterQuat(unit(n, 4), n, 8, bits), n, 8, 'ATTRIBUTES', 0), 'QUATERNION');
for (const bits of [8, 15, 24]) add('ATTRIBUTES', n, 12, E.encodeGltfBuffer(E.encodeFilterExp(Float32Array.from({ length: 3 * n }, () => (random() - 0.5) * 10 ** (random() * 12 - 6)), n, 12, bits), n, 12, 'ATTRIBUTES', 1), 'EXPONENTIAL');
for (const [stride, bits] of [[4, 5], [4, 8], [8, 9], [8, 16]]) add('ATTRIBUTES', n, stride, E.encodeGltfBuffer(E.encodeFilterColor(Float32Array.from({ length: 4 * n }, random), n, stride, bits), n, stride, 'ATTRIBUTES', 1), 'COLOR');

/** Three components with a one as the fourth. */
function fourth(v) {
  const to = new Float32Array(v.length / 3 * 4);
  for (let i = 0; i < v.length / 3; i++) to.set([v[3 * i], v[3 * i + 1], v[3 * i + 2], i % 2 ? 1 : -1], 4 * i);
  return to;
}

const grid = (n) => { const t = []; for (let y = 0; y < n; y++) for (let x = 0; x < n; x++) { const i = y * (n + 1) + x; t.push(i, i + 1, i + n + 1, i + 1, i + n + 2, i + n + 1); } return t; };
const sizes = { 2: Uint16Array, 4: Uint32Array };
for (const size of [2, 4]) {
  for (const list of [grid(1), grid(9), grid(20), Array.from({ length: 300 }, () => Math.floor(random() * 200)), [0, 1, 2, 2, 1, 3, 0, 1, 2, 7, 7, 7], [...grid(4), ...grid(4)]]) {
    const a = bytes(sizes[size].from(list));
    add('TRIANGLES', list.length, size, E.encodeGltfBuffer(a, list.length, size, 'TRIANGLES'));
    add('INDICES', list.length, size, E.encodeGltfBuffer(a, list.length, size, 'INDICES'));
  }
}
writeFileSync(new URL('made.json.gz', import.meta.url), gzipSync(`[\n${out.map((o) => JSON.stringify(o)).join(',\n')}\n]\n`, { level: 9 }));
console.log(`${out.length} streams`);
