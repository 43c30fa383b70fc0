//! The whole book as one file of JSON, and back. `FORMAT.md` beside this file describes it for others; a test reads
//! its example.

use super::Book;
use super::id::{Clock, Id, Phone, Stamp};
use super::json::{Reader, quoted, value};
use super::logs::{Logs, check_line};
use super::merge::{Record, Value, Written};
use super::plan_parts::Held;
use super::rows::{FORM, Kind, Row, Store};
use crate::checksum::crc32;
use crate::plan::link;
use crate::refusal::Refusal;
use crate::small::Sorted;

/// The version that this code writes. It goes up with the form of any record.
const VERSION: i64 = 1;
/// The first member's name.
const MAGIC: &str = "dotdown_book";
/// The longest file that is looked at, bytes: ten years of logs.
pub const MAX_BOOK_BYTES: usize = 200_000_000;

/// The book as text: all days, waters, things and the logs that were read, without history. Removed records stay in it,
/// so that they are removed on the other phone too.
#[must_use]
pub fn book_text(book: &Book) -> String {
    let mut text = format!("{{\"{MAGIC}\":{VERSION}");
    for kind in Kind::ALL {
        let records = book
            .of_kind(kind)
            .filter_map(|((_, id), row)| Some(record_text(kind, *id, &Held::new(row.record().ok()?))));
        list(&mut text, kind.store().name(), records);
    }
    let logs = book.logs.days().into_iter().flat_map(|day| {
        book.logs.of(day).into_iter().map(move |(phone, lines)| {
            let lines: Vec<String> = lines.lines().map(quoted).collect();
            format!("{{\"day\":\"{day}\",\"phone\":\"{phone}\",\"lines\":[\n{}]}}", lines.join(",\n"))
        })
    });
    list(&mut text, Store::Logs.name(), logs);
    let newer = book.newer.iter().map(|((kind, bytes), ())| {
        let hex = hex(bytes);
        format!("{{\"store\":\"{}\",\"bytes\":\"{hex}\"}}", kind.store().name())
    });
    list(&mut text, "newer", newer);
    text + "}\n"
}

fn hex(bytes: &[u8]) -> String {
    let digit = |half: u8| char::from_digit(half.into(), 16).unwrap_or('0');
    bytes.iter().flat_map(|byte| [digit(byte >> 4), digit(byte & 15)]).collect()
}

/// Adds a member that is a list, an entry a line.
fn list(text: &mut String, name: &str, entries: impl Iterator<Item = String>) {
    text.push_str(&[",\n\"", name, "\":["].concat());
    for (i, entry) in entries.enumerate() {
        text.push_str(if i > 0 { ",\n" } else { "\n" });
        text.push_str(&entry);
    }
    text.push(']');
}

/// A record with its checksum.
fn record_text(kind: Kind, id: Id, held: &Held) -> String {
    let body = record_body(id, held.record());
    let sum = crc32(body.as_bytes());
    let link = match kind {
        Kind::Day => format!("\"link\":{},", quoted(&link::write(held.plan()))),
        _ => String::new(),
    };
    format!("{{{body},{link}\"check\":\"{sum:08x}\"}}")
}

/// The members that the checksum is of, as they are written.
fn record_body(id: Id, record: &Record) -> String {
    let entries = record.parts().flat_map(|(_, part)| part.entries());
    let first = entries.map(|entry| (entry.stamp, entry.phone)).min().unwrap_or_default();
    let (mut parts, mut written) = (Vec::new(), Vec::new());
    for (key, part) in record.parts() {
        let key = quoted(key);
        let once = |entry: &Written| (entry.stamp, entry.phone) == first && entry.value.is_some();
        if !matches!(part.entries(), [entry] if once(entry)) {
            let entries: Vec<String> = part.entries().iter().map(entry_text).collect();
            written.push(format!("{key}:[{}]", entries.join(",")));
        }
        parts.push(format!("{key}:{}", value(part.value())));
    }
    let (stamp, phone) = first;
    let (parts, written) = (parts.join(","), written.join(","));
    let made = format!("[\"{phone}\",{}]", stamp.0);
    format!("\"id\":\"{id}\",\"form\":{FORM},\"made\":{made},\"parts\":{{{parts}}},\"written\":{{{written}}}")
}

