import { draw, h, must } from './dom.js';
import { desk } from './desk.js';
import { ROUTE } from './figure.js';

/** First visit: what it is, where to drop, what is looked at. */
export function mountFirst() {
  if (location.protocol === 'file:') must('kinds').textContent = '.glb or .vrm; .gltf with its files, together or in one .zip (a page opened from disk may not look into folders)';
  route();
  drawSample(must('sample-figure'));
}

/** The stations, and plainly which of them this version does not have. */
export function route() {
  const have = desk.catalogue;
  must('route').replaceChildren(...ROUTE.map(([name, title, says]) => {
    const absent = have.length > 0 && !have.some((s) => s.name === name);
    return h('li', { class: absent ? 'absent' : '' }, h('b', {}, title), h('span', {}, absent ? `${says}; not in this version yet` : says));
  }));
}

/** The Lamplighter with its bones, in our own strokes. @param {Element} s */
function drawSample(s) {
  const line = (/** @type {string} */ cls, /** @type {string} */ d) => draw(s, 'path', { class: cls, d });
  // behind: yoke and the far lantern; then legs, coat, arms, scarf, head, hat
  line('ln ffi', 'M12 75Q56 66 95 67Q136 68 178 76L178 79Q136 73 95 73Q56 72 12 78z');
  for (const x of [14, 176]) {
    for (let i = 0; i < 5; i++) draw(s, 'ellipse', { class: 'ln', cx: x, cy: 81 + i * 6.5, rx: i % 2 ? 1.1 : 2.2, ry: 3.9 });
    line('ln ffi', `M${x - 9} 121L${x} 113L${x + 9} 121z`);
    line('ln ffi', `M${x - 8} 121h16l2 24h-20z`);
    line('rl', `M${x - 3} 121l-1 24M${x + 3} 121l1 24`);
    line('ln ffi', `M${x - 11} 145h22v4h-22z`);
    draw(s, 'path', { class: 'fbr', d: `M${x - 1.6} 142q-3-6 1.6-12q4.6 6 1.6 12z` });
  }
  line('ln ffi', 'M82 188l1 36q-10 3-11 8h21l3-44M98 188l2 44h21q-1-5-11-8l-1-36');
  line('ln ffi', 'M80 74Q95 68 112 74Q120 80 117 98L113 120L128 190Q95 201 64 190L78 120L74 98Q71 80 80 74z');
  line('ln ffi', 'M78 79Q70 81 66 92L56 118L50 143L58 146L66 124L76 104');
  line('ln ffi', 'M113 79Q121 82 125 92L134 116L141 142L133 146L124 123L115 104');
  line('ln ffi', 'M50 143q-4 8-1 13q4 3 8-1l1-9M141 142q5 8 2 13q-4 3-8-1l-2-8');
  line('ln ffi', 'M84 74Q96 80 110 73L106 64Q96 68 87 64z');
  line('ln ffi', 'M84 45Q84 66 96 67Q108 66 108 45z');
  line('ln', 'M99 54l3 4l-3 1');
  line('ln ffi', 'M72 42Q96 50 120 42Q120 38 112 38Q96 43 80 38Q72 38 72 42z');
  line('ln ffi', 'M82 39L84 14Q96 10 108 14L110 39Q96 44 82 39z');
  line('ln', 'M83 33Q96 37 109.500 33');
  // engraving: lines round the limb on the shaded side
  let d = '';
  for (let i = 0; i < 15; i++) d += `M${104 + i * 0.3} ${108 + i * 5.6}q${7 + i * 0.55} 0 ${10.5 + i * 0.75} -2.500`;
  for (let i = 0; i < 9; i++) d += `M${124 + i * 1.7} ${96 + i * 5}q4 1 6-1`;
  for (let i = 0; i < 5; i++) d += `M100 ${17 + i * 3.6}q5-.5 8-2`;
  line('rl', d);
  // the chain, as the stage draws it
  const J = { hips: [95, 128], spine: [95, 108], chest: [95, 90], neck: [96, 74], head: [96, 56] };
  const bone = (/** @type {number[]} */ a, /** @type {number[]} */ b, /** @type {string} */ cls) => line(cls, `M${a[0]} ${a[1]}L${b[0]} ${b[1]}`);
  const sides = /** @type {const} */ ([[-1, 'fr'], [1, 'fl']]);
  bone(J.hips, J.spine, 'ln'); bone(J.spine, J.chest, 'ln'); bone(J.chest, J.neck, 'ln'); bone(J.neck, J.head, 'ln');
  const rings = Object.values(J).map((p) => ({ p, cls: 'ln' }));
  for (const [k, cls] of sides) {
    const at = (/** @type {number} */ x, /** @type {number} */ y) => [95 + k * x, y];
    const chains = [[J.chest, at(20, 84), at(34, 116), at(43, 146)], [J.hips, at(12, 130), at(11, 178), at(10, 224)]];
    for (const c of chains) c.forEach((p, i) => { if (i > 0) { bone(c[i - 1], p, cls); rings.push({ p, cls: cls.replace('f', 's') }); } });
  }
  for (const { p, cls } of rings) draw(s, 'circle', { class: `${cls} fsh`, cx: p[0], cy: p[1], r: 2.8 });
}
