//! Why pieces float and the cure, and the wash.

use crate::bait::floaters::{Floaters, Hold, Skin};
use crate::bait::wash::{Heat, UNDER_A_SECOND_C};
use crate::estimate::Estimate;
use crate::page::Page;
use crate::results::bait::why_pieces_float;
use crate::results::cold::{TAPS_C, rinses as rinses_of};
use crate::units::Units;
use crate::view::parts::field::number;
use crate::view::parts::why::{caution, why};
use crate::view::parts::words::big;
use maud::{Markup, html};

pub(super) fn results(page: &Page) -> Markup {
    let units = page.choices.units;
    let causes = page.results.sink.as_ref().map(|sink| why_pieces_float(&page.plan, sink));
    html! {
        @match &causes {
            Some(Ok(floaters)) => (cures(page, floaters)),
            Some(Err(refused)) => p class="refusal" { (refused.to_string()) },
            None => @for sentence in &page.results.trouble { p class="refusal" { (sentence) } },
        }
        (rinses(page, units))
    }
}

fn percent(units: Units, band: &Estimate) -> String {
    let p = |x: f64| units.number(x * 100.0, 0);
    [&p(band.mid), " % (", &p(band.low), " to ", &p(band.high), ")"].concat()
}

fn cures(page: &Page, floaters: &Floaters) -> Markup {
    let (tub, units) = (&page.plan.bait_more.tub, page.choices.units);
    html! {
        @if tub.pieces == 0 {
            p class="intro" { "Drop a handful into the bucket, count those that float, push each under once, and enter both counts below." }
        } @else {
            (big("float.light", &tub.came_up.to_string(), &["of ", &tub.pieces.to_string(), " lighter than water, ", &(tub.floated - tub.came_up).to_string(), " held by the surface"].concat()))
            ul class="cures" data-result="float.cures" { @for cure in &floaters.cures { li { (cure.sentence()) } } }
            dl class="pairs" {
                div { dt { "of all, held by the surface" } dd { (percent(units, &floaters.held_share)) } }
                div { dt { "of all, lighter than water" } dd { (percent(units, &floaters.light_share)) } }
            }
        }
        h2 { "How firmly the surface holds 6 and 8 mm" }
        table data-result="float.sizes" {
            caption { "How many times its weight the surface can hold" }
            thead { tr { th scope="col" { "Cube" } th scope="col" { "Greasy" } @for skin in [Skin::Rinsed, Skin::Washed] { th scope="col" { @if skin == Skin::Rinsed { "Rinsed" } @else { "Washed" } } } } }
            tbody { @for hold in &floaters.six_and_eight { (row(page, hold)) } }
        }
        p { "Above 1 it can hold a piece that is laid gently and dry on top; one that is thrown or wet breaks through, the more easily the smaller the number. The pull of the surface grows with the edge, the weight with its cube: 6 mm is held " (ratio(units, &floaters.six_and_eight)) " times as firmly as 8 mm. That 6 mm is washed and 8 mm usually is not is common practice, not a result of this." }
        (why(page.choices.units,
            "float",
            "Pushed under, a piece held by the surface sinks, and one lighter than water comes up again. Grease keeps water off the top face: wash. Fat or air makes it light: skim off, or take another tin when more than a fifth are. Ice does too: thaw. A piece laid gently on still water stays up while the surface’s pull along its four edges, and the dimple’s, match its weight under water; one that is thrown breaks through more easily.",
            &[
                ("6 mm lets go below an angle of", degrees(units, floaters.six_and_eight.first())),
                ("8 mm lets go below", degrees(units, floaters.six_and_eight.get(1))),
            ],
            "Keller 1998 (weight of the meniscus), the cube’s rule is derived from it; Jeffreys’ interval for the shares. Angles of 90°, 45° and 10° for greasy, rinsed and washed are judgement, no published source. More than a fifth is judgement too.",
        ))
    }
}

fn degrees(units: Units, hold: Option<&Hold>) -> String {
    hold.map_or_else(String::new, |h| units.number(h.clean_enough_deg, 0) + "°")
}

/// How much more firmly the surface holds the first size than the second, greasy.
fn ratio(units: Units, [six, eight]: &[Hold; 2]) -> String {
    units.number(six.carries_kg_per_m3[0] / eight.carries_kg_per_m3[0], 1)
}

