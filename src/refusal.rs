//! The one thing that is said when something is refused: a code for programs, the field, and a sentence.

use std::borrow::Cow;
use std::error::Error;
use std::fmt;

/// Why something was refused, so that a screen or a script can show it beside the field.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refusal {
    code: &'static str,
    field: Cow<'static, str>,
    sentence: Cow<'static, str>,
}

impl Refusal {
    /// A refusal of `field`; `sentence` says what was expected, what came and what to do.
    pub fn new(
        code: &'static str,
        field: impl Into<Cow<'static, str>>,
        sentence: impl Into<Cow<'static, str>>,
    ) -> Self {
        Self { code, field: field.into(), sentence: sentence.into() }
    }

    /// A short stable word for programs, such as `too_large`.
    #[must_use]
    pub fn code(&self) -> &'static str {
        self.code
    }

    /// The field that was refused, as the plan or the request names it (`bait.fat`), or `""` for the whole.
    #[must_use]
    pub fn field(&self) -> &str {
        &self.field
    }

    /// The same of another field.
    #[must_use]
    pub fn at(self, field: impl Into<Cow<'static, str>>) -> Self {
        Self { field: field.into(), ..self }
    }

    /// The same of a part of `parent`: `shots` becomes `rig.shots`.
    #[must_use]
    pub fn below(self, parent: &str) -> Self {
        let field =
            if self.field.is_empty() { parent.to_owned() } else { format!("{parent}.{}", self.field) };
        self.at(field)
    }

    /// The same under another code.
    #[must_use]
    pub fn coded(self, code: &'static str) -> Self {
        Self { code, ..self }
    }
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.sentence)
    }
}

impl Error for Refusal {}

/// Passes `value` on when it lies from `least` to `most`. The sentence calls it `name`, such as `fat per 100 g`, or by
/// its field where `name` is empty.
///
/// # Errors
/// `not_a_number`, `too_small` or `too_large`.
///
/// # Example
/// ```
/// use dotdown::refusal::within;
/// let refused = within("tin.fat_g", "fat", 130.0, (0.0, 100.0), "g").unwrap_err();
/// assert_eq!((refused.code(), refused.field()), ("too_large", "tin.fat_g"));
/// assert_eq!(refused.to_string(), "The fat must be from 0 to 100 g; 130 g was given.");
/// ```
pub fn within(
    field: impl Into<Cow<'static, str>>,
    name: &str,
    value: f64,
    (least, most): (f64, f64),
    unit: &str,
) -> Result<f64, Refusal> {
    let code = match value {
        _ if value >= least && value <= most => return Ok(value),
        _ if value.is_nan() => "not_a_number",
        _ if value < least => "too_small",
        _ => "too_large",
    };
    let field = field.into();
    let (the, name) = if name.is_empty() { ("", &*field) } else { ("The ", name) };
    let space = if unit.is_empty() { "" } else { " " };
    let came = if usable(value) {
        format!("{}{space}{unit} was given", short(value))
    } else {
        "what was given is not a number that can be used".to_owned()
    };
    let sentence =
        format!("{the}{name} must be from {} to {}{space}{unit}; {came}.", short(least), short(most));
    Err(Refusal::new(code, field, sentence))
}

/// Refuses more entries than are taken; the sentence begins `At most 40 ` and goes on with `what`.
///
/// # Errors
/// `too_many`.
pub fn at_most(
    field: impl Into<Cow<'static, str>>,
    came: usize,
    most: usize,
    what: &str,
) -> Result<(), Refusal> {
    if came <= most {
        return Ok(());
    }
    Err(Refusal::new("too_many", field, format!("At most {most} {what}; {came} were given.")))
}

/// A number for a sentence: up to three decimals, two digits where it is smaller, and no needless zeros; a dash for
/// what is no number or too large for one.
///
/// The standard library's formatting of floats would weigh 5 kB over the wire.
#[must_use]
pub fn short(value: f64) -> String {
    let size = value.abs();
    if !usable(value) {
        return "–".to_owned();
    }
    let decimals = (3..=15).find(|&n| size * 10_f64.powi(n) >= 9.99).unwrap_or(3).unsigned_abs();
    let scale = 10_u64.pow(decimals);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "below 1e18 and not negative"
    )]
    let scaled = (size * scale as f64).round() as u64;
    let sign = if value < 0.0 && scaled > 0 { "-" } else { "" };
    let text = format!("{sign}{}.{:0width$}", scaled / scale, scaled % scale, width = decimals as usize);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// Whether a number can be written out.
fn usable(value: f64) -> bool {
    value.abs() < 1e15
}

#[cfg(test)]
mod tests {
    use super::short;

    #[test]
    fn numbers_are_as_short_as_they_can_be() {
        let texts = [
            (6.0, "6"),
            (0.25, "0.25"),
            (-1.2345, "-1.235"),
            (0.000_5, "0.0005"),
            (1e-13, "0.0000000000001"),
            (0.000_123, "0.00012"),
            (0.0, "0"),
            (1e300, "–"),
        ];
        for (value, text) in texts {
            assert_eq!(short(value), text);
        }
    }
}
