//! The prep timetable: what is done when, worked back from the all-in.
//!
//! Steps take time and wait for each other. Worked back from the all-in, each gets the latest moment it can start and
//! the moment it is planned for when one person does everything (waiting, such as freezing, needs nobody, but needs
//! somebody to start it). Worked forward from the first moment there is time, each gets its earliest start. The slowest
//! chain is the row of steps, each waiting for the one before, that leaves the least to spare.
//!
//! Times are whole minutes from the all-in, negative before it. The core has no calendar: whoever shows them adds them
//! to the day's civil time. The night is a stretch in which nobody starts anything; it comes again every 24 hours.
//!
//! Model: critical path method (Kelley and Walker 1959); one person by putting the latest step last, then the next.

use crate::refusal::{Refusal, at_most, within};
use serde::{Deserialize, Serialize};

/// One step.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "TimetableStep"))]
#[serde(deny_unknown_fields)]
pub struct Step {
    /// Stable short name, such as `wash`.
    pub id: String,
    /// What is done.
    pub name: String,
    /// How long it takes, minutes (0 to 4320).
    pub minutes: u32,
    /// Ids of the steps that must be done before it.
    #[serde(default)]
    pub after: Vec<String>,
    /// Needs no hands once started (freezing, thawing, draining).
    #[serde(default)]
    pub waiting: bool,
    /// Where in the two days it belongs.
    #[serde(default)]
    pub when: When,
}

/// When a step may be done.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "StepWhen"))]
#[serde(rename_all = "snake_case")]
pub enum When {
    /// Whenever it fits.
    #[default]
    Any,
    /// By the evening before (shops shut, the freezer needs the night).
    DayBefore,
    /// Only in the morning (it would spoil or thaw).
    Morning,
}

/// What [`timetable`] is asked.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct TimetableRequest {
    /// The steps, at most 40, in any order; all are to be done by the all-in.
    pub steps: Vec<Step>,
    /// First moment there is time, minutes from the all-in (-10 080 to -1).
    pub begin_min: i32,
    /// The night begins, minutes from the all-in: bedtime.
    pub night_from_min: i32,
    /// The night ends: getting up.
    pub night_to_min: i32,
}

/// One step with its times, minutes from the all-in.
#[expect(clippy::struct_excessive_bools, reason = "four independent marks beside a step, each shown as such")]
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "PlannedStep"))]
pub struct Planned {
    /// Its id.
    pub id: String,
    /// What is done.
    pub name: String,
    /// How long it takes.
    pub minutes: u32,
    /// Needs no hands once started.
    pub waiting: bool,
    /// Start, when one person does everything as late as it can be.
    pub start_min: i32,
    /// End.
    pub end_min: i32,
    /// Earliest start.
    pub earliest_start_min: i32,
    /// Latest start, with hands enough.
    pub latest_start_min: i32,
    /// Planned in the morning (after the night) and not the day before.
    pub in_the_morning: bool,
    /// It could be done the day before.
    pub may_be_day_before: bool,
    /// It belongs to the slowest chain.
    pub slowest_chain: bool,
}

/// The timetable.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
pub struct Timetable {
    /// The steps in the order of their start.
    pub steps: Vec<Planned>,
    /// The first step's start.
    pub first_start_min: i32,
    /// Getting up early enough for the first step after the night; `None` when nothing waits for the morning.
    pub first_morning_min: Option<i32>,
    /// Ids of the slowest chain, first to last.
    pub slowest_chain: Vec<String>,
    /// Minutes to spare between the first moment there is time and the first start; negative when there is too little.
    pub spare_min: i32,
    /// All fits: there is time for the first step, and no step breaks its own day.
    pub fits: bool,
}

const MAX_STEPS: usize = 40;

