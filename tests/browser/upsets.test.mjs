// The copy on the phone under upsets, one after another at random: the host is gone, a portal answers for it, a new version
// comes whole, in part or damaged, stored files are lost or replaced, tabs come and go. After each, an opening with no
// signal and one with: the page comes up as one version with what was typed before, or says what is wrong and can be
// brought up by what it offers.
//
// A few upsets in each run; with DOTDOWN_LONG=1 at least 128 in each engine, from a fresh seed.

import { readFileSync } from 'node:fs';
import http from 'node:http';
import path from 'node:path';
import { changeSite, dice, restamp, siteCopy } from './harness.mjs';
import { assert, inEachEngine, kept, until } from './page.mjs';

const UPSETS = process.env.DOTDOWN_LONG ? 128 : 6;

const TYPES = { js: 'text/javascript', css: 'text/css', html: 'text/html', wasm: 'application/wasm', svg: 'image/svg+xml', png: 'image/png', webmanifest: 'application/manifest+json' };

/** The `n`th version of the site; each of its files says which it is, so that a mixture is seen. */
function version(page, n) {
  const copy = siteCopy(page);
  restamp(copy.site, String(n).padStart(8, '0'));
  const mark = (name, change) => changeSite(copy.site, name, change);
  mark('index.html', (text) => text.replace('<html ', `<html data-next="${n}" `));
  mark('start.js', (text) => `${text}\ndocument.documentElement.dataset.start = '${n}';\n`);
  mark('app.js', (text) => `${text}\nglobalThis.madeIn = '${n}';\n`);
  mark('worker.js', (text) => `${text}\nif (globalThis.madeIn !== '${n}') throw new Error('a mixture');\n`);
  mark('style.css', (text) => `${text}\n:root { --made-in: ${n}; }\n`);
  return { n, ...copy };
}

/** A host that can be stopped, and can go wrong: `fault` says what it makes of an answer. */
class Host {
  constructor({ port, under }) {
    Object.assign(this, { port, under, stale: new Map(), fault: undefined });
  }

  async start() {
    this.server ??= http.createServer((request, response) => this.answer(new URL(request.url, 'http://host').pathname.slice(this.under.length + 1) || 'index.html', response));
    if (!this.server.listening) await new Promise((resolve) => { this.server.listen(this.port, '127.0.0.1', resolve); });
  }

  async stop() {
    this.server.closeAllConnections();
    if (this.server.listening) await new Promise((resolve) => { this.server.close(resolve); });
  }

  answer(name, response) {
    let body;
    try {
      body = readFileSync(path.join(this.stale.get(name) ?? this.version.site, name));
    } catch {
      return response.writeHead(404).end();
    }
    const headers = { 'Content-Type': TYPES[path.extname(name).slice(1)], 'Cache-Control': 'no-cache' };
    return (this.fault?.(name, body, headers, response)) ?? response.writeHead(200, headers).end(body);
  }
}

const portal = (name, body, headers, response) => response.writeHead(200, { 'Content-Type': 'text/html' }).end('<!doctype html><title>Sign in</title><main>Sign in</main>');

/** What becomes of one file on its way. */
const DAMAGES = {
  damaged: (body, headers, response) => response.writeHead(200, headers).end(Buffer.concat([body.subarray(0, body.length / 2), Buffer.from('?'), body.subarray(body.length / 2)])),
  cut: (body, headers, response) => { response.writeHead(200, { ...headers, 'Content-Length': body.length }); response.write(body.subarray(0, body.length / 2), () => response.destroy()); return response; },
  'of a wrong type': (body, headers, response) => response.writeHead(200, { ...headers, 'Content-Type': 'application/octet-stream' }).end(body),
  refused: (body, headers, response) => response.writeHead(503, { 'Content-Type': 'text/html' }).end('busy'),
  slow: (body, headers, response) => { setTimeout(() => response.writeHead(200, headers).end(body), 300); return response; },
};

