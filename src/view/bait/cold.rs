//! Frozen and half-thawed cubes, and how long bags take.

use crate::bait::cold::{FreezingTime, FrozenCurve};
use crate::page::Page;
use crate::results::cold;
use crate::results::prep::moment;
use crate::units::{Units, duration_words};
use crate::view::parts::column::px;
use crate::view::parts::field::{number, pick};
use crate::view::parts::why::{caution, why};
use crate::view::parts::words::big;
use maud::{Markup, html};

pub(super) fn results(page: &Page) -> Markup {
    let (plan, units) = (&page.plan, page.choices.units);
    html! {
        @if plan.prep.freeze_min == 0 {
            p class="intro" { "This plan’s bait goes fresh. Freezing begins with a time for it under the durations." }
        }
        @if plan.bait_more.other.density_kg_per_m3.is_some() {
            p class="hint" { "What follows is about meat by the tin’s label, not about your other bait." }
        }
        @match cold::thawing(plan) {
            Ok(chill) => (time(page, &chill, "thaw", "to thaw through", plan.prep.thaw_min)),
            Err(refused) => p class="refusal" { (refused.to_string()) },
        }
        @match cold::freezing(plan) {
            Ok(chill) => (time(page, &chill, "freeze", "to freeze through", plan.prep.freeze_min)),
            Err(refused) => p class="refusal" { (refused.to_string()) },
        }
        @match cold::frozen(plan) {
            Ok(curve) => (frozen(&curve, units)),
            Err(refused) => p class="refusal" { (refused.to_string()) },
        }
        (caution(page.choices.units, "Thawing", "Thaw cold and in the shade, and use it the same day: do not freeze again what has been warm for hours."))
    }
}

/// Minutes in words, up to the next five: a step as long as what is shown is never too short.
fn words(minutes: f64) -> String {
    #[expect(clippy::cast_possible_truncation, reason = "the cast saturates, which is what is wanted")]
    let whole = (minutes / 5.0).ceil() as i32;
    duration_words(whole.saturating_mul(5).max(5))
}

fn time(page: &Page, chill: &FreezingTime, id: &str, what: &str, mine: i32) -> Markup {
    let (plan, units) = (&page.plan, page.choices.units);
    let band = &chill.minutes;
    let proposed = cold::proposed_min(chill);
    let step = page.results.prep.iter().find(|s| s.id == id);
    let formula = |t: Option<f64>| t.map_or_else(|| "outside its range".to_owned(), words);
    let mut inputs = vec![
        ("first ice", [&units.number(chill.freezing_point_c, 1), " °C"].concat()),
        ("your own time", duration_words(mine)),
    ];
    if chill.cooling {
        inputs.push(("Pham’s formula", formula(chill.pham_min)));
        inputs.push(("Plank’s formula, ice alone", formula(chill.plank_min)));
    }
    html! {
        (big(&["cold.", id].concat(), &words(band.mid), what))
        p { "From " (words(band.low)) " to " (words(band.high)) ", by how well the cold or the warmth gets to the bag." }
        @if chill.near { p class="hint" { "The wanted temperature is within a degree of what is around: the last of it takes long, and this is up to 6 % off besides." } }
        @if let Some(step) = step {
            p { @if id == "thaw" { "Out of the freezer by " } @else { "Into the freezer by " } strong data-result={ "cold." (id) ".at" } { (moment(plan, step.start_min)) } " with the " (duration_words(mine)) " of your plan." }
        }
        @if plan.prep.freeze_min > 0 {
            @if f64::from(mine) < band.high {
                p class="warning" data-result={ "cold." (id) ".short" } { "Your plan gives it " (duration_words(mine)) ": " @if f64::from(mine) < band.mid { "too short." } @else { "it may be too short." } }
            }
            @if mine != proposed {
                button type="button" class="wide" id={ "use-" (id) } data-act={ "use:" (id) } { "Use " (duration_words(proposed)) ", long enough for the slow side" }
            }
        }
        (why(page.choices.units,
            &["cold-", id].concat(),
            "The heat balance through half a bag in small steps of time and depth, with the meat’s own heat content, ice and conductivity from its label; both faces in the cold or the warm. Within 2 % of a much finer solution, 6 % where the target lies within a degree of what is around. With measured coefficients such sums meet measured times to ± 10 %; here the coefficient is a guess from a word, so read the band: its range makes it, with a tenth for the meat.",
            &inputs,
            "enthalpy method; Cleland and others 1986 (104 measured thaws, fitted formulas within ± 10 % for 95 of 100); Choi and Okos 1986 (properties of the parts); Pham 1996 (first ice); ice below it in the ASHRAE handbook’s form after Schwartzberg 1976, from memory. Pham 1986 and Plank 1913 stand beside it for freezing. Plank turned round is not used for thawing: it came out 21 to 48 % over ours, 10 to 60 mm thick in still air of 10 to 25 °C, and 24 and 28 % over a separate program in two slabs, for it takes all of the water for ice that melts at one temperature. Coefficients of surfaces: usual engineering ranges, from memory.",
        ))
    }
}

