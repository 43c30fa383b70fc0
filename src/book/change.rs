//! Everything that can be done to a book, in one closed list.

use super::days::{Day, Outcome, State, note_part, tick_part, water_part};
use super::history::removal;
use super::id::{Fresh, Id, Phone};
use super::merge::{GONE, Value};
use super::plan_parts::{Held, changes};
use super::rows::Kind;
use super::tackle::{Item, MAX_TESTS, Owned, Test, test_key};
use super::waters::Water;
use crate::plan::Plan;
use crate::refusal::{Refusal, at_most};

/// What a change is of is not there.
pub(super) fn missing() -> Refusal {
    Refusal::new("no_such_record", "id", "This is not in the book any more. Open it from the list again.")
}

/// A change. What is handed in whole (a plan, a water, a thing) is compared with what the book holds, and only the parts
/// that differ are written: a page changes its copy as it likes and hands it in.
#[derive(Clone, Debug, PartialEq)]
pub enum Change {
    /// A new day.
    AddDay {
        /// Random bits.
        id: Id,
        /// The day.
        day: Box<Day>,
    },
    /// A day's plan, as it is now.
    Plan {
        /// The day.
        day: Id,
        /// The plan.
        plan: Box<Plan>,
        /// What the change is called on the undo button, such as `Mend all`; empty to have it worked out.
        words: String,
    },
    /// A tick set or taken away.
    Tick {
        /// The day.
        day: Id,
        /// The tick's id, such as `kit-tins`.
        tick: String,
        /// Set.
        on: bool,
    },
    /// All ticks off whose ids begin so.
    Untick {
        /// The day.
        day: Id,
        /// Such as `kit-`; empty for all.
        start: String,
    },
    /// A day's note.
    Note {
        /// The day.
        day: Id,
        /// The words.
        note: String,
    },
    /// How far a day has come. Follows from its session, and so is no step of the history.
    State {
        /// The day.
        day: Id,
        /// How far.
        state: State,
    },
    /// What became of a day.
    Outcome {
        /// The day.
        day: Id,
        /// The result.
        outcome: Outcome,
    },
    /// The water of a day.
    DayWater {
        /// The day.
        day: Id,
        /// A water of the book.
        water: Option<Id>,
    },
    /// A line of a day's log, written by this phone. Taps have an undo of their own, and are no steps of the history.
    Tap {
        /// The day.
        day: Id,
        /// The line as the session stores it.
        line: String,
    },
    /// A water, new or changed.
    Water {
        /// Random bits for a new one.
        id: Id,
        /// The water as it is now.
        water: Box<Water>,
    },
    /// A thing in the box, new or changed; its tests stay.
    Item {
        /// Random bits for a new one, or [`Id::usual`].
        id: Id,
        /// The thing as it is now.
        item: Box<Item>,
    },
    /// A test of a float or a tin, beside those of other days.
    Test {
        /// The float or tin.
        item: Id,
        /// The day that it was made for: an earlier test of that day gives way to it.
        day: Id,
        /// What it found.
        test: Test,
    },
    /// A test taken out.
    TakeOutTest {
        /// The float or tin.
        item: Id,
        /// The test's name.
        name: String,
    },
    /// A record removed.
    Remove {
        /// What it is of.
        kind: Kind,
        /// Its id.
        id: Id,
    },
    /// A part that was written on two phones is settled: the value of one stands.
    Settle {
        /// What the record is of.
        kind: Kind,
        /// Its id.
        id: Id,
        /// The part's key.
        part: String,
        /// Whose value stands.
        phone: Phone,
    },
}

impl Change {
    /// The record that it changes.
    pub(super) fn record(&self) -> (Kind, Id) {
        match self {
            Self::AddDay { id, .. } => (Kind::Day, *id),
            Self::Plan { day, .. }
            | Self::Tick { day, .. }
            | Self::Untick { day, .. }
            | Self::Note { day, .. }
            | Self::State { day, .. }
            | Self::Outcome { day, .. }
            | Self::DayWater { day, .. }
            | Self::Tap { day, .. } => (Kind::Day, *day),
            Self::Water { id, .. } => (Kind::Water, *id),
            Self::Item { id, .. } | Self::Test { item: id, .. } | Self::TakeOutTest { item: id, .. } => {
                (Kind::Tackle, *id)
            }
            Self::Remove { kind, id } | Self::Settle { kind, id, .. } => (*kind, *id),
        }
    }

