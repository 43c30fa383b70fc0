//! What a store keeps: one row of bytes for a record, for a step of the history and for a stretch of a log.
//!
//! A row is: the form's number, what it holds, the length of its head (2 bytes, low first), the head in postcard's compact
//! form, CRC-32 of the body and of everything before (4 bytes each, low first), the body. The head is read when the book
//! is opened and says what a list shows; the body only when it is asked for. A record's body is its parts in the order of
//! their keys, each key without what it shares with the one before; a day's ends with its plan as link text, which this
//! page never reads: any past or future version of the page can.

use super::days::DaySummary;
use super::id::{Id, Phone, Stamp};
use super::merge::{MAX_PARTS, Record, Value, Written};
use super::plan_parts::Held;
use crate::checksum::crc32;
use crate::plan::link;
use crate::refusal::Refusal;
use serde::{Deserialize, Serialize};

/// The form that this code writes.
pub(super) const FORM: u8 = 1;
/// The most bytes of a row that are looked at.
const MAX_BYTES: usize = 4_000_000;

/// The object stores of the database.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Store {
    /// Days, by id.
    Days,
    /// Waters, by id.
    Waters,
    /// Things in the box, by id.
    Tackle,
    /// Logs in stretches, by day, phone and number.
    Logs,
    /// Steps that can be undone, in their order.
    History,
}

impl Store {
    /// All of them.
    pub const ALL: [Self; 5] = [Self::Days, Self::Waters, Self::Tackle, Self::Logs, Self::History];

    /// Its name in the database.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Days => "days",
            Self::Waters => "waters",
            Self::Tackle => "tackle",
            Self::Logs => "logs",
            Self::History => "history",
        }
    }

    /// The one of a name.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|store| store.name() == name)
    }

    fn letter(self) -> u8 {
        self.name().as_bytes().first().copied().unwrap_or(0)
    }
}

/// What a record is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum Kind {
    /// A day.
    Day,
    /// A water.
    Water,
    /// A thing in the box.
    Tackle,
}

impl Kind {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Day, Self::Water, Self::Tackle];

    /// The kind that is kept in a store.
    pub(super) fn of(store: Store) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.store() == store)
    }

    /// Where its rows are kept.
    #[must_use]
    pub fn store(self) -> Store {
        match self {
            Self::Day => Store::Days,
            Self::Water => Store::Waters,
            Self::Tackle => Store::Tackle,
        }
    }
}

/// A row to be written, or to be taken out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StoredRow {
    /// Where.
    pub store: Store,
    /// Its key: letters, digits and dashes.
    pub key: String,
    /// What it holds; nothing for a row to be taken out.
    pub bytes: Option<Vec<u8>>,
}

/// Why a row cannot be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Unread {
    /// It is not whole.
    Damaged,
    /// A newer version of the page wrote it.
    Newer,
}

/// A row's parts.
pub(super) struct Opened<'a> {
    form: u8,
    letter: u8,
    head: &'a [u8],
    body_sum: u32,
    body: &'a [u8],
}

/// A row of these parts.
pub(super) fn seal<T: Serialize>(store: Store, head: &T, body: &[u8]) -> Vec<u8> {
    let head = postcard::to_allocvec(head).unwrap_or_default();
    let length = u16::try_from(head.len()).unwrap_or(u16::MAX);
    let mut row = vec![FORM, store.letter()];
    row.extend(length.to_le_bytes());
    row.extend(head);
    row.extend(crc32(body).to_le_bytes());
    row.extend(crc32(&row).to_le_bytes());
    row.extend(body);
    row
}

