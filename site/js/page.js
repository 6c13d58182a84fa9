import { bus, examinerIsHere, load, startStage, useGpu, warmUp } from './programs/shell.js';
import { must } from './base/dom.js';
import { chosenFinding, desk, on, show, suggest, tell } from './state/desk.js';
import { heldFiles, open, readCatalogueFirst, reread, sample, stopHere } from './talk/examine.js';
import { ofDrop, ofPicker, plansOf } from './talk/files.js';
import { guarded, setStage, stageGone, stageReady } from './talk/stage.js';
import { mountInk, showPlace } from './shared/places.js';
import { help, mountShortcuts } from './shortcuts.js';
import { mountCard } from './card/card.js';
import { showChecks } from './ledger/checks.js';
import { mountFileSheet } from './files/filesheet.js';
import { mountFirst, route } from './first/first.js';
import { mountHead } from './head/head.js';
import { mountLedger } from './ledger/ledger.js';
import { lineupIsOpen, showLineup, takeModels } from './lineup/lineup.js';
import { mountLineup } from './lineup/lineuptable.js';
import { mountLens } from './stage/lens.js';
import { carriedPart } from './matching/carryview.js';
import { loadTable, mountMatch, saveTable } from './matching/matchview.js';
import { mountMending } from './mending/mending.js';
import { askPart, takePart } from './mending/part.js';
import { mountMoves } from './shared/moves.js';
import { mountNotice } from './files/notice.js';
import { mountNotices } from './files/notices.js';
import { askMotion, offer } from './files/offer.js';
import { mountPad, placeOf } from './stage/pad.js';
import { mountPress } from './base/press.js';
import { mountRolls } from './base/redraw.js';
import { part } from './base/slices.js';
import { mountFind, openFind } from './find/find.js';
import { mountLessons, openLessons, play, teach } from './lessons/lessons.js';
import { mountOffline } from './offline/offline.js';
import { readLink } from './base/link.js';
import { copyLink, takeLink } from './shared/viewlink.js';
import { askReport, mountReport } from './report/report.js';
import { mountRoad } from './road/road.js';
import { mountPaper } from './head/paper.js';
import { mountPrint } from './head/printed.js';
import { seek, takeClip } from './shared/clips.js';
import { mountJointTable } from './card/jointtable.js';
import { entryOf, undoLimits } from './shared/limits.js';
import { mountSum } from './card/sum.js';
import { mountStrip } from './strip/strip.js';
import { mountTabs } from './head/tabs.js';
import { mountTour, startTour } from './tour/tour.js';
import { forgetHabits, mountHabits } from './shared/habits.js';
import { mountRecent } from './shared/recent.js';
import { mountTips } from './head/tips.js';
import { eyeChanged, mountView, seen } from './stage/view.js';
import { mountWeld } from './shared/weld.js';

/** The notice lists missing files: what comes is added to what is held. */
const asksForMore = () => must('notice').dataset.kind === 'missing' && !must('notice').hidden;
/** Several models, or any while the line-up is open, go there; else one is opened. @param {import('./talk/files.js').Source[]} sources @param {boolean} adds */
const take = async (sources, adds, dropped = false) => {
  const { plans, rest } = plansOf(sources);
  if (plans.length > 0) {
    if (rest.length > 0) await take(rest, adds, dropped);
    const opened = heldFiles()[0]?.file;
    if (rest.length === 0 || rest.some((s) => s.file === opened)) await mending.takePlan(plans[0]);
    return;
  }
  if (!adds && takeModels(sources)) return;
  if (adds || !dropped || !offer(sources, { open: () => open(sources, false), beside: () => { showLineup(); takeModels(sources); }, part: () => takePart(sources) })) await open(sources, adds);
};
const pick = async () => take(await ofPicker(must('picker')), asksForMore());
const acts = { open: pick, motion: () => askMotion(must('picker')), part: () => askPart(must('picker')), reread, sample, help, lineup: showLineup, report: askReport, find: openFind, lessons: openLessons, checks: showChecks, tour: startTour, vow: () => /** @type {HTMLDialogElement} */ (must('vow')).showModal() };

