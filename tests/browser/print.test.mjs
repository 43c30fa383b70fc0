// Paper: what Chromium's PDF holds, and what a picture of it measures. Distances are taken off the picture with its own
// pixels and held against the numbers that stand printed beside it. The pictures are kept with those of the screens.

import { execFileSync } from 'node:child_process';
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { program, SHOTS } from './harness.mjs';
import { assert, inEachEngine } from './page.mjs';

const DPI = 254; // ten pixels a millimetre
const chromium = { engines: ['chromium'] };

/** Prints as the browser's menu does, or after a button of the page has asked for something. */
async function printed(page, name, button) {
  if (button) {
    await page.run(`window.print = () => {}`);
    await page.run(`document.querySelector('[data-act="print:' + arguments[0] + '"]').click()`, button);
  }
  const { data } = await page.session.cdp('Page.printToPDF', { preferCSSPageSize: true, printBackground: false });
  mkdirSync(SHOTS, { recursive: true });
  const file = path.join(SHOTS, `print-${name}.pdf`);
  writeFileSync(file, Buffer.from(data, 'base64'));
  const paper = new Paper(file);
  // As by the button's own end: what was asked for counts once.
  await page.run(`window.dispatchEvent(new Event('afterprint'))`);
  return paper;
}

const run = (name, ...args) => String(execFileSync(program(name), args, { maxBuffer: 1e8 }));

class Paper {
  constructor(file) {
    this.file = file;
    this.pictures = new Map();
    const info = run('pdfinfo', file);
    this.pages = Number(/Pages:\s+(\d+)/.exec(info)[1]);
    this.size = /Page size:\s+([\d.]+) x ([\d.]+)/.exec(info).slice(1, 3).map((pt) => (Number(pt) / 72) * 25.4);
  }

  /** The text of a page, or of a box on it, mm. */
  text(number, box) {
    const crop = box ? ['-r', String(DPI), ...['-x', '-y', '-W', '-H'].flatMap((key, i) => [key, String(Math.round((box[i] * DPI) / 25.4))])] : [];
    return run('pdftotext', '-layout', '-f', String(number), '-l', String(number), ...crop, this.file, '-').replaceAll('\u00a0', ' ');
  }

  /** Every word with its box, mm, by page. */
  words() {
    return run('pdftotext', '-bbox', this.file, '-').split('<page ').slice(1).map((part) =>
      [...part.matchAll(/xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="([\d.]+)">(.*)<\/word>/g)].map(([, ...all]) => ({
        word: all[4], box: all.slice(0, 4).map((pt) => (Number(pt) / 72) * 25.4) })));
  }

  /** A page as a picture. */
  picture(number) {
    if (!this.pictures.has(number)) this.pictures.set(number, this.draw(number));
    return this.pictures.get(number);
  }

  draw(number) {
    const name = `${this.file.slice(0, -4)}-${number}`;
    execFileSync(program('pdftoppm'), ['-r', String(DPI), '-f', String(number), '-l', String(number), '-singlefile', '-gray', this.file, name]);
    const pgm = readFileSync(`${name}.pgm`);
    execFileSync(program('pdftoppm'), ['-r', '80', '-f', String(number), '-l', String(number), '-singlefile', '-png', this.file, name]);
    execFileSync('rm', [`${name}.pgm`]);
    const [head, width, height] = /^P5\s(\d+)\s(\d+)\s255\s/.exec(pgm.subarray(0, 40).toString('latin1'));
    const pixels = pgm.subarray(head.length);
    const at = (x, y) => pixels[Math.round((y * DPI) / 25.4) * width + Math.round((x * DPI) / 25.4)];
    return { at, pixels, width: Number(width), height: Number(height) };
  }
}

/** How wide the dark is that runs through a point, mm: on both sides of it, up to a limit. */
function wide({ at }, x, y, most = 3) {
  let [left, right] = [0, 0];
  while (left < most && at(x - left - 0.1, y) < 140) left += 0.1;
  while (right < most && at(x + right + 0.1, y) < 140) right += 0.1;
  return left + right + (at(x, y) < 140 ? 0.1 : 0);
}

