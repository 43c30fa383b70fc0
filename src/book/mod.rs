//! The book: days, waters and tackle, many of each, kept for years, on more than one phone.
//!
//! A [`Book`] is made from the rows that a store kept ([`Book::open`]). Everything done to it is a [`Change`]; [`Book::apply`]
//! answers with the rows that have to be stored, in one transaction, before the change is shown as done. The same rows,
//! sent to another tab, are taken in by [`Book::receive`]; a book from another phone by [`Book::merge`]; both are the one merge of
//! `merge.rs`'s head. [`Book::undo`] and [`Book::redo`] go through a history that is kept in the same store.
//!
//! Clock, storage and randomness are the caller's: ids and the phone's number are random bits handed in, today's date too.
//! Records are read when asked for; an opened book holds of each only what a list shows, and its bytes.
//!
//! # Limits
//! 3,000 days, 500 waters, 2,000 things; of each the limits of its own file.
//!
//! # Example
//! ```
//! use dotdown::book::{Book, Change, Day, Id, Phone};
//! use dotdown::plan::presets::first;
//! use dotdown::units::Units;
//!
//! let mut book = Book::open(Phone(0x5eed), 1, []).book;
//! let id = Id(0x0123_4567);
//! book.apply(Change::AddDay { id, day: Box::new(Day::new(first())) })?;
//! let mut plan = book.day(id)?.plan;
//! plan.set("water.depth", "6 ft", Units::default())?;
//! let done = book.apply(Change::Plan { day: id, plan: Box::new(plan), words: String::new() })?;
//! assert_eq!(done.rows.len(), 2, "the day, and a step of the history");
//! assert_eq!(book.undoes(Units::default()).as_deref(), Some("depth 6 ft"));
//! book.undo()?;
//! assert_eq!(book.day(id)?.plan, first());
//! # Ok::<(), dotdown::refusal::Refusal>(())
//! ```

mod apply;
mod backup;
mod change;
mod days;
mod entries;
mod fields;
mod history;
mod id;
mod join;
mod json;
mod logs;
mod merge;
mod offers;
mod plan_parts;
mod rows;
mod start;
mod tackle;
mod waters;

pub use apply::Applied;
pub use backup::{MAX_BOOK_BYTES, book_from, book_text};
pub use change::Change;
pub use days::{Day, DayList, DaySummary, Outcome, State, next_saturday};
pub use id::{Id, Phone, Stamp};
pub use join::{OpenPart, row_to_store};
pub use merge::{Value, Written};
pub use offers::Offer;
pub use rows::{Kind, Store, StoredRow, strays};
pub use tackle::{
    Elastic, Float, Hook, Item, ItemKind, Line, Measured, Owned, Shot, Test, TinLabel, put_hooklength,
};
pub use waters::{Spot, UsualFish, Water, WaterFacts, usual_fish};

use crate::checksum::crc32;
use crate::refusal::Refusal;
use crate::session::log::ReadLog;
use crate::small::{Sorted, sort_long_by};
use change::missing;
use history::History;
use id::Clock;
use logs::Logs;
use merge::Record;
use plan_parts::Held;
use rows::{Row, Unread};

/// A book.
#[derive(Clone, Debug)]
pub struct Book {
    clock: Clock,
    rows: Sorted<(Kind, Id), Row>,
    /// Records of a newer form, as they came.
    newer: Sorted<(Kind, Vec<u8>), ()>,
    logs: Logs,
    history: History,
    /// The record that was written last, as it stands in its row: the next change is most often of the same.
    last: Option<(Kind, Id, Held)>,
}

/// A book that was opened.
#[derive(Clone, Debug)]
pub struct OpenedBook {
    /// The book, with everything that could be read.
    pub book: Book,
    /// What could not, in sentences; the rows themselves are left alone.
    pub told: Vec<String>,
}

fn most_of(kind: Kind) -> usize {
    match kind {
        Kind::Day => 3_000,
        Kind::Water => 500,
        Kind::Tackle => 2_000,
    }
}

fn damaged() -> Refusal {
    Refusal::new("damaged", "id", "What was kept of this is damaged. Open a backup to bring it back.")
}

impl Book {
    fn empty(clock: Clock) -> Self {
        let (rows, newer) = (Sorted::new(), Sorted::new());
        Self { clock, rows, newer, logs: Logs::default(), history: History::default(), last: None }
    }

