// The entry: looks whether the browser has what the page stands on before any of it is run.
import { lacks } from './programs/able.js';

const why = lacks(window);
/** @param {string} words */
const cannot = (words) => {
  const says = document.getElementById('cannot');
  if (says) {
    says.textContent = words;
    says.hidden = false;
  }
  for (const b of document.querySelectorAll('button')) b.disabled = true; // they would do nothing
  document.body.dataset.ready = 'cannot';
};

if (why) {
  cannot(why);
} else {
  import('./page.js').catch((e) => {
    cannot(`No file can be examined, since the page did not start: ${e.message}`);
    console.error(e);
  });
}
