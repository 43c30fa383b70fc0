//! What the events of the rigs screen make of the page: falls, a second pattern, the search, the glass test
//! and the weighing of shot.

use super::action::FinderAction;
use super::effect::{Effect, Part};
use super::falls::{AIMS, Compare, Search};
use super::rig_tools::Weighing;
use super::{Page, Screen};
use crate::plan::fields::bounds_of;
use crate::plan::{FieldMut, ShotCount};
use crate::results::fall::{FallDoubt, FallPath, doubted, fall_rig};
use crate::results::make_up::glass_load;
use crate::results::rigs::{groups_of, use_groups};
use crate::rig::fall::{Rig, Shot};
use crate::rig::finder::{Progress, Proposal, Request, droppers};
use crate::rig::glass_test::{BatchMass, BatchWeighing, weigh_batch};
use crate::rig::layout::{Group, Layout};
use crate::rig::moves::Move;
use crate::units::{between, fixed};

impl Page {
    /// The layout of the open rig.
    #[must_use]
    pub fn layout(&self) -> Option<&Layout> {
        self.results.rigs.get(self.rig)?.layout.as_ref()
    }

    /// The open rig with its shot at these places, as the fall takes it.
    #[must_use]
    pub fn fall_of(&self, layout: &Layout) -> Option<Rig> {
        Some(fall_rig(&self.plan, self.results.sink.as_ref(), self.plan.rigs.get(self.rig)?, layout))
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
        let search = self.falls.search.as_ref().filter(|s| s.rig == self.rig);
        search.and_then(|s| s.progress.as_ref()).map_or(&[], |p| &p.proposals)
    }

    /// The second pattern: its words and its rig.
    #[must_use]
    pub fn compared(&self) -> Option<(String, Rig)> {
        match self.falls.compare {
            Compare::Nothing => None,
            Compare::Move(k) => {
                let moved = self.moves().into_iter().nth(k)?;
                Some((["Move ", &(k + 1).to_string()].concat(), self.fall_of(&moved.layout)?))
            }
            Compare::Proposal(k) => {
                let shots = self.proposals().get(k)?.shots.clone();
                Some((["Proposal ", &(k + 1).to_string()].concat(), Rig { shots, ..self.own_rig()? }))
            }
        }
    }

    /// The next rig whose fall is to be shown and is not known: the own one first, then the one beside it, then the
    /// moves. None where the bait floats.
    #[must_use]
    pub fn next_fall(&self) -> Option<Rig> {
        let own = self.own_rig().filter(|_| !self.results.floats())?;
        if self.falls.of(&own).is_none() {
            return Some(own);
        }
        let beside = self.compared().map(|b| b.1);
        let moves = self.moves().into_iter().filter_map(|m| self.fall_of(&m.layout));
        beside.into_iter().chain(moves).find(|rig| self.falls.of(rig).is_none())
    }

    /// A fall came back from the worker.
    pub fn fall_came(&mut self, rig: Rig, fall: Result<FallPath, String>) {
        let mut fall = fall;
        if let (Ok(path), Some(sink), true) =
            (&mut fall, &self.results.sink, self.plan.bait.hook_edge_tenth_mm.is_some())
        {
            // It is shown beside the feed, which may be of another size.
            path.cube_m_per_s = Some(sink.speed_m_per_s.mid).filter(|speed| *speed > 0.0);
        }
        if self.own_rig().as_ref() == Some(&rig) {
            self.falls.last = Some((self.rig, rig.clone()));
        }
        self.falls.add(rig, fall);
    }

    /// The own fall that can be shown, and whether it is of the rig as it stands now.
    #[must_use]
    pub fn own_fall(&self) -> Option<(&Result<FallPath, String>, bool)> {
        let own = self.own_rig();
        if let Some(fall) = own.as_ref().and_then(|rig| self.falls.of(rig)) {
            return Some((fall, true));
        }
        let (place, rig) = self.falls.last.as_ref()?;
        let fall = self.falls.of(rig)?;
        (*place == self.rig).then_some((fall, false))
    }

    /// A button of the finder.
    pub(super) fn finder_act(&mut self, act: FinderAction) {
        let falls = &mut self.falls;
        match act {
            FinderAction::Aim(place) => falls.aim = AIMS.get(place).map_or(falls.aim, |a| a.0),
            FinderAction::Groups(by) => falls.groups = falls.groups.saturating_add_signed(by).clamp(1, 4),
            FinderAction::KeepDroppers => falls.keep_droppers = !falls.keep_droppers,
            FinderAction::OnHooklength => falls.on_hooklength = !falls.on_hooklength,
            FinderAction::Start => self.begin_search(),
            FinderAction::Stop => {
                if let Some(search) = &mut falls.search {
                    search.running = false;
                }
            }
        }
    }

