//! The fall of the open rig: drawn as it sinks beside free cubes, with its depth over time, the usual moves, and the
//! finder of patterns.
//!
//! The drawing is written once; a player then changes a few of its attributes to those of a moment.

use super::bait::{noun, piece_words};
use super::big;
use super::column::{Column, HEIGHT, LEFT, TOP, WIDTH, px};
use super::why::why;
use crate::page::AFLOAT;
use crate::page::Page;
use crate::page::falls::{AIMS, Comparison};
use crate::plan::{Entry, Hold};
use crate::results::fall::FallPath;
use crate::rig::fall::{Rig, Shot};
use crate::rig::finder::{Aim, Figures, Proposal};
use crate::rig::layout::{Move, When};
use crate::units::{LengthUnits, Quantity, Units, tenth_mm};
use maud::{Markup, html};

/// Where the float stands in the drawing.
const FLOAT_X: f64 = LEFT + 12.0;
/// The times at which the line is drawn standing still, by their place: a quarter, half, three quarters, 99 %.
const STILL: [usize; 4] = [0, 1, 2, 4];

/// The drawing's changing parts at a moment.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Moment {
    /// Points of the line.
    pub line: String,
    /// Dots of the shot.
    pub shots: String,
    /// Place of the hook bait, as a transform.
    pub hook: String,
}

/// Everything that changes at a moment.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Scene {
    /// The own pattern.
    pub own: Option<Moment>,
    /// The one beside it.
    pub beside: Option<Moment>,
    /// How far the free cubes have sunk, as a transform.
    pub cubes: String,
    /// The chart's pointer, as a transform.
    pub pointer: String,
    /// The moment in words.
    pub words: String,
}

/// The two falls that are shown.
struct Shown<'a> {
    own: &'a FallPath,
    own_rig: Rig,
    beside: Option<(String, Rig, &'a FallPath)>,
    column: Column,
    end_s: f64,
}

fn shown(page: &Page) -> Option<Shown<'_>> {
    let (fall, current) = page.own_fall()?;
    let own = fall.as_ref().ok()?;
    let own_rig = if current { page.own_rig()? } else { page.deep.last.clone()?.1 };
    let beside = page
        .beside()
        .filter(|_| current)
        .and_then(|(words, rig)| page.deep.of(&rig)?.as_ref().ok().map(|sunk| (words, rig, sunk)));
    let water_m = f64::from(page.plan.water.depth_tenth_mm) * 1e-4;
    // A shallow rig is drawn in the upper water alone.
    let length = own_rig.length_m();
    let depth_m = if length * 1.6 < water_m { length * 1.25 } else { water_m.max(length) };
    Some(Shown {
        own,
        own_rig,
        beside,
        column: Column { depth_m, units: page.choices.units, high: HEIGHT },
        end_s: page.watch_s(),
    })
}

impl Shown<'_> {
    fn x(&self, x_m: f64) -> f64 {
        FLOAT_X + HEIGHT * x_m / self.column.depth_m
    }

    fn points(&self, nodes: &[(f64, f64)]) -> String {
        let mut text = String::new();
        for (x, z) in nodes {
            text.push_str(&px(self.x(*x)));
            text.push(' ');
            text.push_str(&px(self.column.y(*z)));
            text.push(' ');
        }
        text
    }

    fn moment(&self, sunk: &FallPath, rig: &Rig, t_s: f64) -> Moment {
        let nodes = sunk.at(t_s);
        let mut shots = String::new();
        for shot in &rig.shots {
            #[expect(clippy::cast_possible_truncation, reason = "for drawing")]
            let place = shot.from_hook_m as f32;
            let mut best = (f32::INFINITY, 0);
            for (i, from) in sunk.from_hook_m.iter().enumerate() {
                if (from - place).abs() < best.0 {
                    best = ((from - place).abs(), i);
                }
            }
            if let Some((x, z)) = nodes.get(best.1) {
                shots.push_str(&["M", &px(self.x(*x)), " ", &px(self.column.y(*z)), "h0"].concat());
            }
        }
        let (x, z) = nodes.last().copied().unwrap_or_default();
        let hook = ["translate(", &px(self.x(x)), " ", &px(self.column.y(z)), ")"].concat();
        Moment { line: self.points(&nodes), shots, hook }
    }

    fn cube_m(&self, t_s: f64) -> f64 {
        (self.own.cube_m_per_s.unwrap_or(0.0) * t_s).min(self.own_rig.length_m())
    }
}

