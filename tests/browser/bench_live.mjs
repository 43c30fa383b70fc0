// What the live session costs: a six-hour log replayed and each call of a tap, in Node; and the share of one core that
// the running screen takes in Chromium on a processor slowed four times, seen and hidden. Prints; judges nothing.

import { builtCore, Server, Session } from './harness.mjs';
import { Page, until } from './page.mjs';

const core = await builtCore();
const T0 = Date.UTC(2031, 6, 11, 9, 0, 0);
const plan = core.presets()[0].plan;
const middle = (list) => [...list].sort((a, b) => a - b)[list.length >> 1];
const timed = (call) => {
  const begun = performance.now();
  call();
  return performance.now() - begun;
};
const print = (name, ms) => console.log(`${name.padEnd(44)} ${ms.toFixed(2).padStart(8)} ms`);

const events = [
  ...Array.from({ length: 1500 }, (_, i) => [i * 14_400, 'fed']),
  ...Array.from({ length: 1100 }, (_, i) => [i * 19_636 + 3000, 'cast']),
  ...Array.from({ length: 300 }, (_, i) => [i * 72_000 + 11_000, i % 2 ? 'missed' : 'fish']),
].sort(([a], [b]) => a - b);
const session = new core.Session(plan);
const calls = { record: [], state: [], advice: [] };
for (const [at, kind] of events) {
  calls.record.push(timed(() => session.record({ at_ms: T0 + at, kind })));
  calls.state.push(timed(() => session.state(T0 + at + 500)));
  calls.advice.push(timed(() => session.advice(T0 + at + 500)));
}
print('a session made, with its falls', middle(Array.from({ length: 9 }, () => timed(() => new core.Session(plan)))));
const log = session.log();
print('2,900 records of six hours replayed', middle(Array.from({ length: 9 }, () => {
  const fresh = new core.Session(plan);
  return timed(() => fresh.resume(log));
})));
for (const [name, list] of Object.entries(calls)) print(`${name}, the middle one of ${list.length}`, middle(list));
print('a tap in all (record, state, advice)', middle(events.map((_, i) => calls.record[i] + calls.state[i] + calls.advice[i])));

const server = await Server.start();
const browser = await Session.open('chromium');
try {
  const page = new Page(server, browser);
  await browser.cdp('Emulation.setCPUThrottlingRate', { rate: 4 });
  await browser.cdp('Performance.enable', { timeDomain: 'threadTicks' });
  await page.open('#bank');
  await page.run(`document.querySelector('[data-tap="start"]').click()`);
  await until(() => page.run(`return Boolean(document.getElementById('tap-fed'))`), 'the session');
  for (let feed = 0; feed < 3; feed++) {
    await page.run(`document.getElementById('tap-fed').click()`);
    await new Promise((resolve) => setTimeout(resolve, 3000));
  }
  const busy = async () => (await browser.cdp('Performance.getMetrics')).metrics.find(({ name }) => name === 'TaskDuration').value;
  const share = async (name) => {
    const before = await busy();
    await new Promise((resolve) => setTimeout(resolve, 20_000));
    console.log(`${name.padEnd(44)} ${((await busy() - before) / 20 * 100).toFixed(2).padStart(8)} % of one core, 4x slowed`);
  };
  await share('the running screen');

  // A day of taps by a clock that runs as fast as the page answers: from the tap to the frame that shows it, safe on disk.
  const taps = await browser.driver.executeAsyncScript(`
    const done = arguments[0];
    const real = performance.now.bind(performance);
    const begin = Date.now();
    let now = begin;
    Date.now = () => now;
    performance.now = () => now - begin + 1e6;
    const place = document.querySelector('[data-live="totals"]');
    const shown = () => place.textContent;
    const frame = (then) => requestAnimationFrame(() => { const { port1, port2 } = new MessageChannel(); port1.onmessage = then; port2.postMessage(0); });
    const one = (n) => new Promise((resolve) => {
      now += n % 6 === 5 ? 3_000 : 13_800;
      const [was, begun] = [shown(), real()];
      const watch = new MutationObserver(() => {
        if (shown() === was) return;
        watch.disconnect();
        frame(() => resolve(real() - begun));
      });
      watch.observe(place, { childList: true, subtree: true, characterData: true });
      document.getElementById(n % 6 === 5 ? (n % 12 === 5 ? 'tap-fish' : 'tap-missed') : 'tap-fed').click();
    });
    (async () => {
      const times = [];
      for (let n = 0; n < 1800; n++) times.push(await one(n));
      done(times);
    })();`);
  const sorted = taps.sort((a, b) => a - b);
  for (const share of [0.5, 0.98, 1]) print(`1,500 feeds and 300 bites, 4x, until seen: ${share * 100} %`, sorted[Math.ceil(share * sorted.length) - 1]);
  await page.run(`
    Object.defineProperty(document, 'visibilityState', { value: 'hidden', configurable: true });
    document.dispatchEvent(new Event('visibilitychange'));`);
  await share('the same, hidden');
} finally {
  await browser.kill();
  await server.stop();
}
