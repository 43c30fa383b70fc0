/** A refusal: thrown by every function below. */
export interface Refusal extends Error {
  /** A short stable word, such as `out_of_range`. */
  code: string;
  /** The field that was refused, such as `water.depth`, or "" for the whole. */
  field: string;
}

export interface Units {
  lengths: "imperial" | "metric";
  sign: "point" | "comma";
}

/** A worked day in invented waters. */
export interface Preset {
  id: string;
  title: string;
  plan: Plan;
}

/** Everything a user enters. Whole numbers of the small unit that each name ends in. */
export interface Plan {
  version: number;
  name: string;
  day: { date: string; draw_min: number; all_in_min: number; all_out_min: number; travel_min: number; setup_min: number };
  water: { venue: string; peg: string; depth_tenth_mm: number; surface_tenth_c: number; bottom_tenth_c: number | null };
  weather: {
    sky: "bright" | "mixed" | "overcast";
    wind: "still" | "light" | "fresh" | "strong";
    pressure_hpa: number;
    trend: "falling" | "steady" | "rising";
    start: "by_the_points" | "shallow" | "bottom";
  };
  rules: { tins: number | null; hook: number | null; barbless: boolean; lead: "as_the_law" | "none" };
  lines: { name: string; distance_tenth_mm: number; depth_tenth_mm: number }[];
  tin: {
    name: string; fat_tenth_g: number; protein_tenth_g: number; carbohydrate_tenth_g: number; fibre_tenth_g: number | null;
    salt_tenth_g: number; net_g: number; length_tenth_mm: number; width_tenth_mm: number; height_tenth_mm: number;
  };
  bait: {
    edge_tenth_mm: number; air_tenth_percent: number; washed: boolean; blade_tenth_mm: number; hook_baits: number;
    bag_g: number; reserve_tenth_percent: number; tins_in_hand: number;
  };
  feed: { line: number; method: "hand" | "catapult" | "pole_cup"; start_min: number; minutes: number; cubes: number; every_s: number }[];
  rigs: Rig[];
  shot_box: { name: string; mass_tenth_mg: number; density_kg_per_m3: number; count: number }[];
  prep: {
    buy_min: number; cut_min: number; wash_min: number; drain_min: number; bag_min: number; freeze_min: number;
    thaw_min: number; pack_min: number;
  };
  kit: { group: "bait" | "rigs" | "peg" | "person"; name: string; count: number }[];
  kit_counts: { id: string; count: number }[];
  note: string;
  bait_more: BaitMore;
  bank: BankChoices;
}

/** Tub test, freezing and thawing, washing, other shapes of bait. */
export interface BaitMore {
  /** `size_tenth_mm` is the size that was dropped; today's when null. */
  tub?: {
    depth_tenth_mm: number; water_tenth_c: number; drops_ms?: number[]; size_tenth_mm?: number | null;
    by_hand_ms?: number | null; pieces?: number; floated?: number; came_up?: number;
  };
  cold?: {
    bag_tenth_mm: number; start_tenth_c: number; freezer_tenth_c: number; freeze_in: Surface; thaw_tenth_c: number;
    thaw_in: Surface;
  };
  rinse?: { kept_ml: number; added_ml: number; water_tenth_c: number };
  other?: { form: "cube" | "sphere" | "cylinder" | "disc"; second_tenth_mm: number; density_kg_per_m3: number | null };
}

/** What a bag lies in. */
export type Surface = "still_air" | "fan" | "on_metal" | "still_water" | "running_water";

export interface TubTest {
  /** What the pieces are taken to be before the first drop. */
  matter: SinkRequest["matter"];
  shape: SinkRequest["shape"];
  /** 0.1 to 2. */
  tub_depth_m: number;
  tub_temperature_c: number;
  /** At most 50, on any clock that only runs forward. */
  drops: { dropped_s: number; landed_s: number }[];
  pieces?: number;
  /** Of these, pieces that came up again when pushed under. */
  light?: number;
  /** At most 12. */
  targets?: { shape: SinkRequest["shape"]; water_temperature_c: number; depths_m?: number[] }[];
}

