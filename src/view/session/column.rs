//! The water of a running session as a column: rigs at their depths, feed on its way down, where the fish feed.

use crate::page::session::RunningSession;
use crate::session::LineSetup;
use crate::session::feed_clock::SinkingFeed;
use crate::small::sort_by_key;
use crate::units::{Units, between};
use crate::view::parts::column::{Column, FOOT, HEIGHT, LEFT, TOP, WIDTH, px};
use crate::view::parts::mark::{mark_among, mark_at};
use maud::{Markup, html};

/// Least and most height of the water in the drawing.
const MIN_HIGH: f64 = 105.0;
const MAX_HIGH: f64 = 420.0;

/// Width of the column of another line, and how many of those are drawn.
const BESIDE: f64 = 46.0;
const MAX_BESIDE: usize = 2;

/// Height of the water in the drawing, in the room that is left for it.
fn height(live: &RunningSession) -> f64 {
    live.room.map_or(HEIGHT, |room| between(room * WIDTH - TOP - FOOT, MIN_HIGH, MAX_HIGH))
}

/// The water with the last feeds, the hook bait, the rigs' depths and where the fish are thought to be.
pub(super) fn column(live: &RunningSession, units: Units) -> Markup {
    let column = Column { depth_m: live.water_m, units, high: height(live) };
    let (glance, fish) = (&live.glance, &live.state.fish);
    let most = fish.chance.iter().copied().fold(1e-9, f64::max);
    let hand = live.state.rigs.get(live.state.rig as usize).map_or(0, |rig| rig.line);
    let lines = &live.session.setup().lines;
    let others: Vec<(u32, &LineSetup)> = (0..).zip(lines).filter(|(line, _)| *line != hand).collect();
    let right = WIDTH - BESIDE * others.len().min(MAX_BESIDE) as f64;
    let wide = if others.is_empty() { 92.0 } else { 56.0 };
    let mut outline = [&px(right), ",", &px(column.y(0.0))].concat();
    for (cell, chance) in fish.chance.iter().enumerate() {
        let y = column.y((cell as f64 + 0.5) * fish.cell_m);
        outline.push_str(&[" ", &px(right - wide * chance / most), ",", &px(y)].concat());
    }
    let deep_m = lines.get(hand as usize).map_or(live.water_m, |line| line.depth_m);
    outline.push_str(&[" ", &px(right), ",", &px(column.y(deep_m))].concat());
    let mut name =
        ["Fish are most likely from ", &units.depth_m(fish.from_m), " to ", &units.depth_m(fish.to_m), "."]
            .concat();
    if live.floats() {
        name.push_str(if glance.clouds.is_empty() { "" } else { " The last feed floats." });
    } else if let Some(cloud) = glance.clouds.first() {
        let (tail, front) = (units.depth_m(cloud.tail_m), units.depth_m(cloud.front_m));
        name.push_str(&[" The last feed is from ", &tail, " to ", &front, "."].concat());
    }
    if let Some(hook_m) = glance.hook_m {
        name.push_str(&[" The hook bait is ", &units.depth_m(hook_m), " down."].concat());
    }
    // Names stand beside their marks, and below one another where two marks are close.
    let lowest = column.y(live.water_m) - 4.0;
    let here = |place: &usize| live.state.rigs.get(*place).is_some_and(|rig| rig.line == hand);
    let mut order: Vec<usize> = (0..live.state.rigs.len()).filter(here).collect();
    sort_by_key(&mut order, |place| live.state.rigs.get(*place).map_or(0.0, |rig| rig.depth_m));
    let mut last = f64::NEG_INFINITY;
    let mut heights = vec![0.0; live.state.rigs.len()];
    for place in order {
        if let (Some(rig), Some(height)) = (live.state.rigs.get(place), heights.get_mut(place)) {
            last = (column.y(rig.depth_m) + 4.0).min(lowest).max(last + 11.5);
            *height = last;
        }
    }
    // Below the fish, or above them where the bed is in the way.
    let (above, below) = (column.y(fish.from_m) - 6.0, column.y(fish.to_m) + 14.0);
    let under_bed = below > column.y(deep_m) - 4.0;
    let named = if under_bed && above > column.y(0.0) + 12.0 { above } else { below };
    let inside = html! {
        polygon class="fish" points=(outline) {}
        text class="name" x=(px(right - 4.0)) y=(px(named)) text-anchor="end" { "fish" }
        @if deep_m < live.water_m {
            rect class="ground" x=(px(LEFT)) y=(px(column.y(deep_m))) width=(px(right - LEFT)) height=(px(column.y(live.water_m) - column.y(deep_m))) {}
        }
        @for (at, (line, of)) in others.iter().take(MAX_BESIDE).enumerate() {
            (beside(live, column, *line, of, right + BESIDE * at as f64))
        }
        @for (place, rig) in live.state.rigs.iter().enumerate().filter(|(_, rig)| rig.line == hand) {
            @let y = column.y(rig.depth_m);
            @let mine = place == live.state.rig as usize;
            @let low = heights.get(place).copied().unwrap_or(y);
            line class={ "rig-mark" @if mine { " mine" } } x1="168" x2="192" y1=(px(y)) y2=(px(y)) {}
            (shape(live, place, 201.0, low - 4.0))
            text class={ @if mine { "value" } @else { "name" } } x="209" y=(px(low)) { (rig.name) }
        }
        g data-live="sinking" { (sinking(live, units)) }
    };
    html! { (column.draw("live", &name, &inside)) p class="visually-hidden" { (name) } }
}

