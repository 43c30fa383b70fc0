//! The log of a session: every tap, in order, with its absolute time, so that nothing is lost and anything
//! can be undone.
//!
//! The log only ever grows. Undoing a tap adds an undo record, so that storage can be append-only too: a
//! phone that is switched off between two taps loses nothing that was acknowledged. Each record is one line
//! of text with its own number and checksum. A line that was cut while being written is dropped when the log
//! is read back, and told.
//!
//! # Validity
//! Times are milliseconds since 1970 (UTC), handed in; up to the year 2100. At most [`MAX_EVENTS`] records.
//!
//! # Source
//! The calendar date in an export follows the proleptic Gregorian calendar of ISO 8601.

use crate::checksum::crc32;
use crate::refusal::{Refusal, short};
use crate::units::{between, fixed};
use serde::{Deserialize, Serialize};

/// The most records a log may hold: a tap every two seconds for eleven hours.
pub const MAX_EVENTS: usize = 20_000;
/// The most bytes of a file that is read as a log.
pub const MAX_IMPORT_BYTES: usize = 4_000_000;
/// The most characters of a note.
pub const MAX_NOTE_CHARS: usize = 500;
/// The latest time that is taken, ms since 1970 (1 January 2100).
pub const MAX_AT_MS: f64 = 4_102_444_800_000.0;
/// The most rigs a session may have.
pub const MAX_RIGS: usize = 16;
/// A pause between two records of an imported log that is worth a sentence, ms (one hour).
const GAP_MS: f64 = 3_600_000.0;

/// What happened.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
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

