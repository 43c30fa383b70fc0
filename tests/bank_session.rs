//! One session from first tap to summary: what each tap does, undo, double touch, replay, clocks that jump,
//! bad input, and the rules of common practice. No outside source; the expectations are worked out by hand
//! beside each test.

#![allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_possible_wrap,
    clippy::float_cmp,
    reason = "small counts, and values that must come back exactly"
)]

use crate::common::{cases, dice, long};
use dotdown::session::event::Fix;
use dotdown::session::feed_clock::Feeding;
use dotdown::session::log::read_back;
use dotdown::session::{AdviceKind, Event, EventKind, LineSetup, Log, RigSetup, Session, SessionSetup};
use proptest::prelude::*;
use std::fmt::Write as _;

const T0: f64 = 1_900_000_000_000.0;

fn rig(name: &str, depth_m: f64) -> RigSetup {
    RigSetup {
        name: name.to_owned(),
        depth_m,
        on_bottom: depth_m > 1.9,
        line: 0,
        sample_dt_s: 0.5,
        hook_z_m: (0..20).map(|at| depth_m * f64::from(at) / 20.0).collect(),
    }
}

fn setup() -> SessionSetup {
    let mut setup = SessionSetup::new(vec![rig("jigger", 0.35), rig("", 0.6), rig("deck", 2.1)], 2.15, T0);
    setup.phases = vec![Feeding {
        line: "short pole".to_owned(),
        minutes: 240.0,
        cubes_per_feed: 6.0,
        seconds_between: 30.0,
    }];
    setup.cubes_taken = Some(100.0);
    setup
}

fn session() -> Session {
    Session::new(setup()).unwrap()
}

fn at(seconds: f64) -> f64 {
    T0 + 1000.0 * seconds
}

fn tap(session: &mut Session, seconds: f64, kind: EventKind) {
    session.record(Event::new(at(seconds), kind)).unwrap();
}

#[test]
fn totals_count_what_was_tapped() {
    let mut s = session();
    tap(&mut s, 0.0, EventKind::Fed);
    tap(&mut s, 1.0, EventKind::Cast);
    tap(&mut s, 31.0, EventKind::Missed);
    s.record(Event::new(at(40.0), EventKind::Fed).with_value(10.0)).unwrap();
    tap(&mut s, 50.0, EventKind::Cast);
    s.record(Event::new(at(80.0), EventKind::Fish).with_value(1500.0)).unwrap();
    s.record(Event::new(at(120.0), EventKind::Cast).with_rig(2)).unwrap();
    tap(&mut s, 160.0, EventKind::Fish);
    tap(&mut s, 180.0, EventKind::Cast);
    tap(&mut s, 200.0, EventKind::LostFish);
    tap(&mut s, 220.0, EventKind::Cast);
    tap(&mut s, 4000.0, EventKind::FoulHooked);
    let state = s.state(at(4010.0)).unwrap();
    let t = &state.totals;
    assert_eq!((t.fish, t.missed, t.lost, t.foul_hooked, t.feeds, t.swaps), (2, 1, 1, 1, 2, 1));
    assert_eq!((t.cubes_fed, t.cubes_left), (16.0, Some(84.0)));
    // One fish weighed at 1.5 kg; the other is taken to be like it.
    assert_eq!((t.weight_kg, t.fish_weighed), (Some(3.0), 1));
    assert_eq!((t.per_rig[0].fish, t.per_rig[0].missed, t.per_rig[2].fish, t.per_rig[2].lost), (1, 1, 1, 1));
    assert_eq!(t.per_hour.len(), 1);
    assert_eq!((state.rig, state.in_water, state.line.as_str()), (2, false, "short pole"));
    assert_eq!(state.undoes.as_ref().map(|event| event.kind), Some(EventKind::FoulHooked));
    let summary = s.summary(at(4010.0)).unwrap();
    assert_eq!(summary.lines[0], "2 fish in 1.1 h; 1 bite missed, 1 fish lost.");
    assert_eq!(summary.lines[1], "16 cubes fed in 2 feeds; 84 left: freeze again only what was kept cold.");
    assert_eq!(summary.seconds_between_feeds, Some(40.0));
    assert!(summary.learned[0].starts_with("Too little to tell"), "{:?}", summary.learned);
}

