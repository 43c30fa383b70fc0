//! How much bait the day takes, when it goes in, and how long tins last.

use crate::bait::patch::Patch;
use crate::page::Page;
use crate::plan::Choice;
use crate::results::bait::{patches, shallow_rhythm};
use crate::results::requests::is_other;
use crate::units::{LengthUnits, Units, clock_words, duration_words};
use crate::view::parts::column::px;
use crate::view::parts::why::why;
use crate::view::parts::words::{big, warning_list, whole};
use maud::{Markup, html};

pub(super) fn how_much(page: &Page) -> Markup {
    let (plan, units) = (&page.plan, page.choices.units);
    let Some(amount) = &page.results.amount else { return html! {} };
    let share = amount.limit_share.map(|s| units.number(s * 100.0, 0));
    let lasts = &amount.lasts;
    let hour = per_hour(28, 15);
    html! {
        h2 { "How much" }
        @if is_other(plan) {
            (big("amount.tins", &units.number(amount.total_g / 1000.0, 2), "kg, not cut from the tin"))
        } @else {
            (big("amount.tins", &amount.tins.to_string(), if amount.tins == 1 { "tin" } else { "tins" }))
        }
        p {
            (amount.total_cubes) " cubes, " (units.number(amount.total_g / 1000.0, 2)) " kg, in " (amount.bags) " bags."
            @if let Some(share) = share { " That is " strong data-result="amount.share" { (share) " %" } " of what the venue allows." }
        }
        p data-result="amount.lasts" {
            (lasts.tins) @if lasts.tins == 1 { " tin lasts " } @else { " tins last " }
            @match lasts.runs_out_min {
                Some(minutes) => { "until " strong { (clock_words(plan.day.all_in_min.saturating_add(whole(minutes)))) } " at this rhythm." }
                None => { strong { "to the end" } ", with " (lasts.left_cubes) " cubes left over." }
            }
        }
        @if let Some((every_s, lasts_min)) = shallow_rhythm(amount, f64::from(plan.day.span_min())) {
            p data-result="amount.rhythm" {
                "While fish show shallow, half a pouch (25 to 30 cubes) up to every 15 s: these tins last " (duration_words(whole(lasts_min))) " of that, or one every " strong { (units.number(every_s, 0)) " s" } " all day. Slower when many fish come."
            }
        }
        (super::feed_chart::picture(page, amount))
        (landing(page))
        dl class="pairs" {
            @if amount.bags_to_refreeze > 0 { div { dt { "bags that can stay shut" } dd { (amount.bags_to_refreeze) } } }
            div { dt { "left when all goes to plan" } dd { (amount.left_cubes) " cubes" } }
            div { dt { "whole cubes from a tin" } dd { (amount.cubes_per_tin) } }
            div { dt { "off-cuts in all" } dd { (units.number(amount.off_cuts_g, 0)) " g" } }
            div { dt { "cubes in a bag" } dd { (amount.cubes_per_bag) } }
            @for (phase, counted) in plan.feed.iter().zip(&amount.phases) {
                div { dt { (counted.line) ", " (duration_words(phase.minutes)) } dd { (counted.cubes) " cubes, " (units.number(counted.grams, 0)) " g" } }
            }
        }
        (warning_list(page.results.warnings.iter().filter(|w| matches!(w.code, "tin_limit" | "block" | "block_density" | "energy" | "late_feed" | "fast_feed"))))
        @let tins = if amount.cubes_per_tin > 0 { f64::from(hour) / f64::from(amount.cubes_per_tin) } else { f64::NAN };
        (why(page.choices.units,
            "amount",
            "Each phase feeds its cubes at its rhythm from its start. Cubes come whole out of the block at the cutter’s pitch; the rest is off-cuts. Hook baits and the reserve come on top, and tins are whole.",
            &[("28 cubes every 15 s, an hour of it", [&hour.to_string(), " cubes, ", &units.number(tins, 1), " tins"].concat())],
            "counting. 25 to 30 cubes every 15 s is common practice for shallow fishing, no published source.",
        ))
    }
}

