import { chosenFinding, desk, on, tell } from '../state/desk.js';
import { ask } from '../talk/ask.js';
import { kept } from '../programs/keep.js';
import { takeRow } from './moves.js';
import { guarded } from '../talk/stage.js';
import { rooms } from '../state/rooms.js';

const its = rooms.places;

// What a finding inks over the figure, and the places it has, one after another.

/** Places of the finding that is chosen, and which of them is shown. @param {import('../state/types.js').Finding} f */
export const placesOf = (f) => (f.number === its.walk.number && f.id === its.walk.id ? { all: its.walk.places, at: its.walk.at } : { all: [], at: 0 });

/** The place of a finding that is shown, as the stage takes it; null: it has none of its own, or they are still to come. @param {import('../state/types.js').Finding} f */
export function placeNow(f) {
  const { all, at } = placesOf(f);
  const p = all[at];
  return p ? { ...p, vertex: p.vertices?.[0] } : null;
}

/** Brings the place that is shown to the front. @param {import('../state/types.js').Finding} f @returns {boolean} false: its places are not known */
export function showPlace(f) {
  const p = placeNow(f);
  its.wanted = p ? 0 : f.number;
  if (p) guarded((s) => s.frame(p));
  return p !== null;
}

/** The next place of the chosen finding, or the one before. @param {number} d */
export function nextPlace(d) {
  const f = chosenFinding();
  if (!f) return;
  const { all, at } = placesOf(f);
  if (all.length === 0) return tell('place', f);
  goTo(f, (at + d + all.length) % all.length);
}

/** The first place of a row of the chosen finding. @param {import('../state/types.js').Finding} f @param {number} row */
export function showRow(f, row) {
  const at = placesOf(f).all.findIndex((p) => (p.row ?? 0) === row);
  if (at >= 0) goTo(f, at);
  else takeRow(f, row); // a page without a picture, or places still to come: its pose at least
}

/** The row that is shown of a finding. @param {import('../state/types.js').Finding} f */
export function rowNow(f) {
  const { all, at } = placesOf(f);
  return all[at]?.row ?? 0;
}

/** Each row shows in a pose of its own. @param {import('../state/types.js').Finding} f @param {number} at */
function goTo(f, at) {
  its.walk.at = at;
  if (f.where.rows) takeRow(f, rowNow(f));
  showPlace(f);
  tell('places');
}

/** @param {Uint8Array|null} bytes */
function ink(bytes) {
  kept.overlay = bytes;
  guarded((s) => s.overlay(bytes));
}

/** Asks for what is inked: by the finding that is chosen, else around the joint; until it comes nothing is. */
async function follow() {
  const f = chosenFinding();
  const joint = !f && desk.section && desk.chosen.kind === 'joint' ? desk.chosen.node : -1;
  if (desk.phase === 'done' && (f || joint >= 0) && its.walk.joint === joint && its.walk.number === (f?.number ?? 0) && its.walk.id === (f?.id ?? '')) return;
  its.walk = { id: f?.id ?? '', number: desk.phase === 'done' ? (f?.number ?? 0) : 0, joint: desk.phase === 'done' ? joint : -1, places: [], at: 0 };
  ink(null);
  if ((!f && joint < 0) || desk.phase !== 'done') return; // the examiner answers one thing at a time
  const mine = its.walk;
  const m = await ask('overlay', f ? { number: f.number, joint: null } : { number: 0, joint });
  if (mine !== its.walk || !m) return;
  its.walk.places = m.places ?? [];
  ink(m.bytes ? new Uint8Array(m.bytes) : null);
  if (f) tell('places');
  if (f && its.wanted === f.number && desk.away) showPlace(f);
}

export function mountInk() {
  on('chosen', follow);
  on('phase', follow);
  on('show', (changed) => {
    if ('section' in changed) follow();
  });
  on('figure', () => {
    if (desk.phase === 'done') {
      its.walk = { id: '', number: 0, joint: -1, places: [], at: 0 }; // other limits: other numbers
      follow();
    }
  });
}
