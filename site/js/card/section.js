import { h } from '../base/dom.js';
import { desk, show } from '../state/desk.js';
import { metres, percent } from '../base/words.js';

/** Where the joint stands in the section of the surface around it, in words. @param {import('../state/types.js').Cut} cut */
export function sectionWords(cut) {
  if (cut.outside) return 'The joint stands outside the surface; the nearest section lies beside it.';
  const off = cut.offset ?? 0,
    radius = cut.radius ?? 0;
  return `Radius ${metres(radius)}. The joint stands ${metres(off * radius)}, ${percent(off)} of the radius, from the middle.`;
}

/** Where the surface is cut across the bone: how well the joint is centred, and the outline on the figure. @param {import('../state/types.js').Joint} joint @param {() => void} redraw */
export function sectionOf(joint, redraw) {
  if (!joint.cut) return null;
  return h(
    'section',
    { class: 'cut' },
    h('h3', {}, 'Section'),
    h('p', { class: 'role' }, sectionWords(joint.cut)),
    h(
      'p',
      { class: 'acts2' },
      h(
        'button',
        {
          class: 'btn',
          type: 'button',
          'data-focus': 'cut',
          'aria-pressed': String(desk.section),
          'data-tip': 'Inks the outline around each joint that is chosen: a cross in its middle, a ring at the joint',
          click: () => {
            show({ section: !desk.section });
            redraw();
          },
        },
        'Ink the section',
      ),
    ),
  );
}
