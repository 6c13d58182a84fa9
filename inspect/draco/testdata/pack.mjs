// Packs every primitive of triangles of a GLB by the encoder of the npm package draco3dgltf:
// node pack.mjs IN.glb OUT.glb [sequential] [exact|bits=14] [fallback], from a folder that has
// the package. sequential: vertices and triangles keep their order, as they do where there are morph targets;
// exact: no number is rounded; fallback: the plain numbers stay beside the packed ones.
import { createRequire } from 'node:module';
import { readFileSync, writeFileSync } from 'node:fs';
const draco = createRequire(process.cwd() + '/')('draco3dgltf');
const [, , source, target, ...ways] = process.argv;
const E = await draco.createEncoderModule({}), D = await draco.createDecoderModule({});
const file = readFileSync(source);
const size = file.readUInt32LE(12);
const doc = JSON.parse(file.subarray(20, 20 + size).toString());
const bin = file.subarray(28 + size);
const name = 'KHR_draco_mesh_compression';
const widths = { SCALAR: 1, VEC2: 2, VEC3: 3, VEC4: 4, MAT4: 16 };
const lists = { 5120: Int8Array, 5121: Uint8Array, 5122: Int16Array, 5123: Uint16Array, 5125: Uint32Array, 5126: Float32Array };
const adds = { 5120: 'AddInt8Attribute', 5121: 'AddUInt8Attribute', 5122: 'AddInt16Attribute', 5123: 'AddUInt16Attribute', 5126: 'AddFloatAttribute' };
const kinds = { POSITION: E.POSITION, NORMAL: E.NORMAL, TEXCOORD: E.TEX_COORD, COLOR: E.COLOR };
const bits = Number(ways.find((w) => w.startsWith('bits='))?.slice(5) ?? 14);
const read = (a) => {
  const v = doc.bufferViews[a.bufferView], T = lists[a.componentType], n = widths[a.type];
  const stride = v.byteStride ?? n * T.BYTES_PER_ELEMENT, out = new T(a.count * n);
  for (let i = 0; i < a.count; i++) {
    const from = (v.byteOffset ?? 0) + (a.byteOffset ?? 0) + i * stride;
    out.set(new T(new Uint8Array(bin.subarray(from, from + n * T.BYTES_PER_ELEMENT)).buffer), i * n);
  }
  return out;
};
const streams = [], done = new Map();
let at = bin.length, packed = 0;
for (const mesh of doc.meshes) for (const p of mesh.primitives) {
  if ((p.mode ?? 4) !== 4) continue;
  const same = JSON.stringify([p.attributes, p.indices]);
  if (!done.has(same)) {
    const builder = new E.MeshBuilder(), m = new E.Mesh();
    const position = doc.accessors[p.attributes.POSITION];
    const corners = p.indices === undefined ? Uint32Array.from({ length: position.count }, (_, i) => i) : Uint32Array.from(read(doc.accessors[p.indices]));
    builder.AddFacesToMesh(m, corners.length / 3, corners);
    const ids = {};
    for (const [k, i] of Object.entries(p.attributes)) {
      const a = doc.accessors[i];
      if (a.sparse || a.bufferView === undefined) throw new Error(`${k} is no plain list`);
      ids[k] = builder[adds[a.componentType]](m, kinds[k.split('_')[0]] ?? E.GENERIC, a.count, widths[a.type], read(a));
    }
    const e = new E.ExpertEncoder(m);
    e.SetSpeedOptions(5, 5);
    e.SetEncodingMethod(ways.includes('sequential') || p.targets?.length ? E.MESH_SEQUENTIAL_ENCODING : E.MESH_EDGEBREAKER_ENCODING);
    if (!ways.includes('exact')) for (const [k, i] of Object.entries(p.attributes)) {
      if (doc.accessors[i].componentType === 5126) e.SetAttributeQuantization(ids[k], k === 'NORMAL' ? Math.min(bits, 12) : bits);
    }
    const out = new E.DracoInt8Array();
    const length = e.EncodeToDracoBuffer(false, out);
    if (length === 0) throw new Error('the encoder refuses');
    const stream = Buffer.from(Int8Array.from({ length }, (_, i) => out.GetValue(i)).buffer);
    const d = new D.Decoder(), back = new D.Mesh();
    if (!d.DecodeArrayToMesh(stream, length, back).ok()) throw new Error('the decoder refuses');
    const view = doc.bufferViews.push({ buffer: 0, byteOffset: at, byteLength: length }) - 1;
    streams.push(stream, Buffer.alloc(-length & 3));
    at += length + (-length & 3);
    const plain = (a, count) => ({ ...a, count, ...(ways.includes('fallback') ? {} : { bufferView: undefined, byteOffset: undefined }) });
    const attributes = {};
    for (const [k, i] of Object.entries(p.attributes)) attributes[k] = doc.accessors.push(plain(doc.accessors[i], back.num_points())) - 1;
    const indices = doc.accessors.push(plain(p.indices === undefined ? { componentType: 5125, type: 'SCALAR' } : doc.accessors[p.indices], 3 * back.num_faces())) - 1;
    done.set(same, { attributes, indices, extension: { bufferView: view, attributes: ids } });
  }
  const one = done.get(same);
  p.attributes = one.attributes;
  p.indices = one.indices;
  p.extensions = { ...p.extensions, [name]: one.extension };
  packed++;
}
// What nothing reads any more goes: accessors and views keep their places as empty of bytes as can be.
const used = new Set();
const use = (i) => { const a = doc.accessors[i]; if (a?.bufferView !== undefined) used.add(a.bufferView); if (a?.sparse) { used.add(a.sparse.indices.bufferView); used.add(a.sparse.values.bufferView); } };
const named = new Set();
const name1 = (i) => { if (i !== undefined) { named.add(i); use(i); } };
for (const m of doc.meshes) for (const p of m.primitives) {
  Object.values(p.attributes).forEach(name1);
  name1(p.indices);
  (p.targets ?? []).forEach((t) => Object.values(t).forEach(name1));
  if (p.extensions?.[name]) used.add(p.extensions[name].bufferView);
}
for (const s of doc.skins ?? []) name1(s.inverseBindMatrices);
for (const c of doc.animations ?? []) for (const s of c.samplers) { name1(s.input); name1(s.output); }
for (const i of doc.images ?? []) if (i.bufferView !== undefined) used.add(i.bufferView);
const whole = Buffer.concat([bin, ...streams]);
const parts = [], to = new Map();
let end = 0;
doc.bufferViews = doc.bufferViews.filter((v, i) => {
  if (!used.has(i)) return false;
  to.set(i, to.size);
  const data = whole.subarray(v.byteOffset ?? 0, (v.byteOffset ?? 0) + v.byteLength);
  v.byteOffset = end;
  parts.push(data, Buffer.alloc(-data.length & 3));
  end += data.length + (-data.length & 3);
  return true;
});
const number = new Map();
doc.accessors = doc.accessors.filter((a, i) => { if (!named.has(i)) return false; number.set(i, number.size); if (a.bufferView !== undefined) a.bufferView = to.get(a.bufferView); if (a.sparse) { a.sparse.indices.bufferView = to.get(a.sparse.indices.bufferView); a.sparse.values.bufferView = to.get(a.sparse.values.bufferView); } return true; });
const seen = new Set();
for (const m of doc.meshes) for (const p of m.primitives) {
  if (!seen.has(p.attributes)) { seen.add(p.attributes); for (const k in p.attributes) p.attributes[k] = number.get(p.attributes[k]); }
  if (p.indices !== undefined) p.indices = number.get(p.indices);
  for (const t of p.targets ?? []) for (const k in t) t[k] = number.get(t[k]);
  const x = p.extensions?.[name];
  if (x && !seen.has(x)) { seen.add(x); x.bufferView = to.get(x.bufferView); }
}
for (const s of doc.skins ?? []) if (s.inverseBindMatrices !== undefined) s.inverseBindMatrices = number.get(s.inverseBindMatrices);
for (const c of doc.animations ?? []) for (const s of c.samplers) { s.input = number.get(s.input); s.output = number.get(s.output); }
for (const i of doc.images ?? []) if (i.bufferView !== undefined) i.bufferView = to.get(i.bufferView);
doc.buffers = [{ byteLength: end }];
doc.extensionsUsed = [...(doc.extensionsUsed ?? []), name];
if (!ways.includes('fallback')) doc.extensionsRequired = [...(doc.extensionsRequired ?? []), name];
let text = Buffer.from(JSON.stringify(doc));
text = Buffer.concat([text, Buffer.alloc(-text.length & 3, 32)]);
const body = Buffer.concat(parts);
const head = (length, type) => { const b = Buffer.alloc(8); b.writeUInt32LE(length, 0); b.writeUInt32LE(type, 4); return b; };
const all = Buffer.concat([head(text.length, 0x4E4F534A), text, head(body.length, 0x004E4942), body]);
const first = Buffer.alloc(12);
first.write('glTF'); first.writeUInt32LE(2, 4); first.writeUInt32LE(12 + all.length, 8);
writeFileSync(target, Buffer.concat([first, all]));
console.log(`${packed} primitives packed, ${file.length} to ${12 + all.length} bytes`);
