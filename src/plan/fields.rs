//! The one table of a plan's fields: the path of each, its name, unit, least, most and step where it is a number, and
//! where it lies in the plan. A number from outside goes into no formula before it was held against its row; the stepper
//! buttons and the sentences of a refusal come from the same row.
//!
//! The ranges are no physics: they are what a plan may say, wide enough for any lake, narrow enough that no formula
//! leaves its range.

use super::Plan;
pub use super::bounds::{Bounds, out_of_range};
use super::choices::Choice;
use super::sections::Rig;
use crate::refusal::Refusal;
use crate::units::Quantity;

/// Places in lists, from the outside in.
pub(crate) type At = [usize; 2];

/// A field: a row of the table.
pub struct Field {
    /// Path in the plan; `*` stands for a place in a list.
    pub path: &'static str,
    /// What a number may be; nothing for what is no number.
    pub bounds: Option<Bounds>,
    open: Open,
}

/// How a field of each kind is reached.
enum Open {
    Number(fn(&mut Plan, At) -> Option<&mut i32>),
    Maybe(fn(&mut Plan, At) -> Option<&mut Option<i32>>),
    Text(fn(&mut Plan, At) -> Option<&mut String>),
    Flag(fn(&mut Plan, At) -> Option<&mut bool>),
    Choice(fn(&mut Plan, At) -> Option<&mut dyn Choice>),
    Place(fn(&Plan) -> usize, fn(&mut Plan, At) -> Option<&mut i32>),
}

macro_rules! fields {
    ($($how:ident $path:literal $(, $name:literal, $kind:ident, $least:literal, $most:literal, $step:literal)?
        $(in $list:ident)? => |$p:ident $(, $i:ident $(, $j:ident)?)?| $place:expr;)*) => {
        &[$(Field {
            path: $path,
            bounds: fields!(@bounds $($name, $kind, $least, $most, $step)?),
            open: fields!(@$how $($list)? |$p, fields!(@at $($i $($j)?)?)| $place),
        }),*]
    };
    (@bounds) => { None };
    (@bounds $name:literal, $kind:ident, $least:literal, $most:literal, $step:literal) => {
        Some(Bounds { name: $name, kind: Quantity::$kind, least: $least, most: $most, step: $step })
    };
    (@at) => { _ };
    (@at $i:ident) => { [$i, _] };
    (@at $i:ident $j:ident) => { [$i, $j] };
    (@number |$p:ident, $at:pat_param| $place:expr) => { Open::Number(|$p, $at| Some(&mut $place)) };
    (@maybe |$p:ident, $at:pat_param| $place:expr) => { Open::Maybe(|$p, $at| Some(&mut $place)) };
    (@text |$p:ident, $at:pat_param| $place:expr) => { Open::Text(|$p, $at| Some(&mut $place)) };
    (@flag |$p:ident, $at:pat_param| $place:expr) => { Open::Flag(|$p, $at| Some(&mut $place)) };
    (@choice |$p:ident, $at:pat_param| $place:expr) => { Open::Choice(|$p, $at| Some(&mut $place)) };
    (@place $list:ident |$p:ident, $at:pat_param| $place:expr) => {
        Open::Place(|plan| plan.$list.len(), |$p, $at| Some(&mut $place))
    };
}

fn rig(plan: &mut Plan, i: usize) -> Option<&mut Rig> {
    plan.rigs.get_mut(i)
}

