// Starts the page: loads the compiled core once, hands it to the page, and looks after new versions.

import * as hands from './hands.js';
import * as jobs from './jobs.js';
import * as keep from './keep.js';
import * as live from './live.js';

const byId = (id) => document.getElementById(id);

/** Shows what went wrong as a sentence above the page. */
function broken(sentence) {
  const place = byId('broken');
  place.textContent = sentence;
  place.hidden = false;
}

/**
 * Compiles the core while it streams in; from its whole bytes where the host sends another MIME type. The page as one
 * file carries it inside, packed.
 */
async function compile() {
  const inside = byId('core-inside')?.textContent;
  if (inside) {
    const packed = new Blob([Uint8Array.from(atob(inside), (letter) => letter.charCodeAt(0))]);
    const plain = new Response(packed.stream().pipeThrough(new DecompressionStream('gzip')));
    return WebAssembly.compile(await plain.arrayBuffer());
  }
  const response = await fetch('./app_bg.wasm', { credentials: 'same-origin' });
  if (!response.ok) throw new Error(`app_bg.wasm came with status ${response.status}`);
  if ((response.headers.get('Content-Type') ?? '').startsWith('application/wasm')) {
    return WebAssembly.compileStreaming(response);
  }
  return WebAssembly.compile(await response.arrayBuffer());
}

/**
 * Waits until a first visitor sees the worked day: on a slow line the core's bytes would stand in its way. Who waits for
 * a plan of their own waits for the core alone.
 */
async function painted() {
  if (document.documentElement.hasAttribute('data-wait') && !window.dotdownFirst) return;
  await window.dotdownFirst;
  await new Promise((resolve) => {
    requestAnimationFrame(() => requestAnimationFrame(() => setTimeout(resolve)));
    setTimeout(resolve, 500); // a hidden page paints nothing
  });
}

/** Brings the page up. The worker is later handed the same compiled module, and so fetches nothing itself. */
async function start() {
  await painted();
  const [core, module] = await Promise.all([import('./app.js'), compile(), keep.begin()]);
  await core.default({ module_or_path: module });
  jobs.use(module);
  keep.use(core);
  await core.start(jobs);
  document.documentElement.removeAttribute('data-wait');
  const main = byId('main');
  main.inert = false;
  main.removeAttribute('aria-busy');
  document.querySelector('header [data-act="share"]').disabled = false;
  hands.use(core, () => Promise.allSettled([keep.erase(), live.erase()]));
  live.use(core).catch((error) => console.warn(error));
}

/** Whether this page has asked the waiting version to take over, or has been told to reload. */
let asked = false;
let reloading = false;

/** Loads the page again, once. The state is saved at each change, so nothing is lost. */
function reload() {
  if (reloading) return;
  reloading = true;
  location.reload();
}

/** Offers a version that is ready; `take` is what the tap does. */
function offer(take) {
  const place = byId('update');
  place.hidden = false;
  place.querySelector('[data-act="update"]').onclick = take;
}

/** Asks the waiting worker to take over, and reloads when it has. */
function takeOver(registration) {
  asked = true;
  const worker = registration.waiting;
  if (!worker) return reload();
  // Some engines never fire `controllerchange` for the page that asked, so the worker's own state counts as well.
  worker.addEventListener('statechange', () => {
    if (worker.state === 'activated') reload();
  });
  worker.postMessage('take over');
}

/** Registers the service worker and watches for new versions, without ever forcing one on the page. */
async function keepFresh() {
  if (byId('core-inside') || !('serviceWorker' in navigator) || !window.isSecureContext) return;
  const container = navigator.serviceWorker;
  let controlled = Boolean(container.controller);
  container.addEventListener('controllerchange', () => {
    if (asked) reload();
    else if (controlled) offer(reload); // another tab took the new version
    controlled = true;
  });
  const registration = await container.register('./sw.js', { scope: './', updateViaCache: 'none' });
  const watch = (worker) => {
    const ready = () => {
      if (worker.state === 'installed' && container.controller) offer(() => takeOver(registration));
    };
    worker.addEventListener('statechange', ready);
    ready();
  };
  if (registration.waiting) watch(registration.waiting);
  if (registration.installing) watch(registration.installing);
  registration.addEventListener('updatefound', () => registration.installing && watch(registration.installing));
  const look = () => registration.update().catch(() => {}); // no signal: the next look will do
  if (controlled) look();
  document.addEventListener('visibilitychange', () => document.visibilityState === 'visible' && look());
}

if (window.dotdownFit) {
  const core = start().catch((error) => {
    console.error(error);
    broken('Dotdown could not start. Load the page again; if it stays, the copy on this phone is damaged or the browser is too old.');
  });
  // The worker's download waits until the first result is on the screen.
  core.then(keepFresh).catch((error) => {
    console.warn(error);
    document.documentElement.dataset.offline = 'no';
  });
}
