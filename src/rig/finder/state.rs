//! Where a search stands, and what it asks of one pattern: its fall, its figures and its score.

use super::pattern::{ShotPlaces, Visited};
use super::words::score;
use super::{Figures, Request};
use crate::rig::fall::{FallSettings, Quick, Rig, Shot, Simulator};
use crate::small::sort_by_key;

/// What the search is doing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum SearchStage {
    Own,
    Scan,
    Refine { stride: u16, rounds: u8 },
    Polish { rounds: u8 },
    Verify,
    Done,
}

/// A search that goes on in slices.
pub struct Finder {
    pub(super) request: Request,
    pub(super) simulator: Simulator,
    /// Moved shots one by one, masses from the hook up.
    pub(super) moved_kg: Vec<f64>,
    pub(super) kept: Vec<Shot>,
    /// Least and most place on the grid.
    pub(super) least: u16,
    pub(super) most: u16,
    pub(super) feed_m_per_s: Option<f64>,
    pub(super) own: Option<Figures>,
    pub(super) latest_s: f64,
    /// What has been dropped: by the scan, and more finely by the polish.
    pub(super) tried: [Visited; 2],
    /// Which of the two is being filled.
    pub(super) level: usize,
    pub(super) shown: Visited,
    pub(super) queue: Vec<ShotPlaces>,
    pub(super) next: usize,
    /// For each count of groups, the patterns being improved, best first.
    pub(super) beams: Vec<Vec<ShotPlaces>>,
    pub(super) stage: SearchStage,
    pub(super) evaluated: usize,
    pub(super) rig: Rig,
}

impl Finder {
    /// A pattern that fails, or is not down in time, has infinite times.
    pub(super) fn drop_pattern(
        &mut self,
        pattern: &ShotPlaces,
        settings: &FallSettings,
        linger_s: f64,
    ) -> Quick {
        self.evaluated += 1;
        self.rig.shots = self.shots(pattern);
        // A little over the latest time: it is the score that refuses, not the end of the run.
        self.rig.t_end_s = (self.latest_s * 1.02 + linger_s).max(0.2);
        self.simulator
            .quick(&self.rig, settings, linger_s)
            .unwrap_or(Quick { to_bottom_s: f64::INFINITY, ..Quick::default() })
    }

    pub(super) fn figures(&self, quick: &Quick) -> Figures {
        Figures {
            to_bottom_s: quick.to_bottom_s,
            to_two_thirds_s: quick.upper_s,
            last_third_of_feed: self.feed_m_per_s.map(|feed| quick.last_third_m_per_s / feed),
            last_30_cm_s: quick.last_30_cm_s,
            settle_s: quick.settle_s,
        }
    }

    /// The lower, the better; infinite for what is not down in time.
    pub(super) fn score(&self, quick: &Quick) -> f64 {
        if quick.to_bottom_s > self.latest_s || !quick.settle_s.is_finite() {
            return f64::INFINITY;
        }
        let figures = self.figures(quick);
        score(self.request.aim, &figures, self.own.map_or(1.0, |own| own.to_bottom_s))
    }

    pub(super) fn score_of(&self, pattern: &ShotPlaces) -> f64 {
        self.tried[self.level].get(pattern).map_or(f64::INFINITY, |quick| self.score(quick))
    }

    /// Shots of a pattern with those that stay, from the hook up.
    pub(super) fn shots(&self, pattern: &ShotPlaces) -> Vec<Shot> {
        let mut shots = self.kept.clone();
        let mut masses = self.moved_kg.iter();
        for (&count, &place) in pattern.counts.iter().zip(&pattern.places) {
            let from_hook_m = f64::from(place) / 100.0;
            let mut last: Option<Shot> = None;
            for &mass_kg in masses.by_ref().take(usize::from(count)) {
                match &mut last {
                    Some(shot) if (shot.mass_kg - mass_kg).abs() < 1e-12 => shot.count += 1,
                    _ => shots.extend(last.replace(Shot { from_hook_m, mass_kg, count: 1 })),
                }
            }
            shots.extend(last);
        }
        sort_by_key(&mut shots, |shot| shot.from_hook_m);
        shots
    }

    /// Counts of groups that the shot and the room allow.
    pub(super) fn most_groups(&self) -> usize {
        let room = usize::from(self.most - self.least) + 1;
        usize::from(self.request.most_groups).min(self.moved_kg.len()).min(room)
    }
}
