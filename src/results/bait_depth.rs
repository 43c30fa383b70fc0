//! The bait in depth: timed drops in place of the label, other shapes, floaters, cold bags, rinses, and the
//! preparation for the phone's calendar.
//!
//! This is where the plan's whole numbers become the requests of [`crate::bait`]'s rooms. When a tub test has drops, or
//! every piece in it came up again, what it learned stands in place of the label's band at every depth, size and
//! temperature.

use super::{Alternative, NamedFall, label, mm, sink_request, water_c};
use crate::bait::calendar_file::{CivilMinute, Event, calendar};
use crate::bait::cold::{self, ChillRequest, FreezingTime, FrozenCurve, Surface, frozen_curve};
use crate::bait::floaters::{FloatRequest, Floaters, floaters};
use crate::bait::sink::{Band, FallTime, Matter, Shape, Sink, SinkRequest, Verdict, sink};
use crate::bait::tub_test::{Drop, Target, TubResult, TubTest, tub_test};
use crate::bait::wash::{Wash, WashRequest, wash};
use crate::plan::Plan;
use crate::plan::{Around, Form};
use crate::refusal::Refusal;
use crate::units::{Quantity, Units, date_of};

/// Density of bait without a label: how far it may be off, kg/m3, one standard deviation. Judgement.
const DENSITY_SD: f64 = 15.0;
/// The middle of a bag counts as frozen here, °C: most of the ice that forms at all is there.
const FROZEN_C: f64 = -15.0;
/// Hot and cold water at the tap, °C. Common practice.
pub const TAPS_C: (f64, f64) = (60.0, 10.0);
/// What may be left of the first cloudiness: it looks clear.
const CLEAR: f64 = 0.01;

/// Whether the bait is something else than cubes cut from the tin, so that tins do not count it.
#[must_use]
pub fn is_other(plan: &Plan) -> bool {
    let other = &plan.bait_more.other;
    other.form != Form::Cube || other.density_kg_per_m3.is_some()
}

/// The shape of a piece of this size (tenths of a millimetre) in the plan's form.
fn shape_of(plan: &Plan, size_tenth_mm: i32) -> Shape {
    let (size, second) = (mm(size_tenth_mm), mm(plan.bait_more.other.second_tenth_mm));
    match plan.bait_more.other.form {
        Form::Cube => Shape::Cube { edge_mm: size },
        Form::Sphere => Shape::Sphere { diameter_mm: size },
        Form::Cylinder => Shape::Cylinder { diameter_mm: size, length_mm: second },
        Form::Disc => Shape::Disc { diameter_mm: size, thickness_mm: second },
    }
}

/// The shape of the plan's bait.
#[must_use]
pub fn shape(plan: &Plan) -> Shape {
    shape_of(plan, plan.bait.edge_tenth_mm)
}

/// Edge of a cube of the same volume, mm: what the shot balancer is given.
#[must_use]
pub fn cube_mm(plan: &Plan) -> f64 {
    shape(plan).volume_mm3().cbrt()
}

/// What the plan's bait is made of.
#[must_use]
pub fn matter(plan: &Plan) -> Matter {
    match plan.bait_more.other.density_kg_per_m3 {
        Some(density) => Matter::Density { kg_per_m3: f64::from(density), sd_kg_per_m3: DENSITY_SD },
        None => {
            Matter::Label { label: label(plan), air_share: f64::from(plan.bait.air_tenth_percent) / 1000.0 }
        }
    }
}

/// What the plan's tub test asks, carried to the lake and to `others` besides.
#[must_use]
pub fn tub_request(plan: &Plan, targets: Vec<Target>) -> TubTest {
    let tub = &plan.bait_more.tub;
    let count = |n: i32| u32::try_from(n).unwrap_or(0);
    TubTest {
        matter: matter(plan),
        shape: shape_of(plan, tub.size_tenth_mm.unwrap_or(plan.bait.edge_tenth_mm)),
        tub_depth_m: super::metres(tub.depth_tenth_mm),
        tub_temperature_c: f64::from(tub.water_tenth_c) / 10.0,
        drops: tub
            .drops_ms
            .iter()
            .map(|&ms| Drop { dropped_s: 0.0, landed_s: f64::from(ms) / 1000.0 })
            .collect(),
        pieces: count(tub.pieces),
        light: count(tub.came_up),
        targets,
    }
}

