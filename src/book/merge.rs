//! A record as the sum of its parts, each a register that keeps what no other phone has seen, and how two copies of one
//! become one.
//!
//! # The model
//! A part (`plan.water.depth`, `note`) is a *multi-value register*: for each phone that ever wrote it, the moment of
//! its last writing and, as long as nobody who had seen it wrote over it, the value. To write is to see: a phone puts its
//! own value in and drops those of all others. Of two copies each phone's later entry is taken, and of the same entry
//! the dropped one. Each phone's entries are thereby a chain (moment, then dropped or not, then the value itself,
//! which orders entries that no honest phone makes), a part is a product of chains, a record a map of parts; the greater
//! of each is the least upper bound of a lattice, so that merging is commutative, associative and idempotent whatever
//! the copies hold. What a part shows is its latest value; where others are left, it was written on both sides since they
//! parted, and waits to be settled.
//!
//! Entries of lists have names, not places, and each name is a part that holds where the entry stands; entries that two
//! phones add at once both stand. A removed record is one whose part `gone` holds what was seen of it: if a phone
//! changed it without knowing, that is not lost but shows.
//!
//! # Source
//! Shapiro, Preguiça, Baquero and Zawirski 2011, "A comprehensive study of convergent and commutative replicated data
//! types" (INRIA RR-7506), 2.2.1 (state-based objects) and 3.2.2 (multi-value register), with one entry a phone instead
//! of a version vector a value: a phone's value is always its latest in that part.

use super::id::{Phone, Stamp};
use crate::refusal::{Refusal, at_most};
use crate::small::{Sorted, sort_by};

/// The part that says that a record is removed.
pub(super) const GONE: &str = "gone";

/// What a part holds.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize, serde::Deserialize)]
pub enum Value {
    /// Nothing: a number left out, an entry taken out.
    Nothing,
    /// Yes or no.
    Flag(bool),
    /// A whole number of a small unit, or the place of a choice among its options.
    Number(i64),
    /// A text, an id, or the name of an entry in another list.
    Text(String),
    /// Whole numbers in a row.
    Numbers(Vec<i64>),
    /// Names with a number each.
    Pairs(Vec<(String, i64)>),
}

/// One phone's last entry in a part. The order is the chain that a merge goes up.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Written {
    /// The phone.
    pub phone: Phone,
    /// When.
    pub stamp: Stamp,
    /// What; nothing once somebody who had seen it wrote over it.
    pub value: Option<Value>,
}

impl Written {
    fn chain(&self) -> (Stamp, bool, &Option<Value>) {
        (self.stamp, self.value.is_none(), &self.value)
    }
}

/// A part: an entry for each phone that wrote it, in the order of the phones.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Register(Vec<Written>);

impl Register {
    pub(super) fn entries(&self) -> &[Written] {
        &self.0
    }

    /// Takes an entry in.
    pub(super) fn take(&mut self, entry: Written) {
        match self.0.binary_search_by_key(&entry.phone, |known| known.phone) {
            Ok(place) => {
                if let Some(known) = self.0.get_mut(place)
                    && known.chain() < entry.chain()
                {
                    *known = entry;
                }
            }
            Err(place) => self.0.insert(place, entry),
        }
    }

    /// Writes over all that is there.
    fn set(&mut self, phone: Phone, stamp: Stamp, value: Value) {
        let mut own = stamp;
        for entry in &mut self.0 {
            if entry.phone == phone {
                own = own.max(Stamp(entry.stamp.0.saturating_add(1))).min(Stamp::MAX);
            }
            entry.value = None;
        }
        self.0.retain(|entry| entry.phone != phone);
        self.take(Written { phone, stamp: own, value: Some(value) });
    }

    fn join(&mut self, other: &Self) {
        other.0.iter().for_each(|entry| self.take(entry.clone()));
    }

