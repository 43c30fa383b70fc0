//! The rigs: which shot dots each float, where it goes on the line, and places that a finder proposed put back into the
//! plan.

use super::requests::{
    USUAL_KG_PER_M3, count, exact, hook_cube_mm, is_weighed, kilograms, mass_uncertainty, metres, mm, water_c,
};
use crate::bait::sink::Sink;
use crate::estimate::Z90;
use crate::physics::water::{meniscus_ng, weight_in_water_ng};
use crate::plan::fields::{bounds_of, list_of};
use crate::plan::{self, BoxShot, Choice, Dropper, Plan, Purpose, Rig};
use crate::rig::balance::{
    Bait, Balance, BalanceRequest, BoxedShot, DottedWith, Float, Hook, LinePiece, Resting, ShotCount,
    ShotPreference, ShotSet, balance,
};
use crate::rig::fall::Shot;
use crate::rig::glass_test::TIP_READING_MM;
use crate::rig::layout::{self, Group, Layout, LayoutRequest, Pattern, Role, Shots, lay_out};
use crate::trade::{CONTACT_DEG, CONTACT_OFF_DEG, MAKERS_LOAD_SPREAD, NYLON_KG_PER_M3, STEEL_KG_PER_M3};
use crate::units::{Quantity, Units, tenth_mm};
use serde::Serialize;

/// A difference of tips that the eye sees, mm.
const SEEN_MM: f64 = 0.5;
/// How high above the lowest shot a strung pattern reaches, as a share of the way to the float.
const STRUNG_TO: f64 = 0.85;

/// A rig with its shot and their places.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
pub struct RigResult {
    /// Its name.
    pub name: String,
    /// What it is for.
    pub purpose: Purpose,
    /// From the float to the hook, m.
    pub depth_m: f64,
    /// What the balancer found, or why it could not.
    pub balance: Option<Balance>,
    /// The set that is used: the one the user chose, else the first of the list.
    pub chosen: Option<ShotSet>,
    /// Where the shot goes.
    pub layout: Option<Layout>,
    /// What the chosen set's tip may be off by.
    pub doubt: Option<TipDoubt>,
    /// Why there is no set or no layout, as a sentence.
    pub trouble: Option<String>,
    /// `11 × No. 10`.
    pub shot_words: String,
    /// Where it goes, in words.
    pub layout_words: String,
}

/// What the tip left showing may be off by, mm of tip either way, and what makes it. Each with 90 % probability.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
pub struct TipDoubt {
    /// All together.
    pub all_mm: f64,
    /// The float's load.
    pub load_mm: f64,
    /// The masses of the shot.
    pub shot_mm: f64,
    /// Water that climbs the tip, or not.
    pub meniscus_mm: f64,
}

impl RigResult {
    /// What the rig is for, in words.
    #[must_use]
    pub(crate) fn purpose_words(&self) -> &'static str {
        self.purpose.word()
    }
}

/// Balances and lays out each rig with the bait that sinks like that.
pub(super) fn rig_results(plan: &Plan, sink: Option<&Sink>, units: Units) -> Vec<RigResult> {
    let bait_kg_per_m3 = sink.map_or(USUAL_KG_PER_M3, |sink| sink.density_kg_per_m3.mid);
    plan.rigs.iter().map(|rig| rig_result(plan, rig, bait_kg_per_m3, units)).collect()
}