mountPress(); // first of all that hear a press
mountRolls();
mountPaper();
mountPrint();
mountHead();
mountFirst();
const mending = mountMending({ motion: () => acts.motion() });
const nextStep = mountRoad({ lineup: showLineup, motion: () => acts.motion(), handOver: mending.handOver, report: askReport, tryMend: (id) => (id === 'part' ? (acts.part(), true) : mending.tryMend(id)) });
mountLedger({ below: [nextStep, mending.slip] });
mountMoves(); // first of those that hear of a choice: the place is looked for in the finding's own pose
mountView();
mountLens();
mountLineup({ pick });
mountWeld();
mountInk();
mountStrip();
mountSum();
mountJointTable();
mountMatch({ many: mending.many, keep: mending.carried });
mountCard({ ofClip: [carriedPart], ofFinding: [mending.part] });
mountFileSheet();
mountReport();
mountLessons({ seen });
mountOffline();
mountNotice({ open: pick });
mountNotices();
mountPad();
mountFind([...mountShortcuts(acts), ...[/** @type {[string, () => void]} */ (['Sample figure', sample]), ['Line-up of several models', showLineup], ['All mends', mending.all], ['Every check and its limits', showChecks], ['Lessons', openLessons], ['A tour in four steps', startTour], ['Limits as they were before the last change', undoLimits], ['Forget what this browser remembers', forgetHabits], ['Find what is wrong: a faulty sample', () => play(0)], ['Link to this view', copyLink]].map(([title, run]) => ({ kind: 'Do', title: /** @type {string} */ (title), more: '', run: /** @type {() => void} */ (run) }))]);
mountTips();
mountTabs();
mountTour();
mountHabits();
mountRecent();

document.addEventListener('click', (e) => {
  const act = e.target instanceof Element ? e.target.closest('[data-act]')?.getAttribute('data-act') : null;
  if (act && act in acts) /** @type {Record<string, () => void>} */ (acts)[act]();
});
for (const format of ['json', 'csv']) must(`match-${format}`).addEventListener('click', () => saveTable(format));
must('match-load').addEventListener('change', (e) => {
  const input = /** @type {HTMLInputElement} */ (e.target);
  if (input.files?.[0]) loadTable(input.files[0]);
  input.value = '';
});
must('stop-here').addEventListener('click', stopHere);

/** Drop works anywhere in the window; the stage's canvas has a drop handler of its own, so this one comes first. */
function mountDrop() {
  let depth = 0;
  // The frame of the focus round the stage is for those who came by key.
  for (const [kind, by] of [['keydown', 'keys'], ['pointerdown', 'pointer'], ['drop', 'pointer']])
    addEventListener(kind, () => { document.body.dataset.by = by; }, true);
  /** A row of the mending slip on its way to another place. @param {DragEvent} e */
  const ofThePage = (e) => Boolean(e.dataTransfer?.types.includes('text/x-step'));
  const dragging = (/** @type {boolean} */ over) => {
    document.body.classList.toggle('dragging', over);
    must('veil').textContent = asksForMore() || lineupIsOpen() ? 'Drop to add' : 'Drop to open';
  };
  addEventListener(
    'dragenter',
    (e) => {
      if (ofThePage(e)) return;
      e.preventDefault();
      depth++;
      dragging(true);
    },
    true,
  );
  addEventListener(
    'dragleave',
    (e) => {
      if (ofThePage(e)) return;
      depth = Math.max(0, depth - 1);
      if (depth === 0) dragging(false);
    },
    true,
  );
  addEventListener(
    'dragover',
    (e) => {
      if (ofThePage(e)) return;
      e.preventDefault();
      e.stopPropagation();
    },
    true,
  );
  addEventListener(
    'drop',
    async (e) => {
      if (ofThePage(e)) return;
      e.preventDefault();
      e.stopPropagation();
      depth = 0;
      dragging(false);
      if (!e.dataTransfer) return;
      const adds = asksForMore();
      const { sources, refused } = await ofDrop(e.dataTransfer);
      if (refused.length > 0)
        tell('say', `A page opened from disk may not look into the folder ${refused.join(', ')}. Drop its files together, or a .zip of it.`);
      if (sources.length > 0) await take(sources, adds, true);
    },
    true,
  );
}
mountDrop();

/** The stage is told the free rectangle between cards, head and lens bar. */
function mountFree() {
  let told = '';
  const measure = () => {
    if (desk.phase === 'first' || matchMedia('print').matches) return;
    const box = (/** @type {string} */ id) => must(id).getBoundingClientRect();
    const wide = innerWidth > 820;
    const below = innerWidth > 1180 ? box('view').bottom : Math.max(box('view').bottom, box('posed').bottom); // in so narrow a room the words would lie on a head
    const inset = wide
      ? [below, innerWidth - box('card').left, innerHeight - box('lens').top, box('ledger').right].map(Math.round)
      : [box('pad').top, innerWidth - box('pad').right, innerHeight - box('lens').top, box('pad').left].map(Math.round);
    if (String(inset) === told) return;
    told = String(inset);
    desk.free = { inset, width: innerWidth };
    setStage({ inset });
  };
  const watch = new ResizeObserver(measure);
  for (const id of ['view', 'posed', 'card', 'lens', 'ledger']) watch.observe(must(id));
  addEventListener('resize', measure);
  for (const kind of ['phase', 'show', 'fresh']) on(kind, measure); // at once: a figure is fitted into what is free when it is shown
  on('figure', part(measure).later); // behind the parts that it measures
}
mountFree();