/// What the drawing looks like `t_s` after the lay; nothing when there is no fall to show.
#[must_use]
pub fn scene(page: &Page, t_s: f64) -> Option<Scene> {
    let shown = shown(page)?;
    let units = page.choices.units;
    let cubes_px = HEIGHT * shown.cube_m(t_s) / shown.column.depth_m;
    let mut words = [
        &units.number(t_s, 1),
        " s: bait ",
        &units.depth_m(shown.own.hook_m(t_s)),
        " down, free ",
        noun(page),
        " ",
        &units.depth_m(shown.cube_m(t_s)),
    ]
    .concat();
    if let Some((name, _, sunk)) = &shown.beside {
        words = [&words, ", ", &name.to_ascii_lowercase(), " ", &units.depth_m(sunk.hook_m(t_s))].concat();
    }
    Some(Scene {
        own: Some(shown.moment(shown.own, &shown.own_rig, t_s)),
        beside: shown.beside.as_ref().map(|(_, rig, sunk)| shown.moment(sunk, rig, t_s)),
        cubes: ["translate(0 ", &px(cubes_px), ")"].concat(),
        pointer: ["translate(", &px(chart_x(t_s, shown.end_s)), " 0)"].concat(),
        words,
    })
}

/// The section of the fall, with a mark for the part that is written again when a worker answers.
pub(super) fn section(page: &Page) -> Markup {
    html! {
        section data-part="fall" { (inside(page)) }
    }
}

/// What stands in the section of the fall.
pub(super) fn inside(page: &Page) -> Markup {
    if page.day.floats() {
        return html! { h2 { "The fall" } p class="refusal" data-result="fall.trouble" { (AFLOAT) } };
    }
    html! {
        h2 { "The fall" }
        @match page.own_fall() {
            None => p class="lead" data-result="fall.waiting" {
                @if page.layout().is_some() { "Working out how this rig sinks…" } @else { "There is no shot on this rig yet, so nothing sinks." }
            },
            Some((Err(sentence), current)) => {
                @if !current { (older()) }
                p class="refusal" data-result="fall.trouble" { (sentence) }
            },
            Some((Ok(sunk), current)) => {
                @if !current { (older()) }
                (figures(page, sunk))
                (drawing(page))
                (chart(page))
            },
        }
        (moves(page))
        (fall_why(page))
        (finder(page))
    }
}

fn older() -> Markup {
    html! { p class="stale" data-result="fall.older" { "This is the fall of the rig as it was. The new one is being worked out." } }
}

fn figures(page: &Page, sunk: &FallPath) -> Markup {
    let units = page.choices.units;
    let more = page.plan.rigs.get(page.rig).map(|r| &r.more);
    let entry = match more.map(|m| (m.entry, m.hold)) {
        Some((Entry::Lowered, _)) => "seconds to the end of its way, lowered",
        Some((_, Hold::Free)) => "seconds to settle, laid straight, float free",
        _ => "seconds to settle, laid straight, float held",
    };
    let last = sunk.times_s[4];
    html! {
        (big("fall.settle", &last.map_or_else(|| "over 90".to_owned(), |t| units.number(t, 0)), entry))
        p data-result="fall.third" {
            @if let (Some(share), Some(third)) = (sunk.of_feed(), sunk.last_third_m_per_s) {
                "The last third falls at " strong { (units.number(share, 2)) " of the feed" } ", " (units.number(third * 100.0, 1)) " cm a second. "
            }
            @if let Some(t) = sunk.last_30_cm_s { "The last " (units.depth_m(0.3)) " take " strong { (units.number(t, 1)) " s" } "." }
        }
    }
}

