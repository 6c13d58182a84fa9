// Printed from the structs of Go by `make types`; a test says when it is stale.

declare namespace Wire {
  /** What comes beside a message: its bytes, and that it is the last of what was asked. */
  interface Beside {
    bytes?: ArrayBuffer;
    end?: boolean;
  }

  /** What goes beside an ask. */
  interface Files {
    files?: { name: string; bytes: ArrayBuffer }[];
  }

  /** How an ask of that kind ends; done where it was stopped. */
  type Answer<K extends keyof Questions> = (Questions[K]['ends'] & Beside) | (Refused & Beside) | (Done & Beside);

  /** What a message that is handed to Go may lack: that stays as it is, or is none. */
  type Some<T> = T extends (infer U)[] ? Some<U>[] : T extends object ? { [K in keyof T]?: Some<T[K]> } : T;

  /** All that the examiner tells. */
  type Message = (Progress & Beside) | (Left & Beside) | (Parcel & Beside) | (Document & Beside) | (Overlay & Beside) | (Lineup & Beside) | (Done & Beside) | (Refused & Beside);

  /** What can be asked: with what, the message that ends it, and what its JSON holds. */
  interface Questions {
    catalogue: { ask: AskNothing; ends: Document & { kind: 'catalogue' }; document: CatalogueEntry[] };
    examine: { ask: AskExamine; ends: Done & { kind: 'done' }; document: Examination };
    sample: { ask: AskSample; ends: Done & { kind: 'done' }; document: Examination };
    warm: { ask: AskWarm; ends: Done & { kind: 'done' }; document: null };
    paint: { ask: AskNothing; ends: Document & { kind: 'painted' }; document: null };
    judge: { ask: AskJudge; ends: Document & { kind: 'result' }; document: Examination };
    list: { ask: AskList; ends: Document & { kind: 'list' }; document: null };
    joints: { ask: AskNothing; ends: Document & { kind: 'joints' }; document: null };
    lenses: { ask: AskNothing; ends: Document & { kind: 'lenses' }; document: FoundLensInfo[] };
    field: { ask: AskField; ends: Parcel & { kind: 'field' } & { bytes: ArrayBuffer }; document: null };
    overlay: { ask: AskOverlay; ends: Overlay & { kind: 'overlay' }; document: null };
    rows: { ask: AskRows; ends: Document & { kind: 'rows' }; document: MotionClipRows };
    curves: { ask: AskCurves; ends: Document & { kind: 'curves' }; document: MotionJointCurves };
    offers: { ask: AskNothing; ends: Document & { kind: 'offers' }; document: MendOffer[] };
    road: { ask: AskNothing; ends: Document & { kind: 'road' }; document: Road };
    begin: { ask: AskNothing; ends: Document & { kind: 'slip' }; document: MendSheet };
    beside: { ask: AskNothing; ends: Document & { kind: 'beside' }; document: MendSecond };
    try: { ask: AskTry; ends: Document & { kind: 'receipt' }; document: MendTold };
    board: { ask: AskBoard; ends: Document & { kind: 'board' }; document: BoardDocument };
    settle: { ask: AskSettle; ends: Document & { kind: 'settled' }; document: SettledDocument };
    keep: { ask: AskKeep; ends: Document & { kind: 'slip' }; document: MendSheet };
    leave: { ask: AskNothing; ends: Done & { kind: 'done' }; document: null };
    slip: { ask: AskSlip; ends: Document & { kind: 'slip' }; document: MendSheet };
    suggest: { ask: AskNothing; ends: Document & { kind: 'slip' }; document: MendSheet };
    plan: { ask: AskPlan; ends: Document & { kind: 'plan' }; document: MendPlanTold };
    doPlan: { ask: AskDoPlan; ends: Document & { kind: 'slip' }; document: MendSheet };
    reopen: { ask: AskReopen; ends: Document & { kind: 'slip' }; document: MendSheet };
    handOver: { ask: AskHandOver; ends: Parcel & { kind: 'handed' } & { bytes: ArrayBuffer }; document: null };
    report: { ask: AskReport; ends: Parcel & { kind: 'reported' } & { bytes: ArrayBuffer }; document: null };
    compare: { ask: AskCompare; ends: Document & { kind: 'compared' }; document: CompareReport };
    place: { ask: AskPlace; ends: Parcel & { kind: 'placed' } & { bytes: ArrayBuffer }; document: null };
    second: { ask: AskNothing; ends: Document & { kind: 'second' }; document: SecondDocument };
    match: { ask: AskMatch; ends: Document & { kind: 'match' }; document: MatchDocument };
    carry: { ask: AskCarry; ends: Document & { kind: 'carry' }; document: CarryDocument };
    save: { ask: AskSave; ends: Parcel & { kind: 'saved' } & { bytes: ArrayBuffer }; document: null };
    lessons: { ask: AskNothing; ends: Document & { kind: 'lessons' }; document: Taught };
    lesson: { ask: AskLesson; ends: Document & { kind: 'lesson' }; document: LessonTold };
    answer: { ask: AskAnswer; ends: Document & { kind: 'answer' }; document: MarkAnswer };
    mark: { ask: AskMark; ends: Document & { kind: 'marked' }; document: MarkReport };
    row: { ask: AskRow; ends: Document & { kind: 'row' }; document: LineupRow };
    lineup: { ask: AskLineup; ends: Lineup & { kind: 'lineup' }; document: LineupDocument };
  }

  /** AskNothing is an ask that its kind says all of. */
  interface AskNothing {
  }

  /** Document carries text. partial and result are the facts so far and in the end, list, joints and a match in csv are plain text; the others are JSON. Which document a kind of question answers stands in the table of the examiner (wasm/examiner/questions.go). step is a receipt told while suggested mends are tried, mended the facts of the figure with the kept mends, before its slip. */
  interface Document {
    id: number;
    kind: 'partial' | 'result' | 'catalogue' | 'list' | 'joints' | 'lenses' | 'rows' | 'curves' | 'second' | 'match' | 'carry' | 'row' | 'painted' | 'offers' | 'road' | 'slip' | 'beside' | 'receipt' | 'board' | 'settled' | 'step' | 'mended' | 'compared' | 'slipSaved' | 'doing' | 'switchedOff' | 'plan' | 'lessons' | 'lesson' | 'answer' | 'marked';
    json: string;
  }

  /** CatalogueEntry is a check as the catalogue tells it. */
  interface CatalogueEntry {
    id: string;
    station: string;
    title: string;
    measure: string;
    limits: CatalogueLimit[];
    why: string;
    remedy: string;
    source: string;
    /** what the figure is best coloured by where this is found; "": as it is */
    lens: string;
  }

  /** CatalogueLimit is one limit of a check. */
  interface CatalogueLimit {
    name: string;
    unit: string;
    /** of what unit counts: "vertex" */
    one: string;
    value: number;
    grade: 'stop' | 'flaw' | 'note';
    /** passed by less than value */
    below: boolean;
    /** value itself passes it */
    reached: boolean;
    /** it moves in steps of 1/per, others count as the step under them; 0: freely */
    per: number;
    /** asked for less, it counts as this: less was not measured; 0: it was */
    least: number;
    /** when it is passed: "fewer than 1 skin" */
    says: string;
  }

  /** AskExamine reads the files beside it, shows the figure and examines it. */
  interface AskExamine {
    /** JSON, as inspect.ParseLimits reads it; "": the defaults */
    limits: string;
  }

  /** Done ends an examination that was not refused. */
  interface Done {
    id: number;
    /** done */
    kind: 'done';
    /** from the ask to here */
    ms: number;
    /** the page asked to stop; what was found is told */
    stopped: boolean;
    memory: number;
  }

  /** The document, as the page, the command line and reports read it. Keys stand in a fixed order; a number that has no value is null. */
  interface Examination {
    facts: number;
    program: string;
    file: File;
    summary: Summary;
    verdict: Verdict;
    findings: Finding[];
    /** notes of one kind, for a ledger; each finding stands whole in findings */
    folds: Fold[];
    checks: Outcome[];
    stations: Station[];
    /** so that a page can list them whichever stations there are */
    joints: SkeletonPlace[];
    facts_of: Facts;
    timings_ms?: Record<string, number>;
  }

  interface File {
    name: string;
    bytes: number;
    kind: string;
    generator: string | null;
    version: string | null;
    extensions_used: string[];
    extensions_required: string[];
    remarks: string[];
  }

  interface Summary {
    stop: number;
    flaw: number;
    note: number;
    not_looked_at: number;
    clear: number;
    checks: number;
    findings: number;
    /** rows of notes in a ledger that folds them by kind */
    note_rows: number;
  }

  /** Verdict is an examination in one sentence or two, and what to look at first. */
  interface Verdict {
    state: '' | 'empty' | 'motion' | 'unbound' | 'bound' | 'moving';
    /** "" while stations are missing */
    says: string;
    /** the findings that matter most, by number, at most three; causes before what follows from them */
    matter: number[];
    /** all findings by number: those that matter most, then by grade, causes before what follows from them, then by what is seen */
    order: number[];
  }

  interface Finding {
    number: number;
    id: string;
    station: string;
    grade: 'stop' | 'flaw' | 'note';
    title: string;
    subject: string;
    measures: Measure[];
    where: Where;
    why: string;
    remedy: string;
    source: string;
    /** of several in one file, the one it is about; null: all, or the only one */
    figure: string | null;
    /** null: it stands by itself */
    cause: Cause | null;
  }

  interface Measure {
    name: string;
    value: number | null;
    unit: string;
    limit: number | null;
    /** the value as words */
    says: string;
    /** the same where the name stands before it: "edges 278", not "edges 278 edges" */
    beside: string;
    /** "": none */
    limit_says: string;
    /** the limit beside the value: "limit 1 %", "fewer than 1 skin", "listed" */
    against: string;
    /** the limit is passed by less */
    below: boolean;
  }

  interface Where {
    nodes: number[];
    skin: number | null;
    joints: Joint[];
    joint_total: number;
    clip: number | null;
    /** all that it is found in, clip the first; never cut */
    clips: Clip[];
    time: number | null;
    mesh: number | null;
    primitive: number | null;
    vertices: number[];
    vertex_total: number;
    edges: ([number, number])[];
    places: Spot[];
    point: [number, number, number] | null;
    extent: number | null;
    pointer: string;
    move?: PoseMove;
    /** never cut */
    hang?: Hang[];
    /** the places of a finding that stands in several, the worst first; never cut */
    rows?: Row[];
  }

  interface Joint {
    node: number;
    name: string | null;
  }

  interface Clip {
    clip: number;
    /** null: it has none */
    name: string | null;
  }

  /** placeJSON is one primitive's share of a place; vertices are accessor elements. */
  interface Spot {
    /** in node order, as the page and the stage count them */
    surface: number;
    node: number;
    mesh: number;
    primitive: number;
    vertices: number[];
    vertex_total: number;
    edges: ([number, number])[];
  }

  /** moveJSON is the pose of a finding that shows in one joint turned from rest. */
  interface PoseMove {
    joint: number;
    axis: string;
    degrees: number;
  }

  /** hangJSON is a joint and the one to hang it on; null: none is there. */
  interface Hang {
    child: Joint;
    parent: Joint | null;
  }

  /** rowJSON is one place of a finding: what was measured there, and the pose it shows in. */
  interface Row {
    subject: string;
    measures: Measure[];
    joints: Joint[];
    move?: PoseMove;
    vertex_total: number;
    point: [number, number, number] | null;
    extent: number | null;
  }

  /** causeJSON names the finding that another follows from. */
  interface Cause {
    number: number;
    id: string;
    title: string;
    subject: string;
  }

  /** Fold is a row of notes of one kind in a ledger: a person reads a handful of rows, and each note is still there to be opened. Stops and flaws are never folded. */
  interface Fold {
    station: string;
    title: string;
    /** of the notes, at least two, rising */
    findings: number[];
  }

  interface Outcome {
    id: string;
    state: 'clear' | 'found' | 'not-looked-at';
    reason?: string;
  }

  interface Station {
    name: string;
    title: string;
    /** "done" or "not-looked-at" */
    state: 'done' | 'not-looked-at';
    reason?: string;
  }

  /** Place is one joint as every list shows it: where it hangs and stands at rest, and what anatomy makes of it. */
  interface SkeletonPlace {
    node: number;
    name: string | null;
    /** nearest joint above, nil */
    parent: number | null;
    /** metres, world, rest pose; an axis without a number is 0 */
    position: [number, number, number];
    /** VRM 1.0 bone name, nil */
    role: string | null;
    role_confidence: number;
    /** left, right, centre, nil */
    side: string | null;
    partner: number | null;
    evidence: string;
    /** of a figure that is no person, in words: "left fore limb", "tail"; nil */
    limb: string | null;
    /** its place in that limb, from 1 at the trunk; 0: in none */
    limb_joint: number;
  }

  /** factsOf are the facts of all stations; one that did not run is not there. */
  interface Facts {
    intake?: IntakeFacts;
    surface?: SurfaceFacts;
    skeleton?: SkeletonFacts;
    binding?: BindingFacts;
    bends?: BendsFacts;
    motion?: MotionFacts;
  }

