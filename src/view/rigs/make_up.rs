//! Making the set: the ladder of shallow rigs, tackle that holds, the make-up sheet, the glass of water, the scale.

use crate::book::ItemKind;
use crate::page::Page;
use crate::page::sheet::Sheet;
use crate::plan::Rig;
use crate::results::make_up::{
    back_shot, elastic as diameter, from_glass_to_lake, glass_load, sheet, tackle, windy,
};
use crate::rig::layout::Role;
use crate::rig::make_up::rule;
use crate::rig::tackle::BACK_SHOT;
use crate::rig::tackle::{CAUTION, ElasticReport, Strength};
use crate::session::words::counted;
use crate::trade::lead::lead_law;
use crate::units::{LengthUnits, Quantity, TenthMg, Units};
use crate::view::parts::column::px;
use crate::view::parts::field::{add, flag, number, pick, place, remove};
use crate::view::parts::why::{caution, why};
use crate::view::parts::words::{big, in_cases};
use crate::view::tackle::from_box;
use maud::{Markup, html};

fn kg(units: Units, strength: &Strength) -> String {
    let [low, mid, high] = [strength.kg.low, strength.kg.mid, strength.kg.high].map(|kg| units.number(kg, 2));
    format!("{mid} kg ({low} to {high})")
}

pub(super) fn holds(page: &Page, rig: &Rig) -> Markup {
    let units = page.choices.units;
    html! {
        h2 { @match tackle(rig) { Ok(found) if found.weaker_by_n.is_some_and(|n| n <= 0.0) => "The main line may break first", _ => "Hooklength breaks first" } }
        @match tackle(rig) {
            Err(sentence) => p class="refusal" data-result="tackle.trouble" { (sentence) },
            Ok(found) => {
                @if let (Some(ratio), Some(weaker)) = (found.ratio, found.weaker_by_n) {
                    (big("tackle.ratio", &units.number(ratio * 100.0, 0), "% of the main line’s strength in the hooklength"))
                    p {
                        @if weaker > 0.0 { "The hooklength breaks first, by " strong { (units.number(weaker / 9.80665, 2)) " kg" } @if let Some(chance) = found.weaker_chance { ", " (in_cases(chance)) } "." }
                        @else { "The main line may break first." }
                    }
                }
                dl class="pairs" data-result="tackle.strengths" {
                    div { dt { "main line at its knot" } dd { (kg(units, &found.main)) } }
                    @if let Some(hooklength) = &found.hooklength { div { dt { "hooklength at its knot" } dd { (kg(units, hooklength)) } } }
                }
                @if !found.warnings.is_empty() {
                    ul class="warnings" data-result="tackle.warnings" { @for warning in &found.warnings { li { span aria-hidden="true" { "! " } (warning.to_string()) } } }
                }
                @if let Some(report) = &found.elastic { (elastic(page, rig, report)) }
                @else { p class="hint" { "Enter the elastic’s number, or better its diameter, to see how hard it pulls." } }
            },
        }
        (caution(page.choices.units, "A line that breaks", CAUTION))
        (why(page.choices.units,
            "tackle",
            "A line breaks at its knot. What its spool says goes first; else 700 MPa (550 to 1040) times the section, up to a fifth less wet. Of either a knot leaves 0.8 (0.5 to 0.95). These are rules of thumb, and the chance that the hooklength breaks first comes from their bands. Elastic is rubber: pull is stress at its stretch times its relaxed section. The published points are of a bench vulcanisate, not of angling elastic, and the band says so.",
            &[],
            "Treloar 1944 (points of rubber to a stretch of 7.6); neo-Hooke, Mooney 1940 and Ogden 1972 (laws). Morton and Hearle, table 13.2 (nylon fibres); Pieranski et al. 2001 (knots down to half). A latex tube’s specification, at most 0.86 MPa at twice its length, lies above the middle law and 15 % below the stiffest. Numbers of elastic: common practice, no published source.",
        ))
    }
}

