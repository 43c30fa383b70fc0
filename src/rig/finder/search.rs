//! The search itself: phases that queue patterns, and slices that drop them.

use super::pattern::{CLEAR_M, GRID_M, Visited};
use super::state::{Finder, SearchStage};
use super::words::words;
use super::{Aim, LONGEST_S, MAX_GROUPS, Progress, Proposal, Request};
use crate::refusal::{Refusal, short};
use crate::rig::fall::{FallSettings, MAX_MOVES, Simulator, free_speeds};
use crate::small::sort_by_key;

/// After the bottom, a fall for showing is followed this long to see that it has settled, s.
const LINGER_S: f64 = 3.0;
/// Two patterns are as good as each other within this share of the score, and the one with fewer groups is preferred.
const AS_GOOD: f64 = 0.02;
/// A pattern of more groups is not shown at all unless it is better by this share.
const WORTH: f64 = 0.005;

impl Finder {
    /// Checks the request and gets ready; nothing is dropped yet.
    ///
    /// # Errors
    /// When the rig is impossible or leaves nothing to search.
    pub fn new(request: Request) -> Result<Self, Refusal> {
        let rig = &request.rig;
        let free = free_speeds(rig).map_err(|refused| refused.below("rig"))?;
        if request.most_groups == 0 || request.most_groups > MAX_GROUPS {
            let came = request.most_groups;
            let sentence = format!("Groups must be from 1 to {MAX_GROUPS}; {came} came.");
            return Err(Refusal::new("groups", "most_groups", sentence));
        }
        if let Some(&index) = request.kept.iter().find(|&&k| k >= rig.shots.len()) {
            let (number, places) = (index.saturating_add(1), rig.shots.len());
            let sentence = format!("Shot {number} is to stay, but the rig has {places} places with shot.");
            return Err(Refusal::new("kept", "kept", sentence));
        }
        if rig.lowered_m_per_s.is_some() {
            let sentence =
                "A lowered rig comes down at the hand's speed wherever the shot is: lay it to search.";
            return Err(Refusal::new("lowered", "rig.lowered_m_per_s", sentence));
        }
        if let Some(came) = request.feed_m_per_s
            && !(1e-3..=2.0).contains(&came)
        {
            let sentence = format!("The feed must fall at 0.001 to 2 m/s; {} m/s came.", short(came));
            return Err(Refusal::new("feed", "feed_m_per_s", sentence));
        }
        let feed_m_per_s = request.feed_m_per_s.or(free.cube_m_per_s);
        if request.aim == Aim::FallWithFeed && feed_m_per_s.is_none() {
            let sentence = "To fall with the feed there must be a cube on the hook: give its side.";
            return Err(Refusal::new("no_bait", "rig.bait.side_m", sentence));
        }
        if let Some(came_s) = request.latest_s
            && !(0.1..=LONGEST_S).contains(&came_s)
        {
            let (most, came) = (short(LONGEST_S), short(came_s));
            let sentence = format!("The latest time down must be from 0.1 to {most} s; {came} s came.");
            return Err(Refusal::new("latest", "latest_s", sentence));
        }
        let (mut moved_kg, mut kept) = (Vec::new(), Vec::new());
        for (i, shot) in rig.shots.iter().enumerate() {
            if request.kept.contains(&i) {
                kept.push(*shot);
            } else if shot.mass_kg > 0.0 {
                moved_kg.extend((0..shot.count).map(|_| shot.mass_kg));
            }
        }
        if moved_kg.is_empty() {
            let sentence = "No shot may be moved: add shot to the rig, or let a dropper move.";
            return Err(Refusal::new("no_shot", "rig.shots", sentence));
        }
        sort_by_key(&mut moved_kg, |kg| *kg);
        let knot = if request.on_hooklength { CLEAR_M } else { rig.hooklength.length_m };
        let above_kept = kept.iter().map(|shot| shot.from_hook_m + GRID_M).fold(knot, f64::max);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 2000 centimetres")]
        let (least, most) = (
            (above_kept / GRID_M - 1e-6).ceil() as u16,
            ((rig.length_m() - CLEAR_M) / GRID_M + 1e-6).floor() as u16,
        );
        if least > most {
            let sentence =
                "There is no room for the shot: it would lie between the float and what has to stay.";
            return Err(Refusal::new("no_room", "rig.shots", sentence));
        }
        let rig = rig.clone();
        Ok(Self {
            request,
            simulator: Simulator::new(),
            moved_kg,
            kept,
            least,
            most,
            feed_m_per_s,
            own: None,
            latest_s: LONGEST_S,
            tried: [Visited::default(), Visited::default()],
            level: 0,
            shown: Visited::default(),
            queue: Vec::new(),
            next: 0,
            beams: Vec::new(),
            stage: SearchStage::Own,
            evaluated: 0,
            rig,
        })
    }

