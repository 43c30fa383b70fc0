// A book of 500 days with 300 logs of 2,000 lines beside one of a day, in Chromium at a quarter of the processor's speed.
// The book is the backup that `cargo bench --bench book` writes where DOTDOWN_BOOK says.

import { copyFileSync, rmSync } from 'node:fs';
import path from 'node:path';
import { packed } from './packed.mjs';
import { Server, Session, until } from './harness.mjs';

const RUNS = Number(process.env.RUNS ?? 7);
const median = (values) => [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)];

const site = packed();
copyFileSync(process.env.DOTDOWN_BOOK, path.join(site, 'book.json'));
const server = await Server.start({ site });
const session = await Session.open('chromium');
const { driver } = session;
const run = (script, ...args) => session.run(script, ...args);
const live = () => until(() => run(`return document.querySelector('main')?.inert === false`), 'the live page');

/** Milliseconds until the page takes changes, and until My days stands there, at a quarter of the speed. */
async function measure() {
  await session.cdp('Emulation.setCPUThrottlingRate', { rate: 4 });
  const ready = [];
  const days = [];
  for (let i = 0; i < RUNS; i++) {
    await driver.get('about:blank');
    await driver.get(`${server.url}#day`);
    await live();
    ready.push(await run(`return performance.getEntriesByName('ready')[0].startTime`));
    days.push(await driver.executeAsyncScript(`
      const done = arguments[0];
      const start = performance.now();
      location.hash = 'days';
      const look = () => document.body.dataset.screen === 'days'
        ? requestAnimationFrame(() => { const channel = new MessageChannel(); channel.port1.onmessage = () => done(performance.now() - start); channel.port2.postMessage(0); })
        : setTimeout(look);
      look();`));
  }
  await session.cdp('Emulation.setCPUThrottlingRate', { rate: 1 });
  return { ready: median(ready), days: median(days) };
}

try {
  await session.cdp('Page.addScriptToEvaluateOnNewDocument', { source: `
    new MutationObserver((_, watch) => {
      const main = document.querySelector('main');
      if (main && !main.inert && main.hasAttribute('data-ready')) { performance.mark('ready'); watch.disconnect(); }
    }).observe(document, { attributes: true, childList: true, subtree: true });` });
  await driver.get(server.url);
  await live();
  await run(`
    location.hash = 'day.place';
    await new Promise((done) => setTimeout(done, 400));
    const field = document.querySelector('[data-field="water.peg"]');
    field.value = '7';
    field.dispatchEvent(new InputEvent('input', { bubbles: true }));`);
  const one = await measure();
  await run(`location.hash = 'settings'`);
  await until(() => run(`return document.querySelector('[data-open="backup"]') !== null`), 'the settings');
  const begun = Date.now();
  await driver.executeAsyncScript(`
    const done = arguments[0];
    fetch('book.json').then((answer) => answer.blob()).then((blob) => {
      const list = new DataTransfer();
      list.items.add(new File([blob], 'book.json'));
      const input = document.querySelector('[data-open="backup"]');
      input.files = list.files;
      input.dispatchEvent(new Event('change', { bubbles: true }));
      done();
    });`);
  await until(() => run(`return /days came from the backup/.test(document.getElementById('notices').innerText)`), 'the backup', 300_000);
  console.log(`500 days opened as a backup      ${((Date.now() - begun) / 1000).toFixed(1)} s (full speed)`);
  await new Promise((resolve) => setTimeout(resolve, 15_000)); // the change is on its way to the disk
  const many = await measure();
  const { usage } = await driver.executeAsyncScript(`const done = arguments[0]; navigator.storage.estimate().then(({ usage, usageDetails }) => done({ usage: usageDetails?.indexedDB ?? usage }));`);
  console.log(`takes changes, one day / 500     ${one.ready.toFixed(0)} / ${many.ready.toFixed(0)} ms; ratio ${(many.ready / one.ready).toFixed(2)}, goal 1.3`);
  console.log(`My days, one day / 500           ${one.days.toFixed(0)} / ${many.days.toFixed(0)} ms; goal 100 ms`);
  console.log(`the database                     ${(usage / 1e6).toFixed(1)} MB; goal 40 MB`);
} finally {
  await session.kill();
  await server.stop();
  rmSync(site, { recursive: true, force: true });
}
process.exit();
