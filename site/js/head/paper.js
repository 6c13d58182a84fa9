import { setStage } from '../talk/stage.js';
import { tell } from '../state/desk.js';

const asks = matchMedia('(prefers-color-scheme: dark)');
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
  asks.addEventListener('change', put);
  still.addEventListener('change', put);
  document.addEventListener('click', (e) => {
    if (!(e.target instanceof Element) || !e.target.closest('[data-act="paper"]')) return;
    const to = isNight() ? 'light' : 'dark';
    const system = asks.matches ? 'dark' : 'light';
    if (to === system) delete document.documentElement.dataset.theme;
    else document.documentElement.dataset.theme = to;
    keep('paper', to === system ? '' : to);
    put();
  });
  put();
}

export const isNight = () => {
  const t = document.documentElement.dataset.theme;
  return t ? t === 'dark' : asks.matches;
};

/** What this browser keeps between visits: two choices, no data of any file. @param {string} name @param {string} value */
export function keep(name, value) {
  try {
    if (value) localStorage.setItem(`rigloupe.${name}`, value);
    else localStorage.removeItem(`rigloupe.${name}`);
  } catch {
    /* storage is shut: the choice lasts as long as the page */
  }
}

/** @param {string} name */
export function recall(name) {
  try {
    return localStorage.getItem(`rigloupe.${name}`);
  } catch {
    return null;
  }
}