fn rig_result(plan: &Plan, rig: &Rig, bait_kg_per_m3: f64, units: Units) -> RigResult {
    let balance = balance(&balance_request(plan, rig, bait_kg_per_m3));
    let chosen = balance.as_ref().ok().and_then(|found| chosen(plan, rig, found)).cloned();
    let layout = match (&balance, &chosen) {
        (Err(refused), _) => Err(refused.to_string()),
        (Ok(_), None) => Err("No set of shot from the box dots this float.".to_owned()),
        (Ok(_), Some(set)) => layout_of(rig, set),
    };
    RigResult {
        name: rig.name.clone(),
        purpose: rig.purpose,
        depth_m: metres(rig.depth_tenth_mm),
        shot_words: chosen.as_ref().map(|set| shot_words(&set.shots)).unwrap_or_default(),
        layout_words: layout.as_ref().map(|layout| layout_words(plan, layout, units)).unwrap_or_default(),
        trouble: layout.as_ref().err().cloned(),
        layout: layout.ok(),
        doubt: balance
            .as_ref()
            .ok()
            .zip(chosen.as_ref())
            .map(|(found, set)| tip_doubt(plan, rig, found, set)),
        balance: balance.ok(),
        chosen,
    }
}

/// Whether some set of shot from the box dots this rig's float.
pub(super) fn dots_with(plan: &Plan, rig: &Rig, sink: Option<&Sink>) -> bool {
    let bait_kg_per_m3 = sink.map_or(USUAL_KG_PER_M3, |sink| sink.density_kg_per_m3.mid);
    balance(&balance_request(plan, rig, bait_kg_per_m3))
        .is_ok_and(|found| found.on_tip && !found.sets.is_empty())
}

/// Whether a rig carries a size of shot whose mass was not weighed.
pub(super) fn uses_unweighed_shot(plan: &Plan, rigs: &[RigResult]) -> bool {
    let unweighed = |shot: &ShotCount| plan.shot_box.get(shot.index).is_some_and(|size| !is_weighed(size));
    rigs.iter().flat_map(|rig| &rig.chosen).any(|set| set.shots.iter().any(unweighed))
}

/// The angle at which water meets the rig's tip, degrees.
fn contact_deg(rig: &Rig) -> f64 {
    CONTACT_DEG.get(rig.more.tip_of.index()).copied().unwrap_or(90.0)
}

/// What a set's tip may be off by.
///
/// A maker's load is off by a tenth, taken as limits. Where the load was found in a glass, the tip was read to half a
/// millimetre there, and the masses of shot that hung in both cancel. The water's angle changes from wet to dry in any case.
fn tip_doubt(plan: &Plan, rig: &Rig, found: &Balance, set: &ShotSet) -> TipDoubt {
    let per_mm = found.tip_ng_per_mm as f64;
    let limits = Z90 / 3f64.sqrt();
    let hung = |place: usize| -> f64 {
        let glass = rig.more.glass.iter().filter(|hung| usize::try_from(hung.shot) == Ok(place));
        if rig.load_measured { glass.map(|hung| f64::from(hung.count)).sum() } else { 0.0 }
    };
    let load_mm = if rig.load_measured {
        limits * TIP_READING_MM
    } else {
        limits * MAKERS_LOAD_SPREAD * found.lift_ng as f64 / per_mm
    };
    let square = |(place, size): (usize, &BoxShot)| {
        let in_set = set.shots.iter().find(|shot| shot.index == place).map_or(0, |shot| shot.count);
        let mass_ng = f64::from(size.mass_tenth_mg) * 1e5;
        let one =
            weight_in_water_ng(mass_ng, f64::from(size.density_kg_per_m3), found.water_kg_per_m3) as f64;
        ((f64::from(in_set) - hung(place)) * one * mass_uncertainty(size)).powi(2)
    };
    let shot_mm = Z90 * plan.shot_box.iter().enumerate().map(square).sum::<f64>().sqrt() / per_mm;
    let [less, more] = CONTACT_OFF_DEG;
    let pull = |angle: f64| meniscus_ng(f64::from(rig.tip_um) / 1000.0, angle, water_c(plan)) / per_mm;
    let meniscus_mm = 0.5 * (pull(contact_deg(rig) - less) - pull(contact_deg(rig) + more));
    TipDoubt { all_mm: load_mm.hypot(shot_mm).hypot(meniscus_mm), load_mm, shot_mm, meniscus_mm }
}

