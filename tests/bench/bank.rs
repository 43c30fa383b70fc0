//! Prints how the bank's advice does against a truth it cannot see, and how long the inference takes.
//!
//! `cargo bench --bench bank` runs 200 sessions for each row of the table; `cargo bench --bench bank -- 1000`
//! runs 1000, and `-- times` only times the inference.

#![allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_possible_wrap,
    clippy::float_cmp,
    reason = "small counts, and values that must come back exactly"
)]

#[path = "../bank_truth/mod.rs"]
mod bank_truth;

use bank_truth::{CASTS, Day, RIGS_M, Truth, USUAL, VARIED, setup};
use dotdown::session::depth_filter::Guess;
use dotdown::session::{Event, EventKind, Log, Session, SessionSetup};
use std::hint::black_box;
use std::time::Instant;

struct Row {
    free: u32,
    thrifty: u32,
    oracle: u32,
    advised: u32,
    wait: u32,
    never: u32,
    swaps: u32,
}

fn row(truth: Truth, setup: &SessionSetup, sessions: u64) -> Row {
    let mut row = Row { free: 0, thrifty: 0, oracle: 0, advised: 0, wait: 0, never: 0, swaps: 0 };
    for seed in 0..sessions {
        let day = Day::new(truth, seed);
        row.free += day.free_oracle();
        row.thrifty += day.thrifty_oracle();
        row.oracle += day.oracle();
        row.wait += day.wait_and_change();
        row.never += day.never_change();
        let (bites, swaps) = day.advised(setup);
        row.advised += bites;
        row.swaps += swaps;
    }
    row
}

fn print(truth: Truth, setup: &SessionSetup, sessions: u64) {
    let row = row(truth, setup, sessions);
    let share = |bites: u32| f64::from(bites) / f64::from(row.oracle);
    println!(
        "{:30} {:7.1} {:8.3} {:8.3} {:8.3} {:8.3} {:8.3} {:6.1}",
        truth.name,
        f64::from(row.oracle) / sessions as f64,
        share(row.advised),
        share(row.wait),
        share(row.never),
        share(row.thrifty),
        share(row.free),
        f64::from(row.swaps) / sessions as f64
    );
}

fn table(fall_m_per_s: f64, sessions: u64) {
    println!(
        "{:30} {:>7} {:>8} {:>8} {:>8} {:>8} {:>8} {:>6}",
        "truth", "oracle", "advised", "wait 5'", "never", "thrifty", "free", "swaps"
    );
    for truth in std::iter::once(USUAL).chain(VARIED) {
        let truth = Truth { fall_m_per_s, ..truth };
        print(truth, &setup(&truth), sessions);
    }
}

/// A six-hour log: 1,500 feeds, 1,100 casts, 300 bites, evenly spread, with a swap each half hour.
fn six_hours(first_ms: f64) -> Vec<Event> {
    let six_hours_ms = 6.0 * 3_600_000.0;
    let mut events = Vec::new();
    for (kind, count) in [
        (EventKind::Fed, 1500),
        (EventKind::Cast, 1100),
        (EventKind::Missed, 300),
        (EventKind::PickUpRig, 11),
    ] {
        for at in 0..count {
            let at_ms = first_ms + six_hours_ms * (f64::from(at) + 0.37) / f64::from(count);
            let event = Event::new(at_ms, kind);
            events.push(if kind == EventKind::PickUpRig { event.with_rig(at as u32 % 4) } else { event });
        }
    }
    events.sort_by(|a, b| a.at_ms.total_cmp(&b.at_ms));
    events
}

/// Median and least of the times of a piece of work, ms.
fn time_ms(runs: usize, mut work: impl FnMut()) -> (f64, f64) {
    let mut times: Vec<f64> = (0..runs)
        .map(|_| {
            let start = Instant::now();
            work();
            start.elapsed().as_secs_f64() * 1000.0
        })
        .collect();
    times.sort_by(f64::total_cmp);
    (times[runs / 2], times[0])
}

