//! The rigs: all of them in the water to scale, and of the open one the shot that dots its float, its fall, how it is tied,
//! what breaks first.

pub(super) mod fall;
mod fall_chart;
pub(super) mod finder;
mod make_up;
pub(super) mod moves;
pub mod scene;

use crate::book::ItemKind;
use crate::page::Page;
use crate::page::sheet::{RigTab, Sheet};
use crate::plan::{Choice, DottedWith, Rig};
use crate::results::rigs::{RigResult, TipDoubt, holds_banned_lead};
use crate::rig::balance::{Balance, ShotSet};
use crate::rig::layout::Role;
use crate::trade::lead::RULE;
use crate::trade::shot::{METALS, metal_of};
use crate::units::{Quantity, between};
use crate::view::parts::column::px;
use crate::view::parts::field::{add, number, pick, place, remove, text};
use crate::view::parts::mark::mark_of;
use crate::view::parts::row::{strip, text_row};
use crate::view::parts::scene::Scene;
use crate::view::parts::why::{caution, why};
use crate::view::parts::words::{pressed, warning_list};
use crate::view::tackle::from_box;
use maud::{Markup, html};

pub(super) fn results(page: &Page) -> Markup {
    let open = page.rig;
    html! {
        (drawing(page))
        (strip(page))
        div class="tabs" role="group" aria-label="Parts of the rig" {
            @for (tab, name, words) in RigTab::ALL {
                button type="button" id={ "tab-" (name) } data-act={ "tab:" (name) } aria-pressed=(if tab == page.rig_tab { "true" } else { "false" }) { (words) }
            }
        }
        @if let (Some(rig), Some(day)) = (page.plan.rigs.get(open), page.results.rigs.get(open)) {
            @match page.rig_tab {
                RigTab::Shot => (shot(page, rig, day)),
                RigTab::Fall => (fall_tab(page, rig)),
                RigTab::Tie => (tie(page, rig, day)),
                RigTab::Line => (line(page, rig)),
            }
        }
        (caution(page.choices.units, "Lead", &[RULE, " Some venues allow none. Wash your hands before you eat."].concat()))
    }
}

/// Height of the band above the surface.
const HEAD: f64 = 34.0;

/// All rigs in the water, to scale, with their shot.
fn drawing(page: &Page) -> Markup {
    let (plan, units) = (&page.plan, page.choices.units);
    let scene = Scene::new(page, 250.0, HEAD, 14.0);
    let each = plan.rigs.iter().zip(&page.results.rigs).map(|(rig, day)| {
        let depth = units.text(rig.depth_tenth_mm, Quantity::Depth);
        format!("{} to {depth}, {}, {}", rig.name, day.shot_words, day.layout_words)
    });
    let (water, each) = (units.text(plan.water.depth_tenth_mm, Quantity::Reach), each.collect::<Vec<_>>());
    let name = format!("Rigs in {water} of water: {}.", each.join("; "));
    let rigs = html! {
        @for (i, (rig, day)) in plan.rigs.iter().zip(&page.results.rigs).enumerate() {
            @let x = scene.x(60.0, i, plan.rigs.len());
            (scene.rig(page, i, (x, 17.0), i == page.rig, &one_drawn(rig, day, x, &scene)))
        }
    };
    scene.draw("rigs", &name, &html! {}, &scene.level(plan.water.depth_tenth_mm), &rigs)
}

/// One rig: bristle, line, shot.
fn one_drawn(rig: &Rig, day: &RigResult, x: f64, scene: &Scene) -> Markup {
    let joint = (rig.depth_tenth_mm - rig.hooklength_tenth_mm).max(0);
    let groups = day.layout.iter().flat_map(|l| &l.groups);
    html! {
        line class="line" x1=(px(x)) y1=(px(HEAD)) x2=(px(x)) y2=(px(scene.y(joint))) {}
        line class="hooklength" x1=(px(x)) y1=(px(scene.y(joint))) x2=(px(x)) y2=(px(scene.y(rig.depth_tenth_mm))) {}
        line class="tip" x1=(px(x)) y1=(px(HEAD - 11.0)) x2=(px(x)) y2=(px(HEAD)) {}
        @for group in groups {
            @let at = scene.y(rig.depth_tenth_mm - group.from_hook_mm.saturating_mul(10));
            @for k in 0..group.count.min(20) {
                // A bulk is drawn shot above shot; its lowest one stands at its true place.
                @let up = if group.role == Role::Bulk { f64::from(k) * 4.6 } else { 0.0 };
                circle class="shot" cx=(px(x)) cy=(px((at - up).max(HEAD + 14.0))) r="2.6" {}
            }
        }
    }
}

