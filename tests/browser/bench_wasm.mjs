// The same golden work natively and in WebAssembly: `node bench_wasm.mjs PROGRAM MODULE.js MODULE.wasm`, as
// `./build.sh bench` makes them; and the same through the component, whose objects are converted both ways. Least of 15
// rounds on either side, by turns. Prints; judges nothing.

import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import path from 'node:path';
import { pathToFileURL } from 'node:url';
import { builtCore, ROOT } from './harness.mjs';

const [program, script, wasm] = process.argv.slice(2);
const module = await import(pathToFileURL(script));
module.initSync({ module: readFileSync(wasm) });

/** Runs the program once; per piece of work the least time in ms, and the figure. */
const native = () => execFileSync(program, { encoding: 'utf8' }).trim().split('\n').map((line) => line.split(' ').map(Number));

/** Least time of one of so many calls, ms, in 15 rounds. */
function timed(call, calls) {
  let ms = Infinity;
  for (let i = 0; i < 15; i++) {
    const begun = performance.now();
    call(calls);
    ms = Math.min(ms, (performance.now() - begun) / calls);
  }
  return ms;
}

const core = await builtCore();
const matter = { kind: 'label', label: { fat_g: 30.3, protein_g: 12.5, carbohydrate_g: 2.1, salt_g: 3.2 } };
const cube = (edge_mm) => ({ kind: 'cube', edge_mm });
const depths_m = [0.4, 0.6, 0.8, 1, 1.3, 1.6, 2, 2.5];
const drops = Array.from({ length: 10 }, (_, i) => ({ dropped_s: 0, landed_s: 5.2 + 0.1 * (i % 7) }));
const targets = [4, 6, 8, 10].map((edge_mm) => ({ shape: cube(edge_mm), water_temperature_c: 14, depths_m }));
const shot_box = [150, 200, 260, 340, 480, 600, 830, 1050, 1300, 1700, 2000, 2800, 4000, 6000, 8000].map((mass_tenth_mg) => ({
  name: '', mass_tenth_mg, density_kg_per_m3: mass_tenth_mg > 600 ? 7310 : 11350, count: 60 }));
const float = { load_tenth_mg: 50_000, tip_diameter_mm: 1.2, tip_length_mm: 25 };
const { rig } = JSON.parse(readFileSync(path.join(ROOT, 'tests/data/rig_fall/g1_deck_bulk_90.json')));
/** The work of the golden module with a script's objects. */
const OBJECTS = [
  () => {
    core.sink({ matter, shape: cube(6), water_temperature_c: 14, depths_m });
    core.tubTest({ matter, shape: cube(6), tub_depth_m: 0.3, tub_temperature_c: 18, drops, pieces: 40, light: 1, targets });
  },
  () => core.balance({ float, temperature_c: 15, shot_box, wanted_tip_mm: 4, max_sizes: 3, max_shots: 30 }),
  () => core.fall(rig),
  () => core.fall(rig, { step_s: 0.05, link_factor: 2 }),
];

const least = native();
for (let work = 0; module.name(work); work++) {
  const figure = module.golden(work, 3);
  const rounds = work < 2 ? 200 : 5;
  const ms = timed((calls) => module.golden(work, calls), rounds);
  const [, nativeMs, nativeFigure] = least[work];
  const same = Math.abs(figure - nativeFigure) <= 1e-9 * Math.abs(nativeFigure);
  const goal = work % 4 ? '1.6' : '2.0';
  const objects = OBJECTS[work] && timed((calls) => { for (let i = 0; i < calls; i++) OBJECTS[work](); }, rounds) - ms;
  console.log(`${module.name(work).padEnd(44)} native ${nativeMs.toFixed(4)} ms, wasm ${ms.toFixed(4)} ms: ${(ms / nativeMs).toFixed(2)} times (goal ${goal}); ${
    same ? 'same figure' : `${figure} instead of ${nativeFigure}`}${objects === undefined ? '' : `; objects ${objects.toFixed(4)} ms more`}`);
}

// A session's own work lies in its replay, above; here its objects are seen.
const session = new core.Session(core.presets()[0].plan);
let at_ms = 1_900_000_000_000;
const tap = timed((calls) => { for (let i = 0; i < calls; i++) { at_ms += 20_000; session.record({ at_ms, kind: i % 3 ? 'missed' : 'fed' }); session.state(at_ms); } }, 10);
console.log(`a tap and the state after it, through the component: ${tap.toFixed(4)} ms`);
