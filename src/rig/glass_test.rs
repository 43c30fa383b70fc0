//! The glass-of-water test, and weighing twenty shot on a pocket scale.
//!
//! A float's printed load is nominal. What **really** dotted it in a glass of water, shot by shot, gives its load by the
//! definition the balancer uses: all that hung, by its weight in water, less the lift of the tip that was covered, turned
//! back into lead at 15 °C. It replaces the maker's figure for that float and is kept with it.
//!
//! A pocket scale is too coarse for one shot. Twenty together share the reading's error between them.
//!
//! # Source
//! Archimedes' principle. Uncertainties: JCGM 100:2008 (GUM), 4.3.7 (a reading within ± a has standard uncertainty
//! a / sqrt 3), 5.1.2 (independent parts add as squares); expanded with k = 2.

use super::balance::{Float, Hook, LOAD_TEMPERATURE_C};
use super::within;
use crate::physics::water::{self, weight_in_water_ng};
use crate::refusal::{Refusal, short};
use crate::trade::lead;
use crate::units::TenthMg;
use serde::{Deserialize, Serialize};

/// How well a tip is read against the water, mm: within ± this (from memory).
pub const TIP_READING_MM: f64 = 0.5;

/// Shots of one size that hung under the float, in the order in which they were put on.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct HungShot {
    /// Mass of one (1 to 500 000).
    pub mass_tenth_mg: TenthMg,
    /// Density, kg/m3 (1500 to 23 000).
    pub density_kg_per_m3: f64,
    /// How many (1 to 1000).
    pub count: u32,
    /// Standard uncertainty of one shot's mass, as a part of it (0 to 0.5): from a weighing, or 0.06 for a mass of the
    /// table (± 10 % taken as limits, over the square root of 3).
    pub uncertainty: f64,
}

/// What was seen in the glass.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct GlassTest {
    /// The float; its load is the maker's figure, to compare with.
    pub float: Float,
    /// Temperature of the water, °C (0 to 40).
    pub temperature_c: f64,
    /// The shots that hung, in the order they were put on.
    pub shots: Vec<HungShot>,
    /// The hook, if it hung.
    #[serde(default)]
    pub hook: Option<Hook>,
    /// Tip left showing with all of them on, mm (0 to the tip's length).
    pub tip_left_mm: f64,
}

/// The load that the glass shows.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct GlassLoad {
    /// The load, in lead at 15 °C: use it in place of the maker's.
    pub load_tenth_mg: TenthMg,
    /// Its expanded uncertainty (k = 2), tenths of a milligram.
    pub plus_minus_tenth_mg: f64,
    /// The same in millimetres of this float's tip.
    pub plus_minus_mm: f64,
    /// The glass's load less the maker's, as a part of the maker's.
    pub against_maker: f64,
    /// Whether the maker's load lies outside the uncertainty, so that replacing it matters.
    pub differs: bool,
    /// Tip that would have been left after each step of `shots`, mm: above the tip's length while the body shows.
    pub tip_after_each_mm: Vec<f64>,
}

/// Twenty shot (or so) on a pocket scale.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct BatchWeighing {
    /// How many lay on the scale (1 to 1000).
    pub count: u32,
    /// What it showed, g (more than 0 to 500).
    pub reading_g: f64,
    /// Its smallest step, g (0.0001 to 1).
    pub resolution_g: f64,
}

/// The mass of one shot, from a batch.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct BatchMass {
    /// Mean mass of one.
    pub mass_tenth_mg: TenthMg,
    /// Standard uncertainty of that mean, tenths of a milligram: the reading and the zero, each within half a step.
    pub standard_tenth_mg: f64,
    /// Standard uncertainty as a part of the mass, as [`HungShot::uncertainty`] takes it.
    pub relative: f64,
    /// The mean cannot be farther off than this (one whole step shared by all), tenths of a milligram.
    pub most_off_tenth_mg: f64,
    /// How many to weigh for a standard uncertainty of 1 %, if more than were weighed.
    pub weigh_rather: Option<u32>,
}
impl GlassTest {
    fn check(&self) -> Result<(), Refusal> {
        const G: &str = "tenths of a mg";
        self.float.check()?;
        within("temperature_c", self.temperature_c, 0.0, 40.0, "°C")?;
        within("tip_left_mm", self.tip_left_mm, 0.0, self.float.tip_length_mm, "mm")?;
        if let Some(hook) = &self.hook {
            hook.check()?;
        }
        within("shots", self.shots.len() as f64, 0.0, 100.0, "entries")?;
        for (i, shot) in self.shots.iter().enumerate() {
            let mass = f64::from(shot.mass_tenth_mg.0);
            within(format!("shots.{i}.mass_tenth_mg"), mass, 1.0, 500_000.0, G)?;
            let density = shot.density_kg_per_m3;
            within(format!("shots.{i}.density_kg_per_m3"), density, 1500.0, 23_000.0, "kg/m3")?;
            within(format!("shots.{i}.count"), f64::from(shot.count), 1.0, 1000.0, "shots")?;
            within(format!("shots.{i}.uncertainty"), shot.uncertainty, 0.0, 0.5, "of the mass")?;
        }
        if self.shots.is_empty() {
            let sentence = "No shot is listed: write down every shot that hung under the float.";
            return Err(Refusal::new("nothing_hung", "shots", sentence));
        }
        Ok(())
    }
}

