//! What the reader chose, apart from the plan: the open screen, light or dark, units, what is printed.

use crate::units::Units;

/// The five destinations, and the page about the page.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Screen {
    /// The day: water, figures, rules.
    #[default]
    Day,
    /// The bait.
    Bait,
    /// The rigs.
    Rigs,
    /// The kit list.
    Kit,
    /// The live session.
    Bank,
    /// My days, and a new one. This and those that follow are not in the bar.
    Days,
    /// A water.
    Water,
    /// My tackle.
    Tackle,
    /// Settings and backup.
    Settings,
    /// About the page itself.
    About,
}

impl Screen {
    /// All of them, in the order of the bar.
    pub const ALL: [(Self, &'static str); 10] = [
        (Self::Day, "day"),
        (Self::Bait, "bait"),
        (Self::Rigs, "rigs"),
        (Self::Kit, "kit"),
        (Self::Bank, "bank"),
        (Self::Days, "days"),
        (Self::Water, "water"),
        (Self::Tackle, "tackle"),
        (Self::Settings, "settings"),
        (Self::About, "about"),
    ];

    /// The screen that a link's fragment names.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.iter().find(|(_, n)| *n == name).map(|&(screen, _)| screen)
    }

    /// Its name in a link.
    #[must_use]
    pub fn name(self) -> &'static str {
        Self::ALL.iter().find(|(screen, _)| *screen == self).map_or("day", |&(_, name)| name)
    }
}

/// Light or dark.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Theme {
    /// As the phone is.
    #[default]
    Phone,
    /// Paper.
    Light,
    /// Night.
    Night,
}

impl Theme {
    /// All of them with their names.
    pub const ALL: [(Self, &'static str, &'static str); 3] = [
        (Self::Phone, "phone", "as the phone"),
        (Self::Light, "light", "light"),
        (Self::Night, "night", "night"),
    ];

    /// The one that a name stands for.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.iter().find(|(_, n, _)| *n == name).map(|&(theme, ..)| theme)
    }

    /// Its name in storage and in the page's root element.
    #[must_use]
    pub fn name(self) -> &'static str {
        Self::ALL.iter().find(|(theme, ..)| *theme == self).map_or("phone", |&(_, name, _)| name)
    }
}

/// How the reader wants the bank.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Handling {
    /// The large button lies at the left thumb.
    pub left_handed: bool,
    /// An alarm does not vibrate.
    pub no_vibration: bool,
    /// An alarm does not change the look of the clock.
    pub no_flash: bool,
}

impl Handling {
    /// As words for storage; empty for the usual.
    #[must_use]
    pub fn words(self) -> String {
        let mut words = String::new();
        for (on, word) in
            [(self.left_handed, " left"), (self.no_vibration, " still"), (self.no_flash, " plain")]
        {
            words.push_str(if on { word } else { "" });
        }
        words
    }

    /// What those words stand for.
    #[must_use]
    pub fn read(words: &str) -> Self {
        let mut handling = Self::default();
        for word in words.split(' ') {
            match word {
                "left" => handling.left_handed = true,
                "still" => handling.no_vibration = true,
                "plain" => handling.no_flash = true,
                _ => {}
            }
        }
        handling
    }
}

/// Choices of the reader, not of the plan.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Choices {
    /// Units and decimal sign.
    pub units: Units,
    /// Light or dark.
    pub theme: Theme,
    /// How the bank is handled.
    pub bank: Handling,
}

impl Choices {
    /// These, but for what was chosen in `newer`.
    pub(super) fn overlaid(self, newer: Self) -> Self {
        fn one<T: Default + PartialEq>(kept: T, newer: T) -> T {
            if newer == T::default() { kept } else { newer }
        }
        Self {
            units: Units {
                lengths: one(self.units.lengths, newer.units.lengths),
                sign: one(self.units.sign, newer.units.sign),
            },
            theme: one(self.theme, newer.theme),
            bank: one(self.bank, newer.bank),
        }
    }
}

/// The size of a rig card.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum CardSize {
    /// Four on an A4.
    #[default]
    A6,
    /// Two on an A4.
    A5,
}

/// A thing to print.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paper {
    /// A card of each rig and one of the set.
    Cards,
    /// The prep checklist.
    Prep,
    /// The kit list.
    Kit,
    /// The day that was fished.
    Day,
}

impl Paper {
    /// What a button's `data-print` names.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        match name {
            "cards" => Some(Self::Cards),
            "prep" => Some(Self::Prep),
            "kit" => Some(Self::Kit),
            "day" => Some(Self::Day),
            _ => None,
        }
    }
}

/// Where the page stands, as the browser tells it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Surroundings {
    /// The page's address without a fragment, where it leads others here; none of a file on this phone.
    pub address: Option<String>,
    /// Whether the phone has a share sheet.
    pub share_sheet: bool,
    /// Whether the reader wants no motion.
    pub still: bool,
    /// Whether there is room for a sheet beside the screen.
    pub wide: bool,
    /// The time, ms since 1970, as it was told last.
    pub now_ms: f64,
    /// How far the phone's clock is ahead of UTC, minutes.
    pub ahead_min: i32,
}
