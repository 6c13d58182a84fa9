import { startExaminer } from '../programs/shell.js';
import { ask, wordsOf } from './ask.js';

// What is taught and marked: by the examiner of the open figure where the figure matters, else by one that is ended at once.

/** A lesson on the figure on the desk. @param {string} name its id @param {number|null} at where the dial stands @returns {Promise<Wire.LessonTold|null>} null: nobody answers for the figure any more */
export async function toldOf(name, at) {
  const m = await ask('lesson', { name, at });
  return m ? JSON.parse(m.json) : null;
}

/**
 * Asks one that knows no figure.
 * @template {'lessons'|'answer'|'mark'} K @param {K} kind @param {Wire.Questions[K]['ask']} data @returns {Promise<{json: string}|{says: string}>}
 */
async function once(kind, data) {
  const one = await startExaminer({ keeps: false });
  try {
    const m = await one.ask(kind, data);
    return 'json' in m ? { json: m.json } : { says: wordsOf(m) };
  } finally {
    one.rest();
  }
}

/** All there is to learn by. @returns {Promise<Wire.Taught>} */
export async function taught() {
  const m = await once('lessons', {});
  if ('says' in m) throw new Error(m.says);
  return JSON.parse(m.json);
}

/** What the fault of a number is, as text and as it reads. @param {number} fault @returns {Promise<{json: string}|{says: string}>} */
export const answerTo = (fault) => once('answer', { fault });

/** What was found, against an answer. @param {string} answer @param {string[]} findings @returns {Promise<{json: string}|{says: string}>} says: why not */
export const marked = (answer, findings) => once('mark', { answer, findings });
