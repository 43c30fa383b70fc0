// The page with no signal, and its updates: proved by stopping the server, not by emulation.

import { cpSync, readFileSync } from 'node:fs';
import path from 'node:path';
import { changedSite, changeSite, SITE } from './harness.mjs';
import { again, assert, begin, By, fact, inEachEngine, SCREENS, tapped, until } from './page.mjs';

inEachEngine('with the server stopped the page reopens, and works', async (page) => {
  await page.stored();
  const before = await page.allResults();
  await page.server.stop();
  await page.open('#bait');
  assert.deepEqual(await page.allResults(), before);
  await page.set('bait.edge', '9');
  await until(async () => (await page.results())['sink.speed'] !== before.bait['sink.speed'], 'a new speed with no signal');
  await page.driver.get(`${page.server.url}?from=home#rigs`);
  await page.ready();
  assert.equal(new URL(await page.driver.getCurrentUrl()).hash, '#rigs');
});

inEachEngine('a page stored under one path leaves other caches of the origin alone', async (page) => {
  await page.stored();
  const keys = () => page.driver.executeAsyncScript(`caches.keys().then(arguments[0])`);
  const [own] = await keys();
  assert.match(own, /^dotdown \/peg\/12\/ [0-9a-f]{16}$/);
  await page.driver.executeAsyncScript(`Promise.all(['dotdown / 0123', 'dotdown /peg/12/3/ 0123', 'other'].map((name) => caches.open(name))).then(() => arguments[0]())`);
  const { site, drop } = newVersion(page);
  try {
    await page.server.restart(site);
    await page.reload();
    await page.act('update');
    await until(async () => !(await keys()).includes(own), 'the old version to be removed');
    const left = await keys();
    for (const name of ['dotdown / 0123', 'dotdown /peg/12/3/ 0123', 'other']) assert.ok(left.includes(name), name);
  } finally {
    drop();
  }
});

/** A copy of the site under test with one visible change: what a host has after a new version was put there. */
const newVersion = (page) => changedSite(page, 'index.html', (text) => text.replace('<html ', '<html data-next="yes" '));

inEachEngine('a new version waits for a tap, and then is there', async (page) => {
  await page.stored();
  const isNext = () => page.run(`return document.documentElement.dataset.next === 'yes'`);
  const { site, drop } = newVersion(page);
  try {
    await page.server.restart(site);
    await page.reload();
    assert.equal(await isNext(), false, 'the old version runs on');
    const offer = await page.driver.findElement(By.id('update'));
    await until(() => offer.isDisplayed(), 'the offer of the new version');
    await page.reload();
    assert.equal(await isNext(), false, 'a reload alone does not change the version');
    await page.act('update');
    await until(isNext, 'the new version');
    await page.ready();
    await page.server.stop();
    await page.open('#bait');
    assert.equal(await isNext(), true, 'the new version is the one stored');
  } finally {
    drop();
  }
});

inEachEngine('a running session is not interrupted by a new version, and goes on in it', async (page) => {
  await page.stored();
  await begin(page);
  await tapped(page, 'fed', 'Feeds', 1);
  const { site, drop } = newVersion(page);
  try {
    await page.server.restart(site);
    // As when the phone comes out of the pocket: the page looks for a new version.
    await page.run(`document.dispatchEvent(new Event('visibilitychange'))`);
    const offer = await page.driver.findElement(By.id('update'));
    await until(() => offer.isDisplayed(), 'the offer of the new version');
    await tapped(page, 'missed', 'Bites missed', 1);
    assert.equal(await fact(page, 'Feeds'), 1, 'the session runs on');
    await page.act('update');
    await until(() => page.run(`return document.documentElement.dataset.next === 'yes'`), 'the new version');
    await page.ready();
    await page.show('bank');
    await again(page);
    assert.deepEqual([await fact(page, 'Feeds'), await fact(page, 'Bites missed')], [1, 1], 'and goes on in the new version');
  } finally {
    drop();
  }
});

inEachEngine('a version that arrives damaged is never stored', async (page) => {
  await page.stored();
  const { site, drop } = newVersion(page);
  try {
    // The host has the new list, but still an old or broken script.
    const worker = path.join(site, 'sw.js');
    changeSite(site, 'start.js', (script) => `${script}\n// altered\n`);
    const text = readFileSync(worker, 'utf8');
    cpSync(path.join(SITE, 'start.js'), path.join(site, 'start.js'));
    assert.match(text, /'start\.js': 'sha256-/);
    await page.server.restart(site);
    await page.reload();
    const outcome = await page.driver.executeAsyncScript(`
      const done = arguments[0];
      navigator.serviceWorker.getRegistration().then(async (registration) => {
        await registration.update().catch(() => {});
        const worker = registration.installing;
        if (worker) await new Promise((resolve) => { worker.onstatechange = () => ['redundant', 'installed'].includes(worker.state) && resolve(); });
        done({ waiting: Boolean(registration.waiting), state: worker?.state ?? 'none' });
      });`);
    assert.equal(outcome.waiting, false, JSON.stringify(outcome));
    await page.server.stop();
    await page.open();
  } finally {
    drop();
  }
}, { faults: true });

inEachEngine('every screen has its own address and opens by it', async (page) => {
  for (const screen of SCREENS) {
    await page.open(`#${screen}`);
    const current = await page.run(`return document.querySelector('nav a[aria-current]')?.getAttribute('href')`);
    assert.equal(current, `#${screen}`);
  }
});
