import { h, mark } from '../base/dom.js';
import { choose, desk } from '../state/desk.js';
import { GRADE } from '../shared/grades.js';
import { picture } from '../shared/pictures.js';
import { measuredShort } from '../base/words.js';

/** The examination in a sentence, and what to look at first. None while stations are missing. @param {import('../state/types.js').Figure} f */
export function verdict(f) {
  const { says, matter } = f.doc.verdict;
  if (!says) return null;
  const first = matter.flatMap((n) => f.findings[n - 1] ?? []);
  return h(
    'section',
    { class: 'verdict', 'aria-labelledby': 'h-verdict' },
    h('h2', { id: 'h-verdict' }, 'Verdict'),
    h('p', { class: 'says' }, says),
    first.length > 0 && h('h3', {}, 'What matters most'),
    first.length > 0 && h('ol', {}, ...first.map((x) => h('li', {}, one(x)))),
  );
}

/** One that matters: the picture of its place, what, how much, where. @param {import('../state/types.js').Finding} x */
const one = (x) =>
  h(
    'button',
    {
      class: 'find pictured',
      type: 'button',
      'data-matters': x.number,
      'data-focus': `m${x.number}`,
      'data-tip': x.subject || null,
      'aria-current': desk.chosen.kind === 'finding' && desk.chosen.number === x.number ? 'true' : null,
      click: () => choose({ kind: 'finding', number: x.number }, { turn: true }),
    },
    picture(x, 'small'),
    mark(x.grade),
    h('i', {}, String(x.number)),
    h('span', { class: 't' }, h('span', { class: 'vh' }, `${GRADE[x.grade]}: `), x.title),
    h('span', { class: 'w' }, h('span', { class: 'v' }, measuredShort(x.measures[0])), h('span', { class: 'p' }, x.subject)),
  );
