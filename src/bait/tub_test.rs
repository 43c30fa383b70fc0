//! Ten timed drops in a bucket: what the cubes really weigh, how much they differ, and what that means at the lake.
//!
//! # Model
//! A typical piece has an excess density E over the water and falls k times as fast as the middle drag law says. Before
//! the first drop both are as open as the label and the laws leave them (see [`crate::bait::sink`]; one label in twenty
//! is taken to be far off). Pieces differ by a spread in density; a timed drop also carries the thumb's error. From the
//! drops, and from how many pieces came up again when pushed under, Bayes' rule gives what is left open, on a grid of
//! the tub's typical time, E and the spread. A drop that fits no piece (it hung on the rim, a late tap) is met by a
//! wide second curve, so that it pulls little. What all drops share (depth read wrong, a thumb that is always late)
//! widens the result and does not shrink with more drops.
//!
//! # Carried to the lake
//! E moves with temperature as the label's does; k is kept, with 5 % of doubt for each e-fold in Reynolds number (the
//! three laws differ by about that much from one size to another). The middle and the band are the 50th, 5th and 95th
//! percentile.
//!
//! Validity: as [`crate::bait::sink`]; 0 to 50 drops of 0.3 to 120 s in a tub 0.1 to 2 m deep. The numbers in
//! [`Settings`] for thumbs and tubs are our judgement (no published source) and stand to be replaced by measurements.

use super::sink::{self, Band, FallTime, Label, Matter, Shape, SinkError, StillWater, Z90};
use super::{OutOfRange, within};
use crate::error::Fault;
use core::f64::consts::{LN_2, PI, SQRT_2};
use core::fmt;
use serde::{Deserialize, Serialize};

/// One timed drop, on any clock that only runs forward.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Drop {
    /// When the piece was let go, s.
    pub dropped_s: f64,
    /// When it landed, s.
    pub landed_s: f64,
}

/// Where the result is carried to.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Target {
    /// Shape and size of the piece there.
    pub shape: Shape,
    /// Water there, °C (0 to 40).
    pub water_temperature_c: f64,
    /// Depths to time, m (0 to 30), at most 40.
    pub depths_m: Vec<f64>,
}

/// What [`tub_test`] is asked.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct TubTest {
    /// The tin's label.
    pub label: Label,
    /// Share of air, 0 to 0.3.
    pub air_share: f64,
    /// Shape and size of the pieces dropped.
    pub shape: Shape,
    /// From where a piece is let go, just under the surface, to where it lands, m (0.1 to 2).
    pub tub_depth_m: f64,
    /// Water in the tub, °C (0 to 40).
    pub tub_temperature_c: f64,
    /// The drops, at most 50.
    pub drops: Vec<Drop>,
    /// Pieces that were looked at for floating (0 to 10 000).
    pub pieces: u32,
    /// Of these, pieces that came up again when pushed under.
    pub light: u32,
    /// Where the result is carried to, at most 12.
    pub targets: Vec<Target>,
}

/// The fall at one target.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TargetFall {
    /// Steady speed of a typical piece, m/s.
    pub speed_m_per_s: Band,
    /// Steady speed of nine pieces in ten, m/s: the typical piece's band and the pieces' spread together.
    pub piece_speed_m_per_s: Band,
    /// Time of a typical piece to each depth.
    pub falls: Vec<FallTime>,
    /// Time of nine pieces in ten to each depth.
    pub piece_falls: Vec<FallTime>,
}

/// What the drops told.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TubResult {
    /// Drops that were used.
    pub drops: usize,
    /// Places in the list (from 0) of drops that more likely than not fit no piece.
    pub odd_drops: Vec<usize>,
    /// Time of a typical piece through the tub, s, thumb's delay taken off.
    pub tub_time_s: Band,
    /// The same time from the label alone, s; `None` where the label says that it floats.
    pub label_tub_time_s: Option<f64>,
    /// The label's band holds the measured middle; when not, the label, the air, the size or the depth is off.
    pub agrees_with_label: bool,
    /// Excess density of a typical piece over the tub's water, kg/m3.
    pub excess_kg_per_m3: Band,
    /// Spread between pieces as a standard deviation of density, kg/m3.
    pub spread_kg_per_m3: Band,
    /// Spread between pieces as a standard deviation of speed, in shares of the speed.
    pub spread_share: f64,
    /// The fall at each target, in the order asked.
    pub targets: Vec<TargetFall>,
}

