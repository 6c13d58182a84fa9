// Who is at work: the programs, and the examinations that are under way.

/** @typedef {import('../programs/examiner.js').Examiner} Examiner */
/** @typedef {import('../talk/files.js').Source} Source */

export const work = {
  programs: {
    /** started once a page @type {import('../programs/programs.js').Programs|null} */ all: null,
    /** the page carries its programs in itself */ single: false,
    /** unpacks shapes, once a file asked for it @type {Promise<ArrayBuffer>|null} */ draco: null,
    /** the stage that Ebitengine presents @type {Promise<WebAssembly.Module>|null} */ gpu: null,
  },
  examiners: {
    /** names of locks given so far */ locks: 0,
    /** waits for the next file @type {import('../programs/examiner.js').Program|null} */ spare: null,
    /** is being made ready to wait @type {import('../programs/examiner.js').Program|null} */ warming: null,
    /** code has run, or is about to */ warmed: false,
    /** how often a real one made that end */ ways: 0,
    /** questions without an answer, of all */ asked: 0,
    /** the page has all it needs: one may be made to wait */ ready: false,
    /** runs out when nothing was asked for a while @type {ReturnType<typeof setTimeout>|undefined} */ quiet: undefined,
    /** runs out when nobody saw the page for a while @type {ReturnType<typeof setTimeout>|undefined} */ unseen: undefined,
  },
  painting: {
    /** @type {Examiner|null} */ painter: null,
    /** of the figure whose pictures are wanted */ round: 0,
  },
  run: {
    /** the stage's program @type {import('../programs/stagestart.js').Running|null} */ running: null,
    starts: 0,
    restarting: false,
    /** what broke while another program was started */ broke: '',
    /** Ebitengine's program, where a real graphics processor answers; it takes the place of the plain one when nothing is lost by it @type {WebAssembly.Module|null} */ gpu: null,
  },
  stage: { /** it takes what is set */ ready: false },
  examination: {
    /** of the figure on the desk; it answers until another figure has been read @type {Examiner|null} */ examiner: null,
    /** of the file that is being read @type {Examiner|null} */ coming: null,
    /** the last one @type {import('../talk/examine.js').Talk|null} */ talking: null,
    /** the one whose figure lies on the desk @type {import('../talk/examine.js').Talk|null} */ lying: null,
    /** the files of the figure on the desk @type {Source[]} */ held: [],
    /** the files that were handed over last: those of the figure on the desk, or of one that is not opened @type {Source[]} */ tried: [],
    /** each examination has its own; what an older one still says is not heard */ turn: 0,
    /** the sample's own file, which nobody holds otherwise @type {{name: string, bytes: ArrayBuffer}|null} */ built: null,
    /** where the joints of a second figure are while a carried clip plays, by the clip's name @type {Map<string, Float32Array>} */ places: new Map(),
    /** pictures of the open figure for its row in a line-up, by paper @type {Map<string, Uint8Array>} */ portraits: new Map(),
    /** what came for the stage of a mend on trial and of the mended figure, by kind @type {Map<string, Uint8Array>} */ parcels: new Map(),
    /** the facts of the figure with the kept mends, as text */ mended: '',
    /** the slip as the examiner told it last, to be made again by another; empty: nothing was begun */ slip: '',
    /** second files that a mend takes from, as they were handed over, by name @type {Map<string, Source[]>} */ beside: new Map(),
    /** which step of a slip or a plan is at work; −1: none was told */ doing: -1,
    /** steps that cannot stand without one that is switched off, as text */ switchedOff: '',
    /** the one that is started because the last one died, and of which figure @type {{talk: import('../talk/examine.js').Talk, over: Promise<string>}|null} */ reviving: null,
    /** when examiners died that a person had asked for nothing @type {number[]} */ deaths: [],
    /** asks whether what lies on the desk may go; set by the room of the mends @type {() => Promise<boolean>} */ mayLeave: () => Promise.resolve(true),
    /** the limits that the figure on the desk was judged with @type {Record<string, Record<string, number>>} */ judged: {},
    /** the open figure with the carried clips @type {Uint8Array|null} */ carriedRig: null,
  },
};
