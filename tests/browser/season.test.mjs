// The book of days in a browser: a season's walk from a first visit to a restored backup, two tabs that change the same
// day, a backup by the share sheet, and many days.

import { readFileSync } from 'node:fs';
import { ENGINES, runFirst, siteCopy } from './harness.mjs';
import { again, assert, begin, clock, fact, inEachEngine, kept, press, records, tapped, until } from './page.mjs';

/** Every file that is handed over: by the share sheet that stands in for a phone's, which takes what `window.takes` says, or as a download. */
const SHEET = `
  window.given = [];
  const put = (name, value) => Object.defineProperty(navigator, name, { configurable: true, value });
  put('canShare', ({ files }) => files.every((file) => window.takes?.test(file.name)));
  put('share', async ({ files }) => { window.given.push(['sheet', files[0]]); });
  const media = window.matchMedia.bind(window);
  window.matchMedia = (query) => (query === '(pointer: coarse)' ? { matches: true } : media(query));
  const url = URL.createObjectURL;
  URL.createObjectURL = (file) => { if (file instanceof File) window.given.push(['download', file]); return url(file); };
  HTMLAnchorElement.prototype.click = function () { if (!this.download) this.dispatchEvent(new MouseEvent('click', { bubbles: true })); };`;

const copies = new Map();
process.on('exit', () => copies.forEach(({ drop }) => drop()));

/** A test on a copy of the site that has the sheet. */
const withSheet = (name, body) => inEachEngine(name, async (page) => {
  if (!copies.has(page.engine)) {
    copies.set(page.engine, siteCopy(page));
    runFirst(copies.get(page.engine).site, 'sheet.js', `{ ${SHEET} }`);
  }
  await page.server.restart(copies.get(page.engine).site);
  await page.open();
  await body(page);
}, { open: false });

/** What was handed over last. */
const given = (page) => until(() => page.driver.executeAsyncScript(`
  const done = arguments[0];
  const last = window.given.pop();
  if (!last) return done(null);
  last[1].text().then((text) => done({ how: last[0], name: last[1].name, type: last[1].type, text }));`), 'a file');

/** Opens a file as a backup. */
const restore = (page, text) => page.run(`
  const list = new DataTransfer();
  list.items.add(new File([arguments[0]], 'backup.json', { type: 'application/json' }));
  const input = document.querySelector('[data-open="backup"]');
  input.files = list.files;
  input.dispatchEvent(new Event('change', { bubbles: true }));`, text);

const head = (page) => page.run(`return document.querySelector('#head h1').innerText.trim()`);
const cards = (page, list) => page.run(`return [...document.querySelectorAll('[data-result="days.' + arguments[0] + '"] > li > button')].map((one) => one.innerText.replace(/\\s+/g, ' ').trim())`, list);

withSheet('the picture of a day is there when the summary opens, and is handed over', async (page) => {
  await begin(page);
  await tapped(page, 'fed', 'Feeds', 1);
  await tapped(page, 'fish', 'Fish', 1);
  await press(page, 'end');
  await until(() => page.result('live.summary'), 'the summary');
  await page.run(`window.takes = /\\.png$/`);
  const seen = await until(async () => {
    await page.act('picture');
    return page.driver.executeAsyncScript(`
      const done = arguments[0];
      const [how, file] = window.given.pop() ?? [];
      if (!file) return done(null);
      createImageBitmap(file).then((picture) => {
        const canvas = document.createElement('canvas');
        Object.assign(canvas, { width: picture.width, height: picture.height });
        const context = canvas.getContext('2d');
        context.drawImage(picture, 0, 0);
        const colors = new Map();
        const { data } = context.getImageData(0, 0, picture.width, picture.height);
        for (let i = 0; i < data.length; i += 4) { const color = data.slice(i, i + 3).join(); colors.set(color, (colors.get(color) ?? 0) + 1); }
        const share = (color) => (colors.get(color) ?? 0) / (data.length / 4);
        const of = (name) => getComputedStyle(document.querySelector(name)).fill.match(/\\d+/g).slice(0, 3).join();
        done({ how, name: file.name, type: file.type, width: picture.width, water: share(of('.column .water')), ink: share(of('.column text')) });
      });`);
  }, 'the picture');
  assert.deepEqual([seen.how, seen.type, seen.width], ['sheet', 'image/png', 1080]);
  assert.match(seen.name, /day\.png$/);
  assert.ok(seen.water > 0.3 && seen.water < 0.9 && seen.ink > 0.002, JSON.stringify(seen));
  assert.match(await page.run(`return document.querySelector('[data-drawing="day"]').getAttribute('aria-label')`), /: 1 fish, 0 bites missed\.$/, 'and a text for those who see no pictures');
});

