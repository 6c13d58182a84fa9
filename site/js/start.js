// The entry: looks whether the browser has what the page stands on before any of it is run.
import { lacks } from './programs/able.js';

const why = lacks(window);
if (why) {
  const says = document.getElementById('cannot');
  if (says) {
    says.textContent = why;
    says.hidden = false;
  }
  for (const b of document.querySelectorAll('button')) b.disabled = true; // they would do nothing
  document.body.dataset.ready = 'cannot';
} else {
  import('./page.js').catch((e) => {
    const says = document.getElementById('cannot');
    if (!says) throw e;
    says.textContent = `The page did not start, so no file can be examined: ${e.message}`;
    says.hidden = false;
  });
}
