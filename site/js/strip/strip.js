import { h, icon, must, radios } from '../base/dom.js';
import { run, stepKey, takeClip } from '../shared/clips.js';
import { desk, on, show } from '../state/desk.js';
import { setStage } from '../talk/stage.js';
import { drawStrip, follow } from './timeline.js';
import { openClip } from '../shared/clips.js';
import { foundIn } from '../shared/moves.js';
import { drawMove, fillMove, followMove, ways } from './movestrip.js';
import { part } from '../base/slices.js';
import { seconds } from '../base/words.js';
import { rooms } from '../state/rooms.js';

const its = rooms.strip;

/** @typedef {import('../state/types.js').Clip} Clip */

const SPEEDS = [0.1, 0.25, 0.5, 1, 2];

/** The time strip: clips, blend method, speed, and the stretch of time with its plumb-bob. */
export function mountStrip() {
  const root = must('time');
  const strip = part(() => fill(root));
  for (const kind of ['figure', 'phase']) on(kind, strip.later);
  on('fresh', strip.now); // it takes less room: the figure is fitted into what is left
  on('show', (c) => {
    if ('clip' in c || 'move' in c || 'method' in c || 'speed' in c) fill(root);
  });
  on('time', () => (desk.move ? followMove(root) : follow(root)));
  new ResizeObserver(() => {
    fill(root);
    if (desk.move) drawMove(root);
    else drawStrip(root);
  }).observe(root);
}

/** Whether the button for a second file stands in the head: where the strip has no room for its word. @param {boolean} there */
const inHead = (there) => { must('motion-head').hidden = !there || !desk.figure; };

/** @param {HTMLElement} root */
function fill(root) {
  const clips = desk.figure?.clips ?? [];
  const tight = root.clientWidth < 610 && innerWidth > 820;
  const few = root.clientWidth < 760 ? 2 : 3; // clips that stand side by side; more make a list
  const short = root.clientWidth < 760 && innerWidth > 820;
  const room = !short || innerWidth <= 1180; // there it has two rows
  const state = JSON.stringify([
    tight,
    short,
    room,
    clips.map((c) => [c.clip, c.name, c.seconds]),
    desk.clip,
    desk.move && [desk.move.joint, desk.move.axis, foundIn(desk.move).length, Boolean(desk.figure?.doc.facts_of.bends)],
    desk.method,
    desk.speed,
    desk.phase,
    desk.figure?.running === false,
    Boolean(desk.figure?.doc.facts_of.motion),
  ]);
  const of = desk.figure?.running === false ? desk.figure.doc : null; // a mend may change what a clip does and leave its name
  if (state === its.filled && of === its.of) return;
  its.filled = state;
  its.of = of;
  const focus = root.contains(document.activeElement)
    ? (document.activeElement?.getAttribute('data-focus') ?? /** @type {any} */ (document.activeElement).name)
    : null;
  const refocus = () => {
    if (focus)
      /** @type {HTMLElement|null} */ (root.querySelector(`[data-focus="${focus}"], input[name="${focus}"]:checked`))?.focus({ preventScroll: true });
  };
  inHead(innerWidth > 820 && (desk.move !== null || (clips.length > 0 && !room)));
  if (desk.move) {
    fillMove(root, tight);
    refocus();
    return;
  }
  const method = ways(short);
  if (clips.length === 0) {
    root.replaceChildren(
      h(
        'header',
        {},
        h('h2', { id: 'h-time', class: 'vh' }, 'Time strip'),
        h(
          'p',
          { class: 'clock soft' },
          desk.figure?.running ? 'Clips stand here as soon as they are read.' : desk.figure?.doc.facts_of.motion ? 'This file has no clip; one would play here.' : 'Motion was not looked at, so no clip is listed.',
        ),
        second(),
        method,
      ),
    );
    document.body.dataset.strip = 'none';
    return;
  }
  root.replaceChildren(
    h(
      'header',
      {},
      h('h2', { id: 'h-time', class: 'vh' }, 'Time strip'),
      h('button', { class: 'btn round', type: 'button', id: 'play', 'data-focus': 'play', 'data-key': 'Space', click: () => run() }),
      h(
        'button',
        {
          class: 'btn sq',
          type: 'button',
          'data-focus': 'kb',
          'aria-label': 'A thirtieth of a second back',
          'data-tip': 'A thirtieth of a second back',
          'data-key': ',',
          click: () => stepKey(-1),
        },
        icon('i-back'),
      ),
      h(
        'button',
        {
          class: 'btn sq',
          type: 'button',
          'data-focus': 'kf',
          'aria-label': 'A thirtieth of a second on',
          'data-tip': 'A thirtieth of a second on',
          'data-key': '.',
          click: () => stepKey(1),
        },
        icon('i-step'),
      ),
      h('p', { class: 'clock' }, h('b', {}), h('span', {})),
      h('div', { class: 'clips' }, clips.length <= (tight ? 0 : few) ? clipRadios(clips) : clipSelect(clips)),
      h(
        'button',
        {
          class: 'btn sq',
          type: 'button',
          'data-focus': 'rows',
          'aria-label': 'The clip joint by joint',
          'data-tip': 'The clip joint by joint: where each is keyed, where it moves, which stay still',
          click: () => openClip(desk.clip < 0 ? clips[0].clip : desk.clip),
        },
        icon('i-rows'),
      ),
      room && second(),
      h(
        'select',
        {
          class: 'field',
          'aria-label': 'Speed',
          'data-focus': 'speed',
          change: (/** @type {Event} */ e) => {
            const speed = Number(/** @type {HTMLSelectElement} */ (e.target).value);
            setStage({ speed });
            show({ speed });
          },
        },
        ...SPEEDS.map((s) => h('option', { value: String(s), selected: s === desk.speed }, `× ${s}`)),
      ),
      method,
    ),
    h('div', { class: 'strip' }),
  );
  drawStrip(root);
  refocus();
}

/** Asks for a second file whose clips move the open figure. */
const second = () =>
  h('button', { class: 'btn', type: 'button', 'data-act': 'motion', 'data-focus': 'motion', 'data-key': 'M', 'data-tip': 'Motion from a second file: its clips move this figure' }, 'Motion…');

/** @param {Clip[]} clips */
function clipRadios(clips) {
  const s = h(
    'span',
    { class: 'pair', role: 'group', 'aria-label': 'Clip' },
    ...radios(
      'clip',
      [['-1', 'rest'], ...clips.map((c) => /** @type {[string, string]} */ ([String(c.clip), c.name]))],
      String(desk.clip),
      (v) => takeClip(Number(v)),
      { '-1': 'The pose the file stores' },
    ),
  );
  s.querySelectorAll('label').forEach((l, i) => {
    if (i > 0) l.lastElementChild?.append(' ', h('small', {}, seconds(clips[i - 1].seconds)));
  });
  return s;
}

/** @param {Clip[]} clips */
function clipSelect(clips) {
  return h(
    'select',
    {
      class: 'field',
      'aria-label': 'Clip',
      'data-focus': 'clip',
      change: (/** @type {Event} */ e) => takeClip(Number(/** @type {HTMLSelectElement} */ (e.target).value)),
    },
    h('option', { value: '-1', selected: desk.clip < 0 }, `rest, or one of ${clips.length} clips`),
    ...clips.map((c) => h('option', { value: String(c.clip), selected: c.clip === desk.clip }, `${c.name}, ${seconds(c.seconds)}`)),
  );
}
