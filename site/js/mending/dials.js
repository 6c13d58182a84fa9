import { h, radios } from '../base/dom.js';
import { count, seconds, some, value } from '../base/words.js';
import { desk } from '../state/desk.js';
import { amiss, namesFor } from './names.js';

// The dials of a mend: one control a parameter.

/** @typedef {Record<string, unknown>} Values */
/** @typedef {(name: string, v: unknown) => void} Turned undefined: as it is without */
/** @typedef {Record<string, {name: string, says: string}[]>} Lists what can be ticked, by parameter */

/** Parameters of wide or no bounds are typed, others turned: most ÷ least of those is under this, or they begin at 0 and end at 1 at most. */
const WIDE = 500;

/** @param {Wire.MendParameter} p */
const slides = (p) => p.kind === 'number' && p.least !== undefined && p.most !== undefined && (p.least > 0 ? p.most / p.least < WIDE : p.most - p.least <= WIDE);

/**
 * All dials of a mend: those that matter for what it was called for, the rest behind a fold.
 * @param {Wire.MendParameter[]} parameters @param {Values} called what the finding calls for @param {Values} values as they are now @param {Turned} turned @param {Lists} [lists]
 */
export function dials(parameters, called, values, turned, lists = {}) {
  parameters = parameters.filter((p) => matters(p, parameters, values));
  const first = parameters.filter((p) => p.kind === 'choice' || slides(p) || (p.name in called && JSON.stringify(called[p.name]) !== JSON.stringify(p.default)));
  const ticked = parameters.filter((p) => lists[p.name]);
  const wanted = first.filter((p) => !ticked.includes(p) && p.kind !== 'file');
  const main = wanted.length > 5 ? wanted.slice(0, 5) : wanted;
  const rest = parameters.filter((p) => !main.includes(p) && !ticked.includes(p) && p.kind !== 'file' && (p.kind !== 'pairs' || p.name in called));
  const draw = (/** @type {Wire.MendParameter} */ p) => dial(p, values[p.name], called[p.name], turned);
  return [
    ...parameters.filter((p) => p.kind === 'file').map((p) => from(p, values[p.name])),
    ...ticked.map((p) => ticks(p, lists[p.name], /** @type {string[]} */ (values[p.name] ?? []), turned)),
    ...main.map(draw),
    rest.length > 0 && h('details', { class: 'more' }, h('summary', { 'data-focus': 'more-dials' }, main.length > 0 ? 'More dials' : 'Dials'), ...rest.map(draw)),
  ];
}

/** Whether a dial does anything beside the values of the others. @param {Wire.MendParameter} p @param {Wire.MendParameter[]} all @param {Values} values */
export const matters = ({ where }, all, values) => !where || where.is.includes(String(values[where.name] ?? all.find((q) => q.name === where.name)?.default));

/** Which second file it takes from. @param {Wire.MendParameter} p @param {unknown} now */
const from = (p, now) => h('p', { class: 'soft', 'data-tip': p.says }, /** @type {{name?: string}|undefined} */ (now)?.name ? `${p.title} ${/** @type {{name: string}} */ (now).name}` : 'Choose a second file first: Part from a file…');

/** Names to tick. @param {Wire.MendParameter} p @param {{name: string, says: string}[]} list @param {string[]} now @param {Turned} turned */
function ticks(p, list, now, turned) {
  let names = now; // the boxes stay as they are while others are ticked
  const box = (/** @type {{name: string, says: string}} */ x, /** @type {number} */ i) =>
    h('label', { class: 'check' }, h('input', { type: 'checkbox', 'data-focus': `tick-${p.name}-${i}`, 'data-name': x.name, checked: names.includes(x.name), change: (/** @type {Event} */ e) => {
      const on = /** @type {HTMLInputElement} */ (e.target).checked;
      names = list.map((y) => y.name).filter((n) => (n === x.name ? on : names.includes(n)));
      turned(p.name, names);
    } }), h('span', {}, x.name, x.says && h('span', { class: 'soft' }, `, ${x.says}`)));
  return h(
    'fieldset',
    { class: 'pairs', 'data-tip': p.says },
    h('legend', {}, p.title || p.name),
    ...list.slice(0, SOME).map(box),
    list.length > SOME && h('details', { class: 'more' }, h('summary', { 'data-focus': `more-${p.name}` }, `${count(list.length - SOME)} more`), ...list.slice(SOME).map((x, i) => box(x, i + SOME))),
  );
}