/// The table, in the order of the screens.
#[rustfmt::skip]
pub const FIELDS: &[Field] = fields! {
    text "name" => |p| p.name;
    text "note" => |p| p.note;
    number "day.date", "Date", Date, 18262, 47481, 1 => |p| p.day.date.0;
    number "day.draw", "Draw", Clock, 0, 1439, 15 => |p| p.day.draw_min;
    number "day.all_in", "All-in", Clock, 0, 1439, 15 => |p| p.day.all_in_min;
    number "day.all_out", "All-out", Clock, 0, 1439, 15 => |p| p.day.all_out_min;
    number "day.travel", "Travel", Minutes, 0, 720, 5 => |p| p.day.travel_min;
    number "day.setup", "Set-up", Minutes, 0, 360, 5 => |p| p.day.setup_min;
    text "water.venue" => |p| p.water.venue;
    text "water.peg" => |p| p.water.peg;
    number "water.depth", "Depth", Reach, 2_000, 120_000, 254 => |p| p.water.depth_tenth_mm;
    number "water.surface", "Surface", Temperature, 0, 350, 5 => |p| p.water.surface_tenth_c;
    maybe "water.bottom", "Bottom", Temperature, 0, 350, 5 => |p| p.water.bottom_tenth_c;
    number "water.drift", "Drift on top, mm a second", Count, 0, 300, 5 => |p| p.water.drift_mm_per_s;
    number "water.undertow", "Undertow, mm a second", Count, -100, 100, 5 => |p| p.water.undertow_mm_per_s;
    number "weather.pressure", "Pressure", Pressure, 930, 1070, 1 => |p| p.weather.pressure_hpa;
    choice "weather.sky" => |p| p.weather.sky;
    choice "weather.wind" => |p| p.weather.wind;
    choice "weather.start" => |p| p.weather.start;
    choice "weather.trend" => |p| p.weather.trend;
    maybe "rules.tins", "Tins allowed", Count, 1, 50, 1 => |p| p.rules.tins;
    maybe "rules.hook", "Largest hook size", Count, 6, 26, 2 => |p| p.rules.hook;
    flag "rules.barbless" => |p| p.rules.barbless;
    choice "rules.lead" => |p| p.rules.lead;
    maybe "rules.hooklength", "Least hooklength", Depth, 200, 10_000, 127 => |p| p.rules.hooklength_tenth_mm;
    maybe "rules.net", "Limit of a keepnet", Grams, 1_000, 100_000, 500 => |p| p.rules.net_g;
    maybe "rules.nets", "Keepnets allowed", Count, 1, 10, 1 => |p| p.rules.nets;
    text "lines.*.name" => |p, i| p.lines.get_mut(i)?.name;
    number "lines.*.distance", "Distance", Reach, 5_000, 200_000, 5_000 => |p, i| p.lines.get_mut(i)?.distance_tenth_mm;
    number "lines.*.depth", "Depth", Reach, 2_000, 120_000, 254 => |p, i| p.lines.get_mut(i)?.depth_tenth_mm;
    text "tin.name" => |p| p.tin.name;
    number "tin.fat", "Fat", PerHundred, 0, 1000, 1 => |p| p.tin.fat_tenth_g;
    number "tin.protein", "Protein", PerHundred, 0, 1000, 1 => |p| p.tin.protein_tenth_g;
    number "tin.carbohydrate", "Carbohydrate", PerHundred, 0, 1000, 1 => |p| p.tin.carbohydrate_tenth_g;
    maybe "tin.fibre", "Fibre", PerHundred, 0, 1000, 1 => |p| p.tin.fibre_tenth_g;
    number "tin.salt", "Salt", PerHundred, 0, 150, 1 => |p| p.tin.salt_tenth_g;
    maybe "tin.energy", "Energy, kcal in 100 g", Count, 0, 900, 5 => |p| p.tin.energy_kcal;
    number "tin.net", "Net mass", Grams, 50, 5_000, 10 => |p| p.tin.net_g;
    number "tin.length", "Block length", Size, 200, 3_000, 10 => |p| p.tin.length_tenth_mm;
    number "tin.width", "Block width", Size, 200, 3_000, 10 => |p| p.tin.width_tenth_mm;
    number "tin.height", "Block height", Size, 200, 3_000, 10 => |p| p.tin.height_tenth_mm;
    number "tin.corner", "Rounded corners, radius", Size, 0, 500, 10 => |p| p.tin.corner_tenth_mm;
    maybe "tin.size_off", "Measured to within", Size, 1, 50, 1 => |p| p.tin.size_off_tenth_mm;
    number "bait.edge", "Cube for the feed", Size, 30, 200, 5 => |p| p.bait.edge_tenth_mm;
    maybe "bait.hook_edge", "Cube on the hook", Size, 30, 200, 5 => |p| p.bait.hook_edge_tenth_mm;
    number "bait.air", "Air share", Percent, 0, 100, 1 => |p| p.bait.air_tenth_percent;
    number "bait.blade", "Blade width", Size, 0, 50, 1 => |p| p.bait.blade_tenth_mm;
    number "bait.hook_baits", "Hook baits", Count, 0, 2_000, 10 => |p| p.bait.hook_baits;
    number "bait.bag", "Bag weight", Grams, 50, 2_000, 50 => |p| p.bait.bag_g;
    number "bait.reserve", "Reserve", Percent, 0, 1000, 50 => |p| p.bait.reserve_tenth_percent;
    number "bait.tins", "Tins in hand", Count, 0, 50, 1 => |p| p.bait.tins_in_hand;
    flag "bait.washed" => |p| p.bait.washed;
    number "feed.*.start", "From", Minutes, 0, 720, 5 => |p, i| p.feed.get_mut(i)?.start_min;
    number "feed.*.minutes", "For", Minutes, 1, 720, 5 => |p, i| p.feed.get_mut(i)?.minutes;
    number "feed.*.cubes", "Cubes a feed", Count, 1, 500, 1 => |p, i| p.feed.get_mut(i)?.cubes;
    number "feed.*.every", "Every", Seconds, 5, 3_600, 1 => |p, i| p.feed.get_mut(i)?.every_s;
    place "feed.*.line" in lines => |p, i| p.feed.get_mut(i)?.line;
    choice "feed.*.method" => |p, i| p.feed.get_mut(i)?.method;
    text "rigs.*.name" => |p, i| rig(p, i)?.name;
    text "rigs.*.float_name" => |p, i| rig(p, i)?.float_name;
    number "rigs.*.depth", "Depth", Depth, 1_000, 120_000, 127 => |p, i| rig(p, i)?.depth_tenth_mm;
    number "rigs.*.load", "Load", ShotMass, 300, 60_000, 100 => |p, i| rig(p, i)?.load_tenth_mg;
    number "rigs.*.tip", "Bristle diameter", Diameter, 300, 4_000, 50 => |p, i| rig(p, i)?.tip_um;
    number "rigs.*.tip_length", "Bristle length", Size, 20, 600, 5 => |p, i| rig(p, i)?.tip_length_tenth_mm;
    number "rigs.*.show", "Bristle showing", Size, 0, 300, 5 => |p, i| rig(p, i)?.show_tenth_mm;
    number "rigs.*.main", "Main line", Diameter, 40, 500, 10 => |p, i| rig(p, i)?.main_um;
    number "rigs.*.main_strength", "Main line strength", Grams, 100, 15_000, 50 => |p, i| rig(p, i)?.main_strength_g;
    number "rigs.*.hooklength", "Hooklength", Depth, 200, 10_000, 127 => |p, i| rig(p, i)?.hooklength_tenth_mm;
    number "rigs.*.hooklength_line", "Hooklength line", Diameter, 40, 500, 10 => |p, i| rig(p, i)?.hooklength_um;
    number "rigs.*.hooklength_strength", "Hooklength strength", Grams, 100, 15_000, 50 => |p, i| rig(p, i)?.hooklength_strength_g;
    number "rigs.*.hook_size", "Hook size", Count, 6, 26, 2 => |p, i| rig(p, i)?.hook_size;
    number "rigs.*.hook_mass", "Hook’s mass", ShotMass, 10, 5_000, 10 => |p, i| rig(p, i)?.hook_tenth_mg;
    number "rigs.*.bulk_from_hook", "Bulk, from the hook", Depth, 0, 120_000, 127 => |p, i| rig(p, i)?.bulk_from_hook_tenth_mm;
    number "rigs.*.most_sizes", "Max sizes", Count, 1, 4, 1 => |p, i| rig(p, i)?.most_sizes;
    number "rigs.*.most_shots", "Max shot", Count, 1, 60, 1 => |p, i| rig(p, i)?.most_shots;
    number "rigs.*.droppers.*.from_hook", "From the hook", Depth, 0, 120_000, 127 => |p, i, j| rig(p, i)?.droppers.get_mut(j)?.from_hook_tenth_mm;
    number "rigs.*.droppers.*.count", "How many", Count, 1, 10, 1 => |p, i, j| rig(p, i)?.droppers.get_mut(j)?.count;
    number "rigs.*.more.below_flat", "Laid below flat, degrees", Count, 0, 90, 5 => |p, i| rig(p, i)?.more.below_flat_deg;
    number "rigs.*.more.lowered", "Lowered, mm a second", Count, 5, 500, 5 => |p, i| rig(p, i)?.more.lowered_mm_per_s;
    number "rigs.*.more.drift", "Surface drift, mm a second", Count, -300, 300, 10 => |p, i| rig(p, i)?.more.drift_mm_per_s;
    number "rigs.*.more.drift_depth", "Drift reaches down", Depth, 500, 50_000, 254 => |p, i| rig(p, i)?.more.drift_depth_tenth_mm;
    number "rigs.*.more.above", "Lash, pole tip to float", Depth, 500, 100_000, 254 => |p, i| rig(p, i)?.more.above_tenth_mm;
    maybe "rigs.*.more.knot", "Left at a knot", Percent, 200, 1000, 10 => |p, i| rig(p, i)?.more.knot_tenth_percent;
    maybe "rigs.*.more.elastic", "Elastic, diameter", Diameter, 500, 6_000, 50 => |p, i| rig(p, i)?.more.elastic_um;
    maybe "rigs.*.more.elastic_number", "Elastic, number", Count, 1, 30, 1 => |p, i| rig(p, i)?.more.elastic_number;
    maybe "rigs.*.more.bore", "Bore, where hollow", Diameter, 100, 5_500, 50 => |p, i| rig(p, i)?.more.bore_um;
    number "rigs.*.more.elastic_length", "Elastic, relaxed", Reach, 2_000, 100_000, 254 => |p, i| rig(p, i)?.more.elastic_tenth_mm;
    number "rigs.*.more.kit", "Kit it fills", Reach, 2_000, 100_000, 254 => |p, i| rig(p, i)?.more.kit_tenth_mm;
    number "rigs.*.more.shortened", "Elastic at bung", Depth, 0, 99_000, 254 => |p, i| rig(p, i)?.more.shortened_tenth_mm;
    number "rigs.*.more.run", "A fish pulls out", Reach, 0, 300_000, 3_048 => |p, i| rig(p, i)?.more.run_tenth_mm;
    number "rigs.*.more.glass_water", "Water in the glass", Temperature, 0, 350, 5 => |p, i| rig(p, i)?.more.glass_tenth_c;
    number "rigs.*.more.glass_show", "Bristle left showing", Size, 0, 600, 1 => |p, i| rig(p, i)?.more.glass_show_tenth_mm;
    maybe "rigs.*.more.maker", "Maker’s load", ShotMass, 300, 60_000, 100 => |p, i| rig(p, i)?.more.maker_tenth_mg;
    number "rigs.*.more.glass.*.count", "How many", Count, 1, 100, 1 => |p, i, j| rig(p, i)?.more.glass.get_mut(j)?.count;
    choice "rigs.*.purpose" => |p, i| rig(p, i)?.purpose;
    place "rigs.*.line" in lines => |p, i| rig(p, i)?.line;
    flag "rigs.*.load_measured" => |p, i| rig(p, i)?.load_measured;
    choice "rigs.*.dotted" => |p, i| rig(p, i)?.dotted;
    choice "rigs.*.pattern" => |p, i| rig(p, i)?.pattern;
    choice "rigs.*.taste" => |p, i| rig(p, i)?.taste;
    place "rigs.*.droppers.*.shot" in shot_box => |p, i, j| rig(p, i)?.droppers.get_mut(j)?.shot;
    choice "rigs.*.more.entry" => |p, i| rig(p, i)?.more.entry;
    choice "rigs.*.more.hold" => |p, i| rig(p, i)?.more.hold;
    flag "rigs.*.more.back_shot" => |p, i| rig(p, i)?.more.back_shot;
    choice "rigs.*.more.tip_of" => |p, i| rig(p, i)?.more.tip_of;
    choice "rigs.*.more.strength_by" => |p, i| rig(p, i)?.more.strength_by;
    place "rigs.*.more.glass.*.shot" in shot_box => |p, i, j| rig(p, i)?.more.glass.get_mut(j)?.shot;
    text "shot_box.*.name" => |p, i| p.shot_box.get_mut(i)?.name;
    number "shot_box.*.mass", "Mass of one", ShotMass, 10, 50_000, 1 => |p, i| p.shot_box.get_mut(i)?.mass_tenth_mg;
    number "shot_box.*.density", "Density", Density, 1_500, 19_500, 10 => |p, i| p.shot_box.get_mut(i)?.density_kg_per_m3;
    number "shot_box.*.count", "In the box", Count, 0, 500, 1 => |p, i| p.shot_box.get_mut(i)?.count;
    flag "shot_box.*.weighed" => |p, i| p.shot_box.get_mut(i)?.weighed;
    number "prep.buy", "Buy", Minutes, 0, 720, 5 => |p| p.prep.buy_min;
    number "prep.cut", "Cut one tin", Minutes, 0, 120, 1 => |p| p.prep.cut_min;
    number "prep.wash", "Wash", Minutes, 0, 240, 5 => |p| p.prep.wash_min;
    number "prep.drain", "Drain", Minutes, 0, 720, 5 => |p| p.prep.drain_min;
    number "prep.bag", "Bag", Minutes, 0, 240, 5 => |p| p.prep.bag_min;
    number "prep.freeze", "Freeze", Minutes, 0, 2_880, 15 => |p| p.prep.freeze_min;
    number "prep.thaw", "Thaw", Minutes, 0, 2_880, 15 => |p| p.prep.thaw_min;
    number "prep.pack", "Pack", Minutes, 0, 480, 5 => |p| p.prep.pack_min;
    number "tub.depth", "Depth of the bucket", Depth, 1_000, 20_000, 127 => |p| p.bait_more.tub.depth_tenth_mm;
    number "tub.depth_off", "It may be off by", Size, 0, 500, 10 => |p| p.bait_more.tub.depth_off_tenth_mm;
    number "tub.water", "Water in it", Temperature, 0, 400, 5 => |p| p.bait_more.tub.water_tenth_c;
    maybe "tub.size", "Size dropped", Size, 30, 200, 5 => |p| p.bait_more.tub.size_tenth_mm;
    maybe "tub.by_hand", "A drop timed elsewhere", Milliseconds, 300, 120_000, 100 => |p| p.bait_more.tub.by_hand_ms;
    maybe "tub.before_density", "Earlier density", Density, 500, 3_000, 1 => |p| p.bait_more.tub.before_density_kg_per_m3;
    maybe "tub.before_spread", "Earlier spread", Density, 0, 1_000, 1 => |p| p.bait_more.tub.before_spread_kg_per_m3;
    maybe "tub.before_drops", "Earlier drops", Count, 1, 10_000, 1 => |p| p.bait_more.tub.before_drops;
    number "tub.pieces", "Looked at", Count, 0, 10_000, 1 => |p| p.bait_more.tub.pieces;
    number "tub.floated", "Floated on landing", Count, 0, 10_000, 1 => |p| p.bait_more.tub.floated;
    number "tub.came_up", "Came up again", Count, 0, 10_000, 1 => |p| p.bait_more.tub.came_up;
    number "cold.bag", "Bag, laid flat", Size, 50, 1_200, 10 => |p| p.bait_more.cold.bag_tenth_mm;
    number "cold.start", "Bait going in", Temperature, 0, 400, 10 => |p| p.bait_more.cold.start_tenth_c;
    number "cold.freezer", "Freezer", Temperature, -400, -50, 10 => |p| p.bait_more.cold.freezer_tenth_c;
    number "cold.thaw", "Thawing at", Temperature, 10, 400, 10 => |p| p.bait_more.cold.thaw_tenth_c;
    choice "cold.freeze_in" => |p| p.bait_more.cold.freeze_in;
    choice "cold.thaw_in" => |p| p.bait_more.cold.thaw_in;
    number "rinse.kept", "Stays in the sieve", Millilitres, 1, 20_000, 50 => |p| p.bait_more.rinse.kept_ml;
    number "rinse.added", "Fresh water each time", Millilitres, 10, 50_000, 100 => |p| p.bait_more.rinse.added_ml;
    number "rinse.water", "Washing water", Temperature, 0, 900, 10 => |p| p.bait_more.rinse.water_tenth_c;
    number "other.second", "Length or thickness", Size, 6, 600, 5 => |p| p.bait_more.other.second_tenth_mm;
    maybe "other.density", "Density", Density, 500, 3_000, 5 => |p| p.bait_more.other.density_kg_per_m3;
    choice "other.form" => |p| p.bait_more.other.form;
    text "kit_counts.*.id" => |p, i| p.kit_counts.get_mut(i)?.id;
    number "kit_counts.*.count", "How many", Count, 0, 500, 1 => |p, i| p.kit_counts.get_mut(i)?.count;
    text "kit.*.name" => |p, i| p.kit.get_mut(i)?.name;
    number "kit.*.count", "How many", Count, 0, 500, 1 => |p, i| p.kit.get_mut(i)?.count;
    choice "kit.*.group" => |p, i| p.kit.get_mut(i)?.group;
    maybe "bank.fish", "A usual fish", Grams, 20, 20_000, 50 => |p| p.bank.fish_g;
    flag "bank.recast" => |p| p.bank.feed_is_recast;
    flag "bank.silent" => |p| p.bank.silent;
};

