// Every export of the component in a script's own types. types.test.mjs compiles this strictly against the built
// declarations, holds its calls against what the module really exports, and runs `component` in Node.

import init, * as dotdown from 'dotdown';
import type {
  Advice, Balance, BalanceRequest, Band, Book, BookRecord, CalendarEvent, Chill, CivilMinute, Day, Fall, FallRig, FallSettings,
  FindProgress, FishedDay, Floaters, FloatRequest, Habits, PartValue, Plan, Preset, Recorded, Refusal, SessionState, Sink,
  SinkRequest, Summary, TimeBand, Timetable, TubResult, TubTest, Units, Wash,
} from 'dotdown';

/** What `component` found, in plain words and numbers. */
export interface Found {
  version: string;
  lines: string[];
  link: string;
  reread: string;
  speed: Band;
  shots: string[];
  tub_s: TimeBand | null;
  cures: string[];
  freezes_in_min: number;
  rinses: number;
  first_step: string | null;
  calendar: string;
  settle_s: number | null;
  samples: number;
  proposals: number;
  told: string[];
  advice: string;
  fish: number;
  log: string;
  standing: Habits['standing'];
  notes: PartValue[];
  book: string;
  refused: { code: string; field: string };
}

/** What can be done with no page: each function and class once. */
export async function component(wasm: BufferSource): Promise<Found> {
  await init({ module_or_path: wasm });
  dotdown.initSync({ module: wasm });

  const presets: Preset[] = dotdown.presets();
  const first = presets[0];
  if (!first) throw new Error('no worked day');
  const plan: Plan = { ...first.plan, water: { ...first.plan.water, surface_tenth_c: 190, bottom_tenth_c: null } };
  const units: Units = { lengths: 'metric', sign: 'comma' };
  const day: Day = dotdown.day(plan, units);
  const same: Day = dotdown.day(plan);
  const link: string = dotdown.linkFrom(plan);
  const reread: Plan = dotdown.planFrom(link);

  const bait: SinkRequest = {
    matter: { kind: 'label', label: { fat_g: 20, protein_g: 13, carbohydrate_g: 3.5, salt_g: 2, ash_g: null }, air_share: 0 },
    shape: { kind: 'cube', edge_mm: 6 },
    water_temperature_c: 18,
    depths_m: [0.4572, 1],
  };
  const sink: Sink = dotdown.sink(bait);

  const request: BalanceRequest = {
    float: { load_tenth_mg: 4000, tip_diameter_mm: 1.2, tip_length_mm: 20 },
    temperature_c: 18,
    shot_box: [{ name: 'No. 10', mass_tenth_mg: 340, density_kg_per_m3: 11350, count: 30 }],
    hook: null,
    wanted_tip_mm: 2,
    max_sizes: 1,
    max_shots: 30,
  };
  const balance: Balance = dotdown.balance(request);

  const drops: TubTest['drops'] = [5.1, 5.3, 5.2].map((landed_s) => ({ dropped_s: 0, landed_s }));
  const test: TubTest = { matter: bait.matter, shape: bait.shape, tub_depth_m: 0.3, tub_temperature_c: 15, drops };
  const tub: TubResult = dotdown.tubTest(test);

  const pieces: FloatRequest = { edge_mm: 6, excess_kg_per_m3: 40, water_temperature_c: 18, pieces: 20, floated: 4, came_up_again: 1 };
  const floaters: Floaters = dotdown.floaters(pieces);

  const label = { fat_g: 20, protein_g: 13, carbohydrate_g: 3.5, salt_g: 2 };
  const chill: Chill = dotdown.chill({ label, thickness_mm: 30, start_c: 10, medium_c: -18, until_c: -10, surface: 'still_air' });
  const wash: Wash = dotdown.wash({ kept_ml: 100, added_ml: 1000, water_c: 40 });

  const timetable: Timetable = dotdown.timetable({
    steps: [
      { id: 'cut', name: 'Cut', minutes: 30, when: 'day_before' },
      { id: 'leave', name: 'Leave', minutes: 45, after: ['cut'], when: 'morning' },
    ],
    begin_min: -1440, night_from_min: -720, night_to_min: -180,
  });
  const stamp: CivilMinute = { year: 2031, month: 7, day: 11, hour: 9, minute: 0 };
  const event: CalendarEvent = { uid: 'cut@example', start: stamp, minutes: 30, summary: 'Cut', alarm_min_before: null };
  const calendar: string = dotdown.calendar('Prep', stamp, [event]);

  const rig: FallRig = {
    temperature_C: 18,
    main: { length_m: 0.3, diameter_m: 0.00016 },
    hooklength: { length_m: 0.15, diameter_m: 0.00012 },
    shots: [{ from_hook_m: 0.2, mass_kg: 3.4e-5, count: 6 }, { from_hook_m: 0.1, mass_kg: 2e-5 }],
    hook: { mass_kg: 1e-5 },
    bait: { side_m: 0.006, density: 1040 },
  };
  const settings: FallSettings = { step_s: 0.05, link_factor: 2 };
  const fall: Fall = dotdown.fall(rig, settings);
  const usual: Fall = dotdown.fall(rig);

  const finder = new dotdown.Finder({ rig, aim: 'get_down_fast', most_groups: 1 });
  const progress: FindProgress = finder.step(10);
  finder.free();
  new dotdown.Finder({ rig, aim: 'settle_soonest', kept: [1], latest_s: null })[Symbol.dispose]();

  const session = new dotdown.Session(plan, units);
  const at_ms = Date.UTC(2031, 6, 11, 9);
  const recorded: Recorded = session.record({ at_ms, kind: 'fed', value: 12, note: 'first' });
  session.record({ at_ms: at_ms + 20_000, kind: 'fish', rig: 0, value: null });
  const state: SessionState = session.state(at_ms + 30_000);
  const advice: Advice = session.advice(at_ms + 30_000);
  const summary: Summary = session.summary(at_ms + 40_000);
  const log: string = session.log();
  const again = new dotdown.Session(plan);
  const told: string[] = again.resume(log);
  told.push(again.csv());
  again[Symbol.dispose]();
  session.free();

  const fished: FishedDay[] = [{ plan, log }];
  const habits: Habits = dotdown.habits(fished);
  new dotdown.Session(plan, units, habits).free();
  new dotdown.Session(plan, units, null).free();

  const mine: Book = dotdown.bookFrom('{ "dotdown_book": 1 }');
  const record: BookRecord = { id: '0'.repeat(32), form: 1, made: ['0'.repeat(16), 256], parts: { note: 'near bank', 'plan.water.depth': 18_000 } };
  const both: Book = dotdown.mergeBooks(mine, { ...mine, days: [record] });
  const book: string = dotdown.bookText(both);

  return {
    version: dotdown.version(),
    lines: day.lines.map((line) => `${line.title}: ${line.main}`).concat(same.warnings.map((warning) => warning.sentence)),
    link,
    reread: reread.name,
    speed: sink.speed_m_per_s,
    shots: balance.sets.flatMap((set) => set.shots.map((shot) => `${shot.count} × ${shot.name}`)),
    tub_s: tub.tub_time_s,
    cures: floaters.cures,
    freezes_in_min: chill.minutes.mid,
    rinses: wash.rinses,
    first_step: timetable.steps[0]?.id ?? null,
    calendar,
    settle_s: fall.settle_s ?? usual.settle_s,
    samples: fall.hook_z_m.length,
    proposals: progress.proposals.length,
    told: told.concat(recorded.told, summary.lines),
    advice: advice.line,
    fish: state.totals.fish,
    log,
    standing: habits.standing,
    notes: both.days.map(({ parts }) => parts['note'] ?? null),
    book,
    refused: refusal(() => dotdown.planFrom('nothing')),
  };
}

function refusal(call: () => unknown): Found['refused'] {
  try {
    call();
  } catch (error) {
    const { code, field, message } = error as Refusal;
    return message ? { code, field } : { code: '', field: '' };
  }
  return { code: '', field: '' };
}
