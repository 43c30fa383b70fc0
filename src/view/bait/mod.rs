//! The bait: seconds to each rig's depth, and a row for each thing that makes them.

mod amounts;
mod cold;
mod fall;
mod feed_chart;
mod feed_plan;
mod picture;
pub(super) mod prep;
mod tub_funnel;
pub(super) mod tub_test;
mod wash;

use super::parts::field::{fold, number, pick, text};
use super::parts::row::{band, text_row};
use crate::bait::material::TINS;
use crate::book::ItemKind;
use crate::page::sheet::Sheet;
use crate::page::{AFLOAT, Page};
use crate::results::requests::{earlier_tests, is_other};
use crate::units::{Quantity, duration_words};
use crate::view::parts::words::{end, piece_words};
use crate::view::tackle::from_box;
use maud::{Markup, html};

pub(super) fn results(page: &Page) -> Markup {
    html! {
        (answer(page))
        @for sentence in &page.results.trouble { p class="refusal" { (sentence) } }
        (picture::picture(page))
        (rows(page))
        (feed_plan::bar(page))
    }
}

/// Seconds for 18 inches, with the band and where it comes from.
pub(super) fn answer(page: &Page) -> Markup {
    let (day, units) = (&page.results, page.choices.units);
    if day.floats() {
        return html! { p class="answer" data-result="sink.eighteen" { span class="number" { "Floats" } } p class="warning" { (AFLOAT) } };
    }
    let Some((fall, time)) = day.falls.first().and_then(|fall| Some((fall, fall.time_s.as_ref()?))) else {
        return html! {};
    };
    let decimals = u8::from(time.mid < 20.0);
    let source = match &day.tub {
        Some(tub) => {
            ["label and ", &tub.drops.to_string(), if tub.drops == 1 { " drop" } else { " drops" }].concat()
        }
        None if page.plan.bait_more.other.density_kg_per_m3.is_some() => "by the density you gave".to_owned(),
        None => match page.plan.bait_more.tub.before_drops {
            Some(drops) if earlier_tests(&page.plan).is_some() => format!("label and {drops} earlier drops"),
            _ => "by the label".to_owned(),
        },
    };
    let share =
        if time.high.is_finite() { (time.mid - time.low) / (time.high - time.low).max(1e-9) } else { 0.3 };
    html! {
        div class="answer" {
            div {
                p { span class="number" data-result="sink.eighteen" { (units.number(time.mid, decimals)) } " " span class="unit" { "s" } }
                p class="words" { (fall.name) ", " (piece_words(page)) @if let Some(sink) = &day.sink { ", " span data-result="sink.speed" { (units.speed(sink.speed_m_per_s.mid)) } } }
            }
            (band("Seconds", &units.number(time.low, decimals), share, &end(units, time.high, decimals), if time.high.is_finite() { "s" } else { "" }, &source))
        }
    }
}

fn rows(page: &Page) -> Markup {
    let (plan, units) = (&page.plan, page.choices.units);
    let tub = &plan.bait_more.tub;
    let per_100 = |tenth_g: i32| units.number(f64::from(tenth_g) / 10.0, 1);
    let drops = tub.drops_ms.len();
    let drops_words = match drops {
        0 => tub.before_drops.map_or("no drops yet".to_owned(), |n| format!("{n} earlier")),
        1 => "1 drop".to_owned(),
        n => [&n.to_string(), " drops"].concat(),
    };
    let narrower =
        page.results.tub.as_ref().zip(page.results.sink.as_ref()).filter(|_| !page.results.floats()).map(
            |(_, sink)| {
                let speed = &sink.speed_m_per_s;
                ["within ", &units.number(50.0 * (speed.high - speed.low) / speed.mid.max(1e-9), 0), " %"]
                    .concat()
            },
        );
    let amount = page.results.amount.as_ref();
    let tins = amount.map_or_else(
        || "not worked out".to_owned(),
        |amount| {
            if is_other(plan) {
                return [&units.number(amount.total_g / 1000.0, 2), " kg"].concat();
            }
            let of = plan.rules.tins.map_or_else(String::new, |most| [" of ", &most.to_string()].concat());
            [
                amount.tins.to_string().as_str(),
                &of,
                if amount.tins == 1 && plan.rules.tins.is_none() { " tin" } else { " tins" },
            ]
            .concat()
        },
    );
    let hook = plan.bait.hook_edge_tenth_mm.filter(|edge| *edge != plan.bait.edge_tenth_mm).map_or_else(
        || "feed and hook".to_owned(),
        |edge| ["hook ", &units.text(edge, Quantity::Size)].concat(),
    );
    html! {
        div class="rows" {
            (text_row(Sheet::Label, "Tin label", &[&per_100(plan.tin.fat_tenth_g), " fat"].concat(), &[&per_100(plan.tin.protein_tenth_g), " protein"].concat()))
            (text_row(Sheet::Tub, "Tub test", &drops_words, &narrower.unwrap_or_else(|| "better than the label".to_owned())))
            (text_row(Sheet::Wash, "Washing", if plan.bait.washed { "washed" } else { "not washed" }, &duration_words(plan.prep.wash_min)))
            (text_row(Sheet::Cube, "Cube size", &units.text(plan.bait.edge_tenth_mm, Quantity::Size), &hook))
            (text_row(Sheet::Feed, "Feed plan", &tins, &amount.map_or_else(String::new, |amount| [&amount.total_cubes.to_string(), " cubes"].concat())))
            (text_row(Sheet::Tins, "Tins and bags", &amount.map_or_else(String::new, |amount| [&amount.bags.to_string(), " bags"].concat()),
                &amount.map_or_else(String::new, |amount| ["off-cuts ", &units.number(amount.off_cuts_g, 0), " g"].concat())))
            (text_row(Sheet::Cold, "Freezing", &if plan.prep.freeze_min == 0 { "used fresh".to_owned() } else { duration_words(plan.prep.freeze_min) },
                &if plan.prep.freeze_min == 0 { String::new() } else { ["thaw ", &duration_words(plan.prep.thaw_min)].concat() }))
            (text_row(Sheet::Changes, "Other sizes", "and water", "what changes the fall"))
        }
    }
}

