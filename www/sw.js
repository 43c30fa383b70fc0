// Serves the whole page from this phone, so that it opens with no signal. build.sh fills in the version and the files.

const VERSION = '@VERSION@';
const FILES = { /* @FILES@ */ };

// A space never stands in a path, so no other copy of the page under this origin can own a cache of this prefix.
const PREFIX = `dotdown ${new URL(registration.scope).pathname} `;
const CACHE = PREFIX + VERSION;

/** What each kind of file is, whatever a host says: under another type the page could not use it. */
const TYPES = {
  js: 'text/javascript', css: 'text/css', html: 'text/html; charset=utf-8', wasm: 'application/wasm', svg: 'image/svg+xml', png: 'image/png', webmanifest: 'application/manifest+json',
};

/**
 * Fetches one file and checks it against the build's hash. What the browser has just loaded for the page serves too,
 * if it is this very file; otherwise it is fetched past the browser's own cache.
 */
async function fetched(name) {
  const integrity = FILES[name];
  const response = await fetch(name, { integrity }).catch(() => fetch(name, { integrity, cache: 'reload' }));
  if (response.status !== 200) throw new Error(`${name} came with status ${response.status}`);
  const headers = new Headers(response.headers);
  headers.set('Content-Type', TYPES[/\.(\w+)(\?|$)/.exec(name)?.[1] ?? 'html']);
  // With it on the stored page, WebKitGTK let one opening in thirty with no signal wait for ever: the page goes to another
  // process while the service worker answers.
  headers.delete('Cross-Origin-Opener-Policy');
  // A redirected response may not answer a navigation, so each is stored as a plain one.
  return new Response(await response.blob(), { headers });
}

/** Stores every file of this version, or none: one that is missing or altered ends it. */
async function store() {
  const names = Object.keys(FILES);
  const responses = await Promise.all(names.map(fetched));
  const cache = await caches.open(CACHE);
  await Promise.all(names.map((name, i) => cache.put(name, responses[i])));
}

/** Whether a file is what was built. */
async function whole(name, response) {
  const sum = await crypto.subtle.digest('SHA-256', await response.arrayBuffer());
  return FILES[name] === `sha256-${btoa(String.fromCharCode(...new Uint8Array(sum)))}`;
}

/**
 * Fetches anew what a browser or its disk has lost or spoilt; with no signal, the next time. The bytes are looked at only
 * where no browser checks them when it loads them.
 */
async function mend() {
  const cache = await caches.open(CACHE);
  for (const name of Object.keys(FILES)) {
    const stored = await cache.match(name);
    const unchecked = name === './' || name.startsWith('worker.js');
    if (!stored || (unchecked && !await whole(name, stored))) await cache.put(name, await fetched(name));
  }
}

/**
 * Removes this page's older versions, and nothing else under the origin: all tabs but the one that asked for this version
 * go on with the files of theirs, so they stay for as long as there is such a tab when a version takes over.
 */
async function clean() {
  const tabs = await clients.matchAll({ type: 'window', includeUncontrolled: true });
  if (tabs.length < 2) {
    const names = await caches.keys();
    await Promise.all(names.filter((name) => name.startsWith(PREFIX) && name !== CACHE).map((name) => caches.delete(name)));
  }
  await clients.claim();
}

/**
 * Answers from this version's files; what a tab of an earlier version asks for, from that one's: the scripts of each
 * version have addresses of their own. What is in none comes from the network.
 */
async function answer(request, page) {
  const stored = await caches.match(page ? './' : request, { cacheName: CACHE, ignoreSearch: page, ignoreVary: true });
  if (stored) return stored;
  for (const cacheName of page ? [] : await caches.keys()) {
    const earlier = cacheName.startsWith(PREFIX) && await caches.match(request, { cacheName, ignoreVary: true });
    if (earlier) return earlier;
  }
  return fetch(request);
}

addEventListener('install', (event) => event.waitUntil(store()));
addEventListener('activate', (event) => event.waitUntil(clean()));
addEventListener('message', (event) => {
  if (event.data === 'take over') event.waitUntil(skipWaiting());
  if (event.data === 'look through') event.waitUntil(mend().catch(() => {}));
  if (event.data === 'fetch anew') {
    const [port] = event.ports;
    event.waitUntil(store().then(() => port.postMessage(true), () => port.postMessage(false)));
  }
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