/// The parts of a row; its head is whole.
pub(super) fn open(row: &[u8]) -> Result<Opened<'_>, Unread> {
    let (&[form, letter, low, high], rest) = row.split_first_chunk().ok_or(Unread::Damaged)?;
    if form > FORM {
        return Err(Unread::Newer);
    }
    let length = usize::from(u16::from_le_bytes([low, high]));
    let (head, rest) = rest.split_at_checked(length).ok_or(Unread::Damaged)?;
    let (body_sum, rest) = rest.split_first_chunk().ok_or(Unread::Damaged)?;
    let (sum, body) = rest.split_first_chunk().ok_or(Unread::Damaged)?;
    let summed = row.get(..length + 8).unwrap_or(&[]);
    if row.len() > MAX_BYTES || u32::from_le_bytes(*sum) != crc32(summed) {
        return Err(Unread::Damaged);
    }
    Ok(Opened { form, letter, head, body_sum: u32::from_le_bytes(*body_sum), body })
}

/// Whether a record's row lies under another record's key. It counts as one that cannot be read: what that record wrote there
/// would replace it.
#[must_use]
pub fn strays(store: Store, key: &str, row: &[u8]) -> bool {
    let id = open(row).ok().and_then(|row| postcard::take_from_bytes::<Id>(row.head).ok());
    Kind::of(store).is_some() && id.is_some_and(|(id, _)| Id::read(key) != Some(id))
}

impl<'a> Opened<'a> {
    /// Its head, where it is one of this store.
    pub(super) fn head<T: Deserialize<'a>>(&self, store: Store) -> Result<T, Unread> {
        let head = postcard::from_bytes(self.head).map_err(|_| Unread::Damaged)?;
        if self.letter == store.letter() { Ok(head) } else { Err(Unread::Damaged) }
    }

    /// Its body, which is whole.
    pub(super) fn body(&self) -> Result<&'a [u8], Unread> {
        if crc32(self.body) == self.body_sum { Ok(self.body) } else { Err(Unread::Damaged) }
    }
}

/// What a list needs of a record.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Head {
    pub(super) id: Id,
    /// The latest moment in it.
    pub(super) last: Stamp,
    /// Whether it is to be shown.
    pub(super) stands: bool,
    /// How many parts wait to be settled.
    pub(super) open: u16,
    pub(super) name: String,
    pub(super) day: Option<DaySummary>,
}

/// A record's row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Row {
    pub(super) kind: Kind,
    pub(super) head: Head,
    pub(super) bytes: Vec<u8>,
}

/// An entry of a part: the place of its phone, its moment after the record's first, its value.
type Entry = (u8, u64, Option<Value>);

/// A record's body, as it is read.
#[derive(Deserialize)]
struct Body {
    phones: Vec<Phone>,
    /// The record's first moment.
    first: u64,
    /// How many bytes of each key are those of the key before, the others, and the part.
    parts: Vec<(u8, String, Vec<Entry>)>,
    /// A day's plan as link text.
    _link: String,
}

impl Row {
    pub(super) fn write(kind: Kind, id: Id, held: &Held) -> Self {
        let record = held.record();
        let name = match record.get(if kind == Kind::Day { "plan.name" } else { "name" }) {
            Value::Text(name) => name.clone(),
            _ => String::new(),
        };
        let entries = || record.parts().flat_map(|(_, part)| part.entries());
        let head = Head {
            id,
            last: entries().map(|entry| entry.stamp).max().unwrap_or_default(),
            stands: record.stands(),
            open: u16::try_from(record.open_parts().len()).unwrap_or(u16::MAX),
            name,
            day: (kind == Kind::Day).then(|| DaySummary::read(id, record)),
        };
        let first = entries().map(|entry| entry.stamp).min().unwrap_or_default();
        let link = if kind == Kind::Day { link::write(held.plan()) } else { String::new() };
        let body = body_of(record, first, &link).unwrap_or_default();
        let bytes = seal(kind.store(), &head, &body);
        Self { kind, head, bytes }
    }

    pub(super) fn read(kind: Kind, bytes: Vec<u8>) -> Result<Self, Unread> {
        let row = open(&bytes)?;
        let head = row.head(kind.store())?;
        // A day's body is looked at when it is opened, and that it is damaged is told then. What stands in a list by its body
        // would be missing from it without a word.
        if kind != Kind::Day {
            row.body()?;
        }
        Ok(Self { kind, head, bytes })
    }

