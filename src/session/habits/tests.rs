//! Laws of the learning: what is kept when depths are carried, and that going backwards fits going forwards.

use super::chain::{counts, score};
use super::depths::{carried, place};
use super::form::{Habits, Standing};
use super::learn_usual;
use super::record::DayRecord;
use crate::session::depth_filter::{Bite, FilterSettings, Grid, Lines, Model, Path, Watcher, Water};

fn path(rest_m: f64) -> Path {
    Path { rest_m, sample_dt_s: 1.0, hook_z_m: Vec::new() }
}

/// A day of so many casts of 30 s on the deeper of two rigs, each with a bite.
fn day(casts: usize) -> DayRecord {
    let paths = [path(0.4), path(1.8)];
    let lines = Lines::new(1, &[0; 2], |_, _| Model::new(FilterSettings::default(), 2.0, &paths));
    let mut day = DayRecord::new(2.0, &paths);
    for _ in 0..casts {
        day.predict(&lines, 30.0);
        day.no_bite(&lines, 1, 0.0, 30.0);
        day.bite(&lines, 1, &Bite::missed(30.0));
    }
    day
}

#[test]
fn carrying_keeps_the_sum_and_the_nearer_end() {
    let shares: Vec<f64> = (0..43).map(|at| f64::from(at % 7) + 0.1).collect();
    for (from_m, to_m, cells) in [(2.15, 2.15, 43), (2.15, 3.0, 60), (3.0, 1.1, 22), (0.3, 15.0, 100)] {
        let there = carried(&shares, from_m, to_m, cells);
        assert!((there.iter().sum::<f64>() - shares.iter().sum::<f64>()).abs() < 1e-9, "{from_m} {to_m}");
        assert!(there.iter().all(|share| *share >= 0.0));
        for at in 0..=20_i32 {
            let depth_m = from_m * f64::from(at) / 20.0;
            let back = place(place(depth_m, from_m, to_m), to_m, from_m);
            assert!((back - depth_m).abs() < 1e-9, "{from_m} {to_m} {depth_m}");
        }
    }
    assert!((place(0.5, 3.0, 2.0) - 0.5).abs() < 1e-12);
    assert!((place(2.8, 3.0, 2.0) - 1.8).abs() < 1e-12);
}

#[test]
fn what_is_expected_of_a_day_adds_up() {
    let day = day(80);
    let grid = Grid::new(&day.settings, 2.0);
    let water = Water::usual(&day.settings, &grid);
    let counts = counts(&day, &water, 6, true);
    let minutes = day.minutes.len() as f64;
    let sum = |values: &[f64]| values.iter().sum::<f64>();
    assert!((sum(&counts.guesses) - 1.0).abs() < 1e-9, "{:?}", counts.guesses);
    assert!((sum(&counts.levels) - 1.0).abs() < 1e-9);
    assert!((counts.stay.iter().map(|block| sum(block)).sum::<f64>() - minutes).abs() < 1e-6);
    // The landings are the jumps and the start.
    let landed: f64 = counts.landings.iter().map(|block| sum(block)).sum();
    assert!((landed - counts.jumps - 1.0).abs() < 1e-9);
    assert!(counts.jumps > 0.0 && counts.jumps < minutes);
    // Bites at 1.8 m say that the fish were there.
    let near = counts.stay.iter().map(|block| sum(&block[32..])).sum::<f64>() / minutes;
    assert!(near > 0.9, "{near}");
}

/// The slope of the score along the jump rate is what the expected jumps say (Fisher's identity): forwards and backwards
/// are of one piece.
#[test]
fn the_expected_jumps_are_the_slope_of_the_score() {
    let day = day(40);
    let grid = Grid::new(&day.settings, 2.0);
    let water = |jump_every_s| Water { jump_every_s, ..Water::usual(&day.settings, &grid) };
    let at = |ln: f64| score(&day, &water(3000.0 * ln.exp()));
    let slope = (at(-1e-4) - at(1e-4)) / 2e-4;
    let jumps = counts(&day, &water(3000.0), 1, false).jumps;
    let (n, step) = (day.minutes.len() as f64, 120.0 / 3000.0);
    let jump = 1.0 - f64::exp(-step);
    // d/dθ of Σ [k ln j + (n − k) ln(1 − j)] with θ = ln rate, dj/dθ = (1 − j) step.
    let expected = (jumps / jump - (n - jumps) / (1.0 - jump)) * (1.0 - jump) * step;
    assert!((slope - expected).abs() < 1e-5 * expected.abs().max(1.0), "{slope} {expected}");
}

/// Without days the learned water is the default, number for number.
#[test]
fn the_prior_is_todays_default() {
    let paths = [path(0.4)];
    let days = [DayRecord::new(2.0, &paths)];
    let water = learn_usual(&days);
    let settings = FilterSettings::default();
    let usual = Water::usual(&settings, &Grid::new(&settings, 2.0));
    assert!((water.jump_every_s - usual.jump_every_s).abs() < 1e-9);
    assert!(water.jump_to[0].iter().zip(&usual.jump_to[0]).all(|(a, b)| (a - b).abs() < 1e-12));
    assert!(water.activity.iter().zip(&usual.activity).all(|(a, b)| (a - b).abs() < 1e-12));
    assert!((water.guesses.iter().map(|(_, chance)| chance).sum::<f64>() - 1.0).abs() < 1e-12);
    let habits = super::learn(&[]);
    assert_eq!((habits.standing, habits.days), (Standing::TooFewDays, 0));
    assert!(habits.waters.is_empty());
    assert_eq!(habits.waters(&settings, &Grid::new(&settings, 2.0)), [usual]);
}

#[test]
fn absurd_days_make_finite_habits() {
    let paths = [path(0.05), path(15.0)];
    let lines = Lines::new(1, &[0; 2], |_, _| Model::new(FilterSettings::default(), 15.0, &paths));
    let mut wild = DayRecord::new(15.0, &paths);
    for _ in 0..2000 {
        wild.bite(&lines, 1, &Bite::default());
    }
    wild.predict(&lines, 1e12);
    wild.bite(&lines, 0, &Bite::missed(1.0));
    wild.no_bite(&lines, 7, 0.0, 10.0);
    let shallow = DayRecord::new(0.2, &[path(0.1)]);
    let habits = super::learn(&[wild.clone(), shallow, day(10), wild]);
    let habits: Habits = habits.checked().unwrap();
    assert!(habits.usual.is_finite() && habits.days == 4);
}
