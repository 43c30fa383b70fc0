//! Simulated tub tests, for the native test and for `tests/bench/tub.rs`.
//!
//! Written apart from the inference: each piece has a density of its own, its speed is solved from the public drag laws
//! and it is timed from rest. The tin's label, its drag, the spread of its pieces, the thumb and the depth are drawn from
//! the beliefs that [`TubSettings`] states. In a cell the tin has the cell's excess density and its label is as far off as
//! stated, so that no cell is helped by a label that knows.

#![allow(dead_code, reason = "the table and the test print different parts")]

use dotdown::bait::material::{LabelDoubt, Matter};
use dotdown::bait::shape::Shape;
use dotdown::bait::sink::{SinkRequest, sink};
use dotdown::bait::tub_test::{Drop, MAX_SECONDS, ROGUES, Target, TubSettings, TubTest, tub_test_with};
use dotdown::estimate::{Estimate, Z90};
use dotdown::physics::settling::time_from_rest_s;
use dotdown::physics::water;

/// Marsaglia's xorshift 64, and Box and Muller's normal numbers.
pub(crate) struct Dice(pub(crate) u64);

impl Dice {
    pub(crate) fn unit(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64 + 1e-17
    }
    pub(crate) fn normal(&mut self) -> f64 {
        (-2.0 * self.unit().ln()).sqrt() * (core::f64::consts::TAU * self.unit()).cos()
    }
}

/// What is simulated.
#[derive(Clone, Copy)]
pub(crate) struct Cell {
    pub(crate) edge_mm: f64,
    pub(crate) water_c: f64,
    /// Excess density of a typical piece, kg/m3; drawn around a label of 34 kg/m3 where it is not given.
    pub(crate) excess: Option<f64>,
    pub(crate) drops: usize,
    /// Pieces looked at for floating.
    pub(crate) looked_at: u32,
    /// How well the depth of the tub is known, m.
    pub(crate) depth_sd_m: f64,
    pub(crate) settings: TubSettings,
}

impl Default for Cell {
    fn default() -> Self {
        let settings = TubSettings::default();
        Self {
            edge_mm: 6.0,
            water_c: 16.0,
            excess: None,
            drops: 10,
            looked_at: 30,
            depth_sd_m: 0.003,
            settings,
        }
    }
}

/// What came of many tins of one cell: shares and medians.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Tally {
    /// The band of the speed holds the truth; the band of the excess density does.
    pub(crate) speed: f64,
    pub(crate) excess: f64,
    /// Median error of the speed, and of that which ten exact drops of the same pieces would tell (their mean density).
    pub(crate) error: f64,
    pub(crate) floor: f64,
    /// The same error where a typical piece takes more than 5 s, and how many those are.
    pub(crate) slow_error: f64,
    pub(crate) slow: usize,
    pub(crate) depth_share: f64,
    /// Median time of a typical piece, s.
    pub(crate) time_s: f64,
}

const TUB_M: f64 = 0.3;

