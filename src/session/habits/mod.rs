//! What a water teaches: the numbers of the depth filter that one water decides, from the days that were fished there.
//!
//! # What a water decides
//! | number | prior: today's default | worth |
//! | --- | --- | --- |
//! | how often the fish move (jump) | once in 3000 s | half a day of five hours |
//! | where moves end, over every depth: shallow, bottom, between | 0.55, 0.25, 0.2 | the moves of half a day |
//! | the same in each hour since the all-in | the whole day | six moves |
//! | breadth of the band | as the guesses of the filter; other breadths at 0.3 together | one day |
//! | activity: the level at the all-in | as the filter | five days: firm |
//!
//! Drift, rates and the change of activity stay as they are.
//!
//! # Method
//! - **Expectation and maximisation.** A day's log becomes steps of two minutes. Going through them forwards and
//!   backwards under a water gives the moves to expect and where they ended, the band and the activity. The maximisation
//!   adds them over the days, smooths the places by 0.1 m, and adds the prior.
//!   What was not seen teaches nothing: a move that no cast spoke of comes back where the water had it before, so that
//!   it pulls the end of the iteration nowhere (it only makes it slower, hence several passes). With the firm activity
//!   this keeps slow water from being taken for the place that happened to be fished: quiet is then laid to the
//!   place and not to the fish.
//! - **How long the water has been so.** Each day may be the first at another kind of water, by a chance of 1 in 20. Runs
//!   of days are followed side by side; each foretells the next day from its own days alone, a fresh one from the usual
//!   numbers. A changed water makes the old run foretell badly, and the days before it are out. This is better than a
//!   fixed rate of forgetting, which loses old days of a water that stays the same.
//! - **With or without a course through the day.** Each run foretells both ways; both are weighed alike.
//! - **Used or not.** Every day has then been foretold by what was taught before it. The habits are used once the sum
//!   of these logarithms is ahead of the usual numbers' own, and never before [`MIN_DAYS`] days.
//! - **In the session** the usual water stands beside the taught ones, with a chance of at least 1 in 10. All are guesses
//!   of one filter, so the taps themselves tell within the day when the water is not what it was.
//!
//! The same days give the same habits, byte for byte, in whatever order they are handed over. There is no randomness.
//!
//! # Validity
//! As the depth filter; logs of at most 16 hours are looked at. Days of other depth are laid over each other: what is near
//! the surface keeps its depth, what is near the bottom its height above it.
//!
//! # Source
//! Expectation and maximisation for a hidden chain: Rabiner 1989, Proc. IEEE 77:257–286, sect. III C; with a prior:
//! Dempster, Laird & Rubin 1977, J. R. Stat. Soc. B 39:1–38, sect. 2. Refreshing a day's counts alone: Neal & Hinton
//! 1998, "A view of the EM algorithm that justifies incremental, sparse, and other variants". Smoothing within the
//! iteration: Silverman et al. 1990, J. R. Stat. Soc. B 52:271–324. Runs of days: Adams & `MacKay` 2007, "Bayesian online
//! changepoint detection", arXiv 0710.3742. Choice by foretelling: Dawid 1984, J. R. Stat. Soc. A 147:278–292. (All from
//! memory.)

mod chain;
mod depths;
mod form;
mod learn;
mod picture;
mod record;
#[cfg(test)]
mod tests;
mod words;

pub use form::{Band, Habits, Picture, Standing, TaughtWater, VERSION};
pub use record::DayRecord;
pub(super) use record::{MAX_STEPS, STEP_S};

use crate::session::depth_filter::Water;
use crate::small::sort_by_key;
use crate::units::between;
use learn::{LearnSettings, Learner};
use picture::picture;

/// Days before which nothing is said.
pub const MIN_DAYS: usize = 3;
/// A water of less weight is left out, except the likeliest.
const MIN_WEIGHT: f64 = 0.15;
/// Waters that a session carries besides the usual one, and guesses of each.
const MAX_WATERS: usize = 2;
const MAX_BANDS: usize = 2;

/// What these days teach, in their order.
pub(super) fn learn(days: &[DayRecord]) -> Habits {
    let settings = LearnSettings::default();
    let (min_usual, max_usual) = settings.usual;
    let learner = Learner::new(days, settings);
    let learnt = learner.learn();
    let ahead = learnt.learned - learnt.usual;
    let standing = if days.len() < MIN_DAYS {
        Standing::TooFewDays
    } else if ahead > 0.0 {
        Standing::Used
    } else {
        Standing::NoBetter
    };
    let waters = learner.waters(&learnt);
    let counting = days.get(learnt.start()..).unwrap_or_default();
    let picture = waters.first().map(|water| picture(&learner, counting, water)).unwrap_or_default();
    let as_u32 = |count: usize| u32::try_from(count).unwrap_or(u32::MAX);
    Habits {
        version: VERSION,
        days: as_u32(days.len()),
        counting_days: as_u32(counting.len()),
        standing,
        usual: between(1.0 / (1.0 + ahead.exp()), min_usual, max_usual),
        waters: taught(waters, learner.grid.water_depth_m),
        picture,
    }
}

/// The water that is learned before any day has been gone through.
#[cfg(test)]
fn learn_usual(days: &[DayRecord]) -> Water {
    Learner::new(days, LearnSettings::default()).water(&[], false)
}

/// As many waters, and of each as many bands, as a session can carry.
fn taught(waters: Vec<Water>, water_depth_m: f64) -> Vec<TaughtWater> {
    let likely = waters.into_iter().enumerate().filter(|(at, water)| *at == 0 || water.weight >= MIN_WEIGHT);
    likely
        .take(MAX_WATERS)
        .map(|(_, water)| {
            let band = |(guess, chance): &(_, f64)| Band::new(*guess, *chance);
            let mut bands: Vec<Band> = water.guesses.iter().map(band).collect();
            sort_by_key(&mut bands, |band| -band.chance);
            bands.truncate(MAX_BANDS);
            TaughtWater {
                weight: water.weight,
                water_depth_m,
                jump_every_s: water.jump_every_s,
                block_s: water.block_s,
                jump_to: water.jump_to,
                activity: water.activity,
                bands,
            }
        })
        .collect()
}
