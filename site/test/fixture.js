// An invented document in the engine's form: the Lamplighter with faults. For tests of the page's own logic and for looking at it without the programs.

const P = { hips: [0, 0.985, 0], spine: [0, 1.12, 0], chest: [0, 1.29, 0], neck: [0, 1.5, 0], head: [0, 1.585, 0], headEnd: [0, 1.8, 0] };
const SIDE = {
  shoulder: [0.05, 1.455, 0],
  upperArm: [0.18, 1.45, 0],
  lowerArm: [0.46, 1.45, 0],
  hand: [0.73, 1.45, 0],
  upperLeg: [0.1, 0.94, 0],
  lowerLeg: [0.11, 0.5, 0],
  foot: [0.12, 0.09, 0],
  toes: [0.12, 0.03, 0.14],
  yoke: [0.72, 1.5, -0.05],
};
const UP = { spine: 'hips', chest: 'spine', neck: 'chest', head: 'neck', headEnd: 'head' };
const SIDE_UP = {
  shoulder: 'chest',
  upperArm: 'shoulder',
  lowerArm: 'upperArm',
  hand: 'lowerArm',
  upperLeg: 'hips',
  lowerLeg: 'upperLeg',
  foot: 'lowerLeg',
  toes: 'foot',
  yoke: 'chest',
};

/** Counts that look like weights, from a seed. */
const bins = (seed) =>
  Array.from({ length: 10 }, (_, i) => Math.round(40 + 260 * Math.exp(-i * 0.9) + 240 * Math.exp(-(9 - i) * 0.8) + 9 * ((seed * (i + 3)) % 7)));

export function joints() {
  const list = [];
  const put = (name, parent, position, more) => {
    const node = list.length + 2;
    list.push({
      node,
      name,
      parent: parent === undefined ? null : (list.find((j) => j.name === parent)?.node ?? null),
      position,
      length: 0.2,
      role: null,
      role_confidence: null,
      side: 'centre',
      partner: null,
      ...more,
    });
    return node;
  };
  for (const [n, p] of Object.entries(P)) put(n, UP[n], p, n === 'headEnd' ? {} : { role: n, role_confidence: 0.97 });
  for (const [k, s, side] of [
    [1, 'L', 'left'],
    [-1, 'R', 'right'],
  ]) {
    for (const [n, p] of Object.entries(SIDE)) {
      const up = SIDE_UP[n];
      put(`${n}_${s}`, up in P ? up : `${up}_${s}`, [p[0] * k, p[1], p[2]], {
        side,
        ...(n === 'yoke' ? {} : { role: `${side}${n[0].toUpperCase()}${n.slice(1)}`, role_confidence: 0.97 }),
      });
    }
    for (let i = 1; i <= 5; i++) put(`chain_${s}${i}`, i === 1 ? `yoke_${s}` : `chain_${s}${i - 1}`, [0.72 * k, 1.5 - 0.06 * i, -0.05], { side });
  }
  for (const j of list) {
    const other = j.name.includes('_L') ? j.name.replace('_L', '_R') : j.name.replace('_R', '_L');
    j.partner = other === j.name ? null : (list.find((x) => x.name === other)?.node ?? null);
  }
  return list;
}

function held(j, i) {
  if (j.name === 'neck') return { vertices: 0, dominant: 0, weight_sum: 0, largest: 0, histogram: new Array(10).fill(0), reach_m: 0, islands: 0 };
  const histogram =
    j.name === 'upperArm_L'
      ? [338, 121, 88, 66, 52, 49, 38, 77, 102, 273]
      : j.name === 'upperArm_R'
        ? [262, 92, 66, 50, 42, 41, 36, 77, 103, 297]
        : bins(i % 11);
  const vertices = histogram.reduce((a, b) => a + b, 0);
  return {
    vertices,
    dominant: Math.round(vertices * 0.62),
    weight_sum: vertices * 0.67,
    largest: 1,
    histogram,
    reach_m: j.name === 'upperArm_L' ? 0.742 : 0.318,
    islands: j.name === 'upperArm_L' ? 2 : 1,
  };
}

const nowhere = {
  nodes: [],
  skin: null,
  joints: [],
  joint_total: 0,
  clip: null,
  time: null,
  mesh: null,
  primitive: null,
  vertices: [],
  vertex_total: 0,
  edges: [],
  places: [],
  point: null,
  extent: null,
  pointer: '',
};

// The engine puts numbers into words; here they need only be there.
const words = (value, unit) => (value === null ? 'no value' : `${value} ${unit}`.trim());

