//! What a search tries next: smaller and smaller moves around the best patterns, then every neighbour of the best.

use super::pattern::ShotPlaces;
use super::state::{Finder, SearchStage};
use crate::small::sort_by;

/// Patterns of each count of groups that are improved side by side.
const BEAM: usize = 3;

impl Finder {
    /// Chooses what to try next once the queue is through.
    pub(super) fn plan(&mut self) {
        self.queue.clear();
        self.next = 0;
        match self.stage {
            SearchStage::Own | SearchStage::Done => {}
            SearchStage::Scan => {
                self.beams = (1..=self.most_groups()).map(|groups| self.leaders(groups)).collect();
                let stride = ((self.most - self.least) / 14).max(1);
                self.stage = SearchStage::Refine { stride, rounds: 0 };
                self.queue_around(stride);
            }
            SearchStage::Refine { stride, rounds } => {
                let better = self.improve(stride);
                self.stage = if better && rounds < 5 {
                    SearchStage::Refine { stride, rounds: rounds + 1 }
                } else if stride > 1 {
                    SearchStage::Refine { stride: stride / 2, rounds: 0 }
                } else {
                    SearchStage::Polish { rounds: 0 }
                };
                if let SearchStage::Refine { stride, .. } = self.stage {
                    self.queue_around(stride);
                } else {
                    self.level = 1;
                    self.queue_close();
                }
            }
            SearchStage::Polish { rounds } => {
                let better = self.take_close();
                if better && rounds < 12 {
                    self.stage = SearchStage::Polish { rounds: rounds + 1 };
                    self.queue_close();
                } else {
                    self.stage = SearchStage::Verify;
                    self.queue = self.beams.iter().filter_map(|beam| beam.first().cloned()).collect();
                }
            }
            SearchStage::Verify => self.stage = SearchStage::Done,
        }
    }

    /// The best patterns of a count of groups that differ from each other.
    fn leaders(&self, groups: usize) -> Vec<ShotPlaces> {
        let apart = (self.most - self.least) / 10;
        let mut all: Vec<(f64, &ShotPlaces)> = self.tried[0]
            .0
            .iter()
            .filter(|(pattern, _)| pattern.counts.len() == groups)
            .map(|(pattern, quick)| (self.score(quick), pattern))
            .filter(|(score, _)| score.is_finite())
            .collect();
        sort_by(&mut all, |a, b| a.0 < b.0 || a.0 <= b.0 && a.1 < b.1);
        let mut leaders: Vec<ShotPlaces> = Vec::new();
        for (_, pattern) in all {
            let like = |other: &ShotPlaces| {
                other.counts == pattern.counts
                    && other.places.iter().zip(&pattern.places).all(|(a, b)| a.abs_diff(*b) <= apart)
            };
            if !leaders.iter().any(like) {
                leaders.push(pattern.clone());
            }
            if leaders.len() == BEAM {
                break;
            }
        }
        leaders
    }

    /// Patterns one stride from `pattern`: a group moved, all moved, or shot handed to the next group.
    fn around(&self, pattern: &ShotPlaces, stride: u16) -> Vec<ShotPlaces> {
        let groups = pattern.places.len();
        let mut found = Vec::new();
        let stride = i32::from(stride);
        for by in [-stride, stride] {
            for group in 0..groups {
                found.extend(self.moved(pattern, by, group..group + 1));
            }
            if groups > 1 {
                found.extend(self.moved(pattern, by, 0..groups));
            }
        }
        let handful = if stride > 4 { (self.moved_kg.len() / 8).max(1) } else { 1 };
        let handful = u16::try_from(handful).unwrap_or(1);
        for group in 1..groups {
            for (from, to) in [(group - 1, group), (group, group - 1)] {
                let mut other = pattern.clone();
                if other.counts[from] > handful {
                    other.counts[from] -= handful;
                    other.counts[to] += handful;
                    found.push(other);
                }
            }
        }
        found
    }