/// Each kind with its letter in storage and its name in exports. One table, used by writing and by reading.
const KINDS: [(EventKind, char, &str); 16] = [
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

    fn letter(self) -> char {
        KINDS.iter().find(|row| row.0 == self).map_or('?', |row| row.1)
    }

    fn from_letter(letter: &str) -> Option<Self> {
        let mut letters = letter.chars();
        let first = letters.next()?;
        if letters.next().is_some() {
            return None;
        }
        KINDS.iter().find(|row| row.1 == first).map(|row| row.0)
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
/// use dotdown::session::log::{Event, EventKind};
/// let event = Event::new(1_700_000_000_000.0, EventKind::Cast).with_rig(2);
/// assert_eq!(event.rig, Some(2));
/// ```
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
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
            (Some(value), Some((least, most))) => {
                if !(least..=most).contains(&value) {
                    let (came, kind) = (short(value), self.kind.name());
                    let sentence = format!(
                        "The value {came} of a record `{kind}` is not between {least} and {most}. Correct it or leave it out."
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

/// Cuts a note to length and takes out what could be read as markup or as control of a screen.
fn tidy_note(note: &str) -> (String, bool) {
    let mut tidy = String::new();
    for (count, c) in note.chars().enumerate() {
        if count >= MAX_NOTE_CHARS {
            break;
        }
        match c {
            '<' => tidy.push('‹'),
            '>' => tidy.push('›'),
            c if c.is_control() => tidy.push(' '),
            c => tidy.push(c),
        }
    }
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

/// Refuses more records or bytes than a day can hold.
fn check_size(what: &str, came: usize, most: usize) -> Result<(), Refusal> {
    if came <= most {
        return Ok(());
    }
    let sentence =
        format!("The log has {came} {what}; at most {most} can be kept. Export it and begin a new one.");
    Err(Refusal::new("too_large", "", sentence))
}

/// A rig that the plan does not have.
fn unknown_rig(came: &str, count: usize) -> Refusal {
    let sentence =
        format!("There is no rig {came}: the plan has {count}, counted from 0. Pick one of those.");
    Refusal::new("unknown_rig", "event.rig", sentence)
}

/// There is no tap left to take back.
fn nothing_to_undo() -> Refusal {
    Refusal::new("nothing_to_undo", "", "There is no tap left to take back.")
}

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

/// What became of a tap.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kept {
    /// It is in the log under this number.
    Yes(usize),
    /// The same button was touched a moment before; it counts once.
    DoubleTouch,
}

/// Every record in the order of the taps, and which of them still stand.
#[derive(Clone, Debug, Default, PartialEq)]
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
        self.standing.iter().filter_map(|&at| self.events.get(at))
    }

    /// The records that still stand with their numbers, in order.
    #[must_use]
    pub fn standing_numbered(&self) -> Vec<(usize, &Event)> {
        self.standing.iter().filter_map(|&at| self.events.get(at).map(|event| (at, event))).collect()
    }

    /// The last record that still stands: what an undo would take back.
    #[must_use]
    pub fn last_standing(&self) -> Option<&Event> {
        self.standing.last().and_then(|&at| self.events.get(at))
    }

    /// Adds a tidy record. The same kind within `double_touch_ms` of the record before it counts once, unless
    /// it names another rig or carries a note.
    ///
    /// # Errors
    /// `nothing_to_undo` when an undo finds no tap; `too_large` when the log is full.
    pub fn push(&mut self, event: Event, double_touch_ms: f64) -> Result<Kept, Refusal> {
        if let Some(before) = self.events.last()
            && before.kind == event.kind
            && (event.at_ms - before.at_ms).abs() < double_touch_ms
            && (event.rig.is_none() || event.rig == before.rig)
            && event.note == before.note
        {
            return Ok(Kept::DoubleTouch);
        }
        self.push_as_is(event)
    }

    /// Adds a record without the guard against a double touch, as when a stored log is read back.
    fn push_as_is(&mut self, event: Event) -> Result<Kept, Refusal> {
        check_size("rows", self.events.len() + 1, MAX_EVENTS)?;
        if event.kind == EventKind::Undo {
            self.standing.pop().ok_or_else(nothing_to_undo)?;
        } else {
            self.standing.push(self.events.len());
        }
        self.events.push(event);
        Ok(Kept::Yes(self.events.len() - 1))
    }

    /// The stored line of one record, without a line break, or none if there is no such record.
    #[must_use]
    pub fn line(&self, number: usize) -> Option<String> {
        self.events.get(number).map(|event| encode(number, event))
    }

    /// The whole log as stored text, one line a record, each ended by a line break.
    #[must_use]
    pub fn to_text(&self) -> String {
        let mut text = String::new();
        for (number, event) in self.events.iter().enumerate() {
            text.push_str(&encode(number, event));
            text.push('\n');
        }
        text
    }
}

/// What was read back from storage.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadBack {
    /// The log, with every record that was whole.
    pub log: Log,
    /// How many lines were dropped.
    pub dropped: usize,
    /// What to tell the user; empty if all was well.
    pub told: Vec<String>,
}

/// Reads stored text back. A line that was cut or altered is dropped and told; the rest is kept.
///
/// # Errors
/// `too_large` when the text is larger than a log can be.
pub fn read_back(text: &str, rig_count: usize) -> Result<ReadBack, Refusal> {
    check_size("bytes", text.len(), MAX_IMPORT_BYTES)?;
    let mut read = ReadBack { log: Log::default(), dropped: 0, told: Vec::new() };
    let mut cut_last = false;
    let mut next = 0;
    let mut missing = 0;
    let mut newer = 0;
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
                if read.log.push_as_is(event).is_err() {
                    read.dropped += 1;
                }
            }
            // The same line written twice is no loss.
            Some(_) => {}
            None => {
                read.dropped += 1;
                newer += usize::from(strange);
            }
        }
    }
    if cut_last {
        read.told.push(
            "The last record was cut while it was being saved and was dropped. Tap it again if it is missing."
                .to_owned(),
        );
    }
    tell(
        &mut read.told,
        newer,
        "stored records are whole but not known to this version of the page. They were left out, and are set aside.",
    );
    let other = missing.max(read.dropped.saturating_sub(usize::from(cut_last))).saturating_sub(newer);
    tell(
        &mut read.told,
        other,
        "stored records could not be read and were left out. The others are kept in order.",
    );
    Ok(read)
}

