//! Fished days as they are handed to the worker, and what they teach together.

use super::session_setup::habits_of;
use crate::plan::link;
use crate::refusal::Refusal;
pub use crate::session::habits::Habits;
use crate::session::log::read_back;
use serde::{Deserialize, Serialize};

/// A fished day as it goes to the worker.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Lesson {
    /// Its plan's link text.
    pub link: String,
    /// Its log's lines.
    pub log: String,
}

/// What these days teach; for the worker.
///
/// # Errors
/// A sentence where a day cannot be learned from.
pub fn learn(lessons: &[Lesson]) -> Result<Habits, String> {
    let day = |lesson: &Lesson| {
        let plan = link::read(&lesson.link)?;
        let log = read_back(&lesson.log, plan.rigs.len())?.log;
        Ok((plan, log))
    };
    let days = lessons.iter().map(day).collect::<Result<Vec<_>, Refusal>>();
    days.and_then(|days| habits_of(&days)).map_err(|refused| refused.to_string())
}
