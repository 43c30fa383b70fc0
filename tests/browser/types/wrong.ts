// Calls that the declarations must refuse: each `@ts-expect-error` is itself an error where nothing is refused.

import { Finder, Session, balance, bookFrom, bookText, chill, day, fall, habits, linkFrom, mergeBooks, planFrom, presets, sink, wash } from 'dotdown';
import type { FallRig, Plan } from 'dotdown';

export function wrong(plan: Plan, rig: FallRig): void {
  // @ts-expect-error a plan is wanted
  day();
  // @ts-expect-error a link is no plan
  day('link');
  // @ts-expect-error no such unit
  day(plan, { lengths: 'cubits', sign: 'point' });
  // @ts-expect-error a field is missing
  linkFrom({ ...plan, water: { venue: '', peg: '' } });
  // @ts-expect-error a choice that is none
  linkFrom({ ...plan, rules: { ...plan.rules, lead: 'some' } });
  // @ts-expect-error a text where a number is wanted
  linkFrom({ ...plan, tin: { ...plan.tin, fat_tenth_g: '24,5' } });
  // @ts-expect-error a link is a text
  planFrom(5);
  // @ts-expect-error nothing is asked of the worked days
  presets('summer');
  // @ts-expect-error the list may be empty
  presets()[0].plan;
  // @ts-expect-error no such matter
  sink({ matter: { kind: 'meat' }, shape: { kind: 'cube', edge_mm: 6 }, water_temperature_c: 18, depths_m: [] });
  // @ts-expect-error the float is missing
  balance({ temperature_c: 18, shot_box: [], wanted_tip_mm: 2, max_sizes: 3, max_shots: 30 });
  // @ts-expect-error no such surface
  chill({ label: { fat_g: 1, protein_g: 1, carbohydrate_g: 1, salt_g: 1 }, thickness_mm: 30, start_c: 10, medium_c: -18, until_c: -10, surface: 'snow' });
  // @ts-expect-error a field that is none
  wash({ kept_ml: 100, added_ml: 1000, water_c: 40, soap: true });
  // @ts-expect-error left out is not the same as undefined
  fall({ ...rig, name: undefined });
  // @ts-expect-error a sliding float needs its mass
  fall({ ...rig, float: { mode: 'slide' } });
  // @ts-expect-error no such aim
  new Finder({ rig, aim: 'catch_more' });
  // @ts-expect-error it may be that no rig was dropped yet
  new Finder({ rig, aim: 'settle_soonest' }).step(1).own.settle_s.toFixed(1);
  // @ts-expect-error no such event
  new Session(plan).record({ at_ms: 0, kind: 'dance' });
  // @ts-expect-error a plan stands beside its log
  habits([{ log: '' }]);
  // @ts-expect-error a plan is no habits
  new Session(plan, undefined, plan);
  // @ts-expect-error a book is no text
  bookFrom({ dotdown_book: 1 });
  // @ts-expect-error the lists of a book are missing
  bookText({ dotdown_book: 1 });
  // @ts-expect-error two books are wanted
  mergeBooks(bookFrom(''));
  // @ts-expect-error a time is wanted
  new Session(plan).state();
}
