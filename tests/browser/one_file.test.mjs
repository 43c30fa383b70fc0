// The page as one file, opened from the disk as one that came with a message: it does all that the hosted page does,
// asks for nothing, and says so where an engine keeps nothing for it.

import { createHash } from 'node:crypto';
import { readFileSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { test } from 'node:test';
import { pathToFileURL } from 'node:url';
import { SITE, Session } from './harness.mjs';
import { assert, inEachEngine, Page, SCREENS, until } from './page.mjs';

const whole = () => readFileSync(path.join(SITE, 'dotdown.html'), 'utf8');
const hash = (text) => `'sha256-${createHash('sha256').update(text).digest('base64')}'`;

test('the file names no other file, and its policy allows exactly the scripts and the style inside', () => {
  const page = whole();
  const [, policy] = /http-equiv="Content-Security-Policy" content="([^"]*)"/.exec(page);
  const scripts = [...page.matchAll(/<script(?: type="module")?>([^]*?)<\/script>/g)].map(([, text]) => hash(text));
  const styles = [...page.matchAll(/<style>([^]*?)<\/style>/g)].map(([, text]) => hash(text));
  assert.deepEqual([scripts.length, styles.length], [2, 1]);
  assert.deepEqual(Object.fromEntries(policy.split(';').map((part) => part.trim().split(/ (.*)/s).slice(0, 2))), {
    'default-src': "'none'",
    'script-src': `${scripts.join(' ')} 'wasm-unsafe-eval'`,
    'style-src': styles[0],
    'img-src': 'data: blob:',
    'worker-src': 'blob:',
    'base-uri': "'none'",
    'form-action': "'none'",
  });
  const markup = page.replace(/<(script|style)\b[^>]*>[^]*?<\/\1>/g, '');
  for (const [, address] of markup.matchAll(/\s(?:href|src)="([^"]*)"/g)) assert.match(address, /^(#|data:)/);
  assert.doesNotMatch(page.replaceAll('http://www.w3.org/', ''), /https?:\/\/[a-z0-9-]+\.[a-z]/i);
});

test('no visit fetches the file: the service worker does not know it', () => {
  assert.doesNotMatch(readFileSync(path.join(SITE, 'sw.js'), 'utf8'), /dotdown\.html/);
});

inEachEngine('one file: the five screens, a change, a fall from the worker, and all of it kept over a reload', async (page) => {
  const before = await page.allResults();
  for (const screen of SCREENS) assert.ok(Object.keys(before[screen]).length > 0, `${screen} shows a figure`);
  await page.show('rigs');
  await until(() => page.result('fall.settle'), 'the fall');
  await page.set('bait.edge', '8');
  const speed = await page.result('sink.speed');
  assert.notEqual(speed, before.bait['sink.speed']);
  const kept = () => page.run(`return document.documentElement.dataset.kept === localStorage.getItem('dotdown.count')`);
  await until(kept, 'the second copy');
  await page.reload();
  await page.show('bait');
  assert.match(await page.value('bait.edge'), /^8/);
  assert.equal(await page.result('sink.speed'), speed);
  assert.equal(await page.run(`return navigator.serviceWorker?.controller ?? null`), null);
  const asked = [...page.session.requests, ...await page.run(`return performance.getEntriesByType('resource').map((entry) => entry.name)`)];
  assert.deepEqual(asked.filter((url) => !/^(data:|blob:|about:)/.test(url) && url.split('#')[0] !== page.server.url), []);
}, { fromFile: true });

inEachEngine('one file: a session runs, and its taps are there after a reload', async (page) => {
  await page.show('bank');
  await (await until(() => page.run(`return document.querySelector('[data-tap="start"]')`), 'the start')).click();
  await (await until(() => page.run(`return document.getElementById('tap-fed')`), 'the pad')).click();
  await page.reload();
  await page.show('bank');
  await until(() => page.run(`return document.getElementById('tap-fed') && document.getElementById('tap-undo')?.disabled === false`), 'the session with its tap');
}, { fromFile: true });

inEachEngine('one file: the share panel gives a text, which opens by address and by paste in another copy', async (page) => {
  await page.set('bait.edge', '7');
  const text = await page.share();
  assert.match(text, /^p\d+-\d+-[0-9a-f]{8}-/, 'the text, not the address of a file on this phone');
  await page.act('share');
  const panel = await page.run(`return document.getElementById('share').innerText`);
  assert.match(panel, /no link leads others/);
  assert.match(panel, /whole plan/);
  assert.match(await page.run(`return document.querySelector('.code').getAttribute('aria-label')`), /QR/);
  const session = await Session.open(page.engine);
  try {
    const other = new Page(page.server, session);
    await other.open(`#${text}`);
    await other.notice(/is open/);
    assert.match(await other.value('bait.edge'), /^7/);
    await other.set('bait.edge', '9');
    await other.act('share');
    const field = await other.run(`return document.querySelector('[data-paste]')`);
    await field.sendKeys(`look at this: https://lake.invalid/x/#${text}`);
    await other.act('paste');
    await until(() => other.run(`return document.querySelector('[data-act="accept"]')?.checkVisibility()`), 'the question');
    await other.act('accept');
    await until(async () => /^7/.test(await other.value('bait.edge')), 'the plan that was pasted');
    assert.deepEqual(await session.errors(), []);
  } finally {
    await session.kill();
  }
}, { fromFile: true });

inEachEngine('one file: in a sandboxed viewer it works, and says that nothing is kept', async (page) => {
  const { driver, server } = page;
  writeFileSync(server.file, whole()); // what listens for WebKit has nowhere to write in a sandbox
  const viewer = path.join(server.folder, 'viewer.html');
  writeFileSync(viewer, '<!doctype html><title>viewer</title><iframe sandbox="allow-scripts" src="dotdown.html" width="900" height="800"></iframe>');
  await driver.get(String(pathToFileURL(viewer)));
  await driver.switchTo().frame(0);
  await page.ready();
  await page.notice(/keeps nothing for this page.*save your plan as a file/);
  await page.show('bait');
  const speed = await page.result('sink.speed');
  await page.set('bait.edge', '9');
  await until(async () => (await page.result('sink.speed')) !== speed, 'a new speed');
  await page.show('rigs');
  await until(() => page.run(`return document.querySelector('[data-result="fall.settle"]') !== null`), 'the fall');
  await page.show('bank');
  await page.run(`document.querySelector('[data-tap="start"]').click()`);
  await until(() => page.run(`return document.getElementById('tap-fed') !== null`), 'the pad');
  await page.notice(/lost when the page closes/);
  await page.run(`document.getElementById('tap-fed').click()`);
  await until(() => page.run(`return document.getElementById('tap-undo')?.disabled === false`), 'the tap');
  await driver.switchTo().defaultContent();
  if (page.engine !== 'webkit') assert.deepEqual(await page.session.errors(), []);
}, { fromFile: true, open: false, faults: true });

inEachEngine('one file on a host shares its own link', async (page) => {
  await page.driver.get(`${page.server.url}dotdown.html`);
  await page.ready();
  assert.ok((await page.share()).startsWith(`${page.server.url}dotdown.html#p`));
  assert.equal(await page.run(`return document.querySelector('link[rel="manifest"]')`), null);
}, { engines: ['chromium'], open: false });