function finding(number, id, grade, title, subject, measures, where, why, remedy, source = 'common practice, no source') {
  return {
    number,
    id,
    station: id.split('/')[0],
    grade,
    title,
    subject,
    measures: measures.map(([name, value, unit, limit]) => ({ name, value, unit, limit, says: words(value, unit), limit_says: limit === null ? '' : words(limit, unit), against: limit === null ? 'listed' : `limit ${words(limit, unit)}`, below: false })),
    where: { ...nowhere, ...where },
    why,
    remedy,
    source,
  };
}

export function facts() {
  const list = joints();
  const at = (name) => {
    const j = list.find((x) => x.name === name);
    return { node: j.node, name };
  };
  const spot = (vertices, total) => ({
    mesh: 0,
    primitive: 0,
    vertices,
    vertex_total: total,
    places: [{ surface: 0, node: 0, mesh: 0, primitive: 0, vertices, vertex_total: total, edges: [] }],
  });
  const findings = [
    finding(
      1,
      'intake/unapplied-scale',
      'flaw',
      'Scale left on the root',
      'Figure, 1.86 m once applied',
      [['factor', 0.01, '×', 1]],
      { nodes: [0] },
      'The file stores the figure a hundred times too large and shrinks it by a factor on its root. Each program that drops or doubles the factor shows another size.',
      'Apply the scale to the mesh and the skeleton.\nSet the root back to 1.\nExport again and look at the height in Intake.',
    ),
    finding(
      2,
      'intake/off-ground',
      'note',
      'Off the ground',
      'lowest point 45 mm above zero',
      [
        ['share', 0.024, '', 0.02],
        ['offset', 0.045, 'm', null],
      ],
      { point: [0, 0.045, 0] },
      'The soles hang above the floor. Placed on a floor, the figure floats.',
      'Move the figure down by 45 mm and apply the move.',
    ),
    finding(
      3,
      'surface/lopsided',
      'flaw',
      'Lopsided surface',
      'surface "Body", 212 vertices',
      [
        ['share', 0.021, '', 0.01],
        ['largest mismatch', 0.004, '× diagonal', 0.005],
      ],
      { ...spot([4021, 4022], 212), point: [-0.375, 0.985, 0.05], extent: 0.1 },
      'Some vertices have no partner on the other side. What is mirrored later, weights or poses, will not fit there.',
      'Take the better half.\nMirror it over the middle plane and join the seam.',
    ),
    finding(
      4,
      'binding/unbound',
      'stop',
      'Unbound vertices',
      'surface "Body", 14 vertices',
      [['vertices', 14, '', 0]],
      { ...spot([6121, 6122], 14), skin: 0, point: [-0.105, 1.766, -0.06] },
      '14 vertices carry no weight at all. They keep their rest place while the figure walks away.',
      'Select the vertices (the list is ready to copy).\nBind them to head, as their neighbours are.',
      'glTF 2.0, Skins: a skinned vertex needs at least one weight',
    ),
    finding(
      5,
      'binding/mirror-mismatch',
      'flaw',
      'Mirror mismatch',
      'upperArm_L on the left hip',
      [
        ['share', 0.048, '', 0.01],
        ['largest difference', 0.61, '', 0.1],
      ],
      { ...spot([5000, 5003], 503), skin: 0, joints: [at('upperArm_L'), at('upperArm_R')], joint_total: 2 },
      'This joint also holds 138 vertices of the coat at the left hip. Each time the arm is raised, that patch is drawn up after it.',
      'Select the 138 vertices (the list is ready to copy).\nTake this joint’s weight off them and bring the rest back to a sum of 1.\nSmooth once along the rim of the patch.',
    ),
    finding(
      6,
      'binding/faint',
      'note',
      'Faint influences',
      '2944 weights under 0.01',
      [['share', 0.071, '', 0.05]],
      { skin: 0, ...spot([10, 11, 12], 2944) },
      'Weights this small move nothing that can be seen. Each one is worked out for every frame all the same.',
      'Drop weights under 0.01 and bring the rest back to a sum of 1.',
    ),
    finding(
      7,
      'binding/idle-joint',
      'note',
      'Idle joint',
      'neck',
      [['joints', 1, '', null]],
      { joints: [at('neck')], joint_total: 1 },
      'The neck holds no vertex, so turning it moves no surface. An animator who keys it sees nothing happen.',
      'Bind the collar and the throat to it, or leave it out.',
    ),
    finding(
      8,
      'binding/many-influences',
      'note',
      'Many influences',
      'surface "Body", 31 vertices',
      [['influences', 6, '', 4]],
      spot([77], 31),
      'Some players keep the four strongest weights and drop the rest.',
      'Limit the influences to four and bring the rest back to a sum of 1.',
      'glTF 2.0 requires players to support one set of four',
    ),
  ];
  const checks = catalogue().map((c) => {
    const found = findings.some((f) => f.id === c.id);
    if (c.id === 'intake/morphs') return { id: c.id, state: 'not-looked-at', reason: 'no morph target in this file' };
    return { id: c.id, state: found ? 'found' : 'clear' };
  });
  const skin = {
    skin: 0,
    vertices: 10482,
    unbound: 14,
    sum_off: 0,
    largest_sum_error: 0,
    bad_index: 0,
    influences: [14, 3120, 4400, 2000, 917, 20, 11, 0, 0],
    joints: list.map((j, i) => ({ node: j.node, name: j.name, ...held(j, i) })),
  };
  return {
    facts: 1,
    program: 'rigloupe 0.1.0',
    file: {
      name: 'lamplighter-draft3.glb',
      bytes: 3412806,
      kind: 'glb',
      generator: 'by hand',
      version: '2.0',
      extensions_used: [],
      extensions_required: [],
      remarks: [],
    },
    summary: {
      stop: 1,
      flaw: 3,
      note: 4,
      not_looked_at: 1,
      clear: checks.filter((c) => c.state === 'clear').length,
      checks: checks.length,
      findings: findings.length,
    },
    findings,
    checks,
    stations: [
      { name: 'intake', title: 'Intake', state: 'done' },
      { name: 'surface', title: 'Surface', state: 'done' },
      { name: 'binding', title: 'Binding', state: 'done' },
      { name: 'motion', title: 'Motion', state: 'done' },
    ],
    joints: list,
    facts_of: {
      intake: {
        vertices: 10482,
        triangles: 20960,
        surfaces: 1,
        primitives: 1,
        skins: 1,
        joints: list.length,
        nodes: 40,
        clips: 2,
        materials: 3,
        images: 0,
        texture_bytes_decoded: 0,
        min: [-0.8, 0.045, -0.3],
        max: [0.8, 1.905, 0.3],
        height: 1.86,
        diagonal: 2.53,
        facing: [0, 0, 1],
        unit_guess: 'm',
        morph_targets: 0,
      },
      surface: { surfaces: [] },
      binding: { skins: [skin] },
      motion: {
        clips: [
          { clip: 0, name: 'stroll', seconds: 1.2, start_seconds: 0, nodes: 22, channels: 66 },
          {
            clip: 1,
            name: 'wave',
            seconds: 2.4,
            start_seconds: 0,
            nodes: 9,
            channels: 66,
            still_chains: [
              [12, 13, 14, 15, 16],
              [26, 27, 28, 29, 30],
            ],
          },
        ],
      },
    },
  };
}

