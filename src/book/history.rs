//! Undo as a history of changes: each step holds, part by part, what was there before and after, and words for itself.
//!
//! Undoing a step puts back what was before in every part that still shows what the step made of it. A part that was
//! changed since, by a later step that stands, by another tab or by a merge, keeps what it shows, and a sentence says
//! so: later work is never taken back. Undo and redo are changes themselves, with moments of their own, so that they
//! merge like any other.
//!
//! Two tabs of one phone share one history in the order of the moments. Where both changed one part from the same
//! value, the later step is made to follow the earlier one, so that undoing it brings the other's value.

use super::id::{Id, Stamp};
use super::merge::{GONE, Value};
use super::plan_parts::{field_of, list_of_entry};
use super::rows::{Kind, Store, StoredRow, Unread, open, seal};
use crate::small::small_letter;
use crate::units::Units;
use serde::{Deserialize, Serialize};

/// The most steps that are kept.
const MAX_STEPS: usize = 200;

/// What a step did to one part. [`GONE`] is held as a flag here: whether the record is removed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Edit {
    pub(super) kind: Kind,
    pub(super) id: Id,
    pub(super) key: String,
    pub(super) before: Value,
    pub(super) after: Value,
}

impl Edit {
    fn same_part(&self, other: &Self) -> bool {
        (self.kind, self.id, &self.key) == (other.kind, other.id, &other.key)
    }
}

/// One change that can be undone.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Step {
    pub(super) stamp: Stamp,
    pub(super) undone: bool,
    /// What it is called, where that cannot be worked out.
    pub(super) words: String,
    pub(super) edits: Vec<Edit>,
}

/// The steps, in the order of their moments.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct History(Vec<Step>);

/// Names of fields that have none in the table, by the last part of their path.
const NAMES: &[(&str, &str)] = &[
    ("venue", "water"),
    ("float_name", "float"),
    ("load_measured", "float’s load"),
    ("set", "chosen shot"),
    ("drops", "drops of the tub test"),
    ("recast", "feed as re-cast"),
    ("tins", "tins allowed"),
];

/// What entries of lists are called.
const ENTRIES: &[(&str, &str)] = &[
    ("lines", "pole line"),
    ("feed", "feeding phase"),
    ("rigs", "rig"),
    ("rigs.*.droppers", "dropper"),
    ("rigs.*.more.glass", "shot in the glass"),
    ("shot_box", "shot size"),
    ("kit", "kit item"),
    ("kit_counts", "number in the kit"),
];

impl Step {
    /// What it is called on the undo button: `depth 7 ft`.
    pub(super) fn words(&self, units: Units) -> String {
        if !self.words.is_empty() {
            return self.words.clone();
        }
        let entry = self.edits.iter().find_map(|edit| Some((list_of_entry(&edit.key)?, edit)));
        if let Some((list, edit)) = entry {
            let name = ENTRIES.iter().find(|(known, _)| *known == list).map_or("entry", |(_, name)| name);
            let end = if edit.after == Value::Nothing { "taken out" } else { "added" };
            return format!("{name} {end}");
        }
        // What goes along with a change, such as the lines with the water, is called the same.
        let mut words = self.edits.iter().map(|edit| edit.words(units));
        match words.next() {
            Some(first) if words.all(|other| other == first) => first,
            _ => format!("{} changes", self.edits.len()),
        }
    }
}

impl Edit {
    pub(super) fn words(&self, units: Units) -> String {
        if let Some(tick) = self.key.strip_prefix("ticks.") {
            return format!("tick {}", tick.replace(['-', '_'], " "));
        }
        let field = field_of(&self.key);
        if let Some(row) = field.and_then(|field| field.bounds.as_ref()) {
            let mut letters = row.name.chars();
            let name: String = letters.next().map(small_letter).into_iter().chain(letters).collect();
            return match &self.after {
                Value::Number(n) => name + " " + &units.text(i32::try_from(*n).unwrap_or(0), row.kind),
                _ => name + " left out",
            };
        }
        let last = self.key.rsplit('.').next().unwrap_or_default();
        let name = NAMES.iter().find(|(known, _)| *known == last);
        name.map_or_else(|| last.replace('_', " "), |(_, name)| (*name).to_owned())
    }
}

fn key_of(stamp: Stamp) -> String {
    format!("{:016x}", stamp.0)
}

fn taken_out(step: &Step) -> StoredRow {
    StoredRow { store: Store::History, key: key_of(step.stamp), bytes: None }
}

fn stored(step: &Step) -> StoredRow {
    let body = postcard::to_allocvec(step).unwrap_or_default();
    let bytes = seal(Store::History, &step.stamp, &body);
    StoredRow { store: Store::History, key: key_of(step.stamp), bytes: Some(bytes) }
}

impl History {
    /// The step that undo takes back.
    pub(super) fn last(&self) -> Option<&Step> {
        self.0.iter().rev().find(|step| !step.undone)
    }

    /// The step that redo brings back.
    pub(super) fn next(&self) -> Option<&Step> {
        self.0.iter().find(|step| step.undone)
    }