/** @param {Wire.MendParameter} p @param {unknown} now @param {unknown} called @param {Turned} turned */
function dial(p, now, called, turned) {
  const title = p.title || p.name;
  const id = `dial-${p.name}`;
  switch (p.kind) {
    case 'truth':
      return h('label', { class: 'check', 'data-tip': p.says }, h('input', { type: 'checkbox', id, 'data-focus': id, checked: Boolean(now ?? p.default), change: (/** @type {Event} */ e) => turned(p.name, /** @type {HTMLInputElement} */ (e.target).checked) }), h('span', {}, title));
    case 'choice':
      return h('div', { class: 'dial', role: 'group', 'aria-label': title, 'data-tip': p.says }, h('span', {}, title), h('span', { class: 'pair' }, ...radios(id, (p.choices ?? []).map((c) => [c, c]), String(now ?? p.default), (v) => turned(p.name, v))));
    case 'pairs':
      return pairs(p, title, /** @type {Record<string, string>} */ (now ?? {}), /** @type {Record<string, string>} */ (called ?? {}), turned);
    case 'number':
      return slides(p) ? slider(p, title, id, now, turned) : typed(p, title, id, now, turned);
  }
  const list = namesFor(p);
  const given = Array.isArray(now) ? now.map(String) : now ? [String(now)] : [];
  const all = [...list, ...given.filter((n) => !list.some((x) => x.name === n)).map((name) => ({ name, says: 'not by its name in this figure' }))]; // what is given is never dropped unsaid
  if (list.length > 0 && p.kind === 'list') return ticks(p, all, given, turned);
  if (list.length > 0)
    return h(
      'div',
      { class: 'dial', 'data-tip': p.says },
      h('label', { for: id }, title),
      h('select', { class: 'field', id, 'data-focus': id, change: (/** @type {Event} */ e) => turned(p.name, /** @type {HTMLSelectElement} */ (e.target).value) },
        h('option', { value: '', selected: given.length === 0 }, 'none'),
        ...all.map((x) => h('option', { value: x.name, selected: given[0] === x.name }, x.says ? `${x.name}, ${x.says}` : x.name))),
    );
  if (p.name === 'set') return moments(p, title, given, turned);
  const text = Array.isArray(now) ? now.join(', ') : String(now ?? '');
  const wrong = h('p', { class: 'no', role: 'alert', hidden: true });
  return h(
    'div',
    { class: 'dial', 'data-tip': p.says },
    h('label', { for: id }, title),
    h('input', { class: 'field', id, 'data-focus': id, type: 'text', value: text, placeholder: p.kind === 'list' ? 'names, with commas' : '', change: (/** @type {Event} */ e) => {
      const v = /** @type {HTMLInputElement} */ (e.target).value.trim();
      const words = p.kind === 'list' ? v.split(',').map((x) => x.trim()).filter(Boolean) : [v];
      wrong.textContent = amiss(p, words);
      wrong.hidden = wrong.textContent === '';
      if (wrong.hidden) turned(p.name, p.kind === 'list' ? words : v);
    } }),
    wrong,
  );
}

/** A number with two ends that are near enough to slide between. @param {Wire.MendParameter} p @param {string} title @param {string} id @param {unknown} now @param {Turned} turned */
function slider(p, title, id, now, turned) {
  const from = p.least ?? 0, to = p.most ?? 1;
  const v = Number(now ?? p.default ?? from);
  const says = h('span', { class: 'output' }, value(v, p.unit));
  const step = 10 ** Math.floor(Math.log10((to - from) / 100));
  return h(
    'div',
    { class: 'dial', 'data-tip': p.says },
    h('label', { for: id }, title),
    says,
    h('input', {
      type: 'range',
      id,
      'data-focus': id,
      min: from,
      max: to,
      step,
      value: String(v),
      'aria-valuetext': value(v, p.unit), // the words beside it are seen; a live region of their own would say them twice
      input: (/** @type {Event} */ e) => {
        const box = /** @type {HTMLInputElement} */ (e.target), n = Number(box.value);
        says.textContent = value(n, p.unit);
        box.setAttribute('aria-valuetext', says.textContent ?? '');
        turned(p.name, n);
      },
    }),
  );
}

/** A number that is typed; lengths in millimetres. @param {Wire.MendParameter} p @param {string} title @param {string} id @param {unknown} now @param {Turned} turned */
function typed(p, title, id, now, turned) {
  const k = p.unit === 'm' ? 1000 : 1;
  const given = typeof now === 'number' ? now : typeof p.default === 'number' ? p.default : null;
  return h(
    'div',
    { class: 'dial', 'data-tip': p.says },
    h('label', { for: id }, title, k > 1 ? ', mm' : p.unit ? `, ${p.unit}` : ''),
    h('input', {
      class: 'field',
      id,
      'data-focus': id,
      type: 'number',
      step: 'any',
      inputmode: 'decimal',
      value: given === null ? '' : String(Number((given * k).toPrecision(6))),
      placeholder: 'from the figure',
      input: (/** @type {Event} */ e) => {
        const n = /** @type {HTMLInputElement} */ (e.target);
        if (n.value === '') turned(p.name, undefined);
        else if (Number.isFinite(n.valueAsNumber)) turned(p.name, n.valueAsNumber / k);
      },
    }),
    MOMENTS.includes(p.name) && p.unit === 's' && h('button', { class: 'text', type: 'button', 'data-focus': `${id}-needle`, click: (/** @type {Event} */ e) => {
      const field = /** @type {HTMLInputElement} */ (/** @type {HTMLElement} */ (e.target).parentElement?.querySelector('input'));
      field.value = String(Number(desk.seconds.toFixed(3)));
      turned(p.name, field.valueAsNumber);
    } }, 'At the needle'),
  );
}

