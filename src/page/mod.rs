//! The page: its state, and one loop. An [`Event`](event::Event) goes in at [`Page::update`], what is to be done comes
//! out as [`Effect`](effect::Effect)s. Knows no browser: `web` makes the events and carries the effects out.
//!
//! | file | what it holds |
//! | --- | --- |
//! | `event`, `effect` | what can happen; what is to be done |
//! | `update` | the loop |
//! | `edit`, `lists`, `mend`, `bait`, `rigs`, `days`, `shelf`, `taught`, `bank`, `stored` | what each kind of event makes of the page |
//! | `settings`, `sheet`, `tub_watch`, `falls`, `rig_tools`, `player`, `session`, `storage` | parts of its state |
//! | `saved`, `report` | the page as text, for the phone's store and for a problem report |

pub mod action;
mod bait;
pub mod bank;
pub mod days;
mod edit;
pub mod effect;
pub mod event;
pub mod falls;
mod lists;
mod mend;
pub mod player;
pub mod report;
pub mod rig_tools;
mod rigs;
pub mod saved;
pub mod session;
pub mod settings;
pub mod sheet;
pub mod shelf;
pub mod storage;
mod stored;
mod tackle;
pub mod tap;
pub mod taught;
pub mod tub_watch;
mod update;

use crate::book::{Book, Id, Phone};
use crate::plan::Plan;
use crate::plan::presets;
use crate::results::tub_course::TubCourse;
use crate::results::{Results, work_out};
use crate::small::{Map, Set};
pub use settings::{Choices, Screen, Theme};
use sheet::{RigTab, Sheet};
pub use stored::Opening;
use tub_watch::{Practice, Stopwatch};

/// What is said where a time would stand, of a bait that is lighter than water.
pub(crate) const AFLOAT: &str =
    "The bait floats: it is lighter than the water, so it has no fall and no time.";

/// What stands in a field that cannot be used, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RejectedInput {
    /// What was typed.
    pub typed: String,
    /// Why it cannot be used.
    pub sentence: String,
}

/// A sentence to the user.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Notice {
    /// The sentence.
    pub sentence: String,
    /// Whether it can be taken back.
    pub undo: bool,
}

/// What has to be shown again after a change.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Redraw {
    /// Nothing.
    Nothing,
    /// The results and the head line.
    Results,
    /// The whole screen.
    Screen,
}

/// The state of the page.
#[derive(Clone, Debug)]
pub struct Page {
    /// The book: days, waters, tackle.
    pub book: Book,
    /// The open day; none for the first worked day, before it is changed.
    pub day: Option<Id>,
    /// The plan in hand, a copy of the open day's.
    pub plan: Plan,
    /// What it comes to.
    pub results: Results,
    /// The reader's choices.
    pub choices: Choices,
    /// Ids of what is ticked: `prep-cut`, `kit-tins`.
    pub ticks: Set,
    /// Fields that hold what cannot be used, by path.
    pub rejected: Map<RejectedInput>,
    /// The open screen.
    pub screen: Screen,
    /// Place of the rig that is open.
    pub rig: usize,
    /// The part of the rigs' screen.
    pub rig_tab: RigTab,
    /// The sheet that was opened.
    pub sheet: Option<Sheet>,
    /// Lines whose depth was changed, while it is asked whether rigs follow.
    moved: Vec<mend::Moved>,
    /// The stopwatch of the tub test.
    pub stopwatch: Stopwatch,
    /// Practice drops.
    pub practice: Practice,
    /// How the tub test narrowed, once its sheet was shown.
    pub tub_course: TubCourse,
    /// A plan that came with a link and waits for an answer.
    pub pending: Option<Box<Plan>>,
    /// A plan that is looked at, and belongs to no day.
    pub looking: Option<Box<Plan>>,
    /// What each water taught.
    pub taught: taught::Taught,
    /// What is open of waters and tackle, what is sought among the days, what a backup is for.
    pub shelf: shelf::Shelf,
    /// Falls of rigs and the search for a pattern.
    pub falls: falls::FallsState,
    /// The ladder, the weighing of shot, the cards.
    pub tools: rig_tools::RigTools,
    /// The player of a fall.
    pub player: player::Player,
    /// Sentences to the user.
    pub notices: Vec<Notice>,
    /// What the page knows of its own making.
    pub build: report::BuildInfo,
    /// Where the page stands.
    pub place: settings::Surroundings,
    /// What a button asked to be printed.
    pub printing: Option<settings::Paper>,
    /// The live session, if one was started.
    pub session: Option<Box<session::RunningSession>>,
    /// The session of a fished day that is looked at while another one runs.
    pub past: Option<Box<session::RunningSession>>,
    /// How the session is kept, and who may write it.
    pub bank: bank::Bank,
    /// How the page is kept.
    saves: storage::Saves,
    /// The field whose change goes on, as when a text is typed letter by letter.
    typing: Option<String>,
    /// Whether the change that comes was told, with a way to take it back.
    telling: bool,
    /// Whether the page is read from its top once it is drawn.
    to_top: bool,
    /// The last random number that was drawn.
    drawn: u64,
}

