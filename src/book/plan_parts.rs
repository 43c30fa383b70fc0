//! A plan as the parts of a record and back, by the one table of its fields.
//!
//! A part's key is `plan.` and the field's path in the table, with the names of entries instead of their places:
//! `plan.rigs.k5f0c2a17.depth`. A plan that is new names its entries by their places, from 0; an entry that is added
//! later gets a name of its own, and the part `plan.rigs.k5f0c2a17` holds where it stands, nothing once it is
//! taken out. What refers to a pole line or a shot size holds its name. So a line taken out on one phone and a depth
//! typed on another meet in one plan.
//!
//! A plan that was merged is brought within the limits: a number out of range is left at the usual one, a list that is
//! too long shows its first entries, one that is too short shows entries that were taken out, pieces of a tub test are as
//! many as floated, and of a label that comes to 100 g the fat takes what is left.

use super::entries::{Follow, GAP, Names, entries, entry};
use super::fields::{give, put};
use super::id::Fresh;
use super::merge::{Record, Value};
use crate::plan::fields::{At, FIELDS, Field, FieldMut, LISTS, MAX_DROPS, bounds_of};
use crate::plan::presets::first;
use crate::plan::{BoxShot, Dropper, Feeding, Group, KitCount, KitItem, Plan, PoleLine, Rig, ShotCount};
use crate::small::Sorted;
use std::cell::OnceCell;

/// What a plan holds beside the table: a chosen set of shot, and the drops of a tub test.
const SET: &str = "rigs.*.set";
const DROPS: &str = "plan.tub.drops";
/// The most sizes of a chosen set, and the most shot of one.
const MAX_SET: (usize, i64) = (24, 500);

/// The key of the list that a field refers to.
fn referred(path: &str) -> &'static str {
    if path.rsplit('.').next() == Some("line") { "plan.lines" } else { "plan.shot_box" }
}

/// What a field's part holds.
fn value(plan: &mut Plan, names: &Names, field: &Field, at: At) -> Option<Value> {
    Some(match field.open(plan, at)? {
        FieldMut::Place(place, _) => names.name(referred(field.path), *place),
        field => give(&field),
    })
}

/// Every field's part, and what it holds; without those that are the same in `before`, a plan whose entries have the same
/// names.
fn values(plan: &Plan, names: &Names, before: Option<&Plan>) -> Vec<(String, Value)> {
    let (mut plan, mut before) = (plan.clone(), before.cloned());
    let mut values = Vec::new();
    for field in FIELDS {
        for at in plan.places(field.path) {
            let Some(now) = value(&mut plan, names, field, at) else { continue };
            let was = before.as_mut().and_then(|before| value(before, names, field, at));
            if was.as_ref() != Some(&now) {
                values.extend(names.key(field.path, at).map(|key| (key, now)));
            }
        }
    }
    for (i, rig) in plan.rigs.iter().enumerate() {
        let size = |size: &ShotCount| match names.name("plan.shot_box", size.shot) {
            Value::Text(name) => Some((name, size.count.into())),
            _ => None,
        };
        let set: Vec<_> = rig.set.iter().filter_map(size).collect();
        let set = if set.is_empty() { Value::Nothing } else { Value::Pairs(set) };
        values.extend(names.key(SET, [i, 0]).map(|key| (key, set)));
    }
    let drops: Vec<i64> = plan.bait_more.tub.drops_ms.iter().map(|&ms| ms.into()).collect();
    let drops = if drops.is_empty() { Value::Nothing } else { Value::Numbers(drops) };
    values.push((DROPS.to_owned(), drops));
    values
}

/// The parts of a plan that is new.
pub(super) fn parts_of(plan: &Plan) -> Vec<(String, Value)> {
    let mut names = Names::default();
    let mut parts = Vec::new();
    for &(pattern, _, _, length) in LISTS {
        for at in plan.places(pattern) {
            let Some(key) = names.key(pattern, at) else { continue };
            let entries: Vec<String> = (0..length(plan, at).unwrap_or(0)).map(|i| i.to_string()).collect();
            let places = entries.iter().zip(1_i64..);
            parts.extend(places.map(|(name, i)| (entry(&key, name), Value::Number(i * GAP))));
            names.0.insert(key, entries);
        }
    }
    parts.extend(values(plan, &names, None));
    parts
}

/// A record, and its plan once that was asked for.
#[derive(Clone, Debug)]
pub(super) struct Held {
    record: Record,
    plan: OnceCell<(Plan, Names)>,
}

impl Held {
    pub(super) fn new(record: Record) -> Self {
        Self { record, plan: OnceCell::new() }
    }

    pub(super) fn record(&self) -> &Record {
        &self.record
    }

