const scope = self as unknown as ServiceWorkerGlobalScope;

/** Paths of everything that was built, and a mark of their contents; the build writes both in. */
declare const __BUILT_FILES__: readonly string[];
declare const __BUILT_MARK__: string;

const PREFIX = 'knapgauge-';
const CACHE = `${PREFIX}${__BUILT_MARK__}`;
const PAGE = 'index.html';

// One build is one cache: a page never meets scripts of another build. A newer build waits until the last tab of the
// older one is closed.
scope.addEventListener('install', (event) => {
  event.waitUntil(
    caches.open(CACHE).then((cache) => {
      // Past the browser's own cache, which may still hold the page of the build before.
      const fresh = __BUILT_FILES__.map((path) => new Request(path, { cache: 'reload' }));
      return cache.addAll(fresh);
    }),
  );
});

scope.addEventListener('activate', (event) => {
  event.waitUntil(
    (async () => {
      const names = await caches.keys();
      const older = names.filter((name) => name.startsWith(PREFIX) && name !== CACHE);
      await Promise.all(older.map((name) => caches.delete(name)));
      await scope.clients.claim();
    })(),
  );
});

scope.addEventListener('fetch', (event) => {
  const { request } = event;
  if (request.method !== 'GET' || new URL(request.url).origin !== scope.location.origin) return;
  event.respondWith(
    (async () => {
      const cache = await caches.open(CACHE);
      const kept = await cache.match(request.mode === 'navigate' ? PAGE : request, { ignoreVary: true });
      return kept ?? fetch(request);
    })(),
  );
});
