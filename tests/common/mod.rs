//! Seeds for the tests, and plans made from the table of limits and leaning to its edges.

#![allow(dead_code, unused_imports, reason = "each test uses its own")]

pub(crate) mod claim;
pub(crate) mod draw;
pub(crate) mod tub_sim;
pub(crate) mod wild;

use dotdown::plan::fields::{Bounds, FIELDS, bounds_of};
use dotdown::plan::{FieldMut, Plan, presets::presets};
use dotdown::units::Units;
pub(crate) use draw::{cases, dice, long, seed, seeds};
use proptest::prelude::*;

/// Every number field of a plan.
pub(crate) fn number_paths(plan: &Plan) -> Vec<String> {
    numbers().flat_map(|(path, _)| plan.paths(path)).collect()
}

/// The numbers of the table of fields: each one's path, and what it may be.
pub(crate) fn numbers() -> impl Iterator<Item = (&'static str, &'static Bounds)> {
    FIELDS.iter().filter_map(|field| Some((field.path, field.bounds.as_ref()?)))
}

/// A plan with a few dozen of its numbers moved, most of them to an edge.
pub(crate) fn any_plan() -> impl Strategy<Value = Plan> {
    let preset = 0..3_usize;
    let moves = prop::collection::vec((any::<prop::sample::Index>(), 0..4_u8, any::<u32>()), 0..40);
    let texts = prop::collection::vec("\\PC{0,60}", 4);
    (preset, moves, texts).prop_map(|(preset, moves, texts)| {
        let mut plan = presets().remove(preset).plan;
        let paths = number_paths(&plan);
        for (which, how, random) in moves {
            let path = &paths[which.index(paths.len())];
            let limit = bounds_of(path).expect("a row");
            let span = u32::try_from(limit.most - limit.least).expect("least below most") + 1;
            let value = match how {
                0 => limit.least,
                1 => limit.most,
                _ => limit.least + i32::try_from(random % span).expect("fits"),
            };
            let _ = plan.set(path, &Units::default().bare(value, limit.kind), Units::default());
        }
        for (path, text) in ["name", "water.venue", "tin.name", "rigs.0.name"].iter().zip(&texts) {
            plan.set(path, text, Units::default()).expect("texts are taken");
        }
        plan
    })
}

/// Makes a plan's rigs as heavy to work out as may be: as deep as the deepest water, in the strongest drift.
pub(crate) fn make_heavy(plan: &mut Plan) {
    for (pattern, most) in [
        ("water.depth", 120_000),
        ("lines.*.depth", 120_000),
        ("rigs.*.depth", 120_000),
        ("rigs.*.more.drift", 300),
        ("rigs.*.more.drift_depth", 50_000),
    ] {
        for path in plan.paths(pattern) {
            match plan.field(&path) {
                Some(FieldMut::Number(value)) => *value = most,
                _ => panic!("{path} is a number"),
            }
        }
    }
}
