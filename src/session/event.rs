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
    #[serde(alias = "feed")]
    Fed,
    /// A bite that was missed.
    #[serde(alias = "missed", alias = "missed_bite")]
    Bite,
    /// A fish landed. `value`: its mass in grams, if known.
    #[serde(alias = "landed", alias = "catch")]
    Fish,
    /// A fish hooked fairly and lost.
    #[serde(alias = "lost")]
    LostFish,
    /// A fish hooked outside the mouth. It says nothing certain of the depth of the hook bait.
    #[serde(alias = "foul")]
    FoulHooked,
    /// The rig was lowered (or lifted and lowered again). `rig`: which, if it changed.
    #[serde(alias = "lowered", alias = "lower", alias = "recast")]
    Cast,
    /// The rig was lifted out of the water.
    #[serde(alias = "lifted")]
    Lift,
    /// Another rig was picked up. `rig`: which.
    #[serde(alias = "pick_up", alias = "swap", alias = "rig", alias = "pickup")]
    PickUpRig,
    /// The session was paused.
    Pause,
    /// The session goes on.
    Resume,
    /// A feeding phase begins now. `value`: its number, from 0.
    #[serde(alias = "phase")]
    PhaseChange,
    /// The feeding interval was nudged. `value`: seconds added (negative: faster).
    Nudge,
    /// The shot was moved. `value`: below 0 tightened (bulk nearer the hook), above 0 spread.
    Shot,
    /// A note in words.
    Note,
    /// The last tap that still stands is taken back.
    Undo,
    /// The session is over.
    #[serde(alias = "finish")]
    End,
}

/// Each kind with its letter in storage and its name in exports: one table, used by writing and by reading.
pub(super) const KINDS: [(EventKind, char, &str); 16] = [
    (EventKind::Fed, 'f', "fed"),
    (EventKind::Bite, 'b', "bite"),
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
            _ => None,
        }
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
pub struct Event {
    /// When, ms since 1970 UTC, 0 to [`MAX_AT_MS`]. Kept to the millisecond.
    #[serde(alias = "at", alias = "time_ms", alias = "t_ms", alias = "t")]
    pub at_ms: f64,
    /// What.
    #[serde(alias = "type", alias = "event", alias = "what")]
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

/// A rig that the plan does not have.
pub(super) fn unknown_rig(came: &str, count: usize) -> Refusal {
    let sentence =
        format!("There is no rig {came}: the plan has {count}, counted from 0. Pick one of those.");
    Refusal::new("unknown_rig", "event.rig", sentence)
}
