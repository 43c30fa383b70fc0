//! Puts what [`crate::view`] writes in its place, and leaves alone what is the same: what is under a finger, what has the
//! focus, which folds are open.

use super::dom::{document, find, set, window, write};
use super::optional::{call, object};
use super::patch::{patch, patch_from, put_markup};
use super::player::draw_moment;
use crate::page::effect::Part;
use crate::page::event::Event;
use crate::page::sheet::Sheet;
use crate::page::{Page, Screen, Theme};
use crate::small::Map;
use crate::view;
use std::cell::Cell;
use wasm_bindgen::JsCast;
use wasm_bindgen::prelude::*;
use web_sys::{Element, HtmlElement, HtmlInputElement};

/// Where the screen's results stand.
const RESULTS: &str = "[data-part=results]";

thread_local! {
    /// The room that was told last.
    static ROOM: Cell<f64> = const { Cell::new(0.0) };
}

/// What is known of the document.
#[derive(Default)]
pub(super) struct Drawer {
    /// Which folds the reader opened or closed.
    folds: Map<bool>,
    /// What was last written into each part, by its selector, where nothing else has changed it since.
    written: Map<String>,
    /// The sheet that is shown.
    sheet: Option<Sheet>,
}

impl Drawer {
    /// Shows a part of the page anew. A place that is missing is a page that is being torn down.
    pub(super) fn draw(&mut self, page: &Page, part: Part, send: fn(Event)) {
        let _ = match part {
            Part::Screen | Part::Results => self.show(page, part, send),
            Part::Notices => self.put("#notices", &view::notices(page)),
            Part::Fall => self.show_part("[data-part=fall]", &view::fall_part(page)),
            Part::Finder => self.show_part("[data-part=finder]", &view::finder_part(page)),
            Part::Found => self.show_part("[data-part=found]", &view::found_part(page)),
            Part::FallBand | Part::MoveEffects => {
                self.written.clear();
                if let Some(place) = find("[data-result='fall.band']") {
                    put_markup(&place, &view::fall_band(page));
                }
                for (k, markup) in view::move_effects(page).iter().enumerate() {
                    if let Some(place) = find(&["[data-effect='", &k.to_string(), "']"].concat()) {
                        put_markup(&place, markup);
                    }
                }
                Ok(())
            }
            Part::Moment => {
                self.written.remove(RESULTS);
                draw_moment(page)
            }
            Part::Session { full } => {
                self.show_session(page, full);
                Ok(())
            }
        };
    }

    fn show(&mut self, page: &Page, part: Part, send: fn(Event)) -> Result<(), JsValue> {
        // On other screens more than this writes within the results: a running session, reports.
        let alone = matches!(page.screen, Screen::Day | Screen::Bait | Screen::Rigs | Screen::Kit);
        if part == Part::Screen || !alone {
            self.written.clear();
        }
        self.put("#head", &view::head(page))?;
        self.put("#notices", &view::notices(page))?;
        let Some(main) = find("#main") else { return Ok(()) };
        self.note_folds(&main)?;
        let focused = focused();
        let place = document()?.body().and_then(|body| body.get_attribute("data-screen"));
        match main.query_selector(RESULTS)? {
            Some(_) if part == Part::Results => self.put(RESULTS, &view::main_results(page))?,
            // The first time the worked day may stand there already; what opened a sheet stays what it was.
            _ if !main.has_attribute("data-ready") || place.as_deref() == Some(page.screen.name()) => {
                patch(&main, &view::main(page))?;
            }
            _ => put_markup(&main, &view::main(page)),
        }
        self.set_folds(&main)?;
        show_place(page.screen)?;
        if !self.show_sheet(page, part)? {
            focus_again(focused);
        }
        measure(send);
        Ok(())
    }

