//! Settings of the reader, the backup, and the end of everything.

use crate::page::{Page, Theme};
use crate::units::{DecimalSign, LengthUnits, day_words};
use maud::{Markup, html};

pub(super) fn results(page: &Page) -> Markup {
    let units = page.choices.units;
    html! {
        h2 { "Units and light" }
        (switch("Lengths", &[
            ("units:imperial", "feet and inches", units.lengths == LengthUnits::Imperial),
            ("units:metric", "metric", units.lengths == LengthUnits::Metric),
        ]))
        (switch("Decimals", &[
            ("sign:point", "6.5", units.sign == DecimalSign::Point),
            ("sign:comma", "6,5", units.sign == DecimalSign::Comma),
        ]))
        @let themes: Vec<(String, &str, bool)> = Theme::ALL.iter()
            .map(|(theme, name, words)| (["theme:", name].concat(), *words, *theme == page.choices.theme)).collect();
        (switch("Light", &themes.iter().map(|(a, w, on)| (a.as_str(), *w, *on)).collect::<Vec<_>>()))
        h2 { "Backup" }
        p data-result="backup.last" {
            @match page.shelf.backed_up {
                Some(date) => { "Last " (day_words(date)) @if page.backup_is_old() { ", " strong { "older than your last fished day" } } "." }
                None => { "No backup of this book was saved yet." }
            }
        }
        p class="actions" {
            button type="button" class="main" data-act="book:backup" { "Back up" }
            label class="button" { "Open a backup" input type="file" data-open="backup" accept=".json,.txt,application/json,text/plain" class="visually-hidden"; }
            // The shell does it: it must work where the rest does not.
            button type="button" data-rescue="save" { "Save a raw copy" }
        }
        p role="status" data-backup-said {}
        p class="hint" { "One file with all days, logs, waters and tackle. Two phones: open each other’s backup; both end up with everything, and nothing is lost. Browsers may forget a page that is not opened for weeks. “Save a raw copy” saves everything this browser holds for Dotdown, even what could not be read and was set aside." }
        h2 { "Erase" }
        p { (counted_book(page)) }
        p class="actions" {
            button type="button" data-act="erase" { "Erase everything" }
            span data-erase-sure hidden {
                button type="button" data-act="erase-not" { "Keep all" } " "
                button type="button" data-act="erase-now" { "Yes, erase" }
            }
        }
        p role="status" data-erase-said {}
    }
}

fn counted_book(page: &Page) -> String {
    format!(
        "In this browser’s storage: {} days, {} waters, {} items in the box, settings, and the text of the last error. No account, no server, no counting of visits.",
        page.book.summaries().count(),
        page.book.waters().len(),
        page.book.tackle().len()
    )
}

/// A few buttons of which one is on.
fn switch(name: &str, options: &[(&str, &str, bool)]) -> Markup {
    html! {
        div class="row" role="group" aria-label=(name) {
            span class="label" { (name) }
            div class="switch" {
                @for (act, words, on) in options {
                    button type="button" data-act=(act) aria-pressed=(if *on { "true" } else { "false" }) { (words) }
                }
            }
        }
    }
}
