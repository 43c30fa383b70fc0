//! The page: events in, [`crate::view`]'s markup out.
//!
//! Events are caught at the document and told apart by data attributes: `data-field` (an input of the plan),
//! `data-step` and `data-by` (its buttons), `data-tick` (a tick box), `data-act` (everything else). After a change
//! the state is saved first and shown second.

use super::patch::patch;
use super::{deep, print, storage};
use crate::page::report;
use crate::page::settings::Paper;
use crate::page::{Page, Redraw, Screen};
use crate::plan::link;
use crate::small::Map;
use crate::view::{announcement, head, notices, results, screen, share};
use std::cell::RefCell;
use wasm_bindgen::JsCast;
use wasm_bindgen::prelude::*;
use web_sys::{
    Document, Element, Event, HtmlDialogElement, HtmlElement, HtmlInputElement, HtmlSelectElement, Window,
};

pub(super) struct App {
    pub(super) page: Page,
    serial: u64,
    /// Which folds the reader opened or closed.
    folds: Map<bool>,
    /// What the running session last wrote into each of its parts.
    written: Map<String>,
    /// A pending timer of the announcement.
    announce: Option<i32>,
    /// Whether the last save was refused, so that it is told once.
    refused: bool,
    /// Whether the reader is asked about a plan that had been set aside.
    aside: bool,
    /// Long work and the player.
    pub(super) deep: deep::Runner,
    /// What a button asked to be printed.
    pub(super) printing: Option<Paper>,
}

thread_local! {
    static APP: RefCell<Option<App>> = const { RefCell::new(None) };
}

/// Runs `f` on the page, if it has started and is not in the middle of another event.
pub(super) fn with_app<T>(f: impl FnOnce(&mut App) -> T) -> Option<T> {
    APP.with(|cell| cell.try_borrow_mut().ok().and_then(|mut app| app.as_mut().map(f)))
}

pub(super) fn window() -> Result<Window, JsValue> {
    web_sys::window().ok_or_else(|| JsValue::from_str("there is no page here"))
}

pub(super) fn document() -> Result<Document, JsValue> {
    window()?.document().ok_or_else(|| JsValue::from_str("there is no page here"))
}

/// Starts the page: called once, after the module is ready. `jobs` runs long work in a worker.
///
/// # Errors
/// When there is no document to show anything in, as in Node.
#[wasm_bindgen]
pub fn start(jobs: JsValue) -> Result<(), JsValue> {
    console_error_panic_hook::set_once();
    let document = document()?;
    let found = storage::load();
    let (serial, mut page) = found.kept.map_or_else(|| (0, Page::new()), |kept| (kept.serial, kept.page));
    if let Some(sentence) = &found.trouble {
        page.say(sentence, false);
    }
    if let Some(root) = document.document_element() {
        page.made.build = root.get_attribute("data-build").unwrap_or_default();
        page.made.whole = root.get_attribute("data-whole");
    }
    let aside = found.aside.is_some();
    if let Some(kept) = found.aside {
        page.offer(kept.page.plan);
        page.say(
            "This plan was set aside when an older version of the page could not read it. Now it can be opened.",
            false,
        );
    }
    APP.with(|cell| {
        *cell.borrow_mut() = Some(App {
            page,
            serial,
            folds: Map::default(),
            written: Map::default(),
            announce: None,
            refused: found.refused,
            aside,
            deep: deep::Runner::new(jobs),
            printing: None,
        });
    });
    listen(&document)?;
    deep::listen()?;
    print::listen()?;
    with_app(|app| {
        app.follow(&hash());
        app.show_theme()?;
        app.show(Redraw::Screen)?;
        app.deep_soon();
        Ok::<(), JsValue>(())
    })
    .unwrap_or(Ok(()))?;
    if let Some(main) = document.get_element_by_id("main") {
        main.set_attribute("data-ready", "yes")?;
    }
    Ok(())
}

/// Takes the text of a file or a link that was handed to the page.
#[wasm_bindgen]
pub fn receive(text: &str) {
    with_app(|app| {
        app.take_text(text);
        app.settle(Redraw::Screen);
    });
}

/// The preparation of the plan in hand as the text of a calendar file.
#[wasm_bindgen(js_name = calendarFile)]
#[must_use]
pub fn calendar_file() -> Option<String> {
    let now = js_sys::Date::now();
    with_app(|app| crate::results::calendar_file::calendar_file(&app.page.plan, &app.page.day.prep, now).ok())
        .flatten()
}

/// A problem report for the reader to copy. What a script knows of the browser comes in; the plan's link goes in only
/// when the reader asks for it.
#[wasm_bindgen(js_name = problemReport)]
#[must_use]
pub fn problem_report(
    browser: &str,
    screen: &str,
    offline: &str,
    error: &str,
    with_plan: bool,
) -> Option<String> {
    with_app(|app| {
        let seen = report::BrowserInfo { browser, screen, offline, error };
        report::report(&app.page, &seen, with_plan)
    })
}