    /// How many steps can be undone.
    pub(super) fn len(&self) -> usize {
        self.0.iter().filter(|step| !step.undone).count()
    }

    /// A new change of this tab: what was undone can no longer be brought back. Gives the rows that change.
    pub(super) fn push(&mut self, step: Step) -> Vec<StoredRow> {
        let mut rows: Vec<StoredRow> = self.0.iter().filter(|step| step.undone).map(taken_out).collect();
        self.0.retain(|step| !step.undone);
        rows.extend(self.insert(step));
        rows
    }

    /// Puts the edits of a change into the last step, if that changed the same parts. Says which row changes.
    pub(super) fn join_last(&mut self, edits: &[Edit]) -> Option<StoredRow> {
        let step = self.0.last_mut().filter(|step| !step.undone)?;
        let same = |edit: &Edit| step.edits.iter().any(|known| known.same_part(edit));
        if !edits.iter().all(same) {
            return None;
        }
        for edit in edits {
            if let Some(known) = step.edits.iter_mut().find(|known| known.same_part(edit)) {
                known.after.clone_from(&edit.after);
            }
        }
        Some(stored(step))
    }

    /// Puts a step in its place; steps beyond the most that are kept go. Gives the rows that change.
    fn insert(&mut self, mut step: Step) -> Vec<StoredRow> {
        let place = self.0.partition_point(|known| known.stamp < step.stamp);
        let mut rows = Vec::new();
        let (earlier, later) = self.0.split_at_mut(place);
        for edit in &mut step.edits {
            let part = |known: &Edit| known.same_part(edit);
            let before =
                earlier.iter().rev().filter(|s| !s.undone).find_map(|s| s.edits.iter().find(|e| part(e)));
            if let Some(before) = before
                && before.after != edit.before
                && before.before == edit.before
            {
                edit.before.clone_from(&before.after);
            }
            for known in later.iter_mut().filter(|step| !step.undone) {
                let Some(after) = known.edits.iter_mut().find(|known| known.same_part(edit)) else {
                    continue;
                };
                if after.before != edit.after && after.before == edit.before {
                    after.before.clone_from(&edit.after);
                    rows.push(stored(known));
                }
                break;
            }
        }
        rows.push(stored(&step));
        self.0.insert(place, step);
        let over = self.0.len().saturating_sub(MAX_STEPS);
        rows.extend(self.0.drain(..over).map(|step| taken_out(&step)));
        rows
    }

    /// Marks a step as undone or not, or takes it out. Gives the row.
    pub(super) fn mark(&mut self, stamp: Stamp, undone: Option<bool>) -> Vec<StoredRow> {
        let Some(place) = self.0.iter().position(|step| step.stamp == stamp) else { return Vec::new() };
        match (undone, self.0.get_mut(place)) {
            (Some(undone), Some(step)) => {
                step.undone = undone;
                vec![stored(step)]
            }
            _ => vec![taken_out(&self.0.remove(place))],
        }
    }

    /// A step that another tab stored, or took out of the row of this key. Gives the rows that have to be stored anew.
    pub(super) fn receive(&mut self, key: &str, step: Option<Step>) -> Vec<StoredRow> {
        let known = self.0.iter().position(|step| key_of(step.stamp) == key);
        match (step, known) {
            (None, Some(place)) => drop(self.0.remove(place)),
            (None, None) => {}
            (Some(step), None) => return self.insert(step),
            (Some(step), Some(place)) => {
                if let Some(here) = self.0.get_mut(place) {
                    *here = step;
                }
            }
        }
        Vec::new()
    }

    /// Every step as its row.
    pub(super) fn rows(&self) -> Vec<StoredRow> {
        self.0.iter().map(stored).collect()
    }

    /// Takes in a stored step.
    pub(super) fn take(&mut self, bytes: &[u8]) -> Result<(), Unread> {
        let step = read(bytes)?;
        let place = self.0.partition_point(|known| known.stamp < step.stamp);
        self.0.insert(place, step);
        Ok(())
    }

    pub(super) fn last_stamp(&self) -> Stamp {
        self.0.last().map_or(Stamp::default(), |step| step.stamp)
    }
}

/// The step in a row.
pub(super) fn read(bytes: &[u8]) -> Result<Step, Unread> {
    let row = open(bytes)?;
    let stamp: Stamp = row.head(Store::History)?;
    let step: Step = postcard::from_bytes(row.body()?).map_err(|_| Unread::Damaged)?;
    if step.stamp == stamp { Ok(step) } else { Err(Unread::Damaged) }
}

/// Whether a record is removed, as a step holds it.
pub(super) fn removal(removed: bool) -> Value {
    if removed { Value::Flag(true) } else { Value::Nothing }
}

/// The edit of a record that is made or removed.
pub(super) fn removal_edit(kind: Kind, id: Id, removed: bool) -> Edit {
    Edit { kind, id, key: GONE.to_owned(), before: removal(!removed), after: removal(removed) }
}
