//! The day in five lines: where to start, how much bait, when to prepare it, when to leave, which rules are broken.

use super::bait::floats;
use super::order::Turn;
use super::prep::{PrepStep, moment};
use super::requests::{is_other, line_name};
use super::warnings::Warning;
use super::weather::Point;
use crate::bait::amount::Amount;
use crate::bait::sink::Sink;
use crate::plan::{Plan, Start};
use crate::units::{Quantity, Units, clock_words, day_words, duration_words, fixed};
use serde::Serialize;

/// One of the five.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
pub struct Headline {
    /// What it answers.
    pub title: &'static str,
    /// The answer.
    pub main: String,
    /// What stands beside it.
    pub aside: String,
    /// Why.
    pub reason: String,
}

/// Date and times in words.
pub(super) fn when(plan: &Plan) -> String {
    let day = &plan.day;
    let (from, to) = (clock_words(day.all_in_min), clock_words(day.all_out_min));
    format!("{}, {from} to {to}", day_words(day.date.0))
}

pub(super) fn start(plan: &Plan, order: &[Turn], points: &[Point], shallow: bool, units: Units) -> Headline {
    let first = order.first().and_then(|turn| plan.rigs.get(turn.rig));
    let main = first.map_or_else(String::new, |rig| {
        let depth = units.text(rig.depth_tenth_mm, Quantity::Depth);
        format!("Rig {}, {depth}, {}", rig.name, line_name(plan, rig.line))
    });
    let words: Vec<&str> = points.iter().filter(|p| p.points != 0).map(|p| p.what).collect();
    let verdict = match (plan.weather.start, shallow) {
        (Start::ByThePoints, true) => "fish likely up in the water. Bottom rig ready beside it.",
        (Start::ByThePoints, false) => "fish likely on the bottom. A shallow rig ready beside it.",
        (_, true) => "shallow because you chose so. Bottom rig ready beside it.",
        (_, false) => "the bottom because you chose so. A shallow rig ready beside it.",
    };
    let mut reason = words.join(", ");
    if let Some(first) = reason.get_mut(..1) {
        first.make_ascii_uppercase();
        reason.push_str(": ");
    }
    reason.push_str(verdict);
    Headline { title: "Start on", main, aside: String::new(), reason }
}

pub(super) fn bait(
    plan: &Plan,
    sink: Option<&Sink>,
    amount: Option<&Amount>,
    trouble: &[String],
    units: Units,
) -> Headline {
    let line = |main, aside, reason| Headline { title: "Bait", main, aside, reason };
    let Some(amount) = amount else {
        return line("Not worked out".to_owned(), String::new(), trouble.join(" "));
    };
    let (pieces, kg) = (amount.total_cubes, amount.total_g / 1000.0);
    let floats = if floats(sink) { "It floats, being lighter than water. " } else { "" };
    if is_other(plan) {
        let reason = format!("{floats}Not cut from the tin: counted by weight.");
        return line(format!("{} kg", units.number(kg, 2)), format!("{pieces} pieces"), reason);
    }
    let tins = format!("{} tin{}", amount.tins, if amount.tins == 1 { "" } else { "s" });
    let allowed =
        plan.rules.tins.map_or_else(|| "no limit entered".to_owned(), |most| format!("of {most} allowed"));
    let edge = units.text(plan.bait.edge_tenth_mm, Quantity::Size);
    let fed = duration_words(plan.feed.iter().map(|p| p.minutes).sum());
    let reason = format!("{floats}{edge} cubes, {pieces} in all, {} kg, fed over {fed}.", fixed(kg, 2));
    line(tins, allowed, units.prose(&reason))
}

pub(super) fn prep(plan: &Plan, prep: &[PrepStep]) -> Headline {
    let find = |id: &str| prep.iter().find(|step| step.id == id);
    let start = |step: &PrepStep| moment(plan, step.start_min);
    let end = |step: &PrepStep| moment(plan, step.end_min);
    let mut reason = Vec::new();
    if let Some(buy) = find("buy") {
        reason.push(format!("Buy by {}.", end(buy)));
    }
    if let (Some(freeze), Some(thaw)) = (find("freeze"), find("thaw")) {
        reason.push(format!("Bags frozen by {}, out at {}.", end(freeze), start(thaw)));
    } else if let Some(bag) = find("bag") {
        reason.push(format!("Bagged by {}, used fresh.", end(bag)));
    }
    Headline {
        title: "Prep",
        main: find("cut").map(start).unwrap_or_default(),
        aside: if plan.bait.washed { "cut and wash" } else { "cut" }.to_owned(),
        reason: reason.join(" "),
    }
}

pub(super) fn leave(plan: &Plan) -> Headline {
    let day = &plan.day;
    let (all_in, setup) = (clock_words(day.all_in_min), duration_words(day.setup_min));
    Headline {
        title: "Leave",
        main: moment(plan, day.draw_min - day.travel_min),
        aside: format!("for a {} draw", clock_words(day.draw_min)),
        reason: format!("All-in at {all_in}, {setup} to set up."),
    }
}

pub(super) fn rules(warnings: &[Warning]) -> Headline {
    let broken: Vec<&str> = warnings.iter().filter(|w| w.rule).map(|w| w.sentence.as_str()).collect();
    let main = match broken.len() {
        0 => "None broken".to_owned(),
        1 => "One broken".to_owned(),
        n => format!("{n} broken"),
    };
    let aside = match warnings.len() - broken.len() {
        0 => String::new(),
        1 => "one thing to look at".to_owned(),
        n => format!("{n} things to look at"),
    };
    let reason = if broken.is_empty() {
        "As far as the rules are entered. The venue’s own board has the last word.".to_owned()
    } else {
        broken.into_iter().take(3).collect::<Vec<_>>().join(" ")
    };
    Headline { title: "Rules", main, aside, reason }
}
