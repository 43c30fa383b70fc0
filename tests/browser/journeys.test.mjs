// What a user does from the kitchen table to the bank, in each engine.

import { assert, By, inEachEngine, kept, Key, Page, SCREENS, until } from './page.mjs';
import { Server, Session, siteFor } from './harness.mjs';

inEachEngine('a changed number is followed by every screen', async (page) => {
  const before = await page.allResults();
  for (const screen of SCREENS) assert.ok(Object.keys(before[screen]).length > 0, `${screen} shows a figure`);
  await page.set('bait.edge', '8');
  await page.set('water.depth', '9 ft');
  await page.set('feed.0.cubes', '60');
  const after = await page.allResults();
  for (const screen of SCREENS) assert.notDeepEqual(after[screen], before[screen], `${screen} followed`);
  const seconds = (all) => Number.parseFloat(all.bait['sink.eighteen'].replace(',', '.'));
  assert.ok(seconds(after) < seconds(before), `a larger cube falls faster: ${before.bait['sink.eighteen']} to ${after.bait['sink.eighteen']} s`);
});

inEachEngine('the plus and minus buttons step a field', async (page) => {
  const field = await page.field('bait.edge');
  const before = await page.value('bait.edge');
  const speed = await page.result('sink.speed');
  const press = async (by) => (await page.driver.findElement(By.css(`[data-step="bait.edge"][data-by="${by}"]`))).click();
  await press(1);
  await until(async () => (await page.value('bait.edge')) !== before, 'the next step');
  assert.notEqual(await page.result('sink.speed'), speed);
  await press(-1);
  await until(async () => (await page.value('bait.edge')) === before, 'the step back');
  assert.equal(await page.result('sink.speed'), speed);
  assert.ok(await field.isDisplayed(), 'the field itself stays, and with it the focus');
});

inEachEngine('a tick and a change survive a reload', async (page) => {
  await page.sheet('day.prep');
  const tick = () => page.run(`
    const box = [...document.querySelectorAll('[data-tick]:not(:disabled)')].find((one) => {
      for (let box = one.closest('details'); box; box = box.parentElement.closest('details')) box.open = true;
      return one.checkVisibility();
    });
    box.scrollIntoView({ block: 'center' });
    return box;`);
  const box = await tick();
  const name = await page.run(`return arguments[0].dataset.tick`, box);
  await box.click();
  const checked = () => page.run(`return document.querySelector('[data-tick="' + arguments[0] + '"]').checked`, name);
  assert.equal(await checked(), true);
  await page.set('bait.edge', '7.5');
  await page.reload();
  assert.match(await page.value('bait.edge'), /^7[.,]5/);
  await page.sheet('day.prep');
  assert.equal(await checked(), true, 'still ticked');
  await (await tick()).click();
  await page.reload();
  await page.sheet('day.prep');
  assert.equal(await checked(), false, 'and off again');
});

inEachEngine('a shared link opens to the same plan on another phone', async (page) => {
  await page.set('bait.edge', '7');
  await page.set('water.venue', 'Mill Pool');
  const link = await page.share();
  const { origin, pathname, hash } = new URL(link);
  assert.equal(origin + pathname, page.server.url.replace(/\/$/, '/'));
  assert.ok(link.length <= 500, `${link.length} characters`);
  assert.match(hash.slice(1), /^[A-Za-z0-9]+([-._~][A-Za-z0-9]+)*$/, 'letters and digits with separators, ending in one of them');
  for (const run of hash.slice(1).split(/[^A-Za-z0-9]/)) assert.ok(run.length <= 64, 'no long unbroken run');
  const mine = await page.allResults();
  // Another phone: of another origin, it has nothing of this one's.
  const server = await Server.start({ site: siteFor(page.engine) });
  try {
    const other = new Page(server, page.session);
    await other.open(hash);
    await other.run(`document.querySelector('[data-act="pending:add"]')?.click()`);
    await until(async () => /Mill Pool/.test(await other.run(`return document.body.innerText`)), 'the plan from the link');
    assert.deepEqual(await other.allResults(), mine);
    assert.equal(await other.fingerprint(), hash);
  } finally {
    // The test ends where it began, and what the other phone asked its own host for is no stranger.
    await page.open();
    const { origin: theirs } = new URL(server.url);
    page.session.requests = page.session.requests.filter((url) => !url.startsWith(theirs));
    await server.stop();
  }
});

inEachEngine('a link is offered, and its day stands beside mine', async (page) => {
  await page.set('bait.edge', '9');
  const theirs = await page.fingerprint();
  await page.set('bait.edge', '5');
  await page.set('water.venue', 'My own pool');
  const mine = await page.fingerprint();
  assert.notEqual(theirs, mine);
  for (const answer of ['pending:leave', 'pending:add']) {
    await page.open(theirs);
    await until(() => page.run(`return document.querySelector('[data-act="${answer}"]')?.checkVisibility()`), 'the question');
    await page.show('day');
    assert.match(await page.run(`return document.body.innerText`), /My own pool/, 'nothing is replaced while the question stands');
    await page.act(answer);
    await until(() => page.run(`return !document.querySelector('[data-act="${answer}"]')`), 'the question to go');
    assert.equal(await page.fingerprint(), answer === 'pending:leave' ? mine : theirs);
  }
  await page.act('undo');
  assert.equal(await page.fingerprint(), mine, 'and it can be taken back');
  await page.reload();
  assert.equal(await page.fingerprint(), mine, 'a reload does not ask again or forget');
});

