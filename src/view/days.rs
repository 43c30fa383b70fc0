//! My days: a new one, those to come, those that were fished; what waits to be settled between two phones.

use crate::book::{DaySummary, State, next_saturday};
use crate::page::Page;
use crate::plan::presets::presets;
use crate::session::words::counted;
use crate::units::{Units, day_words};
use crate::view::parts::field::fold;
use maud::{Markup, html};

/// With more days than these there is a field to search them, and a list shows its first few.
const MANY: usize = 20;
const FEW: usize = 10;

pub(super) fn results(page: &Page) -> Markup {
    let days = page.book.days(&page.shelf.sought);
    let all = days.next.len() + days.fished.len();
    let shown = if page.shelf.all_days || all <= MANY { usize::MAX } else { FEW };
    html! {
        (new_day(page))
        @if page.shelf.sought.is_empty() {
            (history(page))
            (settling(page))
        }
        @if all == 0 {
            @if page.shelf.sought.is_empty() {
                p class="intro" data-result="days.none" { "No day is in your book yet. The example that is open becomes yours with the first thing you change." }
            } @else { p class="hint" { "No day has these words." } }
        }
        @if !days.next.is_empty() {
            h2 { "Next" }
            ul class="cards" data-result="days.next" { @for day in days.next.iter().take(shown) { (card(page, day)) } }
        }
        @if !days.fished.is_empty() {
            h2 { "Fished" }
            ul class="cards" data-result="days.fished" { @for day in days.fished.iter().take(shown) { (card(page, day)) } }
        }
        @if days.next.len().max(days.fished.len()) > shown {
            p class="actions" data-result="days.all" { button type="button" data-act="book:all-days" { "All " (all) " days" } }
        }
    }
}

pub(super) fn inputs(page: &Page) -> Markup {
    let waters = page.book.waters();
    html! {
        @if page.book.summaries().count() > MANY {
            div class="row" {
                label for="f-days-sought" { "Search" }
                input class="text" id="f-days-sought" data-field="days.sought" type="search" value=(page.shelf.sought) autocomplete="off" maxlength="80";
            }
        }
        (fold("waters", "My waters", !waters.is_empty(), &html! {
            @for (id, name) in &waters {
                @let fished = page.book.fished_at(*id).len();
                button type="button" class="wide" data-act={ "book:water." (id) } {
                    (name) span class="reason" { (fished) " fished " (if fished == 1 { "day" } else { "days" }) }
                }
            }
            button type="button" class="wide" data-act="book:new-water" { "New water" }
        }))
        p class="actions" { a class="button" href="#tackle" { "My tackle" } a class="button" href="#settings" { "Settings and backup" } }
        (fold("worked", "Examples", waters.is_empty(), &html! {
            p class="hint" { "Invented waters to start from. Each becomes a day of yours; nothing is replaced." }
            @for preset in presets() {
                button type="button" class="wide" data-act={ "preset:" (preset.id) } { (preset.title) }
            }
            p class="hint" {
                "Each has a link to send: "
                @for (i, preset) in presets().iter().enumerate() {
                    @if i > 0 { ", " }
                    a href={ "#" (preset.id) } { "#" (preset.id) }
                }
                "."
            }
        }))
    }
}

/// A new day: at one of my waters, or from my tackle.
fn new_day(page: &Page) -> Markup {
    let waters = page.book.waters();
    html! {
        details class="fold choice" data-keep="new-day" {
            summary { h2 { "New day" } }
            p class="hint" { "On " (day_words(next_saturday(page.today()))) ", the next Saturday. Change the date under Times." }
            @for (id, name) in &waters {
                button type="button" class="wide" data-act={ "book:new." (id) } {
                    (name)
                    @if let Some(last) = page.book.fished_at(*id).first() { span class="reason" { "from " (day_words(last.date)) ": rigs, bait, kit, rules" } }
                }
            }
            button type="button" class="wide" data-act="book:new" {
                @if waters.is_empty() { "At a water of mine" } @else { "Another water" }
                span class="reason" { @if page.book.tackle().is_empty() { "from the example" } @else { "from my tackle" } }
            }
        }
    }
}

/// What a day is called: its water, else its own name.
pub(super) fn title(day: &DaySummary) -> &str {
    match (day.venue.as_str(), day.name.as_str()) {
        ("", "") => "A day without a name",
        ("", name) => name,
        (venue, _) => venue,
    }
}

fn card(page: &Page, day: &DaySummary) -> Markup {
    let open = page.day == Some(day.id) && page.looking.is_none();
    html! {
        li class="day" {
            button type="button" class="wide" data-act={ "book:open." (day.id) } aria-current=[open.then_some("true")] {
                span class="day-name" { (title(day)) }
                span class="count" { (mark(day, open)) }
                span class="reason" {
                    (day_words(day.date))
                    @if !day.peg.is_empty() { ", peg " (day.peg) }
                    @if let Some(outcome) = outcome(day, page.choices.units) { ", " (outcome) }
                }
            }
            details class="more" data-keep={ "day-" (day.id) } {
                summary { span { "Copy or delete" } span class="visually-hidden" { " " (title(day)) " " (day_words(day.date)) } }
                p class="actions" {
                    button type="button" data-act={ "book:copy." (day.id) } { "Copy to the next Saturday" }
                    button type="button" data-act={ "book:delete." (day.id) } { "Delete" }
                }
            }
        }
    }
}

/// The word at the right of a card.
fn mark(day: &DaySummary, open: bool) -> String {
    match (day.state, day.fish) {
        (State::Running, _) => "running".to_owned(),
        (State::Fished, Some(fish)) => counted(u32::try_from(fish).unwrap_or(0), "fish", "fish"),
        _ if open => "open".to_owned(),
        _ => String::new(),
    }
}

/// `15.4 kg, 3rd place of 24`.
fn outcome(day: &DaySummary, units: Units) -> Option<String> {
    let weight = day.weight_g.map(|grams| [&units.number(f64::from(grams) / 1000.0, 1), " kg"].concat());
    let place = match day.place {
        (Some(place), Some(of)) => Some(format!("place {place} of {of}")),
        (Some(place), None) => Some(format!("place {place}")),
        _ => None,
    };
    let parts: Vec<String> = weight.into_iter().chain(place).collect();
    (!parts.is_empty()).then(|| parts.join(", "))
}

/// The buttons of the history; each says what it takes back.
pub(super) fn history(page: &Page) -> Markup {
    let units = page.choices.units;
    let (undo, redo) = (page.book.undoes(units), page.book.redoes(units));
    html! {
        @if undo.is_some() || redo.is_some() {
            p class="actions history" {
                @if let Some(words) = undo { button type="button" id="undo" data-act="undo" { "Undo " (words) } }
                @if let Some(words) = redo { button type="button" id="redo" data-act="redo" { "Redo " (words) } }
            }
        }
    }
}

/// What was changed on two phones since they parted.
fn settling(page: &Page) -> Markup {
    let open = page.book.open_parts();
    let units = page.choices.units;
    html! {
        @if !open.is_empty() {
            h2 { "Changed on two phones" }
            p class="hint" { "Both are kept. Choose which one stands." }
            div data-result="days.settling" {
                @for (i, part) in open.iter().enumerate() {
                    p class="actions" role="group" aria-label={ "Part " (i + 1) } {
                        @for value in &part.values {
                            button type="button" data-act={ "book:settle." (i) "." (value.phone) } { (part.words(value, units)) }
                        }
                    }
                }
            }
        }
    }
}
