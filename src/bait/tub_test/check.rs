//! What a tub test may be.

use super::{MAX_DROPS, MAX_SECONDS, TubTest};
use crate::bait::sink;
use crate::refusal::{Refusal, at_most, short, within};

const MAX_TARGETS: usize = 12;

const DROP_S: (f64, f64) = (0.3, MAX_SECONDS);

pub(super) fn check(test: &TubTest) -> Result<(), Refusal> {
    test.shape.check()?;
    within("tub_depth_m", "depth of the tub", test.tub_depth_m, (0.1, 2.0), "m")?;
    within("tub_depth_sd_m", "doubt of the tub's depth", test.tub_depth_sd_m, (0.0, 0.05), "m")?;
    within("tub_temperature_c", "temperature of the tub", test.tub_temperature_c, (0.0, 40.0), "°C")?;
    at_most("drops", test.drops.len(), MAX_DROPS, "drops are taken in one tub test")?;
    for (index, drop) in test.drops.iter().enumerate() {
        let seconds = drop.landed_s - drop.dropped_s;
        let (number, field) = (index + 1, format!("drops[{index}]"));
        if !seconds.is_finite() || seconds <= 0.0 {
            let sentence = format!("Drop {number} landed before it was let go. Undo it and time it again.");
            return Err(Refusal::new("landed_before_drop", field, sentence));
        }
        if seconds < DROP_S.0 || seconds > DROP_S.1 {
            let (took, least, most) = (short(seconds), short(DROP_S.0), short(DROP_S.1));
            let sentence = format!(
                "Drop {number} took {took} s; a drop takes {least} to {most} s. Undo it and time it again."
            );
            return Err(Refusal::new("drop_time", field, sentence));
        }
    }
    within("pieces", "number of pieces", test.pieces.into(), (0.0, 10_000.0), "")?;
    if test.light > test.pieces {
        let sentence = format!(
            "{} pieces came up again out of {}; give at least as many pieces as floaters.",
            test.light, test.pieces
        );
        return Err(Refusal::new("more_floaters_than_pieces", "light", sentence));
    }
    at_most("targets", test.targets.len(), MAX_TARGETS, "waters are worked out from one tub test")?;
    for target in &test.targets {
        target.shape.check()?;
        let t_c = target.water_temperature_c;
        within("targets.water_temperature_c", "water temperature", t_c, (0.0, 40.0), "°C")?;
        sink::check_depths("targets.depths_m", &target.depths_m)?;
    }
    Ok(())
}
