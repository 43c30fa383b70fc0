//! The player of a fall: a moment that runs on while it plays.

use crate::units::between;

/// Longest step, ms: after a pause of the page it goes on where it was.
const MAX_FRAME_MS: f64 = 100.0;
/// So near to its end, s, a fall has been seen and begins anew.
const NEAR_END_S: f64 = 0.05;

/// The player.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Player {
    /// The moment that is shown, s after the rig went in.
    pub at_s: f64,
    /// Whether it runs.
    pub playing: bool,
    /// Time of the last frame, ms, while it runs.
    last_ms: Option<f64>,
}

impl Player {
    /// The button: plays from here, from the start when it was at the end `end_s`, or pauses.
    pub fn toggle(&mut self, end_s: f64) {
        if !self.playing && self.at_s >= end_s - NEAR_END_S {
            self.at_s = 0.0;
        }
        *self = Self { playing: !self.playing, last_ms: None, ..*self };
    }

    /// Stands still; says whether it ran.
    pub fn pause(&mut self) -> bool {
        self.last_ms = None;
        core::mem::take(&mut self.playing)
    }

    /// Goes to a moment, s, and stands there.
    pub fn scrub(&mut self, at_s: f64) {
        *self = Self { at_s: between(at_s, 0.0, f64::MAX), ..Self::default() };
    }

    /// A frame at `now_ms`: goes on by what has passed, and stops at the end.
    pub fn frame(&mut self, now_ms: f64, end_s: f64) {
        let passed_ms = self.last_ms.map_or(0.0, |last| between(now_ms - last, 0.0, MAX_FRAME_MS));
        self.at_s += passed_ms / 1000.0;
        self.last_ms = Some(now_ms);
        if self.at_s >= end_s {
            self.pause();
        }
    }
}