#[test]
fn the_hook_bait_falls_as_simulated() {
    let mut s = session();
    s.record(Event::new(at(0.0), EventKind::Cast).with_rig(2)).unwrap();
    // 2.1 m in 10 s.
    let state = s.state(at(4.0)).unwrap();
    assert!((state.hook_m.unwrap() - 0.84).abs() < 1e-9);
    assert!((s.state(at(60.0)).unwrap().hook_m.unwrap() - 2.1).abs() < 1e-9);
    tap(&mut s, 61.0, EventKind::Lift);
    assert_eq!(s.state(at(62.0)).unwrap().hook_m, None);
}

#[test]
fn undo_takes_back_exactly_one_tap() {
    let mut s = session();
    let mut before = Vec::new();
    let mut rng = dice(3);
    let mut seconds = 0.0;
    for _ in 0..60 {
        before.push(s.state(at(5000.0)).unwrap());
        seconds += 5.0 + 30.0 * rng.f64();
        let kind = [
            EventKind::Fed,
            EventKind::Cast,
            EventKind::Missed,
            EventKind::Fish,
            EventKind::PickUpRig,
            EventKind::Lift,
        ][rng.usize(0..6)];
        let event = Event::new(at(seconds), kind);
        let event = if kind == EventKind::PickUpRig { event.with_rig(rng.u32(0..3)) } else { event };
        s.record(event).unwrap();
    }
    // Deeper than the snapshots that are kept, so that both ways back are taken.
    for (undone, expected) in before.iter().rev().enumerate() {
        tap(&mut s, seconds + 1.0 + undone as f64, EventKind::Undo);
        let state = s.state(at(5000.0)).unwrap();
        assert_eq!(&state, expected, "after {} undone", undone + 1);
    }
    assert_eq!(s.record(Event::new(at(6000.0), EventKind::Undo)).unwrap_err().code(), "nothing_to_undo");
}

#[test]
fn a_double_touch_counts_once() {
    let mut s = session();
    tap(&mut s, 0.0, EventKind::Fed);
    let again = s.record(Event::new(at(0.25), EventKind::Fed)).unwrap();
    assert!(again.double_touch && again.number.is_none() && again.line.is_empty());
    assert_eq!(s.state(at(1.0)).unwrap().totals.feeds, 1);
}

#[test]
fn the_log_read_back_gives_the_same_session() {
    let mut s = session();
    let mut stored = String::new();
    for step in 0..200 {
        let kind = [
            EventKind::Cast,
            EventKind::Fed,
            EventKind::Missed,
            EventKind::Undo,
            EventKind::Cast,
            EventKind::Fish,
        ][step % 6];
        let recorded = s.record(Event::new(at(11.0 * step as f64), kind)).unwrap();
        stored.push_str(&recorded.line);
        stored.push('\n');
    }
    assert_eq!(stored, s.log().to_text());
    let read = read_back(&stored, 3).unwrap();
    assert!(read.repairs.is_empty());
    let mut back = Session::with_log(setup(), &read.log).unwrap();
    assert_eq!(back.state(at(2300.0)).unwrap(), s.state(at(2300.0)).unwrap());
    assert_eq!(back.advice(at(2300.0)).unwrap(), s.advice(at(2300.0)).unwrap());
}

#[test]
fn asking_changes_nothing() {
    let mut s = session();
    tap(&mut s, 0.0, EventKind::Cast);
    let plain = {
        let mut s = s.clone();
        tap(&mut s, 200.0, EventKind::Missed);
        s.state(at(210.0)).unwrap()
    };
    for second in 0..200 {
        s.state(at(f64::from(second))).unwrap();
        s.advice(at(f64::from(second))).unwrap();
    }
    tap(&mut s, 200.0, EventKind::Missed);
    assert_eq!(s.state(at(210.0)).unwrap(), plain);
}

