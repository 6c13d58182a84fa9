import { must } from '../base/dom.js';

/** The notices of what the page is made with: a file beside the page, or, in the page as one file, a part of it. */
export function mountNotices() {
  const own = document.getElementById('notices');
  if (!own) return;
  for (const a of document.querySelectorAll('[data-notices]'))
    a.addEventListener('click', (e) => {
      e.preventDefault();
      must('of-others-text').textContent = own.textContent;
      /** @type {HTMLDialogElement} */ (must('of-others')).showModal();
    });
}
