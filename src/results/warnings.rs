//! Warnings: what a plan may hold but its owner would want to know. Errors are refused at the field instead.

use crate::bait::amount::Amount;
use crate::plan::{Lead, Plan, Purpose, Rig};
use crate::trade::lead::LeadLaw;
use crate::units::{Quantity, Units};
use serde::Serialize;

/// A thing to look at before the day.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
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

/// What was found so far.
struct Warnings(Vec<Warning>);

impl Warnings {
    /// Something that breaks a rule.
    fn broken(&mut self, code: &'static str, field: impl Into<String>, sentence: String) {
        self.0.push(Warning { code, field: field.into(), sentence, rule: true });
    }

    /// Something to look at.
    fn doubt(&mut self, code: &'static str, field: impl Into<String>, sentence: impl Into<String>) {
        self.0.push(Warning { code, field: field.into(), sentence: sentence.into(), rule: false });
    }
}

/// Everything that the plan's owner would want to know: of the plan in the order of the screens, then of the amounts.
pub(super) fn warnings(plan: &Plan, amount: Option<&Amount>, units: Units) -> Vec<Warning> {
    let mut found = Warnings(Vec::new());
    let day = &plan.day;
    if day.draw_min > day.all_in_min {
        found.doubt("draw_late", "day.draw", "The draw is after the all-in. Check both times.");
    } else if day.draw_min + day.setup_min > day.all_in_min {
        let sentence = "Set-up ends after the all-in. Draw earlier or set up less.";
        found.doubt("short_setup", "day.setup", sentence);
    }
    of_shot(plan, units, &mut found);
    for (i, rig) in plan.rigs.iter().enumerate() {
        of_rig(plan, rig, i, units, &mut found);
    }
    for refused in [plan.tin.check_energy(), plan.tin.check_block()].into_iter().filter_map(Result::err) {
        found.doubt(refused.code(), refused.field().to_owned(), refused.to_string());
    }
    if let Some(amount) = amount {
        of_amount(plan, amount, &mut found);
    }
    found.0
}

fn of_shot(plan: &Plan, units: Units, found: &mut Warnings) {
    for (i, shot) in plan.shot_box.iter().enumerate() {
        let (path, name) = (format!("shot_box.{i}.density"), &shot.name);
        let law = shot.lead_law();
        let words = law.words(units).unwrap_or_default();
        match law {
            LeadLaw::Banned(_) => {
                found.broken("lead_size", path, format!("{name} is {words}. Use a substitute."));
            }
            LeadLaw::Allowed | LeadLaw::AllowedByName(_) if plan.rules.lead == Lead::None => {
                found.broken("lead_venue", path, format!("{name} is lead, and the venue allows none."));
            }
            LeadLaw::AllowedByName(_) => found.doubt("lead_named", path, format!("{name} is {words}.")),
            LeadLaw::Allowed | LeadLaw::NotLead => {}
        }
    }
}

fn of_rig(plan: &Plan, rig: &Rig, i: usize, units: Units, found: &mut Warnings) {
    let path = |tail: &str| format!("rigs.{i}.{tail}");
    let name = &rig.name;
    if rig.hooklength_strength_g >= rig.main_strength_g {
        let sentence = format!(
            "Rig {name}: the hooklength is as strong as the main line or stronger. \
             Make it the weak link, so that a break loses the hook and not the rig."
        );
        found.doubt("strong_hooklength", path("hooklength_strength"), sentence);
    }
    if let Some(limit) = plan.rules.hook
        && rig.hook_size < limit
    {
        let size = rig.hook_size;
        let sentence =
            format!("Rig {name}: hook size {size} is larger than the venue’s limit, size {limit}.");
        found.broken("hook_rule", path("hook_size"), sentence);
    }
    let place = usize::try_from(rig.line).ok().and_then(|l| plan.lines.get(l));
    let water = place.map_or(plan.water.depth_tenth_mm, |l| l.depth_tenth_mm);
    if rig.purpose == Purpose::Shallow && rig.depth_tenth_mm >= water {
        let sentence = format!("Rig {name} is for fishing up in the water but reaches the bottom.");
        found.doubt("deep_rig", path("depth"), sentence);
    }
    if rig.purpose == Purpose::Bottom && rig.depth_tenth_mm < water - 300 {
        let short = units.text(water - rig.depth_tenth_mm, Quantity::Depth);
        let sentence = format!("Rig {name} is for the bottom but ends {short} above it.");
        found.doubt("short_rig", path("depth"), sentence);
    }
    if rig.hooklength_tenth_mm >= rig.depth_tenth_mm {
        let sentence = format!("Rig {name}: the hooklength is longer than the rig.");
        found.doubt("long_hooklength", path("hooklength"), sentence);
    }
    if rig.bulk_from_hook_tenth_mm > rig.depth_tenth_mm {
        let sentence = format!("Rig {name}: the bulk would sit above the float.");
        found.doubt("high_bulk", path("bulk_from_hook"), sentence);
    }
    for (j, dropper) in rig.droppers.iter().enumerate() {
        if dropper.from_hook_tenth_mm >= rig.bulk_from_hook_tenth_mm {
            let sentence =
                format!("Rig {name}: a dropper sits at or above the bulk. Droppers belong below it.");
            found.doubt("high_dropper", path(&format!("droppers.{j}.from_hook")), sentence);
        }
    }
}

fn of_amount(plan: &Plan, amount: &Amount, found: &mut Warnings) {
    let need = amount.tins;
    if let Some(limit) = plan.rules.tins.filter(|limit| i64::from(need) > i64::from(*limit)) {
        let sentence =
            format!("The feeding takes {need} tins and the venue allows {limit}. Feed less, or less often.");
        found.broken("tin_limit", "rules.tins", sentence);
    }
    if amount.block_mismatch {
        let sentence = "The block’s size and the net mass do not fit together. Measure the block again.";
        found.doubt("block", "tin.net", sentence);
    }
    let span = plan.day.all_out_min - plan.day.all_in_min;
    let span = if span <= 0 { span + 1440 } else { span };
    for (i, (phase, counted)) in plan.feed.iter().zip(&amount.phases).enumerate() {
        if phase.start_min + phase.minutes > span {
            let path = format!("feed.{i}.minutes");
            found.doubt("late_feed", path, "This feeding goes on after the all-out.");
        }
        if counted.too_fast {
            let path = format!("feed.{i}.every");
            found.doubt("fast_feed", path, "This rhythm is hard to keep up this way for long.");
        }
    }
}
