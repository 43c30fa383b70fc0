//! Tub tests of one tin label, joined into that tin's own density and spread.

use super::super::material::{LabelDoubt, Matter, matter_density};
use super::TubResult;
use crate::estimate::{Estimate, Z90, join};
use crate::physics::water::density_kg_per_m3;
use crate::refusal::{Refusal, within};

/// What several tub tests of one label say together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct JoinedTubTests {
    /// How many tests were joined; those whose pieces all floated say no density and are left out.
    pub tests: usize,
    /// Density of a typical piece at the temperature asked for, kg/m3.
    pub density_kg_per_m3: Estimate,
    /// How much typical pieces differ from one tin to the next, as a standard deviation, kg/m3.
    pub between_tins_kg_per_m3: f64,
    /// Spread between the pieces of one tin as a standard deviation of density, kg/m3.
    pub spread_kg_per_m3: Estimate,
}

/// Joins tub tests of one label: each with the temperature of its tub, °C (0 to 40). The density comes back at `at_c`,
/// °C (0 to 40); `None` without a test that says one.
///
/// What is joined is how far each tin is off its label's density at its own temperature, and the logarithm of the spread
/// (see [`join`]). Each test has the label in it already, so that the mean of many leans a little towards the label.
///
/// # Errors
/// A temperature or a label outside its range.
pub fn join_tub_tests<'a>(
    matter: &Matter,
    at_c: f64,
    tests: impl IntoIterator<Item = (f64, &'a TubResult)>,
) -> Result<Option<JoinedTubTests>, Refusal> {
    let label = |t_c: f64| -> Result<f64, Refusal> {
        within("tub_temperature_c", "temperature of the tub", t_c, (0.0, 40.0), "°C")?;
        Ok(matter_density(matter, t_c, &LabelDoubt::default())?.mid)
    };
    let (mut off_label, mut ln_spreads) = (Vec::new(), Vec::new());
    for (tub_c, test) in tests.into_iter().filter(|(_, test)| test.tub_time_s.is_some()) {
        let (excess, spread) = (test.excess_kg_per_m3, test.spread_kg_per_m3);
        let density = excess.mid + density_kg_per_m3(tub_c);
        off_label.push((density - label(tub_c)?, (excess.high - excess.low) / (2.0 * Z90)));
        ln_spreads.push((spread.mid.ln(), (spread.high / spread.low).ln() / (2.0 * Z90)));
    }
    let (Some(off), Some(spread)) = (join(off_label), join(ln_spreads)) else { return Ok(None) };
    let density = label(at_c)? + off.mean;
    let band = |mean: f64, standard: f64| Estimate {
        low: mean - Z90 * standard,
        mid: mean,
        high: mean + Z90 * standard,
    };
    Ok(Some(JoinedTubTests {
        tests: off.count,
        density_kg_per_m3: band(density, off.standard),
        between_tins_kg_per_m3: off.between,
        spread_kg_per_m3: band(spread.mean, spread.standard).map(f64::exp),
    }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bait::material::TINS;
    use crate::bait::shape::Shape;
    use crate::bait::tub_test::{Drop, TubTest, tub_test};

    /// A tub test whose drops all take `seconds`, at `tub_c`.
    fn tested(matter: Matter, seconds: f64, tub_c: f64) -> TubResult {
        let drop = |at: u32| {
            let dropped_s = 20.0 * f64::from(at);
            // Not all alike, as no thumb is.
            Drop { dropped_s, landed_s: dropped_s + seconds + 0.05 * f64::from(at % 3) }
        };
        let test = TubTest {
            matter,
            shape: Shape::Cube { edge_mm: 6.0 },
            tub_depth_m: 0.3,
            tub_depth_sd_m: 0.003,
            tub_temperature_c: tub_c,
            drops: (0..10).map(drop).collect(),
            pieces: 0,
            light: 0,
            targets: Vec::new(),
        };
        tub_test(&test).unwrap()
    }

    fn matter() -> Matter {
        Matter::Label { label: TINS[0].label, air_share: 0.0, block: None }
    }

    #[test]
    fn more_tests_narrow_the_density_and_the_spread() {
        let matter = matter();
        let one = tested(matter, 4.0, 18.0);
        let joined = |n: usize| join_tub_tests(&matter, 18.0, vec![(18.0, &one); n]).unwrap().unwrap();
        let (alone, four) = (joined(1), joined(4));
        assert!((alone.density_kg_per_m3.mid - four.density_kg_per_m3.mid).abs() < 1e-9);
        assert!(
            (alone.density_kg_per_m3.mid - one.excess_kg_per_m3.mid - density_kg_per_m3(18.0)).abs() < 1e-9
        );
        let width = |band: Estimate| band.high - band.low;
        assert!((width(four.density_kg_per_m3) / width(alone.density_kg_per_m3) - 0.5).abs() < 1e-9);
        assert!(width(four.spread_kg_per_m3) < 0.6 * width(alone.spread_kg_per_m3));
        assert_eq!((four.tests, four.between_tins_kg_per_m3), (4, 0.0));
    }

    #[test]
    fn tins_that_differ_say_so_and_temperature_does_not_count() {
        let matter = matter();
        let (slow, fast) = (tested(matter, 6.0, 18.0), tested(matter, 2.0, 18.0));
        let apart = join_tub_tests(&matter, 18.0, [(18.0, &slow), (18.0, &fast)]).unwrap().unwrap();
        assert!(apart.between_tins_kg_per_m3 > 1.0, "{apart:?}");
        let warm = join_tub_tests(&matter, 25.0, [(18.0, &slow)]).unwrap().unwrap();
        let cool = join_tub_tests(&matter, 18.0, [(18.0, &slow)]).unwrap().unwrap();
        let shift = warm.density_kg_per_m3.mid - cool.density_kg_per_m3.mid;
        let label = |t_c| matter_density(&matter, t_c, &LabelDoubt::default()).unwrap().mid;
        assert!((shift - (label(25.0) - label(18.0))).abs() < 1e-9);
        assert!(shift < 0.0, "warmer meat is lighter");
    }

    #[test]
    fn floating_and_missing_tests_say_nothing() {
        let matter = matter();
        let mut floats = tested(matter, 4.0, 18.0);
        floats.tub_time_s = None;
        assert_eq!(join_tub_tests(&matter, 18.0, [(18.0, &floats)]), Ok(None));
        assert_eq!(join_tub_tests(&matter, 18.0, []), Ok(None));
        assert!(join_tub_tests(&matter, f64::NAN, [(18.0, &tested(matter, 4.0, 18.0))]).is_err());
    }
}
