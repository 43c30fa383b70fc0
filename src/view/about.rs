//! About the page itself: what it works out and how far to trust it, what can hurt, what the phone keeps, and a report
//! for the reader to copy when something is wrong.

use crate::page::{Page, report::version};
use crate::view::parts::why::{bank_cautions, caution};
use maud::{Markup, html};

/// What is worked out, from what, and how far to trust it.
const TRUST: [(&str, &str, &str); 7] = [
    (
        "Fall of a cube",
        "The label’s density (Choi and Okos 1986), water (Tanaka 2001, IAPWS 2008), three laws of drag.",
        "A wide band until you time ten drops.",
    ),
    ("How much bait", "Counting.", "Exact for the block and the rhythm you enter."),
    (
        "Shot that dots a float",
        "Archimedes, in whole numbers.",
        "Exact for the masses you enter. The trade’s are round figures, ± 10 %, until you weigh yours.",
    ),
    (
        "Fall of a rig",
        "A chain of links with the drag of line, shot and bait.",
        "Agrees with other solvers. No experiment backs the times: compare rigs by it.",
    ),
    ("Where to start", "Points for and against.", "Common practice, not science."),
    (
        "Freezing and thawing",
        "A slab with the meat’s own heat content (Choi and Okos 1986).",
        "The air around it, chosen in words, is the weak part.",
    ),
    (
        "Feeding depth",
        "Your casts and bites, weighed by chance (a hidden Markov filter).",
        "Better than waiting five minutes in simulated days. Not proved on a bank.",
    ),
];

/// What is shipped besides our own code, by its licence; `tests/tools/bill.rs` holds it against what is linked.
const SHIPPED: [(&str, &str); 3] = [
    (
        "cfg-if, cobs, console_error_panic_hook, crc, crc-catalog, futures-core, futures-task, futures-util, itoa, js-sys, \
         maud, pin-project-lite, postcard, serde, serde_core, thiserror, wasm-bindgen, wasm-bindgen-shared, web-sys",
        "MIT or Apache 2",
    ),
    ("lz4_flex, qrcodegen, slab", "MIT"),
    ("unicode-ident", "(MIT or Apache 2) and Unicode 3"),
];

pub(super) fn results(page: &Page) -> Markup {
    let build = &page.build;
    html! {
        h2 id="about-title" { "About Dotdown" }
        p { "Plans a match day with cubes of tinned meat, and runs it at the bank with no signal. Everything is worked out on this phone. Nothing you enter leaves it unless you share it." }
        h2 { "How far to trust it" }
        dl class="trust" data-result="trust" {
            @for (what, how, trust) in TRUST { div { dt { strong { (what) } } dd { (how) " " strong { (trust) } } } }
        }
        p class="source" { "Under each result, “Why” tells its rule, inputs and source. What is marked common practice has no published source." }
        (bank_cautions(page.choices.units))
        (caution(page.choices.units, "In the kitchen", "Sharp blades and hot water: cut away from your fingers. Hand-warm water is enough."))
        (caution(page.choices.units, "Lead", crate::trade::lead::RULE))
        h2 { "What this phone keeps" }
        p { "Your days, waters and tackle, your settings, the logs of sessions, and the text of the last error; all in this browser’s storage for this page. Save a backup, or erase all of it, under " a href="#settings" { "Settings" } "." }
        h2 { "When something is wrong" }
        p { "The report holds version, browser, screen, settings and the last error: no venue, name, note or plan." }
        p class="actions" { button type="button" data-act="report" { "Copy a problem report" } }
        label class="row flag" { span { "With a link of my plan" } input type="checkbox" data-report-plan; }
        p role="status" data-report-said {}
        section tabindex="0" aria-label="Problem report" data-report hidden {}
        h2 { "Version and licence" }
        p data-result="version" { (version(page)) }
        p { "MIT licence: use it, change it and pass it on. It comes with no warranty. Inside it, by others:" }
        ul data-result="shipped" { @for (names, licence) in SHIPPED { li { (names) ": " (licence) } } }
        @if let Some(whole) = &build.whole {
            p { a href=(whole) download { "Save the whole page as one file" } ", to keep or to send. It opens in any browser, without a network." }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::page::report::{VERSION, tests::page};

    #[test]
    fn the_screen_says_what_it_must() {
        let text = crate::view::screen(&page());
        for word in [
            "How far to trust it",
            "Choi and Okos",
            "common practice",
            "Take care",
            "Overhead lines",
            "At the first thunder: the US National Weather Service",
            "Lead",
            "MIT",
            VERSION,
            "0123abcd",
            "What this phone keeps",
            "#settings",
            "Copy a problem report",
            "href=\"whole.html\" download",
        ] {
            assert!(text.contains(word), "{word}");
        }
        assert!(!text.contains("Secret"));
    }
}