  /** Facts are what the station measures. World space, metres, rest pose. */
  interface IntakeFacts {
    /** sum over the primitives of all surfaces */
    vertices: number;
    /** the same */
    triangles: number;
    surfaces: number;
    primitives: number;
    skins: number;
    /** distinct nodes over all skins; of a BVH its joints */
    joints: number;
    /** BVH: ends of the last bones, no joints */
    end_sites: number;
    /** without a skin: nodes that are joints of a figure made of rigid parts */
    part_joints: number;
    nodes: number;
    clips: number;
    materials: number;
    images: number;
    /** width · height · 4, no smaller levels */
    texture_bytes_decoded: number;
    /** null: no vertex */
    min: [number, number, number] | null;
    max: [number, number, number] | null;
    /** of all that is shown */
    height: number;
    /** without gear */
    body_height: number;
    /** nodes of the surfaces that are not the body */
    gear: number[];
    /** null: joints move it, or tell what it is */
    from_surface: IntakeFromSurface | null;
    diagonal: number;
    root_scale: [number, number, number];
    root_turn_degrees: number;
    /** null: no figure, or no unit fits */
    unit_guess: string | null;
    facing: [number, number, number] | null;
    /** y of the lowest point */
    ground_offset: number;
    compression: string[];
    morph_targets: number;
    per_surface: IntakePerSurface[];
    /** empty unless there are two or more */
    figures: IntakeOneFigure[];
    /** whole figures that share a shell; 0: none */
    fused_figures: number;
    /** what was not looked at for figures, being too much; "" */
    figures_unsought: string;
    figure: IntakeFigure;
    anchors: IntakeAnchor[];
    safe_box: IntakeSafe;
    not_honoured: string[] | null;
    malformed: RigMalformed[] | null;
    pictures_not_shown: IntakePicture[] | null;
    /** the format declares −Z (VRM 0.x) */
    declared_front_back: boolean;
  }

  /** FromSurface is what the surface alone tells of a model that no joint moves. On real figures, their skins dropped: knight, robot, walking man and fox are told as their skeletons tell them, as they stand, turned about the vertical by 37° and 200° and (people) on back and face: arms within 9° (of joint to joint), front within 14°, height within 1 %, or left open near a limit. Hands, a bird, a spider, a snake, a cart, two people: not sure. null is what is not sure. */
  interface IntakeFromSurface {
    /** "person", "four-legged" */
    kind: string | null;
    certainty: number;
    /** metres, from the feet to the top of the head */
    height: number | null;
    /** between that way and +Y */
    lies_degrees: number | null;
    /** unit */
    facing: [number, number, number] | null;
    arm_pose: IntakeSurfaceArms;
    says: string;
  }

  /** SurfaceArms are degrees of the upper arms below level, and their class as Skeleton has it. */
  interface IntakeSurfaceArms {
    /** T, A, hanging, between */
    class: string | null;
    left_degrees: number | null;
    right_degrees: number | null;
  }

  /** PerSurface is one node that carries a mesh. */
  interface IntakePerSurface {
    node: number;
    /** as stored, integers undivided, no transform */
    stored_min: [number, number, number];
    stored_max: [number, number, number];
    /** of quantised positions, 0: float */
    grid_step_m: number;
    /** nearest joint above an unskinned one, null */
    hangs_on: number | null;
    vertices: number;
    triangles: number;
    /** joints with influence */
    joints_used: number;
    /** in words */
    name: string;
    /** place in rig.Surfaces */
    surface: number;
    mesh: number;
    /** −1: none */
    skin: number;
    shown: boolean;
    packing: IntakePacking;
    bounds: IntakeBounds;
    /** nil: not skinned */
    ignored_placement: IntakeIgnored | null;
    morphs: IntakeMorph[] | null;
  }

  /** Packing is how coarse the stored numbers of one surface are. */
  interface IntakePacking {
    /** one step of the quantised positions in world metres, the coarsest axis; 0: float */
    step_m: number;
    /** 1st percentile of the edge lengths; 0: not measured, or no edge */
    edge_m: number;
    /** 1/255, 1/65535; 0: float or none */
    weight_step: number;
  }

  /** Bounds holds a surface's true box at rest against the one a player takes: the declared POSITION box, carried by the node as if the surface were not skinned. */
  interface IntakeBounds {
    /** a player has a box of it */
    boxed: boolean;
    /** share of the true box outside the player's */
    outside: number;
    /** diagonal of the player's box ÷ that of the true one; 1 where there is none */
    ratio: number;
    /** largest difference between declared and stored extremes ÷ diagonal of the stored box */
    declared: number;
    /** the primitive with that difference, None */
    wrong_primitive: number;
    /** that difference in world metres, by the size of the surface against its stored size */
    wrong_m: number;
  }

  /** Ignored is the placement of a node with a skinned mesh, which a player must ignore (glTF 2.0, Skins), and what would happen where it is not. */
  interface IntakeIgnored {
    /** largest entry of |global − identity| */
    from_identity: number;
    /** farthest that a vertex would move beyond what the skeleton's own parent carries as well */
    shift_m: number;
    vertex: number;
  }

  /** Morph is one target of one surface. */
  interface IntakeMorph {
    name: string;
    /** weight at rest */
    default: number;
    /** farthest that it moves a vertex at weight 1, world metres */
    shift_m: number;
    farthest: number;
    /** moves nothing and turns no normal */
    empty: boolean;
    /** farthest that it parts two vertices of one place */
    parts_m: number;
    /** those parted by more than a hundredth of PartsM, at most 64 */
    parted: number[] | null;
    /** clips that move its weight */
    keyed: number;
  }

  /** OneFigure is one of several figures in a file. */
  interface IntakeOneFigure {
    name: string;
    /** its topmost joint */
    node: number;
    /** nodes */
    surfaces: number[];
    /** the figure that it repeats and that stands for it; null */
    like: string | null;
    /** null: not examined by itself */
    kind: string | null;
    certainty: number | null;
    /** metres */
    body_height: number | null;
    /** metres */
    lowest_y: number | null;
    joints: number;
  }

  /** Figure says what stands there, when a body is recognised. */
  interface IntakeFigure {
    /** "human", "four-legged", "winged", "many-legged", "chain", "hand" or "" */
    kind: string;
    /** of its body, without gear; along the trunk when it lies */
    height: number;
    /** degrees between trunk and +Y; 0: no trunk */
    off_upright: number;
    /** that brings a human to a human height; 1: none needed */
    unit_factor: number;
    /** the guess in words */
    unit: string;
    /** a second reading of the height, "" */
    unit_other: string;
    /** between facing and what the format declares; 0: not told */
    facing_degrees: number;
    /** metres: where the figure's middle stands */
    middle_x: number;
    middle_z: number;
    /** no person, and the origin lies below its body */
    origin_below_body: boolean;
    /** of Kind */
    words: string;
    /** −1: none */
    hips: number;
    feet: number[] | null;
    lowest_vertex: number;
    /** surface of Lowest, None */
    lowest_surface: number;
    /** of its box, weights made whole */
    body_diagonal: number;
    /** measured by its joints, since there is no surface */
    by_joints: boolean;
    /** the file's format states no unit */
    unit_unstated: boolean;
  }

  /** Anchor is where something begins that a scale or a turn above it carries along: the topmost joint of a skin, or a node with an unskinned mesh. */
  interface IntakeAnchor {
    node: number;
    /** −1: an unskinned mesh */
    skin: number;
    /** Scale is the product of the local scales, axis by axis, from the scene root down to Node itself. */
    scale: [number, number, number];
    /** TurnDegrees is the rotation above Node (for a mesh that hangs on no joint, with Node's own). */
    turn_degrees: number;
    /** an odd number of negative determinants on the way */
    mirrored: boolean;
    /** largest |cos| between two axes there or below */
    shear: number;
    /** nodes on the way that scale or mirror */
    scaled_by: number[] | null;
    /** nodes on the way with a rotation */
    turned_by: number[] | null;
    /** skinned mesh nodes under the same factor */
    meshes_alike: number[] | null;
    /** OnScaledJoint: a mesh that hangs on a joint and gets its scale from joints alone, or a joint that stands beside others and has a scale which they lack: skeleton/scaled-joint tells it. */
    on_scaled_joint: boolean;
  }

  /** Safe is one box that holds all shown surfaces in every clip, those without a skin as well. It is larger than it must be: each joint carries the box of the vertices it moves, and a vertex of several joints lies between the places those would put it. */
  interface IntakeSafe {
    /** null: no surface, or no clip */
    min: [number, number, number] | null;
    max: [number, number, number] | null;
    /** looked at, over all clips */
    moments: number;
    surfaces: IntakeSweep[] | null;
  }

  /** Sweep is the box of one surface over all clips. */
  interface IntakeSweep {
    /** place in Facts.PerSurface */
    surface: number;
    /** follows its node, and a player's box with it: nothing of it is outside */
    stiff: boolean;
    /** share of Box outside the player's box */
    outside: number;
    /** the one that leaves it farthest */
    clip: number;
    /** of that clip alone */
    share: number;
  }

  /** Malformed is one place that breaks glTF 2.0 and was read around. */
  interface RigMalformed {
    /** JSON pointer or byte place: "/accessors/3/count" */
    place: string;
    /** what is wrong and what was done about it */
    what: string;
    /** None */
    node: number;
    /** None */
    mesh: number;
    /** None */
    skin: number;
    /** None */
    clip: number;
    /** bytes beside what is read, which nothing needs: no guess was made */
    spare: boolean;
  }

  /** Picture is an image that cannot be shown. */
  interface IntakePicture {
    image: number;
    name: string;
    mime: string;
    why: string;
  }

  /** Facts are what the station measured: for each surface and, embedded, over all of them. */
  interface SurfaceFacts {
    vertices: number;
    welded_vertices: number;
    triangles: number;
    unused_vertices: number;
    /** of those, and of triangles whose three places lie on a line */
    zero_area_triangles: number;
    /** triangles with area, lower than 1e-4 of their longest edge */
    slivers: number;
    edges: number;
    boundary_edges: number;
    boundary_loops: number;
    branching_edges: number;
    mixed_winding_edges: number;
    shells: number;
    euler: number;
    /** m² */
    area: number;
    /** m³; nil unless closed and one way round */
    signed_volume: number | null;
    near_pairs: number;
    /** false: NearPairs is a lower bound, there are too many to count */
    near_pairs_all: boolean;
    held_apart_pairs: number;
    /** tolerance in metres, distinct places */
    weld_curve: ([number, number])[] | null;
    weld_steps: SurfaceWeldStep[] | null;
    /** metres: the largest distance that loses no edge; nil: no edge, or no such distance */
    safe_weld: number | null;
    seam_edges: number;
    /** false: there may be more, the search was given up */
    seam_edges_all: boolean;
    /** the same, but the weights on the two sides differ: parts that move apart */
    held_seam_edges: number;
    /** the widest; nil: no seam */
    seam_gap_m: number | null;
    /** metres: where the plateau of the weld curve begins; nil: nothing to weld, or no distance spares the detail */
    suggested_weld: number | null;
    /** what welding there does */
    suggested_step: SurfaceSuggestion | null;
    doubled_vertices: number;
    /** used vertices of primitives without normals */
    without_normal: number;
    /** used vertices */
    off_unit_normals: number;
    /** triangles whose normals point away from their front */
    opposed_normals: number;
    triangles_with_normals: number;
    inside_out_shells: number;
    crumbs: number;
    /** 0: no loop */
    longest_loop_m: number;
    /** of all that is shown; nil: no plane was found */
    mirror: SurfaceMirror | null;
    /** of the body, without gear: what is judged; nil: no plane was found */
    body_mirror: SurfaceMirror | null;
    surfaces: Surface[];
    /** the largest by area, at most mostListed; see Pieces */
    shell_list: SurfaceShell[];
    ready_to_bind: SurfaceReady;
    /** what shares of the diagonal are of */
    size_m: number;
    /** extensions */
    not_honoured: string[] | null;
    /** why the sides of the body cannot be compared; "": they can */
    mirror_doubt: string;
    /** false: too many triangles lie over each other to tell what is inside what */
    nested: boolean;
    /** another */
    shells_inside: number;
    /** that run against most of their shell */
    turned_over_triangles: number;
  }

  /** WeldStep is what welding at one distance does. */
  interface SurfaceWeldStep {
    /** × diagonal */
    share: number;
    metres: number;
    /** places left */
    distinct: number;
    /** whose two ends become one */
    edges_lost: number;
    /** that lose an edge so */
    triangles_lost: number;
    /** metres, to the middle of the places that become one */
    largest_shift: number;
  }

  /** Suggestion is what welding at the suggested distance does; over all surfaces: what welding each at its own does. */
  interface SurfaceSuggestion {
    /** × diagonal */
    share: number;
    metres: number;
    /** places left */
    distinct: number;
    /** whose two ends become one */
    edges_lost: number;
    /** that lose an edge so */
    triangles_lost: number;
    /** metres, to the middle of the places that become one */
    largest_shift: number;
    open_edges_left: number;
  }

