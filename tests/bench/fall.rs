//! Times of the fall and of the pattern finder: `cargo bench --bench fall`.
//!
//! - the fall of three rigs, as times real time, with the settings for showing and for searching;
//! - patterns a second in the finder, and how long a whole search takes;
//! - beside them the same chain as points on stiff springs, stepped explicitly, and its error.
//!
//! A general-purpose rigid-body engine on the same chain is a crate of its own, `tests/bench/rope`, so that nobody has
//! to fetch it to build or test Dotdown.

use std::time::Instant;

use dotdown::rig::fall::{FallSettings, Rig, Simulator};
use dotdown::rig::finder::{Aim, Finder, Request};

#[path = "chain.rs"]
mod chain;

const GOLDEN: [(&str, &str); 3] = [
    ("deck 2.1 m, bulk", include_str!("../data/rig_fall/g1_deck_bulk_90.json")),
    ("shallow 0.5 m", include_str!("../data/rig_fall/g3_shallow050_90_25C.json")),
    ("deck 2.1 m, spread, float slides", include_str!("../data/rig_fall/g6_deck_spread_90_20C_slide.json")),
];

/// Best of some runs, s: the others were disturbed.
fn best_of(runs: u32, mut run: impl FnMut()) -> f64 {
    let mut best = f64::INFINITY;
    for _ in 0..runs {
        let start = Instant::now();
        run();
        best = best.min(start.elapsed().as_secs_f64());
    }
    best
}

/// Points on springs, symplectic Euler. Returns seconds taken and the worst error of the hook's depth, m.
fn springs(rig: &Rig, golden: &serde_json::Value) -> (f64, f64, f64) {
    let s: Vec<f64> = golden["node_s_m"].as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect();
    let want: Vec<f64> = golden["hook_z_m"].as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect();
    let chain = chain::Chain::new(rig, s);
    let n = chain.s.len();
    // Stiff enough to stretch by a thousandth under all the weight there is; damped to be quiet.
    let stiffness = 1000.0 * chain.weight.iter().sum::<f64>();
    let mut h = f64::INFINITY;
    for k in 1..n {
        let rate = stiffness / (chain.s[k] - chain.s[k - 1]);
        h = h.min(0.35 * (chain.mass[k].min(chain.mass[k - 1].max(1e-9)) / rate).sqrt());
    }
    let steps_a_sample = (0.25 / h).ceil();
    let h = 0.25 / steps_a_sample;
    let (mut r, mut v, mut f) = (vec![[0.0; 2]; n], vec![[0.0; 2]; n], vec![[0.0; 2]; n]);
    for (r, s) in r.iter_mut().zip(&chain.s) {
        *r = [*s, 0.0];
    }
    let (start, mut worst) = (Instant::now(), 0.0_f64);
    for want in want.iter().skip(1) {
        let mut k = 0.0;
        while k < steps_a_sample {
            chain.forces(&r, &v, &mut f);
            for k in 1..n {
                let q = [r[k][0] - r[k - 1][0], r[k][1] - r[k - 1][1]];
                let (l, now) = (chain.s[k] - chain.s[k - 1], q[0].hypot(q[1]));
                let u = [v[k][0] - v[k - 1][0], v[k][1] - v[k - 1][1]];
                let closing = (q[0] * u[0] + q[1] * u[1]) / now;
                let rate = stiffness / l;
                let damping = 0.3 * (rate * chain.mass[k].min(chain.mass[k - 1])).sqrt();
                let pull = (rate * (now - l) + damping * closing) / now;
                for axis in 0..2 {
                    f[k][axis] -= pull * q[axis];
                    f[k - 1][axis] += pull * q[axis];
                }
            }
            for i in 1..n {
                for axis in 0..2 {
                    v[i][axis] += h * f[i][axis] / chain.mass[i];
                    r[i][axis] += h * v[i][axis];
                }
            }
            k += 1.0;
        }
        worst = worst.max((r[n - 1][1] - want).abs());
    }
    (start.elapsed().as_secs_f64(), worst, h)
}

fn main() {
    let mut shown_s = 0.0;
    for (name, text) in GOLDEN {
        let golden: serde_json::Value = serde_json::from_str(text).unwrap();
        let rig: Rig = serde_json::from_value(golden["rig"].clone()).unwrap();
        let mut simulator = Simulator::new();
        for (how, settings) in [("shown", FallSettings::default()), ("searched", FallSettings::searching())] {
            let taken = best_of(20, || {
                simulator.fall(&rig, &settings).unwrap();
            });
            if how == "shown" && shown_s == 0.0 {
                shown_s = taken;
            }
            let (ms, times) = (taken * 1e3, rig.t_end_s / taken);
            println!("fall  {name:34} {how:9} {ms:8.2} ms  {times:7.0} times real time");
        }
    }
    for (name, text) in GOLDEN {
        let golden: serde_json::Value = serde_json::from_str(text).unwrap();
        let rig: Rig = serde_json::from_value(golden["rig"].clone()).unwrap();
        for aim in [Aim::FallWithFeed, Aim::SlowLast30Cm] {
            let request = Request {
                rig: rig.clone(),
                aim,
                most_groups: 3,
                kept: Vec::new(),
                on_hooklength: false,
                latest_s: None,
                feed_m_per_s: None,
            };
            let (mut first_s, mut evaluated) = (f64::INFINITY, 0);
            let taken = best_of(3, || {
                let start = Instant::now();
                let mut finder = Finder::new(request.clone()).unwrap();
                loop {
                    let progress = finder.step(5).unwrap();
                    if !progress.proposals.is_empty() && first_s.is_infinite() {
                        first_s = start.elapsed().as_secs_f64();
                    }
                    evaluated = progress.evaluated;
                    if progress.done {
                        break;
                    }
                }
            });
            let (first_ms, a_second) = (first_s * 1e3, evaluated as f64 / taken);
            println!(
                "find  {name:34} {aim:?}: {evaluated} patterns in {taken:.2} s ({a_second:.0} a second), first after {first_ms:.0} ms"
            );
        }
    }
    let golden: serde_json::Value = serde_json::from_str(GOLDEN[0].1).unwrap();
    let rig: Rig = serde_json::from_value(golden["rig"].clone()).unwrap();
    let (taken, worst, h) = springs(&rig, &golden["same_mesh"]);
    println!(
        "springs, explicit, {:.1} us steps: {taken:.1} s, {:.0} times slower, hook depth off by up to {:.1} mm",
        h * 1e6,
        taken / shown_s,
        worst * 1e3
    );
}