/// The load that a glass-of-water test shows, with its uncertainty.
///
/// Counted in the uncertainty: each size's mass (the same error for every shot of the entry), and the reading of the
/// tip, ± 0.5 mm. Water that creeps up the tip, and bubbles, are not.
///
/// # Errors
/// Numbers outside their limits, no shot at all, and a result that is no load.
pub fn load_from_glass(test: &GlassTest) -> Result<GlassLoad, Refusal> {
    test.check()?;
    let float = &test.float;
    let rho = water::density_kg_per_m3(test.temperature_c);
    let rho_15 = water::density_kg_per_m3(LOAD_TEMPERATURE_C);
    let lead = 1.0 - rho_15 / f64::from(lead::KG_PER_M3);
    let weight =
        |mass: TenthMg, density: f64| weight_in_water_ng(f64::from(mass.0) * 1e5, density, rho) as f64;
    let per_mm = core::f64::consts::FRAC_PI_4 * float.tip_diameter_mm * float.tip_diameter_mm * rho * 1e3;

    let mut hung = test.hook.as_ref().map_or(0.0, |h| weight(h.mass_tenth_mg, h.density_kg_per_m3));
    let mut squares = (TIP_READING_MM * per_mm).powi(2) / 3.0;
    let mut hung_after = Vec::with_capacity(test.shots.len());
    for shot in &test.shots {
        let all = weight(shot.mass_tenth_mg, shot.density_kg_per_m3) * f64::from(shot.count);
        hung += all;
        squares += (all * shot.uncertainty).powi(2);
        hung_after.push(hung);
    }
    let covered = (float.tip_length_mm - test.tip_left_mm) * per_mm;
    let lift = hung - covered;
    // Back to 15 °C: the float's own volume in the day's water lifts a little less or more.
    let at_15 = match float.own_mass_tenth_mg {
        Some(own) => {
            let own_ng = f64::from(own.0) * 1e5;
            (lift + own_ng) * rho_15 / rho - own_ng
        }
        None => lift,
    };
    let load = at_15 / lead * 1e-5;
    if !(10.0..=500_000.0).contains(&load) {
        let sentence = "What hung is less than the tip's own lift, or more than any float carries: check the shots and \
                        the tip left.";
        return Err(Refusal::new("no_load", "shots", sentence));
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "from 10 to 500 000")]
    let load_tenth_mg = TenthMg(load.round() as u32);
    let plus_minus_ng = 2.0 * squares.sqrt();
    let plus_minus_tenth_mg = plus_minus_ng / lead * 1e-5;
    let maker = f64::from(float.load_tenth_mg.0);
    Ok(GlassLoad {
        load_tenth_mg,
        plus_minus_tenth_mg,
        plus_minus_mm: plus_minus_ng / per_mm,
        against_maker: load / maker - 1.0,
        differs: (load - maker).abs() > plus_minus_tenth_mg,
        tip_after_each_mm: hung_after.iter().map(|at| test.tip_left_mm + (hung - at) / per_mm).collect(),
    })
}

