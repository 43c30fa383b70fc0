// The same module for Node, whose fetch takes no address of a file: without an argument it reads the core from the disk.

import { readFile } from 'node:fs/promises';
import start from './dotdown.js';

export * from './dotdown.js';

export default async function init(core) {
  return start(core ?? { module_or_path: await readFile(new URL('dotdown_bg.wasm', import.meta.url)) });
}
