// What the phone keeps, when its storage is refused, full, damaged, cut, cleared or another version's: the plan and the
// session in hand are never lost, and one sentence tells, once.

import { cpSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { fileURLToPath } from 'node:url';
import { changeSite, ENGINES, siteFor } from './harness.mjs';
import { assert, inEachEngine, until, again, begin, fact, press, tapped } from './page.mjs';

// The faults are in storage, not in the engine, and each engine takes its time: a usual run tries most of them in
// Chromium, and those that touch what the engine itself does in all three; a long run tries all in all.
const MOST = { engines: process.env.DOTDOWN_LONG ? ENGINES : ['chromium'] };

const copies = new Map();
process.on('exit', () => copies.forEach((site) => rmSync(path.dirname(site), { recursive: true, force: true })));

/** Serves a copy of the site that first runs faults.js. */
async function withFaults(page) {
  if (!copies.has(page.engine)) {
    const site = path.join(mkdtempSync(path.join(tmpdir(), 'dotdown-faults-')), 'site');
    cpSync(siteFor(page.engine), site, { recursive: true });
    changeSite(site, 'index.html', (text) => text.replace('<script', '<script src="faults.js"></script>\n<script'));
    cpSync(fileURLToPath(new URL('faults.js', import.meta.url)), path.join(site, 'faults.js'));
    changeSite(site, 'faults.js', (script) => script);
    copies.set(page.engine, site);
  }
  await page.server.restart(copies.get(page.engine));
}

/** A test on that copy. */
const withFault = (name, body) => inEachEngine(name, async (page) => { await withFaults(page); await body(page); }, { open: false, ...MOST });

const SLOTS = ['dotdown.page.a', 'dotdown.page.b'];

/** Waits until the last change is on the disk twice. */
const settled = (page) => until(() => page.run(`return document.documentElement.dataset.kept === localStorage.getItem('dotdown.count')`), 'the second copy');

const texts = (page) => page.run(`return Object.fromEntries(Object.keys(localStorage).map((name) => [name, localStorage.getItem(name)]))`);

/** The text of the newer slot, and its name. */
async function newest(page) {
  const all = await texts(page);
  const [name] = SLOTS.filter((slot) => all[slot]).sort((a, b) => Number(all[b].split('\n')[2]) - Number(all[a].split('\n')[2]));
  return { name, text: all[name] };
}

const put = (page, name, text) => page.run(`localStorage.setItem(arguments[0], arguments[1])`, name, text);

/** What the page has told and was not closed. */
const told = (page) => page.run(`return [...document.querySelectorAll('#notices .notice p')].map((one) => one.textContent)`);

/** One notice, which matches; and it does not come again with further changes. */
async function toldOnce(page, pattern) {
  await page.notice(pattern);
  assert.equal((await told(page)).length, 1, (await told(page)).join(' | '));
  await page.run(`document.querySelector('[data-act="dismiss:0"]').click()`);
  for (const peg of ['21', '22', '23']) await page.set('water.peg', peg);
  assert.deepEqual(await told(page), [], 'it is told once');
  assert.equal(await page.value('water.peg'), '23', 'the plan in hand works on');
}

for (const [fault, pattern] of [
  ['no-local', /keeps nothing for this page/],
  ['no-local no-base', /keeps nothing for this page/],
  ['full-local', /would not keep the last change/],
  ['full-local full-base', /would not keep the last change/],
]) {
  withFault(`a plan where storage is ${fault}: told once, and nothing in hand is lost`, async (page) => {
    await page.open(`?fault=${fault}#day`);
    await page.set('water.venue', 'Mill Pool');
    await toldOnce(page, pattern);
    assert.match(await page.run(`return document.getElementById('head').innerText`), /Mill Pool/);
    assert.match(await page.fingerprint(), /^#p\d+-/, 'and can be shared');
  });
}

for (const fault of ['no-base', 'full-base']) {
  withFault(`a plan where the second store is ${fault}: told once, and kept by the first`, async (page) => {
    await page.open(`?fault=${fault}#day`);
    await page.set('water.venue', 'Mill Pool');
    await toldOnce(page, /quicker store/);
    await page.reload();
    assert.equal(await page.value('water.peg'), '23');
    await page.set('water.peg', '24');
    await until(() => page.run(`return document.documentElement.dataset.kept === 'no'`), 'the second store to refuse');
    assert.deepEqual(await told(page), [], 'nor is it told at the next start');
  });
}

inEachEngine('stored texts that are damaged or cut come back from the second copy', async (page) => {
  let peg = 30;
  for (const [what, spoil] of [
    ['the newer slot cut', async () => { const { name, text } = await newest(page); await put(page, name, text.slice(0, text.length / 2)); }],
    ['the newer slot emptied', async () => put(page, (await newest(page)).name, '')],
    ['both altered', async () => { const all = await texts(page); for (const slot of SLOTS) await put(page, slot, all[slot].replace('p2-', 'p1-')); }],
    ['both made nonsense', async () => { for (const slot of SLOTS) await put(page, slot, '<b>\u0000 nonsense'); }],
  ]) {
    peg += 2;
    await page.set('water.peg', String(peg - 1));
    await page.set('water.peg', String(peg));
    await settled(page);
    await spoil();
    await page.reload();
    assert.equal(await page.value('water.peg'), String(peg), `${what}: nothing is lost`);
    assert.equal((await told(page)).filter((text) => /damaged/.test(text)).length, 1, what);
    await page.reload();
    assert.equal(await page.value('water.peg'), String(peg), what);
    assert.deepEqual(await told(page), [], `${what}: told once`);
  }
});

inEachEngine('a newer version’s plan is set aside whole, told, and offered when it can be read', async (page) => {
  await page.set('water.peg', '41');
  await settled(page);
  const { text } = await newest(page);
  const lines = text.split('\n');
  const other = (change) => change([...lines]).join('\n');
  const fromNewer = {
    'of another form': other((l) => { l[1] = 'dotdown 9'; return [...l, 'and more']; }),
    'of another plan': await page.driver.executeAsyncScript(`
      const [text, done] = arguments;
      // The checksum is the CRC-32 of zip, bit by bit.
      const sum = (bytes) => { let c = ~0; for (const b of bytes) { c ^= b; for (let k = 0; k < 8; k++) c = (c >>> 1) ^ (0xEDB88320 & -(c & 1)); } return ~c >>> 0; };
      const body = text.split('\\n').slice(1).join('\\n').replace('\\np2-', '\\np7-');
      done(sum(new TextEncoder().encode(body)) + '\\n' + body);`, text),
  };
  for (const [what, theirs] of Object.entries(fromNewer)) {
    for (const slot of SLOTS) await put(page, slot, theirs);
    await page.reload();
    await page.notice(/newer version of the page.*set aside/);
    assert.equal((await told(page)).length, 1, what);
    for (const peg of ['42', '43', '44']) await page.set('water.peg', peg);
    await settled(page);
    await page.reload();
    assert.equal(await page.value('water.peg'), '44', 'this version goes on beside it');
    assert.deepEqual(await told(page), [], `${what}: told once`);
    assert.equal(Object.values(await texts(page)).filter((one) => one === theirs).length, 1, `${what}: kept, once, as it was`);
  }
  // The page is updated: what was set aside can be read.
  await put(page, 'dotdown.aside.4', text);
  await page.reload();
  await until(() => page.run(`return document.querySelector('[data-act="accept"]')?.checkVisibility()`), 'the question');
  await page.reload();
  await page.act('accept');
  assert.equal(await page.value('water.peg'), '41', 'the plan is back');
  const all = await texts(page);
  assert.equal(all['dotdown.aside.4'], undefined, 'and no longer aside');
  assert.equal(Object.keys(all).filter((name) => name.startsWith('dotdown.aside')).length, 2, 'the others stay');
}, MOST);

inEachEngine('storage that is cleared under the page loses nothing', async (page) => {
  await page.set('water.peg', '51');
  await settled(page);
  await page.run(`localStorage.clear()`);
  await page.reload();
  assert.equal(await page.value('water.peg'), '51', 'the second copy brings it back');
  await page.run(`localStorage.clear()`);
  await page.set('water.peg', '52');
  await settled(page);
  await page.reload();
  assert.equal(await page.value('water.peg'), '52');
  await page.driver.executeAsyncScript(`
    const done = arguments[0];
    const gone = indexedDB.deleteDatabase('dotdown ' + new URL('./', location.href).pathname);
    gone.onsuccess = gone.onerror = () => done();`);
  await page.set('water.peg', '53');
  await page.reload();
  assert.equal(await page.value('water.peg'), '53', 'the first copy is there');
});

// --- the session at the bank ---------------------------------------------------------------------------------------

/** Runs a script on the session's store, or on that of what was set aside. */
const inBase = (page, script, { base = '', store = 'log' } = {}) => page.driver.executeAsyncScript(`
  const [name, store, script, done] = arguments;
  const request = indexedDB.open('dotdown session ' + new URL('./', location.href).pathname + name);
  request.onerror = () => done(String(request.error));
  request.onsuccess = () => {
    const base = request.result;
    if (!base.objectStoreNames.contains(store)) { base.close(); done([]); return; }
    const change = base.transaction(store, 'readwrite');
    let value;
    const log = change.objectStore(store);
    const give = (one) => { one.onsuccess = () => { value = one.result; }; };
    if (script === 'clear') log.clear();
    else if (script === 'all') give(log.getAll());
    else log.put(...JSON.parse(script));
    change.oncomplete = () => { base.close(); done(value); };
    change.onabort = () => done(String(change.error));
  };`, base, store, script);

const asides = (page) => inBase(page, 'all', { base: ' aside', store: 'logs' });

withFault('a session where the log’s store is refused goes on in the other, and is there after a reload', async (page) => {
  await page.open('?fault=no-base#bank');
  await begin(page);
  await tapped(page, 'fed', 'Feeds', 1);
  await tapped(page, 'bite', 'Bites missed', 1);
  await page.reload();
  await again(page);
  assert.deepEqual([await fact(page, 'Feeds'), await fact(page, 'Bites missed')], [1, 1]);
  // Cleared under the page: the next tap writes all of it anew.
  await page.run(`localStorage.clear()`);
  await tapped(page, 'fish', 'Fish', 1);
  await page.reload();
  await again(page);
  assert.deepEqual([await fact(page, 'Feeds'), await fact(page, 'Bites missed'), await fact(page, 'Fish')], [1, 1, 1]);
});

withFault('a session where nothing is kept is told once, runs, and offers its log', async (page) => {
  await page.open('?fault=no-local%20no-base#bank');
  await page.run(`document.querySelector('[data-act="dismiss:0"]')?.click()`);
  await begin(page);
  await page.notice(/keeps nothing for this page. The session runs/);
  await tapped(page, 'fed', 'Feeds', 1);
  await tapped(page, 'bite', 'Bites missed', 1);
  assert.equal((await told(page)).filter((text) => /keep/.test(text)).length, 1, (await told(page)).join(' | '));
  await until(async () => Number(await page.result('live.next')) < 15, 'the clock to run');
  assert.equal(await page.run(`return document.querySelectorAll('[data-live-file]').length`), 2);
});

inEachEngine('a session whose log is cleared or deleted under the page is whole after the next tap', async (page) => {
  await begin(page);
  await tapped(page, 'fed', 'Feeds', 1);
  await inBase(page, 'clear');
  await tapped(page, 'bite', 'Bites missed', 1);
  await page.reload();
  await again(page);
  assert.deepEqual([await fact(page, 'Feeds'), await fact(page, 'Bites missed')], [1, 1]);
  await page.driver.executeAsyncScript(`
    const done = arguments[0];
    const gone = indexedDB.deleteDatabase('dotdown session ' + new URL('./', location.href).pathname);
    gone.onsuccess = gone.onerror = () => done();`);
  await tapped(page, 'fish', 'Fish', 1);
  await page.reload();
  await again(page);
  assert.deepEqual([await fact(page, 'Feeds'), await fact(page, 'Bites missed'), await fact(page, 'Fish')], [1, 1, 1]);
});

/** A stored session with one feed, as if a newer version of the page had begun it. */
async function ofNewer(page) {
  await begin(page);
  await tapped(page, 'fed', 'Feeds', 1);
  const [line, link] = await inBase(page, 'all');
  const theirs = link.replace(/^p\d+/, 'p9');
  await inBase(page, JSON.stringify([theirs, 'plan']));
  await page.reload();
  return { line, link, theirs };
}

inEachEngine('a newer version’s session is told and kept, also when a new one is begun here', async (page) => {
  const { line, theirs } = await ofNewer(page);
  await page.show('bank');
  await page.notice(/begun by a newer version of the page. It is kept/);
  assert.deepEqual(await inBase(page, 'all'), [line, theirs], 'nothing was touched');
  await begin(page);
  await tapped(page, 'bite', 'Bites missed', 1);
  assert.equal(await fact(page, 'Feeds'), 0, 'a session of its own');
  assert.deepEqual((await asides(page)).map(({ link, log }) => [link, log]), [[theirs, line]], 'and theirs is set aside');
  await page.reload();
  await again(page);
  assert.equal(await fact(page, 'Bites missed'), 1);
});

inEachEngine('a session that was set aside is taken up by a version that can read it', async (page) => {
  const { line, link } = await ofNewer(page);
  await begin(page);
  await until(async () => (await asides(page)).length === 1, 'the other to be set aside');
  await press(page, 'end');
  await until(() => page.run(`return Boolean(document.querySelector('[data-tap="away"]'))`), 'the end');
  await press(page, 'away');
  await until(() => page.run(`return Boolean(document.querySelector('[data-tap="start"]'))`), 'no session');
  // The page is updated: what was set aside can be read.
  await inBase(page, JSON.stringify([{ link, log: line, later: true }, 1]), { base: ' aside', store: 'logs' });
  await page.reload();
  await again(page);
  assert.equal(await fact(page, 'Feeds'), 1);
  assert.deepEqual(await asides(page), []);
  await page.reload();
  await again(page);
  assert.equal(await fact(page, 'Feeds'), 1, 'and is kept as any other');
}, MOST);

inEachEngine('records that only a newer version knows are told and set aside, and the rest stands', async (page) => {
  await begin(page);
  await tapped(page, 'fed', 'Feeds', 1);
  const theirs = await page.run(`
    const line = '1 q 1900000000000 - - -';
    let c = ~0; for (const b of new TextEncoder().encode(line)) { c ^= b; for (let k = 0; k < 8; k++) c = (c >>> 1) ^ (0xEDB88320 & -(c & 1)); }
    return line + ' ' + (~c >>> 0).toString(16).padStart(8, '0');`);
  await inBase(page, JSON.stringify([theirs, 1]));
  await page.reload();
  await page.notice(/not known to this version of the page/);
  await again(page);
  await tapped(page, 'bite', 'Bites missed', 1);
  assert.equal(await fact(page, 'Feeds'), 1);
  const [kept] = await asides(page);
  assert.ok(kept.log.includes(theirs), 'as they were');
}, MOST);

inEachEngine('a newer version’s store of sessions is left alone, told, and this version goes on beside it', async (page) => {
  await page.show('bank');
  await page.driver.executeAsyncScript(`
    const done = arguments[0];
    const request = indexedDB.open('dotdown session ' + new URL('./', location.href).pathname, 7);
    request.onupgradeneeded = () => request.result.createObjectStore('newer').put('theirs', 1);
    request.onsuccess = () => { request.result.close(); done(); };
    request.onerror = request.onblocked = () => done();`);
  await page.reload();
  await page.notice(/A newer version of the page keeps its session/);
  await begin(page);
  await tapped(page, 'fed', 'Feeds', 1);
  await page.reload();
  await again(page);
  assert.equal(await fact(page, 'Feeds'), 1);
  assert.deepEqual(await inBase(page, 'all', { store: 'newer' }), ['theirs']);
}, MOST);
