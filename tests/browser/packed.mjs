// A copy of the built site as a host would send it, for the benches.

import { cpSync, mkdtempSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { brotliCompressSync } from 'node:zlib';
import { SITE } from './harness.mjs';

/** A copy with a brotli file beside each file, after a change. */
export function packed(change = () => {}) {
  const folder = mkdtempSync(path.join(tmpdir(), 'dotdown-bench-'));
  cpSync(SITE, folder, { recursive: true });
  change(folder);
  for (const name of readdirSync(folder).filter((one) => one !== 'component')) writeFileSync(path.join(folder, `${name}.br`), brotliCompressSync(readFileSync(path.join(folder, name))));
  return folder;
}