export interface TubResult {
  drops: number;
  /** Places of drops that more likely than not fit no piece. */
  odd_drops: number[];
  /** Null where a typical piece more likely than not is lighter than the water; its high end may be Infinity. */
  tub_time_s: Band | null;
  label_tub_time_s: number | null;
  agrees_with_label: boolean;
  excess_kg_per_m3: Band;
  spread_kg_per_m3: Band;
  spread_share: number;
  /** Probability that a typical piece is lighter than the tub's water. */
  floats_share: number;
  /** The tub's depth's share of what the drops leave open of the speed there. */
  depth_share: number;
  /** A typical piece, and nine pieces in ten, at each target. */
  targets: { speed_m_per_s: Band; piece_speed_m_per_s: Band; falls: Sink["falls"]; piece_falls: Sink["falls"] }[];
}

export interface FloatRequest {
  edge_mm: number; excess_kg_per_m3: number; water_temperature_c: number; pieces: number; floated: number;
  came_up_again: number; maybe_frozen?: boolean;
}

/** What the surface carries of one size: greasy, rinsed, washed. */
export interface Hold { edge_mm: number; carries_kg_per_m3: number[]; times_its_weight: number | null; clean_enough_deg: number }

export interface Floaters {
  held_share: Band;
  light_share: Band;
  cures: ("none" | "wash_again" | "skim_off" | "thaw" | "change_tin")[];
  this_size: Hold;
  six_and_eight: Hold[];
}

export interface ChillRequest {
  label: { fat_g: number; protein_g: number; carbohydrate_g: number; salt_g: number; fibre_g?: number; ash_g?: number | null };
  thickness_mm: number; start_c: number; medium_c: number; until_c: number; surface: Surface;
}

export interface Chill {
  cooling: boolean;
  minutes: Band;
  freezing_point_c: number;
  plank_min: number | null;
  pham_min: number | null;
  course: { minute: number; core_c: number; face_c: number }[];
}

export interface WashRequest { kept_ml: number; added_ml: number; left_share?: number; water_c: number; hot_c?: number; cold_c?: number }

export interface Wash {
  rinses: number; total_l: number; left_after: number[]; hot_ml: number | null; softens_fat: boolean;
  /** For hands: up to 43 °C, up to 50 °C, and hotter. */
  heat: "safe" | "prolonged" | "scalds";
  /** At most so long until an adult's skin burns, in the water and in the hot water alone; from 68 °C on 1. */
  burns_in_s: number | null; hot_burns_in_s: number | null; caution: string;
}

/** Minutes are counted from the all-in, negative before it. */
export interface TimetableRequest {
  steps: { id: string; name: string; minutes: number; after?: string[]; waiting?: boolean; when?: "any" | "day_before" | "morning" }[];
  begin_min: number; night_from_min: number; night_to_min: number;
}

export interface Timetable {
  steps: {
    id: string; name: string; minutes: number; waiting: boolean; start_min: number; end_min: number; earliest_start_min: number;
    latest_start_min: number; in_the_morning: boolean; may_be_day_before: boolean; slowest_chain: boolean;
  }[];
  first_start_min: number; first_morning_min: number | null; slowest_chain: string[]; spare_min: number; fits: boolean;
}

/** A minute of the civil calendar, without a time zone. */
export interface CivilMinute { year: number; month: number; day: number; hour: number; minute: number }

export interface CalendarEvent {
  uid: string; start: CivilMinute; minutes: number; summary: string; description?: string; alarm_min_before?: number | null;
}

/** Choices for the live session. */
export interface BankChoices {
  /** Whether each feed is also a lifting and lowering of the rig. */
  feed_is_recast?: boolean;
  /** Usual mass of a fish, for the estimate of the weight. */
  fish_g?: number | null;
  /** Whether the clock is silent. */
  silent?: boolean;
}