/** Spoils one stored file of the newest version, or all of them; gives its name. */
const spoil = (page, how, which) => page.driver.executeAsyncScript(`
  const [how, which, done] = arguments;
  (async () => {
    const name = (await caches.keys()).filter((one) => one.startsWith('dotdown ')).at(-1);
    if (how === 'all lost') return caches.delete(name);
    const cache = await caches.open(name);
    const files = await cache.keys();
    if (!files.length) return 'nothing';
    const [request, other] = [files[which % files.length], files[(which + 1) % files.length]];
    const response = await cache.match(request);
    const bytes = await (how === 'another' ? await cache.match(other) : response).arrayBuffer();
    if (how === 'lost') await cache.delete(request);
    else await cache.put(request, new Response(how === 'cut' ? bytes.slice(0, bytes.byteLength / 2) : how === 'another' ? bytes : 'other bytes', { headers: response.headers }));
    return request.url;
  })().then(done, (error) => done(String(error)));`, how, which);

/** How the page stands: up, with the versions of its parts; or what it says. */
const STANDS = `
  const root = document.documentElement;
  const broken = document.getElementById('broken');
  const said = broken && !broken.hidden ? broken.querySelector('p').textContent : '';
  const offers = said ? [...broken.querySelectorAll('button')].filter((one) => one.checkVisibility()).map((one) => one.dataset.rescue) : [];
  if (document.querySelector('main[data-ready] [data-result]')) {
    const style = getComputedStyle(root).getPropertyValue('--made-in').trim();
    return { up: true, of: [...new Set([root.dataset.next, root.dataset.start, globalThis.madeIn, style || 'no style'])].join(), said, offers };
  }
  if (offers.length) return { said, offers };
  if (/not whole on this phone/.test(document.body?.innerText ?? '')) return { said: document.body.innerText, offers: [] };
  if (/Sign in/.test(document.body?.innerText ?? '')) return { said: 'the portal', offers: [] };
  return location.protocol.startsWith('http') ? null : { said: 'nothing', offers: [] };`;

