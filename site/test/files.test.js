import assert from 'node:assert/strict';
import { test } from 'node:test';
import { asideWords, ending, models, ofDrop, sort } from '../js/talk/files.js';

const s = (name) => ({ name, file: { name }, handle: null });
const of = (...names) => names.map(s);

test('which file is the figure', () => {
  for (const [names, figure, what] of [
    [['a.png', 'coat.gltf', 'coat.bin'], 'coat.gltf', 'with its files'],
    [['x/y/b.glb', 'x/a.glb'], 'x/a.glb', 'the highest'],
    [['b.GLB', 'a.VRM'], 'a.VRM', 'by name, any case'],
    [['__MACOSX/a.glb', '.hidden.glb', 'c.glb'], 'c.glb', 'what a system leaves behind is not one'],
    [['a.txt'], null, 'none'],
    [['робот.glb'], 'робот.glb', 'any script'],
  ])
    assert.equal(sort(of(...names)).figure?.name ?? null, figure, what);
});

test('what is missing is added to what is held', () => {
  const held = of('coat.gltf', 'coat.bin');
  const got = sort(of('coat.png', 'notes.txt'), held);
  assert.deepEqual([got.figure?.name, got.sides.map((x) => x.name), got.stray], ['coat.gltf', ['coat.bin', 'coat.png'], ['notes.txt']]);
  assert.equal(sort(of('other.glb'), held).figure?.name, 'other.glb');
  assert.equal(sort(of('coat.bin'), held).sides.length, 1);
});

test('motion capture is the figure where no model is', () => {
  assert.equal(sort(of('walk.BVH', 'notes.txt')).figure?.name, 'walk.BVH');
  assert.equal(sort(of('a.bvh', 'z.glb')).figure?.name, 'z.glb');
});

test('several models, each with what belongs to it', () => {
  const names = (list) => models(of(...list)).map((m) => m.map((x) => x.name).join('+'));
  for (const [list, want, what] of [
    [['b.glb', 'a.vrm', 'notes.txt'], ['b.glb', 'a.vrm'], 'in the order they came'],
    [['x/c.gltf', 'x/c.bin', 'x/tex/c.png', 'y/d.gltf', 'y/d.bin', 'e.glb'], ['x/c.gltf+x/c.bin+x/tex/c.png', 'y/d.gltf+y/d.bin', 'e.glb'], 'by folder'],
    [['c.gltf', 'c.bin', 'd.gltf', 'd.bin'], ['c.gltf+c.bin+d.bin', 'd.gltf+c.bin+d.bin'], 'of one folder: the reader takes what it names'],
    [['a.bvh', '.a.glb'], [], 'motion and hidden files are no models'],
  ])
    assert.deepEqual(names(list), want, what);
});

test('what is left aside is said', () => {
  assert.equal(
    asideWords(sort(of('a.glb', 'b.glb', 'notes.txt'))),
    'b.glb left aside: one figure at a time. notes.txt left aside: no part of a figure.',
  );
  assert.equal(asideWords(sort(of('coat.bin'))), 'coat.bin belongs to a figure; drop its .gltf with it.');
  assert.equal(asideWords(sort(of('walk.bvh', 'a.glb'))), 'walk.bvh left aside: drop it once the figure is open, to use it as motion.');
  assert.equal(asideWords(sort(of('a.glb'))), '');
});

test('endings', () => assert.deepEqual([ending('a.GLB'), ending('x.y/z'), ending('a.tar.gz'), ending('plain')], ['glb', '', 'gz', '']));

/** A folder that answers at most two entries a call, as browsers answer a hundred. */
function folder(path, entries, fails = false) {
  const name = path.split('/').at(-1);
  return {
    isDirectory: true,
    name,
    fullPath: path,
    createReader: () => {
      let at = 0;
      return { readEntries: (yes, no) => (fails ? no(new Error('EncodingError')) : yes(entries.slice(at, (at += 2)))) };
    },
  };
}
const leaf = (path) => ({ isDirectory: false, fullPath: path, file: (yes) => yes({ name: path.split('/').at(-1) }) });
const item = (entry, file) => ({ kind: 'file', webkitGetAsEntry: () => entry, getAsFile: () => file });