export function catalogue() {
  const row = (id, title, limits = []) => ({
    id,
    station: id.split('/')[0],
    title,
    measure: '',
    limits: limits.map(([name, value, unit, grade]) => ({ name, value, unit, one: unit, grade, below: false, reached: false, says: `more than ${words(value, unit)}` })),
    why: '',
    remedy: '',
    source: '',
  });
  return [
    row('intake/unapplied-scale', 'Scale left on the root', [['factor', 0.001, '', 'flaw']]),
    row('intake/odd-height', 'Height of no grown figure', [
      ['lowest', 0.5, 'm', 'flaw'],
      ['highest', 3, 'm', 'flaw'],
    ]),
    row('intake/off-ground', 'Off the ground', [['share', 0.02, '', 'note']]),
    row('intake/facing', 'Faces away'),
    row('intake/heavy', 'Heavy'),
    row('intake/morphs', 'Morph targets'),
    row('intake/malformed', 'Breaks the standard'),
    row('surface/lopsided', 'Lopsided surface', [
      ['share', 0.01, '', 'flaw'],
      ['largest', 0.005, '× diagonal', 'note'],
    ]),
    row('binding/unbound', 'Unbound vertices', [['vertices', 0, '', 'stop']]),
    row('binding/sum-off', 'Weights off a sum of 1'),
    row('binding/bad-index', 'Joint index out of range'),
    row('binding/many-influences', 'Many influences', [['influences', 4, '', 'note']]),
    row('binding/faint', 'Faint influences', [['share', 0.05, '', 'note']]),
    row('binding/idle-joint', 'Idle joint'),
    row('binding/mirror-mismatch', 'Mirror mismatch', [
      ['share', 0.01, '', 'flaw'],
      ['difference', 0.1, '', 'flaw'],
    ]),
    row('motion/no-clip', 'No clip'),
  ];
}
