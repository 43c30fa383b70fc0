// Pictures of every screen, for people to look at: shots/ at 360x740 and 1280x800, both themes; by day the whole length too.

import { mkdirSync, rmSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { SHOTS } from './harness.mjs';
import { assert, inEachEngine, SCREENS } from './page.mjs';

inEachEngine('every screen has its picture', async (page) => {
  rmSync(SHOTS, { recursive: true, force: true });
  mkdirSync(SHOTS, { recursive: true });
  for (const [width, height] of [[360, 740], [1280, 800]]) {
    await page.session.cdp('Emulation.setDeviceMetricsOverride', { width, height, deviceScaleFactor: width < 600 ? 2 : 1, mobile: width < 600 });
    for (const value of ['light', 'dark']) {
      await page.session.cdp('Emulation.setEmulatedMedia', { features: [{ name: 'prefers-color-scheme', value }] });
      for (const screen of [...SCREENS, 'days', 'tackle', 'settings', 'about']) {
        await page.go(screen);
        await page.run('scrollTo(0, 0); document.activeElement.blur()');
        for (const [part, whole] of value === 'light' ? [['', false], ['-whole', true]] : [['', false]]) {
          const { data } = await page.session.cdp('Page.captureScreenshot', { format: 'png', captureBeyondViewport: whole, ...(whole ? await area(page, width) : {}) });
          const png = Buffer.from(data, 'base64');
          assert.ok(png.length > 5000, `${screen} is not blank`);
          writeFileSync(path.join(SHOTS, `${screen}-${width}x${height}-${value}${part}.png`), png);
        }
      }
    }
  }
}, { engines: ['chromium'] });

/** The whole page's area, as the browser's command takes it. */
async function area(page, width) {
  const height = await page.run('return document.documentElement.scrollHeight');
  return { clip: { x: 0, y: 0, width, height, scale: 1 } };
}
