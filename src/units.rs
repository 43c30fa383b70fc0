//! Newtypes for what must not be swapped, and numbers to and from text.
//!
//! Text is written here and nowhere else: the standard library's float formatting alone weighs some 20 kB in
//! WebAssembly, and every figure on a screen wants a fixed number of decimals anyway.

use serde::{Deserialize, Serialize};

/// A mass in tenths of a milligram, the grain in which shot is counted exactly.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct TenthMg(pub u32);

impl TenthMg {
    /// The mass in kilograms.
    #[must_use]
    pub fn kg(self) -> f64 {
        f64::from(self.0) * 1e-7
    }

    /// The mass in grams.
    #[must_use]
    pub fn g(self) -> f64 {
        f64::from(self.0) * 1e-4
    }
}

/// A number with a fixed count of decimals (0 to 6) and a decimal point, ties away from zero.
///
/// Values that are not finite, or too large for 15 digits, are written as a dash: no screen ever shows `NaN`.
///
/// # Example
/// ```
/// assert_eq!(dotdown::units::fixed(6.06, 1), "6.1");
/// assert_eq!(dotdown::units::fixed(-0.04, 1), "0.0");
/// assert_eq!(dotdown::units::fixed(f64::NAN, 1), "–");
/// ```
#[must_use]
pub fn fixed(value: f64, decimals: u8) -> String {
    let decimals = decimals.min(6);
    let scale = 10_u64.pow(u32::from(decimals));
    let scaled = (value.abs() * scale as f64).round();
    if !scaled.is_finite() || scaled >= 1e15 {
        return "–".to_owned();
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "below 1e15 and not negative"
    )]
    let whole = scaled as u64;
    let mut text = String::new();
    if value < 0.0 && whole > 0 {
        text.push('-');
    }
    text.push_str(&(whole / scale).to_string());
    if decimals > 0 {
        let rest = (whole % scale).to_string();
        text.push('.');
        for _ in rest.len()..usize::from(decimals) {
            text.push('0');
        }
        text.push_str(&rest);
    }
    text
}
