//! What the page hears: each thing that a reader does becomes one event, told apart by data attributes: `data-field`
//! (an input of the plan), `data-step` and `data-by` (its buttons), `data-tick` (a tick box), `data-act` (a button),
//! `data-tap` (a button of the session), `data-scrub` (the player's bar).

use super::dom::{document, find, is_wide, now_ms, on, window};
use super::optional::{call, get};
use super::share;
use crate::page::action::Action;
use crate::page::event::Event;
use crate::page::session::KEYS;
use crate::page::settings::Screen;
use crate::page::tap::Tap;
use std::cell::Cell;
use wasm_bindgen::JsCast;
use wasm_bindgen::prelude::*;
use web_sys::{Element, HtmlElement, HtmlInputElement, HtmlSelectElement, KeyboardEvent, VisibilityState};

/// Listens to the document and the window.
pub(super) fn listen(send: fn(Event)) -> Result<(), JsValue> {
    let (window, document) = (window()?, document()?);
    on(&document, "input", move |event| typed(event, false, send))?;
    on(&document, "change", move |event| typed(event, true, send))?;
    on(&document, "pointerdown", put_down)?;
    on(&document, "click", move |event| clicked(event, send))?;
    on(&document, "keydown", move |event| key(event, send))?;
    on(&document, "focusin", |event| {
        let _ = keep_clear(event);
        // What is typed takes the place of what stands there.
        if let Some(input) = target(event).and_then(|element| element.dyn_into::<HtmlInputElement>().ok())
            && input.matches(".stepper input[type=text]").unwrap_or_default()
        {
            input.select();
        }
    })?;
    on(&window, "hashchange", move |_| send(Event::Followed(fragment())))?;
    on(&window, "beforeprint", move |_| send(Event::BeforePrint))?;
    on(&window, "afterprint", move |_| send(Event::AfterPrint))?;
    on(&document, "visibilitychange", move |_| {
        let visible = super::dom::document().is_ok_and(|d| d.visibility_state() == VisibilityState::Visible);
        send(Event::Seen { visible, at_ms: now_ms() });
    })?;
    let wide = Cell::new(is_wide(&window)?);
    on(&window, "resize", move |_| {
        super::draw::measure(send);
        let now = super::dom::window().and_then(|window| is_wide(&window)).unwrap_or_default();
        if wide.replace(now) != now {
            send(Event::Wide(now));
        }
    })
}

/// The fragment of the page's address, without its sign.
pub(super) fn fragment() -> String {
    let hash = window().and_then(|w| w.location().hash()).unwrap_or_default();
    hash.strip_prefix('#').map(str::to_owned).unwrap_or(hash)
}

/// The element of an event.
fn target(event: &web_sys::Event) -> Option<Element> {
    event.target()?.dyn_into().ok()
}

/// The element itself, or the nearest around it, that a selector fits.
fn closest(element: &Element, selector: &str) -> Option<Element> {
    element.closest(selector).ok().flatten()
}

/// An input or a choice was changed; `done` when the reader has left it.
fn typed(event: &web_sys::Event, done: bool, send: fn(Event)) {
    let Some(element) = target(event) else { return };
    let input = element.dyn_ref::<HtmlInputElement>();
    if let Some(id) = element.get_attribute("data-tick") {
        if done {
            send(Event::Ticked { id, on: input.is_some_and(HtmlInputElement::checked) });
        }
    } else if let Some(input) = input.filter(|_| element.has_attribute("data-scrub")) {
        send(Event::Scrubbed(input.value_as_number() / 10.0));
    } else if let Some(input) = input.filter(|_| done && element.has_attribute("data-open")) {
        share::read_file(input, send);
    } else if let Some(path) = element.get_attribute("data-field") {
        let (text, written) = if let Some(select) = element.dyn_ref::<HtmlSelectElement>() {
            (select.value(), false)
        } else if let Some(input) = input {
            match input.type_().as_str() {
                "radio" => (input.value(), false),
                "checkbox" => (if input.checked() { "true" } else { "false" }.to_owned(), false),
                _ => (input.value(), true),
            }
        } else {
            return;
        };
        if written && done {
            send(Event::Left { path });
        } else if written || done {
            send(Event::Typed { path, text });
        }
    }
}

/// A touch that has moved so far is no tap, CSS pixels.
const MAX_SLIP: f64 = 10.0;

thread_local! {
    /// Where the first finger came down, and whether a second one lay on the screen with it.
    static DOWN: Cell<(f64, f64, bool)> = const { Cell::new((0.0, 0.0, false)) };
}

/// A finger comes down.
fn put_down(event: &web_sys::Event) {
    if get(event, "isPrimary").is_some_and(|first| first == false) {
        let (x, y, _) = DOWN.get();
        DOWN.set((x, y, true));
    } else if let Some((x, y)) = place_of(event) {
        DOWN.set((x, y, false));
    }
}

fn place_of(event: &web_sys::Event) -> Option<(f64, f64)> {
    Some((get(event, "clientX")?.as_f64()?, get(event, "clientY")?.as_f64()?))
}

/// Whether a click is the end of a touch that moved, or that a second finger took part in. A click of the keyboard or of a
/// script has no place.
fn slipped(event: &web_sys::Event) -> bool {
    let (from_x, from_y, second) = DOWN.get();
    let pressed = get(event, "detail").and_then(|count| count.as_f64()).is_some_and(|count| count > 0.0);
    let far = |(x, y): (f64, f64)| (x - from_x).hypot(y - from_y) > MAX_SLIP;
    pressed && event.is_trusted() && (second || place_of(event).is_some_and(far))
}