/// Ends the page, so that it saves nothing any more: what the phone keeps is about to be erased.
#[wasm_bindgen]
pub fn forget() {
    APP.with(|cell| {
        if let Ok(mut app) = cell.try_borrow_mut() {
            *app = None;
        }
    });
}

/// Puts a listener on the document or window for as long as the page lives.
pub(super) fn on(
    target: &web_sys::EventTarget,
    kind: &str,
    handle: impl Fn(&Event) + 'static,
) -> Result<(), JsValue> {
    let closure = Closure::<dyn Fn(Event)>::new(move |event: Event| handle(&event));
    target.add_event_listener_with_callback(kind, closure.as_ref().unchecked_ref())?;
    closure.forget();
    Ok(())
}

fn listen(document: &Document) -> Result<(), JsValue> {
    let window = window()?;
    on(document, "input", |event| typed(event, false))?;
    on(document, "change", |event| typed(event, true))?;
    on(document, "click", clicked)?;
    on(&window, "hashchange", |_| follow(&hash()))?;
    on(document, "visibilitychange", |_| {
        with_app(|app| {
            if document_hidden() {
                app.save();
            }
        });
    })?;
    on(&window, "storage", |event| {
        let Some(event) = event.dyn_ref::<web_sys::StorageEvent>() else { return };
        if event.key().is_some_and(|key| storage::is_slot(&key)) {
            with_app(App::take_over);
        }
    })
}

/// The fragment of the page's address, without its sign.
fn hash() -> String {
    let hash = window().and_then(|w| w.location().hash()).unwrap_or_default();
    hash.strip_prefix('#').map(str::to_owned).unwrap_or(hash)
}

/// Goes where a fragment says: a screen, or a plan.
#[wasm_bindgen]
pub fn follow(fragment: &str) {
    with_app(|app| {
        if !app.follow(fragment) {
            return;
        }
        app.settle(Redraw::Screen);
        if let Ok(Some(main)) = document_element("main") {
            let _ = main.focus();
        }
        if let Ok(window) = window() {
            window.scroll_to_with_x_and_y(0.0, 0.0);
        }
    });
}

fn document_hidden() -> bool {
    document().is_ok_and(|d| d.visibility_state() == web_sys::VisibilityState::Hidden)
}

pub(super) fn document_element(id: &str) -> Result<Option<HtmlElement>, JsValue> {
    Ok(document()?.get_element_by_id(id).and_then(|e| e.dyn_into().ok()))
}

/// The element of an event.
fn target(event: &Event) -> Option<Element> {
    event.target()?.dyn_into().ok()
}

/// An input or a choice was changed; `done` when the reader has left it.
fn typed(event: &Event, done: bool) {
    let Some(element) = target(event) else { return };
    if let Some(id) = element.get_attribute("data-tick") {
        let on = element.dyn_ref::<HtmlInputElement>().is_some_and(HtmlInputElement::checked);
        if done {
            with_app(|app| {
                let shows = app.page.tick(&id, on);
                app.settle(shows);
            });
        }
        return;
    }
    let Some(path) = element.get_attribute("data-field") else { return };
    let (value, text) = if let Some(select) = element.dyn_ref::<HtmlSelectElement>() {
        (select.value(), false)
    } else if let Some(input) = element.dyn_ref::<HtmlInputElement>() {
        if input.type_() == "checkbox" {
            (if input.checked() { "true" } else { "false" }.to_owned(), false)
        } else {
            (input.value(), true)
        }
    } else {
        return;
    };
    if text && done {
        // The reader has left the field: a good number is written out in full.
        with_app(|app| app.write_field(&path));
    } else if text || done {
        with_app(|app| {
            let shows = app.page.type_in(&path, &value);
            app.mark_field(&path);
            app.settle(shows);
        });
    }
}

/// A button was pressed.
fn clicked(event: &Event) {
    let Some(element) = target(event) else { return };
    if let Ok(Some(button)) = element.closest("[data-step]") {
        let path = button.get_attribute("data-step").unwrap_or_default();
        let by = button.get_attribute("data-by").and_then(|b| b.parse().ok()).unwrap_or(0);
        with_app(|app| {
            let shows = app.page.step(&path, by);
            app.write_field(&path);
            app.mark_field(&path);
            app.settle(shows);
        });
    } else if let Ok(Some(button)) = element.closest("[data-act]") {
        let act = button.get_attribute("data-act").unwrap_or_default();
        with_app(|app| {
            if act == "share" {
                let _ = app.open_share();
                return;
            }
            if app.aside && matches!(act.as_str(), "accept" | "keep") {
                app.aside = false;
                storage::forget_aside();
            }
            let shows = if act == "tap" { app.page.tap(js_sys::Date::now()) } else { app.page.act(&act) };
            if deep::of_finder(&act) {
                app.show_finder();
                return;
            }
            if act.starts_with("theme:") {
                let _ = app.show_theme();
            }
            app.settle(shows);
        });
    }
}

