//! The habits in words.

use super::form::{Habits, Standing};
use crate::units::{Units, fixed};

/// Share of the time that a stretch of depth must hold to be called where the fish mostly are.
const MOSTLY: f64 = 0.6;

impl Habits {
    /// One sentence: what the water taught and from how many days, or why it is not used. Depths are in `units`, or in
    /// metres.
    #[must_use]
    pub fn sentence(&self, units: Option<Units>) -> String {
        let days = format!("{} {}", self.days, if self.days == 1 { "day" } else { "days" });
        match self.standing {
            Standing::TooFewDays if self.days == 0 => {
                "No day was fished here yet: after three the session uses what the water taught.".to_owned()
            }
            Standing::TooFewDays => {
                format!("{days} fished here: after three the session uses what the water taught.")
            }
            Standing::NoBetter => {
                format!("What {days} taught is not used: it foretold them no better than the usual numbers.")
            }
            Standing::Used => {
                let counting = if self.counting_days < self.days {
                    format!("Of {days} the last {} count, since the water changed", self.counting_days)
                } else {
                    format!("From {days}")
                };
                let to_m =
                    |depth_m| units.map_or_else(|| fixed(depth_m, 1) + " m", |units| units.depth_m(depth_m));
                let hours = self.picture.share.len();
                let all = self.mostly(0..hours).map(|(from_m, to)| (to_m(from_m), to_m(to)));
                let Some((from, to)) = all else { return counting + "." };
                let move_min = self.waters.first().map_or(0.0, |water| water.jump_every_s / 60.0);
                let moved = format!("they move about every {} min", fixed(move_min, 0));
                let (early, late) =
                    (self.mostly(0..hours.div_ceil(2)), self.mostly(hours.div_ceil(2)..hours));
                match (early, late) {
                    (Some(early), Some(late)) if early.0 >= late.1 || late.0 >= early.1 => format!(
                        "{counting}: in the first half of the day the fish are mostly between {} and {}, in the second between {} and {}; {moved}.",
                        to_m(early.0),
                        to_m(early.1),
                        to_m(late.0),
                        to_m(late.1)
                    ),
                    _ => format!("{counting}: the fish are mostly between {from} and {to}; {moved}."),
                }
            }
        }
    }

    /// The shortest stretch of depth, m, that holds most of the time of these hours.
    fn mostly(&self, hours: std::ops::Range<usize>) -> Option<(f64, f64)> {
        let rows = self.picture.share.get(hours)?;
        let layers = rows.first()?.len();
        let mut shares = vec![0.0; layers];
        for row in rows {
            for (sum, share) in shares.iter_mut().zip(row) {
                *sum += share;
            }
        }
        let need = MOSTLY * shares.iter().sum::<f64>();
        if need <= 0.0 {
            return None;
        }
        let layer_m = self.picture.water_depth_m / layers as f64;
        (1..=layers).find_map(|long| {
            let sum = |from: &usize| shares.iter().skip(*from).take(long).sum::<f64>();
            let best = (0..=layers - long).max_by(|a, b| sum(a).total_cmp(&sum(b)))?;
            (sum(&best) >= need).then(|| (layer_m * best as f64, layer_m * (best + long) as f64))
        })
    }
}
