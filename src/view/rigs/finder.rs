//! The finder: what it looks for and what it found.

use super::moves::order;
use crate::page::Page;
use crate::page::falls::{AIMS, Compare};
use crate::rig::fall::Shot;
use crate::rig::finder::{Aim, Figures, Proposal, than_feed};
use crate::units::{Quantity, Units, tenth_mm};
use crate::view::parts::why::why;
use crate::view::parts::words::pressed;
use maud::{Markup, html};

/// The finder, with a mark for the part that is written again as it comes along.
pub(super) fn finder(page: &Page) -> Markup {
    html! {
        h2 { "Find a pattern" }
        div data-part="finder" { (inside(page)) }
    }
}

fn places(page: &Page, shots: &[Shot]) -> String {
    let units = page.choices.units;
    let mut parts = Vec::new();
    for shot in shots.iter().rev() {
        let at = units.text(tenth_mm(shot.from_hook_m), Quantity::Depth);
        parts.push([&shot.count.to_string(), " at ", &at].concat());
    }
    parts.join(", ")
}

fn figures_words(units: Units, f: &Figures) -> String {
    let (bottom, last) = (units.number(f.to_bottom_s, 1), units.number(f.last_30_cm_s, 1));
    let mut words =
        format!("{bottom} s to the bottom, {last} s of it through the last {}", units.depth_m(0.3));
    if let Some(share) = f.last_third_of_feed {
        words = [&words, ", last third ", &than_feed(share)].concat();
    }
    words
}

/// What stands in the finder.
pub(in crate::view) fn inside(page: &Page) -> Markup {
    let falls = &page.falls;
    let search = falls.search.as_ref().filter(|s| s.rig == page.rig);
    let running = search.is_some_and(|s| s.running);
    html! {
        div class="switch" role="group" aria-label="What the fall should do" {
            @for (k, (aim, words)) in AIMS.iter().enumerate() {
                button type="button" id={ "aim-" (k) } data-act={ "finder:aim." (k) } aria-pressed=(pressed(falls.aim == *aim)) { (words) @if *aim == Aim::SlowLast30Cm { (page.choices.units.depth_m(0.3)) } }
            }
        }
        div class="row" {
            span class="label" { "Max groups" }
            span class="stepper" {
                button type="button" id="groups-less" data-act="finder:groups.-" aria-label="Groups, less" { "−" }
                strong { (falls.groups) }
                button type="button" id="groups-more" data-act="finder:groups.+" aria-label="Groups, more" { "+" }
            }
        }
        div class="switch" {
            button type="button" id="find-keep" data-act="finder:keep" aria-pressed=(pressed(falls.keep_droppers)) { "Droppers stay" }
            button type="button" id="find-hooklength" data-act="finder:hooklength" aria-pressed=(pressed(falls.on_hooklength)) { "Shot may go on the hooklength" }
        }
        p class="actions" {
            @if running { button type="button" class="main" id="find" data-act="finder:stop" { "Stop" } }
            @else { button type="button" class="main" id="find" data-act="finder:start" { "Search" } }
        }
        div data-part="found" { (found(page)) }
        (why(page.choices.units,
            "find",
            "Shot keep their order of size and go in groups on a grid of 10 mm. For each number of groups coarse places are tried, the three best are improved by ever smaller moves, and at last every neighbour of the best. On small rigs, where all patterns can be tried, the proposals came within 1 % of the best score; for larger ones there is no such proof.",
            &[],
            "pattern search after Hooke and Jeeves 1961; the fall as above.",
        ))
    }
}

/// What the search has found so far.
pub(in crate::view) fn found(page: &Page) -> Markup {
    let units = page.choices.units;
    let search = page.falls.search.as_ref().filter(|s| s.rig == page.rig);
    html! {
        @if let Some(search) = search {
            @if let Some(sentence) = &search.trouble { p class="refusal" data-result="find.trouble" { (sentence) } }
            @if page.own_rig().as_ref() != Some(&search.request.rig) { p class="stale" { "The rig has changed since this search began." } }
            @match &search.progress {
                Some(progress) => {
                    p data-result="find.state" {
                        @if search.running { "Searching: " } @else if progress.done { "Done: " } @else { "Stopped: " }
                        (progress.evaluated) @if !progress.done { " of about " (progress.expected) } " patterns dropped."
                    }
                    @if search.running { progress max=(progress.expected) value=(progress.evaluated) aria-label="Progress of the search" {} }
                    @if let Some(own) = &progress.own {
                        div class="card own" { p { strong { "Yours: " } (places(page, &search.request.rig.shots)) } p data-result="find.own" { (figures_words(units, own)) "." } }
                    }
                    @for (k, found) in progress.proposals.iter().enumerate() { (proposal(page, k, found)) }
                    @if progress.done && progress.proposals.is_empty() { p { "No pattern was found that comes down in time." } }
                },
                None if search.running => p data-result="find.state" { "Searching…" },
                None => p data-result="find.state" { "Stopped." },
            }
        }
    }
}

/// What a proposal does, in this reader's units.
fn proposal_words(units: Units, words: &str) -> String {
    units.prose(words).replace("last 30 cm", &["last ", &units.depth_m(0.3)].concat())
}

fn proposal(page: &Page, k: usize, found: &Proposal) -> Markup {
    let beside = page.falls.compare == Compare::Proposal(k);
    html! {
        div class="card" data-result="find.proposal" {
            p { strong { "Proposal " (k + 1) @if found.best { ", the one to try" } ": " } (places(page, &found.shots)) }
            p { (proposal_words(page.choices.units, &found.words)) @if !found.exact { " Within 1 % so far." } }
            @if let Some(words) = page.compared().filter(|_| beside).and_then(|(_, rig)| order(page, Some(&rig))) { p class="muted" { (words) "." } }
            p class="actions" {
                button type="button" data-act={ @if beside { "alone" } @else { "proposal:" (k) } } aria-pressed=(pressed(beside)) { "Show beside mine" }
                button type="button" data-act={ "use-proposal:" (k) } { "Use it" }
            }
        }
    }
}
