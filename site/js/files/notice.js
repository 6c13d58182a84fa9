import { h, mark, must, sheet, draw } from '../base/dom.js';
import { desk, on, tell } from '../state/desk.js';
import { copy } from '../shared/save.js';
import { bytes as byteWords, count } from '../base/words.js';
import { stopHere, triedFiles } from '../talk/examine.js';

/** @typedef {Wire.Progress & {elapsed: number}} Progress elapsed: milliseconds since the file was handed over */

/** A sheet in the middle: progress until there is something to look at, or a file that cannot be read. @param {{open: () => void}} acts */
export function mountNotice(acts) {
  const root = must('notice');
  let timer = 0;
  /** @type {Progress|null} */
  let progress = null;
  const close = () => {
    clearTimeout(timer);
    root.hidden = true;
    root.className = 'notice';
    delete root.dataset.kind;
    root.replaceChildren();
    root.removeAttribute('role');
  };
  on('begin', ({ name }) => {
    close();
    progress = null;
    timer = window.setTimeout(() => {
      root.hidden = false;
      run(root, name, progress);
    }, 250);
  });
  on('progress', (p) => {
    progress = p;
    if (!root.hidden && root.dataset.kind === 'run') run(root, root.dataset.name ?? '', p);
  });
  on('figure', () => {
    clearTimeout(timer);
    if (root.dataset.kind === 'run') close();
  });
  for (const kind of ['rig', 'done', 'stopped']) on(kind, close);
  // Something else is begun: what could not be read is no news any more.
  const past = () => { if (root.dataset.kind !== 'run') close(); };
  on('motion', past);
  on('lineup', (how) => { if (how.opened) past(); });

  // On the first page it takes the place of what else stands there.
  new MutationObserver(() => document.body.classList.toggle('noticed', !root.hidden)).observe(root, { attributes: true, attributeFilter: ['hidden'] });
  on('refused', (r) => {
    clearTimeout(timer);
    refusal(root, r, acts, () => { close(); tell('say', ''); });
  });
}

/** @param {HTMLElement} root @param {string} name @param {Progress|null} p */
function run(root, name, p) {
  root.className = 'notice';
  root.dataset.kind = 'run';
  root.dataset.name = name;
  root.setAttribute('aria-label', 'Examining');
  root.removeAttribute('role');
  const stations = desk.catalogue.map((s) => ({ name: s.name, title: s.title, total: s.entries.length }));
  const at = stations.findIndex((s) => s.name === p?.station);
  const rows = stations.map((s, i) => {
    const state = at < 0 || i > at ? 'dim' : i === at ? 'now' : '';
    const now = i === at ? p : null;
    const max = now ? Math.max(1, now.total) : 1,
      done = i < at ? max : (now?.done ?? 0);
    return h(
      'tr',
      { class: state },
      h('th', { scope: 'row' }, s.title),
      h('td', {}, h('progress', { max, value: done, 'aria-label': s.title })),
      h('td', {}, now ? `${count(now.done)} of ${count(now.total)}` : i < at ? 'done' : `${s.total} checks`),
    );
  });
  const had = root.contains(document.activeElement);
  root.replaceChildren(
    h('h2', {}, name),
    h('p', { class: 'soft' }, p ? `${p.text || p.stationTitle}. ${(p.elapsed / 1000).toFixed(1)} s so far.` : 'Reading the file.'),
    h('table', { class: 'run' }, h('caption', { class: 'vh' }, 'Progress by station'), h('tbody', {}, ...rows)),
    h(
      'p',
      { class: 'row' },
      h('button', { class: 'btn', type: 'button', click: stopHere }, 'Stop here'),
      h('span', { class: 'soft' }, 'What is found so far stays in the ledger.'),
    ),
  );
  if (had) root.querySelector('button')?.focus();
}

