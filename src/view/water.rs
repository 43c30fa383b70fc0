//! A water: its depths by peg and line, its rules, its days.

use crate::page::Page;
use crate::session::words::counted;
use crate::units::{Quantity, day_words};
use crate::view::parts::field::{fold, of_record};
use maud::{Markup, html};

/// What the fields of a water are called where they are no numbers.
const NAMES: [(&str, &str); 4] = [
    ("name", "Name"),
    ("rules.barbless", "Barbless hooks only"),
    ("rules.lead", "Lead"),
    ("use_taught", "Use what this water taught"),
];

pub(super) fn results(page: &Page) -> Markup {
    let Some((id, water)) = page.shelf.water.and_then(|id| Some((id, page.book.water(id).ok()?))) else {
        return html! { p class="intro" { "Open a water under My days." } };
    };
    let (days, units) = (page.book.fished_at(id), page.choices.units);
    html! {
        p class="actions" { button type="button" class="main" data-act={ "book:new." (id) } { "New day here" } }
        @if let Some(usual) = page.book.usual_fish(id) {
            p data-result="water.fish" { "A fish here weighs " strong { (units.number(usual.mass_g / 1000.0, 2)) " kg" } " on the average, from " (counted(u32::try_from(usual.days).unwrap_or(0), "weighed day", "weighed days")) "." }
        }
        @if !water.depths.is_empty() {
            h2 { "Plumbed depths" }
            dl class="pairs" data-result="water.depths" {
                @for (place, (spot, depth)) in water.depths.iter().enumerate() {
                    div {
                        dt { @if !spot.peg.is_empty() { "Peg " (spot.peg) ", " } (spot.line) }
                        dd { (units.text(*depth, Quantity::Reach)) " " button type="button" class="quiet" data-act={ "book:remove-depth." (place) } aria-label={ "Remove the depth of peg " (spot.peg) ", " (spot.line) } { "Remove" } }
                    }
                }
            }
        }
        h2 { "Days" }
        @if days.is_empty() { p class="hint" { "None was fished yet." } }
        ul class="cards" data-result="water.days" {
            @for day in &days {
                li { button type="button" class="wide" data-act={ "book:open." (day.id) } {
                    (day_words(day.date)) @if !day.peg.is_empty() { ", peg " (day.peg) }
                    span class="count" { @if let Some(fish) = day.fish { (fish) " fish" } }
                } }
            }
        }
    }
}

pub(super) fn inputs(page: &Page) -> Markup {
    let Some(mut water) = page.shelf.water.and_then(|id| page.book.water(id).ok()) else { return html! {} };
    let facts = &mut water.facts;
    html! {
        (fold("water-facts", "What stays from day to day", true, &html! {
            p class="hint" { "A new day here takes its depth, way and rules from this. An empty field says nothing." }
            @for key in crate::book::WaterFacts::KEYS {
                @if let Some((slot, row)) = facts.field(key) {
                    (of_record(page, &["place.", key].concat(), row, &slot, name(key)))
                }
            }
        }))
        p class="actions" { button type="button" class="quiet" data-act="book:delete-water" { "Delete this water" } }
    }
}

fn name(key: &str) -> &'static str {
    NAMES.iter().find(|(known, _)| *known == key).map_or("", |(_, name)| name)
}
