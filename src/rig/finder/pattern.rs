//! Patterns of shot on a grid of places, and what has been dropped of them.

use crate::rig::fall::Quick;

/// Grid of places, m from the hook.
pub(super) const GRID_M: f64 = 0.01;
/// Nothing nearer than this to the float or the hook, m.
pub(super) const CLEAR_M: f64 = 0.02;

/// Shots in each group and each group's place on the grid, from the hook up.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct ShotPlaces {
    pub(super) counts: Vec<u16>,
    pub(super) places: Vec<u16>,
}

/// What has been dropped, in the order of the patterns.
#[derive(Default)]
pub(super) struct Visited(pub(super) Vec<(ShotPlaces, Quick)>);

impl Visited {
    /// Where a pattern is, or where it belongs.
    pub(super) fn place(&self, pattern: &ShotPlaces) -> Result<usize, usize> {
        self.0.binary_search_by(|(other, _)| other.cmp(pattern))
    }

    pub(super) fn get(&self, pattern: &ShotPlaces) -> Option<&Quick> {
        self.0.get(self.place(pattern).ok()?).map(|(_, quick)| quick)
    }

    pub(super) fn insert(&mut self, pattern: ShotPlaces, quick: Quick) {
        match self.place(&pattern) {
            Ok(at) => self.0[at].1 = quick,
            Err(at) => self.0.insert(at, (pattern, quick)),
        }
    }
}

/// At most `count` whole numbers from `least` to `most`, each once, closer together near the hook, where a small move
/// does more.
pub(super) fn spread(least: u16, most: u16, count: usize) -> Vec<u16> {
    let last = count.max(2) - 1;
    let at = |i: usize| {
        let share = i as f64 / last as f64;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to most - least")]
        let above = (f64::from(most - least) * share * share.sqrt()).round() as u16;
        least + above
    };
    let mut all: Vec<u16> = (0..=last).map(at).collect();
    all.dedup();
    all
}

/// All ways to choose `count` of `from`, in order.
pub(super) fn choose(from: &[u16], count: usize) -> Vec<Vec<u16>> {
    if count == 0 {
        return vec![Vec::new()];
    }
    let mut all = Vec::new();
    for (i, &first) in from.iter().enumerate() {
        for mut rest in choose(from.get(i + 1..).unwrap_or(&[]), count - 1) {
            rest.insert(0, first);
            all.push(rest);
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spread_and_choose() {
        assert_eq!(spread(10, 20, 3), [10, 14, 20]);
        assert_eq!(spread(1, 2, 5), [1, 2]);
        assert_eq!(spread(7, 7, 4), [7]);
        assert_eq!(choose(&[1, 2, 3], 2), [[1, 2], [1, 3], [2, 3]]);
        assert_eq!(choose(&[1, 2, 3], 0), [[0_u16; 0]]);
        assert_eq!(choose(&[1], 2), [[0_u16; 0]; 0]);
    }
}
