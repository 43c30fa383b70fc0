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
export interface BaitMore {}

/** Choices for the live session. */
export interface BankChoices {}

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
  falls: { name: string; depth_m: number; time_s: Band | null }[];
  alternatives: { what: string; speed_m_per_s: Band; eighteen_inches_s: number | null }[];
  amount: { tins: number; total_cubes: number; total_g: number; [more: string]: unknown } | null;
  trouble: string[];
  prep: { id: string; name: string; start_min: number; end_min: number; how: string; field: string | null; waits: boolean }[];
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
  bait: { side_m: number; density: number };
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
