//! What leaves the page and comes into it by a reader's hand: clipboard, share sheet, files, the problem report; and the
//! panels that stand around that.

use super::dom::{document, find, window, write};
use super::optional::{ask, call, get, name_of, object, of_navigator};
use super::patch::put_markup;
use crate::page::Page;
use crate::page::effect::File;
use crate::page::event::{Event, Place, most_bytes};
use crate::page::report::{BrowserInfo, report as report_of};
use crate::view::share::code_width;
use js_sys::{Array, Object};
use wasm_bindgen::JsCast;
use wasm_bindgen::prelude::*;
use web_sys::{
    Blob, Element, FilePropertyBag, HtmlAnchorElement, HtmlDialogElement, HtmlElement, HtmlInputElement, Url,
};

/// How long a file that is downloaded is held for the browser, ms.
const HOLD_MS: i32 = 10_000;

// --- the share panel ------------------------------------------------------------------------------------------------

fn panel() -> Option<HtmlDialogElement> {
    find("#share")?.dyn_into().ok()
}

/// Opens the share panel with this markup.
pub(super) fn open(markup: &str) {
    let Some(panel) = panel() else { return };
    put_markup(&panel, markup);
    if !panel.open() {
        let _ = panel.show_modal();
    }
    let room = find("[data-share-said]").map_or(0, |said| said.client_width());
    if let Some(code) = find("#share .code")
        && let Some(side) = code.get_attribute("data-side").and_then(|side| side.parse().ok())
    {
        let _ = code.set_attribute("width", &code_width(side, room).to_string());
    }
}

/// Closes it.
pub(super) fn close() {
    if let Some(panel) = panel() {
        panel.close();
    }
}

/// Whether a click met the share panel's backdrop: it goes to the panel itself.
pub(super) fn is_backdrop(element: &Element) -> bool {
    element.id() == "share" && element.has_type::<HtmlDialogElement>()
}

// --- out ------------------------------------------------------------------------------------------------------------

/// Copies a text; where the clipboard is refused, marks it where it stands for the reader to copy.
pub(super) fn copy(place: Place, text: &str, send: fn(Event)) {
    let clipboard = of_navigator("clipboard").unwrap_or_default();
    ask(&clipboard, "writeText", &[&text.into()], move |copied| {
        let sentence = match (place, copied.is_ok()) {
            (Place::Report, true) => "Copied. Paste it into a message.",
            (_, true) => "Copied.",
            (Place::Report, false) => {
                mark_report();
                "Copy the marked text by hand: this browser refuses to."
            }
            (_, false) => {
                mark_link();
                "Copy what is marked by hand: this browser refuses to."
            }
        };
        send(Event::Answered { place, sentence });
    });
}

fn mark_link() {
    if let Some(field) = find("[data-share-link]").and_then(|field| field.dyn_into::<HtmlInputElement>().ok())
    {
        let _ = field.focus();
        field.select();
    }
}

fn mark_report() {
    if let (Ok(window), Some(place)) = (window(), find("[data-report]"))
        && let Ok(Some(selection)) = window.get_selection()
    {
        let _ = selection.select_all_children(&place);
    }
}

/// Hands the link, or the plan's text, to the phone's share sheet. Turning back is no error.
pub(super) fn send_link(text: &str, send: fn(Event)) {
    let what = if text.starts_with("http") { "url" } else { "text" };
    let data = object(&[("title", "Dotdown plan".into()), (what, text.into())]);
    ask_sheet(&data, move |error| {
        if error.is_some_and(|error| error != "AbortError") {
            let sentence = "The share sheet did not open. Copy it instead.";
            send(Event::Answered { place: Place::Share, sentence });
        }
    });
}

/// Asks the share sheet; tells the name of the error, if it ended in one.
fn ask_sheet(data: &Object, ended: impl FnOnce(Option<String>) + 'static) {
    let Ok(window) = window() else { return };
    ask(&window.navigator(), "share", &[data], |shared| ended(shared.err().as_ref().map(name_of)));
}

/// Hands a file over: by the share sheet where a download would fail, which is on an iPhone's home screen, and for the
/// calendar and a backup on any phone; else as a download. A sheet that takes no `.json` gets the same text as `.txt`.
pub(super) fn hand_over(file: &File, place: Place, send: fn(Event)) {
    let Some(mut made_file) = made(file) else { return };
    let sheet = by_sheet(matches!(place, Place::Calendar | Place::Backup));
    if sheet
        && !takes(&listed(&made_file))
        && let Some(stem) = file.name.strip_suffix(".json")
        && let Some(text) =
            made(&File { name: [stem, ".txt"].concat(), media_type: "text/plain", text: file.text.clone() })
        && takes(&listed(&text))
    {
        made_file = text;
    }
    offer(made_file, sheet, place, send);
}

/// What a share sheet takes: one file.
fn listed(file: &web_sys::File) -> Object {
    object(&[("files", Array::of1(file).into())])
}

/// Hands a file that is made over, by the share sheet if that is wanted and takes it, else as a download.
pub(super) fn offer(file: web_sys::File, sheet: bool, place: Place, send: fn(Event)) {
    let calendar = place == Place::Calendar;
    let files = listed(&file);
    let downloaded = if calendar {
        "The file is with your downloads. Open it with your calendar."
    } else {
        "The file is saved with your downloads."
    };
    if !(sheet && takes(&files)) {
        download(&file);
        send(Event::Answered { place, sentence: downloaded });
        return;
    }
    ask_sheet(&files, move |error| {
        let sentence = match error.as_deref() {
            None if calendar => "The file is handed over. Open it with your calendar.",
            None => "The file is handed over.",
            Some("AbortError") => return,
            Some(_) if calendar || place == Place::Backup => {
                download(&file);
                downloaded
            }
            Some(_) => "The file could not be handed over.",
        };
        send(Event::Answered { place, sentence });
    });
}

