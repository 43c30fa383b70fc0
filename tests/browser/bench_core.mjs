// What the core costs in WebAssembly, in Node: bait, balance, day, and the fall of a rig against real time. Object
// conversion is included. Beside the native figures that `cargo bench` prints. Prints; judges nothing.

import { readFileSync } from 'node:fs';
import path from 'node:path';
import { builtCore, ROOT } from './harness.mjs';

const core = await builtCore();

/** Median time of a call, ms, over a few dozen rounds after a warm-up. */
function median(call, rounds = 41) {
  for (let i = 0; i < 5; i++) call();
  const times = Array.from({ length: rounds }, () => {
    const begun = performance.now();
    call();
    return performance.now() - begun;
  });
  return times.sort((a, b) => a - b)[rounds >> 1];
}
const print = (name, ms, note = '') => console.log(`${name.padEnd(44)} ${ms.toFixed(3).padStart(9)} ms  ${note}`);

const { plan } = core.presets()[0];
const label = { fat_g: 30.3, protein_g: 12.5, carbohydrate_g: 2.1, salt_g: 3.2 };
const matter = { kind: 'label', label, air_share: 0 };
const shape = { kind: 'cube', edge_mm: 6 };
const depths_m = [0.2, 0.4, 0.457, 0.6, 0.8, 1, 1.5, 2.1];
const drops = Array.from({ length: 10 }, (_, i) => ({ dropped_s: i * 20, landed_s: i * 20 + 5 + 0.1 * (i % 5) }));
const targets = [4, 6, 8, 10].map((edge_mm) => ({ shape: { kind: 'cube', edge_mm }, water_temperature_c: 18, depths_m }));
print('sink, 8 depths', median(() => core.sink({ matter, shape, water_temperature_c: 18, depths_m })), 'goal 1 ms');
print('tubTest, 10 drops, 4 sizes, 8 depths', median(() => core.tubTest({
  matter, shape, tub_depth_m: 0.3, tub_temperature_c: 15, drops, pieces: 20, targets })), 'goal 1 ms');
print('day(plan), everything the screens show', median(() => core.day(plan)));
const shot_box = [150, 200, 260, 340, 480, 600, 830, 1050, 1300, 1700, 2000, 2800, 4000, 6000, 8000].map((mass_tenth_mg, i) => ({
  name: `size ${i}`, mass_tenth_mg, density_kg_per_m3: i < 6 ? 11350 : 7310, count: 60 }));
print('balance, 15 sizes, 3 distinct, 30 shots, 5 g', median(() => core.balance({
  float: { load_tenth_mg: 50_000, tip_diameter_mm: 1.2, tip_length_mm: 25 }, temperature_c: 15, shot_box, wanted_tip_mm: 4, max_sizes: 3, max_shots: 30 })));
for (const name of ['g1_deck_bulk_90', 'g3_shallow050_90_25C', 'g6_deck_spread_90_20C_slide']) {
  const { rig } = JSON.parse(readFileSync(path.join(ROOT, `tests/data/rig_fall/${name}.json`)));
  const shown = median(() => core.fall(rig), 11);
  print(`fall as shown, ${name}`, shown, `${Math.round((rig.t_end_s * 1000) / shown)} times real time`);
}