fn entry_text(entry: &Written) -> String {
    let held = entry.value.as_ref().map_or_else(String::new, |held| [",", &value(held)].concat());
    format!("[\"{}\",{}{held}]", entry.phone, entry.stamp.0)
}

/// Refuses a file that is longer than is looked at.
fn check_size(bytes: usize) -> Result<(), Refusal> {
    if bytes <= MAX_BOOK_BYTES {
        return Ok(());
    }
    let most = MAX_BOOK_BYTES / 1_000_000;
    let sentence =
        format!("This file is far too large for a backup: at most {most} MB are read. Choose another.");
    Err(Refusal::new("too_large", "", sentence))
}

/// The book in a file. Nothing is changed: it is merged by [`Book::merge`].
///
/// # Errors
/// `not_a_book`, `newer_version`, `too_large`; `unreadable` with the line, the column and the path of the place that
/// cannot be read.
pub fn book_from(text: &str) -> Result<Book, Refusal> {
    let not_a_book = || {
        let sentence = "This file is no Dotdown backup. Choose one that was saved under Settings, Back up.";
        Refusal::new("not_a_book", "", sentence)
    };
    check_size(text.len())?;
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    // In quotation marks it can stand in no text of the file: those within are written with backslashes.
    let (_, version) = text.split_once(&quoted(MAGIC)).ok_or_else(not_a_book)?;
    let version = version.trim_start().strip_prefix(':').ok_or_else(not_a_book)?;
    let newer = Reader::new(version).whole().map_err(|_| not_a_book())?;
    if newer > VERSION {
        let sentence = format!(
            "This backup was made by a newer version of the page ({newer}). Update this page, then open it again."
        );
        return Err(Refusal::new("newer_version", MAGIC, sentence));
    }
    let mut found = Found::default();
    let mut reader = Reader::new(text);
    reader.object(&mut |reader, key| {
        let kind = Store::named(key).and_then(Kind::of);
        match (key, kind) {
            (_, Some(kind)) => reader.list(&mut |reader| found.record(reader, kind)),
            ("logs", _) => reader.list(&mut |reader| found.log(reader)),
            ("newer", _) => reader.list(&mut |reader| found.newer(reader)),
            _ => reader.skip(),
        }
    })?;
    reader.end()?;
    Ok(Book {
        rows: found.rows,
        newer: found.newer,
        logs: found.logs,
        ..Book::empty(Clock::new(Phone(0), 0))
    })
}

/// What was read so far.
#[derive(Default)]
struct Found {
    rows: Sorted<(Kind, Id), Row>,
    newer: Sorted<(Kind, Vec<u8>), ()>,
    logs: Logs,
}

impl Found {
    fn record(&mut self, reader: &mut Reader<'_>, kind: Kind) -> Result<(), Refusal> {
        let (mut id, mut made, mut check) = (None, None, None);
        let mut parts: Sorted<String, Value> = Sorted::new();
        let mut record = Record::default();
        reader.object(&mut |reader, key| {
            match key {
                "id" => id = Some(read_id(reader)?),
                "form" => {
                    if reader.whole()? != i64::from(FORM) {
                        return Err(reader.refuse("this version does not know the record’s form"));
                    }
                }
                "made" => made = Some(written(reader)?),
                "parts" => reader.object(&mut |reader, key| {
                    parts.insert(key.to_owned(), reader.value()?);
                    Ok(())
                })?,
                "written" => reader.object(&mut |reader, key| {
                    reader.list(&mut |reader| {
                        let entry = written(reader)?;
                        record.take(key, entry);
                        Ok(())
                    })
                })?,
                "check" => check = Some(reader.text()?),
                _ => reader.skip()?,
            }
            Ok(())
        })?;
        let id = id.ok_or_else(|| reader.refuse("the record before this has no id"))?;
        let made =
            made.ok_or_else(|| reader.refuse("the record before this does not say when it was made"))?;
        for (key, value) in parts {
            if record.part(&key).is_none() {
                record.take(&key, Written { value: Some(value), ..made.clone() });
            }
        }
        record.check().map_err(|why| {
            let refused = reader.explain(&why);
            let place = [refused.field(), ".parts.", why.field()].concat();
            refused.at(place)
        })?;
        if record.len() == 0 {
            return Err(reader.refuse("the record before this is empty"));
        }
        let sum = format!("{:08x}", crc32(record_body(id, &record).as_bytes()));
        if check.is_some_and(|check| check != sum) {
            let what = "the record before this was altered, its checksum does not fit; whoever altered it takes its check out";
            return Err(reader.refuse(what));
        }
        let row = Row::write(kind, id, &Held::new(record));
        if self.rows.contains_key(&(kind, id)) {
            return Err(reader.refuse("the record before this has an id that stood there already"));
        }
        self.rows.insert((kind, id), row);
        Ok(())
    }

