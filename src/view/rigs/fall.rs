//! The fall of the open rig: drawn as it sinks beside free cubes, with its depth over time, the usual moves, and the
//! finder of patterns.
//!
//! The drawing is written once; a player then changes a few of its attributes to those of a moment.

use super::fall_chart::chart;
use super::finder::finder;
use super::moves::moves;
use super::scene::{DrawnRig, FLOAT_X, scene, shown};
use crate::page::AFLOAT;
use crate::page::Page;
use crate::plan::{Choice, Entry, Hold};
use crate::results::fall::{FallDoubt, FallPath, hook_over_feed};
use crate::rig::finder::than_feed;
use crate::view::parts::column::{TOP, WIDTH, px};
use crate::view::parts::why::why;
use crate::view::parts::words::{big, noun, piece_words};
use maud::{Markup, html};

/// The times at which the line is drawn standing still, by their place: a quarter, half, three quarters, 99 %.
const STILL: [usize; 4] = [0, 1, 2, 4];

/// The section of the fall, with a mark for the part that is written again when a worker answers.
pub(super) fn section(page: &Page) -> Markup {
    html! {
        section data-part="fall" { (inside(page)) }
    }
}

/// What stands in the section of the fall.
pub(in crate::view) fn inside(page: &Page) -> Markup {
    if page.results.floats() {
        return html! { h2 { "The fall" } p class="refusal" data-result="fall.trouble" { (AFLOAT) } };
    }
    html! {
        h2 { "The fall" }
        @match page.own_fall() {
            None => p class="intro" data-result="fall.waiting" {
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

/// The band of the time to settle, what makes it, and whether the order of two patterns holds; it comes a little later.
pub(in crate::view) fn band(page: &Page) -> Markup {
    let units = page.choices.units;
    let own = page.own_rig();
    let fell = own.as_ref().and_then(|rig| page.falls.of(rig)?.as_ref().ok()?.times_s[4]);
    let (Some(mid), Some(doubt)) = (fell, own.as_ref().and_then(|rig| page.falls.doubt_of(rig))) else {
        return html! { span class="muted" { "Its band is worked out after it." } };
    };
    let seconds = |value: f64| units.number(value.abs(), 1);
    let half = FallDoubt::half(doubt.time_s);
    let [bait, line, shot] = doubt.time_s.map(seconds);
    html! {
        "From " strong { (units.number((mid - half).max(0.0), 0)) " to " (units.number(mid + half, 0)) " s" } " by its inputs: bait ± " (bait) ", line ± " (line) ", shot ± " (shot) " s."
    }
}

fn older() -> Markup {
    html! { p class="stale" data-result="fall.older" { "This is the fall of the rig as it was. The new one is being worked out." } }
}

fn figures(page: &Page, sunk: &FallPath) -> Markup {
    let units = page.choices.units;
    let more = page.plan.rigs.get(page.rig).map(|r| &r.more);
    let entry = match more.map(|m| (m.entry, m.hold)) {
        Some((Entry::Lowered, _)) => "seconds to the end of its way, lowered in",
        Some((_, Hold::Free)) => "seconds to settle, laid on, float free",
        _ => "seconds to settle, laid on, float held",
    };
    let last = sunk.times_s[4];
    html! {
        (big("fall.settle", &last.map_or_else(|| "over 90".to_owned(), |t| units.number(t, 0)), entry))
        p data-result="fall.band" { (band(page)) }
        p data-result="fall.third" {
            @if let (Some(share), Some(third)) = (sunk.of_feed(hook_over_feed(&page.plan)), sunk.last_third_m_per_s) {
                "The last third falls " strong { (than_feed(share)) } ", " (units.speed(third)) ". "
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
    let entry = page.plan.rigs.get(page.rig).map_or(Entry::Laid, |rig| rig.more.entry);
    let mut name = ["The rig as it sinks, ", entry.word(), ". "].concat();
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
    let draw = |which: &str, moment: Option<&DrawnRig>| {
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
                    @if let Some((name, ..)) = &shown.beside { span class="comparison" { (name) } }
                    span class="cubes" { "Free " (noun(page)) "s" }
                }
                p class="player" {
                    @if !page.place.still { button type="button" class="main" id="play" data-act="play" { "Play" } }
                    label class="visually-hidden" for="scrub" { "Moment of the fall" }
                    input id="scrub" type="range" min="0" max=(end) step="1" value="0" data-scrub="yes";
                }
                p class="now" data-now="yes" { (start.as_ref().map_or("", |s| s.words.as_str())) }
                @if page.place.still { p class="hint" { "Motion is switched off on this device: four moments are drawn, and the bar steps through the rest." } }
                @else { p class="hint" { "At true speed. The bar, or the arrow keys on it, steps a tenth of a second." } }
            }
        }
    }
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
        "The line is followed as links of fixed length with shot, hook and bait on it: weight in water, drag, and the water that is carried along, in steps of a hundredth of a second. The bait’s drag is that at which it falls free as the Bait screen says. Bending near the hook, shot that shelter one another, slack line and a bunched lay are left out. No experiment backs the seconds; drag along the line is the weakest input: half or double of it moved times by up to 4.2 % on three rigs. The band is that of bait, line (5 %) and shot, each moved to its ends in a coarser fall; the laws themselves are not in it. Trust the order of two patterns before the seconds of one: what both share moves both, and beside each move stands the chance that its order holds.",
        &inputs,
        "Clift and Gauvin 1971 (shot and hook), Haider and Levenspiel 1989 (bait but for balls), Sucker and Brauer 1975 (line across the flow), Glauert and Lighthill 1955 (along it; coefficients of the line’s drag from memory), Tanaka 2001 and Kestin 1978 (water). A free float’s own mass is taken as 0.6 of its load, from memory.",
    )
}
