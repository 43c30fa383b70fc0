//! The page's state of what takes a worker: falls that were worked out, a second pattern beside the own one, a search.
//!
//! `web` asks for what is wanted next, runs it away from the page, and hands the answer in.

use super::Page;
use crate::plan::fields::bounds_of;
use crate::plan::{FieldMut, Purpose, ShotCount};
use crate::results::fall::{FallPath, fall_rig};
use crate::results::make_up::glass_load;
use crate::results::rigs::{groups_of, use_groups};
use crate::rig::fall::{Rig, Shot};
use crate::rig::finder::{Aim, Progress, Proposal, Request, droppers};
use crate::rig::glass_test::{BatchMass, BatchWeighing, weigh_batch};
use crate::rig::layout::{Group, Layout};
use crate::rig::moves::Move;
use crate::units::{between, fixed};

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
}

/// The size of a rig card.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CardSize {
    /// Four on an A4.
    A6,
    /// Two on an A4.
    A5,
}

/// The second pattern.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Comparison {
    /// None.
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

/// Many shot of one size on a scale, as far as they are entered.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Weighing {
    /// Place of the size in the shot box.
    pub size: i32,
    /// How many.
    pub count: Option<i32>,
    /// What the scale showed, tenths of a milligram.
    pub shown_tenth_mg: Option<i32>,
    /// Its step, tenths of a milligram.
    pub step_tenth_mg: i32,
}

impl Default for Weighing {
    fn default() -> Self {
        Self { size: 0, count: None, shown_tenth_mg: None, step_tenth_mg: 100 }
    }
}

/// What takes a worker, and choices about it.
#[derive(Clone, Debug)]
pub struct FallsState {
    /// Falls, the oldest first.
    pub told: Vec<FallResult>,
    /// The rig's own fall that was shown last, by the rig's place.
    pub last: Option<(usize, Rig)>,
    /// The second pattern.
    pub beside: Comparison,
    /// What is wanted of the fall.
    pub aim: Aim,
    /// Most groups.
    pub groups: u8,
    /// Whether droppers stay.
    pub keep: bool,
    /// Whether shot may go on the hooklength.
    pub on_hooklength: bool,
    /// The search.
    pub search: Option<Search>,
    /// Whether no motion is wanted.
    pub still: bool,
    /// A ladder's count, first depth and step (tenths of a millimetre).
    pub ladder: [i32; 3],
    /// A weighing of shot.
    pub weigh: Weighing,
    /// The size of the rig cards that are printed.
    pub card: CardSize,
}

impl Default for FallsState {
    fn default() -> Self {
        Self {
            told: Vec::new(),
            last: None,
            beside: Comparison::Nothing,
            aim: Aim::FallWithFeed,
            groups: 2,
            keep: false,
            on_hooklength: false,
            search: None,
            still: false,
            ladder: [3, 3_048, 1_143],
            weigh: Weighing::default(),
            card: CardSize::A6,
        }
    }
}

impl FallsState {
    /// The fall of a rig, if it was worked out.
    #[must_use]
    pub fn of(&self, rig: &Rig) -> Option<&Result<FallPath, String>> {
        self.told.iter().find(|t| t.rig == *rig).map(|t| &t.fall)
    }
}

impl Page {
    /// The layout of the open rig.
    #[must_use]
    pub fn layout(&self) -> Option<&Layout> {
        self.day.rigs.get(self.rig)?.layout.as_ref()
    }

    /// The open rig with its shot at these places, as the fall takes it.
    #[must_use]
    pub fn fall_of(&self, layout: &Layout) -> Option<Rig> {
        Some(fall_rig(&self.plan, self.day.sink.as_ref(), self.plan.rigs.get(self.rig)?, layout))
    }

    /// The open rig as the fall takes it.
    #[must_use]
    pub fn own_rig(&self) -> Option<Rig> {
        self.fall_of(self.layout()?)
    }

    /// The usual moves of the open rig.
    #[must_use]
    pub fn moves(&self) -> Vec<Move> {
        self.layout().map_or_else(Vec::new, Layout::usual_moves)
    }

    /// The proposals of a search about the open rig.
    #[must_use]
    pub fn proposals(&self) -> &[Proposal] {
        let search = self.deep.search.as_ref().filter(|s| s.rig == self.rig);
        search.and_then(|s| s.progress.as_ref()).map_or(&[], |p| &p.proposals)
    }

