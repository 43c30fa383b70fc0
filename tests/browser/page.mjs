// What a test says of the page: open it, show a screen, set a field, read a result. It knows the page's contract:
// five links in a `nav`, `data-field` on inputs, `data-result` on figures, `data-tick` on tick boxes, `data-act` on
// buttons.

import assert from 'node:assert/strict';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { after, test } from 'node:test';
import { crc32 } from 'node:zlib';
import { By, Key } from 'selenium-webdriver';
import { strays } from './recorder.mjs';
import { ENGINES, oneFile, PATIENCE, Server, Session, siteFor, until } from './harness.mjs';

export const SCREENS = ['day', 'bait', 'rigs', 'kit', 'bank'];
export { By, Key, assert, until };

/** The sheet, or the screen, where a field stands. */
const PLACES = [
  ['day.water', /^water\.(depth|surface|bottom)|^weather\.(pressure|trend|sky|wind)/], ['day.place', /^water\.(venue|peg)|^(name|note)$/],
  ['day.order', /^weather\.start/], ['day.times', /^day\./], ['day.lines', /^lines\./], ['day.rules', /^rules\./], ['day.result', /^result\./],
  ['day.prep-times', /^prep\./], ['bait.label', /^tin\.(fat|protein|carbohydrate|fibre|salt|name)|^bait\.air/], ['bait.cube', /^bait\.(edge|hook_edge|blade)|^other\./],
  ['bait.wash', /^bait\.washed|^rinse\./], ['bait.feed', /^feed\.|^water\.(drift|undertow)/], ['bait.tins', /^tin\.|^bait\./], ['bait.tub', /^tub\./], ['bait.cold', /^cold\./],
  ['rigs.rig', /^rigs\.\d\.(name|purpose|line|depth)$/], ['rigs.float', /^rigs\.\d\.(float_name|load|show|dotted|tip|tip_length)$/],
  ['rigs.shotting', /^rigs\.\d\.(pattern|bulk|drop|taste|most)/], ['rigs.line', /^rigs\.\d\.(main|hook)/],
  ['rigs.lay', /^rigs\.\d\.more\.(entry|hold|below|lowered|drift|above|back)/], ['rigs.glass', /^rigs\.\d\.more\.(glass|maker)/],
  ['rigs.elastic', /^rigs\.\d\.more\./], ['rigs.box', /^shot_box\./], ['rigs.weigh', /^weigh\./], ['kit.own', /^kit\./], ['bank', /^bank\./],
];
const placeOf = (path) => PLACES.find(([, known]) => known.test(path))?.[0];

/** Where a button stands that is on no screen of its own. */
const ACTS = [
  ['bait.tub', /^(tap|practise|tub:.*)$/], ['bait.cold', /^use:/], ['bait.label', /^tin:/], ['rigs.weigh', /^weighed/], ['rigs.glass', /^glass/],
  ['rigs.ladder', /^ladder/], ['day.prep', /^(calendar|print:prep)/], ['kit.own', /^(add|remove):kit/], ['rigs.rig', /^(add:rigs$|remove:rigs\.\d+$|rig-)/],
  ['day.lines', /^(add|remove):lines/], ['bait.feed', /^(add|remove):feed/], ['rigs.box', /^((add|remove):shot_box|metal:|olivette)/], ['rigs.shotting', /^(add|remove):rigs\.\d\.drop/],
  ['rigs', /^(tab|rig):/], ['tab:fall', /^(finder|move|use-move|proposal|use-proposal|alone|play)/], ['tab:tie', /^(card|print:cards)/],
];
const placeOfAct = (name) => ACTS.find(([, known]) => known.test(name))?.[0];

/** All sheets that a plan has, by address. */
export const SHEETS = ['day.water', 'day.lines', 'day.times', 'day.place', 'day.rules', 'day.order', 'day.prep', 'day.prep-times', 'bait.label', 'bait.tub',
  'bait.wash', 'bait.cube', 'bait.feed', 'bait.tins', 'bait.cold', 'bait.changes', 'rigs.rig', 'rigs.float', 'rigs.shotting', 'rigs.box', 'rigs.line', 'rigs.elastic',
  'rigs.lay', 'rigs.glass', 'rigs.weigh', 'rigs.ladder', 'kit.own'];

/** One open page with its server and browser. */
export class Page {
  constructor(server, session) {
    Object.assign(this, { server, session, driver: session.driver, engine: session.engine });
  }

  run(script, ...args) {
    return this.session.run(script, ...args);
  }

