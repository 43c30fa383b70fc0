//! What goes on paper: rig cards to scale for the box, the prep checklist, the kit list, the day that was fished.
//!
//! Everything is laid out in millimetres inside fixed boxes; a drawing's units are millimetres of paper. Four cards of
//! A6 or two of A5 lie on a sheet of A4 with a margin of 10 mm, cut along its middle lines.

mod cards;
mod parts;

use super::session::ended::told;
use super::share::code;
use crate::page::settings::Paper;
use crate::page::sheet::Sheet;
use crate::page::{Page, Screen};
use crate::results::prep::moment;
use cards::cards;
use maud::{Markup, html};
use parts::place_and_day;

/// Markup for paper: what a button asked for, else what belongs to the open screen. With it, whether it stands in the
/// screen's place (`true`) or on a page after it. Nothing where the screen prints as it is.
#[must_use]
pub fn paper(page: &Page, asked: Option<Paper>, link: Option<&str>) -> Option<(String, bool)> {
    let wanted = asked.or(match page.screen {
        Screen::Rigs => Some(Paper::Cards),
        Screen::Kit => Some(Paper::Kit),
        Screen::Day if page.sheet == Some(Sheet::Prep) => Some(Paper::Prep),
        _ => None,
    })?;
    let markup = match wanted {
        Paper::Cards => cards(page, link),
        Paper::Prep => prep(page, link),
        Paper::Kit => kit(page, link),
        Paper::Day => {
            let live = page.session_here()?;
            html! { section class="paper-list" { (head(page, "The day", link)) (told(page, live)) } }
        }
    };
    Some((markup.into_string(), true))
}

/// A list's head: its name, the day, and the plan's link.
fn head(page: &Page, title: &str, link: Option<&str>) -> Markup {
    html! {
        div class="paper-head" {
            div { h1 { (title) } p { (place_and_day(page)) } }
            @if let Some(picture) = link.and_then(code) { div class="link" { (picture) } }
        }
    }
}

/// An empty box, or one that was ticked.
fn tick_box(page: &Page, id: &str) -> Markup {
    html! { span class="box" { @if page.ticks.contains(id) { "✓" } } }
}

fn prep(page: &Page, link: Option<&str>) -> Markup {
    html! {
        section class="paper-list" {
            (head(page, "Prep checklist", link))
            @for (morning, title) in [(false, "The day before"), (true, "In the morning")] {
                @if page.results.prep.iter().any(|s| s.morning == morning) {
                    h2 { (title) }
                    ol {
                        @for step in page.results.prep.iter().filter(|s| s.morning == morning) {
                            li {
                                (tick_box(page, &["prep-", step.id].concat()))
                                p {
                                    strong { (moment(&page.plan, step.start_min)) " " (step.name) }
                                    @if step.end_min > step.start_min { ", until " (moment(&page.plan, step.end_min)) }
                                    br; (step.how)
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn kit(page: &Page, link: Option<&str>) -> Markup {
    html! {
        section class="paper-list kit" {
            (head(page, "Kit list", link))
            div class="groups" {
                @for group in page.results.kit.iter().filter(|g| g.items.iter().any(|i| i.count > 0)) {
                    h2 { (group.name) }
                    ul {
                        @for item in group.items.iter().filter(|i| i.count > 0) {
                            li { (tick_box(page, &["kit-", &item.id].concat())) p { strong { (item.count) } " " (item.name) } }
                        }
                    }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_screen_prints_what_belongs_to_it() {
        let mut page = Page::new();
        let printed = |page: &Page, asked| paper(page, asked, Some("https://peg.invalid/#x"));
        assert_eq!(printed(&page, None), None, "the day prints as it is");
        let (cards, alone) = printed(&page, Some(Paper::Cards)).unwrap();
        assert!(alone && cards.matches("rig-card").count() == page.plan.rigs.len() + 1);
        page.sheet = Some(Sheet::Prep);
        assert!(printed(&page, None).unwrap().1, "the checklist stands in place of its sheet");
        page.sheet = None;
        page.tick("prep-cut", true);
        let (list, _) = printed(&page, Some(Paper::Prep)).unwrap();
        assert_eq!((list.matches("✓").count(), list.matches("class=\"code\"").count()), (1, 1));
        assert_eq!(paper(&page, Some(Paper::Kit), None).unwrap().0.matches("class=\"code\"").count(), 0);
    }
}
