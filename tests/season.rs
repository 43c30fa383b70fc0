//! What a water teaches, on made-up days whose truth is known (`bank_truth`). No outside source: the laws are that the
//! order of days does not count, that no days are the default, that slow water fished at one depth teaches nothing of
//! the others, that a changed water is noticed, and that nothing handed in can break it. How well it fishes is measured by
//! `cargo bench --bench season`.

#![allow(clippy::float_cmp, reason = "values that must come back exactly")]

use crate::bank_truth::{CAST_S, CASTS, Day, RIGS_M, Truth, USUAL, setup};
use crate::common::seed;
use dotdown::plan::{Date, Plan, presets::first};
use dotdown::results::session_setup::habits_of;
use dotdown::session::habits::{Habits, Standing, VERSION};
use dotdown::session::{Event, EventKind, FishedDay, Log, MAX_DAYS, Session, SessionSetup, habits};
use serde_json::{Value as Json, from_str, from_value, json, to_string, to_value};

const START_MS: f64 = 1_900_000_000_000.0;
const FALLING: Truth = Truth { fall_m_per_s: 0.10, ..USUAL };
const BOTTOM: Truth = Truth { shallow: |_| 0.0, ..FALLING };
const SHALLOW: Truth = Truth { shallow: |_| 1.0, ..FALLING };

/// The log of one who fishes `rig(cast)` whatever comes.
fn log_of(day: &Day, rig: impl Fn(usize) -> usize) -> Log {
    let mut log = Log::default();
    for cast in 0..CASTS {
        let at_ms = START_MS + 1000.0 * CAST_S * cast as f64;
        let rig = rig(cast);
        log.push(Event::new(at_ms, EventKind::Cast).with_rig(u32::try_from(rig).unwrap()), 0.0).unwrap();
        if let Some(bite_s) = day.bite_s(rig, cast) {
            log.push(Event::new(at_ms + 1000.0 * bite_s, EventKind::Missed), 0.0).unwrap();
        }
    }
    log
}

/// Ten minutes with each rig in turn.
fn in_turn(cast: usize) -> usize {
    cast / 30 % RIGS_M.len()
}

fn fished(truth: Truth, seed: u64, date: i32, rig: impl Fn(usize) -> usize) -> FishedDay {
    FishedDay { date, setup: setup(&truth), log: log_of(&Day::new(truth, seed), rig) }
}

/// Share of the picture above a depth.
fn above(habits: &Habits, depth_m: f64) -> f64 {
    let picture = &habits.picture;
    let mut sum = (0.0, 0.0);
    for row in &picture.share {
        for (at, share) in row.iter().enumerate() {
            let middle_m = (at as f64 + 0.5) * picture.water_depth_m / row.len() as f64;
            sum.1 += share;
            if middle_m < depth_m {
                sum.0 += share;
            }
        }
    }
    sum.0 / sum.1
}

#[test]
fn the_order_of_days_does_not_count() {
    let first = seed(900);
    let mut days: Vec<FishedDay> =
        (0..4).map(|at| fished(FALLING, first + at, 20_000 + i32::try_from(at).unwrap(), in_turn)).collect();
    // Two sessions of one day, and two of one log but other water.
    days[1].date = days[0].date;
    days[3] = FishedDay { date: days[2].date, log: days[2].log.clone(), ..days[3].clone() };
    days[3].setup.water_depth_m = 2.6;
    let bytes = |days: &[FishedDay]| postcard::to_allocvec(&habits(days).unwrap()).unwrap();
    let taught = bytes(&days);
    for _ in 0..2 {
        days.rotate_left(1);
        days.swap(0, 2);
        assert_eq!(bytes(&days), taught);
    }
}

/// Only the newest days are worked out, whatever their order: one more, on which another rig had the bites, changes nothing.
#[test]
fn days_too_old_are_left_out() {
    let day = |at: usize| {
        let mut plan = first();
        plan.day.date = Date(20_000 + i32::try_from(at).unwrap());
        let mut log = Log::default();
        for cast in 0..6 {
            let rig = if at == 0 { 0 } else { 2 };
            let at_ms = START_MS + 60_000.0 * f64::from(cast);
            log.push(Event::new(at_ms, EventKind::Cast).with_rig(rig), 0.0).unwrap();
            log.push(Event::new(at_ms + 50_000.0, EventKind::Fish), 0.0).unwrap();
        }
        (plan, log)
    };
    let mut days: Vec<(Plan, Log)> = (0..=MAX_DAYS).map(day).collect();
    let newest = habits_of(&days[1..]).unwrap();
    assert_eq!(newest.days as usize, MAX_DAYS);
    assert_ne!(habits_of(&days[..MAX_DAYS]).unwrap(), newest, "the oldest would change it");
    days.reverse();
    assert_eq!(habits_of(&days).unwrap(), newest);
}

