//! The day, its water, its weather and its rules, and how long the preparation takes.

use super::super::choices::{Lead, Sky, Start, Trend, Wind};
use crate::units::{Quantity, Units, date_from};
use serde::{Deserialize, Serialize};

/// A day of the calendar, as days since 1 January 1970; in JSON the text `2026-07-11`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Date(pub i32);

impl Serialize for Date {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if serializer.is_human_readable() {
            serializer.serialize_str(&Units::default().bare(self.0, Quantity::Date))
        } else {
            serializer.serialize_i32(self.0)
        }
    }
}

impl<'de> Deserialize<'de> for Date {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        use serde::de::Error;
        if deserializer.is_human_readable() {
            let text = String::deserialize(deserializer)?;
            date_from(&text).map(Self).ok_or_else(|| D::Error::custom("a date is written 2026-07-11"))
        } else {
            i32::deserialize(deserializer).map(Self)
        }
    }
}

/// The day's times.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct DayTimes {
    /// The date.
    #[cfg_attr(feature = "types", schemars(with = "String"))]
    pub date: Date,
    /// The draw for pegs, minutes since midnight.
    pub draw_min: i32,
    /// When fishing starts, minutes since midnight.
    pub all_in_min: i32,
    /// When fishing ends, minutes since midnight; earlier than the all-in means the next day.
    pub all_out_min: i32,
    /// The way there, minutes.
    pub travel_min: i32,
    /// From the draw to being ready, minutes.
    pub setup_min: i32,
}

impl DayTimes {
    /// From the all-in to the all-out, minutes; a match may end after midnight.
    #[must_use]
    pub fn span_min(&self) -> i32 {
        let span = self.all_out_min - self.all_in_min;
        if span <= 0 { span + 1440 } else { span }
    }
}

/// The water.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Water {
    /// The venue's name.
    pub venue: String,
    /// The peg.
    pub peg: String,
    /// Depth at the pole line, tenths of a millimetre.
    pub depth_tenth_mm: i32,
    /// Temperature near the surface, tenths of a degree Celsius.
    pub surface_tenth_c: i32,
    /// Temperature at the bottom if known, tenths of a degree Celsius.
    pub bottom_tenth_c: Option<i32>,
    /// Drift at the surface, mm/s, with the wind where positive.
    #[serde(default)]
    pub drift_mm_per_s: i32,
    /// Undertow near the bottom, mm/s, the other way where positive.
    #[serde(default)]
    pub undertow_mm_per_s: i32,
}

/// The weather, typed in.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Weather {
    /// The sky.
    pub sky: Sky,
    /// The wind.
    pub wind: Wind,
    /// Air pressure at sea level, hPa.
    pub pressure_hpa: i32,
    /// Where the pressure is going.
    pub trend: Trend,
    /// Who decides where to start.
    pub start: Start,
}

/// The venue's own rules.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Rules {
    /// Most tins of meat allowed, if there is a limit.
    pub tins: Option<i32>,
    /// Largest hook allowed, by its size (a larger number is a smaller hook), if there is a limit.
    pub hook: Option<i32>,
    /// Barbless hooks only.
    pub barbless: bool,
    /// What is said of lead.
    pub lead: Lead,
    /// Least length of a hooklength, tenths of a millimetre, if there is one.
    #[serde(default)]
    pub hooklength_tenth_mm: Option<i32>,
    /// Most fish in one keepnet, g, if there is a limit.
    #[serde(default)]
    pub net_g: Option<i32>,
    /// Most keepnets, if there is a limit.
    #[serde(default)]
    pub nets: Option<i32>,
}

/// One line of attack, a place where bait goes in and a rig is fished.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct PoleLine {
    /// Its name.
    pub name: String,
    /// Its distance from the bank, tenths of a millimetre.
    pub distance_tenth_mm: i32,
    /// The depth there, tenths of a millimetre.
    pub depth_tenth_mm: i32,
}

/// How long each step of the preparation takes, minutes.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Prep {
    /// To the shop and back.
    pub buy_min: i32,
    /// Cutting one tin.
    pub cut_min: i32,
    /// Washing.
    pub wash_min: i32,
    /// Draining.
    pub drain_min: i32,
    /// Bagging.
    pub bag_min: i32,
    /// Freezing; 0 for bait that is used fresh.
    pub freeze_min: i32,
    /// Thawing.
    pub thaw_min: i32,
    /// Packing the car.
    pub pack_min: i32,
}
