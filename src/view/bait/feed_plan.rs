//! The feed plan: a bar over the match, its phases as rows, tins of those allowed.

use crate::page::Page;
use crate::plan::Feeding;
use crate::results::requests::{is_other, line_name};
use crate::units::{between, clock_words};
use crate::view::parts::column::px;
use crate::view::parts::field::{add, number, pick, place, remove};
use maud::{Markup, html};

/// Left and right end of the bar in its drawing.
const ENDS: (f64, f64) = (4.0, 356.0);

fn x(page: &Page, minute: i32) -> f64 {
    ENDS.0 + (ENDS.1 - ENDS.0) * between(f64::from(minute) / f64::from(page.plan.day.span_min()), 0.0, 1.0)
}

/// Cubes a minute.
fn rate(phase: &Feeding) -> f64 {
    f64::from(phase.cubes) * 60.0 / f64::from(phase.every_s.max(1))
}

/// The whole match as a bar: its area is bait, its height cubes a minute.
pub(super) fn bar(page: &Page) -> Markup {
    let plan = &page.plan;
    let most = plan.feed.iter().map(rate).fold(1.0, f64::max);
    let clock = |minute: i32| clock_words(plan.day.all_in_min.saturating_add(minute));
    let told: Vec<String> = plan
        .feed
        .iter()
        .map(|phase| {
            [
                line_name(plan, phase.line),
                " ",
                &clock(phase.start_min),
                " to ",
                &clock(phase.start_min + phase.minutes),
                ", ",
                &phase.cubes.to_string(),
                " every ",
                &phase.every_s.to_string(),
                " s",
            ]
            .concat()
        })
        .collect();
    // A phase's words stand over its own part, where they fit.
    let words =
        |phase: &Feeding| [&phase.cubes.to_string(), " every ", &phase.every_s.to_string(), " s"].concat();
    let mut ends: Vec<i32> = Vec::new();
    for phase in &plan.feed {
        for minute in [phase.start_min, phase.start_min.saturating_add(phase.minutes)] {
            if ends.iter().all(|other| (x(page, *other) - x(page, minute)).abs() > 44.0) {
                ends.push(minute);
            }
        }
    }
    html! {
        svg class="scene bar" data-drawing="feed" viewBox="0 0 360 96" role="img" aria-label={ "Feed over the match: " (told.join("; ")) "." } {
            @for phase in &plan.feed {
                @let (from, to) = (x(page, phase.start_min), x(page, phase.start_min + phase.minutes));
                @let high = 58.0 * rate(phase) / most;
                // Inside where the area is high enough, else above it.
                @let words_y = if high > 38.0 { 72.0 - high + 16.0 } else { 72.0 - high - 22.0 };
                rect class="feed-area" x=(px(from)) y=(px(72.0 - high)) width=(px((to - from).max(1.0))) height=(px(high)) {}
                line class="feed-top" x1=(px(from)) y1=(px(72.0 - high)) x2=(px(to)) y2=(px(72.0 - high)) {}
                @if to - from > 76.0 {
                    text class="value" x=(px(from + 4.0)) y=(px(words_y)) { (line_name(plan, phase.line).chars().take(10).collect::<String>()) }
                    text x=(px(from + 4.0)) y=(px(words_y + 16.0)) { (words(phase)) }
                }
            }
            line class="axis" x1=(px(ENDS.0)) y1="72" x2=(px(ENDS.1)) y2="72" {}
            @for minute in ends {
                @let at = x(page, minute);
                text x=(px(at)) y="90" text-anchor=(if at < 30.0 { "start" } else if at > 330.0 { "end" } else { "middle" }) { (clock(minute)) }
            }
        }
    }
}

/// Tins against what is allowed, with the button that fits them; then the bar.
pub(super) fn answers(page: &Page) -> Markup {
    let (plan, units) = (&page.plan, page.choices.units);
    let Some(amount) = &page.results.amount else { return html! {} };
    let fit = page
        .results
        .warnings
        .iter()
        .enumerate()
        .find(|(_, w)| matches!(w.code, "tin_limit" | "hand_limit") && w.mend.is_some());
    let over = plan.rules.tins.is_some_and(|most| i64::from(amount.tins) > i64::from(most));
    let exact = f64::from(amount.total_cubes) / f64::from(amount.cubes_per_tin.max(1));
    html! {
        div class=(if over { "strip-line over" } else { "strip-line" }) {
            @if is_other(plan) {
                p { strong data-result="feed.tins" { (units.number(amount.total_g / 1000.0, 2)) " kg" } " of bait" }
            } @else {
                p { strong data-result="feed.tins" { (units.number(exact, 1)) } " tins" @match plan.rules.tins { Some(most) => { " of " (most) " allowed" }, None => "" } }
                (blocks(amount.tins, plan.rules.tins))
            }
        }
        @if let Some((place, warning)) = fit {
            @if let Some(mend) = &warning.mend {
                p class="fit" { button type="button" class="main" id="fit" data-act={ "mend:" (place) } { (mend.button) } span class="words" { (mend.change) } }
            }
        }
        (bar(page))
    }
}

/// The tins as blocks; those that are too many in the warning's colour and hollow.
fn blocks(tins: u32, most: Option<i32>) -> Markup {
    let allowed = most.and_then(|most| u32::try_from(most).ok()).unwrap_or(u32::MAX);
    html! {
        svg class="blocks" viewBox={ "0 0 " (tins.min(14) * 11) " 16" } width=(tins.min(14) * 11) height="16" aria-hidden="true" {
            @for i in 0..tins.min(14) { rect class=(if i < allowed { "in" } else { "out" }) x=(i * 11 + 1) y="1" width="8" height="14" rx="1.5" {} }
        }
    }
}

pub(super) fn inputs(page: &Page) -> Markup {
    let plan = &page.plan;
    let clock = |minute: i32| clock_words(plan.day.all_in_min.saturating_add(minute));
    html! {
        @for (i, phase) in plan.feed.iter().enumerate() {
            @let path = |tail: &str| ["feed.", &i.to_string(), tail].concat();
            fieldset class="phase" {
                legend { (line_name(plan, phase.line)) " " span class="soft" { (clock(phase.start_min)) " to " (clock(phase.start_min + phase.minutes)) } }
                (number(page, &path(".cubes"), Some(phase.cubes)))
                (number(page, &path(".every"), Some(phase.every_s)))
                details class="fold" data-keep={ "phase-" (i) } {
                    summary { "Line, way, times" }
                    (place(&path(".line"), plan.lines.iter().map(|l| l.name.as_str()), phase.line, "Line"))
                    (pick(&path(".method"), &phase.method, "How"))
                    (number(page, &path(".start"), Some(phase.start_min)))
                    (number(page, &path(".minutes"), Some(phase.minutes)))
                    @if plan.feed.len() > 1 { (remove("feed", i, "Delete this phase")) }
                }
            }
        }
        (add("feed", "Add a phase"))
        (number(page, "water.drift", Some(plan.water.drift_mm_per_s)))
        (number(page, "water.undertow", Some(plan.water.undertow_mm_per_s)))
    }
}
