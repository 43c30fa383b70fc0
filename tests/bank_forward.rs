//! The filter against a dense textbook forward algorithm, and its 90 % band against a truth drawn from its
//! own model.
//!
//! Source: Rabiner 1989, Proc. IEEE 77:257–286, eqs. 19–21, written out plainly here with a full transition
//! matrix and with every exposure summed directly along the path of the hook bait, without the tables,
//! squarings and lazy steps of the filter. Random logs of casts, feeds, bites, fish, swaps and pauses between
//! taps. Tolerance: 1e-9 on every probability. Left out: sessions in which lowering is never said, and undo,
//! which have their own tests.

#![allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_possible_wrap,
    clippy::float_cmp,
    reason = "small counts, and values that must come back exactly"
)]

use crate::common::seeds;
use dotdown::session::depth_filter::{Belief, Bite, FilterSettings, Guess, Model, Path, Witness};
use dotdown::session::{Event, EventKind, RigSetup, Session, SessionSetup};

const START_MS: f64 = 1_900_000_000_000.0;

/// A guess of the filter, with how long before their taps it has missed bites come, and its chance before any evidence.
#[derive(Clone, Copy)]
struct Way {
    guess: Guess,
    told_s: (f64, f64),
    late: bool,
    chance: f64,
}

struct Dense {
    settings: FilterSettings,
    cells: usize,
    cell_m: f64,
    depth_m: f64,
    levels: Vec<f64>,
    rigs: Vec<RigSetup>,
    jump_to: Vec<f64>,
    ways: Vec<Way>,
    /// p[state], state = (way · levels + level) · cells + cell.
    p: Vec<f64>,
    at_s: f64,
    last_tap_s: f64,
    rig: usize,
    lowered_s: Option<f64>,
    out_s: Option<f64>,
    casts_s: Vec<f64>,
}

impl Dense {
    fn new(setup: &SessionSetup) -> Self {
        let settings = setup.depth.clone();
        let depth_m = setup.water_depth_m;
        let cells = (depth_m / settings.cell_m - 1e-9).ceil() as usize;
        let cell_m = depth_m / cells as f64;
        let levels: Vec<f64> = (0..settings.activity_levels)
            .map(|level| 2.0_f64.powi(level as i32 - (settings.activity_levels / 2) as i32))
            .collect();
        let inside = |cell: usize, from: f64, to: f64| {
            let (top, bottom) = (cell as f64 * cell_m, (cell + 1) as f64 * cell_m);
            (bottom.min(to) - top.max(from)).max(0.0)
        };
        let share =
            |cell: usize, from: f64, to: f64| inside(cell, from, to) / (to.min(depth_m) - from.max(0.0));
        let jump_to: Vec<f64> = (0..cells)
            .map(|cell| {
                settings.shallow_share * share(cell, settings.shallow_band_m.0, settings.shallow_band_m.1)
                    + settings.bottom_share * share(cell, depth_m - settings.bottom_band_m, depth_m)
                    + (1.0 - settings.shallow_share - settings.bottom_share) * share(cell, 0.0, depth_m)
            })
            .collect();
        let weights: Vec<f64> = levels.iter().map(|level| 0.5_f64.powf(level.log2().abs())).collect();
        let total: f64 = weights.iter().sum();
        let mut ways: Vec<Way> = Vec::new();
        for &guess in &settings.guesses {
            // At rest at once, no bite tells when it came.
            let late_s = if guess.fall > 0.0 { settings.late_s.clone() } else { Vec::new() };
            let whole = 1.0 / settings.guesses.len() as f64;
            let prompt = whole * (1.0 - settings.late_chance * late_s.len() as f64);
            ways.push(Way { guess, told_s: (0.0, settings.reaction_s), late: false, chance: prompt });
            let late = |told_s| Way { guess, told_s, late: true, chance: whole * settings.late_chance };
            ways.extend(late_s.into_iter().map(late));
        }
        let mut p = Vec::new();
        for way in &ways {
            for weight in &weights {
                p.extend(jump_to.iter().map(|to| to * weight / total * way.chance));
            }
        }
        Self {
            settings,
            cells,
            cell_m,
            depth_m,
            levels,
            rigs: setup.rigs.clone(),
            jump_to,
            ways,
            p,
            at_s: 0.0,
            last_tap_s: 0.0,
            rig: setup.first_rig as usize,
            lowered_s: None,
            out_s: None,
            casts_s: Vec::new(),
        }
    }