  /** Mirror says how well a mirror plane holds: Normal·x = Offset, metres, world, rest pose. */
  interface SurfaceMirror {
    normal: [number, number, number];
    offset: number;
    /** of the welded vertices that a triangle uses */
    unmatched_share: number;
    /** metres; see Facts.Mismatch */
    largest: number;
    mean: number;
    /** of distinct vertices */
    pairs: number;
    /** vertices that are their own partner */
    on_plane: number;
    unmatched: number;
    /** 0…1: share of the shape that meets its own image within 2 % of the diagonal; of one surface: that of the figure */
    alike: number;
    /** over all only */
    sides?: SurfaceSides;
    /** where the plane passes the middle of the body's box; of the body only */
    foot?: [number, number, number];
  }

  /** Sides compare the two halves of the figure, for whoever will keep one and mirror it. */
  interface SurfaceSides {
    halves: [SurfaceHalf, SurfaceHalf];
    /** name of the better half; "": nothing tells them apart */
    keep: string;
    /** in words, whatever Keep says */
    reason: string;
    /** MayHalve tells that one half may be cut off and made anew of the other: nothing is bound yet, and joints or the surface tell a figure that has two sides. */
    may_halve: boolean;
  }

  /** Half is what lies on one side of the mirror plane. What lies on the plane is in neither. */
  interface SurfaceHalf {
    /** "left" and "right" are the figure's own; else "+X", "−Y" …: where in the world it lies */
    name: string;
    /** welded, those that a triangle uses */
    vertices: number;
    /** boundary loops, branching and mixed edges, near pairs, triangles without area, normals that point inwards */
    faults: number;
  }

  /** Surface holds the figures of one surface. */
  interface Surface {
    node: number;
    mesh: number;
    name: string | null;
    /** not of the body: held, worn or beside it */
    gear: boolean;
    vertices: number;
    welded_vertices: number;
    triangles: number;
    unused_vertices: number;
    /** of those, and of triangles whose three places lie on a line */
    zero_area_triangles: number;
    /** triangles with area, lower than 1e-4 of their longest edge */
    slivers: number;
    edges: number;
    boundary_edges: number;
    boundary_loops: number;
    branching_edges: number;
    mixed_winding_edges: number;
    shells: number;
    euler: number;
    /** m² */
    area: number;
    /** m³; nil unless closed and one way round */
    signed_volume: number | null;
    near_pairs: number;
    /** false: NearPairs is a lower bound, there are too many to count */
    near_pairs_all: boolean;
    held_apart_pairs: number;
    /** tolerance in metres, distinct places */
    weld_curve: ([number, number])[] | null;
    weld_steps: SurfaceWeldStep[] | null;
    /** metres: the largest distance that loses no edge; nil: no edge, or no such distance */
    safe_weld: number | null;
    seam_edges: number;
    /** false: there may be more, the search was given up */
    seam_edges_all: boolean;
    /** the same, but the weights on the two sides differ: parts that move apart */
    held_seam_edges: number;
    /** the widest; nil: no seam */
    seam_gap_m: number | null;
    /** metres: where the plateau of the weld curve begins; nil: nothing to weld, or no distance spares the detail */
    suggested_weld: number | null;
    /** what welding there does */
    suggested_step: SurfaceSuggestion | null;
    doubled_vertices: number;
    /** used vertices of primitives without normals */
    without_normal: number;
    /** used vertices */
    off_unit_normals: number;
    /** triangles whose normals point away from their front */
    opposed_normals: number;
    triangles_with_normals: number;
    inside_out_shells: number;
    crumbs: number;
    /** 0: no loop */
    longest_loop_m: number;
    /** its vertices over the plane of the whole figure; nil: not shown, or no plane */
    mirror: SurfaceMirror | null;
    /** its vertices over the plane of the body; nil: not of the body, or no plane */
    alike: SurfaceAlike | null;
    /** in words */
    called: string;
  }

  /** Alike says of one surface how its places meet their images over the body's plane. */
  interface SurfaceAlike {
    /** that a triangle uses */
    places: number;
    without_partner: number;
    /** mismatch, in steps of 1/offPer of the size */
    off_by_steps: ([number, number])[] | null;
  }

  /** Shell is one connected piece of a surface. */
  interface SurfaceShell {
    /** in node order */
    surface: number;
    triangles: number;
    /** welded */
    vertices: number;
    /** m² */
    area: number;
    /** no boundary, no branching, one way round */
    closed: boolean;
    signed_volume: number | null;
    /** of its box, world */
    centre: [number, number, number];
    /** metres: half the diagonal of its box */
    extent: number;
    /** the smallest closed shell around it, by its place in the whole list; nil: none */
    inside: number | null;
    /** closed shells around it */
    depth: number;
    inside_out: boolean;
    crumb: boolean;
    /** place in Facts.Pieces */
    shell: number;
  }

  /** Ready is the verdict, and what to do before the surface is bound, in order. */
  interface SurfaceReady {
    /** "ready", "after-steps", "not-yet"; "cannot-tell"; "nothing-to-bind" without a triangle */
    verdict: string;
    /** the body is bound already: the verdict is that of binding it anew */
    bound: boolean;
    steps: SurfaceStep[];
    /** the verdict in a sentence; "" without a triangle */
    says: string;
  }

  /** Step is one thing to mend. */
  interface SurfaceStep {
    /** of the check that tells more */
    id: string;
    what: string;
    do: string;
    /** automatic binding tends to fail while it stands */
    blocks: boolean;
  }

  /** Facts are what the station measured. Metres, degrees, world space, rest pose. */
  interface SkeletonFacts {
    joints: SkeletonJoint[];
    /** BVH: ends of the last bones, no joints of the file */
    end_sites: number;
    /** joints with no joint above */
    roots: number[];
    arm_pose: SkeletonArmPose;
    /** elbows, knees, feet and palms, left before right */
    limbs: SkeletonLimb[];
    required_roles_missing: string[];
    common_bind: SkeletonCommonBind[];
    /** matrices that are lost, or another joint's */
    bind_wrong: SkeletonBindWrong[];
    pairs: SkeletonPair[];
    stature: SkeletonStature;
    proportions: SkeletonSegment[];
    loose_chains: SkeletonLoose[];
    /** joints of limbs, fingers, toes and head that hold no vertex, and what limbs hang on where a clip turns it */
    roles_unheld: number[];
    /** what limbs hang on where no clip turns it, and ends of chains */
    still_unheld: number[];
    /** those that other players would change, and those that clash */
    names: SkeletonNameFact[];
    axes: SkeletonAxesFact;
    /** what this skeleton is, in words; "" without joints */
    says: string;
    kind: SkeletonKindFact;
    /** a human-like figure: at least eight body roles, hips among them */
    figure: boolean;
    /** role → joint */
    bones: Record<string, number>;
    /** the end sites */
    end_joints: SkeletonJoint[] | null;
    /** of the figure, else of its joints */
    diagonal_m: number;
    /** of the body, else of its joints */
    height_m: number;
    /** how far the figure's left points above level */
    lean_degrees: number;
    /** left and right are known */
    sides_told: boolean;
    sided_names: SkeletonSided;
    /** beyond the middle */
    wrong_side: SkeletonWrongSide[] | null;
    /** of one side, without a partner on the other */
    unpaired: number[] | null;
    /** skin by skin */
    binds: SkeletonSkinBind[];
    shared_joints: SkeletonSharedJoint[] | null;
    /** joints less than a tenth of the diagonal from their parent */
    coincide: SkeletonGap[] | null;
    scaled: SkeletonScaled[] | null;
    /** the file says which node is which bone (VRM humanoid) */
    declares_bones: boolean;
    breaches: SkeletonBreach[] | null;
    /** around the joints that were measured */
    sections: SkeletonSection[] | null;
    /** why none could be measured */
    no_section: string;
    nameless: number[] | null;
  }

  /** Joint is one joint with its measures. */
  interface SkeletonJoint {
    node: number;
    name: string | null;
    /** nearest joint above, nil */
    parent: number | null;
    /** metres, world, rest pose; an axis without a number is 0 */
    position: [number, number, number];
    /** VRM 1.0 bone name, nil */
    role: string | null;
    role_confidence: number;
    /** left, right, centre, nil */
    side: string | null;
    partner: number | null;
    evidence: string;
    /** of a figure that is no person, in words: "left fore limb", "tail"; nil */
    limb: string | null;
    /** its place in that limb, from 1 at the trunk; 0: in none */
    limb_joint: number;
    /** to the joint its bone ends at, nil at an end */
    length: number | null;
    /** residual after the skin's common part; nil: no bind to tell by */
    bind_drift_m: number | null;
    /** likewise */
    bind_drift_degrees: number | null;
    /** "+x" … "-z", the own axis nearest to the bone; nil at ends */
    axis: string | null;
    axis_off_degrees: number | null;
    folded_name: string | null;
    /** distance from the middle of the section, ÷ its radius; nil: not measured */
    off_centre: number | null;
    /** of the circle as large as the section; nil likewise */
    section_radius_m: number | null;
    /** of the surface */
    outside: boolean;
    /** over all surfaces of its skins */
    weight_sum: number;
    /** −1 at an end */
    bone_ends_at: number;
    /** its place is finite */
    placed: boolean;
  }

  /** ArmPose is how the arms are held at rest. */
  interface SkeletonArmPose {
    /** T, A, hanging, between; nil: no arms, or raised ones */
    class: string | null;
    /** of the upper arm below horizontal; negative: raised */
    left_degrees: number | null;
    /** likewise */
    right_degrees: number | null;
    /** in words, with what it means for motion; "" without arms */
    says: string;
  }

  /** Limb is one arm or leg at rest. */
  interface SkeletonLimb {
    /** leftArm, leftLeg, leftFoot, leftHand and so on */
    bone: string;
    bend_degrees?: number;
    /** of the line from hip to ankle, + in front */
    knee_forward_m?: number;
    knee_back_degrees?: number;
    /** of a foot, + outward */
    yaw_degrees?: number;
    /** unit, out of the palm */
    palm?: [number, number, number];
  }

  /** CommonBind is what all joints of a skin agree on: world rest of a joint × its inverse bind matrix, the same for all when the figure opens as it was bound. */
  interface SkeletonCommonBind {
    skin: number;
    turn_degrees: number;
    /** cube root of the determinant */
    scale: number;
    /** metres: where it puts the origin */
    shift: [number, number, number];
    joints_off: number;
    joints_with_influence: number;
    /** clip and time that the rest pose is taken from; nil: none was found */
    posed_as: SkeletonPoseOf | null;
  }

  /** PoseOf names a moment of a clip. */
  interface SkeletonPoseOf {
    clip: number;
    name: string | null;
    seconds: number;
  }

  /** BindWrong is one such fault of one skin. */
  interface SkeletonBindWrong {
    skin: number;
    what: string;
    joints: number[];
    /** for each joint, the one whose matrix it has; [] where the matrix is of none */
    has: number[];
    /** shifted: how far on in the list the matrices are; else 0 */
    places: number;
    /** of the skin's vertices, that stand off their place by more than 2 % of the diagonal */
    torn_share: number;
    joints_with_influence: number;
  }

  /** Pair is two partners and how much they differ. */
  interface SkeletonPair {
    left: number;
    right: number;
    /** the longer of their bones; at ends the way from the joint above */
    bone_m: number;
    /** of the bones, ÷ Bone; nil at ends */
    length_difference: number | null;
    /** image of the left one to the right one, ÷ Bone; what comes from the joints above left out; nil: no plane */
    place_difference: number | null;
    place_difference_m: number | null;
    /** "mirrored", "copied", "both", "neither", "": cannot be told */
    frames: string;
    both_have_roles: boolean;
  }

  /** Stature is the height that segments are measured against. */
  interface SkeletonStature {
    metres: number;
    /** "surface" or "skeleton" */
    from: string;
    /** height of what the head holds, hair and hat with it; nil: nothing tells */
    head_m: number | null;
    /** how many of these go into it; nil likewise */
    heads: number | null;
    /** Where no neck parts the head from the trunk, how many heads at least and at most: a head may end at its joint or as far below it as a chin can. nil: it is told. */
    heads_range: number[] | null;
  }

  /** Segment is one part of the body against the handbook. */
  interface SkeletonSegment {
    name: string;
    length_m: number;
    /** ÷ stature */
    share: number;
    /** what is usual, as a share of stature */
    low: number;
    high: number;
    /** share of the nearer bound that it is off by; 0: within */
    off: number;
    source: string;
    /** role */
    from: string;
    /** likewise */
    to: string;
  }

  /** Loose is a chain that does not hang where it should. */
  interface SkeletonLoose {
    /** its topmost joint */
    root: number;
    /** with all below it */
    joints: number;
    /** the joint to hang it on; −1: none is there */
    hang_on: number;
    /** from Root to the bone of HangOn */
    distance_m: number | null;
    /** why that one */
    why: string;
    /** every clip places Root by keys of its own */
    own_keys: boolean;
    /** it hangs in the skeleton, but not where its role does, or where its surface goes on */
    role: boolean;
    /** it hangs on another limb, or the other side's */
    across: boolean;
    /** some surface follows it */
    carried: boolean;
    /** the joint it hangs on now; −1: none */
    hangs_on: number;
    /** so many of its joints stand where joints of the main skeleton do, where these are nearly all; else 0 */
    copied: number;
  }

  /** NameFact is one name that other players would change, or that stands more than once. */
  interface SkeletonNameFact {
    name: string | null;
    folded_name: string;
    nodes: number[];
    /** "twice", "alike", "edge space", "not ASCII", "colon", "changed" */
    why: string[];
  }

