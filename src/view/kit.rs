//! The kit list: what to pack, ticked as it is packed.

use crate::page::Page;
use crate::page::sheet::Sheet;
use crate::results::kit::Item;
use crate::view::parts::field::{add, number, pick, remove, text};
use crate::view::parts::row::text_row;
use maud::{Markup, html};

/// The id of a thing's tick.
fn tick_id(item: &Item) -> String {
    ["kit-", &item.id].concat()
}

pub(super) fn results(page: &Page) -> Markup {
    let items = || page.results.kit.iter().flat_map(|g| &g.items).filter(|i| i.count > 0);
    let packed =
        |list: &mut dyn Iterator<Item = &Item>| list.filter(|i| page.ticks.contains(&tick_id(i))).count();
    let (done, all) = (packed(&mut items()), items().count());
    html! {
        div class="answer" {
            p data-result="kit.packed" { span class="number" { (done) } " " span class="unit" { "of " (all) " packed" } }
            progress class="packed" max=(all) value=(done) aria-label="Packed" {}
        }
        @for group in &page.results.kit {
            @let of_group = || group.items.iter().filter(|i| i.count > 0);
            details class="fold group" data-keep={ "kit-" (group.name) } open {
                summary { h2 { (group.name) } span class="detail" { (packed(&mut of_group())) " of " (of_group().count()) } }
                ul class="ticks kit" data-result={ "kit." (group.name) } { @for item in &group.items { (thing(page, item)) } }
            }
        }
        div class="rows" { (text_row(Sheet::OwnItems, "Your own items", &page.plan.kit.len().to_string(), "add what you always take")) }
        p class="actions" {
            button type="button" id="print-kit" data-act="print:kit" { "Print the list" }
            button type="button" data-act="unpack" { "Take all ticks off" }
        }
    }
}

/// One row: the tick, the name, and the count, which opens to where it comes from and how to change it.
fn thing(page: &Page, item: &Item) -> Markup {
    let id = tick_id(item);
    html! {
        li class=(if item.count == 0 { "left-out" } else { "" }) {
            label {
                input type="checkbox" id=(id) data-tick=(id) checked[page.ticks.contains(&id)] disabled[item.count == 0];
                span { (item.name) }
            }
            @if item.own.is_some() {
                strong class="how-many" { (item.count) }
            } @else {
                details data-keep={ "many-" (item.id) } {
                    summary class="how-many" { strong { (item.count) } span class="visually-hidden" { ", " (item.name) ": where this comes from" } }
                    p class="reason" {
                        (item.reason)
                        @if let Some(derived) = item.derived { " (the plan says " (derived) ")" }
                    }
                    div class="count" {
                        button type="button" id={ "less-" (item.id) } data-act={ "kit:" (item.id) ".-" } aria-label={ "One fewer: " (item.name) } { "−" }
                        button type="button" id={ "more-" (item.id) } data-act={ "kit:" (item.id) ".+" } aria-label={ "One more: " (item.name) } { "+" }
                    }
                }
            }
        }
    }
}

pub(super) fn inputs(page: &Page) -> Markup {
    html! {
        @for (i, item) in page.plan.kit.iter().enumerate() {
            @let at = |tail: &str| ["kit.", &i.to_string(), ".", tail].concat();
            fieldset {
                legend { "Item " (i + 1) }
                (text(page, &at("name"), &item.name, "What"))
                (number(page, &at("count"), Some(item.count)))
                (pick(&at("group"), &item.group, "Packed with"))
                (remove("kit", i, "Delete this item"))
            }
        }
        (add("kit", "Add an item"))
        p class="hint" { "Numbers come from the plan, spares from common practice." }
    }
}
