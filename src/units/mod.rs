//! Newtypes for what must not be swapped, and numbers to and from text.
//!
//! Every number in the plan is a whole number of a small unit: lengths in tenths of a millimetre (so that an inch is
//! exactly 254), shot in tenths of a milligram, temperatures in tenths of a degree. [`Quantity`] says which unit, how it
//! is written and how it is read. Both decimal signs are read everywhere; which one is written is a choice of
//! [`Units`].
//!
//! Every figure that a screen shows is written here: with a fixed number of decimals, ties away from zero, and never as
//! `NaN` or `-0.0`.

mod date;
mod number;
mod parse;
mod quantity;

pub use date::{clock_words, date_from, date_of, day_words, days_of, duration_words, weekday};
pub use number::{between, fixed, tenth_mm};
pub use parse::parse;
pub use quantity::{DecimalSign, INCH_TENTH_MM, LengthUnits, Quantity, TenthMg, Units};