/** The middles of what is at least so wide along a line that runs down, mm, with their heights. */
function marks(picture, x, from, to, least) {
  const found = [];
  let begun;
  for (let y = from; y <= to + 0.1; y += 0.1) {
    const on = y <= to && wide(picture, x, y) >= least;
    if (on) begun ??= y;
    else if (begun !== undefined) {
      found.push({ middle: (begun + y - 0.1) / 2, high: y - begun });
      begun = undefined;
    }
  }
  return found;
}

/** `23 5/8 in` or `600 mm`, in mm. */
function millimetres(text) {
  const [, number, part, of, unit] = /(\d+)?(?:\s*(\d+)\/(\d+))?\s+(in|mm)/.exec(text);
  return (Number(number ?? 0) + (of ? part / of : 0)) * (unit === 'in' ? 25.4 : 1);
}

/** Nothing lies outside the sheet's margin or over something else. */
function tidy(paper, what) {
  assert.ok(Math.abs(paper.size[0] - 210) < 0.5 && Math.abs(paper.size[1] - 297) < 0.5, `${what}: A4, not ${paper.size}`);
  paper.words().forEach((words, page) => {
    assert.ok(words.length > 0, `${what}: page ${page + 1} is empty`);
    for (const { word, box: [left, top, right, bottom] } of words) assert.ok(left > 9.5 && top > 9 && right < 200.5 && bottom < 288, `${what}: “${word}” lies outside`);
    words.forEach(({ word, box: a }, i) => words.slice(i + 1).forEach(({ word: other, box: b }) => {
      const [over, down] = [Math.min(a[2], b[2]) - Math.max(a[0], b[0]), Math.min(a[3], b[3]) - Math.max(a[1], b[1])];
      // Boxes of lines that follow each other touch; letters that lie over one another share a third of their height.
      assert.ok(over < 0.3 || down < 0.35 * Math.min(a[3] - a[1], b[3] - b[1]), `${what}, page ${page + 1}: “${word}” lies over “${other}”`);
    }));
  });
}

/** Measures the drawings on a sheet of cards against the numbers printed beside them; gives how many places. */
function toScale(paper, number, cells, strips) {
  const picture = paper.picture(number);
  let measured = 0;
  for (const [cellX, cellY] of cells) {
    const text = paper.text(number, [cellX, cellY, strips === 2 ? 190 : 94, 137]);
    if (!/Scale/.test(text)) continue;
    const scale = Number(/1 : (\d+)/.exec(text)[1]);
    const x = cellX + 4 + (strips - 1) * 51 + 7;
    const labels = paper.text(number, [x + 6, cellY + 4, 36, 132]).split('\n').filter((line) => /\d+ (in|mm)|^ *0 hook/.test(line));
    assert.ok(labels.length >= 3, `labels beside the drawing: ${labels}`);
    // The hook: a square of 2.2 mm, its top and bottom edges as wide as itself. The last strip ends with it.
    const edges = marks(picture, x, cellY + 20, cellY + 136, 2.2);
    const hook = (edges.at(-1).middle + edges.at(-2).middle) / 2;
    assert.ok(Math.abs(edges.at(-1).middle - edges.at(-2).middle - 2.2) < 0.15, 'the hook’s square');
    const places = labels.filter((line) => !/hook/.test(line)).map((line) => ({ line, shot: /×/.test(line), y: hook - millimetres(line) / scale }));
    for (const { line, shot, y } of places) {
      if (/float/.test(line) && strips === 2) continue; // it stands in the other strip
      const alone = places.every((other) => Math.abs(other.y - y) < 0.02 || Math.abs(other.y - y) > 2.4);
      const [mark] = marks(picture, x, y - 1.2, y + 1.2, shot ? 0.9 : 2).filter(({ middle }) => Math.abs(middle - y) < 1);
      assert.ok(mark, `${line.trim()} at 1 : ${scale} should be ${(hook - y).toFixed(2)} mm above the hook`);
      // Two pixels, and what the printed number itself is rounded by: half a millimetre, or a 32nd of an inch.
      const off = 0.2 + (/in/.test(line) ? 25.4 / 32 : 0.5) / scale;
      if (alone) assert.ok(Math.abs(mark.middle - y) < off, `${line.trim()} is ${(hook - mark.middle).toFixed(2)} mm above the hook, not ${(hook - y).toFixed(2)}`);
      measured += 1;
    }
    if (strips === 2) {
      const [, whole] = /(\d[\d /]* (?:in|mm)) +float/.exec(paper.text(number, [cellX + 4 + 13, cellY + 4, 36, 132]));
      const other = marks(picture, cellX + 4 + 7, cellY + 14, cellY + 136, 2).map(({ middle }) => middle);
      // From the mark under the float to the first of the two bars at the fold.
      const ends = [other.find((y) => y > cellY + 20), other.at(-2)];
      assert.ok(Math.abs(ends[1] - ends[0] - millimetres(whole) / 2 / scale) < 0.2, `half of ${whole} at 1 : ${scale}: ${ends}`);
      measured += 1;
    }
  }
  return measured;
}

