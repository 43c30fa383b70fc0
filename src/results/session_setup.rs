//! From the plan to the live session: the rigs with their simulated falls, the water, the feeding, the cube.

use super::bait::floats;
use super::fall::fall_rig;
use super::order::Turn;
use super::requests::{line_name, metres};
use super::rigs::RigResult;
use crate::bait::amount::Amount;
use crate::bait::sink::Sink;
use crate::plan::{Plan, Purpose};
use crate::refusal::Refusal;
use crate::rig::fall::{FallSettings, Simulator};
use crate::session::feed_clock::{Feeding, SinkSpeeds};
use crate::session::habits::Habits;
use crate::session::{FishedDay, LineSetup, Log, RigSetup, SessionSetup, days_that_fit, habits};
use crate::small::sort_by_key;
use crate::units::Units;

/// Speed of a hook bait whose fall cannot be worked out, nor its cube's, m/s: the usual cube's.
const USUAL_M_PER_S: f64 = 0.06;

/// What a live session of this plan is made from, and of the plan's results. Sentences are in `units`.
///
/// Each rig's fall is simulated once, at the settings for searching (times within 2 %), all of them within the work that one
/// fall may have. A rig whose fall cannot be worked out sinks at the cube's own speed. A bait that floats has no fall: its rigs
/// are at rest at once, and no feed sinks. A rig set deeper than the water lies on the bottom.
#[must_use]
pub fn session_setup(
    plan: &Plan,
    sink: Option<&Sink>,
    amount: Option<&Amount>,
    rigs: &[RigResult],
    order: &[Turn],
    units: Units,
) -> SessionSetup {
    setup_within(&mut Falls::of_one(), plan, sink, amount, rigs, order, units)
}

/// What works out falls, and how finely; all of them within a share of the work that one fall may have.
struct Falls {
    simulator: Simulator,
    settings: FallSettings,
}

impl Falls {
    /// Those of one day.
    fn of_one() -> Self {
        Self { simulator: Simulator::bounded(100), settings: FallSettings::searching() }
    }

    /// Those of all days that teach.
    fn of_taught() -> Self {
        Self { simulator: Simulator::bounded(TAUGHT_PERCENT), settings: FallSettings::scanning() }
    }
}

/// The same, with the falls of more than one plan within the work of one.
fn setup_within(
    falls: &mut Falls,
    plan: &Plan,
    sink: Option<&Sink>,
    amount: Option<&Amount>,
    rigs: &[RigResult],
    order: &[Turn],
    units: Units,
) -> SessionSetup {
    let line_m = |place: i32| {
        let line = usize::try_from(place).ok().and_then(|i| plan.lines.get(i));
        line.map_or(0.0, |line| metres(line.depth_tenth_mm))
    };
    let line_of = |place: i32| {
        let line = u32::try_from(place).unwrap_or(0);
        line.min(u32::try_from(plan.lines.len()).unwrap_or(1).saturating_sub(1))
    };
    let water_m =
        plan.rigs.iter().map(|rig| line_m(rig.line)).fold(metres(plan.water.depth_tenth_mm), f64::max);
    let floats = floats(sink);
    let speeds = sink.map(|sink| &sink.speed_m_per_s);
    let cube_m_per_s = speeds.map_or(USUAL_M_PER_S, |s| s.mid).max(0.01);
    let setups = plan.rigs.iter().enumerate().map(|(place, rig)| {
        let depth_m = metres(rig.depth_tenth_mm).min(water_m);
        let layout = rigs.get(place).and_then(|result| result.layout.as_ref()).filter(|_| !floats);
        let fell = layout.and_then(|layout| {
            falls.simulator.fall(&fall_rig(plan, sink, rig, layout), &falls.settings).ok()
        });
        let (sample_dt_s, mut hook_z_m) = match fell {
            Some(fell) => (fell.sample_dt_s, fell.hook_z_m),
            None if floats => (0.0, Vec::new()),
            None => (depth_m / cube_m_per_s, vec![0.0, depth_m]),
        };
        for hook_m in &mut hook_z_m {
            *hook_m = hook_m.min(depth_m);
        }
        RigSetup {
            name: rig.name.clone(),
            depth_m,
            on_bottom: rig.purpose == Purpose::Bottom,
            line: line_of(rig.line),
            sample_dt_s: sample_dt_s.min(60.0),
            hook_z_m,
        }
    });
    let mut setup = SessionSetup::new(setups.collect(), water_m, 0.0);
    setup.lines = plan
        .lines
        .iter()
        .map(|line| LineSetup { name: line.name.clone(), depth_m: metres(line.depth_tenth_mm).max(0.2) })
        .collect();
    if floats {
        setup.sink = SinkSpeeds { low_m_per_s: 0.0, mid_m_per_s: 0.0, high_m_per_s: 0.0 };
    } else if let Some(speeds) = speeds {
        setup.sink = SinkSpeeds {
            low_m_per_s: speeds.low.max(-1.0),
            mid_m_per_s: speeds.mid.max(-1.0),
            high_m_per_s: speeds.high.max(-1.0),
        };
    }
    setup.phases = phases(plan);
    setup.feed_is_recast = plan.bank.feed_is_recast;
    let first = order.first().and_then(|turn| u32::try_from(turn.rig).ok());
    setup.first_rig = first.unwrap_or(0);
    setup.cubes_taken = amount.map(|amount| f64::from(amount.total_cubes));
    setup.fish_mass_g = plan.bank.fish_g.map(f64::from);
    setup.units = Some(units);
    setup
}