impl Page {
    /// A page with the first worked day, and an empty book.
    #[must_use]
    pub fn new() -> Self {
        Self::with(presets::first(), Set::default(), Choices::default())
    }

    /// A page with a plan in hand, and an empty book.
    #[must_use]
    pub fn with(plan: Plan, ticks: Set, choices: Choices) -> Self {
        Self {
            results: work_out(&plan, choices.units),
            book: Book::open(Phone(1), 0, []).book,
            day: None,
            plan,
            choices,
            ticks,
            rejected: Map::default(),
            screen: Screen::Day,
            rig: 0,
            rig_tab: RigTab::default(),
            sheet: None,
            moved: Vec::new(),
            stopwatch: Stopwatch::default(),
            practice: Practice::default(),
            tub_course: TubCourse::default(),
            pending: None,
            looking: None,
            taught: taught::Taught::default(),
            shelf: shelf::Shelf::default(),
            falls: falls::FallsState::default(),
            tools: rig_tools::RigTools::default(),
            player: player::Player::default(),
            notices: Vec::new(),
            build: report::BuildInfo::default(),
            place: settings::Surroundings::default(),
            printing: None,
            session: None,
            past: None,
            bank: bank::Bank::default(),
            saves: storage::Saves::default(),
            typing: None,
            telling: false,
            to_top: false,
            drawn: 0,
        }
    }

    /// Works the day out anew.
    pub(crate) fn refresh(&mut self) {
        self.rig = self.rig.min(self.plan.rigs.len().saturating_sub(1));
        let last = i32::try_from(self.plan.shot_box.len()).unwrap_or(i32::MAX) - 1;
        self.tools.weighing.size = self.tools.weighing.size.min(last).max(0);
        self.results = work_out(&self.plan, self.choices.units);
    }

    /// The sheet that is shown: the one that was opened, or the screen's own where there is room beside it.
    #[must_use]
    pub fn sheet_shown(&self) -> Option<Sheet> {
        self.sheet.or_else(|| Sheet::beside(self.screen).filter(|_| self.place.wide))
    }

    /// Says a sentence; of the same one only the last is kept, and of all at most four.
    pub fn say(&mut self, sentence: &str, undo: bool) {
        self.notices.retain(|n| n.sentence != sentence && !(undo && n.undo));
        self.notices.push(Notice { sentence: sentence.to_owned(), undo });
        if self.notices.len() > 4 {
            self.notices.remove(0);
        }
    }

    /// A plan from a link or a file: asked about, for it becomes another day.
    pub fn offer(&mut self, plan: Plan) {
        if plan == self.plan {
            self.say("The link holds the plan that you have already.", false);
        } else {
            self.pending = Some(Box::new(plan));
        }
    }

    /// Tells a change that comes, with a way to take it back.
    pub(crate) fn remember(&mut self, sentence: &str) {
        self.telling = true;
        self.say(sentence, true);
    }

    /// The plan as it is shared: a link where the page has an address that leads others to it, else the plan's own text.
    #[must_use]
    pub fn share_text(&self) -> String {
        let plan = crate::plan::link::write(&self.plan);
        self.place.address.as_ref().map_or(plan.clone(), |address| [address, "#", &plan].concat())
    }
}

impl Default for Page {
    fn default() -> Self {
        Self::new()
    }
}