fn balance_request(plan: &Plan, rig: &Rig, bait_kg_per_m3: f64) -> BalanceRequest {
    let piece = |tenth_mm: i32, um: i32| LinePiece {
        length_m: metres(tenth_mm),
        diameter_mm: f64::from(um) / 1000.0,
        density_kg_per_m3: NYLON_KG_PER_M3,
    };
    let hooklength = rig.hooklength_tenth_mm.min(rig.depth_tenth_mm);
    let boxed = plan.shot_box.iter().enumerate().map(|(i, shot)| BoxedShot {
        name: shot.name.clone(),
        mass_tenth_mg: exact(shot.mass_tenth_mg),
        density_kg_per_m3: f64::from(shot.density_kg_per_m3),
        count: count(shot.count),
        fixed: droppers_of(rig, i),
    });
    BalanceRequest {
        float: Float {
            load_tenth_mg: exact(rig.load_tenth_mg),
            tip_diameter_mm: f64::from(rig.tip_um) / 1000.0,
            tip_length_mm: mm(rig.tip_length_tenth_mm),
            own_mass_tenth_mg: None,
            contact_deg: (!rig.load_measured).then(|| contact_deg(rig)),
        },
        temperature_c: water_c(plan),
        shot_box: boxed.collect(),
        hook: Some(Hook { mass_tenth_mg: exact(rig.hook_tenth_mg), density_kg_per_m3: STEEL_KG_PER_M3 }),
        bait: Some(Bait { side_mm: hook_cube_mm(plan), density_kg_per_m3: bait_kg_per_m3 }),
        line: vec![piece(rig.depth_tenth_mm - hooklength, rig.main_um), piece(hooklength, rig.hooklength_um)],
        resting: Resting::default(),
        wanted_tip_mm: mm(rig.show_tenth_mm.min(rig.tip_length_tenth_mm)),
        wanted_state: match rig.dotted {
            plan::DottedWith::Hanging => DottedWith::BaitHanging,
            plan::DottedWith::OnBottom => DottedWith::BaitOnBottom,
        },
        max_sizes: u32::try_from(rig.most_sizes).unwrap_or(1),
        max_shots: u32::try_from(rig.most_shots).unwrap_or(1),
        taste: match rig.taste {
            plan::ShotPreference::ManySmall => ShotPreference::ManySmall,
            plan::ShotPreference::FewLarge => ShotPreference::FewLarge,
        },
        close_enough_mm: SEEN_MM,
    }
}

/// How many droppers of the size at place `i` the rig carries.
fn droppers_of(rig: &Rig, i: usize) -> u32 {
    if rig.pattern != plan::Pattern::BulkAndDroppers {
        return 0;
    }
    let mine = rig.droppers.iter().filter(|d| usize::try_from(d.shot) == Ok(i));
    mine.map(|d| count(d.count)).sum()
}

/// Whether a set holds lead that the law does not allow.
pub(crate) fn holds_banned_lead(plan: &Plan, set: &ShotSet) -> bool {
    let banned = |s: &ShotCount| plan.shot_box.get(s.index).is_some_and(|shot| shot.lead_law().is_banned());
    set.shots.iter().any(banned)
}

/// The set that the user chose, while the list still holds it; else the first that the law allows, if one does.
fn chosen<'a>(plan: &Plan, rig: &Rig, answer: &'a Balance) -> Option<&'a ShotSet> {
    let wanted = |s: &ShotCount| {
        let same = |c: &plan::ShotCount| {
            usize::try_from(c.shot) == Ok(s.index) && u32::try_from(c.count) == Ok(s.count)
        };
        rig.set.iter().any(same)
    };
    let same = |set: &&ShotSet| set.shots.len() == rig.set.len() && set.shots.iter().all(wanted);
    let sets = || answer.sets.iter();
    sets().find(same).or_else(|| sets().find(|set| !holds_banned_lead(plan, set))).or_else(|| sets().next())
}

