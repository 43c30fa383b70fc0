//! The preparation of the bait, worked back from the all-in: what is done when, at the latest.
//!
//! Steps with hands on the bait are not left to the small hours: one that would have to end between 22:00 and 06:00
//! is done by 22:00 the evening before. Freezing and thawing run by themselves.

use crate::plan::Plan;
use serde::Serialize;

/// One step of the checklist.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Step {
    /// A short name that does not change; ticks hang on it.
    pub id: &'static str,
    /// What to do.
    pub name: &'static str,
    /// Latest start, minutes after midnight of the day; negative is the day before.
    pub start_min: i32,
    /// Latest end, the same way.
    pub end_min: i32,
    /// How it is done.
    pub how: &'static str,
    /// Path of the field that holds its duration, if one does.
    pub field: Option<&'static str>,
    /// It runs by itself.
    pub waits: bool,
}

/// Nobody cuts bait between these, minutes after midnight.
const NIGHT: (i32, i32) = (22 * 60, 30 * 60);

/// The latest end for a step with hands on it, so that none of it falls into the night.
fn before_night(end_min: i32, minutes: i32) -> i32 {
    let start = end_min - minutes;
    // The night that this step would touch, counted from the day before the day.
    for day in -3..=1 {
        let (from, to) = (NIGHT.0 + 1440 * day, NIGHT.1 + 1440 * day);
        if start < to && end_min > from {
            return from;
        }
    }
    end_min
}

/// The checklist of a plan that opens so many tins, in the order of doing.
#[must_use]
pub fn checklist(plan: &Plan, tins: i32) -> Vec<Step> {
    let prep = &plan.prep;
    let leave = plan.day.draw_min - plan.day.travel_min;
    let mut steps = Vec::new();
    let mut put = |id, name, start_min, end_min, how, field, waits| {
        steps.push(Step { id, name, start_min, end_min, how, field, waits });
        start_min
    };
    put(
        "leave",
        "Leave",
        leave,
        plan.day.draw_min,
        "Roads, and the walk to the draw.",
        Some("day.travel"),
        false,
    );
    let pack = put(
        "pack",
        "Pack",
        leave - prep.pack_min,
        leave,
        "Tick the kit list as you go. Bait last.",
        Some("prep.pack"),
        false,
    );
    let mut ready = pack;
    if prep.freeze_min > 0 {
        let thaw = plan.day.all_in_min - prep.thaw_min;
        let out = if prep.thaw_min > plan.day.all_in_min - leave { thaw } else { leave };
        put(
            "thaw",
            "Take out of the freezer",
            out,
            plan.day.all_in_min,
            "Let it thaw in its bags, in the shade. A cube with ice in it sinks slowly or floats.",
            Some("prep.thaw"),
            true,
        );
        // The bags go in as soon as they are closed, which may be hours before they must.
        ready = before_night(out - prep.freeze_min, prep.bag_min);
        put(
            "freeze",
            "Into the freezer",
            ready,
            ready + prep.freeze_min,
            "Bags flat and not stacked, so that they freeze through.",
            Some("prep.freeze"),
            true,
        );
    }
    let hands = [
        ("bag", "Bag", prep.bag_min, "Weigh equal bags, press them flat, push the air out.", "prep.bag"),
        ("drain", "Drain", prep.drain_min, "In the sieve, spread thin, in the fridge.", "prep.drain"),
        (
            "wash",
            "Wash",
            if plan.bait.washed { prep.wash_min } else { 0 },
            "Hand-warm water takes the grease off: about 40 °C, never hot enough to hurt. Rinse until it runs clear.",
            "prep.wash",
        ),
        (
            "cut",
            "Cut",
            prep.cut_min.saturating_mul(tins),
            "Cold meat cuts clean. Push the block through away from your fingers: the blades are sharp.",
            "prep.cut",
        ),
        ("buy", "Buy", prep.buy_min, "One tin more than the plan says, of the same kind.", "prep.buy"),
    ];
    for (id, name, minutes, how, field) in hands {
        if id == "wash" && minutes == 0 {
            continue;
        }
        let end = before_night(ready, minutes);
        ready = put(id, name, end - minutes, end, how, Some(field), false);
    }
    steps.reverse();
    // Draining needs no hand: it starts when the step before it ends and lasts at least its time.
    if let Some(i) = steps.iter().position(|step| step.id == "drain")
        && let Some(before) = i.checked_sub(1).and_then(|j| steps.get(j)).map(|step| step.end_min)
        && let Some(drain) = steps.get_mut(i)
    {
        drain.start_min = before;
        drain.waits = true;
    }
    // Taking out of the freezer may come after packing has begun; the list runs by the clock.
    crate::small::sort_by_key(&mut steps, |step| step.start_min);
    steps
}
