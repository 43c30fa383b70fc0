//! A session's own clock, which never runs backwards whatever the phone's does.

use super::log::{Log, Standing};
use crate::small::sort_long_by;
use crate::units::fixed;

/// The own time of each record so far.
#[derive(Clone, Debug, Default)]
pub(super) struct OwnClock {
    /// For each record of the log, its time, ms.
    pub(super) times_ms: Vec<f64>,
    /// Added to handed-in times since the clock was found set back, ms.
    pub(super) shift_ms: f64,
}

impl OwnClock {
    /// The own time for a handed-in time, which becomes the last; `start_ms`: when the session starts. What the user
    /// should know goes to `told`.
    pub(super) fn take(&mut self, handed_ms: f64, start_ms: f64, told: &mut Vec<String>) -> f64 {
        let at_ms = handed_ms + self.shift_ms;
        let last_ms = self.times_ms.last().copied().unwrap_or(start_ms.min(at_ms));
        let back_ms = last_ms - at_ms;
        if back_ms > 2000.0 {
            self.shift_ms += back_ms;
            told.push(clock_jump("back", back_ms));
        } else if back_ms < -6.0 * 3_600_000.0 && !self.times_ms.is_empty() {
            told.push(clock_jump("ahead", -back_ms));
        }
        let own_ms = at_ms.max(last_ms);
        self.times_ms.push(own_ms);
        own_ms
    }
}

/// The records that stand in the order they happened, each with its own time.
pub(super) fn in_order<'a>(log: &'a Log, clock: &OwnClock) -> Vec<(f64, &'a Standing)> {
    let own_ms = |one: &Standing| {
        clock.times_ms.get(one.number).map_or(one.event.at_ms, |own_ms| own_ms + one.later_ms)
    };
    let mut order: Vec<(f64, &Standing)> = log.standing().iter().map(|one| (own_ms(one), one)).collect();
    if log.standing().iter().any(|one| one.later_ms != 0.0) {
        sort_long_by(&mut order, |a, b| a.0 < b.0);
    }
    order
}

fn clock_jump(way: &str, by_ms: f64) -> String {
    let by =
        if by_ms < 120_000.0 { fixed(by_ms / 1000.0, 0) + " s" } else { fixed(by_ms / 60_000.0, 0) + " min" };
    format!("The clock jumped {way} by {by}. Every tap is kept in order; check the time of the end.")
}