const A6 = [[10, 10], [105, 10], [10, 148], [105, 148]];
const A5 = [[10, 10], [10, 148]];

inEachEngine('rig cards lie on A4 to scale, four or two on a sheet, in inches and in millimetres', async (page) => {
  await page.show('rigs');
  const count = await page.run(`return document.querySelectorAll('[data-act^="rig:"]').length`);
  // Both systems of lengths on both sizes in a long run.
  for (const [units, size, cells, each, strips] of [
    ['imperial', 'a6', A6, 4, 1], ['metric', 'a5', A5, 2, 2],
    ...(process.env.DOTDOWN_LONG ? [['metric', 'a6', A6, 4, 1], ['imperial', 'a5', A5, 2, 2]] : []),
  ]) {
    await page.show('day');
    await page.choose(`units:${units}`);
    await page.show('rigs');
    await page.act(`card:${size}`);
    const paper = await printed(page, `cards-${size}-${units}`);
    assert.equal(paper.pages, Math.ceil((count + 1) / each), 'a card of each rig and one of the set');
    tidy(paper, `${size}, ${units}`);
    let measured = 0;
    for (let sheet = 1; sheet <= paper.pages; sheet++) measured += toScale(paper, sheet, cells, strips);
    assert.ok(measured >= count * 3, `${measured} places were measured`);
    const all = Array.from({ length: paper.pages }, (_, i) => paper.text(i + 1)).join('\n').replace(/\s+/g, ' ');
    for (const word of ['Line', 'Float', 'Shot', 'Main', 'Hooklength', 'Hook', 'Winder', 'Order', 'Scale']) {
      assert.ok(all.split(`${word} `).length > count, `${word} stands on each card`);
    }
    assert.doesNotMatch(all, units === 'metric' ? /\d in\b|\d ft\b/ : /\d cm\b/, 'one system of lengths');
    // The set's card is the last: its bar is as long as it says, and the plan's picture large enough.
    const [x, y] = cells[count % each];
    const picture = paper.picture(paper.pages);
    const bar = units === 'metric' ? 50 : 50.8;
    const longest = Math.max(...Array.from({ length: 1300 }, (_, i) => wide(picture, x + 4 + 25, y + 3 + i / 10, 60)).filter((w) => w < 60));
    assert.ok(Math.abs(longest - bar) < 0.4, `the bar is ${longest.toFixed(1)} mm long`);
    const code = await page.run(`
      const box = document.querySelector('#paper .code').getAttribute('viewBox').split(' ')[2];
      return 34 * (box - 8) / box;`);
    assert.ok(code >= 25, `the code is ${code} mm wide`);
    assert.equal(await page.run(`return document.querySelectorAll('#paper .code').length`), 1, 'the link stands once');
  }
}, chromium);