fn elastic(page: &Page, rig: &Rig, report: &ElasticReport) -> Markup {
    let units = page.choices.units;
    let newtons = |n: f64| units.number(n / 9.806_65, 2);
    let most_m = report.curve.last().map_or(1.0, |p| p.out_m).max(0.1);
    let most_n = report.curve.iter().map(|p| p.newtons.high).fold(0.1, f64::max);
    let (left, top, wide, high) = (46.0, 10.0, 270.0, 120.0);
    let x = |m: f64| left + wide * m / most_m;
    let y = |n: f64| top + high * (1.0 - n / most_n);
    let mut band = String::new();
    let mut middle = String::new();
    for pull in &report.curve {
        band.push_str(&[&px(x(pull.out_m)), " ", &px(y(pull.newtons.high)), " "].concat());
        middle.push_str(&[&px(x(pull.out_m)), " ", &px(y(pull.newtons.mid)), " "].concat());
    }
    for pull in report.curve.iter().rev() {
        band.push_str(&[&px(x(pull.out_m)), " ", &px(y(pull.newtons.low)), " "].concat());
    }
    let run = &report.run;
    html! {
        h3 { "Elastic" }
        @if let (None, Some(number), Some((mm, off))) = (rig.more.elastic_um, rig.more.elastic_number, diameter(&rig.more)) {
            p class="hint" data-result="elastic.number" { "No. " (number) " is taken as " (units.number(mm, 1)) " mm, ± " (units.number(off * 100.0, 0)) " %: common practice, no standard. Measure yours." }
        }
        p data-result="elastic.run" {
            "With " (units.text(rig.more.run_tenth_mm, Quantity::Reach)) " pulled out it pulls " strong { (newtons(run.newtons.mid)) " kg" }
            " (" (newtons(run.newtons.low)) " to " (newtons(run.newtons.high)) "), stretched " (units.number(run.stretch, 1)) " times."
            @if rig.more.shortened_tenth_mm > 0 { " Without the stop bead: " (newtons(report.run_not_taken_up.newtons.mid)) " kg." }
        }
        p data-result="elastic.reach" {
            @match report.reach.mid_m {
                Some(m) => { "It reaches the weak link’s strength with " strong { (units.depth_m(m)) } " out" @if let Some(soon) = report.reach.soonest_m { ", at the soonest with " (units.depth_m(soon)) } "." },
                None => "It does not reach the weak link’s strength within the published stretch.",
            }
        }
        svg class="column chart" data-drawing="elastic" viewBox="0 0 330 170" role="img" aria-label={ "Pull of the elastic against line pulled out, with its band: from " (newtons(report.rest.newtons.mid)) " kg in the pole to " (newtons(report.curve.last().map_or(0.0, |p| p.newtons.mid))) " kg with " (units.depth_m(most_m)) " out." } {
            polygon class="band" points=(band) {}
            polyline class="own" points=(middle) {}
            line class="axis" x1=(px(left)) y1=(px(top + high)) x2=(px(left + wide)) y2=(px(top + high)) {}
            @for i in 0..=2 {
                @let n = most_n * f64::from(i) / 2.0;
                text x=(px(left - 4.0)) y=(px(y(n) + 4.0)) text-anchor="end" { (newtons(n)) }
            }
            @for i in 0..=2 {
                @let m = most_m * f64::from(i) / 2.0;
                text x=(px(x(m))) y=(px(top + high + 15.0)) text-anchor=(if i == 2 { "end" } else { "middle" }) { (units.depth_m(m)) }
            }
            text x=(px(left + wide)) y=(px(top + high + 31.0)) text-anchor="end" { "pull in kg, against line out" }
        }
    }
}

