//! The tub test's stopwatch, and the parts of the bait screen.
//!
//! What runs is kept as the moment of the drop on the phone's own clock, so that a reload, a killed browser or a phone
//! call in the middle of a drop loses nothing.

/// The parts of the bait screen.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum BaitTab {
    /// The fall, the amounts and the preparation.
    #[default]
    Fall,
    /// The tub test.
    Tub,
    /// Floaters and the wash.
    Wash,
    /// Freezing and thawing.
    Cold,
}

impl BaitTab {
    /// All of them with their names in a button and in words.
    pub const ALL: [(Self, &'static str, &'static str); 4] = [
        (Self::Fall, "fall", "Today"),
        (Self::Tub, "tub", "Tub test"),
        (Self::Wash, "wash", "Floaters"),
        (Self::Cold, "cold", "Frozen"),
    ];

    /// The one that a name stands for.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.iter().find(|(_, n, _)| *n == name).map(|&(tab, ..)| tab)
    }
}

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
