// The page as one file, opened from the disk as one that came with a message: it does all that the hosted page does,
// asks for nothing, and says so where an engine keeps nothing for it.

import { createHash } from 'node:crypto';
import { readFileSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { test } from 'node:test';
import { pathToFileURL } from 'node:url';
import { SITE } from './harness.mjs';
import { assert, inEachEngine, kept, Key, SCREENS, until } from './page.mjs';

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
    'require-trusted-types-for': "'script'",
    'trusted-types': 'dotdown-markup dotdown-address',
  });
  const markup = page.replace(/<(script|style)\b[^>]*>[^]*?<\/\1>/g, '');
  for (const [, address] of markup.matchAll(/\s(?:href|src)="([^"]*)"/g)) assert.match(address, /^(#|data:)/);
  assert.doesNotMatch(page.replaceAll('http://www.w3.org/', ''), /https?:\/\/[a-z0-9-]+\.[a-z]/i);
});

test('no visit fetches the file: the service worker does not know it', () => {
  assert.doesNotMatch(readFileSync(path.join(SITE, 'sw.js'), 'utf8'), /dotdown\.html/);
});

/** Presses by script, once it is there: the running session may write its buttons anew at any moment. */
const press = (page, selector) => until(() => page.run(`
  const button = document.querySelector(arguments[0]);
  button?.click();
  return Boolean(button);`, selector), selector);

inEachEngine('one file from the disk does what the hosted page does, keeps it, and asks for nothing', async (page) => {
  const before = await page.allResults();
  for (const screen of SCREENS) assert.ok(Object.keys(before[screen]).length > 0, `${screen} shows a figure`);
  await page.act('tab:fall');
  await until(() => page.result('fall.settle'), 'the fall, from the worker');
  await page.set('bait.edge', '8');
  const speed = await page.result('sink.speed');
  assert.notEqual(speed, before.bait['sink.speed']);
  await kept(page);
  await page.reload();
  await page.show('bait');
  assert.match(await page.value('bait.edge'), /^8/);
  assert.equal(await page.result('sink.speed'), speed);

  // What is shared is the plan's text, which opens by address and by paste.
  const text = await page.share();
  assert.match(text, /^p\d+-\d+-[0-9a-f]{8}-/, 'the text, not the address of a file on this phone');
  await page.set('bait.edge', '9');
  const accept = async (edge) => {
    await press(page, '[data-act="pending:add"]');
    await until(async () => (await page.value('bait.edge')).startsWith(edge), 'the plan that came');
  };
  await page.open(`#${text}`);
  await accept('8');
  await page.set('bait.edge', '9');
  await page.act('share');
  assert.match(await page.run(`return document.getElementById('share').innerText`), /no link leads others.*whole plan/);
  await (await page.run(`const field = document.querySelector('[data-paste]'); field.closest('details').open = true; return field`)).sendKeys(`look at this: https://lake.invalid/x/#${text}`, Key.TAB);
  await page.act('paste');
  await accept('8');

  // A session, and its tap after a reload.
  await page.show('bank');
  await press(page, '[data-tap="start"]');
  await press(page, '#tap-fed');
  await until(() => page.run(`return document.getElementById('tap-undo')?.disabled === false`), 'the tap');
  await page.reload();
  await page.show('bank');
  await until(() => page.run(`return document.getElementById('tap-fed') && document.getElementById('tap-undo')?.disabled === false`), 'the session with its tap');

  assert.equal(await page.run(`return navigator.serviceWorker?.controller ?? null`), null);
  const asked = [...page.session.requests, ...await page.run(`return performance.getEntriesByType('resource').map((entry) => entry.name)`)];
  assert.deepEqual(asked.filter((url) => !/^(data:|blob:|about:)/.test(url) && url.split('#')[0] !== page.server.url), []);
}, { fromFile: true });

/** Viewers of attachments: the file in a sandboxed frame, by its address, or as the frame's own text. */
const VIEWERS = {
  address: () => `<iframe sandbox="allow-scripts" src="dotdown.html" width="900" height="700"></iframe>`,
  text: (page) => `<iframe sandbox="allow-scripts" srcdoc="${page.replaceAll('&', '&amp;').replaceAll('"', '&quot;')}" width="900" height="700"></iframe>`,
};

inEachEngine('one file in a sandboxed viewer works, and says that nothing is kept', async (page) => {
  const { driver, server } = page;
  for (const [kind, frame] of Object.entries(VIEWERS)) {
    const viewer = path.join(server.folder, `${kind}.html`);
    writeFileSync(viewer, `<!doctype html><meta charset="utf-8"><title>viewer</title>${frame(whole())}`);
    await driver.get(String(pathToFileURL(viewer)));
    await driver.switchTo().frame(0);
    await page.ready();
    await page.notice(/keeps nothing for this page.*save a backup/);
    await page.show('bait');
    const speed = await page.result('sink.speed');
    await page.run(`document.getElementById('to-bait-cube').click()`);
    await until(() => page.run(`return document.querySelector('[data-field="bait.edge"]') !== null`), 'the sheet');
    // By script: in a frame the driver may scroll the field under the bar.
    await page.run(`const field = document.querySelector('[data-field="bait.edge"]'); field.value = '9'; field.dispatchEvent(new InputEvent('input', { bubbles: true }))`);
    await until(async () => (await page.result('sink.speed')) !== speed, 'a new speed');
    await page.show('rigs');
    await page.run(`document.getElementById('tab-fall').click()`);
    await until(() => page.run(`return document.querySelector('[data-result="fall.settle"]') !== null`), 'the fall');
    await page.show('bank');
    await press(page, '[data-tap="start"]');
    await page.notice(/lost when the page closes/);
    await press(page, '#tap-fed');
    await until(() => page.run(`return document.getElementById('tap-undo')?.disabled === false`), 'the tap');
    await driver.switchTo().defaultContent();
    // What listens for WebKit has nowhere to write in a sandbox.
    if (page.engine !== 'webkit') assert.deepEqual(await page.session.errors(), [], kind);
  }
}, { fromFile: true, open: false, faults: true });

inEachEngine('one file where a viewer runs no worker says so in place of the fall', async (page) => {
  writeFileSync(page.server.file, readFileSync(page.server.file, 'utf8').replace('worker-src blob:', "worker-src 'none'"));
  await page.open('#rigs');
  await page.act('tab:fall');
  await until(async () => /could not run here/.test((await page.result('fall.trouble')) ?? ''), 'the sentence');
  await page.set('bait.edge', '9');
  assert.match(await page.value('bait.edge'), /^9/);
}, { engines: ['chromium'], fromFile: true, open: false, faults: true });

inEachEngine('one file on a host shares its own link', async (page) => {
  await page.driver.get(`${page.server.url}dotdown.html`);
  await page.ready();
  assert.ok((await page.share()).startsWith(`${page.server.url}dotdown.html#p`));
}, { engines: ['chromium'], open: false });