#[test]
fn a_clock_set_back_is_told_and_no_tap_is_lost() {
    let mut s = session();
    tap(&mut s, 100.0, EventKind::Fed);
    assert!(s.record(Event::new(at(99.0), EventKind::Cast)).unwrap().told.is_empty());
    let told = s.record(Event::new(at(110.0) - 3_600_000.0, EventKind::Missed)).unwrap().told;
    assert_eq!(
        told,
        ["The clock jumped back by 60 min. Every tap is kept in order; check the time of the end."]
    );
    tap(&mut s, 130.0 - 3600.0, EventKind::Fed);
    let state = s.state(at(140.0) - 3_600_000.0).unwrap();
    assert_eq!((state.totals.feeds, state.totals.missed), (2, 1));
    // The session's clock stood still at the jump (100 s) and went on from there: fed at 120 s, asked at 130
    // s.
    assert!((state.beat.since_last_s.unwrap() - 10.0).abs() < 1e-9, "{:?}", state.beat);
    assert!((state.clouds[0].fed_at_ms - (at(130.0) - 3_600_000.0)).abs() < 1e-3);
    let told = s.record(Event::new(at(50_000.0), EventKind::Fed)).unwrap().told;
    assert!(told[0].starts_with("The clock jumped ahead by"), "{told:?}");
}

#[test]
fn bites_draw_the_belief_to_their_depth() {
    let mut s = session();
    s.record(Event::new(at(0.0), EventKind::PickUpRig).with_rig(1)).unwrap();
    for cast in 0..6 {
        let from = 60.0 + 60.0 * f64::from(cast);
        tap(&mut s, from, EventKind::Cast);
        tap(&mut s, from + 25.0, if cast % 2 == 0 { EventKind::Missed } else { EventKind::Fish });
    }
    let state = s.state(at(420.0)).unwrap();
    assert!(state.fish.from_m < 0.6 && state.fish.to_m > 0.6 && state.fish.to_m < 1.0, "{:?}", state.fish);
    assert!((state.fish.chance.iter().sum::<f64>() - 1.0).abs() < 1e-9);
    assert!((state.rigs.iter().map(|rig| rig.chance_best).sum::<f64>() - 1.0).abs() < 1e-9);
    assert!(state.rigs[1].chance_best > 0.6, "{:?}", state.rigs);
    assert_eq!(s.advice(at(420.0)).unwrap().rig, 1);
}

#[test]
fn a_bite_on_the_drop_tells_its_depth() {
    let mut s = session();
    s.record(Event::new(at(0.0), EventKind::PickUpRig).with_rig(2)).unwrap();
    for cast in 0..4 {
        let from = 60.0 + 60.0 * f64::from(cast);
        tap(&mut s, from, EventKind::Cast);
        // 3.5 s at 0.21 m/s, tapped up to a second late: between 0.5 and 0.75 m.
        tap(&mut s, from + 3.5, EventKind::Missed);
    }
    let median_m = s.state(at(300.0)).unwrap().fish.median_m;
    assert!((0.5..0.8).contains(&median_m), "{median_m}");
}

#[test]
fn a_rig_gone_quiet_is_changed_and_the_advice_does_not_twitch() {
    let mut s = session();
    s.record(Event::new(at(0.0), EventKind::PickUpRig).with_rig(1)).unwrap();
    let mut seconds = 60.0;
    for _ in 0..10 {
        tap(&mut s, seconds, EventKind::Cast);
        tap(&mut s, seconds + 15.0, EventKind::Fish);
        seconds += 50.0;
    }
    assert_eq!(s.advice(at(seconds)).unwrap().kind, AdviceKind::FeedSlower);
    // Nothing more comes. Within ten minutes another rig is advised; asked each second, the advice changes
    // once.
    let (mut changes, mut last) = (0, AdviceKind::FeedSlower);
    for cast in 0..30 {
        tap(&mut s, seconds + 20.0 * f64::from(cast), EventKind::Cast);
        for second in 0..20 {
            let advice = s.advice(at(seconds + 20.0 * f64::from(cast) + f64::from(second))).unwrap();
            if (advice.kind == AdviceKind::PickUpRig) != (last == AdviceKind::PickUpRig) {
                changes += 1;
            }
            last = advice.kind;
        }
    }
    assert_eq!((changes, last), (1, AdviceKind::PickUpRig));
    let advice = s.advice(at(seconds + 600.0)).unwrap();
    assert_ne!(advice.rig, 1);
    assert!(advice.gain_bites > 0.0 && (0.0..=1.0).contains(&advice.sure));
    assert!(advice.line.starts_with("Pick up ") || advice.line.starts_with("Try "), "{}", advice.line);
    assert!(advice.reason.starts_with("Nothing for "), "{}", advice.reason);
}

