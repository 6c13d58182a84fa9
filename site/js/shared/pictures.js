import { h } from '../base/dom.js';
import { desk, on } from '../state/desk.js';
import { isNight } from '../state/habits.js';
import { rooms } from '../state/rooms.js';
import { work } from '../state/work.js';
import { placePicture } from '../talk/ask.js';

const its = rooms.pictures;

// Pictures of the places of findings, drawn in the examiner's worker one after the other and kept while the figure is
// what it is. Until one comes its room stands empty; a finding without a place has none.

/** Sizes in pixels of the page, as css/pieces.css lays them out. */
const SIZES = { small: [84, 58], large: [324, 212] };

/** @typedef {keyof typeof SIZES} Size */

/** @param {number} number @param {Size} size */
const keyOf = (number, size) => `${size} ${number} ${isNight() ? 'night' : 'day'}`;

/** What was drawn of another document is put away. */
function settle() {
  const of = desk.figure?.json ?? '';
  if (its.of === of) return;
  its.of = of;
  for (const url of its.made.values()) if (url) URL.revokeObjectURL(url);
  its.made.clear();
  its.wanted = [];
}

/** The picture of a finding's place. @param {import('../state/types.js').Finding} f @param {Size} size @param {string} [says] for those who do not see it; without, what stands beside it says all */
export function picture(f, size, says = '') {
  settle();
  const key = keyOf(f.number, size);
  const box = h('span', { class: `shot ${size}`, 'data-shot': key, 'data-says': says });
  const url = its.made.get(key);
  if (url !== undefined) put(box, url);
  else if (!its.wanted.includes(key)) {
    if (size === 'large') its.wanted.unshift(key); // it was asked for by a choice
    else its.wanted.push(key);
    queueMicrotask(draw);
  }
  return box;
}

/** @param {HTMLElement} box @param {string} url empty: there is none */
function put(box, url) {
  box.classList.toggle('none', url === '');
  const [width, height] = SIZES[box.classList.contains('large') ? 'large' : 'small'];
  box.replaceChildren(...(url ? [h('img', { src: url, alt: box.dataset.says ?? '', width, height, draggable: 'false' })] : []));
}

/** One after the other, while nothing else is at work on the figure. */
async function draw() {
  if (its.busy || desk.phase !== 'done' || !work.examination.examiner) return;
  its.busy = true;
  for (let key = next(); key; key = next()) {
    const of = its.of;
    const [size, number] = key.split(' ');
    const scale = Math.min(2, Math.max(1, window.devicePixelRatio));
    const [width, height] = SIZES[/** @type {Size} */ (size)].map((n) => Math.round(n * scale));
    const png = await placePicture({ number: Number(number), width, height, night: key.endsWith('night') });
    settle();
    if (of !== its.of || png === undefined) continue;
    its.made.set(key, png ? URL.createObjectURL(png) : '');
    for (const box of document.querySelectorAll(`[data-shot="${key}"]`)) put(/** @type {HTMLElement} */ (box), its.made.get(key) ?? '');
  }
  its.busy = false;
}

/** What is still wanted by something on the page. */
function next() {
  for (;;) {
    const key = its.wanted.shift();
    if (!key || (document.querySelector(`[data-shot="${key}"]`) && !its.made.has(key))) return key;
  }
}

on('phase', draw);
on('figure', draw);
on('paper', () => {
  for (const box of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll('[data-shot]'))) {
    const [size, number] = (box.dataset.shot ?? '').split(' ');
    const key = keyOf(Number(number), /** @type {Size} */ (size));
    box.dataset.shot = key;
    const url = its.made.get(key);
    if (url !== undefined) put(box, url);
    else its.wanted.push(key);
  }
  draw();
});