  /** Loads the page, perhaps with a fragment, and waits until it shows figures. */
  async open(fragment = '') {
    await this.driver.get('about:blank'); // a change of the fragment alone would load nothing
    await this.driver.get(this.server.url + fragment);
    await this.ready();
  }

  /**
   * Leaves the origin, and asks its service worker to go. Nobody waits for that: in WebKit an `unregister` never settled
   * whose worker was just looking for a new version at a server that was stopped.
   */
  async leave() {
    await this.run(`navigator.serviceWorker?.getRegistrations().then((all) => { for (const one of all) one.unregister(); }).catch(() => {});`);
    await this.driver.get('about:blank');
  }

  async ready() {
    await until(() => this.run(`return Boolean(document.querySelector('main[data-ready] [data-result]'))`), 'the first result');
  }

  /** Reloads as a user does: the driver's own refresh passes the service worker by in Firefox. */
  async reload() {
    await this.run(`window.beforeReload = true; setTimeout(() => location.reload())`);
    await until(() => this.run(`return !window.beforeReload && document.readyState === 'complete'`), 'the page to load again');
    await this.ready();
  }

  /** Waits until the page is stored on the phone and served from there. */
  async stored() {
    await until(() => this.run(`return Boolean(navigator.serviceWorker.controller)`), 'the service worker');
  }

  /** Opens the sheet at an address, such as `bait.feed`, or goes to a screen. */
  async sheet(address) {
    if (await this.run('return location.hash.slice(1)') !== address || await this.run(`return document.getElementById('sheet').hidden`)) {
      await this.run('location.hash = arguments[0]', address);
    }
    const [screen, name] = address.split('.');
    await until(() => this.run(`
      const sheet = document.getElementById('sheet');
      return document.body.dataset.screen === arguments[0] && (!arguments[1] || (sheet.dataset.sheet === arguments[2] && !sheet.hidden));`, screen, name ?? '', address), `the sheet ${address}`);
  }

  /** Shows one of the five screens by its link. */
  async show(screen) {
    if (await this.run(`return !document.getElementById('shade').hidden`)) {
      await (await this.driver.findElement(By.css('#sheet .done'))).click();
      await until(() => this.run(`return document.getElementById('shade').hidden`), 'the sheet to close');
    }
    const link = await this.driver.findElement(By.css(`nav a[href="#${screen}"]`));
    await link.click();
    await until(() => this.run(`return document.querySelector('nav a[aria-current]')?.getAttribute('href') === '#' + arguments[0]`, screen), `the screen ${screen}`);
  }

  /** Shows what stands about the page itself, by the link at the foot of every screen. */
  async about() {
    await this.run(`if (location.hash.includes('.')) document.getElementById('shade').click()`);
    await this.run(`document.querySelector('footer a[href="#about"]').click()`);
    await until(() => this.run(`return document.querySelector('footer a[aria-current]') && document.getElementById('about-title')`), 'the about panel');
  }

  /** Every visible figure of the screen in view, by name (and by its place, where a name stands several times). */
  results() {
    return this.run(`
      const seen = {};
      for (const element of document.querySelectorAll('main [data-result], #sheet [data-result]')) {
        if (!element.checkVisibility()) continue;
        let name = element.dataset.result;
        while (name in seen) name += '+';
        seen[name] = element.textContent.replace(/\\s+/g, ' ').trim();
      }
      return seen;`);
  }

  /** One figure's text. */
  async result(name) {
    return this.run(`return document.querySelector('[data-result="' + arguments[0] + '"]')?.textContent.replace(/\\s+/g, ' ').trim()`, name);
  }

  /** Waits for the falls, which come from a worker one after another. */
  settled() {
    return until(() => this.run(`return !/being worked out|Working out/.test(document.querySelector('main').textContent)`), 'the falls');
  }

  /** The figures of all five screens. */
  async allResults() {
    const all = {};
    for (const screen of SCREENS) {
      await this.show(screen);
      await this.settled();
      all[screen] = await this.results();
    }
    return all;
  }

  /** Finds a field, on the screen in view or on any other, with whatever it is folded into opened. */
  async field(path) {
    const visible = () => this.run(`
      const field = [...document.querySelectorAll('[data-field="' + arguments[0] + '"]')].find((one) => {
        for (let box = one.closest('details'); box; box = box.parentElement.closest('details')) box.open = true;
        return one.checkVisibility();
      });
      field?.scrollIntoView({ block: 'center' });
      return field ?? null;`, path);
    let found = await visible();
    if (!found) {
      const address = placeOf(path);
      assert.ok(address, `no sheet is known for the field ${path}`);
      await this.sheet(address);
      found = await visible();
    }
    assert.ok(found, `${placeOf(path)} has no field ${path}`);
    return found;
  }

