// What the phone keeps, when its storage is refused, full, damaged, cut, cleared or another version's: the plan and the
// session in hand are never lost, and one sentence tells, once.

import { readFileSync } from 'node:fs';
import { MOST, runFirst, siteCopy } from './harness.mjs';
import { again, assert, begin, deleteStore, fact, inEachEngine, kept, records, tapped, until } from './page.mjs';

const FAULTS = readFileSync(new URL('faults.js', import.meta.url), 'utf8');

const copies = new Map();
process.on('exit', () => copies.forEach(({ drop }) => drop()));

/** Serves a copy of the site that first runs faults.js. */
async function withFaults(page) {
  if (!copies.has(page.engine)) {
    copies.set(page.engine, siteCopy(page));
    runFirst(copies.get(page.engine).site, 'faults.js', FAULTS);
  }
  await page.server.restart(copies.get(page.engine).site);
}

/** A test on that copy. */
const withFault = (name, body) => inEachEngine(name, async (page) => { await withFaults(page); await body(page); }, { open: false, ...MOST });

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
  ['no-local no-base', /keeps nothing for this page/],
  ['full-base', /would not keep the last change/],
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

withFault('a plan where there is no database and the small store is full: one after the other is told', async (page) => {
  await page.open('?fault=full-local%20no-base#day');
  await page.set('water.venue', 'Mill Pool');
  await page.notice(/would not keep the last change/);
  await page.run(`document.querySelector('#notices [data-act^="dismiss:"]').click()`);
  await page.notice(/refuses the page its quicker store/);
});

for (const fault of ['no-local', 'full-local']) {
  withFault(`a plan where the small store is ${fault} is kept all the same, and nothing is told`, async (page) => {
    await page.open(`?fault=${fault}#day`);
    await page.set('water.peg', '23');
    await kept(page);
    await page.reload();
    assert.equal(await page.value('water.peg'), '23');
    assert.deepEqual(await told(page), []);
  });
}

withFault('a plan where the database is refused: told once, and kept by the small store', async (page) => {
  await page.open('?fault=no-base#day');
  await page.set('water.venue', 'Mill Pool');
  await toldOnce(page, /quicker store/);
  await page.reload();
  assert.equal(await page.value('water.peg'), '23');
  assert.deepEqual(await told(page), [], 'nor is it told at the next start');
});

withFault('a plan whose database answers late is there when it does, and nothing is written over it', async (page) => {
  await page.open('?fault=#day');
  await page.set('water.peg', '24');
  const text = await kept(page);
  await page.open('?fault=late-base#day');
  await page.notice(/has not answered yet/);
  await until(async () => (await told(page)).length === 0, 'the sentence to go');
  assert.equal((await records(page)).page, text);
  assert.equal(await page.value('water.peg'), '24');
  await page.set('water.peg', '25');
  await kept(page);
  await page.open('?fault=#day');
  assert.equal(await page.value('water.peg'), '25');
});

// Firefox left the first write after a full disk without an answer.
withFault('a database that never answers a write is told of, and the next write goes through', async (page) => {
  await page.open('?fault=hung-base#day');
  await page.set('water.peg', '28');
  await page.notice(/would not keep the last change/);
  await page.run('window.hung = false');
  await page.set('water.peg', '29');
  await kept(page);
  await page.reload();
  assert.equal(await page.value('water.peg'), '29');
});

withFault('a database that never answers is not said to be erased, and what it holds stays', async (page) => {
  await page.open('?fault=#day');
  await page.set('water.peg', '34');
  const text = await kept(page);
  await page.open('?fault=hung-base#settings');
  await page.act('erase');
  await page.act('erase-now');
  await until(() => page.run(`return /nothing was erased/.test(document.querySelector('[data-erase-said]').textContent)`), 'the sentence');
  await page.open('?fault=#day');
  assert.equal((await records(page)).page, text);
  assert.equal(await page.value('water.peg'), '34');
});

withFault('a database that cannot be opened once is not taken for an empty one', async (page) => {
  await page.open('?fault=#day');
  await page.set('water.peg', '26');
  const text = await kept(page);
  await page.open('?fault=no-base#day');
  await page.notice(/has not answered yet/);
  await page.set('water.peg', '27');
  await page.open('?fault=#day');
  assert.equal((await records(page)).page, text);
  assert.equal(await page.value('water.peg'), '26', 'what was kept is there');
});

