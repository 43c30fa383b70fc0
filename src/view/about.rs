//! About the page itself: what it works out and how far to trust it, what can hurt, what the phone keeps, and a report
//! for the reader to copy when something is wrong.

use super::page::Page;
use super::why::{bank_cautions, caution};
use crate::plan::link;
use crate::units::{Sign, System};
use maud::{Markup, html};

/// Version of the package.
const VERSION: &str = env!("CARGO_PKG_VERSION");
/// Most characters of each line of a report that come from outside.
const MOST: usize = 300;

/// What the page knows of its own making.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Made {
    /// Which build this is.
    pub build: String,
    /// Where the whole page can be had as one file, if it can.
    pub whole: Option<String>,
}

/// What a script can tell of the browser, for a report.
#[derive(Clone, Copy, Debug)]
pub struct Seen<'a> {
    /// The engine's own name of itself.
    pub browser: &'a str,
    /// The screen's size.
    pub screen: &'a str,
    /// Whether the page is ready for no signal.
    pub offline: &'a str,
    /// The last error.
    pub error: &'a str,
}

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

pub(super) fn results(page: &Page) -> Markup {
    let made = &page.made;
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
        p { "Your plan, ticks and settings, the log of a session, and the text of the last error; all in this browser’s storage for this page. No account, no server, no counting of visits." }
        p { "Browsers may forget a page that is not opened for weeks: keep what matters as a file under Share." }
        p class="acts" {
            button type="button" data-act="erase" { "Erase all of it" }
            span data-erase-sure hidden {
                button type="button" data-act="erase-now" { "Yes, erase" } " "
                button type="button" data-act="erase-not" { "No, keep" }
            }
        }
        p role="status" data-erase-said {}
        h2 { "When something is wrong" }
        p { "The report holds version, browser, screen, settings and the last error: no venue, name, note or plan." }
        p class="acts" { button type="button" data-act="report" { "Copy a problem report" } }
        label class="row flag" { span { "With a link of my plan" } input type="checkbox" data-report-plan; }
        p role="status" data-report-said {}
        section tabindex="0" aria-label="Problem report" data-report hidden {}
        h2 { "Version and licence" }
        p data-result="version" { (version(page)) }
        p { "MIT licence: use it, change it and pass it on. It comes with no warranty." }
        @if let Some(whole) = &made.whole {
            p { a href=(whole) download { "Save the whole page as one file" } ", to keep or to send. It opens in any browser, without a network." }
        }
    }
}

/// Version and build in words.
fn version(page: &Page) -> String {
    let build = &page.made.build;
    if build.is_empty() {
        ["Dotdown ", VERSION].concat()
    } else {
        ["Dotdown ", VERSION, ", build ", build].concat()
    }
}

/// A text from outside on one line, of a length to read, and with no plan in it: a plan's text begins with `p`, a number
/// and a dash.
fn plain(text: &str) -> String {
    let text: String = text.chars().take(MOST).map(|c| if c.is_control() { ' ' } else { c }).collect();
    let is_plan = |word: &str| {
        let mut rest = word.char_indices().filter(|&(_, c)| c == 'p');
        rest.any(|(i, _)| {
            let after = word[i + 1..].trim_start_matches(|c: char| c.is_ascii_digit());
            after.len() < word.len() - i - 1 && after.starts_with('-')
        })
    };
    let words: Vec<&str> =
        text.split(' ').map(|word| if is_plan(word) { "(a plan)" } else { word }).collect();
    words.join(" ")
}

/// A problem report: versions, browser, settings and the last error. Nothing of the plan is in it, unless its link is
/// asked for.
#[must_use]
pub fn report(page: &Page, seen: &Seen, with_plan: bool) -> String {
    let units = page.choices.units;
    let or_none = |text: &str| if text.is_empty() { "none".to_owned() } else { plain(text) };
    let mut text = [
        version(page).as_str(),
        "\nBrowser: ",
        &plain(seen.browser),
        "\nScreen: ",
        &plain(seen.screen),
        "\nSettings: ",
        if units.lengths == System::Metric { "metric" } else { "feet and inches" },
        if units.sign == Sign::Comma { ", decimal comma, " } else { ", decimal point, " },
        page.choices.theme.name(),
        "\nOffline: ",
        &plain(seen.offline),
        "\nSession: ",
        if page.live.is_some() { "in hand" } else { "none" },
        "\nLast error: ",
        &or_none(seen.error),
    ]
    .concat();
    if with_plan {
        text.push_str("\nPlan: ");
        text.push_str(&link::write(&page.plan));
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::view::page::Screen;

    const SEEN: Seen = Seen { browser: "Engine/1", screen: "360×740", offline: "ready", error: "" };

    fn page() -> Page {
        let mut page = Page::new();
        page.made = Made { build: "0123abcd".to_owned(), whole: Some("whole.html".to_owned()) };
        page.screen = Screen::About;
        for (path, text) in [
            ("water.venue", "Secretmere"),
            ("water.peg", "Secretpeg"),
            ("name", "Secretday"),
            ("note", "Secretnote"),
            ("lines.0.name", "Secretline"),
        ] {
            page.type_in(path, text);
        }
        page
    }

    #[test]
    fn a_report_tells_of_the_page_and_nothing_of_the_plan() {
        let mut page = page();
        let text = report(&page, &SEEN, false);
        assert_eq!(
            text,
            [
                "Dotdown ",
                VERSION,
                ", build 0123abcd\nBrowser: Engine/1\nScreen: 360×740\nSettings: feet and inches, decimal point, phone\nOffline: ready\nSession: none\nLast error: none"
            ]
            .concat()
        );
        page.act("units:metric");
        page.act("sign:comma");
        page.act("theme:night");
        assert!(report(&page, &SEEN, false).contains("\nSettings: metric, decimal comma, night\n"));
        let with = report(&page, &SEEN, true);
        let (_, code) = with.rsplit_once("\nPlan: ").unwrap();
        assert_eq!(link::read(code).unwrap(), page.plan);
    }

    #[test]
    fn an_error_that_quotes_a_link_brings_no_plan_into_a_report() {
        let page = page();
        let code = link::write(&page.plan);
        let error = ["could not read https://host/#", &code, " at\nline\u{202e} 3 ", &code].concat();
        let text = report(&page, &Seen { error: &error, ..SEEN }, false);
        assert!(!text.contains("p2-"), "{text}");
        assert!(text.contains("could not read (a plan) at line"));
        let long = "x".repeat(5000);
        assert!(report(&page, &Seen { error: &long, browser: &long, ..SEEN }, false).len() < 1000);
    }

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
            "Erase all of it",
            "Copy a problem report",
            "href=\"whole.html\" download",
        ] {
            assert!(text.contains(word), "{word}");
        }
        assert!(!text.contains("Secret"));
    }
}
