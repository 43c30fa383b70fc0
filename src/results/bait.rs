//! The bait: how it sinks, by its label or by timed drops in its place, what other sizes and other water would do, how
//! much of it is needed, and why pieces float.

use super::requests::{count, line_name, matter, metres, mm, shape_of, sink_request};
use crate::bait::amount::{self, Amount, AmountRequest};
use crate::bait::floaters::{FloatRequest, Floaters, floaters};
use crate::bait::material::Matter;
use crate::bait::patch::{Patch, PatchRequest, patch};
use crate::bait::sink::{FallTime, Sink, SinkRequest, Verdict, sink};
use crate::bait::tub_test::{Drop, Target, TubResult, TubTest, tub_test};
use crate::estimate::{Estimate, Z90, chance_below, open_ended};
use crate::plan::fields::bounds_of;
use crate::plan::{self, Feeding, Form, Plan, Purpose, Rig};
use crate::refusal::Refusal;
use crate::units::{LengthUnits, Quantity, Units};
use serde::Serialize;

/// The depth of the trade's own check, 18 inches, in metres.
const EIGHTEEN_INCHES_M: f64 = 0.4572;

/// How long a piece takes to a depth that matters.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
pub struct NamedFall {
    /// What is at that depth: a rig, the bottom, or the trade's 18 inches.
    pub name: String,
    /// The depth, m.
    pub depth_m: f64,
    /// Time there, s; nothing when the bait may float, and no high end (infinite here) when a piece may.
    #[serde(serialize_with = "open_ended")]
    #[cfg_attr(feature = "types", schemars(with = "Option<crate::estimate::TimeBand>"))]
    pub time_s: Option<Estimate>,
}

/// What another cube or other water would do.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
pub struct Alternative {
    /// What is changed.
    pub what: String,
    /// The speed, m/s.
    pub speed_m_per_s: Estimate,
    /// The middle time to 18 inches, s; nothing when it floats.
    pub eighteen_inches_s: Option<f64>,
}

impl Alternative {
    fn new(what: String, speed_m_per_s: Estimate, falls: &[FallTime]) -> Self {
        Self { what, speed_m_per_s, eighteen_inches_s: falls.first().and_then(|fall| fall.mid_s) }
    }
}

/// All about the bait.
pub(super) struct BaitResult {
    /// At the lake; the tub test's where there is one.
    pub(super) sink: Option<Sink>,
    /// By the label alone.
    pub(super) by_label: Option<Sink>,
    /// What the drops told; its first target is the lake.
    pub(super) tub: Option<TubResult>,
    /// Times to the depths that matter.
    pub(super) falls: Vec<NamedFall>,
    /// Other sizes and other water.
    pub(super) alternatives: Vec<Alternative>,
    /// How much of it.
    pub(super) amount: Option<Amount>,
    /// What could not be worked out, a sentence each.
    pub(super) trouble: Vec<String>,
}

