import { draw, h, must, radios, sheet } from './dom.js';
import { chosenJoint, desk, on, show } from './desk.js';
import { guarded, setStage } from './stage.js';
import { count } from './words.js';

/** Name, label, one line. @type {[string, string, string][]} */
export const LENSES = [
  ['painted', 'painted', 'The file’s own colours and textures'],
  ['plain', 'plain', 'Paper and lines only'],
  ['influence', 'influence', 'How much of each vertex the chosen joint holds'],
  ['dominant', 'dominant joint', 'Which joint holds each vertex most'],
  ['count', 'influence count', 'How many joints hold each vertex'],
  ['mirror-surface', 'mirror: surface', 'How far each vertex lies from its partner’s mirrored place'],
  ['mirror-weights', 'mirror: weights', 'How much the weights differ from the partner’s'],
];

/** Lens chooser, scale, one sentence in words. */
export function mountLens() {
  const root = must('lens');
  const scale = h('div', { class: 'scale' });
  root.append(
    h('legend', {}, 'Lens'),
    h(
      'div',
      { class: 'lenses' },
      ...radios(
        'lens',
        LENSES.map(([v, label]) => /** @type {[string, string]} */ ([v, label])),
        desk.lens,
        (lens) => show({ lens, byHand: true }),
        Object.fromEntries(LENSES.map(([v, , tip]) => [v, tip])),
      ),
    ),
    scale,
  );
  const sync = () => {
    setStage({ lens: desk.lens, joint: desk.joint });
    for (const i of /** @type {NodeListOf<HTMLInputElement>} */ (root.querySelectorAll('input'))) i.checked = i.value === desk.lens;
    const legend = guarded((stage) => stage.legend());
    scale.replaceChildren(...[key(legend), h('p', {}, ...sentence(legend?.caption))].filter((n) => n !== null));
    speak();
  };
  for (const kind of ['show', 'chosen', 'figure', 'fields', 'fresh']) on(kind, sync);
}

/** The caption; its first sentence stands out. @param {string|undefined} said by the stage */
function sentence(said) {
  const words = said || ownWords();
  const dot = words.indexOf('. ');
  return dot < 0 ? [h('b', {}, words)] : [h('b', {}, words.slice(0, dot + 1)), words.slice(dot + 1)];
}

/** What the page can say by itself until the stage does. */
function ownWords() {
  const joint = desk.figure?.byNode.get(desk.joint);
  if (desk.lens === 'influence') {
    if (!joint) return 'No joint is chosen. Choose one on the figure or in the list.';
    const all = desk.figure?.doc.facts_of?.binding?.skins?.reduce((/** @type {number} */ n, /** @type {any} */ s) => n + s.vertices, 0);
    return `Influence of ${joint.name}.${joint.held ? ` ${count(joint.held.vertices)}${all ? ` of ${count(all)}` : ''} vertices hold some.` : ''}`;
  }
  return `${LENSES.find(([v]) => v === desk.lens)?.[2] ?? ''}.`;
}

/** What a scale says to those who do not see it. @type {Record<string, string>} */
const SCALE_SAYS = {
  influence: 'Scale of the lens: 0 is paper, 1 is ink',
  count: 'Scale of the lens: the more joints, the darker',
  'mirror-surface': 'Scale of the lens: the farther off, the darker',
  'mirror-weights': 'Scale of the lens: the more the weights differ, the darker',
};

/** The scale beside the sentence, as the stage tells it; its ticks are evenly apart. @param {any} legend */
function key(legend) {
  if (legend?.kind === 'ramp') return ramp(legend);
  if (legend?.kind === 'steps') return steps(legend.ticks);
  return legend?.kind === 'inks' ? inks() : null;
}

/** @param {{ticks: string[], unit: string}} legend */
function ramp({ ticks, unit }) {
  const s = sheet('rampbar', 264, 26, SCALE_SAYS[desk.lens]);
  for (let i = 0; i < 10; i++) draw(s, 'rect', { class: `c${i + 1}`, x: 22 + i * 24.2, y: 0, width: 24.4, height: 11 });
  draw(s, 'rect', { class: 'c0 ln', x: 0.5, y: 0.5, width: 16, height: 11 });
  draw(s, 'rect', { class: 'ln', x: 22.5, y: 0.5, width: 241, height: 11 });
  draw(s, 'text', { class: 'm', x: 8.5, y: 24 }, 'none');
  const units = new Set(ticks.slice(1).map((t) => t.replace(/^[\d.,\s]+/, ''))); // said once, where it is the same for all
  ticks.forEach((t, i) => {
    const last = i === ticks.length - 1,
      x = 22.5 + (241 * i) / (ticks.length - 1);
    draw(s, 'path', { class: 'ln', d: `M${x} 11v4` });
    if (i > 0)
      draw(
        s,
        'text',
        { class: last ? 'e' : 'm', x: last ? 264 : x, y: 24 },
        last && unit && !/[a-zµ°%]$/.test(t) ? `${t} ${unit}` : last || units.size > 1 ? t : t.replace(/\s*[a-zµ°%]+$/, ''),
      );
  });
  return s;
}

/** 0, 1, 2 … and, last, that many or more. @param {string[]} ticks */
function steps(ticks) {
  const s = sheet('rampbar', 264, 26, SCALE_SAYS[desk.lens]);
  const w = 263 / ticks.length;
  ticks.forEach((t, i) => {
    draw(s, 'rect', { class: `c${i === ticks.length - 1 ? 10 : i} ln`, x: 0.5 + i * w, y: 0.5, width: w, height: 11 });
    draw(s, 'text', { class: 'm', x: 0.5 + (i + 0.5) * w, y: 24 }, t);
  });
  return s;
}

/** Twelve inks, so that neighbours differ. */
function inks() {
  const s = sheet('rampbar', 264, 26);
  for (let i = 0; i < 12; i++) draw(s, 'rect', { class: `k${i} ln`, x: 0.5 + i * 22, y: 0.5, width: 20, height: 11 });
  draw(s, 'text', { x: 0, y: 24 }, 'twelve inks in turn; a joint and its parent differ');
  return s;
}

/** The stage is a picture to assistive software: one sentence says what it shows. */
function speak() {
  const f = desk.figure;
  const joint = chosenJoint();
  const clip = f?.clips.find((c) => c.clip === desk.clip);
  const lens = LENSES.find(([v]) => v === desk.lens)?.[1];
  must('pad').setAttribute(
    'aria-label',
    f
      ? `${f.file.name}, ${desk.from} view, ${clip ? `clip ${clip.name}` : 'rest pose'}. Lens: ${lens}${desk.lens === 'influence' && joint ? ` of ${joint.name}` : ''}.${joint ? ` ${joint.name} is chosen.` : ''}`
      : 'Stage, empty',
  );
}
