import { h, must } from '../base/dom.js';
import { desk } from '../state/desk.js';
import { ROUTE } from '../talk/figure.js';

/** First visit: what it is, where to drop, what is looked at. */
export function mountFirst() {
  if (location.protocol === 'file:')
    must('kinds').textContent = '.glb or .vrm; .gltf with its files, together or in one .zip; .bvh of motion capture (a page opened from disk may not look into folders)';
  route();
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
