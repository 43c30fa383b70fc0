// The running session's hands: taps and keys, the tick, storage, sound, the screen kept awake, and which tab drives.
// The session itself, and everything that is shown, is the core's.

import { handOver } from './hands.js';

// Named by the page's path: other copies of the page under this origin keep their own.
const NAME = `dotdown session ${location.pathname.replace(/[^/]*$/, '')}`;
const ASIDE = 'dotdown.aside.log';
const still = matchMedia('(prefers-reduced-motion: reduce)');
const channel = 'BroadcastChannel' in window ? new BroadcastChannel(NAME) : undefined;
let core;
let store;
let ready; // when the store is found and what it holds is shown: a tap waits for it, or the log that is read would end it
let plan; // the link text of the session's plan
let unread; // a stored session that this version cannot read
let open = false; // a session is in hand
let driving = false; // and this tab may write to it
let refused = false;
let last; // the log that was put away, where the phone keeps nothing
const unsaved = [];
let timer;
let ticks = 0;
let due;
let sound;
let awake;
let looked;

/**
 * The log, one record a key, each in its own transaction that counts only when it is on the disk. The browser's other
 * storage is written out seconds later, too late for a battery that dies. `add` refuses a number that is taken, so a
 * second writer can never write over the first.
 */
async function database() {
  let db = await opened();
  async function opened() {
    const request = indexedDB.open(NAME, 1);
    request.onupgradeneeded = () => request.result.createObjectStore('log');
    const base = await answered(request);
    // Closed under us when the browser's data is cleared: the next tap opens it again.
    base.onclose = () => { db = undefined; };
    base.onversionchange = () => { base.close(); db = undefined; };
    return base;
  }
  const write = async (change) => {
    db ??= await opened();
    return new Promise((resolve, reject) => {
      const transaction = db.transaction('log', 'readwrite', { durability: 'strict' });
      transaction.oncomplete = resolve;
      transaction.onabort = () => reject(transaction.error ?? new Error('the log was not kept'));
      try {
        change(transaction.objectStore('log'));
      } catch (error) {
        transaction.abort();
        reject(error);
      }
    });
  };
  const add = (log, lines) => lines.forEach((line) => log.add(line, Number.parseInt(line, 10)));
  const all = (log, link, lines) => { log.clear(); log.put(link, 'plan'); add(log, lines); };
  return {
    begin: (link, lines = []) => write((log) => all(log, link, lines)),
    // Where the log is gone, it is written anew, whole.
    append: (lines, link, whole) => write((log) => {
      log.getKey('plan').onsuccess = ({ target }) => {
        try {
          if (target.result === undefined) all(log, link, whole);
          else add(log, lines);
        } catch {
          log.transaction.abort();
        }
      };
    }),
    clear: () => write((log) => log.clear()),
    // Put away, not gone: it can be brought back until the next session begins.
    away: (kept) => write((log) => { log.clear(); log.put(kept, 'away'); }),
    async read() {
      const log = db.transaction('log').objectStore('log');
      const [link, away, lines] = await Promise.all([answered(log.get('plan')), answered(log.get('away')), answered(log.getAll(IDBKeyRange.lowerBound(0)))]);
      return { link, away, log: lines.filter((line) => typeof line === 'string' && line !== link).join('\n') };
    },
  };
}

/** The base of logs that cannot be used as they are: of a newer version, or with records that could not be read. */
async function aside(mode, work) {
  const request = indexedDB.open(`${NAME} aside`, 1);
  request.onupgradeneeded = () => request.result.createObjectStore('logs', { autoIncrement: true });
  const base = await answered(request);
  try {
    const transaction = base.transaction('logs', mode, { durability: 'strict' });
    const done = new Promise((resolve, reject) => {
      transaction.oncomplete = resolve;
      transaction.onabort = () => reject(transaction.error);
    });
    const found = await work(transaction.objectStore('logs'));
    await done;
    return found;
  } finally {
    base.close();
  }
}

