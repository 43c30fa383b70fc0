//! A log from a file: CSV or JSON as the export writes them, or as an editor of tables left them.

use super::event::{Event, EventKind, tidy_note, unknown_rig};
use super::export::FORMULA_STARTS;
use super::log::{Log, MAX_EVENTS, MAX_LOG_BYTES, ReadLog, check_size, counted_repair, nothing_to_undo};
use crate::refusal::Refusal;

/// A pause between two records of an imported log that is worth a sentence, ms (one hour).
const GAP_MS: f64 = 3_600_000.0;

/// A row of a file that cannot be read: its number, from 1, the header not counted, and why, as a clause.
fn bad_row(row: usize, why: &str) -> Refusal {
    let sentence =
        format!("Row {row} cannot be read: {why}. Nothing was changed. Correct the row and try again.");
    Refusal::new("row", format!("log.{row}"), sentence)
}

/// The file is no log.
fn not_a_log() -> Refusal {
    let sentence =
        "This is not a log that can be read. Choose a CSV or JSON file exported from the bank screen.";
    Refusal::new("not_a_log", "", sentence)
}

/// Reads a log from the text of a CSV or JSON file. Nothing else is touched: the running log stays as it is.
///
/// Repaired, each with a sentence: rows not in order of time (sorted), the same row twice (kept once), markup and control
/// characters in notes, gaps of more than an hour (kept as they are).
///
/// # Errors
/// `too_large` above [`MAX_LOG_BYTES`] or [`MAX_EVENTS`]; `row` when a row cannot be read; `unknown_rig` when a row
/// names a rig that the plan has not; `not_a_log` for any other text.
pub fn import(text: &str, rig_names: &[String]) -> Result<ReadLog, Refusal> {
    check_size("bytes", text.len(), MAX_LOG_BYTES)?;
    let text = text.strip_prefix('\u{feff}').unwrap_or(text).trim();
    let rows = if text.starts_with('[') { json_rows(text)? } else { csv_rows(text)? };
    let mut events = Vec::new();
    for (at, row) in rows.iter().enumerate() {
        events.push(event_of(at + 1, row, rig_names)?);
    }
    repair(events, rig_names.len())
}

/// Makes a log of loose records, as [`import`] does, repairing what it can.
///
/// # Errors
/// As [`import`].
pub fn repair(events: Vec<Event>, rig_count: usize) -> Result<ReadLog, Refusal> {
    check_size("rows", events.len(), MAX_EVENTS)?;
    let mut notes = 0;
    let mut records: Vec<Event> = Vec::new();
    for event in events {
        let (event, changed) = event.tidy(rig_count)?;
        notes += usize::from(changed);
        if event.kind == EventKind::Undo {
            // Undone before sorting: an undo belongs to the row written before it.
            records.pop().ok_or_else(nothing_to_undo)?;
        } else {
            records.push(event);
        }
    }
    let backwards = records.windows(2).filter(|pair| pair[1].at_ms < pair[0].at_ms).count();
    if backwards > 0 {
        crate::small::sort_long_by(&mut records, |a, b| a.at_ms.total_cmp(&b.at_ms).is_lt());
    }
    let rows = records.len();
    records.dedup();
    let gaps = records.windows(2).filter(|pair| pair[1].at_ms - pair[0].at_ms > GAP_MS).count();
    let repairs = [
        (backwards, "times ran backwards; the rows were sorted by time."),
        (rows - records.len(), "rows stood there twice and were kept once."),
        (notes, "notes held markup, control characters or too many words and were made plain."),
        (gaps, "gaps of more than an hour were found and left as they are."),
    ];
    let repairs = repairs.into_iter().filter_map(|(count, what)| counted_repair(count, what)).collect();
    let mut log = Log::default();
    for event in records {
        log.push_as_is(event)?;
    }
    Ok(ReadLog { log, repairs })
}

/// One row of a file: the name and the text of each field.
type Row = Vec<(String, String)>;

fn event_of(number: usize, row: &Row, rig_names: &[String]) -> Result<Event, Refusal> {
    let cell = |names: &[&str]| {
        row.iter()
            .find(|(name, cell)| names.contains(&name.as_str()) && !cell.is_empty())
            .map(|(_, cell)| cell.as_str())
    };
    let bad = |why| bad_row(number, why);
    let at_ms = cell(&["time_ms", "at_ms"]).ok_or_else(|| bad("it has no time_ms"))?;
    let at_ms = decimal(at_ms).ok_or_else(|| bad("its time_ms is no number"))?;
    let kind = cell(&["kind"]).ok_or_else(|| bad("it has no kind"))?;
    let kind = EventKind::from_name(kind).ok_or_else(|| bad("its kind is unknown"))?;
    let rig = match (cell(&["rig"]), cell(&["rig_name"])) {
        (Some(rig), _) => Some(rig.parse::<u32>().map_err(|_| unknown_rig(&shown(rig), rig_names.len()))?),
        (None, Some(name)) => {
            let known = rig_names.iter().position(|known| known == name);
            let known = known.and_then(|rig| u32::try_from(rig).ok());
            Some(known.ok_or_else(|| unknown_rig(&shown(name), rig_names.len()))?)
        }
        (None, None) => None,
    };
    let value = match cell(&["value"]) {
        Some(value) => Some(decimal(value).ok_or_else(|| bad("its value is no number"))?),
        None => None,
    };
    let note = cell(&["note"]).unwrap_or("");
    Ok(Event { at_ms, kind, rig, value, note: note.to_owned() })
}