    /// Shows the sheet, or takes it away; says whether that has moved the focus. Where it lies over the screen, only it can be
    /// reached.
    fn show_sheet(&mut self, page: &Page, part: Part) -> Result<bool, JsValue> {
        let Some(place) = find("#sheet") else { return Ok(false) };
        let (shown, before) = (page.sheet_shown(), self.sheet);
        self.note_folds(&place)?;
        if shown != before {
            self.written.clear();
            put_markup(&place, &view::sheet(page));
        } else if shown.is_some() {
            match place.query_selector("[data-part=answers]")? {
                Some(_) if part == Part::Results => {
                    self.put("#sheet [data-part=answers]", &view::answers(page))?;
                    self.put("#sheet [data-part=foot]", &view::foot(page))?;
                }
                _ => patch(&place, &view::sheet(page))?,
            }
        }
        self.set_folds(&place)?;
        self.sheet = shown;
        let over = page.sheet.is_some() && !page.place.wide;
        place.toggle_attribute_with_force("hidden", shown.is_none())?;
        set(&place, "role", over.then_some("dialog"))?;
        set(&place, "data-sheet", Some(&shown.map(Sheet::address).unwrap_or_default()))?;
        for rest in ["body > header", "main", "footer", "body > nav"] {
            if let Some(rest) = find(rest) {
                rest.toggle_attribute_with_force("inert", over)?;
            }
        }
        if let Some(shade) = find("#shade") {
            shade.toggle_attribute_with_force("hidden", !over)?;
            set(&shade, "href", Some(&["#", page.screen.name()].concat()))?;
        }
        if shown == before {
            return Ok(false);
        }
        // After all is written: it makes the browser lay out what there is.
        if shown.is_some() {
            place.set_scroll_top(0);
        }
        match before {
            _ if page.sheet.is_some() => focus("sheet-title"),
            Some(before) if before.screen() == page.screen => focus(&before.opener()),
            _ => return Ok(false),
        }
        Ok(true)
    }

    /// Writes a part of the results anew, with its folds and the focus as they were.
    fn show_part(&mut self, place: &str, markup: &str) -> Result<(), JsValue> {
        let Some(part) = find(place) else { return Ok(()) };
        self.written.clear();
        self.note_folds(&part)?;
        let focused = focused();
        patch(&part, markup)?;
        self.set_folds(&part)?;
        focus_again(focused);
        Ok(())
    }

    /// Writes what has changed of the running session.
    fn show_session(&mut self, page: &Page, full: bool) {
        if page.screen != Screen::Bank {
            return;
        }
        for (name, markup) in view::session::parts(page, full) {
            let _ = self.put(&["[data-live=", name, "]"].concat(), &markup);
        }
        if full {
            let _ = self.put("#head", &view::head(page));
        }
    }

    /// Makes the content of a place that of `markup`, by what was written there before. A button stays the same element: one
    /// that is replaced under a thumb loses its press, and the focus.
    fn put(&mut self, selector: &str, markup: &str) -> Result<(), JsValue> {
        let before = self.written.get(selector);
        // What was ticked among the results, and refused, is set back though nothing else has changed.
        if selector != RESULTS && before.is_some_and(|before| before == markup) {
            return Ok(());
        }
        let Some(place) = find(selector) else { return Ok(()) };
        let done = match before {
            Some(before) => patch_from(&place, before, markup),
            None => patch(&place, markup),
        };
        match done {
            Ok(()) => self.written.insert(selector, markup.to_owned()),
            // It may be half written.
            Err(_) => self.written.remove(selector),
        }
        done
    }

    /// Writes a sentence where something was tapped.
    pub(super) fn say_at(&mut self, selector: &str, sentence: &str) {
        self.written.clear();
        write(selector, sentence);
    }

    /// Notes which folds are open before they are written anew.
    fn note_folds(&mut self, place: &Element) -> Result<(), JsValue> {
        for fold in folds(place)? {
            if let Some(key) = fold.get_attribute("data-keep") {
                self.folds.insert(&key, fold.has_attribute("open"));
            }
        }
        Ok(())
    }

    /// Opens and closes them again.
    fn set_folds(&self, place: &Element) -> Result<(), JsValue> {
        for fold in folds(place)? {
            if let Some(open) = fold.get_attribute("data-keep").and_then(|key| self.folds.get(&key)) {
                fold.toggle_attribute_with_force("open", *open)?;
            }
        }
        Ok(())
    }
}

fn folds(place: &Element) -> Result<Vec<Element>, JsValue> {
    let list = place.query_selector_all("details[data-keep]")?;
    Ok((0..list.length()).filter_map(|i| list.item(i)?.dyn_into().ok()).collect())
}

/// The id of what has the focus.
fn focused() -> Option<String> {
    Some(document().ok()?.active_element()?.id()).filter(|id| !id.is_empty())
}

/// Gives the focus back to what took the place of the element that had it.
fn focus_again(id: Option<String>) {
    if let Some(id) = id
        && focused().as_ref() != Some(&id)
    {
        focus(&id);
    }
}

/// Puts the focus on the element with an id.
pub(super) fn focus(id: &str) {
    let element = document().ok().and_then(|d| d.get_element_by_id(id));
    if let Some(element) = element.and_then(|e| e.dyn_into::<HtmlElement>().ok()) {
        let _ = element.focus();
    }
}

