// The tub test: the page is the stopwatch, and nothing that was timed is ever lost.

import { assert, By, inEachEngine, Key, until } from './page.mjs';

/** Opens a part of the bait screen. */
async function part(page, name) {
  await page.sheet(`bait.${name}`);
}

const tap = async (page) => (await page.driver.findElement(By.id('tap'))).click();
const drops = async (page) => (await page.result('tub.drops'))?.match(/\d+[.,]\d+/g)?.map((text) => Number(text.replace(',', '.'))) ?? [];
const state = (page) => page.result('tub.state');
const wait = (ms) => new Promise((done) => setTimeout(done, ms));

inEachEngine('a tub test goes on after a reload in the middle of a drop, and its drops replace the label', async (page) => {
  await page.show('bait');
  const label = await page.result('sink.speed');
  await part(page, 'tub');
  await page.set('tub.depth', '4 in');
  /** Taps, and gives between which two moments the page was tapped, s. */
  const timed = async () => {
    const before = Date.now() / 1000;
    await tap(page);
    return [before, Date.now() / 1000];
  };
  /** Whether a time that the page took can lie between two taps; it writes hundredths. */
  const between = (s, [drop, dropped], [land, landed]) => s >= land - dropped - 0.01 && s <= landed - drop + 0.01;
  let dropped = await timed();
  assert.match(await state(page), /Drop 1 is falling/);
  await wait(1500);
  let landed = await timed();
  assert.equal((await drops(page)).length, 1);
  const [first] = await drops(page);
  assert.ok(between(first, dropped, landed), `${first} s between taps at ${dropped} and ${landed}`);
  dropped = await timed();
  await page.reload();
  assert.match(await state(page), /Drop 2 is falling/, 'the reload opens where the piece is falling');
  assert.deepEqual(await drops(page), [first], 'and the drop before it is there');
  await wait(700); // a fall under 0.3 s is taken for a double tap, and some engines reload in less
  landed = await timed();
  const [, second] = await drops(page);
  assert.ok(between(second, dropped, landed), `${second} s from the first tap, not from the reload: ${dropped}, ${landed}`);
  await page.reload();
  await part(page, 'tub');
  assert.deepEqual(await drops(page), [first, second], 'both are kept');
  assert.notEqual(await page.result('sink.speed'), label, 'the fall follows the drops');
  assert.match(await page.run(`return document.querySelector('main').innerText`), /label and 2 drops/);
  const link = await page.fingerprint();
  await part(page, 'tub');
  await page.act('tub:new');
  assert.deepEqual(await drops(page), []);
  await page.open(link);
  await until(() => page.run(`return Boolean(document.querySelector('[data-act="pending:add"]'))`), 'the question');
  await page.act('pending:add');
  await part(page, 'tub');
  assert.deepEqual(await drops(page), [first, second], 'the drops cross in the link');
});

inEachEngine('one thumb or the keyboard alone: tap, undo, and a double tap that is no drop', async (page) => {
  const { driver } = page;
  await part(page, 'tub');
  const press = (key) => driver.actions().sendKeys(key).perform();
  await page.run(`document.getElementById('tap').focus()`);
  await press(Key.SPACE);
  await until(async () => /Drop 1 is falling/.test(await state(page)), 'the space key to let go');
  assert.equal(await page.run(`return document.activeElement.id`), 'tap', 'the focus stays on the button');
  await wait(700);
  await press(Key.ENTER);
  await until(async () => (await drops(page)).length === 1, 'the enter key to land it');
  await page.act('tub:undo');
  assert.match(await state(page), /Drop 1 is falling/, 'the landing is taken back, the piece still falls');
  await page.act('tub:undo');
  assert.match(await state(page), /Hold a piece/, 'and the drop too');
  await page.run(`document.getElementById('tap').click(); document.getElementById('tap').click();`);
  await page.notice(/left out/);
  assert.deepEqual(await drops(page), []);
  const height = await page.run(`return document.getElementById('tap').getBoundingClientRect().height`);
  assert.ok(height >= 96, `a thumb finds it: ${height} px`);
});

inEachEngine('counts and times that cannot be are refused beside the field and lose nothing', async (page) => {
  await part(page, 'tub');
  await page.set('tub.pieces', '20');
  await page.set('tub.floated', '5');
  const refusal = (path) => page.run(`const place = document.querySelector('[data-error="' + arguments[0] + '"]'); return place.hidden ? '' : place.innerText`, path);
  for (const [path, text] of [['tub.pieces', '4'], ['tub.came_up', '6'], ['tub.floated', '99'], ['tub.by_hand', '0'], ['tub.by_hand', '-2'], ['tub.by_hand', '121'], ['tub.depth', '9 ft']]) {
    await page.set(path, text);
    assert.match(await refusal(path), /\S/, `${path} ${text}`);
    assert.equal(await page.value(path), text, 'what was typed stays');
  }
  await page.set('tub.pieces', '30');
  await page.set('tub.floated', '6');
  await page.set('tub.came_up', '6');
  await page.set('tub.by_hand', '6.2');
  await page.act('tub:add');
  assert.deepEqual(await drops(page), [6.2]);
  await part(page, 'wash');
  assert.match(await page.result('float.light'), /6/);
  assert.match(await page.result('float.cures'), /\S/);
});

inEachEngine('computed times are proposed and the preparation goes into a calendar file', async (page) => {
  await part(page, 'cold');
  await page.set('prep.thaw', '180');
  const before = await page.value('prep.thaw');
  await part(page, 'cold');
  await page.act('use:thaw');
  assert.notEqual(await page.value('prep.thaw'), before);
  await page.act('undo');
  assert.equal(await page.value('prep.thaw'), before);
  // The file is looked at where the browser is handed it.
  await page.run(`
    const real = URL.createObjectURL;
    URL.createObjectURL = (file) => {
      file.text().then((text) => { window.handed = { name: file.name, type: file.type, text }; });
      return real.call(URL, file);
    };
    Object.defineProperty(navigator, 'canShare', { value: () => false, configurable: true });`);
  await page.act('calendar');
  const file = await until(() => page.run(`return window.handed ?? null`), 'the file');
  assert.equal(file.name, 'withybank-lake-2026-07-11-prep.ics');
  assert.match(file.type, /^text\/calendar/);
  assert.match(file.text, /^BEGIN:VCALENDAR\r\n/);
  assert.ok(file.text.match(/BEGIN:VEVENT/g).length >= 8, 'every step and the all-in');
  assert.doesNotMatch(file.text, /DTSTART[^\r]*Z|TZID/, 'local time that floats');
  assert.match(file.text, /BEGIN:VALARM/);
});
