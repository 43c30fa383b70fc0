//! Words that the advice and the summary share.

use super::setup::SessionSetup;
use crate::units::fixed;

impl SessionSetup {
    /// A number with the reader's decimal sign.
    pub(super) fn number(&self, value: f64, decimals: u8) -> String {
        self.units.map_or_else(|| fixed(value, decimals), |units| units.number(value, decimals))
    }

    /// A depth in the reader's units, or in metres with so many decimals.
    pub(super) fn depth_words(&self, depth_m: f64, decimals: u8) -> String {
        self.units.map_or_else(|| fixed(depth_m, decimals) + " m", |units| units.depth_m(depth_m))
    }

    /// A rig by its name, or by its depth where it has none: `the rig at 0.40 m`.
    pub(super) fn rig_words(&self, rig: usize) -> String {
        match self.rigs.get(rig) {
            Some(rig) if !rig.name.is_empty() => rig.name.clone(),
            _ => format!("the rig at {}", self.depth_of(rig)),
        }
    }

    /// The depth at which a rig's hook bait hangs.
    pub(super) fn depth_of(&self, rig: usize) -> String {
        self.rigs.get(rig).map_or_else(String::new, |rig| self.depth_words(rig.depth_m, 2))
    }
}

/// `1 bite`, `2 bites`.
pub(crate) fn counted(count: u32, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}
