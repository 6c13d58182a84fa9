import { h, must, radios } from '../base/dom.js';
import { desk, on, show } from '../state/desk.js';
import { takeBesideAway } from '../talk/beside.js';
import { guarded, setStage } from '../talk/stage.js';
import { jointName } from '../shared/moves.js';
import { part } from '../base/slices.js';
import { degrees, seconds, some } from '../base/words.js';

/** @type {[string, string][]} */
export const VIEWS = [
  ['three-quarter', 'three-quarter'],
  ['front', 'front'],
  ['left', 'left'],
  ['back', 'back'],
];
/** @type {['bones'|'pointers'|'loupe', string, string][]} */
const MARKS = [
  ['bones', 'Joints and bones, through the body', 'B'],
  ['pointers', 'Pointers from findings to their places', 'K'],
  ['loupe', 'A round of surface, enlarged', 'U'],
];

/** View names on the left, what is drawn on the right, and the pose in words. */
export function mountView() {
  const root = must('view');
  root.append(
    h('span', { class: 'lab' }, 'Seen from'),
    ...radios('view', VIEWS, desk.from, (from) => seen(from)),
    h('span', { class: 'gap' }),
    ...MARKS.map(([name, tip, key]) =>
      h(
        'label',
        { class: 'pick', 'data-tip': tip, 'data-key': key },
        h('input', {
          type: 'checkbox',
          name,
          checked: desk[name],
          change: (/** @type {Event} */ e) => show({ [name]: /** @type {HTMLInputElement} */ (e.target).checked }),
        }),
        h('span', {}, name),
      ),
    ),
  );
  // A side that it is seen from already may be asked for again: the figure may be near, or shifted.
  root.addEventListener('click', (e) => {
    const input = /** @type {HTMLInputElement} */ (e.target);
    if (input.name === 'view' && input.value === desk.from) seen(input.value);
  });
  const besideWords = h('span');
  const sync = () => {
    for (const i of /** @type {NodeListOf<HTMLInputElement>} */ (root.querySelectorAll('input')))
      i.checked = i.name === 'view' ? i.value === desk.from : /** @type {any} */ (desk)[i.name];
    must('back').hidden = !desk.away;
    must('beside').hidden = !desk.beside;
    besideWords.textContent = desk.beside?.words ?? '';
    setStage({ bones: desk.bones, pointers: desk.pointers, loupe: desk.loupe });
    posed();
  };
  const back = h(
    'button',
    { class: 'text', type: 'button', 'data-key': 'Backspace', 'data-tip': 'The view before a place was shown', click: goBack },
    'Back to where I was',
  );
  must('back').append(back);
  must('beside').append(besideWords, ' ', h('button', { class: 'text', type: 'button', 'data-focus': 'beside-away', 'data-key': 'Esc', 'data-tip': 'The figure stands alone again', click: alone }, 'Take it away'));
  on('show', sync);
  on('fresh', () => seen('three-quarter'));
  on('time', posed);
  on('figure', part(posed).later);
}

/** The whole figure from a side. @param {string} from */
export function seen(from) {
  show({ from });
  setStage({ from });
}

/** Where the eye was before a place was shown. */
export function goBack() {
  const held = must('back').contains(document.activeElement);
  guarded((s) => s.back());
  if (held) must('pad').focus({ preventScroll: true }); // the button goes
}

/** The figure beside this one goes. */
export function alone() {
  const held = must('beside').contains(document.activeElement);
  takeBesideAway();
  if (held) must('pad').focus({ preventScroll: true }); // the button goes
}

/** What the stage says of its eye: the controls show that, and nothing else. @param {{from?: string, away?: boolean}} eye */
export function eyeChanged({ from = desk.from, away = desk.away }) {
  if (from !== desk.from || away !== desk.away) show({ from, away });
}

function posed() {
  const clip = desk.figure?.clips.find((c) => c.clip === desk.clip);
  const blend = desk.method === 'both' ? 'both blends' : desk.method === 'dual' ? 'dual quaternion' : 'linear blend';
  const move = desk.move && `${jointName(desk.move.joint)}, ${desk.move.axis} ${degrees(desk.move.degrees)}`;
  const pose = move ?? (clip && `${clip.name} at ${seconds(desk.seconds)}`);
  const words = desk.figure ? (pose ? `Posed: ${pose}, ${blend}` : 'Rest pose') : '';
  const p = must('posed');
  if (p.textContent !== words) p.textContent = words;
  const all = desk.figure ? [...desk.left] : [];
  if (desk.figure && desk.layered > 0) all.push(`The picture leaves out ${some(desk.layered, 'triangle')}: so many layers lie over each other here.`);
  const left = all.length > 0 ? `${all.join(' ')} The examination leaves out nothing.` : '';
  const told = desk.noPicture || left;
  const l = must('left-out');
  if (l.textContent !== told) l.textContent = told;
}
