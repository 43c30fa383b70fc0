//! What is wrong with a rig: its shot, its lines, its depth, its balance.

use super::{Found, How, Warnings, depth_of_line};
use crate::plan::{Lead, Plan, Purpose, Rig};
use crate::results::rigs::dots_with;
use crate::trade::lead::LeadLaw;
use crate::trade::shot::TIN_KG_PER_M3;
use crate::units::Quantity;

pub(super) fn of_shot(plan: &Plan, found: &mut Warnings) {
    for (i, shot) in plan.shot_box.iter().enumerate() {
        let (path, name) = (format!("shot_box.{i}.density"), &shot.name);
        let law = shot.lead_law();
        let words = law.words(found.units).unwrap_or_default();
        let sentence = match law {
            LeadLaw::Banned(_) => Some(("lead_size", format!("{name} is {words}."))),
            LeadLaw::Allowed | LeadLaw::AllowedByName(_) if plan.rules.lead == Lead::None => {
                Some(("lead_venue", format!("{name} is lead, and the venue allows none.")))
            }
            LeadLaw::AllowedByName(_) => {
                found.doubt("lead_named", path.clone(), format!("{name} is {words}."));
                None
            }
            LeadLaw::Allowed | LeadLaw::NotLead => None,
        };
        if let Some((code, sentence)) = sentence {
            found.broken(code, path.clone(), sentence);
            found.mend("Carry it in tin", "lead → tin", How::Set(vec![(path, TIN_KG_PER_M3)]));
        }
    }
}

pub(super) fn of_rig(plan: &Plan, rig: &Rig, i: usize, found: &mut Warnings) {
    let units = found.units;
    let path = |tail: &str| format!("rigs.{i}.{tail}");
    let name = &rig.name;
    if rig.hooklength_strength_g >= rig.main_strength_g {
        let sentence = format!(
            "Rig {name}: the hooklength is not weaker than the main line. A break would lose the rig."
        );
        found.doubt("strong_hooklength", path("hooklength_strength"), sentence);
        let thin = thinner(rig);
        let change = format!(
            "{} → {}",
            units.text(rig.hooklength_um, Quantity::Diameter),
            units.text(thin.0, Quantity::Diameter)
        );
        let edits = vec![(path("hooklength_line"), thin.0), (path("hooklength_strength"), thin.1)];
        found.mend("Finer hooklength", change, How::Set(edits));
    }
    if let Some(limit) = plan.rules.hook
        && rig.hook_size < limit
    {
        let size = rig.hook_size;
        found.broken(
            "hook_rule",
            path("hook_size"),
            format!("Rig {name}: hook {size} is larger than {limit}, the rule."),
        );
        found.mend(
            format!("Use hook {limit}"),
            format!("{size} → {limit}"),
            How::Set(vec![(path("hook_size"), limit)]),
        );
    }
    if let Some(least) = plan.rules.hooklength_tenth_mm
        && rig.hooklength_tenth_mm < least
    {
        let (mine, least_words) =
            (units.text(rig.hooklength_tenth_mm, Quantity::Depth), units.text(least, Quantity::Depth));
        found.broken(
            "hooklength_rule",
            path("hooklength"),
            format!("Rig {name}: the hooklength is shorter than {least_words}, the rule."),
        );
        if least < rig.depth_tenth_mm {
            found.set(&path("hooklength"), &mine, least, Quantity::Depth);
        }
    }
    of_depths(plan, rig, i, found);
}

