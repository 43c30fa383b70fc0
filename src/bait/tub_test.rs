//! Ten timed drops in a bucket: what the cubes really weigh, how much they differ, and what that means at the lake.
//!
//! # Model
//! A typical piece has an excess density E over the water, which may be below zero, and falls k times as fast as the middle
//! drag law says. Before the first drop both are as open as the label and the laws leave them (see [`crate::bait::sink`];
//! one label in twenty is taken to be far off). Pieces' densities are normal about the typical one, so that of a tin near
//! water's own density a part floats; a timed drop tells of those that sink, and carries the thumb's error. From the drops,
//! from drops that never landed (two minutes or more), and from how many pieces came up again when pushed under, Bayes'
//! rule gives what is left open, on a grid of E (by its logarithm down to 0.2 kg/m3, and floating as an outcome of its own),
//! the spread and the tub's time. A drop that fits no piece (it hung on the rim, a late tap) is met by a wide second curve,
//! so that it pulls little. What all drops share (depth read wrong, a thumb that is always late) widens the result and
//! does not shrink with more drops; how much of it is the depth's is told. Where floaters were counted, only
//! pieces that sink are taken to have been dropped; else whatever came to hand, so that each that landed speaks against floating.
//!
//! # Carried to the lake
//! E moves with temperature as the label's does (without a label, as the water's); k is kept, with 5 % of doubt for each
//! e-fold in Reynolds number (the three laws differ by about that much from one size to another). The middle and the band
//! are the 50th, 5th and 95th percentile; where more than one in twenty floats, the slow end is no speed at all.
//!
//! Where none was dropped and every one that was looked at came up again (or none was looked at, and the label says so),
//! all are lighter than water: no speed and no time then, at any target.
//!
//! Validity: as [`crate::bait::sink`]; 0 to 50 drops of 0.3 to 120 s in a tub 0.1 to 2 m deep. What ten drops cannot tell is
//! how far ten pieces are from the typical one: with the spread of 3.5 kg/m3 that is the larger part of the error below an
//! excess of 20 kg/m3 (`tests/bench/tub.rs` prints it).
//!
//! # The thumb
//! What is seen coming is timed 0.11 s late, and two such taps a pair 0.10 s off with no lateness left (4304 timings of
//! swimmers, 2019, Am. J. Phys. 87:110); what is not seen coming, about 0.25 s late (a university's figure, quoted). The
//! landing is the one or the other, and the tap at letting go, of one's own hand, takes 0 to 0.11 s of it away: 0 to 0.25 s
//! are left, told as 0.1 s with a standard deviation of 0.08. The other numbers in [`TubSettings`] are our judgement (no
//! published source) and stand to be replaced by measurements.

mod check;
mod likelihood;
mod posterior;
mod prior;
mod speeds;
mod steps;

use super::material::{Matter, MatterDensity, matter_density};
use super::shape::Shape;
use super::sink::{self, FallTime, StillWater};
use crate::estimate::{Estimate, Z90, open_ended};
use crate::refusal::Refusal;
use check::check;
pub use likelihood::ROGUES;
use posterior::Posterior;
use prior::{MIN_SD, excess_nodes};
use serde::{Deserialize, Serialize};
use speeds::Speeds;

/// One timed drop, on any clock that only runs forward.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "TubDrop"))]
#[serde(deny_unknown_fields)]
pub struct Drop {
    /// When the piece was let go, s.
    pub dropped_s: f64,
    /// When it landed, s; [`MAX_SECONDS`] later where it never did.
    pub landed_s: f64,
}

/// Where the result is carried to.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "TubTarget"))]
#[serde(deny_unknown_fields)]
pub struct Target {
    /// Shape and size of the piece there.
    pub shape: Shape,
    /// Water there, °C (0 to 40).
    pub water_temperature_c: f64,
    /// Depths to time, m (0 to 30), at most 40.
    #[serde(default)]
    pub depths_m: Vec<f64>,
}

