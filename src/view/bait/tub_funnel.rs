//! How the drops narrow what is known: the band of a typical piece's time, from the label to the last drop.

use crate::bait::tub_test::TubSettings;
use crate::estimate::Estimate;
use crate::page::Page;
use crate::plan::fields::NEVER_MS;
use crate::results::tub_course::forecast;
use crate::units::{Units, between};
use crate::view::parts::column::px;
use maud::{Markup, html};

/// Left, right, top and bottom of the picture.
const BOX: (f64, f64, f64, f64) = (46.0, 318.0, 12.0, 116.0);
/// Drops from which the band hardly shrinks any more; common sense, from the simulated tests.
pub(super) const ENOUGH: usize = 10;
/// From so many drops on what they leave open is known well enough to say what more would do.
const TELLING: usize = 3;

/// Half the band, as a part of the middle.
fn half(band: &Estimate) -> f64 {
    0.5 * (band.high / band.low).ln()
}

/// How near the time through the bucket is known by now, in words: `within 3 %`.
fn within(page: &Page) -> Option<String> {
    let band = page.results.tub.as_ref().filter(|tub| tub.drops > 0)?.tub_time_s?;
    band.high.is_finite().then(|| share(&band, page.choices.units))
}

fn share(band: &Estimate, units: Units) -> String {
    ["within ", &units.number((100.0 * half(band)).max(1.0), 0), " %"].concat()
}

pub(super) fn funnel(page: &Page) -> Markup {
    let units = page.choices.units;
    let times = &page.plan.bait_more.tub.drops_ms;
    if times.is_empty() {
        return html! {};
    }
    let late_s = TubSettings::default().late_s;
    let seconds = times.iter().map(|&ms| (ms < NEVER_MS).then(|| f64::from(ms) / 1000.0 - late_s));
    let mut bands: Vec<(usize, Estimate)> = page.tub_course.bands().collect();
    let tub = page.results.tub.as_ref().filter(|tub| tub.drops == times.len());
    let now = tub.and_then(|tub| Some((times.len(), tub.tub_time_s?, tub.depth_share)));
    if let Some((count, band, _)) = now.filter(|now| bands.iter().all(|band| band.0 != now.0)) {
        bands.push((count, band));
    }
    let Some(middle) = bands.last().map(|(_, band)| band.mid) else { return html! {} };
    // What may float, and a drop that hung on the rim, would leave the rest no room.
    let finite = |s: f64| between(s, 0.2 * middle, 3.0 * middle);
    let drops: Vec<f64> = seconds.clone().flatten().map(finite).collect();
    let ends = bands.iter().flat_map(|(_, band)| [finite(band.low), finite(band.high)]);
    let (low, high) =
        ends.chain(drops.iter().copied()).fold((f64::INFINITY, 0.0_f64), |(a, b), s| (a.min(s), b.max(s)));
    let (left, right, top, bottom) = BOX;
    let most = times.len().max(ENOUGH);
    let x = |count: usize| left + (right - left) * count as f64 / most as f64;
    let y = |s: f64| bottom - (bottom - top) * (finite(s) - low) / (high - low).max(1e-6);
    let point = |(count, s): (usize, f64)| [&px(x(count)), ",", &px(y(s)), " "].concat();
    let upper: String = bands.iter().map(|(count, band)| point((*count, band.high))).collect();
    let lower: String = bands.iter().rev().map(|(count, band)| point((*count, band.low))).collect();
    let ahead = now
        .filter(|(count, band, _)| (TELLING..ENOUGH).contains(count) && band.high.is_finite())
        .map(|(count, band, depth_share)| (count, band, forecast(&band, count, ENOUGH, depth_share)));
    let text = |s: f64| [&units.number(s, 1), " s"].concat();
    let odd = page.results.tub.as_ref().map_or(&[][..], |tub| &tub.odd_drops);
    let label = bands.first().filter(|(count, _)| *count == 0).map(|(_, band)| {
        let to = if band.high.is_finite() { [" to ", &text(band.high)].concat() } else { " on".to_owned() };
        ["By the label from ", &text(band.low), &to, ". "].concat()
    });
    let near = within(page).map_or_else(String::new, |within| [", ", &within].concat());
    let found = now.map(|(_, band, _)| ["By the drops ", &text(band.mid), &near, "."].concat());
    let told =
        ["A typical piece through the bucket. ", &label.unwrap_or_default(), &found.unwrap_or_default()]
            .concat();
    html! {
        svg class="column chart funnel" data-drawing="funnel" viewBox="0 0 330 136" role="img" aria-label=(told) {
            polygon class="band" points={ (upper) (lower) } {}
            polyline class="edge" points=(upper) {}
            polyline class="edge" points=(lower) {}
            @if let Some((count, band, ten)) = &ahead {
                @for (now, then) in [(band.low, ten.low), (band.high, ten.high)] {
                    polyline class="ahead" points={ (point((*count, now))) (point((ENOUGH, then))) } {}
                }
            }
            @for (i, s) in seconds.enumerate() {
                @if let Some(s) = s { circle class=(if odd.contains(&i) { "odd" } else { "drop" }) cx=(px(x(i + 1))) cy=(px(y(s))) r="4.5" {} }
            }
            @for s in [low, high] { text x=(px(left - 5.0)) y=(px(y(s) + 4.0)) text-anchor="end" { (text(s)) } }
            text x=(px(left)) y=(px(bottom + 17.0)) text-anchor="middle" { "label" }
            text x=(px(right)) y=(px(bottom + 17.0)) text-anchor="end" { (most) " drops" }
        }
        @if let Some(within) = within(page) {
            p class="soft" data-result="tub.within" {
                "Through the bucket " (within)
                @if let Some((_, _, ten)) = &ahead { "; ten drops would bring it " (share(ten, units)) }
            }
        }
    }
}
