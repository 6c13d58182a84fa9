import { h, mark } from '../base/dom.js';
import { desk } from '../state/desk.js';
import { measured, some } from '../base/words.js';

/** Under the ledger's head, after the file was read again. @param {() => void} fill */
export function changesStrip(fill) {
  const c = desk.changes;
  if (!c) return null;
  const words =
    [c.gone.length > 0 && `${c.gone.length} gone`, c.fresh > 0 && `${c.fresh} new`, c.moved > 0 && `${c.moved} changed`].filter(Boolean).join(', ') ||
    'nothing changed';
  return h(
    'div',
    { class: 'changes' },
    h(
      'header',
      {},
      h('p', {}, h('b', {}, 'Since the last reading: '), words),
      h(
        'button',
        {
          class: 'text',
          type: 'button',
          'data-focus': 'seen',
          click: () => {
            desk.changes = null;
            fill();
          },
        },
        'Seen',
      ),
    ),
    c.gone.length > 0 &&
      h(
        'ul',
        { 'aria-label': some(c.gone.length, 'finding that is gone', 'findings that are gone') },
        ...c.gone.map((f) => h('li', {}, h('span', {}, mark(f.grade), ' gone: ', f.title), h('span', {}, measured(f.measures[0])))),
      ),
  );
}