/// Tuning numbers of [`tub_test_with`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settings {
    /// Those of the label and of gravity.
    pub sink: sink::Settings,
    /// Probability that a label is far off; default 0.05.
    pub wrong_label_share: f64,
    /// Standard deviation of a density whose label is far off, kg/m3; default 25.
    pub wrong_label_sd_kg_per_m3: f64,
    /// Middle of the spread between pieces, kg/m3; default 3.5.
    pub spread_kg_per_m3: f64,
    /// Standard deviation of the logarithm of that spread; default 0.6 (a factor of 1.8 either way).
    pub spread_ln_sd: f64,
    /// How much later the landing tap is than the drop tap, s; default 0.1 (a landing is seen coming).
    pub late_s: f64,
    /// How much that differs from person to person, standard deviation, s; default 0.05.
    pub late_sd_s: f64,
    /// Error of one drop's two taps together, standard deviation, s; default 0.1.
    pub tap_sd_s: f64,
    /// Error of the tub's depth, standard deviation, m; default 0.003.
    pub depth_sd_m: f64,
    /// Probability that a drop fits no piece; default 0.05.
    pub odd_share: f64,
    /// Doubt in k for each e-fold in Reynolds number between tub and target; default 0.05.
    pub carry_sd: f64,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            sink: sink::Settings::default(),
            wrong_label_share: 0.05,
            wrong_label_sd_kg_per_m3: 25.0,
            spread_kg_per_m3: 3.5,
            spread_ln_sd: 0.6,
            late_s: 0.1,
            late_sd_s: 0.05,
            tap_sd_s: 0.1,
            depth_sd_m: 0.003,
            odd_share: 0.05,
            carry_sd: 0.05,
        }
    }
}

/// Why [`tub_test`] refused.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum TubError {
    /// A number outside what is allowed.
    OutOfRange(OutOfRange),
    /// The bait or a target was refused.
    Sink(SinkError),
    /// More drops than are used.
    TooManyDrops {
        /// How many came.
        came: usize,
    },
    /// More targets than are carried to.
    TooManyTargets {
        /// How many came.
        came: usize,
    },
    /// A drop that landed before it was let go, at once, or not on a clock at all.
    LandedBeforeDrop {
        /// Its place in the list, from 0.
        index: usize,
    },
    /// A drop that took less or more time than one can.
    DropTime {
        /// Its place in the list, from 0.
        index: usize,
        /// How long it took, s.
        seconds: f64,
    },
    /// Times that no piece can have.
    NoFit,
    /// More light pieces than pieces.
    MoreFloatersThanPieces {
        /// Light pieces.
        light: u32,
        /// Pieces.
        pieces: u32,
    },
}

impl From<OutOfRange> for TubError {
    fn from(value: OutOfRange) -> Self {
        Self::OutOfRange(value)
    }
}

impl From<SinkError> for TubError {
    fn from(value: SinkError) -> Self {
        match value {
            SinkError::OutOfRange(range) => Self::OutOfRange(range),
            other => Self::Sink(other),
        }
    }
}

impl fmt::Display for TubError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::OutOfRange(range) => range.fmt(f),
            Self::Sink(error) => error.fmt(f),
            Self::TooManyDrops { came } => {
                write!(f, "A tub test takes at most {MOST_DROPS} drops; {came} were given. Start a new test.")
            }
            Self::TooManyTargets { came } => {
                write!(
                    f,
                    "A tub test is carried to at most {MOST_TARGETS} waters at once; {came} were given."
                )
            }
            Self::LandedBeforeDrop { index } => {
                write!(f, "Drop {} landed before it was let go. Undo it and time it again.", index + 1)
            }
            Self::DropTime { index, seconds } => write!(
                f,
                "Drop {} took {} s; a drop takes {} to {} s. Undo it and time it again.",
                index + 1,
                super::short(*seconds),
                super::short(DROP_S.0),
                super::short(DROP_S.1)
            ),
            Self::NoFit => {
                write!(
                    f,
                    "No piece can fall so fast. Check the tub's depth, the size of the piece and the drops."
                )
            }
            Self::MoreFloatersThanPieces { light, pieces } => {
                write!(
                    f,
                    "{light} pieces came up again out of {pieces}; give at least as many pieces as floaters."
                )
            }
        }
    }
}

