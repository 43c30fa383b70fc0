//! Everything that can happen to the page. The browser's edge makes one of these of what it hears, once; what no button
//! of ours says makes none.

use super::action::Action;
use super::tap::Tap;
use crate::book::MAX_BOOK_BYTES;
use crate::plan::link::MAX_TEXT;
use crate::results::fall::FallPath;
use crate::results::lessons::Habits;
use crate::rig::finder::Progress;
use crate::small::Sorted;

/// One thing that happened. Every time is in milliseconds since 1970.
#[expect(missing_docs, reason = "what an event carries says its name")]
#[derive(Clone, Debug)]
pub enum Event {
    /// The field at a path holds this text, or this choice.
    Typed { path: String, text: String },
    /// The reader has left the field at a path.
    Left { path: String },
    /// The plus or minus button of the field at a path.
    Stepped { path: String, by: i32 },
    /// A tick box.
    Ticked { id: String, on: bool },
    /// A button.
    Pressed { action: Action, at_ms: f64 },
    /// A button or key of the session.
    Tapped { tap: Tap, at_ms: f64 },
    /// A link within the page: its fragment, without its sign.
    Followed(String),
    /// The text of a link, a file or a paste.
    Received(String),
    /// A backup was opened.
    BackupOpened { text: String },
    /// A file that is too large to be read.
    TooLarge { place: Place },
    /// What the store holds under keys that begin so.
    Read { prefix: String, records: Vec<(String, String)>, at_ms: f64 },
    /// A change is on the disk.
    Stored(u32),
    /// A change could not be stored.
    NotStored(u32),
    /// The store was emptied under the page, and is open again. What was on its way is not stored.
    StoreReopened,
    /// Whether this tab may write the session's log; again with `true` when another tab has let go of it.
    Claimed { mine: bool, at_ms: f64 },
    /// Another tab of the page has spoken.
    Heard { message: Message, at_ms: f64 },
    /// Whether there is room for a sheet beside the screen.
    Wide(bool),
    /// The page came into view or went out of it.
    Seen { visible: bool, at_ms: f64 },
    /// A tick of the session: the wall clock, and one that only runs forward, ms.
    Clock { at_ms: f64, forward_ms: f64 },
    /// How much room the screen leaves for the column of water, height over width.
    Room(f64),
    /// Nothing was changed for a while: the time to say what came out.
    Quiet,
    /// The time to work out the fall that is wanted next.
    FallDue,
    /// The worker's answer to a fall.
    Fell(Result<FallPath, String>),
    /// The worker's answer to doubtful inputs, or none.
    Doubted(Option<Vec<f32>>),
    /// A search has come along, or has ended.
    Searched { progress: Result<Progress, String>, ended: bool },
    /// The worker's answer to days that teach.
    Learned(Result<Box<Habits>, String>),
    /// A frame of the player, on a clock that only runs forward, ms; whether its drawing is in view.
    Frame { at_ms: f64, in_view: bool },
    /// The player's bar was moved to a moment, s.
    Scrubbed(f64),
    /// The browser is about to print, from its own menu or for us.
    BeforePrint,
    /// Printing has ended.
    AfterPrint,
    /// What the browser made of a file, a copy or the share sheet, in words for the reader.
    Answered { place: Place, sentence: &'static str },
    /// Everything that was kept is gone.
    Erased,
    /// The store did not answer, and everything is there still.
    NotErased,
    /// The store did not give what it holds under keys that begin so.
    NotRead { prefix: String },
}

/// A place where a sentence is told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// Among the notices.
    Notices,
    /// In the share panel.
    Share,
    /// Beside the calendar's button.
    Calendar,
    /// Beside the report's button.
    Report,
    /// Beside the backup's buttons.
    Backup,
    /// Beside the button that erases.
    Erase,
}

/// Rows of the book by key, each with its text; nothing for one that is taken out.
pub type Rows = Sorted<String, Option<String>>;

/// What one tab of the page tells the others.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Message {
    /// These were stored: the page's text, if that was, and rows of the book.
    #[expect(missing_docs, reason = "told above")]
    Stored { page: Option<String>, rows: Rows },
    /// A tab has opened; the others answer.
    Hello,
    /// The answer.
    Here,
    /// Everything was erased.
    Erased,
}

/// The largest file that is read at a place, bytes.
#[must_use]
pub fn most_bytes(place: Place) -> usize {
    if place == Place::Backup { MAX_BOOK_BYTES } else { MAX_TEXT }
}

/// What is told of a larger one.
pub(super) fn too_large(place: Place) -> String {
    let what = if place == Place::Backup { "a backup" } else { "a plan" };
    let kilo = most_bytes(place) / 1000;
    let most = if kilo < 1000 { format!("{kilo} kB") } else { format!("{} MB", kilo / 1000) };
    format!("This file is too large for {what}: at most {most} are read.")
}
