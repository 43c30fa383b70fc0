//! A thing in the box with its tests, and how a plan takes it over.

use super::{Float, Item, Line, MAX_TESTS};
use crate::book::Id;
use crate::book::fields::{held, within};
use crate::book::merge::{Record, Value};
use crate::plan::fields::bounds_of;
use crate::plan::{BoxShot, Plan, StrengthBy};
use crate::refusal::Refusal;

/// What one test found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Test {
    /// A glass test of a float: its load, tenths of a milligram.
    Glass {
        /// The load.
        load_tenth_mg: i32,
    },
    /// A tub test of a tin.
    Tub {
        /// The mean density of a piece, kg/m3.
        density_kg_per_m3: i32,
        /// The spread from piece to piece (one standard deviation), kg/m3.
        spread_kg_per_m3: i32,
        /// Pieces dropped.
        drops: i32,
    },
}

impl Test {
    /// What its part holds.
    ///
    /// # Errors
    /// `out_of_range`.
    pub(in crate::book) fn part(self) -> Result<Value, Refusal> {
        let row = match self {
            Self::Glass { load_tenth_mg } => vec![(load_tenth_mg, "rigs.0.load")],
            Self::Tub { density_kg_per_m3, spread_kg_per_m3, drops } => vec![
                (density_kg_per_m3, "tests.density"),
                (spread_kg_per_m3, "tests.spread"),
                (drops, "tests.drops"),
            ],
        };
        row.iter().try_for_each(|(number, path)| held(*number, "tests", path))?;
        Ok(Value::Numbers(row.into_iter().map(|(number, _)| number.into()).collect()))
    }

    fn read(value: &Value) -> Option<Self> {
        let Value::Numbers(row) = value else { return None };
        let number = |n: &i64, path| within(*n, bounds_of(path));
        match row.as_slice() {
            [load] => Some(Self::Glass { load_tenth_mg: number(load, "rigs.0.load")? }),
            [density, spread, drops] => Some(Self::Tub {
                density_kg_per_m3: number(density, "tests.density")?,
                spread_kg_per_m3: number(spread, "tests.spread")?,
                drops: number(drops, "tests.drops")?,
            }),
            _ => None,
        }
    }

    /// Weight, mean and spread.
    fn moments(self) -> (f64, f64, f64) {
        match self {
            Self::Glass { load_tenth_mg } => (1.0, load_tenth_mg.into(), 0.0),
            Self::Tub { density_kg_per_m3, spread_kg_per_m3, drops } => {
                (drops.into(), density_kg_per_m3.into(), spread_kg_per_m3.into())
            }
        }
    }
}

/// What the tests of one thing come to together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured {
    /// How many tests.
    pub tests: usize,
    /// Loads, or pieces dropped.
    pub count: f64,
    /// The mean, tenths of a milligram or kg/m3.
    pub mean: f64,
    /// The spread (one standard deviation) of single loads or pieces, in the same unit; nothing where one load says
    /// none.
    pub spread: Option<f64>,
}

/// A thing with what was measured of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Owned {
    /// The thing.
    pub item: Item,
    /// Its tests by their names, for taking one out.
    pub tests: Vec<(String, Test)>,
}

impl Owned {
    pub(in crate::book) fn read(record: &Record) -> Option<Self> {
        let item = Item::read(record)?;
        let fits = |test: &Test| {
            matches!((&item, test), (Item::Float(_), Test::Glass { .. }) | (Item::Tin(_), Test::Tub { .. }))
        };
        let tests = record
            .below("tests.")
            .filter_map(|(name, value)| Some((name.to_owned(), Test::read(value).filter(fits)?)));
        let tests = tests.take(MAX_TESTS).collect();
        Some(Self { item, tests })
    }

