// Starts the page: loads the compiled core, opens the phone's store beside it, and hands both over. It looks after new
// versions. Where it or the core does not come, guard.js says so.

/** How long the store may take, ms. */
const STORE_MS = 4000;

const { dotdown } = window; // what guard.js has made
const byId = (id) => document.getElementById(id);

let opening;

/** Opens the page's database, or gives the opening that is under way. */
function open() {
  opening ??= new Promise((resolve, reject) => {
    const request = indexedDB.open(dotdown.name, 1);
    request.onupgradeneeded = () => request.result.createObjectStore('records');
    request.onerror = () => reject(request.error);
    request.onsuccess = () => {
      // Another tab deletes it, or a newer version changes it: the core asks for it again at the next change.
      request.result.onversionchange = () => request.result.close();
      resolve(request.result);
    };
  }).finally(() => { opening = undefined; });
  return opening;
}

/** The database and all that it holds but the logs of sessions, or why it cannot be had; in a time that is never long. */
async function store() {
  const read = async () => {
    const base = await open();
    const records = base.transaction('records').objectStore('records');
    const answered = (request) => new Promise((resolve, reject) => {
      request.onsuccess = () => resolve(request.result);
      request.onerror = () => reject(request.error);
    });
    const ranges = [IDBKeyRange.upperBound('logs/', true), IDBKeyRange.lowerBound('logs0')];
    const [keys, values] = await Promise.all(['getAllKeys', 'getAll'].map(
      async (all) => (await Promise.all(ranges.map((range) => answered(records[all](range))))).flat(),
    ));
    return { base, keys, values };
  };
  const late = new Promise((resolve) => setTimeout(() => resolve({ fault: 'late' }), STORE_MS));
  return Promise.race([read(), late]).catch((error) => ({ fault: String(error?.name) }));
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
  const response = await dotdown.ask();
  if (!response.ok) throw new Error(`app_bg.wasm came with status ${response.status}`);
  if ((response.headers.get('Content-Type') ?? '').startsWith('application/wasm')) {
    return WebAssembly.compileStreaming(response);
  }
  return WebAssembly.compile(await response.arrayBuffer());
}

/** Waits until a first visitor sees the worked day: on a slow line the core's bytes would stand in its way. */
async function painted() {
  if (document.documentElement.hasAttribute('data-wait')) return;
  await new Promise((resolve) => {
    requestAnimationFrame(() => requestAnimationFrame(() => setTimeout(resolve)));
    setTimeout(resolve, 500); // a hidden page paints nothing
  });
}

/** Opens the page's worker; a viewer of files runs none that is a module. */
const openWorker = () => new Worker(dotdown.script('worker.js'), byId('worker-inside') ? {} : { type: 'module' });

/** Brings the page up. The worker is later handed the same compiled module, and so fetches nothing itself. */
async function start() {
  const kept = store();
  await painted();
  const [module, core, opened] = await Promise.all([compile(), import('./app.js'), kept]);
  if (dotdown.torn) throw new Error('app.js is another');
  dotdown.arrived();
  await core.default({ module_or_path: module });
  core.start({ module, name: dotdown.name, opened: { ...opened, reopen: open }, worker: openWorker });
  dotdown.started(core.stuck);
  document.documentElement.removeAttribute('data-wait');
  const main = byId('main');
  main.inert = false;
  main.removeAttribute('aria-busy');
  document.querySelector('header [data-act="share"]').disabled = false;
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
  const registration = await container.register(dotdown.script('sw.js'), { scope: './', updateViaCache: 'none' });
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
  container.controller?.postMessage('look through');
  if (controlled) look();
  document.addEventListener('visibilitychange', () => document.visibilityState === 'visible' && look());
}

if (dotdown.fit) {
  const core = start().catch((error) => {
    console.error(error);
    dotdown.unstarted(error);
  });
  // The worker's download waits until the first result is on the screen.
  core.then(keepFresh).catch((error) => {
    console.warn(error);
    document.documentElement.dataset.offline = 'no';
  });
}
