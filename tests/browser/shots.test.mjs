// Pictures of every screen, tab and sheet, for people to look at, in shots/: 360x740 and 1280x800 by day; in a long run also
// 320x640 and 412x915, by night, and in metric units.

import { mkdirSync, rmSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { SHOTS } from './harness.mjs';
import { assert, begin, inEachEngine, press, SCREENS, SHEETS, tapped, until } from './page.mjs';

const LONG = Boolean(process.env.DOTDOWN_LONG);
const SIZES = [[360, 740], [1280, 800], ...(LONG ? [[320, 640], [412, 915]] : [])];

inEachEngine('every screen, tab and sheet has its picture', async (page) => {
  rmSync(SHOTS, { recursive: true, force: true });
  mkdirSync(SHOTS, { recursive: true });
  const take = async (name, whole) => {
    await page.run('document.activeElement.blur()');
    const clip = whole ? { captureBeyondViewport: true, clip: await area(page) } : {};
    const png = Buffer.from((await page.session.cdp('Page.captureScreenshot', { format: 'png', ...clip })).data, 'base64');
    assert.ok(png.length > 5000, `${name} is not blank`);
    writeFileSync(path.join(SHOTS, `${name}.png`), png);
  };
  for (const [width, height] of SIZES) {
    await page.session.cdp('Emulation.setDeviceMetricsOverride', { width, height, deviceScaleFactor: width < 600 ? 2 : 1, mobile: width < 600 });
    for (const value of LONG ? ['light', 'dark'] : ['light']) for (const units of LONG ? ['imperial', 'metric'] : ['imperial']) {
      await page.session.cdp('Emulation.setEmulatedMedia', { features: [{ name: 'prefers-color-scheme', value }] });
      const of = `${width}x${height}${value === 'dark' ? '-night' : ''}${units === 'metric' ? '-metric' : ''}`;
      await page.go('settings');
      await page.act(`units:${units}`);
      for (const screen of [...SCREENS, 'days', 'tackle', 'settings', 'about']) {
        await page.go(screen);
        await page.run('scrollTo(0, 0)');
        await take(`${screen}-${of}`);
        await take(`${screen}-${of}-whole`, true);
      }
      await page.go('rigs');
      for (const tab of ['fall', 'tie', 'line', 'shot']) {
        await page.run(`document.getElementById('tab-' + arguments[0]).click()`, tab);
        await take(`rigs-${tab}-${of}-whole`, true);
      }
      for (const sheet of SHEETS) {
        await page.sheet(sheet);
        await take(`${sheet.replace('.', '-')}-${of}`);
      }
    }
  }
  // A session, running and ended.
  for (const [width, height] of SIZES) {
    await page.session.cdp('Emulation.setDeviceMetricsOverride', { width, height, deviceScaleFactor: width < 600 ? 2 : 1, mobile: width < 600 });
    await page.open('#bank');
    if (width === SIZES[0][0]) {
      await begin(page);
      await tapped(page, 'fed', 'Feeds', 1);
      await tapped(page, 'fish', 'Fish', 1);
    }
    await take(`bank-running-${width}x${height}`);
  }
  await press(page, 'end');
  await until(() => page.result('live.summary'), 'the summary');
  for (const [width, height] of SIZES) {
    await page.session.cdp('Emulation.setDeviceMetricsOverride', { width, height, deviceScaleFactor: width < 600 ? 2 : 1, mobile: width < 600 });
    await page.run('scrollTo(0, 0)');
    await take(`bank-ended-${width}x${height}-whole`, true);
  }
}, { engines: ['chromium'], patience: LONG ? 200 : 30 });

/** The whole page's area, as the browser's command takes it. */
async function area(page) {
  const [width, height] = await page.run('return [innerWidth, document.documentElement.scrollHeight]');
  return { x: 0, y: 0, width, height, scale: 1 };
}
