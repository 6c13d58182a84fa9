import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { test } from 'node:test';
import { apart, errors, folder, rigloupe, root } from './outside.js';

// The whole job on the command line: from three raw sculpts to a figure that walks with a coat and a swinging lantern.
// Nothing is told but what only a person knows: what is worn, and where the lantern hangs.

const dress = [
  { mend: 'fit', parameters: {} },
  { mend: 'bind', parameters: {} },
  { mend: 'rebind', parameters: { pose: 'T' } },
  { mend: 'part', parameters: { from: 'visitor.glb', surfaces: ['coat'], out: 0.01 } },
  { mend: 'part', parameters: { from: 'lantern.glb', surfaces: ['lantern on a chain'], lay: 'as it stands' } },
];
const finish = [
  { mend: 'follow', parameters: {} },
  { mend: 'thin', parameters: {} },
  { mend: 'sweep', parameters: {} },
];

/** @param {string} name @param {any[]} steps */
const plan = (name, steps) => writeFileSync(join(folder, name), JSON.stringify({ rigloupe_plan: 1, steps }));

/** Does the job on one sculpt and answers the plans' receipts. @param {string} sculpt @param {string} to */
function job(sculpt, to) {
  const receipts = [];
  writeFileSync(join(folder, 'clean.json'), rigloupe('mend', sculpt, '--suggest'));
  receipts.push(...JSON.parse(rigloupe('mend', sculpt, '--with', 'clean.json', '--out', `1-${to}`, '--json')));
  plan('dress.json', dress);
  receipts.push(...JSON.parse(rigloupe('mend', `1-${to}`, '--with', 'dress.json', '--part', 'visitor.glb', '--part', 'lantern.glb', '--out', `2-${to}`, '--json')));
  rigloupe('carry', 'stroll.bvh', `2-${to}`, '--out', `3-${to}`);
  plan('finish.json', finish);
  receipts.push(...JSON.parse(rigloupe('mend', `3-${to}`, '--with', 'finish.json', '--out', to, '--proof', `${to}.html`, '--json')));
  return receipts;
}

test('the job from end to end', async (t) => {
  execFileSync('go', ['test', '-count=1', '-run', '^TestScenario$', './inspect/cmd/rigloupe'], { cwd: root, env: { ...process.env, CGO_ENABLED: '0', RIGLOUPE_SCENARIO: folder } });
  const sculpts = ['large.glb', 'lopsided.glb', 'shaken.glb'];
  const rows = JSON.parse(rigloupe('lineup', ...sculpts, '--json'));
  assert.match(JSON.stringify(rows), /large\.glb/);
  // One seam is open by 0.1 mm: the one that cannot be bound as it stands comes last.
  assert.equal(rows.rows.at(-1).file, 'shaken.glb');
  for (const sculpt of sculpts)
    await t.test(sculpt, async () => {
      const receipts = job(sculpt, 'figure.glb');
      for (const r of receipts) assert.ok(r.kept, `${r.title}: ${r.why}`);
      const f = JSON.parse(rigloupe('examine', 'figure.glb', '--json', '--fail-on', 'never'));
      assert.deepEqual([f.summary.stop, f.summary.flaw], [0, 0], JSON.stringify(f.findings.map((/** @type {any} */ x) => [x.grade, x.title])));
      // A person 1.76 m high in a T-pose, as the sculptor meant it; sides alike before the lantern came.
      assert.ok(Math.abs(f.facts_of.intake.body_height - 1.76) < 0.03, f.facts_of.intake.body_height);
      const state = (/** @type {string} */ id) => f.checks.find((/** @type {any} */ c) => c.id === id)?.state;
      for (const id of ['motion/foot-skate', 'motion/under-ground', 'motion/loop-jump', 'motion/still-chain', 'binding/sum-off', 'intake/ignored-placement'])
        assert.ok(state(id) === 'clear' || id === 'motion/still-chain', `${id} is ${state(id)}`);
      assert.deepEqual(f.facts_of.motion.chains ?? [], []); // the lantern swings
      // As others see it.
      assert.deepEqual(await errors('figure.glb'), []);
      for (const at of [0, 0.31, 0.77, 1.2]) assert.ok((await apart('figure.glb', 'stroll', at)) < 1e-5);
      // The same again, by what stands on the proof sheet as well: the same bytes.
      const once = readFileSync(join(folder, 'figure.glb'));
      job(sculpt, 'again.glb');
      assert.ok(once.equals(readFileSync(join(folder, 'again.glb'))), 'done again it is another file');
      rigloupe('mend', '3-figure.glb', '--with', 'figure.glb.html', '--out', 'sheet.glb');
      assert.ok(once.equals(readFileSync(join(folder, 'sheet.glb'))), 'the plan on the sheet makes another file');
      const road = JSON.parse(rigloupe('road', 'figure.glb', '--json'));
      assert.equal(road.next, '', road.says);
    });
});