/// Another line: its own water, as deep as it is there, with its rigs.
fn beside(live: &RunningSession, column: Column, line: u32, of: &LineSetup, left: f64) -> Markup {
    let bottom = column.y(live.water_m);
    let rigs = live.state.rigs.iter().enumerate().filter(|(_, rig)| rig.line == line);
    html! {
        line class="surface" x1=(px(left)) x2=(px(left)) y1=(px(column.y(0.0))) y2=(px(bottom)) {}
        rect class="ground" x=(px(left)) y=(px(column.y(of.depth_m))) width=(px(BESIDE)) height=(px((bottom - column.y(of.depth_m)).max(0.0))) {}
        @for (place, rig) in rigs {
            @let y = column.y(rig.depth_m);
            line class="rig-mark" x1=(px(left + 4.0)) x2=(px(left + 14.0)) y1=(px(y)) y2=(px(y)) {}
            (shape(live, place, left + 21.0, y))
            text class="name" x=(px(left + 29.0)) y=(px(y + 4.0)) { (rig.name) }
        }
    }
}

/// The mark of a rig at a place of the drawing.
fn shape(live: &RunningSession, place: usize, x: f64, y: f64) -> Markup {
    mark_at(mark_among(live.names(), place), x, y)
}

/// What moves in the water from tick to tick: the feeds and the hook bait, one shape each.
pub(super) fn sinking(live: &RunningSession, units: Units) -> Markup {
    let column = Column { depth_m: live.water_m, units, high: height(live) };
    html! {
        @for cloud in &live.glance.clouds {
            path class={ "cube" @if cloud.landed { " landed" } } d=(cloud_path(column, cloud)) {}
        }
        @if let Some(hook_m) = live.glance.hook_m {
            @let y = column.y(hook_m);
            line class="line" x1="160" x2="160" y1=(px(column.y(0.0))) y2=(px(y)) {}
            rect class="cube hook" x="156" y=(px(y - 4.0)) width="8" height="8" {}
        }
    }
}

/// One feed: some cubes from its front to its tail, more of them near its middle.
fn cloud_path(column: Column, cloud: &SinkingFeed) -> String {
    let mut path = String::new();
    for i in 0..16_u8 {
        let share = f64::from(i) / 15.0 * 2.0 - 1.0;
        let end = if share < 0.0 { cloud.tail_m } else { cloud.front_m };
        let depth = cloud.middle_m + (end - cloud.middle_m) * share * share;
        // Spread evenly by an irrational step: no chance, and the same picture each time.
        let side = (f64::from(i + 1) * 0.754_878).fract() * 2.0 - 1.0;
        let x = LEFT + 60.0 + side * (10.0 + 24.0 * depth / column.depth_m);
        path.push_str(&["M", &px(x), " ", &px(column.y(depth) - 5.0), "h5v5h-5z"].concat());
    }
    path
}