/// What [`tub_test`] is asked.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct TubTest {
    /// What they are taken to be before the first drop: the tin's label, or, for bait without one (pellets, corn,
    /// paste), a guess at the density with its standard deviation.
    pub matter: Matter,
    /// Shape and size of the pieces dropped.
    pub shape: Shape,
    /// From where a piece is let go, just under the surface, to where it lands, m (0.1 to 2).
    pub tub_depth_m: f64,
    /// How well that depth is known, as a standard deviation, m (0 to 0.05); 3 mm where it is not said (judgement, no
    /// published source).
    #[serde(default = "usual_depth_sd_m")]
    pub tub_depth_sd_m: f64,
    /// Water in the tub, °C (0 to 40).
    pub tub_temperature_c: f64,
    /// The drops, at most 50.
    pub drops: Vec<Drop>,
    /// Pieces that were looked at for floating (0 to 10 000).
    #[serde(default)]
    pub pieces: u32,
    /// Of these, pieces that came up again when pushed under.
    #[serde(default)]
    pub light: u32,
    /// Where the result is carried to, at most 12.
    #[serde(default)]
    pub targets: Vec<Target>,
}

/// The fall at one target.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
pub struct TargetFall {
    /// Steady speed of a typical piece, m/s.
    pub speed_m_per_s: Estimate,
    /// Steady speed of nine pieces in ten, m/s: the typical piece's band and the pieces' spread together.
    pub piece_speed_m_per_s: Estimate,
    /// Time of a typical piece to each depth.
    pub falls: Vec<FallTime>,
    /// Time of nine pieces in ten to each depth.
    pub piece_falls: Vec<FallTime>,
}

/// What the drops told.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
pub struct TubResult {
    /// Drops that were used.
    pub drops: usize,
    /// Places in the list (from 0) of drops that more likely than not fit no piece.
    pub odd_drops: Vec<usize>,
    /// Time of a typical piece through the tub, s, thumb's delay taken off, infinite at its high end where it may float;
    /// `None` where it more likely than not is lighter than water.
    #[serde(serialize_with = "open_ended")]
    #[cfg_attr(feature = "types", schemars(with = "Option<crate::estimate::TimeBand>"))]
    pub tub_time_s: Option<Estimate>,
    /// The same time from the label alone, s; `None` where the label says that it floats.
    pub label_tub_time_s: Option<f64>,
    /// The label's band holds the measured middle; when not, the label, the air, the size or the depth is off.
    pub agrees_with_label: bool,
    /// Excess density of a typical piece over the tub's water, kg/m3.
    pub excess_kg_per_m3: Estimate,
    /// Spread between pieces as a standard deviation of density, kg/m3.
    pub spread_kg_per_m3: Estimate,
    /// Spread between pieces as a standard deviation of speed, in shares of the speed; at most 1.
    pub spread_share: f64,
    /// Probability that a typical piece is lighter than the tub's water, 0 to 1.
    pub floats_share: f64,
    /// The tub's depth's share of what the drops leave open of the speed there (of its variance), 0 to 1.
    pub depth_share: f64,
    /// The fall at each target, in the order asked.
    pub targets: Vec<TargetFall>,
}

/// Tuning numbers of [`tub_test_with`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TubSettings {
    /// Those of the label and of gravity.
    pub sink: sink::SinkSettings,
    /// Probability that a label is far off; default 0.05.
    pub wrong_label_share: f64,
    /// Standard deviation of a density whose label is far off, kg/m3; default 25.
    pub wrong_label_sd_kg_per_m3: f64,
    /// Middle of the spread between pieces, kg/m3; default 3.5.
    pub spread_kg_per_m3: f64,
    /// Standard deviation of the logarithm of that spread; default 0.6 (a factor of 1.8 either way).
    pub spread_ln_sd: f64,
    /// How much later the landing tap is than the drop tap, s; default 0.1.
    pub late_s: f64,
    /// How much that differs between persons and tubs, standard deviation, s; default 0.08.
    pub late_sd_s: f64,
    /// Error of one drop's two taps together, standard deviation, s; default 0.1.
    pub tap_sd_s: f64,
    /// Probability that a drop fits no piece; default 0.05.
    pub odd_share: f64,
    /// Doubt in k for each e-fold in Reynolds number between tub and target; default 0.05.
    pub carry_sd: f64,
}

