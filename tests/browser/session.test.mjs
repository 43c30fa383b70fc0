// The live session by itself, in Node, with no screen: a short day played through the component, and what it refuses.

import assert from 'node:assert/strict';
import { before, test } from 'node:test';
import { builtCore } from './harness.mjs';

let core;
const T0 = Date.UTC(2031, 6, 11, 9, 0, 0);

before(async () => {
  core = await builtCore();
});

const plan = () => core.presets()[0].plan;

function refusal(call, field) {
  try {
    call();
  } catch (error) {
    assert.match(error.code, /^[a-z_]+$/);
    assert.match(error.message, /^\S+ .*\.$/s, 'a sentence');
    if (field !== undefined) assert.equal(error.field, field);
    return error.code;
  }
  return assert.fail('nothing was refused');
}

/** Twenty-second casts of one rig for some minutes, with a bite each so many casts. */
function fish(session, rig, from, minutes, every) {
  const end = from + minutes * 60_000;
  let cast = 0;
  for (let at = from; at < end; at += 20_000) {
    session.record({ at_ms: at, kind: 'cast', rig });
    if (every && ++cast % every === 0) session.record({ at_ms: at + 15_000, kind: cast % (2 * every) ? 'missed' : 'fish' });
  }
  return end;
}

test('a short session: bites on one rig draw the fish to its depth, quiet sends the angler on', () => {
  const session = new core.Session(plan());
  const first = session.state(T0);
  assert.equal(first.totals.fish, 0);
  assert.ok(Math.abs(first.fish.chance.reduce((a, b) => a + b) - 1) < 1e-9);
  assert.ok(first.fish.cell_m <= 0.05);
  const { rig } = first;
  const depth = first.rigs[rig].depth_m;
  let at = fish(session, first.rigs[rig].name, T0, 20, 3);
  const busy = session.state(at);
  assert.ok(busy.totals.fish > 5 && busy.totals.missed > 5);
  assert.ok(Math.abs(busy.fish.median_m - depth) < 0.25, `${busy.fish.median_m} is near ${depth}`);
  assert.ok(busy.rigs[rig].chance_best > 0.5);
  const stay = session.advice(at);
  assert.notEqual(stay.kind, 'pick_up_rig');
  let advice = stay;
  for (let step = 0; step < 30 && advice.kind !== 'pick_up_rig'; step++) {
    at = fish(session, rig, at, 5, 0);
    advice = session.advice(at);
  }
  assert.equal(advice.kind, 'pick_up_rig');
  assert.notEqual(advice.rig, rig);
  assert.ok(advice.sure > 0 && advice.sure <= 1 && advice.line && advice.reason);
  session.record({ at_ms: at, kind: 'pick_up_rig', rig: advice.rig });
  assert.equal(session.state(at).rig, advice.rig);
  const { totals, lines } = session.summary(at);
  assert.equal(totals.swaps, 1);
  assert.ok(lines.length > 1);
  assert.match(session.csv(), /^time,water,peg,line,rig,kind,value,note\r\n/);
  assert.equal(session.csv().trim().split('\r\n').length, session.log().trim().split('\n').length + 2, 'a head and the start');
});

test('the feed clock counts on from the last feed, and the clouds sink', () => {
  const session = new core.Session(plan());
  assert.equal(session.state(T0).beat.feed_now, true);
  session.record({ at_ms: T0, kind: 'fed' });
  const { beat, clouds } = session.state(T0 + 6000);
  assert.ok(Math.abs(beat.to_next_s - (beat.interval_s - 6)) < 1e-9);
  assert.equal(clouds.length, 1);
  assert.ok(clouds[0].front_m > clouds[0].middle_m && clouds[0].middle_m > clouds[0].tail_m && clouds[0].tail_m > 0);
  session.record({ at_ms: T0 + 7000, kind: 'pause' });
  assert.equal(session.state(T0 + 60_000).beat.paused, true);
  session.record({ at_ms: T0 + 60_000, kind: 'resume' });
  assert.ok(Math.abs(session.state(T0 + 60_000).beat.to_next_s - (beat.interval_s - 7)) < 1e-9);
});

test('an undo, a double touch, and a log that goes on in another session', () => {
  const session = new core.Session(plan(), { lengths: 'metric', sign: 'comma' });
  session.record({ at_ms: T0, kind: 'cast' });
  session.record({ at_ms: T0 + 9000, kind: 'missed' });
  assert.equal(session.record({ at_ms: T0 + 9200, kind: 'missed' }).double_touch, true);
  assert.equal(session.state(T0 + 9500).undoes.kind, 'missed');
  session.record({ at_ms: T0 + 9600, kind: 'undo' });
  assert.equal(session.state(T0 + 9700).totals.missed, 0);
  session.record({ at_ms: T0 + 20_000, kind: 'note', note: 'carp show <b>by the reeds</b>' });
  const log = session.log();
  const again = new core.Session(plan(), { lengths: 'metric', sign: 'comma' });
  assert.deepEqual(again.resume(log), []);
  assert.deepEqual(again.state(T0 + 30_000), session.state(T0 + 30_000));
  assert.deepEqual(again.advice(T0 + 30_000), session.advice(T0 + 30_000));
  assert.doesNotMatch(again.csv(), /[<>]/);
  const cut = new core.Session(plan());
  assert.equal(cut.resume(log.slice(0, -9)).length, 1, 'a cut record is told');
  assert.equal(cut.log().trim().split('\n').length, 3);
});

