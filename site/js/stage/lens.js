import { draw, h, must, radios, sheet } from '../base/dom.js';
import { chosenFinding, chosenJoint, desk, on, show, tell } from '../state/desk.js';
import { answers, ask } from '../talk/ask.js';
import { jointName } from '../shared/moves.js';
import { part } from '../base/slices.js';
import { guarded, setStage } from '../talk/stage.js';
import { weldCurve, weldNow } from '../shared/weld.js';
import { count, degrees } from '../base/words.js';
import { rooms } from '../state/rooms.js';

const its = rooms.lens;

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

/** What the shown pose does: worked out with every frame. @type {[string, string, string][]} */
const LIVE = [
  ['stretch', 'Stretch', 'How far the pose draws out or presses each place'],
  ['turned-over', 'Turned over', 'Triangles that the pose turns over'],
];

/** All lenses that can be taken, in the order of the bar. */
export const lensNames = () => [...[...LENSES, ...LIVE].map(([n]) => n), ...its.more.filter((l) => l.ready).map((l) => l.name)];

/** @param {string} name */
const own = (name) => [...LENSES, ...LIVE].some(([v]) => v === name);

const RISK = 'detail-at-risk';
const BLEED = 'bleed';
const wanted = () =>
  desk.lens === RISK ? `${RISK} ${weldNow()}` : desk.lens === BLEED && desk.move ? Object.values(desk.move).join(' ') : desk.lens;

/** A lens of a station asks the examiner for its field, once; until it comes the figure keeps the colours it has. @returns {Promise<boolean>} false: not yet, or never */
async function fetchField() {
  if (own(desk.lens) || its.held === wanted()) return true;
  if (desk.phase !== 'done' || its.asking) return false;
  let never = false;
  its.asking = true;
  let came = false;
  for (let next = wanted(); !own(desk.lens) && its.held !== next; next = wanted()) {
    const m = await ask('field', { name: desk.lens, joint: desk.joint, weld: weldNow(), move: desk.move });
    if (wanted() !== next) continue; // another is wanted by now
    never = !m || guarded((s) => s.field(new Uint8Array(m.bytes))) !== null;
    if (never) break;
    its.held = next;
    came = true;
  }
  its.asking = false;
  if (never) keep();
  return came;
}

/** What was asked for does not come: the controls name what the figure shows. */
function keep() {
  const title = its.more.find((l) => l.name === desk.lens)?.title ?? desk.lens;
  show({ lens: its.shown, byHand: desk.byHand && own(its.shown) });
  tell('say', `The lens ${title} cannot be shown: ${answers() ? 'there are no values for it' : 'the examination was ended. Read the file again to see it'}.`);
}

/** The chooser of what the stations show: it stays one control, however many there are. */
function mountMore() {
  const box = h('select', {
    class: 'field more',
    'aria-label': 'Lens of a station',
    'data-tip': 'What the stations measured all over the figure',
    change: (/** @type {Event} */ e) => {
      const v = /** @type {HTMLSelectElement} */ (e.target).value;
      if (v) show({ lens: v, byHand: true });
    },
  });
  const fill = () => {
    const stations = [...new Set(its.more.map((l) => l.station))];
    const title = (/** @type {string} */ s) => desk.figure?.stations.find((x) => x.name === s)?.title ?? s;
    box.replaceChildren(
      h('option', { value: '' }, 'more …'),
      h('optgroup', { label: 'Of the pose' }, ...LIVE.map(([v, label, about]) => h('option', { value: v, title: about }, label))),
      ...stations.map((s) =>
        h(
          'optgroup',
          { label: title(s) },
          ...its.more
            .filter((l) => l.station === s)
            .map((l) => h('option', { value: l.name, disabled: !l.ready, title: l.ready ? l.about : l.why }, l.ready ? l.title : `${l.title}: ${l.why}`)),
        ),
      ),
    );
    mark();
  };
  const mark = () => {
    /** @type {HTMLSelectElement} */ (box).value = LENSES.some(([v]) => v === desk.lens) ? '' : desk.lens;
  };
  const read = async () => {
    if (desk.phase !== 'done') return;
    const m = await ask('lenses', {});
    if (!m) return;
    its.more = JSON.parse(m.json);
    fill();
    tell('lenses');
  };
  on('phase', read);
  on('show', mark);
  on('rig', () => {
    its.held = ''; // the stage has a new figure, and no field of it
  });
  on('fresh', () => {
    its.more = [];
    fill();
  });
  fill();
  return box;
}

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
      mountMore(),
    ),
    scale,
  );
  const sync = async () => {
    for (const i of /** @type {NodeListOf<HTMLInputElement>} */ (root.querySelectorAll('input'))) i.checked = i.value === desk.lens;
    if (!own(desk.lens) && !(await fetchField())) return;
    setStage({ lens: desk.lens, joint: desk.joint });
    its.shown = desk.lens;
    caption();
  };
  const caption = () => {
    const legend = guarded((stage) => stage.legend());
    scale.replaceChildren(...[key(legend), h('p', {}, ...sentence(legend?.caption))].filter((n) => n !== null));
    speak();
  };
  const pull = h('div', { class: 'pull' });
  root.append(pull);
  /** The weld curve stands under its lens, unless the card shows it. */
  const curve = () => {
    const there = desk.lens === RISK && chosenFinding()?.id !== 'surface/near-coincident';
    if (there && pull.childElementCount > 0 && of === desk.figure) return;
    of = desk.figure;
    pull.replaceChildren(...[there ? weldCurve('lens') : null].filter((n) => n !== null));
  };
  /** @type {import('../state/types.js').Figure|null} */
  let of = null;
  for (const kind of ['show', 'chosen', 'fresh']) on(kind, curve);
  for (const kind of ['show', 'chosen', 'fields', 'fresh', 'lenses']) on(kind, sync);
  on('figure', part(function* () {
    curve();
    yield;
    sync();
  }).later);
  let later = 0;
  on('time', () => {
    // what the pose does changes with it; four times a second is enough to read
    if (later || !(LIVE.some(([v]) => v === desk.lens) || (desk.lens === BLEED && desk.move))) return;
    later = window.setTimeout(async () => {
      later = 0;
      if (own(desk.lens) || (await fetchField())) caption(); // the stage has the lens already: setting it again would wake it for ever
    }, 250);
  });
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
    const all = desk.figure?.doc.facts_of.binding?.skins?.reduce((n, s) => n + s.vertices, 0);
    return `Influence of ${joint.name}.${joint.held ? ` ${count(joint.held.vertices)}${all ? ` of ${count(all)}` : ''} vertices hold some.` : ''}`;
  }
  return `${[...LENSES, ...LIVE].find(([v]) => v === desk.lens)?.[2] ?? its.more.find((l) => l.name === desk.lens)?.about ?? ''}.`;
}