/// The shot that dots the float.
fn shot(page: &Page, rig: &Rig, day: &RigResult) -> Markup {
    let units = page.choices.units;
    let load = [&units.number(f64::from(rig.load_tenth_mg) * 1e-4, 3), " g"].concat();
    let prefix = ["rigs.", &page.rig.to_string(), "."].concat();
    let depth = units.text(rig.depth_tenth_mm, Quantity::Depth);
    html! {
        @if let Some(sentence) = &day.trouble { p class="refusal" { (sentence) } }
        @if let (Some(set), Some(balance)) = (&day.chosen, &day.balance) {
            div class="answer" {
                div {
                    p { span class="number words-number" data-result="rig.shot" { (day.shot_words) } }
                    p class="words" { (day.layout_words) }
                }
                (tips(page, set))
            }
            (warning_list(page.results.warnings.iter().filter(|w| w.field.starts_with(&prefix) && w.mend.is_none())))
            (tip(page, rig, set, balance))
            @if let Some(doubt) = &day.doubt { (tip_doubt(page, rig, doubt)) }
            (sets(page, day, balance))
        }
        div class="rows" {
            (text_row(Sheet::Float, "Float", &load, if rig.load_measured { "as measured" } else { "as printed" }))
            (text_row(Sheet::Shotting, "Shotting", rig.pattern.word(), &[&rig.most_sizes.to_string(), " sizes, ", &rig.most_shots.to_string(), " shot"].concat()))
            (text_row(Sheet::ShotBox, "Shot box", &page.plan.shot_box.len().to_string(), "sizes"))
            (text_row(Sheet::Glass, "Glass of water", "", "what really dots it"))
            (text_row(Sheet::Weigh, "Weigh shot", "", "ten of each or more"))
            (text_row(Sheet::Rig, "Rig", &[&rig.name, ", ", &depth].concat(), day.purpose_words()))
            (text_row(Sheet::Ladder, "Shallow set", "", "rigs a few inches apart"))
        }
    }
}

/// The bristle as it shows with the bait hanging and with it on the bottom.
fn tips(page: &Page, set: &ShotSet) -> Markup {
    let units = page.choices.units;
    let one = |mm: f64, x: f64, on_bottom: bool| {
        let up = between(mm * 3.0, 0.0, 30.0);
        html! {
            line class="tip" x1=(px(x)) y1=(px(34.0 - up)) x2=(px(x)) y2=(px(if mm < 0.0 { 34.0 } else { 36.0 })) {}
            path class="float" d={ "M" (px(x - 5.0)) " 38q5 -6 10 0l-5 15z" } {}
            line class="line" x1=(px(x)) y1="53" x2=(px(x)) y2=(if on_bottom { "70" } else { "62" }) {}
            rect class="cube" x=(px(x - 3.0)) y=(if on_bottom { "70" } else { "62" }) width="6" height="6" {}
        }
    };
    let words = |mm: f64| [&units.number(mm, 1), " mm"].concat();
    let name = [
        "Bristle showing: ",
        &words(set.tip_hanging_mm),
        " with the bait hanging, ",
        &words(set.tip_bottom_mm),
        " with it on the bottom.",
    ]
    .concat();
    html! {
        svg class="tips" data-drawing="tips" viewBox="0 0 120 80" width="120" height="80" role="img" aria-label=(name) {
            rect class="water" x="0" y="34" width="120" height="46" {}
            line class="surface" x1="0" y1="34" x2="120" y2="34" {}
            line class="bed" x1="60" y1="77" x2="120" y2="77" {}
            (one(set.tip_hanging_mm, 30.0, false))
            (one(set.tip_bottom_mm, 90.0, true))
        }
    }
}

/// How the rig falls.
fn fall_tab(page: &Page, rig: &Rig) -> Markup {
    html! {
        (fall::section(page))
        div class="rows" { (text_row(Sheet::Lay, "How it goes in", rig.more.entry.word(), rig.more.hold.word())) }
    }
}

