//! The tub test: the page is the stopwatch.

use super::tub_funnel::{ENOUGH, funnel};
use crate::estimate::Estimate;
use crate::page::Page;
use crate::plan::fields::{MAX_DROPS, NEVER_MS};
use crate::units::{Quantity, Units};
use crate::view::parts::field::{fold, number};
use crate::view::parts::why::why;
use crate::view::parts::words::big;
use crate::view::parts::words::{piece_words, range};
use maud::{Markup, html};

pub(super) fn results(page: &Page) -> Markup {
    let (plan, units) = (&page.plan, page.choices.units);
    let tub = &plan.bait_more.tub;
    let count = tub.drops_ms.len();
    let falling = page.stopwatch.started_ms.is_some();
    html! {
        p class="intro" { "Ten drops in a bucket tell more than any label." }
        @match (&page.results.tub, &page.results.sink) {
            (Some(_), _) if page.results.floats() => (big("tub.speed", "Floats", "lighter than the water, so no time to any depth")),
            (Some(_), Some(sink)) => (big("tub.speed", &units.speed(sink.speed_m_per_s.mid), &["(", &units.speeds(sink.speed_m_per_s.low, sink.speed_m_per_s.high), ") in the lake"].concat())),
            _ => (big("tub.count", &count.to_string(), "drops so far")),
        }
        @for sentence in &page.results.trouble { p class="refusal" { (sentence) } }
        p class="actions" {
            @if falling || count > 0 {
                button type="button" id="tub-undo" data-act="tub:undo" { "Undo the last tap" }
                button type="button" id="tub-new" data-act="tub:new" { "New test" }
            }
        }
        (funnel(page))
        (drops(page, units))
        (learned(page, units))
        (practice(page, units))
        (why(page.choices.units,
            "tub",
            "Each drop says how fast a piece falls. Before the first, the label and the laws of drag leave a wide band; Bayes’ rule narrows it with each drop, and floaters count as well. A landing is tapped 0.1 s late when it is seen coming and 0.25 s when not, and the tap at letting go takes part of that away: about 0.1 s is taken off, and its doubt stays in the band. A drop that fits no piece, such as one that hung on the rim, pulls little. What is learned is carried to the lake’s water, other sizes and every depth; by how much the bucket’s depth may be off stays in the band. In simulated tests the band held the truth in about nine of ten.",
            &inputs_of(page, units),
            "Bayes’ rule on a grid; densities and drag as for the fall. The thumb’s times are those of 4304 timings by hand (2019, Am. J. Phys. 87:110: 0.11 s late for what is seen coming, 0.10 s a pair); the spread of pieces is judgement, no published source.",
        ))
    }
}

fn inputs_of(page: &Page, units: Units) -> Vec<(&'static str, String)> {
    let Some(tub) = &page.results.tub else { return Vec::new() };
    let band = |b: &Estimate| [&units.number(b.mid, 1), " kg/m3 ", &range(units, b, 1.0, 1)].concat();
    let mut told = vec![
        ("heavier than the water", band(&tub.excess_kg_per_m3)),
        ("pieces differ by", band(&tub.spread_kg_per_m3)),
        (
            "of what is left open, the bucket’s depth",
            [&units.number(100.0 * tub.depth_share, 0), " %"].concat(),
        ),
    ];
    if let Some(time) = &tub.tub_time_s {
        let words = [&units.number(time.mid, 2), " s ", &range(units, time, 1.0, 2)].concat();
        told.push(("through the bucket", words));
    }
    told
}

/// The stopwatch's button, under the thumb, and what it waits for.
pub(super) fn foot(page: &Page) -> Markup {
    let count = page.plan.bait_more.tub.drops_ms.len();
    let falling = page.stopwatch.started_ms.is_some();
    html! {
        p id="tub-state" data-result="tub.state" {
            @if falling { "Drop " (count + 1) " is falling. Tap the moment it lands, or after two minutes if it has not." }
            @else if count >= MAX_DROPS { "Fifty drops are in." }
            @else if count == 0 { "Hold a piece just under the surface. Tap as you let it go, tap again as it lands." }
            @else if count < ENOUGH { (count) " of 10 drops. Keep one thumb on the button." }
            @else { (count) " drops. More narrow it a little further." }
        }
        button type="button" class="tap main" id="tap" data-act="tap" aria-describedby="tub-state" {
            @if falling { "It has landed" } @else { "Let go" }
        }
    }
}

/// The drops in order, the odd ones marked.
fn drops(page: &Page, units: Units) -> Markup {
    let list = &page.plan.bait_more.tub.drops_ms;
    let odd = page.results.tub.as_ref().map_or(&[][..], |t| &t.odd_drops);
    html! {
        @if !list.is_empty() {
            ol class="drops" data-result="tub.drops" aria-label="Drops, newest last" {
                @for (i, ms) in list.iter().enumerate() {
                    li class=[odd.contains(&i).then_some("outlier")] {
                        @if *ms < NEVER_MS { (units.number(f64::from(*ms) / 1000.0, 2)) " s" }
                        @else { "not landed" }
                        @if odd.contains(&i) { " odd" }
                    }
                }
            }
        }
        @if !odd.is_empty() {
            p class="hint" { "An odd drop fits no piece: it hung on the rim, or a tap came late. It hardly counts. Delete it below if you saw why." }
        }
    }
}