/// Depths that do not go together, and rigs that are alike.
fn of_depths(plan: &Plan, rig: &Rig, i: usize, found: &mut Warnings) {
    let units = found.units;
    let path = |tail: &str| format!("rigs.{i}.{tail}");
    let name = &rig.name;
    let water = depth_of_line(plan, rig);
    let mine = units.text(rig.depth_tenth_mm, Quantity::Depth);
    if rig.depth_tenth_mm > water {
        let over = units.text(rig.depth_tenth_mm - water, Quantity::Depth);
        found.doubt("deep_rig", path("depth"), format!("Rig {name} hangs {over} through the bed."));
        found.set(&path("depth"), &mine, water, Quantity::Depth);
    } else if rig.purpose == Purpose::Bottom && rig.depth_tenth_mm < water - 300 {
        let short = units.text(water - rig.depth_tenth_mm, Quantity::Depth);
        found.doubt(
            "short_rig",
            path("depth"),
            format!("Rig {name} is for the bottom and ends {short} above it."),
        );
        found.set(&path("depth"), &mine, water, Quantity::Depth);
    }
    if rig.hooklength_tenth_mm >= rig.depth_tenth_mm {
        found.doubt(
            "long_hooklength",
            path("hooklength"),
            format!("Rig {name}: the hooklength is longer than the rig."),
        );
        let half = (rig.depth_tenth_mm / 2).max(200);
        found.set(
            &path("hooklength"),
            &units.text(rig.hooklength_tenth_mm, Quantity::Depth),
            half,
            Quantity::Depth,
        );
    }
    if rig.bulk_from_hook_tenth_mm > rig.depth_tenth_mm {
        found.doubt(
            "high_bulk",
            path("bulk_from_hook"),
            format!("Rig {name}: the bulk would sit above the float."),
        );
        let third = rig.depth_tenth_mm / 3;
        let from = units.text(rig.bulk_from_hook_tenth_mm, Quantity::Depth);
        found.set(&path("bulk_from_hook"), &from, third, Quantity::Depth);
    }
    for (j, dropper) in rig.droppers.iter().enumerate() {
        if dropper.from_hook_tenth_mm >= rig.bulk_from_hook_tenth_mm {
            let at = path(&format!("droppers.{j}.from_hook"));
            found.doubt(
                "high_dropper",
                at.clone(),
                format!("Rig {name}: a dropper sits at the bulk or above it."),
            );
            let half = rig.bulk_from_hook_tenth_mm / 2;
            found.set(&at, &units.text(dropper.from_hook_tenth_mm, Quantity::Depth), half, Quantity::Depth);
        }
    }
    let alike = |other: &Rig| {
        (other.line, other.depth_tenth_mm, other.load_tenth_mg, other.pattern, &other.droppers)
            == (rig.line, rig.depth_tenth_mm, rig.load_tenth_mg, rig.pattern, &rig.droppers)
            && other.bulk_from_hook_tenth_mm == rig.bulk_from_hook_tenth_mm
    };
    if let Some(twin) = plan.rigs.iter().take(i).find(|other| alike(other)) {
        found.doubt("twin_rigs", path("depth"), format!("Rigs {} and {name} are alike.", twin.name));
        found.mend(format!("Delete {name}"), "one of them stays", How::DeleteRig(i));
    }
}

/// The next finer hooklength, micrometres, and what it holds by its section, g.
fn thinner(rig: &Rig) -> (i32, i32) {
    let thin = (rig.hooklength_um.min(rig.main_um) - 20).max(40);
    let share = f64::from(thin) / f64::from(rig.main_um.max(thin + 1));
    #[expect(clippy::cast_possible_truncation, reason = "less than the main line's")]
    let holds = (f64::from(rig.main_strength_g) * share * share) as i32 / 10 * 10;
    (thin, holds.clamp(100, (rig.main_strength_g - 1).max(100)))
}

/// A float that no set of shot from the box dots.
pub(super) fn of_balance(plan: &Plan, parts: &Found<'_>, i: usize, found: &mut Warnings) {
    let (Some(rig), Some(result)) = (plan.rigs.get(i), parts.rigs.get(i)) else { return };
    if result.chosen.is_some() && result.balance.as_ref().is_some_and(|balance| balance.on_tip) {
        return;
    }
    let path = |tail: &str| format!("rigs.{i}.{tail}");
    found.doubt("cannot_dot", path("load"), format!("Rig {}: no shot of the box dots its float.", rig.name));
    let wider = [(2, 20), (3, 40), (4, 60)]
        .into_iter()
        .map(|(sizes, shots)| (rig.most_sizes.max(sizes), rig.most_shots.max(shots)));
    let more = wider.filter(|most| *most != (rig.most_sizes, rig.most_shots));
    let mended = more.into_iter().find(|&(most_sizes, most_shots)| {
        dots_with(plan, &Rig { most_sizes, most_shots, ..rig.clone() }, parts.sink)
    });
    if let Some((sizes, shots)) = mended {
        let edits = vec![(path("most_sizes"), sizes), (path("most_shots"), shots)];
        found.mend("Allow more shot", format!("{sizes} sizes, {shots} shot"), How::Set(edits));
    }
}
