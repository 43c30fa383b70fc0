//! The rigs: the shot that dots each float, where it goes, and all of them in the water to scale.

pub(super) mod fall;
mod fall_chart;
pub(super) mod finder;
mod make_up;
pub(super) mod moves;
pub mod scene;

use crate::page::Page;
use crate::plan::{DottedWith, Rig};
use crate::results::rigs::{RigResult, TipDoubt, holds_banned_lead};
use crate::rig::balance::{Balance, ShotSet};
use crate::rig::layout::Role;
use crate::trade::lead::RULE;
use crate::units::{Quantity, Units};
use crate::view::parts::column::{Column, HEIGHT, LEFT, TOP, WIDTH, px};
use crate::view::parts::field::{add, flag, fold, number, pick, place, remove, text};
use crate::view::parts::why::{caution, why};
use crate::view::parts::words::{big, warning_list};
use maud::{Markup, html};

pub(super) fn results(page: &Page) -> Markup {
    let open = page.rig;
    html! {
        (drawing(page))
        nav class="button-row" aria-label="Rigs" {
            @for (i, rig) in page.plan.rigs.iter().enumerate() {
                button type="button" data-act={ "rig:" (i) } aria-pressed=(if i == open { "true" } else { "false" }) {
                    strong { (rig.name) } " " span { (page.choices.units.text(rig.depth_tenth_mm, Quantity::Depth)) }
                }
            }
        }
        @if let (Some(rig), Some(day)) = (page.plan.rigs.get(open), page.results.rigs.get(open)) {
            (one(page, rig, day))
            (fall::section(page))
            (make_up::results(page, rig))
        }
        (caution(page.choices.units, "Lead", &[RULE, " Some venues allow none. Wash your hands before you eat."].concat()))
    }
}

/// All rigs in the water, to scale.
fn drawing(page: &Page) -> Markup {
    let (plan, units) = (&page.plan, page.choices.units);
    let deepest =
        plan.rigs.iter().map(|r| r.depth_tenth_mm).chain([plan.water.depth_tenth_mm]).max().unwrap_or(10_000);
    let water_m = f64::from(plan.water.depth_tenth_mm) * 1e-4;
    let column = Column { depth_m: f64::from(deepest) * 1e-4, units, high: HEIGHT };
    let count = plan.rigs.len().max(1) as f64;
    let step = (WIDTH - LEFT - 20.0) / count;
    let each = plan.rigs.iter().zip(&page.results.rigs).map(|(rig, day)| {
        let depth = units.text(rig.depth_tenth_mm, Quantity::Depth);
        format!("{} to {depth}, {}, {}", rig.name, day.shot_words, day.layout_words)
    });
    let (water, each) = (units.text(plan.water.depth_tenth_mm, Quantity::Reach), each.collect::<Vec<_>>());
    let name = format!("Rigs in {water} of water: {}.", each.join("; "));
    let inside = html! {
        @if water_m < column.depth_m * 0.999 {
            line class="bed" x1=(px(LEFT)) y1=(px(column.y(water_m))) x2=(px(WIDTH)) y2=(px(column.y(water_m))) {}
        }
        @for (i, (rig, day)) in plan.rigs.iter().zip(&page.results.rigs).enumerate() {
            (one_drawn(column, rig, day, LEFT + 16.0 + step * (i as f64 + 0.25), units, i == page.rig))
        }
    };
    column.draw("rigs", &name, &inside)
}

