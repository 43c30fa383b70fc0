// The pattern finder on a phone-like profile. The browser's own slowdown reaches the page's thread alone, so here the
// whole renderer, worker included, is stopped for three quarters of each 16 ms by signals. Prints; judges nothing.

import { spawn } from 'node:child_process';
import { Server, Session, until } from './harness.mjs';
import { Page } from './page.mjs';

const STOPPER = `
  const pids = process.argv.slice(1).map(Number);
  const nap = (ms) => Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, ms);
  const all = (signal) => { for (const pid of pids) process.kill(pid, signal); };
  process.on('SIGTERM', () => { all('SIGCONT'); process.exit(); });
  process.stdout.write('going');
  const round = () => { all('SIGSTOP'); nap(12); all('SIGCONT'); nap(4); setImmediate(round); };
  round();`;

/** Runs `work` with the renderers of a browser stopped for three quarters of the time. */
async function slowed(browser, work) {
  const stopper = spawn(process.execPath, ['-e', STOPPER, ...browser.renderers().map(String)], { stdio: ['ignore', 'pipe', 'inherit'] });
  await new Promise((resolve) => stopper.stdout.once('data', resolve));
  try {
    return await work();
  } finally {
    const gone = new Promise((resolve) => stopper.once('exit', resolve));
    stopper.kill('SIGTERM');
    await gone;
  }
}

const LOOP = `const begun = performance.now(); let sum = 0; for (let i = 0; i < 2e8; i++) sum += Math.sqrt(i); return performance.now() - begun + 0 * sum;`;
const WATCH = `
  window.longest = 0;
  window.tasks?.disconnect();
  window.tasks = new PerformanceObserver((list) => { for (const { duration } of list.getEntries()) window.longest = Math.max(window.longest, duration); });
  window.tasks.observe({ type: 'longtask' });
  window.begun = performance.now();
  window.seen = {};
  const note = () => {
    const state = document.querySelector('[data-result="find.state"]')?.textContent ?? '';
    if (document.querySelector('[data-result="find.proposal"]')) window.seen.first ??= performance.now() - window.begun;
    if (state.startsWith('Done')) window.seen.done ??= performance.now() - window.begun;
    if (state.startsWith('Searching')) window.seen.searching = true;
  };
  window.watch?.disconnect();
  window.watch = new MutationObserver(note);
  window.watch.observe(document.querySelector('main'), { childList: true, subtree: true, characterData: true });
  document.querySelector('[data-act="finder:start"]').click();`;
/** Notes the page's worker, and its first order: a fall. */
const NOTE = `
  const { postMessage } = Worker.prototype;
  Worker.prototype.postMessage = function (message) {
    window.worker = this;
    if (message instanceof Uint8Array) window.order ??= message;
    return postMessage.call(this, message);
  };`;
/**
 * Stops the search; tells when the page says so and when the worker is free for other work: when it has answered a fall
 * of no temperature, which it refuses at once.
 */
const STOP = `
  const tell = arguments[0];
  const order = window.order.slice();
  order.fill(255, 3 + order[2], 11 + order[2]); // number, kind, length of the name, name, temperature
  const begun = performance.now();
  document.querySelector('[data-act="finder:stop"]').click();
  const page = performance.now() - begun;
  window.worker.addEventListener('message', ({ data }) => data[0] === order[0] && tell({ page, worker: performance.now() - begun }));
  window.worker.postMessage(order);`;

const ms = (value) => (value === undefined ? 'never' : `${Math.round(value)} ms`);
const server = await Server.start();
const browser = await Session.open('chromium', { width: 360, height: 740 });
try {
  const page = new Page(server, browser);
  await browser.cdp('Page.addScriptToEvaluateOnNewDocument', { source: NOTE });
  await page.open('#rigs');
  for (const [name, rig] of [['shallow', 'rig:0'], ['bottom', 'rig:3']]) {
    await page.act(rig);
    await until(() => page.result('fall.settle'), 'the fall');
    await page.run(`for (let box = document.querySelector('[data-act="finder:start"]').closest('details'); box; box = box.parentElement.closest('details')) box.open = true`);
    const quick = await page.run(LOOP);
    await slowed(browser, async () => {
      const slow = await page.run(LOOP);
      await page.run(WATCH);
      await until(() => page.run('return window.seen.done'), 'the end of the search', 120_000);
      const { first, done } = await page.run('return window.seen');
      console.log(`finder, ${name} rig: everything slowed ${(slow / quick).toFixed(1)} times: first proposal ${ms(first)} (goal 1000), settled ${ms(done)} (goal 5000), longest task of the page ${ms(await page.run('return window.longest'))} (goal 50)`);
      for (let i = 0; i < 2; i++) await page.run(`document.querySelector('[data-act="finder:groups.+"]').click()`);
      await page.run(WATCH);
      await until(() => page.run('return window.seen.searching'), 'the larger search');
      const stop = await browser.driver.executeAsyncScript(STOP);
      console.log(`finder, ${name} rig, stopped in a search of more groups: the page after ${ms(stop.page)}, the worker free after ${ms(stop.worker)} (goal 100)`);
      for (let i = 0; i < 2; i++) await page.run(`document.querySelector('[data-act="finder:groups.-"]').click()`);
    });
  }
} finally {
  await browser.kill();
  await server.stop();
}
process.exit();
