// The same golden work natively and in WebAssembly: `node bench_wasm.mjs PROGRAM MODULE.js MODULE.wasm`, as
// `./build.sh bench` makes them. Least of 15 rounds on either side, by turns. Prints; judges nothing.

import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { pathToFileURL } from 'node:url';

const [program, script, wasm] = process.argv.slice(2);
const module = await import(pathToFileURL(script));
module.initSync({ module: readFileSync(wasm) });

/** Runs the program once; per piece of work the least time in ms, and the figure. */
const native = () => execFileSync(program, { encoding: 'utf8' }).trim().split('\n').map((line) => line.split(' ').map(Number));
const least = native();
for (let work = 0; module.name(work); work++) {
  const figure = module.golden(work, 3);
  const rounds = work < 2 ? 200 : 5;
  let ms = Infinity;
  for (let i = 0; i < 15; i++) {
    const begun = performance.now();
    module.golden(work, rounds);
    ms = Math.min(ms, (performance.now() - begun) / rounds);
  }
  const [, nativeMs, nativeFigure] = least[work];
  const same = Math.abs(figure - nativeFigure) <= 1e-9 * Math.abs(nativeFigure);
  console.log(`${module.name(work).padEnd(44)} native ${nativeMs.toFixed(4)} ms, wasm ${ms.toFixed(4)} ms: ${(ms / nativeMs).toFixed(2)} times (goal 1.6); ${same ? 'same figure' : `${figure} instead of ${nativeFigure}`}`);
}