  /** AxesFact is how the joints' own axes lie. */
  interface SkeletonAxesFact {
    /** own axis that lies along most bones of joints with a role, "" without any */
    majority: string;
    /** of those, how many have it more than 45° off */
    outliers: number;
    of: number;
    /** all frames are the world's */
    parallel_to_world: boolean;
    /** of pairs: mirrored, copied, both, mixed, neither, "" */
    frames: string;
    webxr_hand: boolean;
    webxr_worst_degrees: number | null;
    /** largest rest rotation of a declared bone, VRM 0.x */
    vrm0_worst_degrees: number | null;
    /** the outliers */
    off: number[] | null;
    /** −Z off the bone */
    webxr_off: SkeletonOffBone[] | null;
    /** rest rotations */
    vrm0_turns: SkeletonOffBone[] | null;
  }

  /** OffBone is a joint and how far its frame is from where the format wants it. */
  interface SkeletonOffBone {
    node: number;
    name: string | null;
    degrees: number;
  }

  /** KindFact is what sort of figure this is; see anatomy.Kind. */
  interface SkeletonKindFact {
    /** none, person, four-legged, winged, many-legged, chain, hand */
    kind: string;
    /** 0…1 */
    certainty: number;
    /** in words */
    evidence: string;
    words: string;
    beast: boolean;
  }

  /** Sided counts joints by the side that they are on, and by the one that their names say. */
  interface SkeletonSided {
    left: number;
    right: number;
    /** either, by the name alone */
    named: number;
  }

  /** WrongSide is a joint whose name says the one side and that stands on the other. */
  interface SkeletonWrongSide {
    node: number;
    /** left, right */
    named: string;
    /** likewise */
    stands: string;
    /** beyond the middle plane, > 0 */
    across_m: number;
  }

  /** SkinBind is what the matrices of one skin tell. */
  interface SkeletonSkinBind {
    skin: number;
    surfaces: number;
    /** they agree on where the skin was bound, but for a few */
    told: boolean;
    /** the surface is kept joint by joint, each part in the space of its joint */
    apart: boolean;
    /** what shifts are held against */
    size_m: number;
    /** matrices */
    unusable: SkeletonBadBind[] | null;
    /** with influence and a matrix of their own that can be used */
    joints: number;
    /** of those, but where nothing is left */
    residuals: SkeletonResidual[] | null;
    /** shown, whose mesh follows it */
    nodes: number[] | null;
    /** of the box of those at rest; nil: it has none */
    middle: [number, number, number] | null;
    extent_m: number;
  }

  /** BadBind is a matrix that no program can use. */
  interface SkeletonBadBind {
    node: number;
    /** the last row is not 0 0 0 1, by Value; else flat: determinant ÷ largest scale³ */
    row: boolean;
    value: number;
  }

  /** Residual is what is left of one joint after the common part. */
  interface SkeletonResidual {
    node: number;
    degrees: number;
    /** 95th percentile over the vertices it dominates; without any, of its own place */
    shift_m: number;
    /** scale ÷ the common one */
    ratio: number;
    shear: number;
  }

  /** SharedJoint is a joint that two skins bind differently. */
  interface SkeletonSharedJoint {
    node: number;
    skin: number;
    other_skin: number;
    degrees: number;
    /** of the joint's place */
    shift_m: number;
  }

  /** Gap is how far a joint stands from the one it hangs on. */
  interface SkeletonGap {
    node: number;
    metres: number;
  }

  /** Scaled is a joint whose own transform is more than a turn and a move. */
  interface SkeletonScaled {
    node: number;
    scale: [number, number, number];
    /** largest distance of a factor from 1 */
    off: number;
    /** zero, or no inverse */
    flat: boolean;
    /** the file gives a matrix */
    matrix: boolean;
  }

  /** Breach is one way in which declared roles break the standard, or a hand or foot is off the T-pose it asks for. */
  interface SkeletonBreach {
    /** of the check */
    limit: string;
    node: number;
    role: string;
    /** in words */
    what: string;
    value: number;
  }

  /** Section is the outline of the surface around a joint, cut across its bone. */
  interface SkeletonSection {
    joint: number;
    /** place in Rig.Surfaces */
    surface: number;
    /** of that surface */
    node: number;
    /** of the area within, metres, world, rest pose */
    centre: [number, number, number];
    /** of the circle of equal area, metres */
    radius_m: number;
    /** of the joint */
    place: [number, number, number];
    /** where the joint stands for Offset: of trunk and head, Centre moved sideways alone */
    judged_at: [number, number, number];
    /** of the plane that was cut, unit */
    normal: [number, number, number];
    /** the joint stands within; else the outline is the nearest there is */
    inside: boolean;
    /** Inside: of the joint from Centre, ÷ Radius; of trunk and head across the body alone */
    offset: number;
    /** how often the surface goes round the joint; 1 taken for granted when Inside */
    winding: number;
    /** not Inside: metres from the joint to the outline */
    away_m: number;
  }

  /** Facts are what the station measured. Weights count as stored, over all sets. */
  interface BindingFacts {
    skins: BindingSkin[];
    /** in one place with one bound differently */
    split_seam_vertices: number;
    /** over the bend set; nil: no seam */
    split_seam_opens: BindingOpening | null;
    /** nil: no mirror plane, or no skin */
    mirror_mismatch: BindingMismatch | null;
    /** weight > 0.05 of a joint of the other side, > 2 % of the diagonal beyond the plane */
    cross_body_vertices: number;
    cut_to_four: BindingFour;
    /** shown surfaces without a skin, beside skinned ones */
    unskinned: BindingHung[];
    /** measured when something may stay behind */
    root_travel_m: number;
    /** with a jump > 0.35 */
    rough_edges: number;
    rigid_shells: number;
    /** all of the file */
    surfaces: BindingSurface[];
    /** skin joints without influence, in node order, each once */
    idle: BindingIdle[] | null;
    /** patches farther than a quarter bone from their joint's main one, by skin and joint */
    strays: BindingStray[] | null;
    /** weights above 0.01 beyond the plane */
    crossing: BindingCrossing[] | null;
    /** of weights across an edge */
    largest_jump: number;
    split_seams: BindingSeams;
    /** joints that shells follow altogether */
    rigid_on: BindingRigid[] | null;
    /** data without its counterpart */
    unplugged: BindingLoose;
    /** why sides are not compared; "": they are */
    no_mirror: string;
    diagonal_m: number;
    height_m: number;
  }

  /** Skin holds the figures of one skin over all surfaces that use it. Vertices count as stored: split ones several times. */
  interface BindingSkin {
    skin: number;
    name: string | null;
    vertices: number;
    /** weights that sum to 0 */
    unbound: number;
    /** float: |sum − 1| > 2e-7 × non-zero weights; integer: sum ≠ full scale */
    sum_off: number;
    /** |sum − 1|, unbound ones left out */
    largest_sum_error: number;
    /** vertices with weight on a joint the skin does not have */
    bad_index: number;
    /** vertices with a negative weight or one that is no number */
    bad_weight: number;
    /** vertices with 0, 1, … 7, 8 or more non-zero weights */
    influences: number[];
    most_influences: number;
    /** non-zero ones */
    weights: number;
    /** in (0, 0.01) */
    faint_weights: number;
    /** in the skin's order */
    joints: BindingJoint[];
    /** Places of the above. Vertices that no triangle uses are left out. */
    unbound_at: BindingGroup;
    bad_at: BindingGroup;
    faint_at: BindingGroup;
    sums_off: BindingOff[] | null;
  }

  /** Joint holds the figures of one joint of a skin. */
  interface BindingJoint {
    node: number;
    name: string | null;
    /** with a weight above 0 */
    vertices: number;
    /** with their largest weight here; a tie goes to the first slot */
    dominant: number;
    weight_sum: number;
    largest: number;
    /** weights by bin (k/10, (k+1)/10] */
    histogram: number[];
    /** farthest influenced vertex from the bone (joint to main child), metres */
    reach_m: number;
    /** patches its influenced vertices fall into, on the welded surface */
    islands: number;
    mirror_mismatch_sum: number;
    /** on the other side, nil: none */
    partner: number | null;
    /** class of a joint without influence, else "" */
    idle: string;
  }

  /** Group is a set of vertices with the ball that holds them, metres, world, rest. */
  interface BindingGroup {
    count: number;
    surfaces: number[] | null;
  }

  /** Off is how many vertices of one surface have a sum that is off alike: in the same step, from it up to the next. */
  interface BindingOff {
    surface: number;
    "8_bit": boolean;
    vertices: number;
    /** |sum − 1| */
    largest: number;
    /** the largest */
    throw_m: number;
  }

  /** Opening is how far things that belong together part over the bend set. */
  interface BindingOpening {
    metres: number;
    /** the joint that parts them most, None */
    joint: number;
    axis: string;
    degrees: number;
  }

  /** Mismatch sums up how the weights of the two sides differ. */
  interface BindingMismatch {
    /** stored vertices whose weights differ by more than the limit, 0.1 by default */
    vertices_over: number;
    /** Over ÷ Compared */
    share: number;
    largest: number;
    mean: number;
    compared: number;
    /** no partner, and no mirrored surface near */
    unpaired: number;
    /** The same without vertices whose own weights, or those opposite, are gone or off: what they differ by is another fault's doing. The check is judged by these. */
    sound_over: number;
    /** SoundOver ÷ SoundCompared */
    sound_share: number;
    sound_compared: number;
  }

  /** Four tells what is lost where players keep four influences a vertex. */
  interface BindingFour {
    at: BindingGroup;
    /** with more than four that a triangle uses */
    vertices: number;
    /** largest share of a vertex's weight outside its strongest four */
    lost_strongest: number;
    /** and outside the first four stored */
    lost_first: number;
    /** vertices with one of the strongest four outside the first four */
    strong_outside: number;
    /** over the bend set, strongest four made whole, against all made whole */
    shift: BindingOpening;
    /** vertices that the bend set was tried on */
    tried: number;
    outside_at: BindingGroup;
  }

  /** Hung is one shown surface without a skin beside skinned ones. */
  interface BindingHung {
    node: number;
    /** nearest joint above it, itself too; nil: none */
    joint: number | null;
    /** it or something above it moves in some clip */
    moves: boolean;
    /** to the nearest skinned vertex; nil: none */
    distance_m: number | null;
    /** joint to hang it on, None */
    nearest: number;
    /** larger than all that is skinned: a floor, a room */
    scenery: boolean;
    surface: number;
  }

  /** Surface is what the checks of single vertices go by, of one surface: how many there are of each size, as a Tally. */
  interface BindingSurface {
    node: number;
    /** of the node */
    name: string | null;
    /** in words */
    called: string;
    /** −1: none */
    skin: number;
    /** vertices that a triangle uses, by how many weights are not 0 */
    influences: ([number, number])[] | null;
    /** vertices, by hundredths; those whose weights are gone or off, or the ones opposite, left out */
    mirror_differences: ([number, number])[] | null;
    /** by hundredths */
    jumping_edges: ([number, number])[] | null;
    /** by the largest jump at them */
    jumping_vertices: ([number, number])[] | null;
  }

  /** Idle is one joint that no vertex hangs on, in any skin. */
  interface BindingIdle {
    node: number;
    /** as words */
    called: string;
    class: string;
  }

  /** Stray is a patch of a joint's influence apart from its main one. */
  interface BindingStray {
    skin: number;
    joint: number;
    surface: number;
    /** stored ones of the patch */
    vertices: number;
    /** of the joint's weight */
    share: number;
    /** from the main patch: along the surface, straight where another shell */
    distance_m: number;
    /** the distance is along the surface */
    along: boolean;
    /** length of the joint's bone */
    bone_m: number;
    /** all that the joint holds: the distance is from its bone, straight */
    alone: boolean;
  }

  /** Crossing is how many vertices of one surface have their largest weight of the other side on one joint, by how much it is and how far they lie beyond the plane: those of one step of both limits. In the order of their first vertices. */
  interface BindingCrossing {
    surface: number;
    joint: number;
    /** more hundredths than this */
    weight: number;
    /** more thousandths of the diagonal than this */
    beyond: number;
    vertices: number;
    /** weight of them */
    largest: number;
  }

  /** Seams are the places where vertices lie on each other bound differently. */
  interface BindingSeams {
    /** all vertices of such places that a triangle uses */
    at: BindingGroup;
    /** over the bend set, the widest */
    opens: BindingOpening;
    /** places that the bend set was tried on */
    tried: number;
    /** all of them */
    places: number;
  }

  /** Rigid is a joint that shells follow altogether. */
  interface BindingRigid {
    joint: number;
    shells: number;
    /** stored ones */
    vertices: number;
  }

  /** Loose ends of the binding: data without its counterpart. */
  interface BindingLoose {
    /** nodes without a skin whose mesh has joints and weights */
    no_skin: number[] | null;
    /** nodes with a skin whose mesh has a primitive without */
    no_joints: number[] | null;
    /** nodes whose mesh has primitives with unequal sets */
    unequal: number[] | null;
    /** joints of a shown skin outside the shown scene */
    outside: number[] | null;
    /** joints that a skin names twice */
    twice: number[] | null;
    /** vertices that name a joint twice with weight */
    same_joint: BindingGroup;
    /** vertices with an index that is not 0 at weight 0 */
    padding: BindingGroup;
  }

