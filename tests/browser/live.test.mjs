// The session on the bank screen, in each engine: a quarter of an hour by a controlled clock, keys, undo, what is kept
// when the browser is killed, refused storage, two tabs, and what a screen reader meets.

import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { again, assert, begin, clock, fact, inEachEngine, press, records, storedLog, tapped, until } from './page.mjs';
import { dice, Session } from './harness.mjs';

const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const T0 = Date.UTC(2031, 6, 11, 9, 0, 0);

inEachEngine('a quarter of an hour at the bank, second by second', async (page) => {
  const move = await clock(page, T0);
  await begin(page);
  let feeds = 0;
  let missed = 0;
  let fish = 0;
  for (let s = 0; s < 900; s += 15) {
    await move(s);
    await tapped(page, 'fed', 'Feeds', ++feeds);
    if (s % 60 === 30) {
      await move(s + 9);
      if (s % 120 === 30) await tapped(page, 'missed', 'Bites missed', ++missed);
      else await tapped(page, 'fish', 'Fish', ++fish);
    }
  }
  assert.deepEqual([feeds, missed, fish], [60, 8, 7]);
  for (const [at, left] of [[890, '15'], [892, '13'], [904.5, '1']]) {
    await move(at);
    await until(async () => (await page.result('live.next')) === left, `${left} s to the next feed`);
  }
  await move(906);
  await until(async () => (await page.result('live.words')) === 'now', 'the call to feed');
  assert.match(await page.result('live.advice'), /(low|fair|high) confidence, \d+ %/);
  assert.match(await page.run(`return document.querySelector('[data-drawing="live"]').getAttribute('aria-label')`), /Fish are most likely from .* The last feed is from/s);
  assert.equal(await page.run(`return document.querySelectorAll('[data-drawing="live"] .fish').length`), 1);
  const lines = await storedLog(page);
  assert.equal(lines.length, 75);
  assert.deepEqual(lines.map((line) => Number.parseInt(line, 10)), lines.map((_, i) => i));
  await press(page, 'end');
  await until(async () => /fish in/.test(await page.result('live.summary') ?? ''), 'the summary');
});

inEachEngine('keys, one undo a tap, and a double touch that counts once', async (page) => {
  const move = await clock(page, T0);
  await begin(page);
  const key = async (letter, seconds, name, count) => {
    await move(seconds);
    await page.driver.actions().sendKeys(letter).perform();
    await until(async () => (await fact(page, name)) === count, `${name} ${count} by the key ${letter}`);
  };
  await page.run(`document.activeElement.blur()`);
  await key('f', 1, 'Feeds', 1);
  await key('m', 10, 'Bites missed', 1);
  await key('h', 30, 'Fish', 1);
  await key('3', 50, 'Fish', 2);
  await press(page, 'fish');
  await move(50.2);
  await press(page, 'fish');
  await move(60);
  await press(page, 'undo');
  await until(async () => (await fact(page, 'Fish')) === 1, 'the second fish taken back');
  assert.equal((await storedLog(page)).length, 5, 'the double touch is not stored, the undo is');
});

inEachEngine('a session goes on after a reload, at the right second', async (page) => {
  const at = Date.now();
  await begin(page);
  await tapped(page, 'fed', 'Feeds', 1);
  await page.reload();
  await until(() => page.run(`return Boolean(document.getElementById('tap-fed'))`), 'the session again');
  assert.equal(await fact(page, 'Feeds'), 1);
  const left = Number.parseInt(await page.result('live.next'), 10);
  const passed = (Date.now() - at) / 1000;
  assert.ok(!(left > 0) || left >= 15 - passed - 2, `${left} s left after at most ${passed} s`);
  await press(page, 'pause');
  await until(async () => /paused/.test(await page.result('live.words')), 'the pause');
});

const KILLS = process.env.DOTDOWN_LONG ? 67 : 2;

