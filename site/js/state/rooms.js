// How a person has set up the rooms: what is sifted, sorted, opened. What lies on the desk stands in desk.js.

/** What the sifters let through. */
export const sieve = {
  /** grades shown; wait: not looked at @type {Set<string>} */ shown: new Set(['stop', 'flaw', 'note']),
  clearToo: false,
  /** findings shown of each station, where there are very many @type {Map<string, number>} */ most: new Map(),
  /** stations folded by hand @type {Set<string>} */ folded: new Set(),
  /** kinds of notes opened by hand @type {Set<string>} */ kinds: new Set(),
};
