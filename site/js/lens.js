import { draw, h, must, radios, sheet } from './dom.js';
import { chosenJoint, desk, on, show } from './desk.js';
import { setStage, stageState } from './stage.js';
import { count, metres, percent } from './words.js';

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
  root.append(h('legend', {}, 'Lens'),
    h('div', { class: 'lenses' }, ...radios('lens', LENSES.map(([v, label]) => /** @type {[string, string]} */ ([v, label])), desk.lens, (lens) => show({ lens }), Object.fromEntries(LENSES.map(([v, , tip]) => [v, tip])))), scale);
  const sync = () => {
    setStage({ lens: desk.lens, joint: desk.joint });
    for (const i of /** @type {NodeListOf<HTMLInputElement>} */ (root.querySelectorAll('input'))) i.checked = i.value === desk.lens;
    const state = stageState();
    scale.replaceChildren(ramp(desk.lens, state?.scale), h('p', {}, ...sentence(state?.caption)));
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

/**
 * The scale beside the sentence. Limits come from the stage where it gives them: {from, to, unit}.
 * @param {string} lens @param {any} given
 */
function ramp(lens, given) {
  const said = { influence: 'Scale of the lens: 0 is paper, 1 is ink', count: 'Scale of the lens: the more joints, the darker', 'mirror-surface': 'Scale of the lens: the farther off, the darker', 'mirror-weights': 'Scale of the lens: the more the weights differ, the darker' }[lens];
  const s = sheet('rampbar', 264, 26, said);
  if (lens === 'painted' || lens === 'plain') return h('span', { hidden: true });
  if (lens === 'dominant') {
    const t = sheet('rampbar', 264, 26);
    draw(t, 'rect', { class: 'c0 ln', x: 0.5, y: 0.5, width: 16, height: 11 });
    draw(t, 'text', { x: 24, y: 10 }, 'one ink for each joint; its ring stands in it');
    return t;
  }
  if (lens === 'count') {
    for (let i = 0; i <= 8; i++) {
      draw(s, 'rect', { class: `c${[0, 1, 2, 4, 5, 6, 7, 9, 10][i]} ln`, x: 0.5 + i * 29, y: 0.5, width: 29, height: 11 });
      draw(s, 'text', { class: 'm', x: 15 + i * 29, y: 24 }, i === 8 ? '8 +' : i);
    }
    return s;
  }
  for (let i = 0; i < 10; i++) draw(s, 'rect', { class: `c${i + 1}`, x: 22 + i * 24.2, y: 0, width: 24.4, height: 11 });
  draw(s, 'rect', { class: 'c0 ln', x: 0.5, y: 0.5, width: 16, height: 11 });
  draw(s, 'rect', { class: 'ln', x: 22.5, y: 0.5, width: 241, height: 11 });
  draw(s, 'text', { class: 'm', x: 8.5, y: 24 }, 'none');
  const to = given?.to ?? (lens === 'mirror-surface' ? NaN : 1), from = given?.from ?? 0;
  const words = (/** @type {number} */ v) => (!Number.isFinite(v) ? '' : lens === 'mirror-surface' ? metres(v) : lens === 'mirror-weights' && given?.unit === '%' ? percent(v) : String(Number(v.toPrecision(3))));
  for (const [t, a] of /** @type {[number, string][]} */ ([[0, ''], [0.25, 'm'], [0.5, 'm'], [0.75, 'm'], [1, 'e']])) {
    const x = 22.5 + 241 * t;
    draw(s, 'path', { class: 'ln', d: `M${x} 11v4` });
    if (t > 0) draw(s, 'text', { class: a, x: t === 1 ? 264 : x, y: 24 }, Number.isFinite(to) ? words(from + (to - from) * t) : t === 1 ? 'most' : '');
  }
  return s;
}

/** The stage is a picture to assistive software: one sentence says what it shows. */
function speak() {
  const f = desk.figure;
  const joint = chosenJoint();
  const clip = f?.clips.find((c) => c.clip === desk.clip);
  const lens = LENSES.find(([v]) => v === desk.lens)?.[1];
  must('pad').setAttribute('aria-label', f ? `${f.file.name}, ${desk.from} view, ${clip ? `clip ${clip.name}` : 'rest pose'}. Lens: ${lens}${desk.lens === 'influence' && joint ? ` of ${joint.name}` : ''}.${joint ? ` ${joint.name} is chosen.` : ''}` : 'Stage, empty');
}
