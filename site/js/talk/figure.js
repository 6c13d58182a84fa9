/** The order of the work. What this build has of it is told by its catalogue. @type {[string, string, string][]} */
export const ROUTE = [
  ['intake', 'Intake', 'size, scale, placement, how heavy the file is'],
  ['surface', 'Surface', 'whether the mesh is fit to be bound'],
  ['skeleton', 'Skeleton', 'joints: where they stand, what they are called'],
  ['binding', 'Binding', 'which joint holds which vertex, and how firmly'],
  ['bends', 'Bends', 'every joint through its range, and what the surface does'],
  ['motion', 'Motion', 'clips: what moves, slides, jumps or stays still'],
];

/** A document in which nothing is found yet. @param {string} name of the file @returns {Wire.Examination} */
export const blank = (name) => ({
  facts: 1,
  program: '',
  file: { name, bytes: 0, kind: '', generator: null, version: null, extensions_used: [], extensions_required: [], remarks: [] },
  summary: { stop: 0, flaw: 0, note: 0, not_looked_at: 0, clear: 0, checks: 0, findings: 0, note_rows: 0 },
  verdict: { state: '', says: '', matter: [], order: [] },
  findings: [],
  folds: [],
  checks: [],
  stations: [],
  joints: [],
  facts_of: {},
});

/**
 * The document as the page needs it.
 * @param {string} json @param {Wire.Examination} doc the same, read @param {import('../state/types.js').CatalogueStation[]} catalogue
 * @param {{running: boolean, now?: string}} how now: the station at work
 * @returns {import('../state/types.js').Figure}
 */
export function readFigure(json, doc, catalogue, how) {
  const findings = doc.findings.map((f) => ({ ...f, subject: f.subject || placeWords(f.where) }));
  const joints = readJoints(doc);
  return {
    doc,
    json,
    file: doc.file,
    joints,
    byNode: new Map(joints.map((j) => [j.node, j])),
    findings,
    running: how.running,
    stations: readStations(doc, findings, catalogue, how),
    clips: (doc.facts_of.motion?.clips ?? []).map((c) => ({
      clip: c.clip,
      name: c.name || `clip ${c.clip}`,
      start: c.start_seconds,
      seconds: c.seconds,
      facts: c,
    })),
  };
}

/** Another station is at work, or none any more: the document stays. @param {import('../state/types.js').Figure} f @param {import('../state/types.js').CatalogueStation[]} catalogue @param {{running: boolean, now?: string}} how */
export function restate(f, catalogue, how) {
  f.running = how.running;
  f.stations = readStations(f.doc, f.findings, catalogue, how);
}

/** A place in words, where the engine gave none. @param {import('../state/types.js').Where} w */
export function placeWords(w) {
  const names = w.joints.map((j) => j.name || `node ${j.node}`);
  if (names.length > 0) return names.length > 3 ? `${names.slice(0, 3).join(', ')} and ${names.length - 3} more` : names.join(', ');
  if (w.mesh !== null) return `mesh ${w.mesh}${w.vertex_total ? `, ${w.vertex_total} ${w.vertex_total === 1 ? 'vertex' : 'vertices'}` : ''}`;
  if (w.nodes.length > 0) return `node ${w.nodes.slice(0, 3).join(', ')}`;
  if (w.clip !== null) return `clip ${w.clip}`;
  return '';
}

/**
 * Joints in tree order: those of the document, with what Skeleton measured where that ran, and what Binding says they hold.
 * @param {Wire.Examination} doc @returns {import('../state/types.js').Joint[]}
 */
export function readJoints(doc) {
  const { skeleton, binding } = doc.facts_of;
  /** @type {Map<number, Wire.SkeletonJoint>} */
  const measured = new Map((skeleton?.joints ?? []).map((j) => [j.node, j]));
  /** @type {Map<number, import('../state/types.js').Joint>} */
  const all = new Map();
  for (const j of skeleton?.joints ?? doc.joints) {
    const m = measured.get(j.node);
    all.set(j.node, {
      node: j.node,
      name: j.name || `node ${j.node}`,
      parent: j.parent,
      children: [],
      depth: 0,
      position: j.position,
      length: m?.length ?? null,
      role: j.role || null,
      sure: j.role_confidence,
      evidence: j.evidence,
      side: /** @type {import('../state/types.js').Side} */ (j.side || null),
      partner: j.partner,
      held: null,
      idle: false,
      idleAs: '',
      cut: m ? readCut(m) : null,
    });
  }
  for (const j of (binding?.skins ?? []).flatMap((s) => s.joints)) {
    const joint = all.get(j.node);
    if (!joint) continue;
    joint.held = joint.held ? add(joint.held, j) : held(j);
    joint.idleAs = j.idle || joint.idleAs;
  }
  for (const j of all.values()) {
    if (j.parent !== null) all.get(j.parent)?.children.push(j.node);
    if (j.partner !== null && !all.has(j.partner)) j.partner = null;
    j.idle = j.held !== null && j.held.vertices === 0;
  }
  return treeOrder(all);
}

