// No two labels of a drawing lie over each other: one to eight rigs, long names, 0.2 to 6 m, in feet or in metres.

import assert from 'node:assert/strict';
import { builtCore } from './harness.mjs';
import { inEachEngine, until } from './page.mjs';

/** Rigs over a depth: evenly, or a hand's breadth apart under the surface. */
const PLANS = [1, 3, 8].flatMap((rigs) => [[5_000, false], [21_000, false], [21_000, true], [60_000, false]].map(([depth, near]) => ({ rigs, depth, near })));

/** The worked day with other rigs and another depth, in tenths of a millimetre; its link. */
async function planned({ rigs, depth, near }) {
  const { presets, linkFrom } = await builtCore();
  const { plan } = presets()[0];
  const model = plan.rigs[0];
  plan.water.depth_tenth_mm = plan.lines[0].depth_tenth_mm = depth;
  plan.lines[0].name = 'Thirteen metres and the long pole left';
  plan.rigs = Array.from({ length: rigs }, (_, i) => {
    const deep = near ? Math.min(2_000 + 400 * i, depth) : Math.round(2_000 + ((depth - 2_000) * (i + 1)) / rigs);
    return { ...model, name: 'ABCDEFGH'[i], line: 0, depth_tenth_mm: deep, float_name: `A long name for float ${i}`, hooklength_tenth_mm: 1_000, bulk_from_hook_tenth_mm: Math.round(deep / 3) };
  });
  plan.feed = plan.feed.map((phase) => ({ ...phase, line: 0 }));
  return linkFrom(plan);
}

/** Pairs of labels that overlap, in each drawing that is seen. A label's box holds the room over and under its letters: a fifth of it each. */
const OVERLAPS = `
  const found = [];
  for (const drawing of document.querySelectorAll('svg')) {
    if (!drawing.checkVisibility()) continue;
    const boxes = [...drawing.querySelectorAll('text')].filter((one) => one.textContent.trim() && one.checkVisibility()).map((one) => {
      const { left, right, top, bottom } = one.getBoundingClientRect();
      const room = (bottom - top) / 5;
      return { left, right, top: top + room, bottom: bottom - room, words: one.textContent };
    });
    for (const [i, a] of boxes.entries()) for (const b of boxes.slice(i + 1)) {
      const over = Math.min(a.right, b.right) - Math.max(a.left, b.left), down = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
      if (over > 1 && down > 1) found.push((drawing.getAttribute('aria-label') ?? drawing.getAttribute('class')).slice(0, 30) + ': ' + a.words + ' / ' + b.words);
    }
  }
  return [found, document.querySelectorAll('svg text').length];`;

inEachEngine('no two labels of a drawing lie over each other', async (page) => {
  await page.session.cdp('Emulation.setDeviceMetricsOverride', { width: 360, height: 740, deviceScaleFactor: 1, mobile: true });
  const faults = new Set();
  let labels = 0;
  for (const [k, one] of PLANS.entries()) {
    await page.open(`#${await planned(one)}`);
    if (k) {
      await until(() => page.run(`return document.querySelector('[data-act="pending:add"]')?.checkVisibility()`), 'the question');
      await page.act('pending:add');
    }
    await page.go('settings');
    await page.act(k % 2 ? 'units:metric' : 'units:imperial');
    for (const place of ['day', 'bait', 'rigs', 'rigs fall', 'rigs tie', 'rigs line', 'bank']) {
      const [screen, tab] = place.split(' ');
      await page.show(screen);
      if (tab) await page.run(`document.getElementById('tab-' + arguments[0]).click()`, tab);
      await page.run(`document.querySelectorAll('main details').forEach((one) => { one.open = true; })`);
      const [found, count] = await page.run(OVERLAPS);
      labels += count;
      for (const words of found) faults.add(`${one.rigs} rigs, ${one.depth / 1e4} m${one.near ? ', near' : ''}, ${place}: ${words}`);
    }
  }
  assert.deepEqual([...faults], []);
  assert.ok(labels > 500, `${labels} labels were measured`);
}, { engines: ['chromium'], patience: 40 });