#[test]
fn no_days_are_the_default() {
    let none = habits(&[]).unwrap();
    assert_eq!((none.standing, none.days), (Standing::TooFewDays, 0));
    let log = log_of(&Day::new(FALLING, 3), in_turn);
    let at_ms = START_MS + 5.0 * 3_600_000.0;
    let asked = |habits| {
        let mut session = Session::with_log(SessionSetup { habits, ..setup(&FALLING) }, &log).unwrap();
        (session.state(at_ms).unwrap(), session.advice(at_ms).unwrap())
    };
    assert_eq!(asked(None), asked(Some(none)));
}

#[test]
fn nothing_is_said_before_three_days() {
    let first = seed(40);
    let days: Vec<FishedDay> =
        (0..3).map(|at| fished(BOTTOM, first + at, i32::try_from(at).unwrap(), in_turn)).collect();
    let two = habits(&days[..2]).unwrap();
    assert_eq!(two.standing, Standing::TooFewDays);
    assert_eq!(two.sentence(None), "2 days fished here: after three the session uses what the water taught.");
    let three = habits(&days).unwrap();
    assert_eq!(three.standing, Standing::Used);
    let said = three.sentence(None);
    assert!(said.starts_with("From 3 days: the fish are mostly between 1."), "{said}");
    assert!(above(&three, 1.2) < 0.25, "{}", above(&three, 1.2));
    let no_better = Habits { standing: Standing::NoBetter, ..three.clone() };
    assert_eq!(
        no_better.sentence(None),
        "What 3 days taught is not used: it foretold them no better than the usual numbers."
    );
    // What was caught stands where the rig hung: nothing between the rigs.
    let bites: u32 = three.picture.bites.iter().flatten().sum();
    let tapped =
        |day: &FishedDay| day.log.standing().iter().filter(|one| one.event.kind == EventKind::Missed).count();
    assert_eq!(bites as usize, days.iter().map(tapped).sum::<usize>());
    assert!(three.picture.bites.iter().all(|row| row[4..8].iter().all(|bites| *bites == 0)));
}

#[test]
fn a_changed_water_is_noticed() {
    let first = seed(70);
    let day = |at: u64| {
        let truth = if at < 5 { SHALLOW } else { BOTTOM };
        fished(truth, first + at, i32::try_from(at).unwrap(), in_turn)
    };
    let days: Vec<FishedDay> = (0..8).map(day).collect();
    let before = habits(&days[..5]).unwrap();
    assert!(above(&before, 1.2) > 0.75, "{}", above(&before, 1.2));
    let after = habits(&days).unwrap();
    assert_eq!(after.counting_days, 3, "{}", after.sentence(None));
    assert!(above(&after, 1.2) < 0.25, "{}", above(&after, 1.2));
    assert!(after.sentence(None).starts_with("Of 8 days the last 3 count, since the water changed: "));
    // Within the first new day the session sees it too.
    let with = SessionSetup { habits: Some(before), ..setup(&BOTTOM) };
    let session = Session::with_log(with, &days[5].log).unwrap();
    let fish = session.state(START_MS + 1000.0 * CAST_S * CASTS as f64).unwrap().fish;
    assert!(fish.median_m > 1.2, "{fish:?}");
}

/// A rig that is never changed on slow water, the fish being elsewhere: quiet must not become the place of the fish.
#[test]
fn slow_water_fished_at_one_depth_is_no_trap() {
    let slow = Truth { activity: 1.0 / 3.0, shallow: |_| 0.1, ..FALLING };
    for first in [seed(300), seed(300) + 50] {
        let days: Vec<FishedDay> =
            (0..5).map(|at| fished(slow, first + at, i32::try_from(at).unwrap(), |_| 0)).collect();
        let taught = habits(&days).unwrap();
        let water = &taught.waters[0];
        let cells = water.jump_to[0].len();
        let near: f64 = water.jump_to[0].iter().take(cells / 4).sum();
        assert!(near < 0.5, "{near} of the moves end above {} m", water.water_depth_m / 4.0);
    }
}

