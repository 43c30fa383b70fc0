// A plan of one's own from a first visit, with one thumb: every touch is counted, save a keypad's digits, and every field that
// is left with another text. At most 35 and 10; the walk is printed as a table.

import { readFileSync } from 'node:fs';
import path from 'node:path';
import { ROOT } from './harness.mjs';
import { assert, inEachEngine, Key, until } from './page.mjs';

/** What the walk ends with: the plan's own text. */
const END = path.join(ROOT, 'tests/data/walk.txt');

inEachEngine('a plan of my own takes at most 35 taps and 10 typed values', async (page) => {
  await page.session.cdp('Emulation.setDeviceMetricsOverride', { width: 360, height: 740, deviceScaleFactor: 2, mobile: true });
  await page.open();
  const rows = [];
  let [taps, values] = [0, 0];
  /** A touch on what can be seen and is not behind a sheet. */
  const tap = async (selector, words = selector) => {
    const one = await until(() => page.run(`
      return [...document.querySelectorAll(arguments[0])].find((one) => one.checkVisibility() && !one.closest('[inert]')) ?? null;`, selector), selector);
    await page.run(`arguments[0].scrollIntoView({ block: 'center' })`, one);
    await page.still();
    await one.click();
    taps += 1;
    rows.push([taps, values, words]);
    return one;
  };
  const type = async (field, text) => {
    const one = await tap(`[data-field="${field}"]`, `${field}: ${text}`);
    await page.run(`arguments[0].select()`, one);
    await one.sendKeys(text, Key.TAB);
    values += 1;
    rows.at(-1)[1] = values;
  };
  const done = () => tap('#sheet .done', 'Done');
  const row = (address) => tap(`a.line[href="#${address}"]`, address);

  await row('day.place');
  await type('water.venue', 'Reed Mere');
  await done();
  await row('day.water');
  await type('water.depth', '6 ft');
  await tap('[data-act="follow:yes"]', 'the bottom rig follows');
  await row('day.lines');
  await type('lines.1.depth', '26 in');
  await tap('[data-act="follow:yes"]', 'the margin rig follows');
  await done();
  await row('day.rules');
  await type('rules.tins', '4');
  await done();
  await tap('#mend-all, .faults [data-act^="mend:"]', 'fit to the tins');
  await tap('nav a[href="#bait"]', 'Bait');
  await row('bait.label');
  await type('tin.fat', '21.5');
  await type('tin.protein', '14.5');
  await done();
  await tap('nav a[href="#rigs"]', 'Rigs');
  await row('rigs.float');
  await type('rigs.0.load', '0.14');
  await done();
  await row('rigs.rig');
  await type('rigs.0.depth', '12 in');
  await done();
  await tap('.strip [data-act="rig:3"]', 'rig D');
  await row('rigs.float');
  await type('rigs.3.load', '0.5');
  await done();
  await tap('.strip [data-act="rig:2"]', 'rig C');
  await row('rigs.rig');
  await tap('[data-act="remove:rigs.2"]', 'Delete this rig');
  await done();

  console.log(rows.map(([count, typed, words]) => `${String(count).padStart(3)} ${String(typed).padStart(3)}  ${words}`).join('\n'));
  assert.ok(taps <= 35 && values <= 10, `${taps} taps, ${values} values`);
  await page.go('day');
  assert.equal(await page.run(`return document.querySelector('[data-result="faults"]')`), null, 'nothing is left to mend');
  const text = (await page.share()).split('#').pop();
  assert.equal(text, readFileSync(END, 'utf8').trim(), 'the plan at the end');
}, { engines: ['chromium'] });
