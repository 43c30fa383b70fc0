//! One tap of a session: what it may say, and what is refused of it.

use crate::refusal::{Refusal, short};
use serde::{Deserialize, Serialize};

/// The most characters of a note.
pub const MAX_NOTE_CHARS: usize = 500;
/// The latest time that is taken, ms since 1970 (1 January 2100).
pub const MAX_AT_MS: f64 = 4_102_444_800_000.0;

/// What happened.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum EventKind {
    /// Bait was fed. `value`: cubes in this feed, if not as the phase says.
    Fed,
    /// A bite, as logs of the first counting tell it: with the fish that followed it, or missed.
    Bite,
    /// A bite without a fish.
    Missed,
    /// A bite that was hit: a fish landed. `value`: its mass in grams, if known.
    Fish,
    /// A fish hooked fairly and lost.
    LostFish,
    /// A fish hooked outside the mouth. It says nothing certain of the depth of the hook bait.
    FoulHooked,
    /// The rig was lowered (or lifted and lowered again). `rig`: which, if it changed.
    Cast,
    /// The rig was lifted out of the water.
    Lift,
    /// Another rig was picked up. `rig`: which.
    PickUpRig,
    /// The session was paused.
    Pause,
    /// The session goes on.
    Resume,
    /// A feeding phase begins now. `value`: its number, from 0.
    PhaseChange,
    /// The feeding interval was nudged. `value`: seconds added (negative: faster).
    Nudge,
    /// The shot was moved. `value`: below 0 tightened (bulk nearer the hook), above 0 spread.
    Shot,
    /// A note in words.
    Note,
    /// The last tap that still stands is taken back.
    Undo,
    /// An earlier record was wrong. `value`: its number; `rig`: the right one; `note`: a [`Fix`] in its own words.
    Correct,
    /// The next keepnet is fished into.
    NextNet,
    /// The session is over.
    End,
}

/// The furthest that a record may be moved, ms: a day.
const MAX_LATER_MS: i32 = 86_400_000;

/// Each kind with its letter in storage and its name in exports: one table, used by writing and by reading.
pub(super) const KINDS: [(EventKind, char, &str); 19] = [
    (EventKind::Fed, 'f', "fed"),
    (EventKind::Bite, 'b', "bite"),
    (EventKind::Missed, 'm', "missed"),
    (EventKind::Fish, 'g', "fish"),
    (EventKind::LostFish, 'l', "lost_fish"),
    (EventKind::FoulHooked, 'o', "foul_hooked"),
    (EventKind::Cast, 'c', "cast"),
    (EventKind::Lift, 'x', "lift"),
    (EventKind::PickUpRig, 'p', "pick_up_rig"),
    (EventKind::Pause, 'h', "pause"),
    (EventKind::Resume, 'r', "resume"),
    (EventKind::PhaseChange, 'a', "phase_change"),
    (EventKind::Nudge, 'n', "nudge"),
    (EventKind::Shot, 's', "shot"),
    (EventKind::Note, 't', "note"),
    (EventKind::Undo, 'u', "undo"),
    (EventKind::Correct, 'k', "correct"),
    (EventKind::NextNet, 'w', "next_net"),
    (EventKind::End, 'e', "end"),
];

