// The content security policy, directive by directive: each thing that it forbids is tried, in each engine. A second
// server on this machine stands for another origin and counts what reaches it: nothing may. The same things are tried
// on a copy of the page without the policy, where they must reach it, or the test would prove nothing.

import { cpSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import http from 'node:http';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { changeSite, runFirst, siteCopy, siteFor, trusting } from './harness.mjs';
import { assert, inEachEngine, until } from './page.mjs';

const KINDS = { js: 'text/javascript', css: 'text/css', svg: 'image/svg+xml', html: 'text/html', json: 'application/json' };
const BODIES = { js: 'window.ran = (window.ran ?? "") + " other";', css: 'h1 { color: red }', svg: '<svg xmlns="http://www.w3.org/2000/svg" width="8" height="8"/>', html: 'hello', json: '{}' };

/** Another origin, open to everyone. */
async function stranger() {
  const seen = new Set();
  const server = http.createServer((request, response) => {
    const [, name, end] = /^\/([a-z-]+)\.?([a-z]*)/.exec(request.url) ?? [];
    seen.add(name);
    response.writeHead(200, { 'Content-Type': KINDS[end] ?? 'application/octet-stream', 'Access-Control-Allow-Origin': '*' });
    response.end(BODIES[end] ?? 'x');
  });
  await new Promise((resolve) => { server.listen(0, '127.0.0.1', resolve); });
  return { url: `http://127.0.0.1:${server.address().port}/`, seen, stop: () => new Promise((resolve) => { server.closeAllConnections(); server.close(resolve); }) };
}

/** Each attempt by name: what it does, with the other origin's address as `other`, `body` and `put` at hand. */
const ATTEMPTS = {
  'inline-script': `const one = document.createElement('script'); one.textContent = 'window.ran = (window.ran ?? "") + " inline"'; put(one);`,
  handler: `const one = document.createElement('button'); one.setAttribute('onclick', 'window.ran = (window.ran ?? "") + " handler"'); put(one); one.click();`,
  link: `const one = document.createElement('a'); one.href = 'javascript:void(window.ran = (window.ran ?? "") + " link")'; put(one); one.click();`,
  eval: `try { (0, eval)('window.ran = (window.ran ?? "") + " eval"'); } catch {}`,
  function: `try { new Function('window.ran = (window.ran ?? "") + " function"')(); } catch {}`,
  timer: `try { setTimeout('window.ran = (window.ran ?? "") + " timer"'); } catch {}`,
  script: `const one = document.createElement('script'); one.src = other + 'script.js'; put(one);`,
  module: `const one = document.createElement('script'); one.type = 'module'; one.src = other + 'module.js'; put(one);`,
  style: `const one = document.createElement('link'); one.rel = 'stylesheet'; one.href = other + 'style.css'; put(one);`,
  image: `const one = document.createElement('img'); one.src = other + 'image.svg'; put(one);`,
  font: `new FontFace('Other', 'url(' + other + 'font.woff2)').load().catch(() => {});`,
  fetch: `fetch(other + 'fetch.json').catch(() => {});`,
  request: `try { const one = new XMLHttpRequest(); one.open('GET', other + 'request.json'); one.send(); } catch {}`,
  events: `try { new EventSource(other + 'events'); } catch {}`,
  socket: `try { new WebSocket(other.replace('http', 'ws') + 'socket'); } catch {}`,
  beacon: `try { navigator.sendBeacon(other + 'beacon', 'x'); } catch {}`,
  frame: `const one = document.createElement('iframe'); one.src = other + 'frame.html'; put(one);`,
  object: `const one = document.createElement('object'); one.data = other + 'object.svg'; one.type = 'image/svg+xml'; put(one);`,
  embed: `const one = document.createElement('embed'); one.src = other + 'embed.svg'; one.type = 'image/svg+xml'; put(one);`,
  media: `const one = document.createElement('audio'); one.src = other + 'media'; one.preload = 'auto'; put(one); one.load();`,
  worker: `try { const one = new Worker(URL.createObjectURL(new Blob(['fetch("' + other + 'worker.json").catch(() => {})'], { type: 'text/javascript' }))); one.onerror = (event) => event.preventDefault(); } catch {}`,
  base: `const one = document.createElement('base'); one.href = other; document.head.prepend(one); const image = document.createElement('img'); image.src = 'base.svg'; put(image); setTimeout(() => one.remove(), 100);`,
  form: `const frame = document.createElement('iframe'); frame.name = 'target'; put(frame); const one = document.createElement('form'); one.method = 'post'; one.target = 'target'; one.action = other + 'form'; put(one); try { one.submit(); } catch {}`,
  paint: `const one = document.createElement('style'); one.textContent = '#inline-paint { position: fixed; left: 7px }'; put(one); const box = document.createElement('p'); box.id = 'inline-paint'; put(box);`,
  attribute: `const one = document.createElement('p'); one.id = 'attribute-paint'; one.setAttribute('style', 'position: fixed; left: 7px'); put(one);`,
};

/** What must run where no policy stands in the way. */
const RUNS = ['inline', 'handler', 'link', 'eval', 'function', 'timer', 'other'];

/** The directive that each attempt must break; the engines name the same ones, some by the wider name. */
const DIRECTIVES = {
  'inline-script': 'script-src', handler: 'script-src', link: 'script-src', eval: 'script-src', function: 'script-src', timer: 'script-src', script: 'script-src', module: 'script-src',
  style: 'style-src', paint: 'style-src', attribute: 'style-src', image: 'img-src', font: 'font-src', fetch: 'connect-src', request: 'connect-src', events: 'connect-src', socket: 'connect-src', beacon: 'connect-src',
  frame: 'frame-src', object: 'object-src', embed: 'object-src', media: 'media-src', worker: 'worker-src', base: 'base-uri', form: 'form-action',
};

/**
 * The attempts as a script of the site's own, so that they are the page's: what a driver runs stands in a realm of its
 * own in some engines, beyond the policy. They are written out as functions, since building them from text is forbidden.
 */
const PROBE = `
addEventListener('probe', async () => {
  const { other, patient } = document.documentElement.dataset;
  const put = (one) => document.body.append(one);
  const broken = {};
  // A refusal may be told after the next attempt has begun.
  const directives = ${JSON.stringify(DIRECTIVES)};
  let now;
  document.addEventListener('securitypolicyviolation', (event) => { broken[now].push(event.effectiveDirective || event.violatedDirective); });
  const attempts = { ${Object.entries(ATTEMPTS).map(([name, body]) => `'${name}': () => { ${body} }`).join(',\n')} };
  try {
    for (const [name, attempt] of Object.entries(attempts)) {
      now = name;
      broken[name] = [];
      attempt();
      const last = Date.now() + 20_000;
      do await new Promise((resolve) => setTimeout(resolve, patient ? 50 : 20)); while (!patient && !broken[name].some((one) => one.startsWith(directives[name])) && Date.now() < last);
    }
    const end = Date.now() + 20_000;
    while (patient && ${JSON.stringify(RUNS)}.some((word) => !(window.ran ?? '').includes(word)) && Date.now() < end) await new Promise((resolve) => setTimeout(resolve, 50));
    const left = (id) => getComputedStyle(document.getElementById(id)).left;
    document.documentElement.dataset.tried = JSON.stringify({ broken, ran: window.ran ?? '', paint: left('inline-paint'), attribute: left('attribute-paint'), base: document.baseURI });
  } catch (error) {
    document.documentElement.dataset.tried = JSON.stringify({ error: String(error) });
  }
});`;

/** Tries all of them one after the other; gives the directives that each was told to break, and what took effect. */
async function tryAll(page, other, patient) {
  await page.run(`
    document.documentElement.dataset.other = arguments[0];
    document.documentElement.dataset.patient = arguments[1];
    dispatchEvent(new Event('probe'));`, other, patient ? 'yes' : '');
  return JSON.parse(await until(() => page.run(`return document.documentElement.dataset.tried`), 'the attempts', 150_000));
}

/** Serves a copy of the site with the attempts, with or without its policy. */
async function serve(page, folder, change) {
  const site = path.join(folder, change === trusting ? 'site' : 'open');
  cpSync(siteFor(page.engine), site, { recursive: true });
  changeSite(site, 'index.html', (text) => change(text).replace('<script', '<script src="probe.js"></script>\n<script'));
  writeFileSync(path.join(site, 'probe.js'), PROBE);
  changeSite(site, 'probe.js', (script) => script);
  await page.server.restart(site);
}

/** What must reach the other origin where no policy stands in the way. */
const REACHES = ['script', 'module', 'style', 'image', 'font', 'fetch', 'request', 'events', 'socket', 'beacon', 'frame', 'object', 'embed', 'worker', 'base', 'form'];

inEachEngine('everything that the policy forbids is refused, directive by directive', async (page) => {
  const other = await stranger();
  const folder = mkdtempSync(path.join(tmpdir(), 'dotdown-open-'));
  try {
    await serve(page, folder, trusting);
    await page.open();
    const { error, broken, ran, paint, attribute, base } = await tryAll(page, other.url, false);
    assert.equal(error, undefined);
    assert.deepEqual([...other.seen], [], 'nothing reaches another origin');
    assert.equal(ran, '', 'nothing runs');
    assert.deepEqual([paint, attribute], ['auto', 'auto'], 'nothing is painted');
    assert.ok(base.startsWith(page.server.url.split('#')[0].replace(/\/$/, '')), base);
    for (const [name, directive] of Object.entries(DIRECTIVES)) {
      assert.ok(broken[name].some((one) => one.startsWith(directive)), `${name}: ${directive} is enforced, told were ${JSON.stringify(broken[name])}`);
    }
    await page.run(`return navigator.serviceWorker?.getRegistrations().then((all) => Promise.all(all.map((one) => one.unregister())))`);
    await serve(page, folder, (text) => {
      const open = text.replace(/<meta http-equiv="Content-Security-Policy"[^>]*>/, '');
      assert.notEqual(open, text, 'the page has a policy');
      return open;
    });
    await page.open();
    const free = await tryAll(page, other.url, true);
    assert.equal(free.error, undefined);
    const missing = () => REACHES.filter((name) => !other.seen.has(name));
    await until(() => missing().length === 0, 'all of them to reach it without the policy').catch((error) => assert.fail(`${error.message}: ${missing()}`));
    for (const word of RUNS) assert.ok(free.ran.includes(word), `without the policy ${word} runs`);
    assert.deepEqual([free.paint, free.attribute], ['7px', '7px'], 'and paints');
  } finally {
    rmSync(folder, { recursive: true, force: true });
    await other.stop();
  }
}, { open: false, faults: true });

/** What a text would become without being trusted, and the page's own doors for what it trusts. */
const UNTRUSTED = `
addEventListener('probe', () => {
  const text = '<img src="data:," onerror="window.ran = 1">';
  const put = (name) => document.body.appendChild(document.createElement(name));
  const attempts = {
    innerHTML: () => { put('p').innerHTML = text; },
    outerHTML: () => { put('p').outerHTML = text; },
    insertAdjacentHTML: () => { put('p').insertAdjacentHTML('beforeend', text); },
    srcdoc: () => { put('iframe').srcdoc = text; },
    parse: () => { new DOMParser().parseFromString(text, 'text/html'); },
    write: () => { document.write(text); },
    text: () => { document.createElement('script').text = 'window.ran = 1'; },
    src: () => { document.createElement('script').src = 'app.js'; },
    worker: () => { new Worker('./worker.js'); },
    'another policy': () => { trustedTypes.createPolicy('another', {}); },
    'the page’s policy for markup': () => { trustedTypes.createPolicy('dotdown-markup', { createHTML: (one) => one }); },
    'the page’s policy for addresses': () => { trustedTypes.createPolicy('dotdown-address', { createScriptURL: (one) => one }); },
    'its door for addresses': () => { window.dotdown.script('./app.js'); },
    'its door for addresses, from outside': () => { window.dotdown.script('https://other.invalid/x.js'); },
  };
  const went = Object.keys(attempts).filter((name) => {
    try { attempts[name](); } catch (error) { return !(error instanceof TypeError); }
    return true;
  });
  document.documentElement.dataset.tried = JSON.stringify({ went, ran: window.ran ?? null });
});`;

inEachEngine('no text becomes markup or a script but by the page’s two policies', async (page) => {
  const { site, drop } = siteCopy(page);
  try {
    runFirst(site, 'probe.js', UNTRUSTED);
    await page.server.restart(site);
    await page.open('#rigs');
    await page.act('tab:fall');
    await until(() => page.result('fall.settle'), 'the fall: the page itself draws, and opens its worker');
    await page.run(`dispatchEvent(new Event('probe'))`);
    const tried = await until(() => page.run(`return document.documentElement.dataset.tried`), 'the attempts');
    assert.deepEqual(JSON.parse(tried), { went: [], ran: null });
    await page.stored();
  } finally {
    drop();
  }
}, { open: false, faults: true });

inEachEngine('no page of another makes it a frame, where the host sends the headers', async (page) => {
  const headers = await page.driver.executeAsyncScript(`fetch('./').then(({ headers }) => arguments[0](Object.fromEntries(headers)))`);
  assert.equal(headers['content-security-policy'], "frame-ancestors 'none'");
  assert.equal(headers['x-content-type-options'], 'nosniff');
  const other = http.createServer((_, response) => response.writeHead(200, { 'Content-Type': 'text/html' }).end(`<!doctype html><title>frame</title><iframe src="${page.server.url}"></iframe>`));
  await new Promise((resolve) => { other.listen(0, '127.0.0.1', resolve); });
  try {
    await page.driver.get(`http://localhost:${other.address().port}/`);
    await page.driver.switchTo().frame(0);
    assert.equal(await page.run(`return document.querySelector('main')`), null);
    await page.driver.switchTo().defaultContent();
  } finally {
    other.close();
    other.closeAllConnections();
  }
}, { engines: ['chromium'], faults: true });
