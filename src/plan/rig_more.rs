//! What a rig needs beyond its balance: how it falls, its elastic, its back shot.

use super::Slot;
use serde::{Deserialize, Serialize};

/// What a rig needs beyond its balance: how it falls, its elastic, its back shot.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RigMore {}

impl RigMore {
    /// The field at the rest of a path.
    pub(super) fn slot(&mut self, _rest: &[&str]) -> Option<Slot<'_>> {
        None
    }
}
