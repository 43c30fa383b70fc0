//! The timetable against what must be so of any schedule, and one worked evening and morning.

use crate::common::cases;
use dotdown::bait::timetable::{Step, Timetable, TimetableRequest, When, timetable};
use proptest::prelude::*;

/// All-in 10:00; free from 18:00 the day before; bed from 23:00 to 6:00.
fn plan(steps: Vec<Step>) -> Timetable {
    timetable(&request(steps)).unwrap()
}

fn request(steps: Vec<Step>) -> TimetableRequest {
    TimetableRequest { steps, begin_min: -16 * 60, night_from_min: -11 * 60, night_to_min: -4 * 60 }
}

fn start(table: &Timetable, id: &str) -> i32 {
    table.steps.iter().find(|s| s.id == id).unwrap().start_min
}

/// A chain of prep with these minutes to freeze and to thaw, none for fresh bait. Bags thaw while the angler packs,
/// travels and sets up: only taking them out has to come before packing.
fn usual_steps(freeze: u32, thaw: u32) -> Vec<Step> {
    let chain = [
        ("buy", 45, false, When::DayBefore),
        ("cut", 40, false, When::Any),
        ("wash", 20, false, When::Any),
        ("drain", 20, true, When::Any),
        ("bag", 10, false, When::Any),
        ("freeze", freeze, true, When::Any),
        ("take_out", thaw.min(2), false, When::Any),
        ("thaw", thaw, true, When::Any),
        ("pack", 30, false, When::Any),
        ("leave", 40, false, When::Morning),
        ("set_up", 90, false, When::Morning),
    ];
    let mut before: Option<&str> = None;
    let mut steps = Vec::new();
    for (id, minutes, waiting, when) in chain.into_iter().filter(|row| row.1 > 0) {
        steps.push(Step { waiting, when, ..step(id, minutes, &Vec::from_iter(before)) });
        before = if id == "thaw" { before } else { Some(id) };
    }
    steps
}

#[test]
fn a_worked_day_with_fresh_bait() {
    let table = plan(usual_steps(0, 0));
    assert!(table.fits, "{table:?}");
    // Set up 90 before the all-in, leave 40 before that, pack 30, bag 10, drain 20: 6:50; wash 6:30; cut would be 5:50,
    // at night, so it is done the evening before and everything after it may wait for the morning.
    let at = |id| start(&table, id);
    assert_eq!([at("set_up"), at("leave"), at("pack"), at("bag")], [-90, -130, -160, -170]);
    assert_eq!([at("drain"), at("wash"), at("cut"), at("buy")], [-190, -210, -700, -745]);
    assert_eq!(table.first_morning_min, Some(-210));
    assert_eq!(table.slowest_chain, ["buy", "cut", "wash", "drain", "bag", "pack", "leave", "set_up"]);
    assert_eq!(table.spare_min, 960 - 745);
}

#[test]
fn freezing_needs_the_night_and_thawing_goes_on_in_the_car() {
    let table = plan(usual_steps(300, 150));
    let at = |id| start(&table, id);
    assert!(table.fits, "{table:?}");
    // Freezing may run through the night, but somebody has to be up to start it.
    assert!(at("freeze") <= -660 && at("take_out") >= -240, "{table:?}");
    assert!(at("take_out") + 2 <= at("thaw") && at("thaw") + 150 <= 0 && at("take_out") + 2 <= at("pack"));
    assert!(table.steps.iter().find(|s| s.id == "freeze").unwrap().may_be_day_before);
    assert!(!table.steps.iter().find(|s| s.id == "freeze").unwrap().in_the_morning);
}

#[test]
fn too_little_time_is_told_and_not_refused() {
    let table = plan(usual_steps(900, 0));
    assert!(!table.fits && table.spare_min < 0);
    let mut steps = usual_steps(0, 0);
    steps.iter_mut().find(|s| s.id == "cut").unwrap().when = When::Morning;
    assert!(!plan(steps).fits, "cutting at 5:50 is in the night");
}

fn step(id: &str, minutes: u32, after: &[&str]) -> Step {
    Step {
        id: id.to_owned(),
        name: id.to_owned(),
        minutes,
        after: after.iter().map(|&s| s.to_owned()).collect(),
        waiting: false,
        when: When::Any,
    }
}