/// Where each feeding lands, with its spread, and how much of it gets there.
fn landing(page: &Page) -> Markup {
    let (plan, units) = (&page.plan, page.choices.units);
    let Some(sink) = &page.results.sink else { return html! {} };
    let landed = patches(plan, sink, page.results.tub.as_ref());
    html! {
        table data-result="feed.patch" {
            caption { "Where the feed lands" }
            thead { tr { th scope="col" { "Feeding" } th scope="col" { "Downwind" } th scope="col" { "Give or take" } th scope="col" { "Reaches the bottom" } } }
            tbody {
                @for (i, (phase, patch)) in plan.feed.iter().zip(&landed).enumerate() {
                    @if let Some(patch) = patch {
                        tr {
                            th scope="row" { (i + 1) ", " (phase.method.word()) }
                            td { @if patch.drift_m < 0.0 { "−" } (units.depth_m(patch.drift_m.abs())) }
                            td { (units.depth_m(2.0 * patch.along_m)) " by " (units.depth_m(2.0 * patch.across_m)) }
                            td { (units.number(patch.reaches_share * 100.0, 0)) " %" }
                        }
                    }
                }
            }
        }
        (seen_from_above(units, &landed))
        (why(units, "patch",
            "Drift on top goes with the wind, undertow at the bed against it, evenly between; a piece meets the mean of what it falls through. Give or take is two standard deviations, along and across the wind: of the throw, 4 % of the distance by catapult, 6 % by hand, the same from a cup at any distance, and of the pieces’ times. What floats does not get there; what fish take on the way is not counted.",
            &[("drift, undertow", [&plan.water.drift_mm_per_s.to_string(), ", ", &plan.water.undertow_mm_per_s.to_string(), " mm a second"].concat())],
            "common practice, no published source, for the throws; the even change with depth is our simplification.",
        ))
    }
}

/// The patches from above: a cross where the feed goes in, the wind from the left, and a ring around 19 pieces of 20 each way.
fn seen_from_above(units: Units, landed: &[Option<Patch>]) -> Markup {
    let patches = || landed.iter().enumerate().filter_map(|(i, patch)| Some((i + 1, (*patch)?)));
    let reach_m = |patch: &Patch| patch.drift_m.abs() + 2.0 * patch.along_m;
    let long_m = patches().map(|(_, patch)| reach_m(&patch)).fold(0.1, f64::max);
    let wide_m = patches().map(|(_, patch)| 2.0 * patch.across_m).fold(0.1, f64::max);
    // Half of a drawing of 330 by at most 200, with room for words.
    let scale = (150.0 / long_m).min(80.0 / wide_m);
    let middle = wide_m * scale + 22.0;
    let (mark_m, mark) = match units.lengths {
        LengthUnits::Imperial => (0.3048, "1 ft".to_owned()),
        LengthUnits::Metric => (0.5, units.number(0.5, 1) + " m"),
    };
    let told: Vec<String> = patches()
        .map(|(i, patch)| {
            let way = if patch.drift_m < 0.0 { " upwind, " } else { " downwind, " };
            let ring = units.depth_m(2.0 * patch.along_m) + " by " + &units.depth_m(2.0 * patch.across_m);
            format!("feeding {i} {}{way}give or take {ring}", units.depth_m(patch.drift_m.abs()))
        })
        .collect();
    let name = ["Where the feed lands, from above: ", &told.join("; "), "."].concat();
    html! {
        @if !told.is_empty() {
            svg class="column" data-drawing="patch" viewBox={ "0 0 330 " (px(2.0 * middle + 8.0)) } role="img" aria-label=(name) {
                rect class="water" x="0" y="0" width="330" height=(px(2.0 * middle + 8.0)) {}
                @for (_, patch) in patches() {
                    ellipse class="patch" cx=(px(165.0 + scale * patch.drift_m)) cy=(px(middle)) rx=(px(2.0 * scale * patch.along_m)) ry=(px(2.0 * scale * patch.across_m)) {}
                }
                path class="surface" d={ "M160 " (px(middle)) "h10M165 " (px(middle - 5.0)) "v10" } {}
                text x="6" y="15" { "wind →" }
                text x="324" y="15" text-anchor="end" { (mark) }
                line class="surface" x1=(px(324.0 - scale * mark_m)) y1="20" x2="324" y2="20" {}
            }
        }
    }
}

/// Cubes in an hour of so many every so many seconds.
fn per_hour(cubes: u32, every_s: u32) -> u32 {
    cubes * (3600 / every_s)
}
