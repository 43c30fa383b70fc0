//! Paper: what is to be printed is written just before the browser prints, from its own menu or from a button of ours.

use super::app::{App, document, on, window, with_app};
use crate::page::settings::Paper;
use crate::plan::link;
use crate::view::print::paper;
use wasm_bindgen::JsCast;
use wasm_bindgen::prelude::*;
use web_sys::{Element, Event};

/// Puts the listeners in place.
pub(super) fn listen() -> Result<(), JsValue> {
    let document = document()?;
    on(&document, "click", clicked)?;
    let window = window()?;
    on(&window, "beforeprint", |_| {
        with_app(App::lay_out);
    })?;
    // What was laid out stays: some browsers call this before they have drawn the pages.
    on(&window, "afterprint", |_| {
        with_app(|app| app.printing = None);
    })
}

fn clicked(event: &Event) {
    let Some(element) = event.target().and_then(|t| t.dyn_into::<Element>().ok()) else { return };
    let Ok(Some(button)) = element.closest("[data-print]") else { return };
    let paper = Paper::named(&button.get_attribute("data-print").unwrap_or_default());
    with_app(|app| {
        app.printing = paper;
        let _ = app.lay_out();
    });
    if let Ok(window) = window() {
        let _ = window.print();
    }
}

impl App {
    /// Writes what is to be printed into its place, which is never seen on the screen.
    fn lay_out(&mut self) -> Result<(), JsValue> {
        let document = document()?;
        let location = window()?.location();
        // A file's address is of no use to another phone.
        let link = location.protocol()?.starts_with("http").then(|| {
            let here =
                [location.origin().unwrap_or_default(), location.pathname().unwrap_or_default()].concat();
            [&here, "#", &link::write(&self.page.plan)].concat()
        });
        let paper = paper(&self.page, self.printing, link.as_deref());
        if let Some(root) = document.document_element() {
            let how = paper.as_ref().map_or("screen", |(_, alone)| if *alone { "alone" } else { "after" });
            root.set_attribute("data-paper", how)?;
        }
        if let Some(place) = document.get_element_by_id("paper") {
            place.set_inner_html(paper.as_ref().map_or("", |(markup, _)| markup));
        }
        Ok(())
    }
}
