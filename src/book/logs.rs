//! The logs of sessions: sets of lines, merged by union.
//!
//! A line is a session's own stored form with its checksum (`session/log.rs`), never changed once it is written. What
//! tells an event apart is its day, the phone that wrote it, and the number of its line on that phone: a session runs on
//! one phone, so two copies of its log are the same lines up to where one ends. Where two phones logged the same day,
//! each one's undos take back its own taps, and what stands on both is put in the order of its times.

use super::id::{Id, Phone};
use super::rows::{Store, StoredRow, Unread, open, seal};
use crate::refusal::Refusal;
use crate::session::log::{Log, MAX_EVENTS, ReadLog, number_of, read_back};
use crate::small::{Sorted, sort_long_by};

/// Lines in one row of the store: a tap writes no more than these.
const STRETCH: u32 = 64;
/// The most bytes of a line: a note of 500 letters of four bytes each.
const MAX_LINE: usize = 2_200;

/// Which stretch of which log: the day, the phone, and the place of the stretch.
pub(super) type Key = (Id, Phone, u32);

/// Logs by their days.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Logs(Sorted<Key, String>);

/// The number of a line that is whole and short enough.
fn number(line: &str) -> Option<u32> {
    let number = number_of(line).filter(|number| *number < MAX_EVENTS && line.len() <= MAX_LINE)?;
    u32::try_from(number).ok()
}

/// The number of a line.
///
/// # Errors
/// `bad_line` for one that is not whole.
pub(super) fn check_line(line: &str) -> Result<u32, Refusal> {
    let bad = "This line of a log is not whole, or longer than any. Take it from the session again.";
    number(line).ok_or_else(|| Refusal::new("bad_line", "line", bad))
}

/// Two copies of a stretch as one. Of two lines with one number, which no phone writes, the greater text stays.
fn joined(a: &str, b: &str) -> String {
    let mut lines = Sorted::new();
    for line in a.lines().chain(b.lines()) {
        if let Some(number) = number(line) {
            let kept = lines.or_insert(number, line);
            *kept = line.max(kept);
        }
    }
    lines.iter().flat_map(|(_, line)| [line, "\n"]).collect()
}

impl Logs {
    /// Takes a line in. Gives the stretch that is to be stored; nothing if the line is there already.
    ///
    /// # Errors
    /// `bad_line` for one that is not whole.
    pub(super) fn add(&mut self, day: Id, phone: Phone, line: &str) -> Result<Option<StoredRow>, Refusal> {
        let changed = self.put(day, phone, line)?;
        Ok(changed.and_then(|key| self.0.get(&key).map(|stretch| stored(&key, stretch))))
    }

    /// The same without the row: the stretch that has changed.
    pub(super) fn put(&mut self, day: Id, phone: Phone, line: &str) -> Result<Option<Key>, Refusal> {
        let number = check_line(line)?;
        let key = (day, phone, number / STRETCH);
        let stretch = self.0.or_insert(key, String::new());
        let last = stretch.lines().next_back().and_then(number_of);
        if last.is_none_or(|last| usize::try_from(number).is_ok_and(|number| last < number)) {
            // As almost always: the next one.
            stretch.push_str(line);
            stretch.push('\n');
            return Ok(Some(key));
        }
        let both = joined(stretch, line);
        if both == *stretch {
            return Ok(None);
        }
        *stretch = both;
        Ok(Some(key))
    }

    /// Puts other lines in the place of a phone's on a day; gives the stretches, those that go with nothing in them.
    pub(super) fn replace(&mut self, day: Id, phone: Phone, lines: &str) -> Result<Vec<StoredRow>, Refusal> {
        let mut other = Self::default();
        for line in lines.lines() {
            other.put(day, phone, line)?;
        }
        let is_mine = |key: &Key| (key.0, key.1) == (day, phone);
        let gone = self.0.keys().filter(|key| is_mine(key) && !other.0.contains_key(*key));
        let gone: Vec<StoredRow> = gone.map(|key| StoredRow { bytes: None, ..stored(key, "") }).collect();
        self.0.retain(|key, _| !is_mine(key));
        let rows = other.rows();
        self.0.extend(other.0);
        Ok([rows, gone].concat())
    }

    /// Takes in other logs; gives the stretches that changed.
    pub(super) fn join(&mut self, other: &Self) -> Vec<StoredRow> {
        let mut rows = Vec::new();
        for (key, theirs) in &other.0 {
            let mine = self.0.or_insert(*key, String::new());
            if mine == theirs {
                continue;
            }
            let both = if mine.is_empty() { theirs.clone() } else { joined(mine, theirs) };
            if both != *mine {
                rows.push(stored(key, &both));
                *mine = both;
            }
        }
        rows
    }

    /// Every stretch as its row.
    pub(super) fn rows(&self) -> Vec<StoredRow> {
        self.0.iter().map(|(key, text)| stored(key, text)).collect()
    }