    /// Drops about `budget` patterns, fewer where they take long, and says how far the search has come.
    ///
    /// # Errors
    /// When the user's own pattern cannot be followed or does not come down.
    pub fn step(&mut self, budget: usize) -> Result<Progress, Refusal> {
        let end = self.evaluated.saturating_add(budget.max(1));
        let moves_end = self.simulator.moves() + MAX_MOVES / 4;
        while self.evaluated < end && self.simulator.moves() < moves_end && self.stage != SearchStage::Done {
            if self.stage == SearchStage::Own {
                self.drop_own()?;
                self.scan();
                continue;
            }
            let Some(pattern) = self.queue.get(self.next).cloned() else {
                self.plan();
                continue;
            };
            self.next += 1;
            if self.stage == SearchStage::Verify {
                let quick = self.drop_pattern(&pattern, &FallSettings::default(), LINGER_S);
                self.shown.insert(pattern, quick);
            } else if self.tried[self.level].get(&pattern).is_none() {
                let settings =
                    if self.level == 0 { FallSettings::scanning() } else { FallSettings::searching() };
                let quick = self.drop_pattern(&pattern, &settings, 0.0);
                self.tried[self.level].insert(pattern, quick);
            }
        }
        Ok(self.progress())
    }

    /// The user's own pattern, with the settings for showing.
    fn drop_own(&mut self) -> Result<(), Refusal> {
        self.rig.t_end_s = LONGEST_S;
        self.rig.shots.clone_from(&self.request.rig.shots);
        self.evaluated += 1;
        let quick = self
            .simulator
            .quick(&self.rig, &FallSettings::default(), LINGER_S)
            .map_err(|refused| refused.below("rig"))?;
        if !quick.to_bottom_s.is_finite() {
            let sentence =
                format!("This rig does not come down within {} minutes: add shot.", short(LONGEST_S / 60.0));
            return Err(Refusal::new("never_down", "rig", sentence));
        }
        self.own = Some(self.figures(&quick));
        self.latest_s = self.request.latest_s.unwrap_or((1.5 * quick.to_bottom_s).min(LONGEST_S));
        Ok(())
    }

    /// How far the search has come, with the best of every count of groups so far.
    #[must_use]
    pub fn progress(&self) -> Progress {
        let done = self.stage == SearchStage::Done;
        let mut proposals: Vec<(f64, Proposal)> = Vec::new();
        if let Some(own) = self.own {
            for groups in 1..=self.most_groups() {
                // The finest level that has seen this count of groups speaks.
                let best = self.tried.iter().rev().find_map(|tried| {
                    let seen = tried.0.iter().filter(|(pattern, _)| pattern.counts.len() == groups);
                    let scored = seen.map(|(pattern, quick)| (self.score(quick), pattern, quick));
                    scored.min_by(|a, b| a.0.total_cmp(&b.0))
                });
                let Some((score, pattern, quick)) = best else {
                    continue;
                };
                if score.is_finite() {
                    let shown = self.shown.get(pattern);
                    let quick = shown.unwrap_or(quick);
                    let figures = self.figures(quick);
                    let proposal = Proposal {
                        shots: self.shots(pattern),
                        groups: u8::try_from(groups).unwrap_or(MAX_GROUPS),
                        figures,
                        exact: shown.is_some(),
                        best: false,
                        words: words(&figures, &own),
                    };
                    proposals.push((self.score(quick).min(1e9), proposal));
                }
            }
        }
        let best = proposals.iter().map(|p| p.0).fold(f64::INFINITY, f64::min);
        // A score is in seconds, or a share of one: as good is a share of it either way.
        let scale = if self.request.aim == Aim::FallWithFeed { 1.0 } else { best.abs() };
        // More groups must be worth their trouble.
        let mut least = f64::INFINITY;
        proposals.retain(|p| {
            let worth = p.0 < least - WORTH * scale;
            least = least.min(p.0);
            worth
        });
        let as_good = best + AS_GOOD * scale;
        if let Some((_, first)) = proposals.iter_mut().find(|p| p.0 <= as_good) {
            first.best = true;
        }
        Progress {
            evaluated: self.evaluated,
            expected: if done { self.evaluated } else { self.expected() },
            done,
            own: self.own,
            proposals: proposals.into_iter().map(|p| p.1).collect(),
        }
    }

    /// About how many patterns the whole search drops: from searches of deck and shallow rigs.
    fn expected(&self) -> usize {
        let groups = self.most_groups();
        let usual = [45, 330, 900, 1400].get(groups - 1).copied().unwrap_or(1400);
        usual.max(self.evaluated + self.queue.len().saturating_sub(self.next))
    }
}
