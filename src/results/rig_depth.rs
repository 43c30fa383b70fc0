//! A rig in depth: from the plan to what its fall, its tackle and its make-up sheet are asked with.
//!
//! Only the cheap parts are worked out here. The fall itself takes a worker; [`FallPath`] is what comes back from it.

use super::{Day, NYLON_KG_PER_M3, STEEL_KG_PER_M3, USUAL_KG_PER_M3, bait_depth, metres};
use crate::plan::Form;
use crate::plan::presets::usual_mass;
use crate::plan::{BoxShot, Dropper, Pattern, Pick, Plan, Rig, ShotCount, Wind};
use crate::plan::{Entry, Hold, StrengthBy};
use crate::refusal::Refusal;
use crate::results::kit::{Item, RIGS_OF_EACH};
use crate::rig::fall::{self, Bait, Current, Fall, Float, Hook, Line, Settings, Shot};
use crate::rig::glass_test::{BatchWeighing, GlassLoad, GlassTest, HungShot, load_from_glass, weigh_batch};
use crate::rig::layout::{Group, Layout, RIG_LENGTH_MOST_MM, Role};
use crate::rig::make_up::{self, Sheet, SheetRequest, winder_words};
use crate::rig::shot::NOMINAL_MASS_SPREAD;
use crate::rig::tackle::{self, BackShot, Elastic, Section, Tackle, TackleRequest, back_shot, check_tackle};
use crate::units::{DecimalSign, LengthUnits, TenthMg, Units, tenth_mm};

/// How long a fall is followed, s.
const FOLLOWED_S: f64 = 90.0;
/// Longest link of a shown fall, m.
const LINK_M: f64 = 0.05;
/// Time between the drawn shapes, s.
pub const FRAME_S: f64 = 0.2;
/// A pole float's own mass over its load: from memory, 0.3 to 1.
const FLOAT_MASS_SHARE: f64 = 0.6;

/// The rig as the fall takes it, with its shot at the places of `layout`.
///
/// The float's own mass is taken as 0.6 of its load and its drag as that of a ball of the water it displaces, both from
/// memory; they count only where the float is free.
#[must_use]
pub fn fall_rig(plan: &Plan, day: &Day, rig: &Rig, layout: &Layout) -> fall::Rig {
    let more = &rig.more;
    let (mut mass, mut volume) = (0.0, 0.0);
    let mut shots = Vec::new();
    for group in &layout.groups {
        let Some(size) = plan.shot_box.get(group.shot) else { continue };
        let one = kilograms(size.mass_tenth_mg);
        mass += one * f64::from(group.count);
        volume += one * f64::from(group.count) / f64::from(size.density_kg_per_m3);
        let from_hook_m = f64::from(group.from_hook_mm) * 1e-3;
        shots.push(Shot { from_hook_m, mass_kg: one, count: group.count });
    }
    let hooklength_m = metres(rig.hooklength_tenth_mm.min(rig.depth_tenth_mm));
    let lowered = more.entry == Entry::Lowered;
    let load = kilograms(rig.load_tenth_mg);
    // A ball of volume (own mass + load) / 1000 kg/m3; drag coefficient 1.
    let across = (6.0 * load * (1.0 + FLOAT_MASS_SHARE) / 1000.0 / core::f64::consts::PI).cbrt();
    fall::Rig {
        name: String::new(),
        temperature_c: day.water_c,
        launch_angle_deg: f64::from(90 - more.below_flat_deg),
        lowered_m_per_s: lowered.then(|| f64::from(more.lowered_mm_per_s) * 1e-3),
        line_density: NYLON_KG_PER_M3,
        shot_density: if volume > 0.0 { mass / volume } else { 11_340.0 },
        main: Line {
            length_m: metres(rig.depth_tenth_mm) - hooklength_m,
            diameter_m: f64::from(rig.main_um) * 1e-6,
        },
        hooklength: Line { length_m: hooklength_m, diameter_m: f64::from(rig.hooklength_um) * 1e-6 },
        shots,
        hook: Hook { mass_kg: kilograms(rig.hook_tenth_mg), density: STEEL_KG_PER_M3 },
        bait: hook_bait(plan, day),
        current: (more.drift_mm_per_s != 0 && !lowered).then(|| Current {
            u0: f64::from(more.drift_mm_per_s) * 1e-3,
            decay_m: metres(more.drift_depth_tenth_mm),
        }),
        float: match more.hold {
            Hold::Held => Float::Fixed,
            Hold::Free => Float::Slide {
                mass_kg: load * FLOAT_MASS_SHARE,
                cda_m2: core::f64::consts::FRAC_PI_4 * across * across,
            },
        },
        max_link_m: LINK_M,
        t_end_s: FOLLOWED_S,
    }
}

