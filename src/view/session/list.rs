//! The list of the day: every event, newest first, each to be opened and put right.

use crate::page::Page;
use crate::page::session::{RunningSession, kind_words, time_words};
use crate::session::EventKind;
use crate::session::log::Standing;
use crate::units::fixed;
use maud::{Markup, html};

/// Rows of the list, before the whole day is asked for.
const ROWS: usize = 30;
/// Kinds that an event of the same sort may be put right to.
const TAKEN: [EventKind; 4] =
    [EventKind::Missed, EventKind::Fish, EventKind::LostFish, EventKind::FoulHooked];

/// A row: an event, the rig it was on, and how many feeds in a row it stands for.
struct Row<'a> {
    one: &'a Standing,
    rig: usize,
    times: usize,
}

/// The rows, newest first; feeds in a row are one.
fn rows(live: &RunningSession) -> Vec<Row<'_>> {
    let mut rows: Vec<Row<'_>> = Vec::new();
    for (rig, one) in live.session.with_rigs() {
        match rows.last_mut() {
            Some(last) if last.one.event.kind == EventKind::Fed && one.event.kind == EventKind::Fed => {
                (last.one, last.times) = (one, last.times + 1);
            }
            _ => rows.push(Row { one, rig, times: 1 }),
        }
    }
    rows.reverse();
    rows
}

/// The list.
pub(super) fn list(page: &Page, live: &RunningSession) -> Markup {
    let rows = rows(live);
    let most = if page.bank.shown.whole_list { rows.len() } else { ROWS };
    let ahead_min = page.place.ahead_min;
    let rigs = &live.session.setup().rigs;
    html! {
        @if rows.is_empty() { p class="hint" { "Nothing yet." } }
        ul class="day-list" {
            @for row in rows.iter().take(most) {
                @let number = row.one.number;
                @let open = page.bank.shown.event == Some(number);
                @let on_a_rig = row.one.event.kind != EventKind::Fed && row.one.event.kind != EventKind::Note;
                li {
                    button type="button" class="event" id={ "event-" (number) } data-act={ "bank:open." (number) } aria-expanded=(open) {
                        span { (time_words(row.one.event.at_ms, ahead_min)) } " "
                        strong { (kind_words(row.one.event.kind)) } " "
                        span class="muted" {
                            @if row.times > 1 { (row.times) " times" }
                            @else if on_a_rig { (rigs.get(row.rig).map_or("", |rig| &rig.name)) }
                            @else { (row.one.event.note) }
                            @if let Some(value) = row.one.event.value.filter(|_| row.one.event.kind == EventKind::Fish) { " " (fixed(value, 0)) " g" }
                        }
                    }
                    @if open { (mend(live, row, ahead_min)) }
                }
            }
        }
        @if rows.len() > ROWS {
            p class="button-row" { button type="button" data-act="bank:all" { @if page.bank.shown.whole_list { "The last " (ROWS) } @else { "The whole day" } } }
        }
    }
}

/// What can be put right of an event: its time, its rig, its kind, or that it was none.
fn mend(live: &RunningSession, row: &Row<'_>, ahead_min: i32) -> Markup {
    let Standing { number, event, alone, later_ms, .. } = row.one;
    let told = live.session.log().events().get(*number);
    let rig = event.rig.filter(|_| *alone).map_or("-".to_owned(), |rig| rig.to_string());
    let fix =
        |kind: &str, rig: &str, later_ms: f64| format!("fix:{number}.{kind}.{rig}.{}", fixed(later_ms, 0));
    let name = event.kind.name();
    let taken = TAKEN.contains(&event.kind);
    let rigs = &live.session.setup().rigs;
    let off = live.watching;
    html! {
        div class="mend" role="group" aria-label="Put it right" {
            @if let Some(told) = told.filter(|told| *later_ms != 0.0 || *alone || told.kind != event.kind) {
                p class="muted" { "was " (kind_words(told.kind)) ", " (time_words(told.at_ms, ahead_min)) }
            }
            p class="button-row" {
                @for (by_ms, words) in [(-60_000.0, "− 1 min"), (-10_000.0, "− 10 s"), (10_000.0, "+ 10 s"), (60_000.0, "+ 1 min")] {
                    button type="button" data-tap=(fix(name, &rig, later_ms + by_ms)) disabled[off] { (words) }
                }
            }
            @if taken {
                p class="button-row" {
                    @for (place, one) in rigs.iter().enumerate() {
                        button type="button" data-tap=(fix(name, &place.to_string(), *later_ms)) aria-pressed=(if place == row.rig { "true" } else { "false" }) disabled[off] { (one.name) }
                    }
                }
                p class="button-row" {
                    @for kind in TAKEN {
                        button type="button" data-tap=(fix(kind.name(), &rig, *later_ms)) aria-pressed=(if kind == event.kind { "true" } else { "false" }) disabled[off] { (kind_words(kind)) }
                    }
                }
            }
            p class="button-row" { button type="button" data-tap=(fix("-", "-", 0.0)) disabled[off] { "Remove" } }
        }
    }
}