/// Works out the plan's bait. When a tub test has drops, or every piece in it came up again, what it learned stands in
/// place of the label's band at every depth, size and temperature.
pub(super) fn bait_result(plan: &Plan, units: Units) -> BaitResult {
    let mut trouble = Vec::new();
    let mut falls = depths(plan, units);
    let base = sink_request(plan, falls.iter().map(|fall| fall.depth_m).collect());
    let to_first = SinkRequest { depths_m: base.depths_m.iter().take(1).copied().collect(), ..base.clone() };
    let mut changes = changes(plan, units, &to_first);
    let by_label = noted(sink(&base), &mut trouble);
    let (mut here, mut tub, mut alternatives) = (by_label.clone(), None, Vec::new());
    let bucket = &plan.bait_more.tub;
    let all_light = bucket.pieces > 0 && bucket.came_up == bucket.pieces;
    if bucket.drops_ms.is_empty() && !all_light {
        let known = changes.into_iter().filter_map(|(what, request)| Some((what, sink(&request).ok()?)));
        alternatives
            .extend(known.map(|(what, found)| Alternative::new(what, found.speed_m_per_s, &found.falls)));
    } else {
        // More air is the label's doubt, which the drops have settled.
        changes.retain(|(_, request)| request.matter == base.matter);
        let asked = [&base].into_iter().chain(changes.iter().map(|(_, request)| request));
        let test = tub_request(plan, asked.map(target).collect());
        tub = noted(tub_test(&test), &mut trouble);
        if let (Some(tub), Some(by_label)) = (&tub, &by_label) {
            here = Some(measured(&test, tub, by_label));
            let answers = changes.into_iter().zip(tub.targets.iter().skip(1));
            alternatives.extend(
                answers.map(|((what, _), there)| Alternative::new(what, there.speed_m_per_s, &there.falls)),
            );
        }
    }
    for (fall, time) in falls.iter_mut().zip(here.iter().flat_map(|sink| &sink.falls)) {
        fall.time_s = time.low_s.zip(time.mid_s).map(|(low, mid)| {
            let high = time.high_s.unwrap_or(f64::INFINITY);
            Estimate { low, mid, high }
        });
    }
    let mass_g = here.as_ref().map_or(0.0, |sink| sink.mass_g);
    let amount = noted(amount::amount(&amount_request(plan, mass_g)), &mut trouble);
    BaitResult { sink: here, by_label, tub, falls, alternatives, amount, trouble }
}

/// The answer, or its refusal noted among the troubles.
fn noted<T>(answer: Result<T, Refusal>, trouble: &mut Vec<String>) -> Option<T> {
    answer.map_err(|refused| trouble.push(refused.to_string())).ok()
}

/// Whether the bait is lighter than the water by what is known of it.
pub(super) fn floats(sink: Option<&Sink>) -> bool {
    sink.is_some_and(|sink| sink.verdict == Verdict::Floats)
}

/// The depths that matter, without times yet: 18 inches, each rig that hangs, the bottom.
fn depths(plan: &Plan, units: Units) -> Vec<NamedFall> {
    let fall = |name: String, depth_m: f64| NamedFall { name, depth_m, time_s: None };
    let eighteen = match units.lengths {
        LengthUnits::Imperial => "18 inches".to_owned(),
        LengthUnits::Metric => units.depth_m(EIGHTEEN_INCHES_M),
    };
    let mut falls = vec![fall(eighteen, EIGHTEEN_INCHES_M)];
    // Those that lie on the bottom of the whole water have its time.
    let on_it =
        |rig: &&Rig| rig.purpose == Purpose::Shallow || rig.depth_tenth_mm != plan.water.depth_tenth_mm;
    let hanging = plan.rigs.iter().filter(on_it);
    falls.extend(hanging.map(|rig| fall(format!("Rig {}", rig.name), metres(rig.depth_tenth_mm))));
    falls.push(fall("Bottom".to_owned(), metres(plan.water.depth_tenth_mm)));
    falls
}

/// Other sizes, other water, more air: one change at a time.
fn changes(plan: &Plan, units: Units, base: &SinkRequest) -> Vec<(String, SinkRequest)> {
    let mut requests = Vec::new();
    if plan.bait_more.other.form == Form::Cube {
        for edge in [40, 60, 80, 100].into_iter().filter(|edge| *edge != plan.bait.edge_tenth_mm) {
            let what = format!("A {} cube", units.text(edge, Quantity::Size));
            requests.push((what, SinkRequest { shape: shape_of(plan, edge), ..base.clone() }));
        }
    }
    for other in [50, 200] {
        let water_temperature_c = f64::from(other) / 10.0;
        if (water_temperature_c - base.water_temperature_c).abs() > 2.0 {
            let what = format!("Water at {}", units.text(other, Quantity::Temperature));
            requests.push((what, SinkRequest { water_temperature_c, ..base.clone() }));
        }
    }
    if let Matter::Label { label, air_share, block: None, tests: None } = base.matter {
        let more = Matter::Label { label, air_share: air_share + 0.01, block: None, tests: None };
        requests.push(("1 % more air in the meat".to_owned(), SinkRequest { matter: more, ..base.clone() }));
    }
    requests
}