const fn beside(
    path: &'static str,
    name: &'static str,
    kind: Quantity,
    [least, most, step]: [i32; 3],
) -> (&'static str, Bounds) {
    (path, Bounds { name, kind, least, most, step })
}

/// Numbers that belong to no plan: a weighing of shot, and what only the book holds of a day or a test.
pub const BESIDE: &[(&str, Bounds)] = &[
    beside("weigh.count", "Shot on the scale", Quantity::Count, [1, 200, 1]),
    beside("weigh.shown", "The scale shows", Quantity::ShotMass, [1, 5_000_000, 100]),
    beside("weigh.step", "Step of the scale", Quantity::ShotMass, [1, 1_000, 10]),
    beside("result.weight", "Weight at the scales", Quantity::Grams, [0, 1_000_000, 100]),
    beside("result.fish", "Fish", Quantity::Count, [0, 20_000, 1]),
    beside("result.place", "Place", Quantity::Count, [1, 2_000, 1]),
    beside("result.of", "Of how many", Quantity::Count, [1, 2_000, 1]),
    beside("tests.density", "Density", Quantity::Density, [500, 3_000, 1]),
    beside("tests.spread", "Spread", Quantity::Density, [0, 1_000, 1]),
    beside("tests.drops", "Drops", Quantity::Count, [1, 10_000, 1]),
];