impl App {
    /// Saves, then shows.
    fn settle(&mut self, shows: Redraw) {
        if shows == Redraw::Nothing {
            return;
        }
        self.save();
        // A missing element is a page that is being torn down; there is nothing to show it in.
        let _ = self.show(shows);
        self.announce_soon();
        self.deep_soon();
    }

    fn save(&mut self) {
        self.serial += 1;
        match storage::save(&self.page, self.serial) {
            Ok(()) => self.refused = false,
            Err(sentence) => {
                if !self.refused {
                    self.page.say(&sentence, false);
                }
                self.refused = true;
            }
        }
    }

    /// Another tab has saved: show what it has.
    fn take_over(&mut self) {
        if let Some(kept) = storage::load().kept
            && kept.serial > self.serial
        {
            let (here, bad) = (self.page.screen, core::mem::take(&mut self.page.bad));
            let part = self.page.part;
            self.serial = kept.serial;
            let (live, away) = (self.page.live.take(), self.page.put_away);
            let made = core::mem::take(&mut self.page.made);
            self.page = kept.page;
            self.page.live = live;
            self.page.made = made;
            self.page.put_away = away;
            self.page.screen = here;
            self.page.part = part;
            self.page.bad = bad;
            let _ = self.show_theme();
            let _ = self.show(Redraw::Screen);
        }
    }

    /// Goes where a fragment says: a screen, or a plan that came with a link. Says whether it leads anywhere.
    fn follow(&mut self, name: &str) -> bool {
        // The second is the link past the bar, which the browser follows by itself.
        if matches!(name, "" | "main") {
            return false;
        }
        if let Some(screen) = Screen::named(name) {
            self.page.screen = screen;
            return true;
        }
        if !self.page.offer_worked(name) {
            self.take_text(name);
        }
        // The link has been read: a reload shall not ask again.
        let here = ["#", self.page.screen.name()].concat();
        if let Ok(history) = window().and_then(|w| w.history()) {
            let _ = history.replace_state_with_url(&JsValue::NULL, "", Some(&here));
        }
        true
    }

    /// Reads a plan from outside and offers it.
    fn take_text(&mut self, text: &str) {
        match link::read(text) {
            Ok(plan) => {
                self.aside = false;
                self.page.offer(plan);
            }
            Err(e) => {
                let sentence = [&e.to_string(), " Your plan is as it was."].concat();
                self.page.say(&sentence, false);
            }
        }
    }

    /// Puts the markup in its places.
    pub(super) fn show(&mut self, shows: Redraw) -> Result<(), JsValue> {
        let document = document()?;
        let put = |id: &str, markup: &str| {
            document.get_element_by_id(id).map_or(Ok(()), |element| patch(&element, markup))
        };
        self.written.clear();
        put("head", &head(&self.page))?;
        put("notices", &notices(&self.page))?;
        let Some(main) = document.get_element_by_id("main") else { return Ok(()) };
        self.keep_folds(&main)?;
        let focused = document.active_element().map(|e| e.id()).filter(|id| !id.is_empty());
        let part = main.query_selector("[data-part=results]")?;
        match (shows, part) {
            (Redraw::Results, Some(part)) => patch(&part, &results(&self.page))?,
            // The first time the worked day may stand there already.
            _ if !main.has_attribute("data-ready") => patch(&main, &screen(&self.page))?,
            _ => main.set_inner_html(&screen(&self.page)),
        }
        self.open_folds(&main)?;
        if let Some(id) = focused
            && document.active_element().is_none_or(|e| e.id() != id)
            && let Some(element) = document_element(&id)?
        {
            let _ = element.focus();
        }
        self.show_place(&document)
    }

    /// Writes one part of the running session, or the head line for `""`.
    pub(super) fn put_live(&mut self, name: &str, markup: &str) {
        if self.written.get(name).is_some_and(|written| written == markup) {
            return;
        }
        self.written.insert(name, markup.to_owned());
        let Ok(document) = document() else { return };
        let selector = if name.is_empty() { "#head".to_owned() } else { ["[data-live=", name, "]"].concat() };
        let Ok(Some(place)) = document.query_selector(&selector) else { return };
        // A button stays the same element: one that is replaced under a thumb loses its press, and the focus.
        let _ = if markup.contains("<button") {
            patch(&place, markup)
        } else {
            place.set_inner_html(markup);
            Ok(())
        };
    }

