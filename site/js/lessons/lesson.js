import { h, must } from '../base/dom.js';
import { refill } from '../base/redraw.js';
import { choose, desk, on, show, tell } from '../state/desk.js';
import { rooms } from '../state/rooms.js';
import { seek, takeClip, takeWay } from '../shared/clips.js';
import { takeMove, turnTo } from '../shared/moves.js';
import { sample } from '../talk/examine.js';
import { toldOf } from '../talk/learn.js';

const its = rooms.lesson;

// A lesson beside the figure: one idea, one thing to do, one to notice, and the numbers of what is shown. They are
// measured by the examiner where the dial stands.

export const lessonIsOpen = () => its.now !== null;

/**
 * Teaches a lesson on the figure on the desk; on the sample where there is none.
 * @param {string} id @param {{fault?: number}} [how] on a faulty sample instead
 */
export async function startLesson(id, { fault = 0 } = {}) {
  const l = its.all?.lessons.find((x) => x.id === id);
  if (!l) return tell('say', `There is no lesson ${id}.`);
  if (fault || !desk.figure || desk.phase !== 'done') await sample(fault);
  if (!desk.figure || desk.phase !== 'done') return;
  its.before ??= { lens: desk.ownLens, method: desk.method };
  Object.assign(its, { now: l, told: null, at: null, dressed: false });
  document.body.dataset.lesson = 'on';
  document.body.dataset.tab = 'card';
  tell('show', {}); // the tabs of a narrow window
  tell('say', `Lesson ${place(l) + 1} of ${its.all?.lessons.length}: ${l.title}.`);
  fill();
  must('h-lesson').focus({ preventScroll: true });
  await measure();
}

/** @param {Wire.Lesson} l */
const place = (l) => its.all?.lessons.findIndex((x) => x.id === l.id) ?? 0;

/** The stage as the lesson wants it. */
function dress() {
  const { now: l, told: t } = its;
  if (!l || !t?.dial) return;
  if (t.dial.kind === 'time') {
    takeClip(t.dial.clip);
    seek(t.dial.at);
  } else takeMove(t.dial.kind === 'turn' ? { joint: t.joint, axis: t.dial.axis, degrees: t.dial.at } : null);
  if (t.surface >= 0) choose({ kind: 'vertex', surface: t.surface, vertex: t.vertex });
  else choose(t.joint >= 0 ? { kind: 'joint', node: t.joint } : { kind: 'none' });
  if (t.joint >= 0) desk.joint = t.joint; // whose influence is shown
  show({ lens: l.stage.lens, byHand: true, weld: t.dial.weld_m });
  takeWay(l.stage.method);
  its.seen(l.stage.from || 'three-quarter');
}

/** Asks for the numbers where the dial stands; what is turned meanwhile is asked for next. */
async function measure() {
  if (its.asking) {
    its.again = true;
    return;
  }
  its.asking = true;
  do {
    its.again = false;
    const { now: l, at } = its;
    if (!l) break;
    const told = await toldOf(l.id, at);
    if (its.now !== l) continue;
    its.told = told;
    numbers();
    if (!told || its.dressed) continue;
    its.dressed = true;
    dress();
  } while (its.again);
  its.asking = false;
}

/** @param {number} at */
function turn(at) {
  const d = its.told?.dial;
  if (!d) return;
  its.at = at;
  if (d.kind === 'turn') turnTo(at);
  else if (d.kind === 'time') seek(at);
  measure();
}

/** The figure was moved by hand: the dial and its numbers follow. */
function follow() {
  const t = its.told, d = t?.dial;
  if (!its.now || !t || !d || d.kind === 'weld') return;
  const at = d.kind === 'time' ? (desk.clip === d.clip ? desk.seconds : null) : desk.move && desk.move.joint === t.joint && desk.move.axis === d.axis ? desk.move.degrees : null;
  if (at === null || Math.abs(at - (its.at ?? d.at)) < d.step / 2) return;
  its.at = at;
  measure();
}

export function leaveLesson() {
  if (!its.now) return;
  const before = its.before;
  Object.assign(its, { now: null, told: null, at: null, before: null });
  delete document.body.dataset.lesson;
  takeMove(null);
  choose({ kind: 'none' });
  if (before) {
    takeWay(before.method);
    show({ lens: before.lens, byHand: false });
  }
  tell('say', '');
  must('pad').focus({ preventScroll: true });
}