impl Default for TubSettings {
    fn default() -> Self {
        Self {
            sink: sink::SinkSettings::default(),
            wrong_label_share: 0.05,
            wrong_label_sd_kg_per_m3: 25.0,
            spread_kg_per_m3: 3.5,
            spread_ln_sd: 0.6,
            late_s: 0.1,
            late_sd_s: 0.08,
            tap_sd_s: 0.1,
            odd_share: 0.05,
            carry_sd: 0.05,
        }
    }
}

fn usual_depth_sd_m() -> f64 {
    0.003
}

/// The most drops of one test.
pub const MAX_DROPS: usize = 50;
/// A drop of this long or longer has never landed: it counts as slower than that, s.
pub const MAX_SECONDS: f64 = 120.0;
/// Learns from timed drops, with the default [`TubSettings`].
///
/// # Errors
/// A number outside its range, a label over 100 g, more than 50 drops, a landing before its drop, more floaters than
/// pieces.
pub fn tub_test(test: &TubTest) -> Result<TubResult, Refusal> {
    tub_test_with(test, &TubSettings::default())
}

/// Learns from timed drops.
///
/// # Errors
/// As [`tub_test`].
pub fn tub_test_with(test: &TubTest, settings: &TubSettings) -> Result<TubResult, Refusal> {
    check(test)?;
    let g = settings.sink.g_m_per_s2;
    let tub = StillWater::new(test.shape, test.tub_temperature_c, g);
    let MatterDensity { mid: density, sd, .. } =
        matter_density(&test.matter, test.tub_temperature_c, &settings.sink.label)?;
    let expected = density - tub.water_kg_per_m3;
    let label_band = sink::sink_with(
        &sink::SinkRequest {
            matter: test.matter,
            shape: test.shape,
            water_temperature_c: test.tub_temperature_c,
            depths_m: vec![test.tub_depth_m],
        },
        &settings.sink,
    )?;
    let label_time = label_band.falls[0];
    let light = if test.pieces > 0 { test.light == test.pieces } else { expected <= 0.0 };
    if light && test.drops.is_empty() {
        return Ok(afloat(test, expected, sd, label_time, settings));
    }
    let sd = sd.max(MIN_SD);
    let nodes = excess_nodes(expected, sd, settings);
    let most = expected.max(0.0) + 6.0 * settings.wrong_label_sd_kg_per_m3.max(sd);
    let speeds = Speeds::new(&tub, most);
    let posterior = Posterior::new(test, settings, &nodes, &tub, &speeds);
    if posterior.total <= 0.0 {
        let sentence =
            "No piece can fall so fast. Check the tub's depth, the size of the piece and the drops.";
        return Err(Refusal::new("no_fit", "drops", sentence));
    }
    let tub_reynolds = tub.reynolds(posterior.mean_ln_speed().exp());
    let floats_share = posterior.floating();
    let rate = posterior.ln_rate();
    let tub_time_s = (floats_share < 0.5).then(|| Estimate {
        low: (-rate.high).exp(),
        mid: (-rate.mid).exp(),
        high: (-rate.low).exp(),
    });
    let mut targets = Vec::with_capacity(test.targets.len());
    for target in &test.targets {
        let water = StillWater::new(target.shape, target.water_temperature_c, g);
        let density = matter_density(&test.matter, target.water_temperature_c, &settings.sink.label)?.mid;
        let shift = density - water.water_kg_per_m3 - expected;
        let there = Speeds::new(&water, most + shift.max(0.0));
        targets.push(carry(target, &water, &there, shift, &posterior, tub_reynolds, settings));
    }
    let depth_sd = test.tub_depth_sd_m / test.tub_depth_m;
    Ok(TubResult {
        drops: test.drops.len(),
        odd_drops: posterior.odd_drops.clone(),
        tub_time_s,
        label_tub_time_s: label_time.mid_s,
        agrees_with_label: match tub_time_s {
            Some(time) => {
                label_time.low_s.is_some_and(|low| low <= time.mid)
                    && label_time.high_s.is_none_or(|high| time.mid <= high)
            }
            None => label_time.high_s.is_none(),
        },
        floats_share,
        depth_share: if test.drops.is_empty() {
            0.0
        } else {
            (depth_sd * depth_sd / posterior.variance()).min(1.0)
        },
        excess_kg_per_m3: posterior.excess(),
        spread_kg_per_m3: posterior.spread(),
        spread_share: posterior.spread_share,
        targets,
    })
}