pub(super) fn by_sheet(on_phones: bool) -> bool {
    if on_phones {
        let coarse = window().and_then(|window| window.match_media("(pointer: coarse)"));
        coarse.is_ok_and(|media| media.is_some_and(|media| media.matches()))
    } else {
        of_navigator("standalone").is_some_and(|standalone| standalone.is_truthy())
    }
}

/// Whether the share sheet takes these files.
fn takes(files: &Object) -> bool {
    window().and_then(|w| call(&w.navigator(), "canShare", &[files])).is_ok_and(|takes| takes.is_truthy())
}

fn made(file: &File) -> Option<web_sys::File> {
    let kind = FilePropertyBag::new();
    kind.set_type(file.media_type);
    let parts = Array::of1(&file.text.as_str().into());
    web_sys::File::new_with_str_sequence_and_options(&parts, &file.name, &kind).ok()
}

fn download(file: &web_sys::File) {
    let (Ok(window), Ok(document)) = (window(), document()) else { return };
    let Ok(url) = Url::create_object_url_with_blob(file) else { return };
    if let Some(link) =
        document.create_element("a").ok().and_then(|link| link.dyn_into::<HtmlAnchorElement>().ok())
    {
        link.set_href(&url);
        link.set_download(&file.name());
        link.click();
    }
    let drop_url = Closure::once_into_js(move || drop(Url::revoke_object_url(&url)));
    let _ = window.set_timeout_with_callback_and_timeout_and_arguments_0(drop_url.unchecked_ref(), HOLD_MS);
}

// --- in -------------------------------------------------------------------------------------------------------------

/// Reads the file that the reader chose in a field, `plan` or `backup` by its `data-open`.
pub(super) fn read_file(input: &HtmlInputElement, send: fn(Event)) {
    let backup = input.get_attribute("data-open").as_deref() == Some("backup");
    let place = if backup { Place::Backup } else { Place::Share };
    let file = input.files().and_then(|files| files.get(0));
    input.set_value("");
    let Some(file) = file else { return };
    if file.size() > most_bytes(place) as f64 {
        send(Event::TooLarge { place });
        return;
    }
    ask(file.unchecked_ref::<Blob>(), "text", &[], move |text| {
        send(match text.ok().and_then(|text| text.as_string()) {
            Some(text) if backup => Event::BackupOpened { text },
            Some(text) => Event::Received(text),
            None => Event::Answered { place, sentence: "This file could not be read." },
        });
    });
}

/// Whether a link within the page would lead out of it, or be refused: in a viewer's frame.
pub(super) fn in_foreign_frame(link: &Element) -> bool {
    let bare = |url: &str| url.split('#').next().unwrap_or("").to_owned();
    let look = || {
        let window = window().ok()?;
        let href = link.dyn_ref::<HtmlAnchorElement>()?.href();
        let here = window.location().href().ok()?;
        let framed = get(&window, "parent").is_some_and(|parent| !Object::is(&parent, &window));
        let nowhere = get(&window, "origin").is_some_and(|origin| origin == "null");
        Some(bare(&href) != bare(&here) || (nowhere && framed))
    };
    look().unwrap_or(false)
}

// --- the about panel ------------------------------------------------------------------------------------------------

/// Shows a problem report, and copies it: nobody should send what he has not seen.
pub(super) fn report(page: &Page, with_plan: bool, send: fn(Event)) {
    let told = |object: &JsValue, name: &str| {
        get(object, name)
            .map_or_else(String::new, |told| String::from(told.unchecked_into::<Object>().to_string()))
    };
    let Ok(window) = window() else { return };
    let screen = get(&window, "screen").unwrap_or_default();
    let size = [
        &told(&screen, "width"),
        "\u{d7}",
        &told(&screen, "height"),
        " at ",
        &told(&window, "devicePixelRatio"),
        ", window ",
        &told(&window, "innerWidth"),
        "\u{d7}",
        &told(&window, "innerHeight"),
    ]
    .concat();
    let error = window.local_storage().ok().flatten().and_then(|kept| kept.get_item("dotdown.error").ok()?);
    let seen = BrowserInfo {
        browser: &of_navigator("userAgent").and_then(|agent| agent.as_string()).unwrap_or_default(),
        screen: &size,
        offline: offline(),
        error: &error.unwrap_or_default(),
    };
    let text = report_of(page, &seen, with_plan);
    write("[data-report]", &text);
    if let Some(place) = find("[data-report]") {
        let _ = place.remove_attribute("hidden");
    }
    copy(Place::Report, &text, send);
}

/// Whether the page is ready to open with no signal, in words.
fn offline() -> &'static str {
    if find("#core-inside").is_some() {
        return "one file, needs no network";
    }
    match of_navigator("serviceWorker") {
        None => "not offered here",
        Some(workers) if get(&workers, "controller").is_some() => "ready",
        Some(_) => "not ready",
    }
}

/// Asks whether to erase everything, or takes the question back.
pub(super) fn ask_erase(asked: bool) {
    let Some(sure) = find("[data-erase-sure]").and_then(|sure| sure.dyn_into::<HtmlElement>().ok()) else {
        return;
    };
    sure.set_hidden(!asked);
    write("[data-erase-said]", if asked { "Plan, ticks and session will be gone for good." } else { "" });
    if !asked
        && let Some(button) =
            find("[data-act=erase]").and_then(|button| button.dyn_into::<HtmlElement>().ok())
    {
        let _ = button.focus();
    }
}

/// Begins the page anew.
pub(super) fn reload() {
    if let Ok(window) = window() {
        let location = window.location();
        let _ = location.replace("#day");
        let _ = location.reload();
    }
}
