//! One table of limits: for every number a user can enter its path in the plan, its name, its kind, the least and
//! the most that is taken, and the step of its buttons.
//!
//! Read by the parser, the errors, the page's inputs and the test generators, so that they cannot disagree. The
//! limits are of sense, not of law: wide enough for any lake, narrow enough that no formula leaves its range.

use crate::refusal::Refusal;
use crate::units::{LengthUnits, Quantity, Units, parse};

/// One row of the table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limit {
    /// Path in the plan; `*` stands for a place in a list.
    pub path: &'static str,
    /// What the number is called on the page.
    pub name: &'static str,
    /// Its unit and form.
    pub kind: Quantity,
    /// The least that is taken, in the kind's whole unit.
    pub least: i32,
    /// The most that is taken.
    pub most: i32,
    /// The step of the plus and minus buttons.
    pub step: i32,
}

const fn row(
    path: &'static str,
    name: &'static str,
    kind: Quantity,
    least: i32,
    most: i32,
    step: i32,
) -> Limit {
    Limit { path, name, kind, least, most, step }
}

/// The table.
pub const LIMITS: &[Limit] = &[
    row("day.date", "Date", Quantity::Date, 18262, 47481, 1),
    row("day.draw", "Draw", Quantity::Clock, 0, 1439, 15),
    row("day.all_in", "All-in", Quantity::Clock, 0, 1439, 15),
    row("day.all_out", "All-out", Quantity::Clock, 0, 1439, 15),
    row("day.travel", "Travel", Quantity::Minutes, 0, 720, 5),
    row("day.setup", "Set-up", Quantity::Minutes, 0, 360, 5),
    row("water.depth", "Depth", Quantity::Reach, 2_000, 120_000, 254),
    row("water.surface", "Water, surface", Quantity::Temperature, 0, 350, 5),
    row("water.bottom", "Water, bottom", Quantity::Temperature, 0, 350, 5),
    row("weather.pressure", "Pressure", Quantity::Pressure, 930, 1070, 1),
    row("rules.tins", "Tins allowed", Quantity::Count, 1, 50, 1),
    row("rules.hook", "Largest hook size", Quantity::Count, 6, 26, 2),
    row("lines.*.distance", "Distance", Quantity::Reach, 5_000, 200_000, 5_000),
    row("lines.*.depth", "Depth", Quantity::Reach, 2_000, 120_000, 254),
    row("tin.fat", "Fat", Quantity::PerHundred, 0, 1000, 1),
    row("tin.protein", "Protein", Quantity::PerHundred, 0, 1000, 1),
    row("tin.carbohydrate", "Carbohydrate", Quantity::PerHundred, 0, 1000, 1),
    row("tin.fibre", "Fibre", Quantity::PerHundred, 0, 1000, 1),
    row("tin.salt", "Salt", Quantity::PerHundred, 0, 150, 1),
    row("tin.net", "Net mass", Quantity::Grams, 50, 5_000, 10),
    row("tin.length", "Block length", Quantity::Size, 200, 3_000, 10),
    row("tin.width", "Block width", Quantity::Size, 200, 3_000, 10),
    row("tin.height", "Block height", Quantity::Size, 200, 3_000, 10),
    row("bait.edge", "Cube", Quantity::Size, 30, 200, 5),
    row("bait.air", "Air share", Quantity::Percent, 0, 100, 1),
    row("bait.blade", "Cutter takes", Quantity::Size, 0, 50, 1),
    row("bait.hook_baits", "Hook baits", Quantity::Count, 0, 2_000, 10),
    row("bait.bag", "In one bag", Quantity::Grams, 50, 2_000, 50),
    row("bait.reserve", "Reserve", Quantity::Percent, 0, 1000, 50),
    row("bait.tins", "Tins in hand", Quantity::Count, 0, 50, 1),
    row("feed.*.start", "Starts after", Quantity::Minutes, 0, 720, 5),
    row("feed.*.minutes", "Lasts", Quantity::Minutes, 1, 720, 5),
    row("feed.*.cubes", "Cubes a feed", Quantity::Count, 1, 500, 1),
    row("feed.*.every", "Every", Quantity::Seconds, 5, 3_600, 1),
    row("rigs.*.depth", "Depth", Quantity::Depth, 1_000, 120_000, 127),
    row("rigs.*.load", "Float’s load", Quantity::ShotMass, 300, 60_000, 100),
    row("rigs.*.tip", "Tip diameter", Quantity::Diameter, 300, 4_000, 50),
    row("rigs.*.tip_length", "Tip length", Quantity::Size, 20, 600, 5),
    row("rigs.*.show", "Tip to show", Quantity::Size, 0, 300, 5),
    row("rigs.*.main", "Main line", Quantity::Diameter, 40, 500, 10),
    row("rigs.*.main_strength", "Main line strength", Quantity::Grams, 100, 15_000, 50),
    row("rigs.*.hooklength", "Hooklength", Quantity::Depth, 200, 10_000, 127),
    row("rigs.*.hooklength_line", "Hooklength line", Quantity::Diameter, 40, 500, 10),
    row("rigs.*.hooklength_strength", "Hooklength strength", Quantity::Grams, 100, 15_000, 50),
    row("rigs.*.hook_size", "Hook size", Quantity::Count, 6, 26, 2),
    row("rigs.*.hook_mass", "Hook’s mass", Quantity::ShotMass, 10, 5_000, 10),
    row("rigs.*.bulk_from_hook", "Bulk, from the hook", Quantity::Depth, 0, 120_000, 127),
    row("rigs.*.most_sizes", "At most, sizes", Quantity::Count, 1, 4, 1),
    row("rigs.*.most_shots", "At most, shot", Quantity::Count, 1, 60, 1),
    row("rigs.*.droppers.*.from_hook", "From the hook", Quantity::Depth, 0, 120_000, 127),
    row("rigs.*.droppers.*.count", "How many", Quantity::Count, 1, 10, 1),
    row("rigs.*.more.below_flat", "Laid below flat, degrees", Quantity::Count, 0, 90, 5),
    row("rigs.*.more.lowered", "Lowered, mm a second", Quantity::Count, 5, 500, 5),
    row("rigs.*.more.drift", "Surface drift, mm a second", Quantity::Count, -300, 300, 10),
    row("rigs.*.more.drift_depth", "Drift reaches down", Quantity::Depth, 500, 50_000, 254),
    row("rigs.*.more.above", "Line, tip to float", Quantity::Depth, 500, 100_000, 254),
    row("rigs.*.more.knot", "Left at a knot", Quantity::Percent, 200, 1000, 10),
    row("rigs.*.more.elastic", "Elastic, diameter", Quantity::Diameter, 500, 6_000, 50),
    row("rigs.*.more.bore", "Bore, where hollow", Quantity::Diameter, 100, 5_500, 50),
    row("rigs.*.more.elastic_length", "Elastic, relaxed", Quantity::Reach, 2_000, 100_000, 254),
    row("rigs.*.more.kit", "Kit it fills", Quantity::Reach, 2_000, 100_000, 254),
    row("rigs.*.more.shortened", "Taken up by the bead", Quantity::Depth, 0, 99_000, 254),
    row("rigs.*.more.run", "A fish pulls out", Quantity::Reach, 0, 300_000, 3_048),
    row("rigs.*.more.glass_water", "Water in the glass", Quantity::Temperature, 0, 350, 5),
    row("rigs.*.more.glass_show", "Tip left showing", Quantity::Size, 0, 600, 1),
    row("rigs.*.more.maker", "Maker’s load", Quantity::ShotMass, 300, 60_000, 100),
    row("rigs.*.more.glass.*.count", "How many", Quantity::Count, 1, 100, 1),
    row("shot_box.*.mass", "Mass of one", Quantity::ShotMass, 10, 50_000, 1),
    row("shot_box.*.density", "Density", Quantity::Density, 1_500, 19_500, 10),
    row("shot_box.*.count", "In the box", Quantity::Count, 0, 500, 1),
    row("prep.buy", "Buy", Quantity::Minutes, 0, 720, 5),
    row("prep.cut", "Cut one tin", Quantity::Minutes, 0, 120, 1),
    row("prep.wash", "Wash", Quantity::Minutes, 0, 240, 5),
    row("prep.drain", "Drain", Quantity::Minutes, 0, 720, 5),
    row("prep.bag", "Bag", Quantity::Minutes, 0, 240, 5),
    row("prep.freeze", "Freeze", Quantity::Minutes, 0, 2_880, 15),
    row("prep.thaw", "Thaw", Quantity::Minutes, 0, 2_880, 15),
    row("prep.pack", "Pack", Quantity::Minutes, 0, 480, 5),
    row("tub.depth", "Depth of the bucket", Quantity::Depth, 1_000, 20_000, 127),
    row("tub.water", "Water in it", Quantity::Temperature, 0, 400, 5),
    row("tub.size", "Size dropped", Quantity::Size, 30, 200, 5),
    row("tub.by_hand", "A drop timed elsewhere", Quantity::Milliseconds, 300, 120_000, 100),
    row("tub.pieces", "Looked at", Quantity::Count, 0, 10_000, 1),
    row("tub.floated", "Floated on landing", Quantity::Count, 0, 10_000, 1),
    row("tub.came_up", "Came up again", Quantity::Count, 0, 10_000, 1),
    row("cold.bag", "Bag, laid flat", Quantity::Size, 50, 1_200, 10),
    row("cold.start", "Bait going in", Quantity::Temperature, 0, 400, 10),
    row("cold.freezer", "Freezer", Quantity::Temperature, -400, -50, 10),
    row("cold.thaw", "Thawing at", Quantity::Temperature, 10, 400, 10),
    row("rinse.kept", "Stays in the sieve", Quantity::Millilitres, 1, 20_000, 50),
    row("rinse.added", "Fresh water each time", Quantity::Millilitres, 10, 50_000, 100),
    row("rinse.water", "Washing water", Quantity::Temperature, 0, 900, 10),
    row("other.second", "Length or thickness", Quantity::Size, 6, 600, 5),
    row("other.density", "Density", Quantity::Density, 500, 3_000, 5),
    row("kit_counts.*.count", "How many", Quantity::Count, 0, 500, 1),
    row("kit.*.count", "How many", Quantity::Count, 0, 500, 1),
    row("bank.fish", "A usual fish", Quantity::Grams, 20, 20_000, 50),
];

