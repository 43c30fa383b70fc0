//! When to feed next, and where in the water the last feeds are now.
//!
//! The clock knows only absolute times that it is handed, so that it is right to the second after the phone
//! slept, took a call or loaded the page again. The interval comes from the feeding phase and may be nudged
//! faster or slower. The beat runs on from the last feed; a pause stops it.
//!
//! A feed sinks as a cloud: its front with the fastest cubes, its middle with the usual ones, its tail with
//! the slowest, each at its own terminal speed; a cube has nine tenths of it within three of its lengths.
//!
//! # Validity
//! Still water; speeds as measured in a tub or computed from the tin's label. Intervals of 2 s to 1 h.
//!
//! # Source
//! Plain kinematics. That shallow fishing wants a feed about every 15 s is common practice, no published
//! source.

use crate::units::between;
use serde::{Deserialize, Serialize};

/// The shortest interval between feeds, s.
const MIN_INTERVAL_S: f64 = 2.0;
/// The longest interval between feeds, s.
const MAX_INTERVAL_S: f64 = 3600.0;
/// For how long after a beat the screen should call "feed now", s.
const CALL_S: f64 = 5.0;
/// How many feeds are shown sinking at most.
const MAX_CLOUDS: usize = 8;
/// For how long a feed that has landed is still shown, s.
const LANDED_SHOWN_S: f64 = 10.0;

/// One stretch of the day with one feeding rhythm.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Feeding {
    /// The pole line that is fed, free text.
    #[serde(default)]
    pub line: String,
    /// How long the phase lasts, min, above 0.
    pub minutes: f64,
    /// Cubes in one feed, 0 or more.
    pub cubes_per_feed: f64,
    /// Seconds from one feed to the next, 2 to 3600; 0 means that nothing is fed in this phase.
    pub seconds_between: f64,
}

/// The feed clock's memory.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FeedClock {
    /// Times of the last feeds, ms, newest last.
    fed_ms: Vec<f64>,
    /// From when the beat counts, ms: the last feed, moved on by pauses since.
    beat_from_ms: Option<f64>,
    /// When the pause that still lasts began, ms.
    paused_since_ms: Option<f64>,
    /// Seconds added to the phase's interval.
    nudge_s: f64,
    /// The phase said by hand, and when, ms.
    phase_from: Option<(usize, f64)>,
}

/// What the clock says at one moment.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
pub struct FeedStatus {
    /// Which phase this is, from 0; none after the last or without phases.
    pub phase: Option<usize>,
    /// The interval in force, s; none when nothing is to be fed.
    pub interval_s: Option<f64>,
    /// Seconds to the next beat; none before the first feed, or when nothing is to be fed. It never runs
    /// below 0: a beat that was missed is counted, and the next one is awaited.
    pub to_next_s: Option<f64>,
    /// Beats gone by without a feed.
    pub missed_beats: u32,
    /// Whether to call for a feed now: before the first feed, or within 5 s after a missed beat.
    pub feed_now: bool,
    /// Seconds since the last feed; none before the first.
    pub since_last_s: Option<f64>,
    /// Whether the clock is stopped.
    pub paused: bool,
    /// The time of the next beat, ms since 1970, for a timer; none when paused or nothing is due.
    pub next_at_ms: Option<f64>,
}

/// Where one feed is now.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
pub struct SinkingFeed {
    /// When it was fed, ms since 1970.
    pub fed_at_ms: f64,
    /// Depth of the fastest cubes, m, at most the water's depth.
    pub front_m: f64,
    /// Depth of the usual cubes, m.
    pub middle_m: f64,
    /// Depth of the slowest cubes, m.
    pub tail_m: f64,
    /// Whether even the slowest lie on the bottom.
    pub landed: bool,
}

/// Sinking speeds of a cube: slowest, usual, fastest, m/s.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct SinkSpeeds {
    /// Slowest, m/s; 0 or below means that some float.
    pub low_m_per_s: f64,
    /// Usual, m/s.
    pub mid_m_per_s: f64,
    /// Fastest, m/s.
    pub high_m_per_s: f64,
}

impl Default for SinkSpeeds {
    fn default() -> Self {
        Self { low_m_per_s: 0.045, mid_m_per_s: 0.06, high_m_per_s: 0.075 }
    }
}

