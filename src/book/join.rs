//! Two copies of a book become one: rows of another tab, a backup, another phone's. What was changed on both sides waits to
//! be settled.

use super::apply::Applied;
use super::history::{self, Edit};
use super::id::{Clock, Id, Phone, Stamp};
use super::logs::Logs;
use super::merge::{GONE, Value, Written};
use super::plan_parts::Held;
use super::rows::{Kind, Row, Store, StoredRow};
use super::{Book, damaged, most_of};
use crate::checksum::crc32;
use crate::refusal::{Refusal, at_most};
use crate::units::Units;

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
                joined.push(Row::write(theirs.kind, theirs.head.id, &Held::new(both)));
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
            let parts = if open == 1 { "One part was".to_owned() } else { format!("{open} parts were") };
            let rest = " changed on both sides. Both are kept: choose which one stands.";
            applied.told.push(parts + rest);
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
