//! Days: a plan with its ticks, a note, what became of it; the list of them; a new one.

use super::fields::{check, parts, parts_of as parts_in, read};
use super::id::Id;
use super::merge::{MAX_TEXT, Record, Value};
use super::plan_parts::{Held, parts_of};
use crate::plan::{Date, Plan};
use crate::refusal::{Refusal, at_most};
use crate::small::{Sorted, lowercase, sort_long_by};
use crate::units::{Quantity, Units, day_words};
use serde::{Deserialize, Serialize};

/// The most ticks of a day.
const MAX_TICKS: usize = 400;
/// The longest id of a tick, characters.
const MAX_TICK: usize = 80;

/// How far a day has come.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum State {
    /// It is still to come.
    #[default]
    Planned,
    /// It is being fished.
    Running,
    /// It is over.
    Fished,
}

impl State {
    const ALL: [(Self, &'static str); 3] =
        [(Self::Planned, "planned"), (Self::Running, "running"), (Self::Fished, "fished")];

    fn word(self) -> &'static str {
        Self::ALL.iter().find(|(state, _)| *state == self).map_or("planned", |(_, word)| word)
    }

    /// What a record holds of it.
    fn read(record: &Record) -> Self {
        let Value::Text(word) = record.get("state") else { return Self::Planned };
        Self::ALL.iter().find(|(_, known)| known == word).map_or(Self::Planned, |(state, _)| *state)
    }

    pub(super) fn part(self) -> (String, Value) {
        ("state".to_owned(), Value::Text(self.word().to_owned()))
    }
}

parts! {
    /// What became of a day.
    Outcome {
        /// Weight at the scales, grams.
        weight_g: Option<i32> = "result.weight", "result.weight", None;
        /// Fish landed, as the session counted them or as they were weighed.
        fish: Option<i32> = "result.fish", "result.fish", None;
        /// The place in the match.
        place: Option<i32> = "result.place", "result.place", None;
        /// Of how many.
        of: Option<i32> = "result.of", "result.of", None;
    }
}

impl Outcome {
    pub(super) fn parts(mut self) -> Result<Vec<(String, Value)>, Refusal> {
        check(&mut self)?;
        if let (Some(place), Some(of)) = (self.place, self.of)
            && place > of
        {
            let sentence = format!("Place {place} of {of} cannot be. Correct one of the two.");
            return Err(Refusal::new("out_of_range", "result.place", sentence));
        }
        Ok(parts_in(&mut self))
    }

    fn read(record: &Record) -> Self {
        let mut outcome = Self::default();
        read(&mut outcome, record);
        outcome
    }
}

/// A day of the book. Its session log is kept beside it ([`super::Book::log`]), its tub tests are in the plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Day {
    /// The plan.
    pub plan: Plan,
    /// What is ticked, by id.
    pub ticks: Sorted<String, ()>,
    /// A note, up to 4,000 characters.
    pub note: String,
    /// How far it has come.
    pub state: State,
    /// The water it is fished on, if that is one of the book's.
    pub water: Option<Id>,
    /// What became of it.
    pub outcome: Outcome,
}

/// A longer text without control characters but line breaks, cut to what is kept.
pub(super) fn long_text(text: &str) -> String {
    text.chars().filter(|c| *c == '\n' || !c.is_control()).take(MAX_TEXT).collect()
}

pub(super) fn note_part(note: &str) -> (String, Value) {
    ("note".to_owned(), Value::Text(long_text(note)))
}

pub(super) fn water_part(water: Option<Id>) -> (String, Value) {
    ("water".to_owned(), water.map_or(Value::Nothing, |id| Value::Text(id.to_string())))
}

/// The part of a tick.
///
/// # Errors
/// `bad_part` for an id that cannot be kept.
pub(super) fn tick_part(tick: &str, on: bool) -> Result<(String, Value), Refusal> {
    if tick.is_empty() || tick.chars().count() > MAX_TICK || tick.contains(char::is_control) {
        let sentence = "This tick has a name that cannot be kept. Use up to 80 letters.";
        return Err(Refusal::new("bad_part", "ticks", sentence));
    }
    Ok((["ticks.", tick].concat(), Value::Flag(on)))
}

impl Day {
    /// A planned day with nothing ticked.
    #[must_use]
    pub fn new(plan: Plan) -> Self {
        Self {
            plan,
            ticks: Sorted::new(),
            note: String::new(),
            state: State::Planned,
            water: None,
            outcome: Outcome::default(),
        }
    }

    /// Everything of it as parts of a new record.
    ///
    /// # Errors
    /// As [`Plan::check`], and where ticks or result cannot be.
    pub(super) fn parts(mut self) -> Result<Vec<(String, Value)>, Refusal> {
        self.plan.check().map_err(|refused| refused.below("plan"))?;
        at_most("ticks", self.ticks.len(), MAX_TICKS, "ticks can be kept with a day")?;
        let mut parts = parts_of(&self.plan);
        for tick in self.ticks.keys() {
            parts.push(tick_part(tick, true)?);
        }
        parts.extend(self.outcome.parts()?);
        parts.extend([note_part(&self.note), self.state.part(), water_part(self.water)]);
        Ok(parts)
    }