#[expect(clippy::cast_possible_truncation, reason = "bounded by tidy: times below 2^53, values below 1e9")]
fn whole(value: f64) -> i64 {
    value.round() as i64
}

/// `number letter time rig value note check`, separated by single spaces.
fn encode(number: usize, event: &Event) -> String {
    let mut line = number.to_string();
    line.push(' ');
    line.push(event.kind.letter());
    line.push(' ');
    line.push_str(&whole(event.at_ms).to_string());
    line.push(' ');
    match event.rig {
        Some(rig) => line.push_str(&rig.to_string()),
        None => line.push('-'),
    }
    line.push(' ');
    match event.value {
        Some(value) => line.push_str(&whole(value * 1000.0).to_string()),
        None => line.push('-'),
    }
    line.push(' ');
    if event.note.is_empty() {
        line.push('-');
    } else {
        line.push('=');
        for c in event.note.chars() {
            match c {
                '_' => line.push_str("%5"),
                '%' => line.push_str("%2"),
                ' ' | '\n' | '\r' => line.push('_'),
                c => line.push(c),
            }
        }
    }
    let check = crc32(line.as_bytes());
    format!("{line} {check:08x}")
}

/// A line without its checksum, if that fits.
fn whole_line(line: &str) -> Option<&str> {
    let (body, check) = line.rsplit_once(' ')?;
    (check.len() == 8 && u32::from_str_radix(check, 16).ok()? == crc32(body.as_bytes())).then_some(body)
}

