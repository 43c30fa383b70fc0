//! The days that a water was fished, handed to the learning.

use super::habits::{DayRecord, Habits, learn};
use super::log::Log;
use super::own_clock::{OwnClock, in_order};
use super::replay::Replay;
use super::setup::{Prepared, SessionSetup};
use crate::refusal::Refusal;
use crate::small::sort_by_key;

/// The most days that are looked at: the newest.
pub const MAX_DAYS: usize = 24;

/// One day at the water.
#[derive(Clone, Debug, PartialEq)]
pub struct FishedDay {
    /// Its date, days since 1 January 1970.
    pub date: i32,
    /// What its session was made from.
    pub setup: SessionSetup,
    /// Its log.
    pub log: Log,
}

/// What a water taught on these days, handed in in any order. A day on which nothing was seen of the fish is no day.
///
/// # Errors
/// `setup`, `time` or `unknown_rig` as for a session of such a day.
pub fn habits(days: &[FishedDay]) -> Result<Habits, Refusal> {
    let mut order: Vec<&FishedDay> = days.iter().collect();
    // Of two on one date, by what their logs and rigs hold.
    sort_by_key(&mut order, |FishedDay { date, setup, log }| {
        (*date, log, setup.water_depth_m, setup.first_rig, setup.feed_is_recast, &setup.rigs)
    });
    let newest = order.iter().skip(order.len().saturating_sub(MAX_DAYS));
    let mut records: Vec<DayRecord> = newest.map(|day| record(day)).collect::<Result<_, _>>()?;
    records.retain(DayRecord::saw_something);
    Ok(learn(&records))
}

/// The day as the learning sees it.
fn record(day: &FishedDay) -> Result<DayRecord, Refusal> {
    let prepared = Prepared::new(SessionSetup { habits: None, ..day.setup.clone() })?;
    let log = day.log.tidy(prepared.setup.rigs.len())?;
    let record = DayRecord::new(prepared.setup.water_depth_m, &prepared.paths);
    let mut replay = Replay::witnessed(&prepared, record);
    let mut clock = OwnClock::default();
    for event in log.events() {
        clock.take(event.at_ms, replay.start_ms, &mut Vec::new());
    }
    for (at_ms, one) in in_order(&log, &clock) {
        replay.apply(&prepared, one, at_ms);
    }
    Ok(replay.belief)
}