/** How a rig falls, its elastic, its back shot. */
export interface RigMore {
  entry: "laid" | "lowered"; hold: "held" | "free"; below_flat_deg: number; lowered_mm_per_s: number;
  drift_mm_per_s: number; drift_depth_tenth_mm: number; above_tenth_mm: number; back_shot: boolean;
  strength_by: "spool" | "diameter"; knot_tenth_percent: number | null; elastic_um: number | null; bore_um: number | null;
  elastic_tenth_mm: number; kit_tenth_mm: number; shortened_tenth_mm: number; run_tenth_mm: number;
  glass: { shot: number; count: number }[]; glass_tenth_c: number; glass_show_tenth_mm: number; maker_tenth_mg: number | null;
}

export interface Rig {
  name: string;
  purpose: "bottom" | "shallow";
  /** Place of its pole line in `lines`. */
  line: number;
  /** From the float to the hook. */
  depth_tenth_mm: number;
  float_name: string;
  /** Lead that, hung under the float in fresh water at 15 °C, brings the water to the base of its tip. */
  load_tenth_mg: number;
  load_measured: boolean;
  tip_um: number;
  tip_length_tenth_mm: number;
  show_tenth_mm: number;
  dotted: "hanging" | "on_bottom";
  main_um: number;
  main_strength_g: number;
  hooklength_tenth_mm: number;
  hooklength_um: number;
  hooklength_strength_g: number;
  hook_size: number;
  hook_tenth_mg: number;
  pattern: "bulk_and_droppers" | "strung" | "bulk";
  bulk_from_hook_tenth_mm: number;
  /** `shot` is a place in `shot_box`. */
  droppers: { from_hook_tenth_mm: number; shot: number; count: number }[];
  most_sizes: number;
  most_shots: number;
  taste: "many_small" | "few_large";
  set: { shot: number; count: number }[];
  more: RigMore;
}

/** The least, the middle and the most. */
export interface Band { low: number; mid: number; high: number }

export interface SinkRequest {
  matter:
    | { kind: "label"; label: { fat_g: number; protein_g: number; carbohydrate_g: number; salt_g: number; fibre_g?: number; ash_g?: number | null }; air_share: number }
    | { kind: "density"; kg_per_m3: number; sd_kg_per_m3: number };
  shape: { kind: string; [size: string]: number | string };
  /** 0 to 40. */
  water_temperature_c: number;
  /** At most 40 depths of 0 to 30 m. */
  depths_m: number[];
}

export interface Sink {
  verdict: string;
  water_kg_per_m3: number;
  density_kg_per_m3: Band;
  mass_g: number;
  speed_m_per_s: Band;
  laws: { law: string; speed_m_per_s: number; reynolds: number; drag_coefficient: number }[];
  start_lag_s: number;
  /** Times are null where the piece does not sink. */
  falls: { depth_m: number; low_s: number | null; mid_s: number | null; high_s: number | null }[];
}

export interface BalanceRequest {
  float: { load_tenth_mg: number; tip_diameter_mm: number; tip_length_mm: number; own_mass_tenth_mg?: number | null };
  temperature_c: number;
  shot_box: { name: string; mass_tenth_mg: number; density_kg_per_m3: number; count: number; fixed?: number }[];
  hook?: { mass_tenth_mg: number; density_kg_per_m3: number } | null;
  bait?: { side_mm: number; density_kg_per_m3: number } | null;
  line?: { length_m: number; diameter_mm: number; density_kg_per_m3: number }[];
  resting?: { hook?: boolean; line_m?: number };
  wanted_tip_mm: number;
  wanted_state?: "bait_hanging" | "bait_on_bottom";
  max_sizes: number;
  max_shots: number;
  taste?: "many_small" | "few_large";
  close_enough_mm?: number;
}

export interface ShotSet {
  shots: { index: number; name: string; count: number }[];
  sizes: number;
  shots_total: number;
  mass_tenth_mg: number;
  remainder_ng: number;
  off_mm: number;
  tip_hanging_mm: number;
  tip_bottom_mm: number;
  hanging: "body_shows" | "on_tip" | "under";
  bottom: "body_shows" | "on_tip" | "under";
  equals: number;
}

export interface Balance {
  water_kg_per_m3: number;
  lift_ng: number;
  tip_ng_per_mm: number;
  hook_ng: number;
  bait_ng: number;
  line_ng: number;
  resting_ng: number;
  wanted_shot_ng: number;
  bait_worth_mm: number;
  left_out_mm: number;
  on_tip: boolean;
  sets: ShotSet[];
}

