//! The bank: what is needed at a glance once fishing starts.

use crate::book::State;
use crate::page::{AFLOAT, Page};
use crate::session::words::counted;
use crate::units::{Quantity, clock_words, fixed};
use crate::view::parts::field::{flag, fold, named, number, text};
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
            div data-live="countdown" { (countdown(page)) }
            p class="button-row" {
                button type="button" data-act="bank:later" { "All-in moved: +10 min" }
                @if page.bank.shown.moved { button type="button" data-act="bank:later-out" { "All-out too: +10 min" } }
            }
            h2 { "At the peg" }
            (text(page, "water.peg", &plan.water.peg, "Peg"))
            @for (place, line) in plan.lines.iter().enumerate() {
                (named(page, &format!("lines.{place}.depth"), Some(line.depth_tenth_mm), Some(&["Plumbed, ", &line.name].concat())))
            }
            (crate::view::day::follow(page))
            (crate::view::day::offers(page, true))
            @if let Some((id, water)) = page.open_day().and_then(|day| Some((day.water?, page.book.water(day.water?).ok()?)))
                && !page.book.fished_at(id).is_empty()
            {
                p data-result="bank.taught" { (crate::view::water::taught(page, id, water.facts.use_taught)) }
            }
            p class="actions" { button type="button" class="main start" id="live-start" data-tap="start" { "Start the session" } }
        }
        (bank_cautions(page.choices.units))
        p class="hint" { "Three buttons then take each feed, missed bite and fish; the page counts down to the next feed and says which rig to pick up. Every tap can be taken back." }
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
    }
}

/// The time to the all-in while the page waits for it, and the tins.
pub(super) fn countdown(page: &Page) -> Markup {
    let all_in = clock_words(page.plan.day.all_in_min);
    let tins = page.results.amount.as_ref().map(|amount| amount.tins);
    html! {
        @if let Some(all_in_ms) = page.waits_for(page.place.now_ms) {
            @let left_s = ((all_in_ms - page.place.now_ms) / 1000.0).ceil();
            @let minutes = (left_s / 60.0).floor();
            p class="big" {
                span class="number" data-result="live.countdown" { (fixed(minutes, 0)) ":" @if left_s - 60.0 * minutes < 10.0 { "0" } (fixed(left_s - 60.0 * minutes, 0)) }
                " " span class="unit" { "to the all-in at " (all_in) }
            }
            p { "It starts by itself then, while this page is open." }
        } @else { p { "All-in at " (all_in) "." } }
        @if let Some(tins) = tins { p { (counted(tins, "tin", "tins")) ", full." } }
    }
}

pub(in crate::view) fn inputs(page: &Page) -> Markup {
    let bank = &page.plan.bank;
    let handling = page.choices.bank;
    let switch = |act: &str, on: bool, name: &str| {
        html! { button type="button" data-act={ "bank:" (act) } aria-pressed=(if on { "true" } else { "false" }) { (name) } }
    };
    fold(
        "live-options",
        "Options",
        false,
        &html! {
            (flag("bank.recast", bank.feed_is_recast, "I lift and lower as I feed"))
            (flag("bank.silent", bank.silent, "No sound at a feed"))
            (number(page, "bank.fish", bank.fish_g))
            p class="button-row" {
                (switch("hand", handling.left_handed, "Left-handed"))
                (switch("vibration", !handling.no_vibration, "Vibration"))
                (switch("flash", !handling.no_flash, "Clock lights up"))
            }
            (number(page, "rules.net", page.plan.rules.net_g))
            @if page.session_here().is_some() { p class="hint" { "Changes here count at once." } }
            @if page.session_here().is_some() { (bank_cautions(page.choices.units)) }
        },
    )
}