/**
 * @param {HTMLElement} root
 * @param {{name: string, text: string, hint?: string, missing?: string[], title?: string, kept?: boolean}} r title: where the file can be read; kept: the figure on the desk is this file's
 * @param {{open: () => void}} acts @param {() => void} close
 */
function refusal(root, r, acts, close) {
  root.className = 'notice err';
  root.dataset.kind = r.missing?.length ? 'missing' : 'refused';
  root.setAttribute('role', 'alert');
  root.removeAttribute('aria-label');
  const lines = [r.name, r.text, r.hint].filter(Boolean).join('\n');
  const missing = r.missing ?? [];
  root.replaceChildren();
  root.hidden = false;
  root.append(
    h(
      'h2',
      {},
      mark('stop'),
      missing.length > 0 ? `${missing.length === 1 ? 'One file is' : `${missing.length} files are`} missing` : r.title || 'File cannot be read',
    ),
    h('p', { class: 'prose' }, h('b', {}, r.name), missing.length > 0 ? ' names what was not dropped with it.' : `: ${withoutName(r.text, r.name)}`),
  );
  if (missing.length > 0) {
    root.append(
      h(
        'ul',
        { class: 'held', 'aria-label': 'Files of this figure' },
        ...missing.map((n) => h('li', { class: 'missing' }, mark('stop'), h('span', {}, n), h('span', {}, 'missing'))),
        ...triedFiles().map((s) => h('li', {}, mark('clear'), h('span', {}, s.name), h('span', { class: 'soft' }, byteWords(s.file.size)))),
      ),
      h('p', { class: 'drop-in' }, h('b', {}, 'Drop the missing ones here.'), ' They are added to the files you gave.'),
    );
  } else {
    const cut = /(\d+) bytes, (?:only )?(\d+) are there/.exec(r.text);
    if (cut && Number(cut[1]) > Number(cut[2])) root.append(torn(Number(cut[1]), Number(cut[2])));
  }
  if (r.hint && missing.length === 0) root.append(h('dl', { class: 'facts' }, h('dt', {}, 'What to do'), h('dd', {}, r.hint)));
  root.append(
    h(
      'p',
      { class: 'row' },
      h('button', { class: 'btn lead', type: 'button', click: acts.open }, missing.length > 0 ? 'Choose the missing files…' : 'Open another file…'),
      h('button', { class: 'btn', type: 'button', click: () => copy(lines, 'these lines copied') }, 'Copy these lines'),
      h('button', { class: 'btn', type: 'button', click: close }, desk.figure ? 'Back to the figure' : 'Close'),
    ),
  );
  if (desk.figure && !r.kept) root.append(h('p', { class: 'soft after' }, 'The figure opened before is still here.'));
  root.querySelector('button')?.focus();
}

/** The name stands before it already. @param {string} text @param {string} name */
const withoutName = (text, name) => text.replace(new RegExp(`^"?${name.replace(/[.*+?^${}()|[\]\\]/g, '\\$&')}"?:?\\s*`), '');

/** How much of a file is there. @param {number} stated bytes @param {number} there bytes */
function torn(stated, there) {
  const s = sheet('torn', 440, 46, `Of ${count(stated)} bytes ${count(there)} are there`);
  const x = Math.max(8, Math.min(432, (440 * there) / stated));
  draw(s, 'rect', { class: 'ln fwe', x: 0.5, y: 6.5, width: 439, height: 16 });
  draw(s, 'path', { class: 'fbr', d: `M1 7h${x - 1}l-4 4 5 3-5 4 4 4H1z` });
  draw(s, 'path', { class: 'ln heavy', d: `M${x} 3l-4 8 5 3-5 4 6 8` });
  draw(s, 'text', { class: `k ${x < 220 ? '' : 'e'}`, x, y: 39 }, `ends here, ${count(there)}`);
  if (x < 300) draw(s, 'text', { class: 'e', x: 440, y: 39 }, `stated ${count(stated)}`);
  return s;
}
