import { h, must } from '../base/dom.js';
import { refill } from '../base/redraw.js';
import { choose, chosenJoint, desk, on, show, tell } from '../state/desk.js';
import { rooms } from '../state/rooms.js';
import { probe } from '../talk/stage.js';
import { sample } from '../talk/examine.js';
import { answerTo, marked } from '../talk/learn.js';
import { saveAs } from '../shared/save.js';

const its = rooms.puzzle;

// Find what is wrong: a faulty sample whose ledger is covered until the answer is asked for. What a person writes down
// is marked by the examiner, as `rigloupe mark` does it.

export const puzzleIsOpen = () => its.fault !== 0;

/** @param {number} fault number of the sample */
export async function startPuzzle(fault) {
  Object.assign(its, { fault, found: [], answer: '', marks: null });
  document.body.dataset.puzzle = 'on';
  document.body.dataset.tab = 'ledger';
  show({ pointers: false, covered: true });
  fill();
  its.due = true;
  await sample(fault);
  its.due = false;
  if (its.fault !== fault) return;
  if (!desk.figure) return leavePuzzle();
  show({ pointers: false });
  tell('say', 'One fault is planted in this figure. The ledger is covered.');
  must('h-puzzle').focus({ preventScroll: true });
}

export function leavePuzzle() {
  its.fault = 0;
  delete document.body.dataset.puzzle;
  uncover();
  document.body.dataset.tab = 'ledger'; // a choice turns to the card
  show({});
  tell('say', '');
}

/** What was found may be told: by pointers, on the card, in the state line. */
function uncover() {
  show({ pointers: true, covered: false });
  choose(desk.chosen);
}

/** Any other one. */
function another() {
  const all = rooms.lesson.all?.faults ?? [];
  return all[Math.floor(Math.random() * all.length)]?.number ?? 0;
}

export const anyPuzzle = () => startPuzzle(another());

/** Where a person points now: a joint, or a vertex. @returns {{joint: string, point: number[]|null, words: string}} */
function pointed() {
  const c = desk.chosen;
  if (c.kind === 'vertex') {
    const p = probe(c.surface, c.vertex);
    return { joint: '', point: p?.position ?? null, words: p ? `vertex ${p.element} of ${p.nodeName}` : 'nothing yet' };
  }
  const j = chosenJoint();
  return { joint: j?.name ?? '', point: null, words: j ? j.name : 'nothing yet: choose a joint or a vertex on the figure' };
}

/** What a learner hands in. */
const findings = () => JSON.stringify({ findings: 1, by: its.by, fault: its.fault, found: its.found }, null, 1);

function write() {
  const check = /** @type {HTMLSelectElement} */ (must('puzzle-check')).value;
  if (!check) return tell('say', 'Choose what it is first.');
  const says = /** @type {HTMLInputElement} */ (must('puzzle-says')).value.trim();
  const { joint, point } = pointed();
  its.found.push({ check, joint, point: point ?? [], says });
  fill();
  tell('say', 'Written down.');
}

async function answer() {
  const fault = its.fault;
  const a = await answerTo(fault);
  if (its.fault !== fault) return;
  if ('says' in a) return tell('say', a.says);
  const m = await marked(a.json, [findings()]);
  if (its.fault !== fault) return;
  its.answer = a.json;
  its.marks = 'json' in m ? JSON.parse(m.json) : null;
  document.body.dataset.puzzle = 'told';
  uncover();
  tell('say', ''); // nothing is covered any more
  fill();
  must('puzzle-answer').focus({ preventScroll: true });
  const planted = /** @type {Wire.MarkAnswer} */ (JSON.parse(a.json));
  const f = desk.figure?.findings.find((x) => x.id === planted.check);
  if (f) choose({ kind: 'finding', number: f.number }, { turn: true });
}

const title = (/** @type {string} */ id) => desk.catalogue.flatMap((s) => s.entries).find((e) => e.id === id)?.title ?? id;