impl EventKind {
    /// The name in exports and in JavaScript, such as `lost_fish`.
    #[must_use]
    pub fn name(self) -> &'static str {
        KINDS.iter().find(|row| row.0 == self).map_or("", |row| row.2)
    }

    /// The kind of that name, or none.
    #[must_use]
    pub fn from_name(name: &str) -> Option<Self> {
        KINDS.iter().find(|row| row.2 == name).map(|row| row.0)
    }

    /// Whether a record of this kind tells something of its own, and nothing about another record.
    pub(super) fn stands_for_itself(self) -> bool {
        !matches!(self, Self::Undo | Self::Correct)
    }

    /// The letter in storage.
    pub(super) fn letter(self) -> char {
        KINDS.iter().find(|row| row.0 == self).map_or('?', |row| row.1)
    }

    /// The kind of that letter, or none.
    pub(super) fn from_letter(letter: char) -> Option<Self> {
        KINDS.iter().find(|row| row.1 == letter).map(|row| row.0)
    }

    /// Least and most of `value` for this kind, or none if the kind carries no value.
    fn value_range(self) -> Option<(f64, f64)> {
        match self {
            Self::Fed => Some((0.0, 10_000.0)),
            Self::Fish | Self::LostFish | Self::FoulHooked => Some((0.0, 50_000.0)),
            Self::PhaseChange => Some((0.0, 99.0)),
            Self::Nudge => Some((-3600.0, 3600.0)),
            Self::Shot => Some((-1.0, 1.0)),
            Self::Correct => Some((0.0, 20_000.0)),
            _ => None,
        }
    }

    /// Whether it is something that happened on a rig, and so may be laid to another one alone.
    pub(super) fn on_a_rig(self) -> bool {
        matches!(self, Self::Bite | Self::Missed | Self::Fish | Self::LostFish | Self::FoulHooked)
    }
}

/// What is right of an earlier record: against the record as it was first told, so that a later fix of the same record
/// stands in place of an earlier one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fix {
    /// The number of the record.
    pub number: usize,
    /// What happened; none: nothing, it is removed.
    pub kind: Option<EventKind>,
    /// The rig it happened on, from 0; none: as told.
    pub rig: Option<u32>,
    /// So much later than told, ms, at most a day either way.
    pub later_ms: f64,
}

impl Fix {
    /// The record that tells it, at `at_ms`.
    #[must_use]
    pub fn event(self, at_ms: f64) -> Event {
        let letter = self.kind.map_or('-', EventKind::letter);
        let note = format!("{letter} {}", crate::units::fixed(self.later_ms, 0));
        let event = Event::new(at_ms, EventKind::Correct).with_value(self.number as f64).with_note(&note);
        Event { rig: self.rig, ..event }
    }

    /// What a record of the kind `Correct` tells, if it is one.
    #[must_use]
    pub fn of(event: &Event) -> Option<Self> {
        let number = event.value.filter(|number| event.kind == EventKind::Correct && *number >= 0.0)?;
        let (letter, later) = event.note.split_once(' ')?;
        let letter = letter.chars().next()?;
        let kind = if letter == '-' { None } else { Some(EventKind::from_letter(letter)?) };
        let later_ms: i32 = later.parse().ok()?;
        if later_ms.abs() > MAX_LATER_MS || kind.is_some_and(|kind| !kind.stands_for_itself()) {
            return None;
        }
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 20,000")]
        let number = number as usize;
        Some(Self { number, kind, rig: event.rig, later_ms: f64::from(later_ms) })
    }

    /// The record `told` as it should have been.
    pub(super) fn mended(self, told: &Event) -> Option<Event> {
        let kind = self.kind?;
        let value = if kind == told.kind { told.value } else { None };
        let at_ms = crate::units::between(told.at_ms + self.later_ms, 0.0, MAX_AT_MS);
        Some(Event { at_ms, kind, rig: self.rig.or(told.rig), value, ..told.clone() })
    }
}

/// One record of the log. Only `at_ms` and `kind` are needed.
///
/// # Example
/// ```
/// use dotdown::session::{Event, EventKind};
/// let event = Event::new(1_700_000_000_000.0, EventKind::Cast).with_rig(2);
/// assert_eq!(event.rig, Some(2));
/// ```
#[derive(Clone, Debug, PartialEq, PartialOrd, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "LogRecord"))]
pub struct Event {
    /// When, ms since 1970 UTC, 0 to [`MAX_AT_MS`]. Kept to the millisecond.
    pub at_ms: f64,
    /// What.
    pub kind: EventKind,
    /// Which rig, from 0 in the order of the plan; none means the one in hand.
    #[serde(default, alias = "rig_index")]
    pub rig: Option<u32>,
    /// A number whose meaning depends on the kind, kept to a thousandth.
    #[serde(default, alias = "mass_g", alias = "cubes", alias = "phase", alias = "seconds")]
    pub value: Option<f64>,
    /// Words, at most [`MAX_NOTE_CHARS`] characters.
    #[serde(default)]
    pub note: String,
}

