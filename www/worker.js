// Runs the core's long functions away from the page. First comes the compiled module, then requests
// { id, name, args }; each is answered by { id, result } or { id, error: { code, field, message } }.

import init, * as core from './dotdown.js';

let ready;

async function answer({ id, name, args }) {
  try {
    await ready;
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
  else answer(data);
};