function fill() {
  if (!its.fault) return;
  const told = its.marks?.learners[0] ?? null;
  const a = its.answer ? /** @type {Wire.MarkAnswer} */ (JSON.parse(its.answer)) : null;
  const select = h('select', { class: 'field', id: 'puzzle-check', 'data-focus': 'puzzle-check' }, h('option', { value: '' }, 'choose…'), ...desk.catalogue.map((s) => h('optgroup', { label: s.title }, ...s.entries.map((e) => h('option', { value: e.id }, e.title)))));
  refill(
    must('puzzle'),
    h('p', { class: 'soft' }, `Sample ${its.fault}`),
    h('h2', { id: 'h-puzzle', tabindex: '-1' }, 'Find what is wrong'),
    ...(a
      ? [
          h('div', { class: 'answer', id: 'puzzle-answer', tabindex: '-1' }, h('p', { class: 'soft' }, 'The answer'), h('h3', {}, a.title), h('p', { class: 'prose' }, `Planted: ${a.says}.`), told && its.found.length > 0 ? h('p', { class: 'prose' }, h('b', {}, 'You '), `${told.says}.`) : null),
        ]
      : [
          h('p', { class: 'prose' }, 'One fault was planted in this figure; the ledger is covered. Change the lens, bend joints, run the clips. Then write down what it is, and point at it.'),
          h('label', {}, 'What is it?', select),
          h('p', { class: 'where' }, 'Where? ', h('b', { id: 'puzzle-where' }, pointed().words)),
          h('label', {}, 'In your words', h('input', { class: 'field', id: 'puzzle-says', 'data-focus': 'puzzle-says', maxlength: 200, autocomplete: 'off' })),
          h('div', { class: 'row' }, h('button', { class: 'btn', type: 'button', id: 'puzzle-write', 'data-focus': 'puzzle-write', click: write }, 'Write it down')),
        ]),
    its.found.length > 0
      ? h(
          'ol',
          { class: 'found' },
          ...its.found.map((f, i) =>
            h(
              'li',
              {},
              h('span', {}, h('b', {}, title(f.check)), [f.joint || (f.point.length > 0 ? 'at a vertex' : ''), f.says].filter(Boolean).map((x) => `, ${x}`).join('')),
              told ? h('span', { class: 'soft' }, told.rows[i]?.outcome ?? '') : h('button', { class: 'text', type: 'button', 'data-focus': `puzzle-out-${i}`, click: () => { its.found.splice(i, 1); fill(); } }, 'take out'),
            ),
          ),
        )
      : null,
    !a && h('button', { class: 'btn lead', type: 'button', id: 'puzzle-tell', 'data-focus': 'puzzle-tell', click: answer }, 'Show the answer'),
    a && h('div', { class: 'row' }, h('button', { class: 'btn lead', type: 'button', id: 'puzzle-next', click: anyPuzzle }, 'Another one'), h('button', { class: 'btn', type: 'button', id: 'puzzle-ledger', click: leavePuzzle }, 'To the ledger')),
    h('details', { class: 'hand-in' },
      h('summary', {}, 'Hand in what I found'),
      h('label', {}, 'Your name', h('input', { class: 'field', id: 'puzzle-by', value: its.by, maxlength: 60, autocomplete: 'off', input: (/** @type {Event} */ e) => { its.by = /** @type {HTMLInputElement} */ (e.target).value; } })),
      h('button', { class: 'btn', type: 'button', id: 'puzzle-save', click: () => saveAs(findings(), `findings-${its.fault}.json`, 'application/json', 'What you found is saved.') }, 'Save what I found'),
    ),
    !a && h('p', {}, h('button', { class: 'text quiet', type: 'button', id: 'puzzle-leave', click: leavePuzzle }, 'Leave; show the ledger')),
  );
}

export function mountPuzzle() {
  on('chosen', () => {
    const w = document.getElementById('puzzle-where');
    if (w && its.fault) w.textContent = pointed().words;
  });
  on('fresh', () => { // another figure, the clean sample too: the puzzle is over
    if (its.fault && !its.due) leavePuzzle();
    its.due = false;
  });
}