/// Works the steps back from the all-in.
///
/// # Errors
/// A number outside its range; more than 40 steps; an id twice, unknown or in a ring; a night that is none. Too little
/// time is an answer (`fits` is false), not an error.
pub fn timetable(request: &TimetableRequest) -> Result<Timetable, Refusal> {
    check(request)?;
    let steps = &request.steps;
    let before = links(steps)?;
    let order = sorted(steps, &before)?;
    let n = steps.len();
    let mut behind: Vec<Vec<usize>> = vec![Vec::new(); n];
    for (i, list) in before.iter().enumerate() {
        for &j in list {
            behind[j].push(i);
        }
    }
    let minutes: Vec<i32> = steps.iter().map(|s| i32::try_from(s.minutes).unwrap_or(i32::MAX / 4)).collect();

    // Forward: the earliest.
    let mut earliest = vec![request.begin_min; n];
    for &i in &order {
        let ready = before[i].iter().map(|&j| earliest[j] + minutes[j]).max().unwrap_or(request.begin_min);
        earliest[i] = first_start(request, &steps[i], minutes[i], ready);
    }
    // Backward: the latest, with hands enough.
    let mut latest = vec![0; n];
    for &i in order.iter().rev() {
        let end = behind[i].iter().map(|&j| latest[j]).min().unwrap_or(0);
        latest[i] = last_start(request, &steps[i], minutes[i], end);
    }
    let planned = one_person(request, &order, &behind, &minutes, &latest);
    let chain = slowest_chain(steps, &before, &behind, &minutes, &latest, &planned);

    // Steps that start together stay in the order in which they wait for each other.
    let mut by_start = order.clone();
    crate::small::sort_by_key(&mut by_start, |&i| planned[i]);
    let out: Vec<Planned> = by_start
        .iter()
        .map(|&i| {
            let step = &steps[i];
            Planned {
                id: step.id.clone(),
                name: step.name.clone(),
                minutes: step.minutes,
                waiting: step.waiting,
                start_min: planned[i],
                end_min: planned[i] + minutes[i],
                earliest_start_min: earliest[i],
                latest_start_min: latest[i],
                in_the_morning: planned[i] >= request.night_to_min,
                may_be_day_before: step.when != When::Morning
                    && earliest[i] + if step.waiting { 0 } else { minutes[i] } <= request.night_from_min,
                slowest_chain: chain.contains(&i),
            }
        })
        .collect();
    let day_kept = (0..n).all(|i| match steps[i].when {
        When::Any => true,
        When::DayBefore => planned[i] + minutes[i] <= request.night_from_min,
        When::Morning => planned[i] >= request.night_to_min,
    });
    let first = planned.iter().copied().min().unwrap_or(0);
    let first_morning_min = out.iter().filter(|p| p.in_the_morning).map(|p| p.start_min).min();
    Ok(Timetable {
        steps: out,
        first_start_min: first,
        first_morning_min,
        slowest_chain: chain.iter().map(|&i| steps[i].id.clone()).collect(),
        spare_min: first - request.begin_min,
        fits: first >= request.begin_min && day_kept,
    })
}

fn check(request: &TimetableRequest) -> Result<(), Refusal> {
    at_most("steps", request.steps.len(), MAX_STEPS, "steps are planned")?;
    for (i, step) in request.steps.iter().enumerate() {
        at_most("steps.after", step.after.len(), MAX_STEPS, "steps are waited for")?;
        within("steps.minutes", "length of a step", step.minutes.into(), (0.0, 4320.0), "min")?;
        if request.steps[..i].iter().any(|other| other.id == step.id) {
            let sentence = format!("Two steps are called {}; give each its own name.", step.id);
            return Err(Refusal::new("same_id", "steps", sentence));
        }
    }
    within("begin_min", "first moment there is time", request.begin_min.into(), (-10_080.0, -1.0), "min")?;
    let night = [
        ("night_from_min", "bedtime", request.night_from_min),
        ("night_to_min", "getting up", request.night_to_min),
    ];
    for (field, name, value) in night {
        within(field, name, value.into(), (-10_080.0, 0.0), "min")?;
    }
    if request.night_from_min > request.night_to_min {
        let sentence = "The night must begin before it ends, and end before the all-in.";
        return Err(Refusal::new("night", "night_from_min", sentence));
    }
    Ok(())
}

/// For each step the places of those before it.
fn links(steps: &[Step]) -> Result<Vec<Vec<usize>>, Refusal> {
    steps
        .iter()
        .map(|step| {
            let find = |after: &String| {
                let unknown = || {
                    let sentence =
                        format!("The step {} waits for {after}, which is not in the list.", step.id);
                    Refusal::new("unknown_step", "steps", sentence)
                };
                steps.iter().position(|other| other.id == *after).ok_or_else(unknown)
            };
            step.after.iter().map(find).collect()
        })
        .collect()
}

