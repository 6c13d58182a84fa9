import { chosenFinding, desk, on, show, tell } from './desk.js';
import { ask } from './examine.js';
import { kept } from './keep.js';
import { guarded } from './stage.js';

// What a finding inks over the figure, and the places it has, one after another.

/** @type {{id: string, number: number, joint: number, places: any[], at: number}} */
let walk = { id: '', number: 0, joint: -1, places: [], at: 0 };

/** Places of the finding that is chosen, and which of them is shown. @param {import('./types.js').Finding} f */
export const placesOf = (f) => (f.number === walk.number && f.id === walk.id ? { all: walk.places, at: walk.at } : { all: [], at: 0 });

/** The next place of the chosen finding, or the one before. @param {number} d */
export function nextPlace(d) {
  const f = chosenFinding();
  if (!f) return;
  const { all, at } = placesOf(f);
  if (all.length === 0) return tell('place', f);
  walk.at = (at + d + all.length) % all.length;
  guarded((s) => s.frame(all[walk.at]));
  if (desk.from !== '') show({ from: '' });
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
  if (desk.phase === 'done' && (f || joint >= 0) && walk.joint === joint && walk.number === (f?.number ?? 0) && walk.id === (f?.id ?? '')) return;
  walk = { id: f?.id ?? '', number: desk.phase === 'done' ? (f?.number ?? 0) : 0, joint: desk.phase === 'done' ? joint : -1, places: [], at: 0 };
  ink(null);
  if ((!f && joint < 0) || desk.phase !== 'done') return; // the examiner answers one thing at a time
  const mine = walk;
  const m = await ask('overlay', f ? { number: f.number } : { joint });
  if (mine !== walk || !m) return;
  walk.places = m.places ?? [];
  ink(m.bytes ? new Uint8Array(m.bytes) : null);
  if (f) tell('places');
}

export function mountInk() {
  on('chosen', follow);
  on('phase', follow);
  on('show', (changed) => {
    if ('section' in changed) follow();
  });
  on('figure', () => {
    if (desk.phase === 'done') {
      walk = { id: '', number: 0, joint: -1, places: [], at: 0 }; // other limits: other numbers
      follow();
    }
  });
}
