//! Depth against time of day, with what was caught.

use super::chain::counts;
use super::depths::{carried, place};
use super::form::Picture;
use super::learn::Learner;
use super::record::DayRecord;
use crate::session::depth_filter::Water;
use crate::units::between;

/// About this thick is a layer, m.
const LAYER_M: f64 = 0.25;
/// The most hours of a day that are shown.
const MAX_HOURS: usize = 12;

/// The picture of these days, gone through with this water of the learner's grid.
pub(super) fn picture(learner: &Learner, days: &[DayRecord], water: &Water) -> Picture {
    let depth_m = learner.grid.water_depth_m;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
    let layers = between((depth_m / LAYER_M).round(), 4.0, 24.0) as usize;
    let hours = days.iter().map(DayRecord::hours).max().unwrap_or(0).min(MAX_HOURS);
    let mut picture = Picture {
        water_depth_m: depth_m,
        share: vec![vec![0.0; layers]; hours],
        bites: vec![vec![0; layers]; hours],
    };
    for day in days {
        let from_m = day.grid.water_depth_m;
        let stay = counts(day, &learner.at_day(water, day), hours, true).stay;
        for (sum, here) in picture.share.iter_mut().zip(stay) {
            for (sum, here) in sum.iter_mut().zip(carried(&here, from_m, depth_m, layers)) {
                *sum += here;
            }
        }
        for &(at_s, rest_m) in &day.bites {
            let layer = place(rest_m, from_m, depth_m) / depth_m * layers as f64;
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "not negative; saturates"
            )]
            let (hour, layer) = ((at_s / 3600.0) as usize, (layer as usize).min(layers - 1));
            if let Some(bites) = picture.bites.get_mut(hour).and_then(|hour| hour.get_mut(layer)) {
                *bites += 1;
            }
        }
    }
    for hour in &mut picture.share {
        let sum: f64 = hour.iter().sum();
        for share in hour {
            *share = if sum > 0.0 { (*share / sum).min(1.0) } else { 0.0 };
        }
    }
    picture
}