/// Numbers that are typed on the page but belong to no plan: a weighing of shot.
pub const BESIDE: &[Limit] = &[
    row("weigh.count", "Shot on the scale", Quantity::Count, 1, 200, 1),
    row("weigh.shown", "The scale shows", Quantity::ShotMass, 1, 5_000_000, 100),
    row("weigh.step", "Step of the scale", Quantity::ShotMass, 1, 1_000, 10),
];

/// The most entries of each list in the plan, by the list's path.
pub const LISTS: &[(&str, usize, usize)] = &[
    // path, least, most
    ("lines", 1, 6),
    ("feed", 1, 12),
    ("rigs", 1, 8),
    ("rigs.*.droppers", 0, 16),
    ("rigs.*.more.glass", 0, 12),
    ("shot_box", 1, 24),
    ("kit", 0, 60),
    ("kit_counts", 0, 60),
];

/// The most drops of a tub test.
pub const MOST_DROPS: usize = 50;

/// The most characters of any text in the plan.
pub const MOST_CHARS: usize = 40;

/// The row for a path with places in it, such as `rigs.2.depth`.
#[must_use]
pub fn limit_of(path: &str) -> Option<&'static Limit> {
    LIMITS.iter().chain(BESIDE).find(|limit| matches(limit.path, path))
}

