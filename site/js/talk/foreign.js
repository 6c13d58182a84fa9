// What people have besides glTF and BVH, told by the ending of its name alone, and how glTF is got out of it.

/** @typedef {{endings: string[], says: (one: boolean) => string}} Kind */

/** @type {Kind[]} */
const KINDS = [
  {
    // the scene of one program, which only that program reads whole
    endings: ['blend', 'max', 'ma', 'mb', 'c4d', 'lwo', 'lws', 'lxo', 'hip', 'ztl', 'zpr', 'mud', 'spp', '3dm', 'skp'],
    says: (one) => (one ? 'It is a working file of the program that wrote it: open it there and export it as glTF 2.0, one .glb with skin and clips.' : 'They are working files of the programs that wrote them: open each there and export it as glTF 2.0, one .glb with skin and clips.'),
  },
  {
    // made to be exchanged, with a skeleton where there is one
    endings: ['fbx', 'dae', 'usd', 'usda', 'usdc', 'usdz', 'x3d', 'wrl', 'x', 'b3d', 'ms3d', 'md5mesh', 'smd', 'iqm'],
    says: (one) => `Export ${one ? 'it' : 'them'} as glTF, best as one .glb with skin and clips, where ${one ? 'it was' : 'they were'} made, or in any program that reads ${one ? 'it' : 'them'} and writes glTF 2.0.`,
  },
  {
    // a surface alone
    endings: ['obj', 'stl', 'ply', '3ds', 'off', '3mf', 'abc', 'vox', 'step', 'stp', 'iges', 'igs', 'dxf'],
    says: (one) => `Export ${one ? 'it' : 'them'} as glTF (.glb) where ${one ? 'it was' : 'they were'} made. ${one ? 'It holds' : 'They hold'} no joints: what can be told then is whether ${one ? 'it is' : 'they are'} ready to be bound.`,
  },
  {
    // figures of one player, with joints
    endings: ['pmx', 'pmd', 'mdl', 'mdx', 'nif', 'gr2', 'cgf', 'psk', 'md2', 'md3'],
    says: (one) => `${one ? 'It is a figure' : 'They are figures'} made for one player: read ${one ? 'it' : 'them'} into a modelling program that can, and export glTF 2.0 there, one .glb with skin and clips.`,
  },
  {
    // motion
    endings: ['amc', 'asf', 'c3d', 'trc', 'vmd', 'htr', 'anim', 'vrma', 'psa', 'md5anim', 'mot'],
    says: (one) => `${one ? 'It holds' : 'They hold'} motion: export ${one ? 'it' : 'them'} as BVH, or as clips of a .glb, and drop that once the figure is open.`,
  },
  {
    // packed
    endings: ['rar', '7z', 'tar', 'gz', 'tgz', 'bz2', 'xz', 'zst'],
    says: (one) => `${one ? 'It is' : 'They are'} packed: unpack ${one ? 'it' : 'them'}, and drop the folder, or a .zip of it.`,
  },
];

/** @param {string} ending */
export const isForeign = (ending) => KINDS.some((k) => k.endings.includes(ending));

/** What each kind among foreign files takes. @param {string[]} endings in small letters */
export const howToBring = (endings) =>
  KINDS.map((k) => ({ k, n: endings.filter((e) => k.endings.includes(e)).length })).filter(({ n }) => n > 0).map(({ k, n }) => k.says(n === 1)).join(' ');
