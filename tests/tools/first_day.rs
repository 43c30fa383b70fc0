//! Writes what a first visitor sees, so that it stands there before the core has come over the network: [`write`]
//! fills the head line and the main part of the shell `index.html` with the first worked day.

use dotdown::page::Page;
use dotdown::view::{head, screen};
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
    let shell = folder.join("index.html");
    let text = std::fs::read_to_string(&shell).map_err(|e| e.to_string())?;
    let text = filled(&text, &Page::new()).ok_or("the shell has no place for the first screen")?;
    std::fs::write(&shell, text).map_err(|e| e.to_string())
}