test('a dropped folder is walked to its end', async () => {
  const tree = folder('/robot', [
    leaf('/robot/a.gltf'),
    leaf('/robot/a.bin'),
    folder('/robot/tex', [leaf('/robot/tex/1.png'), leaf('/robot/tex/2.png'), leaf('/robot/tex/3.png')]),
    leaf('/robot/b.txt'),
    leaf('/robot/c.txt'),
  ]);
  const { sources, refused } = await ofDrop({ items: [item(tree, { name: 'robot', size: 4096 }), { kind: 'string' }] });
  assert.deepEqual(
    sources.map((x) => x.name),
    ['robot/a.gltf', 'robot/a.bin', 'robot/tex/1.png', 'robot/tex/2.png', 'robot/tex/3.png', 'robot/b.txt', 'robot/c.txt'],
  );
  assert.deepEqual(refused, []);
});

test('a folder that stays shut is named; files beside it come, and a drop without entries too', async () => {
  const { sources, refused } = await ofDrop({ items: [item(folder('/shut', [], true), { name: 'shut' }), item(null, { name: 'a.glb' })] });
  assert.deepEqual([sources.map((x) => x.name), refused], [['a.glb'], ['shut']]);
});

test('a model in another format is told what to do', () => {
  const one = asideWords(sort([{ name: 'boat.fbx' }]));
  assert.match(one, /boat\.fbx cannot be read here/);
  assert.match(one, /Export it as glTF/);
  assert.match(asideWords(sort([{ name: 'a.OBJ' }, { name: 'b.obj' }])), /Export them as glTF/);
  const mixed = asideWords(sort([{ name: 'a.stl' }, { name: 'notes.txt' }]));
  assert.match(mixed, /a\.stl cannot be read here.*notes\.txt left aside: no part of a figure/);
});

// Endings that people have, by what stands in such a file (common practice, no source), and a word that its way to glTF needs.
test('a file of another kind is told its way', () => {
  for (const [endings, way] of [
    ['blend max ma mb c4d lwo', /working file of the program that wrote it: open it there and export it as glTF 2\.0/],
    ['fbx dae usd usda usdc usdz x3d', /Export it as glTF, best as one \.glb with skin and clips/],
    ['obj stl ply 3ds', /Export it as glTF \(\.glb\).*no joints.*ready to be bound/],
    ['pmx pmd', /made for one player.*export glTF 2\.0/],
    ['amc c3d vmd trc', /holds motion: export it as BVH/],
    ['rar 7z tar gz', /packed: unpack it, and drop the folder, or a \.zip/],
  ])
    for (const e of endings.split(' '))
      for (const name of [`man.${e}`, `man.${e.toUpperCase()}`]) {
        const says = asideWords(sort(of(name)));
        assert.match(says, way, name);
        assert.ok(says.startsWith(`${name} cannot be read here: only glTF 2.0 and BVH can.`), says);
      }
  assert.match(asideWords(sort(of('a.blend', 'b.max'))), /working files of the programs/);
  const two = asideWords(sort(of('a.obj', 'b.blend')));
  assert.match(two, /a\.obj, b\.blend cannot be read here/);
  assert.match(two, /open it there.*Export it as glTF \(\.glb\)/);
  // What is read is not sent away, and what is none of either is told what to drop.
  for (const e of ['glb', 'gltf', 'vrm', 'zip', 'bvh', 'GLB', 'png']) assert.doesNotMatch(asideWords(sort(of(`a.${e}`))), /cannot be read/, e);
  for (const e of ['txt', 'pdf', 'mp4', 'docx', 'html5']) assert.match(asideWords(sort(of(`a.${e}`))), /no part of a figure\. Drop a \.glb, \.gltf, \.vrm or \.bvh, or a folder or a \.zip with one in it\.$/, e);
  assert.doesNotMatch(asideWords(sort(of('notes.txt', 'a.glb'))), /Drop a/);
});