/// How it is tied.
fn tie(page: &Page, rig: &Rig, day: &RigResult) -> Markup {
    html! {
        @if let Some(sentence) = &day.trouble { p class="refusal" { (sentence) } }
        (places(page, day))
        div class="rows" {
            (text_row(Sheet::Shotting, "Shotting", rig.pattern.word(), "places and sizes"))
            (text_row(Sheet::Rig, "Rig", &page.choices.units.text(rig.depth_tenth_mm, Quantity::Depth), day.purpose_words()))
        }
        (make_up::make_up(page))
    }
}

/// What breaks first, and what pulls at it.
fn line(page: &Page, rig: &Rig) -> Markup {
    let units = page.choices.units;
    html! {
        (make_up::holds(page, rig))
        div class="rows" {
            (text_row(Sheet::Line, "Line and hook", &units.text(rig.main_um, Quantity::Diameter), &["hook ", &rig.hook_size.to_string()].concat()))
            (text_row(Sheet::Elastic, "Elastic", &rig.more.elastic_um.map_or_else(|| "not entered".to_owned(), |um| units.text(um, Quantity::Diameter)), "and knots"))
        }
    }
}

fn tip(page: &Page, rig: &Rig, set: &ShotSet, balance: &Balance) -> Markup {
    let units = page.choices.units;
    let first = rig.dotted == DottedWith::Hanging;
    let states = [
        ("bait hanging", "rig.hanging", set.tip_hanging_mm, first),
        ("bait on the bottom", "rig.bottom", set.tip_bottom_mm, !first),
    ];
    html! {
        @for (name, key, mm, _) in &states {
            p data-result=(key) {
                @if *mm < 0.0 { "Sunk by " strong { (units.number(-mm, 1)) " mm" } }
                @else if *mm > rig_tip_mm(rig) { strong { (units.number(*mm, 1)) " mm" } ": more than the bristle, so the body shows," }
                @else { strong { (units.number(*mm, 1)) " mm" } " of bristle showing" }
                " with the " (name) "."
            }
        }
        (why(page.choices.units,
            "balance",
            "Everything under the float counts by its weight in water: shot, hook, bait, line. Each millimetre of bristle that shows is a millimetre that does not lift. All sets from the box are searched in whole numbers; the list holds those that no other set beats on distance from the wanted bristle, number of sizes and number of shot together.",
            &[
                ("the hanging bait is worth", [&units.number(balance.bait_worth_mm, 1), " mm of bristle"].concat()),
                ("one millimetre of bristle", [&units.number(balance.tip_ng_per_mm as f64 * 1e-6, 2), " mg"].concat()),
                ("shot wanted, weight in water", [&units.number(balance.wanted_shot_ng as f64 * 1e-9, 4), " g"].concat()),
                ("hook and line, weight in water", [&units.number((balance.hook_ng + balance.line_ng) as f64 * 1e-6, 1), " mg"].concat()),
                ("the water’s surface pulls the bristle down by", if rig.load_measured { "nothing more than in the glass".to_owned() } else { [&units.number(balance.meniscus_ng as f64 / balance.tip_ng_per_mm as f64, 1), " mm"].concat() }),
                ("left out: the float’s own lift in this water", ["up to ", &units.number(balance.left_out_mm.abs(), 1), if balance.left_out_mm < 0.0 { " mm lower" } else { " mm higher" }].concat()),
                ("density of the water", [&units.number(balance.water_kg_per_m3, 1), " kg/m3"].concat()),
            ],
            "Archimedes; densities of the elements; water by Tanaka 2001; the surface’s pull by Wilhelmy (perimeter times tension times the cosine of the angle; angles of epoxy, nylon, PVC, polystyrene and polyethylene from surveys, 30° less wet and 10° more dry by judgement). A maker’s load is taken as ± 10 %, common practice, no published source: a glass of water has the last word.",
        ))
    }
}

/// How far the tip may be off, and what makes it.
fn tip_doubt(page: &Page, rig: &Rig, doubt: &TipDoubt) -> Markup {
    let mm = |value: f64| page.choices.units.number(value, 0);
    html! {
        p data-result="rig.doubt" {
            "Give or take " strong { (mm(doubt.all_mm)) " mm" } ": load ± " (mm(doubt.load_mm)) ", shot ± " (mm(doubt.shot_mm)) ", water on the bristle ± " (mm(doubt.meniscus_mm)) "."
            @if !rig.load_measured { " Dot this float in a glass of water, and load and shot are exact." }
        }
    }
}

fn rig_tip_mm(rig: &Rig) -> f64 {
    f64::from(rig.tip_length_tenth_mm) / 10.0
}

