//! What stands behind a result: its rule or formula, its inputs, its source, and how far to trust it.

use crate::units::Units;
use maud::{Markup, html};

/// A panel that opens under a result; decimals in its words take the reader’s sign.
pub(in crate::view) fn why(
    units: Units,
    key: &str,
    rule: &str,
    inputs: &[(&str, String)],
    source: &str,
) -> Markup {
    html! {
        details class="why" data-keep={ "why-" (key) } {
            summary { "Why" }
            p { (units.prose(rule)) }
            @if !inputs.is_empty() {
                dl class="pairs" { @for (name, value) in inputs { div { dt { (name) } dd { (value) } } } }
            }
            p class="source" { "Source: " (units.prose(source)) }
        }
    }
}

/// A short caution.
pub(in crate::view) fn caution(units: Units, title: &str, words: &str) -> Markup {
    html! { p class="caution" { strong { (title) ". " } (units.prose(words)) } }
}

/// The cautions of the bank: what can hurt there.
pub(in crate::view) fn bank_cautions(units: Units) -> Markup {
    html! {
        section class="cautions" {
            h2 { "Take care" }
            (caution(units, "Overhead lines", "A pole conducts. Keep 30 m or more from power lines, carry it level, and heed the venue’s signs. Keep 5 m from a fallen line."))
            (caution(units, "Lightning", "Pole down and go in at the first thunder. Out again 30 minutes after the last."))
            (caution(units, "Water and bank", "Cold or deep water and soft banks: sit back from the edge, and never wade after tackle."))
            (caution(units, "Fish and line", "Barbless hooks and wet hands. Take every hook and end of line home."))
            p class="source" { "Local rules and licensed practice go first. 30 m and 5 m: the electricity network companies’ advice. At the first thunder: the US National Weather Service; 30 minutes: Holle, López and Zimmermann 1999." }
        }
    }
}