/// The mass of one shot from a batch on a pocket scale.
///
/// The reading and the zero before it are each within half a step of the truth, so the mean of n shots is within one step
/// over n. How much single shots differ from each other one weighing cannot tell.
///
/// # Errors
/// Numbers outside their limits, and a reading of less than two steps.
///
/// # Example
/// ```
/// use dotdown::rig::glass_test::{BatchWeighing, weigh_batch};
/// let shot = weigh_batch(&BatchWeighing { count: 20, reading_g: 0.70, resolution_g: 0.01 })?;
/// assert_eq!(shot.mass_tenth_mg.0, 350);
/// assert_eq!(shot.most_off_tenth_mg, 5.0);
/// # Ok::<(), dotdown::refusal::Refusal>(())
/// ```
pub fn weigh_batch(batch: &BatchWeighing) -> Result<BatchMass, Refusal> {
    within("count", f64::from(batch.count), 1.0, 1000.0, "shots")?;
    within("resolution_g", batch.resolution_g, 1e-4, 1.0, "g")?;
    within("reading_g", batch.reading_g, 1e-4, 500.0, "g")?;
    if batch.reading_g < 1.999 * batch.resolution_g {
        let sentence = format!(
            "A reading of {} g on a scale with steps of {} g says too little: weigh more of them together.",
            short(batch.reading_g),
            short(batch.resolution_g)
        );
        return Err(Refusal::new("too_coarse", "reading_g", sentence));
    }
    let count = f64::from(batch.count);
    let mass = batch.reading_g * 1e4 / count;
    within("reading_g", mass, 0.5, 500_000.4, "tenths of a mg a shot")?;
    let step = batch.resolution_g * 1e4;
    // Two independent parts within half a step: sqrt(2) (step / 2) / sqrt(3) = step / sqrt(6).
    let standard_tenth_mg = step / 6.0_f64.sqrt() / count;
    let relative = standard_tenth_mg / mass;
    let better = (count * relative / 0.01).ceil();
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "casts saturate; both are positive"
    )]
    let (mass_tenth_mg, better) = (TenthMg(mass.round().max(1.0) as u32), better as u32);
    Ok(BatchMass {
        mass_tenth_mg,
        standard_tenth_mg,
        relative,
        most_off_tenth_mg: step / count,
        weigh_rather: (better > batch.count).then_some(better),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rig::balance::{BalanceRequest, BoxedShot, DottedWith, Resting, ShotPreference, balance};
    use proptest::prelude::*;

    fn ten(count: u32) -> HungShot {
        HungShot { mass_tenth_mg: TenthMg(350), density_kg_per_m3: 11350.0, count, uncertainty: 0.01 }
    }

    fn glass() -> GlassTest {
        GlassTest {
            float: Float {
                load_tenth_mg: TenthMg(4000),
                tip_diameter_mm: 1.0,
                tip_length_mm: 25.0,
                own_mass_tenth_mg: None,
                contact_deg: None,
            },
            temperature_c: 15.0,
            shots: vec![ten(10), ten(1)],
            hook: None,
            tip_left_mm: 25.0,
        }
    }

    #[test]
    fn lead_at_fifteen_degrees_is_the_load_itself() {
        let load = load_from_glass(&glass()).unwrap();
        assert_eq!(load.load_tenth_mg, TenthMg(3850));
        assert!((load.against_maker - (3850.0 / 4000.0 - 1.0)).abs() < 1e-6);
        assert_eq!(load.tip_after_each_mm.len(), 2);
        // One No. 10 more or less is 31.9 mg in water over 0.785 mg a millimetre.
        assert!((load.tip_after_each_mm[0] - load.tip_after_each_mm[1] - 40.67).abs() < 0.05);
    }

    #[test]
    fn uncertainty_adds_as_squares() {
        let mut test = glass();
        test.shots = vec![ten(11)];
        let load = load_from_glass(&test).unwrap();
        // 1 % of 385 mg, and 0.5 mm of tip over sqrt 3 (0.2265 mg in water, 0.2484 mg of lead), twice.
        let expected = 2.0 * (38.5_f64.powi(2) + 2.484_f64.powi(2)).sqrt();
        assert!((load.plus_minus_tenth_mg - expected).abs() < 0.02, "{}", load.plus_minus_tenth_mg);
        assert!(load.differs);
        test.shots[0].uncertainty = 0.06;
        assert!(!load_from_glass(&test).unwrap().differs);
    }

    #[test]
    fn twenty_on_a_pocket_scale() {
        let shot = weigh_batch(&BatchWeighing { count: 20, reading_g: 0.71, resolution_g: 0.01 }).unwrap();
        assert_eq!(shot.mass_tenth_mg, TenthMg(355));
        assert!((shot.standard_tenth_mg - 2.0412).abs() < 1e-3);
        assert!((shot.relative - 0.00575).abs() < 1e-5);
        assert_eq!(shot.weigh_rather, None);
        let few = weigh_batch(&BatchWeighing { count: 5, reading_g: 0.18, resolution_g: 0.01 }).unwrap();
        assert_eq!(few.weigh_rather, Some(12));
        let better = weigh_batch(&BatchWeighing { count: 12, reading_g: 0.432, resolution_g: 0.01 }).unwrap();
        assert!(better.relative <= 0.01);
    }

    #[test]
    fn refusals_say_what_to_do() {
        let batch = |count, reading_g, resolution_g| {
            weigh_batch(&BatchWeighing { count, reading_g, resolution_g }).unwrap_err()
        };
        assert_eq!(batch(0, 0.7, 0.01).field(), "count");
        assert_eq!(batch(20, f64::NAN, 0.01).field(), "reading_g");
        assert_eq!(batch(20, 0.7, -0.01).field(), "resolution_g");
        let coarse = batch(1, 0.01, 0.01);
        assert_eq!(coarse.code(), "too_coarse");
        assert_eq!(
            coarse.to_string(),
            "A reading of 0.01 g on a scale with steps of 0.01 g says too little: weigh more of them together."
        );
        assert_eq!(batch(1, 400.0, 0.01).field(), "reading_g");
        let refuse = |change: &dyn Fn(&mut GlassTest)| {
            let mut test = glass();
            change(&mut test);
            let error = load_from_glass(&test).unwrap_err();
            (error.code(), error.field().to_owned())
        };
        assert_eq!(refuse(&|t| t.shots.clear()), ("nothing_hung", "shots".into()));
        assert_eq!(refuse(&|t| t.tip_left_mm = 25.1), ("out_of_range", "tip_left_mm".into()));
        assert_eq!(refuse(&|t| t.tip_left_mm = f64::NAN), ("out_of_range", "tip_left_mm".into()));
        assert_eq!(refuse(&|t| t.shots[1].count = 0), ("out_of_range", "shots.1.count".into()));
        assert_eq!(refuse(&|t| t.shots[1].uncertainty = 0.6), ("out_of_range", "shots.1.uncertainty".into()));
        let tip = |t: &mut GlassTest| {
            t.shots = vec![HungShot { mass_tenth_mg: TenthMg(10), ..ten(1) }];
            t.tip_left_mm = 0.0;
        };
        assert_eq!(refuse(&tip), ("no_load", "shots".into()));
    }

    proptest! {
        #![proptest_config(crate::draw::cases(0x91a5, 256, 20_000))]

        /// A scale that rounds its zero and its reading never leads farther off than is told.
        #[test]
        fn the_truth_is_within_the_bound(mass in 100.0_f64..20_000.0, count in 5_u32..50, zero in 0.0_f64..1.0, fine in any::<bool>()) {
            let step = if fine { 10.0 } else { 100.0 };
            let grid = |x: f64| (x / step).round() * step;
            let reading = grid(zero * step + mass * f64::from(count)) - grid(zero * step);
            let batch = BatchWeighing { count, reading_g: reading * 1e-4, resolution_g: step * 1e-4 };
            let shot = weigh_batch(&batch).unwrap();
            // Half a tenth of a milligram is the rounding of what is kept.
            let off = (f64::from(shot.mass_tenth_mg.0) - mass).abs();
            prop_assert!(off <= shot.most_off_tenth_mg + 0.5 + 1e-6);
        }

        /// What the balancer says of a float is what the glass finds again, at any temperature.
        #[test]
        fn the_glass_finds_the_balancers_float(load in 500_u32..30_000, temperature_c in 1.0_f64..35.0, own in proptest::option::of(200_u32..20_000), mass in 150_u32..2000) {
            let float = Float { load_tenth_mg: TenthMg(load), tip_diameter_mm: 1.2, tip_length_mm: 25.0, own_mass_tenth_mg: own.map(TenthMg), contact_deg: None };
            let request = BalanceRequest {
                float: float.clone(),
                temperature_c,
                shot_box: vec![BoxedShot { name: "s".into(), mass_tenth_mg: TenthMg(mass), density_kg_per_m3: 7310.0, count: 60, fixed: 0 }],
                hook: None, bait: None, line: vec![], resting: Resting::default(),
                wanted_tip_mm: 3.0, wanted_state: DottedWith::BaitHanging, max_sizes: 1, max_shots: 60,
                taste: ShotPreference::ManySmall, close_enough_mm: 1.0,
            };
            let answer = balance(&request).unwrap();
            if answer.on_tip && answer.sets[0].shots_total > 0 {
                let set = &answer.sets[0];
                let test = GlassTest {
                    float,
                    temperature_c,
                    shots: vec![HungShot { mass_tenth_mg: TenthMg(mass), density_kg_per_m3: 7310.0, count: set.shots_total, uncertainty: 0.01 }],
                    hook: None,
                    tip_left_mm: set.tip_hanging_mm.clamp(0.0, 25.0),
                };
                let found = load_from_glass(&test).unwrap();
                prop_assert!(found.load_tenth_mg.0.abs_diff(load) <= 1);
                prop_assert!(!found.differs);
            }
        }
    }
}
