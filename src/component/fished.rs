//! A fished day as a script hands it in.

use crate::plan::Plan;
use crate::refusal::{Refusal, at_most};
use crate::results::session_setup::habits_of;
use crate::session::Log;
use crate::session::habits::Habits;
use crate::session::log::read_back;
use serde::Deserialize;

/// The most days that a script may hand in at once: what a book holds.
const MAX_DAYS: usize = 3_000;

/// One day that was fished at a water.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct FishedDay {
    /// Its plan, which has its date.
    plan: Plan,
    /// Its log, as `Session.log` gives it. A line that cannot be read is left out; `Session.resume` tells of it.
    log: String,
}

/// Refuses more days than are taken, before they are read.
///
/// # Errors
/// `too_many`.
pub fn at_most_days(came: usize) -> Result<(), Refusal> {
    at_most("", came, MAX_DAYS, "days can be looked at")
}

/// What a water taught on these days.
///
/// # Errors
/// `too_many`; as a plan or a log is refused, at the day's place.
pub fn habits_of_days(days: Vec<FishedDay>) -> Result<Habits, Refusal> {
    at_most_days(days.len())?;
    let read = |(at, FishedDay { mut plan, log }): (usize, FishedDay)| {
        let below = |refused: Refusal, part| refused.below(part).below(&at.to_string());
        plan.check().map_err(|refused| below(refused, "plan"))?;
        let log = read_back(&log, plan.rigs.len()).map_err(|refused| below(refused, "log"))?.log;
        Ok((plan, log))
    };
    let days: Vec<(Plan, Log)> = days.into_iter().enumerate().map(read).collect::<Result<_, _>>()?;
    habits_of(&days)
}