impl Fault for TubError {
    fn code(&self) -> &'static str {
        match self {
            Self::OutOfRange(range) => range.code(),
            Self::Sink(error) => error.code(),
            Self::TooManyDrops { .. } | Self::TooManyTargets { .. } => "too_many",
            Self::LandedBeforeDrop { .. } => "landed_before_drop",
            Self::DropTime { .. } => "drop_time",
            Self::NoFit => "no_fit",
            Self::MoreFloatersThanPieces { .. } => "more_floaters_than_pieces",
        }
    }

    fn field(&self) -> String {
        match self {
            Self::OutOfRange(range) => range.field.to_owned(),
            Self::Sink(error) => error.field(),
            Self::TooManyDrops { .. } | Self::NoFit => "drops".to_owned(),
            Self::TooManyTargets { .. } => "targets".to_owned(),
            Self::LandedBeforeDrop { index } | Self::DropTime { index, .. } => {
                let mut field = String::from("drops[");
                field.push_str(&index.to_string());
                field.push(']');
                field
            }
            Self::MoreFloatersThanPieces { .. } => "light".to_owned(),
        }
    }
}

/// The most drops of one test.
pub const MOST_DROPS: usize = 50;
const MOST_TARGETS: usize = 12;
const DROP_S: (f64, f64) = (0.3, 120.0);
/// Nodes in the logarithm of the tub's typical time, in excess density and in spread.
const TIMES: usize = 48;
const EXCESSES: usize = 32;
const SPREADS: usize = 10;
/// The lightest typical piece that is considered, kg/m3: those below it are not timed.
const LEAST_EXCESS: f64 = 1.0;

/// Learns from timed drops, with the default [`Settings`].
///
/// # Errors
/// A number outside its range, a label over 100 g, more than 50 drops, a landing before its drop, more floaters than
/// pieces.
pub fn tub_test(test: &TubTest) -> Result<TubResult, TubError> {
    tub_test_with(test, &Settings::default())
}

/// Learns from timed drops.
///
/// # Errors
/// As [`tub_test`].
pub fn tub_test_with(test: &TubTest, settings: &Settings) -> Result<TubResult, TubError> {
    check(test)?;
    let g = settings.sink.g_m_per_s2;
    let tub = StillWater::new(test.shape, test.tub_temperature_c, g);
    let made_of = test.label.composition()?;
    let label_excess = |t_c: f64, water: f64| made_of.density_kg_per_m3(t_c) * (1.0 - test.air_share) - water;
    let expected = label_excess(test.tub_temperature_c, tub.water_kg_per_m3);
    let nodes = excess_nodes(expected, &tub, settings);
    let times: Vec<f64> =
        test.drops.iter().map(|d| (d.landed_s - d.dropped_s - settings.late_s).max(0.05)).collect();
    let posterior = Posterior::new(test, settings, &nodes, &times);
    if posterior.total <= 0.0 {
        return Err(TubError::NoFit);
    }
    let tub_ln = posterior.quantiles(|r, u| nodes[r].ln_speed + posterior.ln_k[r * TIMES + u]);
    let tub_reynolds = tub.reynolds(tub_ln.mid.exp());

    let tub_time = posterior.quantiles(|_, u| -posterior.times[u]);
    let tub_time_s = Band { low: tub_time.low.exp(), mid: tub_time.mid.exp(), high: tub_time.high.exp() };
    let label_band = sink::sink_with(
        &sink::SinkRequest {
            matter: Matter::Label { label: test.label, air_share: test.air_share },
            shape: test.shape,
            water_temperature_c: test.tub_temperature_c,
            depths_m: vec![test.tub_depth_m],
        },
        &settings.sink,
    )?;
    let label_time = label_band.falls[0];
    let spread_share = posterior.spread_share;
    let mut targets = Vec::with_capacity(test.targets.len());
    for target in &test.targets {
        let water = StillWater::new(target.shape, target.water_temperature_c, g);
        let shift = label_excess(target.water_temperature_c, water.water_kg_per_m3) - expected;
        targets.push(carry(target, &water, shift, &posterior, tub_reynolds, settings));
    }
    Ok(TubResult {
        drops: test.drops.len(),
        odd_drops: posterior.odd_drops(&times, settings),
        tub_time_s,
        label_tub_time_s: label_time.mid_s,
        agrees_with_label: label_time.low_s.is_some_and(|low| low <= tub_time_s.mid)
            && label_time.high_s.is_none_or(|high| tub_time_s.mid <= high),
        excess_kg_per_m3: posterior.excess(),
        spread_kg_per_m3: posterior.spread(),
        spread_share,
        targets,
    })
}

