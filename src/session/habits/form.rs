//! The habits of a water as they are kept and handed on: plain numbers with a version.

use super::depths::carried;
use crate::refusal::{self, Refusal};
use crate::session::depth_filter::{FilterSettings, Grid, Guess, Water};
use serde::{Deserialize, Serialize};

/// The version of this form.
pub const VERSION: u32 = 1;
/// The most blocks of a day, and cells of a water.
pub(super) const MAX_BLOCKS: usize = 12;
const MAX_CELLS: usize = 120;

/// What the fished days of one water taught.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Habits {
    /// The version of this form.
    pub version: u32,
    /// From how many days.
    pub days: u32,
    /// How many of them count: those since the water changed last.
    pub counting_days: u32,
    /// Whether a session uses them, and otherwise why not.
    pub standing: Standing,
    /// The chance that a day is a usual one after all, 0 to 1.
    pub usual: f64,
    /// What the water may be like otherwise, the likeliest first.
    pub waters: Vec<TaughtWater>,
    /// Depth against time of day.
    pub picture: Picture,
}

/// Whether habits are used.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "HabitsStanding"))]
#[serde(rename_all = "snake_case")]
pub enum Standing {
    /// They are used.
    Used,
    /// Fewer than three days: they would be noise.
    TooFewDays,
    /// They foretold the days no better than the usual numbers did.
    NoBetter,
}

/// Everything of the depth filter that one water decides.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct TaughtWater {
    /// The chance that it is this one, beside the others; above 0.
    pub weight: f64,
    /// Depth of the water that the places are told for, m.
    pub water_depth_m: f64,
    /// Mean time between moves of the fish to another depth, s.
    pub jump_every_s: f64,
    /// Length of a block of the day, s.
    pub block_s: f64,
    /// Where moves end: for each block of the day since the all-in, the share of each of so many equal layers from the
    /// surface to the bottom. The last block lasts to the end of the day.
    pub jump_to: Vec<Vec<f64>>,
    /// Chance of each level of activity, each twice the one below, the middle one the usual.
    pub activity: Vec<f64>,
    /// How broad the band is in which the fish take, each with its chance.
    pub bands: Vec<Band>,
}

/// A band, and how true the simulated fall is, with their chance.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "FeedingBand"))]
#[serde(deny_unknown_fields)]
pub struct Band {
    /// Breadth of the band, one standard deviation, m.
    pub band_m: f64,
    /// How long rigs really take to fall, as a share of the simulated time; 0: at rest at once.
    pub fall: f64,
    /// Its chance; above 0.
    pub chance: f64,
}

/// Depth against time of day, with what was caught.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "HabitsPicture"))]
#[serde(deny_unknown_fields)]
pub struct Picture {
    /// Depth of the water, m.
    pub water_depth_m: f64,
    /// For each hour since the all-in, the share of the time that the fish are expected to be in each of so many equal
    /// layers from the surface to the bottom; sums to 1 in an hour that was fished, otherwise nothing but zeros.
    pub share: Vec<Vec<f64>>,
    /// For each hour and layer, the bites of all days on a rig hanging there.
    pub bites: Vec<Vec<u32>>,
}

impl Band {
    pub(super) fn new(guess: Guess, chance: f64) -> Self {
        Self { band_m: guess.band_m, fall: guess.fall, chance }
    }
}

fn within(field: &str, value: f64, least: f64, most: f64) -> Result<(), Refusal> {
    refusal::within(format!("habits.{field}"), "", value, (least, most), "").map(drop)
}

/// Refuses shares that are too few, too many, negative, or sum to nothing.
fn shares(field: &str, shares: &[f64], most: usize) -> Result<(), Refusal> {
    within(field, shares.len() as f64, 1.0, most as f64)?;
    for share in shares {
        within(field, *share, 0.0, 1.0)?;
    }
    within(field, shares.iter().sum(), 1e-6, most as f64)
}

impl Habits {
    /// Refuses habits of a newer version.
    #[must_use]
    pub fn newer() -> Refusal {
        let sentence = "What this water taught was worked out by a newer version of the page. Update this page to use it.";
        Refusal::new("newer_version", "habits.version", sentence)
    }