/// The hook bait as the fall takes it: the one piece of the bait screen, of its volume, density and form, and with a drag
/// at which it falls free as that screen says, be it by the middle law or by the drops of a tub test. A cube keeps the fall's
/// own figures of a cube.
fn hook_bait(plan: &Plan, day: &Day) -> Bait {
    let side_m = bait_depth::cube_mm(plan) * 1e-3;
    let Some(sink) = &day.sink else { return Bait::cube(side_m, USUAL_KG_PER_M3) };
    let mut bait = Bait::cube(side_m, sink.density_kg_per_m3.mid);
    bait.free_m_per_s = Some(sink.speed_m_per_s.mid).filter(|speed| *speed > 1e-4);
    let shape = bait_depth::shape(plan);
    if plan.bait_more.other.form != Form::Cube {
        (bait.sphericity, bait.added_mass) = (shape.sphericity(), shape.added_mass());
    }
    bait
}

fn kilograms(tenth_mg: i32) -> f64 {
    f64::from(tenth_mg) * 1e-7
}

fn exact(tenth_mg: i32) -> TenthMg {
    TenthMg(u32::try_from(tenth_mg).unwrap_or(0))
}

/// Whether the wind asks for a back shot.
#[must_use]
pub fn windy(plan: &Plan) -> bool {
    matches!(plan.weather.wind, Wind::Fresh | Wind::Strong)
}

/// The rig's back shot, if it carries one.
#[must_use]
pub fn back(rig: &Rig) -> Option<BackShot> {
    back_shot(rig.more.above_tenth_mm / 10, rig.more.back_shot)
}

/// Strengths, weak link and elastic.
///
/// # Errors
/// A sentence that names what does not fit.
pub fn tackle(rig: &Rig) -> Result<Tackle, String> {
    let more = &rig.more;
    let spool = |g: i32| (more.strength_by == StrengthBy::Spool).then(|| f64::from(g) * 1e-3);
    let millimetres = |um: i32| f64::from(um) * 1e-3;
    let request = TackleRequest {
        main: tackle::Line { diameter_mm: millimetres(rig.main_um), spool_kg: spool(rig.main_strength_g) },
        hooklength: Some(tackle::Line {
            diameter_mm: millimetres(rig.hooklength_um),
            spool_kg: spool(rig.hooklength_strength_g),
        }),
        knot: more.knot_tenth_percent.map(|tenths| f64::from(tenths) * 1e-3),
        elastic: more.elastic_um.map(|um| Elastic {
            section: match more.bore_um {
                Some(bore) => Section::Hollow { outer_mm: millimetres(um), inner_mm: millimetres(bore) },
                None => Section::Solid { diameter_mm: millimetres(um) },
            },
            relaxed_m: metres(more.elastic_tenth_mm),
            kit_m: metres(more.kit_tenth_mm),
            taken_up_m: metres(more.shortened_tenth_mm),
            run_m: metres(more.run_tenth_mm),
        }),
    };
    check_tackle(&request, &tackle::Settings::default()).map_err(|e| e.to_string())
}

