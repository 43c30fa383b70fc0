//! My tackle: what I own, as I measured it.

use crate::book::{Item, ItemKind, Measured, Owned, Test};
use crate::page::Page;
use crate::session::words::counted;
use crate::units::{Quantity, TenthMg, Units};
use crate::view::parts::field::of_record;
use maud::{Markup, html};

/// What the fields of a thing are called where they are no numbers.
const NAMES: [(&str, &str); 3] = [("name", "Name"), ("weighed", "I weighed it"), ("tip_of", "Its tip is")];

pub(super) fn results() -> Markup {
    html! {
        p class="intro" { "Your own box: floats with the load that you measured, shot as you carry and weighed it, tins with what tub tests said. A new day takes what it needs from here, and a link still carries all." }
        p class="actions" { button type="button" data-act="book:keep-tackle" { "Take over what the open day uses" } }
    }
}

pub(super) fn inputs(page: &Page) -> Markup {
    let units = page.choices.units;
    let all = page.book.tackle();
    html! {
        @for (kind, word, title) in ItemKind::ALL {
            @let list: Vec<_> = all.iter().filter(|(_, owned)| owned.item.kind() == word).collect();
            h2 { (title) }
            ul class="cards" data-result={ "tackle." (word) } {
                @for (id, owned) in list {
                    @let open = page.shelf.item == Some(*id);
                    li {
                        button type="button" class="wide" data-act={ "book:item." (id) } aria-expanded=(if open { "true" } else { "false" }) {
                            (owned.item.name()) span class="count" { (figure(&owned.item, units)) }
                            span class="reason" { (known(owned, units)) }
                        }
                        @if open { (editor(page, owned)) }
                    }
                }
            }
            button type="button" class="wide" data-act={ "book:new-item." (word) } { "Add " (one(kind)) }
        }
    }
}

/// What the box holds of one kind, each a tap from the plan; nothing where it holds none.
pub(super) fn from_box(page: &Page, kind: ItemKind) -> Markup {
    let word = ItemKind::ALL.iter().find(|(known, ..)| *known == kind).map(|(_, word, _)| *word);
    let all = page.book.tackle();
    let list: Vec<_> = all.iter().filter(|(_, owned)| Some(owned.item.kind()) == word).collect();
    html! {
        @if !list.is_empty() {
            div class="chips" role="group" aria-label="From my tackle" {
                @for (id, owned) in list {
                    button type="button" data-act={ "book:use-item." (id) } {
                        (owned.item.name()) " " span class="muted" { (figure(&owned.item, page.choices.units)) }
                    }
                }
            }
        }
    }
}

fn one(kind: ItemKind) -> &'static str {
    match kind {
        ItemKind::Float => "a float",
        ItemKind::Shot => "a size",
        ItemKind::Line => "a line",
        ItemKind::Hook => "a hook",
        ItemKind::Elastic => "an elastic",
        ItemKind::Tin => "a tin",
    }
}

/// The number at the right of a row.
fn figure(item: &Item, units: Units) -> String {
    let grams = |tenth_mg: i32| units.shot_g(TenthMg(u32::try_from(tenth_mg).unwrap_or(0)), 3) + " g";
    match item {
        Item::Float(float) => grams(float.load_tenth_mg),
        Item::Shot(shot) => format!("{} × {}", shot.count, grams(shot.mass_tenth_mg)),
        Item::Line(line) => units.text(line.diameter_um, Quantity::Diameter),
        Item::Hook(hook) => format!("size {}", hook.size),
        Item::Elastic(elastic) => {
            elastic.elastic_um.map_or_else(String::new, |um| units.text(um, Quantity::Diameter))
        }
        Item::Tin(tin) => units.text(tin.fat_tenth_g, Quantity::PerHundred) + " fat",
    }
}

/// How it is known.
fn known(owned: &Owned, units: Units) -> String {
    match (&owned.item, owned.measured()) {
        (Item::Float(_), Some(Measured { tests, mean, spread, .. })) => {
            let grams = |tenth_mg: f64| units.number(tenth_mg / 10_000.0, 4);
            let spread =
                spread.map_or_else(String::new, |spread| [", spread ", &grams(spread), " g"].concat());
            let times = counted(u32::try_from(tests).unwrap_or(0), "glass test", "glass tests");
            [&times, ": ", &grams(mean), " g", &spread].concat()
        }
        (Item::Tin(_), Some(Measured { tests, count, mean, spread })) => {
            let spread =
                spread.map_or_else(String::new, |spread| [", spread ", &units.number(spread, 0)].concat());
            let times = counted(u32::try_from(tests).unwrap_or(0), "tub test", "tub tests");
            [&times, ", ", &units.number(count, 0), " drops: ", &units.number(mean, 0), " kg/m³", &spread]
                .concat()
        }
        (Item::Shot(shot), _) => if shot.weighed { "weighed" } else { "as printed" }.to_owned(),
        (Item::Float(_), None) => "as printed".to_owned(),
        (Item::Tin(_), None) => "label only".to_owned(),
        (Item::Line(line), _) => units.text(line.strength_g, Quantity::Grams),
        _ => String::new(),
    }
}

fn editor(page: &Page, owned: &Owned) -> Markup {
    let mut item = owned.item.clone();
    let units = page.choices.units;
    html! {
        div class="card" {
            @for key in item.keys() {
                @if let Some((slot, row)) = item.field(key) {
                    @let name = NAMES.iter().find(|(known, _)| known == key).map_or("", |(_, name)| name);
                    (of_record(page, &["box.", key].concat(), row, &slot, name))
                }
            }
            @if !owned.tests.is_empty() {
                ul { @for (name, test) in &owned.tests {
                    li class="reason" { (words(*test, units)) " " button type="button" class="quiet" data-act={ "book:take-out-test." (name) } aria-label={ "Remove: " (words(*test, units)) } { "Remove" } }
                } }
            }
            p class="actions" {
                button type="button" data-act="book:use-item" { "Use it in the open day" }
                button type="button" data-act="book:delete-item" { "Delete" }
            }
        }
    }
}

fn words(test: Test, units: Units) -> String {
    match test {
        Test::Glass { load_tenth_mg } => {
            ["Glass test: ", &units.text(load_tenth_mg, Quantity::ShotMass)].concat()
        }
        Test::Tub { density_kg_per_m3, spread_kg_per_m3, drops } => {
            format!("Tub test of {drops} drops: {density_kg_per_m3} kg/m³, spread {spread_kg_per_m3}")
        }
    }
}