/** @param {Wire.SkeletonJoint} j @returns {import('../state/types.js').Cut|null} */
const readCut = (j) => (j.section_radius_m === null && !j.outside ? null : { radius: j.section_radius_m, offset: j.off_centre, outside: j.outside });

/** @param {Wire.BindingJoint} j @returns {import('../state/types.js').Held} */
const held = ({ vertices, dominant, weight_sum, largest, histogram, reach_m, islands }) => ({ vertices, dominant, weight_sum, largest, histogram, reach_m, islands });

/** What two skins give to one joint. @param {import('../state/types.js').Held} a @param {Wire.BindingJoint} b @returns {import('../state/types.js').Held} */
const add = (a, b) => ({
  vertices: a.vertices + b.vertices,
  dominant: a.dominant + b.dominant,
  weight_sum: a.weight_sum + b.weight_sum,
  largest: Math.max(a.largest, b.largest),
  histogram: a.histogram.map((n, i) => n + b.histogram[i]),
  reach_m: Math.max(a.reach_m ?? 0, b.reach_m),
  islands: (a.islands ?? 0) + b.islands,
});

/** @param {Map<number, import('../state/types.js').Joint>} all */
function treeOrder(all) {
  /** @type {import('../state/types.js').Joint[]} */
  const out = [];
  const stack = [...all.values()].filter((j) => j.parent === null || !all.has(j.parent)).reverse();
  const seen = new Set();
  while (stack.length > 0) {
    const j = /** @type {import('../state/types.js').Joint} */ (stack.pop());
    if (seen.has(j.node)) continue; // a loop in the file must not hang the page
    seen.add(j.node);
    j.depth = j.parent === null ? 0 : (all.get(j.parent)?.depth ?? -1) + 1;
    out.push(j);
    for (const c of [...j.children].reverse()) stack.push(/** @type {import('../state/types.js').Joint} */ (all.get(c)));
  }
  for (const j of all.values()) if (!seen.has(j.node)) out.push(j);
  return out;
}

/**
 * @param {Wire.Examination} doc @param {import('../state/types.js').Finding[]} findings @param {import('../state/types.js').CatalogueStation[]} catalogue @param {{running: boolean, now?: string}} how
 * @returns {import('../state/types.js').Station[]}
 */
function readStations(doc, findings, catalogue, how) {
  const titles = new Map(catalogue.flatMap((s) => s.entries.map((e) => [e.id, e.title])));
  const names = new Map(ROUTE.map(([name, title, says]) => [name, { title, says }]));
  for (const s of catalogue) if (!names.has(s.name)) names.set(s.name, { title: s.title, says: '' });
  return [...names].map(([name, { title, says }]) => {
    const checks = doc.checks
      .filter((c) => c.id.startsWith(`${name}/`))
      .map((c) => ({ id: c.id, title: titles.get(c.id) ?? c.id, state: c.state, reason: c.reason ?? '' }));
    const known = catalogue.length === 0 || catalogue.some((s) => s.name === name && s.entries.length > 0);
    const state = checks.length > 0 ? 'done' : !known || !how.running ? 'absent' : how.now === name ? 'now' : 'wait';
    return { name, title, says, state, checks, findings: findings.filter((f) => f.station === name), whole: wholeWords(name, doc.facts_of) };
  });
}

/** What a station tells of the figure as a whole, found or not. @param {string} name @param {Wire.Facts} facts */
const wholeWords = (name, facts) => (name === 'intake' ? facts.intake?.from_surface?.says : name === 'surface' ? facts.surface?.ready_to_bind?.says : name === 'skeleton' ? facts.skeleton?.says : '') ?? '';

/** The catalogue by stations, in its own order. @param {Wire.CatalogueEntry[]} entries @returns {import('../state/types.js').CatalogueStation[]} */
export function readCatalogue(entries) {
  /** @type {Map<string, import('../state/types.js').CatalogueStation>} */
  const by = new Map();
  for (const e of entries) {
    const s = by.get(e.station) ?? { name: e.station, title: ROUTE.find(([n]) => n === e.station)?.[1] ?? e.station, entries: [] };
    s.entries.push(e);
    by.set(e.station, s);
  }
  return [...by.values()];
}
