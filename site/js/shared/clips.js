import { choose, desk, show, tell } from '../state/desk.js';
import { turnTo } from './moves.js';
import { NO_MOVE, setStage } from '../talk/stage.js';

/** @typedef {import('../state/types.js').Clip} Clip */

/** The clip that runs or is held. */
export const clipNow = () => desk.figure?.clips.find((c) => c.clip === desk.clip) ?? null;

/** Thirtieths of a clip's seconds, at most 20,000: what a step goes by. @param {Clip} c @returns {number[]} */
export function stepsOf(c) {
  const from = Math.floor(c.start * 30 + 1e-6),
    steps = Math.max(0, Math.ceil(c.seconds * 30 - 1e-6) - from),
    by = Math.max(1, Math.ceil(steps / 20000)); // of a clip of hours every so many
  return Array.from({ length: Math.floor(steps / by) + 1 }, (_, i) => Math.max(c.start, Math.min((from + i * by) / 30, c.seconds)));
}

/** The place in a sorted list: last entry that is not after t. @param {number[]} times @param {number} t */
export function keyAt(times, t) {
  let lo = 0,
    hi = times.length - 1;
  while (lo < hi) {
    const mid = (lo + hi + 1) >> 1;
    if (times[mid] <= t + 1e-4) lo = mid;
    else hi = mid - 1;
  }
  return lo;
}

/** @param {number} d steps on or back */
export function stepKey(d) {
  if (desk.move) {
    run(false);
    turnTo(desk.move.degrees + 5 * d);
    return;
  }
  const c = clipNow() ?? desk.figure?.clips[0];
  if (!c) return;
  if (desk.clip !== c.clip) takeClip(c.clip);
  const times = stepsOf(c);
  const at = keyAt(times, desk.seconds);
  const to = d < 0 && desk.seconds > times[at] + 1e-4 ? at : at + d;
  run(false);
  seek(times[Math.max(0, Math.min(times.length - 1, to))]);
}

/** @param {number} s */
export function seek(s) {
  desk.seconds = s;
  setStage({ seconds: s });
  tell('time');
}

/** @param {boolean} [playing] */
export function run(playing = !desk.playing) {
  const clips = desk.figure?.clips ?? [];
  if (playing === desk.playing || (clips.length === 0 && !desk.move)) return;
  if (playing && desk.clip < 0 && !desk.move) takeClip(clips[0].clip);
  desk.playing = playing;
  setStage({ playing });
  tell('time');
}

/** @param {number} clip -1: rest */
export function takeClip(clip) {
  const seconds = desk.figure?.clips.find((c) => c.clip === clip)?.start ?? 0;
  show({ clip, seconds, move: null });
  setStage({ clip, seconds, move: NO_MOVE });
  if (clip < 0 && desk.playing) run(false);
  tell('time');
}

/** Linear blend, dual quaternion, or both side by side. @param {string} method */
export function takeWay(method) {
  setStage({ method: method === 'dual' ? 'dual' : 'linear', split: method === 'both' });
  show({ method });
}

/** Takes a clip and shows it joint by joint. @param {number} clip */
export function openClip(clip) {
  if (desk.clip !== clip) takeClip(clip);
  choose({ kind: 'clip', clip });
}