/// The make-up sheet of the rig at place `i`.
///
/// # Errors
/// A sentence that says why there is none.
pub fn sheet(plan: &Plan, day: &Day, i: usize, units: Units) -> Result<Sheet, String> {
    let (Some(rig), Some(rig_day)) = (plan.rigs.get(i), day.rigs.get(i)) else {
        return Err("There is no such rig.".to_owned());
    };
    let Some(layout) = &rig_day.layout else {
        let none = || "There is no shot to lay out: balance the float first.".to_owned();
        return Err(rig_day.trouble.clone().unwrap_or_else(none));
    };
    let request = SheetRequest {
        name: rig.name.clone(),
        float: rig.float_name.clone(),
        hook: ["size ", &rig.hook_size.to_string()].concat(),
        layout: layout.clone(),
        shot_names: plan.shot_box.iter().map(|s| s.name.clone()).collect(),
        above_float_mm: (rig.more.above_tenth_mm / 10).min(RIG_LENGTH_MOST_MM),
        main_diameter_mm: f64::from(rig.main_um) * 1e-3,
        hooklength_diameter_mm: f64::from(rig.hooklength_um) * 1e-3,
        back_shot: back(rig),
        inches: units.lengths == LengthUnits::Imperial,
        comma: units.sign == DecimalSign::Comma,
    };
    make_up::make_up(&request, &make_up::Settings::default()).map_err(|e| e.to_string())
}

/// Puts what the make-up sheets add up to on the kit list: metres of each line, winders of each length, back shot.
pub(super) fn pack(plan: &Plan, day: &mut Day, units: Units) {
    let sheets: Vec<Sheet> = (0..plan.rigs.len()).filter_map(|i| sheet(plan, day, i, units).ok()).collect();
    let totals = make_up::totals(&sheets);
    let made = |count: u64| i32::try_from(count).unwrap_or(i32::MAX).saturating_mul(RIGS_OF_EACH);
    let place = crate::plan::Group::Rigs.index();
    let Some(group) = day.kit.get_mut(place) else { return };
    let mut put = |id: String, name: String, count: i32, reason: &str| {
        let changed = plan.kit_counts.iter().find(|c| c.id == id).map(|c| c.count);
        let derived = changed.map(|_| count);
        let count = changed.unwrap_or(count);
        let before_own = group.items.iter().position(|item| item.own.is_some()).unwrap_or(group.items.len());
        group
            .items
            .insert(before_own, Item { id, name, count, derived, reason: reason.to_owned(), own: None });
    };
    for line in &totals.line_mm {
        let metres = made(line.count.div_ceil(1000));
        let name = ["Line ", &units.signed(line.name.clone()), ", metres"].concat();
        put(
            ["line-", &line.name.replace([' ', '.'], "-")].concat(),
            name,
            metres,
            "cut for the made-up rigs, hooklengths too",
        );
    }
    for winder in &totals.winders {
        let inches = units.lengths == LengthUnits::Imperial;
        let name = ["Winders, ", &winder_words(&winder.name, inches)].concat();
        put(["winders-", &winder.name.replace(' ', "-")].concat(), name, made(winder.count), "made-up rigs");
    }
    let behind = sheets.iter().filter_map(|s| s.back_shot.as_ref()).map(|b| u64::from(b.count)).sum();
    if behind > 0 {
        put(
            "back-shot".to_owned(),
            "Back shot, No. 8".to_owned(),
            made(behind),
            "between pole tip and float, in wind",
        );
    }
    if !totals.winders.is_empty() {
        group.items.retain(|item| item.id != "winders");
    }
}

/// The load that the glass shows for a rig's float, or a sentence that says what does not fit; nothing where no shot
/// is listed.
#[must_use]
pub fn glass(plan: &Plan, rig: &Rig) -> Option<Result<GlassLoad, String>> {
    if rig.more.glass.is_empty() {
        return None;
    }
    let shots = rig.more.glass.iter().filter_map(|hung| {
        let size = plan.shot_box.get(usize::try_from(hung.shot).ok()?)?;
        Some(HungShot {
            mass_tenth_mg: exact(size.mass_tenth_mg),
            density_kg_per_m3: f64::from(size.density_kg_per_m3),
            count: u32::try_from(hung.count).ok()?,
            uncertainty: mass_uncertainty(size),
        })
    });
    let test = GlassTest {
        float: crate::rig::balance::Float {
            load_tenth_mg: exact(rig.more.maker_tenth_mg.unwrap_or(rig.load_tenth_mg)),
            tip_diameter_mm: f64::from(rig.tip_um) * 1e-3,
            tip_length_mm: f64::from(rig.tip_length_tenth_mm) / 10.0,
            own_mass_tenth_mg: None,
        },
        temperature_c: f64::from(rig.more.glass_tenth_c) / 10.0,
        shots: shots.collect(),
        hook: None,
        tip_left_mm: f64::from(rig.more.glass_show_tenth_mm) / 10.0,
    };
    Some(load_from_glass(&test).map_err(|e| e.to_string()))
}

