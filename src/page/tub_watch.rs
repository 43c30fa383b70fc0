//! The tub test's stopwatch.
//!
//! What runs is kept as the moment of the drop on the phone's own clock, so that a reload, a killed browser or a phone
//! call in the middle of a drop loses nothing.

/// How long a practice piece takes down the screen, ms; `www/style.css` moves it.
pub const PRACTICE_MS: i64 = 4_000;

/// A stopwatch that knows no clock.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Stopwatch {
    /// When the piece that is falling was let go, ms since 1970.
    pub started_ms: Option<i64>,
    /// When the piece before it was let go, so that a landing tapped by mistake can be taken back.
    pub before_ms: Option<i64>,
}

impl Stopwatch {
    /// As text for the phone's storage.
    #[must_use]
    pub fn kept(&self) -> String {
        self.started_ms.map_or_else(String::new, |ms| ms.to_string())
    }
}

/// Practice drops: a piece on the screen whose time is known shows how late a landing is tapped.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Practice {
    /// When the piece that is falling was let go, ms since 1970.
    pub started_ms: Option<i64>,
    /// How late each landing was tapped, ms, newest last; below zero for one tapped early.
    pub late_ms: Vec<i32>,
}

impl Practice {
    /// A tap: the piece is let go, or has landed. One that is two seconds off was no landing; the last nine are kept.
    pub(super) fn tap(&mut self, now_ms: i64) {
        let Some(started) = self.started_ms.take() else {
            self.started_ms = Some(now_ms);
            return;
        };
        let late = now_ms.saturating_sub(started).saturating_sub(PRACTICE_MS);
        if let Some(late) = i32::try_from(late).ok().filter(|late| late.abs() < 2_000) {
            self.late_ms.push(late);
            let many = self.late_ms.len().saturating_sub(9);
            self.late_ms.drain(..many);
        }
    }

    /// The last one and the middle one, ms.
    #[must_use]
    pub fn told(&self) -> Option<(i32, i32)> {
        let mut sorted = self.late_ms.clone();
        crate::small::sort_by(&mut sorted, |a, b| a < b);
        Some((*self.late_ms.last()?, sorted[sorted.len() / 2]))
    }
}