fn sets(page: &Page, day: &RigResult, balance: &Balance) -> Markup {
    let units = page.choices.units;
    html! {
        h2 { "Just as good with your shot" }
        ul class="sets" data-result="rig.sets" {
            @for (i, set) in balance.sets.iter().take(10).enumerate() {
                @let used = day.chosen.as_ref() == Some(set);
                li {
                    button type="button" data-act={ "set:" (page.rig) "." (i) } aria-pressed=(if used { "true" } else { "false" }) {
                        strong { (set.shots.iter().map(|s| [&s.count.to_string(), " × ", &s.name].concat()).collect::<Vec<_>>().join(" + ")) }
                        span { (set.shots_total) " shot, " (units.number(set.off_mm, 1)) " mm off" @if holds_banned_lead(&page.plan, set) { ", lead that is not allowed" } }
                    }
                }
            }
        }
        @if let (Some(doubt), Some(used)) = (&day.doubt, &day.chosen) {
            @let alike = balance.sets.iter().take(10).filter(|set| *set != used && (set.off_mm - used.off_mm).abs() < doubt.shot_mm).count();
            @if alike > 0 && page.results.prep.iter().any(|step| step.id == "weigh") {
                p class="hint" data-result="rig.unweighed" { "Shot that was not weighed may be off by " (units.number(doubt.shot_mm, 0)) " mm of bristle; by less than that " (alike) " of these sets differ from yours. Weigh ten of each." }
            }
        }
        @if !balance.on_tip { p class="warning" { "No set brings the water onto the bristle; this is the nearest. Allow more sizes or more shot." } }
    }
}

fn places(page: &Page, day: &RigResult) -> Markup {
    let (plan, units) = (&page.plan, page.choices.units);
    html! {
        @if let Some(layout) = &day.layout {
            table data-result="rig.places" {
                caption { "From the hook up" }
                thead { tr { th scope="col" { "From the hook" } th scope="col" { "Shot" } th scope="col" { "As" } } }
                tbody {
                    @for group in &layout.groups {
                        tr {
                            th scope="row" { (units.text(group.from_hook_mm.saturating_mul(10), Quantity::Depth)) }
                            td { (group.count) " × " (plan.shot_box.get(group.shot).map_or("", |s| s.name.as_str())) }
                            td { (match group.role { Role::Bulk => "bulk", Role::Dropper => "dropper", Role::Strung => "strung" }) }
                        }
                    }
                }
            }
        }
    }
}

/// What stands above the inputs of a sheet.
pub(super) fn answers(page: &Page, sheet: Sheet) -> Markup {
    let Some((rig, day)) = page.plan.rigs.get(page.rig).zip(page.results.rigs.get(page.rig)) else {
        return html! {};
    };
    let strip = html! {
        p class="strip-line" {
            (crate::view::parts::mark::mark(mark_of(&page.plan.rigs, page.rig))) strong { (rig.name) } " "
            @match &day.trouble {
                Some(_) => span class="bad" { "no shot dots this float" },
                None => span data-result="strip.shot" { (day.shot_words) },
            }
            @if let Some(set) = &day.chosen {
                @let mm = if rig.dotted == DottedWith::Hanging { set.tip_hanging_mm } else { set.tip_bottom_mm };
                span class="detail" { (page.choices.units.number(mm, 1)) " mm of bristle" }
            }
        }
    };
    match sheet {
        Sheet::Glass => html! { (strip) (make_up::glass_test(page, rig)) },
        Sheet::Weigh => make_up::weighing(page),
        Sheet::Ladder => make_up::ladder(page),
        _ => strip,
    }
}

