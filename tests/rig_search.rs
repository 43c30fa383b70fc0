//! The pattern finder against every pattern that there is, on rigs small enough to try them all.
//!
//! No outside source: the same score, the same shots, each place of the grid. Tolerance: the finder's pattern, dropped
//! with the same settings, is within 1 % of the best score (0.01 for falling with the feed, whose score is a share).
//! Three groups, and a second rig, with `DOTDOWN_LONG=1`. Left out: large rigs, where all patterns cannot be tried.

#![expect(
    clippy::type_complexity,
    clippy::float_cmp,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "tests: small counts, values that are given exactly"
)]

use crate::common::long;
use dotdown::rig::fall::{
    Bait, Fall, FallSettings, Float, Hook, Line, Rig, Shot, Simulator, fall, free_speeds,
};
use dotdown::rig::finder::{Aim, Figures, Finder, Progress, Request, droppers, score};

const AIMS: [Aim; 4] = [Aim::FallWithFeed, Aim::GetDownFast, Aim::SlowLast30Cm, Aim::SettleSoonest];

/// A search to its end; one call does no more than a slice.
fn search(request: Request) -> Progress {
    let mut finder = Finder::new(request).unwrap();
    loop {
        let progress = finder.step(usize::MAX).unwrap();
        if progress.done {
            return progress;
        }
    }
}

fn shot(from_hook_m: f64, mass_kg: f64, count: u32) -> Shot {
    Shot { from_hook_m, mass_kg, count }
}

/// A shallow rig with room for its shot from 15 cm above the hook to 2 cm below the float.
fn shallow(main_m: f64, shots: Vec<Shot>, float: Float) -> Rig {
    Rig {
        name: String::new(),
        temperature_c: 15.0,
        launch_angle_deg: 90.0,
        lowered_m_per_s: None,
        line_density: 1140.0,
        shot_density: 11340.0,
        main: Line { length_m: main_m, diameter_m: 0.00014 },
        hooklength: Line { length_m: 0.15, diameter_m: 0.0001 },
        shots,
        hook: Hook { mass_kg: 1e-5, density: 7850.0 },
        bait: Bait::cube(0.006, 1040.0),
        current: None,
        float,
        max_link_m: 0.05,
        t_end_s: 60.0,
    }
}

/// Figures read off a full fall; the time to two thirds from the samples' own definition of the last third.
fn figures(fall: &Fall) -> Option<Figures> {
    let to_bottom_s = fall.t_fraction_of_final_depth_s.f99?;
    let last_third_s = (0.99 - 2.0 / 3.0) * fall.final_depth_m / fall.last_third_m_per_s?;
    Some(Figures {
        to_bottom_s,
        to_two_thirds_s: to_bottom_s - last_third_s,
        last_third_of_feed: Some(fall.last_third_m_per_s? / fall.free_cube_m_per_s?),
        last_30_cm_s: fall.last_30_cm_s?,
        settle_s: fall.settle_s?,
    })
}

/// Best score of every aim over all divisions of the shot (lightest nearest the hook) and all places.
fn try_all(rig: &Rig, groups: usize, simulator: &mut Simulator, own_s: f64) -> [f64; 4] {
    let mut masses: Vec<f64> =
        rig.shots.iter().flat_map(|s| std::iter::repeat_n(s.mass_kg, s.count as usize)).collect();
    masses.sort_by(f64::total_cmp);
    let mut best = [f64::INFINITY; 4];
    let most = (rig.length_m() * 100.0 - 2.0).round() as u32;
    let mut rig = rig.clone();
    rig.t_end_s = 1.5 * own_s + 1.0;
    // Marks at which a group ends, and places, as rising sequences.
    let rising = |from: u32, to: u32, count: usize| {
        let mut all: Vec<Vec<u32>> = vec![Vec::new()];
        for _ in 0..count {
            all = all
                .iter()
                .flat_map(|head| {
                    (head.last().map_or(from, |l| l + 1)..=to).map(|next| [head.as_slice(), &[next]].concat())
                })
                .collect();
        }
        all
    };
    for cut in rising(1, masses.len() as u32 - 1, groups - 1) {
        for places in rising(15, most, groups) {
            let group_of = |i: usize| cut.iter().filter(|&&c| c as usize <= i).count();
            rig.shots = masses
                .iter()
                .enumerate()
                .map(|(i, &mass)| shot(f64::from(places[group_of(i)]) / 100.0, mass, 1))
                .collect();
            let Some(figures) = figures(&simulator.fall(&rig, &FallSettings::searching()).unwrap()) else {
                continue;
            };
            if figures.to_bottom_s <= 1.5 * own_s {
                for (best, aim) in best.iter_mut().zip(AIMS) {
                    *best = best.min(score(aim, &figures, own_s));
                }
            }
        }
    }
    best
}

