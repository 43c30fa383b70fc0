//! What a button asks for, as its `data-act` names it.

use super::falls::Compare;
use super::settings::{CardSize, Paper, Theme};
use super::sheet::RigTab;
use crate::book::{Id, ItemKind, Phone};
use crate::trade::shot::METALS;
use crate::units::{DecimalSign, LengthUnits};

/// What a button does.
#[expect(missing_docs, reason = "what an action carries says its name")]
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Action {
    /// A worked day becomes a day of the book.
    OpenPreset(String),
    /// The plan that came with a link becomes a day of the book.
    AddPending,
    /// It is looked at, and belongs to no day.
    LookAtPending,
    /// It is left alone.
    LeavePending,
    /// Takes the last change of the book back.
    Undo,
    /// Brings back what was taken back last.
    Redo,
    /// Something is done with the book.
    Book(BookAction),
    /// Something at the bank that is no event of the session.
    Bank(BankAction),
    /// Closes a notice.
    Dismiss(usize),
    /// Adds an entry to the list at a path.
    Add(String),
    /// Takes an entry out of a list.
    Remove { list: String, place: usize },
    /// Shows a rig.
    OpenRig(usize),
    /// A rig changes places with its neighbour.
    MoveRig { place: usize, right: bool },
    /// Mends one thing that cannot work, by its place among the warnings.
    Mend(usize),
    /// Mends all that a tap can mend.
    MendAll,
    /// Whether rigs follow the depth of their line.
    FollowLines(bool),
    /// A rig uses a set of shot of its list.
    UseSet { rig: usize, set: usize },
    /// The label of a generic tin, by its number in the table.
    UseTin(String),
    /// More or fewer of a thing of the kit list; nothing for as many as the plan says.
    KitCount { id: String, by: Option<i32> },
    /// Feet and inches or metres.
    Lengths(LengthUnits),
    /// The decimal sign.
    Sign(DecimalSign),
    /// Light or dark.
    Theme(Theme),
    /// Writes the end of the session into the plan.
    KeepSession,
    /// Takes all ticks away.
    UntickAll,
    /// A part of the rigs' screen.
    RigTab(RigTab),
    /// The tub test's stopwatch.
    Stopwatch,
    /// A tap of a practice drop.
    Practise,
    /// The tub test.
    Tub(TubAction),
    /// The duration that freezing takes, as worked out.
    UseFreezing,
    /// The duration that thawing takes, as worked out.
    UseThawing,
    /// What is searched for, and the search.
    Finder(FinderAction),
    /// The second pattern beside the own one.
    Compare(Compare),
    /// A usual move is written into the rig.
    UseMove(usize),
    /// A proposal of the search is written into the rig.
    UseProposal(usize),
    /// Everything in the shot box is of this metal: its place in the table of the trade.
    Metal(usize),
    /// An olivette comes into the shot box.
    Olivette,
    /// The ladder of shallow rigs.
    Ladder(LadderAction),
    /// The load from the glass test.
    UseGlass,
    /// The mass of shot that was weighed.
    UseWeighed,
    /// The size of the printed rig cards.
    Card(CardSize),
    /// Plays or pauses a fall.
    Play,
    /// Prints.
    Print(Paper),
    /// Opens the share panel.
    Share,
    /// Closes it.
    CloseShare,
    /// Copies the link.
    CopyLink,
    /// Hands the link to the phone's share sheet.
    SendLink,
    /// Saves the link as a file.
    SaveLink,
    /// The preparation for the phone's calendar.
    Calendar,
    /// The log as rows for a spreadsheet.
    SaveLog,
    /// The picture of the day is handed over.
    SharePicture,
    /// Copies a problem report, with or without a link of the plan.
    Report { with_plan: bool },
    /// Asks whether to erase everything.
    Erase,
    /// Keeps it.
    EraseNot,
    /// Erases it.
    EraseNow,
}