    /// The second pattern: its words and its rig.
    #[must_use]
    pub fn beside(&self) -> Option<(String, Rig)> {
        match self.deep.beside {
            Comparison::Nothing => None,
            Comparison::Move(k) => {
                let moved = self.moves().into_iter().nth(k)?;
                Some((["Move ", &(k + 1).to_string()].concat(), self.fall_of(&moved.layout)?))
            }
            Comparison::Proposal(k) => {
                let shots = self.proposals().get(k)?.shots.clone();
                Some((["Proposal ", &(k + 1).to_string()].concat(), Rig { shots, ..self.own_rig()? }))
            }
        }
    }

    /// The next rig whose fall is to be shown and is not known: the own one first, then the one beside it, then the
    /// moves. None where the bait floats.
    #[must_use]
    pub fn next_fall(&self) -> Option<Rig> {
        let own = self.own_rig().filter(|_| !self.day.floats())?;
        if self.deep.of(&own).is_none() {
            return Some(own);
        }
        let beside = self.beside().map(|b| b.1);
        let moves = self.moves().into_iter().filter_map(|m| self.fall_of(&m.layout));
        beside.into_iter().chain(moves).find(|rig| self.deep.of(rig).is_none())
    }

    /// A fall came back from the worker.
    pub fn fall_came(&mut self, rig: Rig, fall: Result<FallPath, String>) {
        if self.own_rig().as_ref() == Some(&rig) {
            self.deep.last = Some((self.rig, rig.clone()));
        }
        let last = self.deep.last.as_ref().map(|l| l.1.clone());
        if self.deep.told.len() >= MAX_KEPT
            && let Some(oldest) = self.deep.told.iter().position(|t| Some(&t.rig) != last.as_ref())
        {
            self.deep.told.remove(oldest);
        }
        self.deep.told.push(FallResult { rig, fall });
    }

    /// The own fall that can be shown, and whether it is of the rig as it stands now.
    #[must_use]
    pub fn own_fall(&self) -> Option<(&Result<FallPath, String>, bool)> {
        let own = self.own_rig();
        if let Some(fall) = own.as_ref().and_then(|rig| self.deep.of(rig)) {
            return Some((fall, true));
        }
        let (place, rig) = self.deep.last.as_ref()?;
        let fall = self.deep.of(rig)?;
        (*place == self.rig).then_some((fall, false))
    }

