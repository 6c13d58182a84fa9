import { h, must } from '../base/dom.js';
import { desk, on } from '../state/desk.js';
import { rooms } from '../state/rooms.js';
import { forgetRecent, openRecent } from '../shared/recent.js';
import { cut } from '../base/words.js';
import { ROUTE } from '../talk/figure.js';

/** First visit: what it is, where to drop, what is looked at. */
export function mountFirst() {
  if (location.protocol === 'file:')
    must('kinds').textContent = '.glb or .vrm; .gltf with its files, together or in one .zip; .bvh of motion capture (a page opened from disk may not look into folders)';
  on('recent', recent);
  recent();
  route();
}

/** What was opened before, where the browser keeps handles; else nothing. */
function recent() {
  const all = rooms.recent.list, root = must('recent');
  root.hidden = all.length === 0;
  root.replaceChildren(
    ...(all.length === 0 ? [] : [
      h('span', { id: 'h-recent' }, 'Opened before:'),
      ...all.map((r) => h('button', { class: 'text', type: 'button', 'data-recent': r.name, 'data-tip': r.name.length > 32 ? r.name : null, click: () => openRecent(r) }, cut(r.name, 32))),
      h('button', { class: 'text quiet', type: 'button', id: 'recent-forget', click: () => forgetRecent() }, 'Forget them'),
    ]),
  );
}

/** The stations, and plainly which of them this version does not have. */
export function route() {
  const have = desk.catalogue;
  must('route').replaceChildren(
    ...ROUTE.map(([name, title, says]) => {
      const absent = have.length > 0 && !have.some((s) => s.name === name);
      return h('li', { class: absent ? 'absent' : '' }, h('b', {}, title), h('span', {}, absent ? `${says}; not in this version yet` : says));
    }),
  );
}
