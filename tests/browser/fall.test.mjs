// How a rig sinks: the function for any script, in Node; and what the page shows of it, in each engine.

import { readFileSync } from 'node:fs';
import { test } from 'node:test';
import { builtCore, changedSite } from './harness.mjs';
import { assert, By, inEachEngine, Key, until } from './page.mjs';

const GOLDEN = ['g1_deck_bulk_90', 'g3_shallow050_90_25C', 'g6_deck_spread_90_20C_slide'];

const golden = (name) => JSON.parse(readFileSync(new URL(`../data/rig_fall/${name}.json`, import.meta.url)));

for (const name of GOLDEN) {
  test(`fall(rig) takes ${name} as it stands and agrees with the tables`, async () => {
    const { fall } = await builtCore();
    const { rig, same_mesh: want, converged } = golden(name);
    const told = fall(rig);
    assert.equal(told.n_links, want.n_links);
    assert.equal(told.sample_dt_s, want.sample_dt_s);
    assert.ok(Math.abs(told.final_depth_m - want.final_depth_m) < 1e-9);
    for (const row of ['hook_z_m', 'hook_x_m']) {
      assert.equal(told[row].length, want[row].length);
      told[row].forEach((value, i) => assert.ok(Math.abs(value - want[row][i]) <= 2e-4, `${row} ${i}`));
    }
    for (const row of ['t_fraction_of_final_depth_s', 't_fraction_of_travel_s']) {
      for (const [share, t] of Object.entries(want[row])) assert.ok(Math.abs(told[row][share] / t - 1) < 5e-4, `${row} ${share}`);
    }
    for (const [share, t] of Object.entries(converged.t_fraction_of_final_depth_s)) {
      assert.ok(Math.abs(told.t_fraction_of_final_depth_s[share] / t - 1) < 3e-3, `converged ${share}`);
    }
  });
}

test('fall(rig) refuses an impossible rig with a code, a field and a sentence', async () => {
  const { fall, Finder } = await builtCore();
  const { rig } = golden(GOLDEN[1]);
  const wrong = [
    { ...rig, shots: [{ from_hook_m: -0.1, mass_kg: 3e-5, count: 1 }] },
    { ...rig, shots: [{ from_hook_m: 9, mass_kg: 3e-5, count: 1 }] },
    { ...rig, shots: [{ from_hook_m: 0.2, mass_kg: 3e-5, count: 500 }] },
    { ...rig, main: { length_m: 30, diameter_m: 0.0002 } },
    { ...rig, main: { length_m: 0, diameter_m: 0.0002 }, hooklength: { length_m: 0, diameter_m: 0.0001 } },
    { ...rig, bait: { side_m: 0.006, density: 900 } },
    { ...rig, temperature_C: NaN },
    { ...rig, float: { mode: 'slide' } },
    {}, null, 7, 'rig',
  ];
  for (const one of wrong) {
    assert.throws(() => fall(one), (error) => error instanceof Error && Boolean(error.code) && error.message.length > 10, JSON.stringify(one));
    assert.throws(() => new Finder({ rig: one, aim: 'get_down_fast' }), (error) => Boolean(error.code), JSON.stringify(one));
  }
});

test('a Finder goes on in slices and ends with proposals', async () => {
  const { Finder } = await builtCore();
  const { rig } = golden(GOLDEN[1]);
  const finder = new Finder({ rig, aim: 'get_down_fast', most_groups: 1 });
  let progress;
  let slices = 0;
  do {
    progress = finder.step(10);
    slices += 1;
  } while (!progress.done && slices < 1000);
  finder.free();
  assert.ok(progress.done && slices > 1);
  assert.ok(progress.own.to_bottom_s > 0 && progress.proposals.length > 0);
  assert.ok(progress.proposals[0].words.length > 10 && progress.proposals[0].exact);
});

const openRigs = async (page) => {
  await page.act('tab:fall');
  await until(() => page.result('fall.settle'), 'the fall');
};

inEachEngine('the fall of a rig appears, follows a change, plays and stops', async (page) => {
  await openRigs(page);
  await until(async () => /^From \d+ to \d+ s/.test(await page.result('fall.band')), 'the band of the fall, from the worker');
  const before = await page.run(`return document.querySelector('[data-result="fall.times"]').textContent`);
  const now = () => page.run(`return document.querySelector('[data-now]').textContent`);
  const start = await now();
  const play = () => page.run(`const b = document.getElementById('play'); b.scrollIntoView({ block: 'center' }); return b`);
  await (await play()).click();
  await until(async () => (await now()) !== start, 'the next moment');
  await (await play()).click();
  const paused = await now();
  await new Promise((resolve) => setTimeout(resolve, 300));
  assert.equal(await now(), paused, 'paused');
  // By keyboard: the bar steps a tenth of a second.
  const bar = await page.driver.findElement(By.id('scrub'));
  await bar.sendKeys(Key.ARROW_RIGHT);
  await until(async () => (await now()) !== paused, 'a step by the keyboard');
  await page.set('rigs.0.bulk_from_hook', '8 in');
  await until(() => page.run(`
    const table = document.querySelector('[data-result="fall.times"]');
    return !document.querySelector('[data-result="fall.older"]') && table && table.textContent !== arguments[0]`, before), 'the fall of the changed rig');
});