pub(super) fn make_up(page: &Page) -> Markup {
    let units = page.choices.units;
    html! {
        section class="sheet" {
            h2 { "Rig sheet" }
            @match sheet(&page.plan, &page.results.rigs, page.rig, units) {
                Err(sentence) => p class="refusal" data-result="sheet.trouble" { (sentence) },
                Ok(sheet) => {
                    @let inches = units.lengths == LengthUnits::Imperial;
                    (scale_drawing(page))
                    dl class="pairs" data-result="sheet.cuts" {
                        div { dt { "main line to cut, " (units.number(sheet.main.diameter_mm, 3)) " mm" } dd { (sheet.main.cut) } }
                        @if let Some(cut) = &sheet.hooklength { div { dt { "hooklength to cut, " (units.number(cut.diameter_mm, 3)) " mm" } dd { (cut.cut) ", " (rule(cut.finished_mm, inches)) " tied" } } }
                        div { dt { "winder" } dd { (rule(sheet.winder_mm, inches)) ", " (units.number(sheet.winder_turns, 1)) " turns" } }
                        div { dt { "float" } dd { (sheet.float) } }
                        div { dt { "hook" } dd { (sheet.hook) } }
                    }
                    table data-result="sheet.shots" {
                        caption { "Shot, from the hook up" }
                        thead { tr { th scope="col" { "From the hook" } th scope="col" { "Shot" } th scope="col" { "As" } } }
                        tbody {
                            @for shot in &sheet.shots {
                                tr { th scope="row" { (shot.from_hook) } td { (shot.count) " × " (shot.name) } td { (match shot.role { Role::Bulk => "bulk", Role::Dropper => "dropper", Role::Strung => "strung" }) } }
                            }
                            @if let Some(back) = &sheet.back_shot {
                                tr { th scope="row" { (rule(back.above_float_mm, inches)) " above the float" } td { (back.count) " × " (back.size) } td { "back shot" } }
                            }
                        }
                    }
                    h3 { "Order of work" }
                    ol class="turns" data-result="sheet.order" { @for step in &sheet.order { li { (step) } } }
                },
            }
            @if windy(&page.plan) && page.plan.rigs.get(page.rig).and_then(back_shot).is_none() {
                p class="hint" { "In this wind " (BACK_SHOT.0) " × " (BACK_SHOT.1) " halfway between pole tip and float keep the line from being blown about (common practice)." }
            }
            (cards(page))
            (why(page.choices.units, "sheet", if units.lengths == LengthUnits::Imperial { "Knot allowances: 4 inches a knot in the main line, 3 1/8 in the hooklength. The shortest winder that takes the rig in 12 turns." } else { "Knot allowances: 10 cm a knot in the main line, 8 cm in the hooklength. The shortest winder that takes the rig in 12 turns." }, &[], "common practice, from memory."))
        }
    }
}

/// Which cards to print.
fn cards(page: &Page) -> Markup {
    let a5 = page.tools.card == crate::page::settings::CardSize::A5;
    html! {
        h3 { "Cards for the box" }
        div class="row" role="group" aria-label="Size of the cards" {
            div class="switch" {
                @for (act, words, on) in [("card:a6", "A6, four on an A4", !a5), ("card:a5", "A5, two on an A4", a5)] {
                    button type="button" id=(act.replace(['.', ':'], "-")) data-act=(act) aria-pressed=(if on { "true" } else { "false" }) { (words) }
                }
            }
        }
        p class="actions" { button type="button" id="print-cards" data-act="print:cards" { "Print a card of each rig" } }
    }
}

/// The rig stretched out along a rule, to scale.
fn scale_drawing(page: &Page) -> Markup {
    let Some(layout) = page.layout() else { return html! {} };
    let units = page.choices.units;
    let length = f64::from(layout.float_to_hook_mm);
    let x = |from_hook: i32| 318.0 - 300.0 * f64::from(from_hook) / length;
    html! {
        svg class="column" data-drawing="sheet" viewBox="0 0 330 64" role="img" aria-label={ "The rig to scale from float to hook, " (units.text(layout.float_to_hook_mm.saturating_mul(10), Quantity::Depth)) "; the table below has the places." } {
            line class="line" x1="18" y1="24" x2=(px(x(layout.hooklength_mm))) y2="24" {}
            line class="hooklength" x1=(px(x(layout.hooklength_mm))) y1="24" x2="318" y2="24" {}
            rect class="float" x="6" y="20" width="14" height="8" rx="4" {}
            @for group in &layout.groups {
                @for k in 0..group.count.min(20) {
                    @let up = if group.role == Role::Bulk { f64::from(k) * 4.0 } else { 0.0 };
                    circle class="shot" cx=(px(x(group.from_hook_mm) - up)) cy="24" r="2.6" {}
                }
            }
            rect class="cube" x="314" y="20" width="8" height="8" {}
            @for i in 0..=4 {
                @let at = layout.float_to_hook_mm * i / 4;
                line class="line" x1=(px(x(at))) y1="36" x2=(px(x(at))) y2="42" {}
                @if i % 2 == 0 {
                    text x=(px(x(at))) y="56" text-anchor=(if i == 0 { "end" } else if i == 4 { "start" } else { "middle" }) { (units.text(at.saturating_mul(10), Quantity::Depth)) }
                }
            }
        }
    }
}

