//! A problem report for the reader to copy when something is wrong, and what the page knows of its own build.

use super::Page;
use crate::plan::link;
use crate::units::{DecimalSign, LengthUnits};

/// Version of the package.
pub(crate) const VERSION: &str = env!("CARGO_PKG_VERSION");
/// Most characters of each line of a report that come from outside.
const MAX_CHARS: usize = 300;

/// What the page knows of its own making.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct BuildInfo {
    /// Which build this is.
    pub build: String,
    /// Where the whole page can be had as one file, if it can.
    pub whole: Option<String>,
}

/// What a script can tell of the browser, for a report.
#[derive(Clone, Copy, Debug)]
pub struct BrowserInfo<'a> {
    /// The engine's own name of itself.
    pub browser: &'a str,
    /// The screen's size.
    pub screen: &'a str,
    /// Whether the page is ready for no signal.
    pub offline: &'a str,
    /// The last error.
    pub error: &'a str,
}

/// Version and build in words.
pub(crate) fn version(page: &Page) -> String {
    let build = &page.build.build;
    if build.is_empty() {
        ["Dotdown ", VERSION].concat()
    } else {
        ["Dotdown ", VERSION, ", build ", build].concat()
    }
}

/// A text from outside on one line, of a length to read, and with no plan in it: a plan's text begins with `p`, a number
/// and a dash.
fn plain(text: &str) -> String {
    let text: String = text.chars().take(MAX_CHARS).map(|c| if c.is_control() { ' ' } else { c }).collect();
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
pub fn report(page: &Page, seen: &BrowserInfo, with_plan: bool) -> String {
    let units = page.choices.units;
    let or_none = |text: &str| if text.is_empty() { "none".to_owned() } else { plain(text) };
    let mut text = [
        version(page).as_str(),
        "\nBrowser: ",
        &plain(seen.browser),
        "\nScreen: ",
        &plain(seen.screen),
        "\nSettings: ",
        if units.lengths == LengthUnits::Metric { "metric" } else { "feet and inches" },
        if units.sign == DecimalSign::Comma { ", decimal comma, " } else { ", decimal point, " },
        page.choices.theme.name(),
        "\nOffline: ",
        &plain(seen.offline),
        "\nSession: ",
        if page.session.is_some() { "in hand" } else { "none" },
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
pub(crate) mod tests {
    use super::*;
    use crate::page::Screen;

    const SEEN: BrowserInfo =
        BrowserInfo { browser: "Engine/1", screen: "360×740", offline: "ready", error: "" };

    /// The about panel, of a plan whose every text would give its owner away.
    pub(crate) fn page() -> Page {
        let mut page = Page::new();
        page.build = BuildInfo { build: "0123abcd".to_owned(), whole: Some("whole.html".to_owned()) };
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
        let text = report(&page, &BrowserInfo { error: &error, ..SEEN }, false);
        assert!(!text.contains("p1-"), "{text}");
        assert!(text.contains("could not read (a plan) at line"));
        let long = "x".repeat(5000);
        assert!(report(&page, &BrowserInfo { error: &long, browser: &long, ..SEEN }, false).len() < 1000);
    }
}
