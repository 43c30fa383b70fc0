//! The log of a session: every tap, in order, with its absolute time, so that nothing is lost and anything
//! can be undone.
//!
//! The log only ever grows. Undoing a tap adds an undo record, and putting one right adds a correction, so that storage
//! can be append-only too: a phone that is switched off between two taps loses nothing that was acknowledged. Each
//! record is one line of text with its own number and checksum. A line that was cut while being written is dropped when
//! the log is read back, with a sentence for the user.
//!
//! # How it is counted
//! One record for one thing that happened. What stands (not undone, not removed, as corrected) is counted once:
//!
//! | kind | letter | is one | and one of the bites |
//! | --- | --- | --- | --- |
//! | `fed` | `f` | feed | |
//! | `missed` | `m` | missed bite: a bite without a fish | yes |
//! | `fish` | `g` | fish: a bite that was hit and landed | yes |
//! | `lost_fish` | `l` | fish lost: a bite that was hit and came off | yes |
//! | `foul_hooked` | `o` | fish foul-hooked | no: it tells no depth |
//! | every other | | thing to know, in no count | no |
//!
//! [`Log::counts`] is this table. Totals, the summary, the depth filter and the export count so; the laws are in
//! `tests/bank_counts.rs`. A log tells by its letters which counting holds: `b` is a bite as the first logs had it, told
//! when it came. If its fish (landed, lost or foul-hooked) followed within two minutes with nothing between, it is that
//! fish's bite and in no count of its own; otherwise it is a missed bite. The page writes `b` no more.
//!
//! # Validity
//! At most [`MAX_EVENTS`] records.

mod text;

use text::encode;
pub use text::{ReadLog, number_of, read_back};

use super::event::{Event, EventKind, Fix, nothing_to_correct};
use crate::refusal::Refusal;

/// The most records a log may hold: a tap every two seconds for eleven hours.
pub const MAX_EVENTS: usize = 20_000;
/// The most bytes of a text that is read as a log.
pub const MAX_LOG_BYTES: usize = 4_000_000;

/// Refuses more records or bytes than a day can hold.
pub(in crate::session) fn check_size(what: &str, came: usize, max: usize) -> Result<(), Refusal> {
    if came <= max {
        return Ok(());
    }
    let sentence =
        format!("The log has {came} {what}; at most {max} can be kept. Export it and begin a new one.");
    Err(Refusal::new("too_large", "", sentence))
}

/// There is no tap left to take back.
pub(super) fn nothing_to_undo() -> Refusal {
    Refusal::new("nothing_to_undo", "", "There is no tap left to take back.")
}

/// How long after a bite of the first counting its fish may follow, ms.
const PLAYED_MS: f64 = 120_000.0;

/// How many of each: see the head of this file.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Feeds.
    pub feeds: u32,
    /// Bites without a fish.
    pub missed: u32,
    /// Fish landed.
    pub fish: u32,
    /// Fish lost.
    pub lost: u32,
    /// Fish foul-hooked.
    pub foul_hooked: u32,
    /// In no count.
    pub other: u32,
}

/// A record that stands, as it was put right.
#[derive(Clone, Debug, PartialEq, PartialOrd)]
pub struct Standing {
    /// Its number.
    pub number: usize,
    /// What happened.
    pub event: Event,
    /// Whether its rig was put right, and so holds for it alone.
    pub alone: bool,
    /// So much later than told, as put right, ms.
    pub later_ms: f64,
    /// A bite of the first counting whose fish followed.
    pub landed: bool,
}

impl Standing {
    fn told(number: usize, event: &Event) -> Self {
        Self { number, event: event.clone(), alone: false, later_ms: 0.0, landed: false }
    }
}

/// What became of a record that was added.
pub(super) struct Pushed {
    pub(super) number: usize,
    /// Whether it changed what earlier records come to.
    pub(super) rewritten: bool,
}