    fn states(&self) -> impl Iterator<Item = (Way, f64, f64)> + '_ {
        self.ways.iter().flat_map(move |&way| {
            self.levels.iter().flat_map(move |&level| {
                (0..self.cells).map(move |cell| (way, level, (cell as f64 + 0.5) * self.cell_m))
            })
        })
    }

    /// The full transition matrix of one step, built from its three parts, applied to p.
    fn step(&mut self, dt_s: f64) {
        let s = &self.settings;
        let (n, levels) = (self.cells, self.levels.len());
        let drift = (s.drift_m_per_sqrt_s.powi(2) * dt_s / 2.0 / self.cell_m.powi(2)).min(0.25);
        let jump = 1.0 - (-dt_s / s.jump_every_s).exp();
        let shift = 0.5 * (1.0 - (-dt_s / s.activity_every_s).exp());
        let mut depth = vec![vec![0.0; n]; n];
        for from in 0..n {
            let mut drifted = vec![0.0; n];
            drifted[from] += 1.0 - 2.0 * drift;
            drifted[from.saturating_sub(1)] += drift;
            drifted[(from + 1).min(n - 1)] += drift;
            for to in 0..n {
                depth[from][to] = (1.0 - jump) * drifted[to] + jump * self.jump_to[to];
            }
        }
        // Activity: levels 0 and 1 exchange, then 1 and 2, and so on; one matrix product after another.
        let mut activity: Vec<Vec<f64>> =
            (0..levels).map(|a| (0..levels).map(|b| f64::from(u8::from(a == b))).collect()).collect();
        for pair in 1..levels {
            for row in &mut activity {
                let (low, high) = (row[pair - 1], row[pair]);
                row[pair - 1] = (1.0 - shift) * low + shift * high;
                row[pair] = (1.0 - shift) * high + shift * low;
            }
        }
        let mut next = vec![0.0; self.p.len()];
        for band in 0..self.ways.len() {
            for (a, row) in activity.iter().enumerate() {
                for (from, depths) in depth.iter().enumerate() {
                    let p = self.p[(band * levels + a) * n + from];
                    for (b, share) in row.iter().enumerate() {
                        for (to, chance) in depths.iter().enumerate() {
                            next[(band * levels + b) * n + to] += p * share * chance;
                        }
                    }
                }
            }
        }
        self.p = next;
    }

    fn predict(&mut self, dt_s: f64) {
        if dt_s <= 0.0 {
            return;
        }
        let steps = (dt_s / self.settings.longest_step_s - 1e-9).ceil().clamp(1.0, 90.0);
        for _ in 0..steps as usize {
            self.step(dt_s / steps);
        }
    }

    fn hook_m(&self, after_s: f64) -> f64 {
        let rig = &self.rigs[self.rig];
        let path: Vec<f64> = rig.hook_z_m.iter().copied().chain([rig.depth_m.min(self.depth_m)]).collect();
        let place = after_s / rig.sample_dt_s;
        let at = place.floor() as usize;
        if at + 1 >= path.len() {
            return path[path.len() - 1];
        }
        path[at] + (place - at as f64) * (path[at + 1] - path[at])
    }

    /// ∫ kernel dt, the fall taken in at most 64 pieces, each at the depth of its middle.
    fn exposure(&self, guess: Guess, fish_m: f64, from_s: f64, to_s: f64) -> f64 {
        let rig = &self.rigs[self.rig];
        let pieces = rig.hook_z_m.len().min(64);
        let Guess { band_m, fall } = guess;
        let fall_s = fall * rig.hook_z_m.len() as f64 * rig.sample_dt_s;
        let kernel = |hook_m: f64, blur_m: f64| {
            let variance = band_m.powi(2) + blur_m.powi(2);
            band_m / variance.sqrt() * (-(hook_m - fish_m).powi(2) / 2.0 / variance).exp()
        };
        let mut sum = 0.0;
        for piece in 0..pieces {
            let (a, b) = (fall_s * piece as f64 / pieces as f64, fall_s * (piece + 1) as f64 / pieces as f64);
            let shared = (b.min(to_s) - a.max(from_s)).max(0.0);
            let hook_m = self.hook_m(f64::midpoint(a, b) / fall.max(1e-300)).min(self.depth_m);
            sum += shared * kernel(hook_m, self.settings.fall_spread * hook_m);
        }
        sum + (to_s - fall_s.max(from_s)).max(0.0) * kernel(rig.depth_m.min(self.depth_m), 0.0)
    }

    fn weigh(&mut self, weight: impl Fn(&Self, Way, f64, f64) -> f64) {
        let weights: Vec<f64> =
            self.states().map(|(way, level, depth)| weight(self, way, level, depth)).collect();
        for (p, weight) in self.p.iter_mut().zip(weights) {
            *p *= weight;
        }
        let sum: f64 = self.p.iter().sum();
        self.p.iter_mut().for_each(|p| *p /= sum);
    }

    fn advance(&mut self, to_s: f64) {
        let seen_s = to_s.min(self.last_tap_s + 300.0);
        while self.at_s < to_s {
            let at_s = self.at_s;
            let Some(lowered_s) = self.lowered_s.filter(|_| at_s < seen_s) else {
                self.predict(to_s - at_s);
                self.at_s = to_s;
                return;
            };
            if lowered_s > at_s {
                // Out of the water until then.
                let until_s = lowered_s.min(to_s);
                self.predict(until_s - at_s);
                self.at_s = until_s;
                continue;
            }
            let end_s = seen_s.min(at_s + self.settings.longest_step_s);
            self.predict(end_s - at_s);
            self.weigh(|dense, way, level, fish_m| {
                let near = dense.exposure(way.guess, fish_m, at_s - lowered_s, end_s - lowered_s);
                let bites =
                    dense.settings.background_per_min * (end_s - at_s) + dense.settings.peak_per_min * near;
                (-level * bites / 60.0).exp()
            });
            self.at_s = end_s;
        }
    }

    fn bite(&mut self, at_s: f64, window_s: f64, missed: bool) {
        if self.lowered_s.is_none() {
            self.lowered_s = self.out_s;
        }
        let (from_s, to_s) = match self.lowered_s {
            Some(lowered_s) => ((at_s - lowered_s - window_s).max(0.0), at_s - lowered_s),
            // At rest.
            None => (1e6, 1e6 + 1.0),
        };
        if self.lowered_s.is_some() {
            self.advance((at_s - (to_s - from_s) / 2.0).max(self.at_s));
        } else {
            self.advance(at_s);
        }
        let lowered_s = self.lowered_s;
        self.weigh(|dense, way, level, fish_m| {
            let mut window = (from_s, to_s);
            if let Some(lowered_s) = lowered_s.filter(|_| missed) {
                let (from_s, to_s) = (at_s - way.told_s.1, at_s - way.told_s.0);
                let before = dense.casts_s.iter().rfind(|cast_s| **cast_s < lowered_s);
                let cast_s = before
                    .copied()
                    .filter(|_| 0.5 * (from_s + to_s) < lowered_s && way.late)
                    .unwrap_or(lowered_s);
                window = ((from_s - cast_s).max(0.0), (to_s - cast_s).max(0.0));
            }
            // At rest.
            let (from_s, to_s) = if window.1 > window.0 { window } else { (1e6, 1e6 + 1.0) };
            let near = dense.exposure(way.guess, fish_m, from_s, to_s) / (to_s - from_s);
            level * (dense.settings.background_per_min + dense.settings.peak_per_min * near)
        });
        (self.lowered_s, self.out_s) = (None, Some(at_s));
    }

    fn apply(&mut self, event: &Event) {
        let at_s = (event.at_ms - START_MS) / 1000.0;
        if at_s - self.last_tap_s > 300.0 {
            self.advance(at_s);
        }
        match event.kind {
            EventKind::Cast => {
                self.advance(at_s);
                (self.lowered_s, self.out_s) = (Some(at_s), None);
                self.casts_s.push(at_s);
            }
            EventKind::Missed => self.bite(at_s, self.settings.reaction_s, true),
            EventKind::Fish => self.bite(at_s, self.settings.landing_s, false),
            EventKind::PickUpRig => {
                self.advance(at_s);
                self.rig = event.rig.unwrap() as usize;
                self.casts_s.clear();
                (self.lowered_s, self.out_s) = (None, None);
            }
            _ => {}
        }
        self.last_tap_s = at_s;
    }
}

