//! How fast today's piece falls, and why.

use crate::bait::material::Matter;
use crate::bait::sink::{Sink, Verdict};
use crate::page::Page;
use crate::plan::Tin;
use crate::results::bait::speed_against_air;
use crate::results::requests::matter;
use crate::units::{LengthUnits, fixed};
use crate::view::parts::column::px;
use crate::view::parts::field::fold;
use crate::view::parts::why::why;
use crate::view::parts::words::{end, piece_words, range};
use maud::{Markup, html};

/// What is said of the air that would float the tin.
const FLOATS_AT: &str = "floats with air of";

/// Seconds that the trade's own check gives a washed 6 mm cube for 18 inches (common practice).
const TRADE_CHECK_S: f64 = 7.5;

/// What the answer is made of: the bait, whether it sinks at all, the spread of pieces, the rule.
pub(super) fn made_of(page: &Page) -> Markup {
    let (plan, day, units) = (&page.plan, &page.results, page.choices.units);
    let Some(sink) = &day.sink else { return html! {} };
    html! {
        p class="words" {
            @if plan.bait_more.other.density_kg_per_m3.is_none() { (if plan.bait.washed { "Washed " } else { "Unwashed " }) }
            (piece_words(page)) " at " (units.number(day.water_c, 1)) "\u{a0}°C: "
            @if day.floats() { strong data-result="sink.speed" { "floats" } }
            @else { strong data-result="sink.speed" { (units.speed(sink.speed_m_per_s.mid)) } " (" (units.speeds(sink.speed_m_per_s.low, sink.speed_m_per_s.high)) ")" }
        }
        @if sink.verdict != Verdict::Sinks {
            p class="warning" {
                @if sink.verdict == Verdict::Floats { "By what is known it floats. " } @else { "Some pieces may float. " }
                "Less air or less fat sinks better."
            }
        }
        @if let Some(lake) = day.tub.as_ref().and_then(|t| t.targets.first()).filter(|_| !day.floats()) {
            p { "Nine pieces in ten: " span data-result="sink.pieces" { (units.speeds(lake.piece_speed_m_per_s.low, lake.piece_speed_m_per_s.high)) @if units.lengths == LengthUnits::Imperial { " s a foot" } @else { " cm/s" } } "." }
        }
        (sink_why(page, sink))
        @if !day.floats() { (air_chart(page)) }
    }
}

/// Times to each depth, and what other sizes and other water would do.
pub(super) fn changes(page: &Page) -> Markup {
    let (day, units) = (&page.results, page.choices.units);
    html! {
        (times(page))
        dl class="pairs" data-result="alternatives" {
            @for other in &day.alternatives {
                div { dt { (other.what) } dd { @if other.speed_m_per_s.mid > 0.0 { (units.speed(other.speed_m_per_s.mid)) } @else { "floats" } } }
            }
        }
        (made_of(page))
    }
}

fn times(page: &Page) -> Markup {
    let units = page.choices.units;
    html! {
        table data-result="sink.times" {
            caption { "Time to each depth" }
            thead { tr { th scope="col" { "To" } th scope="col" { "Depth" } th scope="col" { "Time" } th scope="col" { "From, to" } } }
            tbody {
                @for fall in &page.results.falls {
                    tr {
                        th scope="row" { (fall.name) }
                        td { (units.depth_m(fall.depth_m)) }
                        @match &fall.time_s {
                            Some(time) => { td { (units.number(time.mid, 1)) " s" } td { (units.number(time.low, 1)) " to " (end(units, time.high, 1)) } }
                            None => { td { "floats" } td { "–" } }
                        }
                    }
                }
            }
        }
    }
}

/// The band of the speed against air in the meat.
fn air_chart(page: &Page) -> Markup {
    let units = page.choices.units;
    let curve = speed_against_air(&page.plan);
    let (Some((_, first)), Some((last_air, last))) = (curve.first(), curve.last()) else { return html! {} };
    let (left, top, wide, high) = (46.0, 10.0, 270.0, 120.0);
    let most = first.high.max(1e-3);
    let point = |air: f64, speed: f64| {
        [&px(left + wide * air / last_air), " ", &px(top + high * (1.0 - speed / most)), " "].concat()
    };
    let middle: String = curve.iter().map(|(air, speed)| point(*air, speed.mid)).collect();
    let upper: String = curve.iter().map(|(air, speed)| point(*air, speed.high)).collect();
    let lower: String = curve.iter().rev().map(|(air, speed)| point(*air, speed.low)).collect();
    let cm = |speed: f64| units.number(speed * 100.0, 1);
    let name = [
        "Speed against air in the meat: ",
        &cm(first.mid),
        " cm a second without, ",
        &cm(last.mid),
        " with ",
        &units.number(last_air * 100.0, 0),
        " %; the band from ",
        &cm(first.low),
        " to ",
        &cm(first.high),
        ", and from ",
        &cm(last.low),
        " to ",
        &cm(last.high),
        ".",
    ];
    fold(
        "air",
        "Air in the meat",
        false,
        &html! {
            p class="hint" { "Air is what no label tells. Weigh a measured block (under Tins and bags), or time ten drops." }
            svg class="column chart" data-drawing="air" viewBox="0 0 330 170" role="img" aria-label=(name.concat()) {
                polygon class="band" points={ (upper) (lower) } {}
                polyline class="own" points=(middle) {}
                line class="axis" x1=(px(left)) y1=(px(top + high)) x2=(px(left + wide)) y2=(px(top + high)) {}
                @for i in 0..=2 {
                    @let share = f64::from(i) / 2.0;
                    text x=(px(left - 4.0)) y=(px(top + high * (1.0 - share) + 4.0)) text-anchor="end" { (cm(most * share)) }
                    text x=(px(left + wide * share)) y=(px(top + high + 15.0)) text-anchor=(if i == 2 { "end" } else { "middle" }) { (units.number(last_air * share * 100.0, 1)) " %" }
                }
                text x=(px(left + wide)) y=(px(top + high + 31.0)) text-anchor="end" { "cm a second, against air" }
            }
        },
    )
}