/// What is told of pieces that are all lighter than water.
fn afloat(test: &TubTest, expected: f64, sd: f64, label: FallTime, settings: &TubSettings) -> TubResult {
    const NONE: Estimate = Estimate::exact(0.0);
    let least = |excess: f64| excess.min(0.0);
    let spread = |z: f64| settings.spread_kg_per_m3 * (z * settings.spread_ln_sd).exp();
    let floats = |target: &Target| {
        let never = |&depth_m: &f64| FallTime { depth_m, low_s: None, mid_s: None, high_s: None };
        let falls: Vec<FallTime> = target.depths_m.iter().map(never).collect();
        TargetFall {
            speed_m_per_s: NONE,
            piece_speed_m_per_s: NONE,
            falls: falls.clone(),
            piece_falls: falls,
        }
    };
    TubResult {
        drops: 0,
        odd_drops: Vec::new(),
        tub_time_s: None,
        label_tub_time_s: label.mid_s,
        agrees_with_label: label.high_s.is_none(),
        excess_kg_per_m3: Estimate {
            low: least(expected - Z90 * sd),
            mid: least(expected),
            high: least(expected + Z90 * sd),
        },
        spread_kg_per_m3: Estimate { low: spread(-Z90), mid: spread(0.0), high: spread(Z90) },
        spread_share: 0.0,
        floats_share: 1.0,
        depth_share: 0.0,
        targets: test.targets.iter().map(floats).collect(),
    }
}

/// The fall at one target.
fn carry(
    target: &Target,
    water: &StillWater,
    speeds: &Speeds,
    shift: f64,
    posterior: &Posterior<'_>,
    tub_reynolds: f64,
    settings: &TubSettings,
) -> TargetFall {
    /// The middles of eleven even shares of a normal curve, in standard deviations.
    const PIECES: [f64; 11] = [-1.69, -1.097, -0.748, -0.473, -0.230, 0.0, 0.230, 0.473, 0.748, 1.097, 1.69];
    let ln = posterior.ln_speed([0.0], speeds, shift);
    let reynolds = water.reynolds(ln.mid.exp());
    let doubt = if reynolds > 0.0 { settings.carry_sd * (reynolds / tub_reynolds).ln().abs() } else { 0.0 };
    let widened = |ln: Estimate| {
        let by = |apart: f64| if apart.is_finite() { apart.hypot(Z90 * doubt) } else { apart };
        let (down, up) = (by(ln.mid - ln.low), by(ln.high - ln.mid));
        let (low, high) = if ln.mid.is_finite() { (ln.mid - down, ln.mid + up) } else { (ln.low, ln.high) };
        Estimate { low, mid: ln.mid, high }.map(|ln| sink::seen_m_per_s(ln.exp()))
    };
    let speed = widened(ln);
    // Of a skew posterior the quantiles of single pieces may lie within those of the middle one; their band holds both.
    let pieces = posterior.ln_speed(PIECES, speeds, shift);
    let piece =
        widened(Estimate { low: pieces.low.min(ln.low), mid: ln.mid, high: pieces.high.max(ln.high) });
    let excess = posterior.excess().map(|excess| excess + shift);
    let times = |speed: Estimate| {
        let time = |depth_m: f64, v: f64| {
            let excess = if excess.mid > 0.0 { excess.mid } else { excess.high };
            water.time_s(depth_m, v, excess)
        };
        target
            .depths_m
            .iter()
            .map(|&depth_m| FallTime {
                depth_m,
                low_s: time(depth_m, speed.high),
                mid_s: time(depth_m, speed.mid),
                high_s: time(depth_m, speed.low),
            })
            .collect()
    };
    TargetFall {
        speed_m_per_s: speed,
        piece_speed_m_per_s: piece,
        falls: times(speed),
        piece_falls: times(piece),
    }
}
