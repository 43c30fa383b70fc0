// Links, stored data and typed text that are wrong by accident or on purpose: a sentence, the plan kept, no markup. Which
// links and texts are refused, every one for every field, is held natively (tests/plan.rs, tests/day.rs); here is what the page makes of it.

import { builtCore } from './harness.mjs';
import { assert, inEachEngine, kept, records, SCREENS, SHEETS, until } from './page.mjs';

const MARKUP = ['<img src=x onerror="window.ran=1">', '"><script>window.ran=1</script>', "'-alert(1)-'", '</textarea><svg onload=window.ran=1>', '&lt;b&gt;', '{{7*7}}', 'javascript:window.ran=1'];

/** Nothing ran and nothing was built from a text. */
async function inert(page) {
  const { ran, made } = await page.run(`return { ran: window.ran ?? null,
    made: document.querySelectorAll('img, iframe, object, embed, main script, [onerror], [onload], a[href^="javascript:"]').length }`);
  assert.equal(ran, null, 'a text ran as a script');
  assert.equal(made, 0, 'a text became markup');
}

inEachEngine('a cut, over-long or hostile link gets a sentence and changes nothing', async (page) => {
  await page.set('bait.edge', '7');
  const good = (await page.fingerprint()).slice(1);
  await page.set('bait.edge', '9');
  await page.show('day');
  const mine = await page.results();
  const links = {
    cut: good.slice(0, -7),
    'over-long': good + 'a'.repeat(200_000),
    'percent signs and markup': `${good.slice(0, 20)}%00%ff${encodeURIComponent(MARKUP.join(''))}`,
  };
  for (const [what, link] of Object.entries(links)) {
    await page.open(`#${link}`);
    await page.notice(/link/i).catch((error) => assert.fail(`${what}: ${error.message}`));
    assert.equal(await page.run(`return document.querySelector('[data-act="pending:add"]')`), null, `${what}: nothing to accept`);
    await inert(page);
    assert.deepEqual(await page.results(), mine, what);
  }
});

inEachEngine('markup typed into every text field stays text on every screen', async (page) => {
  for (const screen of SCREENS) {
    await page.show(screen);
    const fields = await page.run(`
      document.querySelectorAll('details').forEach((one) => { one.open = true; });
      return [...document.querySelectorAll('main input[data-field]:not([inputmode]):not([type="checkbox"])')].map((one) => one.dataset.field)`);
    for (const [i, field] of fields.entries()) await page.set(field, MARKUP[i % MARKUP.length].slice(0, 40));
    await inert(page);
  }
  for (const screen of SCREENS) {
    await page.show(screen);
    await inert(page);
  }
  const mine = await page.fingerprint();
  await inert(page);
  await page.reload();
  await inert(page);
  assert.equal(await page.fingerprint(), mine, 'and it is kept as it was typed');
}, { engines: ['chromium'] });

/** The number fields that may stay empty. */
const OPTIONAL = ['water.bottom', 'rules.tins', 'rules.hook', 'tin.fibre', 'tub.size', 'tub.by_hand', 'other.density', 'weigh.count', 'weigh.shown', 'bank.fish',
  'rigs.0.more.knot', 'rigs.0.more.elastic', 'rigs.0.more.bore', 'rigs.0.more.maker'];

/** Those that may be below nothing: a drift towards the angler. */
const SIGNED = ['rigs.0.more.drift'];

/** What no number field may take. */
const WRONG = ['NaN', 'Infinity', '-Infinity', '-3', '1e999', '99999999999999999999', 'abc', '7 furlongs', '1.2.3', '0x10', '5;', '\u202e5', '<b>5</b>', '--', ',', '.'];