/// What a millimetre more on the block's thinnest side does to its volume, as a part of it.
fn millimetre_share(tin: &Tin) -> Option<f64> {
    let thinnest = tin.length_tenth_mm.min(tin.width_tenth_mm).min(tin.height_tenth_mm);
    (thinnest > 0).then(|| 10.0 / f64::from(thinnest))
}

fn sink_why(page: &Page, sink: &Sink) -> Markup {
    let units = page.choices.units;
    let mut inputs = vec![
        (
            "density of the bait",
            units.number(sink.density_kg_per_m3.mid, 0)
                + " kg/m3 "
                + &range(units, &sink.density_kg_per_m3, 1.0, 0),
        ),
        ("density of the water", [&units.number(sink.water_kg_per_m3, 1), " kg/m3"].concat()),
        ("mass of one piece", [&units.number(sink.mass_g, 3), " g"].concat()),
    ];
    if let (Matter::Label { label, air_share, block, tests }, Some(by_label)) =
        (matter(&page.plan), &page.results.by_label)
    {
        let solid = label.composition().map_or(0.0, |parts| parts.density_kg_per_m3(page.results.water_c));
        if solid > 0.0 {
            let floats_at = (1.0 - by_label.water_kg_per_m3 / solid).max(0.0);
            inputs.push((FLOATS_AT, [&units.number(floats_at * 100.0, 1), " % of its volume"].concat()));
        }
        if let Some(Ok((weighed, sd))) = block.map(|block| block.density_kg_per_m3()) {
            let words = [&units.number(weighed, 0), " kg/m3, ± ", &units.number(sd, 0)];
            inputs.push(("the block as weighed", words.concat()));
            let air = air_share + 1.0 - by_label.density_kg_per_m3.mid / solid / (1.0 - air_share);
            inputs.push(("air by label and block", [&units.number(air.max(0.0) * 100.0, 1), " %"].concat()));
        }
        if let Some(Ok((tested, sd))) = tests.map(|tests| tests.density_kg_per_m3()) {
            let words = [&units.number(tested, 0), " kg/m3, ± ", &units.number(sd, 0)];
            inputs.push(("earlier tub tests, at 15 °C", words.concat()));
        }
        if let Some(share) = millimetre_share(&page.plan.tin) {
            let words = [&units.number(share * by_label.density_kg_per_m3.mid, 0), " kg/m3 of density"];
            inputs.push(("1 mm on the block’s thinnest side", words.concat()));
        }
    }
    let shares = sink.shares;
    let percent = |share: f64| units.number(share * 100.0, 0) + " %";
    inputs.push((
        "the band is made by",
        ["tin ", &percent(shares.tin), ", air ", &percent(shares.air), ", drag ", &percent(shares.drag)]
            .concat(),
    ));
    for law in sink.laws.iter().filter(|_| !page.results.floats()) {
        let speed = units.number(law.speed_m_per_s * 100.0, 1);
        let words = [&speed, " cm/s, Re ", &fixed(law.reynolds, 0)].concat();
        inputs.push((law.law, words));
    }
    if let (Some(_), Some(label)) = (&page.results.tub, &page.results.by_label) {
        let words = [
            &units.number(label.speed_m_per_s.mid * 100.0, 1),
            " cm/s ",
            &range(units, &label.speed_m_per_s, 100.0, 1),
        ];
        inputs.push(("by the label alone", words.concat()));
    }
    if let Some(time) = page.results.falls.first().and_then(|f| f.time_s.as_ref())
        && page.plan.bait.edge_tenth_mm == 60
    {
        let off = (time.mid / TRADE_CHECK_S - 1.0) * 100.0;
        let side = if off > 0.0 { " % slower here)" } else { " % faster here)" };
        inputs.push((
            "the trade’s 18 inches",
            [&units.number(TRADE_CHECK_S, 1), " s (the middle is ", &units.number(off.abs(), 0), side]
                .concat(),
        ));
    }
    why(
        page.choices.units,
        "sink",
        "The label’s parts make the density, water being the rest. A cube falls steadily when its weight in water equals its drag; three published laws of drag disagree, and the band covers those that hold for a cube (the third law is furthest from what was measured), the fall of one steel cube with bevelled edges that fell a third faster than the fastest law, and what a label does not say: rounding and batch, 5 kg/m3, and air, 0.4 % of the volume, as standard deviations. By our judgement it holds nine tins in ten; ten timed drops in a bucket narrow it, and then stand in its place. Cylinders and discs fall by the same laws through their sphericity, down to 0.6; a ball has three laws of its own.",
        &inputs,
        "Choi and Okos 1986 (densities); Tanaka 2001 and IAPWS 2008 (water); Haider and Levenspiel 1989, Ganser 1993, Pettyjohn and Christiansen 1948 (drag; for a ball Schiller and Naumann 1935, Clift and Gauvin 1971, Brown and Lawler 2003); Wang 2024 (the steel cube). The 18 inches in 7.5 s are common practice, no published source.",
    )
}