#[test]
fn missed_bites_tighten_the_shot_once() {
    let mut s = Session::new(SessionSetup { cubes_taken: None, ..setup() }).unwrap();
    s.record(Event::new(at(0.0), EventKind::PickUpRig).with_rig(1)).unwrap();
    let mut seconds = 60.0;
    for _ in 0..8 {
        tap(&mut s, seconds, EventKind::Cast);
        tap(&mut s, seconds + 20.0, EventKind::Missed);
        seconds += 40.0;
    }
    let advice = s.advice(at(seconds)).unwrap();
    assert_eq!((advice.kind, advice.evidence.last_missed), (AdviceKind::TightenShot, 8));
    assert_eq!(
        advice.line,
        "Move the bulk nearer the hook and shorten the hooklength below its lowest shot."
    );
    assert_eq!(advice.reason, "8 of the last 8 bites were missed: the bite shows too late.");
    s.record(Event::new(at(seconds), EventKind::Shot).with_value(-1.0)).unwrap();
    assert_eq!(s.advice(at(seconds + 1.0)).unwrap().kind, AdviceKind::Stay);
}

#[test]
fn the_right_depth_without_bites_feeds_faster_then_spreads() {
    let mut one = setup();
    one.rigs.truncate(1);
    // With too little bait to the end, what is left is spread; with enough, it is fed faster.
    let mut s = Session::new(one.clone()).unwrap();
    tap(&mut s, 0.0, EventKind::Cast);
    let advice = s.advice(at(20.0)).unwrap();
    assert_eq!(
        (advice.kind, advice.line.as_str()),
        (AdviceKind::FeedSlower, "Feed slower, about every 863 s.")
    );
    assert_eq!(advice.reason, "At this pace 2776 cubes are missing at the end.");
    one.cubes_taken = Some(3000.0);
    let mut s = Session::new(one).unwrap();
    for cast in 0..33 {
        tap(&mut s, 20.0 * f64::from(cast), EventKind::Cast);
    }
    let advice = s.advice(at(660.0)).unwrap();
    assert_eq!(advice.kind, AdviceKind::FeedFaster);
    assert_eq!(advice.line, "Feed faster, about every 15 s while fishing shallow.");
    s.record(Event::new(at(660.0), EventKind::Nudge).with_value(-15.0)).unwrap();
    assert_eq!(s.advice(at(661.0)).unwrap().kind, AdviceKind::SpreadShot);
    assert_eq!(s.state(at(661.0)).unwrap().beat.interval_s, Some(15.0));
}

#[test]
fn lowering_need_not_be_said() {
    // Only feeds and bites are tapped: water time counts from the first feed, and again 15 s after a bite.
    let mut s = session();
    for feed in 0..20 {
        tap(&mut s, 30.0 * f64::from(feed), EventKind::Fed);
        if feed == 10 {
            tap(&mut s, 305.0, EventKind::Missed);
        }
    }
    let water_s = s.state(at(570.0)).unwrap().totals.per_rig[0].water_s;
    // 305 s, less the half second of reaction, then from 320 s on.
    assert!((water_s - (304.5 + 250.0)).abs() < 1e-6, "{water_s}");
    // And a feed that is a re-cast ends one cast and begins the next.
    let mut recast = setup();
    recast.feed_is_recast = true;
    let mut s = Session::new(recast).unwrap();
    for feed in 0..20 {
        tap(&mut s, 30.0 * f64::from(feed), EventKind::Fed);
    }
    let state = s.state(at(575.0)).unwrap();
    assert_eq!((state.totals.per_rig[0].casts, state.since_lowered_s), (20, Some(5.0)));
}