inEachEngine('wrong text in every number field: an error beside it, the last good result kept and marked', async (page) => {
  let tried = 0;
  for (const screen of [...SHEETS, 'bank']) {
    await page.sheet(screen);
    await page.settled();
    await page.run(`document.querySelectorAll('details').forEach((one) => { one.open = true; })`);
    const before = await page.results();
    const outcome = await page.driver.executeAsyncScript(`
      const [wrong, optional, signed, done] = arguments;
      document.querySelectorAll('details').forEach((one) => { one.open = true; });
      const paths = [...new Set([...document.querySelectorAll(':is(main, #sheet) input[data-field][inputmode]')].map((one) => one.dataset.field))];
      const find = (path) => document.querySelector(':is(main, #sheet) input[data-field="' + path + '"]');
      const type = (path, text) => {
        const field = find(path);
        field.focus();
        field.value = text;
        field.dispatchEvent(new InputEvent('input', { bubbles: true, inputType: 'insertText' }));
        field.dispatchEvent(new Event('change', { bubbles: true }));
      };
      const said = (path) => (find(path).getAttribute('aria-describedby') ?? '').split(' ')
        .map((id) => document.getElementById(id)).filter((one) => one?.checkVisibility()).map((one) => one.textContent.trim()).join(' ');
      const faults = [];
      const turn = () => new Promise((resolve) => setTimeout(resolve));
      (async () => {
        for (const [count, path] of paths.entries()) {
          const good = find(path).value;
          // Each text in turn: every field meets one of them, or nothing at all.
          for (const text of [['', ...wrong][count % (wrong.length + 1)]]) {
            type(path, text);
            await turn();
            const invalid = find(path).getAttribute('aria-invalid') === 'true';
            const may = text === '' && optional.includes(path) || text === '-3' && signed.includes(path);
            if (may && invalid) faults.push(path + ' may be empty and is refused');
            else if (may) continue;
            else if (!invalid) faults.push(path + ' takes ' + JSON.stringify(text));
            else if (!said(path)) faults.push(path + ' says nothing to ' + JSON.stringify(text));
            else if (!document.querySelector('[data-result="stale"]')?.checkVisibility()) faults.push(path + ': the last good result is not marked');
            if (/NaN|Infinity|undefined|\\bnull\\b/.test(document.querySelector('[data-part="results"]').innerText)) faults.push(path + ' shows NaN after ' + text);
          }
          type(path, good);
          await turn();
          if (find(path).getAttribute('aria-invalid') === 'true') faults.push(path + ' refuses its own text ' + good + ': ' + said(path));
          if (said(path)) faults.push(path + ' still says ' + said(path));
        }
        done({ faults, tried: paths.length });
      })().catch((error) => done({ faults: [String(error)], tried: 0 }));`, WRONG, OPTIONAL, SIGNED);
    assert.deepEqual(outcome.faults, [], screen);
    tried += outcome.tried;
    await page.settled();
    assert.deepEqual(await page.results(), before, `${screen}: the results are the old ones again`);
  }
  assert.ok(tried > 20, `${tried} fields were tried`);
}, { engines: ['chromium'] });

inEachEngine('a number typed key by key into a field is refused beside it, and then taken', async (page) => {
  const speed = await page.result('sink.speed').then(async (text) => text ?? (await page.show('bait'), page.result('sink.speed')));
  await page.set('bait.edge', '0.5');
  const field = await page.field('bait.edge');
  await until(async () => (await page.run(`return arguments[0].getAttribute('aria-invalid')`, field)) === 'true', 'the refusal');
  assert.equal(await page.result('sink.speed'), speed, 'the last good result stays');
  await page.set('bait.edge', '7,5');
  await until(async () => (await page.result('sink.speed')) !== speed, 'a comma to be taken');
});

/** Makes a plan by the core's own functions, with a markup in each of its texts; gives its link text, and how many. */
async function hostilePlan() {
  const { presets, linkFrom } = await builtCore();
  const [{ plan }] = presets();
  let count = 0;
  const next = () => MARKUP[count++ % MARKUP.length].slice(0, 40);
  for (const of of [plan, plan.tin]) of.name = next();
  for (const name of ['venue', 'peg']) plan.water[name] = next();
  plan.note = next();
  for (const one of [...plan.lines, ...plan.rigs, ...plan.shot_box]) one.name = next();
  for (const rig of plan.rigs) rig.float_name = next();
  plan.kit = MARKUP.map((text) => ({ group: 'peg', name: text.slice(0, 40), count: 1 }));
  plan.kit_counts = [{ id: MARKUP[0].slice(0, 40), count: 2 }];
  return [linkFrom(plan), count];
}

/** Hands a file to an input, as the phone's chooser does. */
const choose = (page, selector, name, text) => page.run(`
  const [selector, name, text] = arguments;
  const input = document.querySelector(selector);
  const list = new DataTransfer();
  list.items.add(new File([text], name));
  input.files = list.files;
  input.dispatchEvent(new Event('change', { bubbles: true }));`, selector, name, text);