fn check(test: &TubTest) -> Result<(), TubError> {
    within("air_share", "share of air", test.air_share, (0.0, 0.3), "")?;
    test.shape.check()?;
    within("tub_depth_m", "depth of the tub", test.tub_depth_m, (0.1, 2.0), "m")?;
    within("tub_temperature_c", "temperature of the tub", test.tub_temperature_c, (0.0, 40.0), "°C")?;
    if test.drops.len() > MOST_DROPS {
        return Err(TubError::TooManyDrops { came: test.drops.len() });
    }
    for (index, drop) in test.drops.iter().enumerate() {
        let seconds = drop.landed_s - drop.dropped_s;
        if !seconds.is_finite() || seconds <= 0.0 {
            return Err(TubError::LandedBeforeDrop { index });
        }
        if seconds < DROP_S.0 || seconds > DROP_S.1 {
            return Err(TubError::DropTime { index, seconds });
        }
    }
    within("pieces", "number of pieces", test.pieces.into(), (0.0, 10_000.0), "")?;
    if test.light > test.pieces {
        return Err(TubError::MoreFloatersThanPieces { light: test.light, pieces: test.pieces });
    }
    if test.targets.len() > MOST_TARGETS {
        return Err(TubError::TooManyTargets { came: test.targets.len() });
    }
    for target in &test.targets {
        target.shape.check()?;
        let t_c = target.water_temperature_c;
        within("targets.water_temperature_c", "water temperature", t_c, (0.0, 40.0), "°C")?;
        if target.depths_m.len() > sink::MOST_DEPTHS {
            let (came, most) = (target.depths_m.len(), sink::MOST_DEPTHS);
            return Err(SinkError::TooManyDepths { came, most }.into());
        }
        for &depth in &target.depths_m {
            within("targets.depths_m", "depth", depth, (0.0, 30.0), "m")?;
        }
    }
    Ok(())
}

/// One value of the excess density, with all that depends on it alone.
struct Node {
    excess: f64,
    /// Prior weight: density times the width of the node.
    weight: f64,
    /// Logarithm of the speed by the middle law, m/s.
    ln_speed: f64,
    /// Standard deviation of ln k below and above 0.
    ln_k_sd: (f64, f64),
    /// First acceleration, m/s2.
    acceleration: f64,
    /// d ln speed / d ln excess.
    exponent: f64,
}

/// Excess densities around the label's, close together in the middle and far apart at the ends.
fn excess_nodes(expected: f64, tub: &StillWater, settings: &Settings) -> Vec<Node> {
    let normal = |sd: f64, x: f64| (-0.5 * (x / sd) * (x / sd)).exp() / sd;
    let step = 7.2 / (EXCESSES - 1) as f64;
    // What was timed has sunk: around a label that says it floats, the nodes start at the water's own density.
    let middle = expected.max(0.0);
    let mut nodes: Vec<Node> = (0..EXCESSES)
        .filter_map(|i| {
            let z = -3.6 + step * i as f64;
            let excess = middle + settings.sink.label_sd_kg_per_m3 / 1.2 * z.sinh();
            let off = excess - expected;
            if excess < LEAST_EXCESS {
                return None;
            }
            let density = (1.0 - settings.wrong_label_share) * normal(settings.sink.label_sd_kg_per_m3, off)
                + settings.wrong_label_share * normal(settings.wrong_label_sd_kg_per_m3, off);
            let laws = tub.law_speeds(excess);
            let drag = tub.drag_factors(laws);
            Some(Node {
                excess,
                weight: density * z.cosh(),
                ln_speed: laws.mid.ln(),
                ln_k_sd: (-drag.low.ln() / Z90, drag.high.ln() / Z90),
                acceleration: tub.acceleration_m_per_s2(excess),
                exponent: 0.5,
            })
        })
        .collect();
    // From 1/2 (constant drag coefficient) to 1 (Stokes), by differences between neighbours.
    for i in 0..nodes.len() {
        let (a, b) = (&nodes[i.saturating_sub(1)], &nodes[(i + 1).min(nodes.len() - 1)]);
        let exponent = (b.ln_speed - a.ln_speed) / (b.excess / a.excess).ln();
        nodes[i].exponent = if exponent.is_finite() { exponent.clamp(0.4, 1.0) } else { 0.5 };
    }
    nodes
}