inEachEngine('every acknowledged tap is there after the browser was killed', async (page) => {
  const { profile } = page.session.options;
  const { seed, roll } = dice(`taps, ${page.engine}`, 7);
  await begin(page);
  let fed = 0;
  let bites = 0;
  for (let kill = 0; kill < KILLS; kill++) {
    for (let taps = 1 + roll(3); taps > 0; taps--) {
      await new Promise((resolve) => setTimeout(resolve, 420)); // past the time of a double touch
      if (roll(2)) await tapped(page, 'fed', 'Feeds', ++fed);
      else await tapped(page, 'missed', 'Bites missed', ++bites);
    }
    const before = await storedLog(page);
    if (roll(5) === 0) await press(page, 'cast'); // in flight: may be there or not, but whole
    await page.session.crash();
    page.session = await Session.open(page.engine, { profile });
    page.driver = page.session.driver;
    await page.open('#bank');
    await until(async () => typeof (await fact(page, 'Feeds')) === 'number', 'the session again');
    assert.equal(await fact(page, 'Feeds'), fed, `feeds after kill ${kill} of seed ${seed}`);
    assert.equal(await fact(page, 'Bites missed'), bites, `bites after kill ${kill} of seed ${seed}`);
    assert.deepEqual((await storedLog(page)).slice(0, before.length), before, 'in order, with their times');
  }
  console.log(`${page.engine}: ${KILLS} kills of a session, ${fed + bites} taps acknowledged, none lost`);
}, { engines: ['chromium', 'firefox'], keep: true, patience: KILLS });

inEachEngine('refused storage is told at once, and the session goes on with its log to save', async (page) => {
  await begin(page);
  await tapped(page, 'fed', 'Feeds', 1);
  await page.run(`window.realPut = window.IDBObjectStore.prototype.put; window.IDBObjectStore.prototype.put = () => { throw new DOMException('full', 'QuotaExceededError'); }`);
  await new Promise((resolve) => setTimeout(resolve, 420));
  await tapped(page, 'fed', 'Feeds', 2);
  await page.notice(/would not keep the last tap/);
  await page.run(`window.IDBObjectStore.prototype.put = window.realPut`);
  await tapped(page, 'missed', 'Bites missed', 1);
  assert.equal((await storedLog(page)).length, 3, 'what was refused is stored with the next tap');
  assert.ok(await page.run(`return document.querySelector('[data-act="log"]') !== null`));
});

inEachEngine('a damaged stretch of the log is told and set aside, and the session goes on', async (page) => {
  await begin(page);
  await tapped(page, 'fed', 'Feeds', 1);
  await tapped(page, 'missed', 'Bites missed', 1);
  const [[key, row]] = Object.entries(await records(page)).filter(([name]) => name.startsWith('logs/'));
  const cut = row.slice(0, -4);
  await records(page, ['put', cut, key]);
  await page.reload();
  await page.notice(/could not be read. It is set aside/);
  await again(page);
  assert.equal(await fact(page, 'Feeds'), 0);
  await tapped(page, 'fed', 'Feeds', 1);
  await page.reload();
  await again(page);
  assert.equal(await fact(page, 'Feeds'), 1);
  assert.ok(Object.values(await records(page)).includes(cut), 'what was cut is there, as it was');
});

inEachEngine('one tab drives, the other shows, and takes over when the first is gone', async (page) => {
  await begin(page);
  await tapped(page, 'fed', 'Feeds', 1);
  const first = await page.driver.getWindowHandle();
  await page.driver.switchTo().newWindow('tab');
  const second = await page.driver.getWindowHandle();
  await page.open('#bank');
  await until(() => page.run(`return document.getElementById('tap-fed')?.disabled`), 'the second tab to show only');
  await page.driver.switchTo().window(first);
  await tapped(page, 'missed', 'Bites missed', 1);
  await page.driver.switchTo().window(second);
  await until(async () => (await fact(page, 'Bites missed')) === 1, 'the second tab to follow');
  // A plan that is edited in the one is shown in the other, whichever has the session.
  await page.set('water.peg', '81');
  await page.driver.switchTo().window(first);
  await until(async () => (await page.value('water.peg')) === '81', 'the first tab to show the plan');
  await page.driver.switchTo().window(second);
  await page.show('bank');
  await page.driver.switchTo().window(first);
  await page.driver.close();
  await page.driver.switchTo().window(second);
  await until(() => page.run(`return document.getElementById('tap-fed')?.disabled === false`), 'the second tab to take over');
  await tapped(page, 'fed', 'Feeds', 2);
}, { engines: ['chromium', 'firefox'] });

inEachEngine('a clock that jumps is noticed and told', async (page) => {
  const move = await clock(page, T0);
  await begin(page);
  await tapped(page, 'fed', 'Feeds', 1);
  // Two ticks of the session: what it compares the next with.
  const looks = () => page.run(`return window.looks`);
  const before = await looks();
  await until(async () => (await looks()) > before + 1, 'the session to look at its clock');
  await page.run(`const then = window.performance.now(); window.performance.now = () => then; window.testNow += 600_000`);
  await page.notice(/clock went ahead by 600 s/);
  await move(0);
});

