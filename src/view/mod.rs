//! What is shown, as markup and SVG text. Pure: the same page state gives the same text, natively and in a browser.
//!
//! Each screen has a file of its own; the page's state, and what an action does to it, is the room below ([`crate::page`]).
//! Everything that came from outside is escaped by the markup library; no style and no script is ever written.

pub mod about;
mod bait;
mod day;
mod days;
mod kit;
pub mod nodes;
mod parts;
pub mod print;
pub mod rigs;
pub mod session;
mod settings;
pub mod share;
mod tackle;
mod water;

use crate::page::sheet::Sheet;
use crate::page::{Page, Screen};
use crate::plan::Plan;
use crate::results::work_out;
use crate::units::{Quantity, clock_words, day_words};
use maud::{Markup, PreEscaped, html};
pub use parts::field::native_words;
use parts::mark::{mark, mark_of};
use parts::words::stale;

/// The markup of the screen that is open: its results, the inputs that stand on it, and the sheet.
#[must_use]
pub fn screen(page: &Page) -> String {
    [main(page), sheet(page)].concat()
}

/// The markup of the screen without its sheet.
#[must_use]
pub fn main(page: &Page) -> String {
    let inputs = inputs_of(page).into_string();
    html! {
        div class="results" data-part="results" { (results_of(page)) }
        @if !inputs.is_empty() { div class="inputs" { (PreEscaped(inputs)) } }
    }
    .into_string()
}

/// The markup of everything that a change of the plan may move: the results, and what stands above a sheet's inputs.
#[must_use]
pub fn results(page: &Page) -> String {
    [main_results(page), answers(page), foot(page)].concat()
}

/// The markup of the screen's results.
#[must_use]
pub fn main_results(page: &Page) -> String {
    results_of(page).into_string()
}

/// The markup of the sheet that is shown; nothing where none is.
#[must_use]
pub fn sheet(page: &Page) -> String {
    let Some(sheet) = page.sheet_shown() else { return String::new() };
    html! {
        div class="sheet-head" {
            h2 id="sheet-title" tabindex="-1" { (sheet.title()) }
            a class="done" href={ "#" (page.screen.name()) } { "Done" }
        }
        div data-part="answers" { (answers_of(page, sheet)) }
        div class="inputs" {
            @match page.screen {
                Screen::Day => (day::inputs(page, sheet)),
                Screen::Bait => (bait::inputs(page, sheet)),
                Screen::Rigs => (rigs::inputs(page, sheet)),
                Screen::Kit => (kit::inputs(page)),
                _ => {}
            }
        }
        @if sheet == Sheet::Tub { div class="sheet-foot" data-part="foot" { (PreEscaped(foot(page))) } }
    }
    .into_string()
}

/// The markup of what stands below the sheet's inputs.
#[must_use]
pub fn foot(page: &Page) -> String {
    page.sheet_shown().map_or_else(String::new, |sheet| bait::foot(page, sheet).into_string())
}

/// The markup of what stands above the sheet's inputs.
#[must_use]
pub fn answers(page: &Page) -> String {
    page.sheet_shown().map_or_else(String::new, |sheet| answers_of(page, sheet).into_string())
}

fn answers_of(page: &Page, sheet: Sheet) -> Markup {
    html! {
        (stale(page))
        @match page.screen {
            Screen::Day => { (strip(page)) (day::answers(page, sheet)) },
            Screen::Bait => (bait::answers(page, sheet)),
            Screen::Rigs => (rigs::answers(page, sheet)),
            _ => {}
        }
    }
}

/// What a change of the day moves, in one line: the first rig's seconds, tins.
fn strip(page: &Page) -> Markup {
    let (plan, day, units) = (&page.plan, &page.results, page.choices.units);
    let first = day.order.first().and_then(|turn| Some((turn.rig, plan.rigs.get(turn.rig)?)));
    html! {
        p class="strip-line" {
            @if let Some((place, rig)) = first {
                (mark(mark_of(&plan.rigs, place)))
                strong { (units.text(rig.depth_tenth_mm, Quantity::Depth)) }
                @if let Some(time) = day.seconds_to(rig.depth_tenth_mm) {
                    " in " strong { (units.number(time.mid, u8::from(time.mid < 20.0))) " s" }
                }
            }
            @if let Some(amount) = &day.amount {
                span class="detail" { "tins " (amount.tins) @if let Some(most) = plan.rules.tins { " of " (most) } }
            }
        }
    }
}

/// The markup of the open rig's fall alone, for when a worker has answered.
#[must_use]
pub fn fall_part(page: &Page) -> String {
    rigs::fall::inside(page).into_string()
}