fn one_drawn(column: Column, rig: &Rig, day: &RigResult, x: f64, units: Units, open: bool) -> Markup {
    let hook = column.y(day.depth_m);
    let joint = column.y((day.depth_m - f64::from(rig.hooklength_tenth_mm) * 1e-4).max(0.0));
    let groups: Vec<(f64, u32, Role)> = day
        .layout
        .iter()
        .flat_map(|l| &l.groups)
        .map(|g| (day.depth_m - f64::from(g.from_hook_mm) * 1e-3, g.count, g.role))
        .collect();
    // The last rig's words stand on its left, where they would not fit on its right.
    let (words_x, anchor) = if x > WIDTH - 84.0 { (x - 8.0, Some("end")) } else { (x + 8.0, None) };
    html! {
        g class=(if open { "rig open" } else { "rig" }) {
            line class="line" x1=(px(x)) y1=(px(TOP)) x2=(px(x)) y2=(px(joint)) {}
            line class="hooklength" x1=(px(x)) y1=(px(joint)) x2=(px(x)) y2=(px(hook)) {}
            line class="tip" x1=(px(x)) y1=(px(TOP - 9.0)) x2=(px(x)) y2=(px(TOP - 2.0)) {}
            path class="float" d={ "M" (px(x - 4.0)) " " (px(TOP)) "Q" (px(x)) " " (px(TOP - 6.0)) " " (px(x + 4.0)) " " (px(TOP)) "L" (px(x)) " " (px(TOP + 15.0)) "Z" } {}
            @for (depth_m, count, role) in groups {
                @for k in 0..count.min(20) {
                    // A bulk is drawn shot above shot; its lowest one stands at its true place.
                    @let up = if role == Role::Bulk { f64::from(k) * 4.6 } else { 0.0 };
                    circle class="shot" cx=(px(x)) cy=(px((column.y(depth_m) - up).max(TOP + 12.0))) r="2.6" {}
                }
            }
            rect class="cube" x=(px(x - 3.5)) y=(px((hook - 3.5).min(TOP + HEIGHT - 7.0))) width="7" height="7" {}
            text class="value" x=(px(words_x)) text-anchor=[anchor] y=(px((hook + 4.0).min(TOP + HEIGHT - 6.0))) { (rig.name) " " (units.text(rig.depth_tenth_mm, Quantity::Depth)) }
        }
    }
}

