//! Prints how long the heaviest takes that is accepted from outside: a plan, its session, its link, the habits of a water.
//!
//! `cargo bench --bench heaviest`. Each figure is one run; the machine is told by the first, a fall as heavy as can be.

#![allow(clippy::cast_possible_truncation, reason = "small counts")]

#[path = "../common/mod.rs"]
mod common;

use dotdown::plan::{Plan, link};
use dotdown::results::session_setup::{habits_of, setup_of};
use dotdown::results::work_out;
use dotdown::session::{Event, EventKind, Log, Session};
use dotdown::units::Units;
use std::hint::black_box;
use std::time::Instant;

/// Seconds that this thread has run, by Linux, so that what else the machine does is left out; elsewhere those that went by.
fn seconds(begun: Instant) -> f64 {
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").ok();
    let ns = told.and_then(|told| told.split(' ').next()?.parse::<f64>().ok());
    ns.map_or_else(|| begun.elapsed().as_secs_f64(), |ns| ns / 1e9)
}

fn timed<T>(what: &str, run: impl FnOnce() -> T) -> T {
    let begun = Instant::now();
    let before = seconds(begun);
    let came = black_box(run());
    let (on_cpu, passed) = (seconds(begun) - before, begun.elapsed().as_secs_f64());
    println!("{what:40} {:8.1} ms, {:8.1} ms by the clock", on_cpu * 1e3, passed * 1e3);
    came
}

/// Eight rigs as deep, as long and as finely shotted as may be.
fn heavy_plan() -> Plan {
    let mut plan = dotdown::plan::presets::first();
    let rig = plan.rigs[0].clone();
    plan.rigs = vec![rig; 8];
    common::make_heavy(&mut plan);
    plan.check().unwrap();
    plan
}

/// A log of so many taps, so many ms from one to the next.
fn log(taps: usize, every_ms: f64) -> Log {
    let mut log = Log::default();
    let kinds = [EventKind::Cast, EventKind::Missed, EventKind::Cast, EventKind::Fish, EventKind::Lift];
    for (place, kind) in kinds.into_iter().cycle().take(taps).enumerate() {
        log.push(Event::new(1.9e12 + every_ms * place as f64, kind), 0.0).unwrap();
    }
    log
}

fn main() {
    let mut slowest = (0.0, 0);
    for seed in 0..300 {
        let plan = common::wild::wild_plan(seed);
        let begun = Instant::now();
        let before = seconds(begun);
        black_box(setup_of(&plan, Units::default()));
        let took = seconds(begun) - before;
        if took > slowest.0 {
            slowest = (took, seed);
        }
    }
    println!("the slowest of 300 wild plans: {:.1} ms, seed {}", slowest.0 * 1e3, slowest.1);
    let plan = heavy_plan();
    timed("a day worked out", || work_out(&plan, Units::default()));
    let setup = timed("its session's setup, falls and all", || setup_of(&plan, Units::default()));
    let mut session = timed("its session", || Session::new(setup.clone()).unwrap());
    let taps = log(3_500, 5_000.0);
    let came = timed("3,500 taps replayed", || session.replay(&taps));
    println!("  {:?}", came.err().map(|e| e.to_string()));
    let text = timed("its link written", || link::write(&plan));
    timed("its link read", || link::read(&text).unwrap());
    let lines = log(20_000, 2_000.0).to_text();
    timed("a log of 20,000 taps read", || dotdown::session::log::read_back(&lines, 4).unwrap());
    for (count, every_ms) in [(300, 60_000.0), (3_500, 5_000.0), (20_000, 2_880.0)] {
        let taps = log(count, every_ms);
        let one = vec![(plan.clone(), taps.clone()); 1];
        let came = timed(&format!("habits of one day of {count} taps"), || habits_of(&one));
        println!("  {:?}", came.err().map(|e| e.to_string()));
        let days: Vec<(Plan, Log)> = (0..24)
            .map(|day| {
                let mut plan = plan.clone();
                plan.day.date.0 += day;
                (plan, taps.clone())
            })
            .collect();
        let came = timed(&format!("habits of 24 days of {count} taps"), || habits_of(&days));
        println!("  {:?}", came.err().map(|e| e.to_string()));
        let mut light = dotdown::plan::presets::first();
        light.water.depth_tenth_mm = 30_000;
        let days: Vec<(Plan, Log)> = (0..24).map(|_| (light.clone(), taps.clone())).collect();
        timed("the same of the worked day", || drop(habits_of(&days)));
    }
}
