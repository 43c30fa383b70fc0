// For those who see other colours, no motion, or no screen at all, and for those with a keyboard alone: on every part of
// every screen.

import { assert, everyPart, inEachEngine, Key } from './page.mjs';

const chromium = { engines: ['chromium'] };
const media = (page, features) => page.session.cdp('Emulation.setEmulatedMedia', { features: Object.entries(features).map(([name, value]) => ({ name, value })) });
const unfold = (page) => page.run(`document.querySelectorAll('details').forEach((one) => { one.open = true; })`);

for (const [theme, scheme] of [['light', 'dark'], ['night', 'light']]) {
  inEachEngine(`in forced colours nothing is lost, with the page at ${theme} on a ${scheme} ground`, async (page) => {
    await page.choose(`theme:${theme}`);
    await media(page, { 'forced-colors': 'active', 'prefers-color-scheme': scheme });
    assert.equal(await page.run(`return matchMedia('(forced-colors: active)').matches`), true);
    for await (const part of everyPart(page)) {
      const faults = await page.run(`
        const probe = document.body.appendChild(document.createElement('i'));
        probe.style.color = 'Canvas';
        probe.style.forcedColorAdjust = 'none';
        const canvas = getComputedStyle(probe).color;
        probe.remove();
        const faults = [];
        for (const one of document.querySelectorAll('main svg line, main svg path:not(.ground), main svg polyline, main svg polygon, main svg circle, main svg rect:not(.water, .sky, .ground), main svg text')) {
          const { stroke, strokeWidth, fill } = getComputedStyle(one);
          const seen = (colour) => colour !== 'none' && colour !== canvas && colour !== 'rgba(0, 0, 0, 0)';
          const hidden = one.matches('[data-drawing="sinking-upper"] .bed'); // left out on purpose: the bottom is not in the picture
          if (!hidden && !seen(fill) && !(seen(stroke) && parseFloat(strokeWidth) > 0)) faults.push('not seen: ' + one.outerHTML.slice(0, 100));
        }
        for (const one of document.querySelectorAll('button[aria-pressed="true"]')) {
          if (one.checkVisibility() && getComputedStyle(one).backgroundColor === canvas) faults.push('not pressed: ' + one.outerHTML.slice(0, 100));
        }
        for (const one of document.querySelectorAll('button, .button, select, input:not([type="file"])')) {
          if (one.checkVisibility() && !one.closest('.visually-hidden') && one.type !== 'checkbox' && one.type !== 'range' && getComputedStyle(one).borderBottomColor === canvas) faults.push('no edge: ' + one.outerHTML.slice(0, 100));
        }
        const tabs = [...document.querySelectorAll('body > nav a')].map((one) => ({ here: one.hasAttribute('aria-current'), edge: getComputedStyle(one).borderTopColor }));
        for (const { here, edge } of tabs) if ((edge === canvas) === here) faults.push('the open screen’s tab');
        return [...new Set(faults)].slice(0, 6);`);
      assert.deepEqual(faults, [], part);
    }
  }, chromium);
}

inEachEngine('every part by keyboard: the focus is seen, in order, and clear of head, bar and buttons', async (page) => {
  for (const [width, height] of [[360, 740], [1280, 800]]) {
    await page.session.cdp('Emulation.setDeviceMetricsOverride', { width, height, deviceScaleFactor: 1, mobile: false });
    for await (const part of everyPart(page)) {
      await unfold(page);
      // From the first link on the keyboard leads; in the open panel it has led already.
      await page.run(`if (!document.querySelector('dialog[open]')) document.querySelector('.skip').focus()`);
      await page.driver.actions().sendKeys(Key.TAB).perform();
      const faults = await page.run(`
        const faults = [];
        const root = document.querySelector('dialog[open]') ?? document;
        const stops = [...root.querySelectorAll('a[href], button, input, select, textarea, summary, [tabindex]')]
          .filter((one) => one.checkVisibility() && !one.disabled && one.tabIndex >= 0 && !one.matches('.skip'));
        for (const one of stops) {
          if (one.tabIndex > 0) faults.push('out of order: ' + one.outerHTML.slice(0, 100));
          one.focus();
          if (document.activeElement !== one) continue; // it went with what was written anew
          const shown = one.matches('[type="file"]') ? one.closest('.button') : one;
          const { outlineStyle, outlineWidth } = getComputedStyle(shown);
          if (outlineStyle === 'none' || parseFloat(outlineWidth) < 2) faults.push('no ring: ' + one.outerHTML.slice(0, 100));
          const { left, top, right, bottom } = shown.getBoundingClientRect();
          for (const [x, y] of [[(left + right) / 2, (top + bottom) / 2], [(left + right) / 2, top + 3], [(left + right) / 2, bottom - 3]]) {
            const over = document.elementFromPoint(x, y);
            if (!over || !(shown.contains(over) || over.contains(shown))) { faults.push('covered by ' + (over?.outerHTML.slice(0, 60) ?? 'the edge') + ': ' + one.outerHTML.slice(0, 100)); break; }
          }
        }
        return [...new Set(faults)].slice(0, 6);`);
      assert.deepEqual(faults, [], `${part}, ${width} px`);
    }
  }
}, chromium);

inEachEngine('each drawing says in words what it shows', async (page) => {
  for await (const part of everyPart(page)) {
    const faults = await page.run(`
      return [...document.querySelectorAll(':is(main, #sheet, dialog[open]) svg:not([aria-hidden="true"])')].filter((one) => one.checkVisibility())
        .filter((one) => one.getAttribute('role') !== 'img' || !(one.matches('.code') || /\\d|table/.test(one.getAttribute('aria-label') ?? '')) || one.getAttribute('aria-label').length < 12)
        .map((one) => one.outerHTML.slice(0, 160));`);
    assert.deepEqual(faults, [], part);
  }
}, chromium);

inEachEngine('without motion nothing moves by itself', async (page) => {
  await media(page, { 'prefers-reduced-motion': 'reduce' });
  await page.open();
  for await (const part of everyPart(page)) {
    assert.equal(await page.run(`return document.getAnimations().length`), 0, part);
    assert.equal(await page.run(`return document.getElementById('play')`), null, part);
    if (part !== 'bank, running') continue;
    // The water of a session steps with its clock, once a second and not oftener.
    const steps = await page.driver.executeAsyncScript(`
      const done = arguments[0];
      let steps = 0;
      const watch = new MutationObserver(() => { steps += 1; });
      watch.observe(document.querySelector('[data-live="sinking"]'), { childList: true });
      setTimeout(() => { watch.disconnect(); done(steps); }, 2200);`);
    assert.ok(steps <= 3, `${steps} steps in 2.2 s`);
  }
}, chromium);