fn count_row(name: &str, value: &str, less: &str, more: &str) -> Markup {
    html! {
        div class="row" {
            span class="label" { (name) }
            span class="stepper" {
                button type="button" data-act=(less) aria-label={ (name) ", less" } { "−" }
                strong { (value) }
                button type="button" data-act=(more) aria-label={ (name) ", more" } { "+" }
            }
        }
    }
}

pub(super) fn ladder(page: &Page) -> Markup {
    let units = page.choices.units;
    let [count, first, step] = page.tools.ladder;
    let (made, left_out) = page.shallow_set();
    html! {
        (count_row("Rigs", &count.to_string(), "ladder-count:-", "ladder-count:+"))
        (count_row("First depth", &units.text(first, Quantity::Depth), "ladder-first:-", "ladder-first:+"))
        (count_row("Step", &units.text(step, Quantity::Depth), "ladder-step:-", "ladder-step:+"))
        p class="hint" { "Three rigs " @if units.lengths == LengthUnits::Imperial { "4 to 5 inches" } @else { "10 to 13 cm" } " apart are common practice, with the bulk two thirds down. Float, line and hook are taken from the open rig." }
        div data-result="rigs.set" {
            @for rig in &made { p { strong { (rig.name) " " (units.text(rig.depth_tenth_mm, Quantity::Depth)) } ", bulk " (units.text(rig.bulk_from_hook_tenth_mm, Quantity::Depth)) " from the hook" } }
            @for left in &left_out { p class="muted" { (left) } }
        }
        p class="actions" { button type="button" data-act="ladder" disabled[made.is_empty()] { "Make " (counted(u32::try_from(made.len()).unwrap_or(0), "rig", "rigs")) } }
    }
}

pub(super) fn glass_test(page: &Page, rig: &Rig) -> Markup {
    let units = page.choices.units;
    let grams = |tenth_mg: f64| units.number(tenth_mg * 1e-4, 4);
    html! {
        @match glass_load(&page.plan, rig) {
            None => p class="hint" { "Hang shot under this float in a glass until it is dotted, and list them here. The load found takes the place of the maker’s." },
            Some(Err(sentence)) => p class="refusal" data-result="glass.trouble" { (sentence) },
            Some(Ok(found)) => {
                (big("glass.load", &grams(f64::from(found.load_tenth_mg.0)), &["g is this float’s load, ± ", &grams(found.plus_minus_tenth_mg)].concat()))
                p {
                    (units.number(found.against_maker.abs() * 100.0, 1)) @if found.against_maker < 0.0 { " % less than the maker says" } @else { " % more than the maker says" }
                    @if found.differs { ", more than the uncertainty: use it." } @else { ", within the uncertainty." }
                }
                p class="actions" { button type="button" data-act="glass" { "Use this load" } }
                @let (warmth, salt) = from_glass_to_lake(&page.plan, rig);
                p class="hint" data-result="glass.lake" {
                    "From this glass to the lake’s " (units.number(page.results.water_c, 0)) " °C the float sits about " (units.number(warmth.abs(), 1)) @if warmth < 0.0 { " mm lower" } @else { " mm higher" }
                    ". Each gram of salt in a litre lifts it " (units.number(salt, 1)) " mm: fill the glass at the lake where its water is brackish."
                }
            },
        }
        (why(page.choices.units, "glass", "All that hung by its weight in water, less the lift of the tip that was covered, turned back into lead at 15 °C. The mass of a shot counts as 10 % off and more while it is the trade’s usual figure, by what its tables differ; one that you weighed counts as ten together on a scale that steps by 0.01 g. The tip is read to ± 0.5 mm.", &[], "Archimedes; JCGM 100:2008 (uncertainty, k = 2)."))
    }
}

