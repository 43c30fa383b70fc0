//! A rig's fall: what the simulation is asked with, its answer as the page keeps it, and that answer as one row of
//! numbers, since the fall takes a worker.

use super::requests::{
    USUAL_KG_PER_M3, hook_cube_mm, hook_shape, kilograms, mass_uncertainty, metres, sink_request, water_c,
};
use crate::bait::sink::{Sink, SinkRequest, sink};
use crate::estimate::{Estimate, Z90, chance_below};
use crate::plan::{Entry, Form, Hold, Plan, Rig};
use crate::refusal::Refusal;
use crate::rig::fall::{self, Bait, Current, Fall, FallSettings, Float, Hook, Line, Shot};
use crate::rig::layout::Layout;
use crate::trade::{NYLON_KG_PER_M3, STEEL_KG_PER_M3, lead};
use core::f64::consts::{FRAC_PI_4, PI};

/// How long a fall is followed, s.
const FOLLOWED_S: f64 = 90.0;
/// Longest link of a shown fall, m.
const LINK_M: f64 = 0.05;
/// Time between the drawn shapes, s.
const FRAME_S: f64 = 0.2;
/// A pole float's own mass over its load: from memory, 0.3 to 1.
const FLOAT_MASS_SHARE: f64 = 0.6;

/// The rig as the fall takes it, with its shot at the places of `layout`.
///
/// The float's own mass is taken as 0.6 of its load and its drag as that of a ball of the water it displaces, both from
/// memory; they count only where the float is free.
#[must_use]
pub fn fall_rig(plan: &Plan, sink: Option<&Sink>, rig: &Rig, layout: &Layout) -> fall::Rig {
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
    let across = (6.0 * load * (1.0 + FLOAT_MASS_SHARE) / 1000.0 / PI).cbrt();
    fall::Rig {
        name: String::new(),
        temperature_c: water_c(plan),
        launch_angle_deg: f64::from(90 - more.below_flat_deg),
        lowered_m_per_s: lowered.then(|| f64::from(more.lowered_mm_per_s) * 1e-3),
        line_density: NYLON_KG_PER_M3,
        shot_density: if volume > 0.0 { mass / volume } else { lead::KG_PER_M3.into() },
        main: Line {
            length_m: metres(rig.depth_tenth_mm) - hooklength_m,
            diameter_m: f64::from(rig.main_um) * 1e-6,
        },
        hooklength: Line { length_m: hooklength_m, diameter_m: f64::from(rig.hooklength_um) * 1e-6 },
        shots,
        hook: Hook { mass_kg: kilograms(rig.hook_tenth_mg), density: STEEL_KG_PER_M3 },
        bait: hook_bait(plan, sink),
        current: (more.drift_mm_per_s != 0 && !lowered).then(|| Current {
            u0: f64::from(more.drift_mm_per_s) * 1e-3,
            decay_m: metres(more.drift_depth_tenth_mm),
        }),
        float: match more.hold {
            Hold::Held => Float::Fixed,
            Hold::Free => {
                Float::Slide { mass_kg: load * FLOAT_MASS_SHARE, cda_m2: FRAC_PI_4 * across * across }
            }
        },
        max_link_m: LINK_M,
        t_end_s: FOLLOWED_S,
    }
}

/// The hook bait as the fall takes it: the piece of the bait screen, of its volume, density and form, and with a drag
/// at which it falls free as that screen says, be it by the middle law or by the drops of a tub test. One of another size
/// than the feed falls faster or slower as the middle law says. A cube keeps the fall's own figures of a cube.
fn hook_bait(plan: &Plan, feed: Option<&Sink>) -> Bait {
    let side_m = hook_cube_mm(plan) * 1e-3;
    let Some(feed) = feed else { return Bait::cube(side_m, USUAL_KG_PER_M3) };
    let mut bait = Bait::cube(side_m, feed.density_kg_per_m3.mid);
    let speed = feed.speed_m_per_s.mid * hook_over_feed(plan);
    bait.free_m_per_s = Some(speed).filter(|speed| *speed > 1e-4);
    if plan.bait_more.other.form != Form::Cube {
        let shape = hook_shape(plan);
        (bait.sphericity, bait.added_mass) = (shape.sphericity(), shape.added_mass());
    }
    bait
}

/// How many times as fast as the feed the piece on the hook falls, by the label.
pub(crate) fn hook_over_feed(plan: &Plan) -> f64 {
    if plan.bait.hook_edge_tenth_mm.is_none_or(|edge| edge == plan.bait.edge_tenth_mm) {
        return 1.0;
    }
    let feed = sink_request(plan, Vec::new());
    let hook = SinkRequest { shape: hook_shape(plan), ..feed.clone() };
    let speed = |request| sink(request).map_or(0.0, |sink| sink.speed_m_per_s.mid);
    let (hook, feed) = (speed(&hook), speed(&feed));
    if hook > 0.0 && feed > 0.0 { hook / feed } else { 1.0 }
}

