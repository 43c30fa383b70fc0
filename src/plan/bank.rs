//! Choices for the live session at the bank.

use super::FieldMut;
use serde::{Deserialize, Serialize};

/// Choices for the live session at the bank.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BankChoices {
    /// Whether each feed is also a lifting and lowering of the rig.
    pub feed_is_recast: bool,
    /// Usual mass of a fish, grams, for the estimate of the weight.
    pub fish_g: Option<i32>,
    /// Whether the clock is silent.
    pub silent: bool,
}

impl BankChoices {
    /// The field at the rest of a path.
    pub(super) fn slot(&mut self, rest: &str) -> Option<FieldMut<'_>> {
        Some(match rest {
            "recast" => FieldMut::Flag(&mut self.feed_is_recast),
            "fish" => FieldMut::Maybe(&mut self.fish_g),
            "silent" => FieldMut::Flag(&mut self.silent),
            _ => return None,
        })
    }
}
