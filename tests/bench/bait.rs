//! How long one recalculation of the bait takes, natively: times, and ratios to the fall of one cube.
//!
//! Prints; asserts nothing. Run with `cargo bench --bench bait`.

use dotdown::bait::amount::{AmountRequest, Block, Feeding, Method, amount};
use dotdown::bait::cold::{FreezingRequest, Surface, freezing_time, frozen_curve};
use dotdown::bait::floaters::{FloatRequest, floaters};
use dotdown::bait::material::{Matter, TINS};
use dotdown::bait::shape::Shape;
use dotdown::bait::sink::{SinkRequest, sink};
use dotdown::bait::timetable::{Step, TimetableRequest, When, timetable};
use dotdown::bait::tub_test::{Drop, Target, TubTest, tub_test};
use std::hint::black_box;
use std::time::Instant;

/// The fastest tenth of 41 rounds of `each` calls, in microseconds a call: a shared machine only ever adds to it.
fn micros(each: u32, mut call: impl FnMut()) -> f64 {
    let mut rounds: Vec<f64> = (0..41)
        .map(|_| {
            let start = Instant::now();
            for _ in 0..each {
                call();
            }
            start.elapsed().as_secs_f64() * 1e6 / f64::from(each)
        })
        .collect();
    rounds.sort_by(f64::total_cmp);
    rounds[4]
}

/// One of a chain of steps, each waiting for the one before.
fn step(i: u32) -> Step {
    Step {
        id: i.to_string(),
        name: String::new(),
        minutes: if i == 5 { 300 } else { 30 },
        after: i.checked_sub(1).iter().map(u32::to_string).collect(),
        waiting: i == 5,
        when: if i == 0 { When::DayBefore } else { When::Any },
    }
}

fn main() {
    let cube = Shape::Cube { edge_mm: 6.0 };
    let depths = vec![0.4, 0.6, 0.8, 1.0, 1.3, 1.6, 2.0, 2.5];
    let fall = SinkRequest {
        matter: Matter::Label { label: TINS[0].label, air_share: 0.0, block: None, tests: None },
        shape: cube,
        water_temperature_c: 14.0,
        depths_m: depths.clone(),
    };
    let test = |n: u32, targets: usize| TubTest {
        matter: Matter::Label { label: TINS[0].label, air_share: 0.0, block: None, tests: None },
        shape: cube,
        tub_depth_m: 0.3,
        tub_depth_sd_m: 0.003,
        tub_temperature_c: 18.0,
        drops: (0..n).map(|i| Drop { dropped_s: 0.0, landed_s: 5.2 + 0.1 * f64::from(i % 7) }).collect(),
        pieces: 40,
        light: 1,
        targets: (0..targets)
            .map(|i| Target {
                shape: Shape::Cube { edge_mm: 6.0 + i as f64 },
                water_temperature_c: 14.0,
                depths_m: depths.clone(),
            })
            .collect(),
    };
    let phase = |start_min: f64, seconds_between: f64| Feeding {
        line: "long pole".to_owned(),
        method: Method::Hand,
        start_min,
        minutes: 90.0,
        cubes_per_feed: 25,
        seconds_between,
    };
    let feeding = AmountRequest {
        phases: vec![phase(0.0, 15.0), phase(90.0, 30.0), phase(180.0, 20.0), phase(200.0, 60.0)],
        edge_mm: 6.0,
        cube_mass_g: 0.2232,
        block: Block { length_mm: 90.0, width_mm: 55.0, height_mm: 39.0, net_g: 200.0 },
        pitch_mm: 6.3,
        hook_baits: 100,
        reserve_share: 0.1,
        limit: None,
        bag_g: 150.0,
        tins_in_hand: Some(10),
    };
    let chill = FreezingRequest {
        label: TINS[0].label,
        thickness_mm: 25.0,
        start_c: -18.0,
        medium_c: 15.0,
        until_c: 0.0,
        surface: Surface::StillAir,
    };
    let float = FloatRequest {
        edge_mm: 6.0,
        excess_kg_per_m3: 34.0,
        water_temperature_c: 15.0,
        pieces: 50,
        floated: 7,
        came_up_again: 2,
        maybe_frozen: false,
    };
    let prep = TimetableRequest {
        steps: (0..11_u32).map(step).collect(),
        begin_min: -960,
        night_from_min: -660,
        night_to_min: -240,
    };
    let (none, ten, fifty, wide) = (test(0, 1), test(10, 1), test(50, 1), test(10, 4));
    let one = micros(200, || drop(black_box(sink(black_box(&fall)))));
    let rows: [(&str, f64); 10] = [
        ("fall of a cube, band, 8 depths", one),
        ("tub test, no drop", micros(20, || drop(black_box(tub_test(black_box(&none)))))),
        ("tub test, 10 drops, 1 target", micros(20, || drop(black_box(tub_test(black_box(&ten)))))),
        ("tub test, 50 drops, 1 target", micros(20, || drop(black_box(tub_test(black_box(&fifty)))))),
        ("tub test, 10 drops, 4 sizes", micros(20, || drop(black_box(tub_test(black_box(&wide)))))),
        ("amounts of a day, 4 phases", micros(100, || drop(black_box(amount(black_box(&feeding)))))),
        ("floaters", micros(100, || drop(black_box(floaters(black_box(&float)))))),
        (
            "frozen cubes, 14 temperatures",
            micros(20, || drop(black_box(frozen_curve(&TINS[0].label, 0.0, cube, 14.0)))),
        ),
        ("thawing of a bag", micros(5, || drop(black_box(freezing_time(black_box(&chill)))))),
        ("prep timetable", micros(100, || drop(black_box(timetable(black_box(&prep)))))),
    ];
    println!("bait, natively, fastest tenth of 41 rounds");
    for (name, time) in rows {
        println!("{name:<34}{time:>9.1} µs {:>8.1} x one fall", time / one);
    }
}
