//! The preparation of the bait, worked back from the all-in: what is done when.
//!
//! The chain is planned by [`crate::bait::timetable`]: one pair of hands, everything as late as it can be, nothing with
//! hands on it between 22:00 and 06:00 (or until the last moment to get up, if that is earlier). Freezing and thawing
//! run by themselves, but somebody has to be up to start them.

use crate::bait::timetable::{Planned, Step, TimetableRequest, When, timetable};
use crate::plan::Plan;
use crate::units::{clock_words, weekday};
use serde::Serialize;

/// One step of the checklist.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "PrepStep"))]
pub struct PrepStep {
    /// A short name that does not change; ticks hang on it.
    pub id: &'static str,
    /// What to do.
    pub name: &'static str,
    /// Start, minutes after midnight of the day; negative is the day before.
    pub start_min: i32,
    /// End, the same way.
    pub end_min: i32,
    /// Earliest start, counted from 08:00 of the first day that leaves time enough.
    pub earliest_min: i32,
    /// How it is done.
    pub how: &'static str,
    /// Path of the field that holds its duration, if one does.
    pub field: Option<&'static str>,
    /// It runs by itself.
    pub waits: bool,
    /// Done on the day itself, after the night.
    pub morning: bool,
    /// It belongs to the slowest chain: when it is late, everything is.
    pub slowest: bool,
}

/// Bedtime and getting up, minutes after midnight of the day.
const NIGHT: (i32, i32) = (-120, 360);
/// Weighing shot, minutes.
const WEIGH_MIN: i32 = 10;
/// Taking the bags out, minutes.
const OUT_MIN: i32 = 2;
/// The most that one step may last, minutes.
const MAX_MIN: i32 = 4320;

/// What a step is called, how it is done, and the field that holds its duration; nothing for those that are not shown.
fn words(id: &str) -> Option<[&'static str; 3]> {
    Some(match id {
        "buy" => ["Buy", "One tin more than the plan says, of the same kind.", "prep.buy"],
        "weigh" => [
            "Weigh shot",
            "Ten of each size that your rigs use, together; write a tenth into the shot box. The tables differ by 6 to 20 %.",
            "",
        ],
        "cut" => [
            "Cut",
            "Cold meat cuts clean. Push the block through away from your fingers: the blades are sharp.",
            "prep.cut",
        ],
        "wash" => [
            "Wash",
            "Hand-warm water takes the grease off: about 40 °C, never hot enough to hurt. Rinse until it runs clear.",
            "prep.wash",
        ],
        "drain" => ["Drain", "In the sieve, spread thin, in the fridge.", "prep.drain"],
        "bag" => ["Bag", "Weigh equal bags, press them flat, push the air out.", "prep.bag"],
        "freeze" => {
            ["Into the freezer", "Bags flat and not stacked, so that they freeze through.", "prep.freeze"]
        }
        "thaw" => [
            "Take out of the freezer",
            "Let it thaw in its bags, in the shade. A cube with ice in it sinks slowly or floats.",
            "prep.thaw",
        ],
        "pack" => ["Pack", "Tick the kit list as you go. Bait last.", "prep.pack"],
        "leave" => ["Leave", "Roads, and the walk to the draw.", "day.travel"],
        _ => return None,
    })
}

/// The checklist of a plan that opens so many tins, in the order of doing; `weigh` where a rig uses shot that was not weighed.
pub(super) fn checklist(plan: &Plan, tins: i32, weigh: bool) -> Vec<PrepStep> {
    let (prep, day) = (&plan.prep, &plan.day);
    let all_in = day.all_in_min;
    let leave = day.draw_min - day.travel_min;
    let washed = plan.bait.washed && prep.wash_min > 0;
    let frozen = prep.freeze_min > 0;
    // Each waits for the one before; how long, whether it runs by itself, and when.
    let chain = [
        ("weigh", WEIGH_MIN, false, When::DayBefore),
        ("buy", prep.buy_min, false, When::DayBefore),
        ("cut", prep.cut_min.saturating_mul(tins.max(0)), false, When::Any),
        ("wash", prep.wash_min, false, When::Any),
        ("drain", prep.drain_min, true, When::Any),
        ("bag", prep.bag_min, false, When::Any),
        ("freeze", prep.freeze_min, true, When::Any),
        ("thaw", OUT_MIN, false, When::Any),
        ("thawing", prep.thaw_min, true, When::Any),
        ("pack", prep.pack_min, false, When::Morning),
        ("leave", day.travel_min, false, When::Morning),
        // From the draw to the all-in: the draw's time is the venue's, so whoever leaves arrives just then.
        ("set_up", (all_in - day.draw_min).max(0), false, When::Morning),
    ];
    let wanted = |id: &str| match id {
        "weigh" => weigh,
        "wash" => washed,
        "freeze" | "thaw" | "thawing" => frozen,
        _ => true,
    };
    let mut jobs: Vec<Step> = Vec::new();
    let mut before = None;
    for (id, minutes, waiting, when) in chain.into_iter().filter(|step| wanted(step.0)) {
        jobs.push(Step {
            id: id.to_owned(),
            name: String::new(),
            minutes: u32::try_from(minutes.min(MAX_MIN)).unwrap_or(0),
            after: before.iter().map(|&id: &&str| id.to_owned()).collect(),
            waiting,
            when,
        });
        // Thawing goes on while the angler packs, drives and sets up: only taking out comes before packing.
        // Shot is weighed at any time before.
        if !matches!(id, "thawing" | "weigh") {
            before = Some(id);
        }
    }
    let up = NIGHT.1.min(leave - prep.pack_min - if frozen { OUT_MIN } else { 0 });
    let mut request = TimetableRequest {
        steps: jobs,
        begin_min: -1,
        night_from_min: (NIGHT.0 - all_in).min(up - all_in),
        night_to_min: (up - all_in).min(0),
    };
    // From 08:00 of the day before, or of an earlier day when that is too late.
    let mut found = None;
    for days in 1..=5 {
        request.begin_min = (480 - 1440 * days - all_in).min(-1);
        found = timetable(&request).ok();
        if found.as_ref().is_some_and(|table| table.fits) {
            break;
        }
    }
    let planned = found.map(|table| table.steps).unwrap_or_default();
    let mut steps: Vec<PrepStep> = chain
        .iter()
        .filter_map(|&(id, ..)| {
            let [name, how, field] = words(id)?;
            let part: &Planned = planned.iter().find(|part| part.id == id)?;
            Some(PrepStep {
                id,
                name,
                start_min: part.start_min + all_in,
                end_min: if id == "thaw" { all_in } else { part.end_min + all_in },
                earliest_min: part.earliest_start_min + all_in,
                how,
                field: Some(field).filter(|path| !path.is_empty()),
                waits: part.waiting || id == "thaw",
                morning: part.in_the_morning,
                slowest: part.slowest_chain,
            })
        })
        .collect();
    crate::small::sort_by_key(&mut steps, |step| step.start_min);
    steps
}

