//! What typing and the buttons do to a plan.

use super::Plan;
use super::fields::{FieldMut, MAX_CHARS, bounds_of, no_such_field};
use crate::refusal::Refusal;
use crate::units::Units;

/// A text without control characters and direction marks, at most 40 characters long.
#[must_use]
pub fn clean(text: &str) -> String {
    let hidden = |c: &char| {
        c.is_control()
            || matches!(c, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
    };
    text.chars().filter(|c| !hidden(c)).take(MAX_CHARS).collect()
}

impl Plan {
    /// The first capital letter that no rig is named by.
    #[must_use]
    pub fn next_letter(&self) -> String {
        ('A'..='Z')
            .map(String::from)
            .find(|letter| self.rigs.iter().all(|rig| rig.name != *letter))
            .unwrap_or_else(|| "Z".to_owned())
    }
}

impl FieldMut<'_> {
    /// Puts what was typed or chosen for the field at `path` into it; a number is held against the table's row.
    ///
    /// # Errors
    /// The field keeps what it held.
    pub fn set(self, path: &str, typed: &str, units: Units) -> Result<(), Refusal> {
        let none = || no_such_field(path);
        let read = || bounds_of(path).ok_or_else(none)?.read(path, typed, units);
        match self {
            Self::Number(value) => *value = read()?,
            Self::Maybe(value) => *value = if typed.trim().is_empty() { None } else { Some(read()?) },
            Self::Text(text) => *text = clean(typed),
            Self::Flag(flag) => *flag = typed == "true",
            Self::Choice(choice) => {
                if !typed.parse().is_ok_and(|i| choice.choose(i)) {
                    return Err(none());
                }
            }
            Self::Place(place, length) => match typed.parse::<usize>() {
                Ok(i) if i < length => *place = i32::try_from(i).map_err(|_| none())?,
                _ => return Err(none()),
            },
        }
        Ok(())
    }
}

impl Plan {
    /// Puts what was typed into the field at `path`.
    ///
    /// Numbers are read in `units` and held against the table; an empty text clears a number that may be
    /// left out; a choice is given by its place, a flag by `true` or `false`; texts are cut to 40 characters and
    /// lose their control characters. On an error the plan is as it was.
    ///
    /// # Errors
    /// Naming the field, what came and what is allowed.
    pub fn set(&mut self, path: &str, typed: &str, units: Units) -> Result<(), Refusal> {
        let none = || no_such_field(path);
        let before = path.starts_with("tin.").then(|| self.tin.clone());
        let bait_before = path.starts_with("tub.").then(|| self.bait_more.clone());
        self.field(path).ok_or_else(none)?.set(path, typed, units)?;
        if let (Some(before), Err(e)) = (before, self.tin.check(path)) {
            self.tin = before;
            return Err(e);
        }
        self.keep_bait(path, bait_before)
    }

    /// Moves the number at `path` by `steps` of its button, to the next whole step, held within its limits.
    ///
    /// # Errors
    /// `no_such_field` when there is no number at `path`.
    pub fn step(&mut self, path: &str, steps: i32, units: Units) -> Result<(), Refusal> {
        let none = || no_such_field(path);
        let bounds = bounds_of(path).ok_or_else(none)?;
        let moved = |value: i32| bounds.moved(value, steps, units);
        let bait_before = path.starts_with("tub.").then(|| self.bait_more.clone());
        match self.field(path).ok_or_else(none)? {
            FieldMut::Number(value) => *value = moved(*value),
            FieldMut::Maybe(value) => {
                *value = Some(value.map_or(i32::midpoint(bounds.least, bounds.most), moved));
            }
            _ => return Err(none()),
        }
        // A count that would pass the one it is a part of stays where it is.
        let _ = self.keep_bait(path, bait_before);
        Ok(())
    }
}