fn drawing(page: &Page) -> Markup {
    let Some(shown) = shown(page) else { return html! {} };
    let units = page.choices.units;
    let column = shown.column;
    let at = |share: usize| shown.own.times_s.get(share).copied().flatten();
    let moments: Vec<f64> = STILL.iter().filter_map(|i| at(*i)).collect();
    let mut name = "The rig as it sinks, laid straight from the float on the left. ".to_owned();
    for t in &moments {
        let parts = [
            "After ",
            &units.number(*t, 1),
            " s the bait is ",
            &units.depth_m(shown.own.hook_m(*t)),
            " down. ",
        ];
        name.push_str(&parts.concat());
    }
    let start = scene(page, 0.0);
    let key = if shown.column.depth_m < f64::from(page.plan.water.depth_tenth_mm) * 0.99e-4 {
        "sinking-upper"
    } else {
        "sinking"
    };
    let draw = |which: &str, moment: Option<&Moment>| {
        html! {
            @if let Some(moment) = moment {
                g class={ "fall " (which) } data-fall=(which) {
                    polyline class="line" points=(moment.line) {}
                    path class="dots" d=(moment.shots) {}
                    rect class="cube" x="-3.5" y="-3.5" width="7" height="7" transform=(moment.hook) {}
                }
            }
        }
    };
    let inside = html! {
        @for t in &moments {
            @let nodes = shown.own.at(*t);
            @let (x, z) = nodes.last().copied().unwrap_or_default();
            polyline class="ghost" points=(shown.points(&nodes)) {}
            text class="name" x=(px((shown.x(x) + 5.0).min(WIDTH - 40.0))) y=(px(column.y(z) - 3.0)) { (units.number(*t, 0)) " s" }
        }
        g data-cubes="yes" transform=(start.as_ref().map_or("", |s| s.cubes.as_str())) {
            @for i in 0..5 { rect class="cube free" x=(px(WIDTH - 12.0 - 9.0 * f64::from(i))) y=(px(TOP - 2.5)) width="5" height="5" {} }
        }
        (draw("beside", start.as_ref().and_then(|s| s.beside.as_ref())))
        (draw("own", start.as_ref().and_then(|s| s.own.as_ref())))
        path class="float" d={ "M" (px(FLOAT_X - 4.0)) " " (px(TOP)) "Q" (px(FLOAT_X)) " " (px(TOP - 6.0)) " " (px(FLOAT_X + 4.0)) " " (px(TOP)) "L" (px(FLOAT_X)) " " (px(TOP + 10.0)) "Z" } {}
    };
    #[expect(clippy::cast_possible_truncation, reason = "tenths of a second")]
    let end = (shown.end_s * 10.0) as i32;
    html! {
        figure class="sinking" {
            (column.draw(key, &name, &inside))
            figcaption {
                p class="keys" {
                    span class="own" { "Yours" }
                    @if let Some((name, ..)) = &shown.beside { span class="beside" { (name) } }
                    span class="cubes" { "Free " (noun(page)) "s" }
                }
                p class="player" {
                    @if !page.deep.still { button type="button" class="main" id="play" data-play="yes" { "Play" } }
                    label class="unseen" for="scrub" { "Moment of the fall" }
                    input id="scrub" type="range" min="0" max=(end) step="1" value="0" data-scrub="yes";
                }
                p class="now" data-now="yes" { (start.as_ref().map_or("", |s| s.words.as_str())) }
                @if page.deep.still { p class="hint" { "Motion is switched off on this device: four moments are drawn, and the bar steps through the rest." } }
                @else { p class="hint" { "At true speed. The bar, or the arrow keys on it, steps a tenth of a second." } }
            }
        }
    }
}

const CHART_H: f64 = 150.0;

/// A depth on the chart's axis, where a unit in metric would not fit.
fn axis(units: Units, depth_m: f64) -> String {
    match units.lengths {
        LengthUnits::Metric => units.number(depth_m * 100.0, 1),
        LengthUnits::Imperial => units.depth_m(depth_m),
    }
}

