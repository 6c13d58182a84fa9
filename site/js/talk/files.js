import { howToBring, isForeign } from './foreign.js';

// From a drop or a picker to the files of one figure.

/** @typedef {{name: string, file: File, handle: any|null}} Source name: with the folders it was dropped in */

const MODELS = ['glb', 'gltf', 'vrm', 'zip'];
const CAPTURE = 'bvh'; // opened as the figure where no model is among the files
const SIDES = ['bin', 'png', 'jpg', 'jpeg', 'webp', 'ktx2', 'gif', 'bmp', 'tga'];

/** @param {string} name */
export const ending = (name) => (/\.([^./\\]+)$/.exec(name)?.[1] ?? '').toLowerCase();

/**
 * Which dropped file is the figure, what may belong to it, and what is left aside.
 * A .gltf that lies highest wins, then the first by name; held are files of a figure that lacked some.
 * @param {Source[]} dropped @param {Source[]} [held]
 * @returns {{figure: Source|null, sides: Source[], others: string[], stray: string[]}}
 */
export function sort(dropped, held = []) {
  const hidden = (/** @type {string} */ n) => n.split('/').some((p) => p.startsWith('.') || p === '__MACOSX');
  const seen = dropped.filter((s) => !hidden(s.name));
  const depth = (/** @type {Source} */ s) => s.name.split('/').length;
  const figures = seen.filter((s) => MODELS.includes(ending(s.name))).sort((a, b) => depth(a) - depth(b) || a.name.localeCompare(b.name));
  if (figures.length === 0 && held.length === 0)
    figures.push(...seen.filter((s) => ending(s.name) === CAPTURE).sort((a, b) => depth(a) - depth(b) || a.name.localeCompare(b.name)));
  const sides = seen.filter((s) => SIDES.includes(ending(s.name)));
  const stray = seen.filter((s) => !figures.includes(s) && !SIDES.includes(ending(s.name))).map((s) => s.name);
  if (figures.length === 0 && held.length > 0) {
    const added = new Map([...held.slice(1), ...sides].map((s) => [s.name, s]));
    return { figure: held[0], sides: [...added.values()], others: [], stray };
  }
  return { figure: figures[0] ?? null, sides, others: figures.slice(1).map((s) => s.name), stray };
}

/**
 * Every model among dropped files, each with the files that may belong to it: of a .gltf those in its own folder and below.
 * @param {Source[]} dropped @returns {Source[][]} the model first
 */
export function models(dropped) {
  const hidden = (/** @type {string} */ n) => n.split('/').some((p) => p.startsWith('.') || p === '__MACOSX');
  const seen = dropped.filter((s) => !hidden(s.name));
  const folder = (/** @type {Source} */ s) => s.name.slice(0, s.name.lastIndexOf('/') + 1);
  return seen
    .filter((s) => MODELS.includes(ending(s.name)))
    .map((m) => [m, ...(ending(m.name) === 'gltf' ? seen.filter((s) => SIDES.includes(ending(s.name)) && s.name.startsWith(folder(m))) : [])]);
}

/**
 * Plans and proof sheets among dropped files. Beside a figure only what is named as one: a folder may hold any text.
 * @param {Source[]} dropped @returns {{plans: Source[], rest: Source[]}}
 */
export function plansOf(dropped) {
  const seen = dropped.filter((s) => !s.name.split('/').some((p) => p.startsWith('.') || p === '__MACOSX'));
  const alone = seen.length > 0 && seen.every((s) => ['json', 'html', 'htm'].includes(ending(s.name)));
  const plans = alone ? seen : seen.filter((s) => /[.]plan[.]json$|-proof[.]html?$/i.test(s.name));
  return { plans, rest: dropped.filter((s) => !plans.includes(s) && !(alone && !seen.includes(s))) };
}

/** The files that may belong to a model. @param {Source[]} dropped */
export const sidesOf = (dropped) => dropped.filter((s) => SIDES.includes(ending(s.name)));