/// How the bait falls.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Fall {
    /// At the lake; the tub test's where there is one.
    pub sink: Option<Sink>,
    /// By the label alone.
    pub by_label: Option<Sink>,
    /// What the drops told; its first target is the lake.
    pub tub: Option<TubResult>,
    /// Other sizes and other water.
    pub alternatives: Vec<Alternative>,
}

/// Works out the fall of the plan's bait to `depths_m` (the first is 18 inches), and what other sizes and water do.
#[must_use]
pub fn fall(plan: &Plan, units: Units, depths_m: &[f64], trouble: &mut Vec<String>) -> Fall {
    let base = sink_request(plan, depths_m.to_vec());
    let mut found = Fall { by_label: super::noted(sink(&base), trouble), ..Fall::default() };
    let first = depths_m.get(..1).unwrap_or(&[]).to_vec();
    let changes = changes(plan, units, &SinkRequest { depths_m: first, ..base.clone() });
    let tub = &plan.bait_more.tub;
    let all_light = tub.pieces > 0 && tub.came_up == tub.pieces;
    if tub.drops_ms.is_empty() && !all_light {
        found.alternatives =
            changes.into_iter().filter_map(|(what, request)| by_label(what, &request)).collect();
        found.sink.clone_from(&found.by_label);
        return found;
    }
    // More air is the label's doubt, which the drops have settled.
    let changes: Vec<(String, SinkRequest)> =
        changes.into_iter().filter(|(_, request)| request.matter == base.matter).collect();
    let target = |r: &SinkRequest| Target {
        shape: r.shape,
        water_temperature_c: r.water_temperature_c,
        depths_m: r.depths_m.clone(),
    };
    let mut targets = vec![target(&base)];
    targets.extend(changes.iter().map(|(_, request)| target(request)));
    let test = tub_request(plan, targets);
    found.tub = super::noted(tub_test(&test), trouble);
    let (Some(tub), Some(by_label)) = (&found.tub, &found.by_label) else {
        found.sink.clone_from(&found.by_label);
        return found;
    };
    found.sink = Some(measured(&test, tub, by_label));
    for ((what, _), there) in changes.into_iter().zip(tub.targets.iter().skip(1)) {
        let eighteen_inches_s = there.falls.first().and_then(|f| f.mid_s);
        found.alternatives.push(Alternative { what, speed_m_per_s: there.speed_m_per_s, eighteen_inches_s });
    }
    found
}

fn by_label(what: String, request: &SinkRequest) -> Option<Alternative> {
    let answer = sink(request).ok()?;
    let eighteen_inches_s = answer.falls.first().and_then(|f| f.mid_s);
    Some(Alternative { what, speed_m_per_s: answer.speed_m_per_s, eighteen_inches_s })
}

/// The label's answer with what the drops learned in its place.
fn measured(test: &TubTest, tub: &TubResult, by_label: &Sink) -> Sink {
    let mut sink_now = by_label.clone();
    // From the tub's water to the lake's the excess moves as the label's does.
    let there = sink(&SinkRequest {
        matter: test.matter,
        shape: test.shape,
        water_temperature_c: test.tub_temperature_c,
        depths_m: Vec::new(),
    });
    let shift = there.map_or(0.0, |t| {
        by_label.density_kg_per_m3.mid - by_label.water_kg_per_m3 - t.density_kg_per_m3.mid
            + t.water_kg_per_m3
    });
    // By how much pieces that all came up are lighter is not known; no water here makes them heavier.
    let afloat = tub.tub_time_s.is_none();
    let shift = if afloat { shift.min(0.0) } else { shift };
    if afloat {
        sink_now.start_lag_s = 0.0;
    }
    let to_density = |excess: f64| by_label.water_kg_per_m3 + excess + shift;
    let excess = tub.excess_kg_per_m3;
    let density =
        Band { low: to_density(excess.low), mid: to_density(excess.mid), high: to_density(excess.high) };
    sink_now.mass_g *= density.mid / by_label.density_kg_per_m3.mid;
    sink_now.verdict = if density.mid <= by_label.water_kg_per_m3 {
        Verdict::Floats
    } else if density.low <= by_label.water_kg_per_m3 {
        Verdict::MaySink
    } else {
        Verdict::Sinks
    };
    sink_now.density_kg_per_m3 = density;
    if let Some(lake) = tub.targets.first() {
        sink_now.speed_m_per_s = lake.speed_m_per_s;
        sink_now.falls.clone_from(&lake.falls);
    }
    sink_now
}

