//! Depth against time: the hook bait of one or two patterns beside the free cube.

use super::scene::{chart_x, shown};
use crate::page::Page;
use crate::results::fall::FallPath;
use crate::units::{LengthUnits, Units};
use crate::view::parts::column::{LEFT, TOP, WIDTH, px};
use crate::view::parts::words::noun;
use maud::{Markup, html};

const CHART_H: f64 = 150.0;

/// A depth on the chart's axis, where a unit in metric would not fit.
fn axis(units: Units, depth_m: f64) -> String {
    match units.lengths {
        LengthUnits::Metric => units.number(depth_m * 100.0, 1),
        LengthUnits::Imperial => units.number(depth_m / 0.0254, u8::from(depth_m < 0.6)),
    }
}

pub(super) fn chart(page: &Page) -> Markup {
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
            text x=(px(WIDTH - 4.0)) y=(px(TOP + CHART_H + 29.0)) text-anchor="end" { @if units.lengths == LengthUnits::Metric { "cm" } @else { "inches" } " down, against seconds after the lay" }
            @if let Some(t) = free_end {
                line class="feed" x1=(px(LEFT)) y1=(px(TOP)) x2=(px(chart_x(t, shown.end_s))) y2=(px(y((shown.own.cube_m_per_s.unwrap_or(0.0) * t).min(depth_m)))) {}
            }
            @if let Some((_, _, sunk)) = &shown.beside { polyline class="comparison" points=(curve(sunk)) {} }
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