withSheet('a season: an example, a plan, a day fished, the next one from it; backup, erase, restore, all there', async (page) => {
  // First visit: the worked day, and an example that becomes a day of mine.
  await page.go('days');
  await page.act('preset:pond');
  await until(async () => /Sallow Pond/.test(await head(page)), 'the example');
  await page.set('water.venue', 'Reed Mere');
  await page.set('water.depth', '5 ft');
  await page.set('rules.tins', '4');
  await page.show('day');
  await page.act('book:keep-water');
  await until(async () => (await head(page)) === 'Reed Mere', 'the water');

  // A plan for the day, and the day fished.
  await page.act('book:new.' + await page.run(`return document.querySelector('[data-act^="book:new."]').dataset.act.split('.')[1]`));
  await until(() => page.run(`return document.body.dataset.screen === 'day'`), 'the new day');
  await page.set('bait.edge', '7');
  await page.set('rigs.0.depth', '20 in');
  const move = await clock(page, Date.now());
  await begin(page);
  // Three hours of it, a feed and a fish in each half hour.
  for (let half = 0; half < 6; half++) {
    await move(1800 * half);
    await tapped(page, 'fed', 'Feeds', half + 1);
    await move(1800 * half + 40);
    await tapped(page, 'fish', 'Fish', half + 1);
  }
  await move(10_800);
  await press(page, 'end');
  assert.match(await until(() => page.result('live.summary'), 'the summary'), /^6 fish in 3\.0 h/);
  await page.act('live:keep');
  await page.set('result.weight', '5100');
  await page.show('bank');
  await until(() => page.run(`return /Weight at the scales: 11 lb 4 oz/.test(document.querySelector('main').innerText)`), 'the weight as it was weighed, not as it was guessed');
  await page.set('result.place', '3');
  await page.set('result.of', '24');
  await kept(page);
  await page.go('days');
  assert.deepEqual((await cards(page, 'fished')).length, 1);
  assert.match((await cards(page, 'fished'))[0], /Reed Mere.*6 fish.*5\.1 kg, place 3 of 24/);

  // The worker has learned the water from it.
  await page.run(`document.querySelector('[data-act^="book:water."]').click()`);
  await until(async () => /^1 day fished here/.test(await page.result('water.taught')), 'what the day taught');
  assert.ok(await page.run(`return document.querySelector('main svg[aria-label^="Depth against hours"] .taught') !== null`), 'as a picture');

  // The next one at the same water: three taps from any screen, two from My days, and everything comes from the last day.
  await page.go('kit');
  let taps = 0;
  const tap = async (selector) => {
    taps += 1;
    await page.run(`document.querySelector(arguments[0]).click()`, selector);
  };
  await tap('#head h1 a');
  await until(() => page.run(`return document.body.dataset.screen === 'days'`), 'My days');
  await tap('[data-keep="new-day"] > summary');
  await tap('[data-keep="new-day"] [data-act^="book:new."]');
  await until(() => page.run(`return document.body.dataset.screen === 'day'`), 'the new day');
  assert.equal(taps, 3);
  assert.match(await page.value('bait.edge'), /^7/);
  assert.equal(await page.value('rigs.0.depth'), '20 in');
  assert.equal(await page.value('rules.tins'), '4');
  assert.match(await page.value('day.date'), /^2/);
  await page.show('day');
  assert.match(await page.run(`return document.querySelector('[data-result="when"]').innerText`), /^Sat/);

  // Undo after a reload: each step one change.
  await page.set('water.depth', '6 ft');
  await kept(page);
  await page.reload();
  await page.show('day');
  assert.match(await page.run(`return document.getElementById('undo').innerText`), /^Undo depth 6 ft/);
  await page.act('undo');
  assert.match(await page.value('water.depth'), /^5 ft/);

  // The backup, by two taps; everything erased; restored.
  await kept(page);
  const fingerprint = await page.fingerprint();
  await page.run(`window.takes = /\\.txt$/`);
  await page.go('settings');
  await page.act('book:backup');
  const file = await given(page);
  assert.equal(file.how, 'sheet');
  assert.match(file.name, /^dotdown-backup-\d{4}-\d\d-\d\d\.txt$/, 'a sheet that takes no .json gets a .txt');
  assert.equal(JSON.parse(file.text).days.length, 3);
  await page.run(`window.takes = /\\.json$/`);
  await page.act('book:backup');
  assert.match((await given(page)).name, /\.json$/);
  await page.run(`window.takes = /nothing/`);
  await page.act('book:backup');
  assert.equal((await given(page)).how, 'download');
  await page.act('erase');
  await page.run('window.beforeErase = true');
  await page.act('erase-now');
  await until(() => page.run(`return !window.beforeErase && document.querySelector('main[data-ready] [data-result]') !== null`), 'the page anew');
  assert.deepEqual(await records(page), {});
  await page.go('settings');
  await restore(page, '{"this": "is none"}');
  await page.notice(/Nothing was changed/);
  await restore(page, file.text);
  await page.notice(/3 days came from the backup/);
  await kept(page);
  await page.reload();
  await page.go('days');
  assert.equal((await cards(page, 'next')).length, 2);
  assert.match((await cards(page, 'fished'))[0], /Reed Mere.*6 fish.*place 3 of 24/);
  await page.run(`document.querySelector('[data-result="days.next"] [data-act^="book:open."]').click()`);
  await page.show('day');
  const open = [await page.fingerprint()];
  await page.go('days');
  await page.run(`document.querySelectorAll('[data-result="days.next"] [data-act^="book:open."]')[1].click()`);
  await page.show('day');
  open.push(await page.fingerprint());
  assert.ok(open.includes(fingerprint), 'the plan is the one that was backed up');
  await page.go('days');
  await page.run(`document.querySelector('[data-result="days.fished"] [data-act^="book:open."]').click()`);
  await until(() => page.result('live.summary'), 'the log of the fished day');
  assert.equal(await fact(page, 'Fish'), 6);
});

