//! The plan: the one document that holds everything a user enters.
//!
//! Every number is a whole number of a small unit, named in its field and held against [`fields`]. A field is
//! reached by its path (`rigs.0.depth`), which is the field's name without the unit; [`Plan::set`] takes what was
//! typed, [`Plan::check`] holds a whole plan that came from outside against the table.

mod base58;
mod bounds;
mod choices;
mod edit;
pub mod fields;
pub mod link;
pub mod past_versions;
pub mod presets;
mod sections;
mod validate;

pub use choices::{
    Around, Choice, DottedWith, Entry, Form, Group, Hold, Lead, Method, Pattern, Purpose, ShotPreference,
    Sky, Start, StrengthBy, TipOf, Trend, Wind,
};
pub use edit::clean;
pub use fields::FieldMut;
pub use sections::{
    Bait, BaitMore, BankChoices, BoxShot, Cold, Date, DayTimes, Dropper, Feeding, KitCount, KitItem, Other,
    PoleLine, Prep, Rig, RigMore, Rinse, Rules, ShotCount, Tin, Tub, Water, Weather,
};

use serde::{Deserialize, Serialize};

/// The plan.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Plan {
    /// Version of the document's form.
    #[serde(default = "this_version")]
    pub version: u16,
    /// The plan's name.
    pub name: String,
    /// Times.
    pub day: DayTimes,
    /// The water.
    pub water: Water,
    /// The weather.
    pub weather: Weather,
    /// The venue's rules.
    pub rules: Rules,
    /// Pole lines.
    pub lines: Vec<PoleLine>,
    /// The tin.
    pub tin: Tin,
    /// The bait.
    pub bait: Bait,
    /// Feeding.
    pub feed: Vec<Feeding>,
    /// Rigs.
    pub rigs: Vec<Rig>,
    /// The shot box.
    pub shot_box: Vec<BoxShot>,
    /// Preparation.
    pub prep: Prep,
    /// Additions to the kit.
    #[serde(default)]
    pub kit: Vec<KitItem>,
    /// Changed numbers in the kit.
    #[serde(default)]
    pub kit_counts: Vec<KitCount>,
    /// A note.
    #[serde(default)]
    pub note: String,
    /// Tub test, freezing and thawing, washing, other shapes of bait.
    #[serde(default)]
    pub bait_more: BaitMore,
    /// Choices for the live session.
    #[serde(default)]
    pub bank: BankChoices,
}

/// The version of the document's form that this code writes.
pub const VERSION: u16 = 1;

fn this_version() -> u16 {
    VERSION
}