pub(crate) fn simulate(cell: &Cell, count: usize, dice: &mut Dice) -> Tally {
    let Cell { edge_mm, water_c, settings, .. } = *cell;
    let shape = Shape::Cube { edge_mm };
    let water = water::density_kg_per_m3(water_c);
    let laws_of = |excess: f64| {
        let matter = Matter::Density { kg_per_m3: water + excess, sd_kg_per_m3: 0.0 };
        sink(&SinkRequest { matter, shape, water_temperature_c: water_c, depths_m: vec![] }).unwrap()
    };
    let time = |excess: f64, k: f64, depth_m: f64| {
        let a = excess * 9.80665 / (excess + (1.0 + shape.added_mass()) * water);
        // What nobody would see fall does not land.
        let seen = Some(k * laws_of(excess).speed_m_per_s.mid).filter(|speed| *speed > 0.0);
        seen.map_or(f64::INFINITY, |speed| time_from_rest_s(depth_m, speed, a))
    };
    let label_sd = LabelDoubt::default().density_sd_kg_per_m3(water);
    let (mut speed_in, mut excess_in) = (0, 0);
    let (mut errors, mut floors, mut slow, mut shares, mut times) = (vec![], vec![], vec![], vec![], vec![]);
    for _ in 0..count {
        let wrong = dice.unit() < settings.wrong_label_share;
        let off = if wrong { settings.wrong_label_sd_kg_per_m3 } else { label_sd } * dice.normal();
        let excess = cell.excess.unwrap_or(34.0 + off);
        let label = cell.excess.map_or(34.0, |excess| excess - off);
        let spread = settings.spread_kg_per_m3 * (settings.spread_ln_sd * dice.normal()).exp();
        let laws = laws_of(excess.max(0.3));
        let (slowest, fastest) = shape.law_margins();
        let counted = laws.laws.iter().filter(|law| law.in_band);
        let speeds: Vec<f64> = counted.map(|law| law.speed_m_per_s / laws.speed_m_per_s.mid).collect();
        let low = slowest * speeds.iter().copied().fold(1.0, f64::min);
        let high = fastest * speeds.iter().copied().fold(1.0, f64::max);
        let z = dice.normal();
        let k = (z / Z90 * if z < 0.0 { -low.ln() } else { high.ln() }).exp();
        let late = settings.late_s + settings.late_sd_s * dice.normal();
        let depth_m = TUB_M + cell.depth_sd_m * dice.normal();

        let (mut drops, mut sum) = (Vec::new(), 0.0);
        for _ in 0..100 * cell.drops {
            let piece = excess + spread * dice.normal();
            if piece <= 0.0 || drops.len() == cell.drops {
                continue;
            }
            let seconds = time(piece, k, depth_m) + late + settings.tap_sd_s * dice.normal();
            drops.push(Drop { dropped_s: 0.0, landed_s: seconds.clamp(0.31, MAX_SECONDS) });
            sum += piece;
        }
        let chosen = dice.unit();
        let mut below = 0.0;
        let rogue = ROGUES.iter().find(|(_, weight)| {
            below += weight;
            chosen < below
        });
        let rogue = rogue.map_or(0.12, |(share, _)| *share);
        let light = (0..cell.looked_at)
            .filter(|_| excess + spread * dice.normal() <= 0.0 || dice.unit() < rogue)
            .count();
        let mean = sum / drops.len().max(1) as f64;
        let told = tub_test_with(
            &TubTest {
                matter: Matter::Density { kg_per_m3: water + label, sd_kg_per_m3: label_sd },
                shape,
                tub_depth_m: TUB_M,
                tub_depth_sd_m: cell.depth_sd_m,
                tub_temperature_c: water_c,
                drops,
                pieces: cell.looked_at,
                light: u32::try_from(light).unwrap(),
                targets: vec![Target { shape, water_temperature_c: water_c, depths_m: vec![] }],
            },
            &settings,
        )
        .unwrap();
        let holds = |band: Estimate, truth: f64| usize::from(band.low <= truth && truth <= band.high);
        let speed_of = |excess: f64| if excess > 0.0 { k * laws_of(excess).speed_m_per_s.mid } else { 0.0 };
        let (truth, band) = (speed_of(excess), told.targets[0].speed_m_per_s);
        speed_in += holds(band, truth);
        excess_in += if told.floats_share >= 1.0 {
            usize::from(excess <= 0.0)
        } else {
            holds(told.excess_kg_per_m3, excess)
        };
        if truth > 0.0 {
            let error = (band.mid / truth - 1.0).abs();
            errors.push(error);
            floors.push((speed_of(mean) / truth - 1.0).abs());
            times.push(time(excess, k, TUB_M));
            if times[times.len() - 1] > 5.0 {
                slow.push(error);
            }
            shares.push(told.depth_share);
        }
    }
    Tally {
        speed: speed_in as f64 / count as f64,
        excess: excess_in as f64 / count as f64,
        error: median(&mut errors),
        floor: median(&mut floors),
        slow: slow.len(),
        slow_error: median(&mut slow),
        depth_share: median(&mut shares),
        time_s: median(&mut times),
    }
}

fn median(values: &mut [f64]) -> f64 {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or(0.0)
}