impl Event {
    /// A record with no rig, value or note.
    #[must_use]
    pub fn new(at_ms: f64, kind: EventKind) -> Self {
        Self { at_ms, kind, rig: None, value: None, note: String::new() }
    }

    /// The same with a rig named.
    #[must_use]
    pub fn with_rig(mut self, rig: u32) -> Self {
        self.rig = Some(rig);
        self
    }

    /// The same with a value.
    #[must_use]
    pub fn with_value(mut self, value: f64) -> Self {
        self.value = Some(value);
        self
    }

    /// The same with a note.
    #[must_use]
    pub fn with_note(mut self, note: &str) -> Self {
        note.clone_into(&mut self.note);
        self
    }

    /// Checks every field and brings it to the grain of storage: whole milliseconds, thousandths, a short
    /// note without control characters or angle brackets. Says whether the note had to be changed.
    ///
    /// # Errors
    /// `time`, `unknown_rig` or `value` when a field is out of range.
    pub fn tidy(mut self, rig_count: usize) -> Result<(Self, bool), Refusal> {
        check_time("event.at_ms", self.at_ms)?;
        self.at_ms = self.at_ms.round();
        if let Some(rig) = self.rig
            && usize::try_from(rig).map_or(true, |rig| rig >= rig_count)
        {
            return Err(unknown_rig(&rig.to_string(), rig_count));
        }
        match (self.value, self.kind.value_range()) {
            (Some(value), Some((min, max))) => {
                if !(min..=max).contains(&value) {
                    let (came, min, max, kind) = (short(value), short(min), short(max), self.kind.name());
                    let sentence = format!(
                        "The value {came} of a record `{kind}` is not between {min} and {max}. Correct it or leave it out."
                    );
                    return Err(Refusal::new("value", "event.value", sentence));
                }
                self.value = Some((value * 1000.0).round() / 1000.0);
            }
            _ => self.value = None,
        }
        let (note, changed) = tidy_note(&self.note);
        self.note = note;
        if self.kind == EventKind::Correct && Fix::of(&self).is_none() {
            return Err(nothing_to_correct());
        }
        Ok((self, changed))
    }
}

/// Cuts a note to length and takes out what could be read as markup or as control of a screen; says whether it had to.
pub(super) fn tidy_note(note: &str) -> (String, bool) {
    let plain = |c: char| match c {
        '<' => '‹',
        '>' => '›',
        c if c.is_control() => ' ',
        c => c,
    };
    let tidy: String = note.chars().take(MAX_NOTE_CHARS).map(plain).collect();
    let tidy = tidy.trim().to_owned();
    let changed = tidy != note;
    (tidy, changed)
}

/// Refuses a time that is none between 1970 and 2100.
pub(super) fn check_time(field: &'static str, at_ms: f64) -> Result<(), Refusal> {
    if (0.0..=MAX_AT_MS).contains(&at_ms) {
        return Ok(());
    }
    let came = short(at_ms);
    let sentence =
        format!("The time {came} ms is not between 1970 and 2100. Hand in milliseconds since 1970.");
    Err(Refusal::new("time", field, sentence))
}

/// There is no such record to be put right, or it says nothing that can be.
pub(super) fn nothing_to_correct() -> Refusal {
    Refusal::new(
        "nothing_to_correct",
        "event.value",
        "There is no such tap to put right. Open the list of the day anew.",
    )
}

/// A rig that the plan does not have.
pub(super) fn unknown_rig(came: &str, count: usize) -> Refusal {
    let sentence =
        format!("There is no rig {came}: the plan has {count}, counted from 0. Pick one of those.");
    Refusal::new("unknown_rig", "event.rig", sentence)
}