/// A list of the plan: its path, the least and the most entries, and how many there are.
pub type List = (&'static str, usize, usize, fn(&Plan, At) -> Option<usize>);

/// The lists.
pub const LISTS: &[List] = &[
    ("lines", 1, 6, |plan, _| Some(plan.lines.len())),
    ("feed", 1, 12, |plan, _| Some(plan.feed.len())),
    ("rigs", 1, 8, |plan, _| Some(plan.rigs.len())),
    ("rigs.*.droppers", 0, 16, |plan, [i, _]| Some(plan.rigs.get(i)?.droppers.len())),
    ("rigs.*.more.glass", 0, 12, |plan, [i, _]| Some(plan.rigs.get(i)?.more.glass.len())),
    ("shot_box", 1, 24, |plan, _| Some(plan.shot_box.len())),
    ("kit", 0, 60, |plan, _| Some(plan.kit.len())),
    ("kit_counts", 0, 60, |plan, _| Some(plan.kit_counts.len())),
];

/// A drop that has not landed by then counts as one that never does, ms.
pub const NEVER_MS: i32 = 120_000;

/// The most drops of a tub test.
pub const MAX_DROPS: usize = 50;

/// The most characters of any text in the plan.
pub const MAX_CHARS: usize = 40;

/// What the number at a path such as `rigs.2.depth` may be.
#[must_use]
pub fn bounds_of(path: &str) -> Option<&'static Bounds> {
    match FIELDS.iter().find(|field| places(field.path, path).is_some()) {
        Some(field) => field.bounds.as_ref(),
        None => BESIDE.iter().find(|(known, _)| *known == path).map(|(_, bounds)| bounds),
    }
}

