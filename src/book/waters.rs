//! Waters: what stays the same from day to day, what it gives a new plan, and what a fish there usually weighs.

use super::fields::{check, held, parts, parts_of, read, within};
use super::id::Fresh;
use super::merge::{Record, Value};
use crate::plan::clean;
use crate::plan::fields::bounds_of;
use crate::plan::{Lead, Plan, Purpose};
use crate::refusal::{Refusal, at_most};
use crate::small::Sorted;

/// The most depths of a water.
const MAX_DEPTHS: usize = 400;

parts! {
    /// What is known of a water as a whole.
    WaterFacts {
        /// Its name.
        name: String = "name", "", String::new();
        /// Its usual depth, tenths of a millimetre, for a peg that is not listed.
        depth_tenth_mm: Option<i32> = "depth", "water.depth", None;
        /// The way there, minutes.
        travel_min: Option<i32> = "travel", "day.travel", None;
        /// Most tins of meat allowed, if there is a limit.
        tins: Option<i32> = "rules.tins", "rules.tins", None;
        /// Largest hook allowed, by its size, if there is a limit.
        hook: Option<i32> = "rules.hook", "rules.hook", None;
        /// Barbless hooks only.
        barbless: bool = "rules.barbless", "", false;
        /// What is said of lead.
        lead: Lead = "rules.lead", "", Lead::AsTheLaw;
        /// Least length of a hooklength, tenths of a millimetre, if there is one.
        hooklength_tenth_mm: Option<i32> = "rules.hooklength", "rules.hooklength", None;
        /// Most fish in one keepnet, g, if there is a limit.
        net_g: Option<i32> = "rules.net", "rules.net", None;
        /// Most keepnets, if there is a limit.
        nets: Option<i32> = "rules.nets", "rules.nets", None;
        /// Whether a session uses what this water taught.
        use_taught: bool = "use_taught", "", true;
    }
}

/// Where a depth was plumbed: the peg, and the name of the pole line.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Spot {
    /// The peg.
    pub peg: String,
    /// The pole line's name.
    pub line: String,
}

/// A water.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Water {
    /// What is known of it as a whole.
    pub facts: WaterFacts,
    /// Depths, tenths of a millimetre, by peg and line.
    pub depths: Sorted<Spot, i32>,
}

impl Spot {
    /// The key of its parts: the same on every phone.
    fn key(&self) -> String {
        ["depths.", &Fresh::of(&[&self.peg, "\n", &self.line].concat())].concat()
    }
}

impl Water {
    /// Everything of it as parts, held against the limits.
    ///
    /// # Errors
    /// `out_of_range` at the member, `too_many` depths.
    pub(super) fn parts(mut self) -> Result<Vec<(String, Value)>, Refusal> {
        check(&mut self.facts)?;
        at_most("depths", self.depths.len(), MAX_DEPTHS, "depths can be kept of a water")?;
        let mut parts = parts_of(&mut self.facts);
        for (spot, depth) in self.depths {
            let spot = Spot { peg: clean(&spot.peg), line: clean(&spot.line) };
            held(depth, "depths", "water.depth")?;
            let key = spot.key();
            let part = |end: &str, value| ([&key, end].concat(), value);
            parts.push(part(".peg", Value::Text(spot.peg)));
            parts.push(part(".line", Value::Text(spot.line)));
            parts.push(part(".depth", Value::Number(depth.into())));
        }
        Ok(parts)
    }

    /// What a record holds of a water.
    pub(super) fn read(record: &Record) -> Self {
        let row = bounds_of("water.depth");
        let depths = record.below("depths.").filter_map(|(rest, value)| {
            let ((name, "depth"), Value::Number(depth)) = (rest.split_once('.')?, value) else { return None };
            let text = |end: &str| match record.get(&["depths.", name, end].concat()) {
                Value::Text(text) => clean(text),
                _ => String::new(),
            };
            Some((Spot { peg: text(".peg"), line: text(".line") }, within(*depth, row)?))
        });
        let mut water = Self { facts: WaterFacts::default(), depths: depths.take(MAX_DEPTHS).collect() };
        read(&mut water.facts, record);
        water
    }

    /// The depth at a peg and line: as plumbed there, else the water's usual one; tenths of a millimetre.
    #[must_use]
    pub fn depth_at(&self, peg: &str, line: &str) -> Option<i32> {
        let spot = Spot { peg: peg.to_owned(), line: line.to_owned() };
        self.depths.get(&spot).copied()
    }