    /// What a record holds of a day.
    pub(super) fn read(held: &Held) -> Self {
        let record = held.record();
        let ticks = record.below("ticks.").filter(|(_, on)| **on == Value::Flag(true));
        Self {
            plan: held.plan().clone(),
            ticks: ticks.map(|(tick, _)| (tick.to_owned(), ())).take(MAX_TICKS).collect(),
            note: if let Value::Text(note) = record.get("note") { long_text(note) } else { String::new() },
            state: State::read(record),
            water: water_of(record),
            outcome: Outcome::read(record),
        }
    }
}

fn water_of(record: &Record) -> Option<Id> {
    if let Value::Text(id) = record.get("water") { Id::read(id) } else { None }
}

/// A day as the list of days shows it.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct DaySummary {
    /// The day's id.
    pub id: Id,
    /// The plan's name.
    pub name: String,
    /// The water's name, as the plan has it.
    pub venue: String,
    /// The peg.
    pub peg: String,
    /// The date, days since 1970.
    pub date: i32,
    /// The water's temperature, tenths of a degree Celsius.
    pub surface_tenth_c: i32,
    /// How far it has come.
    pub state: State,
    /// Its water in the book.
    pub water: Option<Id>,
    /// Weight at the scales, grams.
    pub weight_g: Option<i32>,
    /// Fish landed.
    pub fish: Option<i32>,
    /// The place, and of how many.
    pub place: (Option<i32>, Option<i32>),
}

impl DaySummary {
    pub(super) fn read(id: Id, record: &Record) -> Self {
        let text = |key| if let Value::Text(text) = record.get(key) { text.clone() } else { String::new() };
        let number = |key| if let Value::Number(n) = record.get(key) { (*n).try_into().ok() } else { None };
        let Outcome { weight_g, fish, place, of } = Outcome::read(record);
        Self {
            id,
            name: text("plan.name"),
            venue: text("plan.water.venue"),
            peg: text("plan.water.peg"),
            date: number("plan.day.date").unwrap_or(0),
            surface_tenth_c: number("plan.water.surface").unwrap_or(0),
            state: State::read(record),
            water: water_of(record),
            weight_g,
            fish,
            place: (place, of),
        }
    }

    /// Whether each word stands in the name, the water, the peg or the date (`2026-07-11`, `Sat 11 July`).
    fn has(&self, words: &[String]) -> bool {
        let date = [Units::default().bare(self.date, Quantity::Date), day_words(self.date)].join(" ");
        let text = [&self.name, &self.venue, &self.peg, &date].map(|text| lowercase(text)).join(" ");
        words.iter().all(|word| text.contains(word.as_str()))
    }
}

/// The days of a list, in two parts.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct DayList<'a> {
    /// To come or being fished, the nearest first.
    pub next: Vec<&'a DaySummary>,
    /// Fished, the last first.
    pub fished: Vec<&'a DaySummary>,
}

/// The days that hold each word of `sought`, all for no word, in their order.
pub(super) fn list<'a>(days: impl Iterator<Item = &'a DaySummary>, sought: &str) -> DayList<'a> {
    let words: Vec<String> = sought.split_whitespace().take(10).map(lowercase).collect();
    let found = days.filter(|day| words.is_empty() || day.has(&words));
    let (mut fished, mut next): (Vec<_>, Vec<_>) = found.partition(|day| day.state == State::Fished);
    let key = |day: &DaySummary| (day.state != State::Running, day.date, day.id);
    sort_long_by(&mut next, |a, b| key(a) < key(b));
    sort_long_by(&mut fished, |a, b| (b.date, a.id) < (a.date, b.id));
    DayList { next, fished }
}

/// The next Saturday after a day, days since 1970, within what a plan takes.
#[must_use]
pub fn next_saturday(today: i32) -> i32 {
    // 1 January 1970 was a Thursday; the limits are those of the date in a plan, whose last Saturday is the 47,476th.
    let today = today.clamp(18_262, 47_470);
    today + 1 + (1 - today).rem_euclid(7)
}

impl Day {
    /// Another day from this one: the same plan on the next Saturday, planned, with nothing ticked, noted or weighed.
    #[must_use]
    pub fn again(&self, today: i32) -> Self {
        let mut plan = self.plan.clone();
        plan.day.date = Date(next_saturday(today));
        plan.note.clear();
        Self { water: self.water, ..Self::new(plan) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::weekday;

    #[test]
    fn the_date_proposed_is_the_saturday_after() {
        for today in 20_000..20_100 {
            let next = next_saturday(today);
            assert_eq!(weekday(next), "Sat");
            assert!((1..=7).contains(&(next - today)), "{today}");
        }
        for today in [i32::MIN, 0, 47_481, i32::MAX] {
            let mut plan = crate::plan::presets::first();
            plan.day.date = Date(next_saturday(today));
            plan.check().unwrap();
        }
    }
}
