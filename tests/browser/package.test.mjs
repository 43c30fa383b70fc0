// The npm package, packed and installed: what is in it, the examples of its README in Node and out of a bundler, and a page
// of another site that embeds it under a strict content policy. No outside source: the README is what is held to.

import assert from 'node:assert/strict';
import { execFileSync } from 'node:child_process';
import { copyFileSync, cpSync, readFileSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { before, test } from 'node:test';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { builtCore, ROOT } from './harness.mjs';
import { installed } from './installed.mjs';
import { inEachEngine, until } from './page.mjs';

const OTHER = fileURLToPath(new URL('../other_site', import.meta.url));
let folder;
let readme;
/** The README's examples that import the package by its name. */
let examples;

before(() => {
  folder = installed();
  readme = readFileSync(path.join(folder, 'node_modules/dotdown/README.md'), 'utf8');
  examples = [...readme.matchAll(/```js\n(.*?)```/gs)].map(([, code]) => code).filter((code) => code.includes(`from 'dotdown'`));
});

const node = (file) => execFileSync(process.execPath, [file], { cwd: folder, encoding: 'utf8' });

/** What each example must print. */
const PRINTS = [
  (text) => assert.match(text, /^(\d+ × No\. \d+(, )?)+ shows \d\.\d mm$/m),
  (text) => assert.match(text, /: \d+ things'[^]*p1-\S+\n$/),
  (text) => assert.match(text, /^\[\]\n1 \S.*\n\[\n/),
  (text) => assert.match(text, /^used 3\n\d\.\d+\n$/),
  (text) => assert.match(text, /^\[ 'Shallow from noon \([0-9a-f]{8}\)' \]\ntrue\n$/),
];

test('the package holds what its files name, and no more', () => {
  const own = JSON.parse(readFileSync(path.join(folder, 'node_modules/dotdown/package.json')));
  assert.deepEqual(readdirSync(path.join(folder, 'node_modules/dotdown')).sort(), [...own.files, 'LICENSE', 'README.md', 'package.json'].sort());
  assert.equal(own.sideEffects, false);
  assert.equal(own.license, 'MIT');
  assert.equal(Object.keys(own.exports['.'])[0], 'types');
});

test('the README names every export', async () => {
  const table = readme.split('## What it exports')[1];
  for (const name of Object.keys(await builtCore())) assert.ok(table.includes(`\`${name}\``), name);
});

test('the examples run in Node as they stand', () => {
  assert.equal(examples.length, PRINTS.length);
  for (const [i, code] of examples.entries()) {
    writeFileSync(path.join(folder, `example-${i}.js`), code);
    PRINTS[i](node(`example-${i}.js`));
  }
});

test('the module and its description can be resolved by name', async () => {
  writeFileSync(path.join(folder, 'resolve.js'), `console.log(import.meta.resolve('dotdown/dotdown_bg.wasm'), import.meta.resolve('dotdown/package.json'))`);
  assert.match(node('resolve.js'), /dotdown_bg\.wasm file:.*package\.json\n$/);
});

test('bundled, an example runs with the wasm beside it, and drops nothing that it needs', async () => {
  const { build } = await import(pathToFileURL(path.join(ROOT, '.tools/npm/node_modules/esbuild/lib/main.js')));
  for (const [i, code] of examples.entries()) {
    writeFileSync(path.join(folder, 'entry.js'), code);
    const outfile = path.join(folder, `bundle-${i}/bundle.mjs`);
    await build({ absWorkingDir: folder, entryPoints: ['entry.js'], bundle: true, format: 'esm', platform: 'node', minify: true, outfile, logLevel: 'error' });
    copyFileSync(path.join(folder, 'node_modules/dotdown/dotdown_bg.wasm'), path.join(folder, `bundle-${i}/dotdown_bg.wasm`));
    PRINTS[i](node(outfile));
  }
});

test('the page of another site is the example of the README', () => {
  for (const name of ['index.html', 'page.js']) assert.ok(readme.includes(readFileSync(path.join(OTHER, name), 'utf8').trim()), name);
});

/** Puts the other site, with the package in its folder, in place of ours; gives its folder. */
async function otherSite(page) {
  const site = path.join(folder, 'site');
  rmSync(site, { recursive: true, force: true });
  cpSync(OTHER, site, { recursive: true });
  cpSync(path.join(folder, 'node_modules/dotdown'), path.join(site, 'dotdown'), { recursive: true });
  await page.server.restart(site);
  return site;
}

inEachEngine('a page of another site balances a float and plots a fall, under a strict policy', async (page) => {
  await otherSite(page);
  await page.driver.get(page.server.url);
  const found = await until(() => page.run(`
    const line = document.querySelector('#fall polyline');
    return line && { text: document.getElementById('shot').textContent, points: line.getAttribute('points').split(' ').map((one) => one.split(',').map(Number)) };`), 'the fall');
  assert.match(found.text, /^Put \d+ × No\. 10 on the line\.$/);
  const depths = found.points.map(([, depth]) => depth);
  assert.ok(depths.length > 10 && depths.every((depth) => depth >= 0 && depth <= 150 * 0.76), depths.join(' '));
  assert.ok(depths.at(-1) > 100, 'the hook comes down');
}, { open: false });

inEachEngine('a bundle for browsers starts by the same call', async (page) => {
  const { build } = await import(pathToFileURL(path.join(ROOT, '.tools/npm/node_modules/esbuild/lib/main.js')));
  const site = await otherSite(page);
  writeFileSync(path.join(folder, 'web.js'), `import start, { version } from 'dotdown';\nawait start();\ndocument.title = version();\n`);
  await build({
    absWorkingDir: folder, entryPoints: ['web.js'], bundle: true, format: 'esm', platform: 'browser', outfile: path.join(site, 'page.js'), allowOverwrite: true, logLevel: 'error',
  });
  copyFileSync(path.join(folder, 'node_modules/dotdown/dotdown_bg.wasm'), path.join(site, 'dotdown_bg.wasm'));
  await page.driver.get(page.server.url);
  await until(() => page.run(`return /^\\d+\\.\\d+\\.\\d+$/.test(document.title)`), 'the bundle');
}, { open: false });
