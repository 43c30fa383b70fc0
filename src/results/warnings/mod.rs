//! Warnings: what a plan may hold but its owner would want to know, and what a tap would do about it. Errors are refused
//! at the field instead.

mod rigs;

use super::bait::fitted;
use super::cold;
use super::prep::{PrepStep, moment};
use super::rigs::RigResult;
use crate::bait::amount::Amount;
use crate::bait::sink::Sink;
use crate::plan::fields::list_of;
use crate::plan::{Feeding, Plan, Rig};
use crate::session::words::counted;
use crate::units::{Quantity, Units, clock_words, duration_words};
use rigs::{of_balance, of_rig, of_shot};
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
    /// What mends it by a tap; nothing where only its owner can know.
    pub mend: Option<Mend>,
}

/// What a tap changes so that the plan can work.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
pub struct Mend {
    /// The button.
    pub button: String,
    /// What it changes: `7 ft → 5 ft 6`.
    pub change: String,
    /// How.
    #[serde(skip)]
    pub how: How,
}

/// How a plan is mended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum How {
    /// Numbers and flags by the paths of their fields.
    Set(Vec<(String, i32)>),
    /// A rig is deleted, by its place.
    DeleteRig(usize),
    /// A rig is made for a line, by its place.
    AddRig(usize),
}

impl Default for How {
    fn default() -> Self {
        Self::Set(Vec::new())
    }
}

/// What warnings are made of, besides the plan.
pub(super) struct Found<'a> {
    pub(super) sink: Option<&'a Sink>,
    pub(super) amount: Option<&'a Amount>,
    pub(super) rigs: &'a [RigResult],
    pub(super) prep: &'a [PrepStep],
}

/// What was found so far.
struct Warnings {
    list: Vec<Warning>,
    units: Units,
}

impl Warnings {
    /// Something that breaks a rule.
    fn broken(&mut self, code: &'static str, field: impl Into<String>, sentence: String) {
        self.list.push(Warning { code, field: field.into(), sentence, rule: true, mend: None });
    }

    /// Something to look at.
    fn doubt(&mut self, code: &'static str, field: impl Into<String>, sentence: impl Into<String>) {
        self.list.push(Warning {
            code,
            field: field.into(),
            sentence: sentence.into(),
            rule: false,
            mend: None,
        });
    }

    /// What mends the last one.
    fn mend(&mut self, button: impl Into<String>, change: impl Into<String>, how: How) {
        if let Some(last) = self.list.last_mut() {
            last.mend = Some(Mend { button: button.into(), change: change.into(), how });
        }
    }

    /// One number mends the last one.
    fn set(&mut self, path: &str, from: &str, to: i32, kind: Quantity) {
        let to_words = self.units.text(to, kind);
        let change = if from.is_empty() { String::new() } else { format!("{from} → {to_words}") };
        self.mend(format!("Set to {to_words}"), change, How::Set(vec![(path.to_owned(), to)]));
    }
}

/// Everything that the plan's owner would want to know: of the plan in the order of the screens, then of the amounts.
pub(super) fn warnings(plan: &Plan, parts: &Found<'_>, units: Units) -> Vec<Warning> {
    let mut found = Warnings { list: Vec::new(), units };
    of_times(plan, &mut found);
    of_lines(plan, &mut found);
    of_shot(plan, &mut found);
    for (i, rig) in plan.rigs.iter().enumerate() {
        of_rig(plan, rig, i, &mut found);
        of_balance(plan, parts, i, &mut found);
    }
    of_kit(plan, &mut found);
    for refused in [plan.tin.check_energy(), plan.tin.check_block()].into_iter().filter_map(Result::err) {
        found.doubt(refused.code(), refused.field().to_owned(), refused.to_string());
    }
    if let Some(amount) = parts.amount {
        of_amount(plan, amount, &mut found);
    }
    of_prep(plan, parts.prep, &mut found);
    found.list
}

