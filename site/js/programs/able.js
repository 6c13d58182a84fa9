// What the page cannot do without. Each lack is one sentence: what is missing and what follows from it.

/** @type {[string, (w: any) => boolean, string][]} what it is called, whether it is there, what follows where it is not */
const NEEDS = [
  ['WebAssembly', (w) => typeof w.WebAssembly?.instantiate === 'function', 'This browser, or its settings, does not run WebAssembly, which does all the work here: no file can be examined.'],
  ['Worker', (w) => typeof w.Worker === 'function', 'This browser, or its settings, allows no workers, and files are examined in one: no file can be examined.'],
  ['ResizeObserver', (w) => typeof w.ResizeObserver === 'function', 'This browser does not tell a page when its parts change size (ResizeObserver): the figure could not be placed, so nothing is opened.'],
];

/** The sentence for the first thing that is missing, "" when all is there. @param {any} w the window */
export const lacks = (w) => NEEDS.find(([, there]) => !there(w))?.[2] ?? '';
