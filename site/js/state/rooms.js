// How each room stands: what a person has sifted, sorted, opened in it, and what it waits for. What lies on the desk
// stands in desk.js, who is at work in work.js. No module has variables of its own: eslint.config.js forbids them.

/** What the sifters let through. */
export const sieve = {
  /** grades shown; wait: not looked at @type {Set<string>} */ shown: new Set(['stop', 'flaw', 'note']),
  clearToo: false,
  /** findings shown of each station, where there are very many @type {Map<string, number>} */ most: new Map(),
  /** stations folded by hand @type {Set<string>} */ folded: new Set(),
  /** kinds of notes opened by hand @type {Set<string>} */ kinds: new Set(),
};

export const rooms = {
  head: {
    /** what the state line says of the figure on the desk when there is no news @type {() => string} */ rest: () => '',
    /** what it says instead while mends are kept */ mended: '',
    /** what the line is to say next @type {string|(string|Node)[]} */ next: '',
    /** when it last said something, and the timer of what waits */ last: 0,
    waiting: 0,
    /** how the course was drawn last */ coursed: '',
  },
  work: {
    /** @type {{station: string, done: number, total: number, text: string}|null} */ progress: null,
  },
  clipCard: {
    /** of its joints: tree, still or turn */ order: 'tree',
  },
  curves: {
    /** whose curves are drawn, and the words under them @type {{c: import('../card/motionfacts.js').Curves, says: HTMLElement}|null} */ said: null,
  },
  findings: {
    /** the check whose rows are all shown */ allRows: '',
  },
  joint: {
    /** axis and way of the histogram @type {{axis: string, way: string}} */ how: { axis: 'log', way: 'over' },
    /** second joint joint by joint; −1: none, not there: its partner @type {Map<number, number>} */ against: new Map(),
  },
  joints: {
    /** what the list is searched for */ wanted: { text: '', side: 'all', idle: false },
  },
  table: {
    /** @type {import('../base/sortable.js').Order} */ order: { key: '', down: false },
    wanted: '',
    /** rows are drawn once and then only put in another order @type {{of: any, drawn: Map<import('../card/jointrows.js').Row, HTMLElement>, rows: import('../card/jointrows.js').Row[]}|null} */ kept: null,
  },
  sum: {
    /** how many terms are added; Infinity: all */ added: Infinity,
    /** of which vertex */ vertex: '',
  },
  pose: {
    /** what was shown before a finding's own pose, and whose that is @type {(import('../shared/moves.js').Pose & {number: number})|null} */ before: null,
    /** the pose is being set by a finding, not by hand */ posing: false,
  },
  places: {
    /** the places of the finding that is chosen, and which of them is shown @type {{id: string, number: number, joint: number, places: Wire.Place[], at: number}} */
    walk: { id: '', number: 0, joint: -1, places: [], at: 0 },
    /** a finding whose place was asked for before its places came; 0: none */ wanted: 0,
  },
  lens: {
    /** what the stations of this figure can show besides @type {Wire.FoundLensInfo[]} */ more: [],
    /** the lens whose field the stage has, and the weld distance where it asks for one */ held: '',
    /** one field at a time: while it comes, others only change what is asked for next */ asking: false,
    /** the lens whose colours the figure has */ shown: 'painted',
  },
  strip: {
    /** how it was filled last */ filled: '',
    /** out of which document @type {Wire.Examination|null} */ of: null,
  },
  motionFacts: {
    /** the document that clips are held of @type {Wire.Examination|null} */ of: null,
  },
  carried: {
    /** what was carried over last @type {{source: string, stands: import('../matching/twofigures.js').Stand[], places: Map<string, Float32Array>, count: number, again: () => void, beside: () => void, keep: () => void}|null} */ now: null,
    /** draws the source at the moment that is shown @type {() => void} */ follow: () => {},
  },
  match: {
    /** @type {Wire.SecondDocument|null} */ file: null,
    /** @type {import('../matching/pins.js').Table|null} */ table: null,
    /** the second file's clips that were carried over last, in the order of desk.carried @type {number[]} */ carried: [],
    /** joints that were clicked on the two figures */ picked: { source: -1, target: -1 },
    /** the row whose choice stands open */ editing: -1,
    /** @type {{source: ReturnType<typeof import('../matching/twofigures.js').figureOf>, target: ReturnType<typeof import('../matching/twofigures.js').figureOf>}|null} */ figures: null,
    asked: 0,
    /** what was handed over for motion @type {import('../talk/files.js').Source[]} */ sources: [],
    /** puts what was carried over on trial; handed in by the house @type {(sources: import('../talk/files.js').Source[], how: {clips: number[], feet: boolean, pins: string}) => void} */ keep: () => {},
    /** clips that are ticked, by number @type {Set<number>} */ ticked: new Set(),
  },
  find: {
    /** what the page can do @type {import('../find/matches.js').Thing[]} */ commands: [],
    /** all that can be sought @type {import('../find/matches.js').Thing[]} */ all: [],
    /** what is shown of it @type {import('../find/matches.js').Thing[]} */ found: [],
    /** the one that Enter takes */ at: 0,
  },
  pictures: {
    /** of which document they are */ of: '',
    /** address of each, by size, finding and paper; empty: the finding has no place @type {Map<string, string>} */ made: new Map(),
    /** still to be drawn @type {string[]} */ wanted: [],
    busy: false,
  },
  report: {
    /** it is being drawn */ busy: false,
  },
  road: {
    /** where the figure on the desk stands @type {Wire.Road|null} */ way: null,
    /** of which document that is */ of: '',
  },
  lesson: {
    /** all there is to learn by @type {Wire.Taught|null} */ all: null,
    /** @type {Wire.Lesson|null} */ now: null,
    /** it, measured on the figure on the desk @type {Wire.LessonTold|null} */ told: null,
    /** where the dial was put by hand @type {number|null} */ at: null,
    /** numbers are awaited, and the dial has moved since they were asked for */ asking: false,
    again: false,
    /** the stage stands as the lesson wants it */ dressed: false,
    /** what was shown before the first lesson @type {{lens: string, method: string}|null} */ before: null,
    /** handed in by the house @type {(from: string) => void} */ seen: () => {},
    /** @type {() => void} */ openAll: () => {},
  },
  offline: {
    /** none, keeping, kept, newer, failed */ state: 'none',
    why: '',
    /** @type {ServiceWorkerRegistration|null} */ registration: null,
  },
  recent: {
    /** files that were opened before, the last one first @type {import('../shared/recent.js').Recent[]} */ list: [],
  },
  tour: {
    /** the step that is shown; −1: none */ step: -1,
  },
  limits: {
    /** limits as they were before each change, the last one last @type {Record<string, Record<string, number>>[]} */ before: [],
  },
  puzzle: {
    /** number of the faulty sample; 0: none */ fault: 0,
    /** it was asked for, and is the next figure to come */ due: false,
    /** what was written down @type {{check: string, joint: string, point: number[], says: string}[]} */ found: [],
    by: '',
    /** the answer as text, once it was asked for */ answer: '',
    /** @type {Wire.MarkReport|null} */ marks: null,
  },
  mending: {
    /** the mends there are for the figure on the desk @type {Wire.MendOffer[]} */ offers: [],
    /** of which document they are */ of: '',
    /** the figure's own findings, before the first mend @type {import('./types.js').Finding[]} */ first: [],
    /** @type {Wire.MendSheet|null} */ sheet: null,
    /** the examiner has the file open for mending */ begun: false,
    /** @type {import('../mending/trial.js').Trial|null} */ trial: null,
    /** files whose clips are to be carried over, and what is done with them now @type {import('../mending/carry.js').Capture[]} */ captures: [],
    carrying: '',
    /** puts a mend on trial by its id @type {(id: string) => void} */ start: () => {},
    /** the figure from two sides, while a fit is on trial @type {{doc: Wire.BoardDocument|null, pictures: string[], chosen: string, set: (points: Record<string, string>) => void, asked: number, root: HTMLElement}|null} */ board: null,
    /** what is at work on the slip, in words; empty: nothing */ busy: '',
    /** what was tried while suggested mends are done @type {Wire.MendTold[]} */ steps: [],
    /** why no examiner answers any more, in words */ ended: '',
    /** the plan that was handed over last: its name, its text, how many steps it has, and where it stopped, −1: nowhere @type {{name: string, text: string, steps: number, stopped: number}|null} */ plan: null,
    /** how the slip was when its figure was handed over */ handed: '',
    /** when the receipt was spoken last, and what waits */ spoken: 0,
    speaking: 0,
  },
  queue: {
    ids: 0,
    running: false,
    /** ends the examination that runs @type {(why: 'stop'|'removed') => void} */ halt: () => {},
    joins: 0,
  },
  keys: {
    /** single letters act as shortcuts */ single: true,
  },
};