  /** Types a text into a field as a user does, and leaves the field. */
  async set(path, text) {
    const field = await this.field(path);
    const kind = await this.run('return arguments[0].type', field);
    if (kind === 'radio') {
      const one = await this.driver.findElement(By.css(`[data-field="${path}"][value="${text}"]`));
      await one.click();
      return;
    }
    if (/^(select|date|time)/.test(kind)) {
      await this.run(`arguments[0].value = arguments[1]; arguments[0].dispatchEvent(new Event('input', { bubbles: true })); arguments[0].dispatchEvent(new Event('change', { bubbles: true }))`, field, text);
      return;
    }
    await field.click();
    await this.run(`arguments[0].select?.()`, field);
    await field.sendKeys(text === '' ? Key.BACK_SPACE : text, Key.TAB);
  }

  async value(path) {
    return this.run(`return arguments[0].value`, await this.field(path));
  }

  /** Shows a screen that has no link in the bar. */
  async go(screen) {
    await this.run('location.hash = arguments[0]', screen);
    await until(() => this.run(`return document.body.dataset.screen === arguments[0]`, screen), `the screen ${screen}`);
  }

  /** Presses a button of the settings, and comes back. */
  async choose(name) {
    const from = await this.run('return document.body.dataset.screen');
    await this.go('settings');
    await this.act(name);
    await this.go(from);
  }

  /** Waits until what was scrolled or drawn has its place: what was out of sight is laid out only when it comes near. */
  still() {
    return this.driver.executeAsyncScript(`
      const done = arguments[0];
      setTimeout(done, 200); // a hidden page draws nothing
      requestAnimationFrame(() => requestAnimationFrame(() => done()));`);
  }

  /** Presses the button of this name, wherever it is. */
  async act(name) {
    const place = placeOfAct(name);
    if (place?.startsWith('tab:')) {
      await this.show('rigs');
      await this.run(`document.querySelector('[data-act="' + arguments[0] + '"]').click()`, place);
    } else if (place) {
      await this.sheet(place);
    }
    const button = await until(() => this.run(`
      return [...document.querySelectorAll('[data-act="' + arguments[0] + '"]')].find((one) => {
        for (let box = one.closest('details'); box; box = box.parentElement.closest('details')) box.open = true;
        return one.checkVisibility();
      }) ?? null;`, name), `the button ${name}`);
    // Behind a sheet nothing can be pressed.
    if (await this.run(`return Boolean(arguments[0].closest('[inert]'))`, button)) {
      await (await this.driver.findElement(By.css('#sheet .done'))).click();
      await until(() => this.run(`return document.getElementById('shade').hidden`), 'the sheet to close');
      await this.act(name);
      return;
    }
    await this.run(`arguments[0].scrollIntoView({ block: 'center' })`, button);
    await this.still();
    await button.click();
  }

  /** The texts of every visible notice. */
  notices() {
    return this.run(`return [...document.querySelectorAll('[role="status"], [role="alert"], dialog[open]')]
      .filter((one) => one.checkVisibility()).map((one) => one.innerText.trim()).filter(Boolean)`);
  }

  /** Waits for a notice that matches, and returns it. */
  notice(pattern) {
    return until(async () => (await this.notices()).find((text) => pattern.test(text)), `a notice like ${pattern}`);
  }

  /** Opens the share dialog and returns the link it shows. */
  async share() {
    await this.act('share');
    const link = await until(() => this.run(`
      const place = [...document.querySelectorAll('[data-share-link]')].find((one) => one.checkVisibility());
      return place && (place.value || place.textContent.trim());`), 'the link to share');
    await this.driver.actions().sendKeys(Key.ESCAPE).perform();
    return link;
  }

  /** The key that says which plan is in hand: its own link. */
  async fingerprint() {
    return new URL(await this.share()).hash;
  }
}

/**
 * Goes through everything that can be seen, one part after another, and gives the name of each while it is open: the
 * five screens, the parts of the bait, a session before, while it runs and after, the share panel.
 */