test('what is no event is refused, and nothing is changed', () => {
  const session = new core.Session(plan());
  session.record({ at_ms: T0, kind: 'cast', rig: 0 });
  const before = session.log();
  assert.equal(refusal(() => session.record(null)), 'wrong_shape');
  assert.equal(refusal(() => session.record({ kind: 'fed' })), 'wrong_shape');
  assert.equal(refusal(() => session.record({ at_ms: T0, kind: 'dance' })), 'wrong_shape');
  assert.equal(refusal(() => session.record({ at_ms: T0, kind: 'fed', rig: 'Z' })), 'wrong_shape');
  assert.equal(refusal(() => session.record({ at_ms: T0, kind: 'fed', rig: 99 })), 'unknown_rig');
  assert.equal(refusal(() => session.record({ at_ms: NaN, kind: 'fed' })), 'wrong_shape');
  assert.equal(refusal(() => session.record({ at_ms: -1, kind: 'fed' })), 'time');
  assert.equal(refusal(() => session.record({ at_ms: T0, kind: 'fish', value: -1 })), 'value');
  assert.equal(refusal(() => session.state(Infinity)), 'time');
  assert.equal(refusal(() => new core.Session({})), 'wrong_shape');
  assert.equal(session.log(), before);
});

test('the hook bait of every rig falls to its depth', () => {
  const session = new core.Session(plan());
  const { rigs } = session.state(T0);
  rigs.forEach(({ depth_m }, rig) => {
    const at = T0 + rig * 600_000;
    session.record({ at_ms: at, kind: 'cast', rig });
    const early = session.state(at + 3000).hook_m;
    const late = session.state(at + 120_000).hook_m;
    assert.ok(early > 0 && early < depth_m, `${early} of ${depth_m} after 3 s`);
    assert.ok(Math.abs(late - depth_m) < 0.02, `${late} at rest`);
  });
});

/** Three days on which only the deepest rig, fished as long as the others, has bites. */
function threeDays() {
  return [0, 1, 2].map((at) => {
    const fished = plan();
    fished.day.date = `2031-07-${11 + at}`;
    const session = new core.Session(fished);
    const { rigs } = session.state(T0);
    const deepest = rigs.reduce((best, { depth_m }, rig) => (depth_m > rigs[best].depth_m ? rig : best), 0);
    let now = T0 + 86_400_000 * at;
    for (let round = 0; round < 4; round++) rigs.forEach((_, rig) => { now = fish(session, rig, now, 15, rig === deepest ? 2 : 0); });
    return { plan: fished, log: session.log() };
  });
}

test('three fished days teach where the fish go, and a session there begins with it', () => {
  const days = threeDays();
  const habits = core.habits(days);
  assert.equal(habits.version, 1);
  assert.equal(habits.standing, 'used');
  assert.equal(habits.counting_days, 3);
  assert.deepEqual(core.habits([...days].reverse()), habits, 'in any order');
  const bites = days.map(({ log }) => log.split('\n').filter((line) => / [mg] /.test(line)).length).reduce((a, b) => a + b);
  assert.equal(habits.picture.bites.flat().reduce((a, b) => a + b), bites);
  const median = (taught) => new core.Session(plan(), undefined, taught).state(T0).fish.median_m;
  // The bait is still falling when the bites come.
  const cast = new core.Session(plan());
  const { rigs } = cast.state(T0);
  cast.record({ at_ms: T0, kind: 'cast', rig: rigs.findIndex(({ depth_m }) => depth_m === Math.max(...rigs.map((rig) => rig.depth_m))) });
  const { hook_m } = cast.state(T0 + 15_000);
  assert.ok(median(null) < hook_m - 0.5, `usually at ${median(null)}`);
  assert.ok(Math.abs(median(habits) - hook_m) < 0.2, `at ${median(habits)}, taught by bites at ${hook_m}`);
  const two = core.habits(days.slice(1));
  assert.equal(two.standing, 'too_few_days');
  assert.equal(median(two), median(null), 'two days are noise');
  assert.deepEqual(core.habits([]).waters, []);
});

test('days and habits that are none are refused', () => {
  const [day] = threeDays();
  assert.equal(refusal(() => core.habits(day), ''), 'wrong_shape');
  assert.equal(refusal(() => core.habits([day, { plan: day.plan }]), '1.log'), 'wrong_shape');
  const deep = structuredClone(day);
  deep.plan.water.depth_tenth_mm = 1;
  assert.match(refusal(() => core.habits([day, deep]), '1.plan.water.depth'), /^out_of_range$/);
  assert.equal(refusal(() => core.habits([{ ...day, log: 'x'.repeat(5_000_000) }]), '0.log'), 'too_large');
  assert.equal(refusal(() => core.habits(Array(3001).fill(day)), ''), 'too_many');
  assert.equal(core.habits([{ ...day, log: 'no line of a log\n' }]).days, 0, 'a day with nothing to learn from');
  const good = core.habits([day]);
  const session = (habits) => () => new core.Session(plan(), undefined, habits);
  assert.equal(refusal(session({ ...good, version: 2, more: 1 }), 'habits.version'), 'newer_version');
  assert.equal(refusal(session({ ...good, more: 1 }), 'more'), 'wrong_shape');
  assert.equal(refusal(session({ ...good, usual: 2 }), 'habits.usual'), 'too_large');
  assert.equal(refusal(session('used')), 'wrong_shape');
});
