import { h, must } from './dom.js';
import { desk, on } from './desk.js';
import { bytes, count, metres, point } from './words.js';
import { saveJSON } from './save.js';

/** The file's own facts, as a dialog on a wide window and as the fourth sheet on a narrow one. */
export function mountFileSheet() {
  must('file-name').addEventListener('click', () => {
    must('facts-body').replaceChildren(list());
    /** @type {HTMLDialogElement} */ (must('facts')).showModal();
  });
  const sheet = () => {
    must('file-sheet').replaceChildren(
      h('p', { class: 'row' }, act('open', 'Open a file…', 'btn lead'), act('reread', 'Read again', 'btn'), act('sample', 'Sample figure', 'btn')),
      h('p', { class: 'row' }, act('paper', '', 'btn'), act('help', 'Keys', 'btn'), h('button', { class: 'btn', type: 'button', click: saveJSON }, 'Save the findings (JSON)')),
      h('p', { class: 'row' }, act('vow', 'Nothing leaves this machine', 'text')), list());
    const night = document.querySelector('.vow [data-act="paper"]')?.textContent ?? '';
    for (const b of must('file-sheet').querySelectorAll('[data-act="paper"]')) b.textContent = night;
  };
  on('figure', sheet);
}

/** @param {string} name @param {string} words @param {string} cls */
const act = (name, words, cls) => h('button', { class: cls, type: 'button', 'data-act': name }, words);

function list() {
  const f = desk.figure;
  if (!f) return h('p', { class: 'prose' }, 'No file is open.');
  return h('dl', { class: 'facts' }, ...rows(f.file, f.doc.facts_of?.intake ?? {}).flatMap(([k, v]) => [h('dt', {}, k), h('dd', {}, v)]));
}

/** @param {any} file @param {any} i facts of the intake @returns {[string, string][]} */
export function rows(file, i) {
  const has = (/** @type {any} */ v) => v !== undefined && v !== null;
  const names = (/** @type {string[]|undefined} */ n) => (n?.length ? n.join(', ') : 'none');
  /** @type {[string, any][]} */
  const all = [
    ['name', file.name], ['size', has(file.bytes) && `${bytes(file.bytes)} (${count(file.bytes)} bytes)`], ['kind', file.kind && `${file.kind}, version ${file.version || 'not said'}`],
    ['written by', file.generator || 'not said'], ['extensions used', names(file.extensions_used)], ['extensions required', names(file.extensions_required)],
    ['read with', file.remarks?.length && file.remarks.join('; ')],
    ['height', has(i.height) && metres(i.height)], ['diagonal', has(i.diagonal) && metres(i.diagonal)], ['lowest corner', i.min && `${point(i.min)} m`], ['highest corner', i.max && `${point(i.max)} m`],
    ['faces', i.facing && point(i.facing)], ['unit, by its size', i.unit_guess],
    ['vertices', has(i.vertices) && count(i.vertices)], ['triangles', has(i.triangles) && count(i.triangles)], ['surfaces', has(i.surfaces) && `${count(i.surfaces)}, ${count(i.primitives ?? 0)} primitives`],
    ['skins', has(i.skins) && count(i.skins)], ['joints', has(i.joints) && `${count(i.joints)} of ${count(i.nodes ?? 0)} nodes`], ['clips', has(i.clips) && count(i.clips)], ['morph targets', has(i.morph_targets) && count(i.morph_targets)],
    ['materials', has(i.materials) && `${count(i.materials)}, ${count(i.images ?? 0)} images, ${bytes(i.texture_bytes_decoded ?? 0)} decoded`],
  ];
  return all.filter(([, v]) => typeof v === 'string' && v !== '');
}
