//! Bait: how it sinks, how much of it, how it is prepared and when.
//!
//! | module | what it answers |
//! | --- | --- |
//! | [`sink`] | how fast a cube falls, from the label on its tin |
//! | [`tub_test`] | the same from timed drops in a bucket |
//! | [`cold`] | frozen cubes, and how long bags freeze and thaw |
//! | [`floaters`] | why cubes float, and the cure |
//! | [`binomial`] | what a count says of a share |
//! | [`wash`] | rinses to clear water, and water that is safe for hands |
//! | [`amount`] | cubes, grams and tins for a day's feeding |
//! | [`timetable`] | what is done when, worked back from the all-in |
//! | [`calendar_file`] | the timetable for the phone's calendar |

pub mod amount;
pub mod binomial;
pub mod calendar_file;
pub mod cold;
pub mod floaters;
pub mod sink;
pub mod timetable;
pub mod tub_test;
pub mod wash;

use crate::units::fixed;
use core::fmt;

/// A number outside what is allowed; what every refusal of this room carries.
#[derive(Clone, Debug, PartialEq)]
pub struct OutOfRange {
    /// The field as the request names it, such as `label.fat_g`.
    pub field: &'static str,
    /// The field in words, such as `fat per 100 g`.
    pub name: &'static str,
    /// What came; may be not a number.
    pub value: f64,
    /// The least that is allowed.
    pub least: f64,
    /// The most that is allowed.
    pub most: f64,
    /// Unit of the three, such as `mm`; empty for a bare number.
    pub unit: &'static str,
}

impl OutOfRange {
    /// `not_a_number`, `too_small` or `too_large`.
    #[must_use]
    pub fn code(&self) -> &'static str {
        if self.value.is_nan() {
            "not_a_number"
        } else if self.value < self.least {
            "too_small"
        } else {
            "too_large"
        }
    }
}

impl fmt::Display for OutOfRange {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let space = if self.unit.is_empty() { "" } else { " " };
        let Self { name, unit, .. } = self;
        let (least, most) = (short(self.least), short(self.most));
        write!(f, "The {name} must be from {least} to {most}{space}{unit}")?;
        if self.value.is_finite() {
            write!(f, "; {}{space}{unit} was given.", short(self.value))
        } else {
            write!(f, "; what was given is not a number that can be used.")
        }
    }
}

/// A number with up to three decimals and no needless zeros.
fn short(value: f64) -> String {
    let text = fixed(value, 3);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// Passes `value` on when it lies from `least` to `most`.
fn within(
    field: &'static str,
    name: &'static str,
    value: f64,
    (least, most): (f64, f64),
    unit: &'static str,
) -> Result<f64, OutOfRange> {
    if value >= least && value <= most {
        Ok(value)
    } else {
        Err(OutOfRange { field, name, value, least, most, unit })
    }
}

/// Whole number of things from a non-negative float that is known to be small; what is too large for it is capped.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to u32 first; NaN becomes 0"
)]
fn whole(value: f64) -> u32 {
    crate::units::between(value, 0.0, f64::from(u32::MAX)) as u32
}
