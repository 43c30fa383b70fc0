// Two hours at the bank, played fast: what the page holds in memory must not grow. The clock is handed in, and the
// ticks of the session's timer are played by the test, 18,000 of them; 480 feeds, 360 casts, 100 bites, 200 changes of
// the screen, 500 keystrokes and 20 falls of rigs, in twenty equal parts. After a warm-up of four parts the JavaScript
// heap (after a forced collection) and the core's linear memory may grow by less than 1 MB together, and nodes and
// listeners not at all. In a usual run four parts are played, with DOTDOWN_LONG=1 all twenty.
//
// Chromium only: no other engine tells its heap to a driver. The worker's own heap is not in the figures.

import { assert, inEachEngine, until } from './page.mjs';

const PARTS = process.env.DOTDOWN_LONG ? 20 : 4;
const WARM = process.env.DOTDOWN_LONG ? 4 : 2;

/** Plays one part: six minutes. */
const play = (page, part) => page.driver.executeAsyncScript(`
  const [part, done] = arguments;
  const turn = () => new Promise((resolve) => setTimeout(resolve));
  const wait = async (check, what) => {
    for (let i = 0; i < 4000; i++) { if (check()) return; await new Promise((r) => window.realTimeout(r, 5)); }
    throw new Error('waited in vain for ' + what);
  };
  const fact = (name) => { const row = [...document.querySelectorAll('[data-result="live.totals"] > div')].find((one) => one.firstElementChild.textContent === name); return row && Number(row.lastElementChild.textContent.replace(/[^0-9]/g, '')); };
  const show = async (screen) => { document.querySelector('nav a[href="#' + screen + '"]').click(); await wait(() => document.querySelector('nav a[aria-current]')?.getAttribute('href') === '#' + screen, screen); };
  const sheet = async (address, place) => { location.hash = address; await wait(() => document.querySelector(place), address); };
  const press = (word) => document.querySelector('[data-tap="' + word + '"]').click();
  const type = (path, text) => { const field = document.querySelector('[data-field="' + path + '"]'); field.value = text; field.dispatchEvent(new InputEvent('input', { bubbles: true })); };
  (async () => {
    await show('bank');
    let second = 0;
    const to = (s) => { for (; second < s; second += 0.4) { window.testNow += 400; window.tickers.forEach((tick) => tick()); } };
    for (const [at, word, name] of window.part) {
      to(at);
      const before = name && fact(name);
      press(word);
      if (name) await wait(() => fact(name) === before + 1, name);
      await turn();
    }
    to(360);
    for (let k = 0; k < 2; k++) for (const screen of ['day', 'bait', 'rigs', 'kit', 'bank']) await show(screen);
    await sheet('bait.cube', '[data-field="bait.edge"]');
    for (let key = 0; key < 25; key++) { type('bait.edge', ['7', '7.5', '8,', '8.0', 'x'][key % 5]); await turn(); }
    type('bait.edge', '7.5');
    await sheet('rigs.rig', '[data-field="rigs.0.depth"]');
    document.querySelector('[data-act="tab:fall"]').click();
    document.querySelector('[data-step="rigs.0.depth"][data-by="' + (part % 2 ? 1 : -1) + '"]').click();
    await wait(() => document.querySelector('[data-result="fall.times"]') && !document.querySelector('[data-result="fall.older"], [data-result="fall.waiting"]'), 'the fall');
    await show('day');
    done('');
  })().catch((error) => done(String(error)));`, part);

async function measure(page) {
  for (let i = 0; i < 3; i++) await page.session.cdp('HeapProfiler.collectGarbage');
  const { metrics } = await page.session.cdp('Performance.getMetrics');
  const metric = (name) => metrics.find((one) => one.name === name).value;
  const wasm = await page.driver.executeAsyncScript(`const done = arguments[0]; import('./app.js?' + document.documentElement.dataset.build).then((core) => core.default()).then((core) => done(core.memory.buffer.byteLength))`);
  return { heap: metric('JSHeapUsedSize'), wasm, nodes: metric('Nodes'), listeners: metric('JSEventListeners') };
}

const middle = (list) => [...list].sort((a, b) => a - b)[Math.floor(list.length / 2)];

inEachEngine('two hours of use leave the memory flat', async (page) => {
  await page.session.cdp('Performance.enable');
  await page.run(`
    window.testNow = Date.UTC(2031, 6, 11, 9);
    Date.now = () => window.testNow;
    performance.now = () => window.testNow - 1e12;
    window.realTimeout = window.setTimeout;
    window.tickers = new Map();
    const set = window.setInterval;
    const clear = window.clearInterval;
    let next = -1;
    // The session's timer alone; the player of a fall and others keep their own.
    window.setInterval = (tick, ms, ...rest) => { if (ms !== 400 && ms !== 1000) return set(tick, ms, ...rest); window.tickers.set(--next, tick); return next; };
    window.clearInterval = (id) => (window.tickers.delete(id) ? undefined : clear(id));
    window.part = [];
    for (let s = 0; s < 24; s++) window.part.push([s * 15, 'fed', 'Feeds']);
    for (let s = 0; s < 18; s++) window.part.push([s * 20 + 5, 'cast']);
    for (let s = 0; s < 5; s++) window.part.push([s * 72 + 13, 'missed', 'Bites missed']);
    window.part.sort((a, b) => a[0] - b[0]);`);
  await page.show('bank');
  await page.run(`document.querySelector('[data-tap="start"]').click()`);
  await until(() => page.run(`return Boolean(document.getElementById('tap-fed'))`), 'the session');
  await until(() => page.run('return window.tickers.size === 1'), 'the one timer of the session');
  const seen = [];
  for (let part = 0; part < PARTS; part++) {
    assert.equal(await play(page, part), '', `part ${part}`);
    seen.push(await measure(page));
  }
  const after = seen.slice(WARM);
  const few = Math.min(3, Math.floor(after.length / 2) || 1);
  const grown = (name) => middle(after.slice(-few).map((one) => one[name])) - middle(after.slice(0, few).map((one) => one[name]));
  const report = Object.fromEntries(['heap', 'wasm', 'nodes', 'listeners'].map((name) => [name, [after[0][name], after.at(-1)[name], grown(name)]]));
  console.log(`${PARTS} parts of six minutes: first after the warm-up, last, grown: ${JSON.stringify(report)}`);
  assert.ok(grown('heap') + grown('wasm') < 1_000_000, `grown by ${grown('heap')} and ${grown('wasm')} bytes`);
  assert.ok(grown('nodes') <= 60, `${grown('nodes')} nodes more`);
  assert.ok(grown('listeners') <= 2, `${grown('listeners')} listeners more`);
}, { engines: ['chromium'], patience: 20, own: true });
