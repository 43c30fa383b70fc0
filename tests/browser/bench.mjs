// Times the page on a phone-like profile in Chromium: four times slower processor, slow 4G (1.6 Mbit/s, 150 ms).
// Prints medians over fresh profiles, and the same for a blank page of the same markup, to tell ours from the machine's.

import { readFileSync, rmSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { packed } from './packed.mjs';
import { Server, Session, until } from './harness.mjs';

const RUNS = Number(process.env.RUNS ?? 5);
const median = (values) => [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)];
const quantile = (values, share) => [...values].sort((a, b) => a - b)[Math.ceil(values.length * share) - 1];

/** The same markup, styles and picture of a page, with no script: the floor of this machine. */
function blank(folder) {
  const file = path.join(folder, 'index.html');
  const page = readFileSync(file, 'utf8').replace(/<script[^>]*><\/script>/g, '').replace(/<link rel="(modulepreload|preload)"[^>]*>/g, '');
  writeFileSync(file, page.replace(/<main[\s\S]*<\/main>/, '<main><p data-result="blank">0</p></main>'));
}

/** Marks the first result that is painted, and the moment from which the page takes changes. */
const READY = `
  const painted = (name) => requestAnimationFrame(() => { const channel = new MessageChannel(); channel.port1.onmessage = () => performance.mark(name); channel.port2.postMessage(0); });
  let shown = false;
  const note = () => {
    const main = document.querySelector('main');
    if (!main || document.documentElement.hasAttribute('data-wait') || !main.querySelector('[data-result]')) return false;
    if (!shown) painted('shown');
    shown = true;
    if (main.inert) return false;
    painted('live');
    return true;
  };
  if (!note()) { const watch = new MutationObserver(() => note() && watch.disconnect()); watch.observe(document, { attributes: true, childList: true, subtree: true }); }`;

/** Slows processor and network as on a phone. */
async function slow(session, network) {
  await session.cdp('Emulation.setCPUThrottlingRate', { rate: 4 });
  if (!network) return;
  await session.cdp('Network.enable');
  await session.cdp('Network.emulateNetworkConditions', { offline: false, latency: 150, downloadThroughput: 1.6e6 / 8, uploadThroughput: 0.75e6 / 8 });
}

/** Milliseconds from the start of the navigation to the first result on the screen, and until it takes changes. */
async function ready(session, url) {
  await session.driver.get(url);
  await until(() => session.run(`return performance.getEntriesByName('live')[0]?.startTime`), 'the live page');
  return session.run(`return ['shown', 'live'].map((name) => performance.getEntriesByName(name)[0].startTime)`);
}

async function first(site) {
  const server = await Server.start({ site });
  const session = await Session.open('chromium');
  try {
    await session.cdp('Page.addScriptToEvaluateOnNewDocument', { source: READY });
    await slow(session, true);
    return await ready(session, server.url);
  } finally {
    await session.kill();
    await server.stop();
  }
}

async function again(site) {
  const server = await Server.start({ site });
  const session = await Session.open('chromium');
  try {
    await session.cdp('Page.addScriptToEvaluateOnNewDocument', { source: READY });
    await ready(session, server.url);
    await until(() => session.run('return Boolean(navigator.serviceWorker.controller)'), 'the service worker');
    await server.stop();
    await slow(session, false);
    await session.driver.get('about:blank');
    return await ready(session, server.url);
  } finally {
    await session.kill();
  }
}

/** Milliseconds from a typed change to the new result, on each screen, at a quarter of the processor's speed. */
async function keys(site) {
  const server = await Server.start({ site });
  const session = await Session.open('chromium');
  const rows = [];
  try {
    await session.driver.get(server.url);
    await until(() => session.run(`return !document.querySelector('main').inert`), 'the live page');
    await slow(session, false);
    for (const screen of ['day.water', 'bait.cube', 'rigs.float', 'kit.own', 'bank']) {
      await session.run(`location.hash = arguments[0]`, screen);
      await until(() => session.run(`return document.body.dataset.screen === arguments[0].split('.')[0] && (!arguments[0].includes('.') || document.getElementById('sheet').dataset.sheet === arguments[0])`, screen), screen);
      const times = await session.driver.executeAsyncScript(`
        const done = arguments[0];
        const path = [...document.querySelectorAll(':is(main, #sheet) input[data-field][inputmode]')].find((one) => Number.isFinite(parseFloat(one.value)))?.dataset.field;
        if (!path) return done(null);
        const good = parseFloat(document.querySelector('[data-field="' + path + '"]').value.replace(',', '.'));
        const times = [];
        const step = (left) => {
          const field = document.querySelector(':is(main, #sheet) [data-field="' + path + '"]');
          field.focus();
          field.value = String(good + (left % 2));
          const start = performance.now();
          field.dispatchEvent(new InputEvent('input', { bubbles: true }));
          // Two frames' boundary: the styles, the layout and the paint of the change are in.
          requestAnimationFrame(() => { const channel = new MessageChannel(); channel.port1.onmessage = () => {
            times.push(performance.now() - start);
            if (left > 0) setTimeout(() => step(left - 1), 20); else done({ path, times });
          }; channel.port2.postMessage(0); });
        };
        step(200);`);
      if (times) rows.push([screen, times.path, median(times.times), quantile(times.times, 0.98)]);
    }
  } finally {
    await session.kill();
    await server.stop();
  }
  return rows;
}

const site = packed();
const floor = packed(blank);
try {
  const firsts = [];
  const floors = [];
  const agains = [];
  for (let run = 0; run < RUNS; run++) {
    floors.push(await first(floor));
    firsts.push(await first(site));
    agains.push(await again(site));
  }
  const [shown, live] = [0, 1].map((i) => firsts.map((one) => one[i]));
  const ms = (values) => `${Math.round(median(values))} ms (${Math.round(Math.min(...values))} to ${Math.round(Math.max(...values))})`;
  const blanks = floors.map(([one]) => one);
  console.log(`first visit, empty cache   first result ${ms(shown)}; goal 1500 ms`);
  console.log(`                           takes changes ${ms(live)}`);
  console.log(`blank page, same markup    ${ms(blanks)}; ratios ${(median(shown) / median(blanks)).toFixed(2)} and ${(median(live) / median(blanks)).toFixed(2)}`);
  console.log(`again, server stopped      takes changes ${ms(agains.map((one) => one[1]))}; goal 500 ms`);
  for (const [screen, field, middle, high] of await keys(site)) {
    console.log(`change to result, ${screen.padEnd(5)}    ${middle.toFixed(1)} ms, 98th percentile ${high.toFixed(1)} ms (${field}); goal 50 ms`);
  }
} finally {
  rmSync(site, { recursive: true, force: true });
  rmSync(floor, { recursive: true, force: true });
}
process.exit();