/// What is left open after the drops, on the grid.
struct Posterior<'a> {
    nodes: &'a [Node],
    /// u: minus the logarithm of the tub's typical time, 1/s.
    times: Vec<f64>,
    /// Weight of (node, u), node by node.
    weights: Vec<f64>,
    /// ln k of (node, u), node by node.
    ln_k: Vec<f64>,
    /// Spread of ln speed at each spread node, and the weight of (node, spread).
    spreads: [f64; SPREADS],
    spread_weights: Vec<f64>,
    spread_share: f64,
    /// d ln speed / d ln excess in the middle.
    exponent: f64,
    /// All weight together.
    total: f64,
}

impl<'a> Posterior<'a> {
    fn new(test: &TubTest, settings: &Settings, nodes: &'a [Node], times_s: &[f64]) -> Self {
        let spreads: [f64; SPREADS] =
            core::array::from_fn(|k| 0.015 * (0.5_f64 / 0.015).powf(k as f64 / (SPREADS - 1) as f64));
        let y: Vec<f64> = times_s.iter().map(|t| -t.ln()).collect();
        let exponent = nodes.get(nodes.len() / 2).map_or(0.5, |node| node.exponent);
        let shared = shared_sd(test, settings, times_s);
        let times = time_grid(test, nodes, &y, shared);
        let likelihood =
            smooth(&likelihood(&times, &spreads, &y, times_s, exponent, settings), &times, shared);

        let mut weights = vec![0.0; nodes.len() * TIMES];
        let mut ln_k = vec![0.0; nodes.len() * TIMES];
        let mut spread_weights = vec![0.0; nodes.len() * SPREADS];
        for (r, node) in nodes.iter().enumerate() {
            let prior: [f64; SPREADS] = core::array::from_fn(|k| {
                let kg_per_m3 = spreads[k] * node.excess / node.exponent;
                let z = (kg_per_m3 / settings.spread_kg_per_m3).ln() / settings.spread_ln_sd;
                (-0.5 * z * z).exp() * floater_likelihood(node.exponent / spreads[k], test.pieces, test.light)
            });
            for (u, &minus_ln_t) in times.iter().enumerate() {
                let Some((ln, jacobian)) = ln_factor(test.tub_depth_m, (-minus_ln_t).exp(), node) else {
                    continue;
                };
                let sd = if ln < 0.0 { node.ln_k_sd.0 } else { node.ln_k_sd.1 };
                let before = node.weight * (-0.5 * (ln / sd) * (ln / sd)).exp() / sd * jacobian;
                let row = &likelihood[u * SPREADS..(u + 1) * SPREADS];
                let mut sum = 0.0;
                for ((likely, prior), spread) in
                    row.iter().zip(&prior).zip(&mut spread_weights[r * SPREADS..(r + 1) * SPREADS])
                {
                    let w = likely * prior;
                    sum += w;
                    *spread += before * w;
                }
                weights[r * TIMES + u] = before * sum;
                ln_k[r * TIMES + u] = ln;
            }
        }
        let total: f64 = spread_weights.iter().sum();
        let square: f64 = spread_weights
            .chunks(SPREADS)
            .map(|row| row.iter().zip(&spreads).map(|(w, s)| w * s * s).sum::<f64>())
            .sum();
        let spread_share = if total > 0.0 { (square / total).sqrt() } else { 0.0 };
        Self { nodes, times, weights, ln_k, spreads, spread_weights, spread_share, exponent, total }
    }