/// The speed by the label against the share of air in the meat, 0 to 5 % of its volume, m/s; nothing where there is no label,
/// or a weighed block speaks for the air.
#[must_use]
pub fn speed_against_air(plan: &Plan) -> Vec<(f64, Estimate)> {
    let base = sink_request(plan, Vec::new());
    let Matter::Label { label, block: None, tests: None, .. } = base.matter else { return Vec::new() };
    let speed = |percent: i32| {
        let air_share = f64::from(percent) / 100.0;
        let request = SinkRequest {
            matter: Matter::Label { label, air_share, block: None, tests: None },
            ..base.clone()
        };
        Some((air_share, sink(&request).ok()?.speed_m_per_s))
    };
    (0..=5).filter_map(speed).collect()
}

/// What a tub test is to be carried to.
fn target(request: &SinkRequest) -> Target {
    Target {
        shape: request.shape,
        water_temperature_c: request.water_temperature_c,
        depths_m: request.depths_m.clone(),
    }
}

/// Size of the pieces in the tub test, tenths of a millimetre.
fn tub_size(plan: &Plan) -> i32 {
    plan.bait_more.tub.size_tenth_mm.unwrap_or(plan.bait.edge_tenth_mm)
}

pub(super) fn tub_request(plan: &Plan, targets: Vec<Target>) -> TubTest {
    let tub = &plan.bait_more.tub;
    let landed = tub.drops_ms.iter().map(|&ms| f64::from(ms) / 1000.0);
    TubTest {
        matter: matter(plan),
        shape: shape_of(plan, tub_size(plan)),
        tub_depth_m: metres(tub.depth_tenth_mm),
        tub_depth_sd_m: metres(tub.depth_off_tenth_mm),
        tub_temperature_c: f64::from(tub.water_tenth_c) / 10.0,
        drops: landed.map(|landed_s| Drop { dropped_s: 0.0, landed_s }).collect(),
        pieces: count(tub.pieces),
        light: count(tub.came_up),
        targets,
    }
}

/// The label's answer with what the drops learned in its place.
fn measured(test: &TubTest, tub: &TubResult, by_label: &Sink) -> Sink {
    // From the tub's water to the lake's the excess moves as the label's does.
    let there = sink(&SinkRequest {
        matter: test.matter,
        shape: test.shape,
        water_temperature_c: test.tub_temperature_c,
        depths_m: Vec::new(),
    });
    let shift = there.map_or(0.0, |there| {
        by_label.density_kg_per_m3.mid - by_label.water_kg_per_m3 - there.density_kg_per_m3.mid
            + there.water_kg_per_m3
    });
    // By how much pieces that all came up are lighter is not known; no water here makes them heavier.
    let afloat = tub.drops == 0 && tub.tub_time_s.is_none();
    let shift = if afloat { shift.min(0.0) } else { shift };
    let to_density = |excess: f64| by_label.water_kg_per_m3 + excess + shift;
    let excess = tub.excess_kg_per_m3;
    let density = excess.map(to_density);
    let mut sink = by_label.clone();
    sink.mass_g *= density.mid / by_label.density_kg_per_m3.mid;
    let lake = tub.targets.first();
    let still = lake.is_some_and(|lake| lake.speed_m_per_s.mid <= 0.0);
    sink.verdict = if still || density.mid <= by_label.water_kg_per_m3 {
        sink.start_lag_s = 0.0;
        Verdict::Floats
    } else if density.low <= by_label.water_kg_per_m3 {
        Verdict::MaySink
    } else {
        Verdict::Sinks
    };
    sink.density_kg_per_m3 = density;
    if let Some(lake) = lake {
        sink.speed_m_per_s = lake.speed_m_per_s;
        sink.falls.clone_from(&lake.falls);
    }
    sink
}