fn of_times(plan: &Plan, found: &mut Warnings) {
    let day = &plan.day;
    if day.draw_min + day.setup_min > day.all_in_min {
        let late = day.draw_min > day.all_in_min;
        let (code, sentence) = if late {
            ("draw_late", "The draw is after the all-in.")
        } else {
            ("short_setup", "Set-up ends after the all-in.")
        };
        found.doubt(code, "day.draw", sentence);
        let draw = day.all_in_min - day.setup_min;
        if draw >= 0 {
            let change = format!("draw {} → {}", clock_words(day.draw_min), clock_words(draw));
            let button = format!("Draw at {}", clock_words(draw));
            found.mend(button, change, How::Set(vec![("day.draw".to_owned(), draw)]));
        } else {
            let setup = day.all_in_min / 2;
            let change = format!("set-up {} → {}", duration_words(day.setup_min), duration_words(setup));
            let edits =
                vec![("day.setup".to_owned(), setup), ("day.draw".to_owned(), day.all_in_min - setup)];
            found.mend("Shorten set-up", change, How::Set(edits));
        }
    }
    for (i, phase) in plan.feed.iter().enumerate() {
        let over = phase.start_min + phase.minutes - plan.day.span_min();
        if over <= 0 {
            continue;
        }
        found.doubt("late_feed", format!("feed.{i}.minutes"), "A feed phase goes on after the all-out.");
        let left = phase.minutes - over;
        let (path, to) = if left >= 1 {
            ("minutes", left)
        } else {
            ("start", (plan.day.span_min() - phase.minutes).max(0))
        };
        let mut edits = vec![(format!("feed.{i}.{path}"), to)];
        if path == "start" && phase.minutes > plan.day.span_min() {
            edits.push((format!("feed.{i}.minutes"), plan.day.span_min()));
        }
        let change = format!("{} too long", duration_words(over));
        found.mend("End at the all-out", change, How::Set(edits));
    }
}

/// Lines that are fed and have no rig.
fn of_lines(plan: &Plan, found: &mut Warnings) {
    for (i, line) in plan.lines.iter().enumerate() {
        let here = |place: i32| usize::try_from(place) == Ok(i);
        let fed = plan.feed.iter().position(|phase| here(phase.line));
        let Some(phase) = fed.filter(|_| !plan.rigs.iter().any(|rig| here(rig.line))) else { continue };
        let name = if line.name.is_empty() { "A line" } else { &line.name };
        found.doubt("no_rig", format!("feed.{phase}.line"), format!("{name} is fed, and no rig fishes it."));
        if list_of("rigs").is_some_and(|(_, most)| plan.rigs.len() < most) && !plan.rigs.is_empty() {
            let change = format!("a new rig, {}", found.units.text(line.depth_tenth_mm, Quantity::Depth));
            found.mend("Add a rig", change, How::AddRig(i));
        } else {
            let other = plan.rigs.first().map_or(0, |rig| rig.line);
            let edits = plan.feed.iter().enumerate().filter(|(_, phase)| here(phase.line));
            let edits = edits.map(|(j, _)| (format!("feed.{j}.line"), other)).collect();
            found.mend("Feed another line", "where a rig is", How::Set(edits));
        }
    }
}

/// The depth of the line that a rig fishes.
pub(crate) fn depth_of_line(plan: &Plan, rig: &Rig) -> i32 {
    let line = usize::try_from(rig.line).ok().and_then(|line| plan.lines.get(line));
    line.map_or(plan.water.depth_tenth_mm, |line| line.depth_tenth_mm)
}

/// More nets than the venue allows.
fn of_kit(plan: &Plan, found: &mut Warnings) {
    let carried = plan.kit_counts.iter().position(|count| count.id == "keepnets");
    let Some((place, most)) = carried.zip(plan.rules.nets) else { return };
    let mine = plan.kit_counts[place].count;
    if mine > most {
        let path = format!("kit_counts.{place}.count");
        found.broken(
            "net_rule",
            path.clone(),
            format!("{mine} keepnets are packed, and the venue allows {most}."),
        );
        found.mend(format!("Pack {most}"), format!("{mine} → {most}"), How::Set(vec![(path, most)]));
    }
}