/// One size: what the surface carries over what a typical piece weighs under water.
fn row(page: &Page, hold: &Hold) -> Markup {
    let units = page.choices.units;
    let excess = page.results.sink.as_ref().map_or(0.0, |s| s.density_kg_per_m3.mid - s.water_kg_per_m3);
    html! {
        tr {
            th scope="row" { (units.number(hold.edge_mm, 0)) " mm" }
            @for carries in hold.carries_kg_per_m3 {
                td { @if excess > 0.0 { (units.number(carries / excess, 1)) } @else { "floats" } }
            }
        }
    }
}

fn rinses(page: &Page, units: Units) -> Markup {
    let rinse = &page.plan.bait_more.rinse;
    html! {
        h2 { "The wash" }
        @match rinses_of(&page.plan) {
            Err(refused) => p class="refusal" { (refused.to_string()) },
            Ok(wash) => {
                (big("wash.rinses", &wash.rinses.to_string(), &[if wash.rinses == 1 { "rinse, " } else { "rinses, " }, &units.number(wash.total_l, 1), " litres in all"].concat()))
                p {
                    "What is left of the first cloudiness: "
                    @for (i, left) in wash.left_after.iter().take(6).enumerate() { @if i > 0 { ", " } (units.number(left * 100.0, u8::from(*left < 0.1))) " %" }
                    "."
                }
                @if let Some(hot) = wash.hot_ml {
                    p { "Each rinse: " (units.number(hot, 0)) " ml hot (" (units.number(TAPS_C.0, 0)) " °C) and " (units.number(f64::from(rinse.added_ml) - hot, 0)) " ml cold (" (units.number(TAPS_C.1, 0)) " °C)." }
                }
                @if let Some(seconds) = wash.hot_burns_in_s {
                    p class="warning" data-result="wash.tap" { "The hot tap alone burns an adult’s skin " (burn_words(units, TAPS_C.0, seconds)) ": cold water first, and no hand in it until it is mixed." }
                }
                @if let Some(seconds) = wash.burns_in_s {
                    p class="warning" data-result="wash.burn" {
                        @if wash.heat == Heat::Scalds { strong { "Scalding. " } }
                        "This water burns an adult’s skin " (burn_words(units, f64::from(rinse.water_tenth_c) / 10.0, seconds)) ", a child’s sooner."
                    }
                }
                (caution(page.choices.units, "Hot water", wash.caution))
                (why(page.choices.units,
                    "wash",
                    "Each rinse leaves of the cloudiness the share that stays in the sieve: kept / (kept + added). One part in a hundred looks clear. Many small rinses take less water than one large one. Warm water first: it softens fat; grease still on the meat is not counted. Up to 43 °C water is called safe for hands; above it hands that stay in are warned about, from 50 °C all hands. The time is the shortest published one for adults, between the published temperatures in a straight line of its logarithm.",
                    &[],
                    "dilution. Times: Moritz and Henriques 1947, as quoted (44 and 68 °C); an industry table of blisters, consistent with them (45 to 60 °C); the US Consumer Product Safety Commission (49 °C); a children’s hospital in the US (66 and 68 °C); the UK’s housing ministry 2004 (less than a second at 70 °C). 43 °C is our own caution. The UK’s Health and Safety Executive gives no limit for healthy adults’ hands: its 44 °C is for vulnerable people in care, in whole-body immersion, and surfaces that they may touch stay at 43 °C or less. One part in a hundred is judgement; the taps’ 60 and 10 °C, and cold water first, are common practice. Softening of fat at 35 °C: from memory.",
                ))
            }
        }
    }
}

/// How soon water of `t_c` °C burns: `in 1.5 s`.
fn burn_words(units: Units, t_c: f64, seconds: f64) -> String {
    let (value, decimals, unit) = match seconds {
        _ if t_c >= UNDER_A_SECOND_C => return "in under a second".to_owned(),
        5400.0.. => (seconds / 3600.0, 0, " h"),
        90.0.. => (seconds / 60.0, 0, " min"),
        _ => (seconds, u8::from(seconds > 1.0 && seconds < 3.0), " s"),
    };
    ["in ", &units.number(value, decimals), unit].concat()
}

pub(super) fn inputs(page: &Page) -> Markup {
    let rinse = &page.plan.bait_more.rinse;
    html! {
        h2 { "Floaters" }
        (super::tub_test::counts(page))
        h2 { "Rinsing" }
        (number(page, "rinse.kept", Some(rinse.kept_ml)))
        (number(page, "rinse.added", Some(rinse.added_ml)))
        (number(page, "rinse.water", Some(rinse.water_tenth_c)))
    }
}