#[test]
fn an_angler_who_is_away_proves_nothing() {
    let mut s = session();
    tap(&mut s, 0.0, EventKind::Cast);
    let water_s = s.state(at(7200.0)).unwrap().totals.per_rig[0].water_s;
    assert!((water_s - 300.0).abs() < 1e-6, "{water_s}");
}

#[test]
fn a_pause_stops_the_clock_and_the_water_time() {
    let mut s = session();
    tap(&mut s, 0.0, EventKind::Fed);
    tap(&mut s, 10.0, EventKind::Pause);
    let state = s.state(at(1000.0)).unwrap();
    assert!((state.beat.to_next_s.unwrap() - 20.0).abs() < 1e-9);
    assert!(state.beat.paused && !state.in_water);
    tap(&mut s, 1000.0, EventKind::Resume);
    let state = s.state(at(1005.0)).unwrap();
    assert!((state.beat.to_next_s.unwrap() - 15.0).abs() < 1e-9);
    assert!((state.totals.per_rig[0].water_s - 15.0).abs() < 1e-6);
    tap(&mut s, 1100.0, EventKind::End);
    assert!(s.state(at(1200.0)).unwrap().ended);
}

#[test]
fn bad_events_change_nothing() {
    let mut s = session();
    tap(&mut s, 0.0, EventKind::Cast);
    let before = s.state(at(10.0)).unwrap();
    for (event, code) in [
        (Event::new(f64::NAN, EventKind::Missed), "time"),
        (Event::new(f64::INFINITY, EventKind::Missed), "time"),
        (Event::new(-1.0, EventKind::Missed), "time"),
        (Event::new(at(5.0), EventKind::Cast).with_rig(3), "unknown_rig"),
        (Event::new(at(5.0), EventKind::Fish).with_value(f64::NAN), "value"),
        (Event::new(at(5.0), EventKind::Nudge).with_value(1e9), "value"),
    ] {
        let error = s.record(event).unwrap_err();
        assert_eq!(error.code(), code);
        assert!(error.to_string().ends_with('.'), "{error}");
    }
    assert!(s.state(f64::NAN).is_err() && s.advice(-5.0).is_err() && s.summary(1e300).is_err());
    assert_eq!(s.state(at(10.0)).unwrap(), before);
    let told = s.record(Event::new(at(6.0), EventKind::Note).with_note("<b>wind</b>")).unwrap().told;
    assert_eq!(told, ["The note held markup or too many words and was made plain."]);
    assert_eq!(s.summary(at(9.0)).unwrap().notes, ["‹b›wind‹/b›"]);
}

#[test]
fn bad_setups_are_refused() {
    let refused = |change: fn(&mut SessionSetup)| {
        let mut bad = setup();
        change(&mut bad);
        let error = Session::new(bad).unwrap_err();
        assert_eq!(error.code(), "setup");
        assert!(error.to_string().contains(error.field()), "{error}");
    };
    refused(|s| s.rigs.clear());
    refused(|s| s.rigs = vec![rig("", 0.5); 17]);
    refused(|s| s.rigs[0].depth_m = f64::NAN);
    refused(|s| s.rigs[0].hook_z_m[3] = f64::INFINITY);
    refused(|s| s.rigs[0].sample_dt_s = 0.0);
    refused(|s| s.water_depth_m = 99.0);
    refused(|s| s.first_rig = 3);
    refused(|s| s.start_ms = f64::NAN);
    refused(|s| s.phases[0].minutes = 0.0);
    refused(|s| s.phases[0].seconds_between = f64::NAN);
    refused(|s| s.depth.cell_m = 0.06);
    refused(|s| s.depth.guesses.clear());
    refused(|s| s.depth.shallow_band_m = (f64::NAN, 0.5));
    refused(|s| s.choice.blocks = 9);
    refused(|s| s.rules.idle_s = f64::INFINITY);
}