fn chart_x(t_s: f64, end_s: f64) -> f64 {
    LEFT + (WIDTH - LEFT - 8.0) * t_s / end_s.max(0.1)
}

fn chart(page: &Page) -> Markup {
    let Some(shown) = shown(page) else { return html! {} };
    let units = page.choices.units;
    let depth_m = shown.own_rig.length_m();
    let y = |z: f64| TOP + CHART_H * z / depth_m;
    let curve = |sunk: &FallPath| {
        let mut text = String::new();
        for i in 0..=80 {
            let t = shown.end_s * f64::from(i) / 80.0;
            text.push_str(&[&px(chart_x(t, shown.end_s)), " ", &px(y(sunk.hook_m(t))), " "].concat());
        }
        text
    };
    let free_end = shown.own.cube_m_per_s.map(|v| (depth_m / v).min(shown.end_s));
    let step_s = if shown.end_s > 40.0 {
        20
    } else if shown.end_s > 12.0 {
        5
    } else {
        2
    };
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few seconds")]
    let marks = (shown.end_s / f64::from(step_s)) as u32;
    let row = |sunk: &FallPath, i: usize| {
        sunk.times_s.get(i).copied().flatten().map_or_else(|| "–".to_owned(), |t| units.number(t, 1) + " s")
    };
    html! {
        h3 { "Depth over time" }
        svg class="column chart" data-drawing="depth-time" viewBox={ "0 0 " (px(WIDTH)) " " (px(TOP + CHART_H + 34.0)) } role="img" aria-label={ "Depth of the hook bait over time, beside a free " (noun(page)) ". The table below has the figures." } {
            rect class="water" x=(px(LEFT)) y=(px(TOP)) width=(px(WIDTH - LEFT)) height=(px(CHART_H)) {}
            @for i in 0..=4 {
                @let z = depth_m * f64::from(i) / 4.0;
                text x=(px(LEFT - 4.0)) y=(px(y(z) + 4.0)) text-anchor="end" { (axis(units, z)) }
            }
            @for i in 0..=marks {
                @let t = f64::from(i * step_s);
                line class="mark" x1=(px(chart_x(t, shown.end_s))) y1=(px(TOP)) x2=(px(chart_x(t, shown.end_s))) y2=(px(TOP + CHART_H)) {}
                text x=(px(chart_x(t, shown.end_s))) y=(px(TOP + CHART_H + 14.0)) text-anchor="middle" { (i * step_s) }
            }
            text x=(px(WIDTH - 4.0)) y=(px(TOP + CHART_H + 29.0)) text-anchor="end" { @if units.lengths == LengthUnits::Metric { "cm down, against " } "seconds after the lay" }
            @if let Some(t) = free_end {
                line class="feed" x1=(px(LEFT)) y1=(px(TOP)) x2=(px(chart_x(t, shown.end_s))) y2=(px(y((shown.own.cube_m_per_s.unwrap_or(0.0) * t).min(depth_m)))) {}
            }
            @if let Some((_, _, sunk)) = &shown.beside { polyline class="beside" points=(curve(sunk)) {} }
            polyline class="own" points=(curve(shown.own)) {}
            line class="pointer" data-pointer="yes" x1="0" y1=(px(TOP)) x2="0" y2=(px(TOP + CHART_H)) transform={ "translate(" (px(LEFT)) " 0)" } {}
        }
        table data-result="fall.times" {
            caption { "When the bait is how deep" }
            thead { tr { th scope="col" { "Depth" } th scope="col" { "Yours" } @if let Some((name, ..)) = &shown.beside { th scope="col" { (name) } } th scope="col" { "Free " (noun(page)) } } }
            tbody {
                @for (i, share) in [0.25, 0.5, 0.75, 0.9, 0.99].into_iter().enumerate() {
                    @let z = shown.own.depth_m * share;
                    tr {
                        th scope="row" { (units.depth_m(z)) }
                        td { (row(shown.own, i)) }
                        @if let Some((_, _, sunk)) = &shown.beside { td { (row(sunk, i)) } }
                        td { @match shown.own.cube_m_per_s { Some(v) => { (units.number(z / v, 1)) " s" }, None => "–" } }
                    }
                }
            }
        }
    }
}