    /// A pattern with some groups moved, if they stay on the line and in order.
    fn moved(&self, pattern: &ShotPlaces, by: i32, groups: core::ops::Range<usize>) -> Option<ShotPlaces> {
        let mut other = pattern.clone();
        for place in other.places.get_mut(groups)? {
            let to = i32::from(*place) + by;
            *place = u16::try_from(to.clamp(i32::from(self.least), i32::from(self.most))).ok()?;
        }
        let rising = other.places.windows(2).all(|pair| pair[0] < pair[1]);
        (rising && other != *pattern).then_some(other)
    }

    fn queue_around(&mut self, stride: u16) {
        let queue = self.beams.iter().flatten().flat_map(|pattern| self.around(pattern, stride)).collect();
        self.queue = queue;
    }

    /// Takes the best neighbour of each pattern in the beams. Returns whether any was better.
    fn improve(&mut self, stride: u16) -> bool {
        let mut better = false;
        let mut beams = core::mem::take(&mut self.beams);
        for beam in &mut beams {
            for pattern in beam.iter_mut() {
                let best = self.best_of(pattern, &self.around(pattern, stride));
                better |= best != *pattern;
                *pattern = best;
            }
            sort_by(beam, |a, b| {
                let (one, other) = (self.score_of(a), self.score_of(b));
                one < other || one <= other && a < b
            });
            beam.dedup();
        }
        self.beams = beams;
        better
    }

    /// Every pattern with its groups within a centimetre of this one's, and those one and three strides around it.
    fn close(&self, pattern: &ShotPlaces) -> Vec<ShotPlaces> {
        let mut found = vec![pattern.clone()];
        for group in 0..pattern.places.len() {
            for at in 0..found.len() {
                for by in [-1, 1] {
                    // Order is asked for once all groups have moved.
                    let mut other = found[at].clone();
                    let to = i32::from(other.places[group]) + by;
                    if let Ok(to) = u16::try_from(to)
                        && (self.least..=self.most).contains(&to)
                    {
                        other.places[group] = to;
                        found.push(other);
                    }
                }
            }
        }
        found.retain(|p| p.places.windows(2).all(|pair| pair[0] < pair[1]));
        found.extend(self.around(pattern, 1));
        found.extend(self.around(pattern, 3));
        found
    }

    /// A pattern with one more group: a shot set a little apart from its group, or half of the group.
    fn split(&self, pattern: &ShotPlaces) -> Vec<ShotPlaces> {
        let mut found = Vec::new();
        for (group, &count) in pattern.counts.iter().enumerate() {
            for apart in [1, 5] {
                for below in [1, count / 2, count.saturating_sub(1)] {
                    if below == 0 || below >= count {
                        continue;
                    }
                    let mut other = pattern.clone();
                    other.counts[group] = count - below;
                    other.counts.insert(group, below);
                    let at = other.places[group];
                    other.places.insert(group, at);
                    let lowered = self.moved(&other, -apart, group..group + 1);
                    found.extend(lowered.or_else(|| self.moved(&other, apart, group + 1..group + 2)));
                }
            }
        }
        found
    }

    /// What the polish tries for a count of groups: all that is close to its best, and the best of fewer, split.
    fn polish(&self, beams: &[Vec<ShotPlaces>], at: usize) -> Vec<ShotPlaces> {
        let first = |at: usize| beams.get(at).and_then(|beam| beam.first());
        let mut found: Vec<ShotPlaces> = first(at).map_or_else(Vec::new, |pattern| self.close(pattern));
        found.extend(at.checked_sub(1).and_then(first).map_or_else(Vec::new, |fewer| self.split(fewer)));
        found
    }

    fn queue_close(&mut self) {
        self.queue = (0..self.beams.len()).flat_map(|at| self.polish(&self.beams, at)).collect();
    }

    fn take_close(&mut self) -> bool {
        let mut better = false;
        let before = self.beams.clone();
        for at in 0..before.len() {
            let found = self.polish(&before, at);
            let Some(first) = found.first() else { continue };
            let best = self.best_of(first, &found);
            if before[at].first() != Some(&best) {
                better = true;
                self.beams[at] = vec![best];
            }
        }
        better
    }

    fn best_of(&self, own: &ShotPlaces, others: &[ShotPlaces]) -> ShotPlaces {
        let mut best = (self.score_of(own), own);
        for other in others {
            let score = self.score_of(other);
            if score < best.0 {
                best = (score, other);
            }
        }
        best.1.clone()
    }
}
