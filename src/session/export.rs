//! A log as a file for spreadsheets. It is not read back: the log itself travels in the backup.

use super::event::Event;
use super::log::Standing;
use super::setup::SessionSetup;
use crate::units::{DecimalSign, date_of, fixed};

/// What a spreadsheet takes for the beginning of a formula, plain and full-width, or reads past on its way to one.
const FORMULA_STARTS: [char; 11] =
    ['=', '+', '-', '@', '\t', '\r', '\n', '\u{ff1d}', '\u{ff0b}', '\u{ff0d}', '\u{ff20}'];

/// What may separate cells and rows in the spreadsheet that opens the file, whatever separates them in it: in one that
/// takes the other separator the quotation marks of a cell are text, and its words fall apart there.
const SEPARATORS: [char; 5] = [';', ',', '\t', '\r', '\n'];

/// What a file says of the day besides its taps.
#[derive(Clone, Copy, Debug, Default)]
pub struct CsvDay<'a> {
    /// The water's name.
    pub water: &'a str,
    /// The peg.
    pub peg: &'a str,
    /// How far the phone's clock is ahead of UTC, minutes.
    pub ahead_min: i32,
    /// The reader's decimal sign: cells are separated by a comma, or by a semicolon where that is a comma.
    pub sign: DecimalSign,
}

/// The date and time of day as `2031-05-04T10:30:00+01:00` (ISO 8601), of a time in ms since 1970.
pub(super) fn local_time(at_ms: f64, ahead_min: i32) -> String {
    #[expect(clippy::cast_possible_truncation, reason = "bounded by tidy: before the year 2100")]
    let seconds = (at_ms / 1000.0).floor() as i64 + 60 * i64::from(ahead_min);
    let (day, second) = (seconds.div_euclid(86_400), seconds.rem_euclid(86_400));
    let (year, month, date) = date_of(i32::try_from(day).unwrap_or(0));
    let (hour, minute, second) = (second / 3600, second / 60 % 60, second % 60);
    let sign = if ahead_min < 0 { '-' } else { '+' };
    let (ahead_h, ahead_min) = (ahead_min.abs() / 60, ahead_min.abs() % 60);
    format!("{year}-{month:02}-{date:02}T{hour:02}:{minute:02}:{second:02}{sign}{ahead_h:02}:{ahead_min:02}")
}

/// The records as CSV (RFC 4180), a header and one line an event, the start among them: `start_ms`, none before it.
///
/// Columns: `time,water,peg,line,rig,kind,value,note`. Every cell of words is quoted. What a spreadsheet would take for a
/// formula there begins with an apostrophe, and so does what would be one behind a `;`, a `,`, a tab or a line's end in it,
/// where the spreadsheet separates by that.
pub(super) fn to_csv(
    setup: &SessionSetup,
    records: &[(usize, &Standing)],
    start_ms: Option<f64>,
    day: &CsvDay<'_>,
) -> String {
    let comma = day.sign == DecimalSign::Comma;
    let row = |kind: &str, at_ms: f64, event: Option<&Event>, rig: usize| {
        let value = event.and_then(|event| event.value);
        let value = value.map_or_else(String::new, |value| {
            let whole = (value - value.round()).abs() < 1e-9;
            let text = fixed(value, if whole { 0 } else { 3 });
            if comma { text.replace('.', ",") } else { text }
        });
        let rig = setup.rigs.get(rig);
        let line = rig.and_then(|rig| setup.lines.get(rig.line as usize));
        [
            local_time(at_ms, day.ahead_min),
            words(day.water),
            words(day.peg),
            words(line.map_or("", |line| &line.name)),
            words(rig.map_or("", |rig| &rig.name)),
            kind.to_owned(),
            value,
            words(event.map_or("", |event| &event.note)),
        ]
        .join(if comma { ";" } else { "," })
            + "\r\n"
    };
    let header =
        ["time", "water", "peg", "line", "rig", "kind", "value", "note"].join(if comma { ";" } else { "," });
    let mut rows = vec![header + "\r\n"];
    rows.extend(start_ms.map(|start_ms| row("start", start_ms, None, setup.first_rig as usize)));
    rows.extend(
        records
            .iter()
            .map(|(rig, Standing { event, .. })| row(event.kind.name(), event.at_ms, Some(event), *rig)),
    );
    rows.concat()
}

/// A quoted cell; nothing for no words.
fn words(words: &str) -> String {
    if words.is_empty() {
        return String::new();
    }
    let mut cell = "\"".to_owned();
    let mut begins = true;
    for (at, letter) in words.char_indices() {
        let rest = words.get(at..).unwrap_or_default();
        // A cell's own quotation marks and spaces are read past.
        let read = rest.trim_start_matches(|c: char| c == '"' || c.is_whitespace());
        if begins && (rest.starts_with(FORMULA_STARTS) || read.starts_with(FORMULA_STARTS)) {
            cell.push('\'');
        }
        begins = SEPARATORS.contains(&letter);
        cell.push(letter);
        if letter == '"' {
            cell.push(letter);
        }
    }
    cell + "\""
}
