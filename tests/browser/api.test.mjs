// The component by itself, in Node, with no screen: plain objects in, plain objects or errors out.

import assert from 'node:assert/strict';
import { readFileSync } from 'node:fs';
import path from 'node:path';
import { before, test } from 'node:test';
import { builtCore, SITE } from './harness.mjs';

let core;

before(async () => {
  core = await builtCore();
});

/** Calls, and returns the error, which must carry a code, a field and a sentence. */
function refusal(call, what = call) {
  try {
    call();
  } catch (error) {
    assert.ok(error instanceof Error, String(error));
    assert.match(error.code, /^[a-z_]+$/);
    assert.equal(typeof error.field, 'string');
    assert.match(error.message, /^\S+ .*\.$/s, 'a sentence');
    return error;
  }
  return assert.fail(`nothing was refused: ${what}`);
}

/** Every number in a value, with its path. */
function* numbers(value, at = '') {
  if (typeof value === 'number') yield [at, value];
  else if (value && typeof value === 'object') for (const [key, one] of Object.entries(value)) yield* numbers(one, `${at}.${key}`);
}

const label = { fat_g: 20, protein_g: 13, carbohydrate_g: 3.5, salt_g: 2 };
const bait = () => ({
  matter: { kind: 'label', label, air_share: 0 },
  shape: { kind: 'cube', edge_mm: 6 },
  water_temperature_c: 18,
  depths_m: [0.4572, 1, 2],
});
const floats = () => ({
  float: { load_tenth_mg: 4000, tip_diameter_mm: 1.2, tip_length_mm: 20 },
  temperature_c: 18,
  shot_box: [
    { name: 'No. 8', mass_tenth_mg: 600, density_kg_per_m3: 11340, count: 30 },
    { name: 'No. 10', mass_tenth_mg: 340, density_kg_per_m3: 11340, count: 30 },
    { name: 'No. 12', mass_tenth_mg: 200, density_kg_per_m3: 11340, count: 30 },
  ],
  wanted_tip_mm: 2,
  max_sizes: 3,
  max_shots: 30,
});

test('the presets are three worked days, and each gives every screen finite figures', () => {
  const presets = core.presets();
  assert.equal(presets.length, 3);
  for (const { id, title, plan } of presets) {
    assert.ok(id && title);
    const day = core.day(plan);
    const found = [...numbers(day)];
    assert.ok(found.length > 50, `${found.length} figures`);
    for (const [at, value] of found) assert.ok(Number.isFinite(value), `${id}: ${at} is ${value}`);
    assert.doesNotMatch(JSON.stringify(day), /NaN|Infinity|undefined/);
  }
});

test('the same plan gives the same day, and is not changed by it', () => {
  const [{ plan }] = core.presets();
  const copy = structuredClone(plan);
  assert.deepEqual(core.day(plan), core.day(copy));
  assert.deepEqual(plan, copy);
});

test('units change what a day says, not what a plan is', () => {
  const [{ plan }] = core.presets();
  const feet = JSON.stringify(core.day(plan, { lengths: 'imperial', sign: 'point' }));
  const metres = JSON.stringify(core.day(plan, { lengths: 'metric', sign: 'comma' }));
  assert.notEqual(feet, metres);
});

test('a plan goes into a link of at most 500 characters and comes back the same', () => {
  for (const { id, plan } of core.presets()) {
    const link = core.linkFrom(plan);
    assert.ok(link.length <= 500, `${id}: ${link.length} characters`);
    assert.match(link, /^[A-Za-z0-9]+([-._~][A-Za-z0-9]+)*$/);
    assert.deepEqual(core.planFrom(link), plan);
    assert.deepEqual(core.planFrom(`https://any.example/some/page/#${link}`), plan, 'a whole address serves too');
  }
});

