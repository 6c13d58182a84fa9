import { h, mark, must, refill } from './dom.js';
import { desk, on } from './desk.js';
import { GRADE, GRADE_SAYS } from './findingcard.js';
import { changesStrip } from './changes.js';
import { saveJSON } from './save.js';
import { progressWords, sieve, station } from './station.js';
import { some } from './words.js';

const GRADES = /** @type {const} */ (['stop', 'flaw', 'note', 'wait']);

/** The ledger: grade sifters, then the stations. */
export function mountLedger() {
  const root = must('ledger');
  const fill = () => {
    if (!desk.figure) return;
    const f = desk.figure;
    const looked = f.stations.flatMap((s) => s.checks);
    const clear = looked.filter((c) => c.state === 'clear').length;
    const counts = { stop: 0, flaw: 0, note: 0, wait: looked.filter((c) => c.state === 'not-looked-at').length };
    for (const x of f.findings) counts[x.grade]++;
    const scrolled = root.querySelector('.stations')?.scrollTop ?? 0;
    refill(
      root,
      h(
        'header',
        {},
        h('h2', { id: 'h-ledger' }, 'Ledger'),
        h(
          'p',
          { class: 'tally' },
          h('b', {}, String(f.findings.length)),
          f.findings.length === 1 ? ' finding, ' : ' findings, ',
          h(
            'button',
            {
              class: 'text',
              type: 'button',
              'data-focus': 'clear',
              'aria-pressed': String(sieve.clearToo),
              'data-tip': 'Shows the clear checks too',
              click: () => {
                sieve.clearToo = !sieve.clearToo;
                fill();
              },
            },
            h('b', {}, String(clear)),
            clear === 1 ? ' check clear' : ' checks clear',
          ),
        ),
        h(
          'div',
          { class: 'sift', role: 'group', 'aria-label': 'Show grades' },
          ...GRADES.map((g) =>
            h(
              'button',
              {
                type: 'button',
                'data-focus': g,
                'aria-pressed': String(sieve.shown.has(g)),
                'data-tip': g === 'wait' ? 'Checks that could not run, and why' : `${GRADE[g]}: ${GRADE_SAYS[g]}`,
                click: () => {
                  if (!sieve.shown.delete(g)) sieve.shown.add(g);
                  fill();
                },
              },
              mark(g),
              g === 'wait' ? 'not looked at ' : `${g} `,
              h('b', {}, String(counts[g])),
            ),
          ),
        ),
      ),
      changesStrip(fill),
      h('ol', { class: 'stations' }, ...f.stations.map(station)),
      h(
        'footer',
        {},
        h(
          'button',
          {
            class: 'text quiet',
            type: 'button',
            'data-focus': 'save',
            'data-tip': 'A file on this machine, the same as the command line prints',
            click: saveJSON,
          },
          'Save the findings (JSON)',
        ),
        h('button', { class: 'text quiet', type: 'button', 'data-focus': 'checks', 'data-act': 'checks', 'aria-haspopup': 'dialog' }, limitsWords()),
      ),
    );
    const list = root.querySelector('.stations');
    if (list) list.scrollTop = scrolled;
  };
  for (const kind of ['figure', 'phase']) on(kind, fill);
  on('progress', () => {
    const now = desk.figure?.stations.find((s) => s.state === 'now');
    const li = now && root.querySelector(`[data-station="${now.name}"]`);
    if (li) /** @type {HTMLElement} */ (li.querySelector('.clear')).textContent = progressWords(now.name);
  });
  on('chosen', () => {
    const number = desk.chosen.kind === 'finding' ? String(desk.chosen.number) : '';
    for (const b of root.querySelectorAll('.find[data-number]')) {
      if (b.getAttribute('data-number') === number) {
        b.setAttribute('aria-current', 'true');
        for (let d = b.closest('details'); d; d = d.parentElement?.closest('details') ?? null) d.open = true;
        b.scrollIntoView({ block: 'nearest' });
      } else b.removeAttribute('aria-current');
    }
  });
}

function limitsWords() {
  const n = Object.keys(desk.limits).length;
  return n === 0 ? 'Checks and limits' : `${some(n, 'limit')} changed here`;
}
