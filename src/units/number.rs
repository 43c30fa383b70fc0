//! Numbers as text with fixed decimals, and floats held to what a whole number can be.

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
    decimal(whole, decimals, value < 0.0, '.')
}

/// `whole` tenths, hundredths ... (as `decimals` says) as text with `sign` as the decimal sign.
pub(super) fn decimal(whole: u64, decimals: u8, negative: bool, sign: char) -> String {
    let scale = 10_u64.pow(u32::from(decimals));
    let mut text = String::new();
    if negative && whole > 0 {
        text.push('-');
    }
    text.push_str(&(whole / scale).to_string());
    if decimals > 0 {
        let rest = (whole % scale).to_string();
        text.push(sign);
        for _ in rest.len()..usize::from(decimals) {
            text.push('0');
        }
        text.push_str(&rest);
    }
    text
}

/// `value` held between `least` and `most`; not-a-number gives `least`.
///
/// `f64::clamp` would do, but its panic text prints floats, which costs 15 kB of WebAssembly.
#[must_use]
pub fn between(value: f64, least: f64, most: f64) -> f64 {
    value.max(least).min(most)
}

/// Tenths of a millimetre from metres; saturates, and not-a-number gives 0.
#[must_use]
pub fn tenth_mm(metres: f64) -> i32 {
    #[expect(clippy::cast_possible_truncation, reason = "the cast saturates, which is what is wanted")]
    let whole = (metres * 1e4).round() as i32;
    whole
}