inEachEngine('whatever upsets the copy on the phone, the page comes up as one version with what was typed, or says what is wrong', async (page) => {
  const { seed, roll, one } = dice(`upsets, ${page.engine}`, 4);
  const host = new Host({ port: page.server.port, under: page.server.under });
  const versions = [version(page, 1)];
  [host.version] = versions;
  const tally = { openings: 0, told: 0, repaired: 0, taken: 0 };
  let typed;
  let where = 'the first visit';
  const trail = [];

  const open = async () => {
    tally.openings += 1;
    await page.driver.get('about:blank');
    await page.driver.get(`${page.server.url}#day.place`).catch(() => {}); // a browser's own page is seen below
    return until(() => page.run(STANDS), `${where}: the page, or why it does not come`, 40_000);
  };
  /** Held of a page that is up. */
  const works = async ({ of, said }) => {
    assert.match(of, said ? /^\d+,no style$/ : /^\d+$/, `${where}: one version: ${said}`);
    if (typed) assert.equal(await page.value('water.peg'), typed, `${where}: what was typed`);
  };
  /** What a page offers that is not up brings it up, once the host has a whole version. */
  const mended = async (seen) => {
    if (seen.up) return seen;
    tally.told += 1;
    host.stale.clear();
    assert.ok(seen.offers.includes('mend'), `${where}: an offer to repair beside “${seen.said}”`);
    await page.run(`window.beforeMended = true; document.querySelector('[data-rescue="mend"]').click()`);
    await until(() => page.run(`return !window.beforeMended`), `${where}: the repair`);
    const then = await until(() => page.run(STANDS), `${where}: the repaired page`);
    assert.ok(then.up, `${where}: repaired, it says “${then.said}”`);
    tally.repaired += 1;
    return then;
  };
  const type = async () => {
    typed = String(1000 + roll(9000));
    await page.set('water.peg', typed);
    await kept(page);
  };
  /** The worker is of this version, too; where its file was lost and the host has another version's, that is said. */
  const fall = async (of) => {
    await page.run(`location.hash = 'rigs'`);
    await page.act('tab:fall');
    const lost = Number.parseInt(of, 10) !== host.version.n || host.stale.size;
    await until(async () => /\d/.test(await page.result('fall.settle') ?? '') || (lost && await page.run(`return /background work could not run/.test(document.querySelector('main').innerText)`)), `${where}: a fall by the worker`);
  };
  /** Another version on the host; its newest or one from before. */
  const deploy = () => {
    const before = host.version;
    host.stale.clear();
    if (versions.length < 5) versions.push(version(page, versions.length + 1));
    host.version = one(versions.filter((each) => each !== before));
    return before;
  };
  const names = ['index.html', 'start.js', 'app.js', 'app_bg.wasm', 'worker.js', 'style.css', 'icon.svg', 'sw.js'];
  const upsets = {
    'the host stops': () => {},
    'a portal answers': () => { host.fault = portal; },
    'a new version': () => { deploy(); },
    'a new version, some files of it stale': () => {
      const before = deploy();
      for (let i = 0; i <= roll(3); i++) host.stale.set(one(names), before.site);
    },
    'a new version, a file of it spoilt on its way': () => {
      deploy();
      const [name, how] = [one(names), one(Object.keys(DAMAGES))];
      host.fault = (asked, ...rest) => (asked === name ? DAMAGES[how](...rest) : undefined);
      return `${name} ${how}`;
    },
    'a stored file is lost': () => spoil(page, 'lost', roll(100)),
    'a stored file is another': () => spoil(page, one(['cut', 'another', 'bytes']), roll(100)),
    'the whole copy is lost': () => spoil(page, 'all lost', 0),
    'a reload': async () => { await page.run(`setTimeout(() => location.reload())`); },
    'the tab is closed, another opened': async () => {
      const tab = await page.driver.getWindowHandle();
      await page.driver.switchTo().newWindow('tab');
      const next = await page.driver.getWindowHandle();
      await page.driver.switchTo().window(tab);
      await page.driver.close();
      await page.driver.switchTo().window(next);
    },
    'a second tab, which takes what is offered': async () => {
      const tab = await page.driver.getWindowHandle();
      const before = await page.run(STANDS);
      await page.driver.switchTo().newWindow('tab');
      const seen = await open();
      await works(seen);
      await take(seen.of);
      const second = await page.driver.getWindowHandle();
      await page.driver.switchTo().window(tab);
      assert.deepEqual(await page.run(STANDS), before, `${where}: the first tab goes on`);
      if (roll(2)) await fall(before.of);
      await page.driver.switchTo().window(roll(2) ? tab : second);
      await page.driver.close();
      await page.driver.switchTo().window((await page.driver.getAllWindowHandles())[0]);
    },
  };
  /** Takes a version that is offered: one that lies whole on the host must be. */
  const take = async (of) => {
    const offered = () => page.run(`const place = document.getElementById('update'); return Boolean(place && !place.hidden)`);
    if (Number.parseInt(of, 10) !== host.version.n && !host.stale.size) await until(offered, `${where}: the offer of version ${host.version.n} to version ${of}`);
    else if (!await offered()) return;
    tally.taken += 1;
    await page.run(`window.beforeTaken = true; document.querySelector('[data-act="update"]').click()`);
    await until(() => page.run(`return !window.beforeTaken`), `${where}: the version that was offered`);
    await works(await mended(await until(() => page.run(STANDS), `${where}: the page in it`)));
  };

  await page.server.stop();
  try {
    await host.start();
    await open();
    await page.stored();
    await type();
    for (let upset = 0; upset < UPSETS; upset++) {
      const what = one(Object.keys(upsets));
      where = `upset ${upset} of seed ${seed}, ${what}`;
      const more = await upsets[what]();
      if (more) where += ` (${more})`;
      trail.push(where);
      if (host.fault) {
        const seen = await open();
        if (seen.up) await works(seen);
        else tally.told += 1;
        host.fault = undefined;
      }
      await host.stop();
      let seen = await open();
      if (seen.up) await works(seen);
      else tally.told += 1;
      await host.start();
      seen = await open();
      trail[trail.length - 1] += `; the host has ${host.version.n}${host.stale.size ? ' in part' : ''}, the page is ${seen.of}`;
      seen = await mended(seen);
      await works(seen);
      await page.stored();
      if (roll(3) === 0) await fall(seen.of);
      if (roll(2)) await take(seen.of);
      await type();
    }
    console.log(`${page.engine}: ${UPSETS} upsets of the copy on the phone, ${tally.openings} openings, ${tally.told} told what was wrong, ${tally.repaired} repaired, ${tally.taken} new versions taken, none lost`);
  } catch (error) {
    throw new Error(`${error.message}\nbefore that: ${trail.slice(-8).join('\n  ')}`, { cause: error });
  } finally {
    await host.stop();
    versions.forEach(({ drop }) => drop());
  }
}, { engines: ['chromium', 'firefox'], open: false, faults: true, patience: UPSETS });