/// Every record in the order of the taps, and which of them still stand.
#[derive(Clone, Debug, Default, PartialEq, PartialOrd)]
pub struct Log {
    events: Vec<Event>,
    /// What an undo takes back, last first: records and corrections.
    done: Vec<usize>,
    /// What happened, by all this.
    standing: Vec<Standing>,
}

impl Log {
    /// All records, undone ones and undo records included.
    #[must_use]
    pub fn events(&self) -> &[Event] {
        &self.events
    }

    /// What happened: the records that still stand, as they were put right, in the order they were told.
    #[must_use]
    pub fn standing(&self) -> &[Standing] {
        &self.standing
    }

    /// What an undo takes back now: a record or a correction; none at the start.
    #[must_use]
    pub fn undoes(&self) -> Option<&Event> {
        self.done.last().and_then(|&number| self.events.get(number))
    }

    /// Whether the last thing done put another record right.
    pub(super) fn ends_corrected(&self) -> bool {
        self.undoes().is_some_and(|event| event.kind == EventKind::Correct)
    }

    /// How many of each stand.
    #[must_use]
    pub fn counts(&self) -> Counts {
        let mut counts = Counts::default();
        for Standing { event, landed, .. } in &self.standing {
            *match event.kind {
                EventKind::Fed => &mut counts.feeds,
                EventKind::Bite | EventKind::Missed if !landed => &mut counts.missed,
                EventKind::Fish => &mut counts.fish,
                EventKind::LostFish => &mut counts.lost,
                EventKind::FoulHooked => &mut counts.foul_hooked,
                _ => &mut counts.other,
            } += 1;
        }
        counts
    }

    /// Goes through what was done again.
    fn stand(&mut self) {
        self.standing.clear();
        for &number in &self.done {
            let Some(event) = self.events.get(number) else { continue };
            let Some(fix) = Fix::of(event) else {
                self.standing.push(Standing::told(number, event));
                continue;
            };
            let Some(told) = self.events.get(fix.number) else { continue };
            let on_a_rig = fix.kind.is_some_and(EventKind::on_a_rig);
            let alone = on_a_rig && fix.rig.is_some_and(|rig| told.rig != Some(rig));
            let mended = fix.mended(told).map(|event| Standing {
                alone,
                later_ms: fix.later_ms,
                ..Standing::told(fix.number, &event)
            });
            let place = self.standing.partition_point(|one| one.number < fix.number);
            let there = self.standing.get(place).is_some_and(|one| one.number == fix.number);
            self.standing.splice(place..place + usize::from(there), mended);
        }
        for place in 1..self.standing.len() {
            self.mark_bite(place);
        }
    }

    /// Marks the record before this one if it is a bite of the first counting, and this is its fish; says whether it is.
    fn mark_bite(&mut self, place: usize) -> bool {
        let Some([bite, fish]) =
            place.checked_sub(1).and_then(|before| self.standing.get_mut(before..=place))
        else {
            return false;
        };
        bite.landed = is_its_fish(&bite.event, &fish.event);
        bite.landed
    }

    /// Adds a tidy record. The same kind within `double_touch_ms` of the record before it counts once, unless
    /// it names another rig or another note. Gives the record's number, from 0; none for a double touch.
    ///
    /// # Errors
    /// `nothing_to_undo` when an undo finds no tap; `too_large` when the log is full.
    pub fn push(&mut self, event: Event, double_touch_ms: f64) -> Result<Option<usize>, Refusal> {
        if self.is_double(&event, double_touch_ms) {
            return Ok(None);
        }
        self.push_as_is(event).map(|pushed| Some(pushed.number))
    }

    /// Adds what stands in another log, as it was put right there.
    ///
    /// # Errors
    /// `too_large` when the log is full.
    pub fn take_over(&mut self, one: Standing) -> Result<(), Refusal> {
        let Standing { event, alone, .. } = one;
        let (rig, kind, at_ms) = (event.rig.filter(|_| alone), event.kind, event.at_ms);
        let number = self.push_as_is(Event { rig: event.rig.filter(|_| !alone), ..event })?.number;
        if rig.is_some() {
            self.push_as_is(Fix { number, kind: Some(kind), rig, later_ms: 0.0 }.event(at_ms))?;
        }
        Ok(())
    }

