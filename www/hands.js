// What the share panel's buttons do: copy the link, hand it to the share sheet, save it as a file, open a file. And
// the button that hands the preparation to the phone's calendar.

const MOST_BYTES = 100_000;
let core;

/** Says a sentence inside the panel. */
function say(sentence) {
  const place = document.querySelector('[data-share-said]');
  if (place) place.textContent = sentence;
}

/** Copies the link; where the clipboard is refused, marks it for the reader to copy. */
async function copy(field) {
  try {
    await navigator.clipboard.writeText(field.value);
    say('The link is copied.');
  } catch {
    field.focus();
    field.select();
    say('Copy the marked link by hand: this browser refuses to.');
  }
}

/** Hands the link to the phone's share sheet. Turning back is no error. */
async function send(field) {
  try {
    await navigator.share({ title: 'Dotdown plan', url: field.value });
  } catch (error) {
    if (error.name !== 'AbortError') say('The share sheet did not open. Copy the link instead.');
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
  const text = await file.text();
  document.getElementById('share').close();
  core.receive(text);
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

/** Listens once the core is there. */
export function use(started) {
  core = started;
  document.addEventListener('focusin', clear);
  const panel = document.getElementById('share');
  panel.addEventListener('click', ({ target }) => {
    const field = panel.querySelector('[data-share-link]');
    const act = target.closest('[data-act]')?.dataset.act;
    if (act === 'copy') copy(field);
    else if (act === 'send') send(field);
    else if (act === 'save') save(field);
    else if (act === 'close-share' || target === panel) panel.close();
  });
  panel.addEventListener('change', ({ target }) => {
    if (target.matches('[data-open]')) open(target);
  });
  document.addEventListener('click', ({ target }) => {
    if (target.closest('[data-act="calendar"]')) toCalendar();
  });
}