fn one(page: &Page, rig: &Rig, day: &RigResult) -> Markup {
    let units = page.choices.units;
    let prefix = ["rigs.", &page.rig.to_string(), "."].concat();
    html! {
        h2 { "Rig " (rig.name) ", " (day.purpose_words()) }
        @if !day.shot_words.is_empty() {
            p class="main" data-result="rig.shot" { strong { (day.shot_words) } " on a " (units.number(f64::from(rig.load_tenth_mg) * 1e-4, 2)) " g float" @if !day.layout_words.is_empty() { ": " (day.layout_words) } "." }
        }
        @if let Some(sentence) = &day.trouble { p class="refusal" { (sentence) } }
        (warning_list(page.results.warnings.iter().filter(|w| w.field.starts_with(&prefix) || w.field.starts_with("shot_box."))))
        @if let (Some(set), Some(balance)) = (&day.chosen, &day.balance) {
            (tip(page, rig, set, balance))
            @if let Some(doubt) = &day.doubt { (tip_doubt(page, rig, doubt)) }
            (sets(page, day, balance))
            (places(page, day))
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
        @for (name, key, mm, _) in states.iter().filter(|s| s.3) { (big(key, &units.number(mm.abs(), 1), &[if *mm < 0.0 { "mm under, " } else { "mm of tip left, " }, name].concat())) }
        @for (name, key, mm, _) in states.iter().filter(|s| !s.3) {
            p data-result=(key) {
                @if *mm < 0.0 { "Sunk by " strong { (units.number(-mm, 1)) " mm" } }
                @else if *mm > rig_tip_mm(rig) { strong { (units.number(*mm, 1)) " mm" } ": more than the tip, so the body shows," }
                @else { strong { (units.number(*mm, 1)) " mm" } " of tip left" }
                " with the " (name) "."
            }
        }
        (why(page.choices.units,
            "balance",
            "Everything under the float counts by its weight in water: shot, hook, bait, line. Each millimetre of tip that shows is a millimetre that does not lift. All sets from the box are searched in whole numbers; the list holds those that no other set beats on distance from the wanted tip, number of sizes and number of shot together.",
            &[
                ("the hanging bait is worth", [&units.number(balance.bait_worth_mm, 1), " mm of tip"].concat()),
                ("one millimetre of tip", [&units.number(balance.tip_ng_per_mm as f64 * 1e-6, 2), " mg"].concat()),
                ("shot wanted, weight in water", [&units.number(balance.wanted_shot_ng as f64 * 1e-9, 4), " g"].concat()),
                ("hook and line, weight in water", [&units.number((balance.hook_ng + balance.line_ng) as f64 * 1e-6, 1), " mg"].concat()),
                ("the water’s surface pulls the tip down by", if rig.load_measured { "nothing more than in the glass".to_owned() } else { [&units.number(balance.meniscus_ng as f64 / balance.tip_ng_per_mm as f64, 1), " mm"].concat() }),
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
            "Give or take " strong { (mm(doubt.all_mm)) " mm" } ": load ± " (mm(doubt.load_mm)) ", shot ± " (mm(doubt.shot_mm)) ", water on the tip ± " (mm(doubt.meniscus_mm)) "."
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
        h3 { "Sets from your box" }
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
                p class="hint" data-result="rig.unweighed" { "Shot that was not weighed may be off by " (units.number(doubt.shot_mm, 0)) " mm of tip; by less than that " (alike) " of these sets differ from yours. Weigh ten of each." }
            }
        }
        @if !balance.on_tip { p class="warning" { "No set brings the water onto the tip; this is the nearest. Allow more sizes or more shot." } }
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

pub(super) fn inputs(page: &Page) -> Markup {
    let plan = &page.plan;
    let i = page.rig;
    let Some(rig) = plan.rigs.get(i) else { return html! {} };
    let path = |tail: &str| ["rigs.", &i.to_string(), ".", tail].concat();
    html! {
        (fold("rig", &["Rig ", &rig.name].concat(), true, &html! {
            (text(page, &path("name"), &rig.name, "Name"))
            (pick(&path("purpose"), &rig.purpose, "For"))
            (place(&path("line"), plan.lines.iter().map(|l| l.name.as_str()), rig.line, "Line"))
            (number(page, &path("depth"), Some(rig.depth_tenth_mm)))
        }))
        (fold("float", "Float", true, &html! {
            (text(page, &path("float_name"), &rig.float_name, "Float"))
            (number(page, &path("load"), Some(rig.load_tenth_mg)))
            (number(page, &path("show"), Some(rig.show_tenth_mm)))
            (pick(&path("dotted"), &rig.dotted, "Dotted with the"))
            (number(page, &path("tip"), Some(rig.tip_um)))
            (number(page, &path("tip_length"), Some(rig.tip_length_tenth_mm)))
            (pick(&path("more.tip_of"), &rig.more.tip_of, "Its tip is"))
        }))
        (fold("shotting", "Shotting", true, &html! {
            (pick(&path("pattern"), &rig.pattern, "Pattern"))
            (number(page, &path("bulk_from_hook"), Some(rig.bulk_from_hook_tenth_mm)))
            (pick(&path("taste"), &rig.taste, "Rather"))
            (number(page, &path("most_sizes"), Some(rig.most_sizes)))
            (number(page, &path("most_shots"), Some(rig.most_shots)))
            @for (j, dropper) in rig.droppers.iter().enumerate() {
                @let at = |tail: &str| [&path("droppers."), &j.to_string(), ".", tail].concat();
                fieldset {
                    legend { "Dropper " (j + 1) }
                    (number(page, &at("from_hook"), Some(dropper.from_hook_tenth_mm)))
                    (place(&at("shot"), plan.shot_box.iter().map(|s| s.name.as_str()), dropper.shot, "Shot"))
                    (number(page, &at("count"), Some(dropper.count)))
                    (remove(&path("droppers"), j, "Take this dropper out"))
                }
            }
            (add(&path("droppers"), "Add a dropper"))
        }))
        (fold("line", "Line and hook", false, &html! {
            (number(page, &path("main"), Some(rig.main_um)))
            (number(page, &path("main_strength"), Some(rig.main_strength_g)))
            (number(page, &path("hooklength"), Some(rig.hooklength_tenth_mm)))
            (number(page, &path("hooklength_line"), Some(rig.hooklength_um)))
            (number(page, &path("hooklength_strength"), Some(rig.hooklength_strength_g)))
            (number(page, &path("hook_size"), Some(rig.hook_size)))
            (number(page, &path("hook_mass"), Some(rig.hook_tenth_mg)))
        }))
        (make_up::inputs(page, rig))
        (fold("box", "Shot box", false, &html! {
            p class="hint" { "Masses are the trade’s usual figures. The English gun table and a chart of the trade differ by 6 to 20 %: weigh ten of each and write a tenth." }
            @for (j, shot) in plan.shot_box.iter().enumerate() {
                @let at = |tail: &str| ["shot_box.", &j.to_string(), ".", tail].concat();
                fieldset {
                    legend { (shot.name) " " span class="muted" { (page.choices.units.number(f64::from(shot.mass_tenth_mg) * 1e-4, 4)) " g" } }
                    (text(page, &at("name"), &shot.name, "Name"))
                    (number(page, &at("mass"), Some(shot.mass_tenth_mg)))
                    (number(page, &at("density"), Some(shot.density_kg_per_m3)))
                    (number(page, &at("count"), Some(shot.count)))
                    (flag(&at("weighed"), shot.weighed, "I weighed it"))
                    (remove("shot_box", j, "Take this size out"))
                }
            }
            (add("shot_box", "Add a size"))
        }))
        (add("rigs", "Add a rig like this one"))
        (remove("rigs", i, "Take this rig out"))
    }
}
