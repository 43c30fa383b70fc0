//! The feed in the water, with the seconds to each rig's depth above the surface.

use crate::page::Page;
use crate::plan::Purpose;
use crate::units::{Quantity, between, fixed};
use crate::view::parts::column::px;
use crate::view::parts::mark::{mark_at, mark_of};
use maud::{Markup, html};

/// Height of the band above the surface, where letters and seconds stand.
const HEAD: f64 = 54.0;
/// Left of here stand the scale and the feed.
const LEFT: f64 = 140.0;

pub(super) fn picture(page: &Page) -> Markup {
    let (plan, day, units) = (&page.plan, &page.results, page.choices.units);
    let (wide, high) = if page.place.wide { (780.0, 400.0) } else { (360.0, 240.0) };
    let deepest =
        plan.rigs.iter().map(|rig| rig.depth_tenth_mm).chain([plan.water.depth_tenth_mm]).max().unwrap_or(1);
    let depth_m = f64::from(deepest) * 1e-4;
    let y = |m: f64| HEAD + (high - 14.0 - HEAD) * between(m / depth_m, 0.0, 1.0);
    let rigs: Vec<usize> = (0..plan.rigs.len()).collect();
    let step = (wide - LEFT - 14.0) / rigs.len().max(1) as f64;
    let seconds = |rig: usize| {
        let name = ["Rig ", &plan.rigs[rig].name].concat();
        let shallow = plan.rigs[rig].purpose == Purpose::Shallow;
        let m = f64::from(plan.rigs[rig].depth_tenth_mm) * 1e-4;
        let named = day.falls.iter().find(|fall| shallow && fall.name == name);
        let time = named
            .or_else(|| day.falls.iter().find(|fall| (fall.depth_m - m).abs() < 1e-6))?
            .time_s
            .as_ref()?
            .mid;
        Some(units.number(time, u8::from(time < 20.0)))
    };
    let told: Vec<String> = rigs
        .iter()
        .map(|&rig| {
            let depth = units.text(plan.rigs[rig].depth_tenth_mm, Quantity::Depth);
            [
                &plan.rigs[rig].name,
                " at ",
                &depth,
                ": ",
                &seconds(rig).map_or_else(|| "no time".to_owned(), |s| s + " s"),
            ]
            .concat()
        })
        .collect();
    let name = ["Seconds that the feed takes to each rig. ", &told.join("; "), "."].concat();
    html! {
        svg class="scene" data-drawing="feeds" viewBox={ "0 0 " (px(wide)) " " (px(high)) } role="img" aria-label=(name) {
            rect class="sky" x="0" y="0" width=(px(wide)) height=(px(HEAD)) {}
            rect class="water" x="0" y=(px(HEAD)) width=(px(wide)) height=(px(high - HEAD)) {}
            text class="soft" x="8" y="20" { "rig" }
            text class="soft" x="8" y="42" { "seconds" }
            (super::super::parts::column::ticks(units, deepest, &|tenth_mm| y(f64::from(tenth_mm) * 1e-4)))
            (bits(page, depth_m, &y))
            rect class="ground" x="0" y=(px(high - 14.0)) width=(px(wide)) height="14" {}
            line class="bed" x1="0" y1=(px(high - 14.0)) x2=(px(wide)) y2=(px(high - 14.0)) {}
            line class="surface" x1="0" y1=(px(HEAD)) x2=(px(wide)) y2=(px(HEAD)) {}
            @for &rig in &rigs {
                @let x = LEFT + step * (rig as f64 + 0.5);
                @let at = y(f64::from(plan.rigs[rig].depth_tenth_mm) * 1e-4);
                g class=(if rig == page.rig { "rig open" } else { "rig" }) {
                    text class="value" x=(px(x)) y="20" text-anchor="middle" { (plan.rigs[rig].name.chars().take(2).collect::<String>()) }
                    text class="value" data-result={ "sink.rig." (rig) } x=(px(x)) y="42" text-anchor="middle" { (seconds(rig).unwrap_or_else(|| "–".to_owned())) }
                    line class="line" x1=(px(x)) y1=(px(HEAD - 6.0)) x2=(px(x)) y2=(px(at)) {}
                    path class="float" d={ "M" (px(x - 4.0)) " " (px(HEAD)) "h8l-4 10z" } {}
                    (mark_at(mark_of(&plan.rigs, rig), x, at - 2.0))
                }
            }
        }
    }
}

/// The last three feeds as they stand in the water 5 s after the last.
fn bits(page: &Page, depth_m: f64, y: &impl Fn(f64) -> f64) -> Markup {
    let (Some(phase), Some(sink)) = (page.plan.feed.first(), &page.results.sink) else { return html! {} };
    if page.results.floats() {
        return html! {};
    }
    let (low, high) = (sink.speed_m_per_s.low, sink.speed_m_per_s.high);
    let count = u32::try_from(phase.cubes.clamp(1, 24)).unwrap_or(1);
    html! {
        @for k in 0..3_u32 {
            @let age = 5.0 + f64::from(phase.every_s) * f64::from(k);
            @for i in 0..count {
                // Spread evenly by two irrational steps (powers of the plastic number): the same picture each time.
                @let a = (f64::from(i + 1) * 0.754_877_67 + f64::from(k) * 0.3).fract();
                @let b = (f64::from(i + 1) * 0.569_840_29 + f64::from(k) * 0.1).fract();
                // Middle values are commoner than the ends of the band.
                @let speed = low + (high - low) * between(0.5 + 0.5 * (2.0 * a - 1.0).powi(3) + 0.08 * (2.0 * b - 1.0), 0.0, 1.0);
                @let wide = 12.0 + 16.0 * (age * speed / depth_m).min(1.0);
                @let (x, at) = (96.0 + wide * (2.0 * b - 1.0), y((age * speed).min(depth_m)));
                rect class="cube" x=(px(x - 2.5)) y=(px(at - 5.0)) width="5" height="5" transform={ "rotate(" (fixed(a * 90.0, 0)) " " (px(x)) " " (px(at - 2.5)) ")" } {}
            }
        }
    }
}