/** Where a chain is to be at moments of the clip: each is set where the needle stands. @param {Wire.MendParameter} p @param {string} title @param {string[]} now @param {Turned} turned */
function moments(p, title, now, turned) {
  const degrees = h('input', { class: 'field', id: 'dial-set', 'data-focus': 'dial-set', type: 'number', step: 'any', inputmode: 'decimal', value: '20', 'aria-label': `${title}, degrees` });
  const at = (/** @type {string} */ x) => Number(x.split(' ')[0]);
  const put = () => {
    const s = Number(desk.seconds.toFixed(3));
    if (Number.isFinite(degrees.valueAsNumber)) turned(p.name, [...now.filter((x) => at(x) !== s), `${s} ${degrees.valueAsNumber}`].sort((a, b) => at(a) - at(b)));
  };
  return h('fieldset', { class: 'pairs', 'data-tip': p.says },
    h('legend', {}, title),
    ...now.map((x, i) => h('p', { class: 'row' }, h('span', {}, `${seconds(at(x))}: ${x.split(' ')[1]}°`), h('button', { class: 'text', type: 'button', 'data-focus': `set-off-${i}`, 'aria-label': `Not at ${seconds(at(x))}`, click: () => turned(p.name, now.filter((y) => y !== x)) }, 'take out'))),
    h('p', { class: 'row' }, degrees, h('span', {}, '°'), h('button', { class: 'btn', type: 'button', 'data-focus': 'set-here', id: 'set-here', click: put }, 'Set at the needle')));
}

/**
 * The pieces of a binding: which joints each may follow, ticked as proposed. What differs from that is told.
 * @param {Wire.MendPiece[]} list @param {string[]} joints @param {Record<string, string>} told @param {(v: Record<string, string>) => void} turned
 */
export function pieces(list, joints, told, turned) {
  if (list.length === 0) return [];
  return [h('fieldset', { class: 'pairs' },
    h('legend', {}, 'Joints of pieces'),
    ...list.map((piece) => {
      let names = piece.joints; // the boxes stay as they are while others are ticked
      return h('details', { class: 'more' },
        h('summary', { 'data-focus': `piece-${piece.name}` }, h('b', {}, `Piece ${piece.name}`), `, ${piece.says}: ${some(piece.joints.length, 'joint')}${piece.name in told ? ', told' : ''}`),
        piece.name in told && h('p', {}, h('button', { class: 'text', type: 'button', 'data-focus': `piece-free-${piece.name}`, click: () => turned(Object.fromEntries(Object.entries(told).filter(([k]) => k !== piece.name))) }, 'As proposed')),
        ...joints.map((j, i) => h('label', { class: 'check' }, h('input', { type: 'checkbox', 'data-focus': `piece-${piece.name}-${i}`, 'data-joint': j, checked: names.includes(j), change: (/** @type {Event} */ e) => {
          const on = /** @type {HTMLInputElement} */ (e.target).checked;
          names = joints.filter((x) => (x === j ? on : names.includes(x)));
          if (names.length > 0) turned({ ...told, [piece.name]: names.join(', ') });
        } }), h('span', {}, j))));
    }))];
}

/** Moments of a clip: they can be taken from where the needle stands. */
const MOMENTS = ['from', 'to', 'seconds'];

/** Pairs that shown before a person asks for all. */
const SOME = 12;

/** What hangs on what: each pair can be left out. @param {Wire.MendParameter} p @param {string} title @param {Record<string, string>} now @param {Record<string, string>} called @param {Turned} turned */
function pairs(p, title, now, called, turned) {
  const names = Object.keys(called);
  const box = (/** @type {string} */ k, /** @type {number} */ i) =>
    h('label', { class: 'check' }, h('input', { type: 'checkbox', 'data-focus': `pair-${i}`, checked: k in now, change: (/** @type {Event} */ e) => {
      const next = { ...now };
      if (/** @type {HTMLInputElement} */ (e.target).checked) next[k] = called[k];
      else delete next[k];
      turned(p.name, next);
    } }), h('span', {}, `${k} → ${called[k]}`));
  return h(
    'fieldset',
    { class: 'pairs', 'data-tip': p.says },
    h('legend', {}, title),
    ...names.slice(0, SOME).map(box),
    names.length > SOME && h('details', { class: 'more' }, h('summary', { 'data-focus': 'more-pairs' }, `${count(names.length - SOME)} more`), ...names.slice(SOME).map((k, i) => box(k, i + SOME))),
  );
}