    fn begin_search(&mut self) {
        let Some(rig) = self.own_rig() else {
            self.say("There is no shot to place yet: balance the float first.", false);
            return;
        };
        if self.results.floats() {
            self.say(super::AFLOAT, false);
            return;
        }
        let kept = if self.falls.keep_droppers { droppers(&rig) } else { Vec::new() };
        self.falls.search = Some(Search {
            rig: self.rig,
            request: Request {
                rig,
                aim: self.falls.aim,
                most_groups: self.falls.groups,
                kept,
                on_hooklength: self.falls.on_hooklength,
                latest_s: None,
                feed_m_per_s: self.results.sink.as_ref().map(|feed| feed.speed_m_per_s.mid),
            },
            progress: None,
            running: true,
            trouble: None,
        });
        if matches!(self.falls.compare, Compare::Proposal(_)) {
            self.falls.compare = Compare::Nothing;
        }
    }

    pub(super) fn use_move(&mut self, place: usize) {
        if let Some(moved) = self.moves().into_iter().nth(place) {
            self.write_groups(&moved.layout.groups);
        }
    }

    pub(super) fn use_proposal(&mut self, place: usize) {
        let shots: Vec<Shot> = self.proposals().get(place).map_or_else(Vec::new, |p| p.shots.clone());
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
                self.falls.compare = Compare::Nothing;
                self.rejected.clear();
                self.refresh();
            }
            Err(sentence) => self.say(&sentence, false),
        }
    }

    /// Puts the glass's load in place of the maker's, which is kept.
    pub(super) fn use_glass(&mut self) {
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
        self.rejected.clear();
        self.refresh();
    }

    /// The field of the weighing at `weigh.NAME`.
    pub(super) fn weigh_slot(&mut self, path: &str) -> Option<FieldMut<'_>> {
        let weigh = &mut self.tools.weighing;
        Some(match path {
            "weigh.size" => FieldMut::Place(&mut weigh.size, self.plan.shot_box.len()),
            "weigh.count" => FieldMut::Maybe(&mut weigh.count),
            "weigh.shown" => FieldMut::Maybe(&mut weigh.shown_tenth_mg),
            "weigh.step" => FieldMut::Number(&mut weigh.step_tenth_mg),
            _ => return None,
        })
    }

    /// Writes the mass that was weighed into the shot box.
    pub(super) fn use_weighed(&mut self) {
        let (Some(Ok(weighed)), Ok(place)) = (self.weighed(), usize::try_from(self.tools.weighing.size))
        else {
            return;
        };
        self.remember("The weighed mass is in the shot box.");
        if let (Some(shot), Ok(mass)) =
            (self.plan.shot_box.get_mut(place), i32::try_from(weighed.mass_tenth_mg.0))
        {
            shot.mass_tenth_mg = mass;
            shot.weighed = true;
        }
        self.rejected.remove(&["shot_box.", &place.to_string(), ".mass"].concat());
        // The next size has a count and a total of its own.
        self.tools.weighing = Weighing { count: None, shown_tenth_mg: None, ..self.tools.weighing };
        self.refresh();
    }

    /// The mass of one shot by the weighing; nothing until both a number of shot and a total are entered.
    ///
    /// # Errors
    /// A sentence that says what does not fit.
    #[must_use]
    pub fn weighed(&self) -> Option<Result<BatchMass, String>> {
        let Weighing { size, count, shown_tenth_mg, step_tenth_mg } = self.tools.weighing;
        let (count, shown) = (count?, shown_tenth_mg?);
        let limit = bounds_of(&["shot_box.", &size.to_string(), ".mass"].concat())?;
        if self.rejected.keys().any(|path| path.starts_with("weigh.")) {
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
            self.compared().and_then(|(_, rig)| self.falls.of(&rig)?.as_ref().ok().map(FallPath::end_s));
        between(own.max(beside.unwrap_or(0.0)), 0.0, 600.0)
    }

    /// After any change: starts or stops the search, and asks for a fall soon.
    pub(super) fn fall_soon(&mut self, out: &mut Vec<Effect>) {
        let wanted = self.falls.search.as_ref().filter(|search| search.running);
        match (wanted, self.falls.searching) {
            (Some(search), false) => out.push(Effect::Search(Box::new(search.request.clone()))),
            (None, true) => out.push(Effect::StopSearch),
            _ => {}
        }
        self.falls.searching = wanted.is_some();
        if self.screen == Screen::Rigs {
            out.push(Effect::Draw(Part::Moment));
            out.push(Effect::FallSoon);
        } else {
            self.player.pause();
        }
    }

    /// Sends the next fall that is wanted to the worker; when all are known, the next doubts about one.
    pub(super) fn ask_fall(&mut self, out: &mut Vec<Effect>) {
        if self.falls.asked.is_some() || self.falls.asked_doubt.is_some() || self.screen != Screen::Rigs {
            return;
        }
        if let Some(rig) = self.next_fall() {
            self.falls.asked = Some(rig.clone());
            out.push(Effect::Fall(Box::new(rig)));
        } else if let Some((rig, rigs)) = self.next_doubt() {
            out.push(Effect::Doubt(rigs.clone()));
            self.falls.asked_doubt = Some((rig, rigs));
        }
    }

    /// The next rig that is shown, fell, and whose doubts are not known, with the rigs that hold them.
    fn next_doubt(&self) -> Option<(Rig, Vec<Rig>)> {
        let own = self.own_rig().filter(|_| !self.results.floats())?;
        let beside = self.compared().map(|b| b.1);
        let moves = self.moves().into_iter().filter_map(|m| self.fall_of(&m.layout));
        core::iter::once(own).chain(beside).chain(moves).find_map(|rig| {
            let fell = self.falls.done.iter().find(|done| done.rig == rig && done.fall.is_ok())?;
            let rigs = doubted(&self.plan, self.results.sink.as_ref(), &rig);
            let known = fell.doubt.as_ref().is_some_and(|(of, _)| *of == rigs);
            (!known).then_some((rig, rigs))
        })
    }

    /// The worker's answer to doubts; nothing where it could not work.
    pub(super) fn doubt_came(&mut self, row: Option<&[f32]>, out: &mut Vec<Effect>) {
        let Some((rig, rigs)) = self.falls.asked_doubt.take() else { return };
        if let Some(fell) = self.falls.done.iter_mut().find(|done| done.rig == rig) {
            fell.doubt = Some((rigs, row.and_then(FallDoubt::from_row)));
        }
        let own = self.own_rig().as_ref() == Some(&rig);
        out.push(Effect::Draw(if own { Part::FallBand } else { Part::MoveEffects }));
        if matches!(self.falls.compare, Compare::Proposal(_)) {
            out.push(Effect::Draw(Part::Found));
        }
        self.ask_fall(out);
    }

    pub(super) fn fell(&mut self, fall: Result<FallPath, String>, out: &mut Vec<Effect>) {
        if let Some(rig) = self.falls.asked.take() {
            let drawn = self.own_rig().as_ref() == Some(&rig)
                || self.compared().is_some_and(|(_, other)| other == rig);
            self.fall_came(rig, fall);
            out.push(Effect::Draw(if drawn { Part::Fall } else { Part::MoveEffects }));
            out.push(Effect::Draw(Part::Moment));
        }
        self.ask_fall(out);
    }

    pub(super) fn searched(
        &mut self,
        progress: Result<Progress, String>,
        ended: bool,
        out: &mut Vec<Effect>,
    ) {
        // What was on its way when the search was stopped no longer counts.
        if !self.falls.searching {
            return;
        }
        self.falls.searching = !ended;
        self.falls.search_came(progress);
        // While it goes on, the button that stops it must stay under the finger.
        let runs = self.falls.search.as_ref().is_some_and(|search| search.running);
        out.push(Effect::Draw(if runs { Part::Found } else { Part::Finder }));
        if ended {
            self.ask_fall(out);
        }
    }

    /// A frame of the player. Out of view it stops.
    pub(super) fn frame(&mut self, at_ms: f64, in_view: bool, out: &mut Vec<Effect>) {
        if !self.player.playing {
            return;
        }
        self.player.frame(at_ms, self.watch_s());
        if !in_view || self.screen != Screen::Rigs {
            self.player.pause();
        }
        out.push(Effect::Draw(Part::Moment));
        out.extend(self.player.playing.then_some(Effect::AskFrame));
    }
}

#[cfg(test)]
mod tests;