/// `9 × No. 10 and 2 × No. 12`.
fn shot_words(shots: &[ShotCount]) -> String {
    let words: Vec<String> = shots.iter().map(|s| format!("{} × {}", s.count, s.name)).collect();
    words.join(" and ")
}

/// A whole number of millimetres.
fn whole_mm(tenth_mm: i32) -> i32 {
    (tenth_mm + 5) / 10
}

/// Places the set on the line as the rig's pattern says.
fn layout_of(rig: &Rig, set: &ShotSet) -> Result<Layout, String> {
    let (depth, bulk_mm) = (whole_mm(rig.depth_tenth_mm), whole_mm(rig.bulk_from_hook_tenth_mm).max(1));
    let dropper = |d: &Dropper| layout::Dropper {
        from_hook_mm: whole_mm(d.from_hook_tenth_mm),
        shot: usize::try_from(d.shot).unwrap_or(0),
        count: count(d.count),
    };
    let request = LayoutRequest {
        float_to_hook_mm: depth,
        hooklength_mm: whole_mm(rig.hooklength_tenth_mm.min(rig.depth_tenth_mm)),
        shots: set.shots.iter().map(|s| Shots { shot: s.index, count: s.count }).collect(),
        pattern: match rig.pattern {
            plan::Pattern::Bulk => Pattern::SingleBulk { bulk_mm },
            plan::Pattern::BulkAndDroppers => {
                Pattern::BulkAndDroppers { bulk_mm, droppers: rig.droppers.iter().map(dropper).collect() }
            }
            plan::Pattern::Strung => {
                #[expect(
                    clippy::cast_possible_truncation,
                    reason = "a share of a length that is within its limits"
                )]
                let highest_mm = bulk_mm + (f64::from((depth - bulk_mm).max(0)) * STRUNG_TO) as i32;
                Pattern::Strung { lowest_mm: bulk_mm, highest_mm }
            }
        },
        on_hooklength: true,
    };
    lay_out(&request).map_err(|refused| refused.to_string())
}

/// `9 as a bulk 60 cm from the hook, dropper No. 10 at 30 cm, dropper No. 10 at 10 cm`.
fn layout_words(plan: &Plan, layout: &Layout, units: Units) -> String {
    let at = |group: &Group| units.text(group.from_hook_mm.saturating_mul(10), Quantity::Depth);
    let of = |role: Role| layout.groups.iter().filter(move |group| group.role == role);
    let mut words = Vec::new();
    if let Some(bulk) = of(Role::Bulk).next() {
        let count: u32 = of(Role::Bulk).map(|group| group.count).sum();
        words.push(format!("{count} as a bulk {} from the hook", at(bulk)));
    }
    for dropper in of(Role::Dropper).rev() {
        let name = plan.shot_box.get(dropper.shot).map_or("", |size| &size.name);
        let times = if dropper.count > 1 { format!("{} × ", dropper.count) } else { String::new() };
        words.push(format!("dropper {times}{name} at {}", at(dropper)));
    }
    if let (Some(lowest), Some(highest)) = (of(Role::Strung).next(), of(Role::Strung).next_back()) {
        words.push(format!("strung out from {} to {} above the hook", at(lowest), at(highest)));
    }
    words.join(", ")
}

/// Shot at places, from a pattern that was found: each in its size of the box.
pub(crate) fn groups_of(plan: &Plan, own: &Layout, shots: &[Shot]) -> Vec<Group> {
    let mut left: Vec<(usize, u32)> = Vec::new();
    for group in &own.groups {
        match left.iter_mut().find(|(shot, _)| *shot == group.shot) {
            Some((_, count)) => *count += group.count,
            None => left.push((group.shot, group.count)),
        }
    }
    let mut groups = Vec::new();
    for shot in shots {
        let mut wanted = shot.count;
        for (size, count) in &mut left {
            let mass = plan.shot_box.get(*size).map_or(0.0, |s| kilograms(s.mass_tenth_mg));
            let take = if (mass - shot.mass_kg).abs() < 1e-10 { wanted.min(*count) } else { 0 };
            if take > 0 {
                (wanted, *count) = (wanted - take, *count - take);
                let from_hook_mm = tenth_mm(shot.from_hook_m) / 10;
                groups.push(Group { from_hook_mm, shot: *size, count: take, role: Role::Dropper });
            }
        }
    }
    groups
}

