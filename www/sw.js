// Serves the whole page from this phone, so that it opens with no signal. build.sh fills in the version and the files.

const VERSION = '@VERSION@';
const FILES = { /* @FILES@ */ };

// A space never stands in a path, so no other copy of the page under this origin can own a cache of this prefix.
const PREFIX = `dotdown ${new URL(registration.scope).pathname} `;
const CACHE = PREFIX + VERSION;
/** Beside the files of a version lies its list, by which a later one knows what they are. */
const LIST = 'files';

/** What each kind of file is, whatever a host says: under another type the page could not use it. */
const TYPES = {
  js: 'text/javascript', css: 'text/css', html: 'text/html; charset=utf-8', wasm: 'application/wasm', svg: 'image/svg+xml', png: 'image/png', webmanifest: 'application/manifest+json',
};

/**
 * Fetches one file and checks it against the build's hash. What the browser has just loaded for the page serves too,
 * if it is this very file; otherwise it is fetched past the browser's own cache.
 */
async function fetched(name, integrity = FILES[name]) {
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

const list = () => new Response(JSON.stringify(FILES), { headers: { 'Content-Type': 'application/json' } });

/** Stores every file of this version, or none: one that is missing or altered ends it. */
async function store() {
  const names = Object.keys(FILES);
  const responses = await Promise.all(names.map((name) => fetched(name)));
  const cache = await caches.open(CACHE);
  await Promise.all([cache.put(LIST, list()), ...names.map((name, i) => cache.put(name, responses[i]))]);
}

/** Whether a file is what was built. */
async function whole(name, response) {
  const sum = await crypto.subtle.digest('SHA-256', await response.arrayBuffer());
  return FILES[name] === `sha256-${btoa(String.fromCharCode(...new Uint8Array(sum)))}`;
}

/** A file of this version as it lies here; nothing where it is lost, or where the browser's own store is sick. */
const kept = (name) => caches.match(name, { cacheName: CACHE, ignoreVary: true }).catch(() => undefined);

/** Fetches one file, and keeps it; where that cannot be, it serves all the same. */
async function anew(name) {
  const response = await fetched(name);
  const copy = response.clone();
  await caches.open(CACHE).then((cache) => cache.put(name, copy)).catch(() => {});
  return response;
}

/** Fetches anew what a browser or its disk has lost or spoilt; with no signal, the next time. */
async function mend() {
  if (!await kept(LIST)) await caches.open(CACHE).then((cache) => cache.put(LIST, list())).catch(() => {});
  for (const name of Object.keys(FILES)) {
    const stored = await kept(name);
    if (!stored || !await whole(name, stored)) await anew(name).catch(() => {});
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

/** What is answered where the page itself is lost and cannot be fetched: nothing of it can say so. */
const lost = () => new Response(`<!doctype html><html lang="en-GB"><meta name="viewport" content="width=device-width"><title>Dotdown</title>
<p>Dotdown is not whole on this phone any more, and could not be fetched. Your days are still here.
<p><a href="./">Try again where there is a signal</a>`, { status: 503, headers: { 'Content-Type': TYPES.html } });

/**
 * A file of this version, as it lies here; else from a host that has this very file. The page alone is looked at before,
 * since what it asks for carries a hash, or is looked through once it runs. A newer page is let through: it comes with
 * addresses of its own.
 */
async function own(request, name) {
  const stored = await kept(name);
  const page = name === './';
  if (stored && (!page || await whole(name, stored.clone()))) return stored;
  return anew(name).catch(() => (page ? fetch(request).catch(lost) : Response.error()));
}

/**
 * What a tab of an earlier version asks for, from that one's files: the scripts of each version have addresses of their
 * own. What that version has lost comes from a host that has it still: at that address a host may have another version's.
 */
async function earlier(request, name) {
  for (const cacheName of await caches.keys()) {
    if (!cacheName.startsWith(PREFIX) || cacheName === CACHE) continue;
    const cache = await caches.open(cacheName);
    const stored = await cache.match(request, { ignoreVary: true });
    if (stored) return stored;
    const files = await cache.match(LIST).then((found) => found.json()).catch(() => ({}));
    if (Object.hasOwn(files, name)) return fetched(name, files[name]).catch(() => Response.error());
  }
  return undefined;
}

/** Answers with a file of this version or an earlier one; what is in none comes from the network. */
async function answer(request, name) {
  if (Object.hasOwn(FILES, name)) return own(request, name);
  return await earlier(request, name).catch(() => undefined) ?? fetch(request);
}

addEventListener('install', (event) => event.waitUntil(store()));
addEventListener('activate', (event) => event.waitUntil(clean()));
addEventListener('message', (event) => {
  if (event.data === 'take over') event.waitUntil(skipWaiting());
  if (event.data === 'look through') event.waitUntil(mend());
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
  event.respondWith(answer(request, page ? './' : rest + url.search));
});
