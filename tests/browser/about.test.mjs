// The about panel: what it says, the problem report with nothing personal in it, and erasing what the phone keeps.

import { readFileSync } from 'node:fs';
import path from 'node:path';
import { ROOT } from './harness.mjs';
import { assert, inEachEngine, Key, records, SCREENS, until } from './page.mjs';

const [, VERSION] = /^version = "(.*)"/m.exec(readFileSync(path.join(ROOT, 'Cargo.toml'), 'utf8'));

/** An error that the test itself makes. */
const BROKE = 'it broke';

/** Keeps what is copied, for the test to read: the engines under test have no clipboard that a script may read. */
const CLIPBOARD = `window.copied = []; Object.defineProperty(navigator, 'clipboard', { configurable: true, value: { writeText: async (text) => {
  if (window.refuse) throw new DOMException('no', 'NotAllowedError');
  window.copied.push(text);
} } })`;

/** It is a link away on every screen, and tells what it must. */
async function panel(page) {
  for (const screen of SCREENS) {
    await page.show(screen);
    assert.ok(await page.run(`return document.querySelector('footer a[href="#about"]').checkVisibility()`), screen);
  }
  // By keyboard, and back.
  await page.run(`document.querySelector('footer a').focus()`);
  await page.driver.actions().sendKeys(Key.ENTER).perform();
  await until(() => page.run(`return document.getElementById('about-title') !== null`), 'the panel');
  assert.equal(await page.run(`return document.querySelectorAll('nav a[aria-current]').length`), 0);
  const text = await page.run(`return document.getElementById('main').innerText`);
  for (const what of ['How far to trust it', 'Choi and Okos', 'Common practice', 'Overhead lines', 'Lightning', 'Sharp blades', 'Lead', 'What this phone keeps', 'MIT licence', `Dotdown ${VERSION}, build ${await page.run('return document.documentElement.dataset.build')}`]) {
    assert.ok(text.includes(what), what);
  }
  assert.match(await page.run('return document.documentElement.dataset.build'), /^[0-9a-f]{8}$/);
  assert.equal(await page.run(`return document.querySelector('a[download]').getAttribute('href')`), 'dotdown.html');
  await page.reload();
  assert.equal(await page.run(`return document.getElementById('about-title') !== null`), true, 'a reload stays');
  await page.driver.navigate().back();
  await until(() => page.run(`return document.querySelector('nav a[aria-current]')?.hash === '#bank'`), 'the way back');
}

/** The report names versions, browser, screen and the last error, and nothing of the plan unless asked. */
async function report(page) {
  await page.set('water.venue', 'Secretmere');
  await page.set('note', 'Secretnote');
  const link = (await page.fingerprint()).slice(1);
  await page.run(`${CLIPBOARD};
    dispatchEvent(new ErrorEvent('error', { message: '${BROKE} at ' + arguments[0] }));`, link);
  await page.about();
  const copy = async () => {
    await page.act('report');
    return until(() => page.run(`return window.copied.pop()`), 'the copy');
  };
  const text = await copy();
  const lines = text.split('\n');
  assert.deepEqual(lines.map((line) => line.split(':')[0]), [lines[0], 'Browser', 'Screen', 'Settings', 'Offline', 'Session', 'Last error']);
  assert.match(lines[0], /^Dotdown \d+\.\d+\.\d+, build [0-9a-f]{8}$/);
  assert.equal(lines[1], `Browser: ${await page.run('return navigator.userAgent')}`);
  assert.match(lines[2], /^Screen: \d+×\d+ at [\d.]+, window \d+×\d+$/);
  assert.equal(lines[3], 'Settings: feet and inches, decimal point, phone');
  assert.match(lines[4], /^Offline: (ready|not ready)$/);
  assert.match(lines[6], /^Last error: [0-9a-f]{8} it broke at \(a plan\)$/);
  assert.doesNotMatch(text, /Secret|p1-/);
  assert.equal(await page.run(`return document.querySelector('[data-report]').textContent`), text, 'what is copied is shown');
  assert.match(await page.run(`return document.querySelector('[data-report-said]').textContent`), /Copied/);

  await (await page.driver.findElement({ css: '[data-report-plan]' })).click();
  assert.ok((await copy()).endsWith(`\nPlan: ${link}`));

  // Where the clipboard is refused the text is marked.
  await page.run('window.refuse = true');
  await page.act('report');
  await until(() => page.run(`return /by hand/.test(document.querySelector('[data-report-said]').textContent)`), 'the sentence');
  assert.match(await page.run('return getSelection().toString()'), /^Dotdown/);
  for (const control of ['[data-act="report"]', '[data-report-plan]']) {
    const name = await (await page.driver.findElement({ css: control })).getAccessibleName().catch(() => undefined);
    if (page.engine !== 'webkit') assert.ok(name?.length > 5, `${control} has a name: ${name}`);
  }
}

/** Erasing asks twice, and then nothing is left. */
async function erase(page) {
  await page.set('water.venue', 'Secretmere');
  await page.show('bank');
  await until(() => page.run(`document.querySelector('[data-tap="start"]')?.click(); return document.getElementById('tap-fed') !== null`), 'the session');
  // What was set aside goes too.
  await records(page, ['put', 'Secretaside', 'aside/1']);
  await page.go('settings');
  await page.act('erase');
  await page.act('erase-not');
  assert.equal(await page.run(`return document.querySelector('[data-act="erase-now"]').checkVisibility()`), false);
  await page.reload();
  await page.show('day');
  assert.match(await page.run(`return document.getElementById('head').innerText`), /Secretmere/);
  await page.go('settings');
  await page.act('erase');
  await page.run('window.beforeErase = true');
  await page.act('erase-now');
  await until(() => page.run(`return !window.beforeErase && document.readyState === 'complete' && document.querySelector('main[data-ready] [data-result]') !== null`), 'the page anew');
  assert.deepEqual(await records(page), {});
  assert.deepEqual(await page.run(`return Object.keys(localStorage)`), []);
  assert.doesNotMatch(await page.run(`return document.body.innerText`), /Secretmere/);
  await page.show('bank');
  assert.ok(await until(() => page.run(`return document.querySelector('[data-tap="start"]') !== null`), 'no session'));
}

inEachEngine('the about panel tells what it must, reports what is wrong with nothing personal, and erases all', async (page) => {
  await panel(page);
  await report(page);
  await erase(page);
  assert.deepEqual((await page.session.errors()).filter((text) => !text.includes(BROKE)), []);
}, { faults: true });
