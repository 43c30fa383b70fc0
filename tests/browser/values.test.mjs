// Scripts cannot break the module: hostile values through every export, in Node. Each is answered or refused with a code, a
// field and a sentence; nothing traps, and afterwards the module gives what it gave before. No outside source.
//
// A usual run draws 20,000 values from one seed; DOTDOWN_LONG=1 draws 400,000 from a fresh one, and DOTDOWN_SEED=n from n.

import assert from 'node:assert/strict';
import { before, test } from 'node:test';
import { builtCore } from './harness.mjs';

const LONG = Boolean(process.env.DOTDOWN_LONG);
const COUNT = LONG ? 400_000 : 20_000;
const T0 = Date.UTC(2031, 6, 11, 9);

let core;
let plan;

before(async () => {
  core = await builtCore();
  // With one rig: a session works out the fall of each.
  plan = core.presets()[0].plan;
  plan.rigs.length = 1;
});

/** What a call throws, which must be a refusal; nothing when it answers. */
function refused(call, what = call) {
  try {
    call();
  } catch (error) {
    assert.ok(error instanceof Error && !(error instanceof WebAssembly.RuntimeError), `${what}: ${error?.stack ?? String(error)}`);
    assert.match(String(error.code), /^[a-z_]+$/, `${what}: ${error.stack}`);
    assert.equal(typeof error.field, 'string');
    assert.match(error.message, /^\S+ .*\.$/s, 'a sentence');
    return error;
  }
  return undefined;
}

const rig = () => ({
  temperature_C: 18,
  main: { length_m: 0.3, diameter_m: 0.00016 },
  hooklength: { length_m: 0.15, diameter_m: 0.00012 },
  shots: [{ from_hook_m: 0.2, mass_kg: 3.4e-5, count: 6 }],
  hook: { mass_kg: 1e-5 },
  bait: { side_m: 0.006, density: 1040 },
  t_end_s: 10,
});
const label = { fat_g: 20, protein_g: 13, carbohydrate_g: 3.5, salt_g: 2 };
const matter = { kind: 'label', label, air_share: 0 };
const shape = { kind: 'cube', edge_mm: 6 };
const stamp = { year: 2031, month: 7, day: 11, hour: 9, minute: 0 };
const book = () => core.bookFrom('{ "dotdown_book": 1 }');

