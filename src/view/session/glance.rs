//! One glance: the ring with the seconds to the next feed, what to feed, the time to the end, and what was caught.

use crate::page::session::{RunningSession, time_words};
use crate::session::words::counted;
use crate::units::{Units, fixed};
use crate::view::parts::column::px;
use maud::{Markup, html};

/// Round the ring, in its own units.
const ROUND: f64 = 263.9;

/// The ring and what the clock moves.
pub(super) fn beat(live: &RunningSession, flash: bool) -> Markup {
    let beat = &live.glance.beat;
    let (number, words, call) = match (beat.to_next_s, beat.interval_s) {
        _ if live.state.ended => ("–".to_owned(), "ended", false),
        _ if beat.paused => ("–".to_owned(), "paused", false),
        (_, None) => ("–".to_owned(), "no feeding now", false),
        _ if beat.feed_now => ("Feed".to_owned(), "now", true),
        (Some(left), _) => (fixed((left - 0.001).max(0.0).ceil(), 0), "s to next feed", false),
        (None, _) => ("Feed".to_owned(), "to start the clock", true),
    };
    let share = match (beat.to_next_s, beat.interval_s) {
        (Some(left_s), Some(every_s)) if every_s > 0.0 && !beat.feed_now => left_s / every_s,
        _ => 0.0,
    };
    let every = fixed(beat.interval_s.unwrap_or(0.0), 0);
    html! {
        p class={ "ring" @if call && flash { " call" } } {
            svg viewBox="0 0 100 100" role="img" aria-label={ "A feed every " (every) " s" } {
                circle class="round" cx="50" cy="50" r="42" {}
                circle class="left" cx="50" cy="50" r="42" stroke-dasharray={ (px(ROUND * share)) " " (px(ROUND)) } {}
            }
            span class="number" data-result="live.next" { (number) } span class="visually-hidden" { " " }
            span class="unit" data-result="live.words" { (words) }
        }
    }
}

/// What to feed, the end, the catch.
pub(super) fn aside(live: &RunningSession, units: Units, ahead_min: i32) -> Markup {
    let (state, setup) = (&live.state, live.session.setup());
    let phase = |at: usize| setup.phases.get(at);
    let now = state.beat.phase.and_then(phase);
    let next = state.next_phase.and_then(|(at, from_ms)| Some((phase(at)?, from_ms)));
    let totals = &state.totals;
    let left_ms = live.all_out_ms(ahead_min) - live.at_ms;
    let rate = if live.hours() > 0.05 { f64::from(totals.fish) / live.hours() } else { 0.0 };
    html! {
        div {
            p class="figure" data-result="live.feed" { (now.map_or("–".to_owned(), |now| fixed(now.cubes_per_feed, 0))) }
            p { "cubes" @if !state.line.is_empty() { ", " (state.line) } }
            @if let Some((next, from_ms)) = next { p { "then " (fixed(next.cubes_per_feed, 0)) " at " (time_words(from_ms, ahead_min)) } }
        }
        div {
            p class="figure" data-result="live.out" { (hours_words(left_ms)) }
            p { @if left_ms < 0.0 { "past the all-out" } @else { "to all-out" } }
            p data-result="live.clock" { (time_words(live.at_ms, ahead_min)) }
        }
        div {
            p class="figure" data-result="live.fish" { (counted(totals.fish, "fish", "fish")) }
            p { (units.number(rate, 1)) " an hour, " (totals.missed) " missed" }
            @if let Some(weight_kg) = totals.weight_kg { p data-result="live.weight" { (units.weight(weight_kg)) } }
        }
    }
}

/// `3:12`, hours and minutes, of a time left or gone.
fn hours_words(left_ms: f64) -> String {
    #[expect(clippy::cast_possible_truncation, reason = "minutes of a few days")]
    let minutes = (left_ms.abs() / 60_000.0).ceil().min(1e6) as i32;
    crate::units::clock_words(minutes).trim_start_matches('0').to_owned()
}

/// Tins left against the plan, and the keepnets.
pub(super) fn stock(live: &RunningSession, units: Units, ahead_min: i32, net_g: Option<i32>) -> Markup {
    let state = &live.state;
    let tins = |cubes: f64| {
        if live.cubes_per_tin > 0.0 {
            [&units.number(cubes / live.cubes_per_tin, 1), " tins"].concat()
        } else {
            [&fixed(cubes, 0), " cubes"].concat()
        }
    };
    let end = time_words(live.all_out_ms(ahead_min), ahead_min);
    let limit_kg = net_g.map_or(0.0, |g| f64::from(g) / 1000.0);
    html! {
        @if let (Some(left), Some(short)) = (state.totals.cubes_left, state.short_cubes) {
            p data-result="live.left" {
                (tins(left)) " left, "
                @if short > 0.05 * live.cubes_per_tin.max(1.0) { strong { (tins(short)) " short by " (end) } }
                @else { (tins(-short)) " over at " (end) }
            }
        }
        @if let Some(net_kg) = state.totals.nets_kg.last() {
            p data-result="live.net" {
                "Net " (state.totals.nets_kg.len()) ": " (units.weight(*net_kg))
                @if limit_kg > 0.0 {
                    " of " (units.weight(limit_kg))
                    @if *net_kg >= 0.9 * limit_kg { ". " strong class="warning" { "Nearly full: next net." } }
                }
            }
        }
    }
}