    /// 5th, 50th and 95th percentile of a function of (node, u).
    fn quantiles(&self, of: impl Fn(usize, usize) -> f64) -> Band {
        let mut values = Vec::with_capacity(self.weights.len());
        for r in 0..self.nodes.len() {
            for u in 0..TIMES {
                let w = self.weights[r * TIMES + u];
                if w > 0.0 {
                    values.push((of(r, u), w));
                }
            }
        }
        weighted_quantiles(&values)
    }

    fn excess(&self) -> Band {
        let values: Vec<(f64, f64)> = self
            .nodes
            .iter()
            .zip(self.weights.chunks(TIMES))
            .map(|(node, row)| (node.excess, row.iter().sum()))
            .collect();
        weighted_quantiles(&values)
    }

    fn spread(&self) -> Band {
        let mut values = Vec::with_capacity(self.spread_weights.len());
        for (node, row) in self.nodes.iter().zip(self.spread_weights.chunks(SPREADS)) {
            for (s, &w) in self.spreads.iter().zip(row) {
                values.push(((s * node.excess / node.exponent).ln(), w));
            }
        }
        let ln = weighted_quantiles(&values);
        Band { low: ln.low.exp(), mid: ln.mid.exp(), high: ln.high.exp() }
    }

    /// Drops that the wide curve explains better than the typical piece with its spread.
    fn odd_drops(&self, times_s: &[f64], settings: &Settings) -> Vec<usize> {
        let middle = self.quantiles(|_, u| self.times[u]).mid;
        let odd = |&(_, &t): &(usize, &f64)| {
            let sd = self.spread_share.hypot(settings.tap_sd_s / t);
            let z = -t.ln() - middle;
            fitting(z, sd) * (1.0 - settings.odd_share) < wide(z) * settings.odd_share
        };
        times_s.iter().enumerate().filter(odd).map(|(i, _)| i).collect()
    }
}

/// What all drops share, as a standard deviation of the logarithm of time.
fn shared_sd(test: &TubTest, settings: &Settings, times_s: &[f64]) -> f64 {
    let depth = settings.depth_sd_m / test.tub_depth_m;
    if times_s.is_empty() { depth } else { depth.hypot(settings.late_sd_s / median(times_s.to_vec())) }
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    let n = values.len();
    match (values.get(n / 2), values.get(n.saturating_sub(1) / 2)) {
        (Some(a), Some(b)) => 0.5 * (a + b),
        _ => 0.0,
    }
}

/// Where the tub's typical time may lie: around the drops' median, and with few drops around the label's too.
fn time_grid(test: &TubTest, nodes: &[Node], y: &[f64], shared: f64) -> Vec<f64> {
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    if !y.is_empty() {
        let middle = median(y.to_vec());
        let apart = median(y.iter().map(|v| (v - middle).abs()).collect());
        let sd = (1.5 * apart).max(0.1);
        let reach = (6.0 * (1.25 * sd / (y.len() as f64).sqrt()).hypot(shared)).max(0.06);
        (low, high) = (middle - reach, middle + reach);
    }
    if y.len() <= 1 {
        let (mut total, mut sum) = (1e-300, 0.0);
        for node in nodes {
            total += node.weight;
            sum += node.weight * (node.ln_speed - test.tub_depth_m.ln());
        }
        let middle = sum / total;
        low = low.min(middle - 1.0);
        high = high.max(middle + 0.8);
    }
    (0..TIMES).map(|i| low + (high - low) * i as f64 / (TIMES - 1) as f64).collect()
}

/// Density of a drop that is a piece like the others.
fn fitting(z: f64, sd: f64) -> f64 {
    (-0.5 * (z / sd) * (z / sd)).exp() / (sd * (2.0 * PI).sqrt())
}

/// Density of a drop that fits no piece: Cauchy's curve, half its mass within a factor of 1.65 of the typical time.
fn wide(z: f64) -> f64 {
    const WIDTH: f64 = 0.5;
    WIDTH / (PI * (z * z + WIDTH * WIDTH))
}