    /// The values that nobody wrote over, the latest first.
    pub(super) fn values(&self) -> Vec<(&Written, &Value)> {
        let mut values: Vec<_> = self.0.iter().filter_map(|w| Some((w, w.value.as_ref()?))).collect();
        sort_by(&mut values, |(a, _), (b, _)| (a.stamp, a.phone) > (b.stamp, b.phone));
        values
    }

    /// What the part shows.
    pub(super) fn value(&self) -> &Value {
        let held = self.0.iter().filter(|w| w.value.is_some());
        held.max_by_key(|w| (w.stamp, w.phone)).and_then(|w| w.value.as_ref()).unwrap_or(&Value::Nothing)
    }

    /// Whether it holds values that differ.
    fn is_open(&self) -> bool {
        let shown = self.value();
        self.0.iter().any(|w| w.value.as_ref().is_some_and(|value| value != shown))
    }
}

/// A record's parts by their keys.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Record(Sorted<String, Register>);

impl Record {
    pub(super) fn parts(&self) -> impl Iterator<Item = (&str, &Register)> {
        self.0.iter().map(|(key, part)| (key.as_str(), part))
    }

    pub(super) fn len(&self) -> usize {
        self.0.len()
    }

    /// What a part shows.
    pub(super) fn get(&self, key: &str) -> &Value {
        self.0.get(key).map_or(&Value::Nothing, Register::value)
    }

    pub(super) fn part(&self, key: &str) -> Option<&Register> {
        self.0.get(key)
    }

    /// The rest of each key that begins so, and what its part shows.
    pub(super) fn below<'a>(&'a self, start: &'a str) -> impl Iterator<Item = (&'a str, &'a Value)> {
        self.0.from(start).iter().map_while(move |(key, part)| Some((key.strip_prefix(start)?, part.value())))
    }

    pub(super) fn set(&mut self, phone: Phone, stamp: Stamp, key: &str, value: Value) {
        self.0.or_insert(key.to_owned(), Register::default()).set(phone, stamp, value);
    }

    /// Takes in an entry that was stored.
    pub(super) fn take(&mut self, key: &str, entry: Written) {
        self.0.or_insert(key.to_owned(), Register::default()).take(entry);
    }

    /// Takes in another copy.
    pub(super) fn join(&mut self, other: &Self) {
        for (key, part) in &other.0 {
            self.0.or_insert(key.clone(), Register::default()).join(part);
        }
    }

    /// The latest moment of each phone in any part but the one that says that the record is gone.
    fn seen(&self) -> Sorted<Phone, Stamp> {
        let mut seen = Sorted::new();
        for entry in self.parts().filter(|(key, _)| *key != GONE).flat_map(|(_, part)| part.entries()) {
            let latest = seen.or_insert(entry.phone, Stamp::default());
            *latest = entry.stamp.max(*latest);
        }
        seen
    }

    /// What [`GONE`] holds once the record is removed by somebody who sees it as it stands.
    pub(super) fn gone_as_seen(&self) -> Value {
        let whole = |stamp: Stamp| i64::try_from(stamp.0).unwrap_or(i64::MAX);
        Value::Pairs(self.seen().iter().map(|(phone, stamp)| (phone.to_string(), whole(*stamp))).collect())
    }

    /// Whether it was removed, and then whether a phone changed it without knowing.
    pub(super) fn removed(&self) -> Option<bool> {
        let Value::Pairs(known) = self.get(GONE) else { return None };
        let knew = |phone: Phone, stamp: Stamp| {
            known.iter().any(|(name, at)| {
                Phone::read(name) == Some(phone) && u64::try_from(*at).is_ok_and(|at| stamp.0 <= at)
            })
        };
        Some(self.seen().into_iter().any(|(phone, stamp)| !knew(phone, stamp)))
    }

    /// Whether it is to be shown.
    pub(super) fn stands(&self) -> bool {
        self.removed() != Some(false)
    }

    /// The keys of the parts that wait to be settled.
    pub(super) fn open_parts(&self) -> Vec<&str> {
        let unsure = self.removed() == Some(true);
        self.parts()
            .filter(|(key, part)| part.is_open() || (unsure && *key == GONE))
            .map(|(k, _)| k)
            .collect()
    }
}