/** Every function and method: arguments that it takes, and how it is called with them. */
const EXPORTS = {
  version: [() => [], () => core.version()],
  presets: [() => [], () => core.presets()],
  default: [() => [], (...given) => void core.default(...given)],
  initSync: [() => [], (...given) => core.initSync(...given)],
  day: [() => [structuredClone(plan), { lengths: 'metric', sign: 'comma' }], (...given) => core.day(...given)],
  linkFrom: [() => [structuredClone(plan)], (...given) => core.linkFrom(...given)],
  planFrom: [() => [core.linkFrom(plan)], (...given) => core.planFrom(...given)],
  sink: [() => [{ matter, shape, water_temperature_c: 18, depths_m: [1] }], (...given) => core.sink(...given)],
  balance: [() => [{
    float: { load_tenth_mg: 4000, tip_diameter_mm: 1.2, tip_length_mm: 20 }, temperature_c: 18, wanted_tip_mm: 2, max_sizes: 1, max_shots: 30,
    shot_box: [{ name: 'No. 10', mass_tenth_mg: 340, density_kg_per_m3: 11350, count: 30 }],
  }], (...given) => core.balance(...given)],
  tubTest: [() => [{ matter, shape, tub_depth_m: 0.3, tub_temperature_c: 15, drops: [{ dropped_s: 0, landed_s: 5.1 }] }], (...given) => core.tubTest(...given)],
  floaters: [() => [{ edge_mm: 6, excess_kg_per_m3: 40, water_temperature_c: 18, pieces: 20, floated: 4, came_up_again: 1 }], (...given) => core.floaters(...given)],
  chill: [() => [{ label, thickness_mm: 30, start_c: 10, medium_c: -18, until_c: -10, surface: 'still_air' }], (...given) => core.chill(...given)],
  wash: [() => [{ kept_ml: 100, added_ml: 1000, water_c: 40 }], (...given) => core.wash(...given)],
  timetable: [() => [{
    steps: [{ id: 'cut', name: 'Cut', minutes: 30 }, { id: 'leave', name: 'Leave', minutes: 45, after: ['cut'], when: 'morning' }],
    begin_min: -1440, night_from_min: -720, night_to_min: -180,
  }], (...given) => core.timetable(...given)],
  calendar: [() => ['Prep', { ...stamp }, [{ uid: 'cut@example', start: { ...stamp }, minutes: 30, summary: 'Cut' }]], (...given) => core.calendar(...given)],
  habits: [() => [[{ plan: structuredClone(plan), log: '' }]], (...given) => core.habits(...given)],
  bookFrom: [() => ['{ "dotdown_book": 1 }'], (...given) => core.bookFrom(...given)],
  bookText: [() => [book()], (...given) => core.bookText(...given)],
  mergeBooks: [() => [book(), book()], (...given) => core.mergeBooks(...given)],
  fall: [() => [rig(), { step_s: 0.1, link_factor: 4 }], (...given) => core.fall(...given)],
  Finder: [() => [{ rig: rig(), aim: 'get_down_fast', most_groups: 1 }], (...given) => new core.Finder(...given).free()],
  'Finder.step': [() => [1], (...given) => finder().step(...given)],
  'Finder.free': [() => [], () => new core.Finder({ rig: rig(), aim: 'get_down_fast', most_groups: 1 }).free()],
  Session: [() => [structuredClone(plan), { lengths: 'metric', sign: 'comma' }, structuredClone(taught())], (...given) => new core.Session(...given).free()],
  'Session.record': [() => [{ at_ms: T0, kind: 'fed', rig: 0, value: 12, note: 'first' }], (...given) => session().record(...given)],
  'Session.state': [() => [T0], (...given) => session().state(...given)],
  'Session.advice': [() => [T0], (...given) => session().advice(...given)],
  'Session.summary': [() => [T0], (...given) => session().summary(...given)],
  'Session.resume': [() => [''], (...given) => session().resume(...given)],
  'Session.log': [() => [], (...given) => session().log(...given)],
  'Session.csv': [() => [], (...given) => session().csv(...given)],
  'Session.free': [() => [], () => new core.Session(plan).free()],
};

const once = (make) => {
  let made;
  return () => (made ??= make());
};
const session = once(() => new core.Session(plan));
const finder = once(() => new core.Finder({ rig: rig(), aim: 'get_down_fast', most_groups: 1 }));
const taught = once(() => core.habits([]));

const boom = () => {
  throw new TypeError('boom');
};
const allTraps = Object.fromEntries(
  ['get', 'set', 'has', 'ownKeys', 'getPrototypeOf', 'getOwnPropertyDescriptor', 'isExtensible', 'deleteProperty', 'defineProperty', 'apply', 'construct'].map((trap) => [trap, boom]),
);
const revoked = (of) => {
  const { proxy, revoke } = Proxy.revocable(of, {});
  revoke();
  return proxy;
};
const nested = (depth, wrap) => {
  let value = 1;
  for (let i = 0; i < depth; i++) value = wrap(value);
  return value;
};
const cyclic = () => {
  const one = { a: 1 };
  one.self = one;
  return one;
};