/// Writes places into a rig as a bulk with droppers: the highest place is the bulk.
///
/// # Errors
/// A sentence when the plan has not room for so many places; the rig is then as it was.
pub(crate) fn use_groups(rig: &mut Rig, groups: &[Group]) -> Result<(), String> {
    let Some(highest) = groups.iter().map(|g| g.from_hook_mm).max() else {
        return Err("There is no shot to place.".to_owned());
    };
    let most_shots = bounds_of("rigs.0.droppers.0.count").map_or(1, |bounds| bounds.most);
    let most_droppers = list_of("rigs.0.droppers").map_or(0, |(_, most)| most);
    let mut droppers: Vec<Dropper> = Vec::new();
    let mut set: Vec<plan::ShotCount> = Vec::new();
    for group in groups {
        let shot = i32::try_from(group.shot).unwrap_or(0);
        let mut count = i32::try_from(group.count).unwrap_or(0);
        match set.iter_mut().find(|s| s.shot == shot) {
            Some(same) => same.count += count,
            None => set.push(plan::ShotCount { shot, count }),
        }
        while group.from_hook_mm < highest && count > 0 {
            let part = count.min(most_shots);
            count -= part;
            droppers.push(Dropper { from_hook_tenth_mm: group.from_hook_mm * 10, shot, count: part });
        }
    }
    if droppers.len() > most_droppers {
        return Err(
            "These are more places than the plan has room for. Note them from the drawing.".to_owned()
        );
    }
    droppers.reverse();
    rig.pattern = if droppers.is_empty() { plan::Pattern::Bulk } else { plan::Pattern::BulkAndDroppers };
    rig.bulk_from_hook_tenth_mm = highest * 10;
    rig.droppers = droppers;
    rig.set = set;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::presets::first;

    fn doubt(plan: &Plan) -> TipDoubt {
        super::super::work_out(plan, Units::default()).rigs[0].doubt.expect("a set")
    }

    /// A maker's load of 0.12 g and a 1.2 mm tip: a tenth of its lift as limits is 9 mm of tip at 90 %; a glass brings that
    /// to the half millimetre to which it was read, and shot that hung in it cancels.
    #[test]
    fn a_glass_test_takes_load_and_shot_out_of_the_tips_doubt() {
        let mut plan = first();
        plan.rigs.iter_mut().for_each(|rig| rig.tip_um = 1_200);
        let maker = doubt(&plan);
        assert!((maker.load_mm - 9.2).abs() < 0.5, "{maker:?}");
        assert!(maker.shot_mm > 3.0 && maker.meniscus_mm > 2.0 && maker.all_mm > maker.load_mm, "{maker:?}");
        let set = super::super::work_out(&plan, Units::default()).rigs[0].chosen.clone().unwrap();
        let hung = set.shots.iter().map(|shot| plan::ShotCount {
            shot: i32::try_from(shot.index).unwrap(),
            count: i32::try_from(shot.count).unwrap(),
        });
        plan.rigs[0].more.glass = hung.collect();
        plan.rigs[0].set = plan.rigs[0].more.glass.clone();
        plan.rigs[0].load_measured = true;
        let glass = doubt(&plan);
        assert!(glass.load_mm < 0.6 && glass.shot_mm < 2.5 && glass.all_mm < maker.all_mm, "{glass:?}");
    }
}
