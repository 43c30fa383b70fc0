//! What the bait needs beyond the label: tub test, freezing and thawing, washing, other shapes.

use super::Slot;
use serde::{Deserialize, Serialize};

/// What the bait needs beyond the label: tub test, freezing and thawing, washing, other shapes.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BaitMore {}

impl BaitMore {
    /// The field at the rest of a path.
    pub(super) fn slot(&mut self, _group: &str, _rest: &[&str]) -> Option<Slot<'_>> {
        None
    }
}