fn of_amount(plan: &Plan, amount: &Amount, found: &mut Warnings) {
    let need = amount.tins;
    let over = |limit: &i32| i64::from(need) > i64::from(*limit);
    let hand = Some(plan.bait.tins_in_hand).filter(|tins| *tins > 0);
    let limit = plan.rules.tins.filter(over);
    if let Some(limit) = limit {
        found.broken("tin_limit", "rules.tins", format!("{need} tins of {limit} allowed."));
        fit(plan, amount, limit, found);
    }
    if let Some(hand) = hand.filter(over).filter(|hand| limit.is_none_or(|limit| *hand < limit)) {
        found.doubt("hand_limit", "bait.tins", format!("{need} tins of {hand} in hand."));
        fit(plan, amount, hand, found);
    }
    if amount.block_mismatch {
        let sentence = "The block’s size and the net mass do not fit together. Measure the block again.";
        found.doubt("block", "tin.net", sentence);
    }
    for (i, counted) in amount.phases.iter().enumerate() {
        if counted.too_fast {
            found.doubt(
                "fast_feed",
                format!("feed.{i}.every"),
                "This rhythm is hard to keep up this way for long.",
            );
        }
    }
}

/// Fewer cubes, and longer pauses where that is not enough, so that the tins last.
fn fit(plan: &Plan, amount: &Amount, tins: i32, found: &mut Warnings) {
    let Some(feed) = fitted(plan, amount, tins) else { return };
    let mut edits = Vec::new();
    let mut change = String::new();
    for (path, of, before, after) in [
        ("cubes", (|phase| phase.cubes) as fn(&Feeding) -> i32, "", " cubes"),
        ("every", |phase| phase.every_s, "every ", " s"),
    ] {
        let phases = plan.feed.iter().zip(&feed).enumerate().map(|(i, (phase, to))| (i, of(phase), of(to)));
        let changed: Vec<_> = phases.filter(|(_, from, to)| from != to).collect();
        let words: Vec<String> = changed.iter().map(|(_, from, to)| format!("{from} → {to}")).collect();
        if !words.is_empty() {
            let and = if change.is_empty() { "" } else { ", " };
            change.push_str(&[and, before, &words.join(", "), after].concat());
        }
        edits.extend(changed.into_iter().map(|(i, _, to)| (format!("feed.{i}.{path}"), to)));
    }
    let tins = counted(u32::try_from(tins).unwrap_or(0), "tin", "tins");
    found.mend(format!("Fit to {tins}"), change, How::Set(edits));
}

/// Steps that are shorter than they need, and what is not done when the angler leaves.
fn of_prep(plan: &Plan, prep: &[PrepStep], found: &mut Warnings) {
    if plan.prep.freeze_min > 0 && plan.bait_more.other.density_kg_per_m3.is_none() {
        for (what, path, mine, chill) in [
            ("Freezing", "prep.freeze", plan.prep.freeze_min, cold::freezing(plan)),
            ("Thawing", "prep.thaw", plan.prep.thaw_min, cold::thawing(plan)),
        ] {
            let Some(chill) = chill.ok().filter(|chill| f64::from(mine) < chill.minutes.mid) else {
                continue;
            };
            found.doubt("short_step", path, format!("{what} is given {}: too short.", duration_words(mine)));
            let to = cold::proposed_min(&chill);
            let (from, to_words) = (duration_words(mine), duration_words(to));
            found.mend(
                format!("Give it {to_words}"),
                format!("{from} → {to_words}"),
                How::Set(vec![(path.to_owned(), to)]),
            );
        }
    }
    let leave = prep.iter().find(|step| step.id == "leave").map(|step| step.start_min);
    let late = prep.iter().find(|step| !step.waits && step.id != "leave" && Some(step.end_min) > leave);
    if let (Some(late), Some(leave)) = (late, leave) {
        let sentence = format!("{} ends {}, after you leave.", late.name, moment(plan, late.end_min));
        found.doubt("late_prep", late.field.unwrap_or("prep.pack"), sentence);
        let over = late.end_min - leave;
        if let Some(field) = late.field {
            let minutes = (late.end_min - late.start_min - over).max(0);
            found.mend("Shorten it", duration_words(over), How::Set(vec![(field.to_owned(), minutes)]));
        }
    }
}
