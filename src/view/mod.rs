//! What is shown, as markup and SVG text. Pure: the same page state gives the same text, natively and in a browser.
//!
//! Each screen has a file of its own; the page's state, and what an action does to it, is the room below ([`crate::page`]).
//! Everything that came from outside is escaped by the markup library; no style and no script is ever written.

pub mod about;
mod bait;
mod day;
mod kit;
mod parts;
pub mod print;
pub mod rigs;
pub mod session;
pub mod share;

use crate::page::tub_watch::BaitTab;
use crate::page::{Page, Screen};
use maud::{Markup, html};
use parts::words::stale;

/// The markup of the screen that is open: results first, then the inputs.
#[must_use]
pub fn screen(page: &Page) -> String {
    html! {
        div class="results" data-part="results" { (results_of(page)) }
        div class="inputs" { (inputs_of(page)) }
    }
    .into_string()
}

/// The markup of the results alone, for after a change.
#[must_use]
pub fn results(page: &Page) -> String {
    results_of(page).into_string()
}

/// The markup of the open rig's fall alone, for when a worker has answered.
#[must_use]
pub fn fall_part(page: &Page) -> String {
    rigs::fall::inside(page).into_string()
}

/// The markup of each move's effect on the fall.
#[must_use]
pub fn move_effects(page: &Page) -> Vec<String> {
    rigs::moves::effects(page)
}

/// The markup of what a search has found so far.
#[must_use]
pub fn found_part(page: &Page) -> String {
    rigs::finder::found(page).into_string()
}

/// The markup of the finder alone, for when a search has come along.
#[must_use]
pub fn finder_part(page: &Page) -> String {
    rigs::finder::inside(page).into_string()
}

/// The markup of the head line: the plan's name and day.
#[must_use]
pub fn head(page: &Page) -> String {
    let venue = if page.plan.water.venue.is_empty() { &page.plan.name } else { &page.plan.water.venue };
    html! {
        h1 data-result="title" { (venue) }
        p data-result="when" { @match &page.session { Some(live) if page.screen == Screen::Bank => (live.words()), _ => (page.results.when) } }
    }
    .into_string()
}

/// The markup of what wants an answer or was said: a plan that came with a link, a notice with its undo.
#[must_use]
pub fn notices(page: &Page) -> String {
    html! {
        @if let Some(pending) = &page.pending {
            section class="ask" role="alert" {
                h2 { "Open this plan?" }
                p { "“" (pending.name) "” is here to be opened. Yours is “" (page.plan.name) "”, and goes when you open it." }
                p class="actions" {
                    button type="button" class="main" data-act="accept" { "Open it" }
                    button type="button" data-act="keep" { "Keep mine" }
                }
            }
        }
        @for (i, notice) in page.notices.iter().enumerate() {
            div class="notice" role="status" {
                p { (notice.sentence) }
                @if notice.undo {
                    button type="button" data-act="undo" { "Undo" }
                }
                button type="button" data-act={ "dismiss:" (i) } aria-label="Close this notice" { "Close" }
            }
        }
    }
    .into_string()
}

/// A short sentence of what the open screen says now, for a screen reader after a change.
#[must_use]
pub fn announcement(page: &Page) -> String {
    let (day, units) = (&page.results, page.choices.units);
    let line = |title: &str| day.lines.iter().find(|l| l.title == title).map_or("", |l| l.main.as_str());
    if let (Screen::Bank, Some(live)) = (page.screen, &page.session) {
        return live.words();
    }
    match page.screen {
        Screen::Day | Screen::Bank => ["Start on ", line("Start on"), ". ", line("Bait"), "."].concat(),
        Screen::Bait if page.bait_tab == BaitTab::Tub => bait::tub_test::said(page),
        Screen::Bait if day.floats() => ["The bait floats. ", line("Bait"), "."].concat(),
        Screen::Bait => day.sink.as_ref().map_or_else(String::new, |sink| {
            [&units.number(sink.speed_m_per_s.mid * 100.0, 1), " centimetres a second. ", line("Bait"), "."]
                .concat()
        }),
        Screen::Rigs => day.rigs.get(page.rig).map_or_else(String::new, |rig| {
            ["Rig ", &rig.name, ": ", rig.trouble.as_deref().unwrap_or(&rig.shot_words), "."].concat()
        }),
        Screen::Kit | Screen::About => String::new(),
    }
}

fn results_of(page: &Page) -> Markup {
    html! {
        (stale(page))
        @match page.screen {
            Screen::Day => (day::results(page)),
            Screen::Bait => (bait::results(page)),
            Screen::Rigs => (rigs::results(page)),
            Screen::Kit => (kit::results(page)),
            Screen::Bank => (session::before::results(page)),
            Screen::About => (about::results(page)),
        }
    }
}

fn inputs_of(page: &Page) -> Markup {
    match page.screen {
        Screen::Day => day::inputs(page),
        Screen::Bait => bait::inputs(page),
        Screen::Rigs => rigs::inputs(page),
        Screen::Kit => kit::inputs(page),
        Screen::Bank => session::before::inputs(page),
        Screen::About => html! {},
    }
}
