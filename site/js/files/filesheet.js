import { h, must } from '../base/dom.js';
import { desk, on } from '../state/desk.js';
import { bus, memory } from '../programs/keep.js';
import { part } from '../base/slices.js';
import { bytes, count, metres, percent, plain, point, seconds, some } from '../base/words.js';
import { savePicture } from '../shared/stagepicture.js';
import { saveJSON } from '../shared/save.js';

/** The file's own facts, as a dialog on a wide window and as the fourth sheet on a narrow one. */
export function mountFileSheet() {
  must('file-name').addEventListener('click', () => {
    must('facts-body').replaceChildren(h('p', { class: 'row' }, h('button', { class: 'btn', type: 'button', 'data-act': 'part', 'data-tip': 'Surfaces of a second figure come onto this one, on trial', click: () => /** @type {HTMLDialogElement} */ (must('facts')).close() }, 'Part from a file…')), list());
    /** @type {HTMLDialogElement} */ (must('facts')).showModal();
  });
  const sheet = () => {
    must('file-sheet').replaceChildren(
      h('p', { class: 'row' }, act('open', 'Open a file…', 'btn lead'), act('motion', 'Motion from a file…', 'btn'), act('part', 'Part from a file…', 'btn'), act('reread', 'Read again', 'btn'), act('sample', 'Sample figure', 'btn'), act('lineup', 'Line-up', 'btn'), act('report', 'Report…', 'btn')),
      h(
        'p',
        { class: 'row' },
        act('paper', '', 'btn'),
        act('find', 'Search', 'btn'),
        act('help', 'Shortcuts', 'btn'),
        h('button', { class: 'btn', type: 'button', click: savePicture }, 'Save the picture'),
        h('button', { class: 'btn', type: 'button', click: saveJSON }, 'Save the findings (JSON)'),
      ),
      h('p', { class: 'row' }, act('vow', 'Nothing leaves this machine', 'text')),
      list(),
    );
    const night = document.querySelector('.vow [data-act="paper"]')?.textContent ?? '';
    for (const b of must('file-sheet').querySelectorAll('[data-act="paper"]')) b.textContent = night;
  };
  on('figure', part(sheet, must('file-sheet')).later); // it is seen on narrow windows only, under its tab
}

/** @param {string} name @param {string} words @param {string} cls */
const act = (name, words, cls) => h('button', { class: cls, type: 'button', 'data-act': name }, words);

/** All that was measured, station by station. */
function list() {
  const f = desk.figure;
  if (!f) return h('p', { class: 'prose' }, 'No file is open.');
  const of = f.doc.facts_of;
  const parts = [
    ['', rows(f.file, of.intake)],
    ['Surface', surfaceRows(of.surface)],
    ...skinRows(of.binding),
    ['Clips', clipRows(f.clips)],
    ['This page', [['memory it holds', memoryWords()]]],
  ];
  return h(
    'div',
    {},
    ...parts
      .filter(([, r]) => r.length > 0)
      .flatMap(([title, r]) => [
        title ? h('h3', {}, String(title)) : '',
        h(
          'dl',
          { class: 'facts' },
          .../** @type {[string, string][]} */ (r).flatMap(([k, v]) => [
            h('dt', {}, k),
            h('dd', k === 'memory it holds' ? { class: 'memory' } : {}, v),
          ]),
        ),
      ]),
  );
}

function memoryWords() {
  const m = memory();
  return `${bytes(m.examiner + m.stage)}: examiner ${bytes(m.examiner)}, stage ${bytes(m.stage)}`;
}
bus.addEventListener('memory', () => {
  for (const e of document.querySelectorAll('.memory')) e.textContent = memoryWords();
});

/** Rows that say something. @param {[string, string|false|null|undefined][]} all @returns {[string, string][]} */
const said = (all) => all.flatMap(([name, v]) => (v ? [/** @type {[string, string]} */ ([name, v])] : []));