/// A moment of the preparation in words: the weekday where it is not the day itself.
#[must_use]
pub fn moment(plan: &Plan, minutes: i32) -> String {
    let days = minutes.div_euclid(1440);
    let clock = clock_words(minutes);
    if days == 0 {
        return clock;
    }
    format!("{} {clock}", weekday(plan.day.date.0.saturating_add(days)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::presets::presets;
    use proptest::prelude::*;

    #[test]
    fn every_step_of_every_preset_is_planned_and_ends_when_the_next_can_begin() {
        assert!(presets().iter().any(|preset| preset.plan.prep.freeze_min > 0));
        for preset in presets() {
            let steps = checklist(&preset.plan, 4, false);
            let at = |id: &str| steps.iter().find(|s| s.id == id);
            for id in ["buy", "cut", "wash", "drain", "bag", "pack", "leave"] {
                assert!(at(id).is_some(), "{} {id}", preset.id);
            }
            for id in ["freeze", "thaw"] {
                assert_eq!(at(id).is_some(), preset.plan.prep.freeze_min > 0, "{} {id}", preset.id);
            }
            assert_eq!(at("leave").unwrap().end_min, preset.plan.day.draw_min, "arrives for the draw");
            assert_eq!(at("pack").unwrap().end_min, at("leave").unwrap().start_min);
            assert!(steps.iter().any(|s| s.slowest) && steps.iter().all(|s| s.earliest_min <= s.start_min));
            if let (Some(freeze), Some(thaw)) = (at("freeze"), at("thaw")) {
                assert!(freeze.end_min <= thaw.start_min);
                assert!(thaw.end_min - thaw.start_min >= preset.plan.prep.thaw_min);
            }
        }
    }

    #[test]
    fn a_long_thaw_begins_before_bedtime_and_a_long_freeze_the_night_before_that() {
        let mut plan = presets().remove(0).plan;
        plan.prep.thaw_min = 600;
        plan.prep.freeze_min = 1_440;
        let steps = checklist(&plan, 4, false);
        let at = |id: &str| steps.iter().find(|s| s.id == id).unwrap().start_min;
        assert_eq!(at("thaw"), -122, "two minutes before 22:00, not in the small hours");
        for step in steps.iter().filter(|s| !s.waits) {
            for night in [-1440, 0] {
                let (from, to) = (NIGHT.0 + night, NIGHT.1 + night);
                assert!(step.end_min <= from || step.start_min >= to, "{step:?}");
            }
        }
    }

    proptest! {
        #![proptest_config(crate::draw::cases(0x9e9, 200, 20_000))]
        #[test]
        fn any_times_give_a_whole_list_without_work_at_night(
            draw in 0..1440_i32, all_in in 0..1440_i32, travel in 0..720_i32, pack in 0..480_i32,
            freeze in prop::sample::select(vec![0, 15, 300, 2_880]), thaw in 0..2_880_i32, tins in 0..51_i32, weigh: bool,
        ) {
            let mut plan = presets().remove(0).plan;
            (plan.day.draw_min, plan.day.all_in_min, plan.day.travel_min) = (draw, all_in, travel);
            (plan.prep.pack_min, plan.prep.freeze_min, plan.prep.thaw_min) = (pack, freeze, thaw);
            let steps = checklist(&plan, tins, weigh);
            prop_assert_eq!(steps.len(), usize::from(weigh) + if freeze > 0 { 9 } else { 7 });
            for step in steps.iter().filter(|s| !matches!(s.id, "pack" | "leave" | "thaw" | "freeze" | "drain")) {
                for night in 0..6 {
                    let up = NIGHT.1.min(draw - travel - pack - if freeze > 0 { OUT_MIN } else { 0 });
                    let (from, to) = (NIGHT.0.min(up) - 1440 * night, up.min(all_in) - 1440 * night);
                    prop_assert!(step.end_min <= from || step.start_min >= to || from >= to, "{:?}", step);
                }
            }
        }
    }
}
