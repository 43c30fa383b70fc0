// Whether everybody can read and reach it: axe on every screen in both themes, valid markup, zoom and narrow screens.

import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { HtmlValidate } from 'html-validate';
import { assert, everyPart, inEachEngine, SCREENS, until } from './page.mjs';

const AXE = readFileSync(fileURLToPath(new URL('node_modules/axe-core/axe.min.js', import.meta.url)), 'utf8');

/** Every violation that axe finds in the page as it stands, by all its rules or by some; contrast is held to 7:1. */
async function violations(page) {
  // Evaluated, not inserted: the page's policy allows no script tag from a test.
  await page.run(`if (!window.axe) { ${AXE} }`);
  // The fixed bar covers whatever the page happens to be scrolled to; sizes are judged without it.
  await page.run(`document.querySelector('body > nav').style.position = 'static'; for (const pad of document.querySelectorAll('.tap-area')) pad.style.position = 'static'`);
  return page.driver.executeAsyncScript(`
    const [done] = arguments;
    axe.run(document, { rules: { 'color-contrast-enhanced': { enabled: true }, 'target-size': { enabled: true } } })
      // A row that opens a sheet leads to an address of the page's own, and skips nothing.
      .then(({ violations }) => done(violations.flatMap(({ id, nodes }) => nodes
        .filter((node) => id !== 'skip-link' || !/href="#[a-z]+\\.[a-z-]+"/.test(node.html)).map((node) => id + ': ' + node.html.slice(0, 160) + ' ' + (node.any[0]?.message ?? '')))))
      .catch((error) => done([String(error)]))
      .finally(() => { for (const one of document.querySelectorAll('body > nav, .tap-area')) one.style.removeProperty('position'); });`);
}

const unfold = (page) => page.run(`document.querySelectorAll('details').forEach((one) => { one.open = true; })`);
const theme = (page, value) => page.session.cdp('Emulation.setEmulatedMedia', { features: [{ name: 'prefers-color-scheme', value }] });
const phone = (page, width, height) => page.session.cdp('Emulation.setDeviceMetricsOverride', { width, height, deviceScaleFactor: 2, mobile: width < 600 });

// Contrast hangs on the theme, the size of targets on the width: both themes at the narrowest, one at each other width.
for (const [width, themes] of [[320, ['light', 'dark']], [360, ['dark']], [1280, ['light']]]) {
  inEachEngine(`axe finds nothing on any screen or part of one, ${themes.join(' and ')}, ${width} px wide`, async (page) => {
    await phone(page, width, 740);
    for await (const part of everyPart(page)) {
      await unfold(page);
      for (const value of themes) {
        await theme(page, value);
        assert.deepEqual(await violations(page), [], `${part}, ${value}`);
      }
    }
  }, { engines: ['chromium'] });
}

inEachEngine('axe finds nothing on any screen', async (page) => {
  for (const screen of SCREENS) {
    await page.show(screen);
    await unfold(page);
    assert.deepEqual(await violations(page), [], screen);
  }
}, { engines: ['firefox', 'webkit'] });

inEachEngine('the markup of every screen is valid', async (page) => {
  const validate = new HtmlValidate({
    extends: ['html-validate:recommended'],
    // The serialised page: the browser writes attributes and void elements in its own way.
    rules: {
      'attribute-boolean-style': 'off', 'attribute-empty-style': 'off', 'doctype-style': 'off', 'long-title': 'off',
      'no-trailing-whitespace': 'off', 'require-sri': 'off', 'no-inline-style': 'error', 'no-implicit-button-type': 'error',
    },
  });
  for await (const screen of everyPart(page)) {
    const report = await validate.validateString(`<!doctype html>\n${await page.run('return document.documentElement.outerHTML')}`);
    const faults = report.results.flatMap(({ messages }) => messages.map((one) => `${one.ruleId}: ${one.message} (${one.selector})`));
    assert.deepEqual(faults, [], screen);
  }
}, { engines: ['chromium'] });

/** What lies outside the page or a drawing, is cut by its own box, or is broken within a word. */
const CUT = `
  const faults = [];
  const width = document.documentElement.clientWidth;
  const seen = (one) => one.checkVisibility() && !one.closest('.visually-hidden, .skip');
  for (const one of document.querySelectorAll('body *')) {
    if (!seen(one) || one.closest('svg svg')) continue;
    const box = one.getBoundingClientRect();
    if (box.width <= 1) continue;
    const scrolls = (up) => { for (let box = up.parentElement; box && box !== document.body; box = box.parentElement) if (/auto|scroll/.test(getComputedStyle(box).overflowX)) return true; return false; };
    if ((box.right > width + 1 || box.left < -1) && !scrolls(one)) faults.push('outside: ' + one.outerHTML.slice(0, 120));
    const text = one.matches('svg text') && one.ownerSVGElement.getBoundingClientRect();
    if (text && (box.right > text.right + 1 || box.left < text.left - 1 || box.bottom > text.bottom + 1)) faults.push('outside its drawing: ' + one.outerHTML.slice(0, 120));
    if (one.matches('input.text, [data-share-link], [type=range], [type=file]')) continue; // what a user wrote may be longer
    if (one.matches('input, button, select, .button') && one.scrollWidth > one.clientWidth + 1) faults.push('cut: ' + one.outerHTML.slice(0, 120));
  }
  const range = document.createRange();
  for (const one of document.querySelectorAll('button, .button, nav a, h1, h2, h3, th, dt, dd, label, legend, summary')) {
    if (!seen(one)) continue;
    const walk = document.createTreeWalker(one, NodeFilter.SHOW_TEXT);
    while (walk.nextNode()) {
      const node = walk.currentNode;
      for (const { index, 0: word } of node.data.matchAll(/[^\\s-]+/g)) {
        if (word.length > 9) continue; // a break in a word that long is no loss at such a width
        range.setStart(node, index);
        range.setEnd(node, index + word.length);
        const lines = new Set([...range.getClientRects()].filter((r) => r.width > 0).map((r) => Math.round(r.top)));
        if (lines.size > 1 && node.parentElement.checkVisibility()) faults.push('broken: ' + word);
      }
    }
  }
  return [...new Set(faults)].slice(0, 8);`;

