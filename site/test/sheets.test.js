import assert from 'node:assert/strict';
import { readdirSync, readFileSync } from 'node:fs';
import { test } from 'node:test';

// One name, one room. A class that two sheets lay out, or that a drawing and a room both
// use, reaches where nobody looks: `.bar` of the table of pairs once gave every bar of
// every histogram 60 by 10 pixels.

const folder = new URL('../css/', import.meta.url);
const names = readdirSync(folder).filter((f) => f.endsWith('.css'));

/** What lays out all rooms at once, and so may name them all. */
const OVER_ALL = new Set(['narrow.css', 'print.css', 'tokens.css', 'base.css']);

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

/** The first class or id that a selector stands on, with the room it says it is in. @param {string} selector */
const leads = (selector) => /^(?::where\(([^)]+)\)\s+)?[a-z]*([.#][a-z0-9-]+)?/.exec(selector);

test('a class is laid out by one sheet only', () => {
  /** @type {Map<string, string>} */
  const owner = new Map();
  const wrong = [];
  for (const name of names.filter((n) => !OVER_ALL.has(n))) {
    for (const s of selectors(readFileSync(new URL(name, folder), 'utf8'))) {
      const [, room, first] = leads(s) ?? [];
      if (!first || room) continue;
      const other = owner.get(first);
      if (other && other !== name) wrong.push(`${first}: ${other} and ${name}`);
      owner.set(first, other ?? name);
    }
  }
  assert.deepEqual([...new Set(wrong)], []);
});

test('a sheet of a room names no bare element', () => {
  const wrong = [];
  for (const name of names.filter((n) => !OVER_ALL.has(n)))
    for (const s of selectors(readFileSync(new URL(name, folder), 'utf8')))
      if (/^[a-z]+[\s:>+~]*$/.test(s) || /^(?!body|svg)[a-z]+(?![a-z]*[.#[])/.test(s)) wrong.push(`${name}: ${s}`);
  assert.deepEqual(wrong, []);
});

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
