// The browser killed, as by a battery that dies, at random moments over all screens: numbers, texts, ticks, kit, rigs,
// tub test, and taps of a running session. What the page had said it kept must be there on reopening, whole, in order
// and with its times; what it had not yet said may be there or not.
//
// A few kills in each run; with DOTDOWN_LONG=1 a hundred in each engine, from a fresh seed. The driver of WebKitGTK starts no browser on a
// profile that outlives it, so that nothing can be reopened there: Chromium and Firefox only.

import { assert, inEachEngine, records, SCREENS, serial, storedLog, until } from './page.mjs';
import { dice, Session } from './harness.mjs';

const KILLS = process.env.DOTDOWN_LONG ? 100 : 3;

/** Notes in the page what each save wrote, by its number; and every row of a day that was written, with the last one that is on the disk. */
const record = (page) => page.run(`
  window.saves = {};
  window.days = {};
  const { put } = IDBObjectStore.prototype;
  IDBObjectStore.prototype.put = function (text, key) {
    if (key === 'page') window.saves[text.split('\\n')[2]] = text;
    if (key.startsWith('days/')) {
      const day = window.days[key] ??= { rows: [], kept: -1 };
      const place = day.rows.push(text) - 1;
      this.transaction.addEventListener('complete', () => { day.kept = place; });
    }
    return put.call(this, text, key);
  };`);

/** What the page says is kept, and what it wrote. */
const state = (page) => page.run(`return { kept: Number(document.documentElement.dataset.kept ?? 0), saves: window.saves, days: window.days }`);

/** Things that a user does, each with its sheet or screen, by scripted events: the moment matters here, not the finger. */
const DEEDS = [
  ['day.water', `step('water.depth')`], ['day.place', `type('water.peg', String(n))`], ['day.place', `type('water.venue', 'Pool ' + n)`], ['day.prep', 'tick()'],
  ['bait.cube', `step('bait.edge')`], ['bait.tub', `act('tap')`], ['bait.feed', `step('feed.0.cubes')`],
  ['rigs.rig', `step('rigs.0.depth')`], ['rigs', `act('rig:1')`], ['rigs.line', `step('rigs.1.hooklength')`], ['rigs', `act('rig:2'); act('rig:0')`],
  ['kit', 'tick()'], ['kit.own', `act('add:kit')`], ['kit.own', `type('kit.0.name', 'Thing ' + n)`],
  ['bank', `type('bank.fish', String(100 + n))`],
];

const HANDS = `
  const open = () => document.querySelectorAll('details').forEach((one) => { one.open = true; });
  const step = (path) => { open(); const all = document.querySelectorAll('[data-step="' + path + '"]'); all[n % all.length]?.click(); };
  const tick = () => { open(); const all = document.querySelectorAll('[data-tick]:not(:disabled)'); all[n % all.length]?.click(); };
  const act = (name) => { open(); document.querySelector('[data-act="' + name + '"]')?.click(); };
  const type = (path, text) => {
    open();
    const field = document.querySelector('[data-field="' + path + '"]');
    if (!field) return;
    field.value = text;
    field.dispatchEvent(new InputEvent('input', { bubbles: true }));
    field.dispatchEvent(new Event('change', { bubbles: true }));
  };`;

const show = (page, screen) => page.run(`document.querySelector('nav a[href="#' + arguments[0] + '"]').click()`, screen)
  .then(() => until(() => page.run(`return document.querySelector('nav a[aria-current]')?.getAttribute('href') === '#' + arguments[0]`, screen), screen));

const TAPS = { fed: ['f', 'Feeds'], missed: ['m', 'Bites missed'], fish: ['g', 'Fish'] };

const facts = (page) => page.run(`return Object.fromEntries([...document.querySelectorAll('[data-result="live.totals"] > div')]
  .map((row) => [row.firstElementChild.textContent, Number(row.lastElementChild.textContent.replace(/[^0-9]/g, ''))]))`);

/** The stored records: the number, the letter and the time of each. */
const stored = async (page) => (await storedLog(page)).map((line) => line.split(' ')).map(([number, letter, at]) => [Number(number), letter, Number(at)]);

/** How often each kind stands in a log, undone ones not counted. */
function standing(log) {
  const stands = [];
  for (const { letter } of log) {
    if (letter === 'u') stands.pop();
    else stands.push(letter);
  }
  return (letter) => stands.filter((one) => one === letter).length;
}