impl FeedClock {
    /// A feed at `at_ms`.
    pub fn fed(&mut self, at_ms: f64) {
        if self.fed_ms.len() >= MAX_CLOUDS {
            self.fed_ms.remove(0);
        }
        self.fed_ms.push(at_ms);
        self.beat_from_ms = Some(at_ms);
        if self.paused_since_ms.is_some() {
            self.paused_since_ms = Some(at_ms);
        }
    }

    /// The clock stops at `at_ms`. Stopping twice changes nothing.
    pub fn pause(&mut self, at_ms: f64) {
        self.paused_since_ms.get_or_insert(at_ms);
    }

    /// The clock goes on at `at_ms` with the seconds it had left.
    pub fn resume(&mut self, at_ms: f64) {
        if let Some(since) = self.paused_since_ms.take()
            && let Some(from) = &mut self.beat_from_ms
        {
            *from += (at_ms - since).max(0.0);
        }
    }

    /// Adds seconds to the interval (negative: faster).
    pub fn nudge(&mut self, seconds: f64) {
        self.nudge_s = between(self.nudge_s + seconds, -MAX_INTERVAL_S, MAX_INTERVAL_S);
    }

    /// Phase `phase` begins at `at_ms`, whatever the plan said. The nudge of the phase before is forgotten.
    pub fn change_phase(&mut self, phase: usize, at_ms: f64) {
        self.phase_from = Some((phase, at_ms));
        self.nudge_s = 0.0;
    }

    /// The phase in force at `at_ms`, from 0; none after the last.
    #[must_use]
    pub fn phase(&self, phases: &[Feeding], start_ms: f64, at_ms: f64) -> Option<usize> {
        let (mut phase, mut from) = self.phase_from.unwrap_or((0, start_ms));
        loop {
            from += phases.get(phase)?.minutes * 60_000.0;
            if at_ms < from {
                return Some(phase);
            }
            phase += 1;
        }
    }