/// A button of My days, a water, my tackle, or the backup.
#[expect(missing_docs, reason = "what an action carries says its name")]
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum BookAction {
    /// Opens a day.
    Open(Id),
    /// A new day at a water, or without one from my tackle.
    New(Option<Id>),
    /// A copy of a day, on the next Saturday.
    Copy(Id),
    /// Deletes a day.
    Delete(Id),
    /// Lists all days.
    AllDays,
    /// Opens a water.
    OpenWater(Id),
    /// A new water.
    NewWater,
    /// The water of the open day comes into the book.
    KeepWater,
    /// Deletes the open water.
    DeleteWater,
    /// A plumbed depth of the open water goes.
    RemoveDepth(usize),
    /// Opens a thing in the box, or closes it.
    OpenItem(Id),
    /// A new thing in the box.
    NewItem(ItemKind),
    /// The float, lines, hook, shot and tin of the open day come into the box.
    KeepTackle,
    /// The open thing goes out of the box.
    DeleteItem,
    /// Takes out a test of the open thing, by its name.
    TakeOutTest(String),
    /// A thing of the box is used in the open rig, or in the open day: this one, or the open one.
    UseItem(Option<Id>),
    /// An offer is taken, by its place.
    Offer(usize),
    /// A part that was changed on two phones is settled: the value of one stands.
    Settle { part: usize, phone: Phone },
    /// The whole book as a file.
    Backup,
}

/// A button of the bank that is no event of the session.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BankAction {
    /// Opens an event in the list of the day, by its number, or closes it.
    Open(usize),
    /// Lists the whole day.
    All,
    /// The large button at the other thumb.
    Hand,
    /// Alarms with or without vibration.
    Vibration,
    /// Alarms with or without a change of the clock's look.
    Flash,
    /// The all-in is ten minutes later.
    Later,
    /// The all-out as well.
    LaterOut,
}

/// A button of the tub test.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TubAction {
    /// One tap of the stopwatch back.
    Undo,
    /// A new test.
    New,
    /// A drop timed by hand.
    Add,
    /// A drop is taken out.
    Out(usize),
}

/// A button of the finder.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FinderAction {
    /// An aim, by its place.
    Aim(usize),
    /// One group more or fewer.
    Groups(i8),
    /// Whether droppers stay.
    KeepDroppers,
    /// Whether shot may go on the hooklength.
    OnHooklength,
    /// Begins a search.
    Start,
    /// Ends it.
    Stop,
}

/// A button of the ladder.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LadderAction {
    /// One rig more or fewer.
    Count(i32),
    /// The first depth.
    First(i32),
    /// The step.
    Step(i32),
    /// Makes the rigs.
    Make,
}

