//! The log of a session: every tap, in order, with its absolute time, so that nothing is lost and anything
//! can be undone.
//!
//! The log only ever grows. Undoing a tap adds an undo record, so that storage can be append-only too: a
//! phone that is switched off between two taps loses nothing that was acknowledged. Each record is one line
//! of text with its own number and checksum. A line that was cut while being written is dropped when the log
//! is read back, with a sentence for the user.
//!
//! # Validity
//! At most [`MAX_EVENTS`] records.

use super::event::{Event, EventKind};
use crate::checksum::crc32;
use crate::refusal::Refusal;

/// The most records a log may hold: a tap every two seconds for eleven hours.
pub const MAX_EVENTS: usize = 20_000;
/// The most bytes of a text that is read as a log.
pub const MAX_LOG_BYTES: usize = 4_000_000;

/// Refuses more records or bytes than a day can hold.
pub(super) fn check_size(what: &str, came: usize, max: usize) -> Result<(), Refusal> {
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

/// Every record in the order of the taps, and which of them still stand.
#[derive(Clone, Debug, Default, PartialEq, PartialOrd)]
pub struct Log {
    events: Vec<Event>,
    standing: Vec<usize>,
}

impl Log {
    /// All records, undone ones and undo records included.
    #[must_use]
    pub fn events(&self) -> &[Event] {
        &self.events
    }

    /// The records that still stand, in order.
    #[must_use]
    pub fn standing(&self) -> impl DoubleEndedIterator<Item = &Event> {
        self.standing_numbered().map(|(_, event)| event)
    }

    /// The same with their numbers.
    pub(super) fn standing_numbered(&self) -> impl DoubleEndedIterator<Item = (usize, &Event)> {
        self.standing.iter().filter_map(|&at| self.events.get(at).map(|event| (at, event)))
    }

    /// Adds a tidy record. The same kind within `double_touch_ms` of the record before it counts once, unless
    /// it names another rig or another note. Gives the record's number, from 0; none for a double touch.
    ///
    /// # Errors
    /// `nothing_to_undo` when an undo finds no tap; `too_large` when the log is full.
    pub fn push(&mut self, event: Event, double_touch_ms: f64) -> Result<Option<usize>, Refusal> {
        if let Some(before) = self.events.last()
            && before.kind == event.kind
            && (event.at_ms - before.at_ms).abs() < double_touch_ms
            && (event.rig.is_none() || event.rig == before.rig)
            && event.note == before.note
        {
            return Ok(None);
        }
        self.push_as_is(event).map(Some)
    }

    /// Adds a record without the guard against a double touch, as when a stored log is read back.
    pub(super) fn push_as_is(&mut self, event: Event) -> Result<usize, Refusal> {
        check_size("rows", self.events.len() + 1, MAX_EVENTS)?;
        if event.kind == EventKind::Undo {
            self.standing.pop().ok_or_else(nothing_to_undo)?;
        } else {
            self.standing.push(self.events.len());
        }
        self.events.push(event);
        Ok(self.events.len() - 1)
    }

    /// The same log with each record checked and brought to the grain of storage.
    pub(super) fn tidy(&self, rig_count: usize) -> Result<Self, Refusal> {
        let mut tidy = Self::default();
        for event in &self.events {
            tidy.push_as_is(event.clone().tidy(rig_count)?.0)?;
        }
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

/// A log that was read from text.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadLog {
    /// The log, with every record that was whole.
    pub log: Log,
    /// What was repaired or left out, in sentences for the user; empty if all was well.
    pub repairs: Vec<String>,
}

/// Reads stored text back. A line that was cut or altered is dropped with a sentence; the rest is kept.
///
/// # Errors
/// `too_large` when the text is larger than a log can be.
pub fn read_back(text: &str, rig_count: usize) -> Result<ReadLog, Refusal> {
    check_size("bytes", text.len(), MAX_LOG_BYTES)?;
    let mut log = Log::default();
    let mut cut_last = false;
    let (mut next, mut missing, mut dropped, mut newer) = (0, 0, 0, 0);
    for line in text.split('\n').filter(|line| !line.is_empty()) {
        let known = decode(line)
            .filter(|(number, _)| *number < MAX_EVENTS)
            .and_then(|(number, event)| Some((number, event.tidy(rig_count).ok()?.0)));
        let strange = known.is_none() && whole_line(line).is_some();
        cut_last = known.is_none() && !strange;
        match known {
            Some((number, event)) if number >= next => {
                missing += number - next;
                next = number + 1;
                if log.push_as_is(event).is_err() {
                    dropped += 1;
                }
            }
            // The same line written twice is no loss.
            Some(_) => {}
            None => {
                dropped += 1;
                newer += usize::from(strange);
            }
        }
    }
    let other = missing.max(dropped - usize::from(cut_last)).saturating_sub(newer);
    let mut repairs = Vec::new();
    if cut_last {
        let sentence = "The last record was cut while it was being saved and was dropped. Tap it again if it is missing.";
        repairs.push(sentence.to_owned());
    }
    repairs.extend(counted_repair(
        newer,
        "stored records are whole but not known to this version of the page. They were left out, and are set aside.",
    ));
    repairs.extend(counted_repair(
        other,
        "stored records could not be read and were left out. The others are kept in order.",
    ));
    Ok(ReadLog { log, repairs })
}

/// A sentence of how many were repaired, if any were.
pub(super) fn counted_repair(count: usize, what: &str) -> Option<String> {
    (count > 0).then(|| format!("{count} {what}"))
}

#[expect(clippy::cast_possible_truncation, reason = "bounded by tidy: times below 2^53, values below 1e9")]
fn whole(value: f64) -> i64 {
    value.round() as i64
}

/// `number letter time rig value note check`, separated by single spaces; `-` for what is not there.
fn encode(number: usize, event: &Event) -> String {
    let none = || "-".to_owned();
    let rig = event.rig.map_or_else(none, |rig| rig.to_string());
    let value = event.value.map_or_else(none, |value| whole(value * 1000.0).to_string());
    let note = if event.note.is_empty() { none() } else { encode_note(&event.note) };
    let line = format!("{number} {} {} {rig} {value} {note}", event.kind.letter(), whole(event.at_ms));
    let check = crc32(line.as_bytes());
    format!("{line} {check:08x}")
}

/// A note without spaces, behind a sign that tells it from none.
fn encode_note(note: &str) -> String {
    let mut encoded = String::from("=");
    for c in note.chars() {
        match c {
            '_' => encoded.push_str("%5"),
            '%' => encoded.push_str("%2"),
            ' ' | '\n' | '\r' => encoded.push('_'),
            c => encoded.push(c),
        }
    }
    encoded
}

/// A line without its checksum, if that fits.
fn whole_line(line: &str) -> Option<&str> {
    let (body, check) = line.rsplit_once(' ')?;
    (check.len() == 8 && u32::from_str_radix(check, 16).ok()? == crc32(body.as_bytes())).then_some(body)
}

/// The number of a stored line whose checksum fits, whatever it records.
#[must_use]
pub fn number_of(line: &str) -> Option<usize> {
    whole_line(line)?.split(' ').next()?.parse().ok()
}

fn decode(line: &str) -> Option<(usize, Event)> {
    let mut parts = whole_line(line)?.split(' ');
    let number = parts.next()?.parse().ok()?;
    let kind = EventKind::from_letter(parts.next()?.parse().ok()?)?;
    let at: i64 = parts.next()?.parse().ok()?;
    let rig = match parts.next()? {
        "-" => None,
        rig => Some(rig.parse().ok()?),
    };
    let value = match parts.next()? {
        "-" => None,
        value => Some(value.parse::<i64>().ok()? as f64 / 1000.0),
    };
    let mut note = String::new();
    if let Some(words) = parts.next()?.strip_prefix('=') {
        let mut words = words.chars();
        while let Some(c) = words.next() {
            match c {
                '_' => note.push(' '),
                '%' => note.push(if words.next()? == '5' { '_' } else { '%' }),
                c => note.push(c),
            }
        }
    }
    if parts.next().is_some() {
        return None;
    }
    Some((number, Event { at_ms: at as f64, kind, rig, value, note }))
}
