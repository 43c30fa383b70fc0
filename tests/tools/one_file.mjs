// Joins the built site into a single page that carries everything inside itself and asks for nothing:
//   node one_file.mjs SITE OUT BUNDLER
// where BUNDLER is the folder of the npm package esbuild. The page's scripts are the site's own, bundled; the core is
// packed by gzip and written in base 64; the policy allows exactly the scripts and the style inside, by their hashes.
// Whatever index.html asks for and this does not know is an error, so that nothing is left out unseen.

import { createHash } from 'node:crypto';
import { readFileSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { pathToFileURL } from 'node:url';
import { gzipSync } from 'node:zlib';

const [site, out, bundler] = process.argv.slice(2);
const { build } = await import(pathToFileURL(path.join(path.resolve(bundler), 'lib/main.js')));
const file = (name) => readFileSync(path.join(site, name));
const hash = (text) => `'sha256-${createHash('sha256').update(text).digest('base64')}'`;
const inData = (type, name) => `data:${type};base64,${file(name).toString('base64')}`;

/** A script with everything it imports, safe inside a page. It asks its own address for nothing: `start` hands the core over. */
async function bundle(name) {
  const { outputFiles, warnings } = await build({
    entryPoints: [path.join(site, name)], bundle: true, format: 'iife', minify: true, define: { 'import.meta.url': '""' }, write: false, legalComments: 'none',
    target: ['chrome108', 'firefox115', 'safari16.4'], charset: 'utf8', logLevel: 'error',
  });
  if (warnings.length) throw new Error(`${name}: ${warnings[0].text}`);
  return outputFiles[0].text.trim().replaceAll('</script', '<\\/script').replaceAll('<!--', '<\\!--');
}

// Plain scripts, not modules: from a file, Chromium runs no worker that is a module.
const scripts = { 'guard.js': String(file('guard.js')).trim(), 'start.js': await bundle('start.js') };
const style = String(file('style.css')).trim();
if (/<\/style|url\(|@import/i.test(style)) throw new Error('style.css asks for something else');

let page = String(file('index.html'));
/** Puts `text` in place of each tag that fits, of which there must be one at least. */
function put(pattern, text) {
  let count = 0;
  page = page.replace(pattern, (...found) => {
    count += 1;
    return text(...found);
  });
  if (!count) throw new Error(`index.html has no ${pattern}`);
}

put(/<link rel="(?:manifest|modulepreload|preload)"[^>]*>\n/g, () => '');
put(/<link rel="stylesheet" href="style\.css">/g, () => `<style>${style}</style>`);
put(/href="icon\.svg"/g, () => `href="${inData('image/svg+xml', 'icon.svg')}"`);
put(/href="icon-180\.png"/g, () => `href="${inData('image/png', 'icon-180.png')}"`);
put(/<script( type="module")? src="([^"]*)"><\/script>/g, (_, module = '', name) => {
  if (!(name in scripts)) throw new Error(`index.html asks for the script ${name}`);
  return `<script${module}>${scripts[name]}</script>`;
});
// Last in the page: the words of the page are on the screen while the rest comes in.
const core = gzipSync(file('app_bg.wasm'), { level: 9 }).toString('base64');
const worker = await bundle('worker.js');
put('</body>', () => `<script type="text/plain" id="core-inside">${core}</script>
<script type="text/plain" id="worker-inside">${worker}</script>
</body>`);
const policy = [
  "default-src 'none'", `script-src ${Object.values(scripts).map(hash).join(' ')} 'wasm-unsafe-eval'`,
  `style-src ${hash(style)}`, 'img-src data: blob:', 'worker-src blob:', "base-uri 'none'", "form-action 'none'",
  "require-trusted-types-for 'script'", 'trusted-types dotdown-markup dotdown-address',
].join('; ');
put(/(http-equiv="Content-Security-Policy" content=)"[^"]*"/, (_, start) => `${start}"${policy}"`);

// What is left must be places within the page, or data.
const tags = page.replace(/<(script|style)\b[^>]*>[^]*?<\/\1>/g, (whole) => whole.slice(0, whole.indexOf('>') + 1));
for (const [, , address] of tags.matchAll(/\s(href|src)="([^"]*)"/g)) {
  if (!/^(#|data:)/.test(address)) throw new Error(`the page still asks for ${address}`);
}
writeFileSync(out, page);
