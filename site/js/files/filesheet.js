import { h, must } from '../base/dom.js';
import { desk, on } from '../state/desk.js';
import { bus, memory } from '../programs/keep.js';
import { part } from '../base/slices.js';
import { bytes, count, metres, percent, plain, point, seconds, some } from '../base/words.js';
import { saveJSON } from '../shared/save.js';

/** The file's own facts, as a dialog on a wide window and as the fourth sheet on a narrow one. */
export function mountFileSheet() {
  must('file-name').addEventListener('click', () => {
    must('facts-body').replaceChildren(list());
    /** @type {HTMLDialogElement} */ (must('facts')).showModal();
  });
  const sheet = () => {
    must('file-sheet').replaceChildren(
      h('p', { class: 'row' }, act('open', 'Open a file…', 'btn lead'), act('motion', 'Motion from a file…', 'btn'), act('reread', 'Read again', 'btn'), act('sample', 'Sample figure', 'btn'), act('lineup', 'Line-up', 'btn')),
      h(
        'p',
        { class: 'row' },
        act('paper', '', 'btn'),
        act('help', 'Shortcuts', 'btn'),
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
  const of = f.doc.facts_of ?? {};
  const parts = [
    ['', rows(f.file, of.intake ?? {})],
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

/** @param {any} v */
const has = (v) => v !== undefined && v !== null;
/** @param {[string, any][]} all @returns {[string, string][]} */
const said = (all) => all.filter(([, v]) => typeof v === 'string' && v !== '');

/** The body's height, and that of the whole where gear sticks out of it. @param {number} whole metres @param {number} body metres */
const heightWords = (whole, body) => (whole - body > 0.005 * body ? `${metres(body)}; ${metres(whole)} with gear` : metres(body));

/** @param {any} file @param {any} i facts of the intake @returns {[string, string][]} */
export function rows(file, i) {
  const names = (/** @type {string[]|undefined} */ n) => (n?.length ? n.join(', ') : 'none');
  return said([
    ['name', file.name],
    ['size', has(file.bytes) && `${bytes(file.bytes)} (${count(file.bytes)} bytes)`],
    ['kind', file.kind && `${file.kind}, version ${file.version || 'not said'}`],
    ['written by', file.generator || 'not said'],
    ['extensions used', names(file.extensions_used)],
    ['extensions required', names(file.extensions_required)],
    ['read with', file.remarks?.length && file.remarks.join('; ')],
    ['height', has(i.height) && heightWords(i.height, i.body_height ?? i.height)],
    ['diagonal', has(i.diagonal) && metres(i.diagonal)],
    ['lowest corner', i.min && `${point(i.min)} m`],
    ['highest corner', i.max && `${point(i.max)} m`],
    ['above the ground', has(i.ground_offset) && metres(i.ground_offset)],
    ['scale above the figure', i.root_scale && i.root_scale.map(plain).join(', ')],
    ['turn above the figure', has(i.root_turn_degrees) && `${plain(i.root_turn_degrees)}°`],
    ['faces', i.facing && point(i.facing)],
    ['unit, by its size', i.unit_guess],
    ['vertices', has(i.vertices) && count(i.vertices)],
    ['triangles', has(i.triangles) && count(i.triangles)],
    ['surfaces', has(i.surfaces) && `${count(i.surfaces)}, ${some(i.primitives ?? 0, 'primitive')}`],
    ['skins', has(i.skins) && count(i.skins)],
    ['joints', has(i.joints) && `${count(i.joints)} of ${some(i.nodes ?? 0, 'node')}`],
    ['clips', has(i.clips) && count(i.clips)],
    ['morph targets', has(i.morph_targets) && count(i.morph_targets)],
    ['compression', i.compression?.length && i.compression.join(', ')],
    ['materials', has(i.materials) && `${count(i.materials)}, ${some(i.images ?? 0, 'image')}, ${bytes(i.texture_bytes_decoded ?? 0)} decoded`],
  ]);
}

/** @param {any} s facts of the surface @returns {[string, string][]} */
function surfaceRows(s) {
  if (!s) return [];
  const m = 'body_mirror' in s ? s.body_mirror : s.mirror;
  return said([
    ['welded vertices', has(s.welded_vertices) && count(s.welded_vertices)],
    ['triangles', has(s.triangles) && count(s.triangles)],
    ['vertices no triangle uses', has(s.unused_vertices) && count(s.unused_vertices)],
    ['mirror plane', m ? `${point(m.normal)} at ${metres(m.offset)}` : 'none found'],
    ['pairs over it', m && count(m.pairs)],
    ['without a partner', m && percent(m.unmatched_share)],
    ['largest mismatch', m && metres(m.largest)],
    ['mean mismatch', m && metres(m.mean)],
    ['better half', m?.sides && (m.sides.keep ? `${m.sides.keep}: ${m.sides.reason}` : `none: ${m.sides.reason}`)],
  ]);
}

/** @param {any} b facts of the binding @returns {[string, [string, string][]][]} */
function skinRows(b) {
  return (b?.skins ?? []).map((/** @type {any} */ s) => [
    `Skin ${s.skin}${s.name ? ` "${s.name}"` : ''}`,
    said([
      ['vertices', count(s.vertices)],
      ['bound to nothing', count(s.unbound)],
      ['sum off 1', `${count(s.sum_off)}, by ${plain(s.largest_sum_error)} at most`],
      ['joint out of range', count(s.bad_index)],
      ['held by 0, 1, 2 … 8 + joints', s.influences?.map(count).join(', ')],
      ['weights', has(s.weights) && count(s.weights)],
      ['under 0.01', has(s.faint_weights) && count(s.faint_weights)],
    ]),
  ]);
}

/** @param {import('../state/types.js').Clip[]} clips @returns {[string, string][]} */
const clipRows = (clips) =>
  clips.map((c) => [c.name, `${seconds(c.seconds)}${has(c.facts.channels) ? `, ${some(c.facts.channels, 'channel')}` : ''}`]);