inEachEngine('a link pasted over an open page asks as well', async (page) => {
  await page.set('bait.edge', '9');
  const theirs = await page.fingerprint();
  await page.set('bait.edge', '5');
  await page.run(`location.hash = arguments[0]`, theirs);
  await until(() => page.run(`return document.querySelector('[data-act="pending:leave"]')?.checkVisibility()`), 'the question');
  await page.act('pending:leave');
  assert.match(await page.value('bait.edge'), /^5/);
});

inEachEngine('the keyboard alone does the main job', async (page) => {
  const { driver } = page;
  const press = (...keys) => driver.actions().sendKeys(...keys).perform();
  // Not merely active: while the focus is in the browser's own bar, an element of the page stays active.
  const at = (selector) => page.run(`return document.activeElement.matches(arguments[0]) && (document.hasFocus() || document.activeElement.matches(':focus'))`, selector);
  // The focus has an outline, and is not covered by the bar or anything else.
  const seen = async () => {
    const fault = await page.run(`
      const focus = document.activeElement;
      if (focus.matches('body, dialog, main') || !focus.matches(':focus')) return ''; // the focus is in the browser's own bar
      const { outlineStyle, outlineWidth } = getComputedStyle(focus);
      if (outlineStyle === 'none' || parseFloat(outlineWidth) < 2) return 'no outline: ' + outlineStyle + ' ' + outlineWidth;
      const { left, top, width, height } = focus.getBoundingClientRect();
      const over = document.elementFromPoint(left + width / 2, top + height / 2);
      return focus.contains(over) || over?.contains(focus) ? '' : 'covered by ' + (over?.outerHTML.slice(0, 80) ?? 'the edge of the screen');`);
    assert.equal(fault, '', await page.run('return document.activeElement.outerHTML.slice(0, 120)'));
  };
  // Forwards or back, never past the page's ends, where the browser's own bar has the focus.
  const tabTo = async (selector, back = false) => {
    for (let i = 0; i < 250; i++) {
      if (await at(selector)) return;
      if (back) await driver.actions().keyDown(Key.SHIFT).sendKeys(Key.TAB).keyUp(Key.SHIFT).perform();
      else await press(Key.TAB);
      if (!(await at('body'))) await seen();
    }
    assert.fail(`Tab never reaches ${selector}`);
  };
  await tabTo('nav a[href="#bait"]');
  await press(Key.ENTER);
  await until(() => page.run(`return document.querySelector('nav a[aria-current]')?.getAttribute('href') === '#bait'`), 'the bait screen');
  const before = await page.result('sink.speed');
  const open = async (row, title) => {
    await tabTo(row, !(await page.run(`return document.activeElement.matches('body, main')`)));
    await press(Key.ENTER);
    await until(() => page.run(`return document.activeElement.id === 'sheet-title' && document.activeElement.textContent === arguments[0]`, title), `the sheet ${title}`);
  };
  await open('#to-bait-cube', 'Cube size');
  await tabTo('[data-field="bait.edge"]');
  await driver.actions().keyDown(Key.CONTROL).sendKeys('a').keyUp(Key.CONTROL).perform();
  await press('9', Key.TAB);
  await until(async () => (await page.result('sink.speed')) !== before, 'a new speed');
  assert.equal(await at('body'), false, 'the focus is kept after a change');
  await press(Key.ESCAPE);
  await until(() => at('#to-bait-cube'), 'the focus back on the row');
  await tabTo('nav a[href="#day"]');
  await press(Key.ENTER);
  await until(() => page.run(`return document.body.dataset.screen === 'day'`), 'the day');
  await open('#to-day-prep', 'Prep');
  await tabTo('[data-tick]');
  await press(' ');
  await until(() => page.run(`return document.activeElement.matches('[data-tick]') && document.activeElement.checked`), 'the tick, with the focus still there', 5000);
  await press(Key.ESCAPE);
  await until(() => at('#to-day-prep'), 'the focus back on the row');
  await tabTo('nav a[href="#rigs"]');
  await press(Key.ENTER);
  await until(() => page.run(`return document.querySelector('nav a[aria-current]')?.getAttribute('href') === '#rigs'`), 'the rigs screen');
  await tabTo('[data-act="share"]', true);
  await press(Key.ENTER);
  await until(() => page.run(`return document.activeElement.closest('dialog') !== null`), 'the focus in the share panel');
  await tabTo('[data-share-link]');
  await press(Key.ESCAPE);
  await until(() => at('[data-act="share"]'), 'the focus back on the button');
});

inEachEngine('two tabs do not overwrite each other', async (page) => {
  const { driver } = page;
  const first = await driver.getWindowHandle();
  await driver.switchTo().newWindow('tab');
  await page.open();
  await page.set('bait.edge', '9');
  await driver.switchTo().window(first);
  await until(async () => /^9/.test(await page.value('bait.edge')) || (await page.notices()).some((text) => /tab|window/i.test(text)),
    'the first tab to follow, or to say that another one changed the plan');
}, { engines: ['chromium', 'firefox'] });

inEachEngine('a change is told as kept within a moment, and then outlives a kill', async (page) => {
  const { profile } = page.session.options;
  for (const edge of process.env.DOTDOWN_LONG ? ['7', '8.5'] : ['8.5']) {
    await page.set('bait.edge', edge);
    await kept(page);
    await page.session.crash();
    page.session = await Session.open(page.engine, { profile });
    page.driver = page.session.driver;
    await page.open('#bait');
    assert.ok((await page.value('bait.edge')).replace(',', '.').startsWith(edge), `${edge} is there`);
  }
}, { engines: ['chromium', 'firefox'], keep: true });
