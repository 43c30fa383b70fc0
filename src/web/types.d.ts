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
export interface BankChoices {
  /** Whether each feed is also a lifting and lowering of the rig. */
  feed_is_recast?: boolean;
  /** Usual mass of a fish, for the estimate of the weight. */
  fish_g?: number | null;
  /** Whether the clock is silent. */
  silent?: boolean;
}

/** How a rig falls, its elastic, its back shot. */
export interface RigMore {}

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