/// The same of a plan alone, whose results are worked out for it.
#[must_use]
pub fn setup_of(plan: &Plan, units: Units) -> SessionSetup {
    setup_alone(&mut Falls::of_one(), plan, units)
}

fn setup_alone(falls: &mut Falls, plan: &Plan, units: Units) -> SessionSetup {
    let made = super::work_out(plan, units);
    let (sink, amount) = (made.sink.as_ref(), made.amount.as_ref());
    setup_within(falls, plan, sink, amount, &made.rigs, &made.order, units)
}

/// The work of the falls of all days that teach, in hundredths of what one fall may have: 24 days like the worked ones take
/// up to 16.
const TAUGHT_PERCENT: u64 = 25;

/// What a water taught on its fished days, each a plan and its log, in any order; only the newest are worked out, and all
/// their falls within a quarter of the work that one fall may have.
///
/// # Errors
/// As [`habits()`].
pub fn habits_of(days: &[(Plan, Log)]) -> Result<Habits, Refusal> {
    let mut order: Vec<&(Plan, Log)> = days.iter().collect();
    sort_by_key(&mut order, |(plan, log)| (plan.day.date.0, log));
    let fit = days_that_fit(order.iter().rev().map(|(_, log)| log));
    let mut falls = Falls::of_taught();
    let fished = order.into_iter().rev().take(fit).map(|(plan, log)| FishedDay {
        date: plan.day.date.0,
        setup: setup_alone(&mut falls, plan, Units::default()),
        log: log.clone(),
    });
    habits(&fished.collect::<Vec<_>>())
}