fn setup(rng: &mut fastrand::Rng) -> SessionSetup {
    let rigs = [0.3, 0.55, 1.1]
        .map(|depth_m: f64| {
            let samples = rng.usize(0..150);
            RigSetup {
                name: String::new(),
                depth_m,
                on_bottom: false,
                line: 0,
                sample_dt_s: 0.05 + 0.3 * rng.f64(),
                hook_z_m: (0..samples).map(|at| depth_m * (at as f64 / samples as f64).powf(0.8)).collect(),
            }
        })
        .to_vec();
    let mut setup = SessionSetup::new(rigs, 1.13, START_MS);
    setup.depth.cell_m = 0.05;
    let mut late = |_| (6.0 * rng.f64(), 6.0 + 2.0 * rng.f64());
    setup.depth.late_s = (0..2).map(&mut late).collect();
    setup.depth.activity_levels = 1 + rng.usize(0..4);
    setup.depth.activity_every_s = 1800.0;
    setup.depth.drift_m_per_sqrt_s *= 1.0 + 6.0 * rng.f64();
    setup.depth.guesses = [(0.05 + 0.1 * rng.f64(), 1.0), (0.15, rng.f64()), (0.1, 0.0)]
        .map(|(band_m, fall)| Guess { band_m, fall })
        .to_vec();
    setup
}