inEachEngine('the running screen reads well, fits a phone and does not chatter', async (page) => {
  await page.show('bank');
  await until(() => page.run(`return document.getElementById('said').textContent`), 'the screen to be said');
  await begin(page);
  const screenSaid = await page.run(`return document.getElementById('said').textContent`);
  await tapped(page, 'fed', 'Feeds', 1);
  await until(async () => (await page.run(`return document.getElementById('said').textContent`)) !== screenSaid, 'the feed to be said');
  await page.run(`
    window.saidCount = 0;
    new MutationObserver(() => { window.saidCount++; }).observe(document.getElementById('said'), { childList: true, characterData: true, subtree: true });
    // Each tick looks at the clock.
    window.looks = 0;
    const real = performance.now.bind(performance);
    performance.now = () => { window.looks += 1; return real(); };`);
  await until(() => page.run(`return window.looks > 5`), 'the session to tick');
  assert.equal(await page.run(`return window.saidCount`), 0, 'a tick says nothing');
  await tapped(page, 'missed', 'Bites missed', 1);
  await until(() => page.run(`return window.saidCount > 0`), 'the tap to be said');
  await page.run(`document.querySelectorAll('details').forEach((one) => { one.open = true; })`);
  await page.run(AXE + '; window.axe = axe;');
  const found = await page.run(`return window.axe.run(document).then(({ violations }) => violations.map(({ id, nodes }) => id + ': ' + nodes[0].html))`);
  assert.deepEqual(found, []);
  const small = await page.run(`return [...document.querySelectorAll('[data-tap]')].filter((one) => one.checkVisibility() && (one.offsetHeight < 47 || one.offsetWidth < 47)).map((one) => one.outerHTML)`);
  assert.deepEqual(small, [], 'every button is large');
  for (const word of ['fed', 'missed', 'fish']) assert.ok(await page.run(`return document.getElementById('tap-' + arguments[0]).getAttribute('aria-keyshortcuts').length === 1`, word));
});

inEachEngine('the buttons of the bank are large, low, and stay where they are', async (page) => {
  await page.session.cdp('Emulation.setDeviceMetricsOverride', { width: 430, height: 932, deviceScaleFactor: 1, mobile: true });
  const move = await clock(page, T0);
  await begin(page);
  const places = () => page.run(`
    scrollTo(0, 0);
    return [...document.querySelectorAll('.tap-area button')].filter((one) => one.checkVisibility()).map((one) => {
      const { left, top, right, bottom } = one.getBoundingClientRect();
      return { id: one.id, left: Math.round(left), top: Math.round(top), right: Math.round(right), bottom: Math.round(bottom) };
    });`);
  const first = await places();
  for (const { id, left, top, right, bottom } of first) {
    const least = /^tap-(fed|missed|fish)$/.test(id) ? 64 : 48;
    assert.ok(bottom - top >= least && right - left >= least, `${id}: ${right - left}x${bottom - top}`);
    assert.ok(top >= 932 * 0.45 && bottom <= 932, `${id} lies between ${top} and ${bottom}`);
  }
  assert.deepEqual(first.map(({ id }) => id).filter((id) => /^tap/.test(id)).sort(), ['tap-fed', 'tap-fish', 'tap-missed', 'tap-pause', 'tap-undo']);
  let [feeds, missed, fish] = [0, 0, 0];
  for (const [s, word] of [[0, 'fed'], [20, 'missed'], [30, 'fed'], [61, 'fish'], [90, 'fed'], [400, 'fish'], [1800, 'fed'], [1900, 'missed']]) {
    await move(s);
    if (word === 'fed') await tapped(page, 'fed', 'Feeds', ++feeds);
    if (word === 'missed') await tapped(page, 'missed', 'Bites missed', ++missed);
    if (word === 'fish') await tapped(page, 'fish', 'Fish', ++fish);
    assert.deepEqual(await places(), first, `after ${word} at ${s} s`);
  }
}, { engines: ['chromium'] });

inEachEngine('the end of a day can be taken back, after a reload too', async (page) => {
  await begin(page);
  await tapped(page, 'fed', 'Feeds', 1);
  await tapped(page, 'missed', 'Bites missed', 1);
  for (const reload of [false, true]) {
    await press(page, 'end');
    await until(() => page.result('live.summary'), 'the summary');
    if (reload) {
      await page.reload();
      await until(() => page.run(`return document.querySelector('[data-tap="undo"]')?.disabled === false`), 'the log after a reload');
    }
    assert.equal(await fact(page, 'Feeds'), 1);
    assert.equal(await fact(page, 'Bites missed'), 1);
    await press(page, 'undo');
    await again(page);
  }
});
