import { h, must } from '../base/dom.js';
import { refill } from '../base/redraw.js';
import { desk, on, tell } from '../state/desk.js';
import { rooms } from '../state/rooms.js';
import { stopAsked, written } from '../talk/ask.js';
import { COVERED, saveAs, today } from '../shared/save.js';
import { count, some } from '../base/words.js';

const its = rooms.report;

// The report of an examination: drawn by the examiner, the same bytes as the command line writes, saved on this machine.

const sheet = () => /** @type {HTMLDialogElement} */ (must('report'));
const saves = () => /** @type {HTMLButtonElement} */ (must('report-save'));

/** Opens the sheet that says what will be written. */
export function askReport() {
  const f = desk.figure;
  if (!f || f.running || sheet().open) return;
  if (desk.covered) return tell('say', COVERED);
  const n = f.findings.length, unseen = f.doc.checks.filter((c) => c.state === 'not-looked-at').length;
  const limits = Object.values(desk.limits).reduce((sum, l) => sum + Object.keys(l).length, 0);
  refill(
    must('report-body'),
    h('p', { class: 'prose' }, 'One page, without a script, to print, sign and hand on: the verdict, the figure from four sides, each finding with the picture of its place, joints, clips, all checks with their limits.'),
    h(
      'dl',
      { class: 'facts' },
      ...[
        ['about', f.file.name],
        ['findings', n === 0 ? 'none' : count(n)],
        ['not looked at', unseen === 0 ? 'nothing' : some(unseen, 'check')],
        ['limits', limits === 0 ? 'as delivered' : some(limits, 'limit') + ' moved'],
      ].flatMap(([k, v]) => [h('dt', {}, k), h('dd', {}, v)]),
    ),
    h('label', { class: 'dated' }, 'Date on it', h('input', { class: 'field', id: 'report-date', value: today(), maxlength: 60, autocomplete: 'off' })),
    h('p', { class: 'soft' }, 'Without a date the same file gives the same report, byte for byte. Its hash shows that nothing on it was changed; it is no signature.'),
    h('progress', { id: 'report-done', max: 1, value: 0, hidden: true, 'aria-label': 'Pictures drawn' }),
    h('p', { class: 'told', id: 'report-says', role: 'status' }),
  );
  stand(false);
  sheet().showModal();
}

/** @param {boolean} busy */
function stand(busy) {
  its.busy = busy;
  saves().disabled = busy;
  must('report-back').textContent = busy ? 'Stop' : 'Back';
  must('report-done').hidden = !busy;
}

async function save() {
  if (its.busy) return;
  const of = desk.figure, says = must('report-says');
  const date = /** @type {HTMLInputElement} */ (must('report-date')).value.trim();
  stand(true);
  says.textContent = 'Drawing the report.';
  const m = await written(date);
  stand(false);
  if (of !== desk.figure) return;
  if (m === null) says.textContent = 'Stopped. Nothing was saved.';
  else if (typeof m === 'string') says.textContent = m;
  else {
    saveAs(m.bytes, m.name, 'text/html', `${m.name} is saved.`);
    says.textContent = `Saved: ${m.name}. “rigloupe verify ${m.name} ${of?.file.name}” tells whether it is about this file.`;
  }
}

export function mountReport() {
  saves().addEventListener('click', save);
  must('report-back').addEventListener('click', (e) => {
    if (!its.busy) return;
    e.preventDefault(); // the sheet stays and says that it was stopped
    stopAsked();
  });
  sheet().addEventListener('close', () => {
    if (its.busy) stopAsked();
  });
  on('mend-progress', (p) => {
    if (!its.busy || p.station !== 'report') return;
    Object.assign(/** @type {HTMLProgressElement} */ (must('report-done')), { max: p.total, value: p.done });
    must('report-says').textContent = `${p.text}.`;
  });
  const ready = () => {
    for (const b of document.querySelectorAll('[data-act="report"]')) /** @type {HTMLElement} */ (b).hidden = desk.phase !== 'done' || !desk.figure;
  };
  on('figure', ready);
  on('phase', ready);
  on('fresh', () => {
    if (sheet().open) sheet().close();
  });
}