const everyScreen = async (page) => {
  for (const screen of SCREENS) {
    await page.show(screen);
    await page.run(`document.querySelectorAll('details').forEach((one) => { one.open = true; })`);
    await inert(page);
  }
};

inEachEngine('a plan full of markup by link, its session, its notes and its logs stay text', async (page) => {
  const [link, texts] = await hostilePlan();
  assert.match(link, /^p\d/, link);
  assert.ok(texts >= 20, `${texts} texts`);
  await page.set('water.peg', 'mine');
  await page.open(`#${link}`);
  await until(() => page.run(`return document.querySelector('[data-act="pending:add"]')?.checkVisibility()`), 'the question');
  await inert(page);
  await page.act('pending:add');
  await everyScreen(page);
  for (const sheet of SHEETS) { await page.sheet(sheet); await inert(page); }
  for (const rig of [1, 2, 3]) { await page.show('rigs'); await page.act(`rig:${rig}`); await inert(page); }
  await page.act('share');
  await inert(page);
  await page.run(`document.getElementById('share').close()`);
  // The session: its rigs' names, and a note of each markup.
  await page.show('bank');
  const press = (word) => page.run(`document.querySelector('[data-tap="' + arguments[0] + '"]').click()`, word);
  await press('start');
  await until(() => page.run(`return Boolean(document.getElementById('tap-fed'))`), 'the session');
  for (const text of MARKUP) {
    await page.run(`document.querySelectorAll('details').forEach((one) => { one.open = true; }); document.getElementById('live-note').value = arguments[0]`, text);
    await press('note:');
    await until(() => page.run(`return document.getElementById('live-note').value === ''`), 'the note to be taken');
  }
  // Of the rigs of this line.
  await page.run(`[...document.querySelectorAll('[data-tap^="rig:"]')].pop().click()`);
  await inert(page);
  await press('end');
  await page.act('live:keep');
  await inert(page);
  await page.reload();
  await everyScreen(page);
  for (const screen of ['days', 'tackle']) {
    await page.go(screen);
    if (screen === 'tackle') await page.act('book:keep-tackle');
    await inert(page);
  }
  await page.show('day');
  await page.act('book:keep-water');
  await inert(page);
  // Files: something else where a backup belongs; and as the file of a plan.
  await page.go('settings');
  for (const text of ['<!doctype html><script>window.ran=1</script>', `{"dotdown":"<img src=x onerror=window.ran=1>"}`]) {
    await choose(page, '[data-open="backup"]', '<b>.json', text);
    await until(() => page.run(`return document.querySelectorAll('#notices .notice').length > 0`), 'a sentence');
    await inert(page);
    await page.run(`document.querySelectorAll('#notices [data-act^="dismiss"]').forEach((one) => one.click())`);
  }
  await page.act('share');
  await choose(page, '[data-open="plan"]', 'plan.txt', MARKUP.join('\n'));
  await page.notice(/link/i);
  await inert(page);
});

inEachEngine('stored texts of any content, with the right checksum, are only ever text', async (page) => {
  await page.set('water.peg', '61');
  const spoilt = await page.run(`
    const sum = (text) => { let c = ~0; for (const b of new TextEncoder().encode(text)) { c ^= b; for (let k = 0; k < 8; k++) c = (c >>> 1) ^ (0xEDB88320 & -(c & 1)); } return ~c >>> 0; };
    const [kept, markup] = arguments;
    const lines = kept.split('\\n').slice(1);
    for (let i = 4; i < 10; i++) lines[i] = markup[i % 2];
    lines.push(...markup);
    const body = lines.join('\\n');
    localStorage.setItem('dotdown.other', markup[0]);
    return sum(body) + '\\n' + body;`, await kept(page), MARKUP);
  await records(page, ['put', spoilt, 'page'], ['put', MARKUP[0], 'days/x'], ['put', MARKUP[0], MARKUP[0]]);
  await page.reload();
  assert.equal(await page.value('water.peg'), '61', 'what can be read of it is');
  await everyScreen(page);
  assert.ok(['phone', 'light', 'night'].includes(await page.run(`return document.documentElement.dataset.theme`)));
});
