//! One fished day as the learning sees it: what was seen of the fish in each minute, with the log left behind.

use crate::session::depth_filter::{Bite, FilterSettings, Grid, Guess, Lines, Model, Path, Watcher, Water};

/// Length of a step, s.
pub(in crate::session) const STEP_S: f64 = 120.0;
const STEPS_AN_HOUR: usize = 30;
/// The most steps of a day that are looked at: sixteen hours.
pub(in crate::session) const MAX_STEPS: usize = 480;
/// The most bites of a minute that are looked at.
const MAX_BITES: i32 = 20;
/// The most cells: deep water is told apart more coarsely, so that a day costs no more.
const MAX_CELLS: f64 = 100.0;
/// Bands that a water may be found to have besides those of the usual guesses, one standard deviation, m.
const MORE_BANDS_M: [f64; 3] = [0.085, 0.17, 0.24];

/// What one minute showed.
#[derive(Clone, Debug)]
pub(super) struct Minute {
    /// For each guess and cell: the chance of no bite where there was none, at the lowest level of activity.
    pub(super) quiet: Vec<f64>,
    /// For each guess and cell: the product of the rates of its bites, 1/min at activity 1; empty without bites.
    pub(super) rate: Vec<f64>,
    /// Bites.
    pub(super) bites: i32,
}

/// One fished day.
#[derive(Clone, Debug)]
pub struct DayRecord {
    pub(super) grid: Grid,
    pub(super) settings: FilterSettings,
    /// The kernels by which evidence is weighed.
    kernels: Model,
    /// The minutes from the all-in on; none where nothing was seen of the fish.
    pub(super) minutes: Vec<Option<Minute>>,
    /// The moment that has been reached, s since the all-in.
    at_s: f64,
    /// The bites: when, s since the all-in, and the depth of the hook bait at rest, m.
    pub(super) bites: Vec<(f64, f64)>,
    rest_m: Vec<f64>,
}

/// The settings that days are learned by: the usual ones, with every band that is told apart.
pub(super) fn learning_settings(water_depth_m: f64) -> FilterSettings {
    let mut settings = FilterSettings::default();
    settings.cell_m = settings.cell_m.max(water_depth_m / MAX_CELLS);
    settings.late_s.clear();
    settings.guesses.extend(MORE_BANDS_M.map(|band_m| Guess { band_m, fall: 1.0 }));
    settings
}

impl DayRecord {
    /// A day at water of this depth with these rigs, before anything was seen. The depth is 0.2 to 15 m.
    #[must_use]
    pub(in crate::session) fn new(water_depth_m: f64, paths: &[Path]) -> Self {
        let settings = learning_settings(water_depth_m);
        let grid = Grid::new(&settings, water_depth_m);
        let kernels =
            Model::of_waters(settings.clone(), water_depth_m, paths, vec![Water::usual(&settings, &grid)]);
        let rest_m = paths.iter().map(|path| path.rest_m).collect();
        Self { grid, settings, kernels, minutes: Vec::new(), at_s: 0.0, bites: Vec::new(), rest_m }
    }

    /// The minute of a moment, made when it is the first to be asked for.
    fn minute(&mut self, at_s: f64) -> Option<&mut Minute> {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "not negative; saturates"
        )]
        let at = (at_s.max(0.0) / STEP_S) as usize;
        if at >= MAX_STEPS {
            return None;
        }
        if self.minutes.len() <= at {
            self.minutes.resize(at + 1, None);
        }
        let states = self.settings.guesses.len() * self.grid.cells;
        let minute = self.minutes.get_mut(at)?;
        Some(minute.get_or_insert_with(|| Minute { quiet: vec![1.0; states], rate: Vec::new(), bites: 0 }))
    }

    /// Whether anything was seen of the fish.
    pub(in crate::session) fn saw_something(&self) -> bool {
        self.minutes.iter().any(Option::is_some)
    }

    /// How many hours it lasted, the last one begun counted.
    pub(super) fn hours(&self) -> usize {
        self.minutes.len().div_ceil(STEPS_AN_HOUR)
    }

    /// Activity of the lowest level, 1/s: what the chance of no bite is worked out at.
    fn lowest_per_s(&self) -> f64 {
        self.kernels.levels().first().copied().unwrap_or(1.0) / 60.0
    }
}

impl Watcher for DayRecord {
    fn predict(&mut self, _: &Lines, dt_s: f64) {
        self.at_s += dt_s.max(0.0);
    }

    fn no_bite(&mut self, _: &Lines, rig: usize, from_s: f64, to_s: f64) {
        let dt_s = to_s - from_s;
        if dt_s <= 0.0 || rig >= self.kernels.rig_count() {
            return;
        }
        let (lowest, peak) = (self.lowest_per_s(), self.settings.peak_per_min);
        let background = self.settings.background_per_min * dt_s;
        let guesses = self.settings.guesses.len();
        let exposures: Vec<f64> =
            (0..guesses).flat_map(|guess| self.kernels.exposure_s(rig, guess, from_s, to_s)).collect();
        if let Some(minute) = self.minute(self.at_s - 0.5 * dt_s) {
            for (quiet, exposure) in minute.quiet.iter_mut().zip(exposures) {
                *quiet *= (-lowest * (background + peak * exposure)).exp();
            }
        }
    }

    fn bite(&mut self, _: &Lines, rig: usize, bite: &Bite) {
        if rig >= self.kernels.rig_count() {
            return;
        }
        let (background, peak) = (self.settings.background_per_min, self.settings.peak_per_min);
        let guesses = self.settings.guesses.len();
        let (from_s, to_s) = bite.window(&self.settings, None);
        let near: Vec<f64> =
            (0..guesses).flat_map(|guess| self.kernels.bite_kernel(rig, guess, from_s, to_s)).collect();
        let (at_s, rest_m) = (self.at_s, self.rest_m.get(rig).copied().unwrap_or(0.0));
        if let Some(minute) = self.minute(at_s).filter(|minute| minute.bites < MAX_BITES) {
            if minute.rate.is_empty() {
                minute.rate = vec![1.0; near.len()];
            }
            for (rate, near) in minute.rate.iter_mut().zip(near) {
                *rate *= background + peak * near;
            }
            minute.bites += 1;
            self.bites.push((at_s, rest_m));
        }
    }
}