/** Values that no honest script hands in, or only by accident: each made anew. */
const HOSTILE = [
  ...[undefined, null, NaN, Infinity, -Infinity, -0, -1, 0.5, 5, 1e308, 2 ** 31, 2 ** 53, -(2 ** 63), '', 'x', '\ud800', '\0', true, false, 0n, 1n << 70n].map((value) => () => value),
  () => 'x'.repeat(100_000), () => Symbol('s'), () => boom, () => class {}, () => Math.max,
  () => ({}), () => [], () => [[]], () => new Date(0), () => new Map([[1, 2]]), () => new Set([1]), () => /x/, () => new Uint8Array(8), () => new ArrayBuffer(8),
  () => Promise.resolve(), () => new WeakMap(), () => new Error('e'), () => new String('text'), () => new Number(5), () => Object.create(null),
  () => Object.freeze([1]), () => globalThis, () => ({ length: 5 }), () => JSON.parse('{"__proto__":{"a":1},"constructor":1}'),
  // What throws when it is read.
  () => ({ get a() { return boom(); } }), () => ({ get a() { throw undefined; } }), () => Object.defineProperty([1], 0, { get: boom }),
  () => ({ valueOf: boom, toString: boom, toJSON: boom }), () => ({ [Symbol.toPrimitive]: boom, [Symbol.iterator]: boom }), () => Object.defineProperty({}, Symbol.toStringTag, { get: boom }),
  () => new Proxy({}, allTraps), () => new Proxy([], allTraps), () => new Proxy(boom, allTraps), () => revoked({}), () => revoked([]), () => revoked(boom),
  () => new Proxy({}, { ownKeys: () => ['a'], getOwnPropertyDescriptor: () => ({ enumerable: true, configurable: true, get: boom }) }),
  // What has no end.
  () => cyclic(), () => { const one = []; one.push(one); return one; }, () => nested(5000, (value) => ({ value })), () => nested(5000, (value) => [value]),
  () => new Array(4_294_967_295), () => new Proxy([], { get: (of, name) => (name === 'length' ? 4e9 : 1) }), () => new Proxy([], { get: (of, name) => (name === 'length' ? NaN : 1) }),
  () => Object.assign([1], { *[Symbol.iterator]() { for (;;) yield 1; } }), () => Array(2000).fill({}),
  // What calls back.
  () => ({ get a() { return core.day(plan); } }), () => ({ get at_ms() { session().record({ at_ms: T0, kind: 'note' }); return T0; }, kind: 'note' }),
  () => ({ get a() { return session().resume(''); } }), () => ({ get a() { return finder().step(1); } }),
  () => { const one = { get a() { return core.sink(one); } }; return one; },
  () => { const one = { get at_ms() { return session().record(one); }, kind: 'fed' }; return one; },
  // What is another thing each time.
  () => { let at = 0; return { get a() { return [1, 'x', {}, boom][at++ % 4]; } }; },
];

/** Numbers from 0 to 1, always the same for a seed (mulberry32). */
function dice(seed) {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296;
  };
}

/** The value, or a copy of `good` in which it stands somewhere. */
function planted(good, value, roll) {
  if (typeof good !== 'object' || good === null || roll() < 0.3) return value;
  const names = Object.keys(good);
  if (names.length === 0 || roll() < 0.1) {
    if (Array.isArray(good)) good.push(value);
    else good[roll() < 0.5 ? 'more' : '__proto__'] = value;
    return good;
  }
  const name = names[Math.floor(roll() * names.length)];
  const part = planted(good[name], value, roll);
  // By a getter as well as by itself.
  if (roll() < 0.2) Object.defineProperty(good, name, { enumerable: true, configurable: true, get: () => part });
  else good[name] = part;
  return good;
}

test('every function and method is in the table', () => {
  const methods = Object.entries(core).flatMap(([name, { prototype }]) =>
    Object.getOwnPropertyNames(prototype ?? {}).filter((own) => own !== 'constructor' && !own.startsWith('__')).map((own) => `${name}.${own}`));
  assert.deepEqual(Object.keys(EXPORTS).sort(), [...Object.keys(core), ...methods].sort());
  for (const [name, [given, call]] of Object.entries(EXPORTS)) assert.equal(refused(() => call(...given())), undefined, name);
});

