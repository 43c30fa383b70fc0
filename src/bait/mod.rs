//! Bait: how it sinks, how much of it, how it is prepared and when.
//!
//! | module | what it answers |
//! | --- | --- |
//! | [`sink`] | how fast a cube falls, from the label on its tin |
//! | [`material`], [`shape`] | what a piece is made of, and its form |
//! | [`tub_test`] | the same from timed drops in a bucket |
//! | [`cold`] | frozen cubes, and how long bags freeze and thaw |
//! | [`floaters`] | why cubes float, and the cure |
//! | [`binomial`] | what a count says of a share |
//! | [`wash`] | rinses to clear water, and water that is safe for hands |
//! | [`amount`] | cubes, grams and tins for a day's feeding |
//! | [`patch`] | where a feed lands, by drift and throw |
//! | [`timetable`] | what is done when, worked back from the all-in |
//! | [`calendar_file`] | the timetable for the phone's calendar |

pub mod amount;
pub mod binomial;
pub mod calendar_file;
pub mod cold;
pub mod floaters;
pub mod material;
pub mod patch;
pub mod shape;
pub mod sink;
pub mod timetable;
pub mod tub_test;
pub mod wash;

/// Whole number of things from a non-negative float that is known to be small; what is too large for it is capped.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to u32 first; NaN becomes 0"
)]
fn whole(value: f64) -> u32 {
    crate::units::between(value, 0.0, f64::from(u32::MAX)) as u32
}
