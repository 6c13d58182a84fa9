import { h, must, radios } from '../base/dom.js';
import { desk, on, show, tell } from '../state/desk.js';
import { keep, recall } from '../state/habits.js';
import { setStage } from '../talk/stage.js';
import { lengths, some } from '../base/words.js';
import { entryOf, moved, takeLimits, wrongLimits } from './limits.js';
import { rooms } from '../state/rooms.js';
import { forgetRecent } from './recent.js';

// What a person is used to comes back with the next visit: limits, lens, marks and speed. Of files their names
// and handles alone are kept, where the browser gives such (recent.js).

/** Lenses that need no station: those that any figure can be begun with. */
const LENSES = ['painted', 'plain', 'influence', 'dominant', 'count', 'mirror-surface', 'mirror-weights'];
const MARKS = /** @type {const} */ (['bones', 'pointers', 'loupe']);

/** @type {[string, string][]} */
const UNITS = [['m', 'metres'], ['cm', 'centimetres'], ['in', 'inches']];

/** @typedef {{lens?: string, bones?: boolean, pointers?: boolean, loupe?: boolean, speed?: number, units?: string, limits?: Record<string, Record<string, number>>}} Habits */

/** What is not as delivered. @returns {Habits} */
function now() {
  /** @type {Habits} */
  const out = {};
  if (desk.ownLens !== 'painted' && LENSES.includes(desk.ownLens)) out.lens = desk.ownLens;
  for (const m of MARKS) if (!desk[m]) out[m] = false;
  if (desk.speed !== 1) out.speed = desk.speed;
  if (lengths.unit !== 'm') out.units = lengths.unit;
  if (moved() > 0) out.limits = desk.limits;
  return out;
}

/** @returns {Habits} as far as it is sound */
function kept() {
  try {
    const x = JSON.parse(recall('habits') ?? '{}');
    /** @type {Habits} */
    const out = {};
    if (LENSES.includes(x.lens)) out.lens = x.lens;
    for (const m of MARKS) if (x[m] === false) out[m] = false;
    if ([0.1, 0.25, 0.5, 2].includes(x.speed)) out.speed = x.speed;
    if (UNITS.some(([u]) => u === x.units)) out.units = x.units;
    if (x.limits && wrongLimits(x.limits) === '') out.limits = x.limits;
    return out;
  } catch {
    return {};
  }
}

/** All is as delivered again, now and at the next visit. */
export function forgetHabits() {
  show({ bones: true, pointers: !desk.covered, loupe: true, speed: 1, ownLens: 'painted' });
  setStage({ speed: 1 });
  if (lengths.unit !== 'm') takeUnits('m');
  if (moved() > 0) takeLimits({});
  keep('habits', '');
  keep('paper', '');
  forgetRecent();
  fill();
  tell('say', 'Forgotten: limits, lens, marks, speed, units and paper are as delivered, and no file is listed.');
}

/** Lengths in another unit, wherever they are read. @param {string} unit */
function takeUnits(unit) {
  lengths.unit = unit;
  tell('figure');
  tell('chosen');
  tell('show', {});
  remember();
  fill();
}

function remember() {
  if (desk.covered) return; // a puzzle hides pointers, not the person
  const text = JSON.stringify(now());
  keep('habits', text === '{}' ? '' : text);
}

/** In the list of shortcuts: what is remembered, and the way to forget it. */
function fill() {
  const k = now();
  const words = [k.limits && some(moved(), 'limit'), k.lens && `the lens ${k.lens}`, ...MARKS.filter((m) => k[m] === false).map((m) => `${m} off`), k.speed && `speed × ${k.speed}`, k.units && `lengths in ${UNITS.find(([u]) => u === k.units)?.[1]}`, recall('paper') && 'the paper', rooms.recent.list.length > 0 && `${some(rooms.recent.list.length, 'file')} opened before`].filter(Boolean);
  must('habits').replaceChildren(
    h('div', { class: 'row', role: 'radiogroup', 'aria-label': 'Lengths are read in' }, h('span', {}, 'Lengths in'), ...radios('units', UNITS, lengths.unit, takeUnits)),
    h('p', { class: 'soft' }, words.length > 0 ? `This browser remembers: ${words.join(', ')}. ` : 'This browser remembers limits, lens, marks, speed, units and paper as you leave them; now all are as delivered. '),
    ...(words.length > 0 ? [h('p', {}, h('button', { class: 'text', type: 'button', id: 'forget', click: forgetHabits }, 'Forget all of it'))] : []),
  );
}

/** Above the checks: how many limits are moved, saved as the command line takes them, and loaded. */
function mine() {
  const n = moved();
  const load = h('input', { class: 'vh', type: 'file', id: 'limits-load', accept: '.json' });
  load.addEventListener('change', async () => {
    const file = load.files?.[0];
    load.value = '';
    if (file) says(await loadLimits(file));
  });
  must('limits-mine').replaceChildren(
    h('p', { class: 'row' },
      h('b', {}, n > 0 ? `${some(n, 'limit')} changed here` : 'All limits as delivered'),
      n > 0 && h('button', { class: 'text', type: 'button', id: 'limits-default', click: () => takeLimits({}) }, 'As delivered'),
      h('button', { class: 'btn', type: 'button', id: 'limits-save', disabled: n === 0, click: saveLimits }, 'Save the limits'),
      h('label', { class: 'btn file' }, 'Load limits…', load)),
    h('p', { id: 'limits-says', role: 'status' }),
  );
}

const says = (/** @type {string} */ words) => { must('limits-says').textContent = words; };

function saveLimits() {
  const a = h('a', { href: URL.createObjectURL(new Blob([`${JSON.stringify(desk.limits, null, 1)}\n`], { type: 'application/json' })), download: 'limits.json' });
  a.click();
  setTimeout(() => URL.revokeObjectURL(a.href), 10_000);
  says('limits.json is saved; rigloupe examine --limits limits.json takes it.');
}

/** @param {File} file @returns {Promise<string>} what came of it */
async function loadLimits(file) {
  let x;
  try {
    x = JSON.parse(await file.text());
  } catch {
    return `${file.name} is not read: it is no JSON.`;
  }
  const wrong = wrongLimits(x);
  if (wrong) return `${file.name} is not taken: ${wrong}.`;
  /** @type {Record<string, Record<string, number>>} */
  const limits = {};
  for (const [id, own] of Object.entries(x)) {
    const other = Object.entries(own).filter(([name, v]) => entryOf(id)?.limits.find((l) => l.name === name)?.value !== v);
    if (other.length > 0) limits[id] = Object.fromEntries(/** @type {[string, number][]} */ (other));
  }
  takeLimits(limits);
  return `${some(moved(), 'limit')} taken from ${file.name}.`;
}

export function mountHabits() {
  on('catalogue', () => { // limits are sound by what is looked at
    const k = kept();
    if (k.limits) desk.limits = k.limits;
    show({ ...k, limits: desk.limits, ...(k.lens ? { ownLens: k.lens } : {}), lens: desk.lens });
    if (k.units) lengths.unit = k.units;
    if (k.speed) setStage({ speed: k.speed });
    mine();
    fill();
    on('show', (c) => { if ('lens' in c || 'speed' in c || MARKS.some((m) => m in c)) remember(); fill(); });
    on('judge', () => { remember(); mine(); fill(); });
  });
  on('figure', mine);
  on('recent', fill);
}
