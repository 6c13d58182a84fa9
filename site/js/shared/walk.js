import { mainChild } from './tree.js';
import { choose, chosenJoint, desk } from '../state/desk.js';
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

/** @param {number} d */
export function finding(d) {
  const all = (desk.figure?.findings ?? []).filter((f) => sieve.shown.has(f.grade));
  if (all.length === 0) return;
  const now = desk.chosen.kind === 'finding' ? desk.chosen.number : d > 0 ? 0 : Infinity;
  const next = d > 0 ? (all.find((f) => f.number > now) ?? all[0]) : (all.findLast((f) => f.number < now) ?? all[all.length - 1]);
  choose({ kind: 'finding', number: next.number }, { turn: true });
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