/// Speed of a frozen cube against its temperature.
fn frozen(curve: &FrozenCurve, units: Units) -> Markup {
    let cold = curve.points.iter().find(|p| p.core_c >= -18.0);
    let share = cold.map_or(0.0, |p| p.speed_share);
    let degrees = |t: f64| units.number(t, 1) + " °C";
    let x = |core_c: f64| 46.0 + 274.0 * (core_c + 20.0) / 20.0;
    let y = |share: f64| 150.0 - 130.0 * share;
    let line: Vec<String> =
        curve.points.iter().map(|p| [&px(x(p.core_c)), ",", &px(y(p.speed_share))].concat()).collect();
    let name = format!(
        "Speed of a cube against its temperature: {} % of full speed at minus 18 degrees, nine tenths at {}, all of it at {}.",
        units.number(share * 100.0, 0),
        degrees(curve.nine_tenths_c),
        degrees(curve.full_speed_c)
    );
    html! {
        h2 { "A cube with ice in it" }
        (big("cold.share", &[&units.number(share * 100.0, 0), " %"].concat(), "of full speed straight from the freezer"))
        p { "Nine tenths from " strong data-result="cold.nine" { (degrees(curve.nine_tenths_c)) } " in its middle, full speed from " strong data-result="cold.full" { (degrees(curve.full_speed_c)) } ". With " (units.number(curve.floats_at_air_share * 100.0, 1)) " % of air in the meat a frozen cube floats." }
        svg class="column" data-drawing="frozen" viewBox="0 0 330 192" role="img" aria-label=(name) {
            rect class="water" x="46" y="20" width="274" height="130" {}
            polyline class="curve" points=(line.join(" ")) {}
            @for (part, words) in [(0.0, "0 %"), (0.5, "50 %"), (1.0, "100 %")] {
                text x="44" y=(px(y(part) + 4.0)) text-anchor="end" { (words) }
            }
            @for t in [-20.0, -15.0, -10.0, -5.0, 0.0] {
                text x=(px(x(t))) y="168" text-anchor="middle" { (units.number(t, 0)) }
            }
            text x="183" y="183" text-anchor="middle" { "°C right through the cube" }
        }
        (why(units,
            "frozen",
            "Ice is light. As the cube cools, more of its water is ice and less of its weight is left under water. In water of 15 °C a 6 mm cube loses its last ice after about a minute and is slow for most of that: longer than a shallow fall. Air makes it worse.",
            &[],
            "Pham 1996 (first ice); its share below that in the ASHRAE handbook’s form after Schwartzberg 1976, from memory; Choi and Okos 1986 (properties of the parts); drag as for the fall; the minute as a third of a slab’s time. An estimate: no one has measured frozen cubes of tinned meat that we know of.",
        ))
    }
}

pub(super) fn inputs(page: &Page) -> Markup {
    let (cold, prep) = (&page.plan.bait_more.cold, &page.plan.prep);
    html! {
        h2 { "The bag" }
        (number(page, "cold.bag", Some(cold.bag_tenth_mm)))
        (number(page, "cold.start", Some(cold.start_tenth_c)))
        h2 { "Freezing" }
        (number(page, "cold.freezer", Some(cold.freezer_tenth_c)))
        (pick("cold.freeze_in", &cold.freeze_in, "Around the bag"))
        h2 { "Thawing" }
        (number(page, "cold.thaw", Some(cold.thaw_tenth_c)))
        (pick("cold.thaw_in", &cold.thaw_in, "Around the bag"))
        p class="hint" { "A fridge is still air at 4 °C, a cool box without ice still air, a bucket still water." }
        h2 { "In your plan" }
        (number(page, "prep.freeze", Some(prep.freeze_min)))
        (number(page, "prep.thaw", Some(prep.thaw_min)))
        p class="hint" { "Freeze 0 for bait that is used fresh." }
    }
}
