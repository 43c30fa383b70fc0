//! Entries of a plan's lists, which keep their names: which of them became which, and where each stands.

use super::id::Fresh;
use super::merge::{Record, Value};
use crate::plan::fields::At;
use crate::small::{Sorted, sort_long_by};

/// The key of the whole plan.
const PLAN: &str = "plan";

/// From one place in a list to the next; an entry put between two takes the middle.
pub(super) const GAP: i64 = 1 << 20;

/// The names of a list's entries in their order, by the list's key.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Names(pub(super) Sorted<String, Vec<String>>);

impl Names {
    /// The key of what a path with places means.
    pub(super) fn key(&self, pattern: &str, at: At) -> Option<String> {
        let mut places = at.into_iter();
        let mut key = String::with_capacity(64);
        key.push_str(PLAN);
        for part in pattern.split('.') {
            let part = match part {
                "*" => self.0.get(&key)?.get(places.next()?)?,
                part => part,
            };
            key.push('.');
            key.push_str(part);
        }
        Some(key)
    }

    pub(super) fn name(&self, list: &str, place: i32) -> Value {
        let names = self.0.get(list);
        let name = names.and_then(|names| names.get(usize::try_from(place).ok()?));
        name.map_or(Value::Nothing, |name| Value::Text(name.clone()))
    }

    pub(super) fn place(&self, list: &str, name: &str) -> Option<i32> {
        let place = self.0.get(list)?.iter().position(|known| known == name)?;
        i32::try_from(place).ok()
    }
}

/// The key of an entry.
pub(super) fn entry(list: &str, name: &str) -> String {
    [list, ".", name].concat()
}

/// The entries of a list in their order: those that stand, and where; then those that were taken out.
pub(super) fn entries(record: &Record, list: &str) -> (Vec<(i64, String)>, Vec<String>) {
    let (mut standing, mut out) = (Vec::new(), Vec::new());
    for (name, value) in record.below(&entry(list, "")) {
        match value {
            _ if name.contains('.') => {}
            Value::Number(at) => standing.push((*at, name.to_owned())),
            _ => out.push(name.to_owned()),
        }
    }
    sort_long_by(&mut standing, |a, b| a < b);
    (standing, out)
}

/// Which entry of each list became which.
pub(super) struct Follow<'a> {
    pub(super) record: &'a Record,
    pub(super) before: &'a Names,
    pub(super) after: Names,
    pub(super) parts: Vec<(String, Value)>,
    pub(super) fresh: &'a mut Fresh,
}

impl Follow<'_> {
    /// Names the entries of a list as it is now, and says for each which one it was.
    pub(super) fn list<T: PartialEq>(&mut self, key: &str, before: &[T], after: &[T]) -> Vec<Option<usize>> {
        self.list_by(key, before, after, &|_| None)
    }

    /// As [`Follow::list`]; `own` names a new entry that is known by what it holds.
    pub(super) fn list_by<T: PartialEq>(
        &mut self,
        key: &str,
        before: &[T],
        after: &[T],
        own: &dyn Fn(&T) -> Option<String>,
    ) -> Vec<Option<usize>> {
        let same = matched(before.len(), after.len(), &|was, now| before.get(was) == after.get(now));
        self.name(key, &same, &|now| own(after.get(now)?));
        same
    }

    /// Names the entries of a list, of which each was one or is new: `own` may name it then.
    fn name(&mut self, key: &str, same: &[Option<usize>], own: &dyn Fn(usize) -> Option<String>) {
        let known = self.before.0.get(key).map_or(&[][..], Vec::as_slice);
        let mut names: Vec<String> = Vec::new();
        for (now, was) in same.iter().enumerate() {
            let was = was.and_then(|was| known.get(was)).cloned();
            let free = |name: &String| !known.contains(name) && !names.contains(name);
            let name = was.or_else(|| own(now).filter(free));
            names.push(name.unwrap_or_else(|| self.fresh.name()));
        }
        if names != known {
            for name in known.iter().filter(|name| !names.contains(name)) {
                self.parts.push((entry(key, name), Value::Nothing));
            }
            let (standing, _) = entries(self.record, key);
            let at = |name: &String| standing.iter().find(|(_, known)| known == name).map(|(at, _)| *at);
            let held: Vec<Option<i64>> = names.iter().map(at).collect();
            let stand = names.iter().zip(places(&held)).zip(held);
            let moved = stand.filter(|((_, place), held)| *held != Some(*place));
            self.parts.extend(moved.map(|((name, place), _)| (entry(key, name), Value::Number(place))));
        }
        self.after.0.insert(key.to_owned(), names);
    }
}

/// Where each entry stands: those that stood stay, the new ones go between, and where there is no room all move.
fn places(held: &[Option<i64>]) -> Vec<i64> {
    let mut places = Vec::new();
    let mut last = 0;
    for (i, at) in held.iter().enumerate() {
        let place = at.unwrap_or_else(|| {
            let new = held.get(i..).unwrap_or(&[]).iter().take_while(|at| at.is_none()).count();
            let next = held.get(i..).unwrap_or(&[]).iter().flatten().next();
            let step = next
                .map_or(GAP, |next| next.saturating_sub(last) / i64::try_from(new + 1).unwrap_or(i64::MAX));
            last.saturating_add(step)
        });
        if place <= last && i > 0 {
            return (1..).map(|i| i * GAP).take(held.len()).collect();
        }
        last = place;
        places.push(place);
    }
    places
}

/// For each of `after` entries the place among `before` of the one that it was; `alike` compares two.
///
/// A list that kept its length kept its entries. Else what is alike at both ends is the same, and what lies between is
/// matched as far as it goes.
fn matched(before: usize, after: usize, alike: &dyn Fn(usize, usize) -> bool) -> Vec<Option<usize>> {
    let (head, tail) = if before == after {
        (before, 0)
    } else {
        let least = before.min(after);
        let head = (0..least).take_while(|&i| alike(i, i)).count();
        (head, (1..=least - head).take_while(|&i| alike(before - i, after - i)).count())
    };
    let middle = (before - head - tail).min(after - head - tail);
    let was = |i| match i {
        i if i < head + middle => Some(i),
        i if i >= after - tail => Some(before + i - after),
        _ => None,
    };
    (0..after).map(was).collect()
}
