import { draw, h, icon, radios, sheet } from '../base/dom.js';
import { choose, desk, on } from '../state/desk.js';
import { openClip } from '../shared/clips.js';
import { hatch } from '../shared/gauge.js';
import { COLUMNS, rowsOf } from './motionfacts.js';
import { sorted, stepOf } from '../base/rows.js';
import { metres, plain, seconds, some } from '../base/words.js';
import { rooms } from '../state/rooms.js';

const its = rooms.clipCard;

/** @typedef {import('./motionfacts.js').Row} Row */

/** What another room has to say of a clip. @typedef {(c: import('../state/types.js').Clip) => Node[]} ClipPart */

/** A clip joint by joint: where each is keyed, where it moves. @param {number} clip @param {() => void} list opens the list of joints @param {ClipPart[]} parts @returns {(Node|null)[]} */
export function clipCard(clip, list, parts) {
  const clips = desk.figure?.clips ?? [];
  const at = clips.findIndex((c) => c.clip === clip);
  const c = clips[at];
  if (!c) return [h('p', { class: 'prose empty' }, 'This clip is no longer here.')];
  const step = (/** @type {number} */ d) => openClip(clips[(at + d + clips.length) % clips.length].clip);
  const body = h('div', {}, h('p', { class: 'prose' }, 'Reading the keyframes …'));
  const redraw = async () => {
    const rows = await rowsOf(clip);
    if (!rows) {
      body.replaceChildren(h('p', { class: 'prose empty' }, 'As soon as the figure is examined its joints stand here: where each is keyed and where it moves.'));
      return;
    }
    body.replaceChildren(...face(rows.joints, rows, redraw));
    follow();
  };
  redraw();
  return [
    h(
      'header',
      {},
      h(
        'p',
        { class: 'kick' },
        `Clip ${at + 1} of ${clips.length}`,
        h('button', { class: 'text', type: 'button', 'data-focus': 'list', click: list }, 'All joints'),
        clips.length > 1 &&
          h(
            'span',
            { class: 'nav' },
            h('button', { class: 'btn sq', type: 'button', 'data-focus': 'back', 'aria-label': 'Previous clip', click: () => step(-1) }, icon('i-back')),
            h('button', { class: 'btn sq', type: 'button', 'data-focus': 'on', 'aria-label': 'Next clip', click: () => step(1) }, icon('i-step')),
          ),
      ),
      h('h2', { id: 'h-card', class: c.name.length > 22 ? 'long' : '' }, c.name),
    ),
    ...parts.flatMap((of) => of(c)),
    body,
  ];
}

/** @param {Row[]} joints @param {import('./motionfacts.js').Rows} rows @param {() => void} redraw */
function face(joints, rows, redraw) {
  const stay = joints.filter((j) => j.state !== 'moves' && j.follows).length;
  const move = joints.filter((j) => j.state === 'moves').length;
  return [
    h(
      'p',
      { class: 'role' },
      `${seconds(rows.seconds)}; ${move} of ${some(joints.length, 'joint')} ${move === 1 ? 'moves' : 'move'} by ${move === 1 ? 'itself' : 'themselves'}`,
      stay > 0 ? `, ${stay} ${stay === 1 ? 'stays' : 'stay'} though what ${stay === 1 ? 'it hangs' : 'they hang'} on moves.` : '.',
    ),
    h(
      'p',
      { class: 'row rows-by' },
      'Order ',
      h(
        'span',
        { class: 'pair', role: 'group', 'aria-label': 'Order of the joints' },
        ...radios(
          'rows-order',
          [
            ['tree', 'as they hang'],
            ['still', 'still first'],
            ['turn', 'by turn'],
          ],
          its.order,
          (v) => {
            its.order = v;
            redraw();
            /** @type {HTMLElement|null} */ (document.querySelector('input[name="rows-order"]:checked'))?.focus({ preventScroll: true });
          },
        ),
      ),
    ),
    legend(),
    h('div', { class: 'rows' }, h('ol', { class: 'joints' }, ...sorted(joints, its.order).map((j) => row(j, its.order === 'tree'))), h('i', { class: 'rows-bob' })),
  ];
}

