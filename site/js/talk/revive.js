import { startExaminer } from '../programs/shell.js';
import { desk, tell } from '../state/desk.js';
import { work } from '../state/work.js';
import { ownFiles } from './ask.js';
import { settled } from './mend.js';
import { some } from '../base/words.js';

// The examiner of the figure on the desk died: another is started, reads the same files, and does the kept mends again.
// The page holds what that takes: the files, and the slip as it was told last.

const its = work.examination;

/** @typedef {import('./examine.js').Talk} Talk */
/** @typedef {import('../programs/examiner.js').Death} Death */
/** @typedef {{sheet: Wire.MendSheet|null, words: string, failed: boolean}} Revived sheet: null where nothing was on the slip */

/** What it was at, by what it was asked: only a person asks these. @type {Record<string, string>} */
const AT = {
  begin: 'the file was opened for mending',
  try: 'a mend was tried',
  keep: 'a mend was kept',
  slip: 'the slip was changed',
  suggest: 'what is sure was mended',
  doPlan: 'a plan was done',
  handOver: 'files were written',
  judge: 'limits were moved',
  carry: 'a clip was carried over',
  second: 'a second file was read',
  match: 'joints were matched',
};
/** Deaths that nobody's wish led to, within this many milliseconds: more than two, and it stays ended. */
const OFTEN = 60_000;

/**
 * Starts another examiner for the figure on the desk. Once at a time.
 * @param {Talk} talk @param {Death|null} died null: it was ended to make room @param {string[]} asked what it was asked when it died @param {(talk: Talk, m: import('../state/types.js').Message) => void} hear
 */
export function revive(talk, died, asked, hear) {
  if (its.reviving?.talk === talk) return;
  const over = again(talk, died, asked, hear).finally(() => { if (its.reviving?.talk === talk) its.reviving = null; });
  its.reviving = { talk, over };
}

/** @param {Talk} talk @param {Death|null} died @param {string[]} asked @param {(talk: Talk, m: import('../state/types.js').Message) => void} hear @returns {Promise<string>} what is said of it */
async function again(talk, died, asked, hear) {
  const at = asked.find((k) => k in AT);
  const plan = at === 'doPlan' ? its.doing : -1;
  const first = died && `${died.full ? 'The examiner ran out of memory' : `The examiner broke off (${died.broke})`}${at ? ` while ${AT[at]}` : ''}`;
  const saved = /** @type {Wire.MendSaved|null} */ (its.slip ? JSON.parse(its.slip) : null);
  const named = (/** @type {number} */ i) => `step ${i + 1}, ${saved?.receipts[i]?.title ?? saved?.plan?.steps[i]?.mend},`;
  tell('reviving', {});
  const now = performance.now();
  its.deaths = at || !died ? [] : [...its.deaths.filter((t) => now - t < OFTEN), now];
  /** @type {number[]} */
  const off = [];
  /** @type {Death|null} */
  let last = null;
  let why = its.deaths.length > 2 ? 'it ends again and again' : '';
  while (!why) {
    its.doing = -1;
    its.switchedOff = '';
    const m = await once(talk, saved, hear);
    if (its.lying !== talk) return ''; // another figure took the desk
    if (m.kind === 'slip' || m.kind === 'done') {
      const sheet = m.kind === 'slip' ? await settled(m) : null;
      if (its.lying !== talk) return '';
      if (saved) its.judged = desk.limits = { ...saved.plan.limits };
      const words = said(saved, off.map(named), Object.keys(JSON.parse(its.switchedOff || '{}')).map((i) => named(Number(i))), first, plan);
      tell('revived', /** @type {Revived} */ ({ sheet: sheet && typeof sheet !== 'string' ? sheet : null, words, failed: false }));
      return words;
    }
    last = 'broke' in m && m.broke ? /** @type {Death} */ (m) : null;
    if (last && saved && its.doing >= 0 && !saved.plan.steps[its.doing].off) { // done again, the same step ends it again
      saved.plan.steps[its.doing].off = true;
      off.push(its.doing);
    } else why = [last?.text ?? m.text, last?.hint].filter(Boolean).join(' ') || 'it was stopped';
  }
  its.examiner?.end();
  its.examiner = null;
  const words = `${first ? `${first}, and` : 'The examiner'} could not be started anew: ${why.replace(/[.]$/, '')}.${saved?.plan.steps.length ? ' The kept mends are still here as a plan: save it, and load it once the file is open again.' : ''}`;
  tell('revived', /** @type {Revived} */ ({ sheet: null, words, failed: true }));
  return words;
}

