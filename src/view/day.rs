//! The day in five lines, the order of the rigs, and what the day is made of.

use crate::book::State;
use crate::page::Page;
use crate::plan::presets::presets;
use crate::view::parts::field::{add, flag, fold, named, number, pick, remove, text};
use crate::view::parts::why::{bank_cautions, why};
use crate::view::parts::words::warning_list;
use maud::{Markup, html};

pub(super) fn results(page: &Page) -> Markup {
    let day = &page.results;
    html! {
        p class="intro" { "Your match day on the pole in five lines. Under “The water today”, “Times” and “The venue’s rules” make it yours: every screen follows." }
        dl class="headlines" data-result="lines" {
            @for line in &day.lines {
                div {
                    dt { (line.title) }
                    dd {
                        p class="main" { strong { (line.main) } @if !line.aside.is_empty() { " " (line.aside) } }
                        p class="reason" { (line.reason) }
                    }
                }
            }
        }
        (offers(page))
        (warning_list(day.warnings.iter().filter(|w| !w.rule)))
        h2 { "Order of the rigs" }
        ol class="turns" data-result="order" {
            @for turn in &day.order { li { strong { "Rig " (turn.name) } " " span { (turn.reason) } } }
        }
        h2 { "Shallow or bottom?" }
        @let sum: i32 = day.points.iter().map(|p| p.points).sum();
        dl class="pairs" data-result="points" {
            @for point in &day.points { div { dt { (point.what) } dd { (signed(point.points)) } } }
            div class="sum" { dt { "together" } dd { (signed(sum)) } }
        }
        (why(page.choices.units,
            "points",
            "More than nothing speaks for fishing shallow, nothing or less for the bottom. Warm, bright, still water and a high or rising pressure bring fish up; cold, cloud, wind and a low or falling pressure keep them down. You may overrule it under “Start on”. Always carry a rig for both.",
            &[],
            "common practice, no published source. It is a habit of the trade, not science.",
        ))
    }
}

/// What this day taught that its water or the box does not know yet.
fn offers(page: &Page) -> Markup {
    let offers = page.offers();
    let venue = &page.plan.water.venue;
    let invented = || presets().iter().any(|preset| preset.plan.water.venue == *venue);
    let to_keep = page.looking.is_none()
        && !venue.is_empty()
        && page.open_day().is_some_and(|day| day.water.is_none())
        && !invented();
    html! {
        @if to_keep || !offers.is_empty() {
            p class="actions" data-result="offers" {
                @for (place, offer) in offers.iter().enumerate() {
                    button type="button" data-act={ "book:offer." (place) } { (offer.words(page.choices.units)) }
                }
                @if to_keep { button type="button" data-act="book:keep-water" { "Add " (venue) " to my waters" } }
            }
        }
    }
}

/// What became of a fished day.
fn outcome(page: &Page) -> Markup {
    let fished = page.day.filter(|_| page.state() == State::Fished).and_then(|id| page.book.day(id).ok());
    html! {
        @if let Some(day) = fished {
            (fold("result", "Result", true, &html! {
                (number(page, "result.weight", day.outcome.weight_g))
                (number(page, "result.fish", day.outcome.fish))
                (number(page, "result.place", day.outcome.place))
                (number(page, "result.of", day.outcome.of))
                (text(page, "result.note", &day.note, "Note"))
            }))
        }
    }
}

/// Points with their sign.
fn signed(points: i32) -> String {
    if points > 0 { ["+", &points.to_string()].concat() } else { points.to_string().replace('-', "−") }
}

pub(super) fn inputs(page: &Page) -> Markup {
    let plan = &page.plan;
    html! {
        (outcome(page))
        (fold("water", "The water today", true, &html! {
            (number(page, "water.depth", Some(plan.water.depth_tenth_mm)))
            (number(page, "water.surface", Some(plan.water.surface_tenth_c)))
            (number(page, "water.bottom", plan.water.bottom_tenth_c))
            (number(page, "weather.pressure", Some(plan.weather.pressure_hpa)))
            (pick("weather.trend", &plan.weather.trend, "Pressure is"))
            (pick("weather.sky", &plan.weather.sky, "Sky"))
            (pick("weather.wind", &plan.weather.wind, "Wind"))
            (pick("weather.start", &plan.weather.start, "Start on"))
        }))
        (fold("times", "Times", false, &html! {
            (number(page, "day.date", Some(plan.day.date.0)))
            (number(page, "day.draw", Some(plan.day.draw_min)))
            (number(page, "day.all_in", Some(plan.day.all_in_min)))
            (number(page, "day.all_out", Some(plan.day.all_out_min)))
            (number(page, "day.travel", Some(plan.day.travel_min)))
            (number(page, "day.setup", Some(plan.day.setup_min)))
        }))
        (fold("place", "Place", false, &html! {
            (text(page, "name", &plan.name, "Plan’s name"))
            (text(page, "water.venue", &plan.water.venue, "Venue"))
            (text(page, "water.peg", &plan.water.peg, "Peg"))
            (text(page, "note", &plan.note, "Note"))
        }))
        (fold("lines", "Pole lines", false, &html! {
            @for (i, line) in plan.lines.iter().enumerate() {
                fieldset {
                    legend { "Line " (i + 1) }
                    (text(page, &["lines.", &i.to_string(), ".name"].concat(), &line.name, "Name"))
                    (number(page, &["lines.", &i.to_string(), ".distance"].concat(), Some(line.distance_tenth_mm)))
                    (number(page, &["lines.", &i.to_string(), ".depth"].concat(), Some(line.depth_tenth_mm)))
                    (remove("lines", i, "Take this line out"))
                }
            }
            (add("lines", "Add a line"))
        }))
        (fold("rules", "The venue’s rules", false, &html! {
            (number(page, "rules.tins", plan.rules.tins))
            (named(page, "rules.hook", plan.rules.hook, Some("Largest hook size")))
            (flag("rules.barbless", plan.rules.barbless, "Barbless hooks only"))
            (pick("rules.lead", &plan.rules.lead, "Lead"))
            p class="hint" { "An empty field means no limit. " (page.choices.units.prose(crate::trade::lead::RULE)) }
        }))
        (bank_cautions(page.choices.units))
    }
}
