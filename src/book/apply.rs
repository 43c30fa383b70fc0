//! Changes of the book, and its history.

use super::history::{Edit, Step, removal, removal_edit};
use super::id::{Clock, Fresh, Id, Stamp};
use super::merge::{GONE, MAX_PARTS, Record, Value};
use super::plan_parts::Held;
use super::rows::{Kind, Row, StoredRow};
use super::{Book, Change, missing, most_of};
use crate::refusal::Refusal;
use crate::small::sort_by_key;
use crate::units::Units;

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

impl Book {
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
        let held = match self.take_record(kind, id) {
            Ok(held) => held,
            Err(refused) if self.rows.contains_key(&(kind, id)) => return Err(refused),
            Err(_) => Held::new(Record::default()),
        };
        let parts = change.parts(&held, &mut fresh)?;
        let (mut record, known) = held.into_parts();
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
            let sentence = format!(
                "This has been changed more often than can be kept: it has {MAX_PARTS} parts, which is the most. Copy it, and go on with the copy."
            );
            return Err(Refusal::new("too_many", "id", sentence));
        }
        let held = Held::after(record, known, edits.iter().map(|edit| edit.key.as_str()));
        if is_new {
            edits = vec![removal_edit(kind, id, false)];
        }
        self.clock = clock;
        let mut rows = vec![self.keep(kind, id, held)];
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
    fn keep(&mut self, kind: Kind, id: Id, held: Held) -> StoredRow {
        let row = Row::write(kind, id, &held);
        let stored = row.stored();
        self.rows.insert((kind, id), row);
        self.last = Some((kind, id, held));
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
            let (mut record, _) = self.take_record(kind, id)?.into_parts();
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
                applied.rows.push(self.keep(kind, id, Held::new(record)));
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