  /** Facts are what the station measured. Lengths are metres, world, rest pose. */
  interface BendsFacts {
    /** the worst first */
    moves: BendsMove[];
    /** the ranges that the moves are the ends of, joint by joint */
    turns: BendsTurn[];
    /** a half turn along each bone */
    twists: BendsTwist[];
    /** Joints that were not bent: too much of the surface hangs on joints far apart. */
    left_out?: number[];
    /** that were bent, or have a bone; by node */
    joints: BendsJoint[];
    /** joints one below the other that do the same to the same places */
    same_place: BendsAlike[] | null;
    /** joints */
    bent: number;
    diagonal_m: number;
    /** why nothing was bent; "" */
    why_not: string;
  }

  /** Move is one end of one range of the bend set: a joint turns, everything else is at rest. A ratio that has no value is nil: nothing is bent there, or it encloses nothing. */
  interface BendsMove {
    joint: number;
    /** flexion, abduction, rotation; without a role x, y, z, the joint's own axis */
    axis: string;
    degrees: number;
    /** of the blend zone, linear, signed */
    volume_ratio: number | null;
    /** the same by dual quaternions */
    volume_ratio_dual: number | null;
    section_area_ratio: number | null;
    /** of the section at the joint or in the middle of its bone, the smaller; nil: no closed section */
    radius_ratio: number | null;
    radius_ratio_dual: number | null;
    /** linear; nil: no triangle moves */
    stretch_p99: number | null;
    stretch_max: number | null;
    stretch_p99_dual: number | null;
    stretch_max_dual: number | null;
    /** triangle of stretch_max */
    stretch_at: BendsSpot | null;
    moved_triangles: number;
    /** of moved_triangles, linear */
    turned_over_share: number | null;
    turned_over_share_dual: number | null;
    /** those that do not reach into the wedge that the bend closes */
    turned_over_outer_share: number | null;
    crack_max_m: number;
    bleed_vertices: number;
    /** Half way, linear: what is wrong there is no matter of the end of the range. */
    half_stretch_p99: number | null;
    /** triangles */
    half_turned_over_outer: number;
    /** Severity is how far the worst of its measures goes, in shares of the figure at which it is a flaw by default: above 1, a flaw; what can be a note at most, however far it goes, has 1. Moves stand in this order. */
    severity: number;
    /** the range is the fallback, on a rig whose other ranges are known or whose kind has none that are, or of a joint without a bone */
    guessed: boolean;
    /** triangles */
    turned_over_outer: number;
    /** how far the farthest of bleed_vertices is drawn along */
    drawn_m: number;
  }

  /** Spot is a triangle in the file's own numbers. */
  interface BendsSpot {
    node: number;
    mesh: number;
    primitive: number;
    /** elements of the primitive's accessors */
    vertices: [number, number, number];
  }

  /** Turn is one range of the bend set. */
  interface BendsTurn {
    joint: number;
    axis: string;
    /** unit, world, rest pose; right-hand rule */
    direction: [number, number, number];
    /** degrees from rest */
    min: number;
    max: number;
    source: string;
  }

  /** Twist is a half turn along one bone: either its joint or the one at its end turns by 180° about it, whichever leaves less of the width. */
  interface BendsTwist {
    /** whose bone it is */
    joint: number;
    /** where it ends */
    end: number;
    /** the one of the two that was turned */
    turned: number;
    /** smallest over the middle third, linear; nil: no closed section bends */
    radius_ratio: number | null;
    radius_ratio_dual: number | null;
    /** where on the bone, 0 … 1 */
    at: number;
    /** unit, from the joint to the end */
    axis: [number, number, number];
  }

  /** Joint is a joint as findings tell of it. */
  interface BendsJoint {
    node: number;
    name: string | null;
    /** on the other side, −1: none */
    partner: number;
    /** nodes above it */
    depth: number;
    /** its role is of trunk, head or shoulders, which nobody twists by half a turn */
    trunk: boolean;
  }

  /** Alike are two joints, one below the other, that do the same to at least half of the places of either: A has the lower number. */
  interface BendsAlike {
    what: string;
    joint: number;
    other: number;
  }

  /** Facts are what the station measured. */
  interface MotionFacts {
    clips: MotionClip[];
    /** at rest in some clip while what they hang on moves */
    chains: MotionChain[] | null;
    /** joints with influence that no clip moves by themselves, those of chains left out */
    stiff_joints: number[] | null;
    split: MotionSplit[] | null;
    /** that move what the stiff joints hang on */
    stiff_clips: number;
    /** of Stiff, those held in another pose somewhere */
    stiff_held: number;
    of: MotionOf;
  }

  /** Clip holds the figures of one clip. */
  interface MotionClip {
    clip: number;
    name: string | null;
    /** last key of any channel */
    seconds: number;
    /** first key of any channel */
    start_seconds: number;
    channels: number;
    /** distinct nodes its channels name */
    nodes: number;
    /** moments it was looked at */
    frames: number;
    moving_joints: number;
    /** the rest of the joints */
    still_joints: number[];
    /** of Still, those without a channel */
    unkeyed_joints: number[];
    /** of Still, those that hold another pose than at rest */
    held_joints: number[];
    /** at rest while what they hang on moves, two joints or more */
    still_chains: number[][];
    /** null: nothing moves */
    loop_jump_degrees: number | null;
    loop_jump_m: number | null;
    /** it reads as a loop */
    loop: boolean;
    loop_node: number;
    /** of loop_joints, those within 5° of their first pose at the end */
    loop_joints_closed: number;
    /** that move; what carries the figure counts as one */
    loop_joints: number;
    foot_skate: MotionFoot[];
    /** of a walk in place: the speed both feet are carried at */
    floor_metres_per_second: number | null;
    /** y of the lowest point of all surfaces; null: no surface */
    lowest_m: number | null;
    /** of those that are skinned; null: none */
    lowest_skinned_m: number | null;
    lowest_skinned_time: number;
    lowest_vertex: number;
    /** −1: none */
    lowest_surface: number;
    /** over ground that is not level; null: it is */
    climb: MotionClimb | null;
    /** null: nothing is skinned, or nothing moves */
    worst_frame: MotionWorstFrame | null;
    /** a second, between neighbouring keys of a joint */
    largest_speed_degrees: number;
    largest_speed_time: number;
    largest_speed_node: number;
    /** of joints with a role of the body that carry something */
    limb_speed: MotionSpeed;
    /** of the others that carry something */
    loose_speed: MotionSpeed;
    /** m/s */
    shift_speed: MotionSpeed;
    /** that leave the curve of their neighbours and come back */
    stray_keys: number;
    /** the farthest: degrees */
    stray_turn: MotionSpeed;
    /** the farthest: metres */
    stray_shift: MotionSpeed;
    /** longest range without a key where keys stood close, and the joint moves; 0: none */
    gap_seconds: number;
    /** where it starts */
    gap_at: number;
    /** median step of that channel */
    gap_step: number;
    /** joints with such a range, the longest first */
    gap_nodes: number[] | null;
    travel: MotionTravel;
    sign_flips: number;
    /** largest true angle there */
    sign_flip_degrees: number;
    sign_flip_cubic: boolean;
    sign_flip_time: number;
    sign_flip_node: number;
    /** neighbouring keys 170° or more apart */
    opposite_keys: number;
    opposite_degrees: number;
    opposite_time: number;
    opposite_node: number;
    /** constant and at rest */
    dead_channels: number;
    /** constant, another pose than at rest */
    held_channels: number;
    /** that move, on nodes which carry nothing */
    idle_channels: number;
    /** that interpolation gives without them */
    spare_keys: number;
    keys: number;
    /** of the values of all these */
    dead_bytes: number;
    stretched: MotionStretched[];
    /** largest error of a rotation key's length */
    off_unit: number;
    off_unit_time: number;
    off_unit_node: number;
    /** 8-bit keys, whose step makes such errors */
    off_unit_8_bit: boolean;
    /** nodes whose scale channel is not always 1 */
    scaled_nodes: number[] | null;
    scale_off: number;
    /** median step of its longest channel */
    key_step_seconds: number;
    /** moving channels that end early */
    early_ends: number[] | null;
    earliest_end: number;
  }

  /** Foot is how one foot slides while it stands (package gait). */
  interface MotionFoot {
    node: number;
    /** of the clip's time that it stands */
    share: number;
    /** mean, level, while it stands */
    metres_per_second: number;
    /** way slid near the ground, weighted by nearness */
    slide_m: number;
  }

  /** Climb is how a clip lies over ground that is not level, a stair or a slope, as far as its feet tell where that is (gait.Legs). */
  interface MotionClimb {
    /** y of the ground at the clip's first moment */
    start_m: number;
    end_m: number;
    /** of the skinned surfaces over that ground; below zero: under it */
    lowest_m: number;
    lowest_time: number;
    /** −1: none */
    lowest_surface: number;
    lowest_vertex: number;
  }

  /** WorstFrame is the moment of a clip at which the surface is stretched most, of those that were looked at. */
  interface MotionWorstFrame {
    time: number;
    /** 99th percentile of the principal stretch of the triangles */
    stretch_p99: number;
    /** the same by area at rest: 1 % of the surface is stretched more */
    stretch_p99_area: number;
    stretch_max: number;
    /** that moves most of the stretched triangles */
    joint: number;
    /** worked out exactly */
    frames: number;
    /** ranked by how far neighbouring joints part */
    of: number;
  }

  /** Speed is the largest of a clip, with where and when. */
  interface MotionSpeed {
    value: number;
    node: number;
    time: number;
  }

  /** Travel is how far a clip carries the figure from its first to its last key. */
  interface MotionTravel {
    /** level shift */
    metres: number;
    /** the same in heights of the figure */
    heights: number;
    /** turn about the vertical, left positive */
    degrees: number;
    metres_per_second: number;
    /** "in place", "travels", "turns", "climbs" */
    class: string;
    /** that carries it; null: nothing moves */
    node: number | null;
    /** the hips carry it and nothing above them has a channel */
    hips_carry: boolean;
    /** the node above that could, None */
    above: number;
  }

  /** Stretched is a joint whose distance from the joint before it changes in a clip. */
  interface MotionStretched {
    node: number;
    /** of a limb the joint at which its bone starts, else the joint above */
    from: number;
    /** largest change of the distance ÷ that at rest */
    ratio: number;
    bone: string;
    time: number;
  }

  /** Chain is a run of joints that stays at rest in some clips though what it hangs on moves. */
  interface MotionChain {
    joints: number[];
    /** it has a role, or is part of a hand */
    body: boolean;
    /** it is still here while the parent moves */
    clips: number[];
    /** clips in which the parent moves */
    of: number;
    /** in the first of Clips */
    reason: number;
    /** the node that has the channels instead, None */
    instead: number;
    /** the file leaves all of them to springs, which a player simulates */
    springs: boolean;
  }

  /** Split is a set of clips that look like one movement cut up: the same span, each for one node, no node twice. */
  interface MotionSplit {
    clips: number[];
    nodes: number[];
  }

  /** Of is the figure that the clips move, as far as it is judged by. */
  interface MotionOf {
    /** of the body, else of the joints */
    height_m: number;
    /** y of the ground: 0, or the lowest point at rest when that is far from it */
    floor_m: number;
    /** the figure does not stand on y = 0 at rest */
    off_floor: boolean;
    /** some surface is shown */
    surface: boolean;
    joints_alone: boolean;
    rigid_parts: boolean;
    skins: number;
    /** that were recognised */
    feet: number;
    /** the file states no unit */
    unit_unstated: boolean;
    /** of the nodes, as words */
    names: Record<string, string>;
    /** whose ends lie more than 64 nodes below what both stand under: not watched */
    far_bones: number;
  }

  /** AskSample does the same with the built-in figure; see desk.Sample. */
  interface AskSample {
    limits: string;
    /** "T" or "A" */
    pose: string;
    /** "plain", "snake" or "prefix" */
    names: string;
    /** vertices; 0: the default */
    size: number;
    /** number of the one that is planted; 0: none */
    fault: number;
  }

  /** AskWarm examines the built-in figure unseen, so that the next file is answered sooner. */
  interface AskWarm {
    /** vertices; 0: the default */
    size: number;
  }

  /** AskJudge holds what was measured against other limits. */
  interface AskJudge {
    limits: string;
  }

  /** AskList wants the whole place of a finding. */
  interface AskList {
    number: number;
  }

  /** LensInfo is one lens that an examination can show, or why it cannot. */
  interface FoundLensInfo {
    name: string;
    title: string;
    about: string;
    /** whose measure it is: "surface" */
    station: string;
    ready: boolean;
    /** not ready: why not */
    why: string;
  }

  /** AskField wants what a lens shows. */
  interface AskField {
    name: string;
    /** metres, for a lens that asks for a weld distance */
    weld: number;
    /** for a lens that asks for one; null: none */
    joint: number | null;
    /** of the bend set, for a lens that asks for one; null: none */
    move: Move | null;
  }

  /** Move is one joint turned from rest as the bend set turns it; then clips are not shown. */
  interface Move {
    joint: number;
    /** flexion, abduction, rotation; x, y, z without a role; "": no move */
    axis: string;
    degrees: number;
  }

