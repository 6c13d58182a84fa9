import assert from 'node:assert/strict';
import { readdirSync, readFileSync } from 'node:fs';
import { test } from 'node:test';
import { fileURLToPath } from 'node:url';
import { foundIn, namedIn } from '../js/shared/moves.js';
import { desk, ranked, told } from '../js/state/desk.js';

// A puzzle is none where the search, the card, the strip or the state line tells what is wrong before it is asked for.

const move = { joint: 4, axis: 'flexion', degrees: 30 };
const one = { number: 1, id: 'bends/shrinks', station: 'bends', grade: 'flaw', where: { move, joints: [{ node: 4 }, { node: 5 }] } };

test('what was found is not told while it is covered', () => {
  desk.figure = /** @type {any} */ ({ findings: [one], doc: { verdict: { order: [1] } } });
  const all = () => [told().length, ranked().length, foundIn(move).length, namedIn({ ...move, joint: 5 }).length];
  assert.deepEqual(all(), [1, 1, 1, 1]);
  desk.covered = true;
  assert.deepEqual(all(), [0, 0, 0, 0]);
  desk.covered = false;
  assert.deepEqual(all(), [1, 1, 1, 1]);
  desk.figure = null;
});

// What a check came to, and a row of the line-up, name the answer as well.
test('no part reads the outcome of a check past the cover', () => {
  const js = fileURLToPath(new URL('../js', import.meta.url));
  for (const [name, rule] of [['ledger/checks.js', /desk\.covered \? \[\] : desk\.figure\?\.stations/], ['lineup/lineup.js', /openFigure\(\) \{\n[^\n]*desk\.covered[^\n]*return null/], ['mending/mending.js', /desk\.covered \? tell\('say', COVERED\) : showAll/]])
    assert.match(readFileSync(`${js}/${name}`, 'utf8'), rule, name);
});

/** Parts that list findings past the cover, and why they may. */
const MAY = {
  'state/desk.js': 'covers them, and looks one up by the number that was chosen',
  'talk/': 'reads and compares documents; shows nothing',
  'lessons/': 'shows the answer once it is asked for',
  'mending/': 'a mend is begun from the ledger or a finding, and both are covered',
  'lineup/': 'a room of its own with other figures',
  'ledger/': 'is covered itself',
  'road/': 'is covered itself',
  'stage/pad.js': 'looks one up by the number that was chosen',
  'head/': 'says that it is covered',
  'report/': 'is refused while they are covered',
};

test('no part lists findings past the cover', () => {
  const js = fileURLToPath(new URL('../js', import.meta.url));
  const past = readdirSync(js, { recursive: true }).map((n) => String(n).replaceAll('\\', '/')).filter((n) => n.endsWith('.js') && /desk\.figure\??\.findings/.test(readFileSync(`${js}/${n}`, 'utf8')));
  assert.ok(past.includes('state/desk.js'), 'they are found');
  assert.deepEqual(past.filter((n) => !Object.keys(MAY).some((m) => n.startsWith(m))), []);
});