/// Likelihood of all drops at each (u, spread), up to a common factor.
fn likelihood(
    times: &[f64],
    spreads: &[f64],
    y: &[f64],
    times_s: &[f64],
    exponent: f64,
    settings: &Settings,
) -> Vec<f64> {
    let mut table = vec![1.0; times.len() * spreads.len()];
    for (&y, &t) in y.iter().zip(times_s) {
        let tap = settings.tap_sd_s / t;
        let curve: Vec<(f64, f64, f64)> = spreads
            .iter()
            .map(|s| {
                let sd = s.hypot(tap);
                // Speed bends with density: pieces spread evenly in density are on the whole slower than the typical
                // piece, by sd2/(2 exponent) in the logarithm.
                let slower = (0.5 * s * s / exponent).min(0.1);
                (slower, (1.0 - settings.odd_share) / (sd * (2.0 * PI).sqrt()), -0.5 / (sd * sd))
            })
            .collect();
        for (&u, row) in times.iter().zip(table.chunks_mut(spreads.len())) {
            let z = y - u;
            let odd = settings.odd_share * wide(z);
            for (&(slower, top, inside), cell) in curve.iter().zip(row) {
                let z = z + slower;
                // Fifty factors between 1e-5 and 30 stay far inside the range of a float.
                *cell *= top * (inside * z * z).exp() + odd;
            }
        }
    }
    let most = table.iter().copied().fold(0.0, f64::max);
    if most > 0.0 {
        for cell in &mut table {
            *cell /= most;
        }
    }
    table
}

/// The likelihood with what all drops share: each column smoothed along u by a normal curve of that width.
fn smooth(table: &[f64], times: &[f64], sd: f64) -> Vec<f64> {
    let (Some(first), Some(last)) = (times.first(), times.last()) else { return table.to_vec() };
    let step = (last - first) / (TIMES - 1) as f64;
    let reach = super::whole((4.0 * sd / step).ceil()) as usize;
    if reach == 0 {
        return table.to_vec();
    }
    let taps: Vec<f64> = (0..=reach)
        .map(|j| {
            let z = j as f64 * step / sd;
            (-0.5 * z * z).exp()
        })
        .collect();
    let mut out = vec![0.0; table.len()];
    for u in 0..TIMES {
        let (from, to) = (u.saturating_sub(reach), (u + reach).min(TIMES - 1));
        // Beyond the ends the likelihood is taken as nothing, so the taps are not made to add up to 1 there.
        for v in from..=to {
            let tap = taps[u.abs_diff(v)];
            for k in 0..SPREADS {
                out[u * SPREADS + k] += tap * table[v * SPREADS + k];
            }
        }
    }
    out
}

/// ln k that takes a piece of this excess through `depth_m` in `time_s` from rest, and |d ln k / d ln time|.
///
/// With v = k V the time is (depth + ln 2 v2/a)/v, where v2/a does not depend on the excess (see
/// [`crate::physics::settle::time_from_rest_s`], its long-fall end): a quadratic in v. `None` when no speed is so fast.
fn ln_factor(depth_m: f64, time_s: f64, node: &Node) -> Option<(f64, f64)> {
    let c = LN_2 / node.acceleration;
    let root = time_s * time_s - 4.0 * c * depth_m;
    if root <= 0.0 {
        return None;
    }
    let root = root.sqrt();
    Some(((2.0 * depth_m / (time_s + root)).ln() - node.ln_speed, time_s / root))
}

/// Likelihood of `light` light pieces of `pieces`, when a piece is light below `-depth` standard deviations; a rogue
/// piece (a lump of fat, a void) is light anyway, and how many are rogue is left open.
fn floater_likelihood(depth: f64, pieces: u32, light: u32) -> f64 {
    const ROGUES: [(f64, f64); 4] = [(0.002, 0.4), (0.01, 0.3), (0.04, 0.2), (0.12, 0.1)];
    if pieces == 0 {
        return 1.0;
    }
    let lighter = normal_below(-depth);
    ROGUES
        .iter()
        .map(|&(rogue, weight)| {
            let p = rogue + (1.0 - rogue) * lighter;
            // The logarithm keeps hundreds of pieces inside the range of a float; the worst, 10 000 of them, may be 0
            // for all but the best spread, which is right.
            let ln = f64::from(light) * p.ln() + f64::from(pieces - light) * (-p).ln_1p();
            weight * (ln - best_ln(pieces, light)).exp()
        })
        .sum()
}

