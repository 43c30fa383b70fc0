//! Prints what each piece of golden work takes natively, ms, and the figure it gives.

use golden::{WORK, golden};
use std::time::Instant;

fn main() {
    for work in 0..WORK.len() {
        let figure = golden(work, 3);
        let rounds: u32 = if work < 2 { 200 } else { 5 };
        let mut best = f64::INFINITY;
        for _ in 0..15 {
            let start = Instant::now();
            assert_eq!(golden(work, rounds).to_bits(), figure.to_bits());
            best = best.min(start.elapsed().as_secs_f64() * 1e3 / f64::from(rounds));
        }
        println!("{work} {best} {figure}");
    }
}
