//! Rigs: the shot that dots a float, where the shot goes, how the rig falls, and tackle that holds.

pub mod balance;
pub mod fall;
pub mod finder;
pub mod glass_test;
pub mod layout;
pub mod make_up;
pub mod moves;
pub mod tackle;

use crate::refusal::{self, Refusal};
use std::borrow::Cow;

/// Refuses a number that is not finite or outside its limits, under this room's one code for that.
fn within(
    field: impl Into<Cow<'static, str>>,
    got: f64,
    least: f64,
    most: f64,
    unit: &str,
) -> Result<(), Refusal> {
    refusal::within(field, "", got, (least, most), unit)
        .map(drop)
        .map_err(|refused| refused.coded("out_of_range"))
}