    /// When the phase in force and each after it end, ms, from `at_ms` on.
    fn to_come<'a>(
        &self,
        phases: &'a [Feeding],
        start_ms: f64,
        at_ms: f64,
    ) -> impl Iterator<Item = (usize, f64, &'a Feeding)> {
        let (first, mut end_ms) = self.phase_from.unwrap_or((0, start_ms));
        let ends = phases.iter().enumerate().skip(first).map(move |(place, phase)| {
            end_ms += phase.minutes * 60_000.0;
            (place, end_ms, phase)
        });
        ends.filter(move |(_, end_ms, _)| *end_ms > at_ms)
    }

    /// Cubes that the feeding from `at_ms` to its end takes, at the phases' rhythm; the phase in force as it was nudged.
    #[must_use]
    pub fn cubes_to_come(&self, phases: &[Feeding], start_ms: f64, at_ms: f64) -> f64 {
        let now = self.phase(phases, start_ms, at_ms);
        let cubes = self.to_come(phases, start_ms, at_ms).map(|(place, end_ms, phase)| {
            let nudge_s = if now == Some(place) { self.nudge_s } else { 0.0 };
            let left_s = ((end_ms - at_ms) / 1000.0).min(phase.minutes * 60.0);
            if phase.seconds_between <= 0.0 {
                return 0.0;
            }
            phase.cubes_per_feed * left_s
                / between(phase.seconds_between + nudge_s, MIN_INTERVAL_S, MAX_INTERVAL_S)
        });
        cubes.sum()
    }

    /// The next phase that differs, and when it begins, ms.
    #[must_use]
    pub fn next_phase(&self, phases: &[Feeding], start_ms: f64, at_ms: f64) -> Option<(usize, f64)> {
        let (place, end_ms, _) = self.to_come(phases, start_ms, at_ms).next()?;
        (place + 1 < phases.len()).then_some((place + 1, end_ms))
    }

    /// What the clock says at `at_ms`.
    #[must_use]
    pub fn beat(&self, phases: &[Feeding], start_ms: f64, at_ms: f64) -> FeedStatus {
        let phase = self.phase(phases, start_ms, at_ms);
        let planned_s = phase.and_then(|phase| phases.get(phase)).map_or(0.0, |phase| phase.seconds_between);
        let interval_s =
            (planned_s > 0.0).then(|| between(planned_s + self.nudge_s, MIN_INTERVAL_S, MAX_INTERVAL_S));
        let now = self.paused_since_ms.unwrap_or(at_ms);
        let mut beat = FeedStatus {
            phase,
            interval_s,
            to_next_s: None,
            missed_beats: 0,
            feed_now: false,
            since_last_s: self.fed_ms.last().map(|fed| ((at_ms - fed) / 1000.0).max(0.0)),
            paused: self.paused_since_ms.is_some(),
            next_at_ms: None,
        };
        let Some(interval_s) = interval_s else { return beat };
        let Some(from) = self.beat_from_ms else {
            beat.feed_now = !beat.paused;
            return beat;
        };
        let elapsed_s = ((now - from) / 1000.0).max(0.0);
        let beats = (elapsed_s / interval_s).floor();
        let to_next_s = (beats + 1.0) * interval_s - elapsed_s;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
        {
            beat.missed_beats = between(beats, 0.0, 1e6) as u32;
        }
        beat.to_next_s = Some(to_next_s);
        beat.feed_now = !beat.paused && beats >= 1.0 && interval_s - to_next_s < CALL_S;
        beat.next_at_ms = (!beat.paused).then_some(at_ms + to_next_s * 1000.0);
        beat
    }

    /// Where the last feeds are at `at_ms`, newest first. A feed is shown until 10 s after its last cube has
    /// landed, or, if some of its cubes hardly sink, until 10 s after its usual ones have.
    #[must_use]
    pub fn clouds(&self, speeds: SinkSpeeds, water_depth_m: f64, at_ms: f64) -> Vec<SinkingFeed> {
        let mut clouds = Vec::new();
        for &fed_at_ms in self.fed_ms.iter().rev() {
            let age_s = (at_ms - fed_at_ms) / 1000.0;
            if age_s < 0.0 {
                continue;
            }
            let depth = |speed: f64, age_s: f64| between(speed * age_s, 0.0, water_depth_m);
            let slow = if speeds.low_m_per_s > 0.1 * speeds.mid_m_per_s {
                speeds.low_m_per_s
            } else {
                speeds.mid_m_per_s
            };
            if depth(slow, age_s - LANDED_SHOWN_S) >= water_depth_m || age_s > 600.0 {
                continue;
            }
            let tail_m = depth(speeds.low_m_per_s, age_s);
            clouds.push(SinkingFeed {
                fed_at_ms,
                front_m: depth(speeds.high_m_per_s, age_s),
                middle_m: depth(speeds.mid_m_per_s, age_s),
                tail_m,
                landed: tail_m >= water_depth_m,
            });
        }
        clouds
    }
}

/// By how many seconds the wall clock jumped between two looks, if it did by more than `tolerance_s`.
///
/// The wall clock (ms since 1970) is held against a clock that only runs forward (ms from any origin). The
/// forward clock may stand still while the phone sleeps, so that a jump ahead may also be a sleep: the two
/// cannot be told apart, and both are worth a word. A jump back is always a change of the clock.
#[must_use]
pub fn clock_jump_s(
    wall_before_ms: f64,
    forward_before_ms: f64,
    wall_ms: f64,
    forward_ms: f64,
    tolerance_s: f64,
) -> Option<f64> {
    let jump_s = ((wall_ms - wall_before_ms) - (forward_ms - forward_before_ms)) / 1000.0;
    (jump_s.is_finite() && jump_s.abs() > tolerance_s).then_some(jump_s)
}

#[cfg(test)]
mod tests {
    use super::*;

    const T0: f64 = 1_900_000_000_000.0;

    fn phases() -> Vec<Feeding> {
        [(10.0, 6.0, 15.0), (20.0, 10.0, 30.0), (5.0, 0.0, 0.0)]
            .map(|(minutes, cubes_per_feed, seconds_between)| Feeding {
                line: String::new(),
                minutes,
                cubes_per_feed,
                seconds_between,
            })
            .to_vec()
    }

    fn near(a: Option<f64>, b: f64) {
        assert!(a.is_some_and(|a| (a - b).abs() < 1e-6), "{a:?} {b}");
    }