/// How a fall differs from the own one: `2 s slower, last third 0.93`.
fn effect(units: Units, own: Option<&FallPath>, other: &FallPath) -> String {
    let (Some(own), Some(theirs)) = (own, other.times_s[4]) else { return String::new() };
    let Some(mine) = own.times_s[4] else { return String::new() };
    let off = theirs - mine;
    let speed = if off.abs() < 0.15 {
        "as long to the bottom".to_owned()
    } else {
        [
            units.number(off.abs(), 1).as_str(),
            if off > 0.0 { " s slower to the bottom" } else { " s quicker to the bottom" },
        ]
        .concat()
    };
    match (own.of_feed(), other.of_feed()) {
        (Some(mine), Some(theirs)) => [
            &speed,
            ", last third ",
            &units.number(theirs, 2),
            " of the feed (now ",
            &units.number(mine, 2),
            ")",
        ]
        .concat(),
        _ => speed,
    }
}

fn pressed(on: bool) -> &'static str {
    if on { "true" } else { "false" }
}

fn moves(page: &Page) -> Markup {
    let units = page.choices.units;
    let moves = page.moves();
    let own = page.own_fall().filter(|f| f.1).and_then(|f| f.0.as_ref().ok());
    let at = |mm: i32| units.text(mm.saturating_mul(10), Quantity::Depth);
    html! {
        @if !moves.is_empty() {
            h3 { "When bites are missed, or do not come" }
            ol class="moves" data-result="rig.moves" {
                @for (k, one) in moves.iter().enumerate() {
                    li class="card" {
                        p { strong { (k + 1) ". " (match one.when { When::BitesMissed => "Bites are missed. ", When::NoBites => "No bites. " }) } (one.words) }
                        p class="soft" { (one.shots) " shot from " (at(one.from_mm)) " to " (at(one.to_mm)) @if one.up_to_mm != one.to_mm { " – " (at(one.up_to_mm)) } " from the hook." }
                        p data-effect=(k) { (move_effect(page, one, own)) }
                        p class="acts" {
                            @let beside = page.deep.beside == Comparison::Move(k);
                            button type="button" data-act={ @if beside { "deep:alone" } @else { "deep:move." (k) } } aria-pressed=(pressed(beside)) { "Show beside mine" }
                            button type="button" data-act={ "deep:usemove." (k) } { "Use it" }
                        }
                    }
                }
            }
        }
    }
}

/// What a move does to the fall, as far as it is known.
fn move_effect(page: &Page, one: &Move, own: Option<&FallPath>) -> Markup {
    let units = page.choices.units;
    html! {
        @match page.fall_of(&one.layout).as_ref().and_then(|rig| page.deep.of(rig)) {
            Some(Ok(sunk)) => strong { (effect(units, own, sunk)) },
            Some(Err(sentence)) => span class="refusal" { (sentence) },
            None => span class="soft" { "Its fall is being worked out…" },
        }
    }
}

/// The effects of all moves, in their order.
pub(super) fn effects(page: &Page) -> Vec<String> {
    let own = page.own_fall().filter(|f| f.1).and_then(|f| f.0.as_ref().ok());
    page.moves().iter().map(|one| move_effect(page, one, own).into_string()).collect()
}

