import { h, must } from '../base/dom.js';
import { choose, desk, on, ranked, tell } from '../state/desk.js';
import { placeNow } from '../shared/places.js';
import { part } from '../base/slices.js';
import { guarded, lensReads, setStage } from '../talk/stage.js';
import { count, inUnit, measured, roleWords, some } from '../base/words.js';

/** How long a finger rests until it probes, milliseconds. */
const LONG = 500;

/** Turns of a wheel that follow each other faster are one change of the view, milliseconds. */
const PAUSE = 600;

/** Drag turns, wheel or two fingers near, Shift-drag or two fingers shift; a click chooses; hover shows and never moves. */
export function mountPad() {
  const pad = must('pad');
  /** @type {Map<number, {x: number, y: number}>} */
  const down = new Map();
  let start = { x: 0, y: 0 },
    moved = false,
    hoverAsked = 0,
    long = 0,
    wheeled = -Infinity;

  const at = (/** @type {PointerEvent|WheelEvent} */ e) => ({ x: e.clientX, y: e.clientY });

  pad.addEventListener('pointerdown', (e) => {
    if (e.button > 1 && e.pointerType === 'mouse') return;
    pad.setPointerCapture(e.pointerId);
    down.set(e.pointerId, at(e));
    clearTimeout(long);
    if (down.size === 1) {
      start = at(e);
      moved = false;
      if (e.pointerType === 'touch') long = window.setTimeout(() => probeAt(start.x, start.y), LONG);
    } else {
      if (!moved) guarded((s) => s.keepView());
      moved = true;
    }
  });
  pad.addEventListener('pointermove', (e) => {
    const was = down.get(e.pointerId);
    if (!was) return hover(e);
    const now = at(e);
    if (!moved && Math.hypot(now.x - start.x, now.y - start.y) < 4) return;
    if (!moved) {
      moved = true;
      clearTimeout(long);
      guarded((s) => s.keepView());
      pad.classList.add('turning');
      unname();
    }
    if (down.size === 2) pinch(e.pointerId, was, now);
    else if (e.shiftKey || e.buttons & 4) guarded((s) => s.shift(now.x - was.x, now.y - was.y));
    else guarded((s) => s.turn(now.x - was.x, now.y - was.y));
    down.set(e.pointerId, now);
  });
  /** @param {number} id @param {{x: number, y: number}} was @param {{x: number, y: number}} now */
  function pinch(id, was, now) {
    const other = [...down].find(([k]) => k !== id)?.[1];
    if (!other) return;
    const before = Math.hypot(was.x - other.x, was.y - other.y),
      after = Math.hypot(now.x - other.x, now.y - other.y);
    guarded((s) => {
      if (before > 1 && after > 1) s.near(after / before, (now.x + other.x) / 2, (now.y + other.y) / 2);
      s.shift((now.x - was.x) / 2, (now.y - was.y) / 2);
    });
  }
  const up = (/** @type {PointerEvent} */ e) => {
    if (!down.delete(e.pointerId)) return;
    clearTimeout(long);
    pad.classList.remove('turning');
    if (down.size === 0 && !moved && e.type === 'pointerup') click(e);
  };
  pad.addEventListener('pointerup', up);
  pad.addEventListener('pointercancel', up);
  pad.addEventListener(
    'wheel',
    (e) => {
      e.preventDefault();
      const now = performance.now();
      if (now - wheeled > PAUSE) guarded((s) => s.keepView());
      wheeled = now;
      const lines = e.deltaMode === 1 ? 16 : e.deltaMode === 2 ? 120 : 1;
      guarded((s) => s.near(Math.exp(-e.deltaY * lines * (e.ctrlKey ? 0.01 : 0.0016)), e.clientX, e.clientY));
    },
    { passive: false },
  );
  pad.addEventListener('pointerleave', unname);
  pad.addEventListener('dblclick', () => {
    guarded((s) => s.frameAll());
  });
  pad.addEventListener('contextmenu', (e) => e.preventDefault());

  /** @param {PointerEvent} e */
  function click(e) {
    pad.focus({ preventScroll: true });
    const hit = guarded((s) => s.pick(e.clientX, e.clientY));
    const c = choiceOf(hit);
    if (e.shiftKey && measure(c)) return;
    if (c) choose(c);
    else if (hit && desk.chosen.kind !== 'none') choose({ kind: 'none' });
  }

  /** A finger that rests means the surface, whatever joint or pointer stands over it. @param {number} x @param {number} y */
  function probeAt(x, y) {
    moved = true; // lifting it is no tap
    const hit = guarded((s) => s.pick(x, y));
    if (hit && hit.surface >= 0) choose({ kind: 'vertex', surface: hit.surface, vertex: hit.vertex });
  }

  /** From the chosen vertex to another: how far, as posed. @param {import('../state/types.js').Chosen|null} to @returns {boolean} there were two */
  function measure(to) {
    const from = desk.chosen;
    if (from.kind !== 'vertex' || to?.kind !== 'vertex') return false;
    const says = guarded((s) => s.length(from.surface, from.vertex, to.surface, to.vertex));
    const pose = desk.clip < 0 && !desk.move ? 'at rest' : 'as posed';
    tell('say', says === null ? 'One of the two is not drawn.' : `From vertex ${count(from.vertex)} to vertex ${count(to.vertex)}: ${says}, ${pose}.`);
    return true;
  }

  /** @param {PointerEvent} e */
  function hover(e) {
    if (hoverAsked || e.pointerType === 'touch') return;
    hoverAsked = requestAnimationFrame(() => {
      hoverAsked = 0;
      if (down.size > 0) return;
      const hit = guarded((s) => s.hover(e.clientX, e.clientY));
      name(choiceOf(hit), e.clientX, e.clientY, hit && hit.other >= 0 ? hit.name : '');
    });
  }

  let named = '',
    later = 0;
  /** The name at once; after 400 ms one line more. @param {import('../state/types.js').Chosen|null} c @param {number} x @param {number} y @param {string} [other] name of a joint of the figure beside this one */
  function name(c, x, y, other = '') {
    const label = must('hover-name');
    const own = hoverWords(c);
    const [words, more] = other ? [other, own[0] ? `stands for ${own[0]}` : 'stands for no joint of this figure'] : own;
    pad.classList.toggle('over', c !== null);
    label.hidden = !words;
    if (named !== words) {
      named = words;
      clearTimeout(later);
      label.replaceChildren(inUnit(words));
      if (more) later = window.setTimeout(() => label.append(h('small', {}, more)), 400);
    }
    label.style.translate = `${Math.min(x + 14, innerWidth - label.offsetWidth - 8)}px ${y - 30}px`;
  }
  function unname() {
    name(null, 0, 0);
    guarded((s) => s.hover(-1, -1));
  }

  on('places', () => setStage({ chosen: stageChoice() }));
  on('chosen', () => setStage({ chosen: stageChoice(), joint: desk.joint }));
  let told = '';
  on('figure', part(() => {
    const list = pointerList(),
      as = JSON.stringify(list);
    if (as === told) return; // the stage would draw the same again
    told = as;
    setStage({ pointerList: list });
  }).later);
  on('fresh', () => {
    told = '[]';
    setStage({ chosen: { kind: 'none' }, joint: -1, pointerList: [] });
  });
}

