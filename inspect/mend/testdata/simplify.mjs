// Takes a surface as JSON from standard input, { positions, corners, lock, extra, width, weight,
// target }, and prints the corners that the npm package meshoptimizer leaves. Called from site.
import { createRequire } from 'node:module';
import { readFileSync } from 'node:fs';
import { pathToFileURL } from 'node:url';
const from = createRequire(process.cwd() + '/');
const { MeshoptSimplifier: S } = await import(pathToFileURL(from.resolve('meshoptimizer/simplifier')).href);
await S.ready;
const m = JSON.parse(readFileSync(0, 'utf8'));
const corners = Uint32Array.from(m.corners), positions = Float32Array.from(m.positions);
const lock = m.lock ? Uint8Array.from(m.lock) : null;
const [out] = m.width
  ? S.simplifyWithAttributes(corners, positions, 3, Float32Array.from(m.extra), m.width, Array(m.width).fill(m.weight), lock, m.target, 1, m.flags)
  : S.simplify(corners, positions, 3, m.target, 1, m.flags);
process.stdout.write(JSON.stringify(Array.from(out)));