    /// What its tests come to: glass tests count one each, tub tests by their drops. The spread holds what lies within
    /// each tub test and what lies between tests: the law of total variance.
    #[must_use]
    pub fn measured(&self) -> Option<Measured> {
        let moments = || self.tests.iter().map(|(_, test)| test.moments());
        let (count, sum) =
            moments().fold((0.0, 0.0), |(n, sum), (weight, mean, _)| (n + weight, sum + weight * mean));
        if count <= 0.0 {
            return None;
        }
        let mean = sum / count;
        let square: f64 = moments().map(|(n, m, spread)| n * (spread * spread + (m - mean).powi(2))).sum();
        let within = matches!(self.item, Item::Tin(_));
        let spread = if within {
            Some((square / count).sqrt())
        } else {
            (count > 1.5).then(|| (square / (count - 1.0)).sqrt())
        };
        Some(Measured { tests: self.tests.len(), count, mean, spread })
    }

    /// The same without the test of a day, which that day's plan holds itself.
    #[must_use]
    pub fn but_for(mut self, day: Option<Id>) -> Self {
        self.tests.retain(|(name, _)| day.is_none_or(|day| *name != day.to_string()));
        self
    }

    /// The load of a float, tenths of a milligram: the mean of its glass tests, or as printed.
    fn load(&self, float: &Float) -> i32 {
        self.measured().map_or(float.load_tenth_mg, |measured| whole(measured.mean))
    }

    /// Copies it into a plan: a float, a hook, an elastic or a main line into the rig at `rig`, a tin over the plan's. A
    /// size of shot changes that of the same name, or is added. Says whether there was such a rig, and room.
    pub fn put(&self, plan: &mut Plan, rig: usize) -> bool {
        match &self.item {
            Item::Tin(tin) => {
                plan.tin = tin.into();
                let (tub, found) = (&mut plan.bait_more.tub, self.measured());
                tub.before_density_kg_per_m3 = found.map(|found| whole(found.mean));
                tub.before_spread_kg_per_m3 = found.and_then(|found| found.spread).map(whole);
                tub.before_drops = found.map(|found| whole(found.count).min(10_000));
            }
            Item::Shot(shot) => {
                let size = BoxShot::from(shot);
                let most = crate::plan::fields::list_of("shot_box").map_or(0, |(_, most)| most);
                if let Some(known) = plan.shot_box.iter_mut().find(|known| known.name == size.name) {
                    *known = size;
                } else if plan.shot_box.len() < most {
                    plan.shot_box.push(size);
                } else {
                    return false;
                }
            }
            item => {
                let Some(rig) = plan.rigs.get_mut(rig) else { return false };
                match item {
                    Item::Float(float) => {
                        rig.float_name.clone_from(&float.name);
                        rig.load_tenth_mg = self.load(float);
                        rig.load_measured = !self.tests.is_empty();
                        rig.more.maker_tenth_mg = rig.load_measured.then_some(float.load_tenth_mg);
                        // What hung in the glass was another float's.
                        rig.more.glass.clear();
                        rig.tip_um = float.tip_um;
                        rig.tip_length_tenth_mm = float.tip_length_tenth_mm;
                        rig.more.tip_of = float.tip_of;
                    }
                    Item::Line(line) => {
                        rig.main_um = line.diameter_um;
                        rig.main_strength_g = line.strength_g;
                        rig.more.strength_by = StrengthBy::Spool;
                    }
                    Item::Hook(hook) => {
                        rig.hook_size = hook.size;
                        rig.hook_tenth_mg = hook.mass_tenth_mg;
                    }
                    Item::Elastic(elastic) => {
                        rig.more.elastic_um = elastic.elastic_um;
                        rig.more.bore_um = elastic.bore_um;
                        rig.more.elastic_number = elastic.number;
                    }
                    Item::Tin(_) | Item::Shot(_) => {}
                }
            }
        }
        true
    }
}

#[expect(clippy::cast_possible_truncation, reason = "means and counts of whole numbers within their rows")]
fn whole(number: f64) -> i32 {
    number.round() as i32
}

/// Copies a line into a rig as its hooklength; says whether there is such a rig.
pub fn put_hooklength(line: &Line, plan: &mut Plan, rig: usize) -> bool {
    plan.rigs.get_mut(rig).is_some_and(|rig| {
        rig.hooklength_um = line.diameter_um;
        rig.hooklength_strength_g = line.strength_g;
        true
    })
}
