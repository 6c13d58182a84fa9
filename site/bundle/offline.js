// Keeps the page on this machine, once a person has asked for it: all files of one build, or none of them. The bundler
// fills in the list. What is kept is shown, never asked for again; a newer build waits beside it until it is taken.
const VERSION = 'VERSION';
const FILES = ['FILES'];
const NAME = `rigloupe ${VERSION}`;
const at = (path) => new URL(path, self.registration.scope).href;

self.addEventListener('install', (e) => {
  e.waitUntil((async () => {
    const cache = await caches.open(NAME);
    // Each by its hash: while a server is half way to another build nothing is kept.
    await Promise.all(FILES.map(async ([path, integrity]) => {
      const answer = await fetch(new Request(at(path), { cache: 'no-cache', integrity, credentials: 'same-origin' }));
      if (!answer.ok) throw new Error(`${path}: ${answer.status}`);
      // Many servers lead /index.html to /; a page is not shown from an answer that was led on.
      await cache.put(at(path), answer.redirected ? new Response(answer.body, { headers: answer.headers }) : answer);
    }));
  })().catch(async (why) => {
    await caches.delete(NAME);
    throw why;
  }));
});

self.addEventListener('activate', (e) => {
  e.waitUntil((async () => {
    for (const name of await caches.keys()) if (name.startsWith('rigloupe ') && name !== NAME) await caches.delete(name);
    await self.clients.claim();
  })());
});

self.addEventListener('message', (e) => {
  if (e.data === 'take') self.skipWaiting();
});

self.addEventListener('fetch', (e) => {
  const url = new URL(e.request.url);
  if (e.request.method !== 'GET' || !url.href.startsWith(self.registration.scope)) return;
  const path = url.origin + url.pathname;
  const wanted = path === self.registration.scope ? at('index.html') : path;
  if (FILES.some(([p]) => at(p) === wanted)) e.respondWith(caches.open(NAME).then((c) => c.match(wanted)).then((kept) => kept ?? fetch(e.request)));
});