test('hostile values through every export give no trap, and the module works on', async (t) => {
  const seed = Number(process.env.DOTDOWN_SEED ?? (LONG ? Math.floor(Math.random() * 2 ** 32) : 17));
  const roll = dice(seed);
  const before = JSON.stringify(core.day(plan));
  const names = Object.keys(EXPORTS).filter((name) => EXPORTS[name][0]().length > 0);
  const tally = { answered: 0, refused: 0 };
  for (let i = 0; i < COUNT; i++) {
    const name = names[i % names.length];
    const [given, call] = EXPORTS[name];
    const args = structuredClone(given());
    const which = Math.floor(roll() * HOSTILE.length);
    const place = Math.floor(roll() * Math.max(args.length, 1));
    args[place] = planted(args[place], HOSTILE[which](), roll);
    const error = refused(() => call(...args), `DOTDOWN_SEED=${seed}, value ${i}, ${name} with hostile value ${which}`);
    tally[error ? 'refused' : 'answered']++;
  }
  t.diagnostic(`DOTDOWN_SEED=${seed}: ${COUNT} values, ${tally.refused} refused, ${tally.answered} answered, 0 traps`);
  assert.ok(tally.refused > COUNT / 2, JSON.stringify(tally));
  assert.equal(JSON.stringify(core.day(plan)), before);
  for (const [name, [given, call]] of Object.entries(EXPORTS)) assert.equal(refused(() => call(...given())), undefined, name);
});

/** A copy that counts how often each of its parts is read. */
function counted(value, reads, at = '') {
  if (typeof value !== 'object' || value === null) return value;
  const copy = Array.isArray(value) ? [] : {};
  for (const [name, part] of Object.entries(value)) {
    const inner = counted(part, reads, `${at}.${name}`);
    Object.defineProperty(copy, name, { enumerable: true, get() { reads[`${at}.${name}`] = (reads[`${at}.${name}`] ?? 0) + 1; return inner; } });
  }
  return copy;
}

test('each property is read once', () => {
  for (const [name, [given, call]] of Object.entries(EXPORTS)) {
    const reads = {};
    assert.equal(refused(() => call(...given().map((arg, i) => counted(arg, reads, String(i))))), undefined, name);
    for (const [at, count] of Object.entries(reads)) assert.equal(count, 1, `${name}: ${at}`);
    const objects = given().filter((arg) => typeof arg === 'object' && Object.keys(arg).length > 0);
    assert.equal(Object.keys(reads).length > 0, objects.length > 0, name);
  }
});

test('a getter may call the module, even the session that reads it', () => {
  const live = new core.Session(plan);
  const { number } = live.record({ get at_ms() { live.record({ at_ms: T0, kind: 'cast' }); return live.state(T0 + 5000).at_ms; }, kind: 'fed' });
  assert.equal(number, 1);
  assert.equal(live.log().trim().split('\n').length, 2);
  assert.equal(refused(() => live.record({ get at_ms() { live.free(); return T0; }, kind: 'fed' })).code, 'wrong_shape');
});

test('a session that was freed is an error, however often it is asked', () => {
  const gone = new core.Session(plan);
  gone.free();
  for (let i = 0; i < 20_000; i++) assert.throws(() => gone.state(T0), (error) => error instanceof Error && !(error instanceof WebAssembly.RuntimeError));
  assert.equal(core.presets().length, 3);
});

test('what is too large is refused before it is taken', () => {
  const code = (call) => refused(call)?.code;
  const many = structuredClone(plan);
  many.rigs = Array(1_000_000).fill(many.rigs[0]);
  assert.equal(code(() => core.day(many)), 'too_large');
  const named = structuredClone(plan);
  named.name = 'x'.repeat(100_000_000);
  assert.equal(code(() => core.day(named)), 'too_large');
  assert.equal(code(() => core.planFrom(named.name)), 'too_long');
  assert.equal(code(() => session().resume(named.name)), 'too_large');
  assert.equal(code(() => core.calendar(named.name, stamp, EXPORTS.calendar[0]()[2])), 'too_large');
  assert.equal(code(() => core.fall({ ...rig(), t_end_s: 600 }, { step_s: 0.0001 })), 'too_much_work');
  assert.equal(code(() => core.fall({ ...rig(), t_end_s: 40, max_link_m: 0.0006 })), 'too_much_work');
  assert.equal(code(() => finder().step(1e7)), 'too_large');
  const { done, evaluated } = new core.Finder({
    rig: { ...rig(), main: { length_m: 12, diameter_m: 0.00016 }, shots: [{ from_hook_m: 0.5, mass_kg: 3e-4, count: 8 }] }, aim: 'settle_soonest', most_groups: 4,
  }).step(1e6);
  assert.ok(!done && evaluated < 100, `one slice tried ${evaluated} patterns`);
});