/// The rig with each of its doubtful inputs at the low and then at the high end of its 90 % band: the bait (density, air and
/// drag together, by the band of its speed), the line's diameters (5 % as limits, judgement), the masses of shot.
#[must_use]
pub fn doubted(plan: &Plan, feed: Option<&Sink>, rig: &fall::Rig) -> Vec<fall::Rig> {
    const LINE_OFF: f64 = 0.05;
    let limits = Z90 / 3f64.sqrt();
    let bait = |end: fn(Estimate) -> f64| {
        let mut bait = rig.bait;
        if let Some(sink) = feed {
            // The piece on the hook may be of another size; its speed is taken to be off in the same proportion.
            let share = end(sink.speed_m_per_s) / sink.speed_m_per_s.mid;
            bait.density = end(sink.density_kg_per_m3);
            bait.free_m_per_s = bait.free_m_per_s.map(|speed| speed * share).filter(|speed| *speed > 1e-4);
        }
        fall::Rig { bait, ..rig.clone() }
    };
    let line = |factor: f64| {
        let mut other = rig.clone();
        other.main.diameter_m *= factor;
        other.hooklength.diameter_m *= factor;
        other
    };
    let shot = |side: f64| {
        let mut other = rig.clone();
        for shot in &mut other.shots {
            let size =
                plan.shot_box.iter().find(|s| (kilograms(s.mass_tenth_mg) - shot.mass_kg).abs() < 1e-10);
            shot.mass_kg *= 1.0 + side * Z90 * size.map_or(0.0, mass_uncertainty);
        }
        other
    };
    vec![
        bait(|band| band.low),
        bait(|band| band.high),
        line(1.0 - LINE_OFF * limits),
        line(1.0 + LINE_OFF * limits),
        shot(-1.0),
        shot(1.0),
    ]
}

/// The few figures of the rigs with a doubt, two to a rig: time to 99 % of the depth, s, and speed through the last third,
/// m/s; what is not reached, or has no fall, is not a number. Stepped as in a search, since only differences count.
#[must_use]
pub fn doubt_row(rigs: &[fall::Rig]) -> Vec<f32> {
    let mut row = Vec::with_capacity(2 * rigs.len());
    for rig in rigs {
        let fell = fall::fall(rig, &FallSettings::searching()).ok();
        #[expect(clippy::cast_possible_truncation, reason = "for showing")]
        let number = |value: Option<f64>| value.map_or(f32::NAN, |v| v as f32);
        row.push(number(fell.as_ref().and_then(|fell| fell.t_fraction_of_final_depth_s.f99)));
        row.push(number(fell.as_ref().and_then(|fell| fell.last_third_m_per_s)));
    }
    row
}

/// What each doubtful input does to a fall: half of what its 90 % band moves the time to 99 % of the depth, s, and the speed
/// through the last third, m/s.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FallDoubt {
    /// Of the time, for bait, line and shot.
    pub time_s: [f64; 3],
    /// Of the speed.
    pub third_m_per_s: [f64; 3],
}

impl FallDoubt {
    /// Reads the row of [`doubt_row`]; nothing where a fall has no end.
    #[must_use]
    pub fn from_row(row: &[f32]) -> Option<Self> {
        let half = |input: usize, figure: usize| {
            let at = |end: usize| row.get(4 * input + 2 * end + figure).map(|value| f64::from(*value));
            Some(0.5 * (at(1)? - at(0)?)).filter(|half| half.is_finite())
        };
        let of = |figure: usize| Some([half(0, figure)?, half(1, figure)?, half(2, figure)?]);
        Some(Self { time_s: of(0)?, third_m_per_s: of(1)? })
    }

    /// Half of a 90 % band: independent doubts, in quadrature.
    #[must_use]
    pub fn half(doubts: [f64; 3]) -> f64 {
        doubts.iter().map(|half| half * half).sum::<f64>().sqrt()
    }

