//! How much bait the day takes, when it goes in, and how long tins last.

use crate::page::Page;
use crate::results::requests::is_other;
use crate::units::{clock_words, duration_words};
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
        (super::feed_chart::picture(page, amount))
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

/// Cubes in an hour of so many every so many seconds.
fn per_hour(cubes: u32, every_s: u32) -> u32 {
    cubes * (3600 / every_s)
}
