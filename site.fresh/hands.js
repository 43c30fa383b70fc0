// What the share panel's buttons do: copy the link, hand it to the share sheet, save it as a file, open a file. The
// button that hands the preparation to the phone's calendar. And those of the about panel: report and erase.

import { lastError } from './keep.js';

const MOST_BYTES = 100_000;
let core;
let forget;

/** Says a sentence inside the panel. */
function say(sentence) {
  const place = document.querySelector('[data-share-said]');
  if (place) place.textContent = sentence;
}

/** Copies the link; where the clipboard is refused, marks it for the reader to copy. */
async function copy(field) {
  try {
    await navigator.clipboard.writeText(field.value);
    say('Copied.');
  } catch {
    field.focus();
    field.select();
    say('Copy what is marked by hand: this browser refuses to.');
  }
}

/** Hands the link to the phone's share sheet. Turning back is no error. */
async function send(field) {
  try {
    const what = field.value.startsWith('http') ? 'url' : 'text';
    await navigator.share({ title: 'Dotdown plan', [what]: field.value });
  } catch (error) {
    if (error.name !== 'AbortError') say('The share sheet did not open. Copy it instead.');
  }
}

function download(file) {
  const url = URL.createObjectURL(file);
  const link = Object.assign(document.createElement('a'), { href: url, download: file.name });
  link.click();
  setTimeout(() => URL.revokeObjectURL(url), 10_000);
}

/** Hands a file over: by the share sheet where a download would fail, else as a download. Gives a sentence about it. */
export async function handOver(file) {
  if (navigator.standalone === true && navigator.canShare?.({ files: [file] })) {
    try {
      await navigator.share({ files: [file] });
      return 'The file is handed over.';
    } catch (error) {
      return error.name === 'AbortError' ? '' : 'The file could not be handed over.';
    }
  }
  download(file);
  return 'The file is saved with your downloads.';
}

/** Saves the link as a file. */
async function save(field) {
  const said = await handOver(new File([field.value, '\n'], 'dotdown-plan.txt', { type: 'text/plain' }));
  if (said) say(said);
}

/** Hands the preparation to the phone's calendar: by the share sheet where it takes files, else as a download. */
async function toCalendar() {
  const say = (sentence) => {
    const place = document.querySelector('[data-calendar-said]');
    if (place) place.textContent = sentence;
  };
  const text = core.calendarFile();
  if (!text) return say('There is nothing to write into a calendar: check the date.');
  const file = new File([text], 'dotdown-prep.ics', { type: 'text/calendar' });
  if (matchMedia('(pointer: coarse)').matches && navigator.canShare?.({ files: [file] })) {
    try {
      await navigator.share({ files: [file] });
      return say('The file is handed over. Open it with your calendar.');
    } catch (error) {
      if (error.name === 'AbortError') return;
    }
  }
  download(file);
  say('The file is with your downloads. Open it with your calendar.');
}

/** Reads a file that the reader chose, and gives its text to the core. */
async function open(input) {
  const [file] = input.files;
  input.value = '';
  if (!file) return;
  if (file.size > MOST_BYTES) return say('This file is too large for a plan.');
  take(await file.text());
}

/** Gives the text of a link, a file or a paste to the core. */
function take(text) {
  document.getElementById('share').close();
  core.receive(text);
}

/** Whether the page is ready to open with no signal, in words. */
function offline() {
  if (document.getElementById('core-inside')) return 'one file, needs no network';
  try {
    return navigator.serviceWorker.controller ? 'ready' : 'not ready';
  } catch {
    return 'not offered here';
  }
}

/** Copies a problem report, and shows it: nobody should send what he has not seen. */
async function report() {
  const place = document.querySelector('[data-report]');
  const said = document.querySelector('[data-report-said]');
  const size = `${screen.width}\u00d7${screen.height} at ${devicePixelRatio}, window ${innerWidth}\u00d7${innerHeight}`;
  place.textContent = core.problemReport(navigator.userAgent, size, offline(), lastError(), document.querySelector('[data-report-plan]').checked);
  place.hidden = false;
  try {
    await navigator.clipboard.writeText(place.textContent);
    said.textContent = 'Copied. Paste it into a message.';
  } catch {
    getSelection().selectAllChildren(place);
    said.textContent = 'Copy the marked text by hand: this browser refuses to.';
  }
}

/** Erases everything that the phone keeps for this page, and starts it anew. */
async function erase() {
  core.forget(); // or it would save once more on its way out
  await forget();
  location.replace('#day');
  location.reload();
}

/** Follows a link within the page in a viewer's frame, where it would lead out of the page or be refused. */
function follow(event) {
  const link = event.target.closest('a[href^="#"]');
  const bare = (url) => url.split('#')[0];
  if (!link || (bare(link.href) === bare(location.href) && (origin !== 'null' || parent === window))) return;
  event.preventDefault();
  core.follow(link.hash.slice(1));
}

/** Keeps what has the focus clear of the head and the bar, which stay where they are while the page scrolls. */
function clear({ target }) {
  // Only for the keyboard: under a mouse the page must not move between press and release.
  if (!target.matches(':focus-visible') || target.closest('body > nav, header, dialog')) return;
  const { top, bottom } = target.getBoundingClientRect();
  const bar = document.querySelector('body > nav').getBoundingClientRect();
  const above = bar.top < innerHeight / 2; // on a wide screen the bar lies under the head
  const head = above ? bar.bottom : document.querySelector('body > header').getBoundingClientRect().bottom;
  const foot = above ? innerHeight : bar.top;
  if (top < head) scrollBy(0, top - head - 16);
  else if (bottom > foot - 8) scrollBy(0, bottom - foot + 16);
}

/** Listens once the core is there; `erased` erases what the phone keeps. */
export function use(started, erased) {
  core = started;
  forget = erased;
  document.addEventListener('focusin', clear);
  const panel = document.getElementById('share');
  panel.addEventListener('click', ({ target }) => {
    const field = panel.querySelector('[data-share-link]');
    const act = target.closest('[data-act]')?.dataset.act;
    if (act === 'copy') copy(field);
    else if (act === 'send') send(field);
    else if (act === 'save') save(field);
    else if (act === 'paste') take(panel.querySelector('[data-paste]').value);
    else if (act === 'close-share' || target === panel) panel.close();
  });
  panel.addEventListener('change', ({ target }) => {
    if (target.matches('[data-open]')) open(target);
  });
  document.addEventListener('click', (event) => {
    follow(event);
    const { target } = event;
    const act = target.closest('[data-act]')?.dataset.act;
    if (act === 'calendar') toCalendar();
    else if (act === 'report') report();
    else if (act === 'erase-now') erase();
    else if (act === 'erase' || act === 'erase-not') {
      // Asked twice: it is the one thing that cannot be taken back.
      const sure = document.querySelector('[data-erase-sure]');
      sure.hidden = act !== 'erase';
      document.querySelector('[data-erase-said]').textContent = sure.hidden ? '' : 'Plan, ticks and session will be gone for good.';
      if (sure.hidden) document.querySelector('[data-act="erase"]').focus();
    }
  });
}
