import { h } from '../base/dom.js';
import { desk, tell } from '../state/desk.js';

/** Why nothing of it is written now. */
export const COVERED = 'What was found is covered until you ask for the answer.';

/** The document of the figure that is open. */
export function saveJSON() {
  if (desk.covered) tell('say', COVERED);
  else if (desk.figure) saveText(desk.figure.json, 'findings.json', 'application/json', 'The findings are saved.');
}

/** A text as a file on this machine, named after the figure; no request is made. @param {string} text @param {string} end @param {string} type @param {string} said */
export function saveText(text, end, type, said) {
  saveAs(text, `${(desk.figure?.file.name ?? 'figure').replace(/\.[^.]*$/, '')}.${end}`, type, said);
}

/** @param {BlobPart} text @param {string} name @param {string} type @param {string} said */
export function saveAs(text, name, type, said) {
  const url = URL.createObjectURL(new Blob([text], { type }));
  const a = h('a', { href: url, download: name });
  a.click();
  setTimeout(() => URL.revokeObjectURL(url), 10_000);
  tell('say', said);
}

/** Today as it stands on paper: 24 December 2026. */
export const today = () => new Date().toLocaleDateString('en-GB', { day: 'numeric', month: 'long', year: 'numeric' });

/** @param {string} text @param {string} said */
export async function copy(text, said) {
  try {
    await navigator.clipboard.writeText(text);
  } catch {
    // from disk, or where the browser asks first: the old way
    const t = h('textarea', { class: 'vh' });
    t.value = text;
    document.body.append(t);
    const held = /** @type {HTMLElement|null} */ (document.activeElement);
    t.select();
    document.execCommand('copy');
    t.remove();
    held?.focus();
  }
  tell('say', `${said[0].toUpperCase()}${said.slice(1)}.`);
}
