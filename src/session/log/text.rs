//! A log as text, a record a line.

use super::{Log, MAX_EVENTS, MAX_LOG_BYTES, check_size};
use crate::checksum::crc32;
use crate::refusal::Refusal;
use crate::session::event::{Event, EventKind};

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
                dropped += usize::from(log.add(event).is_err());
            }
            // The same line written twice is no loss.
            Some(_) => {}
            None => {
                dropped += 1;
                newer += usize::from(strange);
            }
        }
    }
    log.stand();
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

#[expect(clippy::cast_possible_truncation, reason = "bounded by tidy: times below 2^53, values below 1e9")]
fn whole(value: f64) -> i64 {
    value.round() as i64
}

/// `number letter time rig value note check`, separated by single spaces; `-` for what is not there.
pub(super) fn encode(number: usize, event: &Event) -> String {
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
pub(super) fn whole_line(line: &str) -> Option<&str> {
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

/// A sentence of how many were repaired, if any were.
pub(super) fn counted_repair(count: usize, what: &str) -> Option<String> {
    (count > 0).then(|| format!("{count} {what}"))
}
