import { h, must } from '../base/dom.js';
import { refill } from '../base/redraw.js';
import { rooms } from '../state/rooms.js';

const its = rooms.offline;

// The page kept on this machine, so that it opens without a network: only where a person asks for it, since what keeps
// it fetches every file of the page once more. The worker is site/bundle/offline.js.

/** The single file lies on this machine already; without a safe origin browsers keep nothing. */
const can = () => window.isSecureContext && 'serviceWorker' in navigator && /^https?:$/.test(location.protocol) && document.querySelector('link[rel="manifest"]') !== null;

/** @param {string} state @param {string} [why] */
function say(state, why = '') {
  Object.assign(its, { state, why });
  fill();
}

async function look() {
  const r = await navigator.serviceWorker.getRegistration();
  its.registration = r ?? null;
  if (!r) return say('none');
  r.addEventListener('updatefound', () => follow(r.installing));
  if (r.waiting) say('newer');
  else if (r.installing) follow(r.installing);
  else say('kept');
}

/** @param {ServiceWorker|null} w */
function follow(w) {
  if (!w) return;
  const first = !its.registration?.active;
  say(first ? 'keeping' : its.state);
  w.addEventListener('statechange', () => {
    if (w.state === 'installed') say(its.registration?.active ? 'newer' : 'keeping');
    else if (w.state === 'activated') say('kept');
    else if (w.state === 'redundant' && its.state !== 'kept') say(its.registration?.active ? 'kept' : 'failed', 'a file could not be fetched whole');
  });
}

async function keep() {
  say('keeping');
  try {
    its.registration = await navigator.serviceWorker.register(new URL('offline.js', document.baseURI));
    its.registration.addEventListener('updatefound', () => follow(its.registration?.installing ?? null));
    follow(its.registration.installing);
    if (its.registration.active) say('kept');
  } catch (e) {
    say('failed', /** @type {Error} */ (e).message);
  }
}

async function forget() {
  await its.registration?.unregister();
  for (const name of await window.caches.keys()) if (name.startsWith('rigloupe ')) await window.caches.delete(name);
  its.registration = null;
  say('none');
}

/** Another build takes the place of the one that runs: the page is loaded anew. */
function take() {
  navigator.serviceWorker.addEventListener('controllerchange', () => location.reload(), { once: true });
  its.registration?.waiting?.postMessage('take');
}

function fill() {
  const button = (/** @type {string} */ id, /** @type {string} */ words, /** @type {() => void} */ click) => h('button', { class: 'btn', type: 'button', id, 'data-focus': id, click }, words);
  const says = {
    none: 'Kept on this machine, the page opens without a network. That fetches its own files once more, and nothing else.',
    keeping: 'The page’s files are being kept.',
    kept: 'The page is kept on this machine: it opens without a network. When it is opened with one, it looks whether there is a newer one.',
    newer: 'A newer page has come and waits. What is open here stays until it is taken.',
    failed: `The page was not kept: ${its.why}.`,
  };
  document.body.dataset.kept = its.state;
  refill(
    must('offline'),
    h('h3', {}, 'Without a network'),
    h('p', { class: 'prose', role: 'status' }, says[/** @type {keyof typeof says} */ (its.state)]),
    h(
      'p',
      { class: 'row' },
      ...(its.state === 'none' || its.state === 'failed' ? [button('offline-keep', 'Keep it on this machine', keep)] : []),
      ...(its.state === 'newer' ? [button('offline-take', 'Open the newer page', take)] : []),
      ...(its.state === 'kept' || its.state === 'newer' ? [button('offline-forget', 'Remove it again', forget)] : []),
    ),
  );
}

export function mountOffline() {
  if (!can()) {
    must('offline').hidden = true;
    return;
  }
  look().catch(() => { must('offline').hidden = true; });
}