inEachEngine('a stored page that is damaged or cut is told once and set aside, and the page goes on', async (page) => {
  let peg = 30;
  const asides = new Set();
  for (const [what, spoil] of [
    ['cut', (text) => text.slice(0, text.length / 2)],
    ['emptied', () => ''],
    ['altered', (text) => text.replace('imperial', 'metric')],
    ['nonsense', () => '<b>\u0000 nonsense'],
    ['of somebody else', () => 'another text'],
  ]) {
    await page.set('water.peg', String(++peg));
    const spoilt = spoil(await kept(page));
    asides.add(spoilt);
    await records(page, ['put', spoilt, 'page']);
    await page.reload();
    await page.notice(/damaged.*set aside/);
    assert.equal((await told(page)).length, 1, what);
    await until(async () => Object.values(await records(page)).includes(spoilt), `${what}: the text aside, as it was`);
    await page.set('water.peg', String(++peg));
    await kept(page);
    await page.reload();
    assert.equal(await page.value('water.peg'), String(peg), what);
    assert.deepEqual(await told(page), [], `${what}: told once`);
  }
  const found = Object.entries(await records(page)).filter(([key]) => key.startsWith('aside/')).map(([, text]) => text);
  assert.deepEqual(new Set(found), asides, 'all of them are there still');
});

inEachEngine('a newer version’s page is set aside whole and told, and this version goes on', async (page) => {
  await page.set('water.peg', '41');
  const lines = (await kept(page)).split('\n');
  const other = (change) => change([...lines]).join('\n');
  const fromNewer = {
    'of another form': other((l) => { l[1] = 'dotdown 9'; return [...l, 'and more']; }),
  };
  for (const [what, theirs] of Object.entries(fromNewer)) {
    await records(page, ['put', theirs, 'page']);
    await page.reload();
    await page.notice(/newer version of the page.*set aside/);
    assert.equal((await told(page)).length, 1, what);
    for (const peg of ['42', '43', '44']) await page.set('water.peg', peg);
    await kept(page);
    await page.reload();
    assert.equal(await page.value('water.peg'), '44', 'this version goes on beside it');
    assert.deepEqual(await told(page), [], `${what}: told once`);
    assert.equal(Object.values(await records(page)).filter((one) => one === theirs).length, 1, `${what}: kept, once, as it was`);
  }
}, MOST);

inEachEngine('a store that is cleared or deleted under the page loses nothing', async (page) => {
  await page.set('water.peg', '51');
  await kept(page);
  await records(page, ['clear']);
  await page.set('water.peg', '52');
  await kept(page);
  await page.reload();
  assert.equal(await page.value('water.peg'), '52');
  await deleteStore(page);
  await page.set('water.peg', '53');
  await kept(page);
  await page.run(`localStorage.clear()`);
  await page.reload();
  assert.equal(await page.value('water.peg'), '53');
  assert.deepEqual(await told(page), []);
});

inEachEngine('a newer version’s store is left alone and told, and this version goes on beside it', async (page) => {
  await deleteStore(page);
  await page.driver.executeAsyncScript(`
    const done = arguments[0];
    const request = indexedDB.open('dotdown ' + new URL('./', location.href).pathname, 7);
    request.onupgradeneeded = () => request.result.createObjectStore('records').put('theirs', 1);
    request.onsuccess = () => { request.result.close(); done(); };
    request.onerror = request.onblocked = () => done();`);
  await page.reload();
  await page.notice(/A newer version of the page keeps its days/);
  await page.set('water.peg', '61');
  await begin(page);
  await tapped(page, 'fed', 'Feeds', 1);
  await page.reload();
  assert.equal(await page.value('water.peg'), '61');
  await page.show('bank');
  await again(page);
  assert.equal(await fact(page, 'Feeds'), 1);
  assert.deepEqual(await records(page), { 1: 'theirs' });
}, MOST);

// --- the session at the bank ---------------------------------------------------------------------------------------

withFault('a session where the database is refused goes on in the small store, and is there after a reload', async (page) => {
  await page.open('?fault=no-base#bank');
  await begin(page);
  await tapped(page, 'fed', 'Feeds', 1);
  await tapped(page, 'missed', 'Bites missed', 1);
  await page.reload();
  await again(page);
  assert.deepEqual([await fact(page, 'Feeds'), await fact(page, 'Bites missed')], [1, 1]);
  // Cleared under the page: the next change writes all of it anew.
  await page.set('water.peg', '71');
  await page.run(`localStorage.clear()`);
  await page.show('bank');
  await tapped(page, 'fish', 'Fish', 1);
  await page.reload();
  await again(page);
  assert.deepEqual([await fact(page, 'Feeds'), await fact(page, 'Bites missed'), await fact(page, 'Fish')], [1, 1, 1]);
});

withFault('a session begins where the browser never says which tab may write', async (page) => {
  await page.open('?fault=hung-lock#bank');
  await begin(page);
  await tapped(page, 'fed', 'Feeds', 1);
});

