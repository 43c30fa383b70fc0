//! How often the tub test's 90 % band holds the truth, by simulation: a table over excess density, size and water.
//!
//! Columns: the share of tins whose speed and whose excess density the band holds; the median error of the speed, and that of
//! falls of more than five seconds; what the mean of ten pieces weighed exactly would be off (ten pieces differ from the
//! typical one); a typical fall; the depth's share of the doubt.
//!
//! Prints; asserts nothing (`tests/bait_tub_sim.rs` asserts a smaller one). Run with `cargo bench --bench tub`.

#[path = "../common/tub_sim.rs"]
mod tub_sim;

use dotdown::bait::tub_test::TubSettings;
use tub_sim::{Cell, Dice, Tally, simulate};

const TINS: usize = 400;
const SEED: u64 = 0x7ab1_e000;

fn row(name: &str, seed: u64, tally: &Tally) {
    // A median of few says nothing.
    let slow = if tally.slow < 20 { "-".to_owned() } else { format!("{:.1}", 100.0 * tally.slow_error) };
    println!(
        "{name:<34} {:>6.1} {:>6.1} {:>7.1} {slow:>7} {:>7.1} {:>8.1} {:>7.0}   {seed:#x}",
        100.0 * tally.speed,
        100.0 * tally.excess,
        100.0 * tally.error,
        100.0 * tally.floor,
        tally.time_s,
        100.0 * tally.depth_share,
    );
}

fn main() {
    println!(
        "tub test, ten drops in 0.3 m, 30 pieces looked at, {TINS} tins a row; the 90 % band holds, in %:"
    );
    println!(
        "{:<34} {:>6} {:>6} {:>7} {:>7} {:>7} {:>8} {:>7}   seed",
        "", "speed", "excess", "error", "> 5 s", "floor", "s", "depth"
    );
    let settings = TubSettings::default();
    let mut seed = SEED;
    let mut next = || {
        seed += 1;
        seed
    };
    let (mut tins, mut speed, mut excess, mut worst) = (0.0, 0.0, 0.0, (1.0, 0.0_f64));
    for drawn in [None, Some(0.3), Some(1.0), Some(3.0), Some(10.0), Some(30.0), Some(80.0)] {
        for edge_mm in [3.0, 6.0, 12.0] {
            for water_c in [4.0, 16.0, 28.0] {
                let seed = next();
                let cell = Cell { edge_mm, water_c, excess: drawn, ..Cell::default() };
                let tally = simulate(&cell, TINS, &mut Dice(seed));
                let what = drawn.map_or("drawn".to_owned(), |e| format!("{e} kg/m3"));
                row(&format!("{what}, {edge_mm} mm, {water_c} °C"), seed, &tally);
                if drawn.is_none() {
                    tins += 1.0;
                    speed += tally.speed;
                    excess += tally.excess;
                } else {
                    worst = (
                        tally.speed.min(tally.excess).min(worst.0),
                        tally.speed.max(tally.excess).max(worst.1),
                    );
                }
            }
        }
    }
    println!("drawn, all: speed {:.1} %, excess {:.1} %", 100.0 * speed / tins, 100.0 * excess / tins);
    println!("cells: {:.1} to {:.1} %", 100.0 * worst.0, 100.0 * worst.1);
    println!("pieces alike (0.3 kg/m3), and a depth that is 10 mm off");
    let alike = TubSettings { spread_kg_per_m3: 0.3, ..settings };
    for depth_sd_m in [0.003, 0.01] {
        for e in [1.0, 3.0, 10.0, 30.0] {
            let seed = next();
            let cell = Cell { excess: Some(e), depth_sd_m, settings: alike, ..Cell::default() };
            let tally = simulate(&cell, TINS, &mut Dice(seed));
            row(&format!("{e} kg/m3, depth ± {} mm", 1000.0 * depth_sd_m), seed, &tally);
        }
    }
}