    /// The record, to be changed, and the plan that was read from it.
    pub(super) fn into_parts(self) -> (Record, Option<(Plan, Names)>) {
        (self.record, self.plan.into_inner())
    }

    /// A record of which the parts of these keys have changed since `known` was read: the plan is read anew only where more
    /// than these fields may have changed by it.
    pub(super) fn after<'a>(
        record: Record,
        known: Option<(Plan, Names)>,
        mut keys: impl Iterator<Item = &'a str>,
    ) -> Self {
        let held = Self::new(record);
        if let Some((mut plan, names)) = known
            && keys.all(|key| !key.starts_with("plan.") || read_again(&mut plan, &names, &held.record, key))
        {
            let known = (plan, names);
            debug_assert!(known == read(&held.record), "what is read again is what it is read as");
            let _ = held.plan.set(known);
        }
        held
    }

    fn read(&self) -> &(Plan, Names) {
        self.plan.get_or_init(|| read(&self.record))
    }

    /// The plan that the record holds.
    pub(super) fn plan(&self) -> &Plan {
        &self.read().0
    }
}

fn read(record: &Record) -> (Plan, Names) {
    let mut plan = first();
    let usual = plan.clone();
    let mut names = Names::default();
    for &(pattern, least, most, _) in LISTS {
        for at in plan.places(pattern) {
            let Some(key) = names.key(pattern, at) else { continue };
            let (standing, out) = entries(record, &key);
            let mut shown: Vec<String> = standing.into_iter().map(|(_, name)| name).take(most).collect();
            let missing = least.saturating_sub(shown.len());
            shown.extend(out.into_iter().chain((0..least).map(|i| i.to_string())).take(missing));
            resize(&mut plan, &usual, pattern, at, shown.len());
            names.0.insert(key, shown);
        }
    }
    for field in FIELDS {
        for at in plan.places(field.path) {
            let Some(key) = names.key(field.path, at) else { continue };
            read_field(&mut plan, &names, record, (field, at, &key));
        }
    }
    for i in 0..plan.rigs.len() {
        let set = names.key(SET, [i, 0]).map_or(&Value::Nothing, |key| record.get(&key));
        let Some(rig) = plan.rigs.get_mut(i) else { continue };
        rig.set.clear();
        if let Value::Pairs(set) = set {
            let sizes = set.iter().filter(|(_, count)| (0..=MAX_SET.1).contains(count));
            let sizes = sizes.filter_map(|(name, count)| {
                Some(ShotCount {
                    shot: names.place("plan.shot_box", name)?,
                    count: i32::try_from(*count).ok()?,
                })
            });
            rig.set = sizes.take(MAX_SET.0).collect();
        }
    }
    plan.bait_more.tub.drops_ms.clear();
    if let (Value::Numbers(drops), Some(row)) = (record.get(DROPS), bounds_of("tub.by_hand")) {
        let drops = drops.iter().filter_map(|&ms| i32::try_from(ms).ok());
        let drops = drops.filter(|ms| (row.least..=row.most).contains(ms));
        plan.bait_more.tub.drops_ms = drops.take(MAX_DROPS).collect();
    }
    fit_together(&mut plan);
    (plan, names)
}

fn read_field(plan: &mut Plan, names: &Names, record: &Record, (field, at, key): (&Field, At, &str)) {
    if let Some(open) = field.open(plan, at) {
        let place = |name: &str| names.place(referred(field.path), name);
        put(open, record.get(key), field.bounds.as_ref(), &place);
    }
}

/// Reads a part of a plan anew; whether nothing else of the plan hangs on it.
fn read_again(plan: &mut Plan, names: &Names, record: &Record, key: &str) -> bool {
    // What is fitted together is read together.
    let alone = |field: &&Field| !["tub.", "tin."].iter().any(|start| field.path.starts_with(start));
    let Some(field) = field_of(key).filter(alone) else { return false };
    let is_it = |at: &At| names.key(field.path, *at).is_some_and(|known| known == key);
    let Some(at) = plan.places(field.path).into_iter().find(is_it) else { return false };
    read_field(plan, names, record, (field, at, key));
    true
}

/// Numbers that are held against each other, where two phones wrote one each.
fn fit_together(plan: &mut Plan) {
    let tub = &mut plan.bait_more.tub;
    tub.floated = tub.floated.max(tub.came_up);
    tub.pieces = tub.pieces.max(tub.floated);
    let tin = &mut plan.tin;
    let shares = [&mut tin.salt_tenth_g, &mut tin.carbohydrate_tenth_g, &mut tin.protein_tenth_g];
    let shares = shares.into_iter().chain(tin.fibre_tenth_g.as_mut()).chain([&mut tin.fat_tenth_g]);
    // Some of 100 g is water.
    let mut left = 999;
    for share in shares {
        *share = (*share).min(left);
        left -= *share;
    }
}