    #[test]
    fn counts_down_from_the_last_feed() {
        let mut clock = FeedClock::default();
        assert!(clock.beat(&phases(), T0, T0).feed_now);
        clock.fed(T0 + 1000.0);
        near(clock.beat(&phases(), T0, T0 + 1000.0).to_next_s, 15.0);
        near(clock.beat(&phases(), T0, T0 + 11_500.0).to_next_s, 4.5);
        // Three beats missed while the phone slept: the beat itself has not moved.
        let beat = clock.beat(&phases(), T0, T0 + 1000.0 + 47_000.0);
        near(beat.to_next_s, 13.0);
        assert_eq!((beat.missed_beats, beat.feed_now), (3, true));
        assert!(!clock.beat(&phases(), T0, T0 + 1000.0 + 52_000.0).feed_now);
    }

    #[test]
    fn phases_follow_and_can_be_said() {
        let mut clock = FeedClock::default();
        let at = |minutes: f64| T0 + minutes * 60_000.0;
        assert_eq!(clock.phase(&phases(), T0, at(9.99)), Some(0));
        assert_eq!(clock.phase(&phases(), T0, at(10.0)), Some(1));
        assert_eq!(clock.phase(&phases(), T0, at(31.0)), Some(2));
        assert_eq!(clock.phase(&phases(), T0, at(36.0)), None);
        assert_eq!(clock.beat(&phases(), T0, at(31.0)).interval_s, None);
        clock.change_phase(1, at(2.0));
        assert_eq!(clock.phase(&phases(), T0, at(2.0)), Some(1));
        assert_eq!(clock.phase(&phases(), T0, at(22.5)), Some(2));
        clock.nudge(-40.0);
        near(clock.beat(&phases(), T0, at(3.0)).interval_s, MIN_INTERVAL_S);
        clock.nudge(45.0);
        near(clock.beat(&phases(), T0, at(3.0)).interval_s, 35.0);
    }

    #[test]
    fn a_pause_keeps_the_seconds_left() {
        let mut clock = FeedClock::default();
        clock.fed(T0);
        clock.pause(T0 + 5000.0);
        clock.pause(T0 + 6000.0);
        let beat = clock.beat(&phases(), T0, T0 + 300_000.0);
        near(beat.to_next_s, 10.0);
        assert_eq!((beat.paused, beat.next_at_ms, beat.feed_now), (true, None, false));
        clock.resume(T0 + 300_000.0);
        near(clock.beat(&phases(), T0, T0 + 304_000.0).to_next_s, 6.0);
    }

    #[test]
    fn feeds_sink_as_clouds() {
        let mut clock = FeedClock::default();
        let speeds = SinkSpeeds { low_m_per_s: 0.04, mid_m_per_s: 0.05, high_m_per_s: 0.08 };
        for feed in 0..20 {
            clock.fed(T0 + 15_000.0 * f64::from(feed));
        }
        let clouds = clock.clouds(speeds, 2.0, T0 + 19.0 * 15_000.0 + 10_000.0);
        near(Some(clouds[0].tail_m), 0.4);
        near(Some(clouds[0].middle_m), 0.5);
        near(Some(clouds[0].front_m), 0.8);
        assert!(clouds.windows(2).all(|pair| pair[0].tail_m <= pair[1].tail_m));
        assert!(clouds.iter().all(|cloud| cloud.front_m <= 2.0));
        // 2 m at 0.04 m/s take 50 s, and 10 s more are shown.
        assert_eq!(clouds.len(), 4);
        assert!(clock.clouds(speeds, 2.0, T0 + 1e6).is_empty());
    }

    #[test]
    fn a_clock_that_jumps_is_noticed() {
        assert_eq!(clock_jump_s(T0, 500.0, T0 + 1000.0, 1500.0, 2.0), None);
        assert_eq!(clock_jump_s(T0, 500.0, T0 + 3_601_000.0, 1500.0, 2.0), Some(3600.0));
        assert_eq!(clock_jump_s(T0, 500.0, T0 - 59_000.0, 1500.0, 2.0), Some(-60.0));
        assert_eq!(clock_jump_s(T0, 500.0, f64::NAN, 1500.0, 2.0), None);
    }
}