/// What stands of the open rig's fall as its band.
#[must_use]
pub fn fall_band(page: &Page) -> String {
    rigs::fall::band(page).into_string()
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

/// The markup of the head line: the day's water and date, with the way to my days; the running day on every other one.
#[must_use]
pub fn head(page: &Page) -> String {
    let venue = if page.plan.water.venue.is_empty() { &page.plan.name } else { &page.plan.water.venue };
    let running = page.running_day().filter(|(day, _)| page.day != Some(*day));
    let title = match page.screen {
        Screen::Days => Some("My days".to_owned()),
        Screen::Tackle => Some("My tackle".to_owned()),
        Screen::Settings => Some("Settings".to_owned()),
        Screen::About => Some("About Dotdown".to_owned()),
        Screen::Water => {
            page.shelf.water.and_then(|id| page.book.water(id).ok()).map(|water| water.facts.name)
        }
        _ => None,
    };
    html! {
        @if let Some(title) = title {
            h1 data-result="title" { (title) }
            p data-result="when" { a class="back" href=(if page.screen == Screen::Days { "#day" } else { "#days" }) { "Back" span class="visually-hidden" { " to " (if page.screen == Screen::Days { venue.as_str() } else { "my days" }) } } }
        } @else {
            h1 data-result="title" { a href="#days" { span class="name" { (if venue.is_empty() { "A day without a name" } else { venue }) } span class="visually-hidden" { ", my days" } } }
            @match page.session_here() {
                Some(live) if page.screen == Screen::Bank => p data-result="when" { (live.words()) },
                _ => p class="wide-only" data-result="when" { (page.results.when) },
            }
        }
        @if let Some((day, name)) = running {
            p class="running" { button type="button" data-act={ "book:open." (day) } { "Running: " (name) } }
        }
    }
    .into_string()
}

/// The markup of what wants an answer or was said: a plan that came with a link, a notice with its undo.
#[must_use]
pub fn notices(page: &Page) -> String {
    html! {
        @if let Some(pending) = &page.pending { (from_a_link(page, pending)) }
        @if let Some(looked) = &page.looking {
            div class="notice" role="status" {
                p { "You only look at “" (looked.name) "”." }
                button type="button" class="main" data-act="pending:add" { "Add to my days" }
                button type="button" data-act="pending:leave" { "Back to mine" }
            }
        }
        // One at a time: the newest; the one before it shows when that is closed.
        @if let Some((i, notice)) = page.notices.iter().enumerate().next_back() {
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

/// A plan that came with a link: what it is, and what can become of it.
fn from_a_link(page: &Page, plan: &Plan) -> Markup {
    let units = page.choices.units;
    let venue = if plan.water.venue.is_empty() { &plan.name } else { &plan.water.venue };
    html! {
        section class="ask" role="alert" {
            h2 { "A day from a link: " (venue) }
            p { (day_words(plan.day.date.0)) ", " (clock_words(plan.day.all_in_min)) " to " (clock_words(plan.day.all_out_min)) ", " (units.text(plan.water.depth_tenth_mm, Quantity::Reach)) " deep" }
            p data-result="link.rigs" { "Rigs " @for (i, rig) in plan.rigs.iter().enumerate() { @if i > 0 { ", " } (rig.name) " " (units.text(rig.depth_tenth_mm, Quantity::Depth)) } "." }
            @let worked = work_out(plan, units);
            @for bait in worked.lines.iter().filter(|line| line.title == "Bait") {
                p data-result="link.bait" { "Bait: " (bait.main) ", " (bait.aside) ". Nothing of yours changes." }
            }
            p class="actions" {
                button type="button" class="main" data-act="pending:add" { "Add to my days" }
                button type="button" data-act="pending:look" { "Only look" }
                button type="button" data-act="pending:leave" { "Not now" }
            }
        }
    }
}

/// A short sentence of what the open screen says now, for a screen reader after a change.
#[must_use]
pub fn announcement(page: &Page) -> String {
    let (day, units) = (&page.results, page.choices.units);
    let line = |title: &str| day.lines.iter().find(|l| l.title == title).map_or("", |l| l.main.as_str());
    if let (Screen::Bank, Some(live)) = (page.screen, page.session_here()) {
        return live.words();
    }
    match page.screen {
        Screen::Day | Screen::Bank => ["Start on ", line("Start on"), ". ", line("Bait"), "."].concat(),
        Screen::Bait if page.sheet == Some(Sheet::Tub) => bait::tub_test::said(page),
        Screen::Bait if day.floats() => ["The bait floats. ", line("Bait"), "."].concat(),
        Screen::Bait => day.sink.as_ref().map_or_else(String::new, |sink| {
            [&units.number(sink.speed_m_per_s.mid * 100.0, 1), " centimetres a second. ", line("Bait"), "."]
                .concat()
        }),
        Screen::Rigs => day.rigs.get(page.rig).map_or_else(String::new, |rig| {
            ["Rig ", &rig.name, ": ", rig.trouble.as_deref().unwrap_or(&rig.shot_words), "."].concat()
        }),
        _ => String::new(),
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
            Screen::Days => (days::results(page)),
            Screen::Water => (water::results(page)),
            Screen::Tackle => (tackle::results()),
            Screen::Settings => (settings::results(page)),
            Screen::About => (about::results(page)),
        }
        @if !matches!(page.screen, Screen::Bank | Screen::Days | Screen::Settings | Screen::About) { (days::history(page)) }
    }
}

fn inputs_of(page: &Page) -> Markup {
    html! {
        @match page.screen {
            Screen::Bank => (session::before::inputs(page)),
            Screen::Days => (days::inputs(page)),
            Screen::Water => (water::inputs(page)),
            Screen::Tackle => (tackle::inputs(page)),
            _ => {},
        }
    }
}