function legend() {
  const s = sheet('rows-key', 324, 26, 'Speed: each step of the ramp is twice as fast as the one before, from 15 to 3840 degrees a second. A tick below is a keyframe.');
  for (let k = 1; k <= 10; k++) draw(s, 'rect', { class: `c${k} bar`, 'stroke-width': 0.5, x: 52 + (k - 1) * 17, y: 3, width: 17, height: 8 });
  draw(s, 'text', { x: 0, y: 11 }, 'turns by');
  for (const [v, k] of /** @type {[string, number][]} */ ([
    ['15', 2],
    ['120', 5],
    ['960', 8],
  ]))
    draw(s, 'text', { class: 'm', x: 52 + k * 17, y: 23 }, v);
  draw(s, 'text', { x: 226, y: 11 }, '°/s');
  draw(s, 'path', { class: 'ln', d: 'M256 5v6M260 5v6M264 5v6' });
  draw(s, 'text', { x: 271, y: 11 }, 'keyframes');
  draw(s, 'path', { class: 'sbr', d: 'M250 20h17' });
  draw(s, 'text', { x: 271, y: 23 }, 'shifts');
  return s;
}

/** @param {Row} j @param {boolean} tree */
function row(j, tree) {
  const name = j.name || `node ${j.node}`;
  const still = j.state !== 'moves';
  const says = still
    ? `${j.state}${j.follows ? ', though what it hangs on moves' : ''}`
    : `turns by up to ${plain(j.degrees)} degrees${j.metres > 0 ? `, shifts ${metres(j.metres)}` : ''}, ${some(j.keys, 'keyframe')}`;
  const label = h('b', {}, name);
  const indent = tree ? Math.min(j.depth, 9) : 0;
  return h(
    'li',
    {},
    h(
      'button',
      {
        type: 'button',
        class: 'clip-row',
        'aria-current': desk.joint === j.node ? 'true' : null,
        'data-focus': `c${j.node}`,
        'data-tip': `${name}: ${says}`,
        click: () => choose({ kind: 'joint', node: j.node }),
      },
      h('span', { class: 'n', 'data-deep': indent || null }, label),
      picture(j),
      h('span', { class: 'vh' }, says),
    ),
  );
}

/** Keys and speed of a joint over the clip. @param {Row} j */
function picture(j) {
  const s = sheet('keys-strip', COLUMNS, 20);
  s.setAttribute('preserveAspectRatio', 'none');
  draw(s, 'rect', { class: 'fwe', x: 0, y: 2, width: COLUMNS, height: 11 });
  if (j.state !== 'moves' && j.follows) hatch(s, 0, COLUMNS, 2, 13, 'hatch wait', 4);
  /** @type {string[]} by step of the ramp */
  const paths = [];
  for (let k = 0; k < COLUMNS;) {
    const step = stepOf(j.degrees_per_second[k]);
    let to = k + 1;
    while (to < COLUMNS && stepOf(j.degrees_per_second[to]) === step) to++;
    if (step > 0) paths[step] = `${paths[step] ?? ''}M${k} 2H${to}V13H${k}Z`;
    k = to;
  }
  paths.forEach((d, step) => draw(s, 'path', { class: `c${step}`, d }));
  let ticks = '';
  let ways = '';
  j.keyed.forEach((n, k) => {
    if (n > 0) ticks += `M${k + 0.25} 14.5H${k + 0.75}V19H${k + 0.25}Z`;
  });
  j.metres_per_second.forEach((v, k) => {
    if (v > 1e-5) ways += `M${k} 0H${k + 1}V1.6H${k}Z`;
  });
  if (ticks) draw(s, 'path', { class: 'fin', d: ticks });
  if (ways) draw(s, 'path', { class: 'fbr', d: ways });
  return s;
}

/** The plumb line goes with the time. */
function follow() {
  const bob = /** @type {HTMLElement|null} */ (document.querySelector('.rows-bob'));
  if (!bob || desk.chosen.kind !== 'clip') return;
  const { clip } = desk.chosen;
  const c = desk.figure?.clips.find((x) => x.clip === clip);
  bob.hidden = !c || desk.clip !== clip;
  if (c) bob.style.setProperty('--at', String(Math.max(0, Math.min(1, (desk.seconds - c.start) / Math.max(c.seconds - c.start, 1e-9)))));
}
on('time', follow);
on('show', follow);
