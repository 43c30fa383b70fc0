//! The picture of a day, as PNG.

use super::dom::{document, find, window};
use super::optional::{call, get};
use super::share::{by_sheet, offer};
use crate::page::event::{Event, Place};
use core::cell::RefCell;
use js_sys::{Array, Function, JsString, Reflect};
use wasm_bindgen::JsCast;
use wasm_bindgen::prelude::*;
use web_sys::{Blob, BlobPropertyBag, Element, FilePropertyBag, HtmlCanvasElement, HtmlImageElement, Url};

thread_local! {
    /// The picture that is at hand, as PNG.
    static PICTURE: RefCell<Option<Blob>> = const { RefCell::new(None) };
}

/// What an element of a drawing takes from the page's style: outside the page it has to carry that itself.
const STYLED: [&str; 11] = [
    "fill",
    "fill-opacity",
    "stroke",
    "stroke-width",
    "stroke-opacity",
    "stroke-dasharray",
    "opacity",
    "color",
    "font-family",
    "font-size",
    "font-weight",
];
/// Width of the picture, pixels.
const PICTURE_PX: u32 = 1080;

/// Draws the day's drawing, as it stands on the screen, as PNG, to be at hand when it is asked for.
pub(super) fn draw() -> Option<()> {
    PICTURE.set(None);
    let kind = BlobPropertyBag::new();
    kind.set_type("image/svg+xml");
    let text = standing_alone(&find("[data-drawing=day]")?)?;
    let drawing = Blob::new_with_str_sequence_and_options(&Array::of1(&text.into()), &kind).ok()?;
    let url = Url::create_object_url_with_blob(&drawing).ok()?;
    let image = HtmlImageElement::new().ok()?;
    let loaded = {
        let (image, url) = (image.clone(), url.clone());
        Closure::once_into_js(move || {
            paint(&image);
            drop(Url::revoke_object_url(&url));
        })
    };
    image.set_onload(Some(loaded.unchecked_ref()));
    image.set_src(&url);
    Some(())
}

/// A drawing of the page as a file that needs no page around it.
fn standing_alone(drawing: &Element) -> Option<JsString> {
    let copy: Element = drawing.clone_node_with_deep(true).ok()?.unchecked_into();
    let window = window().ok()?;
    let (from, to) = (drawing.query_selector_all("*").ok()?, copy.query_selector_all("*").ok()?);
    for i in 0..from.length().min(to.length()) {
        let (from, to): (Element, Element) = (from.get(i)?.unchecked_into(), to.get(i)?.unchecked_into());
        let style = window.get_computed_style(&from).ok()??;
        for name in STYLED {
            to.set_attribute(name, &style.get_property_value(name).ok()?).ok()?;
        }
    }
    let box_of: Vec<f64> =
        drawing.get_attribute("viewBox")?.split(' ').filter_map(|part| part.parse().ok()).collect();
    let &[_, _, wide, high] = box_of.as_slice() else { return None };
    copy.set_attribute("width", &PICTURE_PX.to_string()).ok()?;
    copy.set_attribute("height", &(f64::from(PICTURE_PX) * high / wide).round().to_string()).ok()?;
    let serializer: Function = get(&window, "XMLSerializer")?.unchecked_into();
    let made = Reflect::construct(&serializer, &Array::new()).ok()?;
    call(&made, "serializeToString", &[&copy]).ok()?.dyn_into().ok()
}

/// Paints a loaded drawing, and keeps it as PNG.
fn paint(image: &HtmlImageElement) -> Option<()> {
    let canvas: HtmlCanvasElement = document().ok()?.create_element("canvas").ok()?.dyn_into().ok()?;
    canvas.set_width(image.natural_width());
    canvas.set_height(image.natural_height());
    let context = canvas.get_context("2d").ok()??;
    call(&context, "drawImage", &[image, &0.into(), &0.into()]).ok()?;
    let keep = Closure::once_into_js(|png: Option<Blob>| PICTURE.set(png));
    canvas.to_blob(keep.unchecked_ref()).ok()
}

/// Hands the picture of the day over, by the share sheet on a phone, else as a download.
pub(super) fn hand_over(name: &str, send: fn(Event)) {
    let kind = FilePropertyBag::new();
    kind.set_type("image/png");
    let file = PICTURE.with_borrow(|png| {
        let parts = Array::of1(png.as_ref()?);
        web_sys::File::new_with_blob_sequence_and_options(&parts, name, &kind).ok()
    });
    match file {
        Some(file) => offer(file, by_sheet(true), Place::Notices, send),
        None => send(Event::Answered {
            place: Place::Notices,
            sentence: "The picture could not be drawn in this browser.",
        }),
    }
}
