//! What a number of the plan may be: held against its bounds, stepped by its buttons, read from text.

use crate::refusal::Refusal;
use crate::units::{LengthUnits, Quantity, Units, parse};

/// What a number may be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Bounds {
    /// What the number is called on the page.
    pub name: &'static str,
    /// Its unit and form.
    pub kind: Quantity,
    /// The least that is taken, in the kind's whole unit.
    pub least: i32,
    /// The most that is taken.
    pub most: i32,
    /// The step of the plus and minus buttons.
    pub step: i32,
}

/// A number, a count or a place outside what is taken, all as they are written.
#[must_use]
pub fn out_of_range(path: &str, came: &str, least: &str, most: &str) -> Refusal {
    let sentence = format!("{came} is outside what is taken here. Write from {least} to {most}.");
    Refusal::new("out_of_range", path.to_owned(), sentence)
}

impl Bounds {
    /// The step of the buttons: lengths step by whole inches or half inches, or by a round metric length.
    #[must_use]
    pub fn step_in(&self, units: Units) -> i32 {
        match (self.kind, units.lengths) {
            (Quantity::Reach, LengthUnits::Metric) => self.step.max(500) / 500 * 500,
            (Quantity::Depth, LengthUnits::Metric) => 100,
            _ => self.step,
        }
    }

    /// Where a value goes by `steps` presses of its button: to the next whole step, held within the limits. From
    /// between two steps it goes to the nearer one in its direction.
    #[must_use]
    pub fn moved(&self, value: i32, steps: i32, units: Units) -> i32 {
        let step = self.step_in(units);
        let over = if steps > 0 || value.rem_euclid(step) == 0 { 0 } else { step };
        let base = value.div_euclid(step) * step + over;
        base.saturating_add(steps.saturating_mul(step)).clamp(self.least, self.most)
    }

    /// Holds a whole number against this row.
    ///
    /// # Errors
    /// `out_of_range`.
    pub fn check(&self, path: &str, value: i64, units: Units) -> Result<i32, Refusal> {
        match i32::try_from(value) {
            Ok(v) if (self.least..=self.most).contains(&v) => Ok(v),
            _ => {
                let shown = i32::try_from(value.clamp(-999_999_999, 999_999_999)).unwrap_or(0);
                let huge = value.unsigned_abs() > 999_999_999;
                let unsaid = huge || matches!(self.kind, Quantity::Date | Quantity::Clock);
                let came = if unsaid { "That".to_owned() } else { units.text(shown, self.kind) };
                let text = |value: i32| units.text(value, self.kind);
                Err(out_of_range(path, &came, &text(self.least), &text(self.most)))
            }
        }
    }

    /// Reads a text and holds it against this row.
    ///
    /// # Errors
    /// As [`parse`] refuses, and `out_of_range`.
    pub fn read(&self, path: &str, text: &str, units: Units) -> Result<i32, Refusal> {
        let value = parse(text, self.kind, units).map_err(|refused| refused.at(path.to_owned()))?;
        self.check(path, value, units)
    }
}
