import assert from 'node:assert/strict';
import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, relative } from 'node:path';
import { test } from 'node:test';
import { fileURLToPath } from 'node:url';

// What a person sees is a room; a room knows what all rooms stand on, and no other room.
// Imports point one way, as in inspect/imports_test.go.

const js = fileURLToPath(new URL('../js', import.meta.url));

/** What every room stands on, from the ground up: each may know those before it. */
const GROUND = ['base', 'state', 'programs', 'talk', 'shared'];
const ROOMS = ['first', 'head', 'ledger', 'card', 'stage', 'strip', 'matching', 'mending', 'lineup', 'lessons', 'offline', 'report', 'find', 'road', 'files', 'tour'];
/** At the top: they furnish all rooms, and so know them all. */
const HOUSE = ['page.js', 'shortcuts.js', 'start.js'];

/** All modules with what they import, as paths below js/. */
function modules() {
  const out = new Map();
  for (const f of readdirSync(js, { recursive: true })) {
    const name = String(f).replaceAll('\\', '/');
    if (!name.endsWith('.js')) continue;
    const text = readFileSync(join(js, name), 'utf8').replace(/\/\*[^]*?\*\/|^\s*\/\/.*$/gm, ''); // types in comments bind nothing
    out.set(name, [...text.matchAll(/(?:from|import|import\()\s*'(\.[^']+)'/g)].map((m) => relative(js, join(js, dirname(name), m[1])).replaceAll('\\', '/')));
  }
  return out;
}

/** Why one may not import the other; empty: it may. @param {string} from @param {string} to */
export function wrong(from, to) {
  const [a, b] = [from, to].map((n) => n.split('/')[0]);
  if (HOUSE.includes(from) || a === b) return '';
  if (ROOMS.includes(a)) return GROUND.includes(b) ? '' : `the room ${a} knows ${to}: rooms know only ${GROUND.join(', ')}; page.js hands one what it needs of another`;
  if (!GROUND.includes(a)) return `${from} stands in a folder that is neither a room nor ground`;
  return GROUND.indexOf(b) >= 0 && GROUND.indexOf(b) < GROUND.indexOf(a) ? '' : `${from} knows ${to}, which stands above it`;
}

test('rooms know what they stand on, and not one another', () => {
  const all = modules();
  assert.ok(all.size > 60 && [...all.values()].flat().length > 200, 'the imports are found');
  for (const room of [...GROUND, ...ROOMS]) assert.ok([...all.keys()].some((n) => n.startsWith(`${room}/`)), `${room} is empty`);
  const faults = [...all].flatMap(([from, list]) => list.map((to) => (all.has(to) ? wrong(from, to) : `${from} imports ${to}, which is not there`))).filter(Boolean);
  assert.deepEqual(faults, []);
});

test('the rule sees what it forbids', () => {
  for (const [from, to] of [['ledger/ledger.js', 'card/card.js'], ['base/dom.js', 'state/desk.js'], ['talk/stage.js', 'shared/clips.js'], ['shared/clips.js', 'page.js'], ['card/card.js', 'shortcuts.js'], ['new/thing.js', 'base/dom.js']])
    assert.notEqual(wrong(from, to), '', `${from} → ${to}`);
  for (const [from, to] of [['ledger/ledger.js', 'ledger/station.js'], ['card/card.js', 'shared/clips.js'], ['shared/clips.js', 'talk/stage.js'], ['page.js', 'card/card.js']]) assert.equal(wrong(from, to), '');
});