/// The most parts of a record. A plan as long as its lists may be has 2,400; what was taken out of lists stays as
/// tombstones.
pub(super) const MAX_PARTS: usize = 12_000;
/// The most phones that one part may name.
const MAX_PHONES: usize = 64;
/// The longest key, bytes.
const MAX_KEY: usize = 200;
/// The longest text of a part, characters.
pub(super) const MAX_TEXT: usize = 4_000;
/// The longest row of numbers or names.
const MAX_ROW: usize = 300;

impl Record {
    /// Holds everything that came from outside against the limits of a record.
    ///
    /// # Errors
    /// `too_many` or `bad_part`, at the part's key.
    pub(super) fn check(&self) -> Result<(), Refusal> {
        at_most("", self.len(), MAX_PARTS, "parts can be kept in one record")?;
        for (key, part) in self.parts() {
            let bad = |why: String| {
                let key: String = key.chars().take(60).collect();
                Err(Refusal::new("bad_part", key, why))
            };
            if key.is_empty() || key.len() > MAX_KEY || key.contains(char::is_control) {
                return bad("A part has no name that can be used. Take it out of the file.".to_owned());
            }
            if part.entries().len() > MAX_PHONES {
                return bad(format!(
                    "A part names more phones than can be kept: at most {MAX_PHONES}. Take the oldest out."
                ));
            }
            for entry in part.entries() {
                if entry.stamp > Stamp::MAX {
                    return bad(
                        "A part’s moment is later than any that is kept. Correct the number.".to_owned()
                    );
                }
                let whole = |number: &i64| number.unsigned_abs() <= 1 << 53;
                let unfit = match &entry.value {
                    Some(Value::Number(number)) => !whole(number),
                    Some(Value::Text(text)) => text.len() > MAX_TEXT * 4 || text.chars().count() > MAX_TEXT,
                    // An empty row is written as nothing.
                    Some(Value::Numbers(row)) => {
                        !(1..=MAX_ROW).contains(&row.len()) || !row.iter().all(whole)
                    }
                    Some(Value::Pairs(row)) => {
                        !(1..=MAX_ROW).contains(&row.len())
                            || !row.iter().all(|(name, number)| name.len() <= MAX_KEY && whole(number))
                    }
                    _ => false,
                };
                if unfit {
                    return bad(format!(
                        "A part holds more than can be kept: at most {MAX_TEXT} letters, or {MAX_ROW} numbers or names. Shorten it."
                    ));
                }
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::collections::BTreeSet;

    /// Any record at all, such as no honest phone makes: the same moment with other values, everything written over.
    fn any_record() -> impl Strategy<Value = Record> {
        let entry = ("[ab]", 0..3_u64, 0..4_u64, prop::option::of(0..3_i64));
        prop::collection::vec(entry, 0..12).prop_map(|entries| {
            let mut record = Record::default();
            for (key, phone, stamp, value) in entries {
                let value = value.map(Value::Number);
                record.take(&key, Written { phone: Phone(phone), stamp: Stamp(stamp), value });
            }
            record
        })
    }

    fn join(a: &Record, b: &Record) -> Record {
        let mut both = a.clone();
        both.join(b);
        both
    }

    /// What a phone does in a history: writes a part, or takes in another phone's copy.
    #[derive(Clone, Debug)]
    enum Deed {
        Write(usize, char),
        Take(usize, usize),
    }

    fn history() -> impl Strategy<Value = Vec<Deed>> {
        let deed = prop_oneof![
            (0..3_usize, prop::char::range('a', 'c')).prop_map(|(phone, part)| Deed::Write(phone, part)),
            (0..3_usize, 0..3_usize).prop_map(|(to, from)| Deed::Take(to, from)),
        ];
        prop::collection::vec(deed, 0..40)
    }

    proptest! {
        #![proptest_config(crate::draw::cases(0x3e6e, 500, 50_000))]

        #[test]
        fn merging_is_commutative_associative_and_idempotent(
            a in any_record(), b in any_record(), c in any_record()
        ) {
            prop_assert_eq!(join(&a, &b), join(&b, &a));
            prop_assert_eq!(join(&join(&a, &b), &c), join(&a, &join(&b, &c)));
            prop_assert_eq!(join(&a, &a), a.clone());
            let both = join(&a, &b);
            prop_assert_eq!(join(&both, &a), both, "what was taken in says nothing new");
        }

        /// Against the definition: of all writings that a phone knows, a part holds those that no other known one had
        /// seen. The writings that each had seen are kept beside, whole.
        #[test]
        fn a_part_holds_what_nobody_who_had_seen_it_wrote_over(deeds in history()) {
            let mut records = vec![Record::default(); 3];
            let mut knows: Vec<BTreeSet<usize>> = vec![BTreeSet::new(); 3];
            // Of each writing its part and what its phone knew.
            let mut writings: Vec<(char, BTreeSet<usize>)> = Vec::new();
            let mut clocks = [0_u64; 3];
            for deed in deeds {
                match deed {
                    Deed::Write(phone, part) => {
                        clocks[phone] += 1;
                        let value = Value::Number(i64::try_from(writings.len()).unwrap());
                        records[phone].set(
                            Phone(u64::try_from(phone).unwrap()), Stamp(clocks[phone]), &part.to_string(), value,
                        );
                        writings.push((part, knows[phone].clone()));
                        knows[phone].insert(writings.len() - 1);
                    }
                    Deed::Take(to, from) => {
                        records[to] = join(&records[to], &records[from]);
                        clocks[to] = clocks[to].max(clocks[from]);
                        let theirs = knows[from].clone();
                        knows[to].extend(theirs);
                    }
                }
                for (record, known) in records.iter().zip(&knows) {
                    for part in 'a'..='c' {
                        let held: BTreeSet<i64> = record.part(&part.to_string()).map_or_else(BTreeSet::new, |part| {
                            part.values().into_iter().map(|(_, value)| match value {
                                Value::Number(n) => *n,
                                other => panic!("{other:?}"),
                            }).collect()
                        });
                        let of_part = |n: &&usize| writings[**n].0 == part;
                        let over = |n: &usize| known.iter().filter(of_part).any(|m| writings[*m].1.contains(n));
                        let wanted: BTreeSet<i64> = known.iter().filter(of_part)
                            .filter(|n| !over(n)).map(|n| i64::try_from(*n).unwrap()).collect();
                        prop_assert_eq!(held, wanted);
                    }
                }
            }
        }
    }

    #[test]
    fn a_removed_record_shows_again_when_it_was_changed_without_knowing() {
        let (a, b) = (Phone(1), Phone(2));
        let mut mine = Record::default();
        mine.set(a, Stamp(1), "name", Value::Text("Sallow Pond".to_owned()));
        let mut theirs = mine.clone();
        mine.set(a, Stamp(2), GONE, mine.gone_as_seen());
        assert_eq!(join(&mine, &theirs).removed(), Some(false));
        theirs.set(b, Stamp(2), "depth", Value::Number(20_000));
        let both = join(&mine, &theirs);
        assert_eq!((both.removed(), both.stands(), both.open_parts()), (Some(true), true, vec![GONE]));
        let mut gone = both.clone();
        gone.set(a, Stamp(3), GONE, both.gone_as_seen());
        assert!(!gone.stands() && gone.open_parts().is_empty());
        assert!(!join(&gone, &theirs).stands(), "it was seen");
    }
}