/// What stands above the inputs of a sheet.
pub(super) fn answers(page: &Page, sheet: Sheet) -> Markup {
    match sheet {
        Sheet::Label => html! { (answer(page)) (fall::made_of(page)) },
        Sheet::Tub => tub_test::results(page),
        Sheet::Wash => wash::results(page),
        Sheet::Cube => answer(page),
        Sheet::Feed => feed_plan::answers(page),
        Sheet::Tins => amounts::how_much(page),
        Sheet::Cold => cold::results(page),
        Sheet::Changes => html! { (answer(page)) (fall::changes(page)) },
        _ => html! {},
    }
}

/// What stands below a sheet's inputs, always in reach.
pub(super) fn foot(page: &Page, sheet: Sheet) -> Markup {
    if sheet == Sheet::Tub {
        tub_test::foot(page)
    } else {
        html! {}
    }
}

pub(super) fn inputs(page: &Page, sheet: Sheet) -> Markup {
    let plan = &page.plan;
    let tin = &plan.tin;
    match sheet {
        Sheet::Label => html! {
            (from_box(page, ItemKind::Tin))
            div class="chips" role="group" aria-label="Published tins" {
                @for known in TINS { button type="button" data-act={ "tin:" (known.id) } { (known.name) } }
            }
            p class="hint" { "A typical tin, and entries of a public composition table. Your own label is better." }
            h3 { "Per 100 g, as printed" }
            (number(page, "tin.fat", Some(tin.fat_tenth_g)))
            (number(page, "tin.carbohydrate", Some(tin.carbohydrate_tenth_g)))
            (number(page, "tin.fibre", tin.fibre_tenth_g))
            (number(page, "tin.protein", Some(tin.protein_tenth_g)))
            (number(page, "tin.salt", Some(tin.salt_tenth_g)))
            (number(page, "tin.energy", tin.energy_kcal))
            p class="hint" { "Water is the rest. Energy only checks the sum." }
            h3 { "The meat" }
            (number(page, "bait.air", Some(plan.bait.air_tenth_percent)))
            (text(page, "tin.name", &tin.name, "Tin"))
        },
        Sheet::Tub => tub_test::inputs(page),
        Sheet::Wash => html! {
            (crate::view::parts::field::flag("bait.washed", plan.bait.washed, "Washed"))
            (wash::inputs(page))
        },
        Sheet::Cube => html! {
            (number(page, "bait.edge", Some(plan.bait.edge_tenth_mm)))
            (number(page, "bait.hook_edge", plan.bait.hook_edge_tenth_mm))
            p class="hint" { "Left empty, the hook takes the feed’s size. Balance and fall of a rig use the hook’s." }
            (number(page, "bait.blade", Some(plan.bait.blade_tenth_mm)))
            (fold("other", "Another bait", false, &html! {
                @let other = &plan.bait_more.other;
                (pick("other.form", &other.form, "Form"))
                (number(page, "other.second", Some(other.second_tenth_mm)))
                (number(page, "other.density", other.density_kg_per_m3))
                p class="hint" { (page.choices.units.prose("Pellets, corn, paste: the size above is the edge or the diameter; length or thickness counts for a cylinder (0.5 to 3 diameters) or a disc (0.18 to 1). Without a label give a density, or leave it empty and let a tub test tell.")) }
            }))
        },
        Sheet::Feed => feed_plan::inputs(page),
        Sheet::Tins => html! {
            (number(page, "tin.net", Some(tin.net_g)))
            (number(page, "tin.length", Some(tin.length_tenth_mm)))
            (number(page, "tin.width", Some(tin.width_tenth_mm)))
            (number(page, "tin.height", Some(tin.height_tenth_mm)))
            (number(page, "tin.corner", Some(tin.corner_tenth_mm)))
            (number(page, "tin.size_off", tin.size_off_tenth_mm))
            p class="hint" { "Weigh a whole block, measure it, and say how well: it then tells the density better than the label. Leave that empty if you have not; the net mass on a tin may be some percent off." }
            (number(page, "bait.hook_baits", Some(plan.bait.hook_baits)))
            (number(page, "bait.reserve", Some(plan.bait.reserve_tenth_percent)))
            (number(page, "bait.bag", Some(plan.bait.bag_g)))
            (number(page, "bait.tins", Some(plan.bait.tins_in_hand)))
            p class="hint" { "Tins in hand answers how long they last; 0 takes the tins that the day needs." }
        },
        Sheet::Cold => cold::inputs(page),
        _ => html! {},
    }
}