  /** Parcel goes with bytes: sketch (before its rig), rig, prepared, fields, field (package flat) or file. Of a second figure secondRig, secondPrepared and secondFields, before its document; carriedRig, before the report, is the open figure with the new clips as its last, and secondPlaces, one for each, where the source's joints are meanwhile: little-endian float32, first and last moment in seconds, frames, evenly spread between them; then by frame and joint left, up and forward in shares of the longest side. saved, with the name to save under, ends a save, handed one of what was mended, reported a report; placed ends the picture of a finding, without bytes where it has no place. boardFront and boardSide, as PNG, come before a board that pictures were asked for with. Of a mend on trial trialSketch, where its shape is another, comes before trialRig and trialPrepared after it; of kept mends mendedPrepared and mendedFields before mendedRig. picture is an encoded picture that materials show, its name the place of the image; handed back as the files of a paint, in another worker, each comes as a texture (package flat), and a painted document ends it. */
  interface Parcel {
    id: number;
    kind: 'sketch' | 'rig' | 'prepared' | 'fields' | 'field' | 'file' | 'picture' | 'texture' | 'secondRig' | 'secondPrepared' | 'secondFields' | 'carriedRig' | 'secondPlaces' | 'saved' | 'trialSketch' | 'trialRig' | 'trialPrepared' | 'mendedRig' | 'mendedPrepared' | 'mendedFields' | 'handed' | 'reported' | 'placed' | 'portrait' | 'boardFront' | 'boardSide';
    /** of the file, of the field's lens */
    name: string;
  }

  /** AskOverlay wants what a finding inks over the figure, or without a number the section around a joint. */
  interface AskOverlay {
    number: number;
    joint: number | null;
  }

  /** Overlay goes with the bytes of what a finding inks over the figure; without bytes it inks nothing. Places are what "next place" goes through. */
  interface Overlay {
    id: number;
    /** overlay */
    kind: 'overlay';
    number: number;
    places: Place[];
  }

  /** Place is something to bring to the front. */
  interface Place {
    surface: number | null;
    /** then Vertices count within it */
    primitive: number | null;
    vertices: number[];
    node: number | null;
    point: number[];
    /** metres across */
    extent: number;
    /** of a finding with rows, the one it belongs to */
    row: number;
  }

  /** AskRows wants a clip joint by joint. */
  interface AskRows {
    /** refused without */
    clip: number | null;
    columns: number;
  }

  /** ClipRows is a clip joint by joint: when each is keyed, and when it moves by itself (against the joint above it, not with it). */
  interface MotionClipRows {
    clip: number;
    name: string | null;
    start_seconds: number;
    seconds: number;
    /** equal parts of start to seconds */
    columns: number;
    /** in tree order: a parent before what hangs on it */
    joints: MotionRow[];
  }

  /** Row is one joint of a clip. */
  interface MotionRow {
    node: number;
    name: string | null;
    /** joints above it */
    depth: number;
    /** moves, held, at rest, never keyed */
    state: string;
    /** something above it moves */
    follows: boolean;
    /** moments at which it has a key */
    keys: number;
    /** farthest turn of a key from the first */
    degrees: number;
    /** farthest shift of a key from the first */
    metres: number;
    /** keys in each column */
    keyed: number[];
    /** largest in each column; a jump counts as spread over its column */
    degrees_per_second: number[];
    /** the same; empty where it never shifts */
    metres_per_second: number[];
  }

  /** AskCurves wants the curves of one joint in a clip. */
  interface AskCurves {
    /** refused without */
    clip: number | null;
    /** refused without */
    joint: number | null;
  }

  /** JointCurves is what one joint does in one clip by itself, against the joint above it: its turn from rest, how fast it turns, its shift from rest. */
  interface MotionJointCurves {
    clip: number;
    node: number;
    name: string | null;
    start_seconds: number;
    seconds: number;
    /** seconds; rising; each key and moments between */
    times: number[];
    /** The turn from rest as a rotation vector in the joint's own axes: its direction is the axis, its length the angle. It is carried on past a half turn, so no curve breaks. Degrees. Angle is its length. */
    x_degrees: number[];
    y_degrees: number[];
    z_degrees: number[];
    degrees: number[];
    /** from this moment to the next; the last is that before it */
    degrees_per_second: number[];
    /** Shift from rest along the axes of the joint above, metres at rest's scale; empty where no channel shifts it. */
    x_m: number[];
    y_m: number[];
    z_m: number[];
    channels: MotionCurveChannel[];
  }

  /** CurveChannel is one channel of the joint: where its keys stand. */
  interface MotionCurveChannel {
    /** rotation, translation, scale, as glTF names them */
    path: string;
    /** LINEAR, STEP, CUBICSPLINE */
    interpolation: string;
    /** seconds */
    keys: number[];
  }

  /** Offer is a mend as it is offered for an examined figure: its row of the table, and the values with which the findings call for it, the best first. */
  interface MendOffer {
    id: string;
    title: string;
    stage: string;
    answers: string[];
    /** checks beside whose findings it is offered, and never suggested */
    beside: string[];
    does: string;
    source: string;
    parameters: MendParameter[];
    calls: MendCall[];
  }

  interface MendParameter {
    name: string;
    title: string;
    says: string;
    kind: string;
    unit: string;
    /** null: worked out from the figure */
    default: unknown;
    least?: number;
    most?: number;
    choices?: string[];
    /** does something only where another parameter is one of these */
    where?: MendWhere;
  }

  /** Where says beside which values of another parameter, a Choice or a Truth, this one does anything: elsewhere it is not shown. */
  interface MendWhere {
    name: string;
    /** "true" and "false" of a Truth */
    is: string[];
  }

  /** Call is one set of values, complete but for what is worked out from the figure, and the checks that a step with them is about. */
  interface MendCall {
    values: Record<string, unknown>;
    aims: string[];
  }

  /** Road is the steps of one figure. */
  interface Road {
    /** where the figure stands; "" while stations are missing */
    says: string;
    /** id of the first step with something to be done; "": none */
    next: string;
    steps: RoadStep[];
  }

  /** Step is one of ten. */
  interface RoadStep {
    id: 'choose' | 'scale' | 'weld' | 'even' | 'fit' | 'bind' | 'rest' | 'parts' | 'motion' | 'hand-over';
    title: string;
    state: 'done' | 'to-do' | 'choice' | 'needless';
    /** what there is, or what is left: a few words */
    says: string;
    /** that are put right in it, by number, the gravest first */
    findings: number[];
    /** ids of the mends that work in it, in the order of the work */
    mends: string[];
  }

  /** Sheet is the mending slip as a person reads it. */
  interface MendSheet {
    steps: MendSheetStep[];
    /** steps that are done; those behind it were taken back */
    cursor: number;
    /** of those that are done, how many are not switched off */
    kept: number;
    /** "3 mends kept · 2 flaws cleared · none planted" */
    says: string;
    change: MendChange;
    /** what the file keeps of the one that was opened */
    stays: string;
    /** of the mended file */
    name: string;
    /** it holds */
    bytes: number;
  }

  /** SheetStep is one step. */
  interface MendSheetStep {
    mend: string;
    title: string;
    /** its values that are not the usual ones */
    words: string;
    /** the findings it answers */
    why: string;
    off: boolean;
    /** null: a plan left it out, it was never tried */
    told: MendTold | null;
    /** why it cannot stand one step earlier; "": it can */
    up: string;
    /** or later */
    down: string;
  }

  /** Told is a receipt with what a person reads of it. */
  interface MendTold {
    receipt: MendReceipt | null;
    /** the step in one line */
    sentence: string;
    /** what it moved, its numbers, what it rewrote */
    rows: MendRow[];
    /** checks that it plants and with which accepted it would be kept */
    insist: string[];
    /** how the outcome differs from what a plan expects; "": it does not */
    odd: string;
    /** of a binding, the first of them; others have none */
    pieces: MendPiece[];
    /** that pieces may follow, as a step names them, parents first */
    joints: string[];
  }

  /** Receipt is what one step did: equal steps on equal files give equal bytes. */
  interface MendReceipt {
    mend: string;
    title: string;
    parameters: Record<string, unknown>;
    kept: boolean;
    /** it is not kept; "" where it is */
    why: string;
    checks: MendCheck[];
    /** found before, looked at and clear now */
    cleared: string[];
    /** found before and less now */
    shrunk: string[];
    /** looked at and clear before, found now; or of a higher grade; or in more places; or a flaw in another place, or grown in its own */
    planted: string[];
    /** of Planted: flaws that stand where they stood and are larger */
    worse: string[];
    /** found now, and not looked at before or hidden behind its cause */
    revealed: string[];
    /** found before, not looked at now */
    hidden: string[];
    /** of Planted, those a person insisted on */
    accepted: string[];
    moved: MendMoved;
    bytes: MendBytes;
    /** what differs in the JSON */
    pointers: string[];
    /** parts left as they are, or why nothing was done */
    refused: string[];
    says: string[];
    measures: MendMeasureOfMend[];
  }

  /** Check is one check before and after. */
  interface MendCheck {
    id: string;
    before: MendSeen;
    after: MendSeen;
  }

  /** Seen is how a check ended: state, worst grade, first measure of the worst finding, and in how many places it is found. */
  interface MendSeen {
    state: string;
    grade?: string;
    name?: string;
    value?: number;
    unit?: string;
    limit?: number;
    places?: number;
  }

  /** Moved is how far vertices went at rest, in the world. */
  interface MendMoved {
    /** vertices that moved by more than a millionth of the figure */
    count: number;
    /** vertices compared */
    of: number;
    max_m: number;
    /** of those that moved */
    mean_m: number;
    /** 0 where there is no height */
    max_share_of_height: number;
    /** the vertex that moved farthest, by content */
    where?: string;
    /** where it was, metres, world */
    point?: [number, number, number];
  }

  /** Bytes counts buffer views. */
  interface MendBytes {
    untouched_views: number;
    rewritten_views: number[];
    added_views: number;
    added: number;
    file_before: number;
    file_after: number;
  }

  /** MeasureOfMend is a number that a mend states of itself. */
  interface MendMeasureOfMend {
    name: string;
    value: number;
    unit: string;
    says: string;
  }

  /** Row is one number of a receipt in words. */
  interface MendRow {
    name: string;
    says: string;
  }

  /** Piece is a piece of a surface as it was bound. */
  interface MendPiece {
    /** as a step names it: "#1" */
    name: string;
    says: string;
    /** that it may follow */
    joints: string[];
  }

  /** Change is what became of the checks between the file that was opened and the mended one. The lists mean what those of a receipt do. */
  interface MendChange {
    cleared: string[];
    shrunk: string[];
    planted: string[];
    revealed: string[];
    hidden: string[];
    /** planted ones that were insisted on */
    accepted: string[];
  }

  /** Second is a file at hand as programs read it. */
  interface MendSecond {
    name: string;
    sha256: string;
    surfaces: MendSecondSurface[];
    clips: MendSecondClip[];
  }

  /** SecondSurface is what can be taken from it. */
  interface MendSecondSurface {
    /** as a step names it */
    name: string;
    vertices: number;
    triangles: number;
    /** of the figure itself, not gear */
    body: boolean;
    /** gear, or what lies close over another surface: proposed as what is to be taken */
    worn: boolean;
  }

  /** SecondClip is a clip that can be carried over. */
  interface MendSecondClip {
    /** of the file's own; "": it has none */
    name: string;
    /** as a step names it */
    named: string;
    start: number;
    /** the last keyframe */
    seconds: number;
  }

  /** AskTry applies a mend to a copy of the figure that is open for mending. */
  interface AskTry {
    mend: string;
    /** JSON, by parameter; "": all as they are without */
    values: string;
    /** the finding it answers, in words, for the plan */
    why: string;
  }

  /** AskBoard wants the figure from before and from its left, and where the points of a fit are. */
  interface AskBoard {
    /** of the fit, JSON by parameter; "": none is set */
    values: string;
    /** pixels of each of the two pictures, which are told before it; 0: none is wanted */
    width: number;
    height: number;
    night: boolean;
  }

  /** boardDocument is a board with the two eyes: where a place of the world stands on a picture is c + scale·distance / (distance − d·back) · (d·right, −d·up), d from the target to it. */
  interface BoardDocument {
    /** all eight of a person, from head to foot; none of other kinds */
    spots: MendFitSpot[];
    /** that follow, parents first; none where it is refused */
    joints: MendFitJoint[];
    /** why nothing is proposed, in words; "": something is */
    refused: string;
    /** unit normal and offset: what the other side mirrors at */
    plane: [number, number, number, number];
    /** unit, world */
    front: [number, number, number];
    /** from before, from its left; none before pictures were asked for */
    eyes: BoardEye[];
  }

  /** FitSpot is one of the eight points, on the figure's left. */
  interface MendFitSpot {
    name: string;
    /** world, metres; null: it is not known */
    at: [number, number, number] | null;
    sure: number;
    /** by the person */
    set: boolean;
    /** At as a value of the mend's points */
    text: string;
  }

  /** FitJoint is one joint of the proposal. */
  interface MendFitJoint {
    name: string;
    /** place in the list, −1: the root */
    parent: number;
    at: [number, number, number];
    sure: number;
  }

  interface BoardEye {
    target: [number, number, number];
    right: [number, number, number];
    up: [number, number, number];
    back: [number, number, number];
    distance: number;
    /** pixels a metre at the target */
    scale: number;
    cx: number;
    cy: number;
  }

