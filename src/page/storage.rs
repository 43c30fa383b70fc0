//! What the phone keeps, as keys and texts, and which of it is on its way to the disk.
//!
//! One store holds records by key: `page` (see [`saved`](super::saved)); the rows of the [book](crate::book) under the name
//! of their store, such as `days/…` and `logs/…`; `aside/ID`, a text that could not be read, as it was found. A row's
//! bytes are kept as a text of one character a byte, which a browser stores as bytes.

use super::effect::{Effect, StoreTrouble, Write};
use super::event::Rows;
use crate::book::{Book, Id, Store, StoredRow, row_to_store, strays};
use crate::refusal::Refusal;

/// The key of the page.
pub(super) const PAGE: &str = "page";
/// What the keys of logs begin with. They are read when a day is opened that has one.
pub const LOGS: &str = "logs/";

/// What the reader is told of a store that is not as it should be.
pub(super) fn trouble_sentence(trouble: StoreTrouble) -> &'static str {
    match trouble {
        StoreTrouble::Newer => {
            "A newer version of the page keeps its days on this phone. They are left as they are: update this page to go on with them."
        }
        StoreTrouble::Refused => {
            "This browser keeps nothing for this page. Before you close it, save a backup under Settings."
        }
        StoreTrouble::Slow => {
            "This browser refuses the page its quicker store. After a change, leave the page open for some seconds before the phone goes off."
        }
        StoreTrouble::Late => {
            "This phone’s store has not answered yet. Until it does, nothing that you change is kept."
        }
    }
}

/// The key of a row.
fn key_of(row: &StoredRow) -> String {
    [row.store.name(), "/", &row.key].concat()
}

/// The store of a key, and the row's key in it; nothing for what is no row.
fn place_of(key: &str) -> Option<(Store, &str)> {
    let (name, key) = key.split_once('/')?;
    Some((Store::named(name)?, key))
}

pub(super) fn text_of(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| char::from(*byte)).collect()
}

/// The bytes of a text. A character that no byte stands for makes a byte of its own, and so a row that is not whole.
pub(super) fn bytes_of(text: &str) -> Vec<u8> {
    // By hand: at the start of a page some megabytes come through here. In UTF-8 a character below 256 is one byte, or two of
    // which the first is 0xC2 or 0xC3 and ends in the character's upper two bits.
    let mut bytes = Vec::with_capacity(text.len());
    let mut left = text.as_bytes();
    loop {
        left = match *left {
            [] => return bytes,
            [plain @ 0..=0x7f, ref rest @ ..] => {
                bytes.push(plain);
                rest
            }
            [upper @ (0xc2 | 0xc3), lower, ref rest @ ..] => {
                bytes.push(upper << 6 | lower & 0x3f);
                rest
            }
            [_, ref rest @ ..] => {
                bytes.push(b'?');
                let next = rest.iter().take_while(|byte| **byte & 0xc0 == 0x80).count();
                rest.get(next..).unwrap_or(&[])
            }
        };
    }
}

/// What belongs under a row's key where `held` stands and this tab would put `new`: both as one, since another tab may
/// have stored in between.
///
/// # Errors
/// `damaged`: what stands there cannot be read, and is to be left alone.
pub fn joined(key: &str, held: &str, new: &str) -> Result<String, Refusal> {
    match place_of(key) {
        Some((store, _)) => row_to_store(store, &bytes_of(held), bytes_of(new)).map(|bytes| text_of(&bytes)),
        None => Ok(new.to_owned()),
    }
}

/// The rows among what was read from the store; one that strays is none that can be read.
pub(super) fn rows_of(
    records: impl IntoIterator<Item = (String, String)>,
) -> impl Iterator<Item = (Store, Vec<u8>)> {
    records.into_iter().filter_map(|(key, text)| {
        let (store, key) = place_of(&key)?;
        let row = bytes_of(&text);
        Some((store, if strays(store, key, &row) { Vec::new() } else { row }))
    })
}

/// Rows as the book gives them.
pub(super) fn by_key(rows: Vec<StoredRow>) -> Rows {
    rows.into_iter().map(|row| (key_of(&row), row.bytes.as_deref().map(text_of))).collect()
}

/// Rows as the book takes them.
pub(super) fn stored_rows(rows: &Rows) -> Vec<StoredRow> {
    let row = |(key, text): &(String, Option<String>)| {
        let (store, key) = place_of(key)?;
        Some(StoredRow { store, key: key.to_owned(), bytes: text.as_deref().map(bytes_of) })
    };
    rows.iter().filter_map(row).collect()
}

/// The writes of rows. Where another tab is open it may have stored its own in between, and what stands there is looked at;
/// but not of a log, which has one writer. `at_once` looks at nothing: a page that goes does not live to hear of it.
pub(super) fn writes_of(rows: &Rows, at_once: bool) -> Vec<Write> {
    let write = |(key, text): &(String, Option<String>)| match text.clone() {
        Some(value) if at_once || key.starts_with(LOGS) => Write::Put { key: key.clone(), value },
        Some(value) => Write::Join { key: key.clone(), value },
        None => Write::Remove { key: key.clone() },
    };
    rows.iter().map(write).collect()
}

/// Every row of a book that is in memory.
pub(super) fn all_rows(book: &Book) -> Rows {
    by_key(book.all_rows())
}

/// Whether what is changed is kept.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum Keeping {
    #[default]
    Usual,
    /// Not yet: the store has not been read, and may hold days.
    Unread,
    /// No more: everything is being erased, of a store that was read or not.
    Over { read: bool },
}

