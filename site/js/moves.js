import { chosenFinding, desk, on, show, tell } from './desk.js';
import { guarded, NO_MOVE, setStage } from './stage.js';

/** @typedef {import('./types.js').Move} Move */
/** @typedef {import('./types.js').Turn} Turn */

// Moves of the bend set: one joint turned from rest, everything else at rest. The stage knows the axes and
// ranges of every joint as soon as it has the figure; the station Bends measures their ends.

/** The axes of a joint with their ranges. @param {number} node @returns {Turn[]} */
export function turnsOf(node) {
  const told = guarded((s) => s.turns(node));
  if (told?.length > 0) return told;
  const facts = desk.figure?.doc.facts_of?.bends?.turns ?? []; // a page without a picture
  return facts.filter((/** @type {any} */ t) => t.joint === node);
}

/** The axis that is shown. @returns {Turn|null} */
export const turnNow = () => (desk.move ? (turnsOf(desk.move.joint).find((t) => t.axis === desk.move?.axis) ?? null) : null);

/** What Bends measured at the ends of a joint's ranges. @param {number} node @returns {any[]} */
export const measuredOf = (node) => (desk.figure?.doc.facts_of?.bends?.moves ?? []).filter((/** @type {any} */ m) => m.joint === node);

/** Findings that show in a move of this joint. @param {Move} move */
export const foundIn = (move) => (desk.figure?.findings ?? []).filter((f) => f.where.move?.joint === move.joint && f.where.move.axis === move.axis);

/** Findings of Bends that name this joint but show in another joint's move. @param {Move} move */
export const namedIn = (move) =>
  (desk.figure?.findings ?? []).filter((f) => f.where.move && f.where.move.joint !== move.joint && f.where.joints?.some((j) => j.node === move.joint));

/** @param {number} node */
export const jointName = (node) => desk.figure?.byNode.get(node)?.name ?? `node ${node}`;

/** Shows a move; null: the clip or the rest pose that was there is shown again. @param {Move|null} move */
export function takeMove(move) {
  if (!restoring) before = null; // another pose by hand: there is nothing to go back to
  put(move);
}

/** @param {Move|null} move */
function put(move) {
  if (desk.playing) {
    desk.playing = false;
    setStage({ playing: false });
  }
  show({ move: move && { ...move } });
  setStage({ move: move ?? NO_MOVE });
  tell('time');
}

/** @param {number} degrees */
export function turnTo(degrees) {
  const t = turnNow();
  if (!desk.move || !t) return;
  desk.move.degrees = Math.min(t.max, Math.max(t.min, degrees));
  setStage({ degrees: desk.move.degrees });
  tell('time');
}

/** What was shown before a finding's own pose. @type {{move: Move|null, playing: boolean, number: number}|null} */
let before = null;
let restoring = false;

/** A finding of Bends shows in its own pose, at its own angle; leaving it gives the former pose back. */
function follow() {
  const f = chosenFinding();
  const m = f?.where.move;
  if (f && m) {
    if (before?.number === f.number) return; // judged again, or chosen again: the pose may have been turned by hand
    const was = before ?? { move: desk.move && { ...desk.move }, playing: desk.playing, number: 0 };
    put(m);
    before = { ...was, number: f.number };
  } else if (before && desk.chosen.kind !== 'vertex') {
    // a vertex is looked at in the pose that shows it
    const was = before;
    before = null;
    restoring = true;
    put(was.move);
    if (was.playing) {
      desk.playing = true;
      setStage({ playing: true });
      tell('time');
    }
    restoring = false;
  }
}

export function mountMoves() {
  on('chosen', follow);
  on('show', (c) => {
    if ('clip' in c) before = null;
  });
  on('fresh', () => {
    before = null;
    desk.move = null;
    setStage({ move: NO_MOVE });
  });
  on('rig', () => {
    // read again: the joint may have gone
    if (desk.move && !desk.figure?.byNode.has(desk.move.joint)) takeMove(null);
  });
}