fn fall_why(page: &Page) -> Markup {
    let units = page.choices.units;
    let mut inputs = Vec::new();
    if let Some(rig) = page.own_rig() {
        inputs.push(("water", [&units.number(rig.temperature_c, 1), " °C"].concat()));
        inputs.push((
            "bait",
            [&piece_words(page), ", ", &units.number(rig.bait.density, 0), " kg/m3"].concat(),
        ));
        if let Some(speed) = rig.bait.free_m_per_s {
            inputs.push(("falling free", [&units.number(speed * 100.0, 1), " cm/s"].concat()));
        }
        inputs.push(("hook", [&units.number(rig.hook.mass_kg * 1000.0, 3), " g"].concat()));
        inputs.push(("places with shot", rig.shots.len().to_string()));
    }
    why(
        page.choices.units,
        "fall",
        "The line is followed as links of fixed length with shot, hook and bait on it: weight in water, drag, and the water that is carried along, in steps of a hundredth of a second. The bait’s drag is that at which it falls free as the Bait screen says. Bending near the hook, shot that shelter one another, slack line and a bunched lay are left out. No experiment backs the seconds; drag along the line is the weakest input: half or double of it moved times by up to 4.2 % on three rigs. Trust the order of two patterns before the seconds of one.",
        &inputs,
        "Clift and Gauvin 1971 (shot and hook), Haider and Levenspiel 1989 (bait but for balls), Sucker and Brauer 1975 (line across the flow), Glauert and Lighthill 1955 (along it; coefficients of the line’s drag from memory), Tanaka 2001 and Kestin 1978 (water). A free float’s own mass is taken as 0.6 of its load, from memory.",
    )
}

/// The finder, with a mark for the part that is written again as it comes along.
fn finder(page: &Page) -> Markup {
    html! {
        h2 { "Find a pattern" }
        div data-part="finder" { (finder_inside(page)) }
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
    let mut words = [
        &units.number(f.to_bottom_s, 1),
        " s to the bottom, last ",
        &units.depth_m(0.3),
        " ",
        &units.number(f.last_30_cm_s, 1),
        " s",
    ]
    .concat();
    if let Some(share) = f.last_third_of_feed {
        words = [&words, ", last third ", &units.number(share, 2), " of the feed"].concat();
    }
    words
}

/// What stands in the finder.
pub(super) fn finder_inside(page: &Page) -> Markup {
    let deep = &page.deep;
    let search = deep.search.as_ref().filter(|s| s.rig == page.rig);
    let running = search.is_some_and(|s| s.running);
    html! {
        div class="switch" role="group" aria-label="What the fall should do" {
            @for (k, (aim, words)) in AIMS.iter().enumerate() {
                button type="button" id={ "aim-" (k) } data-act={ "deep:aim." (k) } aria-pressed=(pressed(deep.aim == *aim)) { (words) @if *aim == Aim::SlowLast30Cm { (page.choices.units.depth_m(0.3)) } }
            }
        }
        div class="row" {
            span class="label" { "At most, groups" }
            span class="stepper" {
                button type="button" id="groups-less" data-act="deep:groups.-" aria-label="Groups, less" { "−" }
                strong { (deep.groups) }
                button type="button" id="groups-more" data-act="deep:groups.+" aria-label="Groups, more" { "+" }
            }
        }
        div class="switch" {
            button type="button" id="find-keep" data-act="deep:keep" aria-pressed=(pressed(deep.keep)) { "Droppers stay" }
            button type="button" id="find-hooklength" data-act="deep:hooklength" aria-pressed=(pressed(deep.on_hooklength)) { "Shot may go on the hooklength" }
        }
        p class="acts" {
            @if running { button type="button" class="main" id="find" data-act="deep:stop" { "Stop" } }
            @else { button type="button" class="main" id="find" data-act="deep:start" { "Search" } }
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
pub(super) fn found(page: &Page) -> Markup {
    let units = page.choices.units;
    let search = page.deep.search.as_ref().filter(|s| s.rig == page.rig);
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
    let beside = page.deep.beside == Comparison::Proposal(k);
    html! {
        div class="card" data-result="find.proposal" {
            p { strong { "Proposal " (k + 1) @if found.best { ", the one to try" } ": " } (places(page, &found.shots)) }
            p { (proposal_words(page.choices.units, &found.words)) @if !found.exact { " Within 1 % so far." } }
            p class="acts" {
                button type="button" data-act={ @if beside { "deep:alone" } @else { "deep:proposal." (k) } } aria-pressed=(pressed(beside)) { "Show beside mine" }
                button type="button" data-act={ "deep:use." (k) } { "Use it" }
            }
        }
    }
}
