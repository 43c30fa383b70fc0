//! Words and small pieces of markup that several screens share.

use crate::estimate::Estimate;
use crate::page::Page;
use crate::plan::{Choice, Form};
use crate::results::warnings::Warning;
use crate::units::{Quantity, Units, fixed};
use maud::{Markup, html};

/// What one of the pieces is called: a cube, or a piece of another form.
pub(in crate::view) fn noun(page: &Page) -> &'static str {
    if page.plan.bait_more.other.form == Form::Cube { "cube" } else { "piece" }
}

/// `8 mm cube`.
pub(in crate::view) fn piece_words(page: &Page) -> String {
    let (plan, other) = (&page.plan, &page.plan.bait_more.other);
    let units = page.choices.units;
    let form = other.form.word().split(',').next().unwrap_or_default();
    [&units.text(plan.bait.edge_tenth_mm, Quantity::Size), " ", form].concat()
}

/// A band in words: `6.1 (5.2 to 6.9)` without the unit. A time without an end is `never`.
pub(in crate::view) fn range(units: Units, band: &Estimate, scale: f64, decimals: u8) -> String {
    ["(", &units.number(band.low * scale, decimals), " to ", &end(units, band.high * scale, decimals), ")"]
        .concat()
}

/// The upper end of a band.
pub(in crate::view) fn end(units: Units, high: f64, decimals: u8) -> String {
    if high.is_finite() { units.number(high, decimals) } else { "never".to_owned() }
}

/// Whole minutes, down; saturates.
pub(in crate::view) fn whole(minutes: f64) -> i32 {
    #[expect(clippy::cast_possible_truncation, reason = "the cast saturates, which is what is wanted")]
    let whole = minutes.floor() as i32;
    whole
}

/// Says that what follows is the last good result, while a field holds something that cannot be used.
pub(in crate::view) fn stale(page: &Page) -> Markup {
    let count = page.rejected.len();
    html! {
        @if count > 0 {
            p class="stale" data-result="stale" {
                @if count == 1 { "One field needs a look." } @else { (count) " fields need a look." }
                " Until then this is the last good result."
            }
        }
    }
}

/// A big number with its unit.
pub(in crate::view) fn big(name: &str, number: &str, unit: &str) -> Markup {
    html! { p class="big" { span class="number" data-result=(name) { (number) } " " span class="unit" { (unit) } } }
}

/// Warnings as a list, or nothing.
pub(in crate::view) fn warning_list<'a>(warnings: impl Iterator<Item = &'a Warning>) -> Markup {
    let list: Vec<&Warning> = warnings.collect();
    html! {
        @if !list.is_empty() {
            ul class="warnings" {
                @for warning in list { li { span aria-hidden="true" { "! " } (warning.sentence) } }
            }
        }
    }
}

/// How often what is the likelier comes true: `in 83 cases of 100`. No model of doubts knows more than 99.
pub(in crate::view) fn in_cases(chance: f64) -> String {
    let more = if chance > 0.99 { "more than " } else { "" };
    ["in ", more, &fixed(100.0 * chance.min(0.99), 0), " cases of 100"].concat()
}

pub(in crate::view) fn pressed(on: bool) -> &'static str {
    if on { "true" } else { "false" }
}
