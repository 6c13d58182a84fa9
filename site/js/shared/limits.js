import { h } from '../base/dom.js';
import { desk, tell } from '../state/desk.js';
import { plain } from '../base/words.js';
import { rooms } from '../state/rooms.js';

/** The check of that name, as the catalogue has it. @param {string} id */
export const entryOf = (id) => desk.catalogue.flatMap((s) => s.entries).find((e) => e.id === id);

/** The limits of the check that found this. @param {import('../state/types.js').Finding} f */
export function limitsOf(f) {
  const entry = entryOf(f.id);
  return entry ? limitsForm(entry) : null;
}

/**
 * The limits of a check, to be moved and judged again; nothing is measured anew.
 * @param {import('../state/types.js').Entry} entry
 */
export function limitsForm(entry) {
  if (entry.limits.length === 0) return null;
  const moved = desk.limits[entry.id] ?? {};
  const form = h(
    'form',
    {
      submit: (/** @type {SubmitEvent} */ e) => {
        e.preventDefault();
        judge(entry.id, /** @type {HTMLFormElement} */ (e.currentTarget), entry);
      },
    },
    ...entry.limits.map((l) =>
      h(
        'label',
        {},
        l.name.replaceAll('_', ' '),
        h('input', {
          class: 'field',
          name: l.name,
          type: 'number',
          step: 'any',
          inputmode: 'decimal',
          value: String(moved[l.name] ?? l.value),
          required: true,
        }),
        h('span', { class: 'soft' }, l.unit || ''),
      ),
    ),
    h(
      'p',
      { class: 'row' },
      h('button', { class: 'btn', 'data-focus': 'judge' }, 'Judge again'),
      Object.keys(moved).length > 0 &&
        h(
          'button',
          { class: 'text', type: 'button', 'data-focus': 'default', click: () => put(entry.id, {}) },
          `As delivered: ${entry.limits.map((l) => plain(l.value)).join(', ')}`,
        ),
    ),
  );
  return h(
    'details',
    { class: 'limits', open: Object.keys(moved).length > 0 },
    h('summary', { 'data-focus': `limits-${entry.id}` }, Object.keys(moved).length > 0 ? 'Limit, changed here' : 'Change the limit'),
    form,
  );
}

/** @param {string} id @param {HTMLFormElement} form @param {import('../state/types.js').Entry} entry */
function judge(id, form, entry) {
  const data = new FormData(form);
  /** @type {Record<string, number>} */
  const own = {};
  for (const l of entry.limits) {
    const v = Number(data.get(l.name));
    if (Number.isFinite(v) && v !== l.value) own[l.name] = v;
  }
  put(id, own);
}

/** How many changes can be taken back. */
const MOST = 50;

/** All limits anew. @param {Record<string, Record<string, number>>} limits */
export function takeLimits(limits) {
  rooms.limits.before.push(desk.limits);
  rooms.limits.before.splice(0, rooms.limits.before.length - MOST);
  desk.limits = limits;
  tell('judge');
}

/** The limits as they were before the last change. */
export function undoLimits() {
  const before = rooms.limits.before.pop();
  if (!before) return tell('say', 'No limit was changed here.');
  desk.limits = before;
  tell('judge');
  tell('say', 'The limits are what they were before.');
}

/** How many limits are not those delivered. */
export const moved = () => Object.values(desk.limits).reduce((n, l) => n + Object.keys(l).length, 0);

/** What is wrong with limits from a file; empty: nothing. @param {unknown} x */
export function wrongLimits(x) {
  if (!x || typeof x !== 'object' || Array.isArray(x)) return 'it holds no limits';
  for (const [id, own] of Object.entries(x)) {
    const e = entryOf(id);
    if (!e) return `there is no check "${id.slice(0, 60)}"`;
    if (!own || typeof own !== 'object' || Array.isArray(own)) return `${id} holds no limits`;
    for (const [name, v] of Object.entries(own)) {
      if (!e.limits.some((l) => l.name === name)) return `${id} has no limit "${name.slice(0, 60)}"`;
      if (typeof v !== 'number' || !Number.isFinite(v)) return `${name} of ${id} is no number`;
    }
  }
  return '';
}

/** @param {string} id @param {Record<string, number>} own */
function put(id, own) {
  const limits = { ...desk.limits };
  if (Object.keys(own).length > 0) limits[id] = own;
  else delete limits[id];
  takeLimits(limits);
}