/** What a scale says to those who do not see it. @type {Record<string, string>} */
const SCALE_SAYS = {
  influence: 'Scale of the lens: 0 is paper, 1 is ink',
  count: 'Scale of the lens: the more joints, the darker',
  'mirror-surface': 'Scale of the lens: the farther off, the darker',
  'mirror-weights': 'Scale of the lens: the more the weights differ, the darker',
  bleed: 'Scale of the lens: the farther it is drawn along, the darker',
};

/** The scale beside the sentence, as the stage tells it; its ticks are evenly apart. @param {Wire.Legend|null} legend */
function key(legend) {
  if (legend?.kind === 'ramp') return ramp(legend);
  if (legend?.kind === 'two-sided') return twoSided(legend);
  if (legend?.kind === 'steps') return steps(legend.ticks);
  return legend?.kind === 'inks' ? inks(legend.ticks) : null;
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

/** 0, 1, 2 … and, last, that many or more; or steps by name, spread over the shades. @param {string[]} ticks */
function steps(ticks) {
  const s = sheet('rampbar', 264, 26, SCALE_SAYS[desk.lens]);
  const w = 263 / ticks.length;
  ticks.forEach((t, i) => {
    draw(s, 'rect', { class: `c${i === ticks.length - 1 ? 10 : Math.round((i * 9) / (ticks.length - 1))} ln`, x: 0.5 + i * w, y: 0.5, width: w, height: 11 });
    draw(s, 'text', { class: 'm', x: 0.5 + (i + 0.5) * w, y: 24 }, t);
  });
  return s;
}

/** Less than the middle is pressed and hatched on the figure, more is stretched. @param {{ticks: string[], unit: string}} legend */
function twoSided({ ticks, unit }) {
  const s = sheet('rampbar', 264, 26, 'Scale of the lens: paper in the middle, blue below it, brass above it');
  const shades = ['p3', 'p2', 'p1', 'c0', 'c2', 'c4', 'c6'];
  shades.forEach((c, i) => draw(s, 'rect', { class: c, x: 0.5 + (i * 263) / 7, y: 0, width: 263 / 7 + 0.2, height: 11 }));
  draw(s, 'rect', { class: 'ln', x: 0.5, y: 0.5, width: 263, height: 11 });
  ticks.forEach((t, i) => {
    const x = 0.5 + (263 * i) / (ticks.length - 1);
    draw(s, 'path', { class: 'ln', d: `M${x} 11v4` });
    draw(s, 'text', { class: i === ticks.length - 1 ? 'e' : i > 0 ? 'm' : '', x, y: 24 }, i === ticks.length - 1 && unit ? `${t} ${unit}` : t);
  });
  return s;
}

/** Twelve inks, so that neighbours differ; a few with names are named. @param {string[]} [names] */
function inks(names = []) {
  const s = sheet('rampbar', 264, 26);
  if (names.length > 0 && names.length < 4) {
    names.forEach((t, i) => {
      draw(s, 'rect', { class: `k${i} ln`, x: 0.5 + i * 88, y: 0.5, width: 20, height: 11 });
      draw(s, 'text', { x: i * 88, y: 24 }, t.length > 17 ? `${t.slice(0, 16)}…` : t);
    });
    return s;
  }
  for (let i = 0; i < 12; i++) draw(s, 'rect', { class: `k${i} ln`, x: 0.5 + i * 22, y: 0.5, width: 20, height: 11 });
  draw(s, 'text', { x: 0, y: 24 }, desk.lens === 'dominant' ? 'twelve inks in turn; a joint and its parent differ' : 'twelve inks in turn');
  return s;
}

/** The stage is a picture to assistive software: one sentence says what it shows. */
function speak() {
  const f = desk.figure;
  const joint = chosenJoint();
  const clip = f?.clips.find((c) => c.clip === desk.clip);
  const pose = desk.move ? `${jointName(desk.move.joint)} ${desk.move.axis} ${degrees(desk.move.degrees)}` : clip ? `clip ${clip.name}` : 'rest pose';
  const lens = [...LENSES, ...LIVE].find(([v]) => v === desk.lens)?.[1] ?? its.more.find((l) => l.name === desk.lens)?.title;
  must('pad').setAttribute(
    'aria-label',
    f
      ? `${f.file.name}, ${desk.from ? `${desk.from} view` : 'turned by hand'}, ${pose}. Lens: ${lens}${desk.lens === 'influence' && joint ? ` of ${joint.name}` : ''}.${joint ? ` ${joint.name} is chosen.` : ''}`
      : 'Stage, empty',
  );
}
