//! Pieces that cards and lists share.

use crate::page::Page;
use maud::{Markup, html};

/// Venue and day.
pub(super) fn place_and_day(page: &Page) -> Markup {
    let water = &page.plan.water;
    html! { (if water.venue.is_empty() { &page.plan.name } else { &water.venue }) ", " (page.results.when) }
}

/// A row of a list of facts.
pub(super) fn fact(name: &str, value: &str) -> Markup {
    html! { div { dt { (name) } " " dd { (value) } } }
}