inEachEngine('nothing is cut, broken or scrolls sideways on small screens and with text at 200 %', async (page) => {
  for (const [width, height, scale, units] of [[320, 568, 1, 'metric'], [320, 640, 2, 'imperial'], [360, 740, 2, 'metric'], [740, 360, 1, 'imperial'], [1280, 800, 1, 'metric']]) {
    await phone(page, width, height);
    await page.run(`document.documentElement.style.setProperty('font-size', arguments[0])`, `${scale * 100}%`);
    await page.show('day');
    await page.choose(`units:${units}`);
    for await (const part of everyPart(page)) {
      await unfold(page);
      assert.deepEqual(await page.run(CUT), [], `${part} at ${width} px, text ${scale * 100} %, ${units}`);
    }
  }
}, { engines: ['chromium'] });

inEachEngine('the water of a running session stands clear of the buttons', async (page) => {
  for (const [width, height, scale] of [[360, 740, 1], [320, 640, 1], [320, 640, 2], [412, 915, 1], [1280, 800, 1]]) {
    await phone(page, width, height);
    await page.run(`document.documentElement.style.setProperty('font-size', arguments[0])`, `${scale * 100}%`);
    await page.show('bank');
    await page.run(`document.querySelector('[data-tap="start"]')?.click()`);
    await until(() => page.run(`return Boolean(document.getElementById('tap-fed'))`), 'the session');
    await page.run(`scrollTo(0, 0); document.activeElement.blur(); window.dispatchEvent(new Event('resize'))`);
    const [water, pad] = await page.run(`return ['[data-drawing="live"]', '.tap-area'].map((one) => { const { left, top, right, bottom, height } = document.querySelector(one).getBoundingClientRect(); return { left, top, right, bottom, height }; })`);
    const [ends, begins] = width < 1000 ? [water.bottom, pad.top] : [water.right, pad.left]; // beside it on a wide screen
    assert.ok(ends <= begins + 1, `${width}x${height}, ${scale * 100} %: the water ends at ${ends}, the buttons begin at ${begins}`);
    assert.ok(water.height >= 90, `${water.height} px of water`);
    // As large as the letters are, the buttons and the water can be brought into view.
    if (scale === 1) assert.ok(pad.bottom <= height + 1, `the buttons end at ${pad.bottom}`);
  }
}, { engines: ['chromium'] });

inEachEngine('the bar of screens hides nothing at the end of a screen', async (page) => {
  for (const screen of SCREENS) {
    await page.show(screen);
    await unfold(page);
    const hidden = await page.run(`
      scrollTo(0, document.documentElement.scrollHeight);
      const bar = document.querySelector('nav').getBoundingClientRect();
      const fixed = getComputedStyle(document.querySelector('nav')).position === 'fixed' && bar.top > innerHeight / 2;
      return fixed ? Math.round(document.querySelector('main').lastElementChild.getBoundingClientRect().bottom - bar.top) : 0;`);
    assert.ok(hidden <= 0, `${screen}: ${hidden} px lie under the bar`);
  }
});

inEachEngine('controls are large enough for a wet thumb, and fields for a phone that zooms', async (page) => {
  await phone(page, 360, 740);
  for (const screen of SCREENS) {
    await page.show(screen);
    await unfold(page);
    const small = await page.run(`
      return [...document.querySelectorAll('button, select, nav a, input, summary')].filter((one) => one.checkVisibility() && !one.closest('.visually-hidden') && !one.matches('.visually-hidden')).flatMap((one) => {
        const label = /checkbox|radio/.test(one.type) ? one.closest('label') ?? document.querySelector('label[for="' + one.id + '"]') ?? one : one;
        const boxes = [one.getBoundingClientRect(), label.getBoundingClientRect()];
        const height = Math.max(...boxes.map((box) => box.height));
        const font = parseFloat(getComputedStyle(one).fontSize);
        const faults = [];
        if (height < 47.5) faults.push(Math.round(height) + ' px high: ');
        if (/INPUT|SELECT/.test(one.tagName) && one.type !== 'checkbox' && font < 16) faults.push(font + ' px text: ');
        return faults.map((fault) => fault + one.outerHTML.slice(0, 120));
      }).slice(0, 8);`);
    assert.deepEqual(small, [], screen);
  }
}, { engines: ['chromium'] });

inEachEngine('the hand switch turns to night and back, and is kept', async (page) => {
  const ground = () => page.run(`return getComputedStyle(document.body).backgroundColor`);
  await page.show('day');
  const light = await ground();
  await page.choose('theme:night');
  await until(async () => (await ground()) !== light, 'the night');
  const night = await ground();
  await page.reload();
  assert.equal(await ground(), night);
  await page.show('day');
  await page.choose('theme:light');
  await until(async () => (await ground()) === light, 'the day');
});
