//! The days that a water was fished, handed to the learning.

use super::habits::{DayRecord, Habits, MAX_STEPS, STEP_S, learn};
use super::log::{Log, MAX_EVENTS};
use super::own_clock::{OwnClock, in_order};
use super::replay::Replay;
use super::setup::{Prepared, SessionSetup};
use crate::refusal::Refusal;
use crate::small::sort_by_key;

/// The most days that are looked at: the newest.
pub const MAX_DAYS: usize = 24;

/// The most taps of all of them: as many as one log has.
const MAX_TAPS: usize = MAX_EVENTS;
/// The most steps of two minutes that all of them last: 80 hours.
const MAX_STEPS_OF_ALL: usize = 2_400;

/// How many days of these, from the newest on, are looked at: up to [`MAX_DAYS`], and no more than have 20,000 taps and last 80
/// hours together, since the work grows with both. The newest always is.
pub fn days_that_fit<'a>(newest_first: impl Iterator<Item = &'a Log>) -> usize {
    let (mut taps, mut steps) = (0, 0);
    let fits = newest_first.take(MAX_DAYS).take_while(|log| {
        taps += log.events().len();
        steps += steps_of(log);
        taps <= MAX_TAPS && steps <= MAX_STEPS_OF_ALL
    });
    fits.count().max(1)
}

/// How many steps a day lasts at most, by its log.
fn steps_of(log: &Log) -> usize {
    let times = || log.events().iter().map(|event| event.at_ms);
    let lasted_s = (times().fold(0.0, f64::max) - times().fold(f64::INFINITY, f64::min)) / 1000.0;
    let steps = (lasted_s / STEP_S).max(0.0);
    if steps < MAX_STEPS as f64 {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "from 0 to 480")]
        return steps as usize + 1;
    }
    MAX_STEPS
}

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
    let fit = days_that_fit(order.iter().rev().map(|day| &day.log));
    let newest = order.iter().skip(order.len().saturating_sub(fit));
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::{Event, EventKind};

    /// A log of so many taps, so many seconds apart.
    fn log(taps: u32, every_s: f64) -> Log {
        let mut log = Log::default();
        for place in 0..taps {
            log.push(Event::new(1.9e12 + 1000.0 * every_s * f64::from(place), EventKind::Cast), 0.0).unwrap();
        }
        log
    }

    #[test]
    fn days_are_looked_at_up_to_their_number_their_taps_and_their_hours() {
        let fit = |days: usize, taps: u32, every_s: f64| {
            let log = log(taps, every_s);
            days_that_fit(core::iter::repeat_n(&log, days))
        };
        assert_eq!(fit(30, 200, 60.0), MAX_DAYS, "three hours and twenty minutes each");
        assert_eq!(fit(24, 300, 60.0), 16, "five hours each");
        assert_eq!(fit(24, 5_000, 1.0), 4);
        assert_eq!(fit(24, 2, 1e6), 5, "days without an end count sixteen hours");
        assert_eq!((fit(24, 20_000, 10.0), fit(1, 0, 1.0)), (1, 1));
    }
}
