//! What the page keeps, as state: which saves are on their way to the disk, and how the session's log is kept.
//!
//! One store holds records, texts by key: `page` (see [`saved`](super::saved)); `log/plan`, the link of the plan of the
//! session in hand, and `log/000000` and so on, its lines by number; `away`, a log that was put away (its link, then
//! its lines); `aside/CRC`, a text that could not be read, as it was found.

use super::effect::{StoreTrouble, Write};
use crate::checksum::crc32;

/// The key of the page.
pub(super) const PAGE: &str = "page";
/// What the keys of the log begin with.
const LOG: &str = "log/";
/// The key of the log's plan.
const LOG_PLAN: &str = "log/plan";
/// The key of the log that was put away.
const AWAY: &str = "away";

/// What the reader is told of a store that is not as it should be.
pub(super) fn trouble_sentence(trouble: StoreTrouble) -> &'static str {
    match trouble {
        StoreTrouble::Newer => {
            "A newer version of the page keeps its plans and session on this phone. They are left as they are: update this page to go on with them."
        }
        StoreTrouble::Refused => {
            "This browser keeps nothing for this page. Before you close it, save your plan as a file under Share."
        }
        StoreTrouble::Slow => {
            "This browser refuses the page its quicker store. After a change, leave the page open for some seconds before the phone goes off."
        }
        StoreTrouble::Late => {
            "This phone’s store has not answered yet. Until it does, nothing that you change is kept."
        }
    }
}

/// A session as it is stored.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct StoredLog {
    /// The link text of its plan.
    pub link: String,
    /// The log's lines, in order.
    pub lines: Vec<String>,
}

impl StoredLog {
    /// As one text: the link, then the lines.
    fn text(&self) -> String {
        [core::slice::from_ref(&self.link), self.lines.as_slice()].concat().join("\n")
    }

    fn from_text(text: &str) -> Self {
        let mut lines = text.split('\n').map(str::to_owned);
        Self { link: lines.next().unwrap_or_default(), lines: lines.collect() }
    }

    /// The writes that make it the log in hand, in place of any other.
    pub(super) fn writes(&self) -> Vec<Write> {
        let mut writes = vec![
            Write::RemoveAll { prefix: LOG },
            Write::RemoveAll { prefix: AWAY },
            Write::Put { key: LOG_PLAN.to_owned(), value: self.link.clone() },
        ];
        writes.extend(self.lines.iter().map(|line| add_line(line)));
        writes
    }

    /// The writes that put it away.
    pub(super) fn writes_away(&self) -> Vec<Write> {
        vec![Write::RemoveAll { prefix: LOG }, Write::Put { key: AWAY.to_owned(), value: self.text() }]
    }

    /// The write that sets it aside.
    pub(super) fn write_aside(&self) -> Write {
        set_aside(&self.text())
    }
}

/// The write of a log's line, under its number. A number that is taken is refused, so that a second writer never writes
/// over the first.
pub(super) fn add_line(line: &str) -> Write {
    let number = line.split(' ').next().unwrap_or("");
    Write::Add {
        key: [LOG, &"0".repeat(6_usize.saturating_sub(number.len())), number].concat(),
        value: line.to_owned(),
    }
}

/// The write that keeps a text that could not be read; the same text is kept once.
pub(super) fn set_aside(text: &str) -> Write {
    Write::Put { key: ["aside/", &crc32(text.as_bytes()).to_string()].concat(), value: text.to_owned() }
}

/// What was found in the store.
#[derive(Debug, Default)]
pub(super) struct Found {
    /// The page's text.
    pub(super) page: Option<String>,
    /// The session in hand.
    pub(super) log: Option<StoredLog>,
    /// The log that was put away.
    pub(super) away: Option<StoredLog>,
}

impl Found {
    /// Sorts the records of the store.
    pub(super) fn read(records: Vec<(String, String)>) -> Self {
        let mut found = Self::default();
        let mut link = None;
        let mut lines = Vec::new();
        for (key, value) in records {
            match key.as_str() {
                PAGE => found.page = Some(value),
                AWAY => found.away = Some(StoredLog::from_text(&value)),
                LOG_PLAN => link = Some(value),
                _ if key.starts_with(LOG) => lines.push((key, value)),
                _ => {}
            }
        }
        lines.sort();
        let lines = lines.into_iter().map(|(_, line)| line).collect();
        found.log = link.map(|link| StoredLog { link, lines });
        found
    }
}

/// Whether what is changed is kept.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum Keeping {
    #[default]
    Usual,
    /// Not yet: the store has not been read, and may hold a plan.
    Unread,
    /// No more: everything is being erased.
    Over,
}

/// The saves of the page. One is on its way at a time; what changes meanwhile goes with the next.
#[derive(Clone, Debug, Default)]
pub(super) struct Saves {
    /// The number of the newest state; of two texts the one with the higher number is newer.
    pub(super) serial: u64,
    /// The save that was asked for and is not answered: its id, number and text.
    pub(super) under_way: Option<(u32, u64, String)>,
    /// Whether something has changed since it was asked for.
    pub(super) changed: bool,
    /// Whether the last one was refused, so that it is told once.
    pub(super) refused: bool,
    /// Whether what is changed is kept.
    pub(super) keeping: Keeping,
    /// The last id.
    pub(super) last_id: u32,
}

impl Saves {
    /// An id for the next write.
    pub(super) fn next_id(&mut self) -> u32 {
        self.last_id = self.last_id.wrapping_add(1);
        self.last_id
    }
}