    /// Whether a record is the one before it again, touched twice within `double_touch_ms`.
    pub(super) fn is_double(&self, event: &Event, double_touch_ms: f64) -> bool {
        self.events.last().is_some_and(|before| {
            before.kind == event.kind
                && event.kind != EventKind::Correct
                && (event.at_ms - before.at_ms).abs() < double_touch_ms
                && (event.rig.is_none() || event.rig == before.rig)
                && event.note == before.note
        })
    }

    /// Adds a record without the guard against a double touch.
    pub(super) fn push_as_is(&mut self, event: Event) -> Result<Pushed, Refusal> {
        let (kind, undone, corrected) = (event.kind, self.done.last().copied(), self.ends_corrected());
        let number = self.add(event)?;
        let rewritten = match kind {
            EventKind::Undo => {
                let of_a_bite = self.standing.iter().rev().nth(1).is_some_and(|before| before.landed);
                let last = self.standing.last().map(|last| last.number);
                let rewritten = corrected || of_a_bite || last != undone;
                if !rewritten {
                    self.standing.pop();
                }
                rewritten
            }
            EventKind::Correct => true,
            _ => {
                self.standing.extend(self.events.last().map(|event| Standing::told(number, event)));
                self.mark_bite(self.standing.len() - 1)
            }
        };
        if rewritten && !kind.stands_for_itself() {
            self.stand();
        }
        Ok(Pushed { number, rewritten })
    }

    /// Adds a record and leaves what stands as it was: many are added before it is gone through, once.
    fn add(&mut self, event: Event) -> Result<usize, Refusal> {
        let number = self.events.len();
        check_size("rows", number + 1, MAX_EVENTS)?;
        if event.kind == EventKind::Undo {
            self.done.pop().ok_or_else(nothing_to_undo)?;
        } else {
            if event.kind == EventKind::Correct {
                let of = Fix::of(&event).map(|fix| fix.number);
                let of = of.filter(|of| self.done.binary_search(of).is_ok());
                let own = |of: &usize| self.events.get(*of).is_some_and(|of| of.kind.stands_for_itself());
                of.filter(own).ok_or_else(nothing_to_correct)?;
            }
            self.done.push(number);
        }
        self.events.push(event);
        Ok(number)
    }

    /// The same log with each record checked and brought to the grain of storage.
    pub(super) fn tidy(&self, rig_count: usize) -> Result<Self, Refusal> {
        let mut tidy = Self::default();
        for event in &self.events {
            tidy.add(event.clone().tidy(rig_count)?.0)?;
        }
        tidy.stand();
        Ok(tidy)
    }

    /// The stored line of one record, without a line break, or none if there is no such record.
    #[must_use]
    pub fn line(&self, number: usize) -> Option<String> {
        self.events.get(number).map(|event| encode(number, event))
    }

    /// The whole log as stored text, one line a record, each ended by a line break.
    #[must_use]
    pub fn to_text(&self) -> String {
        let lines: Vec<_> =
            self.events.iter().enumerate().map(|(number, event)| encode(number, event) + "\n").collect();
        lines.concat()
    }
}

/// Whether `event` is the fish of a bite of the first counting, told right before it.
pub(super) fn is_its_fish(bite: &Event, event: &Event) -> bool {
    bite.kind == EventKind::Bite
        && matches!(event.kind, EventKind::Fish | EventKind::LostFish | EventKind::FoulHooked)
        && event.rig.is_none_or(|rig| bite.rig.is_none_or(|before| before == rig))
        && (0.0..=PLAYED_MS).contains(&(event.at_ms - bite.at_ms))
}
