import start, { balance, fall } from './dotdown/dotdown.js';

await start();

const { sets } = balance({
  float: { load_tenth_mg: 4000, tip_diameter_mm: 1.2, tip_length_mm: 20 },
  temperature_c: 18,
  shot_box: [{ name: 'No. 10', mass_tenth_mg: 340, density_kg_per_m3: 11340, count: 30 }],
  wanted_tip_mm: 2, max_sizes: 1, max_shots: 30,
});
const shots = sets[0].shots.map(({ name, count }) => `${count} × ${name}`);
document.getElementById('shot').textContent = `Put ${shots.join(' and ')} on the line.`;

const { hook_z_m, sample_dt_s } = fall({
  temperature_C: 18,
  main: { length_m: 0.6, diameter_m: 0.00015 }, hooklength: { length_m: 0.15, diameter_m: 0.0001 },
  shots: [{ from_hook_m: 0.4, mass_kg: 3.4e-5, count: 11 }], hook: { mass_kg: 1e-5 }, bait: { side_m: 0.006, density: 1040 },
});
const line = document.createElementNS('http://www.w3.org/2000/svg', 'polyline');
line.setAttribute('points', hook_z_m.map((z, i) => `${10 * i * sample_dt_s},${150 * z}`).join(' '));
line.setAttribute('fill', 'none');
line.setAttribute('stroke', 'black');
document.getElementById('fall').append(line);