#[test]
fn what_cannot_be_is_refused() {
    let refused = |steps| timetable(&request(steps)).unwrap_err();
    assert_eq!(
        refused(vec![step("a", 5, &["b"]), step("b", 5, &["a"])]).to_string(),
        "The step a waits for itself, by way of others; take one of them out."
    );
    assert_eq!(refused(vec![step("a", 5, &["a"])]).code(), "ring");
    assert_eq!(
        refused(vec![step("a", 5, &["c"])]).to_string(),
        "The step a waits for c, which is not in the list."
    );
    assert_eq!(refused(vec![step("a", 5, &[]), step("a", 5, &[])]).code(), "same_id");
    assert_eq!(refused(vec![step("a", 4321, &[])]).field(), "steps.minutes");
    assert_eq!(refused((0..41).map(|i| step(&i.to_string(), 1, &[])).collect()).code(), "too_many");
    let night = TimetableRequest { night_from_min: -100, night_to_min: -200, ..request(vec![]) };
    assert_eq!(timetable(&night).unwrap_err().field(), "night_from_min");
    let begin = TimetableRequest { begin_min: 5, ..request(vec![]) };
    assert_eq!(timetable(&begin).unwrap_err().field(), "begin_min");
    assert!(plan(vec![]).steps.is_empty());
}

prop_compose! {
    fn any_steps()(parts in prop::collection::vec(
        (0_u32..90, any::<bool>(), 0_u8..8, prop::collection::vec(any::<prop::sample::Index>(), 0..3)), 1..12,
    ), turn in any::<prop::sample::Index>()) -> Vec<Step> {
        let mut steps: Vec<Step> = parts.iter().enumerate().map(|(i, (minutes, waiting, when, after))| Step {
            id: i.to_string(),
            name: String::new(),
            minutes: *minutes,
            // Only earlier ones, so that there is no ring.
            after: if i == 0 { vec![] } else { after.iter().map(|x| x.index(i).to_string()).collect() },
            waiting: *waiting,
            when: match when { 0 => When::DayBefore, 1 => When::Morning, _ => When::Any },
        }).collect();
        let by = turn.index(steps.len());
        steps.rotate_left(by);
        steps
    }
}

proptest! {
    #![proptest_config(cases(0x71e, 256, 20_000))]

    #[test]
    fn every_schedule_keeps_its_word(steps in any_steps(), bed in -700..-500, up in -300..-100) {
        let request = TimetableRequest { steps: steps.clone(), begin_min: -1440, night_from_min: bed, night_to_min: up };
        let table = timetable(&request).unwrap();
        prop_assert_eq!(table.steps.len(), steps.len());
        let of = |id: &str| table.steps.iter().find(|s| s.id == id).unwrap();
        for step in &steps {
            let me = of(&step.id);
            prop_assert!(me.end_min <= 0 && me.end_min - me.start_min == i32::try_from(step.minutes).unwrap());
            prop_assert!(me.start_min <= me.latest_start_min);
            for before in &step.after {
                prop_assert!(of(before).end_min <= me.start_min, "{before} ends after {} starts", step.id);
                prop_assert!(of(before).earliest_start_min + i32::try_from(of(before).minutes).unwrap() <= me.earliest_start_min);
            }
            if step.when != When::Morning {
                let in_night = if step.waiting { me.start_min > bed && me.start_min < up } else { me.start_min < up && me.end_min > bed };
                prop_assert!(!in_night, "{me:?}");
            }
            if table.fits && step.when == When::Morning { prop_assert!(me.start_min >= up); }
            if step.when == When::DayBefore { prop_assert!(me.end_min <= bed); }
        }
        // One pair of hands: no two steps that need them at once.
        for a in &table.steps {
            for b in &table.steps {
                if a.id != b.id && !a.waiting && !b.waiting {
                    prop_assert!(a.end_min <= b.start_min || b.end_min <= a.start_min, "{a:?} {b:?}");
                }
            }
        }
        prop_assert!(table.steps.windows(2).all(|w| w[0].start_min <= w[1].start_min));
        // The slowest chain is a chain: each waits for the one before, and the last is waited for by none.
        for pair in table.slowest_chain.windows(2) {
            prop_assert!(steps.iter().find(|s| s.id == pair[1]).unwrap().after.contains(&pair[0]));
        }
        let last = table.slowest_chain.last().unwrap();
        prop_assert!(steps.iter().all(|s| !s.after.contains(last)));
        // A longer step never lets the first one start later.
        let mut longer = request.clone();
        longer.steps[0].minutes += 30;
        let earliest_latest = |t: &Timetable| t.steps.iter().map(|s| s.latest_start_min).min().unwrap();
        prop_assert!(earliest_latest(&timetable(&longer).unwrap()) <= earliest_latest(&table));
    }
}