/** Why it went on, in one sentence. @param {Wire.MendSaved|null} saved @param {string[]} off steps that ended it again @param {string[]} without steps that cannot stand without them @param {string|null} first @param {number} plan the step at which a plan was */
function said(saved, off, without, first, plan) {
  const kept = saved ? saved.plan.steps.slice(0, saved.cursor).filter((s) => !s.off).length - without.length : 0;
  const stands = kept > 0 ? `${kept === 1 ? 'the kept mend stands' : `the ${some(kept, 'kept mend')} stand`} as before` : 'nothing is lost';
  const words = [`${first ? `${first}${plan >= 0 ? ` (step ${plan + 1})` : ''}, and was started anew: ` : 'The figure stays: '}${stands}.`];
  const are = (/** @type {string[]} */ list) => (list.length === 1 ? 'it is' : 'they are');
  const named = (/** @type {string[]} */ list) => list.join(' and ').replace(/^s/, 'S');
  if (off.length > 0) words.push(`${named(off)} ended it again: ${are(off)} switched off.`);
  if (without.length > 0) words.push(`${named(without)} cannot stand without ${off.length > 1 ? 'them' : 'it'}: ${are(without)} switched off, too.`);
  return words.join(' ');
}

/** One try. @param {Talk} talk @param {Wire.MendSaved|null} saved @param {(talk: Talk, m: import('../state/types.js').Message) => void} hear @returns {Promise<{kind: string, text?: string, json?: string}>} */
async function once(talk, saved, hear) {
  const files = await ownFiles();
  if (!files || files.length === 0) return { kind: 'refused', text: 'the browser no longer lets the figure’s file be read' };
  if (its.lying !== talk) return { kind: 'gone' };
  /** @type {import('../programs/examiner.js').Examiner|null} */
  let next = null;
  let up = false;
  try {
    next = await startExaminer({
      onMessage: (m) => { if (next === its.examiner) hear(talk, m); },
      onDeath: (m, asked) => {
        if (next !== its.examiner) return;
        its.examiner = null;
        if (up) revive(talk, m, asked, hear);
      },
    });
  } catch (e) {
    return { kind: 'refused', text: /** @type {Error} */ (e).message };
  }
  if (its.lying !== talk || its.examiner) {
    next.end();
    return { kind: 'gone' };
  }
  its.examiner = talk.worker = next;
  const slip = saved && saved.plan.steps.length > 0 ? JSON.stringify(saved) : '';
  const seconds = await Promise.all([...its.beside.values()].map(async (list) => Promise.all(list.map(async (s) => ({ name: s.name, bytes: await s.file.arrayBuffer() }))))).catch(() => []);
  files.push(...seconds.flat());
  const m = await next.ask('reopen', { files, beside: seconds.length > 0 ? JSON.stringify(seconds.map((s) => s.length)) : '', limits: Object.keys(its.judged).length > 0 ? JSON.stringify(its.judged) : '', slip }, files.map((f) => f.bytes));
  up = m.kind === 'slip' || m.kind === 'done';
  return m;
}

/** Saves the kept mends as a plan, where nobody answers any more. @returns {Blob|null} */
export function keptPlan() {
  const saved = /** @type {Wire.MendSaved|null} */ (its.slip ? JSON.parse(its.slip) : null);
  return saved && new Blob([`${JSON.stringify({ ...saved.plan, steps: saved.plan.steps.slice(0, saved.cursor) }, null, 2)}\n`], { type: 'application/json' });
}
