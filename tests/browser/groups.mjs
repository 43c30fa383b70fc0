// Runs all files of tests in a few processes, which take turns at the engines: a browser is opened once a process and
// engine, not once a file. `node groups.mjs` is what ./build.sh test runs; a file alone runs with `node --test FILE`.

import { spawn } from 'node:child_process';
import { readdirSync, writeFileSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';

/** How many work side by side. */
const GROUPS = 3;
/** The longest files, by seconds on two cores, so that the groups end together; whatever is not named counts as short. */
const LONG = {
  journeys: 160, reading: 120, live: 140, offline: 100, hostile: 80, storage: 70, tub: 70, fall: 70, one_file: 50, kills: 40, about: 45,
  senses: 38, hands: 38, shots: 25, print: 28, memory: 25, qr: 22, policy: 21, shell: 25, upsets: 30, stores: 20, values: 12,
};
const SHORT = 5;

const here = fileURLToPath(new URL('.', import.meta.url));
const files = readdirSync(here).filter((name) => name.endsWith('.test.mjs'));
const weight = (name) => LONG[name.replace('.test.mjs', '')] ?? SHORT;
const groups = Array.from({ length: GROUPS }, () => ({ weight: 0, files: [] }));
for (const name of files.sort((a, b) => weight(b) - weight(a))) {
  const least = groups.reduce((a, b) => (b.weight < a.weight ? b : a));
  least.weight += weight(name);
  least.files.push(name);
}

const folder = mkdtempSync(path.join(tmpdir(), 'dotdown-groups-'));
process.on('exit', () => rmSync(folder, { recursive: true, force: true }));
const entries = groups.map(({ files }, i) => {
  const entry = path.join(folder, `group-${i + 1}.mjs`);
  writeFileSync(entry, files.map((name) => `import ${JSON.stringify(String(pathToFileURL(path.join(here, name))))};\n`).join(''));
  return entry;
});
const run = spawn(process.execPath, ['--test', `--test-concurrency=${GROUPS}`, '--test-reporter=spec', ...entries], { cwd: here, stdio: 'inherit' });
run.on('exit', (code) => process.exit(code ?? 1));