    /// The record in it.
    pub(super) fn record(&self) -> Result<Record, Unread> {
        let row = open(&self.bytes)?;
        let record = parts_in(row.form, row.body()?).ok_or(Unread::Damaged)?;
        record.check().map_err(|_: Refusal| Unread::Damaged)?;
        Ok(record)
    }

    pub(super) fn stored(&self) -> StoredRow {
        StoredRow { store: self.kind.store(), key: self.head.id.to_string(), bytes: Some(self.bytes.clone()) }
    }
}

/// A record's body. A day's is written at each letter that is typed: piece by piece, what [`Body`] comes to as a whole.
fn body_of(record: &Record, first: Stamp, link: &str) -> postcard::Result<Vec<u8>> {
    let mut phones: Vec<Phone> = Vec::new();
    for entry in record.parts().flat_map(|(_, part)| part.entries()) {
        if !phones.contains(&entry.phone) {
            phones.push(entry.phone);
        }
    }
    let mut body = postcard::to_allocvec(&(&phones, first.0, record.len()))?;
    let mut before = "";
    for (key, part) in record.parts() {
        let shared = key.bytes().zip(before.bytes()).take_while(|(a, b)| a == b).count().min(255);
        let shared = (0..=shared).rev().find(|&end| key.is_char_boundary(end)).unwrap_or(0);
        let rest = key.get(shared..).unwrap_or(key);
        let head = (u8::try_from(shared).unwrap_or(0), rest, part.entries().len());
        body = postcard::to_extend(&head, body)?;
        for entry in part.entries() {
            let place = phones.iter().position(|phone| *phone == entry.phone).unwrap_or(0);
            let place = u8::try_from(place).unwrap_or(u8::MAX);
            body = postcard::to_extend(&(place, entry.stamp.0 - first.0, &entry.value), body)?;
        }
        before = key;
    }
    postcard::to_extend(link, body)
}