/** The body's height, and that of the whole where gear sticks out of it. @param {number} whole metres @param {number} body metres */
const heightWords = (whole, body) => (whole - body > 0.005 * body ? `${metres(body)}; ${metres(whole)} with gear` : metres(body));

/** @param {Wire.File} file @param {Wire.IntakeFacts|undefined} i @returns {[string, string][]} */
export function rows(file, i) {
  const names = (/** @type {string[]} */ n) => (n.length > 0 ? n.join(', ') : 'none');
  return said([
    ['name', file.name],
    ['size', `${bytes(file.bytes)} (${count(file.bytes)} bytes)`],
    ['kind', `${file.kind}, version ${file.version ?? 'not said'}`],
    ['written by', file.generator ?? 'not said'],
    ['extensions used', names(file.extensions_used)],
    ['extensions required', names(file.extensions_required)],
    ['read with', file.remarks.join('; ')],
    ...(i ? intakeRows(i) : []),
  ]);
}

/** @param {Wire.IntakeFacts} i @returns {[string, string|null|false][]} */
const intakeRows = (i) => [
  ['height', heightWords(i.height, i.body_height ?? i.height)],
  ['diagonal', metres(i.diagonal)],
  ['lowest corner', i.min && `${point(i.min)} m`],
  ['highest corner', i.max && `${point(i.max)} m`],
  ['above the ground', metres(i.ground_offset)],
  ['scale above the figure', i.root_scale.map(plain).join(', ')],
  ['turn above the figure', `${plain(i.root_turn_degrees)}°`],
  ['faces', i.facing && point(i.facing)],
  ['unit, by its size', i.unit_guess],
  ['vertices', count(i.vertices)],
  ['triangles', count(i.triangles)],
  ['surfaces', `${count(i.surfaces)}, ${some(i.primitives, 'primitive')}`],
  ['skins', count(i.skins)],
  ['joints', `${count(i.joints)} of ${some(i.nodes, 'node')}`],
  ['clips', count(i.clips)],
  ['morph targets', count(i.morph_targets)],
  ['compression', i.compression.join(', ')],
  ['materials', `${count(i.materials)}, ${some(i.images, 'image')}, ${bytes(i.texture_bytes_decoded)} decoded`],
];

/** @param {Wire.SurfaceFacts|undefined} s @returns {[string, string][]} */
function surfaceRows(s) {
  if (!s) return [];
  const m = s.body_mirror;
  return said([
    ['welded vertices', count(s.welded_vertices)],
    ['triangles', count(s.triangles)],
    ['vertices no triangle uses', count(s.unused_vertices)],
    ['mirror plane', m ? `${point(m.normal)} at ${metres(m.offset)}` : 'none found'],
    ['pairs over it', m && count(m.pairs)],
    ['without a partner', m && percent(m.unmatched_share)],
    ['largest mismatch', m && metres(m.largest)],
    ['mean mismatch', m && metres(m.mean)],
    ['better half', m?.sides && (m.sides.keep ? `${m.sides.keep}: ${m.sides.reason}` : `none: ${m.sides.reason}`)],
  ]);
}

/** @param {Wire.BindingFacts|undefined} b @returns {[string, [string, string][]][]} */
function skinRows(b) {
  return (b?.skins ?? []).map((s) => [
    `Skin ${s.skin}${s.name ? ` "${s.name}"` : ''}`,
    said([
      ['vertices', count(s.vertices)],
      ['bound to nothing', count(s.unbound)],
      ['sum off 1', `${count(s.sum_off)}, by ${plain(s.largest_sum_error)} at most`],
      ['joint out of range', count(s.bad_index)],
      ['held by 0, 1, 2 … 8 + joints', s.influences.map(count).join(', ')],
      ['weights', count(s.weights)],
      ['under 0.01', count(s.faint_weights)],
    ]),
  ]);
}

/** @param {import('../state/types.js').Clip[]} clips @returns {[string, string][]} */
const clipRows = (clips) =>
  clips.map((c) => [c.name, `${seconds(c.seconds)}${c.facts.channels === undefined ? '' : `, ${some(c.facts.channels, 'channel')}`}`]);