/// The steps so that each comes after those it waits for.
fn sorted(steps: &[Step], before: &[Vec<usize>]) -> Result<Vec<usize>, Refusal> {
    let mut order: Vec<usize> = Vec::with_capacity(steps.len());
    while order.len() < steps.len() {
        let ready = |i: &usize| !order.contains(i) && before[*i].iter().all(|j| order.contains(j));
        if let Some(i) = (0..steps.len()).find(ready) {
            order.push(i);
        } else {
            let stuck = (0..steps.len()).find(|i| !order.contains(i)).unwrap_or(0);
            let id = &steps[stuck].id;
            let sentence = format!("The step {id} waits for itself, by way of others; take one of them out.");
            return Err(Refusal::new("ring", "steps", sentence));
        }
    }
    Ok(order)
}

/// Nights that are looked at, this one and those before it; as far back as [`TimetableRequest::begin_min`] may lie.
const NIGHTS: i32 = 8;

/// Whether a step from `start` falls into the night that begins at `from`. Somebody must be up to start it, and, unless
/// it only waits, to the end of it.
fn clashes(step: &Step, minutes: i32, start: i32, from: i32, to: i32) -> bool {
    from < to
        && if step.waiting {
            start > from && start < to
        } else {
            start < to && start.saturating_add(minutes) > from
        }
}

/// The latest start of a step that must end by `end`.
fn last_start(request: &TimetableRequest, step: &Step, minutes: i32, end: i32) -> i32 {
    let end = if step.when == When::DayBefore { end.min(request.night_from_min) } else { end };
    let mut start = end - minutes;
    if step.when == When::Morning {
        return start;
    }
    for ago in 0..NIGHTS {
        let (from, to) = (request.night_from_min - 1440 * ago, request.night_to_min - 1440 * ago);
        if clashes(step, minutes, start, from, to) {
            start = from - if step.waiting { 0 } else { minutes };
        }
    }
    start
}

/// The earliest start of a step that may not start before `ready`.
fn first_start(request: &TimetableRequest, step: &Step, minutes: i32, ready: i32) -> i32 {
    let mut start = if step.when == When::Morning { ready.max(request.night_to_min) } else { ready };
    for ago in (0..NIGHTS).rev() {
        let (from, to) = (request.night_from_min - 1440 * ago, request.night_to_min - 1440 * ago);
        if clashes(step, minutes, start, from, to) {
            start = to;
        }
    }
    start
}

/// Starts when one person does everything as late as it can be: the step that can end last is put last.
fn one_person(
    request: &TimetableRequest,
    order: &[usize],
    behind: &[Vec<usize>],
    minutes: &[i32],
    latest: &[i32],
) -> Vec<i32> {
    let steps = &request.steps;
    let mut planned = vec![0; steps.len()];
    let mut done = vec![false; steps.len()];
    let mut free_until = 0;
    for _ in 0..steps.len() {
        let can = |i: &&usize| !done[**i] && behind[**i].iter().all(|&j| done[j]);
        // Of those whose followers are placed, the one that can end last; ties to the later in the order.
        let Some(&i) = order.iter().filter(can).max_by_key(|&&i| latest[i] + minutes[i]) else { break };
        let mut end = behind[i].iter().map(|&j| planned[j]).min().unwrap_or(0);
        if steps[i].waiting {
            planned[i] = last_start(request, &steps[i], minutes[i], end);
        } else {
            end = end.min(free_until);
            planned[i] = last_start(request, &steps[i], minutes[i], end);
            free_until = planned[i];
        }
        done[i] = true;
    }
    planned
}

/// From the step that starts first along those that leave the least to spare, to the all-in.
fn slowest_chain(
    steps: &[Step],
    before: &[Vec<usize>],
    behind: &[Vec<usize>],
    minutes: &[i32],
    latest: &[i32],
    planned: &[i32],
) -> Vec<usize> {
    let starts = (0..steps.len()).filter(|&i| before[i].is_empty());
    let Some(mut i) = starts.min_by_key(|&i| (latest[i], planned[i])) else { return Vec::new() };
    let mut chain = vec![i];
    // The follower that must start soonest after this one ends is the one that holds it back.
    while let Some(&next) = behind[i].iter().min_by_key(|&&j| latest[j] - (latest[i] + minutes[i])) {
        chain.push(next);
        i = next;
    }
    chain
}