/// Standard uncertainty of a shot's mass in the box, as a part of it: the trade's usual mass of that size counts as
/// ± 10 %, one that was changed as twenty weighed together on a scale that steps by 0.01 g.
fn mass_uncertainty(size: &BoxShot) -> f64 {
    let nominal = NOMINAL_MASS_SPREAD / 3f64.sqrt();
    if usual_mass(&size.name).is_none_or(|usual| usual == size.mass_tenth_mg) {
        return nominal;
    }
    let reading_g = (0.2 * f64::from(size.mass_tenth_mg)).round() / 100.0;
    weigh_batch(&BatchWeighing { count: 20, reading_g, resolution_g: 0.01 })
        .map_or(nominal, |weighed| weighed.relative)
}

/// Shot at places, from a pattern that was found: each in its size of the box.
#[must_use]
pub fn groups_of(plan: &Plan, own: &Layout, shots: &[Shot]) -> Vec<Group> {
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
pub fn use_groups(rig: &mut Rig, groups: &[Group]) -> Result<(), String> {
    let Some(highest) = groups.iter().map(|g| g.from_hook_mm).max() else {
        return Err("There is no shot to place.".to_owned());
    };
    let mut droppers: Vec<Dropper> = Vec::new();
    let mut set: Vec<ShotCount> = Vec::new();
    for group in groups {
        let shot = i32::try_from(group.shot).unwrap_or(0);
        let mut count = i32::try_from(group.count).unwrap_or(0);
        match set.iter_mut().find(|s| s.shot == shot) {
            Some(same) => same.count += count,
            None => set.push(ShotCount { shot, count }),
        }
        while group.from_hook_mm < highest && count > 0 {
            let part = count.min(10);
            count -= part;
            droppers.push(Dropper { from_hook_tenth_mm: group.from_hook_mm * 10, shot, count: part });
        }
    }
    if droppers.len() > 16 {
        return Err(
            "These are more places than the plan has room for. Note them from the drawing.".to_owned()
        );
    }
    droppers.reverse();
    rig.pattern = if droppers.is_empty() { Pattern::Bulk } else { Pattern::BulkAndDroppers };
    rig.bulk_from_hook_tenth_mm = highest * 10;
    rig.droppers = droppers;
    rig.set = set;
    Ok(())
}

/// A fall as the page keeps it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct FallPath {
    /// Depth of the hook at rest, m.
    pub depth_m: f64,
    /// Times to 25, 50, 75, 90 and 99 % of the final depth, s.
    pub times_s: [Option<f64>; 5],
    /// When the bait rests, s.
    pub settle_s: Option<f64>,
    /// Mean speed through the last third, m/s.
    pub last_third_m_per_s: Option<f64>,
    /// Time through the last 30 cm, s.
    pub last_30_cm_s: Option<f64>,
    /// Speed of the free cube, m/s.
    pub cube_m_per_s: Option<f64>,
    /// Nodes of the line.
    pub nodes: usize,
    /// Distance of each node from the hook, m.
    pub from_hook_m: Vec<f32>,
    /// x, z of each node, frame after frame, m.
    pub xz_m: Vec<f32>,
}

/// Numbers before the nodes' distances in a fall's flat form.
const HEAD: usize = 11;

/// Simulates a rig for showing and writes it as one row of numbers, small enough to hand between threads.
///
/// # Errors
/// As the fall refuses.
pub fn fall_row(rig: &fall::Rig) -> Result<Vec<f32>, Refusal> {
    let settings = Settings { frame_dt_s: Some(FRAME_S), ..Settings::default() };
    Ok(flat(&fall::fall(rig, &settings)?))
}

