import { h, must } from '../base/dom.js';
import { desk, on } from '../state/desk.js';
import { part } from '../base/slices.js';

const TABS = /** @type {const} */ ([
  ['figure', 'Figure'], // where a window is too low for a figure over a sheet
  ['card', 'Card'],
  ['ledger', 'Ledger'],
  ['time', 'Time'],
  ['file', 'File'],
]);

/** Four tabs at the foot of a narrow window: one sheet stands under the stage. */
export function mountTabs() {
  const root = must('tabs');
  const fill = () =>
    root.replaceChildren(
      ...TABS.map(([name, words]) =>
        h(
          'button',
          {
            type: 'button',
            'data-tab': name,
            'aria-current': document.body.dataset.tab === name ? 'true' : null,
            click: () => turnTo(name),
          },
          words,
          name === 'ledger' && desk.figure && !desk.covered
            ? h('b', {}, ` ${desk.figure.findings.length}`)
            : name === 'time' && desk.clip >= 0
              ? h('b', {}, ` ${desk.seconds.toFixed(2)} s`)
              : '',
        ),
      ),
    );
  /** @param {string} name */
  function turnTo(name) {
    document.body.dataset.tab = name;
    fill();
    /** @type {HTMLElement} */ (root.querySelector('[aria-current]')).focus();
  }
  matchMedia('(max-width: 519px) and (max-height: 420px)').addEventListener('change', (e) => { // elsewhere the figure stands over the sheets
    if (e.matches || document.body.dataset.tab !== 'figure') return;
    document.body.dataset.tab = 'ledger';
    fill();
  });
  on('figure', part(fill).later);
  on('show', fill);
  on('fresh', () => {
    document.body.dataset.tab = 'ledger'; // the verdict answers first
    fill();
  });
  let shown = '';
  on('time', () => {
    const s = desk.seconds.toFixed(1);
    if (s !== shown && document.body.dataset.tab !== undefined) {
      shown = s;
      const b = root.querySelector('[data-tab="time"] b');
      if (b) b.textContent = ` ${desk.seconds.toFixed(2)} s`;
    }
  });
  on('chosen', () => {
    if (desk.chosen.kind !== 'none' && document.body.dataset.tab !== 'card') {
      document.body.dataset.tab = 'card';
      fill();
    }
  });
  fill();
}