inEachEngine('killed at random moments on every screen, all that was said to be kept is there', async (page) => {
  const { profile } = page.session.options;
  const { seed, roll } = dice(`kills, ${page.engine}`, 11 + page.engine.length);
  const saves = new Map();
  let log = []; // every acknowledged tap: its letter, and between which times it was made
  let tally = { plan: 0, taps: 0 };
  const first = await page.fingerprint();
  await record(page);
  await show(page, 'bank');
  await page.run(`document.querySelector('[data-tap="start"]').click()`);
  await until(async () => 'Feeds' in await facts(page), 'the session');
  for (let kill = 0; kill < KILLS; kill++) {
    const where = `kill ${kill} of seed ${seed}`;
    let pending;
    if (roll(5) < 3) {
      // The plan, one to four deeds on a screen or two.
      for (let deed = 0, deeds = 1 + roll(4); deed < deeds; deed++) {
        const [place, act] = DEEDS[roll(DEEDS.length)];
        await page.sheet(place);
        await page.run(`const n = arguments[0]; ${HANDS} ${act}`, roll(1000));
        tally.plan += 1;
      }
    } else {
      // The session: taps that are waited for, and perhaps one more that is not.
      await show(page, 'bank');
      for (let tap = 0, taps = 1 + roll(3); tap < taps; tap++) {
        const last = log.at(-1)?.letter;
        const word = Object.keys(TAPS).filter((one) => TAPS[one][0] !== last)[roll(last && last !== 'u' ? 2 : 3)];
        const undo = log.length > 2 && last !== 'u' && roll(5) === 0;
        const entry = { letter: undo ? 'u' : TAPS[word][0], from: Date.now() };
        const next = standing([...log, entry]);
        await page.run(`document.querySelector('[data-tap="' + arguments[0] + '"]').click()`, undo ? 'undo' : word);
        if (tap === taps - 1 && roll(3) === 0) {
          pending = entry;
          break;
        }
        await until(async () => {
          const now = await facts(page);
          return Object.values(TAPS).every(([letter, name]) => now[name] === next(letter));
        }, `${where}: the tap ${entry.letter}`);
        log.push({ ...entry, to: Date.now() });
        tally.taps += 1;
      }
    }
    await new Promise((resolve) => setTimeout(resolve, roll(60)));
    const before = await state(page);
    Object.entries(before.saves).forEach(([number, text]) => saves.set(Number(number), text));
    await page.session.crash();
    page.session = await Session.open(page.engine, { profile });
    page.driver = page.session.driver;
    await page.driver.get(`${page.server.url}#${SCREENS[roll(SCREENS.length)]}`);
    await page.ready();
    await record(page);
    const { page: text, ...rest } = await records(page);
    for (const [key, { rows, kept }] of Object.entries(before.days)) {
      // The day with its plan as it was acknowledged last, or as a change made it that was still on its way.
      const place = rows.lastIndexOf(rest[key]);
      assert.ok(place >= kept || (place < 0 && kept < 0), `${where}: row ${kept} of ${rows.length} of a day was on the disk, ${place} is there`);
    }
    if (text !== undefined || before.kept > 0) {
      const after = serial(text);
      assert.ok(after >= before.kept, `${where}: save ${before.kept} was told as kept, ${after} is there`);
      assert.equal(text, saves.get(after), `${where}: save ${after} is another`);
    }
    assert.deepEqual((await page.notices()).filter((text) => /damaged|aside|could not|cut/i.test(text)), [], where);
    await show(page, 'bank');
    await until(async () => 'Feeds' in await facts(page), `${where}: the session again`);
    const lines = await stored(page);
    if (pending && lines.length === log.length + 1) log.push({ ...pending, to: Date.now() });
    assert.equal(lines.length, log.length, `${where}: as many records as taps`);
    lines.forEach(([number, letter, at], i) => {
      assert.deepEqual([number, letter], [i, log[i].letter], `${where}: record ${i}`);
      assert.ok(at >= log[i].from - 2 && at <= log[i].to + 2, `${where}: record ${i} at its time`);
    });
    const now = await facts(page);
    Object.values(TAPS).forEach(([letter, name]) => assert.equal(now[name], standing(log)(letter), `${where}: ${name}`));
  }
  if (tally.plan > 0) {
    // The history came through as well: step by step back to where it began.
    await show(page, 'day');
    const undo = () => page.run(`return document.getElementById('undo')?.innerText ?? null`);
    const steps = [];
    // The new day itself stays: it has a log.
    for (let words = await undo(); words !== null && steps.length < 300; words = await undo()) {
      assert.match(words, /^Undo ./);
      await page.run(`document.getElementById('undo').click()`);
      if ((await page.notices()).some((text) => text.includes('it and its rigs stay as they are'))) break;
      steps.push(words);
    }
    assert.ok(steps.length > 0, 'there are changes to take back');
    assert.ok(steps.length >= 200 || await page.fingerprint() === first, `the plan is what it was at first after ${JSON.stringify(steps)}, with ${await undo()}`);
  }
  console.log(`${page.engine}: ${KILLS} kills, ${tally.plan} changes of the plan, ${tally.taps} taps waited for, none lost`);
}, { engines: ['chromium', 'firefox'], keep: true, patience: KILLS });