/// The page is read from its top.
pub(super) fn to_top() {
    // Without the scroll that comes with a focus: it would be undone at once.
    if let Some(main) = find("#main") {
        let _ = call(&main, "focus", &[&object(&[("preventScroll", true.into())])]);
    }
    if let Ok(window) = window() {
        window.scroll_to_with_x_and_y(0.0, 0.0);
    }
}

/// The page stands there, and takes changes.
pub(super) fn ready() {
    if let Some(main) = find("#main") {
        let _ = main.set_attribute("data-ready", "yes");
    }
}

/// Names the open screen on the body, where the style sheet and the tests read it, and marks it in the bar.
fn show_place(open: Screen) -> Result<(), JsValue> {
    if let Some(body) = find("body") {
        set(&body, "data-screen", Some(open.name()))?;
    }
    for (screen, name) in Screen::ALL {
        if let Some(link) = find(&["body > * > a[href='#", name, "']"].concat()) {
            set(&link, "aria-current", (screen == open).then_some("page"))?;
        }
    }
    Ok(())
}

/// Sets a fact of the page on its root element, where the style sheet and the tests read it.
pub(super) fn set_on_root(name: &str, value: &str) {
    if let Some(root) = document().ok().and_then(|d| d.document_element()) {
        let _ = set(&root, name, Some(value));
    }
}

pub(super) fn show_theme(theme: Theme) {
    set_on_root("data-theme", theme.name());
}

/// The input of the field at `path`.
fn field(path: &str) -> Option<HtmlInputElement> {
    find(&["input[data-field='", path, "']"].concat())?.dyn_into().ok()
}

/// Writes a text into the field at `path`.
pub(super) fn write_field(path: &str, text: &str) {
    if let Some(input) = field(path) {
        input.set_value(text);
        show_words(&input);
    }
}

/// Writes what a date or time is called over the browser's own field.
fn show_words(input: &HtmlInputElement) {
    if let Some(words) =
        input.next_element_sibling().filter(|_| input.matches(".native input").unwrap_or_default())
    {
        words.set_text_content(Some(&view::native_words(&input.value())));
    }
}

/// Shows or clears the refusal beside the field at `path`.
pub(super) fn mark_field(path: &str, refusal: Option<&str>) {
    if let Some(place) = find(&["[data-error='", path, "']"].concat()) {
        place.set_text_content(refusal);
        let _ = place.toggle_attribute_with_force("hidden", refusal.is_none());
    }
    if let Some(input) = field(path) {
        show_words(&input);
        let _ = set(&input, "aria-invalid", refusal.map(|_| "true"));
    }
}

/// What a screen reader says.
pub(super) fn say(sentence: &str) {
    write("#said", sentence);
}

/// Tells the page how much room is left for the column of water between what stands above it and the buttons.
pub(super) fn measure(send: fn(Event)) {
    if let Some(room) = room()
        && (room - ROOM.replace(room)).abs() > 1e-3
    {
        send(Event::Room(room));
    }
}

fn room() -> Option<f64> {
    let place = find("[data-live=column]")?;
    let buttons = find(".tap-area")?.dyn_into::<HtmlElement>().ok()?;
    let window = window().ok()?;
    let high = window.inner_height().ok()?.as_f64()?;
    let bar = find("body > nav")?.get_bounding_client_rect();
    // On a wide screen the bar lies at the side.
    let foot = if bar.top() > high / 2.0 { bar.height() } else { 0.0 };
    // With large letters the buttons do not stay at the foot, and the column need not make room for them.
    let bottom = window.get_computed_style(&buttons).ok()??.get_property_value("bottom").ok()?;
    let wide = f64::from(place.client_width());
    let room = if bottom.starts_with('-') {
        0.7 * wide
    } else {
        let frame = place.get_bounding_client_rect();
        // On a wide screen the buttons lie beside the water.
        let below = buttons.get_bounding_client_rect().left() < frame.right();
        let taken = if below { f64::from(buttons.offset_height()) } else { 0.0 };
        high - foot - taken - 12.0 - frame.top() - window.scroll_y().ok()?
    };
    (wide > 0.0).then_some(room / wide)
}

/// Writes what is to be printed into its place, which is never seen on the screen.
pub(super) fn lay_out(page: &Page) {
    // A file's address is of no use to another phone.
    let link = page.place.address.is_some().then(|| page.share_text());
    let paper = view::print::paper(page, page.printing, link.as_deref());
    set_on_root(
        "data-paper",
        paper.as_ref().map_or("screen", |(_, alone)| if *alone { "alone" } else { "after" }),
    );
    if let Some(place) = find("#paper") {
        put_markup(&place, paper.as_ref().map_or("", |(markup, _)| markup));
    }
}
