//! How a tub test narrowed, drop by drop.

use super::bait::tub_request;
use crate::bait::tub_test::{TubSettings, TubTest, tub_test};
use crate::estimate::{Estimate, Z90};
use crate::plan::Plan;

/// Up to so many drops each has a band of its own, then every fifth.
const EACH: usize = 10;
const LATER: usize = 5;

/// The time of a typical piece through the tub, before the first drop and after so many. It remembers what it was asked, since
/// a test of ten drops takes eleven times what its last one takes.
#[derive(Clone, Debug, Default)]
pub struct TubCourse {
    asked: Option<TubTest>,
    bands: Vec<(usize, Option<Estimate>)>,
}

impl TubCourse {
    /// Follows the plan's tub test; what went before a new drop stays.
    pub fn follow(&mut self, plan: &Plan) {
        let test = tub_request(plan, Vec::new());
        let common =
            self.asked.take().filter(|asked| TubTest { drops: test.drops.clone(), ..asked.clone() } == test);
        let pairs = common.iter().flat_map(|asked| asked.drops.iter().zip(&test.drops));
        let same = pairs.take_while(|(was, is)| was == is).count();
        self.bands.retain(|(count, _)| common.is_some() && *count <= same);
        let known = self.bands.last().map_or(0, |(count, _)| count + 1);
        for count in known..=test.drops.len() {
            if count <= EACH || count.is_multiple_of(LATER) {
                let drops = test.drops.get(..count).unwrap_or_default().to_vec();
                let found = tub_test(&TubTest { drops, ..test.clone() });
                self.bands.push((count, found.ok().and_then(|found| found.tub_time_s)));
            }
        }
        self.asked = Some(test);
    }

    /// The bands, s, each with the number of drops that it is of; none where a typical piece may as well float.
    pub fn bands(&self) -> impl Iterator<Item = (usize, Estimate)> {
        self.bands.iter().filter_map(|(count, band)| Some((*count, (*band)?)))
    }
}

/// The band that so many drops would bring, as far as those until now foretell it: the variance that pieces and single taps leave
/// open falls with their number; what the tub's depth and a thumb that is always late leave open stays.
#[must_use]
pub fn forecast(band: &Estimate, drops: usize, then: usize, depth_share: f64) -> Estimate {
    let sd = 0.5 * (band.high / band.low).ln() / Z90;
    let late = (TubSettings::default().late_sd_s / band.mid / sd).powi(2);
    let stays = (depth_share + late).min(1.0);
    let left = stays + (1.0 - stays) * drops as f64 / then.max(1) as f64;
    let narrowed = |end: f64| band.mid * (end / band.mid).powf(left.sqrt());
    Estimate { low: narrowed(band.low), mid: band.mid, high: narrowed(band.high) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::presets::first;

    /// Each band is what a test of so many drops alone would say; a drop taken out and another put in follow.
    #[test]
    fn each_band_is_that_of_its_drops() {
        let mut plan = first();
        let mut course = TubCourse::default();
        let alone = |plan: &Plan, count: usize| {
            let mut test = tub_request(plan, Vec::new());
            test.drops.truncate(count);
            tub_test(&test).unwrap().tub_time_s.unwrap()
        };
        let drops = [3_900, 4_300, 4_100, 4_600, 4_050, 4_200, 4_350, 4_000, 4_250, 4_150, 4_220, 4_180];
        for (more, ms) in drops.into_iter().enumerate() {
            course.follow(&plan);
            assert_eq!(course.bands().count(), (more + 1).min(11));
            plan.bait_more.tub.drops_ms.push(ms);
        }
        course.follow(&plan);
        for (count, band) in course.bands() {
            assert_eq!(band, alone(&plan, count), "{count}");
        }
        let wide = |band: Estimate| (band.high / band.low).ln();
        let all: Vec<f64> = course.bands().map(|(_, band)| wide(band)).collect();
        assert!(all[10] < 0.5 * all[0], "{all:?}");
        plan.bait_more.tub.drops_ms.remove(4);
        course.follow(&plan);
        assert!(course.bands().all(|(count, band)| band == alone(&plan, count)));
        plan.bait_more.tub.depth_tenth_mm += 100;
        course.follow(&plan);
        assert!(course.bands().all(|(count, band)| band == alone(&plan, count)));
    }

    /// Over simulated tests, pieces and taps as the model takes them.
    #[test]
    fn what_ten_drops_would_bring_is_foretold_on_average() {
        let mut rng = fastrand::Rng::with_seed(15);
        let mut normal = |sd: f64| sd * ((0..12).map(|_| rng.f64()).sum::<f64>() - 6.0);
        let (mut told, mut came) = (0.0, 0.0);
        for _ in 0..60 {
            let mut plan = first();
            let typical_ms = 4_100.0 + normal(300.0);
            #[expect(clippy::cast_possible_truncation, reason = "a few thousand")]
            let drop_ms = |_| (typical_ms + normal(0.06 * typical_ms) + normal(100.0)) as i32;
            plan.bait_more.tub.drops_ms = (0..10).map(drop_ms).collect();
            let mut test = tub_request(&plan, Vec::new());
            let wide = |band: Estimate| (band.high / band.low).ln();
            came += wide(tub_test(&test).unwrap().tub_time_s.unwrap());
            test.drops.truncate(5);
            let five = tub_test(&test).unwrap();
            told += wide(forecast(&five.tub_time_s.unwrap(), 5, 10, five.depth_share));
        }
        println!("told over came: {}", told / came);
        assert!((0.9..1.1).contains(&(told / came)));
    }
}
