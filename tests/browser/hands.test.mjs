// What the share panel's buttons do with the phone's own means: clipboard, share sheet, downloads, files. The means are
// replaced where an engine under test has none; the wiring from the button to them is the page's own.

import { mkdtempSync, readFileSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { runFirst, siteCopy } from './harness.mjs';
import { assert, inEachEngine, until } from './page.mjs';

/** Share sheet, clipboard and downloads that keep what they were given, and refuse by the error named in `window.refuse`. */
const MEANS = `
  window.given = [];
  const take = (kind) => async (what) => {
    if (window.refuse) throw new DOMException('refused', window.refuse);
    window.given.push([kind, what]);
  };
  const put = (name, value) => Object.defineProperty(navigator, name, { configurable: true, value });
  put('share', take('share'));
  put('canShare', () => true);
  put('clipboard', { writeText: take('copy') });
  const url = URL.createObjectURL;
  URL.createObjectURL = (file) => { if (file instanceof File) window.given.push(['download', { files: [file] }]); return url(file); };
  HTMLAnchorElement.prototype.click = function () { if (!this.download) this.dispatchEvent(new MouseEvent('click', { bubbles: true })); };`;

const openPanel = async (page) => {
  await page.act('share');
  return until(() => page.run(`return document.querySelector('[data-share-link]')?.value`), 'the link');
};
const said = (page) => page.run(`return document.querySelector('[data-share-said]').textContent`);
const saying = (page, pattern) => until(async () => pattern.test(await said(page)), `a sentence like ${pattern}`);
/** What was handed over last, with the text of its file. */
const given = (page) => until(() => page.driver.executeAsyncScript(`
  const done = arguments[0];
  const last = window.given.pop();
  if (!last) return done(null);
  const [kind, what] = last;
  const [file] = what.files ?? [];
  if (!file) return done({ kind, what });
  file.text().then((text) => done({ kind, name: file.name, type: file.type, text }));`), 'what is handed over');
/** Gives a file to the panel's file field. */
const choose = (page, text) => page.run(`
  const input = document.querySelector('[data-open]');
  const list = new DataTransfer();
  list.items.add(new File([arguments[0]], 'plan.txt', { type: 'text/plain' }));
  input.files = list.files;
  input.dispatchEvent(new Event('change', { bubbles: true }));`, text);

inEachEngine('the share panel copies, sends, saves and opens; a cancel is no error, a refusal gets a sentence', async (page) => {
  // Before the page starts: it looks once whether there is a share sheet.
  const { site, drop } = siteCopy(page);
  try {
    runFirst(site, 'means.js', `{ ${MEANS} }`);
    await page.server.restart(site);
    await page.open();
    await panel(page);
  } finally {
    drop();
  }
}, { open: false });

async function panel(page) {
  const link = await openPanel(page);
  await page.act('copy');
  assert.deepEqual(await given(page), { kind: 'copy', what: link });
  await saying(page, /^Copied/);
  await page.run(`window.refuse = 'NotAllowedError'`);
  await page.act('copy');
  await saying(page, /by hand/);
  assert.equal(await page.run(`const field = document.activeElement; return field.value.slice(field.selectionStart, field.selectionEnd)`), link, 'it is marked');

  // The share sheet: the reader turns back, it fails, it works.
  await page.run(`window.refuse = 'AbortError'; document.querySelector('[data-share-said]').textContent = ''`);
  await page.act('send');
  await page.driver.executeAsyncScript('setTimeout(arguments[0], 50)');
  assert.equal(await said(page), '');
  await page.run(`window.refuse = 'DataError'`);
  await page.act('send');
  await saying(page, /did not open/);
  await page.run(`window.refuse = ''`);
  await page.act('send');
  assert.deepEqual(await given(page), { kind: 'share', what: { title: 'Dotdown plan', url: link } });

  // A file: as a download, or by the share sheet where a page on the home screen cannot download.
  await page.act('save');
  const file = { name: 'withybank-lake-2026-07-11-plan.txt', type: 'text/plain', text: `${link}\n` };
  assert.deepEqual(await given(page), { kind: 'download', ...file });
  await saying(page, /with your downloads/);
  await page.run(`Object.defineProperty(navigator, 'standalone', { configurable: true, value: true })`);
  await page.act('save');
  assert.deepEqual(await given(page), { kind: 'share', ...file });
  await saying(page, /handed over/);
  await page.run(`window.refuse = 'AbortError'; document.querySelector('[data-share-said]').textContent = ''`);
  await page.act('save');
  await page.driver.executeAsyncScript('setTimeout(arguments[0], 50)');
  assert.equal(await said(page), '');

  // And back: the file opens to the same plan, another one and an overlong one change nothing.
  await page.run(`document.getElementById('share').close()`);
  await page.set('bait.edge', '9');
  await openPanel(page);
  await choose(page, `${link}\n`);
  await page.act('pending:add');
  assert.equal(await page.share(), link);
  await openPanel(page);
  await choose(page, '<b>no plan</b>');
  await page.notice(/not a plan’s link.*as it was/s);
  await openPanel(page);
  await choose(page, 'x'.repeat(100_001));
  await saying(page, /too large/);
  await page.run(`document.getElementById('share').close()`);
  assert.equal(await page.share(), link);
}

inEachEngine('a file saved to the disk opens again, with the browser’s own means', async (page) => {
  const folder = mkdtempSync(path.join(tmpdir(), 'dotdown-saved-'));
  try {
    await page.session.cdp('Browser.setDownloadBehavior', { behavior: 'allow', downloadPath: folder });
    await page.set('bait.edge', '7.5');
    const link = await openPanel(page);
    await page.act('save');
    const file = path.join(folder, 'withybank-lake-2026-07-11-plan.txt');
    await until(() => readdirSync(folder).includes('withybank-lake-2026-07-11-plan.txt') && readFileSync(file, 'utf8') === `${link}\n`, 'the file');
    await page.act('close-share');
    await page.set('bait.edge', '9');
    await openPanel(page);
    await (await page.run(`const field = document.querySelector('[data-open]'); field.closest('details').open = true; return field`)).sendKeys(file);
    await page.act('pending:add');
    assert.equal(await page.share(), link);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}, { engines: ['chromium'], own: true }); // where a browser saves to is the browser's

inEachEngine('a worked day is offered by its name in a link, and stands beside an own day', async (page) => {
  await page.go('days');
  await page.run(`document.querySelector('main a[href="#pond"]').click()`);
  await until(() => page.run(`const add = document.querySelector('[data-act="pending:add"]'); add?.click(); return add !== null`), 'the day of the link');
  const pond = await page.fingerprint();
  await page.go('days');
  const links = await page.run(`return [...document.querySelectorAll('[data-keep="worked"] a')].map((one) => one.getAttribute('href'))`);
  assert.deepEqual(links, ['#summer', '#pond', '#cold']);
  await page.set('bait.edge', '9');
  const mine = await page.fingerprint();
  await page.open('#cold');
  await page.act('pending:leave');
  assert.equal(await page.fingerprint(), mine);
  await page.open('#pond');
  await page.act('pending:add');
  assert.equal(await page.fingerprint(), pond);
  await page.open('#nowhere');
  await page.notice(/not a plan’s link/);
}, { engines: ['chromium'] });
