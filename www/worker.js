// Runs the core's long functions away from the page. First comes the compiled module, then requests
// { id, name, args }; each is answered by { id, result } or { id, error: { code, field, message } }.
// A search { id, name: 'Search', args } goes on in slices: it tells { id, progress } as it comes along, and { id, stop }
// ends it between two slices.

import init, * as core from './app.js';

const SLICE_MS = 40;
const TELL_MS = 200;
let ready;
const stopped = new Set();

/** Lets waiting messages in. */
const breathe = () => new Promise((resolve) => setTimeout(resolve));

/** A whole search; undefined when it was stopped. */
async function searched(id, request) {
  const search = new core.Search(request);
  let told = 0;
  try {
    for (let budget = 1; ;) {
      const begun = performance.now();
      const progress = search.step(Math.round(budget));
      if (search.done) return progress;
      const now = performance.now();
      budget = Math.min(64, Math.max(1, (budget * SLICE_MS) / Math.max(1, now - begun)));
      if (now - told > TELL_MS) {
        told = now;
        postMessage({ id, progress });
      }
      await breathe();
      if (stopped.delete(id)) return undefined;
    }
  } finally {
    search.free();
  }
}

async function answer({ id, name, args }) {
  try {
    await ready;
    if (name === 'Search') {
      postMessage({ id, result: await searched(id, ...args) });
      return;
    }
    if (!Object.hasOwn(core, name) || typeof core[name] !== 'function') throw new Error(`there is no function ${name}`);
    postMessage({ id, result: core[name](...args) });
  } catch (error) {
    const { code = 'failed', field = '', message = String(error) } = error ?? {};
    postMessage({ id, error: { code, field, message } });
    // A trap leaves the core unusable: end here, so that the page opens a new worker.
    if (error instanceof WebAssembly.RuntimeError) close();
  }
}

onmessage = ({ data }) => {
  if (data.module) ready = init({ module_or_path: data.module });
  else if (data.stop) stopped.add(data.id);
  else answer(data);
};
