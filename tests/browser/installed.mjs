// The npm package as somebody else has it: its tarball, installed by npm in a folder that held nothing.

import { execFileSync } from 'node:child_process';
import { mkdtempSync, readdirSync, realpathSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { SITE } from './harness.mjs';

const PACKAGE = path.join(SITE, 'component');

/** Installs the tarball; gives the folder, in which `dotdown` can be imported, and which goes when this process ends. */
export function installed() {
  const folder = realpathSync(mkdtempSync(path.join(tmpdir(), 'dotdown-package-')));
  process.on('exit', () => rmSync(folder, { recursive: true, force: true }));
  const tarball = readdirSync(PACKAGE).find((name) => name.endsWith('.tgz'));
  writeFileSync(path.join(folder, 'package.json'), '{ "private": true, "type": "module" }\n');
  execFileSync('npm', ['install', '--offline', '--no-audit', '--no-fund', '--silent', path.join(PACKAGE, tarball)], { cwd: folder });
  return folder;
}