export async function* everyPart(page) {
  for (const screen of ['day', 'kit']) {
    await page.show(screen);
    yield screen;
  }
  await page.show('bait');
  yield 'bait';
  await page.show('rigs');
  for (const tab of ['shot', 'tie', 'line', 'fall']) {
    await page.act(`tab:${tab}`);
    if (tab === 'fall') await until(() => page.result('fall.settle'), 'the fall');
    yield `rigs, ${tab}`;
  }
  for (const sheet of SHEETS) {
    await page.sheet(sheet);
    yield sheet;
  }
  await page.show('bank');
  if (!await page.run(`return document.getElementById('live-start') !== null`)) {
    // The open day was fished before.
    await page.go('days');
    await page.act('preset:summer');
    await page.show('bank');
  }
  yield 'bank, before';
  const tap = (word) => page.run(`document.querySelector('[data-tap="' + arguments[0] + '"]').click()`, word);
  await tap('start');
  await until(() => page.run(`return Boolean(document.getElementById('tap-fed'))`), 'the session');
  await tap('fed');
  await until(() => page.run(`return Boolean(document.querySelector('[data-live="sinking"] .cube'))`), 'the feed in the water');
  yield 'bank, running';
  await tap('end');
  await until(() => page.result('live.summary'), 'the summary');
  yield 'bank, after';
  for (const screen of ['days', 'tackle', 'settings']) {
    await page.go(screen);
    if (screen === 'tackle') {
      await page.act('book:keep-tackle');
      await page.run(`document.querySelector('[data-act^="book:item."]').click()`);
    }
    yield screen;
  }
  await page.sheet('day.place');
  await page.run(`
    const field = document.querySelector('[data-field="water.venue"]');
    field.value = 'Reed Mere';
    field.dispatchEvent(new InputEvent('input', { bubbles: true }));`);
  await page.show('day');
  await page.act('book:keep-water');
  await until(() => page.run(`return document.body.dataset.screen === 'water'`), 'the water');
  yield 'water';
  await page.about();
  yield 'about';
  await page.act('share');
  await until(() => page.run(`return document.querySelector('[data-share-link]')?.checkVisibility()`), 'the share panel');
  yield 'the share panel';
  await page.driver.actions().sendKeys(Key.ESCAPE).perform();
  await until(() => page.run(`return !document.querySelector('dialog[open]')`), 'the panel to close');
}

/** The tests of this process by engine: one browser is at work at a time, and serves all that is read. */
const queues = new Map(ENGINES.map((engine) => [engine, []]));
let shared;

/** The browser that the tests share in an engine; the one before it is ended. */
async function browser(engine) {
  if (shared?.engine !== engine) {
    await drop();
    shared = await Session.open(engine);
  }
  return shared;
}

/** Ends the shared browser: the next test opens another. */
async function drop() {
  const session = shared;
  shared = undefined;
  await session?.kill();
}

after(drop);
// When all files have been read.
queueMicrotask(() => {
  for (const queue of queues.values()) for (const [name, options, body] of queue) test(name, options, body);
});

/** What stands on the page, for the message of a failed test. */
const GLIMPSE = `
  const words = (place) => document.querySelector(place)?.innerText.replace(/\\s+/g, ' ').trim().slice(0, 300) ?? null;
  return JSON.stringify({
    at: location.href.slice(0, 120), loaded: document.readyState, visible: document.visibilityState, focused: document.hasFocus(),
    notices: words('#notices'), main: words('main'),
  });`;

/**
 * A test in each engine, with a server and so an origin of its own: what an earlier test has stored is of another. It
 * fails on any console error and on any request to another origin, unless it is there to cause them, and on anything at
 * all that was sent to another machine. With `own` it has a browser to itself, with `keep` also a profile that outlives
 * that browser, with `refusing` one that is told to keep nothing; with `fromFile` it opens the page as one file.
 */
export function inEachEngine(name, body, { engines = ENGINES, faults = false, open = true, fragment = '', keep = false, refusing = false, own = keep || refusing, fromFile = false, patience = 0 } = {}) {
  for (const engine of engines.filter((one) => queues.has(one))) {
    queues.get(engine).push([`${engine}: ${name}`, { timeout: (10 + patience) * PATIENCE }, async () => {
      const server = fromFile ? oneFile(engine) : await Server.start({ site: siteFor(engine) });
      const profile = keep ? mkdtempSync(path.join(tmpdir(), 'dotdown-kept-')) : undefined;
      let page;
      let passed = false;
      strays(); // what a failed test has left
      try {
        page = new Page(server, own ? await Session.open(engine, { profile, refusing }) : await browser(engine));
        if (!own) await page.session.freshTab();
        if (open) await page.open(fragment);
        await body(page);
        if (!faults) {
          assert.deepEqual(await page.session.errors(), [], 'the console holds errors');
          assert.deepEqual(await page.session.strangers(new URL(server.url).origin), [], 'another origin was asked');
        }
        passed = true;
      } catch (error) {
        const seen = await page?.run(GLIMPSE).catch((other) => other.message);
        error.message += `\nthe page at the end: ${seen}\nits console: ${JSON.stringify(await page?.session.errors().catch((other) => other.message))}`;
        throw error;
      } finally {
        if (own) await page?.session.kill();
        else if (passed) await page.leave();
        else await drop();
        await server.stop();
        if (profile) rmSync(profile, { recursive: true, force: true, maxRetries: 5 });
      }
      assert.deepEqual(strays(), [], 'something was sent to another machine');
    }]);
  }
}

