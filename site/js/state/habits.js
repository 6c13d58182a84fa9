// What a person is used to: kept by this browser between visits. No byte of any file.

export const asksNight = matchMedia('(prefers-color-scheme: dark)');

/** Night paper: the system's, until the button was used. */
export const isNight = () => {
  const t = document.documentElement.dataset.theme;
  return t ? t === 'dark' : asksNight.matches;
};

/** @param {string} name @param {string} value */
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