#[test]
fn a_setup_from_javascript_may_be_short() {
    let json = r#"{"rigs":[{"depth_m":0.35},{"depth_m":2.1}]}"#;
    let setup: SessionSetup = serde_json::from_str(json).unwrap();
    let mut s = Session::new(setup).unwrap();
    assert_eq!(s.setup().water_depth_m, 2.1);
    // Without a start it starts with its first event, and may be asked before.
    assert!(!s.advice(at(0.0)).unwrap().line.is_empty());
    tap(&mut s, 5.0, EventKind::Fed);
    assert!((s.summary(at(3605.0)).unwrap().hours - 1.0).abs() < 1e-9);
}

/// Feeds alone, read each second: what is advised never changes with one, is worth what it costs, and lasts.
#[test]
fn a_feed_never_changes_the_advice() {
    let mut s = session();
    tap(&mut s, 0.0, EventKind::Cast);
    let mut last = s.advice(at(1.0)).unwrap().rig;
    let mut changed_s = Vec::new();
    for second in 2..2400 {
        let now_s = f64::from(second);
        if second % 20 == 0 {
            let before = s.advice(at(now_s)).unwrap().rig;
            tap(&mut s, now_s, EventKind::Fed);
            assert_eq!(s.advice(at(now_s)).unwrap().rig, before, "after {second} s");
        }
        if second % 60 == 0 {
            tap(&mut s, now_s, EventKind::Cast);
        }
        let advice = s.advice(at(now_s)).unwrap();
        if advice.kind == AdviceKind::PickUpRig {
            assert!(advice.gain_bites >= 0.0 && advice.cost_bites >= 0.0, "{advice:?}");
        }
        if advice.rig != last {
            changed_s.push(now_s);
            last = advice.rig;
        }
    }
    assert!(!changed_s.is_empty(), "quiet for long, another rig is advised");
    assert!(changed_s.windows(2).all(|pair| pair[1] - pair[0] >= 60.0), "{changed_s:?}");
}

/// After a change of rig nothing else is advised for two casts, unless a bite says otherwise.
#[test]
fn a_picked_up_rig_is_given_two_casts() {
    let mut s = session();
    tap(&mut s, 0.0, EventKind::Cast);
    let advised = (1..600).map(|step| s.advice(at(5.0 * f64::from(step))).unwrap());
    let advised: Vec<u32> = advised.map(|advice| advice.rig).collect();
    let (step, &rig) = advised.iter().enumerate().find(|(_, rig)| **rig != 0).expect("another rig");
    let from_s = 5.0 * (step + 1) as f64;
    s.record(Event::new(at(from_s), EventKind::PickUpRig).with_rig(rig)).unwrap();
    tap(&mut s, from_s + 10.0, EventKind::Cast);
    for second in 0..120 {
        let advice = s.advice(at(from_s + 10.0 + f64::from(second))).unwrap();
        assert_eq!(advice.rig, rig, "{second} s after it");
    }
}

/// Bites on the margin say nothing of the fish on the long line.
#[test]
fn each_line_has_its_own_fish() {
    let mut setup = setup();
    setup.lines = [("long", 2.15), ("margin", 0.7)]
        .map(|(name, depth_m)| LineSetup { name: name.to_owned(), depth_m })
        .to_vec();
    setup.rigs[1].line = 1;
    let mut s = Session::new(setup).unwrap();
    let before = s.state(at(0.0)).unwrap().lines[0].median_m;
    s.record(Event::new(at(0.0), EventKind::PickUpRig).with_rig(1)).unwrap();
    for cast in 0..8 {
        tap(&mut s, 40.0 * f64::from(cast), EventKind::Cast);
        tap(&mut s, 40.0 * f64::from(cast) + 20.0, EventKind::Fish);
    }
    let state = s.state(at(320.0)).unwrap();
    assert_eq!(state.fish, state.lines[1]);
    assert!((state.fish.median_m - 0.6).abs() < 0.1, "{}", state.fish.median_m);
    assert!((state.lines[0].median_m - before).abs() < 0.1, "{} was {before}", state.lines[0].median_m);
    assert_eq!(s.advice(at(320.0)).unwrap().rig, 1, "another line is no advice");
}