/// Other sizes, other water, more air: one change at a time.
fn changes(plan: &Plan, units: Units, base: &SinkRequest) -> Vec<(String, SinkRequest)> {
    let mut requests = Vec::new();
    if plan.bait_more.other.form == Form::Cube {
        for edge in [40, 60, 80, 100] {
            if edge != plan.bait.edge_tenth_mm {
                let what = ["A ", &units.text(edge, Quantity::Size), " cube"].concat();
                requests.push((what, SinkRequest { shape: shape_of(plan, edge), ..base.clone() }));
            }
        }
    }
    for other in [50, 200] {
        let water_temperature_c = f64::from(other) / 10.0;
        if (water_temperature_c - base.water_temperature_c).abs() > 2.0 {
            let what = ["Water at ", &units.text(other, Quantity::Temperature)].concat();
            requests.push((what, SinkRequest { water_temperature_c, ..base.clone() }));
        }
    }
    if let Matter::Label { label, air_share } = &base.matter {
        let more = Matter::Label { label: *label, air_share: air_share + 0.01 };
        requests.push(("1 % more air in the meat".to_owned(), SinkRequest { matter: more, ..base.clone() }));
    }
    requests
}

/// Puts times from a sinking answer beside the depths that matter.
pub(super) fn put_times(falls: &mut [NamedFall], times: &[FallTime]) {
    for (fall, time) in falls.iter_mut().zip(times) {
        fall.time_s = match (time.low_s, time.mid_s) {
            (Some(low), Some(mid)) => Some(Band { low, mid, high: time.high_s.unwrap_or(f64::INFINITY) }),
            _ => None,
        };
    }
}

/// Why pieces float and what to do, by the counts of the tub test.
///
/// # Errors
/// As [`floaters`] refuses.
pub fn floaters_of(plan: &Plan, sink: &Sink) -> Result<Floaters, Refusal> {
    let tub = &plan.bait_more.tub;
    let count = |n: i32| u32::try_from(n).unwrap_or(0);
    floaters(&FloatRequest {
        edge_mm: mm(tub.size_tenth_mm.unwrap_or(plan.bait.edge_tenth_mm)),
        excess_kg_per_m3: sink.density_kg_per_m3.mid - sink.water_kg_per_m3,
        water_temperature_c: f64::from(tub.water_tenth_c) / 10.0,
        pieces: count(tub.pieces),
        floated: count(tub.floated),
        came_up_again: count(tub.came_up),
        maybe_frozen: plan.prep.freeze_min > 0,
    })
}

fn surface(around: Around) -> Surface {
    match around {
        Around::StillAir => Surface::StillAir,
        Around::Fan => Surface::Fan,
        Around::OnMetal => Surface::OnMetal,
        Around::StillWater => Surface::StillWater,
        Around::RunningWater => Surface::RunningWater,
    }
}

fn chill(
    plan: &Plan,
    start: i32,
    medium: i32,
    until_c: f64,
    around: Around,
) -> Result<FreezingTime, Refusal> {
    cold::change(&ChillRequest {
        label: label(plan),
        thickness_mm: mm(plan.bait_more.cold.bag_tenth_mm),
        start_c: f64::from(start) / 10.0,
        medium_c: f64::from(medium) / 10.0,
        until_c,
        surface: surface(around),
    })
}

/// How frozen cubes of this plan sink.
///
/// # Errors
/// As [`frozen_curve`] refuses.
pub fn frozen(plan: &Plan) -> Result<FrozenCurve, Refusal> {
    let air = f64::from(plan.bait.air_tenth_percent) / 1000.0;
    frozen_curve(&label(plan), air, shape(plan), water_c(plan))
}

/// How long a bag of this plan takes to freeze.
///
/// # Errors
/// As [`cold::change`] refuses.
pub fn freezing(plan: &Plan) -> Result<FreezingTime, Refusal> {
    let cold = &plan.bait_more.cold;
    // A freezer that is itself warmer than "frozen" freezes to within a degree of its own temperature.
    let until = FROZEN_C.max(f64::from(cold.freezer_tenth_c) / 10.0 + 1.0);
    chill(plan, cold.start_tenth_c, cold.freezer_tenth_c, until, cold.freeze_in)
}