    /// The book that a store's rows hold, in any order. `phone` is this phone's number, the same on every opening; `tab`
    /// any number that tells tabs apart, such as a random one.
    #[must_use]
    pub fn open(phone: Phone, tab: u8, rows: impl IntoIterator<Item = (Store, Vec<u8>)>) -> OpenedBook {
        let mut book = Self::empty(Clock::new(phone, tab));
        let (mut lost, mut newer) = (0, 0);
        for (store, bytes) in rows {
            match book.take(store, bytes) {
                Ok(()) => {}
                Err(Unread::Newer) => newer += 1,
                Err(Unread::Damaged) => lost += 1,
            }
        }
        let told = [
            (lost, "of what this phone kept could not be read. It is left as it is; a backup may have it."),
            (
                newer,
                "of what this phone kept was written by a newer version of the page, and is left as it is.",
            ),
        ];
        let told =
            told.iter().filter(|(count, _)| *count > 0).map(|(n, what)| format!("{n} {what}")).collect();
        OpenedBook { book, told }
    }

    /// Takes in a row that was stored, as when a log is read later than the days.
    ///
    /// # Errors
    /// `damaged`, or `newer_version`: the row is left alone.
    pub fn take_row(&mut self, store: Store, bytes: Vec<u8>) -> Result<(), Refusal> {
        self.take(store, bytes).map_err(|unread| match unread {
            Unread::Damaged => damaged(),
            Unread::Newer => Refusal::new(
                "newer_version",
                "id",
                "This was written by a newer version of the page, and is left as it is. Update this page to read it.",
            ),
        })
    }

    /// The lines that this phone logged on a day, as they are kept.
    #[must_use]
    pub fn own_lines(&self, day: Id) -> String {
        let of = self.logs.of(day).into_iter().find(|(phone, _)| *phone == self.clock.phone);
        of.map_or_else(String::new, |(_, lines)| lines)
    }

    /// Puts other lines in the place of those that this phone logged on a day, as where some could not be read and those
    /// behind them have new numbers. The rows are to be stored over what stands there.
    ///
    /// # Errors
    /// `bad_line` for one that is not whole.
    pub fn replace_log(&mut self, day: Id, lines: &str) -> Result<Vec<StoredRow>, Refusal> {
        self.logs.replace(day, self.clock.phone, lines)
    }

    fn take(&mut self, store: Store, bytes: Vec<u8>) -> Result<(), Unread> {
        let Some(kind) = Kind::of(store) else {
            return if store == Store::Logs {
                self.logs.take(&bytes)
            } else {
                self.history.take(&bytes).map(|()| self.clock.see(self.history.last_stamp()))
            };
        };
        if bytes.first().is_some_and(|form| *form > rows::FORM) {
            self.newer.insert((kind, bytes), ());
            return Err(Unread::Newer);
        }
        let row = Row::read(kind, bytes)?;
        self.put_row(row);
        Ok(())
    }

    /// Puts a row that came from elsewhere in its place.
    fn put_row(&mut self, row: Row) {
        self.clock.see(row.head.last);
        self.last.take_if(|(kind, id, _)| (*kind, *id) == (row.kind, row.head.id));
        self.rows.insert((row.kind, row.head.id), row);
    }

    fn record(&self, kind: Kind, id: Id) -> Result<Record, Refusal> {
        let row = self.rows.get(&(kind, id)).ok_or_else(missing)?;
        row.record().map_err(|_| damaged())
    }

    /// The record for a change, after which it is kept anew.
    fn take_record(&mut self, kind: Kind, id: Id) -> Result<Held, Refusal> {
        match self.last.take_if(|(known, last, _)| (*known, *last) == (kind, id)) {
            Some((_, _, held)) => Ok(held),
            None => self.record(kind, id).map(Held::new),
        }
    }

    /// What a record holds that was not removed.
    fn standing<T>(&self, kind: Kind, id: Id, read: impl FnOnce(&Held) -> T) -> Result<T, Refusal> {
        let parsed;
        let held = match &self.last {
            Some((known, last, held)) if (*known, *last) == (kind, id) => held,
            _ => {
                parsed = Held::new(self.record(kind, id)?);
                &parsed
            }
        };
        if held.record().stands() { Ok(read(held)) } else { Err(missing()) }
    }