/// A save that was asked for and is not answered.
#[derive(Clone, Debug)]
pub(super) struct Save {
    pub(super) id: u32,
    pub(super) serial: u64,
    /// The page's text.
    pub(super) text: String,
    pub(super) rows: Rows,
}

/// A text that could not be read, until the store has said that it stands in a place of its own.
#[derive(Clone, Debug)]
struct Aside {
    key: String,
    text: String,
    /// The keys that hold it, or parts of it, till then.
    over: Vec<String>,
    /// The changes under way that carry it.
    carried: Vec<u32>,
}

/// The saves of the page. One is on its way at a time; what changes meanwhile goes with the next.
#[derive(Clone, Debug, Default)]
pub(super) struct Saves {
    /// The number of the newest state.
    pub(super) serial: u64,
    pub(super) under_way: Option<Save>,
    /// Rows that have changed and were not asked to be stored, or were refused.
    pub(super) unsaved: Rows,
    /// Whether something has changed since the save under way was asked for.
    pub(super) changed: bool,
    /// Whether another tab was heard of.
    pub(super) others: bool,
    /// Whether the last one was refused, so that it is told once.
    pub(super) refused: bool,
    /// Whether what is changed is kept.
    pub(super) keeping: Keeping,
    /// The last id.
    pub(super) last_id: u32,
    /// What could not be read, and is not known to be set aside.
    aside: Vec<Aside>,
}

impl Saves {
    /// An id for the next write.
    pub(super) fn next_id(&mut self) -> u32 {
        self.last_id = self.last_id.wrapping_add(1);
        self.last_id
    }

    /// Sees to it that a text that could not be read is set aside, at the latest with what is written over it. Its place is
    /// drawn, so that no other text stands there.
    pub(super) fn set_aside(&mut self, place: u64, text: &str, over: Vec<String>) {
        let key = ["aside/", &Id(place.into()).to_string()].concat();
        self.aside.push(Aside { key, text: text.to_owned(), over, carried: Vec::new() });
    }

    /// A change for the store. It is made as a whole or not at all, and so what could not be read of what it writes over
    /// goes aside in the same change: until one such change is known to be on the disk, each carries it.
    pub(super) fn change(&mut self, id: u32, mut writes: Vec<Write>) -> Effect {
        let mut first = Vec::new();
        for aside in &mut self.aside {
            let mut carries = false;
            for write in &mut writes {
                let (Write::Put { key, .. } | Write::Join { key, .. } | Write::Remove { key }) = &*write;
                if !aside.over.contains(key) {
                    continue;
                }
                carries = true;
                if let Write::Join { key, value } = write {
                    // With what cannot be read nothing is joined.
                    *write = Write::Put { key: core::mem::take(key), value: core::mem::take(value) };
                }
            }
            if carries {
                aside.carried.push(id);
                first.push(Write::Put { key: aside.key.clone(), value: aside.text.clone() });
            }
        }
        first.append(&mut writes);
        Effect::Store { id, writes: first }
    }

    /// The store has answered a change; says whether something was to be set aside with it.
    pub(super) fn answered(&mut self, id: u32, good: bool) -> bool {
        let carried = |aside: &Aside| aside.carried.contains(&id);
        let any = self.aside.iter().any(carried);
        if good {
            self.aside.retain(|aside| !carried(aside));
        } else {
            self.aside.iter_mut().for_each(|aside| aside.carried.retain(|carrier| *carrier != id));
        }
        any
    }

    /// Rows that the store refused wait for the next write, but for those that have changed again.
    pub(super) fn put_back(&mut self, rows: Rows) {
        for (key, text) in rows {
            self.unsaved.or_insert(key, text);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::book::{Change, Day, Id, Phone};
    use crate::plan::presets::first;

    #[test]
    fn rows_that_lie_under_each_other_s_keys_are_not_read() {
        let mut book = Book::open(Phone(1), 0, []).book;
        for id in [Id(1), Id(2)] {
            let _ = book.apply(Change::AddDay { id, day: Box::new(Day::new(first())) });
        }
        let rows = all_rows(&book);
        let records: Vec<(String, String)> =
            rows.iter().filter_map(|(key, text)| Some((key.clone(), text.clone()?))).collect();
        let days = |records: Vec<(String, String)>| {
            let opened = Book::open(Phone(1), 0, rows_of(records));
            (opened.book.summaries().count(), opened.told.len())
        };
        assert_eq!(days(records.clone()), (2, 0));
        let texts: Vec<String> = records.iter().map(|(_, text)| text.clone()).collect();
        let exchanged = |i: usize| texts[if i < 2 { 1 - i } else { i }].clone();
        assert!(records[1].0.starts_with("days/"), "{}", records[1].0);
        let records = records.iter().enumerate().map(|(i, (key, _))| (key.clone(), exchanged(i))).collect();
        assert_eq!(days(records), (0, 1));
    }

    #[test]
    fn bytes_come_back_from_their_text_and_other_letters_stand_for_none() {
        let all: Vec<u8> = (0..=255).collect();
        assert_eq!(bytes_of(&text_of(&all)), all);
        for text in ["", "7 ft", "\u{7f}\u{80}\u{ff}\u{100}", "a€b", "🐟\u{e9}🐟", "\u{7ff}\u{800}z"] {
            let by_letter: Vec<u8> =
                text.chars().map(|letter| u8::try_from(u32::from(letter)).unwrap_or(b'?')).collect();
            assert_eq!(bytes_of(text), by_letter, "{text:?}");
        }
    }
}