    /// Passes habits on whose every number is within its limits.
    ///
    /// # Errors
    /// `newer_version`; `too_small`, `too_large` or `not_a_number` naming the field.
    pub fn checked(self) -> Result<Self, Refusal> {
        if self.version > VERSION {
            return Err(Self::newer());
        }
        within("version", f64::from(self.version), 1.0, f64::from(VERSION))?;
        within("usual", self.usual, 0.0, 1.0)?;
        within("waters", self.waters.len() as f64, 0.0, 3.0)?;
        let guesses: usize = self.waters.iter().map(|water| water.bands.len()).sum();
        within("waters.bands", guesses as f64, 0.0, 8.0)?;
        for water in &self.waters {
            water.check()?;
        }
        self.picture.check()?;
        Ok(self)
    }

    /// The waters that a session may be at, laid on its grid; only the usual one where these habits are not used.
    #[must_use]
    pub(in crate::session) fn waters(&self, settings: &FilterSettings, grid: &Grid) -> Vec<Water> {
        let usual = Water::usual(settings, grid);
        if self.standing != Standing::Used || self.waters.is_empty() {
            return vec![usual];
        }
        let total: f64 = self.waters.iter().map(|water| water.weight).sum();
        let mut waters: Vec<Water> = Vec::new();
        if self.usual > 0.0 {
            waters.push(Water { weight: self.usual, ..usual.clone() });
        }
        if self.usual < 1.0 {
            waters.extend(self.waters.iter().map(|water| Water {
                weight: (1.0 - self.usual) * water.weight / total,
                ..water.laid(&usual, grid)
            }));
        }
        waters
    }
}

impl TaughtWater {
    fn check(&self) -> Result<(), Refusal> {
        within("waters.weight", self.weight, 1e-6, 1.0)?;
        within("waters.water_depth_m", self.water_depth_m, 0.2, 15.0)?;
        within("waters.jump_every_s", self.jump_every_s, 10.0, 1e6)?;
        within("waters.block_s", self.block_s, 600.0, 86_400.0)?;
        within("waters.jump_to", self.jump_to.len() as f64, 1.0, MAX_BLOCKS as f64)?;
        for block in &self.jump_to {
            shares("waters.jump_to", block, MAX_CELLS)?;
        }
        shares("waters.activity", &self.activity, 9)?;
        within("waters.bands", self.bands.len() as f64, 1.0, 8.0)?;
        for band in &self.bands {
            within("waters.bands.band_m", band.band_m, 0.01, 2.0)?;
            within("waters.bands.fall", band.fall, 0.0, 10.0)?;
            within("waters.bands.chance", band.chance, 1e-6, 1.0)?;
        }
        Ok(())
    }

    /// This water on a session's grid. Activity is as usual where the session has other levels.
    fn laid(&self, usual: &Water, grid: &Grid) -> Water {
        let scaled = |shares: &[f64]| -> Vec<f64> {
            let sum: f64 = shares.iter().sum();
            shares.iter().map(|share| share / sum).collect()
        };
        let lay = |block: &Vec<f64>| {
            let laid = carried(&scaled(block), self.water_depth_m, grid.water_depth_m, grid.cells);
            // No depth is ruled out for good.
            let floor = 1e-3 / grid.cells as f64;
            scaled(&laid.iter().map(|share| share + floor).collect::<Vec<_>>())
        };
        let chances: f64 = self.bands.iter().map(|band| band.chance).sum();
        let guess = |band: &Band| (Guess { band_m: band.band_m, fall: band.fall }, band.chance / chances);
        let same_levels = self.activity.len() == usual.activity.len();
        Water {
            weight: self.weight,
            jump_every_s: self.jump_every_s,
            jump_to: self.jump_to.iter().map(lay).collect(),
            block_s: self.block_s,
            activity: if same_levels { scaled(&self.activity) } else { usual.activity.clone() },
            guesses: self.bands.iter().map(guess).collect(),
        }
    }
}

impl Picture {
    fn check(&self) -> Result<(), Refusal> {
        within("picture.water_depth_m", self.water_depth_m, 0.0, 15.0)?;
        within("picture.share", self.share.len() as f64, 0.0, 24.0)?;
        within("picture.bites", self.bites.len() as f64, self.share.len() as f64, self.share.len() as f64)?;
        for (share, bites) in self.share.iter().zip(&self.bites) {
            within("picture.share", share.len() as f64, 1.0, MAX_CELLS as f64)?;
            within("picture.bites", bites.len() as f64, share.len() as f64, share.len() as f64)?;
            for share in share {
                within("picture.share", *share, 0.0, 1.0)?;
            }
        }
        Ok(())
    }
}