inEachEngine('two tabs change different fields of one day at the same instant, and both stand, 40 times', async (page) => {
  await page.set('water.peg', '1');
  await kept(page);
  const first = await page.driver.getWindowHandle();
  await page.driver.switchTo().newWindow('tab');
  const second = await page.driver.getWindowHandle();
  await page.open('#day.place');
  const type = (path, text) => page.run(`
    const field = document.querySelector('[data-field="' + arguments[0] + '"]');
    field.value = arguments[1];
    field.dispatchEvent(new InputEvent('input', { bubbles: true }));`, path, text);
  const value = (path) => page.run(`return document.querySelector('[data-field="' + arguments[0] + '"]').value`, path);
  for (let pair = 0; pair < 40; pair++) {
    await page.driver.switchTo().window(first);
    await type('water.peg', `a${pair}`);
    await page.driver.switchTo().window(second);
    await type('note', `b${pair}`);
    for (const tab of [first, second]) {
      await page.driver.switchTo().window(tab);
      await until(async () => (await value('water.peg')) === `a${pair}` && (await value('note')) === `b${pair}`, `pair ${pair}`);
    }
  }
  await kept(page);
  await page.reload();
  assert.deepEqual([await page.value('water.peg'), await page.value('note')], ['a39', 'b39']);
}, { engines: ENGINES.filter((engine) => engine !== 'webkit') }); // its driver opens a second tab in a store of its own

inEachEngine('another day is opened while one runs, and the way leads back to it', async (page) => {
  await begin(page);
  await tapped(page, 'fed', 'Feeds', 1);
  await page.go('days');
  await page.act('preset:cold');
  for (const screen of ['day', 'bait', 'rigs', 'kit', 'bank']) {
    await page.show(screen);
    assert.match(await page.run(`return document.querySelector('#head .running').innerText`), /Running: Withybank Lake/, screen);
  }
  assert.equal(await page.run(`return document.getElementById('live-start')`), null, 'a second session does not begin');
  await page.run(`document.querySelector('#head .running button').click()`);
  await again(page);
  await tapped(page, 'missed', 'Bites missed', 1);
  await page.reload();
  await again(page);
  assert.deepEqual([await fact(page, 'Feeds'), await fact(page, 'Bites missed')], [1, 1]);
});