/// The largest the binomial logarithm can be.
fn best_ln(pieces: u32, light: u32) -> f64 {
    let (n, k) = (f64::from(pieces), f64::from(light));
    let term = |x: f64| if x > 0.0 { x * (x / n).ln() } else { 0.0 };
    term(k) + term(n - k)
}

/// Share of a normal distribution below `z`.
///
/// # Source
/// Abramowitz and Stegun 1964, 7.1.26 (error below 1.5e-7).
fn normal_below(z: f64) -> f64 {
    let x = z.abs() / SQRT_2;
    let t = 1.0 / (1.0 + 0.3275911 * x);
    let poly =
        t * (0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429))));
    let tail = 0.5 * poly * (-x * x).exp();
    if z < 0.0 { tail } else { 1.0 - tail }
}

/// 5th, 50th and 95th percentile of weighted values, by a histogram of 512 bins with the weight spread evenly in each.
fn weighted_quantiles(values: &[(f64, f64)]) -> Band {
    const BINS: usize = 512;
    let total: f64 = values.iter().map(|v| v.1).sum();
    // Values without weight are left out of the range, so that the bins are narrow where the weight is.
    let seen = values.iter().filter(|v| v.1 > 1e-9 * total);
    let (low, high) = seen.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v.0), b.max(v.0)));
    if low.is_nan() || high <= low {
        let only = if low.is_finite() { low } else { 0.0 };
        return Band { low: only, mid: only, high: only };
    }
    let scale = (BINS - 1) as f64 / (high - low);
    let mut bins = [0.0; BINS];
    for &(value, weight) in values {
        let place = ((value - low) * scale).clamp(0.0, (BINS - 1) as f64);
        let whole = place.floor();
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to the bins")]
        let index = (whole as usize).min(BINS - 2);
        let part = place - index as f64;
        bins[index] += weight * (1.0 - part);
        bins[index + 1] += weight * part;
    }
    let at = |share: f64| {
        let wanted = share * total;
        let mut sum = 0.0;
        for (i, weight) in bins.iter().enumerate() {
            if sum + weight >= wanted && *weight > 0.0 {
                return low + (i as f64 - 0.5 + (wanted - sum) / weight) / scale;
            }
            sum += weight;
        }
        high
    };
    Band { low: at(0.05), mid: at(0.5), high: at(0.95) }
}

/// The fall at one target.
fn carry(
    target: &Target,
    water: &StillWater,
    shift: f64,
    posterior: &Posterior<'_>,
    tub_reynolds: f64,
    settings: &Settings,
) -> TargetFall {
    let ln_speeds: Vec<f64> = posterior
        .nodes
        .iter()
        .map(|node| {
            let excess = node.excess + shift;
            // A node that would float at the target counts as hardly sinking, slower than all others.
            water.law_speeds(excess.max(LEAST_EXCESS / 5.0)).mid.ln()
        })
        .collect();
    let excess = posterior.excess().mid + shift;
    let ln = posterior.quantiles(|r, u| ln_speeds[r] + posterior.ln_k[r * TIMES + u]);
    let doubt = settings.carry_sd * (water.reynolds(ln.mid.exp()) / tub_reynolds).ln().abs();
    let widened = |slow: f64, fast: f64| {
        let (down, up) = ((ln.mid - ln.low).hypot(slow), (ln.high - ln.mid).hypot(fast));
        Band { low: (ln.mid - down).exp(), mid: ln.mid.exp(), high: (ln.mid + up).exp() }
    };
    let speed = widened(Z90 * doubt, Z90 * doubt);
    // Pieces spread evenly in density, so further on the slow side in the logarithm of speed.
    let e = posterior.exponent;
    let apart = Z90 * posterior.spread_share / e;
    let (slower, faster) = (-e * (1.0 - apart).max(0.05).ln(), e * apart.ln_1p());
    let piece = widened((Z90 * doubt).hypot(slower), (Z90 * doubt).hypot(faster));
    let times = |speed: Band| {
        let time = |depth_m: f64, v: f64| water.time_s(depth_m, v, excess);
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
