//! Warnings: what a plan may hold but its owner would want to know. Errors are refused at the field instead.

use super::{Lead, Plan, Purpose, Rig};
use crate::trade::lead::LeadLaw;
use crate::units::{Quantity, Units};
use serde::Serialize;

/// A thing to look at before the day.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Warning {
    /// A short stable word.
    pub code: &'static str,
    /// Path of the field it stands beside.
    pub field: String,
    /// What was found and what to do.
    pub sentence: String,
    /// It breaks a rule of the venue or the law, not only good practice.
    pub rule: bool,
}

/// Everything in the plan that its owner would want to know, in the order of the screens.
#[must_use]
pub fn warnings(plan: &Plan, units: Units) -> Vec<Warning> {
    let mut found = Vec::new();
    let mut add = |code, field: String, rule, parts: &[&str]| {
        found.push(Warning { code, field, sentence: parts.concat(), rule });
    };
    let day = &plan.day;
    if day.draw_min + day.setup_min > day.all_in_min && day.draw_min <= day.all_in_min {
        add(
            "short_setup",
            "day.setup".into(),
            false,
            &["Set-up ends after the all-in. Draw earlier or set up less."],
        );
    }
    if day.draw_min > day.all_in_min {
        add("draw_late", "day.draw".into(), false, &["The draw is after the all-in. Check both times."]);
    }
    for (i, shot) in plan.shot_box.iter().enumerate() {
        let path = ["shot_box.", &i.to_string(), ".density"].concat();
        let law = shot.lead_law();
        let words = law.words(units).unwrap_or_default();
        match law {
            LeadLaw::Banned(_) => {
                add("lead_size", path, true, &[&shot.name, " is ", &words, ". Use a substitute."]);
            }
            LeadLaw::Allowed | LeadLaw::AllowedByName(_) if plan.rules.lead == Lead::None => {
                add("lead_venue", path, true, &[&shot.name, " is lead, and the venue allows none."]);
            }
            LeadLaw::AllowedByName(_) => {
                add("lead_named", path, false, &[&shot.name, " is ", &words, "."]);
            }
            LeadLaw::Allowed | LeadLaw::NotLead => {}
        }
    }
    for (i, rig) in plan.rigs.iter().enumerate() {
        rig_warnings(plan, rig, i, units, &mut add);
    }
    found
}

/// The warnings of one rig.
fn rig_warnings(
    plan: &Plan,
    rig: &Rig,
    i: usize,
    units: Units,
    add: &mut impl FnMut(&'static str, String, bool, &[&str]),
) {
    let path = |tail: &str| ["rigs.", &i.to_string(), tail].concat();
    let depth = |value| units.text(value, Quantity::Depth);
    let name = ["Rig ", &rig.name].concat();
    if rig.hooklength_strength_g >= rig.main_strength_g {
        add(
            "strong_hooklength",
            path(".hooklength_strength"),
            false,
            &[
                &name,
                ": the hooklength is as strong as the main line or stronger. \
                 Make it the weak link, so that a break loses the hook and not the rig.",
            ],
        );
    }
    if let Some(most) = plan.rules.hook
        && rig.hook_size < most
    {
        let sizes = [rig.hook_size.to_string(), most.to_string()];
        add(
            "hook_rule",
            path(".hook_size"),
            true,
            &[&name, ": hook size ", &sizes[0], " is larger than the venue’s limit, size ", &sizes[1], "."],
        );
    }
    let place = usize::try_from(rig.line).ok().and_then(|l| plan.lines.get(l));
    let water = place.map_or(plan.water.depth_tenth_mm, |l| l.depth_tenth_mm);
    if rig.purpose == Purpose::Shallow && rig.depth_tenth_mm >= water {
        add(
            "deep_rig",
            path(".depth"),
            false,
            &[&name, " is for fishing up in the water but reaches the bottom."],
        );
    }
    if rig.purpose == Purpose::Bottom && rig.depth_tenth_mm < water - 300 {
        add(
            "short_rig",
            path(".depth"),
            false,
            &[&name, " is for the bottom but ends ", &depth(water - rig.depth_tenth_mm), " above it."],
        );
    }
    if rig.hooklength_tenth_mm >= rig.depth_tenth_mm {
        add(
            "long_hooklength",
            path(".hooklength"),
            false,
            &[&name, ": the hooklength is longer than the rig."],
        );
    }
    if rig.bulk_from_hook_tenth_mm > rig.depth_tenth_mm {
        add("high_bulk", path(".bulk_from_hook"), false, &[&name, ": the bulk would sit above the float."]);
    }
    for (j, dropper) in rig.droppers.iter().enumerate() {
        if dropper.from_hook_tenth_mm >= rig.bulk_from_hook_tenth_mm {
            add(
                "high_dropper",
                path(&[".droppers.", &j.to_string(), ".from_hook"].concat()),
                false,
                &[&name, ": a dropper sits at or above the bulk. Droppers belong below it."],
            );
        }
    }
}
