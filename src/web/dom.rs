//! The few things that every module of the edge asks of the document.

use wasm_bindgen::JsCast;
use wasm_bindgen::prelude::*;
use web_sys::{Document, Element, Event, EventTarget, Window};

pub(super) fn window() -> Result<Window, JsValue> {
    web_sys::window().ok_or_else(|| JsValue::from_str("there is no page here"))
}

pub(super) fn document() -> Result<Document, JsValue> {
    window()?.document().ok_or_else(|| JsValue::from_str("there is no page here"))
}

/// The time, ms since 1970.
pub(super) fn now_ms() -> f64 {
    js_sys::Date::now()
}

/// The first element that a selector fits.
pub(super) fn find(selector: &str) -> Option<Element> {
    document().ok()?.query_selector(selector).ok().flatten()
}

/// Writes a text into the element that a selector fits.
pub(super) fn write(selector: &str, text: &str) {
    if let Some(place) = find(selector) {
        place.set_text_content(Some(text));
    }
}

/// Gives an element an attribute, or takes it away. What stands there already is left alone: a browser lays out anew what is
/// written.
pub(super) fn set(element: &Element, name: &str, value: Option<&str>) -> Result<(), JsValue> {
    match value {
        _ if element.get_attribute(name).as_deref() == value => Ok(()),
        Some(value) => element.set_attribute(name, value),
        None => element.remove_attribute(name),
    }
}

/// Listens for as long as the page lives.
pub(super) fn on(target: &EventTarget, name: &str, heard: impl Fn(&Event) + 'static) -> Result<(), JsValue> {
    let heard = Closure::<dyn Fn(Event)>::new(move |event: Event| heard(&event));
    target.add_event_listener_with_callback(name, heard.into_js_value().unchecked_ref())
}

/// Whether there is room for a sheet beside the screen; `www/style.css` puts it there from the same width on.
pub(super) fn is_wide(window: &web_sys::Window) -> Result<bool, JsValue> {
    Ok(window.match_media("(min-width: 62.5rem)")?.is_some_and(|wide| wide.matches()))
}