/// The plan's feedings as one stretch after another, since one hand feeds one line at a time: where two overlap the
/// one that starts later has its turn, and then the other goes on. A stretch without feeding has no rhythm.
fn phases(plan: &Plan) -> Vec<Feeding> {
    let mut marks = vec![0];
    for feed in &plan.feed {
        marks.extend([feed.start_min, feed.start_min + feed.minutes]);
    }
    sort_by_key(&mut marks, |mark| *mark);
    let mut phases: Vec<(Option<usize>, Feeding)> = Vec::new();
    for (from, to) in marks.iter().zip(marks.iter().skip(1)).filter(|(from, to)| to > from) {
        let covers = |i: &usize| {
            plan.feed
                .get(*i)
                .is_some_and(|feed| feed.start_min <= *from && feed.start_min + feed.minutes >= *to)
        };
        let start = |i: &usize| plan.feed.get(*i).map(|feed| feed.start_min);
        let chosen = (0..plan.feed.len()).filter(covers).max_by_key(start);
        let minutes = f64::from(to - from);
        if let Some((last, phase)) = phases.last_mut()
            && *last == chosen
        {
            phase.minutes += minutes;
            continue;
        }
        let feed = chosen.and_then(|i| plan.feed.get(i));
        let phase = Feeding {
            line: feed.map_or("", |feed| line_name(plan, feed.line)).to_owned(),
            minutes,
            cubes_per_feed: feed.map_or(0.0, |feed| f64::from(feed.cubes)),
            seconds_between: feed.map_or(0.0, |feed| f64::from(feed.every_s)),
        };
        phases.push((chosen, phase));
    }
    phases.into_iter().map(|(_, phase)| phase).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::presets::{first, presets};
    use crate::session::Session;

    /// All days of a water that teach have their own falls within the bound, and much the same as their sessions had.
    #[test]
    fn as_many_worked_days_as_teach_keep_their_falls() {
        for preset in presets() {
            let session = setup_of(&preset.plan, Units::default());
            let mut falls = Falls::of_taught();
            for _ in 0..crate::session::MAX_DAYS {
                let taught = setup_alone(&mut falls, &preset.plan, Units::default());
                for (taught, rig) in taught.rigs.iter().zip(&session.rigs) {
                    assert!((taught.sample_dt_s - rig.sample_dt_s).abs() < 1e-12);
                    let apart_m = taught.hook_z_m.iter().zip(&rig.hook_z_m).map(|(a, b)| (a - b).abs());
                    let most_m = apart_m.fold(0.0, f64::max);
                    assert!(taught.hook_z_m.len() > 20 && most_m < 0.02, "{} rig {}", preset.id, rig.name);
                }
            }
        }
    }

    #[test]
    fn every_worked_day_makes_a_session_with_falls() {
        for preset in presets() {
            let setup = setup_of(&preset.plan, Units::default());
            assert_eq!(setup.rigs.len(), preset.plan.rigs.len());
            for rig in &setup.rigs {
                assert!(rig.hook_z_m.len() > 20, "{} rig {} has a simulated fall", preset.id, rig.name);
                let last = *rig.hook_z_m.last().unwrap();
                assert!((last - rig.depth_m).abs() < 0.02, "{last} {}", rig.depth_m);
            }
            assert!(setup.phases.iter().any(|phase| phase.seconds_between > 0.0));
            Session::new(setup).unwrap();
        }
    }

    #[test]
    fn a_rig_without_a_layout_sinks_at_the_cubes_speed() {
        let mut plan = first();
        plan.rigs[0].depth_tenth_mm = 3500;
        plan.rigs[0].bulk_from_hook_tenth_mm = 9000;
        let setup = setup_of(&plan, Units::default());
        let [top, rest] = setup.rigs[0].hook_z_m[..] else { panic!("two samples") };
        assert!(top.abs() < 1e-12 && (rest - 0.35).abs() < 1e-12);
        assert!((3.0..9.0).contains(&setup.rigs[0].sample_dt_s));
        Session::new(setup).unwrap();
    }

    #[test]
    fn a_bait_that_floats_and_a_rig_deeper_than_the_water_still_make_a_session() {
        let mut plan = first();
        plan.bait.air_tenth_percent = 100;
        plan.rigs[0].depth_tenth_mm = 120_000;
        let setup = setup_of(&plan, Units::default());
        assert!(setup.rigs[0].depth_m <= setup.water_depth_m);
        Session::new(setup).unwrap();
    }

    #[test]
    fn overlapping_feedings_take_turns_and_gaps_are_silent() {
        let mut plan = first();
        let feed = plan.feed[0].clone();
        let make = |start_min, minutes, every_s| crate::plan::Feeding {
            start_min,
            minutes,
            every_s,
            ..feed.clone()
        };
        plan.feed = vec![make(10, 100, 15), make(30, 20, 60)];
        let got: Vec<(f64, f64)> = phases(&plan).iter().map(|p| (p.minutes, p.seconds_between)).collect();
        assert_eq!(got, [(10.0, 0.0), (20.0, 15.0), (20.0, 60.0), (60.0, 15.0)]);
    }
}
