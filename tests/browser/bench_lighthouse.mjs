// Lighthouse's mobile profile (slow 4G, processor slowed four times, simulated) on each of the five screens of the site
// as a host would send it, with brotli and an empty cache. Prints the median of five runs for each category, the
// figures that performance hangs on, and every audit below full marks. Judges nothing.

import { mkdtempSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { spawn } from 'node:child_process';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { pathToFileURL } from 'node:url';
import { packed } from './packed.mjs';
import { program, ROOT, Server, until } from './harness.mjs';

const RUNS = Number(process.env.RUNS ?? 5);
const HOME = process.env.DOTDOWN_LIGHTHOUSE ?? path.join(ROOT, '.tools/lighthouse');
const { default: lighthouse } = await import(pathToFileURL(createRequire(path.join(HOME, 'x.js')).resolve('lighthouse')));
const CATEGORIES = ['performance', 'accessibility', 'best-practices', 'seo'];
const FIGURES = ['first-contentful-paint', 'largest-contentful-paint', 'total-blocking-time', 'cumulative-layout-shift', 'speed-index', 'interactive'];
const median = (values) => [...values].sort((a, b) => a - b)[values.length >> 1];

/** A Chromium of its own, with a fresh profile, that listens on a port. */
async function chromium() {
  const profile = mkdtempSync(path.join(tmpdir(), 'dotdown-lighthouse-'));
  const child = spawn(program('chromium'), [
    '--headless=new', '--remote-debugging-port=0', '--disable-background-networking', '--disable-component-update', '--disable-sync',
    '--no-first-run', '--no-default-browser-check', '--disable-gpu', '--disable-dev-shm-usage', `--user-data-dir=${profile}`,
    ...(process.getuid?.() === 0 ? ['--no-sandbox'] : []), 'about:blank',
  ], { stdio: ['ignore', 'ignore', 'pipe'] });
  let said = '';
  child.stderr.on('data', (data) => { said += data; });
  const [, port] = await until(() => /DevTools listening on ws:\/\/[^:]+:(\d+)/.exec(said), 'Chromium');
  return {
    port: Number(port),
    async end() {
      const gone = new Promise((resolve) => child.once('exit', resolve));
      child.kill();
      await gone;
      // Its helpers may write a moment longer than it lives.
      await until(() => { rmSync(profile, { recursive: true, force: true }); return true; }, 'the profile to be removed');
    },
  };
}

const site = packed();
const server = await Server.start({ site, under: '/' });
try {
  console.log(`${'screen'.padEnd(6)} ${CATEGORIES.map((one) => one.padStart(15)).join('')}   ${FIGURES.map((one) => one.replace(/[a-z]+-?/g, (word) => word[0].toUpperCase()).padStart(7)).join('')}`);
  for (const screen of ['day', 'bait', 'rigs', 'kit', 'bank']) {
    const runs = [];
    for (let run = 0; run < RUNS; run++) {
      const browser = await chromium();
      try {
        const { lhr } = await lighthouse(`${server.url}#${screen}`, { port: browser.port, logLevel: 'silent', output: 'json', onlyCategories: CATEGORIES });
        runs.push(lhr);
      } finally {
        await browser.end();
      }
    }
    const score = (category) => median(runs.map(({ categories }) => Math.round(categories[category].score * 100)));
    const figure = (audit) => median(runs.map(({ audits }) => audits[audit].numericValue));
    console.log(`${screen.padEnd(6)} ${CATEGORIES.map((one) => String(score(one)).padStart(15)).join('')}   ${FIGURES.map((one) => figure(one).toFixed(one === 'cumulative-layout-shift' ? 3 : 0).padStart(7)).join('')}`);
    const middle = runs.find(({ categories }) => Math.round(categories.performance.score * 100) === score('performance'));
    for (const category of CATEGORIES) {
      for (const { id, weight } of middle.categories[category].auditRefs) {
        const audit = middle.audits[id];
        if (audit.score === null || audit.score >= 1 || (category !== 'performance' && weight === 0)) continue;
        console.log(`         ${category}: ${id} ${audit.score} ${audit.displayValue ?? audit.title}`);
        for (const item of (audit.details?.items ?? []).slice(0, 3)) {
          const what = item.node?.snippet ?? item.url ?? item.description ?? item.source;
          if (what && category !== 'performance') console.log(`           ${String(what).slice(0, 120)}`);
        }
      }
    }
  }
} finally {
  await server.stop();
  rmSync(site, { recursive: true, force: true });
}
process.exit();
