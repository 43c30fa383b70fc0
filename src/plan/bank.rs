//! Choices for the live session at the bank.

use super::Slot;
use serde::{Deserialize, Serialize};

/// Choices for the live session at the bank.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BankChoices {}

impl BankChoices {
    /// The field at the rest of a path.
    pub(super) fn slot(&mut self, _rest: &str) -> Option<Slot<'_>> {
        None
    }
}
