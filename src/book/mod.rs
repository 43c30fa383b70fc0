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

mod backup;
mod change;
mod days;
mod fields;
mod history;
mod id;
mod json;
mod logs;
mod merge;
mod offers;
mod plan_parts;
mod rows;
mod start;
mod tackle;
mod waters;

pub use backup::{MAX_BOOK_BYTES, book_from, book_text};
pub use change::Change;
pub use days::{Day, DayList, DaySummary, Outcome, State, next_saturday};
pub use id::{Id, Phone, Stamp};
pub use merge::{Value, Written};
pub use offers::Offer;
pub use rows::{Kind, Store, StoredRow};
pub use tackle::{
    Elastic, Float, Hook, Item, ItemKind, Line, Measured, Owned, Shot, Test, TinLabel, put_hooklength,
};
pub use waters::{Spot, UsualFish, Water, WaterFacts, usual_fish};

use crate::checksum::crc32;
use crate::refusal::{Refusal, at_most};
use crate::session::log::ReadLog;
use crate::small::{Sorted, sort_by_key, sort_long_by};
use crate::units::Units;
use change::missing;
use history::{Edit, History, Step, removal, removal_edit};
use id::{Clock, Fresh};
use logs::Logs;
use merge::{GONE, MAX_PARTS, Record};
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
    last: Option<(Kind, Id, Record)>,
}

/// A book that was opened.
#[derive(Clone, Debug)]
pub struct OpenedBook {
    /// The book, with everything that could be read.
    pub book: Book,
    /// What could not, in sentences; the rows themselves are left alone.
    pub told: Vec<String>,
}

/// What a change came to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Applied {
    /// What has to be stored, all or nothing. Empty if nothing changed.
    pub rows: Vec<StoredRow>,
    /// The records that changed.
    pub changed: Vec<(Kind, Id)>,
    /// Sentences for the reader.
    pub told: Vec<String>,
}

/// A part that waits to be settled: it was written on more than one phone since they parted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OpenPart {
    /// What the record is of.
    pub kind: Kind,
    /// Its id.
    pub id: Id,
    /// The part's key; `gone` where a removed record was changed elsewhere.
    pub part: String,
    /// Each phone's value, the one that shows first.
    pub values: Vec<Written>,
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

impl OpenPart {
    /// What a phone's value is, in words: `depth 7 ft`.
    #[must_use]
    pub fn words(&self, value: &Written, units: Units) -> String {
        let after = value.value.clone().unwrap_or(Value::Nothing);
        if self.part == GONE {
            return if matches!(after, Value::Pairs(_)) { "deleted" } else { "kept" }.to_owned();
        }
        let text = if let Value::Text(text) = &after { [": ", text].concat() } else { String::new() };
        let edit =
            Edit { kind: self.kind, id: self.id, key: self.part.clone(), before: Value::Nothing, after };
        edit.words(units) + &text
    }
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
    fn take_record(&mut self, kind: Kind, id: Id) -> Result<Record, Refusal> {
        match self.last.take_if(|(known, last, _)| (*known, *last) == (kind, id)) {
            Some((_, _, record)) => Ok(record),
            None => self.record(kind, id),
        }
    }

    /// What a record holds that was not removed.
    fn standing<T>(&self, kind: Kind, id: Id, read: impl FnOnce(&Record) -> T) -> Result<T, Refusal> {
        let parsed;
        let record = match &self.last {
            Some((known, last, record)) if (*known, *last) == (kind, id) => record,
            _ => {
                parsed = self.record(kind, id)?;
                &parsed
            }
        };
        if record.stands() { Ok(read(record)) } else { Err(missing()) }
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
        self.standing(Kind::Water, id, Water::read)
    }

