//! What takes a worker, as state: falls that were worked out, a second pattern beside the own one, a search.

use crate::results::fall::{FallDoubt, FallPath};
use crate::rig::fall::Rig;
use crate::rig::finder::{AS_LONG_S, Aim, Progress, Request};

/// Falls that are kept.
const MAX_KEPT: usize = 12;
/// The aims, with the words of the trade; a length belongs behind the third.
pub const AIMS: [(Aim, &str); 4] = [
    (Aim::FallWithFeed, "Fall with the feed"),
    (Aim::GetDownFast, "Get down fast, through small fish"),
    (Aim::SlowLast30Cm, "Slow the last "),
    (Aim::SettleSoonest, "Settle soonest"),
];

/// A fall that was worked out, or why it could not be.
#[derive(Clone, Debug)]
pub struct FallResult {
    /// The rig.
    pub rig: Rig,
    /// Its fall, or a sentence.
    pub fall: Result<FallPath, String>,
    /// What its doubtful inputs do to it, once they were worked out, by the rigs that hold them.
    pub doubt: Option<(Vec<Rig>, Option<FallDoubt>)>,
}

/// What is shown beside the own pattern.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Compare {
    /// Nothing.
    #[default]
    Nothing,
    /// One of the usual moves, by its place.
    Move(usize),
    /// One of the search's proposals, by its place.
    Proposal(usize),
}

/// A search for a pattern.
#[derive(Clone, Debug)]
pub struct Search {
    /// Place of its rig in the plan.
    pub rig: usize,
    /// What is searched.
    pub request: Request,
    /// How far it has come.
    pub progress: Option<Progress>,
    /// Whether it is to go on.
    pub running: bool,
    /// Why it could not go on.
    pub trouble: Option<String>,
}

/// What takes a worker, and choices about it.
#[derive(Clone, Debug)]
pub struct FallsState {
    /// Falls, the oldest first.
    pub done: Vec<FallResult>,
    /// The fall that the worker was asked for and has not answered.
    pub asked: Option<Rig>,
    /// The rig whose doubts the worker was asked for, and the rigs that hold them.
    pub asked_doubt: Option<(Rig, Vec<Rig>)>,
    /// The rig's own fall that was shown last, by the rig's place.
    pub last: Option<(usize, Rig)>,
    /// The second pattern.
    pub compare: Compare,
    /// What is wanted of the fall.
    pub aim: Aim,
    /// Most groups.
    pub groups: u8,
    /// Whether droppers stay.
    pub keep_droppers: bool,
    /// Whether shot may go on the hooklength.
    pub on_hooklength: bool,
    /// The search.
    pub search: Option<Search>,
    /// Whether the worker is at it.
    pub searching: bool,
}

impl Default for FallsState {
    fn default() -> Self {
        Self {
            done: Vec::new(),
            asked: None,
            asked_doubt: None,
            last: None,
            compare: Compare::Nothing,
            aim: Aim::FallWithFeed,
            groups: 2,
            keep_droppers: false,
            on_hooklength: false,
            search: None,
            searching: false,
        }
    }
}

impl FallsState {
    /// The fall of a rig, if it was worked out.
    #[must_use]
    pub fn of(&self, rig: &Rig) -> Option<&Result<FallPath, String>> {
        self.done.iter().find(|done| done.rig == *rig).map(|done| &done.fall)
    }

    /// What the doubtful inputs do to the fall of a rig, if that was worked out.
    #[must_use]
    pub fn doubt_of(&self, rig: &Rig) -> Option<FallDoubt> {
        self.done.iter().find(|done| done.rig == *rig)?.doubt.as_ref()?.1
    }

    /// The chance that `rig` is slower or quicker to the bottom than `own` as their falls tell, once both are known with
    /// their bands; nothing where they are as long.
    #[must_use]
    pub fn order_holds(&self, own: &Rig, rig: &Rig) -> Option<f64> {
        let time_s = |rig| self.of(rig)?.as_ref().ok()?.times_s[4];
        let apart_s = time_s(rig)? - time_s(own)?;
        let chance = || Some(self.doubt_of(own)?.order_holds(&self.doubt_of(rig)?, apart_s));
        (apart_s.abs() >= AS_LONG_S).then(chance)?
    }

    /// Takes a fall in; the oldest goes, but not the one that is shown.
    pub(super) fn add(&mut self, rig: Rig, fall: Result<FallPath, String>) {
        let shown = self.last.as_ref().map(|(_, rig)| rig);
        if self.done.len() >= MAX_KEPT
            && let Some(oldest) = self.done.iter().position(|done| Some(&done.rig) != shown)
        {
            self.done.remove(oldest);
        }
        self.done.push(FallResult { rig, fall, doubt: None });
    }

    /// The search went on, or ended.
    pub(super) fn search_came(&mut self, progress: Result<Progress, String>) {
        let Some(search) = &mut self.search else { return };
        match progress {
            Ok(progress) => {
                search.running = search.running && !progress.done;
                search.progress = Some(progress);
            }
            Err(sentence) => {
                search.running = false;
                search.trouble = Some(sentence);
            }
        }
    }
}
