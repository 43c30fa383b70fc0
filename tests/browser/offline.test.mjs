// The page with no signal, and its updates: proved by stopping the server, not by emulation.

import { copyFileSync, cpSync, existsSync, readFileSync, writeFileSync } from 'node:fs';
import http from 'node:http';
import path from 'node:path';
import { changedSite, changeSite, MOST, restamp, runFirst, SITE, siteCopy, siteFor } from './harness.mjs';
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
    cpSync(path.join(SITE, 'start.js'), path.join(site, 'start.js'));
    assert.match(readFileSync(worker, 'utf8'), /'start\.js\?\w+': 'sha256-/);
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

/** Answers in the host's place, on its port, for as long as `body` runs. */
async function instead(page, answer, body) {
  await page.server.stop();
  const host = http.createServer((request, response) => {
    const name = new URL(request.url, page.server.url).pathname.slice(new URL(page.server.url).pathname.length) || 'index.html';
    answer(name, response);
  });
  await new Promise((resolve) => { host.listen(page.server.port, '127.0.0.1', resolve); });
  try {
    await body();
  } finally {
    host.closeAllConnections();
    await new Promise((resolve) => { host.close(resolve); });
  }
}

/** The stored files of the page by name, each with its type, its length and its policy on openers. */
const storedFiles = (page) => page.driver.executeAsyncScript(`
  const done = arguments[0];
  (async () => {
    const [name] = (await caches.keys()).filter((one) => one.startsWith('dotdown '));
    const cache = await caches.open(name);
    const files = {};
    for (const request of await cache.keys()) {
      const response = await cache.match(request);
      files[request.url.slice(document.baseURI.split(/[?#]/)[0].length) || './'] = [response.headers.get('Content-Type'), (await response.arrayBuffer()).byteLength, response.headers.get('Cross-Origin-Opener-Policy')];
    }
    return files;
  })().then(done, (error) => done(String(error)));`);

inEachEngine('right files that come under wrong types do not start the page; Repair stores them under their own, and then it does', async (page) => {
  const site = siteFor(page.engine);
  await instead(page, (name, response) => {
    // The page itself must be one, or nothing begins.
    if (!existsSync(path.join(site, name))) return response.writeHead(404).end();
    response.writeHead(200, {
      'Content-Type': name === 'index.html' ? 'text/html' : name === 'sw.js' ? 'text/javascript' : 'text/plain', 'Cache-Control': 'no-store',
      // Not in WebKit: there it is this header that may keep the next opening waiting.
      ...(page.engine === 'webkit' ? {} : { 'Cross-Origin-Opener-Policy': 'same-origin' }),
    });
    return response.end(readFileSync(path.join(site, name)));
  }, async () => {
    await page.driver.get(page.server.url);
    await until(() => page.run(`return document.querySelector('[data-rescue="mend"]')?.checkVisibility()`), 'the offer to repair');
    await page.run(`document.querySelector('[data-rescue="mend"]').click()`);
    await page.ready();
  });
  const files = Object.values(await storedFiles(page));
  assert.deepEqual(files.filter(([, , opener]) => opener), [], 'none is stored with the policy that WebKit waits for');
  const types = new Set(files.map(([type]) => type));
  assert.ok(types.has('text/javascript') && types.has('application/wasm') && !types.has('text/plain'), [...types].join());
  await page.open();
  await page.set('bait.edge', '9');
}, { open: false, faults: true });

inEachEngine('a captive portal’s page gets into nothing that is kept', async (page) => {
  await page.stored();
  const before = await storedFiles(page);
  await instead(page, (name, response) => response.writeHead(200, { 'Content-Type': 'text/html' }).end('<!doctype html><title>Sign in</title><main>Sign in</main>'), async () => {
    await page.open('#bait');
    const update = await page.driver.executeAsyncScript(`
      const done = arguments[0];
      navigator.serviceWorker.getRegistration().then((one) => one.update()).then(() => done('taken'), () => done('refused'));`);
    assert.equal(update, 'refused');
    await page.reload();
    assert.doesNotMatch(await page.run(`return document.body.innerText`), /Sign in/);
  });
  assert.deepEqual(await storedFiles(page), before);
}, { faults: true, ...MOST });

/** Spoils what lies in the page's store of files, each `lost` or `wrong` by its name. */
const spoil = (page, faults) => page.driver.executeAsyncScript(`
  const [faults, done] = arguments;
  (async () => {
    const [name] = (await caches.keys()).filter((one) => one.startsWith('dotdown '));
    const cache = await caches.open(name);
    for (const request of await cache.keys()) {
      const fault = faults[/([^/?]*)(\\?.*)?$/.exec(request.url)[1]];
      if (fault === 'lost') await cache.delete(request);
      if (fault === 'wrong') await cache.put(request, new Response('wrong', { headers: (await cache.match(request)).headers }));
    }
  })().then(() => done(), (error) => done(String(error)));`, faults);

/** Waits until the stored files are as they were. */
const mended = (page, before) => until(async () => JSON.stringify(Object.entries(await storedFiles(page)).sort()) === JSON.stringify(Object.entries(before).sort()), 'the files as they were');

inEachEngine('a stored file that is lost or spoilt is fetched again', async (page) => {
  await page.stored();
  const before = await storedFiles(page);
  await spoil(page, { 'worker.js': 'wrong', 'icon.svg': 'lost', 'style.css': 'lost', '': 'wrong' });
  assert.notDeepEqual(await storedFiles(page), before);
  // The page that is open has the service worker look, as each does when it has started.
  await page.run(`navigator.serviceWorker.controller.postMessage('look through')`);
  await mended(page, before);
  await spoil(page, { 'app.js': 'lost' });
  await page.reload();
  await mended(page, before);
  await page.server.stop();
  await page.open('#bait');
}, { faults: true });

// Each of them was kept for good: no browser says of an icon that it is another, and a style was told of before anybody listened.
inEachEngine('a stored style, icon or manifest that is another is fetched again, and a page without its style says so', async (page) => {
  await page.stored();
  const before = await storedFiles(page);
  await spoil(page, { 'style.css': 'wrong', 'icon.svg': 'wrong', 'icon-512.png': 'wrong', 'manifest.webmanifest': 'wrong' });
  await page.reload();
  assert.match(await page.notice(/its style/), /did not come, or came damaged/);
  await mended(page, before);
  await page.run(`document.querySelector('[data-rescue="again"]').click()`);
  await until(() => page.run(`return document.getElementById('broken').hidden && Boolean(document.querySelector('link[rel="stylesheet"]').sheet)`), 'the page with its style');
  await page.ready();
}, { faults: true });

// The page itself was answered with whatever lay there, so that nothing of it could ask for better.
inEachEngine('a stored page that is lost or another is fetched again where there is a signal, and else that is said', async (page) => {
  await page.stored();
  const before = await storedFiles(page);
  for (const fault of ['lost', 'wrong']) {
    // First: the second time round the page has the service worker look through its files, which would be mended.
    await page.server.stop();
    await spoil(page, { '': fault });
    await page.driver.get('about:blank');
    await page.driver.get(page.server.url);
    await until(() => page.run(`return /not whole on this phone.*still here/s.test(document.body.innerText)`), `${fault}: the sentence`);
    await page.server.restart();
    await page.run(`document.querySelector('a').click()`);
    await page.ready();
    await mended(page, before);
  }
}, { faults: true });

inEachEngine('a spoilt core is told; it is repaired where there is a signal, and else nothing is touched', async (page) => {
  await page.stored();
  const before = await storedFiles(page);
  await spoil(page, { 'app_bg.wasm': 'wrong' });
  const spoilt = await storedFiles(page);
  await page.server.stop();
  await page.driver.get('about:blank');
  await page.driver.get(page.server.url);
  const said = () => page.run(`const place = document.getElementById('broken'); return place.hidden ? '' : place.innerText`);
  await until(async () => /could not start.*Repair/s.test(await said()), 'the sentence');
  await page.run(`document.querySelector('[data-rescue="mend"]').click()`);
  await until(async () => /nothing was changed/.test(await said()), 'the sentence that there is no signal');
  assert.deepEqual(await storedFiles(page), spoilt);
  await page.server.restart();
  await page.run(`document.querySelector('[data-rescue="mend"]').click()`);
  await page.ready();
  assert.deepEqual(await storedFiles(page), before);
}, { faults: true });

for (const [which, copy] of [['this', siteCopy], ['the next', newVersion]]) {
  inEachEngine(`Repair that meets ${which} version damaged leaves what is stored, and once it is whole brings it up`, async (page) => {
    await page.stored();
    // But the core: the service worker is at it already, where the host has this one.
    const others = async () => Object.entries(await storedFiles(page)).filter(([name]) => !name.startsWith('app_bg'));
    const before = await others();
    await spoil(page, { 'app_bg.wasm': 'wrong' });
    const { site, drop } = copy(page);
    try {
      const whole = readFileSync(path.join(site, 'style.css'));
      writeFileSync(path.join(site, 'style.css'), 'damaged');
      await page.server.restart(site);
      await page.driver.get('about:blank');
      await page.driver.get(page.server.url);
      const said = () => page.run(`const place = document.getElementById('broken'); return place.hidden ? '' : place.innerText`);
      const repair = () => page.run(`document.querySelector('[data-rescue="mend"]').click()`);
      await until(async () => /could not start.*Repair/s.test(await said()), 'the sentence');
      await repair();
      await until(async () => /nothing was changed/.test(await said()), 'the sentence that it could not be had whole');
      assert.deepEqual(await others(), before);
      writeFileSync(path.join(site, 'style.css'), whole);
      await repair();
      await page.ready();
      assert.equal(await page.run(`return document.documentElement.dataset.next ?? null`), copy === newVersion ? 'yes' : null);
    } finally {
      drop();
    }
  }, { faults: true, ...MOST });
}

/** Another tab takes the new version that the host has; this one is at hand again. */
async function takenElsewhere(page, old) {
  await page.driver.switchTo().newWindow('tab');
  await page.open();
  await until(async () => (await page.driver.findElement(By.id('update'))).isDisplayed(), 'the offer of the new version');
  await page.act('update');
  await until(() => page.run(`return document.documentElement.dataset.next === 'yes'`), 'the new version');
  await page.driver.switchTo().window(old);
}

inEachEngine('a tab of an earlier version goes on with its own files when another takes the new one', async (page) => {
  await page.stored();
  const old = await page.driver.getWindowHandle();
  const { site, drop } = newVersion(page);
  try {
    restamp(site);
    // What only the new version's files know, so that a mixture is seen.
    changeSite(site, 'worker.js', (script) => script.replace('work();', `throw new Error('the worker of another version');`));
    await page.server.restart(site);
    await takenElsewhere(page, old);
    await until(async () => (await page.driver.findElement(By.id('update'))).isDisplayed(), 'the offer in the old tab');
    assert.equal(await page.run(`return document.documentElement.dataset.next ?? null`), null);
    const asked = await page.run(`return performance.getEntriesByType('resource').map((entry) => entry.name).filter((name) => name.includes('worker.js'))`);
    assert.deepEqual(asked, [], 'its worker was not opened before');
    await page.server.stop();
    await page.show('rigs');
    await page.act('tab:fall');
    await until(async () => /\d/.test(await page.result('fall.settle') ?? ''), 'the fall, by the old version’s worker');
    await page.set('bait.edge', '9');
    await page.act('update');
    await until(() => page.run(`return document.documentElement.dataset.next === 'yes'`), 'the new version, once it is asked for');
  } finally {
    drop();
  }
}, { engines: ['chromium', 'firefox'], faults: true });

/** What comes under this address in the page: its bytes, or that nothing does. */
const bytesOf = (page, address) => page.driver.executeAsyncScript(`
  const [address, done] = arguments;
  fetch(address).then((response) => response.text()).then(done, () => done('refused'));`, address);

/** Asks for a fall, and waits for the sentence that there is no worker for it. */
async function noWorker(page) {
  await page.show('rigs');
  await page.act('tab:fall');
  await until(() => page.run(`return /background work could not run/.test(document.querySelector('main').innerText)`), 'the sentence that the worker does not run');
}

// The network's answer was given for it, unseen: what the host has by then is another version's.
inEachEngine('what a version has lost comes from a host that has it, and never from another version', async (page) => {
  await page.stored();
  const old = await page.driver.getWindowHandle();
  const worker = `worker.js?${await page.run('return document.documentElement.dataset.build')}`;
  const bytes = await bytesOf(page, worker);
  await spoil(page, { 'worker.js': 'lost' });
  assert.equal(await bytesOf(page, worker), bytes, 'the host has it still');
  assert.ok(worker in await storedFiles(page), 'and it is kept again');
  const { site, drop } = newVersion(page);
  try {
    restamp(site);
    await page.server.restart(site);
    await spoil(page, { 'worker.js': 'lost' });
    assert.equal(await bytesOf(page, worker), 'refused', 'the host has another');
    // So it is once the next version answers for the tab of this one.
    await takenElsewhere(page, old);
    assert.equal(await bytesOf(page, worker), 'refused', 'the next version has another');
    await noWorker(page);
    // The rest stays the next version's: a host that went back would have its older one offered in turn.
    copyFileSync(path.join(siteFor(page.engine), 'worker.js'), path.join(site, 'worker.js'));
    await page.server.restart(site);
    assert.equal(await bytesOf(page, worker), bytes, 'a host that has it still');
    await page.act('update');
    await until(() => page.run(`return document.documentElement.dataset.next === 'yes'`), 'the new version, once it is asked for');
  } finally {
    drop();
  }
}, { engines: ['chromium', 'firefox'], faults: true });

// Without a service worker nothing checks it: the new version's worker was handed the old one's core.
inEachEngine('a page that nothing is stored of does not run another version’s worker', async (page) => {
  const { site, drop } = siteCopy(page);
  const other = siteCopy(page);
  try {
    runFirst(site, 'alone.js', 'ServiceWorkerContainer.prototype.register = () => Promise.reject(new Error("not in this test"));');
    await page.server.restart(site);
    await page.open();
    restamp(other.site);
    await page.server.restart(other.site);
    await noWorker(page);
  } finally {
    drop();
    other.drop();
  }
}, { open: false, faults: true, ...MOST });

inEachEngine('every screen has its own address and opens by it', async (page) => {
  for (const screen of SCREENS) {
    await page.open(`#${screen}`);
    const current = await page.run(`return document.querySelector('nav a[aria-current]')?.getAttribute('href')`);
    assert.equal(current, `#${screen}`);
  }
});
