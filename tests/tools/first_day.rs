//! Writes what a first visitor sees, so that it stands there before the core has come over the network: [`write`]
//! fills the head line and the main part of the shell `index.html` with the first worked day, and writes the results of
//! the other screens into `first-bait.html` and so on, for a visit that begins there.

use dotdown::page::{Page, Screen};
use dotdown::view::{head, results, screen};
use std::path::Path;

/// The shell with the first worked day in it; nothing when the shell lacks a place.
fn filled(shell: &str, page: &Page) -> Option<String> {
    let mut text = shell.to_owned();
    for (place, markup) in [("<!-- head -->", head(page)), ("<!-- screen -->", screen(page))] {
        let (before, after) = text.split_once(place)?;
        text = [before, &markup, after].concat();
    }
    Some(text)
}

/// Fills the shell of the site in `folder`.
pub(crate) fn write(folder: &Path) -> Result<(), String> {
    let mut page = Page::new();
    let shell = folder.join("index.html");
    let text = std::fs::read_to_string(&shell).map_err(|e| e.to_string())?;
    let text = filled(&text, &page).ok_or("the shell has no place for the first screen")?;
    std::fs::write(&shell, text).map_err(|e| e.to_string())?;
    for (other, name) in Screen::ALL.into_iter().filter(|(screen, _)| *screen != Screen::Day) {
        page.screen = other;
        let markup = [
            "<div class=\"results\" data-part=\"results\">",
            &results(&page),
            "</div><div class=\"inputs\"></div>",
        ];
        std::fs::write(folder.join(format!("first-{name}.html")), markup.concat())
            .map_err(|e| e.to_string())?;
    }
    Ok(())
}
