//! Fished days as they are handed to the worker, and what they teach together.

use super::session_setup::session_setup;
use super::work_out;
use crate::plan::link;
use crate::refusal::Refusal;
pub use crate::session::habits::Habits;
use crate::session::log::read_back;
use crate::session::{FishedDay, habits};
use crate::units::Units;
use serde::{Deserialize, Serialize};

/// A fished day as it goes to the worker.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Lesson {
    /// Its date, days since 1970.
    pub date: i32,
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
        let results = work_out(&plan, Units::default());
        let (sink, amount) = (results.sink.as_ref(), results.amount.as_ref());
        let setup = session_setup(&plan, sink, amount, &results.rigs, &results.order, Units::default());
        let log = read_back(&lesson.log, setup.rigs.len())?.log;
        Ok(FishedDay { date: lesson.date, setup, log })
    };
    let days = lessons.iter().map(day).collect::<Result<Vec<_>, Refusal>>();
    days.and_then(|days| habits(&days)).map_err(|refused| refused.to_string())
}