    fn log(&mut self, reader: &mut Reader<'_>) -> Result<(), Refusal> {
        let (mut day, mut phone, mut lines) = (None, None, Vec::new());
        reader.object(&mut |reader, key| {
            match key {
                "day" => day = Some(read_id(reader)?),
                "phone" => phone = Some(read_phone(reader)?),
                "lines" => reader.list(&mut |reader| {
                    let line = reader.text()?;
                    check_line(&line).map_err(|why| reader.explain(&why))?;
                    lines.push(line);
                    Ok(())
                })?,
                _ => reader.skip()?,
            }
            Ok(())
        })?;
        let (day, phone) = day.zip(phone).ok_or_else(|| reader.refuse("a log has a day and a phone"))?;
        for line in &lines {
            self.logs.put(day, phone, line)?;
        }
        Ok(())
    }

    fn newer(&mut self, reader: &mut Reader<'_>) -> Result<(), Refusal> {
        let (mut store, mut bytes) = (String::new(), None);
        reader.object(&mut |reader, key| {
            match key {
                "store" => store = reader.text()?,
                "bytes" => {
                    let hex = reader.text()?;
                    let byte = |pair: &[u8]| u8::from_str_radix(str::from_utf8(pair).ok()?, 16).ok();
                    bytes = hex.as_bytes().chunks(2).map(byte).collect::<Option<Vec<u8>>>();
                }
                _ => reader.skip()?,
            }
            Ok(())
        })?;
        let kind = Store::named(&store).and_then(Kind::of);
        match (kind, bytes) {
            (Some(kind), Some(bytes)) if bytes.first().is_some_and(|form| *form > FORM) => {
                self.newer.insert((kind, bytes), ());
                Ok(())
            }
            _ => Err(reader.refuse("what a newer version wrote is not whole")),
        }
    }
}

fn read_id(reader: &mut Reader<'_>) -> Result<Id, Refusal> {
    let text = reader.text()?;
    Id::read(&text).ok_or_else(|| reader.refuse("an id has 32 hexadecimal digits"))
}

fn read_phone(reader: &mut Reader<'_>) -> Result<Phone, Refusal> {
    let text = reader.text()?;
    Phone::read(&text).ok_or_else(|| reader.refuse("a phone has 16 hexadecimal digits"))
}

/// Who wrote, when, and perhaps what.
fn written(reader: &mut Reader<'_>) -> Result<Written, Refusal> {
    let (mut phone, mut stamp, mut held) = (None, None, None);
    reader.list(&mut |reader| {
        match (phone, stamp, &held) {
            (None, ..) => phone = Some(read_phone(reader)?),
            (_, None, _) => {
                let number =
                    u64::try_from(reader.whole()?).map(Stamp).ok().filter(|stamp| *stamp <= Stamp::MAX);
                stamp = Some(number.ok_or_else(|| reader.refuse("a moment is from 0 to 9007199254740991"))?);
            }
            (.., None) => held = Some(reader.value()?),
            _ => return Err(reader.refuse("an entry is a phone, a moment and perhaps a value")),
        }
        Ok(())
    })?;
    let refuse = || reader.refuse("an entry is a phone, a moment and perhaps a value");
    let (phone, stamp) = phone.zip(stamp).ok_or_else(refuse)?;
    Ok(Written { phone, stamp, value: held })
}