inEachEngine('what was set aside is in the file of all that lies there, which the settings save, too', async (page) => {
  await page.set('water.peg', '35');
  const text = await kept(page);
  const spoilt = text.slice(0, text.length / 2);
  await records(page, ['put', spoilt, 'page']);
  await page.reload();
  await page.notice(/damaged.*set aside/);
  await until(async () => Object.values(await records(page)).includes(spoilt), 'the text aside');
  await page.go('settings');
  const saved = JSON.parse(await page.driver.executeAsyncScript(`
    const done = arguments[0];
    const { createObjectURL } = URL;
    URL.createObjectURL = (blob) => { blob.text().then(done); return createObjectURL.call(URL, blob); };
    document.querySelector('main [data-rescue="save"]').click();`));
  assert.deepEqual(saved.records, await records(page));
  assert.ok(Object.entries(saved.records).some(([key, value]) => key.startsWith('aside/') && value === spoilt));
  await until(() => page.run(`return /holds all/.test(document.querySelector('[data-backup-said]').textContent)`), 'the sentence');
}, MOST);

withFault('a session where nothing is kept is told once, runs, and offers its log', async (page) => {
  await page.open('?fault=no-local%20no-base#bank');
  await page.run(`document.querySelector('[data-act="dismiss:0"]')?.click()`);
  await begin(page);
  await page.notice(/keeps nothing for this page. The session runs/);
  await tapped(page, 'fed', 'Feeds', 1);
  await tapped(page, 'missed', 'Bites missed', 1);
  assert.equal((await told(page)).filter((text) => /keep/.test(text)).length, 1, (await told(page)).join(' | '));
  await until(async () => Number(await page.result('live.next')) < 15, 'the clock to run');
  assert.ok(await page.run(`return document.querySelector('[data-act="log"]') !== null`));
});

inEachEngine('a session whose store is cleared or deleted under the page is whole after the next tap', async (page) => {
  await page.set('water.peg', '72');
  await begin(page);
  await tapped(page, 'fed', 'Feeds', 1);
  await records(page, ['clear']);
  await tapped(page, 'missed', 'Bites missed', 1);
  await page.reload();
  await again(page);
  assert.deepEqual([await fact(page, 'Feeds'), await fact(page, 'Bites missed')], [1, 1]);
  await deleteStore(page);
  await tapped(page, 'fish', 'Fish', 1);
  await page.reload();
  await again(page);
  assert.deepEqual([await fact(page, 'Feeds'), await fact(page, 'Bites missed'), await fact(page, 'Fish')], [1, 1, 1]);
  assert.equal(await page.value('water.peg'), '72', 'and so is the plan');
});

inEachEngine('a day that a newer version wrote is told and left as it is', async (page) => {
  await page.set('water.peg', '73');
  await kept(page);
  const before = await records(page);
  const [key, row] = Object.entries(before).find(([name]) => name.startsWith('days/'));
  const theirs = `\u0009${row.slice(1)}`;
  await records(page, ['put', theirs, key]);
  await page.reload();
  await page.notice(/written by a newer version of the page, and is left as it is/);
  await page.set('water.peg', '74');
  await kept(page);
  assert.equal((await records(page))[key], theirs, 'nothing was touched');
}, MOST);

inEachEngine('records that only a newer version knows are told and set aside, and the rest stands', async (page) => {
  await begin(page);
  await tapped(page, 'fed', 'Feeds', 1);
  // A line of a kind that this version does not know, in a row that is whole.
  const [key, row] = Object.entries(await records(page)).find(([name]) => name.startsWith('logs/'));
  const theirs = await page.run(`
    const crc = (bytes) => { let c = ~0; for (const b of bytes) { c ^= b; for (let k = 0; k < 8; k++) c = (c >>> 1) ^ (0xEDB88320 & -(c & 1)); } return ~c >>> 0; };
    const bytes = [...arguments[0]].map((letter) => letter.charCodeAt(0));
    const line = '1 q 1900000000000 - - -';
    const text = new TextEncoder().encode(line + ' ' + crc(new TextEncoder().encode(line)).toString(16).padStart(8, '0') + '\\n');
    const head = 4 + bytes[2] + 256 * bytes[3];
    const body = [...bytes.slice(head + 8), ...text];
    const little = (n) => [n & 255, n >>> 8 & 255, n >>> 16 & 255, n >>> 24];
    const start = [...bytes.slice(0, head), ...little(crc(body))];
    return String.fromCharCode(...start, ...little(crc(start)), ...body);`, row);
  await records(page, ['put', theirs, key]);
  await page.reload();
  await page.notice(/not known to this version of the page/);
  await again(page);
  await tapped(page, 'missed', 'Bites missed', 1);
  assert.equal(await fact(page, 'Feeds'), 1);
  const aside = Object.entries(await records(page)).filter(([name]) => name.startsWith('aside/'));
  assert.equal(aside.length, 1);
  assert.match(aside[0][1], /1 q 1900000000000/, 'as they were');
}, MOST);