/// A plain decimal number without the standard library's float parser: sign, up to 15 digits, up to three
/// decimals more.
fn decimal(text: &str) -> Option<f64> {
    let (sign, digits) = text.strip_prefix('-').map_or((1.0, text), |digits| (-1.0, digits));
    let (before, after) = digits.split_once('.').unwrap_or((digits, ""));
    if before.is_empty()
        || before.len() > 15
        || !before.bytes().chain(after.bytes()).all(|b| b.is_ascii_digit())
    {
        return None;
    }
    let mut value = before.parse::<u64>().ok()? as f64;
    let mut place = 0.1;
    for digit in after.bytes().take(6) {
        value += f64::from(digit - b'0') * place;
        place *= 0.1;
    }
    Some(sign * value)
}

/// What came, fit for a sentence.
fn shown(came: &str) -> String {
    tidy_note(came).0.chars().take(40).collect()
}

fn csv_rows(text: &str) -> Result<Vec<Row>, Refusal> {
    let mut lines = csv_cells(text)?.into_iter();
    let header = lines.next().ok_or_else(not_a_log)?;
    if !header.iter().any(|name| name == "kind") {
        return Err(not_a_log());
    }
    Ok(lines.map(|cells| header.iter().cloned().zip(cells).collect()).collect())
}

/// The cells of each line, quotes taken off.
fn csv_cells(text: &str) -> Result<Vec<Vec<String>>, Refusal> {
    let mut lines = Vec::new();
    let mut cells = Vec::new();
    let mut cell = String::new();
    let mut quoted = false;
    let mut chars = text.chars().peekable();
    loop {
        match chars.next() {
            Some('"') if quoted && chars.peek() == Some(&'"') => {
                chars.next();
                cell.push('"');
            }
            Some('"') => quoted = !quoted,
            Some(',') if !quoted => cells.push(unguarded(std::mem::take(&mut cell))),
            Some('\r') if !quoted => {}
            Some('\n') if !quoted => {
                cells.push(unguarded(std::mem::take(&mut cell)));
                lines.push(std::mem::take(&mut cells));
                // The header is no row.
                check_size("rows", lines.len() - 1, MAX_EVENTS)?;
            }
            Some(c) => cell.push(c),
            None => break,
        }
    }
    if quoted {
        return Err(bad_row(lines.len(), "a quotation mark is never closed"));
    }
    cells.push(unguarded(cell));
    lines.push(cells);
    lines.retain(|cells| cells.iter().any(|cell| !cell.is_empty()));
    Ok(lines)
}

/// Takes off the apostrophe that the export puts before what looks like a formula.
fn unguarded(cell: String) -> String {
    match cell.strip_prefix('\'') {
        Some(rest) if rest.starts_with(FORMULA_STARTS) => rest.to_owned(),
        _ => cell,
    }
}

/// A reader of just the JSON that the export writes: an array of flat objects of words, numbers and null.
fn json_rows(text: &str) -> Result<Vec<Row>, Refusal> {
    let mut rest = Json { text };
    let mut rows = Vec::new();
    rest.take('[').ok_or_else(not_a_log)?;
    if rest.take(']').is_none() {
        loop {
            let row = rest.object().ok_or_else(|| bad_row(rows.len() + 1, "it is not a flat JSON object"))?;
            rows.push(row);
            check_size("rows", rows.len(), MAX_EVENTS)?;
            if rest.take(',').is_none() {
                break;
            }
        }
        rest.take(']').ok_or_else(not_a_log)?;
    }
    if rest.text.trim().is_empty() { Ok(rows) } else { Err(not_a_log()) }
}

struct Json<'a> {
    text: &'a str,
}

impl Json<'_> {
    fn take(&mut self, c: char) -> Option<()> {
        self.text = self.text.trim_start().strip_prefix(c)?;
        Some(())
    }

    fn object(&mut self) -> Option<Row> {
        let mut row = Row::new();
        self.take('{')?;
        if self.take('}').is_some() {
            return Some(row);
        }
        loop {
            let name = self.words()?;
            self.take(':')?;
            let cell = if self.text.trim_start().starts_with('"') { self.words()? } else { self.bare()? };
            row.push((name, cell));
            if row.len() > 16 {
                return None;
            }
            if self.take(',').is_none() {
                break;
            }
        }
        self.take('}')?;
        Some(row)
    }

    /// A number or null.
    fn bare(&mut self) -> Option<String> {
        let text = self.text.trim_start();
        let end = text.find([',', '}', ' ', '\n', '\r'])?;
        let (bare, rest) = text.split_at(end);
        self.text = rest;
        match bare {
            "null" => Some(String::new()),
            bare => decimal(bare).map(|_| bare.to_owned()),
        }
    }

    fn words(&mut self) -> Option<String> {
        self.take('"')?;
        let mut words = String::new();
        let mut chars = self.text.chars();
        loop {
            match chars.next()? {
                '"' => break,
                '\\' => match chars.next()? {
                    'n' | 'r' | 't' | 'b' | 'f' => words.push(' '),
                    'u' => {
                        let code = chars.as_str().get(..4)?;
                        words.push(char::from_u32(u32::from_str_radix(code, 16).ok()?).unwrap_or(' '));
                        chars = chars.as_str().get(4..)?.chars();
                    }
                    c => words.push(c),
                },
                c => words.push(c),
            }
        }
        self.text = chars.as_str();
        Some(words)
    }
}
