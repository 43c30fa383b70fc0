// Opens the built site in real engines: one browser a file of tests, a server and so an origin of its own for each test,
// every console error and every request kept. Nothing is downloaded: the drivers are the ones on the path.

import { spawn } from 'node:child_process';
import { createHash } from 'node:crypto';
import { cpSync, existsSync, mkdirSync, mkdtempSync, readFileSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import http from 'node:http';
import net from 'node:net';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { createInterface } from 'node:readline';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { Capabilities, WebDriver } from 'selenium-webdriver';
import { recorder } from './recorder.mjs';
import { Executor, HttpClient } from 'selenium-webdriver/http/index.js';

export const ROOT = fileURLToPath(new URL('../../', import.meta.url));
export const SITE = process.env.DOTDOWN_SITE ?? path.join(ROOT, 'site');
export const SHOTS = process.env.DOTDOWN_SHOTS ?? path.join(ROOT, 'shots');
const TOOLS = process.env.DOTDOWN_TOOLS ?? path.join(ROOT, 'target/debug/tools');
const INSTALL = 'sudo apt-get install chromium chromium-driver firefox-esr webkit2gtk-driver xvfb poppler-utils';

/** How long a wait may last: generous, because the machine may be slow; a wait that succeeds returns at once. */
export const PATIENCE = 30_000;
/** Between two looks, ms. */
const LOOK = 30;

/** The engines under test; `DOTDOWN_ENGINES=chromium` narrows them while working on one. */
export const ENGINES = (process.env.DOTDOWN_ENGINES ?? 'chromium firefox webkit').split(' ');

/**
 * For faults that are not in the engine, since each engine takes its time: a usual run tries them in Chromium, and those that
 * touch what the engine itself does in all three; a long run tries all in all.
 */
export const MOST = { engines: process.env.DOTDOWN_LONG ? ENGINES : ENGINES.filter((one) => one === 'chromium') };

/** The full path of the first of these programs that is installed; throws the install line when none is. */
export function program(...names) {
  for (const name of names) {
    for (const folder of (process.env.PATH ?? '').split(':')) {
      const file = path.join(folder, name);
      if (existsSync(file)) return file;
    }
  }
  throw new Error(`${names[0]} is missing: run '${INSTALL}' (geckodriver: ./build.sh test installs it)`);
}

const children = new Set();
process.on('exit', () => children.forEach((child) => child.kill('SIGKILL')));

/** Starts a program that ends with this process. */
function start(file, args, options = {}) {
  const child = spawn(file, args, { stdio: ['ignore', 'pipe', 'pipe'], ...options });
  children.add(child);
  child.on('exit', () => children.delete(child));
  return child;
}

/** Ends a child and waits until it is gone. */
async function end(child, signal = 'SIGTERM') {
  if (child.exitCode !== null || child.signalCode !== null) return;
  const gone = new Promise((resolve) => child.once('exit', resolve));
  child.kill(signal);
  const timer = setTimeout(() => child.kill('SIGKILL'), 5000);
  await gone;
  clearTimeout(timer);
}

/** A port that was free a moment ago. */
function freePort() {
  return new Promise((resolve, reject) => {
    const probe = net.createServer();
    probe.on('error', reject);
    probe.listen(0, '127.0.0.1', () => {
      const { port } = probe.address();
      probe.close(() => resolve(port));
    });
  });
}

/** Waits until `check` returns something true, and returns that; after the time fails with `what`, and what was seen last. */
export async function until(check, what, limit = PATIENCE) {
  const begun = Date.now();
  for (let looks = 1; ; looks++) {
    let seen;
    try {
      const value = await check();
      if (value) return value;
      seen = JSON.stringify(value);
    } catch (error) {
      seen = error.message;
    }
    const waited = Date.now() - begun;
    if (waited > limit) throw new Error(`waited in vain for ${what}: ${looks} looks in ${waited} ms, the last saw ${seen}`);
    await new Promise((resolve) => setTimeout(resolve, LOOK));
  }
}

/** The ports that a server has had. */
const used = new Set();

/** The site's own server, as `./build.sh serve` runs it, under a sub-path; `stop` proves what works offline. */
export class Server {
  static async start({ site = SITE, under = '/peg/12', port = 0 } = {}) {
    if (!existsSync(path.join(site, 'index.html'))) throw new Error(`${site} is not built: run ./build.sh build`);
    const server = new Server();
    Object.assign(server, { site, under, port });
    await server.restart();
    // A free port may be one that an earlier test had: its origin would still hold what that test has stored.
    while (port === 0 && used.has(server.port)) {
      server.port = 0;
      await server.restart();
    }
    used.add(server.port);
    return server;
  }

  /** Starts again on the same port, perhaps with another folder: a new version was put on the host. */
  async restart(site = this.site) {
    await this.stop();
    this.site = site;
    this.child = start(TOOLS, ['serve', site, '--port', String(this.port), '--under', this.under]);
    const lines = createInterface({ input: this.child.stdout });
    this.url = await new Promise((resolve, reject) => {
      lines.once('line', resolve);
      this.child.once('exit', () => reject(new Error('the server did not start')));
      this.child.once('error', reject);
    });
    this.port = Number(new URL(this.url).port);
  }

  async stop() {
    if (this.child) await end(this.child);
    this.child = undefined;
  }
}

/** The built component, as any script in Node takes it. */
export async function builtCore() {
  const module = await import(pathToFileURL(path.join(SITE, 'component/dotdown.js')));
  module.initSync({ module: readFileSync(path.join(SITE, 'component/dotdown_bg.wasm')) });
  return module;
}

let display;

/** A screen for the engine that has no headless mode; one for the whole process. */
function screen() {
  display ??= new Promise((resolve, reject) => {
    const child = start(program('Xvfb'), ['-displayfd', '3', '-screen', '0', '1400x1000x24', '-nolisten', 'tcp'], {
      stdio: ['ignore', 'ignore', 'ignore', 'pipe'],
    });
    let number = '';
    child.stdio[3].on('data', (data) => {
      number += data;
      if (!number.endsWith('\n')) return;
      // It lives as long as this process, but does not keep it alive.
      child.stdio[3].unref();
      child.unref();
      resolve(`:${number.trim()}`);
    });
    child.once('exit', () => reject(new Error('Xvfb did not start')));
  });
  return display;
}

/** Keeps Chromium from asking its maker for the time, an account, hints or parts: what is recorded is the page's. */
const QUIET = [
  '--disable-features=NetworkTimeServiceQuerying,OptimizationHints,AutofillServerCommunication', '--disable-default-apps', '--disable-extensions',
  ...['gaia-url', 'google-apis-url', 'component-updater=url-source'].map((name) => `--${name}=http://127.0.0.1:9/`),
];

/** What each engine needs: its driver's command line, and the capabilities of a session in a given profile folder. */
const RECIPES = {
  chromium: {
    driver: (port) => [program('chromedriver'), [`--port=${port}`]],
    capabilities: (profile, { width, height, refusing }, proxy) => ({
      browserName: 'chrome',
      webSocketUrl: true,
      'goog:chromeOptions': {
        binary: program('chromium'),
        prefs: {
          spellcheck: { dictionaries: [], dictionary: '' }, browser: { enable_spellchecking: false }, // or it fetches a dictionary
          ...(refusing ? { profile: { default_content_setting_values: { cookies: 2 } } } : {}),
        },
        args: [
          '--headless=new', '--disable-background-networking', '--disable-component-update', '--disable-sync',
          ...QUIET,
          '--no-first-run', '--no-default-browser-check', '--disable-gpu', '--disable-dev-shm-usage',
          // This machine is never asked through a proxy; everything else is.
          `--proxy-server=http://127.0.0.1:${proxy}`, `--window-size=${width},${height}`, `--user-data-dir=${profile}`,
          ...(process.getuid?.() === 0 ? ['--no-sandbox'] : []),
        ],
      },
    }),
  },
  firefox: {
    driver: (port) => [program('geckodriver'), ['--port', String(port), '--websocket-port', '0']],
    capabilities: (profile, { width, height, refusing }, proxy) => ({
      browserName: 'firefox',
      webSocketUrl: true,
      'moz:firefoxOptions': {
        binary: program('firefox-esr', 'firefox'),
        args: ['-headless', '-profile', profile, `--width=${width}`, `--height=${height}`],
        prefs: {
          'app.update.enabled': false, 'browser.shell.checkDefaultBrowser': false, 'network.proxy.type': 1,
          ...(refusing ? { 'network.cookie.cookieBehavior': 2 } : {}),
          ...Object.fromEntries(['http', 'ssl'].flatMap((kind) => [[`network.proxy.${kind}`, '127.0.0.1'], [`network.proxy.${kind}_port`, proxy]])),
        },
      },
    }),
  },
  webkit: {
    driver: (port) => [program('WebKitWebDriver'), [`--port=${port}`]],
    // Without browserName: the driver of WebKitGTK knows none.
    capabilities: (profile, options, proxy) => ({
      'webkitgtk:browserOptions': {
        binary: miniBrowser(),
        args: ['--automation', `--proxy=http://127.0.0.1:${proxy}`, '--ignore-host=127.0.0.1', '--ignore-host=localhost'],
      },
    }),
  },
};

/** The small browser that comes with WebKitGTK; it lies in a folder named after the machine's architecture. */
function miniBrowser() {
  const libraries = ['/usr/lib/x86_64-linux-gnu', '/usr/lib/aarch64-linux-gnu', '/usr/lib64', '/usr/libexec', '/usr/lib'];
  for (const library of libraries) {
    for (const version of ['webkit2gtk-4.1', 'webkitgtk-6.0', 'webkit2gtk-4.0']) {
      const file = path.join(library, version, 'MiniBrowser');
      if (existsSync(file)) return file;
    }
  }
  throw new Error(`MiniBrowser is missing: run '${INSTALL}'`);
}

/** The site for an engine: for WebKit a copy, made once, whose page first loads listen.js to keep its errors. */
export function siteFor(engine) {
  return engine === 'webkit' ? (listening ??= listeningSite()) : SITE;
}

let listening;

function listeningSite() {
  const copy = path.join(mkdtempSync(path.join(tmpdir(), 'dotdown-site-')), 'site');
  process.on('exit', () => rmSync(path.dirname(copy), { recursive: true, force: true }));
  cpSync(SITE, copy, { recursive: true });
  runFirst(copy, 'listen.js', readFileSync(fileURLToPath(new URL('listen.js', import.meta.url)), 'utf8'));
  return copy;
}

/** The page as one file, for an engine: `url` leads to a copy in a folder of its own, as when it was sent to somebody. */
export function oneFile(engine) {
  const folder = mkdtempSync(path.join(tmpdir(), 'dotdown-file-'));
  const file = path.join(folder, 'dotdown.html');
  let page = readFileSync(path.join(SITE, 'dotdown.html'), 'utf8');
  if (engine === 'webkit') {
    const listen = readFileSync(fileURLToPath(new URL('listen.js', import.meta.url)), 'utf8');
    const hash = createHash('sha256').update(listen).digest('base64');
    page = page.replace('script-src ', () => `script-src 'sha256-${hash}' `).replace('<script', () => `<script>${listen}</script>\n<script`);
  }
  writeFileSync(file, page);
  return { folder, file, url: String(pathToFileURL(file)), stop: async () => rmSync(folder, { recursive: true, force: true }) };
}

/**
 * What a long run draws from: a fresh seed, which it prints, unless DOTDOWN_SEED names one; a usual run takes the one given.
 * The dice are Lehmer's (modulus 2^31 - 1), so that a failing run can be made again by its seed.
 */
export function dice(name, usual) {
  const long = Boolean(process.env.DOTDOWN_LONG);
  const seed = Number(process.env.DOTDOWN_SEED ?? (long ? 1 + Math.floor(Math.random() * 2_147_483_646) : usual));
  if (long) console.log(`${name}: DOTDOWN_LONG=1 DOTDOWN_SEED=${seed}`);
  let state = seed;
  const roll = (sides) => {
    state = (state * 48_271) % 2_147_483_647;
    return state % sides;
  };
  return { seed, roll, one: (list) => list[roll(list.length)] };
}

/** A copy of the site for a page's engine; `drop` removes it. */
export function siteCopy({ engine }) {
  const folder = mkdtempSync(path.join(tmpdir(), 'dotdown-next-'));
  const site = path.join(folder, 'site');
  cpSync(siteFor(engine), site, { recursive: true });
  return { site, drop: () => rmSync(folder, { recursive: true, force: true }) };
}

/** The same with one file changed. */
export function changedSite(page, name, change) {
  const { site, drop } = siteCopy(page);
  const before = readFileSync(path.join(site, name), 'utf8');
  changeSite(site, name, change);
  if (readFileSync(path.join(site, name), 'utf8') === before) throw new Error(`nothing of ${name} was changed`);
  return { site, drop };
}

/** Makes the page of a site's copy run a script of the test's before any other. */
export function runFirst(site, name, script) {
  changeSite(site, 'index.html', (page) => page.replace('<script', `<script src="${name}"></script>\n<script`));
  writeFileSync(path.join(site, name), script);
  changeSite(site, name, (body) => body);
}

const sum = (body) => createHash('sha256').update(body).digest('base64');

/** Changes one file of a site's copy, and with it all that tells its hash: the page, the service worker's list and version. */
export function changeSite(site, name, change) {
  const file = (one) => path.join(site, one);
  const text = (one) => readFileSync(file(one), 'utf8');
  const [before, page] = [text(name), text('index.html')];
  const body = change(before);
  writeFileSync(file(name), body);
  const told = text('index.html').replaceAll(sum(before), sum(body));
  writeFileSync(file('index.html'), told);
  let script = text('sw.js').replaceAll(sum(before), sum(body)).replaceAll(sum(page), sum(told));
  if (!script.includes(sum(body)) && name !== 'index.html') script = script.replace('const FILES = { ', () => `const FILES = { '${name}': 'sha256-${sum(body)}', `);
  const version = createHash('sha256').update(script).digest('hex').slice(0, 16);
  writeFileSync(file('sw.js'), script.replace(/const VERSION = '[^']*'/, `const VERSION = '${version}'`));
}

/** A page that takes any text for markup or a script, so that what stands behind that refusal is seen. */
export const trusting = (text) => text.replace(/; require-trusted-types-for 'script'; trusted-types [a-z -]*/, '');

/** Gives a site's copy the addresses of another build. */
export function restamp(site, next) {
  const [, build] = /data-build="(\w+)"/.exec(readFileSync(path.join(site, 'index.html'), 'utf8'));
  next ??= [...build].reverse().join('');
  for (const name of ['start.js', 'worker.js', 'index.html']) changeSite(site, name, (text) => text.replaceAll(build, next));
  const worker = path.join(site, 'sw.js');
  writeFileSync(worker, readFileSync(worker, 'utf8').replaceAll(`?${build}`, `?${next}`));
}

/**
 * Keeps WebKitGTK 2.50 from going over to code that it has just compiled where a function of the core begins or ends. With that,
 * one opening of some 200 of a day that was fished asked for memory beyond its end, at another place each time, or read an empty
 * list (20 of about 4,000; without it none of 780); the core has no unsafe code. WebKit has begun to take it out (its pull request
 * 50103). What the page does when it happens on somebody's phone is tested in `shell.test.mjs`.
 */
const SOUND = { JSC_useWasmIPIntPrologueOSR: '0', JSC_useWasmIPIntEpilogueOSR: '0' };

/**
 * Firefox writes this when a page is left while its service worker still answers it: a navigation within 40 ms of the one
 * before brought it 6 times in 120. A request of a page that is still there names its address.
 */
const LEFT = 'Failed to load ‘’. A ServiceWorker intercepted the request and encountered an unexpected error.';

/** One browser with its driver. `close` fails when the console held an error or another origin was asked. */
export class Session {
  constructor(engine, options) {
    this.engine = engine;
    this.options = { width: 1000, height: 900, ...options };
    this.console = [];
    this.requests = [];
  }

  /** Opens an engine. */
  static async open(engine, options = {}) {
    const session = new Session(engine, options);
    try {
      await session.#create();
    } catch (error) {
      await session.kill();
      throw error;
    }
    return session;
  }

  /**
   * Opens a tab for a test in a browser that others use before and after: what the driver was told of the tab before
   * (a phone's screen, a medium, blocked addresses) went with it. WebKitGTK's driver is told no such things, and runs
   * one tab: a second would be hidden behind the first.
   */
  async freshTab() {
    if (this.engine !== 'webkit') {
      const before = await this.driver.getAllWindowHandles();
      await this.driver.switchTo().newWindow('tab');
      const own = await this.driver.getWindowHandle();
      for (const tab of before) {
        await this.driver.switchTo().window(tab);
        await this.driver.close();
      }
      await this.driver.switchTo().window(own);
    }
    this.console.length = 0;
    this.requests.length = 0;
  }

  async #create() {
    const recipe = RECIPES[this.engine];
    this.home = this.options.profile ?? mkdtempSync(path.join(tmpdir(), 'dotdown-'));
    mkdirSync(path.join(this.home, 'run'), { recursive: true, mode: 0o700 });
    const port = await freePort();
    const [file, args] = recipe.driver(port);
    const env = { ...process.env, HOME: this.home, XDG_RUNTIME_DIR: path.join(this.home, 'run'), TZ: 'Europe/London' };
    if (this.engine === 'firefox') env.MOZ_REMOTE_SETTINGS_DEVTOOLS = '1'; // lets the driver switch off Firefox's own settings service
    if (this.engine === 'webkit') Object.assign(env, SOUND, { DISPLAY: await screen(), GDK_BACKEND: 'x11', LIBGL_ALWAYS_SOFTWARE: '1' });
    this.service = start(file, args, { env });
    this.service.stderr.resume();
    this.service.stdout.resume();
    await until(() => reachable(port), `the driver of ${this.engine}`);
    const executor = new Executor(new HttpClient(`http://127.0.0.1:${port}`));
    executor.defineCommand('cdp', 'POST', '/session/:sessionId/goog/cdp/execute');
    const capabilities = new Capabilities(recipe.capabilities(this.home, this.options, await recorder()));
    this.driver = WebDriver.createSession(executor, capabilities);
    await this.driver.getSession();
    await this.driver.manage().setTimeouts({ script: 120_000, pageLoad: 60_000 });
    if (this.engine !== 'webkit') await this.#listen();
  }

  /** Keeps what the console says and what is fetched, from before the first page on. */
  async #listen() {
    const bidi = await this.driver.getBidi();
    await bidi.subscribe('log.entryAdded');
    await bidi.subscribe('network.beforeRequestSent');
    bidi.socket.on('message', (data) => {
      const { method, params } = JSON.parse(String(data));
      if (method === 'log.entryAdded') this.console.push({ level: params.level, text: params.text ?? '' });
      if (method === 'network.beforeRequestSent') this.requests.push(params.request.url);
    });
  }

  /** A chromium command beyond WebDriver, such as a phone's screen. */
  async cdp(cmd, params = {}) {
    const { Command } = await import('selenium-webdriver/lib/command.js');
    return this.driver.execute(new Command('cdp').setParameter('cmd', cmd).setParameter('params', params));
  }

  /** Runs a script in the page and returns its value. */
  run(script, ...args) {
    return this.driver.executeScript(script, ...args);
  }

  /** The errors the console held so far, but for what Firefox says of a page that was left. */
  async errors() {
    if (this.engine !== 'webkit') return this.console.filter(({ level, text }) => level === 'error' && text !== LEFT).map(({ text }) => text);
    return this.run(`return JSON.parse(sessionStorage.getItem('heard by the harness') ?? '[]')`);
  }

  /** Every address that was asked for and is not of this origin. */
  async strangers(origin) {
    const seen = await this.run(`return performance.getEntriesByType('resource').map((entry) => entry.name)`);
    return [...this.requests, ...seen].filter((url) => /^(https?|wss?):/.test(url) && new URL(url).origin !== origin);
  }

  /** Kills the browser and its driver as a dead battery would, with no word to the page; the profile stays. */
  async crash() {
    const family = descendants(this.service.pid);
    slay(family);
    await end(this.service, 'SIGKILL');
    await until(() => family.every((pid) => !existsSync(`/proc/${pid}`)), 'the killed browser to be gone');
    for (const lock of ['SingletonLock', 'SingletonSocket', 'SingletonCookie', 'lock', '.parentlock']) {
      rmSync(path.join(this.home, lock), { force: true });
    }
    this.driver = undefined;
  }

  /** The process ids that run pages and their workers, in Chromium. */
  renderers() {
    return descendants(this.service.pid).filter((pid) => readFileSync(`/proc/${pid}/cmdline`, 'utf8').includes('--type=renderer'));
  }

  /** Ends browser and driver, whatever state they are in; the profile stays when the caller brought it. */
  async kill() {
    // A driver that fails leaves its browser, which would hold this process by the pipes that it was handed.
    const family = this.service ? descendants(this.service.pid) : [];
    await this.driver?.quit().catch(() => {});
    if (this.service) await end(this.service);
    slay(family);
    this.driver = undefined;
    if (!this.options.profile && this.home) rmSync(this.home, { recursive: true, force: true, maxRetries: 5 });
  }
}

/** Kills these processes, as far as they are still there. */
function slay(pids) {
  for (const pid of pids) {
    try {
      process.kill(pid, 'SIGKILL');
    } catch {
      // it went with its parent
    }
  }
}

/** The process ids below one, children first. */
function descendants(pid) {
  const children = [];
  for (const name of readdirSync('/proc').filter((one) => /^\d+$/.test(one))) {
    try {
      const stat = readFileSync(`/proc/${name}/stat`, 'utf8');
      if (Number(stat.slice(stat.lastIndexOf(')') + 2).split(' ')[1]) === pid) children.push(Number(name));
    } catch {
      // it ended while we looked
    }
  }
  return children.flatMap((child) => [...descendants(child), child]);
}

/** Whether a driver answers on this port. */
function reachable(port) {
  return new Promise((resolve) => {
    const request = http.get({ host: '127.0.0.1', port, path: '/status', timeout: 2000 }, (response) => {
      response.resume();
      resolve(true);
    });
    request.on('error', () => resolve(false));
    request.on('timeout', () => request.destroy());
  });
}