proptest! {
    #![proptest_config(cases(0xba4, 24, 500))]
    #[test]
    fn no_log_breaks_a_session(taps in proptest::collection::vec((0..19_usize, 0.0..400.0_f64, 0..4_u32, -5.0..5000.0_f64), 1..60),
        recast in any::<bool>()) {
        let kinds = ["fed", "bite", "missed", "fish", "lost_fish", "foul_hooked", "cast", "lift", "pick_up_rig", "pause", "resume",
            "phase_change", "nudge", "shot", "note", "undo", "correct", "next_net", "end"];
        let mut setup = setup();
        setup.feed_is_recast = recast;
        let mut s = Session::new(setup).unwrap();
        let mut seconds = 0.0;
        for (kind, gap, rig, value) in taps {
            seconds += gap - 20.0;
            let mut event = Event::new(at(seconds), EventKind::from_name(kinds[kind]).unwrap());
            event.rig = (rig < 3).then_some(rig);
            event.value = (value > 0.0 && value < 99.0).then_some(value);
            let _ = s.record(event);
            let state = s.state(at(seconds + 3.0)).unwrap();
            prop_assert!((state.fish.chance.iter().sum::<f64>() - 1.0).abs() < 1e-9);
            prop_assert!(state.fish.chance.iter().all(|p| *p >= 0.0));
            prop_assert!(state.fish.from_m <= state.fish.median_m && state.fish.median_m <= state.fish.to_m);
            let advice = s.advice(at(seconds + 3.0)).unwrap();
            prop_assert!((0.0..=1.0 + 1e-9).contains(&advice.sure) && advice.rig < 3);
            s.summary(at(seconds + 3.0)).unwrap();
        }
        let back = Session::with_log(s.setup().clone(), s.log()).unwrap();
        prop_assert_eq!(back.state(at(1e5)).unwrap().totals, s.state(at(1e5)).unwrap().totals);
    }
}

/// What had to be gone through again for each of them, ten thousand times, was gone through for minutes.
#[test]
fn a_log_of_corrections_comes_to_what_its_taps_came_to_one_by_one() {
    let mut log = Log::default();
    let fixes: u32 = if long() { 10_000 } else { 300 };
    for at in 0..fixes {
        log.push(Event::new(T0 + 20_000.0 * f64::from(at), EventKind::Missed), 0.0).unwrap();
    }
    let mut text = log.to_text();
    for at in 0..fixes {
        let kind = (at % 3 > 0).then_some(EventKind::Fish);
        let fix = Fix { number: at as usize, kind, rig: Some(at % 3), later_ms: -2_500.0 };
        let line = format!("{} k {} {} {} ={}", fixes + at, 2e12, at % 3, at * 1000, fix.event(2e12).note);
        let line = line.replace(&fix.event(2e12).note, &fix.event(2e12).note.replace(' ', "_"));
        let sum = crc::Crc::<u32>::new(&crc::CRC_32_ISO_HDLC).checksum(line.as_bytes());
        writeln!(text, "{line} {sum:08x}").unwrap();
        if fixes < 1000 {
            log.push(fix.event(2e12), 0.0).unwrap();
        }
    }
    let began = std::time::Instant::now();
    let read = read_back(&text, 3).unwrap();
    println!("{fixes} taps and as many corrections, read in {:?}", began.elapsed());
    assert_eq!((read.repairs.len(), read.log.standing().len()), (0, (fixes - fixes.div_ceil(3)) as usize));
    if fixes < 1000 {
        assert_eq!(read.log, log);
    }
    let mut session = session();
    session.replay(&read.log).unwrap();
    assert_eq!(session.log(), &read.log);
}
