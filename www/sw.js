// Serves the whole page from this phone, so that it opens with no signal. build.sh fills in the version and the files.

const VERSION = '@VERSION@';
const FILES = { /* @FILES@ */ };

// A space never stands in a path, so no other copy of the page under this origin can own a cache of this prefix.
const PREFIX = `dotdown ${new URL(registration.scope).pathname} `;
const CACHE = PREFIX + VERSION;

/**
 * Fetches one file and checks it against the build's hash. What the browser has just loaded for the page serves too,
 * if it is this very file; otherwise it is fetched past the browser's own cache.
 */
async function fetched(name, integrity) {
  const response = await fetch(name, { integrity }).catch(() => fetch(name, { integrity, cache: 'reload' }));
  if (!response.ok) throw new Error(`${name} came with status ${response.status}`);
  // A redirected response may not answer a navigation, so it is stored as a plain one.
  if (!response.redirected) return response;
  return new Response(await response.blob(), { headers: response.headers });
}

/** Stores every file of this version, or none: one that is missing or altered aborts the install. */
async function install() {
  const names = Object.keys(FILES);
  const responses = await Promise.all(names.map((name) => fetched(name, FILES[name])));
  const cache = await caches.open(CACHE);
  await Promise.all(names.map((name, i) => cache.put(name, responses[i])));
}

/** Removes this page's older versions, and nothing else under the origin. */
async function clean() {
  const names = await caches.keys();
  await Promise.all(names.filter((name) => name.startsWith(PREFIX) && name !== CACHE).map((name) => caches.delete(name)));
  await clients.claim();
}

/** Answers from this version's cache; what is not in it comes from the network. */
async function answer(request, page) {
  const cache = await caches.open(CACHE);
  const stored = await cache.match(page ? './' : request, { ignoreSearch: true, ignoreVary: true });
  return stored ?? fetch(request);
}

addEventListener('install', (event) => event.waitUntil(install()));
addEventListener('activate', (event) => event.waitUntil(clean()));
addEventListener('message', (event) => {
  if (event.data === 'take over') event.waitUntil(skipWaiting());
});
addEventListener('fetch', (event) => {
  const { request } = event;
  const url = new URL(request.url);
  const scope = new URL(registration.scope);
  if (request.method !== 'GET' || url.origin !== scope.origin || !url.pathname.startsWith(scope.pathname)) return;
  const rest = url.pathname.slice(scope.pathname.length);
  const page = request.mode === 'navigate' && (rest === '' || rest === 'index.html');
  event.respondWith(answer(request, page));
});
