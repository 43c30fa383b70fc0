//! Plans with nothing usual about them: every list at any length, every number, choice, place and text moved, most of
//! them to an edge, all within the one table of limits. Seeded, so that a failure can be made again from its number.

use super::number_paths;
use dotdown::plan::fields::{FIELDS, LISTS, MAX_DROPS, bounds_of};
use dotdown::plan::{
    BoxShot, Dropper, Feeding, FieldMut, Group, KitCount, KitItem, Plan, PoleLine, ShotCount,
    presets::presets,
};
use fastrand::Rng;

/// The plan of a seed; `share` is how many of its numbers are moved, 0 to 1.
pub(crate) fn wild_plan(seed: u64) -> Plan {
    let mut rng = Rng::with_seed(seed);
    let mut plan = presets().remove(rng.usize(..3)).plan;
    if rng.bool() {
        lists(&mut plan, &mut rng);
    }
    let share = [0.02, 0.1, 0.5, 1.0][rng.usize(..4)];
    numbers(&mut plan, &mut rng, share);
    let letters = ["a", " ", "<", "&", "\"", "'", "é", "鱼", "🐟", "\u{301}"];
    let share_of_texts = if rng.bool() { share } else { 0.0 };
    for path in FIELDS.iter().flat_map(|field| plan.paths(field.path)).collect::<Vec<_>>() {
        match plan.field(&path) {
            Some(FieldMut::Choice(pick)) if rng.f64() < share.max(0.2) => {
                let place = rng.usize(..pick.words().len());
                assert!(pick.choose(place));
            }
            Some(FieldMut::Flag(flag)) if rng.f64() < share.max(0.2) => *flag = rng.bool(),
            Some(FieldMut::Place(place, length)) => {
                *place = i32::try_from(rng.usize(..length)).expect("short");
            }
            Some(FieldMut::Text(text)) if rng.f64() < share_of_texts => {
                *text = (0..rng.usize(..=40)).map(|_| *rng.choice(&letters).expect("some")).collect();
            }
            _ => {}
        }
    }
    plan.check().unwrap_or_else(|e| panic!("the plan of seed {seed} is not within the limits: {e}"));
    plan
}

fn count(rng: &mut Rng, least: usize, most: usize) -> usize {
    match rng.u8(..4) {
        0 => least,
        1 => most,
        _ => rng.usize(least..=most),
    }
}

/// Brings a list to a length by repeating or leaving out.
fn to_length<T: Clone>(list: &mut Vec<T>, one: T, length: usize) {
    list.truncate(length);
    while list.len() < length {
        list.push(list.last().cloned().unwrap_or_else(|| one.clone()));
    }
}

/// Every list as long as it may be.
pub(crate) fn fill(plan: &mut Plan) {
    lengths(plan, |_, most| most);
    plan.bait_more.tub.drops_ms = vec![120_000; MAX_DROPS];
    for rig in &mut plan.rigs {
        rig.set = vec![ShotCount { shot: 23, count: 500 }; 24];
    }
}

fn lengths(plan: &mut Plan, mut pick: impl FnMut(usize, usize) -> usize) {
    for &(path, least, most, _) in LISTS {
        let mut length = || pick(least, most);
        match path {
            "lines" => to_length(
                &mut plan.lines,
                PoleLine { name: String::new(), distance_tenth_mm: 50_000, depth_tenth_mm: 20_000 },
                length(),
            ),
            "feed" => {
                let one: Feeding = plan.feed[0].clone();
                to_length(&mut plan.feed, one, length());
            }
            "rigs" => {
                let one = plan.rigs[0].clone();
                to_length(&mut plan.rigs, one, length());
            }
            "rigs.*.droppers" => {
                for rig in &mut plan.rigs {
                    to_length(
                        &mut rig.droppers,
                        Dropper { from_hook_tenth_mm: 1_000, shot: 0, count: 1 },
                        length(),
                    );
                }
            }
            "rigs.*.more.glass" => {
                for rig in &mut plan.rigs {
                    to_length(&mut rig.more.glass, ShotCount { shot: 0, count: 2 }, length());
                }
            }
            "shot_box" => {
                let one: BoxShot = plan.shot_box[0].clone();
                to_length(&mut plan.shot_box, one, length());
            }
            "kit" => to_length(
                &mut plan.kit,
                KitItem { group: Group::Peg, name: "Towel".to_owned(), count: 1 },
                length(),
            ),
            "kit_counts" => {
                to_length(&mut plan.kit_counts, KitCount { id: "tins".to_owned(), count: 3 }, length());
            }
            other => panic!("no way to make the list {other}"),
        }
    }
}

fn lists(plan: &mut Plan, rng: &mut Rng) {
    lengths(plan, |least, most| count(rng, least, most));
    let sizes = plan.shot_box.len();
    for rig in &mut plan.rigs {
        rig.set = (0..count(rng, 0, 24).min(if rng.bool() { 0 } else { 24 }))
            .map(|_| ShotCount {
                shot: i32::try_from(rng.usize(..sizes)).expect("short"),
                count: rng.i32(0..=500),
            })
            .collect();
    }
    plan.bait_more.tub.drops_ms = (0..count(rng, 0, MAX_DROPS)).map(|_| rng.i32(300..=120_000)).collect();
    if rng.bool() {
        // As a careful hand would time them.
        plan.bait_more.tub.drops_ms.iter_mut().for_each(|ms| *ms = 5_500 + *ms % 1_000);
    }
}

fn numbers(plan: &mut Plan, rng: &mut Rng, share: f64) {
    for path in number_paths(plan) {
        if rng.f64() >= share {
            continue;
        }
        let limit = bounds_of(&path).expect("a row");
        let value = match rng.u8(..5) {
            0 => limit.least,
            1 => limit.most,
            2 => limit.least.max(0).min(limit.most),
            _ => rng.i32(limit.least..=limit.most),
        };
        let empty = rng.u8(..4) == 0;
        let before = (plan.tin.clone(), plan.bait_more.clone());
        match plan.field(&path) {
            Some(FieldMut::Number(number)) => *number = value,
            Some(FieldMut::Maybe(number)) => *number = (!empty).then_some(value),
            _ => panic!("{path} is no number"),
        }
        // A label of more than 100 g, or more floaters than pieces, is no plan.
        if (path.starts_with("tin.") || path.starts_with("tub.")) && plan.clone().check().is_err() {
            (plan.tin, plan.bait_more) = before;
        }
    }
}