/// The phases with fewer cubes at the same rhythm, in the proportions of the plan, so that the day takes no more than so many
/// tins; where a cube a feed is already too much, with a cube at longer pauses. Nothing where the hook baits alone take more.
pub(super) fn fitted(plan: &Plan, found: &Amount, tins: i32) -> Option<Vec<Feeding>> {
    let mass_g = found.total_g / f64::from(found.total_cubes.max(1));
    let longest = bounds_of("feed.0.every").map_or(i32::MAX, |bounds| bounds.most);
    let fewer =
        |phase: &Feeding, share: i32| Feeding { cubes: (phase.cubes * share / 1000).max(1), ..phase.clone() };
    let rarer = |phase: &Feeding, share: i32| {
        let every_s = phase.every_s.saturating_mul(1000).checked_div(share).unwrap_or(longest).min(longest);
        Feeding { cubes: 1, every_s: every_s.max(phase.every_s), ..phase.clone() }
    };
    let fit = |less: &dyn Fn(&Feeding, i32) -> Feeding| {
        let scaled =
            |share| Plan { feed: plan.feed.iter().map(|phase| less(phase, share)).collect(), ..plan.clone() };
        let fits = |less: &Plan| {
            amount::amount(&amount_request(less, mass_g))
                .is_ok_and(|found| i64::from(found.tins) <= i64::from(tins))
        };
        let (mut least, mut most) = (0, 1000);
        while most - least > 1 {
            let middle = i32::midpoint(least, most);
            *(if fits(&scaled(middle)) { &mut least } else { &mut most }) = middle;
        }
        Some(scaled(least)).filter(fits).map(|plan| plan.feed)
    };
    fit(&fewer).or_else(|| fit(&rarer))
}

fn amount_request(plan: &Plan, cube_mass_g: f64) -> AmountRequest {
    let phases = plan.feed.iter().map(|phase| amount::Feeding {
        line: line_name(plan, phase.line).to_owned(),
        method: method_of(phase.method),
        start_min: f64::from(phase.start_min),
        minutes: f64::from(phase.minutes),
        cubes_per_feed: count(phase.cubes),
        seconds_between: f64::from(phase.every_s),
    });
    AmountRequest {
        phases: phases.collect(),
        edge_mm: mm(plan.bait.edge_tenth_mm),
        cube_mass_g,
        block: amount::Block {
            length_mm: mm(plan.tin.length_tenth_mm),
            width_mm: mm(plan.tin.width_tenth_mm),
            height_mm: mm(plan.tin.height_tenth_mm),
            net_g: f64::from(plan.tin.net_g),
        },
        pitch_mm: mm(plan.bait.edge_tenth_mm + plan.bait.blade_tenth_mm),
        hook_baits: count(plan.bait.hook_baits),
        reserve_share: f64::from(plan.bait.reserve_tenth_percent) / 1000.0,
        limit: plan.rules.tins.map(|tins| amount::Limit::Tins { tins: f64::from(tins) }),
        bag_g: f64::from(plan.bait.bag_g),
        tins_in_hand: (plan.bait.tins_in_hand > 0).then(|| count(plan.bait.tins_in_hand)),
    }
}

/// Where each feeding of the plan lands at the bed, in their order; nothing for one whose bait has no time to it.
#[must_use]
pub fn patches(plan: &Plan, sink: &Sink, tub: Option<&TubResult>) -> Vec<Option<Patch>> {
    let bucket = &plan.bait_more.tub;
    let floating_share = match tub.map(|tub| tub.floats_share) {
        _ if bucket.pieces > 0 => f64::from(bucket.floated) / f64::from(bucket.pieces),
        Some(share) => share,
        None => {
            let reach = (sink.density_kg_per_m3.high - sink.density_kg_per_m3.low) / (2.0 * Z90);
            let over = sink.density_kg_per_m3.mid - sink.water_kg_per_m3;
            chance_below(-over / reach.max(1e-9))
        }
    };
    let at = |phase: &plan::Feeding| {
        let line = plan.lines.get(usize::try_from(phase.line).ok()?)?;
        let water_m = metres(line.depth_tenth_mm);
        let speed = sink.speed_m_per_s;
        let time_s = Estimate {
            low: water_m / speed.high,
            mid: (speed.mid > 0.0).then_some(water_m / speed.mid)?,
            high: if speed.low > 0.0 { water_m / speed.low } else { f64::INFINITY },
        };
        patch(&PatchRequest {
            method: method_of(phase.method),
            distance_m: metres(line.distance_tenth_mm),
            water_m,
            depth_m: water_m,
            time_s,
            drift_m_per_s: f64::from(plan.water.drift_mm_per_s) * 1e-3,
            undertow_m_per_s: f64::from(plan.water.undertow_mm_per_s) * 1e-3,
            floating_share,
        })
        .ok()
    };
    plan.feed.iter().map(at).collect()
}

