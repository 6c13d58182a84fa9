import { setStage } from '../talk/stage.js';
import { tell } from '../state/desk.js';
import { asksNight, isNight, keep, recall } from '../state/habits.js';

const still = matchMedia('(prefers-reduced-motion: reduce)');

/** Day or night: follows the system until the button is used. */
export function mountPaper() {
  const put = () => {
    const night = isNight();
    for (const b of document.querySelectorAll('[data-act="paper"]')) b.textContent = night ? 'Day paper' : 'Night paper';
    setStage({ paper: night ? 'night' : 'day', reducedMotion: still.matches });
    tell('paper');
  };
  const kept = recall('paper');
  if (kept === 'light' || kept === 'dark') document.documentElement.dataset.theme = kept;
  asksNight.addEventListener('change', put);
  still.addEventListener('change', put);
  document.addEventListener('click', (e) => {
    if (!(e.target instanceof Element) || !e.target.closest('[data-act="paper"]')) return;
    const to = isNight() ? 'light' : 'dark';
    const system = asksNight.matches ? 'dark' : 'light';
    if (to === system) delete document.documentElement.dataset.theme;
    else document.documentElement.dataset.theme = to;
    keep('paper', to === system ? '' : to);
    put();
  });
  put();
}
