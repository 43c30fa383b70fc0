//! The kit list: what to pack, ticked as it is packed.

use crate::page::Page;
use crate::results::kit::Item;
use crate::view::parts::field::{add, fold, number, pick, remove, text};
use maud::{Markup, html};

/// The id of a thing's tick.
fn tick_id(item: &Item) -> String {
    ["kit-", &item.id].concat()
}

pub(super) fn results(page: &Page) -> Markup {
    let items = || page.results.kit.iter().flat_map(|g| &g.items).filter(|i| i.count > 0);
    let packed = items().filter(|i| page.ticks.contains(&tick_id(i))).count();
    html! {
        p class="big" data-result="kit.packed" { span class="number" { (packed) } " " span class="unit" { "of " (items().count()) " packed" } }
        p class="hint" { "Tick each thing as it is packed. − and + change how many; 0 leaves it at home." }
        @for group in &page.results.kit {
            h2 { (group.name) }
            ul class="ticks kit" {
                @for item in &group.items { (thing(page, item)) }
            }
        }
        p class="actions" {
            button type="button" id="print-kit" data-act="print:kit" { "Print the list" }
            button type="button" data-act="unpack" { "Take all ticks off" }
        }
    }
}

fn thing(page: &Page, item: &Item) -> Markup {
    let id = tick_id(item);
    html! {
        li class=(if item.count == 0 { "left-out" } else { "" }) {
            label {
                input type="checkbox" id=(id) data-tick=(id) checked[page.ticks.contains(&id)] disabled[item.count == 0];
                span {
                    strong { (item.count) } " " (item.name)
                    @if let Some(derived) = item.derived { span class="muted" { " (the plan asks for " (derived) ")" } }
                    @if !item.reason.is_empty() { span class="reason" { (item.reason) } }
                }
            }
            @if item.own.is_none() {
                div class="count" {
                    button type="button" id={ "less-" (item.id) } data-act={ "kit:" (item.id) ".-" } aria-label={ "One fewer: " (item.name) } { "−" }
                    button type="button" id={ "more-" (item.id) } data-act={ "kit:" (item.id) ".+" } aria-label={ "One more: " (item.name) } { "+" }
                }
            }
        }
    }
}

pub(super) fn inputs(page: &Page) -> Markup {
    html! {
        (fold("own", "Your own things", true, &html! {
            @for (i, item) in page.plan.kit.iter().enumerate() {
                @let at = |tail: &str| ["kit.", &i.to_string(), ".", tail].concat();
                fieldset {
                    legend { "Thing " (i + 1) }
                    (text(page, &at("name"), &item.name, "What"))
                    (number(page, &at("count"), Some(item.count)))
                    (pick(&at("group"), &item.group, "Packed with"))
                    (remove("kit", i, "Take this out"))
                }
            }
            (add("kit", "Add a thing"))
            p class="hint" { "Numbers come from the plan, spares from common practice." }
        }))
    }
}