/// A button was pressed, or a link.
fn clicked(event: &web_sys::Event, send: fn(Event)) {
    let Some(element) = target(event) else { return };
    if element.matches(".native input").unwrap_or_default() {
        // The whole field opens the phone's own sheet for dates and times, not its small sign alone.
        let _ = call(&element, "showPicker", &[]);
    } else if share::is_backdrop(&element) {
        send(Event::Pressed { action: Action::CloseShare, at_ms: now_ms() });
    } else if let Some(button) = closest(&element, "[data-step]") {
        let path = button.get_attribute("data-step").unwrap_or_default();
        let by = button.get_attribute("data-by").and_then(|by| by.parse().ok()).unwrap_or(0);
        send(Event::Stepped { path, by });
    } else if let Some(button) = closest(&element, "[data-tap]") {
        if slipped(event) {
            return;
        }
        tap(&button.get_attribute("data-tap").unwrap_or_default(), send);
    } else if let Some(button) = closest(&element, "[data-act]") {
        match button.get_attribute("data-act").unwrap_or_default().as_str() {
            "paste" => send(Event::Received(value_of("[data-paste]"))),
            "report" => {
                let with_plan = find("[data-report-plan]")
                    .and_then(|box_| box_.dyn_into::<HtmlInputElement>().ok())
                    .is_some_and(|tick| tick.checked());
                send(Event::Pressed { action: Action::Report { with_plan }, at_ms: now_ms() });
            }
            act => {
                if let Some(action) = Action::parse(act) {
                    send(Event::Pressed { action, at_ms: now_ms() });
                }
            }
        }
    } else if let Some(link) = closest(&element, "a[href^='#']") {
        // In a viewer's frame such a link would lead out of the page, or be refused.
        if share::in_foreign_frame(&link) {
            event.prevent_default();
            let fragment = link.get_attribute("href").unwrap_or_default();
            send(Event::Followed(fragment.trim_start_matches('#').to_owned()));
        }
    }
}

fn value_of(selector: &str) -> String {
    find(selector)
        .and_then(|field| field.dyn_into::<HtmlInputElement>().ok())
        .map_or_else(String::new, |field| field.value())
}

/// A button of the session, by its word. What belongs behind a colon at its end stands in a field, which is empty again then.
fn tap(word: &str, send: fn(Event)) {
    let mut word = word.to_owned();
    if let Some(verb) = word.strip_suffix(':')
        && let Some(field) =
            find(&["#live-", verb].concat()).and_then(|field| field.dyn_into::<HtmlInputElement>().ok())
    {
        word.push_str(&field.value());
        field.set_value("");
    }
    if let Some(tap) = Tap::parse(&word) {
        send(Event::Tapped { tap, at_ms: now_ms() });
    }
}

/// A key of the session, while its button is there and can be pressed.
fn key(event: &web_sys::Event, send: fn(Event)) {
    let Some(event) = event.dyn_ref::<KeyboardEvent>() else { return };
    if event.repeat() || event.ctrl_key() || event.alt_key() || event.meta_key() {
        return;
    }
    // A sheet that was opened has an address of its own.
    if event.key() == "Escape"
        && fragment().contains('.')
        && let Some(shade) = find("#shade").and_then(|shade| shade.dyn_into::<HtmlElement>().ok())
    {
        shade.click();
        return;
    }
    if target(event).is_some_and(|place| closest(&place, "input, select, textarea, dialog").is_some()) {
        return;
    }
    let pressed = event.key().to_ascii_uppercase();
    let Some((_, word)) = KEYS.iter().find(|(key, _)| *key == pressed) else { return };
    if let Some(button) = find(&["#tap-", word].concat())
        && !button.has_attribute("disabled")
    {
        tap(word, send);
    }
}

/// Keeps what has the focus clear of the head and the bar, which stay where they are while the page scrolls, and inside a
/// sheet, where `WebKit` does not always bring it. Only for the keyboard: under a mouse the page must not move between press
/// and release.
fn keep_clear(event: &web_sys::Event) -> Option<()> {
    let element = target(event)?;
    if !element.matches(":focus-visible").ok()? || closest(&element, "body > nav, header, dialog").is_some() {
        return None;
    }
    let window = window().ok()?;
    let high = window.inner_height().ok()?.as_f64()?;
    let place = element.get_bounding_client_rect();
    if let Some(sheet) = closest(&element, "#sheet") {
        if place.bottom() > high {
            sheet.scroll_by_with_x_and_y(0.0, place.bottom() - high + 16.0);
        }
        return None;
    }
    let bar = find("body > nav")?.get_bounding_client_rect();
    // On a wide screen the bar is a rail at the side.
    let foot = if bar.top() < high / 2.0 { high } else { bar.top() };
    let head = find("body > header")?.get_bounding_client_rect().bottom();
    if place.top() < head {
        window.scroll_by_with_x_and_y(0.0, place.top() - head - 16.0);
    } else if place.bottom() > foot - 8.0 {
        window.scroll_by_with_x_and_y(0.0, place.bottom() - foot + 16.0);
    }
    None
}

/// Shows a screen's name in the address: a reload then comes back to it.
pub(super) fn name_screen(screen: Screen) {
    if let Ok(history) = window().and_then(|w| w.history()) {
        let here = ["#", screen.name()].concat();
        let _ = history.replace_state_with_url(&JsValue::NULL, "", Some(&here));
    }
}