    /// The rows of a kind in the order of their ids.
    fn of_kind(&self, kind: Kind) -> core::slice::Iter<'_, ((Kind, Id), Row)> {
        let rows = self.rows.from(&(kind, Id(0)));
        let end = rows.partition_point(|((known, _), _)| *known == kind);
        rows.get(..end).unwrap_or(&[]).iter()
    }

    fn heads(&self, kind: Kind) -> impl Iterator<Item = &rows::Head> {
        self.of_kind(kind).map(|(_, row)| &row.head).filter(|head| head.stands)
    }

    /// A day.
    ///
    /// # Errors
    /// `no_such_record`, `damaged`.
    pub fn day(&self, id: Id) -> Result<Day, Refusal> {
        self.standing(Kind::Day, id, Day::read)
    }

    /// A water.
    ///
    /// # Errors
    /// `no_such_record`, `damaged`.
    pub fn water(&self, id: Id) -> Result<Water, Refusal> {
        self.standing(Kind::Water, id, |held| Water::read(held.record()))
    }

    /// A thing in the box with its tests.
    ///
    /// # Errors
    /// `no_such_record`, also for a kind that this version does not know; `damaged`.
    pub fn item(&self, id: Id) -> Result<Owned, Refusal> {
        self.standing(Kind::Tackle, id, |held| Owned::read(held.record()))?.ok_or_else(missing)
    }

    /// The days that hold each word of `sought` in name, water, peg or date; all for `""`.
    #[must_use]
    pub fn days(&self, sought: &str) -> DayList<'_> {
        days::list(self.summaries(), sought)
    }

    /// Every day's line in the list, in no order.
    pub fn summaries(&self) -> impl Iterator<Item = &DaySummary> {
        self.heads(Kind::Day).filter_map(|head| head.day.as_ref())
    }

    /// The waters with their names, in the order of those.
    #[must_use]
    pub fn waters(&self) -> Vec<(Id, String)> {
        let mut waters: Vec<_> = self.heads(Kind::Water).map(|head| (head.id, head.name.clone())).collect();
        sort_long_by(&mut waters, |a, b| (&a.1, a.0) < (&b.1, b.0));
        waters
    }

    /// Everything in the box, in the order of kinds and names.
    #[must_use]
    pub fn tackle(&self) -> Vec<(Id, Owned)> {
        let ids = self.heads(Kind::Tackle).map(|head| head.id);
        let mut all: Vec<_> = ids.filter_map(|id| Some((id, self.item(id).ok()?))).collect();
        sort_long_by(&mut all, |(a, x), (b, y)| {
            (x.item.kind(), x.item.name(), a) < (y.item.kind(), y.item.name(), b)
        });
        all
    }

    /// A day's log as one session's, for a plan with so many rigs; empty if there is none.
    ///
    /// # Errors
    /// As [`crate::session::log::read_back`].
    pub fn log(&self, day: Id, rig_count: usize) -> Result<ReadLog, Refusal> {
        self.logs.read(day, rig_count)
    }

    /// The fished days of a water, the last first.
    #[must_use]
    pub fn fished_at(&self, water: Id) -> Vec<&DaySummary> {
        days::list(self.summaries().filter(|day| day.water == Some(water)), "").fished
    }

    /// What a fish at a water usually weighs, from its days with a weight and a count.
    #[must_use]
    pub fn usual_fish(&self, water: Id) -> Option<UsualFish> {
        usual_fish(self.fished_at(water).iter().filter_map(|day| Some((day.weight_g?, day.fish?))))
    }

    /// A mark of a day that changes when its record does.
    #[must_use]
    pub fn mark_of(&self, day: Id) -> u32 {
        self.rows.get(&(Kind::Day, day)).map_or(0, |row| crc32(&row.bytes))
    }

    /// Every row that is in memory, as where a store was emptied under the page.
    #[must_use]
    pub fn all_rows(&self) -> Vec<StoredRow> {
        let records = self.rows.iter().map(|(_, row)| row.stored());
        records.chain(self.history.rows()).chain(self.logs.rows()).collect()
    }

    /// Whether another phone than this one has logged a day.
    #[must_use]
    pub fn logged_elsewhere(&self, day: Id) -> bool {
        self.logs.of(day).iter().any(|(phone, _)| *phone != self.clock.phone)
    }

    /// The number of this phone.
    #[must_use]
    pub fn phone(&self) -> Phone {
        self.clock.phone
    }
}