    /// Marks the open screen in the bar.
    fn show_place(&self, document: &Document) -> Result<(), JsValue> {
        for (screen, name) in Screen::ALL {
            if let Some(link) = document.query_selector(&["body > * > a[href='#", name, "']"].concat())? {
                if screen == self.page.screen {
                    link.set_attribute("aria-current", "page")?;
                } else {
                    link.remove_attribute("aria-current")?;
                }
            }
        }
        Ok(())
    }

    fn show_theme(&self) -> Result<(), JsValue> {
        if let Some(root) = document()?.document_element() {
            root.set_attribute("data-theme", self.page.choices.theme.name())?;
        }
        Ok(())
    }

    /// Remembers which folds are open before they are written anew.
    pub(super) fn keep_folds(&mut self, main: &Element) -> Result<(), JsValue> {
        let list = main.query_selector_all("details[data-keep]")?;
        for i in 0..list.length() {
            if let Some(fold) = list.item(i).and_then(|n| n.dyn_into::<Element>().ok())
                && let Some(key) = fold.get_attribute("data-keep")
            {
                self.folds.insert(&key, fold.has_attribute("open"));
            }
        }
        Ok(())
    }

    /// Opens and closes them again.
    pub(super) fn open_folds(&self, main: &Element) -> Result<(), JsValue> {
        let list = main.query_selector_all("details[data-keep]")?;
        for i in 0..list.length() {
            if let Some(fold) = list.item(i).and_then(|n| n.dyn_into::<Element>().ok())
                && let Some(open) = fold.get_attribute("data-keep").and_then(|key| self.folds.get(&key))
            {
                if *open {
                    fold.set_attribute("open", "")?;
                } else {
                    fold.remove_attribute("open")?;
                }
            }
        }
        Ok(())
    }

    /// Writes the number at `path` into its field as it is kept, unless the field holds what cannot be used.
    fn write_field(&mut self, path: &str) {
        if self.page.bad.contains(path) {
            return;
        }
        if let (Some(text), Some(input)) = (self.page.text_at(path), field(path)) {
            input.set_value(&text);
        }
    }

    /// Shows or clears the refusal beside the field at `path`.
    fn mark_field(&self, path: &str) {
        let Ok(document) = document() else { return };
        let bad = self.page.bad.get(path);
        if let Ok(Some(place)) = document.query_selector(&["[data-error='", path, "']"].concat()) {
            place.set_text_content(bad.map(|b| b.sentence.as_str()));
            let _ = place.toggle_attribute_with_force("hidden", bad.is_none());
        }
        if let Some(input) = field(path) {
            let _ = if bad.is_some() {
                input.set_attribute("aria-invalid", "true")
            } else {
                input.remove_attribute("aria-invalid")
            };
        }
    }

    /// Tells a screen reader what came out, once the reader has stopped changing things.
    fn announce_soon(&mut self) {
        let Ok(window) = window() else { return };
        if let Some(timer) = self.announce.take() {
            window.clear_timeout_with_handle(timer);
        }
        let tell = Closure::once_into_js(|| {
            with_app(|app| {
                app.announce = None;
                if let Ok(Some(place)) = document_element("said") {
                    place.set_text_content(Some(&announcement(&app.page)));
                }
            });
        });
        self.announce =
            window.set_timeout_with_callback_and_timeout_and_arguments_0(tell.unchecked_ref(), 800).ok();
    }

    /// Opens the share panel with the link of the plan in hand.
    fn open_share(&self) -> Result<(), JsValue> {
        let window = window()?;
        let location = window.location();
        let plan = link::write(&self.page.plan);
        // The address of a file on this phone leads nobody here.
        let hosted = location.protocol()?.starts_with("http");
        let text =
            if hosted { [&location.origin()?, &location.pathname()?, "#", &plan].concat() } else { plan };
        let can_send = js_sys::Reflect::has(&window.navigator(), &"share".into()).unwrap_or(false);
        if let Some(dialog) = document_element("share")?.and_then(|e| e.dyn_into::<HtmlDialogElement>().ok())
        {
            dialog.set_inner_html(&share::panel(&self.page, &share::Way { text: &text, hosted, can_send }));
            if !dialog.open() {
                dialog.show_modal()?;
            }
            let room = dialog.query_selector("[data-share-said]")?.map_or(0, |said| said.client_width());
            if let Some(code) = dialog.query_selector(".code")?
                && let Some(side) = code.get_attribute("data-side").and_then(|side| side.parse().ok())
            {
                code.set_attribute("width", &share::code_width(side, room).to_string())?;
            }
        }
        Ok(())
    }
}

/// The input of the field at `path`.
fn field(path: &str) -> Option<HtmlInputElement> {
    document().ok()?.query_selector(&["input[data-field='", path, "']"].concat()).ok()??.dyn_into().ok()
}