/** Sets a log aside; `later` for one that a newer version of the page can open. Nothing there is ever cleared. */
async function setAside(link, log, later) {
  await aside('readwrite', (logs) => logs.add({ link, log, later }));
  if (later) localStorage.setItem(ASIDE, 'yes');
}

/** The newest log that was set aside for this version, if there is one; it is then in use again. */
async function recall() {
  if (localStorage.getItem(ASIDE) === null) return undefined;
  const [keys, values] = await aside('readonly', (logs) => Promise.all([answered(logs.getAllKeys()), answered(logs.getAll())]));
  for (let i = keys.length - 1; i >= 0; i--) {
    const { link, log, later } = values[i];
    if (!later || !readable(link)) continue;
    await store.begin(link, log ? log.split('\n') : []);
    await aside('readwrite', (logs) => logs.delete(keys[i]));
    return { link, log };
  }
  return undefined;
}

/** Whether this version can read a plan's link text. */
function readable(link) {
  try {
    return Boolean(core.planFrom(link));
  } catch {
    return false;
  }
}

function answered(request) {
  return new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

/** Where there is no database: the browser's small storage, one key a record. */
function small() {
  const key = (part) => `dotdown.session.${part}`;
  const clear = () => Object.keys(localStorage).filter((one) => one.startsWith(key(''))).forEach((one) => localStorage.removeItem(one));
  const add = (lines) => lines.forEach((line) => localStorage.setItem(key(Number.parseInt(line, 10)), line));
  const begin = (link, lines = []) => { clear(); localStorage.setItem(key('plan'), link); add(lines); };
  // Each of them async, so that a refusal is a rejection.
  return {
    begin: async (link, lines) => begin(link, lines),
    append: async (lines, link, whole) => (localStorage.getItem(key('plan')) === null ? begin(link, whole) : add(lines)),
    clear: async () => clear(),
    away: async (kept) => { clear(); localStorage.setItem(key('away'), JSON.stringify(kept)); },
    read: async () => {
      const lines = [];
      for (let i = 0, line; (line = localStorage.getItem(key(i))) !== null; i++) lines.push(line);
      return { link: localStorage.getItem(key('plan')) ?? undefined, away: JSON.parse(localStorage.getItem(key('away')) ?? 'null') ?? undefined, log: lines.join('\n') };
    },
  };
}

/** Asks for the right to write; the browser gives it to one tab, and to the next when that one is gone. */
function claim() {
  if (driving || !navigator.locks) return Promise.resolve((driving = true));
  const hold = () => { driving = true; return new Promise(() => {}); };
  return new Promise((resolve) => {
    navigator.locks.request(NAME, { ifAvailable: true }, (lock) => {
      resolve(Boolean(lock));
      if (lock) return hold();
      navigator.locks.request(NAME, () => { const held = hold(); load(); return held; });
      return undefined;
    }).catch(() => resolve((driving = true))); // no locks here, and nothing kept that another tab could write to
  });
}

/** Shows the session that is kept, if there is one. */
async function load(watched = false) {
  let { link, log, away } = await store.read().catch(() => ({}));
  if (!link && !watched) ({ link, log } = (await recall().catch(() => undefined)) ?? {});
  open = Boolean(link) && await claim().then((mine) => core.liveOpen(link, log, Date.now(), !mine));
  unread = link && !open ? { link, log } : undefined;
  plan = link;
  if (!link) core.liveAway(Boolean(away));
  const kept = core.liveFile('log');
  // What could not be read was left out, and the records behind it have new numbers: they are written anew, at once.
  if (open && driving && kept !== log) {
    await setAside(link, log).catch(() => {});
    await store.begin(link, kept ? kept.split('\n') : []).catch(() => {});
  }
  settle();
}

let turn = Promise.resolve();
let writing = 0;

/** Writes to the store one after the other, in the order of the taps. */
function inTurn(write) {
  writing += 1;
  const done = turn.then(write).finally(() => { writing -= 1; });
  turn = done.catch(() => {});
  return done;
}

/** Begins a stored log. One that could not be read is set aside first. */
const storeAnew = (link, lines) => inTurn(async () => {
  if (unread) await setAside(unread.link, unread.log, true);
  unread = undefined;
  plan = link;
  await store.begin(link, lines);
});

/** Stores what was tapped. A refusal is told at once, once; what was refused is tried again with the next tap. */
const keep = (line) => inTurn(async () => {
  if (line) unsaved.push(line);
  const lines = unsaved.splice(0);
  if (!lines.length) return;
  try {
    await store.append(lines, plan, core.liveFile('log').split('\n'));
    refused = false;
  } catch {
    unsaved.unshift(...lines);
    if (!refused) core.liveTell('This phone would not keep the last tap: its storage is full or switched off. The session goes on; save the log as a file below before you close the page.');
    refused = true;
  }
});

/** A tap, by its word. */
async function tap(word) {
  listen();
  await ready;
  if (word === 'start') return begin();
  if (word === 'away') return putAway();
  if (word === 'back') return bringBack();
  let words = word;
  if (word === 'note') {
    const field = document.getElementById('live-note');
    words = `note:${field.value}`;
    field.value = '';
  }
  const advised = core.liveAdvised();
  const line = core.liveTap(words, Date.now());
  await keep(line);
  if (line) channel?.postMessage('');
  core.liveShown(word, advised, Date.now());
  settle();
  return undefined;
}

/** Puts the log away. It is kept aside until the next session begins. */
async function putAway() {
  const { link } = await store.read().catch(() => ({}));
  last = { link: link ?? plan, log: core.liveFile('log') };
  core.liveAway(true);
  open = false;
  await inTurn(() => store.away(last)).catch(() => {});
  channel?.postMessage('');
  settle();
  document.getElementById('tap-back')?.focus();
}

/** Brings the log back that was put away last. */
async function bringBack() {
  const { away = last } = await store.read().catch(() => ({}));
  if (!away?.link || !(await claim())) return load();
  await storeAnew(away.link, away.log ? away.log.split('\n') : []).catch(() => {});
  channel?.postMessage('');
  return load();
}

async function begin() {
  if (!(await claim())) return load();
  const link = core.liveStart(Date.now());
  plan = link;
  open = Boolean(link);
  if (open) {
    await storeAnew(link).catch(() => {
      refused = true;
      core.liveTell('This phone keeps nothing for this page. The session runs, but is lost when the page closes: save its log as a file.');
    });
    channel?.postMessage('');
    document.getElementById('tap-fed')?.focus();
  }
  return settle();
}

/** Opens the log of a file that the reader chose. */
async function read(input) {
  const [file] = input.files;
  input.value = '';
  if (!file) return;
  if (file.size > 4_000_000) return core.liveTell('This file is too large for the log of a day.');
  const text = await file.text();
  await ready;
  if (!(await claim())) return load();
  const link = core.liveImport(text, Date.now());
  plan = link;
  open = Boolean(link);
  if (open) {
    await storeAnew(link, core.liveFile('log').split('\n')).catch(() => {
      refused = true;
      core.liveTell('This phone would not keep the log.');
    });
  }
  settle();
}

/** Tells the core how much room is left for the column of water between what stands above it and the buttons. */
function fit() {
  const place = document.querySelector('[data-live="column"]');
  const pad = document.querySelector('.pad');
  if (!place || !pad) return;
  const bar = document.querySelector('body > nav').getBoundingClientRect();
  const foot = bar.top > innerHeight / 2 ? bar.height : 0; // on a wide screen the bar lies above
  // With large letters the buttons do not stay at the foot, and the column need not make room for them.
  const loose = Number.parseFloat(getComputedStyle(pad).bottom) < 0;
  const room = loose ? 0.7 * place.clientWidth : innerHeight - foot - pad.offsetHeight - 12 - place.getBoundingClientRect().top - scrollY;
  core.liveRoom(room / place.clientWidth);
}

/** Starts or stops what runs with the session: the tick, the screen kept awake. */
function settle() {
  const seen = document.visibilityState === 'visible';
  const runs = open && core.liveRuns();
  clearInterval(timer);
  timer = undefined;
  if (open && seen) {
    fit();
    due = core.liveShow(Date.now(), true);
  }
  if (runs && seen) timer = setInterval(tick, still.matches ? 1000 : 400);
  looked = undefined;
  keepAwake(runs && seen);
}

function tick() {
  const look = [Date.now(), performance.now()];
  if (looked) core.liveJump(...looked, ...look);
  looked = look;
  const passed = due !== undefined && look[0] >= due && look[0] - due < 5000;
  // What a tap has changed is shown when it is kept, not before.
  due = core.liveShow(look[0], ++ticks % 20 === 0 && writing === 0);
  if (passed) call();
}

/** The screen is kept on while the clock runs; a refusal is no error. */
async function keepAwake(wanted) {
  if (!wanted) {
    awake?.release().catch(() => {});
    awake = undefined;
  } else if (!awake || awake.released) {
    awake = await navigator.wakeLock?.request('screen').catch(() => undefined);
  }
}

/** Sound may only be made ready within a tap. */
function listen() {
  if (navigator.userActivation?.isActive === false) return;
  try {
    sound ??= new AudioContext();
    if (sound.state !== 'running') sound.resume().catch(() => {});
  } catch {
    sound = undefined; // no sound here: the screen calls
  }
}

/** Calls for a feed: the screen does so by itself; here sound and vibration are added. */
function call() {
  navigator.vibrate?.(200);
  if (!driving || sound?.state !== 'running' || core.liveSilent()) return;
  const tone = sound.createOscillator();
  const level = sound.createGain();
  tone.frequency.value = 880;
  level.gain.setValueAtTime(0.3, sound.currentTime);
  level.gain.exponentialRampToValueAtTime(0.001, sound.currentTime + 0.25);
  tone.connect(level).connect(sound.destination);
  tone.start();
  tone.stop(sound.currentTime + 0.25);
}

async function save(kind) {
  const text = core.liveFile(kind);
  if (text === undefined) return;
  const type = kind === 'json' ? 'application/json' : 'text/csv';
  const said = await handOver(new File([text], `dotdown-session.${kind}`, { type }));
  if (said) core.liveTell(said);
}

const KEYS = { f: 'fed', 1: 'fed', b: 'bite', 2: 'bite', h: 'fish', 3: 'fish', u: 'undo' };

/** Erases the session's log, whatever tab drives it, and the logs that were set aside. */
export async function erase() {
  last = undefined;
  await Promise.allSettled([inTurn(async () => store?.clear()), aside('readwrite', (logs) => answered(logs.clear()))]);
}

/** Listens once the core is there. */
export async function use(started) {
  core = started;
  document.addEventListener('click', ({ target }) => {
    const button = target.closest?.('[data-tap], [data-live-file]');
    if (button?.dataset.tap) tap(button.dataset.tap);
    else if (button) save(button.dataset.liveFile);
  });
  document.addEventListener('keydown', (event) => {
    const word = KEYS[event.key.toLowerCase()];
    if (!word || event.repeat || event.ctrlKey || event.altKey || event.metaKey) return;
    if (event.target.closest?.('input, select, textarea, dialog')) return;
    const button = document.getElementById(`tap-${word}`);
    if (button && !button.disabled) tap(word);
  });
  document.addEventListener('change', ({ target }) => target.matches?.('[data-live-open]') && read(target));
  document.addEventListener('visibilitychange', settle);
  addEventListener('resize', settle);
  addEventListener('hashchange', settle);
  channel?.addEventListener('message', () => !driving && load(true));
  ready = database().catch((error) => {
    if (error?.name === 'VersionError') core.liveTell('A newer version of the page keeps its session on this phone. It is kept: update this page to go on with it.');
    return small();
  }).then((found) => {
    store = found;
    return load();
  });
  await ready;
}