fn method_of(method: plan::Method) -> amount::Method {
    match method {
        plan::Method::Hand => amount::Method::Hand,
        plan::Method::Catapult => amount::Method::Catapult,
        plan::Method::PoleCup => amount::Method::PoleCup,
    }
}

/// The trade's rhythm while fish show shallow: cubes of a half-full pouch, and seconds between feeds at the quickest. Common
/// practice, no published source.
pub const SHALLOW_RHYTHM: (u32, f64) = (28, 15.0);

/// The seconds between feeds of [`SHALLOW_RHYTHM`]'s pouch that the tins last for, from now to the all-out (`minutes`), and how
/// many minutes they last at its quickest. Slower when many fish come; never quicker than the trade's.
#[must_use]
pub fn shallow_rhythm(amount: &Amount, minutes: f64) -> Option<(f64, f64)> {
    let feeds = f64::from(amount.lasts.cubes / SHALLOW_RHYTHM.0);
    (feeds >= 1.0 && minutes > 0.0)
        .then(|| ((60.0 * minutes / feeds).max(SHALLOW_RHYTHM.1), feeds * SHALLOW_RHYTHM.1 / 60.0))
}

/// Why pieces float and what to do, by the counts of the tub test.
///
/// # Errors
/// As [`floaters`] refuses.
pub(crate) fn why_pieces_float(plan: &Plan, sink: &Sink) -> Result<Floaters, Refusal> {
    let tub = &plan.bait_more.tub;
    floaters(&FloatRequest {
        edge_mm: mm(tub_size(plan)),
        excess_kg_per_m3: sink.density_kg_per_m3.mid - sink.water_kg_per_m3,
        water_temperature_c: f64::from(tub.water_tenth_c) / 10.0,
        pieces: count(tub.pieces),
        floated: count(tub.floated),
        came_up_again: count(tub.came_up),
        maybe_frozen: plan.prep.freeze_min > 0,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::presets::presets;

    /// The trade: up to every 15 s with 25 to 30 cubes of 6 mm while fish show shallow, within the tins that are allowed.
    #[test]
    fn the_worked_days_keep_the_trades_rhythm_and_their_tins() {
        for preset in presets() {
            let results = super::super::work_out(&preset.plan, Units::default());
            let amount = results.amount.expect("an amount");
            for feed in preset.plan.feed.iter().filter(|feed| feed.method == plan::Method::Catapult) {
                let (cubes, every_s) = SHALLOW_RHYTHM;
                assert!(f64::from(feed.every_s) >= every_s && feed.cubes <= 30, "{} {cubes}", preset.id);
            }
            let allowed = preset.plan.rules.tins.map_or(u32::MAX, count);
            assert!(amount.tins <= allowed, "{}: {} tins", preset.id, amount.tins);
            let (every_s, lasts_min) = shallow_rhythm(&amount, 240.0).expect("a rhythm");
            assert!(every_s >= 15.0 && lasts_min > 0.0, "{} {every_s} {lasts_min}", preset.id);
            let one = Amount {
                lasts: amount::Lasts { cubes: amount.lasts.cubes / 4, ..amount.lasts },
                ..amount.clone()
            };
            assert!(shallow_rhythm(&one, 240.0).unwrap().0 >= every_s, "fewer tins, slower");
            assert_eq!(shallow_rhythm(&one, 0.0), None);
            let landed = patches(&preset.plan, results.sink.as_ref().unwrap(), None);
            assert_eq!(landed.len(), preset.plan.feed.len());
            for patch in landed {
                let patch = patch.expect("a patch");
                assert!(
                    patch.drift_m.abs() < 3.0 && patch.along_m > 0.0 && patch.reaches_share > 0.9,
                    "{patch:?}"
                );
            }
        }
    }
}