#[test]
fn finds_the_best_of_all_patterns_on_small_rigs() {
    let slide = Float::Slide { mass_kg: 0.0006, cda_m2: 0.0002 };
    let mut rigs = vec![shallow(0.45, vec![shot(0.2, 1.3e-5, 1), shot(0.3, 3.4e-5, 2)], slide)];
    if long() {
        rigs.push(shallow(0.3, vec![shot(0.2, 3.4e-5, 4)], Float::Fixed));
        rigs.push(shallow(0.3, vec![shot(0.16, 8e-6, 2), shot(0.4, 5e-5, 3)], slide));
    }
    let mut simulator = Simulator::new();
    for rig in rigs {
        let own = figures(&fall(&rig, &FallSettings::default()).unwrap()).unwrap();
        for groups in 1..=if long() { 3 } else { 2 } {
            let best = try_all(&rig, groups, &mut simulator, own.to_bottom_s);
            for (aim, best) in AIMS.into_iter().zip(best) {
                assert!(best.is_finite(), "{aim:?}: some pattern comes down in time");
                let request = Request {
                    rig: rig.clone(),
                    aim,
                    most_groups: groups as u8,
                    kept: Vec::new(),
                    on_hooklength: false,
                    latest_s: None,
                    feed_m_per_s: None,
                };
                let progress = search(request);
                assert!(progress.done);
                let found = progress
                    .proposals
                    .iter()
                    .map(|proposal| {
                        let rig = Rig { shots: proposal.shots.clone(), ..rig.clone() };
                        let figures =
                            figures(&simulator.fall(&rig, &FallSettings::searching()).unwrap()).unwrap();
                        score(aim, &figures, own.to_bottom_s)
                    })
                    .fold(f64::INFINITY, f64::min);
                let scale = if aim == Aim::FallWithFeed { 1.0 } else { best.abs() };
                println!(
                    "{groups} groups {aim:?}: best {best:.4}, found {found:.4}, {} tried",
                    progress.evaluated
                );
                assert!(found <= best + 0.01 * scale, "{groups} groups, {aim:?}: found {found}, best {best}");
            }
        }
    }
}

fn deck() -> Rig {
    let golden: serde_json::Value =
        serde_json::from_str(include_str!("data/rig_fall/g1_deck_bulk_90.json")).unwrap();
    serde_json::from_value(golden["rig"].clone()).unwrap()
}

/// On a deck rig, where two groups beat one: at least as good as every pattern of two groups on a coarser grid.
#[test]
fn beats_every_coarse_pattern_on_a_deck_rig() {
    let rig = deck();
    let own = figures(&fall(&rig, &FallSettings::default()).unwrap()).unwrap();
    let mut simulator = Simulator::new();
    let mut drop_in = |shots: Vec<Shot>| {
        let rig = Rig { shots, t_end_s: 1.6 * own.to_bottom_s, ..rig.clone() };
        figures(&simulator.fall(&rig, &FallSettings::scanning()).unwrap())
    };
    let aims = [Aim::FallWithFeed, Aim::SlowLast30Cm];
    let mut best = [f64::INFINITY; 2];
    let stride = if long() { 4 } else { 18 };
    for low in (10..208).step_by(stride) {
        for high in (low + stride..208).step_by(stride) {
            for count in 1..11 {
                let at = |cm: usize| cm as f64 / 100.0;
                let shots = vec![shot(at(low), 3.4e-5, count), shot(at(high), 3.4e-5, 11 - count)];
                if let Some(figures) = drop_in(shots).filter(|f| f.to_bottom_s <= 1.5 * own.to_bottom_s) {
                    for (best, aim) in best.iter_mut().zip(aims) {
                        *best = best.min(score(aim, &figures, own.to_bottom_s));
                    }
                }
            }
        }
    }
    for (aim, best) in aims.into_iter().zip(best) {
        assert!(best.is_finite(), "{aim:?}: some pattern comes down in time");
        let request = Request {
            rig: rig.clone(),
            aim,
            most_groups: 2,
            kept: Vec::new(),
            on_hooklength: false,
            latest_s: None,
            feed_m_per_s: None,
        };
        let progress = search(request);
        assert_eq!(progress.proposals.iter().map(|p| p.groups).collect::<Vec<_>>(), [1, 2]);
        let scores: Vec<f64> = progress
            .proposals
            .iter()
            .map(|p| score(aim, &drop_in(p.shots.clone()).unwrap(), own.to_bottom_s))
            .collect();
        let scale = if aim == Aim::FallWithFeed { 1.0 } else { best.abs() };
        println!("{aim:?}: best {best:.4}, found {scores:.4?}, {} tried", progress.evaluated);
        assert!(scores[1] < scores[0] && scores[1] <= best + 0.01 * scale, "{aim:?}: {scores:?}, {best}");
    }
}

