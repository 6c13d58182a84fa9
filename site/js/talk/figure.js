/** The order of the work. What this build has of it is told by its catalogue. @type {[string, string, string][]} */
export const ROUTE = [
  ['intake', 'Intake', 'size, scale, placement, how heavy the file is'],
  ['surface', 'Surface', 'whether the mesh is fit to be bound'],
  ['skeleton', 'Skeleton', 'joints: where they stand, what they are called'],
  ['binding', 'Binding', 'which joint holds which vertex, and how firmly'],
  ['bends', 'Bends', 'every joint through its range, and what the surface does'],
  ['motion', 'Motion', 'clips: what moves, slides, jumps or stays still'],
];

/**
 * The document as the page needs it.
 * @param {string} json @param {any} doc the same, read @param {import('../state/types.js').CatalogueStation[]} catalogue
 * @param {{running: boolean, now?: string}} how now: the station at work
 * @returns {import('../state/types.js').Figure}
 */
export function readFigure(json, doc, catalogue, how) {
  const facts = doc.facts_of ?? {};
  const findings = (doc.findings ?? []).map((/** @type {any} */ f, /** @type {number} */ i) => ({
    ...f,
    number: i + 1,
    station: f.id.split('/')[0],
    measures: f.measures ?? [],
    where: f.where ?? {},
    subject: f.subject || placeWords(f.where ?? {}),
  }));
  const joints = readJoints(doc);
  return {
    doc,
    json,
    file: doc.file ?? {},
    joints,
    byNode: new Map(joints.map((j) => [j.node, j])),
    findings,
    running: how.running,
    stations: readStations(doc, findings, catalogue, how),
    clips: (facts.motion?.clips ?? []).map((/** @type {any} */ c) => ({
      clip: c.clip,
      name: c.name || `clip ${c.clip}`,
      start: c.start_seconds ?? 0,
      seconds: c.seconds ?? 0,
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
  const names = (w.joints ?? []).map((j) => j.name || `node ${j.node}`);
  if (names.length > 0) return names.length > 3 ? `${names.slice(0, 3).join(', ')} and ${names.length - 3} more` : names.join(', ');
  if (w.mesh !== undefined && w.mesh !== null) return `mesh ${w.mesh}${w.vertex_total ? `, ${w.vertex_total} ${w.vertex_total === 1 ? 'vertex' : 'vertices'}` : ''}`;
  if (w.nodes?.length) return `node ${w.nodes.slice(0, 3).join(', ')}`;
  if (w.clip !== undefined && w.clip !== null) return `clip ${w.clip}`;
  return '';
}

/**
 * Joints in tree order, from the skeleton's facts, else the document's own list, and those of the binding.
 * @param {any} doc @returns {import('../state/types.js').Joint[]}
 */
export function readJoints(doc) {
  const facts = doc.facts_of ?? {};
  /** @type {Map<number, import('../state/types.js').Joint>} */
  const all = new Map();
  const take = (/** @type {any} */ j) => {
    const old = all.get(j.node);
    const first = (/** @type {any} */ a, /** @type {any} */ b) => a ?? b ?? null;
    all.set(j.node, {
      node: j.node,
      name: j.name || old?.name || `node ${j.node}`,
      parent: first(j.parent, old?.parent),
      children: [],
      depth: 0,
      position: first(j.position, old?.position),
      length: first(j.length, old?.length),
      role: first(j.role, old?.role) || null,
      sure: first(j.role_confidence, old?.sure),
      evidence: j.evidence || old?.evidence || '',
      side: first(j.side, old?.side) || null,
      partner: first(j.partner, old?.partner),
      held: old?.held ?? null,
      idle: false,
      idleAs: j.idle || old?.idleAs || '',
      cut: readCut(j) ?? old?.cut ?? null,
    });
  };
  for (const j of facts.skeleton?.joints ?? doc.joints ?? []) take(j);
  for (const s of facts.binding?.skins ?? []) {
    for (const j of s.joints ?? []) {
      take(j);
      const joint = all.get(j.node);
      if (joint) joint.held = add(joint.held, j);
    }
  }
  for (const j of all.values()) {
    if (j.parent !== null) all.get(j.parent)?.children.push(j.node);
    if (j.partner !== null && !all.has(j.partner)) j.partner = null;
    j.idle = j.held !== null && j.held.vertices === 0;
  }
  return treeOrder(all);
}

/** @param {any} j @returns {import('../state/types.js').Cut|null} */
function readCut(j) {
  const radius = j.section_radius_m ?? null;
  return radius === null && !j.outside ? null : { radius, offset: j.off_centre ?? null, outside: Boolean(j.outside) };
}

/** What two skins give to one joint. @param {import('../state/types.js').Held|null} a @param {any} b @returns {import('../state/types.js').Held} */
function add(a, b) {
  const histogram = b.histogram ?? new Array(10).fill(0);
  if (!a)
    return {
      vertices: b.vertices ?? 0,
      dominant: b.dominant ?? 0,
      weight_sum: b.weight_sum ?? 0,
      largest: b.largest ?? 0,
      histogram,
      reach_m: b.reach_m ?? null,
      islands: b.islands ?? null,
    };
  return {
    vertices: a.vertices + (b.vertices ?? 0),
    dominant: a.dominant + (b.dominant ?? 0),
    weight_sum: a.weight_sum + (b.weight_sum ?? 0),
    largest: Math.max(a.largest, b.largest ?? 0),
    histogram: a.histogram.map((n, i) => n + histogram[i]),
    reach_m: Math.max(a.reach_m ?? 0, b.reach_m ?? 0),
    islands: (a.islands ?? 0) + (b.islands ?? 0),
  };
}

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
 * @param {any} doc @param {import('../state/types.js').Finding[]} findings @param {import('../state/types.js').CatalogueStation[]} catalogue @param {{running: boolean, now?: string}} how
 * @returns {import('../state/types.js').Station[]}
 */
function readStations(doc, findings, catalogue, how) {
  const titles = new Map(catalogue.flatMap((s) => s.entries.map((e) => [e.id, e.title])));
  const names = new Map(ROUTE.map(([name, title, says]) => [name, { title, says }]));
  for (const s of catalogue) if (!names.has(s.name)) names.set(s.name, { title: s.title, says: '' });
  return [...names].map(([name, { title, says }]) => {
    const checks = (doc.checks ?? [])
      .filter((/** @type {any} */ c) => c.id.startsWith(`${name}/`))
      .map((/** @type {any} */ c) => ({ id: c.id, title: titles.get(c.id) ?? c.id, state: c.state, reason: c.reason ?? '' }));
    const known = catalogue.length === 0 || catalogue.some((s) => s.name === name && s.entries.length > 0);
    const state = checks.length > 0 ? 'done' : !known || !how.running ? 'absent' : how.now === name ? 'now' : 'wait';
    return { name, title, says, state, checks, findings: findings.filter((f) => f.station === name), whole: wholeWords(name, doc.facts_of ?? {}) };
  });
}

/** What a station tells of the figure as a whole, found or not. @param {string} name @param {any} facts */
const wholeWords = (name, facts) => (name === 'intake' ? facts.intake?.from_surface?.says : name === 'surface' ? facts.surface?.ready_to_bind?.says : name === 'skeleton' ? facts.skeleton?.says : '') ?? '';

/**
 * What `rigloupe checks --json` prints, in whichever of its two nestings.
 * @param {any} raw @returns {import('../state/types.js').CatalogueStation[]}
 */
export function readCatalogue(raw) {
  const rows = raw?.stations ?? raw?.checks ?? raw ?? [];
  /** @type {Map<string, import('../state/types.js').CatalogueStation>} */
  const by = new Map();
  const file = (/** @type {any} */ e, /** @type {any} */ s) => {
    const name = s?.name ?? s?.id ?? e.station ?? e.id.split('/')[0];
    const title = s?.title ?? ROUTE.find(([n]) => n === name)?.[1] ?? name;
    if (!by.has(name)) by.set(name, { name, title, entries: [] });
    by.get(name)?.entries.push({ ...e, limits: e.limits ?? [] });
  };
  for (const r of rows) {
    if (r.checks || r.entries) for (const e of r.checks ?? r.entries) file(e, r);
    else file(r, null);
  }
  return [...by.values()];
}