fn flat(fall: &Fall) -> Vec<f32> {
    #[expect(clippy::cast_possible_truncation, reason = "for showing")]
    let number = |value: Option<f64>| value.map_or(f32::NAN, |v| v as f32);
    let times = &fall.t_fraction_of_final_depth_s;
    let frames = fall.frames.clone().unwrap_or_default();
    let mut all = vec![
        number(Some(fall.final_depth_m)),
        number(times.f25),
        number(times.f50),
        number(times.f75),
        number(times.f90),
        number(times.f99),
        number(fall.settle_s),
        number(fall.last_third_m_per_s),
        number(fall.last_30_cm_s),
        number(fall.free_cube_m_per_s),
        number(Some(frames.nodes as f64)),
    ];
    all.extend(&frames.from_hook_m);
    // What comes more than two seconds after it has settled does not move.
    let shown = fall.settle_s.map_or(usize::MAX, |s| whole((s + 2.0) / FRAME_S) + 1);
    all.extend(frames.xz_m.iter().take(shown.saturating_mul(frames.nodes * 2)));
    all
}

/// A whole number of 0 or more, down.
fn whole(value: f64) -> usize {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "the cast saturates")]
    let whole = value as usize;
    whole
}

impl FallPath {
    /// Reads the flat form; nothing when it is not whole.
    #[must_use]
    pub fn read(all: &[f32]) -> Option<Self> {
        let number = |i: usize| all.get(i).map(|v| f64::from(*v)).filter(|v| v.is_finite());
        let nodes = whole(number(10)?);
        let from_hook_m = all.get(HEAD..HEAD.checked_add(nodes)?)?.to_vec();
        let xz_m = all.get(HEAD + nodes..)?.to_vec();
        if nodes < 2 || xz_m.len() < nodes * 2 {
            return None;
        }
        Some(Self {
            depth_m: number(0)?,
            times_s: [number(1), number(2), number(3), number(4), number(5)],
            settle_s: number(6),
            last_third_m_per_s: number(7),
            last_30_cm_s: number(8),
            cube_m_per_s: number(9),
            nodes,
            from_hook_m,
            xz_m,
        })
    }

    /// How long it can be watched, s.
    #[must_use]
    pub fn end_s(&self) -> f64 {
        (self.xz_m.len() / (self.nodes * 2)).saturating_sub(1) as f64 * FRAME_S
    }

    /// The line at a moment: x and z of each node from the float to the hook, m; between two shapes, in proportion.
    #[must_use]
    pub fn at(&self, t_s: f64) -> Vec<(f64, f64)> {
        let t = t_s.max(0.0).min(self.end_s()) / FRAME_S;
        let (frame, share) = (whole(t), t - t.trunc());
        let row = self.nodes * 2;
        let value = |i: usize| {
            let now = self.xz_m.get(frame * row + i).copied().unwrap_or(0.0);
            let next = self.xz_m.get((frame + 1) * row + i).copied().unwrap_or(now);
            f64::from(now) + share * f64::from(next - now)
        };
        (0..self.nodes).map(|node| (value(node * 2), value(node * 2 + 1))).collect()
    }

    /// Depth of the hook at a moment, m.
    #[must_use]
    pub fn hook_m(&self, t_s: f64) -> f64 {
        self.at(t_s).last().map_or(0.0, |p| p.1)
    }

    /// Speed through the last third over the free cube's.
    #[must_use]
    pub fn of_feed(&self) -> Option<f64> {
        Some(self.last_third_m_per_s? / self.cube_m_per_s?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_rig_of_every_worked_day_falls_to_its_depth() {
        for preset in crate::plan::presets::presets() {
            let day = crate::results::day(&preset.plan, Units::default());
            for (rig, made) in preset.plan.rigs.iter().zip(&day.rigs) {
                let dropped = fall_rig(&preset.plan, &day, rig, made.layout.as_ref().expect("a layout"));
                let lead_kg: f64 = dropped.shots.iter().map(|s| s.mass_kg * f64::from(s.count)).sum();
                assert!(
                    (lead_kg / kilograms(rig.load_tenth_mg) - 1.0).abs() < 0.3,
                    "{}: {lead_kg}",
                    preset.id
                );
                let fell = fall::fall(&dropped, &Settings::searching()).expect("it falls");
                assert!((fell.final_depth_m - metres(rig.depth_tenth_mm)).abs() < 1e-3);
                assert!(fell.settle_s.is_some(), "{} rig {}", preset.id, rig.name);
            }
        }
    }
}