    /// Puts into a plan what this water decides: name, rules, way, and the depths of its peg where they are known. Rigs
    /// that lay on the bottom follow it.
    pub fn fill(&self, plan: &mut Plan) {
        let facts = &self.facts;
        plan.water.venue.clone_from(&facts.name);
        plan.day.travel_min = facts.travel_min.unwrap_or(plan.day.travel_min);
        plan.rules.tins = facts.tins;
        plan.rules.hook = facts.hook;
        plan.rules.barbless = facts.barbless;
        plan.rules.lead = facts.lead;
        plan.rules.hooklength_tenth_mm = facts.hooklength_tenth_mm;
        (plan.rules.net_g, plan.rules.nets) = (facts.net_g, facts.nets);
        let was = plan.water.depth_tenth_mm;
        let usual = facts.depth_tenth_mm;
        plan.water.depth_tenth_mm = usual.unwrap_or(was);
        let mut moved = Vec::new();
        for line in &mut plan.lines {
            let before = line.depth_tenth_mm;
            // A line as deep as the whole water goes with it; a shallower one is known by its own depth alone.
            let usual = usual.filter(|_| before == was);
            let depth = self.depth_at(&plan.water.peg, &line.name).or(usual);
            line.depth_tenth_mm = depth.unwrap_or(before);
            moved.push(line.depth_tenth_mm - before);
        }
        if let Some(depth) = plan.lines.first().and_then(|line| self.depth_at(&plan.water.peg, &line.name)) {
            plan.water.depth_tenth_mm = depth;
        }
        let Some(row) = bounds_of("rigs.0.depth") else { return };
        for rig in plan.rigs.iter_mut().filter(|rig| rig.purpose == Purpose::Bottom) {
            let by = usize::try_from(rig.line).ok().and_then(|line| moved.get(line)).copied().unwrap_or(0);
            rig.depth_tenth_mm = rig.depth_tenth_mm.saturating_add(by).clamp(row.least, row.most);
        }
    }
}

/// What a fish weighs on the average, from days that were weighed and counted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct UsualFish {
    /// The mean, grams.
    pub mass_g: f64,
    /// Its standard error, grams; nothing from one day.
    pub error_g: Option<f64>,
    /// From how many days.
    pub days: usize,
    /// From how many fish.
    pub fish: i64,
}

/// The usual mass of a fish from each day's weight (grams) and count; days without fish say nothing.
///
/// The estimate is all weights over all counts, so that a day counts by its fish (the ratio estimator): a mean of the
/// days' own means would let a day of two fish speak as loud as one of sixty. Its error comes from how far each day's
/// weight is from what its count would give, which holds too when whole days differ.
///
/// # Source
/// Cochran 1977, "Sampling Techniques", third edition, chapter 6 (ratio estimators), the sample taken as small against
/// all days; from memory. The estimate is biased by an order of one over the number of days.
#[must_use]
pub fn usual_fish(days: impl IntoIterator<Item = (i32, i32)>) -> Option<UsualFish> {
    let days: Vec<(f64, f64)> =
        days.into_iter().filter(|&(g, n)| g > 0 && n > 0).map(|(g, n)| (g.into(), n.into())).collect();
    let (weight, count) = days.iter().fold((0.0, 0.0), |(w, c), (g, n)| (w + g, c + n));
    if days.is_empty() {
        return None;
    }
    let (mass_g, k) = (weight / count, days.len() as f64);
    let off: f64 = days.iter().map(|(g, n)| (g - mass_g * n).powi(2)).sum();
    let error_g = (days.len() > 1).then(|| (k / (k - 1.0) * off).sqrt() / count);
    #[expect(clippy::cast_possible_truncation, reason = "a sum of counts below 2^31 each")]
    let fish = count as i64;
    Some(UsualFish { mass_g, error_g, days: days.len(), fish })
}

/// The usual mass as the plan's field takes it, grams.
pub(super) fn fish_field(usual: &UsualFish) -> Option<i32> {
    let row = bounds_of("bank.fish")?;
    #[expect(clippy::cast_possible_truncation, reason = "the cast saturates, and the row bounds it")]
    let mass = usual.mass_g.round() as i32;
    Some(mass.clamp(row.least, row.most))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_day_counts_by_its_fish() {
        let usual = usual_fish([(30_000, 60), (2_000, 2), (0, 5), (900, 0)]).unwrap();
        assert!((usual.mass_g - 32_000.0 / 62.0).abs() < 1e-9);
        assert_eq!((usual.days, usual.fish), (2, 62));
        // By hand: R = 516.129; off (30,000 - 60 R)^2 + (2,000 - 2 R)^2 = 2 x 967.742^2; times 2 over 1, root, over 62.
        assert!((usual.error_g.unwrap() - 31.217).abs() < 0.01, "{usual:?}");
        assert_eq!(usual_fish([(1_000, 2)]).unwrap().error_g, None);
        assert_eq!(usual_fish([]), None);
    }

    #[test]
    fn rigs_on_the_bottom_follow_it_and_unlisted_pegs_take_the_usual_depth() {
        let mut water = Water::default();
        water.facts.name = "Withybank Lake".to_owned();
        water.facts.depth_tenth_mm = Some(20_000);
        let mut plan = crate::plan::presets::first();
        let spot = Spot { peg: "22".to_owned(), line: plan.lines[0].name.clone() };
        water.depths.insert(spot, 19_050);
        let bottom = plan.rigs.iter().position(|rig| rig.purpose == Purpose::Bottom).unwrap();
        let over = plan.lines[0].depth_tenth_mm - plan.rigs[bottom].depth_tenth_mm;
        assert_eq!(plan.rigs[bottom].line, 0);
        plan.water.peg = "3".to_owned();
        water.fill(&mut plan);
        assert_eq!(plan.lines[0].depth_tenth_mm, 20_000);
        plan.water.peg = "22".to_owned();
        water.fill(&mut plan);
        assert_eq!((plan.lines[0].depth_tenth_mm, plan.water.depth_tenth_mm), (19_050, 19_050));
        assert_eq!(plan.lines[0].depth_tenth_mm - plan.rigs[bottom].depth_tenth_mm, over);
        plan.check().unwrap();
    }
}
