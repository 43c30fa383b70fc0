//! What the page wants done in the world. One `match` at the browser's edge carries these out, in their order; what
//! comes of them comes back as an [`Event`](super::event::Event).

use super::event::{Message, Place};
use super::settings::{Screen, Theme};
use crate::results::lessons::Lesson;
use crate::rig::fall::Rig;
use crate::rig::finder::Request;

/// One thing to be done.
#[expect(missing_docs, reason = "what an effect carries says its name")]
#[derive(Clone, Debug, PartialEq)]
pub enum Effect {
    /// A part of the page is shown anew.
    Draw(Part),
    /// The field at a path shows this text.
    WriteField { path: String, text: String },
    /// The refusal beside the field at a path, or none.
    MarkField { path: String, refusal: Option<String> },
    /// Light or dark.
    ShowTheme(Theme),
    /// The address names the open screen.
    NameScreen(Screen),
    /// The focus goes to the element with this id.
    Focus(&'static str),
    /// The page is read from its top, the focus in its results.
    ToTop,
    /// A change goes to the disk, all of it or nothing. Answered by `Stored`, `NotStored` or `StoreReopened`.
    Store { id: u32, writes: Vec<Write> },
    /// This save of the page is on the disk.
    ShowStored(u64),
    /// The browser is asked not to clear away what is kept: there is something to lose.
    AskToKeep,
    /// The records are read whose keys begin so; with `""` all but logs. Answered by `Read`.
    ReadStore { prefix: String },
    /// Everything that is kept is erased. Answered by `Erased` or
    /// `NotErased`.
    EraseAll,
    /// The right to write the session's log is asked for. Answered by `Claimed`.
    Claim,
    /// The other tabs are told.
    Tell(Message),
    /// A screen reader says what the open screen says now.
    Announce,
    /// A screen reader says this now.
    Say(String),
    /// A sentence stands at a place of its own.
    SayAt { place: Place, sentence: String },
    /// Answered by `Quiet`, once nothing has asked for it again for a while.
    AwaitQuiet,
    /// Answered by `FallDue` a little later, unless it is asked for again.
    FallSoon,
    /// A fall for the worker. Answered by `Fell`.
    Fall(Box<Rig>),
    /// What doubtful inputs do to a fall, for the worker: the rigs that hold them. Answered by `Doubted`.
    Doubt(Vec<Rig>),
    /// A search for the worker. Answered by `Searched`, more than once.
    Search(Box<Request>),
    /// The search ends.
    StopSearch,
    /// What days teach, for the worker. Answered by `Learned`.
    Learn(Vec<Lesson>),
    /// Answered by `Frame`, before the next paint.
    AskFrame,
    /// The session's tick and the wakeful screen, on or off. Answered by `Clock`, again and again.
    Run(bool),
    /// Sound is made ready, which a phone allows in a tap only.
    ReadySound,
    /// A feed is due, or the end: an alarm by sound, by vibration, as they are wanted.
    Call { sound: bool, vibration: bool },
    /// What is to be printed is laid out.
    LayOut,
    /// The browser prints.
    Print,
    /// The share panel opens.
    OpenShare,
    /// It closes.
    CloseShare,
    /// A text goes to the clipboard, or is marked in the place where it stands. Answered by `Answered`.
    Copy { place: Place, text: String },
    /// A text goes to the phone's share sheet. Answered by `Answered`.
    Send(String),
    /// A file is handed over: by the share sheet where a download would fail, else as a download. Answered by `Answered`.
    HandOver { file: File, place: Place },
    /// The picture of the day is drawn, to be at hand: a share sheet opens only within a tap.
    DrawPicture,
    /// It is handed over, under this name. Answered by `Answered`.
    SharePicture { name: String },
    /// A problem report is made of what the browser tells, shown, and copied.
    Report { with_plan: bool },
    /// Whether the question about erasing stands there.
    AskErase(bool),
    /// The page is loaded again.
    Reload,
}

/// A part of the page.
#[expect(missing_docs, reason = "told at its variant")]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// Head line, notices and the whole screen.
    Screen,
    /// Head line, notices and the results; what is being typed stays.
    Results,
    /// The notices.
    Notices,
    /// The fall of the open rig.
    Fall,
    /// Its band.
    FallBand,
    /// What the usual moves do to it.
    MoveEffects,
    /// The player's moment.
    Moment,
    /// The finder.
    Finder,
    /// What the finder has found so far.
    Found,
    /// The running session: its clock and the sinking feed, or with `true` all that moves.
    Session { full: bool },
}

/// One write of a change.
#[expect(missing_docs, reason = "key and value")]
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Write {
    /// A record is written, over what its key held.
    Put { key: String, value: String },
    /// A row of the book is written, as one with what its key holds by then ([`joined`](super::storage::joined)).
    Join { key: String, value: String },
    /// A record goes.
    Remove { key: String },
}

/// A file to be handed over.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct File {
    /// Its name.
    pub name: String,
    /// Its media type.
    pub media_type: &'static str,
    /// What it holds.
    pub text: String,
}

/// What is wrong with the phone's store, as it was found at the start.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StoreTrouble {
    /// A newer version of the page made it. It is left alone; what is changed here is kept in the small storage.
    Newer,
    /// Nothing is kept at all.
    Refused,
    /// There is only the small storage, which a browser may write to the disk seconds later.
    Slow,
    /// It has not answered yet. Nothing is stored until it does; what it holds then comes as `Read`.
    Late,
}
