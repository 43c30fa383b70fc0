// What stands around the page: sentences for old browsers, the policy, the manifest, valid markup.

import { createHash } from 'node:crypto';
import { appendFileSync, cpSync, readFileSync, readdirSync, rmSync } from 'node:fs';
import http from 'node:http';
import path from 'node:path';
import { test } from 'node:test';
import { HtmlValidate } from 'html-validate';
import { changedSite, changeSite, MOST, runFirst, SITE, siteCopy, siteFor, trusting } from './harness.mjs';
import { strays } from './recorder.mjs';
import { assert, By, inEachEngine, kept, until } from './page.mjs';

const file = (name) => readFileSync(path.join(SITE, name));
const hash = (body) => `'sha256-${createHash('sha256').update(body).digest('base64')}'`;

test('the page as sent is valid markup', async () => {
  const report = await new HtmlValidate({
    extends: ['html-validate:recommended'],
    rules: { 'doctype-style': 'off', 'long-title': 'off', 'no-trailing-whitespace': 'off' },
  }).validateString(String(file('index.html')));
  const faults = report.results.flatMap(({ messages }) => messages.map((one) => `${one.line}: ${one.ruleId}: ${one.message}`));
  assert.deepEqual(faults, []);
});

test('the manifest installs under any path, with an icon of each kind at its stated size', () => {
  const manifest = JSON.parse(file('manifest.webmanifest'));
  assert.equal(manifest.start_url, './');
  assert.equal(manifest.scope, './');
  assert.equal(manifest.display, 'standalone');
  assert.ok(manifest.name && manifest.short_name && manifest.description);
  for (const purpose of ['any', 'maskable']) assert.ok(manifest.icons.some((icon) => icon.purpose === purpose), purpose);
  for (const icon of manifest.icons.filter(({ type }) => type === 'image/png')) {
    const png = file(icon.src);
    assert.equal(`${png.readUInt32BE(16)}x${png.readUInt32BE(20)}`, icon.sizes);
  }
  for (const { url } of manifest.shortcuts) assert.match(url, /^\.\/#(day|bait|rigs|kit|bank)$/);
});

test('nothing in the site names an address outside it', () => {
  for (const name of ['index.html', 'style.css', 'start.js', 'worker.js', 'sw.js', 'manifest.webmanifest']) {
    const text = String(file(name)).replaceAll('http://www.w3.org/', '');
    assert.doesNotMatch(text, /(https?:)?\/\/[a-z0-9-]+\.[a-z]/i, name);
    assert.doesNotMatch(text, /(src|href|url|from)\s*[=(:]?\s*['"]\//, `${name}: an address from the root`);
  }
});

test('no script holds what talks past a policy, or tells anybody of a visit', () => {
  const scripts = readdirSync(SITE).filter((name) => /\.(js|html)$/.test(name));
  assert.ok(scripts.length > 4);
  for (const name of scripts) assert.doesNotMatch(String(file(name)), /RTCPeerConnection|RTCDataChannel|sendBeacon|WebSocket|WebTransport|EventSource|XMLHttpRequest/, name);
});

test('the policy says exactly what it allows', () => {
  const page = String(file('index.html'));
  const [, policy] = /http-equiv="Content-Security-Policy" content="([^"]*)"/.exec(page);
  const [[, guard], ...more] = page.matchAll(/<script>([^]*?)<\/script>/g);
  assert.deepEqual(more, [], 'one script stands in the page itself');
  assert.deepEqual(Object.fromEntries(policy.split(';').map((part) => part.trim().split(/ (.*)/s).slice(0, 2))), {
    'default-src': "'none'",
    'script-src': `'self' ${hash(guard)} 'wasm-unsafe-eval'`,
    'style-src': "'self'",
    'img-src': "'self' data: blob:",
    'connect-src': "'self'",
    'manifest-src': "'self'",
    'worker-src': "'self'",
    'base-uri': "'none'",
    'form-action': "'none'",
    'require-trusted-types-for': "'script'",
    'trusted-types': 'dotdown-markup dotdown-address',
  });
});

test('what starts the page is told by its hash wherever a browser checks one', () => {
  const page = String(file('index.html'));
  const [, build] = / data-build="([0-9a-f]{8})"/.exec(page);
  for (const [place, name] of [[`data-script="`, 'app.js'], [`data-core="`, 'app_bg.wasm'], [`src="start.js?${build}" integrity="`, 'start.js'], [`href="style.css?${build}" integrity="`, 'style.css']]) {
    assert.ok(page.includes(`${place}${hash(file(name)).slice(1, -1)}"`), name);
  }
  for (const name of ['start.js', 'worker.js']) assert.ok(String(file(name)).includes(`./app.js?${build}`), name);
});

inEachEngine('the policy stops each thing it forbids', async (page) => {
  const { site, drop } = changedSite(page, 'index.html', trusting);
  await page.server.restart(site);
  await page.open();
  const outcome = await page.driver.executeAsyncScript(`
    const done = arguments[1];
    const seen = [];
    document.addEventListener('securitypolicyviolation', (event) => seen.push(event.effectiveDirective));
    const other = 'https://other.invalid/x';
    const add = (name, set) => {
      const element = Object.assign(document.createElement(name), set);
      document.body.append(element);
      return element;
    };
    add('script', { textContent: 'window.ran = true' });
    add('script', { src: other });
    add('style', { textContent: 'body { outline: 7px solid red }' });
    add('link', { rel: 'stylesheet', href: other });
    add('img', { src: other });
    add('iframe', { src: other });
    add('object', { data: other });
    add('audio', { src: other });
    add('div', { innerHTML: '<img src="data:," onerror="window.ran = true">' });
    add('base', { href: other });
    fetch(other).catch(() => {});
    try { new Worker(URL.createObjectURL(new Blob(['']))).onerror = (event) => event.preventDefault(); } catch (ignored) { seen.push('worker-src'); }
    const form = add('form', { action: other, method: 'post' });
    form.requestSubmit();
    const handler = add('button', {});
    handler.setAttribute('onclick', 'window.ran = true');
    handler.click();
    // Later: what the driver itself evaluates may use eval, a page's own turn may not.
    if (arguments[0]) setTimeout(() => { try { new Function('window.ran = true')(); } catch (ignored) { seen.push('eval'); } });
    setTimeout(() => done({ seen: [...new Set(seen)].sort(), ran: window.ran === true, base: document.baseURI,
      outline: getComputedStyle(document.body).outlineStyle, at: location.href }), 1500);`, page.engine !== 'firefox');
  assert.equal(outcome.ran, false, 'a script ran that must not');
  assert.equal(outcome.outline, 'none', 'a style applied that must not');
  assert.equal(outcome.base, outcome.at, 'the base was moved');
  assert.ok(outcome.at.startsWith(page.server.url), 'a form was sent');
  const stopped = outcome.seen.join(' ');
  for (const what of [/script-src/, /style-src/, /img-src/, /connect-src/, /(frame|child|default)-src/, /(object|default)-src/, /(media|default)-src/, /base-uri/, /worker-src/, /form-action/]) {
    assert.match(stopped, what);
  }
  // Firefox's driver evaluates in a world of its own, which the page's policy does not bind.
  if (page.engine !== 'firefox') assert.match(stopped, /eval/);
  // Chromium readies a connection for a frame or a form before it asks the policy, which then refuses the request. The
  // page has neither, and no text can become one (hostile.test.mjs).
  const left = strays().filter((one) => page.engine !== 'chromium' || one !== 'CONNECT other.invalid:443');
  assert.deepEqual(left, [], 'something left this machine in spite of the policy');

  // A page without the policy is caught at the same, so this silence proves something.
  const plain = http.createServer((_, response) => response.writeHead(200, { 'Content-Type': 'text/html' }).end('<!doctype html><title>plain</title>'));
  await new Promise((resolve) => plain.listen(0, '127.0.0.1', resolve));
  try {
    await page.driver.get(`http://127.0.0.1:${plain.address().port}/`);
    await page.run(`
      fetch('http://other.invalid/fetched').catch(() => {});
      new Image().src = 'https://picture.invalid/x';
      navigator.sendBeacon('https://beacon.invalid/x', 'a secret');
      new WebSocket('wss://socket.invalid/x').onerror = () => {};`);
    const caught = [];
    await until(() => {
      caught.push(...strays());
      return ['GET http://other.invalid/fetched', 'CONNECT picture.invalid:443', 'CONNECT beacon.invalid:443', 'CONNECT socket.invalid:443'].every((one) => caught.includes(one));
    }, 'the recorder to catch all four').catch((error) => assert.fail(`${error.message}: ${caught}`));
  } finally {
    plain.close();
    plain.closeAllConnections();
    drop();
  }
}, { open: false, faults: true });

const sentence = async (page, id, pattern) => {
  await page.driver.get(page.server.url);
  const place = await until(() => page.driver.findElement(By.css(id)), id);
  await until(() => place.isDisplayed(), `${id} to be seen`);
  assert.match(await place.getText(), pattern);
};

for (const [what, script] of [
  ['without WebAssembly', 'delete window.WebAssembly'],
  ['with an old WebAssembly', 'WebAssembly.validate = () => false'],
  ['without today\u2019s script', 'delete window.structuredClone'],
]) {
  inEachEngine(`a browser ${what} gets a sentence`, async (page) => {
    await page.session.cdp('Page.addScriptToEvaluateOnNewDocument', { source: script });
    await sentence(page, '#too-old', /too old.*Safari 16\.4, Chrome 108, Firefox 115/);
  }, { engines: ['chromium'], open: false });
}

inEachEngine('a browser with scripts off gets a sentence', async (page) => {
  await page.session.cdp('Emulation.setScriptExecutionDisabled', { value: true });
  await page.driver.get(page.server.url);
  // What a screen reader would be told, because a script cannot be asked here.
  const { nodes } = await page.session.cdp('Accessibility.getFullAXTree');
  assert.match(nodes.map((node) => node.name?.value ?? '').join(' '), /with JavaScript: switch it on/);
}, { engines: ['chromium'], open: false });

inEachEngine('a core that cannot be had gets a sentence', async (page) => {
  await page.session.cdp('Network.enable');
  await page.session.cdp('Network.setBlockedURLs', { urls: ['*app_bg.wasm*'] });
  await sentence(page, '#broken', /could not start/);
}, { engines: ['chromium'], open: false, faults: true });

/** What the shell says, and which of its buttons can be pressed. */
const rescue = (page) => page.run(`
  const place = document.getElementById('broken');
  return { said: place.hidden ? '' : place.querySelector('p').textContent, offers: [...place.querySelectorAll('button')].filter((one) => one.checkVisibility()).map((one) => one.textContent) };`);

/**
 * A first visit to a copy of the site with a fault, perhaps on a port of its own: WebKit has at hand what the page before
 * had loaded from the same address, and then nothing is missing.
 */
async function faulty(page, fault, apart = false) {
  const { site, drop } = siteCopy(page);
  try {
    // Or the service worker would serve the copy before.
    runFirst(site, 'alone.js', 'ServiceWorkerContainer.prototype.register = () => Promise.reject(new Error("not in this test"));');
    fault(site);
    if (apart) page.server.port = 0;
    await page.server.restart(site);
    await page.driver.get('about:blank');
    await page.driver.get(page.server.url);
  } finally {
    page.drop?.();
    page.drop = drop;
  }
}

inEachEngine('whatever does not come or does not run, the page says so and offers what can be done', async (page) => {
  // Behind a parenthesis: half of a script may be one that runs.
  const cut = (name) => (site) => changeSite(site, name, (script) => script.slice(0, script.lastIndexOf('(', script.length / 2) + 1));
  const gone = (name) => (site) => rmSync(path.join(site, name));
  for (const [what, fault] of Object.entries({
    'start.js is gone': gone('start.js'), 'start.js is cut': cut('start.js'), 'app.js is gone': gone('app.js'), 'app.js is cut': cut('app.js'), 'the core is gone': gone('app_bg.wasm'),
    'start.js is another': (site) => cpSync(path.join(SITE, 'worker.js'), path.join(site, 'start.js')), 'app.js is another': (site) => cpSync(path.join(SITE, 'worker.js'), path.join(site, 'app.js')),
    'app.js is another that would run': (site) => appendFileSync(path.join(site, 'app.js'), '\n'),
    'the core is another': (site) => cpSync(path.join(SITE, 'icon-180.png'), path.join(site, 'app_bg.wasm')),
  })) {
    await faulty(page, fault, true);
    await until(async () => {
      const { said, offers } = await rescue(page);
      return /^Dotdown could not start/.test(said) && offers.join() === 'Try again,Repair,Save my days';
    }, `${what}: the sentence`);
  }
  page.drop();
}, { open: false, faults: true });

inEachEngine('Try again brings the page up once the host has all of it', async (page) => {
  await faulty(page, (site) => rmSync(path.join(site, 'app.js')));
  await until(async () => (await rescue(page)).offers.length === 3, 'the buttons');
  await page.server.restart(siteFor(page.engine));
  await page.run(`document.querySelector('[data-rescue="again"]').click()`);
  await page.ready();
  assert.deepEqual(await rescue(page), { said: '', offers: [] });
  page.drop();
}, { open: false, faults: true });

inEachEngine('a page that comes slowly says that it loads, and one that has come and does not run says that', async (page) => {
  const first = (script) => (site) => runFirst(site, 'first.js', script);
  await faulty(page, first('window.fetch = () => new Promise(() => {});'));
  await until(async () => /^Loading/.test((await rescue(page)).said), 'the sentence that it loads');
  assert.deepEqual((await rescue(page)).offers, []);
  await faulty(page, first('WebAssembly.instantiate = () => new Promise(() => {});'));
  await until(async () => /all of it has come/.test((await rescue(page)).said), 'the sentence that it does not run');
  assert.deepEqual((await rescue(page)).offers, ['Try again', 'Repair', 'Save my days']);
  page.drop();
}, { engines: ['chromium'], open: false, faults: true });

inEachEngine('a page that does not start saves what lies there, as it lies', async (page) => {
  await faulty(page, () => {});
  await page.ready();
  await page.set('water.peg', '23');
  const text = await kept(page);
  await faulty(page, (site) => rmSync(path.join(site, 'app.js')));
  await until(async () => (await rescue(page)).offers.length === 3, 'the buttons');
  const saved = JSON.parse(await page.driver.executeAsyncScript(`
    const done = arguments[0];
    const { createObjectURL } = URL;
    URL.createObjectURL = (blob) => { blob.text().then(done); return createObjectURL.call(URL, blob); };
    document.querySelector('[data-rescue="save"]').click();`));
  assert.equal(saved.records.page, text);
  assert.ok(Object.keys(saved.records).some((key) => key.startsWith('days/')));
  assert.equal(saved.small['dotdown.here'], 'yes');
  await until(async () => /holds all/.test((await rescue(page)).said), 'the sentence');
  page.drop();
}, { open: false, faults: true, ...MOST });

/** Makes the next text that the page writes fail in the middle of an event, by an error that its core cannot catch. */
const trip = (page) => page.run(`
  window.tripped = true;
  const whole = ['textContent', 'nodeValue'].map((name) => [name, Object.getOwnPropertyDescriptor(Node.prototype, name)]);
  for (const [name, { get }] of whole) {
    const set = () => {
      whole.forEach(([each, as]) => Object.defineProperty(Node.prototype, each, as));
      throw new TypeError('a fault of the test');
    };
    Object.defineProperty(Node.prototype, name, { get, set, configurable: true });
  }`);

const comesAnew = async (page) => {
  await until(() => page.run(`return !window.tripped`), 'the page to load itself anew');
  await page.ready();
};

inEachEngine('after a fault in the middle of an event the page loads itself anew with all that was kept, once a minute', async (page) => {
  await page.set('water.peg', '23');
  await page.go('day');
  await trip(page);
  await page.run(`location.hash = 'kit'`);
  await comesAnew(page);
  assert.equal(await page.run(`return Object.keys(sessionStorage).includes('dotdown.again')`), true);
  await page.sheet('day.place');
  assert.equal(await page.value('water.peg'), '23');
  // So it is where a promise would have swallowed the fault.
  await page.run(`sessionStorage.removeItem('dotdown.again')`);
  await page.go('bank');
  await trip(page);
  await page.run(`document.getElementById('live-start').click()`);
  await comesAnew(page);
  // Again within a minute, it does not go round.
  await page.go('day');
  await trip(page);
  await page.run(`location.hash = 'kit'`);
  await until(async () => /fault of its own/.test((await rescue(page)).said), 'the sentence');
  assert.deepEqual((await rescue(page)).offers, ['Try again', 'Repair', 'Save my days']);
}, { faults: true });

/** The core traps as it starts; not in a tab that has seen it. */
const TRAP = `(sessionStorage.trapped || (() => { sessionStorage.trapped = 'yes'; throw new WebAssembly.RuntimeError('a fault of the test'); })()),`;

// It stood there with dead buttons.
inEachEngine('a fault of the core as it starts has the page load itself anew, once a minute', async (page) => {
  const { site, drop } = changedSite(page, 'start.js', (text) => text.replace(/\w+\.start\(\{module:/, (start) => TRAP + start));
  try {
    await page.server.restart(site);
    await page.driver.get(page.server.url);
    await page.ready();
    assert.equal(await page.run(`return sessionStorage.trapped`), 'yes');
    await page.run(`sessionStorage.removeItem('trapped')`);
    await page.driver.get('about:blank');
    await page.driver.get(page.server.url);
    await until(async () => /could not start/.test((await rescue(page)).said), 'the sentence');
    assert.deepEqual((await rescue(page)).offers.slice(0, 1), ['Try again']);
    await page.run(`document.querySelector('[data-rescue="again"]').click()`);
    await page.ready();
  } finally {
    drop();
  }
}, { open: false, faults: true });

inEachEngine('a browser that is told to keep nothing runs the page, which says so', async (page) => {
  await page.notice(/keeps nothing for this page/);
  await page.set('bait.edge', '9');
  assert.match(await page.value('bait.edge'), /^9/);
  await page.show('rigs');
  await page.act('tab:fall');
  await until(() => page.result('fall.settle'), 'the fall');
  await page.show('bank');
  await page.run(`document.querySelector('[data-tap="start"]').click()`);
  await until(() => page.run(`return Boolean(document.getElementById('tap-fed'))`), 'the session');
}, { engines: ['chromium', 'firefox'], refusing: true, faults: true });

inEachEngine('a first visitor sees the worked day before the core has come', async (page) => {
  await page.session.cdp('Network.enable');
  await page.session.cdp('Network.setBlockedURLs', { urls: ['*.wasm*'] });
  // Nothing stored on the phone: each visit is a first one.
  await page.session.cdp('Page.addScriptToEvaluateOnNewDocument', { source: 'delete Navigator.prototype.serviceWorker' });
  await page.driver.get(page.server.url);
  await until(() => page.run(`
    const main = document.querySelector('main');
    return !document.documentElement.hasAttribute('data-wait') && main.querySelector('.results')?.textContent.length > 200`), 'the day without the core');
  assert.equal(await page.run(`return document.querySelector('main').inert && !document.querySelector('main').dataset.ready`), true, 'it takes no changes yet');
  // Another screen waits for the core, and so does who has been here before: nobody is shown another's day first.
  for (const [fragment, before] of [['#kit', ''], ['', `localStorage.setItem('dotdown.here', 'yes')`]]) {
    await page.run(before);
    await page.driver.get('about:blank');
    await page.driver.get(page.server.url + fragment);
    await until(() => page.run(`return !document.getElementById('broken').hidden`), 'the sentence that the core could not be had');
    assert.equal(await page.run(`return getComputedStyle(document.querySelector('main')).visibility`), 'hidden', fragment);
  }
}, { engines: ['chromium'], open: false, faults: true });