fn taught() -> Habits {
    let days: Vec<FishedDay> =
        (0..3).map(|at| fished(BOTTOM, 40 + at, i32::try_from(at).unwrap(), in_turn)).collect();
    habits(&days).unwrap()
}

#[test]
fn habits_come_back_as_bytes_and_as_json() {
    let habits = taught();
    let bytes = postcard::to_allocvec(&habits).unwrap();
    assert_eq!(postcard::from_bytes::<Habits>(&bytes).unwrap(), habits);
    assert!(bytes.len() < 8000, "{} bytes", bytes.len());
    let text = to_string(&habits).unwrap();
    assert!(text.contains("\"counting_days\":3") && text.contains("\"jump_every_s\":"), "{text}");
    let back: Habits = from_str(&text).unwrap();
    let near = |a: f64, b: f64| (a - b).abs() <= 1e-12 * a.abs();
    assert!(near(back.waters[0].jump_every_s, habits.waters[0].jump_every_s));
    assert_eq!(back.version, VERSION);
}

/// The pointers to every number and word of a value, of a list's first two entries.
fn walk(value: &Json, at: &str, places: &mut Vec<String>) {
    match value {
        Json::Array(list) => {
            for (place, value) in list.iter().take(2).enumerate() {
                walk(value, &format!("{at}/{place}"), places);
            }
        }
        Json::Object(map) => {
            for (name, value) in map {
                walk(value, &format!("{at}/{name}"), places);
            }
        }
        _ => places.push(at.to_owned()),
    }
}

/// Every number of good habits in turn is made absurd, and a field is added: refused, or a session is made of it.
#[test]
fn bad_habits_are_refused_and_never_panic() {
    let good = to_value(taught()).unwrap();
    let mut more = good.clone();
    more["colour"] = json!("green");
    assert!(from_value::<Habits>(more).is_err());
    let mut places = Vec::new();
    walk(&good, "", &mut places);
    assert!(places.len() > 20, "{places:?}");
    let (mut refused, mut made) = (0, 0);
    for place in places {
        for absurd in [
            json!(-1),
            json!(0),
            json!(1e300),
            json!(1e-300),
            json!(4_000_000_000_u32),
            json!("x"),
            json!([]),
        ] {
            let mut bad = good.clone();
            *bad.pointer_mut(&place).unwrap() = absurd;
            match from_value::<Habits>(bad)
                .map(|habits| SessionSetup { habits: Some(habits), ..setup(&FALLING) })
            {
                Ok(with) => match Session::new(with) {
                    Ok(mut session) => {
                        session.record(Event::new(START_MS, EventKind::Missed)).unwrap();
                        assert!(
                            session.state(START_MS + 1e6).unwrap().fish.chance.iter().all(|p| p.is_finite())
                        );
                        made += 1;
                    }
                    Err(told) => {
                        assert!(told.field().starts_with("habits."), "{told:?}");
                        refused += 1;
                    }
                },
                Err(_) => refused += 1,
            }
        }
    }
    assert!(refused > 100 && made > 5, "{refused} {made}");
    let mut nan = taught();
    nan.waters[0].jump_to[0][3] = f64::NAN;
    assert_eq!(nan.checked().unwrap_err().code(), "not_a_number");
}

#[test]
fn bad_days_are_refused() {
    let mut day = fished(FALLING, 1, 0, in_turn);
    day.setup.rigs.truncate(2);
    assert_eq!(habits(&[day]).unwrap_err().code(), "unknown_rig");
    let mut day = fished(FALLING, 1, 0, in_turn);
    day.setup.water_depth_m = f64::NAN;
    assert_eq!(habits(&[day]).unwrap_err().code(), "setup");
    let mut log = Log::default();
    log.push(Event::new(f64::NAN, EventKind::Missed), 0.0).unwrap();
    let day = FishedDay { date: i32::MAX, setup: setup(&FALLING), log };
    assert_eq!(habits(&[day]).unwrap_err().code(), "time");
    // Empty days are none, and one that never ends is cut.
    let mut endless = Log::default();
    endless.push(Event::new(START_MS, EventKind::Cast), 0.0).unwrap();
    endless.push(Event::new(4_000_000_000_000.0, EventKind::Missed), 0.0).unwrap();
    let day = |log: Log| FishedDay { date: i32::MIN, setup: setup(&FALLING), log };
    let habits = habits(&[day(Log::default()), day(endless), day(Log::default())]).unwrap();
    assert_eq!(habits.days, 1);
    assert!(habits.checked().is_ok());
}