/** Everything that the screens show; texts in the units asked for. */
export interface Day {
  version: number;
  when: string;
  water_c: number;
  sink: Sink | null;
  /** The same by the label alone. */
  by_label: Sink | null;
  /** What the drops told; the first target is the lake. */
  tub: TubResult | null;
  falls: { name: string; depth_m: number; time_s: Band | null }[];
  alternatives: { what: string; speed_m_per_s: Band; eighteen_inches_s: number | null }[];
  amount: { tins: number; total_cubes: number; total_g: number; [more: string]: unknown } | null;
  trouble: string[];
  prep: {
    id: string; name: string; start_min: number; end_min: number; earliest_min: number; how: string; field: string | null;
    waits: boolean; morning: boolean; slowest: boolean;
  }[];
  rigs: {
    name: string; purpose: "bottom" | "shallow"; depth_m: number; balance: Balance | null; chosen: ShotSet | null;
    layout: unknown; trouble: string | null; shot_words: string; layout_words: string;
  }[];
  points: { what: string; points: number }[];
  shallow: boolean;
  order: { rig: number; name: string; reason: string }[];
  kit: { name: string; items: { id: string; name: string; count: number; derived: number | null; reason: string; own: number | null }[] }[];
  warnings: { code: string; field: string; sentence: string; rule: boolean }[];
  lines: { title: string; main: string; aside: string; reason: string }[];
}

/** A rig to drop in, SI units. Unknown fields are ignored. */
export interface FallRig {
  name?: string;
  temperature_C: number;
  /** From straight down; 90 is laid flat. Default 90. */
  launch_angle_deg?: number;
  /** When given, the rig is lowered straight at this speed instead of laid. */
  lowered_m_per_s?: number | null;
  line_density?: number;
  shot_density?: number;
  main: { length_m: number; diameter_m: number };
  hooklength: { length_m: number; diameter_m: number };
  shots?: FallShot[];
  hook: { mass_kg: number; density?: number };
  /**
   * A cube by its side; another body by the side of the cube of its volume, with its sphericity (0.5 to 1, a cube's 0.806
   * when left out) and the water it moves along over the water it displaces (a cube's 0.67 when left out). Its drag is
   * scaled to `free_m_per_s`, the speed at which it falls free in this water, where that is given.
   */
  bait: { side_m: number; density: number; sphericity?: number; added_mass?: number; free_m_per_s?: number | null };
  current?: { u0: number; decay_m: number } | null;
  float?: { mode: "fixed" } | { mode: "slide"; mass_kg: number; cda_m2: number };
  max_link_m?: number;
  t_end_s?: number;
}

export interface FallShot { from_hook_m: number; mass_kg: number; count?: number }

/** All optional; the defaults are those for showing (10 ms). For searching: step_s 0.05, link_factor 2. */
export interface FallSettings {
  step_s?: number; start_step_s?: number; start_s?: number; link_factor?: number; finest_link_share?: number;
  newton_tolerance_m?: number; newton_most?: number; sample_dt_s?: number; frame_dt_s?: number | null;
  depth_bin_m?: number; keep_energy?: boolean;
}

/** First times at which the hook has passed a share of the way; null when never, or there already. */
export interface FallTimes { "0.25": number | null; "0.5": number | null; "0.75": number | null; "0.9": number | null; "0.99": number | null }

export interface Fall {
  n_links: number;
  final_depth_m: number;
  t_fraction_of_final_depth_s: FallTimes;
  t_fraction_of_travel_s: FallTimes;
  sample_dt_s: number;
  hook_z_m: number[];
  hook_x_m: number[];
  settle_s: number | null;
  depth_bin_m: number;
  time_in_depth_s: number[];
  last_third_m_per_s: number | null;
  last_30_cm_s: number | null;
  /** Speed of the free bait, as the feed falls; with the hook in it below. */
  free_cube_m_per_s: number | null;
  free_cube_with_hook_m_per_s: number | null;
  least_tension_n: number;
  restarts: number;
  /** x, z of each node, frame after frame, when `frame_dt_s` was given. */
  frames: { dt_s: number; nodes: number; from_hook_m: number[]; xz_m: number[] } | null;
  energy_j: number[];
}

