//! The bank: what is needed at a glance once fishing starts.

use crate::book::State;
use crate::page::{AFLOAT, Page};
use crate::units::{Quantity, clock_words};
use crate::view::parts::field::{flag, fold, number};
use crate::view::parts::why::bank_cautions;
use maud::{Markup, html};

pub(in crate::view) fn results(page: &Page) -> Markup {
    if let Some(live) = page.session_here() {
        return super::results(page, live);
    }
    if page.state() != State::Planned {
        return html! { p class="hint" role="status" { "The log of this day is being read." } };
    }
    let (plan, day, units) = (&page.plan, &page.results, page.choices.units);
    html! {
        @if let Some((_, name)) = page.running_day() {
            p class="sentence" { (name) " is running. Its session has to end before this one starts." }
        } @else if page.looking.is_none() {
            p class="actions" { button type="button" class="main" id="live-start" data-tap="start" { "Start the session" } }
        }
        p class="hint" { "Start it at the all-in. Three buttons then take each feed, bite and fish; the page counts down to the next feed and says which rig to pick up. Every tap can be taken back." }
        @if day.floats() { p class="warning" { (AFLOAT) } }
        h2 { "The rigs, in the order to try them" }
        div data-result="bank.order" { @for turn in &day.order {
            @if let (Some(rig), Some(result)) = (plan.rigs.get(turn.rig), day.rigs.get(turn.rig)) {
                section class="card" {
                    h3 { "Rig " (rig.name) ", " (units.text(rig.depth_tenth_mm, Quantity::Depth)) }
                    p { (result.shot_words) @if !result.layout_words.is_empty() { ": " (result.layout_words) } }
                    p class="reason" { (turn.reason) }
                }
            }
        } }
        h2 { "Feeding" }
        dl class="pairs" data-result="bank.feeding" {
            @for phase in &plan.feed {
                div {
                    dt { (clock_words(plan.day.all_in_min + phase.start_min)) " to " (clock_words(plan.day.all_in_min + phase.start_min + phase.minutes)) ", " (crate::results::requests::line_name(plan, phase.line)) }
                    dd { (phase.cubes) " every " (phase.every_s) " s" }
                }
            }
        }
        (bank_cautions(page.choices.units))
    }
}

pub(in crate::view) fn inputs(page: &Page) -> Markup {
    let bank = &page.plan.bank;
    fold(
        "live-options",
        "Options",
        false,
        &html! {
            (flag("bank.recast", bank.feed_is_recast, "I lift and lower as I feed"))
            (flag("bank.silent", bank.silent, "No sound at a feed"))
            (number(page, "bank.fish", bank.fish_g))
            @if page.session_here().is_some() { p class="hint" { "Changes here count at once." } }
            @if page.session_here().is_some() { (bank_cautions(page.choices.units)) }
        },
    )
}