/**
 * What the page's store holds, by key, after changes to it: each a method of the store and its arguments. Whatever the
 * page has asked for before is done by then.
 */
export const records = (page, ...changes) => page.driver.executeAsyncScript(`
  const [changes, done] = arguments;
  const request = indexedDB.open('dotdown ' + new URL('./', location.href).pathname);
  request.onupgradeneeded = () => request.result.createObjectStore('records');
  request.onerror = () => done(String(request.error));
  request.onsuccess = () => {
    const base = request.result;
    const change = base.transaction('records', 'readwrite');
    const store = change.objectStore('records');
    for (const [method, ...args] of changes) store[method](...args);
    const [keys, values] = [store.getAllKeys(), store.getAll()];
    change.oncomplete = () => { base.close(); done(Object.fromEntries(keys.result.map((key, i) => [key, values.result[i]]))); };
    change.onabort = () => done(String(change.error));
  };`, changes);

/** Hands the page a clock that stands still until it is moved, and counts how often the page looks at it. */
export async function clock(page, at) {
  await page.run(`
    window.testNow = arguments[0];
    window.looks = 0;
    window.Date.now = () => window.testNow;
    window.performance.now = () => { window.looks += 1; return window.testNow - 1e12; };`, at);
  return (seconds) => page.run(`window.testNow = arguments[0]`, at + seconds * 1000);
}

/** A line of a log, which ends with its checksum, without what precedes it in its row: that may end with a digit. */
const sealed = (line) => {
  const start = [...line].findIndex((_, i) => crc32(line.slice(i, -9)) === parseInt(line.slice(-8), 16));
  assert.ok(start >= 0, `a line without its checksum: ${line}`);
  return line.slice(start);
};

/** The session's log as it is stored, line by line: a row of the book ends with its lines. */
export const storedLog = async (page) => Object.entries(await records(page)).filter(([key]) => key.startsWith('logs/')).sort()
  .flatMap(([, row]) => (row.match(/\d+ [a-z] \d{13}[^\n]*(?=\n)/g) ?? []).map(sealed));

/** The number of a stored page. */
export const serial = (text) => Number(text.split('\n')[2]);

/** Waits until the page's last change is on the disk, and the page says so; gives its text. */
export const kept = (page) => until(async () => {
  const [before, after] = [(await records(page)).page, (await records(page)).page];
  const told = await page.run(`return document.documentElement.dataset.kept`);
  return before !== undefined && before === after && Number(told) === serial(after) ? after : undefined;
}, 'the last change on the disk');

/** Deletes the page's store. */
export const deleteStore = (page) => page.driver.executeAsyncScript(`
  const done = arguments[0];
  const gone = indexedDB.deleteDatabase('dotdown ' + new URL('./', location.href).pathname);
  gone.onsuccess = gone.onerror = () => done();`);

/** Presses one of the session's buttons. */
export const press = (page, word) => page.run(`document.querySelector('[data-tap="' + arguments[0] + '"]').click()`, word);

/** One of the session's totals, as a number. */
export const fact = (page, name) => page.run(`
  const row = [...document.querySelectorAll('[data-result="live.totals"] > div')].find((one) => one.firstElementChild.textContent === arguments[0]);
  return row && Number(row.lastElementChild.textContent.replace(/[^0-9]/g, ''));`, name);

/** Waits for the three buttons of a running session. */
export const again = (page) => until(() => page.run(`return Boolean(document.getElementById('tap-fed'))`), 'the session');

/** Begins a session. */
export async function begin(page) {
  await page.show('bank');
  await press(page, 'start');
  await again(page);
}

/** Taps, and waits until the tap is acknowledged: its count is shown. */
export async function tapped(page, word, name, count) {
  await press(page, word);
  await until(async () => (await fact(page, name)) === count, `${name} ${count}`);
}
