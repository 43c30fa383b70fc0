//! Changes to the kit list, and choices for the live session.

use super::super::choices::Group;
use serde::{Deserialize, Serialize};

/// A thing the user adds to the kit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct KitItem {
    /// Where it is packed.
    pub group: Group,
    /// What it is.
    pub name: String,
    /// How many.
    pub count: i32,
}

/// A changed number of a thing that the kit list derives by itself.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct KitCount {
    /// The thing's id in the list.
    pub id: String,
    /// How many; 0 leaves it at home.
    pub count: i32,
}

/// Choices for the live session at the bank.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields, default)]
pub struct BankChoices {
    /// Whether each feed is also a lifting and lowering of the rig.
    pub feed_is_recast: bool,
    /// Usual mass of a fish, grams, for the estimate of the weight.
    pub fish_g: Option<i32>,
    /// Whether the clock is silent.
    pub silent: bool,
}
