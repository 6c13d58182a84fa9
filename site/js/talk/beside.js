import { giveBeside, kept } from '../programs/shell.js';
import { desk, on, show } from '../state/desk.js';
import { guarded, setStage, unwant } from './stage.js';

// Two figures side by side, by one camera, lens and time: the open one on the left, one of another file on the right.

/** @typedef {import('../programs/keep.js').Stood} Stood */

/** The figure that was on the desk before, where it is kept. */
export const olderFigure = () => (kept.older?.prepared ? kept.older : null);

/** The figure of the second file, where it is kept. */
export const secondFigure = () => (kept.second?.prepared ? kept.second : null);

/**
 * Stands a figure beside the open one.
 * @param {Stood} figure @param {{what: 'older'|'source', words: string, halves: [string, string], partners?: number[], otherClip?: number}} how
 * words: what is said of it; halves: what stands under the two; partners: pairs of an own node and the other's, else nodes go by their names; otherClip: what it plays while a clip is on, else the one of the same name
 */
export async function standBeside(figure, { what, words, halves, partners, otherClip = -1 }) {
  kept.beside = figure;
  unwant('partners');
  setStage({ halves, otherClip });
  show({ beside: { what, words } });
  const wrong = await giveBeside();
  if (wrong || kept.beside !== figure) return void (wrong && takeBesideAway());
  if (!partners) return; // one figure twice: the place that is looked at is the same in both
  setStage({ partners });
  guarded((s) => s.frameAll());
}

/** The open figure stands alone again. */
export function takeBesideAway() {
  if (!desk.beside) return;
  stoodAlone();
  giveBeside();
}

/** Nothing stands beside it any more: a figure on trial, or another file, takes the place. */
export function stoodAlone() {
  kept.beside = null;
  unwant('partners');
  setStage({ halves: ['', ''], otherClip: -1 });
  if (desk.beside) show({ beside: null });
}

on('fresh', () => {
  kept.second = null;
  stoodAlone();
});