on('figure', () => {
  for (const b of document.querySelectorAll('[data-act="reread"]')) /** @type {HTMLElement} */ (b).hidden = heldFiles().length === 0;
});
on('chosen', (how) => {
  if (desk.chosen.kind === 'joint') suggest('influence');
  const f = chosenFinding();
  if (f) suggest(entryOf(f.id)?.lens || undefined);
  if (f && how.turn) tell('place', f);
});
on('place', (f) => {
  // turn the place to the front
  if (showPlace(f)) return;
  const k = placeOf(f);
  if (k) guarded((s) => s.frame(k));
});
on('frame', () => {
  const c = desk.chosen;
  if (c.kind === 'joint') guarded((s) => s.frame({ node: c.node }));
  if (c.kind === 'vertex') guarded((s) => s.frame({ surface: c.surface, vertices: [c.vertex] }));
});
on('rig', () => {
  // the button that was pressed may be gone: shortcuts act on the stage
  const at = /** @type {HTMLElement|null} */ (document.activeElement);
  if (!at || at === document.body || at.offsetParent === null) must('pad').focus({ preventScroll: true });
});
on('moment', (f) => {
  takeClip(f.where.clip);
  if (f.where.time !== null && f.where.time !== undefined) seek(f.where.time);
});

const changed = (/** @type {Wire.Changed} */ m) => {
  desk.seconds = m.seconds;
  if (desk.move) desk.move.degrees = m.degrees;
  desk.playing = m.playing;
  desk.layered = m.left;
  eyeChanged(m);
  tell('time');
};
bus.addEventListener('changed', (e) => changed(/** @type {CustomEvent} */ (e).detail));
/** The figure is examined all the same; the words stand where the picture would. @param {string} why */
function noPicture(why) {
  const words = `There is no picture: ${why.replace(/[.]$/, '')}. The ledger and the card work without it.`;
  show({ noPicture: words });
  tell('say', words);
}
bus.addEventListener('stage', (e) => {
  show({ noPicture: '' });
  stageReady();
  tell('fields');
  if (/** @type {CustomEvent} */ (e).detail?.restarted) tell('say', ''); // the picture is back
});
bus.addEventListener('stage-lost', () => {
  stageGone();
  tell('say', 'The picture is being set up again; nothing is lost.');
});
bus.addEventListener('fault', (e) => tell('say', `${/** @type {CustomEvent} */ (e).detail.text} The ledger and the card work without the picture.`));
bus.addEventListener('stage-failed', (e) => noPicture(/** @type {CustomEvent} */ (e).detail.text));

// The page first, then the examiner, and only then the stage, whose start blocks for a moment.
await readCatalogueFirst(() => {
  route();
  tell('catalogue');
}).catch(async (e) => {
  await examinerIsHere(); // where it never will be, this ends here, and start.js says so
  tell('say', `The examiner did not start: ${e.message}`);
});
/** What the link to this page says: a lesson, a faulty sample, the sample; or how the figure is shown, once one is open. */
const follow = () => {
  const l = readLink(location.hash);
  if (l.fault) play(l.fault);
  else if (l.lesson) teach(l.lesson);
  else if (l.sample && desk.phase === 'first') sample(); // built in the worker while the stage starts
  else if (desk.phase === 'done') takeLink(l, seen);
  else if (Object.keys(l).length > 0) {
    let over = false;
    on('done', () => {
      if (!over) takeLink(l, seen);
      over = true;
    });
  }
};
if (!readLink(location.hash).fault && !readLink(location.hash).lesson) follow();
await startStage().catch((e) => noPicture(e.message));
await load().catch(() => {}); // told above
await useGpu().catch((e) => tell('say', `The stage did not start: ${e.message}. The ledger and the card work without it.`));
document.body.dataset.ready = 'true'; // all is here; from now on the page asks for nothing
if (readLink(location.hash).fault || readLink(location.hash).lesson) follow(); // they set the stage
addEventListener('hashchange', follow);
setTimeout(warmUp, 500); // the browser has optimised the examiner when the first file comes
