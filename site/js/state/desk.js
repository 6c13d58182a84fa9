// What lies on the desk: the one state that the cards share, and the news of its changes.

/** @typedef {import('./types.js').Figure} Figure */
/** @typedef {import('./types.js').Chosen} Chosen */

export const desk = {
  /** @type {'first'|'examining'|'done'} */ phase: 'first',
  /** @type {Figure|null} */ figure: null,
  /** @type {import('./types.js').CatalogueStation[]} */ catalogue: [],
  /** @type {Chosen} */ chosen: { kind: 'none' },
  /** joint whose influence is shown; -1: none @type {number} */ joint: -1,
  lens: 'painted',
  /** the lens was taken by hand: a choice of another joint or finding leaves it, unless it shows no values */ byHand: false,
  /** the lens to go back to when nothing chosen asks for another: the one last taken by hand */ ownLens: 'painted',
  /** -1: rest pose */ clip: -1,
  /** the move of the bend set that is shown instead @type {import('./types.js').Move|null} */ move: null,
  seconds: 0,
  playing: false,
  speed: 1,
  /** linear, dual, or both side by side */ method: 'linear',
  /** the side it is seen from, as the stage says; empty: none of those with a name */ from: 'three-quarter',
  /** a place is shown, and there is a way back */ away: false,
  bones: true,
  pointers: true,
  loupe: true,
  /** the section around the chosen joint is inked */ section: false,
  /** weld distance in metres that the lens of that name is asked for; 0: the suggested one */ weld: 0,
  /** limits changed in the page, by check and name @type {Record<string, Record<string, number>>} */ limits: {},
  /** what was found is not told: a puzzle waits for its answer */ covered: false,
  /** what of the figure no picture shows, a sentence each @type {string[]} */ left: [],
  /** why there is no picture, a sentence; empty: there is one */ noPicture: '',
  /** triangles that the last picture leaves out */ layered: 0,
  /** clips carried over from a second file: they stand behind the figure's own @type {import('./types.js').Clip[]} */ carried: [],
  /** the part of the window that the figure is fitted into: widths of the bars at top, right, bottom, left; of which window width */ free: { inset: [0, 0, 0, 0], width: 1 },
  /** what the kept mends changed in the findings @type {{gone: import('./types.js').Finding[], hidden: string[], of: Map<number, string>}|null} */ mended: null,
  /** what stands beside the figure: the same one as it was read before, or the one whose motion it takes; null: nothing @type {{what: 'older'|'source', words: string}|null} */ beside: null,
  /** what changed since the figure was read before @type {import('../talk/changes.js').Since|null} */ changes: null,
};

const news = new EventTarget();

/**
 * Kinds: figure (a new document), fresh (a new file), chosen, show (any of lens, clip, view, marks), time, phase, progress, say.
 * @param {string} kind @param {(detail: any) => void} fn
 */
export const on = (kind, fn) => news.addEventListener(kind, (e) => fn(/** @type {CustomEvent} */ (e).detail));

/** @param {string} kind @param {any} [detail] */
export const tell = (kind, detail) => {
  news.dispatchEvent(new CustomEvent(kind, { detail }));
};

/** One click is a choice, and the other parts follow it. @param {Chosen} chosen @param {{turn?: boolean}} [how] turn: bring the place to the front */
export function choose(chosen, how = {}) {
  desk.chosen = chosen;
  if (chosen.kind === 'joint') desk.joint = chosen.node;
  if (chosen.kind === 'finding') {
    desk.joint = jointOf(desk.figure?.findings[chosen.number - 1]) ?? desk.joint;
  }
  tell('chosen', how);
}

/** @param {Partial<typeof desk>} changed */
export function show(changed) {
  Object.assign(desk, changed);
  if (changed.byHand && changed.lens) desk.ownLens = changed.lens;
  tell('show', changed);
}

/** The lens that fits what is chosen, or none: then that of the choice before goes. A lens of values that was taken by hand stays. @param {string|undefined} lens */
export function suggest(lens) {
  if (desk.byHand && desk.lens !== 'painted' && desk.lens !== 'plain') return;
  const to = lens ?? desk.ownLens;
  if (to !== desk.lens) show({ lens: to, byHand: false });
}

/** What was found, as far as it may be told. @returns {import('./types.js').Finding[]} */
export const told = () => (desk.covered ? [] : (desk.figure?.findings ?? []));

/** The findings as the verdict ranks them, the weightiest first; none while they are covered. */
export const ranked = () => {
  const f = desk.covered ? null : desk.figure;
  return f ? f.doc.verdict.order.flatMap((n) => f.findings[n - 1] ?? []) : [];
};

/** The finding that is chosen. */
export const chosenFinding = () => (desk.chosen.kind === 'finding' ? (desk.figure?.findings[desk.chosen.number - 1] ?? null) : null);

/** The joint that is chosen, itself or by its finding. */
export function chosenJoint() {
  const node = desk.chosen.kind === 'joint' ? desk.chosen.node : jointOf(chosenFinding());
  return node === undefined ? null : (desk.figure?.byNode.get(node) ?? null);
}

/** The joint that a finding is about: not where it is about the whole figure, or about many. @param {import('./types.js').Finding|null|undefined} f */
export function jointOf(f) {
  const joints = f?.where.joints ?? [];
  return f && joints.length > 0 && joints.length < 3 && f.station !== 'intake' && f.station !== 'surface' ? joints[0].node : undefined;
}