fn decode(line: &str) -> Option<(usize, Event)> {
    let mut parts = whole_line(line)?.split(' ');
    let number = parts.next()?.parse().ok()?;
    let kind = EventKind::from_letter(parts.next()?)?;
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

/// The date and time of day in UTC, as `2031-05-04T09:30:00Z` (ISO 8601), of a time in ms since 1970.
#[must_use]
pub fn utc(at_ms: f64) -> String {
    let seconds = whole(between(at_ms, 0.0, MAX_AT_MS) / 1000.0 - 0.4995);
    let (day, second) = (seconds.div_euclid(86_400), seconds.rem_euclid(86_400));
    // Days are counted from 1 March, so that the leap day is the last of its year.
    let from_march = day + 719_468;
    let era = from_march.div_euclid(146_097);
    let day_of_era = from_march.rem_euclid(146_097);
    let year_of_era = (day_of_era - day_of_era / 1460 + day_of_era / 36_524 - day_of_era / 146_096) / 365;
    let day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let month_from_march = (5 * day_of_year + 2) / 153;
    let day_of_month = day_of_year - (153 * month_from_march + 2) / 5 + 1;
    let month = if month_from_march < 10 { month_from_march + 3 } else { month_from_march - 9 };
    let year = year_of_era + era * 400 + i64::from(month <= 2);
    let mut text = year.to_string();
    for (separator, part) in
        [('-', month), ('-', day_of_month), ('T', second / 3600), (':', second / 60 % 60), (':', second % 60)]
    {
        text.push(separator);
        if part < 10 {
            text.push('0');
        }
        text.push_str(&part.to_string());
    }
    text.push('Z');
    text
}

/// A value as short text: no decimals when it is whole, three otherwise.
fn value_text(value: f64) -> String {
    fixed(value, if (value - value.round()).abs() < 1e-9 { 0 } else { 3 })
}

/// The records that stand as CSV (RFC 4180), with a header.
///
/// Columns: `time_ms,time_utc,kind,rig,rig_name,value,note`. A cell of words that a spreadsheet would take
/// for a formula begins with an apostrophe.
#[must_use]
pub fn to_csv(log: &Log, rig_names: &[String]) -> String {
    let mut csv = String::from("time_ms,time_utc,kind,rig,rig_name,value,note\r\n");
    for event in log.standing() {
        csv.push_str(&fixed(event.at_ms, 0));
        csv.push(',');
        csv.push_str(&utc(event.at_ms));
        csv.push(',');
        csv.push_str(event.kind.name());
        csv.push(',');
        if let Some(rig) = event.rig {
            csv.push_str(&rig.to_string());
        }
        csv.push(',');
        push_cell(&mut csv, name_of(event.rig, rig_names));
        csv.push(',');
        if let Some(value) = event.value {
            csv.push_str(&value_text(value));
        }
        csv.push(',');
        push_cell(&mut csv, &event.note);
        csv.push_str("\r\n");
    }
    csv
}

fn name_of(rig: Option<u32>, rig_names: &[String]) -> &str {
    rig.and_then(|rig| usize::try_from(rig).ok())
        .and_then(|rig| rig_names.get(rig))
        .map_or("", String::as_str)
}

fn push_cell(csv: &mut String, words: &str) {
    if words.is_empty() {
        return;
    }
    csv.push('"');
    if words.starts_with(['=', '+', '-', '@', '\'', '\t']) {
        csv.push('\'');
    }
    for c in words.chars() {
        if c == '"' {
            csv.push('"');
        }
        csv.push(c);
    }
    csv.push('"');
}

/// The records that stand as JSON (RFC 8259): an array of objects with the same fields as the CSV.
#[must_use]
pub fn to_json(log: &Log, rig_names: &[String]) -> String {
    let mut json = String::from("[");
    for (count, event) in log.standing().enumerate() {
        json.push_str(if count == 0 { "\n" } else { ",\n" });
        json.push_str("{\"time_ms\":");
        json.push_str(&fixed(event.at_ms, 0));
        json.push_str(",\"time_utc\":");
        push_json(&mut json, &utc(event.at_ms));
        json.push_str(",\"kind\":");
        push_json(&mut json, event.kind.name());
        if let Some(rig) = event.rig {
            json.push_str(",\"rig\":");
            json.push_str(&rig.to_string());
            json.push_str(",\"rig_name\":");
            push_json(&mut json, name_of(event.rig, rig_names));
        }
        if let Some(value) = event.value {
            json.push_str(",\"value\":");
            json.push_str(&value_text(value));
        }
        if !event.note.is_empty() {
            json.push_str(",\"note\":");
            push_json(&mut json, &event.note);
        }
        json.push('}');
    }
    json.push_str("\n]\n");
    json
}

fn push_json(json: &mut String, words: &str) {
    json.push('"');
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
    json.push('"');
}

/// What came out of a file.
#[derive(Clone, Debug, PartialEq)]
pub struct Imported {
    /// The log: every row, sorted by time.
    pub log: Log,
    /// What was repaired, in sentences; empty if nothing was.
    pub told: Vec<String>,
}

/// Reads a log from the text of a CSV or JSON file. Nothing else is touched: the running log stays as it is.
///
/// Repaired and told: rows not in order of time (sorted), the same row twice (kept once), markup and control
/// characters in notes, gaps of more than an hour (kept as they are).
///
/// # Errors
/// `too_large` above [`MAX_IMPORT_BYTES`] or [`MAX_EVENTS`]; `row` when a row cannot be read; `unknown_rig` when a row
/// names a rig that the plan has not; `not_a_log` for any other text.
pub fn import(text: &str, rig_names: &[String]) -> Result<Imported, Refusal> {
    check_size("bytes", text.len(), MAX_IMPORT_BYTES)?;
    let text = text.strip_prefix('\u{feff}').unwrap_or(text).trim();
    let rows = if text.starts_with('[') { json_rows(text)? } else { csv_rows(text)? };
    let mut events = Vec::new();
    for (at, row) in rows.iter().enumerate() {
        events.push(event_of(at + 1, row, rig_names)?);
    }
    repair(events, rig_names.len())
}

/// Makes a log of loose records, as [`import`] does, repairing and telling what it can.
///
/// # Errors
/// As [`import`].
pub fn repair(events: Vec<Event>, rig_count: usize) -> Result<Imported, Refusal> {
    check_size("rows", events.len(), MAX_EVENTS)?;
    let mut told = Vec::new();
    let mut notes = 0;
    let mut kept: Vec<Event> = Vec::new();
    for event in events {
        let (event, changed) = event.tidy(rig_count)?;
        notes += usize::from(changed);
        if event.kind == EventKind::Undo {
            // Undone before sorting: an undo belongs to the row written before it.
            kept.pop().ok_or_else(nothing_to_undo)?;
        } else {
            kept.push(event);
        }
    }
    let backwards = kept.windows(2).filter(|pair| pair[1].at_ms < pair[0].at_ms).count();
    if backwards > 0 {
        crate::small::sort_by(&mut kept, |a, b| a.at_ms.total_cmp(&b.at_ms).is_lt());
        tell(&mut told, backwards, "times ran backwards; the rows were sorted by time.");
    }
    let rows = kept.len();
    kept.dedup();
    tell(&mut told, rows - kept.len(), "rows stood there twice and were kept once.");
    tell(&mut told, notes, "notes held markup, control characters or too many words and were made plain.");
    let gaps = kept.windows(2).filter(|pair| pair[1].at_ms - pair[0].at_ms > GAP_MS).count();
    tell(&mut told, gaps, "gaps of more than an hour were found and left as they are.");
    let mut log = Log::default();
    for event in kept {
        log.push_as_is(event)?;
    }
    Ok(Imported { log, told })
}

fn tell(told: &mut Vec<String>, count: usize, what: &str) {
    if count > 0 {
        let mut sentence = count.to_string();
        sentence.push(' ');
        sentence.push_str(what);
        told.push(sentence);
    }
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
            Some(',') if !quoted => cells.push(unguarded(core::mem::take(&mut cell))),
            Some('\r') if !quoted => {}
            Some('\n') if !quoted => {
                cells.push(unguarded(core::mem::take(&mut cell)));
                lines.push(core::mem::take(&mut cells));
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

/// Takes off the apostrophe that [`push_cell`] puts before what looks like a formula.
fn unguarded(cell: String) -> String {
    match cell.strip_prefix('\'') {
        Some(rest) if rest.starts_with(['=', '+', '-', '@', '\'', '\t']) => rest.to_owned(),
        _ => cell,
    }
}

/// A reader of just the JSON that [`to_json`] writes: an array of flat objects of words, numbers and null.
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

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const T0: f64 = 1_900_000_000_000.0;

    fn names() -> Vec<String> {
        ["shallow", "mid", "deck"].map(str::to_owned).to_vec()
    }

    fn sample() -> Log {
        let mut log = Log::default();
        for (at, event) in [
            Event::new(T0, EventKind::Cast).with_rig(1),
            Event::new(T0, EventKind::Fed).with_value(8.0),
            Event::new(T0, EventKind::Fish).with_value(1250.5),
            Event::new(T0, EventKind::Bite),
            Event::new(T0, EventKind::Undo),
            Event::new(T0, EventKind::Note).with_note("=1+1, \"wind_up\" 100 %"),
        ]
        .into_iter()
        .enumerate()
        {
            let event = Event { at_ms: T0 + 5000.0 * at as f64, ..event };
            log.push(event, 400.0).unwrap();
        }
        log
    }

    #[test]
    fn dates() {
        assert_eq!(utc(0.0), "1970-01-01T00:00:00Z");
        assert_eq!(utc(951_827_696_999.0), "2000-02-29T12:34:56Z");
        assert_eq!(utc(1_900_000_000_000.0), "2030-03-17T17:46:40Z");
    }

    #[test]
    fn undo_takes_back_one_tap() {
        let log = sample();
        assert_eq!(log.events().len(), 6);
        assert_eq!(log.standing().count(), 4);
        assert!(log.standing().all(|event| event.kind != EventKind::Bite));
        let mut empty = Log::default();
        let refused = empty.push(Event::new(T0, EventKind::Undo), 400.0).unwrap_err();
        assert_eq!(refused.code(), "nothing_to_undo");
    }

    #[test]
    fn double_touch_counts_once() {
        let mut log = Log::default();
        assert_eq!(log.push(Event::new(T0, EventKind::Fed), 400.0), Ok(Kept::Yes(0)));
        assert_eq!(log.push(Event::new(T0 + 399.0, EventKind::Fed), 400.0), Ok(Kept::DoubleTouch));
        assert_eq!(log.push(Event::new(T0 + 399.0, EventKind::Bite), 400.0), Ok(Kept::Yes(1)));
        assert_eq!(log.push(Event::new(T0 + 900.0, EventKind::Bite), 400.0), Ok(Kept::Yes(2)));
        let rig = Event::new(T0 + 1400.0, EventKind::PickUpRig);
        assert_eq!(log.push(rig.clone().with_rig(0), 400.0), Ok(Kept::Yes(3)));
        assert_eq!(log.push(rig.with_rig(1), 400.0), Ok(Kept::Yes(4)));
    }

    #[test]
    fn stored_text_comes_back() {
        let log = sample();
        let read = read_back(&log.to_text(), 3).unwrap();
        assert_eq!(read.log, log);
        assert!(read.told.is_empty());
        assert_eq!(log.line(3).unwrap().split(' ').next(), Some("3"));
    }

    #[test]
    fn cut_anywhere_loses_only_the_last_record() {
        let log = sample();
        let text = log.to_text();
        for cut in (0..text.len()).filter(|&cut| text.is_char_boundary(cut)) {
            let whole_lines = text[..cut].matches('\n').count();
            let read = read_back(&text[..cut], 3).unwrap();
            let kept = read.log.events().len();
            // A line that lacks only its line break is whole.
            let only_break = text[cut..].starts_with('\n');
            assert_eq!(kept, whole_lines + usize::from(only_break), "cut at {cut}");
            assert_eq!(read.log.events(), &log.events()[..kept]);
            let half = !only_break && cut > 0 && !text[..cut].ends_with('\n');
            assert_eq!(read.dropped, usize::from(half));
            assert_eq!(read.told.len(), usize::from(half));
        }
    }

    #[test]
    fn an_altered_line_is_dropped_and_told() {
        let text = sample().to_text();
        let altered = text.replacen(" f ", " b ", 1);
        let read = read_back(&altered, 3).unwrap();
        assert_eq!((read.log.events().len(), read.dropped), (5, 1));
        assert_eq!(
            read.told,
            ["1 stored records could not be read and were left out. The others are kept in order."]
        );
    }

    #[test]
    fn exports_come_back() {
        let log = sample();
        for text in [to_csv(&log, &names()), to_json(&log, &names())] {
            let back = import(&text, &names()).unwrap();
            assert!(back.told.is_empty(), "{:?}", back.told);
            assert!(back.log.standing().eq(log.standing()), "{text}");
        }
        assert!(to_csv(&log, &names()).contains(r#""'=1+1, ""wind_up"" 100 %""#));
        let _: serde_json::Value = serde_json::from_str(&to_json(&log, &names())).unwrap();
    }

    #[test]
    fn a_million_rows_are_refused() {
        let mut csv = String::from("time_ms,kind\n");
        for _ in 0..1_000_000 {
            csv.push_str("1,fed\n");
        }
        assert_eq!(import(&csv, &names()).unwrap_err().code(), "too_large");
        let some: String = csv.chars().take(12 + 6 * 20_002).collect();
        assert_eq!(import(&some, &names()).unwrap_err().code(), "too_large");
        let events = vec![Event::new(1.0, EventKind::Fed); 1_000_000];
        assert_eq!(repair(events, 3).unwrap_err().code(), "too_large");
    }

    #[test]
    fn bad_rows_are_refused_with_a_sentence() {
        for (csv, code) in [
            ("time_ms,kind,rig\n1,fed,7\n", "unknown_rig"),
            ("time_ms,kind,rig_name\n1,fed,feeder\n", "unknown_rig"),
            ("time_ms,kind\nsoon,fed\n", "row"),
            ("time_ms,kind\n1,ate\n", "row"),
            ("time_ms,kind\n1,\"fed\n", "row"),
            ("time_ms,kind\n9999999999999,fed\n", "time"),
            ("time_ms,kind,value\n1,fed,-3\n", "value"),
            ("time_ms,kind\n1,undo\n", "nothing_to_undo"),
            ("hello", "not_a_log"),
            ("", "not_a_log"),
            ("[{\"time_ms\":1,\"kind\":{}}]", "row"),
            ("[{\"time_ms\":1,\"kind\":\"fed\"}", "not_a_log"),
        ] {
            let error = import(csv, &names()).unwrap_err();
            assert_eq!(error.code(), code, "{csv}");
            assert!(error.to_string().ends_with('.'));
        }
    }

    #[test]
    fn bad_rows_are_repaired_with_a_sentence() {
        let csv = "time_ms,kind,note\n9000000,fed,\n1000,note,<img src=x onerror=alert(1)>\n1000,note,<img src=x onerror=alert(1)>\n";
        let back = import(csv, &names()).unwrap();
        assert_eq!(
            back.told,
            [
                "1 times ran backwards; the rows were sorted by time.",
                "1 rows stood there twice and were kept once.",
                "2 notes held markup, control characters or too many words and were made plain.",
                "1 gaps of more than an hour were found and left as they are.",
            ]
        );
        let notes: Vec<_> = back.log.standing().map(|event| event.note.as_str()).collect();
        assert_eq!(notes, ["‹img src=x onerror=alert(1)›", ""]);
    }

    #[test]
    fn events_from_javascript_may_be_short() {
        let event: Event = serde_json::from_str(r#"{"kind":"bite","at_ms":12.0}"#).unwrap();
        assert_eq!(event, Event::new(12.0, EventKind::Bite));
        let event: Event = serde_json::from_str(r#"{"type":"swap","at":12,"rig":2}"#).unwrap();
        assert_eq!(event, Event::new(12.0, EventKind::PickUpRig).with_rig(2));
    }

    proptest! {
        #![proptest_config(crate::draw::cases(0x109, 256, 20_000))]

        #[test]
        fn any_record_survives_storage(kind in 0..16_usize, at in 0.0..4e12, rig in proptest::option::of(0..3_u32),
            value in proptest::option::of(0.0..99.0), note in "\\PC{0,40}") {
            let kind = KINDS[kind].0;
            let (event, _) = Event { at_ms: at, kind, rig, value: value.filter(|_| kind != EventKind::Shot), note }
                .tidy(3).unwrap();
            let line = encode(7, &event);
            prop_assert_eq!(decode(&line), Some((7, event)));
        }

        #[test]
        fn no_text_panics(text in "\\PC{0,200}", json in "[\\[\\]{}\",:a-z0-9\\\\ ]{0,80}") {
            let _ = import(&text, &names());
            let _ = import(&format!("[{json}"), &names());
            let _ = import(&format!("time_ms,kind\n{text}"), &names());
            let _ = read_back(&text, 3);
        }

        #[test]
        fn non_finite_is_refused(bad in proptest::sample::select(vec![f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -1.0])) {
            prop_assert!(Event::new(bad, EventKind::Fed).tidy(3).is_err());
            prop_assert!(Event::new(1.0, EventKind::Fed).with_value(bad).tidy(3).is_err());
        }
    }
}
