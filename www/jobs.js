// Long work, kept off the page's thread: one worker, told apart by request ids, that can be stopped.

let module;
let worker;
let next = 1;
const waiting = new Map();

/** Takes the compiled core that the worker will run; called once by boot.js. */
export function use(compiled) {
  module = compiled;
}

function settle({ id, result, error, progress }) {
  const job = waiting.get(id);
  if (!job) return;
  if (progress) return job.tell(progress);
  waiting.delete(id);
  if (error) job.reject(Object.assign(new Error(error.message), error));
  else job.resolve(result);
}

/** What is said where the browser, or a viewer of files, runs no worker for the page. */
const NONE = 'The background work could not run here. Open the page in a browser that is up to date.';

/** Ends the worker, and with it every job that has not answered. */
function drop(message, code = 'stopped') {
  worker?.terminate();
  worker = undefined;
  const jobs = [...waiting.values()];
  waiting.clear();
  for (const job of jobs) job.reject(Object.assign(new Error(message), { code, field: '' }));
}

function open() {
  if (!module) throw new Error('the core is not loaded yet');
  // The worker fetches no wasm: in Firefox a worker's own fetch passes the service worker by, and fails offline.
  // The page as one file carries the worker's script inside.
  const inside = document.getElementById('worker-inside')?.textContent;
  worker = inside
    ? new Worker(URL.createObjectURL(new Blob([inside], { type: 'text/javascript' })))
    : new Worker(new URL('./worker.js', import.meta.url), { type: 'module' });
  worker.onmessage = ({ data }) => settle(data);
  worker.onerror = (event) => {
    event.preventDefault();
    drop(NONE, 'failed');
  };
  worker.postMessage({ module });
}

/**
 * Runs the core's exported function `name` in the worker.
 * Returns its request id and a promise of its result; it rejects with `code`, `field` and `message`.
 */
export function run(name, ...args) {
  return begin(name, args);
}

/** Searches for patterns of shot, as the request's bytes ask, and calls `tell` with the best so far; otherwise as `run`. */
export function search(request, tell) {
  return begin('Search', [request], tell);
}

function begin(name, args, tell) {
  const id = next++;
  const result = new Promise((resolve, reject) => {
    waiting.set(id, { resolve, reject, tell });
    try {
      if (!worker) open();
      worker.postMessage({ id, name, args });
    } catch (error) {
      console.warn(error);
      drop(NONE, 'failed');
    }
  });
  return { id, result };
}

/**
 * Stops a job that has not answered. A search stops between two slices; any other cannot be interrupted, so the worker
 * is ended and later opened again.
 */
export function stop(id) {
  const job = waiting.get(id);
  if (!job) return;
  if (!job.tell) return drop('stopped');
  waiting.delete(id);
  worker.postMessage({ id, stop: true });
  job.reject(Object.assign(new Error('stopped'), { code: 'stopped', field: '' }));
}