    /// The search went on, or ended.
    pub fn search_came(&mut self, progress: Result<Progress, String>) {
        let Some(search) = &mut self.deep.search else { return };
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

    /// A button of this state: `aim.1`, `groups.+`, `start`, `move.0`, `use.1`, and so on.
    pub(super) fn deep_act(&mut self, about: &str) {
        let (verb, rest) = about.split_once('.').unwrap_or((about, ""));
        let place = rest.parse::<usize>().ok();
        let by = if rest.ends_with('+') { 1 } else { -1 };
        let deep = &mut self.deep;
        match verb {
            "aim" => deep.aim = place.and_then(|k| AIMS.get(k)).map_or(deep.aim, |a| a.0),
            "groups" => {
                deep.groups = if by > 0 { (deep.groups + 1).min(4) } else { (deep.groups - 1).max(1) }
            }
            "keep" => deep.keep = !deep.keep,
            "hooklength" => deep.on_hooklength = !deep.on_hooklength,
            "start" => self.begin_search(),
            "stop" => {
                if let Some(search) = &mut deep.search {
                    search.running = false;
                }
            }
            "alone" => deep.beside = Comparison::Nothing,
            "move" => deep.beside = place.map_or(Comparison::Nothing, Comparison::Move),
            "proposal" => deep.beside = place.map_or(Comparison::Nothing, Comparison::Proposal),
            "usemove" => self.use_move(place),
            "use" => self.use_proposal(place),
            "count" => deep.ladder[0] = (deep.ladder[0] + by).clamp(1, 6),
            "first" => deep.ladder[1] = (deep.ladder[1] + by * 508).clamp(1_524, 30_480),
            "step" => deep.ladder[2] = (deep.ladder[2] + by * 127).clamp(254, 6_096),
            "card" => deep.card = if rest == "a5" { CardSize::A5 } else { CardSize::A6 },
            "ladder" => self.make_ladder(),
            "glass" => self.use_glass(),
            "weigh" if rest == "use" => self.use_weighed(),
            _ => {}
        }
    }

    fn begin_search(&mut self) {
        let Some(rig) = self.own_rig() else {
            self.say("There is no shot to place yet: balance the float first.", false);
            return;
        };
        if self.day.floats() {
            self.say(super::AFLOAT, false);
            return;
        }
        let kept = if self.deep.keep { droppers(&rig) } else { Vec::new() };
        self.deep.search = Some(Search {
            rig: self.rig,
            request: Request {
                rig,
                aim: self.deep.aim,
                most_groups: self.deep.groups,
                kept,
                on_hooklength: self.deep.on_hooklength,
                latest_s: None,
            },
            progress: None,
            running: true,
            trouble: None,
        });
        if matches!(self.deep.beside, Comparison::Proposal(_)) {
            self.deep.beside = Comparison::Nothing;
        }
    }

    fn use_move(&mut self, place: Option<usize>) {
        if let Some(moved) = place.and_then(|k| self.moves().into_iter().nth(k)) {
            self.write_groups(&moved.layout.groups);
        }
    }

    fn use_proposal(&mut self, place: Option<usize>) {
        let shots: Vec<Shot> =
            place.and_then(|k| self.proposals().get(k)).map_or_else(Vec::new, |p| p.shots.clone());
        if let Some(own) = self.layout() {
            let groups = groups_of(&self.plan, own, &shots);
            self.write_groups(&groups);
        }
    }

    /// Writes places into the open rig, unless the plan has no room for them; can be taken back.
    fn write_groups(&mut self, groups: &[Group]) {
        let mut plan = self.plan.clone();
        let Some(rig) = plan.rigs.get_mut(self.rig) else { return };
        match use_groups(rig, groups) {
            Ok(()) => {
                self.remember("The places are written into the rig.");
                self.plan = plan;
                self.deep.beside = Comparison::Nothing;
                self.bad.clear();
                self.refresh();
            }
            Err(sentence) => self.say(&sentence, false),
        }
    }

    /// Adds shallow rigs made like the open one, each deeper by a step, with the bulk two thirds down.
    fn make_ladder(&mut self) {
        let [count, first, step] = self.deep.ladder;
        let Some(model) = self.plan.rigs.get(self.rig).cloned() else { return };
        let room = usize::try_from(count).unwrap_or(0) + self.plan.rigs.len() <= 8;
        if !room {
            self.say("A plan holds 8 rigs: take one out, or make a shorter ladder.", false);
            return;
        }
        self.remember("The ladder is made.");
        for k in 0..count {
            let mut rig = model.clone();
            rig.name = super::next_letter(&self.plan);
            rig.purpose = Purpose::Shallow;
            rig.depth_tenth_mm = first + k * step;
            rig.hooklength_tenth_mm = rig.hooklength_tenth_mm.min(rig.depth_tenth_mm / 4 / 10 * 10).max(200);
            rig.bulk_from_hook_tenth_mm = rig.depth_tenth_mm / 3 / 10 * 10;
            let bulk = rig.bulk_from_hook_tenth_mm;
            rig.droppers.retain(|d| d.from_hook_tenth_mm < bulk);
            rig.set.clear();
            rig.more.glass.clear();
            self.plan.rigs.push(rig);
        }
        self.rig = self.plan.rigs.len() - usize::try_from(count).unwrap_or(1);
        self.refresh();
    }

    /// Puts the glass's load in place of the maker's, which is kept.
    fn use_glass(&mut self) {
        let found = self.plan.rigs.get(self.rig).and_then(|rig| glass_load(&self.plan, rig));
        let Some(Ok(found)) = found else { return };
        let limit = crate::plan::fields::bounds_of("rigs.0.load").map_or(60_000, |l| l.most);
        let Ok(load) = i32::try_from(found.load_tenth_mg.0) else { return };
        if !(300..=limit).contains(&load) {
            self.say(
                "The glass gives a load that no float here carries: check the shot and the tip left.",
                false,
            );
            return;
        }
        self.remember("The load from the glass is in.");
        // Every rig with this float carries the same load.
        let Some(model) = self.plan.rigs.get(self.rig).cloned() else { return };
        for rig in &mut self.plan.rigs {
            if rig.float_name == model.float_name && rig.load_tenth_mg == model.load_tenth_mg {
                rig.more.maker_tenth_mg = rig.more.maker_tenth_mg.or(Some(rig.load_tenth_mg));
                rig.load_tenth_mg = load;
                rig.load_measured = true;
            }
        }
        self.bad.clear();
        self.refresh();
    }

    /// The field of the weighing at `weigh.NAME`.
    pub(super) fn weigh_slot(&mut self, path: &str) -> Option<FieldMut<'_>> {
        let weigh = &mut self.deep.weigh;
        Some(match path {
            "weigh.size" => FieldMut::Place(&mut weigh.size, self.plan.shot_box.len()),
            "weigh.count" => FieldMut::Maybe(&mut weigh.count),
            "weigh.shown" => FieldMut::Maybe(&mut weigh.shown_tenth_mg),
            "weigh.step" => FieldMut::Number(&mut weigh.step_tenth_mg),
            _ => return None,
        })
    }