inEachEngine('the fullest cards and the longest names are neither cut nor laid over one another', async (page) => {
  const long = 'Wwwwwww mmmmmmmm Wwwwwww mmmmmmmm Wwwwww';
  await page.set('water.venue', long);
  await page.set('rigs.0.name', long);
  await page.set('rigs.0.float_name', long);
  await page.set('rigs.0.depth', '12 ft');
  await page.set('rigs.0.load', '0.5');
  await page.set('rigs.0.pattern', '1');
  await page.set('rigs.0.bulk_from_hook', '11 ft 7');
  await page.set('rigs.0.most_shots', '60');
  await page.sheet('rigs.box');
  const sizes = await page.run(`return document.querySelectorAll('[data-act^="remove:shot_box."]').length`);
  for (let size = 0; size < sizes; size++) await page.set(`shot_box.${size}.name`, `Wwwwwww ${size}`);
  while (await page.run(`return document.querySelectorAll('[data-act^="rig:"]').length`) < 8) await page.act('add:rigs');
  for (const size of ['a6', 'a5']) {
    await page.act(`card:${size}`);
    const paper = await printed(page, `full-${size}`);
    assert.equal(paper.pages, size === 'a6' ? 3 : 5);
    tidy(paper, `full, ${size}`);
    await page.session.cdp('Emulation.setEmulatedMedia', { media: 'print' });
    const cut = await page.run(`return [...document.querySelectorAll('.rig-card')].flatMap((card) => {
      const box = card.getBoundingClientRect();
      return [...card.querySelectorAll('*')].filter((one) => {
        const { left, right, top, bottom, width } = one.getBoundingClientRect();
        return width > 0 && (left < box.left - 1 || right > box.right + 1 || top < box.top - 1 || bottom > box.bottom + 1);
      }).map((one) => one.outerHTML.slice(0, 100));
    })`);
    await page.session.cdp('Emulation.setEmulatedMedia', { media: '' });
    assert.deepEqual(cut, [], `cut off on ${size}`);
  }
}, chromium);

inEachEngine('the lists print alone by their buttons, with boxes as they are ticked, black on white at night', async (page) => {
  await page.choose('theme:night');
  for (const [screen, which, title] of [['kit', 'kit', 'Kit list'], ['day.prep', 'prep', 'Prep checklist']]) {
    await page.sheet(screen);
    await page.run(`document.querySelectorAll('[data-tick]:not(:disabled)')[1].click()`);
    const things = await page.run(`return [...document.querySelectorAll('[data-tick]:not(:disabled)')].map(({ nextElementSibling: words }) => (words.querySelector('strong') ?? words).textContent)`);
    const paper = await printed(page, which, which);
    tidy(paper, which);
    const all = Array.from({ length: paper.pages }, (_, i) => paper.text(i + 1)).join('\n');
    assert.match(all.trim(), new RegExp(`^${title}`), 'it starts on its own page');
    assert.equal(all.split('✓').length - 1, 1, 'what is ticked is shown ticked');
    assert.equal(await page.run(`return document.querySelectorAll('#paper .box').length`), things.length, 'a box for each');
    for (const thing of things) assert.ok(all.includes(thing), `${thing} is on the list`);
    const { pixels, width } = paper.picture(1);
    assert.equal(pixels[width * 5 + 5], 255, 'white paper');
    assert.ok(pixels.includes(0), 'black ink');
    assert.equal(await page.run(`return getComputedStyle(document.getElementById('paper')).display`), 'none', 'and nothing of it on the screen');
  }
}, chromium);

inEachEngine('the browser’s own menu prints the screen that is open, without its controls', async (page) => {
  for (const [screen, first, last] of [
    ['day', /start on[\s\S]*Rules/, /Take care/], ['bait', /18 inches/, /Feed plan/],
    ['kit', /^\s*Kit list/, /For yourself/], ['bank', /Take care[\s\S]*in the order to try them/, /Feeding/],
  ]) {
    await page.show(screen);
    const paper = await printed(page, `menu-${screen}`);
    tidy(paper, screen);
    assert.match(paper.text(1), first, screen);
    assert.match(paper.text(paper.pages), last, screen);
    for (let i = 1; i <= paper.pages; i++) assert.doesNotMatch(paper.text(i), /Share\n|Print the|\bPlay\b|Why\n/, `${screen}: no controls`);
    paper.picture(1);
  }
}, chromium);