  /** AskSettle wants to know where a point goes that was put on one of the two pictures. */
  interface AskSettle {
    /** of the point */
    name: string;
    /** on the picture from the left */
    side: boolean;
    /** pixels */
    x: number;
    y: number;
    /** where it was, "x y z"; "": nowhere yet */
    was: string;
  }

  /** settled is where a point went. */
  interface SettledDocument {
    /** false: it lies beside the figure, and stays as deep as it was */
    inside: boolean;
    at: [number, number, number];
    /** as a value of the mend's points */
    text: string;
  }

  /** AskKeep puts the mend on trial on the slip. */
  interface AskKeep {
    /** planted checks that the person insists on */
    accept: string[];
  }

  /** AskSlip changes the mending slip; a refusal leaves it as it was. */
  interface AskSlip {
    /** back, forward, off, on or move */
    act: string;
    /** from 0 */
    step: number;
    /** of a move */
    to: number;
  }

  /** AskPlan wants to know what a plan would do; refused where it is none. */
  interface AskPlan {
    /** a plan as it was saved, or a proof sheet with one */
    text: string;
  }

  /** PlanTold is a plan as a person reads it before it is done. */
  interface MendPlanTold {
    /** of the file it was made for; "": it does not say */
    name: string;
    /** that file is the one it is to be done on */
    same: boolean;
    /** "Bring to scale, factor 0.01"; those that it leaves out are not among them */
    steps: string[];
    /** checks whose limits it moves */
    limits: number;
  }

  /** AskDoPlan does a plan on the figure as it was opened; what stood on the slip goes. */
  interface AskDoPlan {
    text: string;
    /** past a step whose outcome is not what the plan expects */
    goOn: boolean;
  }

  /** AskReopen reads the files beside it as those of the figure on the desk, for a page whose examiner is gone: nothing of it is shown anew but what the slip changed. */
  interface AskReopen {
    limits: string;
    /** as it was told last, a mend.Saved in JSON; "": nothing was tried yet */
    slip: string;
    /** JSON: of how many files each second figure is, which come last among those beside it; "": there is none */
    beside: string;
  }

  /** AskHandOver wants what the kept mends made. */
  interface AskHandOver {
    /** figure, plan or proof */
    what: string;
    /** stands on the proof sheet; "": none does */
    date: string;
  }

  /** AskReport wants the report of the open figure; its files come beside it. */
  interface AskReport {
    /** stands on the report; "": none does */
    date: string;
    /** what lengths are read in: m, cm or in; "": metres */
    units: string;
  }

  /** AskCompare sets an older examination beside that of the open figure. */
  interface AskCompare {
    /** the document that was told of it */
    before: string;
  }

  /** Report is what changed from the old to the new side. */
  interface CompareReport {
    old: string;
    new: string;
    says: string;
    gone: CompareFinding[];
    /** of the new side, without a partner in the old */
    fresh: CompareFinding[];
    worse: ComparePair[];
    better: ComparePair[];
    same: ComparePair[];
    /** of the file itself, those that differ as they are said as they are said */
    counts: CompareChange[];
    /** stations that did not run on one side: nothing is told of what they find */
    unknown: string[];
  }

  /** Finding is a finding of one side. */
  interface CompareFinding {
    number: number;
    id: string;
    grade: string;
    title: string;
    subject: string;
    /** its first measure in words; "": it has none */
    says: string;
    figure: string | null;
  }

  /** Pair is one finding on both sides. */
  interface ComparePair {
    was: CompareFinding;
    is: CompareFinding;
  }

  /** Change is one figure of the file, in words. */
  interface CompareChange {
    name: string;
    was: string;
    is: string;
  }

  /** AskPlace wants a picture of a finding's place, as PNG. */
  interface AskPlace {
    number: number;
    /** pixels */
    width: number;
    height: number;
    night: boolean;
  }

  /** secondDocument tells what a second file holds. */
  interface SecondDocument {
    name: string;
    /** "glb", "gltf" or "bvh" */
    kind: string;
    joints: number;
    meshes: number;
    clips: SecondClip[];
    /** the skeletons are the same: names, parents and places at rest */
    same: boolean;
    /** Both skeletons as matching sees them, for drawing: theirs first. */
    source: Stand[];
    target: Stand[];
  }

  interface SecondClip {
    clip: number;
    name: string;
    start: number;
    /** the last key */
    seconds: number;
    channels: number;
  }

  /** stand is where one joint stands at rest, seen from before the figure. */
  interface Stand {
    node: number;
    name: string;
    /** nearest joint above, null */
    parent: number | null;
    /** towards the figure's left and up, shares of the longest side */
    at: [number, number];
    /** left, right, centre or "" */
    side: string;
  }

  /** AskMatch wants to know which joint of the second figure moves which of the open one. */
  interface AskMatch {
    /** a saved table, JSON or CSV; "": nothing is pinned */
    pins: string;
    /** csv, else JSON */
    format: string;
  }

  /** document is the table as JSON. */
  interface MatchDocument {
    match: number;
    source: MatchFile;
    target: MatchFile;
    mirrored: boolean;
    pairs: MatchRow[];
    unmatched: MatchUnmatched;
    remarks: string[];
  }

  interface MatchFile {
    name: string;
    joints: number;
  }

  interface MatchRow {
    /** null: the target joint is pinned to nothing */
    source: MatchPlace | null;
    /** null: the source joint is pinned to nothing */
    target: MatchPlace | null;
    beside?: MatchPlace;
    /** of beside */
    share?: number;
    role: string | null;
    confidence: number;
    pinned: boolean;
    evidence: string;
  }

  interface MatchPlace {
    /** nil only in a table by names that is read */
    node: number;
    /** null: it has none */
    name: string | null;
  }

  interface MatchUnmatched {
    source: MatchLeft[];
    target: MatchLeft[];
  }

  interface MatchLeft {
    node: number;
    name: string | null;
    why: string;
  }

  /** AskCarry lays clips of the second figure over the open one. */
  interface AskCarry {
    /** JSON, their numbers; "": all */
    clips: string;
    pins: string;
    /** feet are not kept on the ground */
    freeFeet: boolean;
    /** of the new clip; "": as in the second */
    rename: string;
  }

  /** Document holds the reports of one match, as WriteJSON writes it. */
  interface CarryDocument {
    /** Version */
    carry: number;
    source: string;
    target: string;
    pairs: number;
    clips: CarryReport[];
  }

  /** Report says what a carrying kept and what it lost. Lengths are in the target's unit (metres in glTF), speeds a second, angles in degrees. */
  interface CarryReport {
    source_clip: number;
    /** null: it has none */
    source_name: string | null;
    /** of the new clip */
    name: string;
    scale: number;
    scale_from: string;
    target_height: number;
    frames: number;
    /** moments at which bones and ranges were looked at, evenly spread */
    looked: number;
    /** of them, those at which the lowest point was looked for */
    looked_surface: number;
    seconds: number;
    limbs: CarryLimb[];
    feet: CarryFoot[];
    /** most that the hips came down so that a foot could reach */
    hips_lowered_m: number;
    /** most that they rose so that a knee need not fold too far */
    hips_raised_m: number;
    keeping_feet: CarryPrice;
    ground: CarryGround;
    beyond_range: CarryBeyond[];
    /** target joints with surface on them that nothing drives, chain by chain */
    still_chains: CarryJoint[][];
    /** source joints that move and lead nothing */
    lost: CarryJoint[];
    remarks: string[];
    /** what the station Motion finds in the result */
    motion: CarryMoved[];
    /** the whole in one sentence */
    said: string;
    /** what to look at, the weightiest first; then what is as it should be */
    rows: CarryRow[];
  }

  /** Limb compares the directions of the bones of one limb with the source's. */
  interface CarryLimb {
    /** "left arm", "trunk" … */
    name: string;
    bones: number;
    mean_degrees: number;
    largest_degrees: number;
    worst: CarryJoint;
    worst_time: number;
  }

  /** Joint names a node. */
  interface CarryJoint {
    node: number;
    name: string | null;
  }

  /** Foot tells of one foot while it stands, as package gait and Motion measure it: how much of the clip, and the mean level speed of what it stands on, ankle or toes: in the source (in the target's size), by the turns alone and in the finished clip. */
  interface CarryFoot {
    side: string;
    /** of the clip, in the source */
    source_stands_share: number;
    /** of the clip, in the result */
    stands_share: number;
    source_m_s: number;
    before_m_s: number;
    after_m_s: number;
    after_largest_m_s: number;
    after_largest_time: number;
    /** that it stands in the source and could not be kept */
    let_go_s: number;
    /** that it stands in the result and nothing holds it, since the source's does not stand then */
    free_s: number;
    /** speed while it stands and is held */
    held_m_s: number;
    /** Slide over the whole clip, each frame's way weighted by nearness (gait.Slide). */
    slide_before_m: number;
    slide_after_m: number;
  }

  /** Price is what keeping the feet in their places cost. */
  interface CarryPrice {
    /** most that a thigh or shin points elsewhere than without */
    degrees: number;
    /** null: none is turned */
    joint: CarryJoint | null;
    time: number;
  }

  /** Ground tells how the result stands to the floor, which is where the rest pose's soles are. */
  interface CarryGround {
    /** below zero: through the floor */
    lowest_m: number;
    lowest_time: number;
    /** of the frames looked at, deeper than 1 % of the height */
    under_share: number;
    /** "surface" or "joints" */
    by: string;
  }

  /** Beyond is a joint that turns farther about an axis than a healthy adult's. */
  interface CarryBeyond {
    joint: CarryJoint;
    role: string;
    /** flexion, abduction, rotation */
    axis: string;
    /** from the anatomical zero (a straight knee), at worst */
    degrees: number;
    /** likewise */
    limit_degrees: number;
    /** of the worst */
    time: number;
    /** of the moments looked at */
    share: number;
    /** of the limit */
    source: string;
  }

  /** Moved is a finding of the station Motion on the result. */
  interface CarryMoved {
    id: string;
    grade: string;
    text: string;
    /** the source's clip has it too */
    in_source: boolean;
  }

  /** Row is one thing to know, in words. */
  interface CarryRow {
    /** "flaw", "note"; "": as it should be, or the rest */
    grade: string;
    text: string;
    /** seconds into the clip at which it shows best, null: none */
    time: number | null;
  }

  /** AskSave wants a file of what was carried last; for glb the open figure's files come beside it. */
  interface AskSave {
    /** glb or bvh */
    format: string;
  }

  /** taught is all there is to learn by: lessons, and faults to be found. */
  interface Taught {
    lessons: Lesson[];
    faults: DeskPlanted[];
  }

  /** Lesson is one data file. */
  interface Lesson {
    /** one word, as links name it */
    id: string;
    title: string;
    idea: string;
    do: string;
    notice: string;
    source: string;
    dial: LessonDial;
    /** that is followed: shared by the joint of the dial and others most evenly, held by it alone, none */
    vertex: 'shared' | 'held' | '';
    stage: LessonStage;
    /** the sum of the vertex is written out */
    formula: boolean;
    /** fault of the sample that shows it, as lamplighter names it; "": the sample as it is does */
    sample?: string;
    /** names of Measures, in the order shown */
    numbers: string[];
  }

  /** Dial is what a person turns: a joint about an axis, the moment of a clip, or the distance of a weld. One of the three. */
  interface LessonDial {
    turn?: 'flexion' | 'abduction' | 'rotation';
    /** roles; the first whose joint can be turned so */
    of?: string[];
    time?: boolean;
    weld?: boolean;
    /** where it stands first: degrees, share of the clip, step */
    at: number;
  }

  /** Stage is how the figure is shown. */
  interface LessonStage {
    lens: string;
    method: 'linear' | 'dual' | 'both';
    from?: string;
  }

  /** Planted is a fault of the sample as a list shows it: by number, so that a link can name it without telling what it is. */
  interface DeskPlanted {
    /** five figures, made of what it is: it stays when others are added, and tells nothing */
    number: number;
    check: string;
    /** of the check */
    title: string;
    /** what is done to the sample */
    says: string;
    grade: string;
  }

  /** AskLesson measures a lesson on the open figure. */
  interface AskLesson {
    /** its id */
    name: string;
    /** where the dial stands; null: where the lesson puts it */
    at: number | null;
  }

  /** Told is a lesson on one figure, with its dial somewhere. */
  interface LessonTold {
    id: string;
    /** what the figure lacks for it; "": nothing */
    why_not: string;
    /** null: WhyNot says why */
    dial: LessonSetting | null;
    /** that the dial turns, or the first of the chain; −1: none */
    joint: number;
    joint_name: string | null;
    /** of the vertex; −1: none is followed */
    surface: number;
    /** in its mesh */
    vertex: number;
    /** the sum of the vertex; "": not asked for */
    formula: string;
    numbers: LessonNumber[];
  }

  /** Setting is the dial on this figure. */
  interface LessonSetting {
    kind: 'turn' | 'time' | 'weld';
    axis: string;
    /** −1: none */
    clip: number;
    min: number;
    max: number;
    step: number;
    /** degrees, seconds, or which step of the weld curve */
    at: number;
    /** At in words */
    says: string;
    weld_m: number;
  }