/// What the drops tell, against the label.
fn learned(page: &Page, units: Units) -> Markup {
    let (Some(tub), Some(sink), Some(label)) =
        (&page.results.tub, &page.results.sink, &page.results.by_label)
    else {
        return html! {};
    };
    let (Some(lake), Some(now)) = (tub.targets.first(), page.results.falls.first()) else { return html! {} };
    let share = tub.floats_share;
    let floating = html! {
        @if (0.05..0.95).contains(&share) {
            p class="hint" data-result="tub.floats" {
                "The chance that a typical piece floats: " (units.number(100.0 * share, 0)) " %. Look at more pieces below."
            }
        }
    };
    if page.results.floats() {
        return html! {
            (floating)
            @if !tub.agrees_with_label {
                p class="warning" { "By its label the meat sinks. This tin holds air or ice, or its label is off. The bucket is believed." }
            }
        };
    }
    let seconds = |t: Option<f64>| t.map_or_else(|| "never".to_owned(), |t| units.number(t, 1));
    let times = |low, mid, high| [&seconds(mid), " s (", &seconds(low), " to ", &seconds(high), ")"].concat();
    html! {
        @if !tub.agrees_with_label {
            p class="warning" { "These drops lie outside what the label allows. Check the bucket’s depth and the size; else this tin holds air, or its label is off. The drops are believed." }
        }
        dl class="pairs" data-result="tub.learned" {
            @if let Some(t) = label.falls.first() {
                div { dt { (now.name) ", by the label" } dd { (times(t.low_s, t.mid_s, t.high_s)) } }
            }
            @if let Some(t) = sink.falls.first() {
                div { dt { (now.name) ", by your drops" } dd { (times(t.low_s, t.mid_s, t.high_s)) } }
            }
            @if let Some(t) = lake.piece_falls.first() {
                div { dt { "nine pieces in ten" } dd { (seconds(t.low_s)) " to " (seconds(t.high_s)) " s" } }
            }
            div { dt { "pieces differ in speed by" } dd { "± " (units.number(tub.spread_share * 100.0, 0)) " %" } }
        }
        (floating)
        @if tub.depth_share > 0.5 {
            p class="hint" { "The bucket’s depth is now the largest doubt: measure it again, or take a deeper one. More drops do not help." }
        }
    }
}

/// A piece on the screen whose time is known, and how late its landing was tapped.
fn practice(page: &Page, units: Units) -> Markup {
    let falling = page.practice.started_ms.is_some();
    let late = |ms: i32| {
        let seconds = units.number(f64::from(ms.abs()) / 1000.0, 2);
        [seconds.as_str(), if ms < 0 { " s early" } else { " s late" }].concat()
    };
    html! {
        h2 { "How late do you tap?" }
        @if falling { div class="practice" aria-hidden="true" { i {} } }
        @else { p class="hint" { "A practice piece takes four seconds down this screen. It counts for nothing." } }
        button type="button" id="practise" class="wide" data-act="practise" {
            @if falling { "It is down" } @else { "Practise a drop" }
        }
        @if let (false, Some((last, middle))) = (falling, page.practice.told()) {
            p data-result="tub.practice" {
                "Tapped " (late(last)) "; the middle of " (page.practice.late_ms.len()) " is " (late(middle))
                ". " (units.number(0.1, 1)) " s is taken off each drop of the test."
            }
        }
    }
}

/// What a screen reader is told after a tap.
pub(in crate::view) fn said(page: &Page) -> String {
    let drops = &page.plan.bait_more.tub.drops_ms;
    if page.stopwatch.started_ms.is_some() {
        return "Falling.".to_owned();
    }
    drops.last().map_or_else(String::new, |ms| {
        let seconds = page.choices.units.number(f64::from(*ms) / 1000.0, 1);
        ["Drop ", &drops.len().to_string(), ": ", &seconds, " seconds."].concat()
    })
}

pub(super) fn inputs(page: &Page) -> Markup {
    let tub = &page.plan.bait_more.tub;
    html! {
        h2 { "The bucket" }
        (number(page, "tub.depth", Some(tub.depth_tenth_mm)))
        (number(page, "tub.depth_off", Some(tub.depth_off_tenth_mm)))
        (number(page, "tub.water", Some(tub.water_tenth_c)))
        (number(page, "tub.size", tub.size_tenth_mm))
        p class="hint" { "Depth from where you let go to where it lands. Deeper is better. Size: " (piece_words(page)) " if left empty." }
        h2 { "Floaters" }
        (counts(page))
        (fold("tub-before", "Earlier tins of this label", tub.before_drops.is_some(), &html! {
            (number(page, "tub.before_drops", tub.before_drops))
            (number(page, "tub.before_density", tub.before_density_kg_per_m3))
            (number(page, "tub.before_spread", tub.before_spread_kg_per_m3))
            p class="hint" { "What tub tests of other tins found, at 15 °C. A tin out of My tackle brings it along." }
        }))
        h2 { "Timed elsewhere" }
        (number(page, "tub.by_hand", tub.by_hand_ms))
        p class="hint" { "120 s stands for a piece that had not landed by then." }
        button type="button" class="wide" data-act="tub:add" { "Add this drop" }
        @if !tub.drops_ms.is_empty() {
            h2 { "Delete a drop" }
            div class="button-row parts" {
                @for (i, ms) in tub.drops_ms.iter().enumerate() {
                    @let time = page.choices.units.text(*ms, Quantity::Milliseconds);
                    button type="button" data-act={ "tub:out." (i) } aria-label={ "Delete drop " (i + 1) ", " (time) } { (time) }
                }
            }
        }
    }
}

/// How many pieces were looked at, and how many floated.
pub(super) fn counts(page: &Page) -> Markup {
    let tub = &page.plan.bait_more.tub;
    html! {
        (number(page, "tub.pieces", Some(tub.pieces)))
        (number(page, "tub.floated", Some(tub.floated)))
        (number(page, "tub.came_up", Some(tub.came_up)))
        p class="hint" { "Drop a handful. Count those that float, push each under once, and count those that come up again." }
    }
}