/// The least and most entries of the list at `path`.
#[must_use]
pub fn list_of(path: &str) -> Option<(usize, usize)> {
    LISTS.iter().find(|(pattern, ..)| matches(pattern, path)).map(|&(_, least, most)| (least, most))
}

/// Whether `path` fits `pattern`, where `*` stands for a whole number.
#[must_use]
pub fn matches(pattern: &str, path: &str) -> bool {
    let (mut a, mut b) = (pattern.split('.'), path.split('.'));
    loop {
        match (a.next(), b.next()) {
            (None, None) => return true,
            (Some("*"), Some(n)) if !n.is_empty() && n.len() < 4 && n.bytes().all(|c| c.is_ascii_digit()) => {
            }
            (Some(x), Some(y)) if x == y => {}
            _ => return false,
        }
    }
}
/// A number, a count or a place outside what is taken, all as they are written.
#[must_use]
pub fn out_of_range(path: &str, came: &str, least: &str, most: &str) -> Refusal {
    let sentence = format!("{came} is outside what is taken here. Write from {least} to {most}.");
    Refusal::new("out_of_range", path.to_owned(), sentence)
}

/// No field has this path.
#[must_use]
pub fn no_such_field(path: &str) -> Refusal {
    let sentence = format!("There is no field called “{path}” in a plan.");
    Refusal::new("no_such_field", path.to_owned(), sentence)
}

impl Limit {
    /// The step of the buttons: lengths step by whole inches or half inches, or by a round metric length.
    #[must_use]
    pub fn step_in(&self, units: Units) -> i32 {
        match (self.kind, units.lengths) {
            (Quantity::Reach, LengthUnits::Metric) => self.step.max(500) / 500 * 500,
            (Quantity::Depth, LengthUnits::Metric) => 100,
            _ => self.step,
        }
    }

    /// Where a value goes by `steps` presses of its button: to the next whole step, held within the limits. From
    /// between two steps it goes to the nearer one in its direction.
    #[must_use]
    pub fn moved(&self, value: i32, steps: i32, units: Units) -> i32 {
        let step = self.step_in(units);
        let over = if steps > 0 || value.rem_euclid(step) == 0 { 0 } else { step };
        let base = value.div_euclid(step) * step + over;
        base.saturating_add(steps.saturating_mul(step)).clamp(self.least, self.most)
    }

    /// Holds a whole number against this row.
    ///
    /// # Errors
    /// `out_of_range`.
    pub fn check(&self, path: &str, value: i64, units: Units) -> Result<i32, Refusal> {
        match i32::try_from(value) {
            Ok(v) if (self.least..=self.most).contains(&v) => Ok(v),
            _ => {
                let shown = i32::try_from(value.clamp(-999_999_999, 999_999_999)).unwrap_or(0);
                let huge = value.unsigned_abs() > 999_999_999;
                let unsaid = huge || matches!(self.kind, Quantity::Date | Quantity::Clock);
                let came = if unsaid { "That".to_owned() } else { units.text(shown, self.kind) };
                let text = |value: i32| units.text(value, self.kind);
                Err(out_of_range(path, &came, &text(self.least), &text(self.most)))
            }
        }
    }

    /// Reads a text and holds it against this row.
    ///
    /// # Errors
    /// As [`parse`] refuses, and `out_of_range`.
    pub fn read(&self, path: &str, text: &str, units: Units) -> Result<i32, Refusal> {
        let value = parse(text, self.kind, units).map_err(|refused| refused.at(path.to_owned()))?;
        self.check(path, value, units)
    }
}
