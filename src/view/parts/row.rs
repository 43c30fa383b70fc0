//! What stands on a screen and opens a sheet: a row, a figure, a strip of rigs.

use super::mark::{mark, mark_of};
use crate::page::Page;
use crate::page::sheet::Sheet;
use crate::units::Quantity;
use maud::{Markup, html};

/// A row that opens a sheet: a soft label, a bold value, a soft detail.
pub(in crate::view) fn row(sheet: Sheet, label: &str, value: &Markup, detail: &str) -> Markup {
    html! {
        a class="line" id=(sheet.opener()) href={ "#" (sheet.address()) } {
            span class="label" { (label) }
            strong data-result={ "row." (sheet.address()) } { (value) }
            span class="detail" { (detail) }
            (chevron())
        }
    }
}

/// The same with a plain text.
pub(in crate::view) fn text_row(sheet: Sheet, label: &str, value: &str, detail: &str) -> Markup {
    row(sheet, label, &html! { (value) }, detail)
}

/// A row on one sheet that leads to another.
pub(in crate::view) fn onward(sheet: Sheet, detail: &str) -> Markup {
    html! {
        a class="line" href={ "#" (sheet.address()) } {
            span class="label" { (sheet.title()) }
            span class="detail" { (detail) }
            (chevron())
        }
    }
}

fn chevron() -> Markup {
    html! { svg class="chevron" viewBox="0 0 8 14" width="8" height="14" aria-hidden="true" { path d="M1 1l6 6-6 6" {} } }
}

/// One of the figures of a screen: number, small unit, what it is. It opens a sheet where it can be changed.
pub(in crate::view) fn figure(
    sheet: Option<Sheet>,
    name: &str,
    number: &Markup,
    unit: &str,
    words: &str,
) -> Markup {
    let inside = html! {
        span class="number" data-result=(name) { (number) } @if !unit.is_empty() { " " span class="unit" { (unit) } }
        span class="words" { (words) }
    };
    html! {
        @match sheet {
            Some(sheet) => a class="figure" href={ "#" (sheet.address()) } { (inside) },
            None => p class="figure" { (inside) },
        }
    }
}

/// The rigs with their marks, one of them open.
pub(in crate::view) fn strip(page: &Page) -> Markup {
    let plan = &page.plan;
    html! {
        nav class="strip" aria-label="Rigs" {
            @for (i, rig) in plan.rigs.iter().enumerate() {
                button type="button" data-act={ "rig:" (i) } aria-pressed=(if i == page.rig { "true" } else { "false" }) {
                    span class="chip" { (mark(mark_of(&plan.rigs, i))) }
                    span { strong { (rig.name) } " " span class="depth" { (page.choices.units.text(rig.depth_tenth_mm, Quantity::Depth)) } }
                }
            }
        }
    }
}

/// A value within a band: a bar from low to high with a tick at the middle, and its ends in words.
pub(in crate::view) fn band(
    name: &str,
    low: &str,
    mid_share: f64,
    high: &str,
    unit: &str,
    source: &str,
) -> Markup {
    let x = super::column::px(140.0 * mid_share);
    html! {
        div class="band" {
            svg viewBox="0 0 140 18" role="img" aria-label={ (name) ": " (low) " to " (high) " " (unit) } preserveAspectRatio="none" {
                rect class="span" x="0" y="4" width="140" height="10" rx="5" {}
                line class="tick" x1=(x) y1="0" x2=(x) y2="18" {}
            }
            p class="ends" { strong { (low) } span { strong { (high) } " " (unit) } }
            @if !source.is_empty() { p class="words" { (source) } }
        }
    }
}
