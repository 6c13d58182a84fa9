import { mainChild } from './tree.js';
import { choose, chosenJoint, desk, ranked } from '../state/desk.js';
import { probe } from '../talk/stage.js';
import { sieve } from '../state/rooms.js';

// From one choice to the next by keys: stations, findings, joints.

/** @param {number} i */
export function station(i) {
  const li = document.querySelectorAll('#ledger .stations > li')[i];
  const d = li?.querySelector('details');
  if (!d) return;
  d.open = true;
  document.body.dataset.tab = 'ledger';
  d.querySelector('summary')?.focus();
  li.scrollIntoView({ block: 'nearest' });
}

/** From the weightiest finding on, as the verdict ranks them; what the sifters hide is left out. @param {number} d 1 or −1 */
export function finding(d) {
  const all = ranked(), now = desk.chosen.kind === 'finding' ? desk.chosen.number : 0;
  const at = all.findIndex((f) => f.number === now);
  for (let k = 1; k <= all.length; k++) {
    const f = all[((at < 0 && d < 0 ? 0 : at) + d * k + 2 * all.length) % all.length];
    if (sieve.shown.has(f.grade)) return choose({ kind: 'finding', number: f.number }, { turn: true });
  }
}

/** @param {import('../state/types.js').Joint|undefined|null} j */
const take = (j) => {
  if (j) choose({ kind: 'joint', node: j.node });
};

/** @param {number} d */
export function neighbour(d) {
  const all = desk.figure?.joints ?? [],
    by = desk.figure?.byNode;
  const j = chosenJoint();
  if (!j) return take(all[0]);
  const row =
    j.parent === null
      ? all.filter((x) => x.parent === null)
      : (by?.get(j.parent)?.children ?? []).map((n) => by?.get(n)).filter((x) => x !== undefined);
  take(row.length > 1 ? row[(row.indexOf(j) + d + row.length) % row.length] : all[(all.indexOf(j) + d + all.length) % all.length]);
}
export function parent() {
  const j = chosenJoint();
  take(!j ? desk.figure?.joints[0] : j.parent === null ? null : desk.figure?.byNode.get(j.parent));
}
export function child() {
  const j = chosenJoint();
  take(!j ? desk.figure?.joints[0] : desk.figure && mainChild(j, desk.figure.byNode));
}
export function partner() {
  if (desk.chosen.kind === 'vertex') {
    const p = probe(desk.chosen.surface, desk.chosen.vertex);
    if (p && p.partner >= 0) choose({ kind: 'vertex', surface: p.partnerSurface, vertex: p.partner });
    return;
  }
  const n = chosenJoint()?.partner;
  take(n === null || n === undefined ? null : desk.figure?.byNode.get(n));
}