    /// The chance that of two falls of one bait, line and box the quicker by the middle figures is the quicker in truth, 0.5
    /// to 1: what both share moves both, and only what moves them apart counts.
    #[must_use]
    pub fn order_holds(&self, other: &Self, apart_s: f64) -> f64 {
        let apart: [f64; 3] = core::array::from_fn(|i| self.time_s[i] - other.time_s[i]);
        let sd = Self::half(apart) / Z90;
        chance_below(apart_s.abs() / sd.max(1e-9))
    }
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

/// Numbers before the nodes' distances in a fall's row.
const HEAD: usize = 11;

/// Simulates a rig for showing and writes it as one row of numbers, small enough to hand between threads.
///
/// # Errors
/// As the fall refuses.
pub fn fall_row(rig: &fall::Rig) -> Result<Vec<f32>, Refusal> {
    let settings = FallSettings { frame_dt_s: Some(FRAME_S), ..FallSettings::default() };
    Ok(to_row(&fall::fall(rig, &settings)?))
}

fn to_row(fall: &Fall) -> Vec<f32> {
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
    /// Reads the row; nothing when it is not whole.
    #[must_use]
    pub fn from_row(all: &[f32]) -> Option<Self> {
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
    pub(crate) fn end_s(&self) -> f64 {
        (self.xz_m.len() / (self.nodes * 2)).saturating_sub(1) as f64 * FRAME_S
    }

    /// The line at a moment: x and z of each node from the float to the hook, m; between two shapes, in proportion.
    #[must_use]
    pub(crate) fn at(&self, t_s: f64) -> Vec<(f64, f64)> {
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
    pub(crate) fn hook_m(&self, t_s: f64) -> f64 {
        self.at(t_s).last().map_or(0.0, |p| p.1)
    }

    /// Speed through the last third over that of the feed, than which the hook's own piece falls free so many times as fast.
    #[must_use]
    pub(crate) fn of_feed(&self, hook_over_feed: f64) -> Option<f64> {
        Some(self.last_third_m_per_s? / self.cube_m_per_s? * hook_over_feed)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Units;

    /// The band of a fall is made of inputs that can be taken away: exact bait, weighed shot. Two patterns that are alike have an
    /// even chance; one that is far quicker is quicker for sure.
    #[test]
    fn a_falls_band_comes_from_its_inputs_and_orders_hold_better_than_seconds() {
        let plan = crate::plan::presets::first();
        let results = crate::results::work_out(&plan, Units::default());
        let layout = results.rigs[3].layout.clone().unwrap();
        let sink = results.sink.clone().unwrap();
        let rig = fall_rig(&plan, Some(&sink), &plan.rigs[3], &layout);
        let told = |plan: &Plan, sink: &Sink, rig: &fall::Rig| {
            FallDoubt::from_row(&doubt_row(&doubted(plan, Some(sink), rig))).expect("it falls")
        };
        let doubt = told(&plan, &sink, &rig);
        println!("deck rig: {doubt:?}");
        // Faster bait and heavier shot are sooner down; a thicker line is later.
        assert!(doubt.time_s[0] < 0.0 && doubt.time_s[1] > 0.0 && doubt.time_s[2] < 0.0, "{doubt:?}");
        let mut exact = sink.clone();
        exact.density_kg_per_m3 = Estimate::exact(sink.density_kg_per_m3.mid);
        exact.speed_m_per_s = Estimate::exact(sink.speed_m_per_s.mid);
        assert!(told(&plan, &exact, &rig).time_s[0].abs() < 1e-6);
        let mut weighed = plan.clone();
        weighed.shot_box.iter_mut().for_each(|size| size.weighed = true);
        assert!(told(&weighed, &sink, &rig).time_s[2].abs() < 0.5 * doubt.time_s[2].abs());
        assert!((doubt.order_holds(&doubt, 0.0) - 0.5).abs() < 1e-9);
        let mut up = layout.clone();
        for group in &mut up.groups {
            group.from_hook_mm += 300;
        }
        let higher = told(&plan, &sink, &fall_rig(&plan, Some(&sink), &plan.rigs[3], &up));
        assert!(doubt.order_holds(&higher, 8.0) > 0.95, "{higher:?}");
        assert!(doubt.order_holds(&higher, 0.1) < 0.75);
        assert_eq!(FallDoubt::from_row(&[f32::NAN; 12]), None);
        assert_eq!(FallDoubt::from_row(&[1.0; 5]), None);
    }

    #[test]
    fn every_rig_of_every_worked_day_falls_to_its_depth() {
        for preset in crate::plan::presets::presets() {
            let results = crate::results::work_out(&preset.plan, Units::default());
            for (rig, result) in preset.plan.rigs.iter().zip(&results.rigs) {
                let layout = result.layout.as_ref().expect("a layout");
                let dropped = fall_rig(&preset.plan, results.sink.as_ref(), rig, layout);
                let lead_kg: f64 = dropped.shots.iter().map(|s| s.mass_kg * f64::from(s.count)).sum();
                assert!(
                    (lead_kg / kilograms(rig.load_tenth_mg) - 1.0).abs() < 0.3,
                    "{}: {lead_kg}",
                    preset.id
                );
                let fell = fall::fall(&dropped, &FallSettings::searching()).expect("it falls");
                assert!((fell.final_depth_m - metres(rig.depth_tenth_mm)).abs() < 1e-3);
                assert!(fell.settle_s.is_some(), "{} rig {}", preset.id, rig.name);
            }
        }
    }
}