  /** Number is one measured number. */
  interface LessonNumber {
    name: string;
    title: string;
    /** null: Says says why */
    value: number | null;
    unit: string;
    says: string;
  }

  /** AskAnswer wants what the fault of a number does to the sample. */
  interface AskAnswer {
    fault: number;
  }

  /** Answer is what was planted. */
  interface MarkAnswer {
    /** Version */
    answer: number;
    /** its number */
    fault: number;
    /** that finds it */
    check: string;
    /** of that check */
    title: string;
    /** what was done, in words */
    says: string;
    grade: string;
    /** that it is about; none: it is about a place or the whole figure */
    joints: string[];
    /** in the middle of the place, metres, world, rest pose; none */
    point: number[];
    /** how far from Point still counts as there */
    reach_m: number;
    /** checks that the same fault sets off, rightly */
    also: string[];
  }

  /** AskMark holds what learners found against an answer. */
  interface AskMark {
    answer: string;
    findings: string[];
  }

  /** Report is all of them. */
  interface MarkReport {
    answer: MarkAnswer;
    says: string;
    learners: Marked[];
  }

  /** Marked is one learner's list against the answer. */
  interface Marked {
    by: string;
    says: string;
    /** the fault was named */
    found: boolean;
    rows: MarkRow[];
    /** by outcome: found, named, consequence, not there */
    counts: [number, number, number, number];
  }

  /** Row is one Found with its outcome. */
  interface MarkRow {
    check: string;
    /** name; "": none was pointed at */
    joint: string;
    /** metres, world, rest pose; none */
    point: number[];
    /** in the learner's own words */
    says: string;
    outcome: 'found' | 'named' | 'consequence' | 'not there';
    because: string;
  }

  /** AskRow examines the files beside it for a line-up; without files it is the row of the open figure. */
  interface AskRow {
    /** of the file, as the person calls it */
    name: string;
    limits: string;
    /** pixels of the pictures told before it, by day and by night; 0: none */
    width: number;
    height: number;
  }

  /** Row is one model. It crosses as JSON: the page examines one model a worker and joins the rows afterwards. */
  interface LineupRow {
    /** as it was named or dropped; New makes File of it and takes it out */
    path?: string;
    file: string;
    /** 1: the best; models on one place stand level; 0: not placed */
    place: number;
    /** Examined, Part, Unread */
    state: string;
    error?: string;
    bytes: number;
    kind: string;
    /** why it stands where it stands, in a line; of a table */
    reason: string;
    /** What the argument reckons with. */
    bound: boolean;
    /** human, four-legged, hand; "": none was recognised */
    body: string;
    /** nothing stands in the way of rigging it */
    fit: boolean;
    /** findings that count for rigging; see counts */
    counted: LineupCounted;
    /** what to mend before a surface that is not bound is bound, in order */
    steps: string[];
    /** of a bound figure: bones that every body must have */
    bones_missing: string[];
    /** all of its findings */
    findings: LineupBrief[];
    /** by column; none where it was not read */
    cells?: Record<string, LineupCell>;
  }

  /** Counted is how many findings count for rigging. */
  interface LineupCounted {
    stop: number;
    flaw: number;
    note: number;
  }

  /** Brief is a finding in short. */
  interface LineupBrief {
    /** in the model's own ledger */
    number: number;
    id: string;
    grade: string;
    title: string;
    subject: string;
    /** for rigging */
    counts: boolean;
  }

  /** Cell is one value and what stands behind it. */
  interface LineupCell {
    /** number or word; null: Reason says why */
    value: number | string | boolean | null;
    /** of a word that a person reads otherwise */
    words?: string;
    reason?: string;
    /** there are more, too many to count */
    at_least?: boolean;
    /** that it leads to; "": none */
    check: string;
    /** of that check */
    state?: string;
    /** of its worst finding */
    grade?: string;
    /** number of that, in the model's own ledger */
    finding?: number;
  }

  /** AskLineup joins rows to a table. */
  interface AskLineup {
    /** what AskRow answered, a JSON list */
    rows: string;
  }

  /** Lineup is a table of several models, as the command line writes it: one JSON document and comma-separated values. From tells of each row which of those asked about it is. */
  interface Lineup {
    id: number;
    /** lineup */
    kind: 'lineup';
    json: string;
    csv: string;
    from: number[];
  }

  interface LineupDocument {
    facts: number;
    program: string;
    columns: LineupColumn[];
    argument: LineupArgument;
    rows: LineupRow[];
  }

  /** Column is one thing that decides. */
  interface LineupColumn {
    key: string;
    title: string;
    unit: string;
    /** what stands in it */
    tells: string;
    /** that its cells lead to; "": the cell says */
    check: string;
    /** sorted largest first, when it is asked for without a way */
    down: boolean;
  }

  /** Argument says which model is the best for rigging, and why. */
  interface LineupArgument {
    /** best, level, only, none-fit, none-placed, none-read */
    verdict: string;
    /** files; several stand level */
    best: string[];
    /** the next place */
    runner_up: string[];
    /** what parts the best from the runner-up */
    decided_by: string;
    says: string;
  }

  /** Progress tells how far a station is. Several may come for one done. */
  interface Progress {
    id: number;
    /** progress */
    kind: 'progress';
    /** its name in the document; "read", "draw" before and after the stations */
    station: string;
    stationTitle: string;
    done: number;
    total: number;
    /** a line to show as it is */
    text: string;
    /** bytes of WebAssembly memory */
    memory: number;
  }

  /** Left says what of the figure no picture shows, a sentence each; before its rig. */
  interface Left {
    id: number;
    /** left */
    kind: 'left';
    words: string[];
  }

  /** Refused says why nothing, or nothing more, comes. */
  interface Refused {
    id: number;
    /** refused */
    kind: 'refused';
    text: string;
    /** what to do; may be empty */
    hint: string;
    /** side files to hand over as well */
    missing: string[];
  }

  /** Saved is a slip as it can be put away and made again in another program: every step, also those that were taken back or are switched off. */
  interface MendSaved {
    plan: MendPlan;
    cursor: number;
    /** by step; null: it was never proved here */
    receipts: (MendReceipt | null)[];
  }

  /** Plan is steps to be done on a file, one after the other. */
  interface MendPlan {
    rigloupe_plan: number;
    made_with: string;
    file: MendPlanFile;
    /** "free": steps may stand in any order */
    order?: string;
    steps: MendStep[];
    limits?: Record<string, Record<string, number>>;
  }

  /** PlanFile is the file that a plan was made for. On another one it may be tried. */
  interface MendPlanFile {
    name: string;
    sha256: string;
    bytes: number;
  }

  /** Step is one mend with its values. */
  interface MendStep {
    mend: string;
    parameters: Record<string, unknown>;
    /** the findings it answers, in words */
    why?: string;
    /** nil: anything */
    expects?: MendExpects;
    /** of the receipt it gave when the plan was made */
    receipt_sha256?: string;
    /** checks whose planted findings the person insists on */
    accept?: string[];
    /** left out */
    off?: boolean;
  }

  /** Expects is the outcome that was seen when the plan was made. */
  interface MendExpects {
    cleared: string[];
    planted: string[];
  }

  /** Show is a change of what the stage shows: what is nil stays as it is. */
  interface Show {
    /** day, night */
    paper: string | null;
    lens: string | null;
    /** node whose influence is shown, −1: none */
    joint: number | null;
    /** −1: rest pose */
    clip: number | null;
    seconds: number | null;
    /** of axis "": none */
    move: Move | null;
    /** of the move that is shown */
    degrees: number | null;
    /** linear, dual */
    method: string | null;
    /** both side by side */
    split: boolean | null;
    /** what stands under this figure and the one beside it; of two empty ones: as it is, as it would be */
    halves: string[];
    /** what a figure of another file plays while this one plays its clip; −1: the one of the same name */
    otherClip: number | null;
    /** pairs of a node and the one of a figure of another file that stands for it */
    partners: number[];
    playing: boolean | null;
    speed: number | null;
    bones: boolean | null;
    pointers: boolean | null;
    loupe: boolean | null;
    staff: boolean | null;
    /** top, right, bottom, left, CSS pixels */
    inset: number[];
    from: string | null;
    chosen: Chosen | null;
    /** what lies under the pointer */
    hover: Chosen | null;
    pointerList: Pointer[];
    /** draw the chosen vertex's skinning sum */
    sum: boolean | null;
    /** of it, how many are added */
    terms: number | null;
    reducedMotion: boolean | null;
    /** as State told it */
    camera: Camera | null;
  }

  /** Chosen is one thing of the figure. */
  interface Chosen {
    /** none, joint, vertex, finding */
    kind: string;
    node: number | null;
    surface: number | null;
    /** then Vertex counts within it */
    primitive: number | null;
    vertex: number | null;
    /** of the finding's pointer */
    number: number | null;
    /** of a finding: world, rest */
    point: number[];
    /** of a finding: metres across */
    extent: number;
  }

  /** Pointer points from a place to the number of a finding. */
  interface Pointer {
    number: number;
    /** stop, flaw, note */
    grade: string;
    surface: number | null;
    primitive: number | null;
    vertex: number | null;
    node: number | null;
    /** world, rest */
    point: number[];
  }

  /** Camera is where the eye stands; see camera.Camera. */
  interface Camera {
    target: number[];
    yaw: number;
    pitch: number;
    distance: number;
    scale: number;
    cx: number;
    cy: number;
    /** of the picture and its insets, when this was told */
    width: number;
    height: number;
    inset: number[];
    /** it shows the whole figure: another room fits it again */
    whole: boolean;
  }

  /** StageState is where the stage is. */
  interface StageState {
    /** a figure is there */
    shown: boolean;
    paper: string;
    lens: string;
    joint: number;
    clip: number;
    seconds: number;
    move: Move;
    method: string;
    split: boolean;
    /** a mend on trial stands in the right half */
    beside: boolean;
    playing: boolean;
    speed: number;
    /** less detail for the time being */
    moving: boolean;
    /** the picture shown is the refined one */
    fine: boolean;
    /** presenter */
    plain: boolean;
    /** pictures drawn */
    frames: number;
    uploads: number;
    /** the last picture took */
    drawMS: number;
    /** triangles that the last refined picture leaves out */
    left: number;
    /** of the picture */
    w: number;
    h: number;
    /** picture pixels a CSS pixel */
    ratio: number;
    camera: Camera;
    /** the side it is seen from; "": none of those with a name */
    from: string;
    /** a place is shown, and there is a way back */
    away: boolean;
    /** why nothing is drawn any more */
    fault: string;
  }

  /** Hit is what lies under a pixel. */
  interface Hit {
    /** none, joint, vertex, finding */
    kind: string;
    /** −1 */
    node: number;
    /** of the node */
    name: string;
    surface: number;
    triangle: number;
    vertex: number;
    number: number;
    /** on the surface, world, as posed; nil: none */
    point: number[];
    /** of a figure of another file beside this one: its node, whose name Name is; Node is then the one of this figure that it stands for; −1: it is of this figure */
    other: number;
  }

  /** Probe is all there is about one vertex. A number without a value is null. */
  interface Probe {
    surface: number;
    /** in the mesh */
    vertex: number;
    node: number;
    nodeName: string;
    mesh: number;
    meshName: string;
    primitive: number;
    element: number;
    /** as stored */
    position: number[];
    /** world; null: no triangle uses it */
    posed: number[];
    influences: Hold[];
    sum: number;
    /** −1 */
    partner: number;
    partnerSurface: number;
    mismatch: number | null;
    distance: number | null;
  }

  /** Hold is one joint's hold on a vertex. */
  interface Hold {
    node: number;
    name: string;
    weight: number;
  }

  /** Sum is a skinning sum written out; names and numbers as the command line's `probe --json`, see deform.Written. */
  interface Sum {
    surface: number;
    vertex: number;
    position: number[];
    morphed: boolean;
    terms: Term[];
    weight_sum: number;
    rest: number[];
    spread: number;
    stored: number[];
    place: number[];
    whole: Rule;
    strongest: Rule;
    first_four: Rule;
    dual: Rule;
  }

  /** Term is what one joint adds to a sum. */
  interface Term {
    /** on the figure */
    letter: string;
    node: number;
    name: string;
    slot: number;
    weight: number;
    /** 12, row by row */
    matrix: number[];
    alone: number[];
    adds: number[];
    total: number[];
    stands: number[];
  }

  /** Rule is where another rule would put the vertex. */
  interface Rule {
    place: number[];
    shift_m: number;
    influences: number;
  }

  /** Legend is what the colours of the lens stand for. */
  interface Legend {
    /** what the lens shows, in words */
    caption: string;
    /** ramp, two-sided, steps, inks, none */
    kind: string;
    unit: string;
    ticks: string[];
  }

  /** Changed is told by the stage at most once a picture. */
  interface Changed {
    seconds: number;
    /** of the move that is shown */
    degrees: number;
    playing: boolean;
    moving: boolean;
    /** triangles that the last refined picture leaves out: too many layers lie over each other */
    left: number;
    /** the side it is seen from; "": none of those with a name */
    from: string;
    /** a place is shown, and there is a way back */
    away: boolean;
  }

  /** Turn is one axis of a joint with its range. */
  interface Turn {
    axis: string;
    /** degrees from rest */
    min: number;
    max: number;
    source: string;
  }
}
