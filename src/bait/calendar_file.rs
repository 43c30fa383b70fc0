//! The timetable for the phone's calendar, as iCalendar text.
//!
//! Times are floating local time (the wall clock of wherever the phone is), for a day's fishing happens where the angler
//! is. Each event has a length and, if asked, an alarm. Text is escaped, control characters are dropped, and lines are
//! folded at 75 octets without cutting a letter.
//!
//! The core has no clock and draws no random ids: the stamp and the ids are handed in. Years 1 to 9999.
//!
//! Source: RFC 5545 (Desruisseaux 2009): 3.1 (lines), 3.3.5 (form 1, floating), 3.3.11 (text), 3.6.1, 3.6.6.

use crate::refusal::{Refusal, within};
use crate::units::{date_of, days_of};
use serde::{Deserialize, Serialize};

/// A minute of the civil calendar, without a time zone.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct CivilMinute {
    /// Year, 1 to 9999.
    pub year: u16,
    /// Month, 1 to 12.
    pub month: u8,
    /// Day of the month, from 1.
    pub day: u8,
    /// Hour, 0 to 23.
    pub hour: u8,
    /// Minute, 0 to 59.
    pub minute: u8,
}

/// One entry.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "CalendarEvent"))]
#[serde(deny_unknown_fields)]
pub struct CalendarEvent {
    /// An id that is the entry's own for good; the same id again replaces it. Not empty, at most 200 letters.
    pub uid: String,
    /// Start, local time.
    pub start: CivilMinute,
    /// Length, minutes (1 to 10 080).
    pub minutes: u32,
    /// Title.
    pub summary: String,
    /// More about it; may be empty.
    #[serde(default)]
    pub description: String,
    /// Alarm so many minutes before the start (0 to 10 080), if any.
    pub alarm_min_before: Option<u32>,
}

/// The most bytes of a title, and of what is more about an entry.
pub const MAX_NAME: usize = 10_000;
const MAX_EVENTS: usize = 200;
const MAX_ID: usize = 200;

/// The entries as one iCalendar file, lines ended by CR LF. `stamp` is the moment of writing in UTC; `name` the
/// calendar's title.
///
/// # Errors
/// No entry or more than 200; a text of more than 10,000 bytes; a date that does not exist; a length or alarm outside its range; an id that is empty, too
/// long or used twice.
///
/// # Example
/// ```
/// use dotdown::bait::calendar_file::{CivilMinute, CalendarEvent, calendar};
/// let at = CivilMinute { year: 2026, month: 6, day: 14, hour: 5, minute: 30 };
/// let text = calendar("Prep", at, &[CalendarEvent {
///     uid: "a@b".into(), start: at, minutes: 30, summary: "Pack; go".into(), description: String::new(),
///     alarm_min_before: Some(10),
/// }])
/// .unwrap();
/// assert!(text.contains("DTSTART:20260614T053000\r\n") && text.contains("SUMMARY:Pack\\; go\r\n"));
/// ```
pub fn calendar(name: &str, stamp: CivilMinute, events: &[CalendarEvent]) -> Result<String, Refusal> {
    if events.is_empty() || events.len() > MAX_EVENTS {
        let came = events.len();
        let sentence = format!("A calendar takes 1 to {MAX_EVENTS} entries; {came} were given.");
        return Err(Refusal::new("count", "events", sentence));
    }
    let texts = events.iter().flat_map(|event| [&event.summary, &event.description]).map(String::as_str);
    if texts.chain([name]).any(|text| text.len() > MAX_NAME) {
        let sentence =
            format!("A calendar's titles and descriptions have at most {MAX_NAME} bytes each; shorten them.");
        return Err(Refusal::new("too_large", "events", sentence));
    }
    if !exists(stamp) {
        return Err(Refusal::new("no_such_day", "stamp", "The calendar's stamp is not a date and time."));
    }
    for (index, event) in events.iter().enumerate() {
        let twice = events[..index].iter().any(|other| other.uid == event.uid);
        if event.uid.is_empty()
            || event.uid.chars().count() > MAX_ID
            || twice
            || event.uid.contains(is_control)
        {
            let sentence = format!(
                "Entry {} needs an id of its own, 1 to {MAX_ID} letters, different from all others.",
                index + 1
            );
            return Err(Refusal::new("bad_id", "events", sentence));
        }
        if !exists(event.start) {
            let sentence =
                format!("Entry {} has a day or time that does not exist; check the date.", index + 1);
            return Err(Refusal::new("no_such_day", "events", sentence));
        }
        within("events.minutes", "length of an entry", event.minutes.into(), (1.0, 10_080.0), "min")?;
        if let Some(before) = event.alarm_min_before {
            within("events.alarm_min_before", "time of the alarm", before.into(), (0.0, 10_080.0), "min")?;
        }
    }
    let mut out = String::new();
    line(&mut out, "BEGIN", "VCALENDAR");
    line(&mut out, "VERSION", "2.0");
    line(&mut out, "PRODID", "-//Dotdown//Bait timetable//EN");
    line(&mut out, "CALSCALE", "GREGORIAN");
    line(&mut out, "METHOD", "PUBLISH");
    line(&mut out, "X-WR-CALNAME", &escaped(name));
    for event in events {
        write_event(&mut out, event, stamp);
    }
    line(&mut out, "END", "VCALENDAR");
    Ok(out)
}

