//! Writes what a first visitor sees into the page's shell, so that it stands there before the core has come over the
//! network: `first INDEX.html` fills the file's head line and main part with the first worked day.

use dotdown::view::page::Page;
use dotdown::view::{head, screen};
use std::process::ExitCode;

/// The shell with the first worked day in it; nothing when the shell lacks a place.
fn filled(shell: &str) -> Option<String> {
    let page = Page::new();
    let mut text = shell.to_owned();
    for (place, markup) in [("<!-- head -->", head(&page)), ("<!-- screen -->", screen(&page))] {
        let (before, after) = text.split_once(place)?;
        text = [before, &markup, after].concat();
    }
    Some(text)
}

fn main() -> ExitCode {
    let Some(file) = std::env::args().nth(1) else {
        eprintln!("usage: first INDEX.html");
        return ExitCode::FAILURE;
    };
    let done = std::fs::read_to_string(&file).map_err(|e| e.to_string()).and_then(|shell| {
        let text = filled(&shell).ok_or("the shell has no place for the first screen")?;
        std::fs::write(&file, text).map_err(|e| e.to_string())
    });
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(why) => {
            eprintln!("{file}: {why}");
            ExitCode::FAILURE
        }
    }
}
