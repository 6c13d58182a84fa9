import { h, must } from '../base/dom.js';
import { desk, on } from '../state/desk.js';
import { ROUTE } from '../talk/figure.js';
import { part } from '../base/slices.js';
import { bytes, inUnit, some } from '../base/words.js';
import { rooms } from '../state/rooms.js';

const its = rooms.head;

/** Running head: file and its facts, state line, course. */
export function mountHead() {
  must('state-whole').addEventListener('click', () => open(must('state-whole').getAttribute('aria-expanded') !== 'true'));
  addEventListener('resize', cut);
  on('fresh', () => {
    its.rest = () => '';
    its.mended = '';
  });
  on('begin', ({ name, aside }) => {
    document.body.dataset.opening = name;
    say(aside ? `Reading ${name}. ${aside}` : `Reading ${name}.`, true);
    must('drop-says').textContent = aside;
    must('stop-here').hidden = false;
    course(null);
  });
  on('progress', (p) => {
    const words = `: ${p.done} of ${p.total}, ${(p.elapsed / 1000).toFixed(1)} s so far`;
    const station = ROUTE.some(([name]) => name === p.station);
    say(station ? ['Examining ', h('b', {}, p.stationTitle), words] : `${p.text || p.stationTitle}, ${(p.elapsed / 1000).toFixed(1)} s so far`);
    course(p);
  });
  on('figure', part(() => {
    facts();
    course(null);
  }).later);
  on('phase', () => {
    document.body.dataset.phase = desk.phase;
  });
  on('done', ({ ms }) => {
    must('stop-here').hidden = true;
    its.rest = () => {
      const f = desk.figure?.findings ?? []; // limits may have moved since
      const n = (/** @type {string} */ g) => f.filter((x) => x.grade === g).length;
      const took = `Examined in ${(ms / 1000).toFixed(ms < 10_000 ? 2 : 1)} s`;
      if (desk.covered) return `${took}. What was found is covered.`;
      const parts = [n('stop') && some(n('stop'), 'stop'), n('flaw') && some(n('flaw'), 'flaw'), n('note') && some(n('note'), 'note')].filter(Boolean);
      return `${took}: ${parts.length > 0 ? parts.join(', ') : 'no findings'}.`;
    };
    say(its.rest(), true);
    course(null);
  });
  on('stopped', (kept) => {
    must('stop-here').hidden = true;
    const words = kept ? 'Stopped. What was found so far stays in the ledger.' : 'Stopped before anything was found.';
    if (!its.rest()) its.rest = () => words;
    say(words, true);
    course(null);
  });
  on('silent', ({ seconds, title }) => {
    say(`${title ? `${title} has given` : 'The reader has given'} no sign of life for ${Math.round(seconds)} s. It may still be at work; Stop here ends it.`);
  });
  on('refused', ({ name, kept }) => {
    must('stop-here').hidden = true;
    if (kept) its.rest = () => 'The examination broke off.';
    say(kept ? its.rest() : `${name} was not opened.`, true);
    course(null);
  });
  on('mended', (words) => {
    its.mended = words;
    say(words || its.rest(), true);
  });
  on('speak', speak);
  on('say', (words) => {
    say(words || its.mended || its.rest(), true); // no words: what was said is past
    if (desk.phase === 'first') must('drop-says').textContent = words;
  });
}

/** The state line: live, at most one message a second. @param {string|(string|Node)[]} words @param {boolean} [now] */
export function say(words, now = false) {
  its.next = words;
  const put = () => {
    its.waiting = 0;
    its.last = performance.now();
    must('state').replaceChildren(...(typeof its.next === 'string' ? [inUnit(its.next)] : its.next));
    cut();
  };
  if (now || performance.now() - its.last > 1000) {
    clearTimeout(its.waiting);
    put();
  } else if (!its.waiting) its.waiting = window.setTimeout(put, 1000 - (performance.now() - its.last));
}

/** What is to be heard and stands elsewhere to be seen: the state line is the page's one live region. It goes with the next state. @param {string} words */
function speak(words) {
  const line = must('state');
  let heard = line.querySelector('.vh');
  if (!heard) line.append((heard = h('span', { class: 'vh' })));
  heard.textContent = words && ` ${words}`;
}

/** Where the line is cut a button shows it whole, over what stands under it. */
function cut() {
  const line = must('state'),
    more = must('state-whole');
  open(false);
  more.hidden = true; // it takes room of the line
  more.hidden = line.scrollWidth <= line.clientWidth + 1;
}

/** @param {boolean} whole */
function open(whole) {
  must('state-whole').setAttribute('aria-expanded', String(whole));
  must('state-whole').textContent = whole ? 'less' : 'all of it';
  must('state').parentElement?.classList.toggle('whole', whole);
}

/** Name and facts of the file. */
function facts() {
  const f = desk.figure;
  if (!f) return;
  document.title = `${f.file.name}: Rigloupe`;
  must('file-name').textContent = f.file.name ?? '';
  must('file-facts').textContent = inUnit(factWords(f).join(' · '));
}

/** @param {import('../state/types.js').Figure} f */
export function factWords(f) {
  const i = f.doc.facts_of.intake;
  const kind = /** @type {Record<string, string>} */ ({ glb: 'glTF', gltf: 'glTF', vrm: 'glTF', bvh: 'BVH' })[f.file.kind] ?? f.file.kind;
  return [
    f.file.bytes > 0 && bytes(f.file.bytes),
    kind && [kind, f.file.version].filter(Boolean).join('\u00a0'),
    i && some(i.vertices, 'vertex', 'vertices'),
    i && some(i.joints, 'joint'),
    i && some(i.clips, 'clip'),
  ]
    .filter((w) => typeof w === 'string' && w !== '')
    .map(String);
}

/** Six lengths, one a station, inked as they are done. @param {Wire.Progress|null} p null: none */
function course(p) {
  const stations =
    desk.figure?.stations ??
    ROUTE.map(([name, title]) => ({
      name,
      title,
      state: desk.catalogue.length > 0 && !desk.catalogue.some((c) => c.name === name) ? 'absent' : 'wait',
    }));
  const as = JSON.stringify([stations.map((s) => [s.name, s.title, s.state]), p && [p.station, p.done, p.total]]);
  if (as === its.coursed) return;
  its.coursed = as;
  must('course').replaceChildren(
    ...stations.map((s) => {
      const now = p && p.station === s.name;
      return h(
        'li',
        { class: now ? 'now' : s.state },
        h('span', { class: 'vh' }, `${s.title}${s.state === 'absent' ? ', not in this version' : ''}`),
        now && h('progress', { max: Math.max(1, p.total), value: p.done, 'aria-label': `${s.title}, done` }),
      );
    }),
  );
}