pub(super) fn weighing(page: &Page) -> Markup {
    let units = page.choices.units;
    let weigh = &page.tools.weighing;
    let size = usize::try_from(weigh.size).ok().and_then(|i| page.plan.shot_box.get(i));
    html! {
        @match (page.weighed(), size) {
            (Some(Err(sentence)), _) => p class="refusal" data-result="weigh.trouble" { (units.prose(&sentence)) },
            (Some(Ok(mass)), Some(size)) => {
                @let whole = |n: Option<i32>| u32::try_from(n.unwrap_or(0)).unwrap_or(0);
                p data-result="weigh.mass" {
                    (size.name) ": " (whole(weigh.count)) " shot, " (units.shot_g(TenthMg(whole(weigh.shown_tenth_mg)), 2)) " g in all: "
                    strong { (units.shot_g(mass.mass_tenth_mg, 3)) " g each" } ", was " (units.shot_g(size.mass(), 3)) " g."
                }
                @if let Some(words) = lead_law(&size.name, mass.mass_tenth_mg, size.density_kg_per_m3).words(units) {
                    p class="warning" { (size.name) " is " (words) "." }
                }
                p { "Not farther off than " (units.number(mass.most_off_tenth_mg * 1e-4, 4)) " g." @if let Some(more) = mass.weigh_rather { " For 1 %, weigh " (more) "." } }
                p class="actions" { button type="button" data-act="weighed" { "Write it into the shot box" } }
            },
            _ => p class="hint" data-result="weigh.wanted" { "Put many of one size on a kitchen scale. Choose the size, and enter how many they are and what the scale shows." },
        }
    }
}

/// The inputs of a rig in depth.
pub(super) fn inputs(page: &Page, rig: &Rig, sheet: Sheet) -> Markup {
    let i = page.rig.to_string();
    let path = |tail: &str| ["rigs.", &i, ".more.", tail].concat();
    let more = &rig.more;
    match sheet {
        Sheet::Lay => html! {
            (pick(&path("entry"), &more.entry, "It goes in"))
            (pick(&path("hold"), &more.hold, "The float is"))
            (number(page, &path("below_flat"), Some(more.below_flat_deg)))
            (number(page, &path("lowered"), Some(more.lowered_mm_per_s)))
            (number(page, &path("drift"), Some(more.drift_mm_per_s)))
            (number(page, &path("drift_depth"), Some(more.drift_depth_tenth_mm)))
            (number(page, &path("above"), Some(more.above_tenth_mm)))
            (flag(&path("back_shot"), more.back_shot, &format!("Back shot, {} × {} halfway up", BACK_SHOT.0, BACK_SHOT.1)))
        },
        Sheet::Elastic => html! {
            (from_box(page, ItemKind::Elastic))
            (pick(&path("strength_by"), &more.strength_by, "Line strength from the"))
            (number(page, &path("knot"), more.knot_tenth_percent))
            (number(page, &path("elastic_number"), more.elastic_number))
            (number(page, &path("elastic"), more.elastic_um))
            (number(page, &path("bore"), more.bore_um))
            (number(page, &path("elastic_length"), Some(more.elastic_tenth_mm)))
            (number(page, &path("kit"), Some(more.kit_tenth_mm)))
            (number(page, &path("shortened"), Some(more.shortened_tenth_mm)))
            (number(page, &path("run"), Some(more.run_tenth_mm)))
        },
        Sheet::Glass => html! {
            @for (j, hung) in more.glass.iter().enumerate() {
                @let at = |tail: &str| [&path("glass."), &j.to_string(), ".", tail].concat();
                fieldset {
                    legend { "Shot used " (j + 1) }
                    (place(&at("shot"), page.plan.shot_box.iter().map(|s| s.name.as_str()), hung.shot, "Shot"))
                    (number(page, &at("count"), Some(hung.count)))
                    (remove(&path("glass"), j, "Take it off"))
                }
            }
            (add(&path("glass"), "Hang shot under it"))
            (number(page, &path("glass_show"), Some(more.glass_show_tenth_mm)))
            (number(page, &path("glass_water"), Some(more.glass_tenth_c)))
            (number(page, &path("maker"), more.maker_tenth_mg))
        },
        Sheet::Weigh => html! {
            @let weigh = &page.tools.weighing;
            (place("weigh.size", page.plan.shot_box.iter().map(|s| s.name.as_str()), weigh.size, "Size"))
            (number(page, "weigh.count", weigh.count))
            (number(page, "weigh.shown", weigh.shown_tenth_mg))
            (number(page, "weigh.step", Some(weigh.step_tenth_mg)))
        },
        _ => html! {},
    }
}