function fill() {
  const l = its.now, all = its.all;
  if (!l || !all) return;
  must('lesson').dataset.id = l.id;
  const at = place(l), next = all.lessons[at + 1], fault = all.faults.find((f) => f.says === l.sample);
  refill(
    must('lesson'),
    h('p', { class: 'soft' }, `Lesson ${at + 1} of ${all.lessons.length}`),
    h('h2', { id: 'h-lesson', tabindex: '-1' }, l.title),
    h('p', { class: 'prose' }, l.idea),
    h('p', { class: 'prose task' }, h('b', {}, 'Do: '), l.do),
    h('div', { class: 'dial', id: 'lesson-dial' }),
    h('p', { class: 'formula', id: 'lesson-formula', hidden: true }),
    h('table', { class: 'told' }, h('caption', { class: 'vh' }, 'Numbers of the figure as it is shown'), h('tbody', { id: 'lesson-numbers' })),
    h('p', { class: 'prose' }, h('b', {}, 'Notice: '), l.notice),
    h(
      'div',
      { class: 'row acts' },
      next
        ? h('button', { class: 'btn lead', type: 'button', 'data-lesson': next.id, click: () => startLesson(next.id) }, `Next: ${next.title}`)
        : h('button', { class: 'btn lead', type: 'button', click: () => { leaveLesson(); its.openAll(); } }, 'All lessons'),
      h('button', { class: 'btn', type: 'button', id: 'lesson-leave', click: leaveLesson }, 'Leave'),
    ),
    fault ? h('p', {}, h('button', { class: 'text', type: 'button', id: 'lesson-fault', click: () => startLesson(l.id, { fault: fault.number }) }, `On a faulty sample: ${fault.says}`)) : null,
    h('p', { class: 'soft source' }, `Source: ${l.source}`),
  );
  numbers();
}

/** Dial, formula and numbers as they were told last. */
function numbers() {
  const t = its.told, box = must('lesson-dial');
  if (!its.now) return;
  const held = /** @type {HTMLInputElement|null} */ (box.querySelector('input'));
  if (!t) refill(box, h('p', { class: 'soft' }, 'Measuring.'));
  else if (!t.dial) refill(box, h('p', { class: 'prose' }, `Not on this figure: ${t.why_not}. `, h('button', { class: 'text', type: 'button', id: 'lesson-sample', click: onSample }, 'On the sample figure')));
  else if (!held) {
    const d = t.dial;
    refill(
      box,
      h('label', { for: 'lesson-turn' }, dialTitle(t)),
      h('span', { class: 'output', id: 'lesson-at' }, d.says),
      h('input', { type: 'range', id: 'lesson-turn', min: d.min, max: d.max, step: d.step, value: d.at, 'aria-valuetext': d.says, input: (/** @type {Event} */ e) => turn(Number(/** @type {HTMLInputElement} */ (e.target).value)) }),
    );
  } else {
    must('lesson-at').textContent = t.dial.says;
    held.setAttribute('aria-valuetext', t.dial.says);
    if (document.activeElement !== held) held.value = String(t.dial.at);
  }
  const d = t?.dial;
  if (d?.kind === 'weld' && desk.weld !== d.weld_m) show({ weld: d.weld_m });
  const formula = must('lesson-formula');
  formula.hidden = !t?.formula;
  formula.textContent = t?.formula ?? '';
  refill(must('lesson-numbers'), ...(t?.numbers ?? []).map((n) => h('tr', { 'data-number': n.name }, h('th', { scope: 'row' }, n.title), h('td', { class: n.value === null ? 'soft' : '' }, n.says))));
}

async function onSample() {
  const l = its.now;
  if (!l) return;
  await sample();
  await startLesson(l.id);
}

/** @param {Wire.LessonTold} t */
const dialTitle = (t) => (t.dial?.kind === 'weld' ? 'Weld distance' : t.dial?.kind === 'time' ? 'Moment of the clip' : `${t.dial?.axis} of ${t.joint_name}`);

/** @param {{seen: (from: string) => void, openAll: () => void}} handed */
export function mountLesson({ seen, openAll }) {
  Object.assign(its, { seen, openAll });
  on('time', follow);
  on('fresh', () => {
    if (!its.now) return;
    Object.assign(its, { told: null, at: null, dressed: false }); // another figure lies on the desk
    fill();
  });
  on('done', () => {
    if (its.now && !its.told) measure();
  });
}
