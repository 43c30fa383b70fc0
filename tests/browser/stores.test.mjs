// A phone's store that is damaged at random: a book as the page wrote it, with a day planned and one fished, a water, a box of
// tackle, steps to undo; then letters flipped, rows cut, emptied, dropped, exchanged, of another type, huge. The page comes
// up, says what was damaged, keeps all that was not, and the damaged text as it was found; a further change is kept.
//
// A few stores in each run; with DOTDOWN_LONG=1 at least 150 in each engine, from a fresh seed.

import { dice, MOST } from './harness.mjs';
import { assert, begin, inEachEngine, kept, press, records, tapped, until } from './page.mjs';

const STORES = process.env.DOTDOWN_LONG ? 150 : 4;

/** A book by the page's own hand: what it has stored, by key. */
async function book(page) {
  await page.set('water.venue', 'Reed Mere');
  await page.show('day');
  await page.act('book:keep-water');
  await until(() => page.run(`return document.body.dataset.screen === 'water'`), 'the water');
  await page.go('tackle');
  await page.act('book:keep-tackle');
  await begin(page);
  await tapped(page, 'fed', 'Feeds', 1);
  await tapped(page, 'missed', 'Bites missed', 1);
  await press(page, 'end');
  await until(() => page.result('live.summary'), 'the summary');
  await page.go('days');
  await page.act('preset:pond');
  await page.set('water.venue', 'Ash Pool');
  await page.set('bait.edge', '9');
  await kept(page);
  return records(page);
}

/** What a browser or a disk may make of a row; `other` is another row's text. */
const HARMS = {
  flipped: (text, { roll }) => {
    const letters = [...text];
    for (let i = 0; i <= roll(4); i++) {
      const place = roll(letters.length);
      letters[place] = String.fromCharCode(letters[place].charCodeAt(0) ^ (1 << roll(7)));
    }
    return letters.join('');
  },
  cut: (text, { roll }) => text.slice(0, roll(text.length)),
  'without its beginning': (text, { roll }) => text.slice(1 + roll(text.length - 1)),
  twice: (text) => text + text,
  'with a hole': (text, { roll }) => text.slice(0, roll(text.length)) + text.slice(-roll(text.length)),
  zeroed: (text, { roll }) => text.slice(0, roll(text.length)).padEnd(text.length, '\0'),
  nonsense: (text, { roll }) => Array.from({ length: roll(300) }, () => String.fromCharCode(roll(70_000) % 0xd800)).join(''),
  'of another type': (text, { one }) => one([17, null, true, [1, 'a'], { form: 1 }]),
  huge: (text, { roll }) => text + 'x'.repeat(4_000_000 + roll(1_000_000)),
  dropped: () => undefined,
};

/** Spoils one to three rows of a book, or exchanges two; gives what they are by then, by key, and says it. */
function spoil(whole, { roll, one }) {
  const keys = Object.keys(whole);
  // Every kind of row as often as another: most of them are tackle.
  const kinds = [...new Set(keys.map((key) => key.split('/')[0]))];
  const draw = () => { const kind = one(kinds); return one(keys.filter((key) => key.split('/')[0] === kind)); };
  if (roll(6) === 0) {
    const [a, b] = [draw(), draw()];
    return { what: `${a} and ${b} exchanged`, rows: { [a]: whole[b], [b]: whole[a] } };
  }
  const rows = {};
  const what = Array.from({ length: 1 + roll(3) }, () => {
    const [key, how] = [draw(), one(Object.keys(HARMS))];
    rows[key] = HARMS[how](whole[key], { roll, one });
    return `${key} ${how}`;
  });
  return { what: what.join(', '), rows };
}

/** What is said of what was damaged: in a notice, or where it would stand. */
const SAID = /damaged|could not be read|newer version|not known to this version/;

inEachEngine('of a store that is damaged at random what was damaged is told, and nothing else is lost', async (page) => {
  const { seed, ...draw } = dice(`stores, ${page.engine}`, 8);
  const whole = await book(page);
  const names = (store) => Object.keys(whole).filter((key) => key.startsWith(`${store}/`));
  const tally = { rows: 0, told: 0 };
  for (let store = 0; store < STORES; store++) {
    const { what, rows } = spoil(whole, draw);
    const where = `store ${store} of seed ${seed}: ${what}`;
    const put = Object.entries({ ...whole, ...rows }).filter(([, value]) => value !== undefined).map(([key, value]) => ['put', value, key]);
    // From beside the page, which would write its own.
    await page.driver.get(`${page.server.url}licences.txt`);
    await records(page, ['clear'], ...put);

    // It comes up, with all that is whole; what is damaged is told, at once or when it is opened.
    await page.open('#days');
    const said = new Set();
    const look = async () => (await page.notices()).forEach((text) => said.add(text));
    await look();
    const listed = (act) => page.run(`return [...document.querySelectorAll('[data-act^="' + arguments[0] + '"]')].map((one) => one.dataset.act.slice(arguments[0].length))`, act);
    let last;
    for (const [screen, kind, act] of [['days', 'waters', 'book:water.'], ['tackle', 'tackle', 'book:item.'], ['days', 'days', 'book:open.']]) {
      await page.go(screen);
      const there = await listed(act);
      for (const key of names(kind)) {
        const id = key.slice(kind.length + 1);
        if (!(key in rows)) assert.ok(there.includes(id), `${where}: ${key} is listed`);
        if (!there.includes(id) || (kind === 'tackle' && !(key in rows))) continue;
        await page.go(screen);
        await page.run(`document.querySelector('[data-act="' + arguments[0] + '"]').click()`, act + id);
        await look();
        said.add(await page.run(`return document.querySelector('main').innerText`));
        if (kind === 'days' && !(key in rows)) last = key; // one that is damaged does not open
      }
    }
    // A step to undo knows its own place: two that are exchanged are whole.
    const isStep = (key, value) => key.startsWith('history/') && names('history').some((one) => whole[one] === value);
    const damaged = Object.entries(rows).filter(([key, value]) => value !== undefined && value !== whole[key] && !isStep(key, value));
    tally.rows += damaged.length;
    const told = [...said].some((text) => SAID.test(text));
    // A log is read with its day: without one it lies there as it is.
    const read = ([key]) => !key.startsWith('logs/') || !names('days').some((day) => day in rows && rows[day] === undefined && key.startsWith(day.replace('days', 'logs')));
    if (damaged.some(read)) assert.ok(told, `${where}: it is told`);
    tally.told += told;

    // A further change is kept, and beside it every other row, and every damaged one as it was found.
    const peg = String(1000 + draw.roll(9000));
    await page.set('water.peg', peg);
    await kept(page);
    await page.reload();
    assert.equal(await page.value('water.peg'), peg, `${where}: a further change is kept`);
    const after = await records(page);
    const texts = new Set(Object.values(after));
    for (const [key, value] of Object.entries(whole)) {
      // The page's own text and the steps go on with a change; so does the day that was opened last.
      if (!(key in rows) && key !== 'page' && !key.startsWith('history/') && key !== last) assert.equal(after[key], value, `${where}: ${key} as it was`);
    }
    for (const [key, value] of damaged) if (typeof value === 'string') assert.ok(texts.has(value), `${where}: what was found under ${key} is there`);
  }
  console.log(`${page.engine}: ${STORES} damaged stores, ${tally.rows} rows damaged, told in ${tally.told} of them, nothing else lost`);
}, { patience: STORES, ...MOST });