test('a link that is not whole is refused with a code', () => {
  const link = core.linkFrom(core.presets()[0].plan);
  const codes = new Set();
  for (let length = 0; length < link.length; length += 7) codes.add(refusal(() => core.planFrom(link.slice(0, length))).code);
  for (let i = 0; i < link.length; i += 5) {
    const other = link.slice(0, i) + (link[i] === 'a' ? 'b' : 'a') + link.slice(i + 1);
    if (link[i] !== '-') codes.add(refusal(() => core.planFrom(other)).code);
  }
  for (const text of ['', '#', 'hello', '<b>', '\u0000', 'x'.repeat(1e6), '\ud800']) codes.add(refusal(() => core.planFrom(text)).code);
  assert.ok(codes.size >= 3, [...codes].join(' '));
});

test('a piece of bait falls: the band holds its middle, deeper takes longer, larger falls faster', () => {
  const sink = core.sink(bait());
  for (const { low, mid, high } of [sink.speed_m_per_s, sink.density_kg_per_m3]) assert.ok(low <= mid && mid <= high);
  const [shallow, middle, deep] = sink.falls.map(({ mid_s }) => mid_s);
  assert.ok(shallow < middle && middle < deep);
  const large = core.sink({ ...bait(), shape: { kind: 'cube', edge_mm: 8 } });
  assert.ok(large.speed_m_per_s.mid > sink.speed_m_per_s.mid);
});

test('a float is balanced: each set keeps to the box and the first is no further off than the others of its kind', () => {
  const { sets } = core.balance(floats());
  assert.ok(sets.length > 0);
  for (const set of sets) {
    assert.equal(set.shots.reduce((sum, { count }) => sum + count, 0), set.shots_total);
    assert.equal(set.shots.length, set.sizes);
    assert.ok(set.sizes <= 3 && set.shots_total <= 30);
    for (const other of sets) {
      const beaten = Math.abs(other.off_mm) <= Math.abs(set.off_mm) && other.sizes <= set.sizes && other.shots_total <= set.shots_total
        && (Math.abs(other.off_mm) < Math.abs(set.off_mm) || other.sizes < set.sizes || other.shots_total < set.shots_total);
      assert.ok(!beaten, 'no set beats another on all three counts');
    }
  }
});

test('what is wrong is refused with a code, the field and a sentence', () => {
  const wrong = [NaN, Infinity, -Infinity, -1, 1e300, '5', null, undefined, {}, [], true];
  for (const [call, good, paths] of [
    [core.sink, bait, [['water_temperature_c'], ['shape', 'edge_mm'], ['matter', 'label', 'fat_g'], ['matter', 'air_share'], ['depths_m', 0]]],
    [core.balance, floats, [['float', 'load_tenth_mg'], ['float', 'tip_diameter_mm'], ['temperature_c'], ['wanted_tip_mm'], ['max_sizes'], ['shot_box', 0, 'mass_tenth_mg']]],
    [core.day, () => core.presets()[0].plan, [['water', 'depth_tenth_mm'], ['bait', 'edge_tenth_mm'], ['rigs', 0, 'load_tenth_mg'], ['feed', 0, 'every_s'], ['day', 'date'], ['rigs'], ['shot_box', 0, 'density_kg_per_m3']]],
    [core.linkFrom, () => core.presets()[0].plan, [['water', 'depth_tenth_mm'], ['tin', 'fat_tenth_g'], ['rigs', 0, 'hook_size']]],
  ]) {
    for (const path of paths) {
      for (const value of wrong) {
        const request = good();
        let part = request;
        for (const step of path.slice(0, -1)) part = part[step];
        part[path.at(-1)] = value;
        refusal(() => call(request), `${path.join('.')} = ${String(value)}`);
      }
    }
    for (const value of [undefined, null, 5, 'text', [], () => 1]) refusal(() => call(value));
  }
  const fat = refusal(() => core.sink({ ...bait(), matter: { kind: 'label', label: { ...label, fat_g: 300 }, air_share: 0 } }));
  assert.match(fat.field, /fat/);
});