/// In slices of any size the same answer; the first slices already propose something.
#[test]
fn slices_do_not_change_the_answer() {
    let mut rig = deck();
    rig.main.length_m = 0.9;
    for shot in &mut rig.shots {
        shot.count = shot.count.min(5);
    }
    let request = |kept| Request {
        rig: rig.clone(),
        aim: Aim::FallWithFeed,
        most_groups: 2,
        kept,
        on_hooklength: false,
        latest_s: None,
        feed_m_per_s: None,
    };
    let whole = search(request(Vec::new()));
    let mut finder = Finder::new(request(Vec::new())).unwrap();
    let first = finder.step(8).unwrap();
    assert!(!first.done && first.own.is_some() && !first.proposals.is_empty() && !first.proposals[0].exact);
    let mut last = first.clone();
    while !last.done {
        last = finder.step(7).unwrap();
        assert!(last.evaluated <= last.expected);
    }
    assert_eq!(last, whole);
    assert!(
        whole.proposals.iter().all(|p| p.exact) && whole.proposals.iter().filter(|p| p.best).count() == 1
    );

    // Beside a feed that falls half as fast as the hook's own cube the same fall is twice as fast.
    let (free, own) = (free_speeds(&rig).unwrap().cube_m_per_s.unwrap(), whole.own.unwrap());
    let slow = Request { feed_m_per_s: Some(free / 2.0), ..request(Vec::new()) };
    let beside_slow = Finder::new(slow).unwrap().step(1).unwrap().own.unwrap();
    let twice = beside_slow.last_third_of_feed.unwrap() / own.last_third_of_feed.unwrap();
    assert!((twice - 2.0).abs() < 1e-9, "{twice}");

    // Droppers kept stay where they are, and nothing else comes below them.
    let kept = droppers(&rig);
    assert_eq!(kept, [1, 2]);
    let held = search(request(kept));
    assert!(!held.proposals.is_empty());
    for proposal in &held.proposals {
        assert_eq!(proposal.shots[0], rig.shots[2]);
        assert_eq!(proposal.shots[1], rig.shots[1]);
        assert!(proposal.shots[2..].iter().all(|s| s.from_hook_m > 0.3));
        assert_eq!(proposal.shots.iter().map(|s| s.count).sum::<u32>(), 7);
    }
}

/// Every proposal uses the shot given, on whole centimetres, off the hooklength, and is down in time.
#[test]
fn proposals_keep_the_limits() {
    let rig = shallow(0.3, vec![shot(0.2, 1.3e-5, 3), shot(0.31, 3.4e-5, 3)], Float::Fixed);
    for aim in AIMS {
        for on_hooklength in [false, true] {
            let request = Request {
                rig: rig.clone(),
                aim,
                most_groups: 3,
                kept: Vec::new(),
                on_hooklength,
                latest_s: Some(12.0),
                feed_m_per_s: None,
            };
            let progress = search(request);
            assert!(!progress.proposals.is_empty(), "{aim:?}");
            for proposal in &progress.proposals {
                let count = |mass: f64| -> u32 {
                    proposal.shots.iter().filter(|s| s.mass_kg == mass).map(|s| s.count).sum()
                };
                assert_eq!((count(1.3e-5), count(3.4e-5)), (3, 3));
                for shot in &proposal.shots {
                    let cm = shot.from_hook_m * 100.0;
                    assert!((cm - cm.round()).abs() < 1e-9 && shot.from_hook_m < 0.45);
                    assert!(on_hooklength || shot.from_hook_m >= 0.15);
                }
                assert!(proposal.figures.to_bottom_s <= 12.0 * 1.01);
                assert!(proposal.words.ends_with('.'));
            }
        }
    }
}

#[test]
fn refusals_say_what_to_do() {
    let rig = shallow(0.3, vec![shot(0.2, 3.4e-5, 3)], Float::Fixed);
    let good = Request {
        rig,
        aim: Aim::FallWithFeed,
        most_groups: 2,
        kept: Vec::new(),
        on_hooklength: false,
        latest_s: None,
        feed_m_per_s: None,
    };
    let table: Vec<(&str, Box<dyn Fn(&mut Request)>)> = vec![
        ("no_shot", Box::new(|r| r.rig.shots.clear())),
        ("no_shot", Box::new(|r| r.kept = vec![0])),
        ("groups", Box::new(|r| r.most_groups = 0)),
        ("groups", Box::new(|r| r.most_groups = 9)),
        ("kept", Box::new(|r| r.kept = vec![3])),
        (
            "no_room",
            Box::new(|r| {
                r.rig.shots.push(shot(0.44, 1e-5, 1));
                r.kept = vec![1];
            }),
        ),
        ("no_bait", Box::new(|r| r.rig.bait.side_m = 0.0)),
        ("latest", Box::new(|r| r.latest_s = Some(f64::NAN))),
        ("feed", Box::new(|r| r.feed_m_per_s = Some(f64::NAN))),
        ("lowered", Box::new(|r| r.rig.lowered_m_per_s = Some(0.05))),
        ("floats", Box::new(|r| r.rig.bait.density = 900.0)),
        ("shot_off_the_line", Box::new(|r| r.rig.shots[0].from_hook_m = 0.9)),
    ];
    for (code, spoil) in table {
        let mut request = good.clone();
        spoil(&mut request);
        let error = Finder::new(request).err().unwrap();
        assert_eq!(error.code(), code, "{error}");
        assert!(error.to_string().ends_with('.'), "{error}");
    }
}
