//! The order in which to try the rigs.

use crate::plan::{Plan, Purpose, Rig, Start};
use serde::Serialize;

/// One place in the order.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
pub struct Turn {
    /// Place of the rig in the plan.
    pub rig: usize,
    /// Its name.
    pub name: String,
    /// When and why.
    pub reason: String,
}

/// The order. Common practice: start in the middle of the shallow ladder or on the bottom, and when it goes quiet pick
/// up the next deeper rig, then the next.
pub(super) fn order(plan: &Plan, shallow: bool) -> Vec<Turn> {
    let (mut up, down): (Vec<_>, Vec<_>) =
        plan.rigs.iter().enumerate().partition(|(_, rig)| rig.purpose == Purpose::Shallow);
    crate::small::sort_by_key(&mut up, |(_, rig)| rig.depth_tenth_mm);
    let turn = |&(place, rig): &(usize, &Rig), reason: &str| Turn {
        rig: place,
        name: rig.name.clone(),
        reason: reason.to_owned(),
    };
    let mut turns = Vec::new();
    let mut why;
    if shallow {
        let (above, from_middle) = up.split_at(up.len().saturating_sub(1) / 2);
        why = "The middle of the shallow rigs shows soonest which way to go.";
        for rig in from_middle {
            turns.push(turn(rig, why));
            why = "When bites slow down: the next deeper.";
        }
        why = "When bites come as the bait lands: shallower.";
        turns.extend(above.iter().rev().map(|rig| turn(rig, why)));
        why = "When the top goes quiet: the bottom.";
        turns.extend(down.iter().map(|rig| turn(rig, why)));
    } else {
        let chosen = plan.weather.start == Start::Bottom;
        why = if chosen { "The bottom is your choice." } else { "The points speak for the bottom." };
        for rig in &down {
            turns.push(turn(rig, why));
            why = "When the first line goes quiet: rest it and try this one.";
        }
        why = "When fish show in the water, or line bites come.";
        turns.extend(up.iter().rev().map(|rig| turn(rig, why)));
    }
    turns
}
