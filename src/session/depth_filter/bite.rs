//! A bite as it was tapped, and when it came.

use super::settings::FilterSettings;

/// A bite as it was tapped.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Bite {
    /// Seconds from the lowering of the rig to the tap; `None`: not known, and the hook bait was at rest.
    pub since_s: Option<f64>,
    /// The same from the lowering before that one.
    pub before_s: Option<f64>,
    /// Whether it was a fish, tapped once it was played.
    pub played: bool,
}

impl Bite {
    /// A missed bite, tapped so many seconds after the lowering.
    #[must_use]
    pub fn missed(since_s: f64) -> Self {
        Self { since_s: Some(since_s), ..Self::default() }
    }

    /// When it came, from and to, s after the lowering; equal: at rest. `late_s`: how long before its tap a missed bite came
    /// where each is told late; it may then have come in the cast before. A fish is played first.
    #[must_use]
    pub fn window(&self, settings: &FilterSettings, late_s: Option<(f64, f64)>) -> (f64, f64) {
        let Some(since_s) = self.since_s else { return (0.0, 0.0) };
        let missed_s = late_s.unwrap_or((0.0, settings.reaction_s));
        let (latest_s, earliest_s) = if self.played { (0.0, settings.landing_s) } else { missed_s };
        let in_cast_before =
            late_s.is_some() && !self.played && since_s < f64::midpoint(latest_s, earliest_s);
        let tap_s = self.before_s.filter(|_| in_cast_before).unwrap_or(since_s);
        ((tap_s - earliest_s).max(0.0), (tap_s - latest_s).max(0.0))
    }
}
