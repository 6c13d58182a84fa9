import assert from 'node:assert/strict';
import { readdirSync, readFileSync } from 'node:fs';
import { test } from 'node:test';

// One name, one room. A class that two sheets lay out, or that a drawing and a room both
// use, reaches where nobody looks: `.bar` of the table of pairs once gave every bar of
// every histogram 60 by 10 pixels.

const folder = new URL('../css/', import.meta.url);
const names = readdirSync(folder).filter((f) => f.endsWith('.css'));

/** What every room is furnished with: sheets that belong to none. */
const GROUND = new Set(['tokens.css', 'base.css', 'drawing.css', 'pieces.css']);

/** Where each room's sheet may reach: every selector of it begins with one of these. @type {Record<string, string[]>} */
const ROOTS = {
  'head.css': ['.head', '.tabs'],
  'road.css': ['.road', '.next-step'],
  'first.css': ['.first'],
  'ledger.css': ['.ledger', '#checks'],
  'stage.css': ['.plate', '#pad', '.hover-name', '#printed', 'body > canvas'],
  'card.css': ['.joint', '#joint-table'],
  'strip.css': ['.time'],
  'matching.css': ['#match', '.carried'],
  'mending.css': ['.mends', '.board', '#captures', '#all-mends', '#trial-pieces', '.trial', '.slip', '#hand-over', '#plan', '#trial-receipt'],
  'lessons.css': ['.lesson', '.puzzle', '#lessons'],
  'find.css': ['#find', '#find-list', '#find-says'],
  'report.css': ['#report', '#report-done', '#report-says'],
  'lineup.css': ['.lineup'],
  'tour.css': ['.tour', '.toured'],
  'files.css': ['.file-sheet', '.notice', '.veil', '#offer', '#of-others'],
};
/** What the house may name besides the rooms' own roots; nothing within them. */
const HOUSE = ['html', 'body', ':root', '.card', '.skip', '#notice', 'dialog'];

/** The selectors of a sheet, each as the compounds it is made of. @param {string} text */
export function selectors(text) {
  const out = [];
  for (const [, prelude] of text.replace(/\/\*[^]*?\*\//g, '').matchAll(/([^{}]+)\{/g)) {
    const p = prelude.trim();
    if (p.startsWith('@') || /^(from|to|\d)/.test(p)) continue;
    let deep = 0,
      now = '';
    for (const c of `${p},`) {
      if (c === '(') deep++;
      if (c === ')') deep--;
      if (c === ',' && deep === 0) {
        out.push(now.trim());
        now = '';
      } else now += c;
    }
  }
  return out;
}

/** What a selector says of the page as a whole before it comes to a room: a state of the body, the paper. */
const STATE = /^(?:(?:body|:root|html)(?:\[[^\]]*\]|:not\([^)]*\)|\.[\w-]+)*|\[data-theme="\w+"\])\s+(?![>])/;

/** @param {string} selector @param {string[]} roots @returns {boolean} it reaches nothing outside of them */
export function within(selector, roots) {
  const s = selector.replace(STATE, '');
  const begins = (/** @type {string} */ text) => roots.some((r) => text.startsWith(r) && !/[\w-]/.test(text[r.length] ?? ''));
  const list = /^:(?:where|is)\(([^()]*)\)/.exec(s);
  return list ? list[1].split(',').every((x) => begins(x.trim())) : begins(s);
}

/** @param {string} selector @returns {boolean} it names a room, or the page, and nothing within */
export function arranges(selector) {
  const roots = [...Object.values(ROOTS).flat(), ...HOUSE];
  const s = selector.replace(STATE, '').replace(/\[[^\]]*\]|:not\((?:[^()]|\([^()]*\))*\)/g, '');
  if (roots.includes(s) || s === '') return true;
  const list = /^([.#\w-]*):(?:where|is)\(([^()]*)\)$/.exec(s);
  return Boolean(list && (list[1] === '' || roots.includes(list[1])) && list[2].split(',').every((x) => roots.includes(x.trim())));
}

test('a sheet of a room reaches its room and no other', () => {
  const wrong = [];
  for (const name of names) {
    if (GROUND.has(name)) continue;
    const roots = ROOTS[name];
    if (!roots && name !== 'house.css') wrong.push(`${name}: no room of that name`);
    for (const s of selectors(readFileSync(new URL(name, folder), 'utf8'))) if (!(name === 'house.css' ? arranges(s) : within(s, roots ?? []))) wrong.push(`${name}: ${s}`);
  }
  assert.deepEqual(wrong, []);
  for (const name of Object.keys(ROOTS)) assert.ok(names.includes(name), `${name} is not there`);
  const roots = Object.values(ROOTS).flat();
  assert.equal(new Set(roots).size, roots.length, 'two rooms have one root');
});

test('the rule sees what reaches out', () => {
  for (const s of ['.bar', '.joints .bar', 'svg .bar', ':where(.joint, .ledger) .bar', ':is(.time, .bar)', 'body[data-tab="card"] .bar', '.joint-rows th', 'table', ':root .bar']) assert.equal(within(s, ['.joint', '.time']), false, s);
  for (const s of ['.joint', '.joint h2', ':where(.joint) .bar', '.joint::before', '.joint[data-face="x"] > p', 'body[data-tab="card"] .joint', ':root:not([data-theme="light"]) :where(.joint) .bar', ':is(.joint, .time)']) assert.equal(within(s, ['.joint', '.time']), true, s);
  for (const s of ['.joint .bar', '.bar', 'body[data-lineup="open"] .bar', ':is(.joint, .bar)']) assert.equal(arranges(s), false, s);
  for (const s of ['body[data-lineup="open"] :is(.first, #pad)', '.card:not(:where(.lineup))', ':root', 'body > canvas']) assert.equal(arranges(s), true, s);
});

test('forced colours change colours alone: nothing moves, hides or shows', () => {
  let seen = 0;
  for (const name of names) {
    const text = readFileSync(new URL(name, folder), 'utf8').replace(/\/\*[^]*?\*\//g, '');
    for (const [, block] of text.matchAll(/@media \(forced-colors: active\) \{\n([^]*?)\n\}/g))
      for (const [, property] of block.matchAll(/[{;]\s*([a-z-]+):/g)) {
        seen++;
        assert.match(property, /^(--.*|.*color|.*color-adjust|background|outline|border-left|fill|stroke)$/, `${name}: ${property}`);
      }
  }
  assert.ok(seen > 40, `${seen} declarations were read`);
});

/** The first class or id that a selector stands on. @param {string} selector */
const leads = (selector) => /^(?::where\(([^)]+)\)\s+)?[a-z]*([.#][a-z0-9-]+)?/.exec(selector);

test('strokes and fills of drawings reach drawings only, and no sheet sizes them', () => {
  const drawn = new Set();
  for (const s of selectors(readFileSync(new URL('drawing.css', folder), 'utf8'))) {
    const [, room, first] = leads(s) ?? [];
    assert.ok(room === 'svg' || s.startsWith('svg'), `drawing.css: ${s}`);
    if (first) drawn.add(first);
  }
  assert.ok(drawn.has('.bar') && drawn.size > 30, 'the drawing classes were not read');
  const wrong = [];
  for (const name of names.filter((n) => n !== 'drawing.css'))
    for (const s of selectors(readFileSync(new URL(name, folder), 'utf8'))) {
      const [, , first] = leads(s) ?? [];
      if (first && drawn.has(first)) wrong.push(`${name}: ${s}`);
    }
  assert.deepEqual(wrong, []);
});