    /// A thing in the box with its tests.
    ///
    /// # Errors
    /// `no_such_record`, also for a kind that this version does not know; `damaged`.
    pub fn item(&self, id: Id) -> Result<Owned, Refusal> {
        self.standing(Kind::Tackle, id, Owned::read)?.ok_or_else(missing)
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

    /// Does a change.
    ///
    /// # Errors
    /// What cannot be kept, in a sentence; nothing is changed then.
    pub fn apply(&mut self, change: Change) -> Result<Applied, Refusal> {
        self.change(change, false)
    }

    /// Does a change that goes on from the one before, as when a text is typed letter by letter: where it changes the same
    /// parts, both are one step of the history.
    ///
    /// # Errors
    /// As [`Book::apply`].
    pub fn apply_on(&mut self, change: Change) -> Result<Applied, Refusal> {
        self.change(change, true)
    }

    fn change(&mut self, change: Change, on: bool) -> Result<Applied, Refusal> {
        let (kind, id) = change.record();
        let words = change.words();
        let is_step = !matches!(change, Change::State { .. });
        let settles = matches!(change, Change::Settle { .. });
        if let Change::Tap { day, line } = &change {
            self.rows.get(&(Kind::Day, *day)).filter(|row| row.head.stands).ok_or_else(missing)?;
            let row = self.logs.add(*day, self.clock.phone, line)?;
            return Ok(Applied { rows: row.into_iter().collect(), ..Applied::default() });
        }
        let mut clock = self.clock;
        let stamp = clock.tick();
        let mut fresh = Fresh::new(clock.phone, stamp);
        let mut record = match self.take_record(kind, id) {
            Ok(record) => record,
            Err(refused) if self.rows.contains_key(&(kind, id)) => return Err(refused),
            Err(_) => Record::default(),
        };
        let parts = change.parts(&record, &mut fresh)?;
        let is_new = record.len() == 0;
        if is_new && self.heads(kind).count() >= most_of(kind) {
            let most = most_of(kind);
            let sentence = format!("The book is full: it holds {most} of these. Delete some first.");
            return Err(Refusal::new("too_many", "id", sentence));
        }
        let mut edits = Vec::new();
        for (key, after) in parts {
            let before = now(&record, &key);
            if before != after || settles {
                put(&mut record, &self.clock, stamp, &key, &after);
                edits.push(Edit { kind, id, key, before, after });
            }
        }
        if edits.is_empty() {
            return Ok(Applied::default());
        }
        if record.len() > MAX_PARTS {
            let sentence =
                "This has been changed more often than can be kept. Copy it, and go on with the copy.";
            return Err(Refusal::new("too_many", "id", sentence));
        }
        if is_new {
            edits = vec![removal_edit(kind, id, false)];
        }
        self.clock = clock;
        let mut rows = vec![self.keep(kind, id, record)];
        if is_step {
            let joined = if on { self.history.join_last(&edits) } else { None };
            match joined {
                Some(row) => rows.push(row),
                None => rows.extend(self.history.push(Step { stamp, undone: false, words, edits })),
            }
        }
        Ok(Applied { rows, changed: vec![(kind, id)], told: Vec::new() })
    }

    /// Puts a record in place of its row.
    fn keep(&mut self, kind: Kind, id: Id, record: Record) -> StoredRow {
        let row = Row::write(kind, id, &record);
        let stored = row.stored();
        self.rows.insert((kind, id), row);
        self.last = Some((kind, id, record));
        stored
    }

    /// The words of what undo takes back: `depth 7 ft`.
    #[must_use]
    pub fn undoes(&self, units: Units) -> Option<String> {
        self.history.last().map(|step| step.words(units))
    }

    /// The words of what redo brings back.
    #[must_use]
    pub fn redoes(&self, units: Units) -> Option<String> {
        self.history.next().map(|step| step.words(units))
    }

    /// How many steps can be undone.
    #[must_use]
    pub fn steps(&self) -> usize {
        self.history.len()
    }

    /// Takes the last step back, and only that. A part that was changed since keeps what it shows, and a sentence says
    /// so; a step of which nothing can be taken back goes out of the history.
    ///
    /// # Errors
    /// `nothing_to_undo`.
    pub fn undo(&mut self) -> Result<Applied, Refusal> {
        let step = self.history.last().cloned();
        let step =
            step.ok_or_else(|| Refusal::new("nothing_to_undo", "", "There is nothing left to undo."))?;
        self.turn(&step, true)
    }

    /// Brings the step back that was undone last.
    ///
    /// # Errors
    /// `nothing_to_redo`.
    pub fn redo(&mut self) -> Result<Applied, Refusal> {
        let step = self.history.next().cloned();
        let step =
            step.ok_or_else(|| Refusal::new("nothing_to_redo", "", "There is nothing left to bring back."))?;
        self.turn(&step, false)
    }

    fn turn(&mut self, step: &Step, undo: bool) -> Result<Applied, Refusal> {
        let mut clock = self.clock;
        let stamp = clock.tick();
        let mut applied = Applied::default();
        let mut kept = 0;
        let mut records: Vec<(Kind, Id)> = step.edits.iter().map(|edit| (edit.kind, edit.id)).collect();
        sort_by_key(&mut records, |record| *record);
        records.dedup();
        for (kind, id) in records {
            let mut record = self.take_record(kind, id)?;
            let mut put_back = 0;
            for edit in step.edits.iter().filter(|edit| (edit.kind, edit.id) == (kind, id)) {
                let (from, to) = if undo { (&edit.after, &edit.before) } else { (&edit.before, &edit.after) };
                let settled = record.part(&edit.key).is_none_or(|part| part.values().len() <= 1);
                if now(&record, &edit.key) == *from && (settled && record.stands() || edit.key == GONE) {
                    put(&mut record, &clock, stamp, &edit.key, to);
                    put_back += 1;
                } else {
                    kept += 1;
                }
            }
            if put_back > 0 {
                applied.rows.push(self.keep(kind, id, record));
                applied.changed.push((kind, id));
            }
        }
        if kept > 0 {
            let part = if kept == step.edits.len() { "It was" } else { "Some of it was" };
            applied.told.push(format!("{part} changed again since, and stays as it is now."));
        }
        self.clock = clock;
        let marked = (!applied.changed.is_empty()).then_some(undo);
        applied.rows.extend(self.history.mark(step.stamp, marked));
        Ok(applied)
    }

    /// Takes in the rows that another tab of this phone stored. What has to be stored anew comes back, usually nothing.
    ///
    /// # Errors
    /// `damaged`; nothing is changed then.
    pub fn receive(&mut self, rows: &[StoredRow]) -> Result<Applied, Refusal> {
        let (mut records, mut logs, mut steps) = (Vec::new(), Logs::default(), Vec::new());
        for row in rows {
            let kind = Kind::of(row.store);
            match (kind, &row.bytes) {
                (Some(kind), Some(bytes)) => {
                    records.push(Row::read(kind, bytes.clone()).map_err(|_| damaged())?);
                }
                (None, Some(bytes)) if row.store == Store::Logs => logs.take(bytes).map_err(|_| damaged())?,
                (None, bytes) if row.store == Store::History => {
                    let step = bytes.as_ref().map(|bytes| history::read(bytes)).transpose();
                    steps.push((&row.key, step.map_err(|_| damaged())?));
                }
                _ => {}
            }
        }
        let mut applied = self.join_rows(&mut records.iter())?;
        // What is now as it came is stored already.
        let came = |row: &StoredRow| rows.contains(row);
        applied.rows.extend(self.logs.join(&logs));
        for (key, step) in steps {
            self.clock.see(step.as_ref().map_or(Stamp::default(), |step| step.stamp));
            applied.rows.extend(self.history.receive(key, step));
        }
        applied.rows.retain(|row| !came(row));
        Ok(applied)
    }

    /// Makes one of two copies of each record.
    fn join_rows(&mut self, rows: &mut dyn Iterator<Item = &Row>) -> Result<Applied, Refusal> {
        let mut joined = Vec::new();
        for theirs in rows {
            let mine = self.rows.get(&(theirs.kind, theirs.head.id));
            if mine.is_some_and(|mine| mine.bytes == theirs.bytes) {
                continue;
            }
            let record = theirs.record().map_err(|_| damaged())?;
            let Some(mine) = mine else {
                joined.push(theirs.clone());
                continue;
            };
            let before = mine.record().map_err(|_| damaged())?;
            let mut both = before.clone();
            both.join(&record);
            both.check()?;
            if both != before {
                joined.push(Row::write(theirs.kind, theirs.head.id, &both));
            }
        }
        for kind in Kind::ALL {
            let new =
                joined.iter().filter(|row| row.kind == kind && !self.rows.contains_key(&(kind, row.head.id)));
            let came = self.heads(kind).count() + new.filter(|row| row.head.stands).count();
            at_most(kind.store().name(), came, most_of(kind), "can be kept in a book")?;
        }
        let mut applied = Applied::default();
        for row in joined {
            applied.changed.push((row.kind, row.head.id));
            applied.rows.push(row.stored());
            self.put_row(row);
        }
        Ok(applied)
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

    /// Takes in a book from elsewhere, as a backup or another phone's. History stays this phone's.
    ///
    /// # Errors
    /// What cannot be kept; nothing is changed then.
    pub fn merge(&mut self, other: &Self) -> Result<Applied, Refusal> {
        let mut applied = self.join_rows(&mut other.rows.iter().map(|(_, row)| row))?;
        for (row, ()) in &other.newer {
            let (kind, bytes) = row;
            if !self.newer.contains_key(row) {
                let key = format!("newer-{:08x}", crc32(bytes));
                applied.rows.push(StoredRow { store: kind.store(), key, bytes: Some(bytes.clone()) });
                self.newer.insert(row.clone(), ());
            }
        }
        applied.rows.extend(self.logs.join(&other.logs));
        let open: usize =
            Kind::ALL.iter().flat_map(|kind| self.heads(*kind)).map(|head| usize::from(head.open)).sum();
        if open > 0 {
            let sentence =
                format!("{open} parts were changed on both sides. Both are kept: choose which one stands.");
            applied.told.push(sentence);
        }
        Ok(applied)
    }

    /// Everything that waits to be settled.
    #[must_use]
    pub fn open_parts(&self) -> Vec<OpenPart> {
        let mut open = Vec::new();
        for ((kind, id), row) in &self.rows {
            if !row.head.stands || row.head.open == 0 {
                continue;
            }
            let Ok(record) = row.record() else { continue };
            open.extend(record.open_parts().into_iter().map(|key| OpenPart {
                kind: *kind,
                id: *id,
                part: key.to_owned(),
                values: record.part(key).map_or_else(Vec::new, |part| {
                    part.values().into_iter().map(|(entry, _)| entry.clone()).collect()
                }),
            }));
        }
        open
    }
}

/// What belongs in a store where `held` stands and this tab would put `new`: both as one, since another tab may have
/// stored in between. To be asked inside the transaction, for each row that is written.
///
/// # Errors
/// `damaged`: what stands there cannot be read, and is to be left alone.
pub fn row_to_store(store: Store, held: &[u8], new: Vec<u8>) -> Result<Vec<u8>, Refusal> {
    if store == Store::History || held == new {
        return Ok(new);
    }
    let mut book = Book::empty(Clock::new(Phone(0), 0));
    book.take_row(store, held.to_vec())?;
    if let Some(kind) = Kind::of(store) {
        let row = Row::read(kind, new).map_err(|_| damaged())?;
        book.join_rows(&mut std::iter::once(&row))?;
        let joined = book.rows.remove(&(kind, row.head.id));
        return Ok(joined.map_or(row.bytes, |row| row.bytes));
    }
    book.take_row(store, new)?;
    let joined = book.logs.rows().into_iter().find_map(|row| row.bytes);
    joined.ok_or_else(damaged)
}

/// What a part shows, as a step of the history holds it.
fn now(record: &Record, key: &str) -> Value {
    if key == GONE { removal(!record.stands()) } else { record.get(key).clone() }
}

fn put(record: &mut Record, clock: &Clock, stamp: Stamp, key: &str, value: &Value) {
    let value = match value {
        Value::Flag(true) if key == GONE => record.gone_as_seen(),
        value => value.clone(),
    };
    record.set(clock.phone, stamp, key, value);
}