inEachEngine('a move is shown beside the own pattern', async (page) => {
  await openRigs(page);
  await page.act('move:0');
  await until(() => page.run(`return Boolean(document.querySelector('[data-fall="beside"]'))`), 'the second pattern');
  await page.act('use-move:0');
  await page.notice(/written into the rig/);
});

inEachEngine('the finder tells how far it is, and stops at once', async (page) => {
  await openRigs(page);
  await page.act('rig:3');
  await until(() => page.run(`return Boolean(document.querySelector('[data-result="fall.settle"]'))`), 'the fall');
  for (let i = 0; i < 2; i++) await page.act('finder:groups.+');
  await page.act('finder:start');
  await until(() => page.result('find.own'), 'what the own pattern does');
  await until(async () => /Searching: \d+/.test(await page.result('find.state')), 'the first tale');
  // From the press to the stopped state; the page's own clock.
  const took = await page.run(`
    const begun = performance.now();
    document.querySelector('[data-act="finder:stop"]').click();
    return document.querySelector('[data-result="find.state"]').textContent.includes('Stopped') ? performance.now() - begun : null`);
  assert.notEqual(took, null, 'stopped with the press');
  const state = await page.result('find.state');
  await new Promise((resolve) => setTimeout(resolve, 600));
  assert.equal(await page.result('find.state'), state, 'nothing more comes');
  // The worker still serves: a whole search ends.
  for (let i = 0; i < 4; i++) await page.act('finder:groups.-');
  await page.act('finder:start');
  await until(async () => /^Done/.test(await page.result('find.state')), 'the end of the search');
  assert.ok(await page.result('find.proposal'));
});

inEachEngine('without motion the fall stands in four moments', async (page) => {
  await page.session.cdp('Emulation.setEmulatedMedia', { features: [{ name: 'prefers-reduced-motion', value: 'reduce' }] });
  await page.open();
  await openRigs(page);
  assert.equal(await page.run(`return document.getElementById('play')`), null);
  assert.equal(await page.run(`return document.querySelectorAll('.ghost').length`), 4);
}, { engines: ['chromium'] });

inEachEngine('the player stops out of view and on a hidden page, and then asks for no frame', async (page) => {
  await openRigs(page);
  await page.run(`
    window.frames = 0;
    const ask = window.requestAnimationFrame.bind(window);
    window.requestAnimationFrame = (step) => { window.asked = (window.asked ?? 0) + 1; return ask(step); };`);
  const asked = () => page.run(`return window.asked ?? 0`);
  const word = () => page.run(`return document.getElementById('play').textContent`);
  const play = async () => {
    await page.run(`const b = document.getElementById('play'); b.scrollIntoView({ block: 'center' }); b.click()`);
    const before = await asked();
    await until(async () => (await asked()) > before + 2 && (await word()) === 'Pause', 'the player to run');
  };
  const still = async (what) => {
    await until(async () => (await word()) === 'Play', `the player to stop ${what}`);
    const before = await asked();
    await new Promise((resolve) => setTimeout(resolve, 400));
    assert.equal(await asked(), before, `no frame is asked for ${what}`);
  };
  await play();
  await page.run(`scrollTo(0, document.documentElement.scrollHeight)`);
  await still('out of view');
  await play();
  await page.run(`
    Object.defineProperty(document, 'visibilityState', { value: 'hidden', configurable: true });
    document.dispatchEvent(new Event('visibilitychange', { bubbles: true }));
    delete document.visibilityState;`);
  await still('on a hidden page');
});

inEachEngine('a weighing of shot is typed like any other number, and refused with a sentence', async (page) => {
  await page.sheet('rigs.weigh');
  const offered = () => page.run(`return document.querySelectorAll('[data-act="weighed"]').length`);
  assert.equal(await offered(), 0, 'nothing to write before anything was typed');
  await page.set('weigh.size', '3');
  await page.set('weigh.count', '50');
  await page.set('weigh.shown', '1.75');
  await until(async () => /^No\. 10: 50 shot, 1\.75 g in all: 0\.035 g each, was 0\.034 g/.test(await page.result('weigh.mass')), 'what will be written');
  await page.set('weigh.shown', 'much');
  await until(() => page.run(`return document.querySelector('[data-error="weigh.shown"]').textContent.length > 10`), 'a sentence');
  assert.equal(await offered(), 0, 'nothing to write beside a refusal');
  await page.set('weigh.shown', '1,8');
  await until(async () => /0\.036 g each/.test(await page.result('weigh.mass')), 'either decimal sign');
  await page.act('weighed');
  assert.match(await page.value('shot_box.3.mass'), /^0\.036/);
}, { engines: ['chromium'] });

inEachEngine('a worker that fails is told of in place of the fall, and the page goes on', async (page) => {
  const { site, drop } = changedSite(page, 'worker.js', (script) => script.replace('work();', "onmessage = () => { throw new Error('made by the test'); };"));
  try {
    await page.server.restart(site);
    await page.open('#rigs');
    await page.act('tab:fall');
    await until(async () => /could not run here/.test((await page.result('fall.trouble')) ?? ''), 'the sentence');
    await page.set('bait.edge', '9');
    assert.match(await page.value('bait.edge'), /^9/);
  } finally {
    drop();
  }
}, { open: false, faults: true });