    /// Writes the mass that was weighed into the shot box.
    fn use_weighed(&mut self) {
        let (Some(Ok(weighed)), Ok(place)) = (self.weighed(), usize::try_from(self.deep.weigh.size)) else {
            return;
        };
        self.remember("The weighed mass is in the shot box.");
        if let (Some(shot), Ok(mass)) =
            (self.plan.shot_box.get_mut(place), i32::try_from(weighed.mass_tenth_mg.0))
        {
            shot.mass_tenth_mg = mass;
        }
        self.bad.remove(&["shot_box.", &place.to_string(), ".mass"].concat());
        // The next size has a count and a total of its own.
        self.deep.weigh = Weighing { count: None, shown_tenth_mg: None, ..self.deep.weigh };
        self.refresh();
    }

    /// The mass of one shot by the weighing; nothing until both a number of shot and a total are entered.
    ///
    /// # Errors
    /// A sentence that says what does not fit.
    #[must_use]
    pub fn weighed(&self) -> Option<Result<BatchMass, String>> {
        let Weighing { size, count, shown_tenth_mg, step_tenth_mg } = self.deep.weigh;
        let (count, shown) = (count?, shown_tenth_mg?);
        let limit = bounds_of(&["shot_box.", &size.to_string(), ".mass"].concat())?;
        if self.bad.keys().any(|path| path.starts_with("weigh.")) {
            return Some(Err(
                "One of the numbers cannot be used: mend it under “Weigh shot” first.".to_owned()
            ));
        }
        let g = |tenth_mg: i32| f64::from(tenth_mg) * 1e-4;
        if !(limit.least.saturating_mul(count)..=limit.most.saturating_mul(count)).contains(&shown) {
            let [each, least, most] =
                [g(shown) / f64::from(count), g(limit.least), g(limit.most)].map(|g| fixed(g, 4));
            let parts = ["That makes ", &each, " g each; a shot weighs from ", &least, " to ", &most, " g."];
            return Some(Err(parts.concat() + " Check the number and the total."));
        }
        let batch = BatchWeighing {
            count: u32::try_from(count).ok()?,
            reading_g: g(shown),
            resolution_g: g(step_tenth_mg),
        };
        Some(weigh_batch(&batch).map_err(|e| e.to_string()))
    }

    /// Adds a size to what hung in the glass of the rig at `path`, `rigs.N.more.glass`.
    pub(super) fn add_hung(&mut self, rig: usize) {
        if let Some(rig) = self.plan.rigs.get_mut(rig) {
            rig.more.glass.push(ShotCount { shot: rig.more.glass.last().map_or(0, |s| s.shot), count: 1 });
        }
    }

    /// How long the falls shown can be watched, s.
    #[must_use]
    pub fn watch_s(&self) -> f64 {
        let own = self.own_fall().and_then(|(fall, _)| fall.as_ref().ok()).map_or(0.0, FallPath::end_s);
        let beside =
            self.beside().and_then(|(_, rig)| self.deep.of(&rig)?.as_ref().ok().map(FallPath::end_s));
        between(own.max(beside.unwrap_or(0.0)), 0.0, 600.0)
    }
}

#[cfg(test)]
mod tests;
