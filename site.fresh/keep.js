// A second copy of what the phone keeps. localStorage answers at once, but a browser may write it to the disk only
// seconds later, and a killed one then forgets. Each save is therefore also put into IndexedDB, to be on the disk
// before it counts as kept; at the next start the newer of the two copies wins.

const PREFIX = 'dotdown.';
const COUNT = `${PREFIX}count`;
const MOST_MS = 1500;

/** The small texts that the page keeps, by name. */
function texts() {
  const found = new Map();
  for (let i = 0; i < localStorage.length; i++) {
    const name = localStorage.key(i);
    if (name.startsWith(PREFIX)) found.set(name, localStorage.getItem(name));
  }
  return found;
}

/** A request or transaction as a promise. */
function done(target, good) {
  return new Promise((resolve, reject) => {
    target[good] = () => resolve(target.result);
    target.onerror = target.onabort = target.onblocked = () => reject(target.error ?? new Error('the second copy is blocked'));
  });
}

let base;

/** The database; opened again after it was closed under us. */
function database() {
  base ??= (async () => {
    // Named by the page's path: other copies of the page under this origin keep their own.
    const request = indexedDB.open(`dotdown ${location.pathname.replace(/[^/]*$/, '')}`, 1);
    request.onupgradeneeded = () => request.result.createObjectStore('texts');
    const opened = await done(request, 'onsuccess');
    opened.onclose = () => { base = undefined; };
    opened.onversionchange = () => opened.close();
    return opened;
  })();
  base.catch(() => { base = undefined; });
  return base;
}

let written = new Map();
let busy = false;
let again = false;

/** Puts what has changed since the last time on the disk, and then says up to which save. */
async function write() {
  if (busy) {
    again = true;
    return;
  }
  busy = true;
  try {
    do {
      again = false;
      const now = texts();
      const transaction = (await database()).transaction('texts', 'readwrite', { durability: 'strict' });
      const store = transaction.objectStore('texts');
      for (const [name, text] of now) if (written.get(name) !== text) store.put(text, name);
      for (const name of written.keys()) if (!now.has(name)) store.delete(name);
      await done(transaction, 'oncomplete');
      written = now;
      document.documentElement.dataset.kept = now.get(COUNT) ?? '0';
    } while (again);
  } finally {
    busy = false;
  }
}

const ALONE = `${PREFIX}alone`;
let alone = false; // there is no second copy
let tell;

/** Tells, once on each phone, that there is only the slower store. */
function tellAlone() {
  if (!alone || !tell || localStorage.getItem(ALONE) !== null) return;
  tell('This browser refuses the page its quicker store. After a change, leave the page open for some seconds before the phone goes off.');
  localStorage.setItem(ALONE, 'told');
}

/** The first copy is made; the second could not be. */
function failed() {
  document.documentElement.dataset.kept = 'no';
  alone = true;
  try {
    tellAlone();
  } catch {
    // no store at all: the page says so itself
  }
}

/** Counts a save, and copies it. The first copy is already made, so a failure here is no loss by itself. */
function saved() {
  try {
    const counts = [localStorage.getItem(COUNT), written.get(COUNT)].map((text) => Number(text) || 0);
    localStorage.setItem(COUNT, String(Math.max(...counts) + 1));
    write().catch(failed);
  } catch {
    document.documentElement.dataset.kept = 'no';
  }
}

/** Reads the second copy, and puts it back where it is newer. */
async function restore() {
  const store = (await database()).transaction('texts').objectStore('texts');
  const [names, values] = await Promise.all([done(store.getAllKeys(), 'onsuccess'), done(store.getAll(), 'onsuccess')]);
  written = new Map(names.map((name, i) => [name, values[i]]));
  if (!(Number(written.get(COUNT)) > Number(localStorage.getItem(COUNT)))) return;
  for (const name of texts().keys()) if (!written.has(name)) localStorage.removeItem(name);
  for (const [name, text] of written) localStorage.setItem(name, text);
}

/** Notes what went wrong, for the reader's problem report. */
function wrong(what) {
  try {
    localStorage.setItem(`${PREFIX}error`, `${document.documentElement.dataset.build ?? ''} ${what}`.slice(0, 300));
  } catch {
    // nothing is kept here
  }
}

/** The last thing that went wrong. */
export function lastError() {
  try {
    return localStorage.getItem(`${PREFIX}error`) ?? '';
  } catch {
    return '';
  }
}

/** Erases all texts and their second copy. */
export async function erase() {
  removeEventListener('dotdown:kept', saved);
  for (const name of texts().keys()) localStorage.removeItem(name);
  const transaction = (await database()).transaction('texts', 'readwrite', { durability: 'strict' });
  transaction.objectStore('texts').clear();
  await done(transaction, 'oncomplete');
}

/** Puts back what the first copy lacks, because it was damaged. */
function recall() {
  try {
    for (const [name, text] of written) if (localStorage.getItem(name) === null) localStorage.setItem(name, text);
  } catch {
    // the first copy is refused as well; the page says so
  }
}

/** Brings the newest copy back before the page reads it, in a time that is never long, and then follows each save. */
export async function begin() {
  addEventListener('dotdown:kept', saved);
  addEventListener('dotdown:damaged', recall);
  addEventListener('error', ({ message }) => message && wrong(message));
  addEventListener('unhandledrejection', ({ reason }) => wrong(reason));
  await Promise.race([restore(), new Promise((resolve) => setTimeout(resolve, MOST_MS))]).catch(() => {});
}

/** Hands over how a sentence is told. */
export function use(core) {
  tell = core.liveTell;
}
