//! The feed in the water, with the seconds to each rig's depth above the surface.

use crate::page::Page;
use crate::units::{Quantity, between, tenth_mm};
use crate::view::parts::column::px;
use crate::view::parts::scene::{Scene, cube, spread};
use maud::{Markup, html};

/// Height of the band above the surface, where letters and seconds stand.
const HEAD: f64 = 54.0;
/// Left of here stand the scale and the feed.
const LEFT: f64 = 140.0;

pub(super) fn picture(page: &Page) -> Markup {
    let (plan, units) = (&page.plan, page.choices.units);
    let scene = Scene::new(page, 240.0, HEAD, 14.0);
    let seconds = |rig: usize| {
        let time = page.results.seconds_to(plan.rigs[rig].depth_tenth_mm)?.mid;
        // Eight of them stand side by side on a phone.
        let short = if plan.rigs.len() > 6 { 9.95 } else { 20.0 };
        Some(units.number(time, u8::from(time < short)))
    };
    let told = (0..plan.rigs.len()).map(|rig| {
        let depth = units.text(plan.rigs[rig].depth_tenth_mm, Quantity::Depth);
        let time = seconds(rig).map_or_else(|| "no time".to_owned(), |s| s + " s");
        [&plan.rigs[rig].name, " at ", &depth, ": ", &time].concat()
    });
    let told: Vec<String> = told.collect();
    let name = ["Seconds that the feed takes to each rig. ", &told.join("; "), "."].concat();
    let inside = html! {
        text class="soft" x="8" y="20" { "rig" }
        text class="soft" x="8" y="42" { "seconds" }
        (bits(page, &scene))
    };
    let rigs = html! {
        @for (i, rig) in plan.rigs.iter().enumerate() {
            @let x = scene.x(LEFT, i, plan.rigs.len());
            (scene.rig(page, i, (x, 20.0), i == page.rig, &html! {
                text class="value" data-result={ "sink.rig." (i) } x=(px(x)) y="42" text-anchor="middle" { (seconds(i).unwrap_or_else(|| "–".to_owned())) }
                (scene.line(x, rig.depth_tenth_mm))
            }))
        }
    };
    scene.draw("feeds", &name, &inside, &scene.level(plan.water.depth_tenth_mm), &rigs)
}

/// The last three feeds as they stand in the water 5 s after the last.
fn bits(page: &Page, scene: &Scene) -> Markup {
    let (Some(phase), Some(sink)) = (page.plan.feed.first(), &page.results.sink) else { return html! {} };
    if page.results.floats() {
        return html! {};
    }
    let (low, high) = (sink.speed_m_per_s.low, sink.speed_m_per_s.high);
    let count = u32::try_from(phase.cubes.clamp(1, 24)).unwrap_or(1);
    let water = page.plan.water.depth_tenth_mm;
    html! {
        @for k in 0..3_u32 {
            @let age = 5.0 + f64::from(phase.every_s) * f64::from(k);
            @for i in 0..count {
                @let (a, b) = spread(i, k);
                // Middle values are commoner than the ends of the band.
                @let speed = low + (high - low) * between(0.5 + 0.5 * (2.0 * a - 1.0).powi(3) + 0.08 * (2.0 * b - 1.0), 0.0, 1.0);
                @let down = tenth_mm(age * speed).min(water);
                @let wide = 12.0 + 16.0 * f64::from(down) / f64::from(water.max(1));
                (cube(96.0 + wide * (2.0 * b - 1.0), scene.y(down) - 2.5, a))
            }
        }
    }
}