fn times() {
    let truth = Truth { fall_m_per_s: 0.1, ..USUAL };
    let setup = setup(&truth);
    let events = six_hours(setup.start_ms);
    let mut log = Log::default();
    for event in &events {
        log.push(event.clone(), 0.0).unwrap();
    }
    let replay = time_ms(51, || {
        black_box(Session::with_log(setup.clone(), black_box(&log)).unwrap());
    });
    println!(
        "replay of a six-hour log of {} events: {:.2} ms (median of 51; least {:.2})",
        events.len(),
        replay.0,
        replay.1
    );
    let mut session = Session::with_log(setup.clone(), &log).unwrap();
    let picture = time_ms(31, || {
        black_box(session.picture());
    });
    println!("its day as a picture: {:.2} ms (median of 31; least {:.2})", picture.0, picture.1);
    let mut now_ms = events.last().unwrap().at_ms;
    let tap = time_ms(501, || {
        now_ms += 20_000.0;
        session.record(Event::new(now_ms, EventKind::Cast)).unwrap();
        black_box(session.state(now_ms).unwrap());
        black_box(session.advice(now_ms).unwrap());
    });
    println!("one tap with state and advice after it: {:.3} ms (median of 501; least {:.3})", tap.0, tap.1);
    let undo = time_ms(31, || {
        now_ms += 1000.0;
        session.record(Event::new(now_ms, EventKind::Undo)).unwrap();
    });
    println!("one undo: {:.3} ms (median of 31; least {:.3})", undo.0, undo.1);
    let new = time_ms(51, || {
        black_box(Session::new(setup.clone()).unwrap());
    });
    println!(
        "a new session with {} rigs: {:.2} ms (median of 51; least {:.2})",
        setup.rigs.len(),
        new.0,
        new.1
    );
}

/// How far the scenario lets anyone go: the same filter, told the truth's own numbers; then with its swaps
/// free as well.
fn known_truth(fall_m_per_s: f64, sessions: u64) {
    let usual = Truth { fall_m_per_s, ..USUAL };
    for (words, swap_casts) in [("told the truth's own numbers", 2), ("and with swaps free of charge", 0)] {
        let truth = Truth { swap_casts, ..usual };
        let mut setup = setup(&truth);
        setup.depth.activity_levels = 1;
        setup.depth.guesses = vec![Guess { band_m: USUAL.band_m, fall: 1.0 }];
        setup.depth.shallow_share = 0.7;
        setup.depth.bottom_share = 0.3;
        if swap_casts == 0 {
            setup.choice.swap_s = 0.0;
            setup.choice.begin_bites = 0.0;
        }
        let (mut oracle, mut advised) = (0, 0);
        for seed in 0..sessions {
            oracle += Day::new(usual, seed).oracle();
            advised += Day::new(truth, seed).advised(&setup).0;
        }
        println!("{words}: {:.3} of the oracle that pays", f64::from(advised) / f64::from(oracle));
    }
}

/// Rows in which the falls that the session was given are not the true ones.
fn wrong_falls(sessions: u64) {
    for (name, true_fall, given_fall) in [
        ("true at once, given 0.10 m/s", f64::INFINITY, 0.10),
        ("true 0.10 m/s, given at once", 0.10, f64::INFINITY),
        ("true 0.10 m/s, given 0.06 m/s", 0.10, 0.06),
        ("true 0.06 m/s, given 0.10 m/s", 0.06, 0.10),
    ] {
        let given = setup(&Truth { fall_m_per_s: given_fall, ..USUAL });
        print(Truth { name, fall_m_per_s: true_fall, ..USUAL }, &given, sessions);
    }
}

fn main() {
    if std::env::args().any(|arg| arg == "times") {
        times();
        return;
    }
    let sessions = std::env::args().find_map(|arg| arg.parse().ok()).unwrap_or(200);
    println!(
        "{sessions} sessions of five hours ({CASTS} casts), rigs at {RIGS_M:?} m; bites as shares of the oracle's,"
    );
    println!("who always knows the best rig and pays 40 s for each swap.");
    println!("\nHook baits at rest at once:");
    table(f64::INFINITY, sessions);
    known_truth(f64::INFINITY, sessions);
    for fall_m_per_s in [0.10, 0.15] {
        println!("\nHook baits falling at {fall_m_per_s:.2} m/s:");
        table(fall_m_per_s, sessions);
        known_truth(fall_m_per_s, sessions);
    }
    println!("\nFalls that are not what the session was told:");
    wrong_falls(sessions);
    println!();
    times();
}