impl Action {
    /// The action of a button by its `data-act`: a verb, and what it is about after a colon. None of what is not ours.
    #[must_use]
    pub fn parse(act: &str) -> Option<Self> {
        let (verb, about) = act.split_once(':').unwrap_or((act, ""));
        let text = || about.to_owned();
        let place = || about.parse::<usize>().ok();
        let sign = || if about.ends_with('+') { 1 } else { -1 };
        Some(match verb {
            "preset" => Self::OpenPreset(text()),
            "pending" if about == "add" => Self::AddPending,
            "pending" if about == "look" => Self::LookAtPending,
            "pending" => Self::LeavePending,
            "undo" => Self::Undo,
            "redo" => Self::Redo,
            "book" => Self::Book(BookAction::parse(about)?),
            "bank" => Self::Bank(BankAction::parse(about)?),
            "dismiss" => Self::Dismiss(place()?),
            "add" => Self::Add(text()),
            "remove" => {
                let (list, place) = about.rsplit_once('.')?;
                Self::Remove { list: list.to_owned(), place: place.parse().ok()? }
            }
            "rig" => Self::OpenRig(place()?),
            "rig-up" | "rig-down" => Self::MoveRig { place: place()?, right: verb == "rig-down" },
            "mend" => Self::Mend(place()?),
            "mend-all" => Self::MendAll,
            "follow" => Self::FollowLines(about == "yes"),
            "set" => {
                let (rig, set) = about.split_once('.')?;
                Self::UseSet { rig: rig.parse().ok()?, set: set.parse().ok()? }
            }
            "tin" => Self::UseTin(text()),
            "kit" => {
                let (id, how) = about.rsplit_once('.')?;
                let by = match how {
                    "+" => Some(1),
                    "-" => Some(-1),
                    _ => None,
                };
                Self::KitCount { id: id.to_owned(), by }
            }
            "units" if about == "metric" => Self::Lengths(LengthUnits::Metric),
            "units" => Self::Lengths(LengthUnits::Imperial),
            "sign" if about == "comma" => Self::Sign(DecimalSign::Comma),
            "sign" => Self::Sign(DecimalSign::Point),
            "theme" => Self::Theme(Theme::named(about)?),
            "live" => Self::KeepSession,
            "unpack" => Self::UntickAll,
            "tab" => Self::RigTab(RigTab::named(about)?),
            "tap" => Self::Stopwatch,
            "practise" => Self::Practise,
            "tub" => Self::Tub(match about {
                "undo" => TubAction::Undo,
                "new" => TubAction::New,
                "add" => TubAction::Add,
                _ => TubAction::Out(about.strip_prefix("out.")?.parse().ok()?),
            }),
            "use" if about == "freeze" => Self::UseFreezing,
            "use" if about == "thaw" => Self::UseThawing,
            "finder" => {
                let (verb, place) = about.split_once('.').unwrap_or((about, ""));
                Self::Finder(match verb {
                    "aim" => FinderAction::Aim(place.parse().ok()?),
                    "groups" => FinderAction::Groups(if place == "+" { 1 } else { -1 }),
                    "keep" => FinderAction::KeepDroppers,
                    "hooklength" => FinderAction::OnHooklength,
                    "start" => FinderAction::Start,
                    "stop" => FinderAction::Stop,
                    _ => return None,
                })
            }
            "alone" => Self::Compare(Compare::Nothing),
            "move" => Self::Compare(Compare::Move(place()?)),
            "proposal" => Self::Compare(Compare::Proposal(place()?)),
            "use-move" => Self::UseMove(place()?),
            "use-proposal" => Self::UseProposal(place()?),
            "ladder-count" => Self::Ladder(LadderAction::Count(sign())),
            "ladder-first" => Self::Ladder(LadderAction::First(sign())),
            "ladder-step" => Self::Ladder(LadderAction::Step(sign())),
            "metal" => Self::Metal(METALS.iter().position(|(name, _)| *name == about)?),
            "olivette" => Self::Olivette,
            "ladder" => Self::Ladder(LadderAction::Make),
            "glass" => Self::UseGlass,
            "weighed" => Self::UseWeighed,
            "card" => Self::Card(if about == "a5" { CardSize::A5 } else { CardSize::A6 }),
            "play" => Self::Play,
            "print" => Self::Print(Paper::named(about)?),
            "share" => Self::Share,
            "close-share" => Self::CloseShare,
            "copy" => Self::CopyLink,
            "send" => Self::SendLink,
            "save" => Self::SaveLink,
            "calendar" => Self::Calendar,
            "log" => Self::SaveLog,
            "picture" => Self::SharePicture,
            "report" => Self::Report { with_plan: about == "plan" },
            "erase" => Self::Erase,
            "erase-not" => Self::EraseNot,
            "erase-now" => Self::EraseNow,
            _ => return None,
        })
    }
}

impl BookAction {
    /// What stands behind `book:` in a button's `data-act`.
    fn parse(about: &str) -> Option<Self> {
        let (verb, about) = about.split_once('.').unwrap_or((about, ""));
        let id = || Id::read(about);
        Some(match verb {
            "open" => Self::Open(id()?),
            "new" if about.is_empty() => Self::New(None),
            "new" => Self::New(Some(id()?)),
            "copy" => Self::Copy(id()?),
            "delete" => Self::Delete(id()?),
            "all-days" => Self::AllDays,
            "water" => Self::OpenWater(id()?),
            "new-water" => Self::NewWater,
            "keep-water" => Self::KeepWater,
            "delete-water" => Self::DeleteWater,
            "remove-depth" => Self::RemoveDepth(about.parse().ok()?),
            "item" => Self::OpenItem(id()?),
            "new-item" => Self::NewItem(ItemKind::named(about)?),
            "keep-tackle" => Self::KeepTackle,
            "take-out-test" => Self::TakeOutTest(about.to_owned()),
            "delete-item" => Self::DeleteItem,
            "use-item" if about.is_empty() => Self::UseItem(None),
            "use-item" => Self::UseItem(Some(id()?)),
            "offer" => Self::Offer(about.parse().ok()?),
            "settle" => {
                let (part, phone) = about.split_once('.')?;
                Self::Settle { part: part.parse().ok()?, phone: Phone::read(phone)? }
            }
            "backup" => Self::Backup,
            _ => return None,
        })
    }
}

impl BankAction {
    /// What stands behind `bank:` in a button's `data-act`.
    fn parse(about: &str) -> Option<Self> {
        let (verb, about) = about.split_once('.').unwrap_or((about, ""));
        Some(match verb {
            "open" => Self::Open(about.parse().ok()?),
            "all" => Self::All,
            "hand" => Self::Hand,
            "vibration" => Self::Vibration,
            "flash" => Self::Flash,
            "later" => Self::Later,
            "later-out" => Self::LaterOut,
            _ => return None,
        })
    }
}
