//! The bait: how fast it falls, how much of it, and how it is prepared.

mod amounts;
mod cold;
mod fall;
mod feed_chart;
mod feeds;
mod prep;
pub(super) mod tub_test;
mod wash;

use super::parts::field::{add, flag, fold, number, pick, place, remove, text};
use crate::bait::material::TINS;
use crate::page::Page;
use crate::page::tub_watch::BaitTab;
use maud::{Markup, html};

/// The parts of the screen, and the open one.
pub(super) fn results(page: &Page) -> Markup {
    html! {
        div class="button-row parts" role="group" aria-label="Parts of the bait" {
            @for (part, name, words) in BaitTab::ALL {
                button type="button" id={ "part-" (name) } data-act={ "part:" (name) } aria-pressed=(if part == page.bait_tab { "true" } else { "false" }) { (words) }
            }
        }
        @match page.bait_tab {
            BaitTab::Fall => (today(page)),
            BaitTab::Tub => (tub_test::results(page)),
            BaitTab::Wash => (wash::results(page)),
            BaitTab::Cold => (cold::results(page)),
        }
    }
}

pub(super) fn inputs(page: &Page) -> Markup {
    match page.bait_tab {
        BaitTab::Fall => inputs_today(page),
        BaitTab::Tub => tub_test::inputs(page),
        BaitTab::Wash => wash::inputs(page),
        BaitTab::Cold => cold::inputs(page),
    }
}

fn today(page: &Page) -> Markup {
    let day = &page.results;
    html! {
        @match &day.sink {
            Some(sink) => (fall::fall(page, sink)),
            None => {},
        }
        @for sentence in &day.trouble { p class="refusal" { (sentence) } }
        (amounts::how_much(page))
        (prep::checklist(page))
    }
}

fn inputs_today(page: &Page) -> Markup {
    let plan = &page.plan;
    let tin = &plan.tin;
    html! {
        (fold("tin", "The tin, per 100 g", true, &html! {
            (number(page, "tin.fat", Some(tin.fat_tenth_g)))
            (number(page, "tin.protein", Some(tin.protein_tenth_g)))
            (number(page, "tin.carbohydrate", Some(tin.carbohydrate_tenth_g)))
            (number(page, "tin.salt", Some(tin.salt_tenth_g)))
            (number(page, "tin.fibre", tin.fibre_tenth_g))
            (number(page, "tin.energy", tin.energy_kcal))
            (number(page, "bait.air", Some(plan.bait.air_tenth_percent)))
            p class="hint" { "Copy the label. Water is the rest. Air is what the meat was packed with; Why tells how much of it would float this tin." }
        }))
        (fold("cube", "The cube", true, &html! {
            (number(page, "bait.edge", Some(plan.bait.edge_tenth_mm)))
            (number(page, "bait.blade", Some(plan.bait.blade_tenth_mm)))
            (flag("bait.washed", plan.bait.washed, "Washed"))
        }))
        (fold("other", "Another bait", false, &html! {
            @let other = &plan.bait_more.other;
            (pick("other.form", &other.form, "Form"))
            (number(page, "other.second", Some(other.second_tenth_mm)))
            (number(page, "other.density", other.density_kg_per_m3))
            p class="hint" { (page.choices.units.prose("Pellets, corn, paste: the size above is the edge or the diameter; length or thickness counts for a cylinder (0.5 to 3 diameters) or a disc (0.18 to 1). Without a label give a density, or leave it empty and let a tub test tell.")) }
        }))
        (fold("feed", "Feeding", true, &html! {
            @for (i, phase) in plan.feed.iter().enumerate() {
                @let path = |tail: &str| ["feed.", &i.to_string(), tail].concat();
                fieldset {
                    legend { "Feeding " (i + 1) }
                    (place(&path(".line"), plan.lines.iter().map(|l| l.name.as_str()), phase.line, "Line"))
                    (pick(&path(".method"), &phase.method, "How"))
                    (number(page, &path(".cubes"), Some(phase.cubes)))
                    (number(page, &path(".every"), Some(phase.every_s)))
                    (number(page, &path(".start"), Some(phase.start_min)))
                    (number(page, &path(".minutes"), Some(phase.minutes)))
                    (remove("feed", i, "Take this feeding out"))
                }
            }
            (add("feed", "Add a feeding"))
            (number(page, "water.drift", Some(plan.water.drift_mm_per_s)))
            (number(page, "water.undertow", Some(plan.water.undertow_mm_per_s)))
        }))
        (fold("amounts", "Tins and bags", false, &html! {
            (text(page, "tin.name", &tin.name, "Tin"))
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
        }))
        (fold("tins", "Generic tins", false, &html! {
            p class="hint" { "A typical tin, and entries of a public composition table. Your own label is better." }
            @for tin in TINS {
                button type="button" class="wide" data-act={ "tin:" (tin.id) } { (tin.name) ": " (tin.source) }
            }
        }))
        (fold("durations", "Durations", false, &html! {
            @for (path, value) in [
                ("prep.buy", plan.prep.buy_min), ("prep.cut", plan.prep.cut_min), ("prep.wash", plan.prep.wash_min),
                ("prep.drain", plan.prep.drain_min), ("prep.bag", plan.prep.bag_min), ("prep.freeze", plan.prep.freeze_min),
                ("prep.thaw", plan.prep.thaw_min), ("prep.pack", plan.prep.pack_min),
            ] { (number(page, path, Some(value))) }
            p class="hint" { "Freeze 0 for bait that is used fresh." }
        }))
    }
}