pub(super) fn inputs(page: &Page, sheet: Sheet) -> Markup {
    let plan = &page.plan;
    let i = page.rig;
    let Some(rig) = plan.rigs.get(i) else { return html! {} };
    let path = |tail: &str| ["rigs.", &i.to_string(), ".", tail].concat();
    match sheet {
        Sheet::Rig => html! {
            (text(page, &path("name"), &rig.name, "Name"))
            (pick(&path("purpose"), &rig.purpose, "For"))
            (place(&path("line"), plan.lines.iter().map(|l| l.name.as_str()), rig.line, "Line"))
            (number(page, &path("depth"), Some(rig.depth_tenth_mm)))
            div class="button-row" {
                button type="button" data-act={ "rig-up:" (i) } disabled[i == 0] { "Move left" }
                button type="button" data-act={ "rig-down:" (i) } disabled[i + 1 == plan.rigs.len()] { "Move right" }
            }
            (add("rigs", "Copy this rig"))
            @if plan.rigs.len() > 1 { (remove("rigs", i, "Delete this rig")) }
        },
        Sheet::Float => html! {
            (from_box(page, ItemKind::Float))
            (text(page, &path("float_name"), &rig.float_name, "Float"))
            (number(page, &path("load"), Some(rig.load_tenth_mg)))
            (number(page, &path("show"), Some(rig.show_tenth_mm)))
            (pick(&path("dotted"), &rig.dotted, "Dotted with the"))
            (number(page, &path("tip"), Some(rig.tip_um)))
            (number(page, &path("tip_length"), Some(rig.tip_length_tenth_mm)))
            (pick(&path("more.tip_of"), &rig.more.tip_of, "Bristle of"))
        },
        Sheet::Shotting => html! {
            (pick(&path("pattern"), &rig.pattern, "Pattern"))
            (number(page, &path("bulk_from_hook"), Some(rig.bulk_from_hook_tenth_mm)))
            @for (j, dropper) in rig.droppers.iter().enumerate() {
                @let at = |tail: &str| [&path("droppers."), &j.to_string(), ".", tail].concat();
                fieldset {
                    legend { "Dropper " (j + 1) }
                    (number(page, &at("from_hook"), Some(dropper.from_hook_tenth_mm)))
                    (place(&at("shot"), plan.shot_box.iter().map(|s| s.name.as_str()), dropper.shot, "Shot"))
                    (number(page, &at("count"), Some(dropper.count)))
                    (remove(&path("droppers"), j, "Delete this dropper"))
                }
            }
            (add(&path("droppers"), "Add a dropper"))
            (pick(&path("taste"), &rig.taste, "Prefer"))
            (number(page, &path("most_sizes"), Some(rig.most_sizes)))
            (number(page, &path("most_shots"), Some(rig.most_shots)))
        },
        Sheet::ShotBox => html! {
            div class="chips" role="group" aria-label="The box is" {
                @for (name, _) in METALS {
                    @let all = plan.shot_box.iter().all(|size| metal_of(size.density_kg_per_m3) == Some(name));
                    button type="button" data-act={ "metal:" (name) } aria-pressed=(pressed(all)) { (name) }
                }
            }
            p class="hint" { "Masses are the trade’s usual figures. The English gun table and a chart of the trade differ by 6 to 20 %: weigh ten of each and write a tenth." }
            @for (j, shot) in plan.shot_box.iter().enumerate() {
                @let at = |tail: &str| ["shot_box.", &j.to_string(), ".", tail].concat();
                div class="boxed" {
                    (crate::view::parts::field::named(page, &at("count"), Some(shot.count), Some(&shot.name)))
                    details class="fold" data-keep={ "box-" (j) } {
                        summary { (page.choices.units.shot_g(shot.mass(), 3)) " g, " @if let Some(metal) = metal_of(shot.density_kg_per_m3) { (metal) } @else { (shot.density_kg_per_m3) " kg/m³" } }
                        (text(page, &at("name"), &shot.name, "Name"))
                        (number(page, &at("mass"), Some(shot.mass_tenth_mg)))
                        (number(page, &at("density"), Some(shot.density_kg_per_m3)))
                        (crate::view::parts::field::flag(&at("weighed"), shot.weighed, "I weighed it"))
                        @if plan.shot_box.len() > 1 { (remove("shot_box", j, "Delete this size")) }
                    }
                }
            }
            (from_box(page, ItemKind::Shot))
            (add("shot_box", "Add a size"))
            p class="actions" { button type="button" data-act="olivette" { "Add an olivette or in-line weight" } }
        },
        Sheet::Line => html! {
            (from_box(page, ItemKind::Line))
            (from_box(page, ItemKind::Hook))
            (number(page, &path("main"), Some(rig.main_um)))
            (number(page, &path("main_strength"), Some(rig.main_strength_g)))
            (number(page, &path("hooklength"), Some(rig.hooklength_tenth_mm)))
            (number(page, &path("hooklength_line"), Some(rig.hooklength_um)))
            (number(page, &path("hooklength_strength"), Some(rig.hooklength_strength_g)))
            (number(page, &path("hook_size"), Some(rig.hook_size)))
            (number(page, &path("hook_mass"), Some(rig.hook_tenth_mg)))
        },
        _ => make_up::inputs(page, rig, sheet),
    }
}