fn random_event(rng: &mut fastrand::Rng, at_ms: f64) -> Event {
    match rng.u32(0..100) {
        0..45 => Event::new(at_ms, EventKind::Cast),
        45..65 => Event::new(at_ms, EventKind::Fed),
        65..80 => Event::new(at_ms, EventKind::Missed),
        80..90 => Event::new(at_ms, EventKind::Fish),
        _ => Event::new(at_ms, EventKind::PickUpRig).with_rig(rng.u32(0..3)),
    }
}

#[test]
fn agrees_with_a_dense_forward_algorithm() {
    let mut worst: f64 = 0.0;
    for seed in seeds(0, 8, 60) {
        let mut rng = fastrand::Rng::with_seed(seed);
        let setup = setup(&mut rng);
        let mut session = Session::new(setup.clone()).unwrap();
        let mut dense = Dense::new(&setup);
        let mut at_ms = START_MS;
        let mut last = (EventKind::Note, 3);
        for count in 0..60 {
            // Mostly seconds; now and then a gap longer than the angler is taken to be there.
            at_ms +=
                if rng.u32(0..20) == 0 { 200_000.0 + 500_000.0 * rng.f64() } else { 45_000.0 * rng.f64() };
            at_ms = at_ms.round() + 500.0;
            let event =
                if count == 0 { Event::new(at_ms, EventKind::Cast) } else { random_event(&mut rng, at_ms) };
            // Picking up the rig in hand is a lift; it has its own rule and is left out here.
            if event.kind == EventKind::PickUpRig && event.rig == Some(dense.rig as u32) {
                continue;
            }
            last = (event.kind, dense.rig);
            dense.apply(&event);
            assert!(session.record(event).unwrap().number.is_some());
            let asked_ms = at_ms + 20_000.0 * rng.f64();
            let chance = session.state(asked_ms).unwrap().fish.chance;
            let kept =
                (dense.p.clone(), dense.at_s, dense.lowered_s, dense.out_s, dense.last_tap_s, dense.rig);
            dense.advance((asked_ms - START_MS) / 1000.0);
            for (cell, chance) in chance.iter().enumerate() {
                let expected: f64 = dense.p.iter().skip(cell).step_by(dense.cells).sum();
                worst = worst.max((chance - expected).abs());
            }
            (dense.p, dense.at_s, dense.lowered_s, dense.out_s, dense.last_tap_s, dense.rig) = kept;
        }
        assert!(worst < 1e-9, "seed {seed}: {worst:e} after {last:?}");
    }
    println!("largest difference of a probability: {worst:e}");
}