/// The record in a body of this form.
fn parts_in(form: u8, bytes: &[u8]) -> Option<Record> {
    let body: Body = match form {
        #[cfg(test)]
        0 => tests::form_0(bytes)?,
        FORM => postcard::from_bytes(bytes).ok()?,
        _ => return None,
    };
    let mut record = Record::default();
    let mut key = String::new();
    for (shared, rest, entries) in body.parts.into_iter().take(MAX_PARTS + 1) {
        key = [key.get(..shared.into())?, &rest].concat();
        for (place, after, value) in entries {
            let phone = *body.phones.get(usize::from(place))?;
            let stamp = Stamp(body.first.checked_add(after)?);
            record.take(&key, Written { phone, stamp, value });
        }
    }
    Some(record)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::book::days::Day;
    use crate::book::id::Clock;
    use crate::plan::presets::presets;

    /// A made-up form from before the first: one phone, whole keys, texts alone. It shows how an older form becomes
    /// today's.
    pub(super) fn form_0(bytes: &[u8]) -> Option<Body> {
        let (phone, parts): (Phone, Vec<(String, String)>) = postcard::from_bytes(bytes).ok()?;
        let parts = parts.into_iter().map(|(key, text)| (0, key, vec![(0, 0, Some(Value::Text(text)))]));
        Some(Body { phones: vec![phone], first: 256, parts: parts.collect(), _link: String::new() })
    }

    fn day() -> Record {
        let mut record = Record::default();
        let mut clock = Clock::new(Phone(0xfeed), 1);
        let day = Day {
            note: "Bream at the far bank, “topping” at noon".to_owned(),
            ..Day::new(presets().remove(0).plan)
        };
        let stamp = clock.tick();
        for (key, value) in day.parts().unwrap() {
            record.set(clock.phone, stamp, &key, value);
        }
        record.set(Phone(0xbee), Stamp(0x9_01), "plan.water.peg", Value::Text("22".to_owned()));
        record
    }

    /// Rows of every form that was ever written, as hexadecimal digits; new ones are added, none is changed. A form is
    /// frozen once the book is released.
    const STORED: &str = include_str!("../../tests/data/book/rows.txt");

    fn hex(bytes: &[u8]) -> String {
        bytes.iter().fold(String::new(), |text, b| text + &format!("{b:02x}"))
    }

    #[test]
    fn stored_rows_of_every_form_open() {
        let rows: Vec<(&str, Vec<u8>)> = STORED
            .lines()
            .filter_map(|line| line.split_once(' '))
            .map(|(name, hex)| {
                let byte = |i: usize| u8::from_str_radix(&hex[i..i + 2], 16).unwrap();
                (name, (0..hex.len()).step_by(2).map(byte).collect())
            })
            .collect();
        if std::env::var_os("DOTDOWN_WRITE").is_some() {
            println!("1 {}", hex(&Row::write(Kind::Day, Id(7), &Held::new(day())).bytes));
            let mut zero = seal(
                Store::Waters,
                &Row::write(Kind::Water, Id(8), &Held::new(Record::default())).head,
                &postcard::to_allocvec(&(Phone(5), vec![("name".to_owned(), "Sallow Pond".to_owned())]))
                    .unwrap(),
            );
            zero[0] = 0;
            let end = 4 + usize::from(zero[2]);
            let sum = crc32(&zero[..end + 4]).to_le_bytes();
            zero[end + 4..end + 8].copy_from_slice(&sum);
            println!("0 {}", hex(&zero));
            panic!("written, not tested");
        }
        let of = |form: &str| rows.iter().find(|(name, _)| *name == form).unwrap().1.clone();
        let row = Row::read(Kind::Day, of("1")).unwrap();
        let record = row.record().unwrap();
        assert_eq!((record.len(), row.head.day.as_ref().unwrap().peg.as_str()), (353, "22"));
        let held = [
            ("plan.water.depth", Value::Number(21_336)),
            ("plan.rigs.1.name", Value::Text("B".to_owned())),
            ("note", Value::Text("Bream at the far bank, “topping” at noon".to_owned())),
            ("result.weight", Value::Nothing),
        ];
        for (key, value) in held {
            assert_eq!(record.get(key), &value, "{key}");
        }
        assert_eq!(record.part("plan.water.peg").unwrap().entries().len(), 2);
        assert_eq!(Row::write(Kind::Day, Id(7), &Held::new(record.clone())).record().unwrap(), record);
        let old = Row::read(Kind::Water, of("0")).unwrap();
        assert_eq!(old.record().unwrap().get("name"), &Value::Text("Sallow Pond".to_owned()));
        assert_eq!(
            Row::write(Kind::Water, Id(8), &Held::new(old.record().unwrap())).bytes[0],
            FORM,
            "it is written anew"
        );
        let mut newer = of("1");
        newer[0] = FORM + 1;
        assert_eq!(Row::read(Kind::Day, newer), Err(Unread::Newer));
    }

    #[test]
    fn a_row_comes_back_and_a_damaged_one_does_not() {
        let record = day();
        let row = Row::write(Kind::Day, Id(7), &Held::new(record.clone()));
        let again = Row::read(Kind::Day, row.bytes.clone()).unwrap();
        assert_eq!((&again, again.record().unwrap()), (&row, record));
        println!("{} bytes", row.bytes.len());
        let lost = |bytes: Vec<u8>| match Row::read(Kind::Day, bytes) {
            Ok(row) => row.record().is_err(),
            Err(_) => true,
        };
        for cut in 0..row.bytes.len() {
            assert!(lost(row.bytes[..cut].to_vec()), "cut at {cut}");
            let mut bytes = row.bytes.clone();
            bytes[cut] ^= 0x10;
            assert!(lost(bytes), "changed at {cut}");
        }
        assert!(Row::read(Kind::Water, row.bytes).is_err());
        // What is in a list by its body is not read without it.
        let mut bytes = Row::write(Kind::Water, Id(7), &Held::new(day())).bytes;
        assert!(Row::read(Kind::Water, bytes.clone()).is_ok());
        *bytes.last_mut().unwrap() ^= 0x10;
        assert!(Row::read(Kind::Water, bytes).is_err());
    }
}
