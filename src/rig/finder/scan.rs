//! The coarse patterns that a search begins with.

use super::pattern::{GRID_M, ShotPlaces, choose, spread};
use super::state::{Finder, SearchStage};
use crate::small::sort_by_key;

impl Finder {
    /// Queues the coarse patterns of every count of groups.
    pub(super) fn scan(&mut self) {
        self.stage = SearchStage::Scan;
        self.queue.extend(self.own_pattern());
        let total = u16::try_from(self.moved_kg.len()).unwrap_or(u16::MAX);
        let mut cuts = vec![1, 2, 3, total / 3, 2 * total / 3, total - 1];
        cuts.retain(|&at| at > 0 && at < total);
        sort_by_key(&mut cuts, |at| *at);
        cuts.dedup();
        if cuts.len() > 5 {
            cuts.remove(2);
        }
        for groups in 1..=self.most_groups() {
            // Places enough to see each valley, few enough to come round in a second on a phone.
            let places = match groups {
                1 => 13,
                2 => 9,
                3 => 7,
                _ => 6,
            };
            let places = spread(self.least, self.most, places);
            for cut in choose(&cuts, groups - 1) {
                let mut counts = Vec::with_capacity(groups);
                let mut before = 0;
                for at in cut.into_iter().chain([total]) {
                    counts.push(at - before);
                    before = at;
                }
                for places in choose(&places, groups) {
                    self.queue.push(ShotPlaces { counts: counts.clone(), places });
                }
            }
        }
    }

    /// The user's own pattern, if it is one that the search may find (its places rounded to the grid).
    pub(super) fn own_pattern(&self) -> Option<ShotPlaces> {
        let mut own: Vec<(u16, f64, u32)> = Vec::new();
        for (i, shot) in self.request.rig.shots.iter().enumerate() {
            if !self.request.kept.contains(&i) && shot.count > 0 && shot.mass_kg > 0.0 {
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "0 to 2000 centimetres"
                )]
                let place = (shot.from_hook_m / GRID_M).round().max(0.0) as u16;
                own.push((place.clamp(self.least, self.most), shot.mass_kg, shot.count));
            }
        }
        sort_by_key(&mut own, |part| (part.0, part.1));
        let in_order = own.windows(2).all(|pair| pair[0].1 <= pair[1].1);
        let mut pattern = ShotPlaces { counts: Vec::new(), places: Vec::new() };
        for (place, _, count) in own {
            let count = u16::try_from(count).ok()?;
            match (pattern.places.last(), pattern.counts.last_mut()) {
                (Some(&last), Some(here)) if last == place => *here += count,
                _ => {
                    pattern.places.push(place);
                    pattern.counts.push(count);
                }
            }
        }
        (in_order && pattern.places.len() <= self.most_groups()).then_some(pattern)
    }
}
