//! A log as a file that others read: CSV and JSON.

use super::event::Event;
use super::log::Log;
use crate::units::{date_of, fixed};

/// What a spreadsheet takes for the beginning of a formula, and the apostrophe that keeps it from doing so.
pub(super) const FORMULA_STARTS: [char; 6] = ['=', '+', '-', '@', '\'', '\t'];

/// The date and time of day in UTC, as `2031-05-04T09:30:00Z` (ISO 8601), of a time in ms since 1970.
pub(super) fn utc(at_ms: f64) -> String {
    #[expect(clippy::cast_possible_truncation, reason = "bounded by tidy: before the year 2100")]
    let (days, second) = ((at_ms / 86_400_000.0).floor() as i32, (at_ms % 86_400_000.0 / 1000.0) as i32);
    let (year, month, day) = date_of(days);
    let (hour, minute, second) = (second / 3600, second / 60 % 60, second % 60);
    format!("{year}-{month:02}-{day:02}T{hour:02}:{minute:02}:{second:02}Z")
}

/// A value as short text: no decimals when it is whole, three otherwise.
fn value_text(value: f64) -> String {
    fixed(value, if (value - value.round()).abs() < 1e-9 { 0 } else { 3 })
}

fn rig_name(event: &Event, rig_names: &[String]) -> String {
    event.rig.and_then(|rig| rig_names.get(rig as usize)).cloned().unwrap_or_default()
}

/// The records that stand as CSV (RFC 4180), with a header.
///
/// Columns: `time_ms,time_utc,kind,rig,rig_name,value,note`. A cell of words that a spreadsheet would take
/// for a formula begins with an apostrophe.
#[must_use]
pub fn to_csv(log: &Log, rig_names: &[String]) -> String {
    let mut rows = vec!["time_ms,time_utc,kind,rig,rig_name,value,note\r\n".to_owned()];
    rows.extend(log.standing().map(|event| {
        let cells = [
            fixed(event.at_ms, 0),
            utc(event.at_ms),
            event.kind.name().to_owned(),
            event.rig.map_or_else(String::new, |rig| rig.to_string()),
            csv_words(&rig_name(event, rig_names)),
            event.value.map_or_else(String::new, value_text),
            csv_words(&event.note),
        ];
        cells.join(",") + "\r\n"
    }));
    rows.concat()
}

/// A quoted cell; nothing for no words.
fn csv_words(words: &str) -> String {
    if words.is_empty() {
        return String::new();
    }
    let guard = if words.starts_with(FORMULA_STARTS) { "'" } else { "" };
    format!("\"{guard}{}\"", words.replace('"', "\"\""))
}

/// The records that stand as JSON (RFC 8259): an array of objects with the same fields as the CSV.
#[must_use]
pub fn to_json(log: &Log, rig_names: &[String]) -> String {
    let rows: Vec<String> = log
        .standing()
        .map(|event| {
            let mut fields = vec![
                format!("\"time_ms\":{}", fixed(event.at_ms, 0)),
                format!("\"time_utc\":\"{}\"", utc(event.at_ms)),
                format!("\"kind\":\"{}\"", event.kind.name()),
            ];
            if let Some(rig) = event.rig {
                fields.push(format!("\"rig\":{rig}"));
                fields.push(format!("\"rig_name\":{}", json_words(&rig_name(event, rig_names))));
            }
            fields.extend(event.value.map(|value| format!("\"value\":{}", value_text(value))));
            if !event.note.is_empty() {
                fields.push(format!("\"note\":{}", json_words(&event.note)));
            }
            format!("\n{{{}}}", fields.join(","))
        })
        .collect();
    format!("[{}\n]\n", rows.join(","))
}

fn json_words(words: &str) -> String {
    let mut json = String::from("\"");
    for c in words.chars() {
        match c {
            '"' => json.push_str("\\\""),
            '\\' => json.push_str("\\\\"),
            // So that the text can stand inside a page too.
            '<' => json.push_str("\\u003c"),
            c if c.is_control() => json.push(' '),
            c => json.push(c),
        }
    }
    json + "\""
}
