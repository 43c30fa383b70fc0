//! The day is over: one picture, depth against time, and figures that are right.

use super::weight_words;
use crate::page::Page;
use crate::page::session::{RunningSession, time_words};
use crate::session::DayPicture;
use crate::session::words::counted;
use crate::units::{between, day_words, fixed};
use crate::view::parts::column::{Column, LEFT, WIDTH, px};
use crate::view::parts::mark::{mark_among, mark_at};
use maud::{Markup, html};

/// Height of the water in the picture.
const HIGH: f64 = 200.0;
/// Room over the water for the picture's own words.
const HEAD: f64 = 34.0;

/// The summary.
pub(super) fn ended(page: &Page, live: &RunningSession) -> Markup {
    html! {
        h2 { "The day" }
        (told(page, live))
        p class="button-row" {
            button type="button" data-act="picture" { "Share the picture" }
            button type="button" data-act="print:day" { "Print the day" }
        }
        p class="button-row session-end" {
            button type="button" class="main" data-act="live:keep" disabled[live.watching] { "Finish day" }
            button type="button" data-tap="undo" disabled[live.watching] { "Undo end" }
        }
        p class="hint" { "The day is in your book already. Finishing writes a note and the number of fish into it, and the tins used onto the kit list." }
    }
}

/// The day in one picture and in sentences, on the screen and on paper.
pub(in crate::view) fn told(page: &Page, live: &RunningSession) -> Markup {
    let summary = live.session.summary(live.at_ms).ok();
    html! {
        @if let Some(day) = &live.picture {
            (picture(page, live, day))
            p data-result="live.advised" { (advised_words(live, day, page.place.ahead_min)) }
        }
        @if let Some(summary) = &summary {
            @for line in &summary.lines { p data-result="live.summary" { (line) } }
            @if let Some((name, weight)) = weight_words(page, &summary.totals) {
                p data-result="live.summary" { (name) ": " (weight) "." }
            }
            @if !summary.learned.is_empty() {
                h3 { "Learned" }
                @for line in &summary.learned { p data-result="live.learned" { (line) } }
            }
            @if !summary.notes.is_empty() {
                h3 { "Notes" }
                ul { @for note in &summary.notes { li { (note) } } }
            }
        }
    }
}

/// What was advised and what was done: `3 changes advised, 2 taken: C 10:42, B 11:20 (not taken).`
fn advised_words(live: &RunningSession, day: &DayPicture, ahead_min: i32) -> String {
    if day.advised.is_empty() {
        return "No change of rig was advised.".to_owned();
    }
    let taken = day.advised.iter().filter(|one| one.taken).count();
    let changes: Vec<String> = day
        .advised
        .iter()
        .filter_map(|one| {
            let rig = live.state.rigs.get(one.rig as usize)?;
            let not = if one.taken { "" } else { " (not taken)" };
            Some([&rig.name, " ", &time_words(one.at_ms, ahead_min), not].concat())
        })
        .collect();
    let count = counted(u32::try_from(day.advised.len()).unwrap_or(0), "change", "changes");
    [&count, " advised, ", &taken.to_string(), " taken: ", &changes.join(", "), "."].concat()
}

/// Depth against time: a filled mark is a fish, a hollow one a missed bite, each at its rig's depth; shaded is where the fish
/// were believed to be.
fn picture(page: &Page, live: &RunningSession, day: &DayPicture) -> Markup {
    let (units, ahead_min) = (page.choices.units, page.place.ahead_min);
    let column = Column { depth_m: live.water_m, units, high: HIGH };
    let long_ms = (day.to_ms - day.from_ms).max(60_000.0);
    let x =
        |at_ms: f64| LEFT + (WIDTH - LEFT - 8.0) * between((at_ms - day.from_ms) / long_ms, 0.0, 1.0) + 4.0;
    let edge = |low: bool| {
        day.band.iter().map(move |&(at_ms, from_m, to_m)| (at_ms, if low { to_m } else { from_m }))
    };
    let point = |(at_ms, depth_m): (f64, f64)| [&px(x(at_ms)), ",", &px(column.y(depth_m))].concat();
    let mut outline: Vec<String> = edge(false).map(point).collect();
    let mut back: Vec<String> = edge(true).map(point).collect();
    back.reverse();
    outline.extend(back);
    let depth_of = |rig: u32| live.state.rigs.get(rig as usize).map_or(0.0, |rig| rig.depth_m);
    let count = |landed: bool| day.marks.iter().filter(|mark| mark.landed == landed).count();
    #[expect(clippy::cast_possible_truncation, reason = "a log has at most 20,000 records")]
    let words = |of: usize, one: &str, many: &str| counted(of as u32, one, many);
    let counts =
        [&words(count(true), "fish", "fish"), ", ", &words(count(false), "bite missed", "bites missed")]
            .concat();
    let (from, to) = (time_words(day.from_ms, ahead_min), time_words(day.to_ms, ahead_min));
    let name = ["The day from ", &from, " to ", &to, ": ", &counts, "."].concat();
    let date = day_words(page.plan.day.date.0);
    let inside = html! {
        text class="value" x="2" y=(px(10.0 - HEAD)) { (page.plan.water.venue) ", " (date) }
        text x="2" y=(px(28.0 - HEAD)) { (counts) }
        @if day.band.len() > 1 { polygon class="fish" points=(outline.join(" ")) {} }
        @for mark in &day.marks {
            g class=(if mark.landed { "day-mark" } else { "day-mark hollow" }) {
                (mark_at(mark_among(live.names(), mark.rig as usize), x(mark.at_ms), column.y(depth_of(mark.rig))))
            }
        }
        text class="name" x=(px(LEFT + 4.0)) y=(px(column.y(column.depth_m) + 12.5)) { (from) }
        text class="name" x=(px(WIDTH - 4.0)) y=(px(column.y(column.depth_m) + 12.5)) text-anchor="end" { (to) }
    };
    html! {
        (column.draw_under(HEAD, "day", &name, &inside))
        p class="day-counts" data-result="live.by-rig" {
            @for (rig, tally) in live.state.rigs.iter().zip(&live.state.totals.per_rig).filter(|(_, tally)| tally.water_s > 0.0 || tally.bites() > 0) {
                span { strong { (rig.name) } " " (tally.fish) " fish, " (tally.missed) " missed in " (fixed(tally.water_s / 60.0, 0)) " min" } " "
            }
        }
    }
}