test('lists too long and references to nothing are refused, a text too long is cut', () => {
  const plan = () => core.presets()[0].plan;
  for (const spoil of [
    (p) => { p.rigs = Array(50).fill(p.rigs[0]); },
    (p) => { p.rigs = []; },
    (p) => { p.shot_box = Array(10_000).fill(p.shot_box[0]); },
    (p) => { p.rigs[0].line = 99; },
    (p) => { p.feed[0].line = -1; },
    (p) => { p.version = 99; },
  ]) {
    const spoiled = plan();
    spoil(spoiled);
    refusal(() => core.day(spoiled), spoil);
  }
  const long = plan();
  long.water.venue = 'x'.repeat(100_000);
  assert.equal(core.planFrom(core.linkFrom(long)).water.venue, 'x'.repeat(40));
});

/** The example of a book that the format's description has. */
const example = () => readFileSync(path.join(SITE, 'component/FORMAT.md'), 'utf8').split('```json\n')[1].split('```')[0];

test('a book is read, written and merged, whatever the order', () => {
  const book = core.bookFrom(example());
  assert.deepEqual(JSON.parse(core.bookText(book)), book);
  assert.equal(core.mergeBooks(book, book).days.length, book.days.length);
  const [plan] = book.days.map(({ link }) => core.planFrom(link));
  assert.equal(plan.rigs.length, 2);
  // Two phones go on from it: one writes the note, the other the name, and both the result.
  const written = (name, phone, parts) => {
    const copy = structuredClone(book);
    for (const record of copy.days) {
      delete record.check;
      for (const [key, value] of Object.entries(parts)) record.written = { ...record.written, [key]: [[phone, 256 * 900, value]] };
    }
    return copy;
  };
  const [a, b] = [written('a', 'aaaaaaaaaaaaaaaa', { note: 'reeds', 'result.fish': 41 }), written('b', 'bbbbbbbbbbbbbbbb', { 'plan.name': 'Open', 'result.fish': 42 })];
  const both = core.mergeBooks(a, b);
  assert.deepEqual(core.mergeBooks(b, a), both);
  assert.deepEqual(core.mergeBooks(both, a), both);
  const [{ parts, written: entries, check }] = both.days;
  assert.deepEqual([parts.note, parts['plan.name'], parts['result.fish']], ['reeds', 'Open', 42]);
  assert.deepEqual(entries['result.fish'].map(([, , value]) => value), [41, 42], 'both stand');
  assert.match(check, /^[0-9a-f]{8}$/);
});

test('what is no book is refused with its place, and an altered record by its checksum', () => {
  assert.equal(refusal(() => core.bookFrom('{}')).code, 'not_a_book');
  assert.equal(refusal(() => core.bookFrom(example().slice(0, -30))).code, 'unreadable');
  assert.equal(refusal(() => core.bookFrom('{ "dotdown_book": 2 }')).code, 'newer_version');
  for (const value of [undefined, null, 5, 'text', [], () => 1]) assert.match(refusal(() => core.bookText(value)).code, /^(wrong_shape|not_a_book)$/);
  const spoilt = (spoil) => () => {
    const book = core.bookFrom(example());
    spoil(book.days[0]);
    return core.mergeBooks(core.bookFrom('{ "dotdown_book": 1 }'), book);
  };
  const { code, field } = refusal(spoilt((day) => { day.parts.note = 'another'; }));
  assert.deepEqual([code, field], ['unreadable', 'days.0']);
  spoilt((day) => { day.parts.note = 'another'; delete day.check; })();
  for (const [value, at] of [[NaN, 'days.0.parts.note'], [1.5, 'days.0.parts.note'], [new Date(0), 'days.0.parts.note']]) {
    const refused = refusal(spoilt((day) => { day.parts.note = value; delete day.check; }), String(value));
    assert.equal(refused.field, at);
  }
});

test('the component works on after every refusal', () => {
  refusal(() => core.planFrom('nothing'));
  assert.equal(core.presets().length, 3);
  assert.match(core.version(), /^\d+\.\d+\.\d+$/);
});
