import { h, must } from '../base/dom.js';
import { refill } from '../base/redraw.js';
import { desk, tell } from '../state/desk.js';
import { rooms } from '../state/rooms.js';
import { answerTo, marked, taught } from '../talk/learn.js';
import { copy, saveAs } from '../shared/save.js';
import { writeLink } from '../base/link.js';
import { leaveLesson, mountLesson, startLesson } from './lesson.js';
import { anyPuzzle, leavePuzzle, mountPuzzle, puzzleIsOpen, startPuzzle } from './puzzle.js';

const its = rooms.lesson;

// All there is to learn by: lessons, faulty samples, and what a teacher needs.

const sheet = () => /** @type {HTMLDialogElement} */ (must('lessons'));

/** @returns {Promise<Wire.Taught|null>} */
async function all() {
  its.all ??= await taught().catch((e) => {
    tell('say', `The lessons could not be read: ${e.message}`);
    return null;
  });
  return its.all;
}

export async function openLessons() {
  const list = await all();
  if (!list || sheet().open) return;
  const away = (/** @type {() => void} */ then) => () => {
    sheet().close();
    then();
  };
  refill(
    must('lessons-body'),
    h(
      'ol',
      { class: 'list' },
      ...list.lessons.map((l) =>
        h('li', {}, h('button', { class: 'one', type: 'button', 'data-lesson': l.id, click: away(() => teach(l.id)) }, h('b', {}, l.title), h('span', {}, l.notice))),
      ),
    ),
    h('h3', {}, 'Find what is wrong'),
    h('p', { class: 'prose' }, 'The sample figure with one fault in it. Its ledger is covered until you ask for the answer.'),
    h(
      'div',
      { class: 'row' },
      h('button', { class: 'btn lead', type: 'button', id: 'puzzle-any', click: away(() => play(0)) }, 'Any fault'),
      h('label', { class: 'by-name' }, h('span', {}, 'or by name'), faultList(list, 'puzzle-of', (n) => away(() => play(n))())),
    ),
    teacher(list),
  );
  sheet().showModal();
}

/** Faults by station and name. @param {Wire.Taught} list @param {string} id @param {((number: number) => void)|null} chosen @param {boolean} [whole] with what is planted */
const faultList = (list, id, chosen, whole = false) =>
  h(
    'select',
    { class: 'field', id, change: (/** @type {Event} */ e) => {
      const n = Number(/** @type {HTMLSelectElement} */ (e.target).value);
      if (n && chosen) chosen(n);
    } },
    chosen && h('option', { value: '' }, 'choose…'),
    ...desk.catalogue.map((s) =>
      h('optgroup', { label: s.title }, ...list.faults.filter((f) => f.check.startsWith(`${s.name}/`)).map((f) => h('option', { value: f.number }, whole ? `${f.title}: ${f.says}` : f.title))),
    ),
  );

/** What a teacher needs: a link to hand out, its answer, and what comes back. @param {Wire.Taught} list */
function teacher(list) {
  const chosen = () => Number(/** @type {HTMLSelectElement} */ (must('teach-of')).value);
  const says = h('div', { id: 'teach-says', role: 'status' });
  return h(
    'details',
    { class: 'teacher' },
    h('summary', {}, 'For teachers'),
    h('p', { class: 'prose' }, 'Choose a fault and hand out its link: it names the sample by a number that tells nothing. Learners save what they found; load their files here, or give them to “rigloupe mark”.'),
    h('label', {}, 'Fault', faultList(list, 'teach-of', null, true)),
    h(
      'div',
      { class: 'row' },
      h('button', { class: 'btn', type: 'button', id: 'teach-link', click: () => copy(`${location.href.split('#')[0]}#${writeLink({ fault: chosen() })}`, 'the link is copied') }, 'Copy the link'),
      h('button', { class: 'btn', type: 'button', id: 'teach-answer', click: async () => {
        const n = chosen(), a = await answerTo(n);
        if ('json' in a) saveAs(a.json, `answer-${n}.json`, 'application/json', 'The answer is saved.');
        says.textContent = 'json' in a ? `answer-${n}.json is saved.` : a.says;
      } }, 'Save the answer'),
      h('label', { class: 'btn file' }, 'Load findings…', h('input', { class: 'vh', type: 'file', id: 'teach-load', accept: '.json', multiple: true, change: async (/** @type {Event} */ e) => {
        const input = /** @type {HTMLInputElement} */ (e.target);
        const texts = await Promise.all([...(input.files ?? [])].map(named));
        input.value = '';
        const a = await answerTo(chosen());
        const m = 'json' in a ? await marked(a.json, texts) : a;
        refill(says, ...('json' in m ? marks(JSON.parse(m.json)) : [m.says]));
      } })),
    ),
    says,
  );
}

/** A file of findings; without a name of its own it goes by the file's. @param {File} f */
async function named(f) {
  const text = await f.text();
  try {
    const x = JSON.parse(text);
    return x && typeof x === 'object' && !x.by ? JSON.stringify({ ...x, by: f.name }) : text;
  } catch {
    return text; // the examiner says what is wrong with it
  }
}

/** @param {Wire.MarkReport} r */
const marks = (r) => [
  h('p', { class: 'prose' }, r.says),
  h('table', { class: 'marks' }, h('thead', {}, h('tr', {}, ...['by', 'how', 'written down'].map((x) => h('th', { scope: 'col' }, x)))), h('tbody', {}, ...r.learners.map((m) => h('tr', {}, h('th', { scope: 'row' }, m.by), h('td', {}, m.says), h('td', {}, m.rows.map((x) => `${x.check}${x.joint ? ` (${x.joint})` : ''}: ${x.outcome}`).join('; ')))))),
];

/** @param {string} id */
export async function teach(id) {
  if (puzzleIsOpen()) leavePuzzle();
  if (await all()) await startLesson(id);
}

/** @param {number} fault 0: any */
export async function play(fault) {
  leaveLesson();
  if (!(await all())) return;
  if (fault) await startPuzzle(fault);
  else await anyPuzzle();
}

/** @param {{seen: (from: string) => void}} handed */
export function mountLessons({ seen }) {
  mountLesson({ seen, openAll: openLessons });
  mountPuzzle();
}
