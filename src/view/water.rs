//! A water: its depths by peg and line, its rules, its days.

use crate::book::Id;
use crate::page::Page;
use crate::session::habits::Picture;
use crate::session::words::counted;
use crate::units::{Quantity, Units, day_words, fixed};
use crate::view::parts::field::{fold, of_record};
use maud::{Markup, html};

/// Where the picture of what a water taught stands in its drawing, and its size.
const LEFT: usize = 40;
const WIDE: usize = 300;
const HIGH: usize = 120;

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
        @if let Some(habits) = page.habits_of(id) { (picture(&habits.picture, units)) }
        p class="main" data-result="water.taught" { (taught(page, id, water.facts.use_taught)) }
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

/// What a water taught, or why that is not used.
pub(super) fn taught(page: &Page, id: Id, used: bool) -> String {
    let why_not = match page.habits_of(id) {
        Some(habits) if used => return habits.sentence(Some(page.choices.units)),
        Some(_) => "You have switched off what this water taught.",
        None if page.book.fished_at(id).is_empty() => {
            "No day was fished here yet: after three the session uses what the water taught."
        }
        None if page.is_learning(id) => "What the days here taught is being worked out.",
        None => "What the days here taught could not be worked out, and is not used.",
    };
    why_not.to_owned()
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

/// Depth against time of day: how much of each hour the fish were where, with the bites of all days.
fn picture(picture: &Picture, units: Units) -> Markup {
    let (hours, layers) = (picture.share.len(), picture.share.first().map_or(0, Vec::len));
    if hours == 0 || layers == 0 {
        return html! {};
    }
    let x = |hour: usize| LEFT + WIDE * hour / hours;
    let y = |layer: usize| HIGH * layer / layers;
    let most = picture.share.iter().flatten().fold(0.0, |most: f64, share| most.max(*share)).max(1e-9);
    html! {
        figure {
            svg viewBox="0 -4 344 146" role="img" aria-label="Depth against hours since the all-in: where the fish were expected, and bites" {
                rect class="water" x=(LEFT) y="0" width=(WIDE) height=(HIGH) {}
                @for (hour, row) in picture.share.iter().enumerate() {
                    @for (layer, share) in row.iter().enumerate() {
                        @if *share > 0.05 * most {
                            rect class="taught" x=(x(hour)) y=(y(layer)) width=(x(hour + 1) - x(hour)) height=(y(layer + 1) - y(layer)) opacity=(fixed(share / most, 2)) {}
                        }
                    }
                }
                @for (hour, row) in picture.bites.iter().enumerate() {
                    @for (layer, bites) in row.iter().enumerate().filter(|(_, bites)| **bites > 0) {
                        text class="bites" x=(usize::midpoint(x(hour), x(hour + 1))) y=(usize::midpoint(y(layer), y(layer + 1)) + 4) text-anchor="middle" { (bites) }
                    }
                }
                line class="surface" x1=(LEFT) x2=(LEFT + WIDE) y1="0" y2="0" {}
                line class="bed" x1=(LEFT) x2=(LEFT + WIDE) y1=(HIGH) y2=(HIGH) {}
                text x="36" y="10" text-anchor="end" { "0" }
                text x="36" y=(HIGH) text-anchor="end" { (units.depth_m(picture.water_depth_m)) }
                @for hour in 0..hours { text x=(usize::midpoint(x(hour), x(hour + 1))) y="138" text-anchor="middle" { (hour + 1) } }
            }
            figcaption class="muted" { "Darker: more of that hour, counted from the all-in. Numbers: bites on a rig at that depth." }
        }
    }
}