/// The least and most entries of the list at `path`.
#[must_use]
pub fn list_of(path: &str) -> Option<(usize, usize)> {
    LISTS.iter().find(|list| places(list.0, path).is_some()).map(|&(_, least, most, _)| (least, most))
}

/// The places in a path that fits a pattern, where `*` stands for a whole number.
fn places(pattern: &str, path: &str) -> Option<At> {
    let (mut at, mut stars) = (At::default(), 0);
    let (mut wanted, mut parts) = (pattern.split('.'), path.split('.'));
    loop {
        match (wanted.next(), parts.next()) {
            (None, None) => return Some(at),
            (Some("*"), Some(n)) if n.len() < 4 && n.bytes().all(|c| c.is_ascii_digit()) => {
                *at.get_mut(stars)? = n.parse().ok()?;
                stars += 1;
            }
            (Some(x), Some(y)) if x == y => {}
            _ => return None,
        }
    }
}

/// No field has this path.
#[must_use]
pub fn no_such_field(path: &str) -> Refusal {
    let sentence = format!("There is no field called “{path}” in a plan.");
    Refusal::new("no_such_field", path.to_owned(), sentence)
}

/// A field of a plan, opened for change.
pub enum FieldMut<'a> {
    /// A number.
    Number(&'a mut i32),
    /// A number that may be left out.
    Maybe(&'a mut Option<i32>),
    /// A text.
    Text(&'a mut String),
    /// Yes or no.
    Flag(&'a mut bool),
    /// One of a few.
    Choice(&'a mut dyn Choice),
    /// The place of an entry in another list, and how many entries that list has.
    Place(&'a mut i32, usize),
}

impl Field {
    /// The field at these places, opened for change.
    pub(crate) fn open<'a>(&self, plan: &'a mut Plan, at: At) -> Option<FieldMut<'a>> {
        Some(match self.open {
            Open::Number(reach) => FieldMut::Number(reach(plan, at)?),
            Open::Maybe(reach) => FieldMut::Maybe(reach(plan, at)?),
            Open::Text(reach) => FieldMut::Text(reach(plan, at)?),
            Open::Flag(reach) => FieldMut::Flag(reach(plan, at)?),
            Open::Choice(reach) => FieldMut::Choice(reach(plan, at)?),
            Open::Place(length, reach) => {
                let length = length(plan);
                FieldMut::Place(reach(plan, at)?, length)
            }
        })
    }
}

impl Plan {
    /// The field at `path`, if there is one.
    pub fn field(&mut self, path: &str) -> Option<FieldMut<'_>> {
        let (field, at) = FIELDS.iter().find_map(|field| Some((field, places(field.path, path)?)))?;
        field.open(self, at)
    }

    /// How many entries the list at `path` has, if there is such a list.
    #[must_use]
    pub fn length(&self, path: &str) -> Option<usize> {
        let (length, at) = LISTS.iter().find_map(|list| Some((list.3, places(list.0, path)?)))?;
        length(self, at)
    }

    /// Every path that fits `pattern` in this plan, its places filled in.
    #[must_use]
    pub fn paths(&self, pattern: &str) -> Vec<String> {
        self.places(pattern).into_iter().map(|at| path_of(pattern, at)).collect()
    }

    /// The places of everything that fits `pattern` in this plan.
    pub(crate) fn places(&self, pattern: &str) -> Vec<At> {
        let mut found = vec![At::default()];
        for (star, (end, _)) in pattern.match_indices(".*").enumerate() {
            let list = LISTS.iter().find(|list| pattern.get(..end) == Some(list.0));
            let lengths = found.iter().map(|&at| (at, list.and_then(|list| list.3(self, at)).unwrap_or(0)));
            found =
                lengths.flat_map(|(at, length)| (0..length).map(move |i| at_place(at, star, i))).collect();
        }
        found
    }
}

/// The path of what fits `pattern` at these places.
pub(super) fn path_of(pattern: &str, at: At) -> String {
    let mut places = at.iter();
    let part = |part: &str| match part {
        "*" => places.next().map_or_else(String::new, ToString::to_string),
        _ => part.to_owned(),
    };
    pattern.split('.').map(part).collect::<Vec<_>>().join(".")
}

/// The same places with another one at `star`.
fn at_place(mut at: At, star: usize, place: usize) -> At {
    if let Some(here) = at.get_mut(star) {
        *here = place;
    }
    at
}