export interface FindRequest {
  rig: FallRig;
  aim: "fall_with_feed" | "get_down_fast" | "slow_last_30_cm" | "settle_soonest";
  /** 1 to 4; default 3. */
  most_groups?: number;
  /** Places in `rig.shots` that stay. */
  kept?: number[];
  on_hooklength?: boolean;
  latest_s?: number | null;
}

export interface FindFigures {
  to_bottom_s: number | null; to_two_thirds_s: number | null; last_third_of_feed: number | null; last_30_cm_s: number | null; settle_s: number | null;
}

export interface FindProgress {
  evaluated: number;
  expected: number;
  done: boolean;
  own: FindFigures | null;
  proposals: { shots: FallShot[]; groups: number; figures: FindFigures; exact: boolean; best: boolean; words: string }[];
}

/** One tap. */
export interface SessionEvent {
  /** Milliseconds since 1970. */
  at_ms: number;
  kind:
    | "fed" | "bite" | "fish" | "lost_fish" | "foul_hooked" | "cast" | "lift" | "pick_up_rig" | "pause" | "resume"
    | "phase_change" | "nudge" | "shot" | "note" | "undo" | "end";
  /** Which rig, by its name or its place in the plan; left out: the one in hand. */
  rig?: number | string | null;
  /** fed: cubes; fish: grams; nudge: seconds added; shot: below 0 tightened, above 0 spread; phase_change: place. */
  value?: number | null;
  note?: string;
}

export interface Recorded {
  /** Number of its record, or null for a double touch. */
  number: number | null;
  /** The line to append to storage. */
  line: string;
  double_touch: boolean;
  /** Sentences for the user, such as a clock that jumped. */
  told: string[];
}

export interface SessionTotals {
  fish: number; missed: number; lost: number; foul_hooked: number;
  per_hour: { fish: number; missed: number }[];
  per_rig: { fish: number; missed: number; lost: number; foul_hooked: number; casts: number; water_s: number }[];
  feeds: number; cubes_fed: number; cubes_left: number | null; weight_kg: number | null; fish_weighed: number; swaps: number;
}

export interface SessionState {
  at_ms: number;
  ended: boolean;
  /** The rig in hand, by its place in the plan. */
  rig: number;
  in_water: boolean;
  since_lowered_s: number | null;
  /** Depth of the hook bait now, as its simulated fall says. */
  hook_m: number | null;
  beat: {
    phase: number | null; interval_s: number | null; to_next_s: number | null; missed_beats: number; feed_now: boolean;
    since_last_s: number | null; paused: boolean; next_at_ms: number | null;
  };
  line: string;
  clouds: { fed_at_ms: number; front_m: number; middle_m: number; tail_m: number; landed: boolean }[];
  /** Where the fish feed: 5 %, 50 % and 95 % depths, and the chance of each cell from the surface down. */
  fish: { from_m: number; median_m: number; to_m: number; activity: number; cell_m: number; chance: number[] };
  rigs: { name: string; depth_m: number; bites_per_min: number; chance_best: number }[];
  totals: SessionTotals;
  /** What an undo would take back, or "". */
  undoes: string;
}

export interface Advice {
  kind: "stay" | "pick_up_rig" | "tighten_shot" | "spread_shot" | "feed_slower" | "feed_faster";
  /** The rig to fish with: the one to pick up, else the one in hand. */
  rig: number;
  line: string;
  reason: string;
  /** 0 to 1. */
  sure: number;
  gain_bites: number;
  evidence: { water_s: number; quiet_s: number; bites: number; last_bites: number; last_missed: number; fish_in_ten_min: number };
}

export interface Summary {
  totals: SessionTotals;
  hours: number;
  left_cubes: number | null;
  best_rig: number | null;
  seconds_between_feeds: number | null;
  notes: string[];
  lines: string[];
  learned: string[];
}
