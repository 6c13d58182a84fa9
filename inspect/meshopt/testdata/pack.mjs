// Packs every buffer view of a GLB that accessors read by the encoder of the npm package
// meshoptimizer, without loss but for the turn of triangles, and with exact for that too:
// node pack.mjs IN.glb OUT.glb [EXT|KHR] [fallback] [exact], from a folder
// that has the package.
import { createRequire } from 'node:module';
import { readFileSync, writeFileSync } from 'node:fs';
import { pathToFileURL } from 'node:url';
const from = createRequire(process.cwd() + '/');
const { MeshoptEncoder: E } = await import(pathToFileURL(from.resolve('meshoptimizer/encoder')).href);
await E.ready;
const [, , source, target, kind = 'EXT'] = process.argv;
const copy = process.argv.includes('fallback');
const name = `${kind}_meshopt_compression`;
const file = readFileSync(source);
const size = file.readUInt32LE(12);
const doc = JSON.parse(file.subarray(20, 20 + size).toString());
const bin = file.subarray(28 + size);
const widths = { SCALAR: 1, VEC2: 2, VEC3: 3, VEC4: 4, MAT4: 16 };
const bytes = { 5120: 1, 5121: 1, 5122: 2, 5123: 2, 5125: 4, 5126: 4 };
const uses = doc.bufferViews.map(() => []);
for (const [i, a] of doc.accessors.entries()) {
  if (a.bufferView !== undefined) uses[a.bufferView].push(a);
  if (a.sparse) for (const part of [a.sparse.indices, a.sparse.values]) uses[part.bufferView].push(null);
}
const isIndex = new Set(doc.meshes.flatMap((m) => m.primitives.map((p) => p.indices)).filter((i) => i !== undefined).map((i) => doc.accessors[i]));
const parts = [];
let at = 0;
const put = (b) => { const begin = at; parts.push(b); at += b.length; const pad = -at & 3; parts.push(Buffer.alloc(pad)); at += pad; return begin; };
const plain = copy ? Buffer.from(bin) : null;
let packed = 0;
doc.bufferViews.forEach((v, i) => {
  const data = new Uint8Array(bin.subarray(v.byteOffset ?? 0, (v.byteOffset ?? 0) + v.byteLength));
  const a = uses[i][0];
  let stride = v.byteStride ?? (a ? widths[a.type] * bytes[a.componentType] : 0);
  const index = a && uses[i].every((x) => isIndex.has(x));
  let mode = index ? (v.byteLength / stride % 3 ? 'INDICES' : 'TRIANGLES') : 'ATTRIBUTES';
  if (index && stride === 1) stride = 0;
  if (mode === 'ATTRIBUTES' && stride % 4) stride = v.byteLength % 4 ? 0 : 4;
  if (!a || uses[i].includes(null) || !stride || stride > 256 || v.byteLength % stride) {
    v.byteOffset = put(data);
    return;
  }
  // The triangles of a list may be turned round by their mode; every other mode is exact.
  if (mode === 'TRIANGLES' && process.argv.includes('exact')) mode = 'INDICES';
  const count = v.byteLength / stride;
  const stream = E.encodeGltfBuffer(data, count, stride, mode, kind === 'KHR' ? 1 : 0);
  v.extensions = { ...v.extensions, [name]: { buffer: 0, byteOffset: put(stream), byteLength: stream.length, byteStride: stride, mode, count } };
  v.buffer = 1;
  packed++;
});
doc.buffers = [{ byteLength: at }, { byteLength: bin.length, ...(copy ? { uri: `data:application/octet-stream;base64,${plain.toString('base64')}` } : {}), extensions: { [name]: { fallback: true } } }];
doc.extensionsUsed = [...(doc.extensionsUsed ?? []), name];
if (!copy) doc.extensionsRequired = [...(doc.extensionsRequired ?? []), name];
let text = Buffer.from(JSON.stringify(doc));
text = Buffer.concat([text, Buffer.alloc(-text.length & 3, 32)]);
const body = Buffer.concat(parts);
const head = (length, type) => { const b = Buffer.alloc(8); b.writeUInt32LE(length, 0); b.writeUInt32LE(type, 4); return b; };
const all = Buffer.concat([head(text.length, 0x4E4F534A), text, head(body.length, 0x004E4942), body]);
const first = Buffer.alloc(12);
first.write('glTF'); first.writeUInt32LE(2, 4); first.writeUInt32LE(12 + all.length, 8);
writeFileSync(target, Buffer.concat([first, all]));
console.log(`${packed} of ${doc.bufferViews.length} views packed, ${file.length} to ${12 + all.length} bytes`);