/** What is said about files that were left aside. @param {{figure: Source|null, sides: Source[], others: string[], stray: string[]}} s */
export function asideWords(s) {
  const names = (/** @type {string[]} */ n) => (n.length > 3 ? `${n.slice(0, 3).join(', ')} and ${n.length - 3} more` : n.join(', '));
  const out = [];
  if (!s.figure && s.sides.length > 0)
    out.push(
      `${names(s.sides.map((x) => x.name))} ${s.sides.length === 1 ? 'belongs' : 'belong'} to a figure; drop its .gltf with ${s.sides.length === 1 ? 'it' : 'them'}.`,
    );
  if (s.others.length > 0) out.push(`${names(s.others)} left aside: one figure at a time.`);
  const motion = s.stray.filter((n) => ending(n) === 'bvh'),
    foreign = s.stray.filter((n) => isForeign(ending(n))),
    rest = s.stray.filter((n) => ending(n) !== 'bvh' && !isForeign(ending(n)));
  if (foreign.length > 0) out.push(`${names(foreign)} cannot be read here: only glTF 2.0 and BVH can. ${howToBring(foreign.map(ending))}`);
  if (motion.length > 0) out.push(`${names(motion)} left aside: drop ${motion.length === 1 ? 'it' : 'one'} once the figure is open, to use it as motion.`);
  if (rest.length > 0) out.push(`${names(rest)} left aside: no part of a figure.`);
  if (rest.length > 0 && !s.figure && s.sides.length + motion.length + foreign.length === 0) out.push('Drop a .glb, .gltf, .vrm or .bvh, or a folder or a .zip with one in it.');
  return out.join(' ');
}

/**
 * All files of a drop; folders are walked. Must be called inside the event: items are gone after it.
 * @param {DataTransfer} data @returns {Promise<{sources: Source[], refused: string[]}>} refused: folders the browser keeps shut
 */
export async function ofDrop(data) {
  const items = [...data.items]
    .filter((i) => i.kind === 'file')
    .map((i) => ({
      entry: i.webkitGetAsEntry?.() ?? null,
      file: i.getAsFile(),
      handle: 'getAsFileSystemHandle' in i ? /** @type {any} */ (i).getAsFileSystemHandle().catch(() => null) : null,
    }));
  /** @type {Source[]} */
  const sources = [];
  const refused = [];
  for (const { entry, file, handle } of items) {
    if (entry?.isDirectory) {
      try {
        await walk(/** @type {FileSystemDirectoryEntry} */ (entry), sources);
      } catch {
        // a page opened from disk may not look into folders
        refused.push(entry.name);
      }
    } else if (file) {
      const h = await handle;
      sources.push({ name: file.name, file, handle: h?.kind === 'file' ? h : null });
    }
  }
  return { sources, refused };
}

/** @param {FileSystemDirectoryEntry} dir @param {Source[]} out */
async function walk(dir, out) {
  const reader = dir.createReader();
  for (;;) {
    // a call answers a hundred at most
    const batch = await /** @type {Promise<FileSystemEntry[]>} */ (
      new Promise((yes, no) => {
        reader.readEntries(yes, no);
      })
    );
    if (batch.length === 0) return;
    for (const e of batch) {
      if (e.isDirectory) await walk(/** @type {FileSystemDirectoryEntry} */ (e), out);
      else {
        const file = await /** @type {Promise<File>} */ (
          new Promise((yes, no) => {
            /** @type {FileSystemFileEntry} */ (e).file(yes, no);
          })
        );
        out.push({ name: e.fullPath.replace(/^\//, ''), file, handle: null });
      }
    }
  }
}

/** Asks for files; keeps the handles where the browser gives them, so that they can be read again. @param {HTMLInputElement} picker @returns {Promise<Source[]>} */
export async function ofPicker(picker) {
  const ask = /** @type {any} */ (window).showOpenFilePicker;
  if (ask && !navigator.webdriver) {
    try {
      const handles = await ask({ multiple: true });
      return await Promise.all(
        handles.map(async (/** @type {any} */ handle) => {
          const file = await handle.getFile();
          return { name: file.name, file, handle };
        }),
      );
    } catch (e) {
      if (/** @type {Error} */ (e).name === 'AbortError') return [];
    }
  }
  return new Promise((done) => {
    picker.value = '';
    picker.onchange = () => done([...(picker.files ?? [])].map((file) => ({ name: file.webkitRelativePath || file.name, file, handle: null })));
    picker.oncancel = () => done([]);
    picker.click();
  });
}

/** The files as they are on the disk now. @param {Source[]} sources */
export const again = (sources) => Promise.all(sources.map(async (s) => (s.handle ? { ...s, file: await s.handle.getFile() } : s)));
