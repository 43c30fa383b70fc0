//! What tells records, phones and moments apart. None of them is made here: ids and the phone's number are random
//! bits that the caller hands in.

use serde::{Deserialize, Serialize};
use std::fmt;

/// A record's id: 128 random bits, so that two phones never give the same one.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Id(pub u128);

/// A phone's own number: 64 random bits, handed out once and kept with the book.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Phone(pub u64);

/// When something was written, on the book's own clock: 256 times a count of changes, and a number for the tab.
///
/// The count is one more than the highest that was seen (Lamport 1978, "Time, clocks, and the ordering of events in a
/// distributed system"): what was written knowing of another change is later than it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Stamp(pub u64);

impl Stamp {
    /// The latest that is read: every whole number up to it is exact in a script.
    pub const MAX: Self = Self((1 << 53) - 1);
    /// Later stamps do not move a book's clock: a file made up by hand cannot bring it to its end.
    const TRUSTED: u64 = 1 << 48;
}

impl fmt::Display for Id {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:032x}", self.0)
    }
}

impl fmt::Display for Phone {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:016x}", self.0)
    }
}

/// Whether a text is made of so many hexadecimal digits in small letters.
fn is_hex(text: &str, digits: usize) -> bool {
    text.len() == digits && text.bytes().all(|b| matches!(b, b'0'..=b'9' | b'a'..=b'f'))
}

impl Id {
    /// The id that is written so: 32 hexadecimal digits.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        is_hex(text, 32).then(|| u128::from_str_radix(text, 16).ok())?.map(Self)
    }

    /// The id of what a page sets up by itself, such as the first shot box: the same on every phone, so that two phones'
    /// boxes merge into one. `name` must be unique among such things.
    #[must_use]
    pub fn usual(name: &str) -> Self {
        let bytes = name.bytes().map(u64::from);
        let (high, low) = bytes.fold((1, 2), |(high, low), b| (mix(high, b), mix(low, b)));
        Self(u128::from(high) << 64 | u128::from(low))
    }
}

impl Phone {
    /// The phone that is written so: 16 hexadecimal digits.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        is_hex(text, 16).then(|| u64::from_str_radix(text, 16).ok())?.map(Self)
    }
}

/// Who writes, and the latest moment that was seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Clock {
    pub(super) phone: Phone,
    tab: u8,
    count: u64,
}

impl Clock {
    pub(super) fn new(phone: Phone, tab: u8) -> Self {
        Self { phone, tab, count: 0 }
    }

    /// Takes note of a moment.
    pub(super) fn see(&mut self, stamp: Stamp) {
        if stamp.0 < Stamp::TRUSTED {
            self.count = self.count.max(stamp.0 >> 8);
        }
    }

    /// The next moment.
    pub(super) fn tick(&mut self) -> Stamp {
        self.count += 1;
        Stamp(self.count << 8 | u64::from(self.tab))
    }
}

/// Names for new entries of lists, from who adds them and when: no two phones, tabs or moments give the same.
pub(super) struct Fresh(u64);

impl Fresh {
    pub(super) fn new(phone: Phone, stamp: Stamp) -> Self {
        Self(mix(phone.0, stamp.0))
    }

    /// A name from a text: the same on every phone.
    pub(super) fn of(text: &str) -> String {
        named(text.bytes().fold(0, |hash, b| mix(hash, b.into())))
    }

    pub(super) fn name(&mut self) -> String {
        self.0 = mix(self.0, 1);
        named(self.0)
    }
}

/// A letter and eight digits: no place of an entry in a list, which is digits alone.
fn named(hash: u64) -> String {
    format!("k{:08x}", hash & 0xffff_ffff)
}

/// Stirs a number into a hash.
///
/// # Source
/// The finisher of `SplitMix64` (Steele, Lea and Flood 2014, "Fast splittable pseudorandom number generators").
fn mix(hash: u64, with: u64) -> u64 {
    let z = hash.rotate_left(23) ^ with.wrapping_mul(0x9e37_79b9_7f4a_7c15);
    let z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ids_are_read_as_they_are_written_and_nothing_else_is() {
        let id = Id(0x0123_4567_89ab_cdef_0011_2233_4455_6677);
        assert_eq!(Id::read(&id.to_string()), Some(id));
        assert_eq!(Phone::read(&Phone(7).to_string()), Some(Phone(7)));
        for bad in ["", "7", "+0000000000000007", "000000000000000G", "00000000000000é", "000000000000000A"]
        {
            assert_eq!(Phone::read(bad), None, "{bad}");
        }
        assert_ne!(Id::usual("shot No. 8"), Id::usual("shot No. 9"));
    }

    #[test]
    fn a_clock_goes_on_from_what_it_saw_but_not_from_the_end_of_time() {
        let mut clock = Clock::new(Phone(1), 3);
        assert_eq!(clock.tick(), Stamp(0x103));
        clock.see(Stamp(0x7_05));
        assert_eq!(clock.tick(), Stamp(0x803));
        clock.see(Stamp::MAX);
        assert_eq!(clock.tick(), Stamp(0x903));
    }
}