/// A truth drawn from the model itself, fished with random rigs: the band from the 5 % to the 95 % depth must
/// hold it in 85 to 95 % of the casts.
#[test]
fn the_band_covers_the_truth() {
    // Bites are told within a hundredth of a second.
    let settings = FilterSettings { reaction_s: 0.01, ..FilterSettings::default() };
    let paths: Vec<Path> = [0.35, 0.47, 0.60, 2.10]
        .map(|rest_m: f64| Path {
            rest_m,
            sample_dt_s: 0.25,
            hook_z_m: (0..(rest_m / 0.025) as usize).map(|at| 0.025 * at as f64).collect(),
        })
        .to_vec();
    let model = Model::new(settings.clone(), 2.15, &paths);
    let (mut inside, mut casts) = (0_u32, 0_u32);
    for seed in seeds(0, 60, 300) {
        let mut rng = fastrand::Rng::with_seed(seed);
        let mut truth = TrueFish::new(&mut rng, &settings);
        let mut belief = Belief::prior(&model);
        let mut rig = 0;
        for cast in 0..900 {
            if cast % 15 == 0 {
                rig = rng.usize(0..4);
            }
            truth.step(&mut rng, &settings);
            belief.predict(&model, 20.0);
            match truth.bite_s(&mut rng, &settings, &paths[rig]) {
                Some(at_s) => {
                    belief.no_bite(&model, rig, 0.0, at_s);
                    belief.bite(&model, rig, &Bite::missed(at_s + 0.005));
                }
                None => belief.no_bite(&model, rig, 0.0, 20.0),
            }
            let depths = belief.depths(&model);
            let band = model.quantile_m(&depths, 0.05)..=model.quantile_m(&depths, 0.95);
            inside += u32::from(band.contains(&truth.depth_m));
            casts += 1;
        }
    }
    let share = f64::from(inside) / f64::from(casts);
    println!("the 90 % band held the truth in {share:.3} of {casts} casts");
    assert!((0.85..=0.95).contains(&share), "{share}");
}

struct TrueFish {
    depth_m: f64,
    level: usize,
    guess: Guess,
}

impl TrueFish {
    fn new(rng: &mut fastrand::Rng, settings: &FilterSettings) -> Self {
        let guess = settings.guesses[rng.usize(0..settings.guesses.len())];
        // Levels a quarter to four times, weights 1 2 4 2 1.
        let level = [0, 1, 1, 2, 2, 2, 2, 3, 3, 4][rng.usize(0..10)];
        Self { depth_m: Self::place(rng, settings), level, guess }
    }

    fn place(rng: &mut fastrand::Rng, settings: &FilterSettings) -> f64 {
        let (from_m, to_m) = match rng.f64() {
            which if which < settings.shallow_share => settings.shallow_band_m,
            which if which < settings.shallow_share + settings.bottom_share => {
                (2.15 - settings.bottom_band_m, 2.15)
            }
            _ => (0.0, 2.15),
        };
        from_m + (to_m - from_m) * rng.f64()
    }

    fn step(&mut self, rng: &mut fastrand::Rng, settings: &FilterSettings) {
        let normal = (-2.0 * (1.0 - rng.f64()).ln()).sqrt() * (core::f64::consts::TAU * rng.f64()).cos();
        let drifted = (self.depth_m + settings.drift_m_per_sqrt_s * 20.0_f64.sqrt() * normal).abs();
        self.depth_m = if drifted > 2.15 { 4.3 - drifted } else { drifted };
        if rng.f64() < 1.0 - (-20.0 / settings.jump_every_s).exp() {
            self.depth_m = Self::place(rng, settings);
        }
        if rng.f64() < 1.0 - (-20.0 / settings.activity_every_s).exp() {
            self.level = if rng.bool() { (self.level + 1).min(4) } else { self.level.saturating_sub(1) };
        }
    }

    fn bite_s(&self, rng: &mut fastrand::Rng, settings: &FilterSettings, path: &Path) -> Option<f64> {
        let mut need = -(1.0 - rng.f64()).ln();
        for step in 0..400 {
            let at_s = 0.05 * (f64::from(step) + 0.5);
            let Guess { band_m, fall } = self.guess;
            let hook_m = if fall > 0.0 { path.depth_m(at_s / fall) } else { path.rest_m };
            let blur_m = if at_s < fall * path.fall_s() { settings.fall_spread * hook_m } else { 0.0 };
            let variance = band_m.powi(2) + blur_m.powi(2);
            let near = band_m / variance.sqrt() * (-(hook_m - self.depth_m).powi(2) / 2.0 / variance).exp();
            let rate = 2.0_f64.powi(self.level as i32 - 2)
                * (settings.background_per_min + settings.peak_per_min * near);
            need -= rate / 60.0 * 0.05;
            if need < 0.0 {
                return Some(at_s);
            }
        }
        None
    }
}
