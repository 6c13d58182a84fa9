import { chosenFinding, desk, on, show, tell, told } from '../state/desk.js';
import { guarded, NO_MOVE, setStage } from '../talk/stage.js';
import { rooms } from '../state/rooms.js';

const its = rooms.pose;

/** @typedef {import('../state/types.js').Move} Move */
/** @typedef {import('../state/types.js').Turn} Turn */

// Moves of the bend set: one joint turned from rest, everything else at rest. The stage knows the axes and
// ranges of every joint as soon as it has the figure; the station Bends measures their ends.

/** The axes of a joint with their ranges. @param {number} node @returns {Turn[]} */
export function turnsOf(node) {
  const by = guarded((s) => s.turns(node));
  if (by && by.length > 0) return by;
  const facts = desk.figure?.doc.facts_of.bends?.turns ?? []; // a page without a picture
  return facts.filter((t) => t.joint === node);
}

/** The axis that is shown. @returns {Turn|null} */
export const turnNow = () => (desk.move ? (turnsOf(desk.move.joint).find((t) => t.axis === desk.move?.axis) ?? null) : null);

/** What Bends measured at the ends of a joint's ranges. @param {number} node @returns {Wire.BendsMove[]} */
export const measuredOf = (node) => (desk.figure?.doc.facts_of.bends?.moves ?? []).filter((m) => m.joint === node);

/** Findings that show in a move of this joint. @param {Move} move */
export const foundIn = (move) => told().filter((f) => degreesIn(f, move).length > 0);

/** The moves that a finding shows in: its own, or one a row. @param {import('../state/types.js').Finding} f @returns {Move[]} */
const movesOf = (f) => (f.where.rows ? f.where.rows.map((r) => r.move) : [f.where.move]).filter((m) => m !== undefined);

/** Where along a joint's axis a finding shows. @param {import('../state/types.js').Finding} f @param {Move} move @returns {number[]} */
export const degreesIn = (f, move) => movesOf(f).filter((m) => m.joint === move.joint && m.axis === move.axis).map((m) => m.degrees);

/** Findings of Bends that name this joint but show in another joint's move. @param {Move} move */
export const namedIn = (move) =>
  told().filter((f) => f.where.move && !movesOf(f).some((m) => m.joint === move.joint) && f.where.joints?.some((j) => j.node === move.joint));

/** @param {number} node */
export const jointName = (node) => desk.figure?.byNode.get(node)?.name ?? `node ${node}`;

/** Shows a move; null: the clip or the rest pose that was there is shown again. @param {Move|null} move */
export function takeMove(move) {
  its.before = null; // another pose by hand: there is nothing to go back to
  put({ move });
}

/** @typedef {{move: Move|null, clip: number, seconds: number, playing: boolean}} Pose */

/** What is shown now. @returns {Pose} */
const poseNow = () => ({ move: desk.move && { ...desk.move }, clip: desk.clip, seconds: desk.seconds, playing: desk.playing });

/** Shows a pose, held. @param {Partial<Pose>} pose */
function put({ move = null, clip = desk.clip, seconds = desk.seconds }) {
  if (desk.playing) {
    desk.playing = false;
    setStage({ playing: false });
  }
  its.posing = true;
  show({ move: move && { ...move }, ...(clip !== desk.clip && { clip }), seconds });
  its.posing = false;
  setStage({ clip, seconds, move: move ?? NO_MOVE });
  tell('time');
}

/** @param {number} degrees */
export function turnTo(degrees) {
  const t = turnNow();
  if (!desk.move || !t) return;
  const reach = reachOf(desk.move, t);
  desk.move.degrees = Math.min(reach.max, Math.max(reach.min, degrees));
  setStage({ degrees: desk.move.degrees });
  tell('time');
}

/**
 * How far the strip of a move goes: the joint's range, and on to where findings show. A twist of half a turn is tried on
 * a forearm that turns by 80°.
 * @param {Move} move @param {Turn} t
 */
export function reachOf(move, t) {
  const at = foundIn(move).flatMap((f) => degreesIn(f, move));
  return { min: Math.min(t.min, ...at), max: Math.max(t.max, ...at) };
}

/** The pose that a finding shows in: a move, or a moment of a clip. @param {import('../state/types.js').Finding|null} f @returns {Partial<Pose>|null} */
export function poseOf(f) {
  if (f?.where.move) return { move: f.where.move };
  const c = desk.figure?.clips.find((x) => x.clip === f?.where.clip);
  return f && c ? { clip: c.clip, seconds: f.where.time ?? c.start } : null;
}

/** Shows the pose of one row of the chosen finding; leaving the finding gives the former pose back. @param {import('../state/types.js').Finding} f @param {number} row */
export function takeRow(f, row) {
  const move = f.where.rows?.[row]?.move;
  if (!move) return;
  const was = its.before ?? poseNow();
  put({ clip: was.clip, seconds: was.seconds, move });
  its.before = { ...was, number: f.number };
}

/** A finding of Bends or Motion shows in its own pose, at its own angle or moment; leaving it gives the former pose back. */
function follow() {
  const f = chosenFinding();
  const pose = poseOf(f);
  if (f && pose) {
    if (its.before?.number === f.number) return; // judged again, or chosen again: the pose may have been changed by hand
    const was = its.before ?? { ...poseNow(), number: 0 };
    put({ clip: was.clip, seconds: was.seconds, ...pose });
    its.before = { ...was, number: f.number };
  } else if (its.before && desk.chosen.kind !== 'vertex' && desk.chosen.kind !== 'clip') {
    // a vertex is looked at in the pose that shows it, and the card of a clip in that clip
    const was = its.before;
    its.before = null;
    put(was);
    if (was.playing) {
      desk.playing = true;
      setStage({ playing: true });
      tell('time');
    }
  }
}

export function mountMoves() {
  on('chosen', follow);
  on('show', (c) => {
    if ('clip' in c && !its.posing) its.before = null;
  });
  on('fresh', () => {
    its.before = null;
    desk.move = null;
    setStage({ move: NO_MOVE });
  });
  on('rig', () => {
    // read again: the joint may have gone
    if (desk.move && !desk.figure?.byNode.has(desk.move.joint)) takeMove(null);
  });
}