/** What lies under the pointer: its name, and one line. @param {import('../state/types.js').Chosen|null} c @returns {[string, string]} */
function hoverWords(c) {
  if (c?.kind === 'joint') {
    const j = desk.figure?.byNode.get(c.node);
    return j
      ? [
          j.name,
          [j.role && roleWords(j.role), j.held && (j.idle ? 'holds no vertex' : `holds ${some(j.held.vertices, 'vertex', 'vertices')}`)]
            .filter(Boolean)
            .join(', '),
        ]
      : ['', ''];
  }
  if (c?.kind === 'vertex') return [lensReads(c.surface, c.vertex), ''];
  const f = c?.kind === 'finding' ? desk.figure?.findings[c.number - 1] : null;
  return f ? [f.title, [measured(f.measures[0]), f.subject].filter(Boolean).join(', ')] : ['', ''];
}

/** What the stage found under a pixel, as a choice. @param {Wire.Hit|null} hit @returns {import('../state/types.js').Chosen|null} */
export function choiceOf(hit) {
  if (!hit) return null;
  if (hit.kind === 'finding' && hit.number > 0) return { kind: 'finding', number: hit.number };
  if (hit.kind === 'joint' && hit.node >= 0) return { kind: 'joint', node: hit.node };
  if (hit.kind === 'vertex' && hit.surface >= 0) return { kind: 'vertex', surface: hit.surface, vertex: hit.vertex };
  return null;
}

/** What the stage is told to mark, and to enlarge: of a finding also its place, that of several which is shown. */
function stageChoice() {
  const c = desk.chosen;
  if (c.kind === 'clip') return { kind: 'none' }; // a clip has no place
  if (c.kind !== 'finding') return c;
  const f = desk.figure?.findings[c.number - 1];
  return { ...(f && (placeNow(f) ?? placeOf(f))), kind: 'finding', number: c.number };
}

/** Findings with a place, as the verdict ranks them: what the pointers on the plate point at. */
export function pointerList() {
  return ranked().map(placeOf).filter((k) => k !== null);
}

/**
 * Where the stage should look for a finding: a vertex, else a node, else a point. Null: it has no place.
 * @param {import('../state/types.js').Finding} f
 */
export function placeOf(f) {
  const w = f.where,
    p = w.places?.find((x) => x.vertices.length > 0);
  const key = { number: f.number, grade: f.grade };
  if (p) return { ...key, surface: p.surface, primitive: p.primitive, vertex: p.vertices[0], vertices: p.vertices, point: w.point ?? undefined, extent: 0 };
  const extent = 2 * (w.extent ?? 0); // the document tells a radius, the stage takes what it is across
  if (w.point) return { ...key, point: w.point, extent };
  const node = w.joints?.[0]?.node ?? w.nodes?.[0];
  return node === undefined ? null : { ...key, node, extent };
}
