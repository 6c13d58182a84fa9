import { writeLink } from '../base/link.js';
import { choose, chosenJoint, desk, show } from '../state/desk.js';
import { clipNow, seek, takeClip, takeWay } from './clips.js';
import { copy } from './save.js';
import { takeMove } from './moves.js';

// What is shown, as a link: it names side, lens, joint, clip and moment, and takes them up again on whatever figure is open.

/** @typedef {import('../base/link.js').Link} Link */

/** @returns {Link} */
export function linkNow() {
  const name = (/** @type {number} */ node) => desk.figure?.byNode.get(node)?.name ?? '';
  const clip = desk.move ? null : clipNow();
  return {
    view: desk.from || 'three-quarter',
    lens: desk.lens,
    joint: chosenJoint()?.name,
    method: desk.method === 'linear' ? undefined : desk.method,
    clip: clip?.name,
    at: clip ? desk.seconds : undefined,
    move: desk.move ? { joint: name(desk.move.joint), axis: desk.move.axis, degrees: desk.move.degrees } : undefined,
  };
}

export const copyLink = () => copy(`${location.href.split('#')[0]}#${writeLink(linkNow())}`, 'a link to this view is copied; it holds no model');

/** Shows what a link says, as far as the open figure has it. @param {Link} l @param {(from: string) => void} seen the figure from a side */
export function takeLink(l, seen) {
  const f = desk.figure;
  if (!f) return;
  const called = (/** @type {string|undefined} */ name) => f.joints.find((j) => j.name === name)?.node;
  const joint = called(l.joint), turned = called(l.move?.joint), clip = f.clips.find((c) => c.name === l.clip);
  if (joint !== undefined) choose({ kind: 'joint', node: joint });
  if (clip) {
    takeClip(clip.clip);
    seek(Math.min(clip.seconds, Math.max(clip.start, l.at ?? clip.start)));
  } else if (l.move && turned !== undefined) takeMove({ joint: turned, axis: l.move.axis, degrees: l.move.degrees });
  if (l.method && ['linear', 'dual', 'both'].includes(l.method)) takeWay(l.method);
  if (l.lens) show({ lens: l.lens, byHand: true });
  if (l.view) seen(l.view);
}