    /// The parts that it writes. Of a record that is not there only a new one comes.
    pub(super) fn parts(self, held: &Held, fresh: &mut Fresh) -> Result<Vec<(String, Value)>, Refusal> {
        let record = held.record();
        let new = matches!(self, Self::AddDay { .. } | Self::Water { .. } | Self::Item { .. });
        if record.len() == 0 && !new || record.len() > 0 && !record.stands() {
            return Err(missing());
        }
        Ok(match self {
            Self::AddDay { day, .. } => {
                if record.len() > 0 {
                    return Err(Refusal::new(
                        "known_id",
                        "id",
                        "There is a record of this id. Draw another.",
                    ));
                }
                day.parts()?
            }
            Self::Plan { mut plan, .. } => {
                plan.check().map_err(|refused| refused.below("plan"))?;
                changes(held, &plan, fresh)
            }
            Self::Tick { tick, on, .. } => vec![tick_part(&tick, on)?],
            Self::Untick { start, .. } => {
                let on = record
                    .below("ticks.")
                    .filter(|(tick, on)| tick.starts_with(&start) && **on == Value::Flag(true));
                on.map(|(tick, _)| (["ticks.", tick].concat(), Value::Flag(false))).collect()
            }
            Self::Note { note, .. } => vec![note_part(&note)],
            Self::State { state, .. } => vec![state.part()],
            Self::Outcome { outcome, .. } => outcome.parts()?,
            Self::DayWater { water, .. } => vec![water_part(water)],
            Self::Water { water, .. } => {
                let parts = water.parts()?;
                let gone = record.below("depths.").map(|(rest, _)| ["depths.", rest].concat());
                let depth = |key: &String| key.rsplit('.').next() == Some("depth");
                let gone = gone.filter(|key| depth(key) && !parts.iter().any(|(k, _)| k == key));
                let gone: Vec<_> = gone.map(|key| (key, Value::Nothing)).collect();
                [parts, gone].concat()
            }
            Self::Item { item, .. } => item.parts()?,
            Self::Test { day, test, .. } => {
                let (owned, name) = (Owned::read(record).ok_or_else(missing)?, day.to_string());
                let others = owned.tests.iter().filter(|(known, _)| *known != name).count();
                at_most("tests", others + 1, MAX_TESTS, "tests can be kept")?;
                vec![(test_key(&name), test.part()?)]
            }
            Self::TakeOutTest { name, .. } => {
                let key = test_key(&name);
                record.part(&key).ok_or_else(missing)?;
                vec![(key, Value::Nothing)]
            }
            Self::Remove { .. } => vec![(GONE.to_owned(), removal(true))],
            Self::Settle { part, phone, .. } => {
                let values = record.part(&part).ok_or_else(missing)?.values();
                let theirs = values.iter().find(|(entry, _)| entry.phone == phone).map(|(_, value)| *value);
                let value = match theirs {
                    // Whoever did not remove the record has it stand.
                    value if part == GONE => removal(matches!(value, Some(Value::Pairs(_)))),
                    value => value.ok_or_else(missing)?.clone(),
                };
                vec![(part, value)]
            }
            // It writes no record.
            Self::Tap { .. } => Vec::new(),
        })
    }

    /// What it is called where its parts do not say.
    pub(super) fn words(&self) -> String {
        match self {
            Self::AddDay { .. } => "new day".to_owned(),
            Self::Plan { words, .. } => words.chars().filter(|c| !c.is_control()).take(60).collect(),
            Self::Untick { .. } => "all ticks off".to_owned(),
            Self::Outcome { .. } => "result".to_owned(),
            Self::DayWater { .. } => "water".to_owned(),
            Self::Water { water, .. } => name("water", &water.facts.name),
            Self::Item { item, .. } => name(item.kind(), item.name()),
            Self::Test { .. } => "test added".to_owned(),
            Self::TakeOutTest { .. } => "test taken out".to_owned(),
            Self::Remove { kind: Kind::Day, .. } => "day deleted".to_owned(),
            Self::Remove { kind: Kind::Water, .. } => "water deleted".to_owned(),
            Self::Remove { kind: Kind::Tackle, .. } => "item taken out of the box".to_owned(),
            Self::Settle { .. } => "choice between two phones".to_owned(),
            Self::Tick { .. } | Self::Note { .. } | Self::State { .. } | Self::Tap { .. } => String::new(),
        }
    }
}

/// A kind and a name, such as `float 4×10`.
fn name(kind: &str, name: &str) -> String {
    let name: String = name.chars().filter(|c| !c.is_control()).take(40).collect();
    [kind, " ", &name].concat().trim_end().to_owned()
}