/// Brings a list to a length by leaving out, or with usual entries.
fn resize(plan: &mut Plan, usual: &Plan, pattern: &str, [i, _]: At, length: usize) {
    fn to<T: Clone>(list: Option<&mut Vec<T>>, one: Option<T>, length: usize) {
        if let (Some(list), Some(one)) = (list, one) {
            list.resize(length, one);
        }
    }
    let rig = |plan: &Plan| -> Option<Rig> { plan.rigs.first().cloned() };
    match pattern {
        "lines" => to::<PoleLine>(Some(&mut plan.lines), usual.lines.first().cloned(), length),
        "feed" => to::<Feeding>(Some(&mut plan.feed), usual.feed.first().cloned(), length),
        "rigs" => to(Some(&mut plan.rigs), rig(usual), length),
        "rigs.*.droppers" => {
            let one = Dropper { from_hook_tenth_mm: 1_524, shot: 0, count: 1 };
            to(plan.rigs.get_mut(i).map(|rig| &mut rig.droppers), Some(one), length);
        }
        "rigs.*.more.glass" => {
            let one = ShotCount { shot: 0, count: 1 };
            to(plan.rigs.get_mut(i).map(|rig| &mut rig.more.glass), Some(one), length);
        }
        "shot_box" => to::<BoxShot>(Some(&mut plan.shot_box), usual.shot_box.first().cloned(), length),
        "kit" => {
            let one = KitItem { group: Group::Peg, name: String::new(), count: 1 };
            to(Some(&mut plan.kit), Some(one), length);
        }
        _ => to(Some(&mut plan.kit_counts), Some(KitCount { id: String::new(), count: 1 }), length),
    }
}

/// The parts that change when a record's plan becomes `after`.
pub(super) fn changes(held: &Held, after: &Plan, fresh: &mut Fresh) -> Vec<(String, Value)> {
    let (before, names) = held.read();
    let mut follow =
        Follow { record: &held.record, before: names, after: Names::default(), parts: Vec::new(), fresh };
    follow.list("plan.lines", &before.lines, &after.lines);
    follow.list("plan.shot_box", &before.shot_box, &after.shot_box);
    follow.list("plan.feed", &before.feed, &after.feed);
    follow.list("plan.kit", &before.kit, &after.kit);
    // A count is known by what it counts: two phones that change the same one write one part.
    follow.list_by("plan.kit_counts", &before.kit_counts, &after.kit_counts, &|count| {
        Some(Fresh::of(&count.id))
    });
    let same = follow.list("plan.rigs", &before.rigs, &after.rigs);
    for (i, (rig, was)) in after.rigs.iter().zip(same).enumerate() {
        let was = was.and_then(|was| before.rigs.get(was));
        let lists = (was.map_or(&[][..], |rig| &rig.droppers), was.map_or(&[][..], |rig| &rig.more.glass));
        let keys =
            (follow.after.key("rigs.*.droppers", [i, 0]), follow.after.key("rigs.*.more.glass", [i, 0]));
        if let (Some(droppers), Some(glass)) = keys {
            follow.list(&droppers, lists.0, &rig.droppers);
            follow.list(&glass, lists.1, &rig.more.glass);
        }
    }
    let Follow { after: names_after, mut parts, .. } = follow;
    let same = *names == names_after;
    let held: Sorted<String, Value> =
        if same { Sorted::new() } else { values(before, names, None).into_iter().collect() };
    let differs = |(key, value): &(String, Value)| held.get(key) != Some(value);
    parts.extend(values(after, &names_after, same.then_some(before)).into_iter().filter(differs));
    parts
}

/// The part of a plan that a key names: its row of the table.
pub(super) fn field_of(key: &str) -> Option<&'static Field> {
    let path = key.strip_prefix("plan.")?;
    FIELDS.iter().find(|field| fits(field.path, path))
}

/// The list whose entry a key names, as the table of lists has it.
pub(super) fn list_of_entry(key: &str) -> Option<&'static str> {
    let (list, _) = key.strip_prefix("plan.")?.rsplit_once('.')?;
    LISTS.iter().map(|row| row.0).find(|pattern| fits(pattern, list))
}

/// Whether a path with names or places fits a pattern, where `*` stands for any.
fn fits(pattern: &str, path: &str) -> bool {
    let mut parts = path.split('.');
    let all =
        pattern.split('.').all(|wanted| parts.next().is_some_and(|part| wanted == "*" || wanted == part));
    all && parts.next().is_none()
}