/// How long a bag of this plan takes to thaw, until its middle has no ice left.
///
/// # Errors
/// As [`cold::change`] refuses.
pub fn thawing(plan: &Plan) -> Result<FreezingTime, Refusal> {
    let cold = &plan.bait_more.cold;
    chill(plan, cold.freezer_tenth_c, cold.thaw_tenth_c, 0.0, cold.thaw_in)
}

/// Whole quarters of an hour that are long enough for the slow side of the band, minutes; within what a step may last.
#[must_use]
pub fn proposed_min(chill: &FreezingTime) -> i32 {
    let quarters = crate::units::between((chill.minutes.high / 15.0).ceil(), 1.0, 192.0);
    #[expect(clippy::cast_possible_truncation, reason = "held between 1 and 192")]
    let quarters = quarters as i32;
    quarters * 15
}

/// The plan's rinses.
///
/// # Errors
/// As [`wash`] refuses.
pub fn rinses(plan: &Plan) -> Result<Wash, Refusal> {
    let rinse = &plan.bait_more.rinse;
    wash(&WashRequest {
        kept_ml: f64::from(rinse.kept_ml),
        added_ml: f64::from(rinse.added_ml),
        left_share: CLEAR,
        water_c: f64::from(rinse.water_tenth_c) / 10.0,
        hot_c: TAPS_C.0,
        cold_c: TAPS_C.1,
    })
}

/// A minute of the civil calendar, so many minutes after the midnight that begins `days` (since 1 January 1970).
fn civil(days: i32, minutes: i32) -> CivilMinute {
    let (year, month, day) = date_of(days.saturating_add(minutes.div_euclid(1440)));
    let clock = minutes.rem_euclid(1440);
    let small = |n: i32| u8::try_from(n).unwrap_or(0);
    CivilMinute {
        year: u16::try_from(year).unwrap_or(0),
        month: small(month),
        day: small(day),
        hour: small(clock / 60),
        minute: small(clock % 60),
    }
}

/// The moment `now_ms` (milliseconds since 1970, UTC) as a minute of the calendar.
#[must_use]
pub fn civil_now(now_ms: f64) -> CivilMinute {
    let minutes = crate::units::between((now_ms / 60_000.0).floor(), 0.0, 4e9);
    #[expect(
        clippy::cast_possible_truncation,
        reason = "held between 0 and 4e9, which fits after the division"
    )]
    let (days, minute) = ((minutes / 1440.0).floor() as i32, (minutes % 1440.0) as i32);
    civil(days, minute)
}

/// The preparation as a calendar file: floating local time, an alarm before each step that needs hands. `now_ms` is
/// the moment of writing.
///
/// # Errors
/// As [`calendar`] refuses.
pub fn calendar_file(plan: &Plan, day: &super::Day, now_ms: f64) -> Result<String, Refusal> {
    let date = plan.day.date.0;
    let mut events = Vec::new();
    let mut put = |id: &str, start: i32, end: i32, name: &str, how: &str, alarm| {
        let (year, month, of) = date_of(date);
        events.push(Event {
            uid: [
                "prep-",
                id,
                "-",
                &year.to_string(),
                "-",
                &month.to_string(),
                "-",
                &of.to_string(),
                "@dotdown",
            ]
            .concat(),
            start: civil(date, start),
            minutes: u32::try_from(end.saturating_sub(start)).unwrap_or(0).clamp(1, 10_080),
            summary: name.to_owned(),
            description: how.to_owned(),
            alarm_min_before: alarm,
        });
    };
    for step in &day.prep {
        // What only waits is started in a moment; the calendar holds that moment, not the hours of the night.
        let end = if step.waits { step.start_min + 5 } else { step.end_min };
        put(
            step.id,
            step.start_min,
            end,
            step.name,
            step.how,
            Some(if step.id == "leave" { 30 } else { 10 }),
        );
    }
    let all_in = plan.day.all_in_min;
    put("all-in", all_in, all_in + 1, "All-in", &plan.water.venue, Some(10));
    calendar(&plan.name, civil_now(now_ms), &events)
}

/// Why an answer is not there, as a sentence, or the answer.
///
/// # Errors
/// The refusal's sentence.
pub fn told<T>(answer: Result<T, Refusal>) -> Result<T, String> {
    answer.map_err(|e| e.to_string())
}
