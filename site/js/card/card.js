import { h, must } from '../base/dom.js';
import { refill } from '../base/redraw.js';
import { choose, chosenFinding, chosenJoint, desk, on } from '../state/desk.js';
import { findingBody, findingHead, findingsOf } from './findingcard.js';
import { jointBody, jointHead, jointUnder } from './jointcard.js';
import { clipCard } from './clipcard.js';
import { curves } from './curves.js';
import { jointList, jointListAs } from './joints.js';
import { part } from '../base/slices.js';
import { measured } from '../base/words.js';
import { mark } from '../base/dom.js';
import { vertexCard } from './vertexcard.js';

/** @typedef {(f: import('../state/types.js').Finding) => (Node|false|null)} FindingPart */

/** The card on the right: what is chosen. Nothing chosen: the list of joints. @param {{ofClip?: import('./clipcard.js').ClipPart[], ofFinding?: FindingPart[]}} [handed] what other rooms say of a clip, of a finding */
export function mountCard({ ofClip = [], ofFinding = [] } = {}) {
  const more = (/** @type {import('../state/types.js').Finding} */ f) => ofFinding.map((part) => part(f));
  const card = must('card');
  let at = '';
  const list = () => choose({ kind: 'none' });
  let listed = '';
  function* fill() {
    if (desk.phase === 'first') return;
    const c = desk.chosen,
      finding = chosenFinding(),
      joint = chosenJoint();
    const key = JSON.stringify(c);
    const as = c.kind === 'none' ? jointListAs() : '';
    if (as && as === listed) return; // the same list stands there
    const same = key === at;
    let stay = 0;
    const put = (/** @type {(Node|string|null|undefined|false)[]} */ parts) => {
      stay = same ? card.scrollTop : 0;
      at = key;
      card.dataset.face = c.kind;
      refill(card, ...parts);
      if (stay > 0) card.scrollTop = stay;
    };
    if (c.kind === 'vertex') put(vertexCard(c, list));
    else if (c.kind === 'clip') put(clipCard(c.clip, list, ofClip));
    else if (finding) {
      const own = joint ? findingsOf(joint.node) : [];
      /** @type {(Node|string|null|undefined|false)[]} */
      const parts = [findingHead(finding, list), findingBody(finding, { titled: false, among: among(finding, own), more: more(finding) }), others(own.filter((f) => f !== finding))];
      yield;
      if (joint) parts.push(jointUnder(joint), ...jointBody(joint, face.now), curves(joint));
      yield;
      put(parts);
    } else if (joint) {
      const own = findingsOf(joint.node);
      const shown = own[0] ?? null;
      const parts = [jointHead(joint, list), ...jointBody(joint, face.now)];
      yield;
      parts.push(curves(joint), shown && findingBody(shown, { titled: true, among: among(shown, own), more: more(shown) }), others(own.slice(1)));
      yield;
      put(parts);
    } else put(yield* jointList());
    listed = as;
    if (c.kind === 'none' && stay === 0 && desk.joint >= 0) card.querySelector('[aria-current]')?.scrollIntoView({ block: 'center' });
  }
  const face = part(fill);
  on('figure', face.later);
  for (const kind of ['chosen', 'places', 'offers']) on(kind, face.now);
  on('show', (c) => {
    if (('clip' in c || 'move' in c) && desk.chosen.kind !== 'clip') face.now(); // the joint's curves are those of the clip
  });
  let last = 0,
    later = 0;
  const follow = () => {
    // places change with the pose; four times a second is enough to read
    clearTimeout(later);
    if (desk.chosen.kind !== 'vertex') return;
    const wait = 250 - (performance.now() - last);
    if (wait > 0) {
      later = window.setTimeout(follow, wait);
      return;
    }
    last = performance.now();
    face.now();
  };
  on('probe', follow);
  on('show', follow);
  on('time', follow);
}

/** @param {import('../state/types.js').Finding} f @param {import('../state/types.js').Finding[]} own */
const among = (f, own) => (own.length > 1 ? `${own.indexOf(f) + 1} of ${own.length} here` : '');

/** No finding hides another: the rest of this joint's stand below. @param {import('../state/types.js').Finding[]} rest */
function others(rest) {
  if (rest.length === 0) return null;
  return h(
    'section',
    { class: 'others' },
    h('h3', {}, 'Also here'),
    ...rest.map((f) =>
      h(
        'button',
        { class: 'find', type: 'button', 'data-focus': `f${f.number}`, click: () => choose({ kind: 'finding', number: f.number }, { turn: true }) },
        mark(f.grade),
        h('i', {}, String(f.number)),
        h('span', { class: 't' }, f.title),
        h('span', { class: 'v' }, measured(f.measures[0])),
      ),
    ),
  );
}
