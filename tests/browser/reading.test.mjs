// Whether everybody can read and reach it: axe on every screen in both themes, valid markup, zoom and narrow screens.

import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { HtmlValidate } from 'html-validate';
import { assert, inEachEngine, SCREENS, until } from './page.mjs';

const AXE = readFileSync(fileURLToPath(new URL('node_modules/axe-core/axe.min.js', import.meta.url)), 'utf8');
const THEMES = ['light', 'dark'];

/** Every violation that axe finds in the page as it stands; contrast is held to 7:1. */
async function violations(page) {
  // Evaluated, not inserted: the page's policy allows no script tag from a test.
  await page.run(`if (!window.axe) { ${AXE} }`);
  // The fixed bar covers whatever the page happens to be scrolled to; sizes are judged without it.
  await page.run(`document.querySelector('body > nav').style.position = 'static'`);
  return page.driver.executeAsyncScript(`
    const done = arguments[0];
    axe.run(document, { rules: { 'color-contrast-enhanced': { enabled: true }, 'target-size': { enabled: true } } })
      .then(({ violations }) => done(violations.flatMap(({ id, nodes }) => nodes.map((node) => id + ': ' + node.html.slice(0, 160) + ' ' + (node.any[0]?.message ?? '')))))
      .catch((error) => done([String(error)]))
      .finally(() => document.querySelector('body > nav').style.removeProperty('position'));`);
}

const unfold = (page) => page.run(`document.querySelectorAll('details').forEach((one) => { one.open = true; })`);
const theme = (page, value) => page.session.cdp('Emulation.setEmulatedMedia', { features: [{ name: 'prefers-color-scheme', value }] });
const phone = (page, width, height) => page.session.cdp('Emulation.setDeviceMetricsOverride', { width, height, deviceScaleFactor: 2, mobile: width < 600 });

for (const width of [320, 360, 1280]) {
  inEachEngine(`axe finds nothing on any screen, in both themes, ${width} px wide`, async (page) => {
    await phone(page, width, 740);
    for (const value of THEMES) {
      await theme(page, value);
      for (const screen of SCREENS) {
        await page.show(screen);
        await unfold(page);
        assert.deepEqual(await violations(page), [], `${screen}, ${value}`);
      }
      await page.about();
      assert.deepEqual(await violations(page), [], `about, ${value}`);
    }
    await page.act('share');
    await until(() => page.run(`return document.querySelector('[data-share-link]')?.checkVisibility()`), 'the share panel');
    assert.deepEqual(await violations(page), [], 'the share panel');
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
  for (const screen of [...SCREENS, 'about']) {
    await (screen === 'about' ? page.about() : page.show(screen));
    const report = await validate.validateString(`<!doctype html>\n${await page.run('return document.documentElement.outerHTML')}`);
    const faults = report.results.flatMap(({ messages }) => messages.map((one) => `${one.ruleId}: ${one.message} (${one.selector})`));
    assert.deepEqual(faults, [], screen);
  }
}, { engines: ['chromium'] });

inEachEngine('nothing is cut or scrolls sideways at 320 px, with text at 200 %, or in landscape', async (page) => {
  for (const [width, height, scale] of [[320, 568, 1], [360, 740, 2], [740, 360, 1], [1280, 800, 1]]) {
    await phone(page, width, height);
    await page.run(`document.documentElement.style.setProperty('font-size', arguments[0])`, `${scale * 100}%`);
    for (const screen of SCREENS) {
      await page.show(screen);
      await unfold(page);
      const wide = await page.run(`
        const width = document.documentElement.clientWidth;
        return [...document.querySelectorAll('body *')].filter((one) => {
          if (!one.checkVisibility() || one.closest('svg svg, .unseen, .skip')) return false;
          for (let box = one.parentElement; box; box = box.parentElement) if (/auto|scroll/.test(getComputedStyle(box).overflowX) && box !== document.body && box !== document.documentElement) return false;
          const { left, right, width: own } = one.getBoundingClientRect();
          return own > 1 && (right > width + 1 || left < -1);
        }).slice(0, 5).map((one) => one.outerHTML.slice(0, 120));`);
      assert.deepEqual(wide, [], `${screen} at ${width} px, text ${scale * 100} %`);
    }
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
      return [...document.querySelectorAll('button, select, nav a, input, summary')].filter((one) => one.checkVisibility() && !one.closest('.unseen') && !one.matches('.unseen')).flatMap((one) => {
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
  await page.act('theme:night');
  await until(async () => (await ground()) !== light, 'the night');
  const night = await ground();
  await page.reload();
  assert.equal(await ground(), night);
  await page.show('day');
  await page.act('theme:light');
  await until(async () => (await ground()) === light, 'the day');
});