fn write_event(out: &mut String, event: &CalendarEvent, stamp: CivilMinute) {
    line(out, "BEGIN", "VEVENT");
    line(out, "UID", &escaped(&event.uid));
    line(out, "DTSTAMP", &(date_time(stamp) + "Z"));
    line(out, "DTSTART", &date_time(event.start));
    line(out, "DURATION", &format!("PT{}M", event.minutes));
    line(out, "SUMMARY", &escaped(&event.summary));
    if !event.description.is_empty() {
        line(out, "DESCRIPTION", &escaped(&event.description));
    }
    if let Some(before) = event.alarm_min_before {
        line(out, "BEGIN", "VALARM");
        line(out, "ACTION", "DISPLAY");
        line(out, "DESCRIPTION", &escaped(&event.summary));
        line(out, "TRIGGER", &format!("-PT{before}M"));
        line(out, "END", "VALARM");
    }
    line(out, "END", "VEVENT");
}

/// `20260614T053000`.
fn date_time(CivilMinute { year, month, day, hour, minute }: CivilMinute) -> String {
    format!("{year:04}{month:02}{day:02}T{hour:02}{minute:02}00")
}

fn exists(at: CivilMinute) -> bool {
    let date = (at.year.into(), at.month.into(), at.day.into());
    let is_date = date_of(days_of(date.0, date.1, date.2)) == date;
    is_date && (1..=9999).contains(&at.year) && at.hour < 24 && at.minute < 60
}

/// What RFC 5545 allows in no text: all controls but the tab (line ends are escaped before this is asked).
fn is_control(c: char) -> bool {
    c.is_control() && c != '\t'
}

/// Text with backslash, semicolon, comma and line ends escaped, and other control characters left out.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 8);
    let mut letters = text.chars().peekable();
    while let Some(c) = letters.next() {
        match c {
            '\\' | ';' | ',' => {
                out.push('\\');
                out.push(c);
            }
            '\r' => {
                // CR LF is one line end, a lone CR another.
                if letters.peek() != Some(&'\n') {
                    out.push_str("\\n");
                }
            }
            '\n' => out.push_str("\\n"),
            c if is_control(c) => {}
            c => out.push(c),
        }
    }
    out
}

/// One content line, folded so that no line is longer than 75 octets without its line end.
fn line(out: &mut String, name: &str, value: &str) {
    let mut room = 75;
    for c in name.chars().chain(":".chars()).chain(value.chars()) {
        if c.len_utf8() > room {
            out.push_str("\r\n ");
            room = 74;
        }
        out.push(c);
        room -= c.len_utf8();
    }
    out.push_str("\r\n");
}