    /// Takes in a stored stretch.
    pub(super) fn take(&mut self, bytes: &[u8]) -> Result<(), Unread> {
        let row = open(bytes)?;
        let key: Key = row.head(Store::Logs)?;
        let text = row.body().and_then(|body| str::from_utf8(body).map_err(|_| Unread::Damaged))?;
        let mine = self.0.or_insert(key, String::new());
        *mine = if mine.is_empty() { text.to_owned() } else { joined(mine, text) };
        Ok(())
    }

    /// The phones that logged a day, and the lines of each.
    pub(super) fn of(&self, day: Id) -> Vec<(Phone, String)> {
        let mut phones: Vec<(Phone, String)> = Vec::new();
        for ((_, phone, _), text) in
            self.0.from(&(day, Phone(0), 0)).iter().take_while(|(key, _)| key.0 == day)
        {
            match phones.last_mut() {
                Some((last, lines)) if last == phone => lines.push_str(text),
                _ => phones.push((*phone, text.clone())),
            }
        }
        phones
    }

    /// The days that have a log, each once.
    pub(super) fn days(&self) -> Vec<Id> {
        let mut days: Vec<Id> = self.0.keys().map(|key| key.0).collect();
        days.dedup();
        days
    }

    /// A day's log as one session's.
    pub(super) fn read(&self, day: Id, rig_count: usize) -> Result<ReadLog, Refusal> {
        let mut all = ReadLog { log: Log::default(), repairs: Vec::new() };
        let mut standing = Vec::new();
        let phones = self.of(day);
        for (_, text) in &phones {
            let read = read_back(text, rig_count)?;
            all.repairs.extend(read.repairs);
            if phones.len() == 1 {
                all.log = read.log;
                return Ok(all);
            }
            standing.extend(read.log.standing().iter().cloned());
        }
        sort_long_by(&mut standing, |a, b| a.event.at_ms.total_cmp(&b.event.at_ms).is_lt());
        for one in standing {
            all.log.take_over(one)?;
        }
        Ok(all)
    }
}

fn stored(key: &Key, text: &str) -> StoredRow {
    let (day, phone, stretch) = key;
    let name = format!("{day}-{phone}-{stretch:03}");
    StoredRow { store: Store::Logs, key: name, bytes: Some(seal(Store::Logs, key, text.as_bytes())) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::{Event, EventKind};

    fn log(taps: u32, at_ms: f64) -> Log {
        let mut log = Log::default();
        for tap in 0..taps {
            log.push(Event::new(at_ms + 5e3 * f64::from(tap), EventKind::Missed), 0.0).unwrap();
        }
        log
    }

    fn logs(phone: u64, log: &Log) -> Logs {
        let mut logs = Logs::default();
        for line in log.to_text().lines() {
            logs.add(Id(1), Phone(phone), line).unwrap().unwrap();
        }
        logs
    }

    #[test]
    fn a_log_comes_back_from_its_stretches_and_a_shorter_copy_takes_nothing_away() {
        let whole = log(200, 1.9e12);
        let mut book = logs(1, &whole);
        assert_eq!(book.0.len(), 4);
        let shorter = logs(1, &log(70, 1.9e12));
        assert!(book.join(&shorter).is_empty());
        let mut other = shorter.clone();
        assert_eq!(other.join(&book).len(), 3, "the second stretch and those after it");
        assert_eq!(other, book);
        assert_eq!(book.read(Id(1), 4).unwrap(), ReadLog { log: whole, repairs: Vec::new() });
        assert!(book.add(Id(1), Phone(1), log(1, 1.9e12).line(0).unwrap().as_str()).unwrap().is_none());
        assert_eq!(book.add(Id(1), Phone(1), "0 b 19 - - - 00000000").unwrap_err().code(), "bad_line");
    }

    #[test]
    fn stored_stretches_are_taken_in_any_order() {
        let whole = logs(1, &log(200, 1.9e12));
        let mut read = Logs::default();
        for (key, text) in whole.0.iter().rev() {
            read.take(&stored(key, text).bytes.unwrap()).unwrap();
        }
        assert_eq!(read, whole);
        let mut bytes = stored(&(Id(1), Phone(1), 0), "0").bytes.unwrap();
        *bytes.last_mut().unwrap() ^= 1;
        assert_eq!(read.take(&bytes), Err(Unread::Damaged));
    }

    #[test]
    fn two_phones_of_one_day_are_put_in_the_order_of_their_times() {
        let mut mine = log(3, 1.9e12);
        mine.push(Event::new(1.9e12 + 20e3, EventKind::Undo), 0.0).unwrap();
        let mut book = logs(1, &mine);
        book.join(&logs(2, &log(2, 1.9e12 + 2e3)));
        let times: Vec<f64> =
            book.read(Id(1), 4).unwrap().log.standing().iter().map(|one| one.event.at_ms - 1.9e12).collect();
        assert_eq!(times, [0.0, 2e3, 5e3, 7e3], "each phone's undo takes back its own");
    }
}
