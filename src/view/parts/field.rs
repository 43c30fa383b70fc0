//! Inputs: a label, a native control, the sentence of a refusal beside it.
//!
//! What a number may be comes from [`crate::plan::fields`]; nothing is repeated here.

use crate::page::Page;
use crate::plan::fields::bounds_of;
use crate::plan::{Choice, FieldMut};
use crate::units::{LengthUnits, Quantity, date_from, day_words};
use maud::{Markup, html};

/// The id of a path's control.
fn id(path: &str) -> String {
    ["f-", path].concat().replace('.', "-")
}

/// The sentence of a refusal, in a place that is always there, so that a screen reader hears it change.
fn refusal(page: &Page, path: &str) -> Markup {
    let bad = page.rejected.get(path);
    html! {
        p class="refusal" id={ "e-" (id(path)) } data-error=(path) hidden[bad.is_none()] {
            @if let Some(bad) = bad { (bad.sentence) }
        }
    }
}

/// A number with its minus and plus buttons; `None` is an empty field that may stay so.
pub(in crate::view) fn number(page: &Page, path: &str, value: Option<i32>) -> Markup {
    named(page, path, value, None)
}

/// The same under another name than the table's.
pub(in crate::view) fn named(page: &Page, path: &str, value: Option<i32>, name: Option<&str>) -> Markup {
    held(page, path, path, value, name)
}

/// The field of a record of the book: `path` leads to it, a number is held against the row at `row`.
pub(in crate::view) fn of_record(page: &Page, path: &str, row: &str, slot: &FieldMut, name: &str) -> Markup {
    match slot {
        FieldMut::Number(value) => held(page, path, row, Some(**value), None),
        FieldMut::Maybe(value) => held(page, path, row, **value, None),
        FieldMut::Text(value) => text(page, path, value, name),
        FieldMut::Flag(value) => flag(path, **value, name),
        FieldMut::Choice(value) => pick(path, &**value, name),
        FieldMut::Place(..) => html! {},
    }
}

fn held(page: &Page, path: &str, row: &str, value: Option<i32>, name: Option<&str>) -> Markup {
    let Some(limit) = bounds_of(row) else { return html! {} };
    let units = page.choices.units;
    let bad = page.rejected.get(path);
    let text = bad.map_or_else(
        || value.map_or_else(String::new, |v| units.text(v, limit.kind)),
        |bad| bad.typed.clone(),
    );
    let name = name.unwrap_or(limit.name);
    let native = match limit.kind {
        Quantity::Date => Some("date"),
        Quantity::Clock => Some("time"),
        _ => None,
    };
    let words = matches!(limit.kind, Quantity::Reach | Quantity::Depth)
        && units.lengths == LengthUnits::Imperial
        || limit.kind == Quantity::Minutes;
    html! {
        div class="row" {
            label for=(id(path)) { (name) }
            div class="stepper" {
                button type="button" data-step=(path) data-by="-1" aria-label={ (name) ", less" } { "−" }
                @if let Some(native) = native {
                    // The words are ours: the browser's own follow its language, and are cut where there is little room.
                    span class="native" {
                        input id=(id(path)) data-field=(path) value=(text) type=(native) required
                            aria-invalid=[bad.is_some().then_some("true")] aria-describedby={ "e-" (id(path)) };
                        span aria-hidden="true" { (native_words(&text)) }
                    }
                } @else {
                    input id=(id(path)) data-field=(path) value=(text) type="text" autocomplete="off"
                        inputmode=(if words { "text" } else { "decimal" }) spellcheck="false"
                        placeholder=[value.is_none().then_some("none")]
                        aria-invalid=[bad.is_some().then_some("true")] aria-describedby={ "e-" (id(path)) };
                }
                button type="button" data-step=(path) data-by="1" aria-label={ (name) ", more" } { "+" }
            }
            (refusal(page, path))
        }
    }
}

/// A date or a time as it is shown over the browser's own field, which holds `2026-07-11` or `09:30`.
#[must_use]
pub fn native_words(value: &str) -> String {
    date_from(value).map_or_else(|| value.to_owned(), day_words)
}

/// A line of text.
pub(in crate::view) fn text(page: &Page, path: &str, value: &str, name: &str) -> Markup {
    html! {
        div class="row" {
            label for=(id(path)) { (name) }
            input class="text" id=(id(path)) data-field=(path) value=(value) type="text" autocomplete="off"
                maxlength=(crate::plan::fields::MAX_CHARS) aria-describedby={ "e-" (id(path)) };
            (refusal(page, path))
        }
    }
}

/// Options of a choice stand side by side up to so many letters in all; else they are a list to open.
const SIDE_BY_SIDE: usize = 30;

/// One of a few.
pub(in crate::view) fn pick(path: &str, value: &dyn Choice, name: &str) -> Markup {
    let (words, chosen) = (value.words(), value.index());
    if words.iter().map(|word| word.chars().count()).sum::<usize>() > SIDE_BY_SIDE {
        return select(path, words.iter().copied().enumerate(), chosen, name);
    }
    html! {
        div class="row" role="radiogroup" aria-label=(name) {
            span class="label" aria-hidden="true" { (name) }
            div class="segments" {
                @for (i, word) in words.iter().enumerate() {
                    label {
                        input type="radio" id={ (id(path)) "-" (i) } name=(id(path)) data-field=(path) value=(i) checked[i == chosen];
                        span { (word) }
                    }
                }
            }
        }
    }
}

/// The place of an entry in another list, by the entry's name.
pub(in crate::view) fn place<'a>(
    path: &str,
    names: impl Iterator<Item = &'a str>,
    value: i32,
    name: &str,
) -> Markup {
    select(path, names.enumerate(), usize::try_from(value).unwrap_or(0), name)
}

fn select<'a>(
    path: &str,
    options: impl Iterator<Item = (usize, &'a str)>,
    chosen: usize,
    name: &str,
) -> Markup {
    html! {
        div class="row" {
            label for=(id(path)) { (name) }
            select id=(id(path)) data-field=(path) {
                @for (i, words) in options {
                    option value=(i) selected[i == chosen] { @if words.is_empty() { "without a name" } @else { (words) } }
                }
            }
        }
    }
}

/// Yes or no.
pub(in crate::view) fn flag(path: &str, value: bool, name: &str) -> Markup {
    html! {
        label class="row flag" {
            span { (name) }
            input id=(id(path)) data-field=(path) type="checkbox" checked[value];
        }
    }
}

/// A group of inputs that opens and closes; its name says what is inside.
pub(in crate::view) fn fold(key: &str, title: &str, open: bool, inside: &Markup) -> Markup {
    html! {
        details class="fold" data-keep=(key) open[open] {
            summary { h2 { (title) } }
            (inside)
        }
    }
}

/// A button that adds an entry to a list.
pub(in crate::view) fn add(path: &str, words: &str) -> Markup {
    html! { button type="button" class="wide" data-act={ "add:" (path) } { (words) } }
}

/// A button that takes an entry out of a list.
pub(in crate::view) fn remove(path: &str, place: usize, words: &str) -> Markup {
    html! { button type="button" class="quiet" data-act={ "remove:" (path) "." (place) } { (words) } }
}
