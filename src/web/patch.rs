//! Writes markup into an element and leaves alone what it already shows: a changed number then costs the browser the
//! layout and paint of its own line, not of the whole screen.

use super::optional::{call, get, object};
use js_sys::Reflect;
use wasm_bindgen::{JsCast, JsValue};
use web_sys::{Element, HtmlInputElement, Node};

/// The name under which the page's policy lets texts become markup. Nobody but this module has what it made.
const POLICY: &str = "dotdown-markup";

thread_local! {
    /// What makes markup of a text, where the browser takes none without.
    static TRUST: Option<JsValue> = trust();
}

fn trust() -> Option<JsValue> {
    let global = js_sys::global();
    // The text as it is: `view` has escaped whatever somebody typed.
    let rules = object(&[("createHTML", get(&global, "String")?)]);
    call(&get(&global, "trustedTypes")?, "createPolicy", &[&POLICY.into(), &rules]).ok()
}

/// Makes the content of `place` that of `markup`, all of it anew.
pub(super) fn put_markup(place: &Element, markup: &str) {
    let text = JsValue::from_str(markup);
    let trusted =
        TRUST.with(|trust| trust.as_ref().and_then(|trust| call(trust, "createHTML", &[&text]).ok()));
    let _ = Reflect::set(place, &"innerHTML".into(), &trusted.unwrap_or(text));
}

/// Makes the content of `place` that of `markup`.
pub(super) fn patch(place: &Element, markup: &str) -> Result<(), JsValue> {
    let fresh: Element = place.clone_node_with_deep(false)?.unchecked_into();
    put_markup(&fresh, markup);
    children(place, &fresh)
}

/// Writes a text, unless it stands there already: a text that is replaced between press and release takes the click with
/// it in `WebKit`, which gives none to a node that has left the document.
pub(super) fn put_text(place: &Node, text: &str) {
    if place.text_content().as_deref() != Some(text) {
        place.set_text_content(Some(text));
    }
}

/// Pairs the children by their places.
fn children(old: &Node, new: &Node) -> Result<(), JsValue> {
    let (mut mine, mut theirs) = (old.first_child(), new.first_child());
    loop {
        // What comes next is looked up before a node moves.
        let next = (mine.as_ref().and_then(Node::next_sibling), theirs.as_ref().and_then(Node::next_sibling));
        match (&mine, &theirs) {
            (Some(mine), Some(theirs)) => one(old, mine, theirs)?,
            (None, Some(theirs)) => drop(old.append_child(theirs)?),
            (Some(mine), None) => drop(old.remove_child(mine)?),
            (None, None) => return Ok(()),
        }
        (mine, theirs) = next;
    }
}

fn one(parent: &Node, mine: &Node, theirs: &Node) -> Result<(), JsValue> {
    if mine.is_equal_node(Some(theirs)) {
        if let (Some(mine), Some(theirs)) = (mine.dyn_ref::<Element>(), theirs.dyn_ref::<Element>()) {
            inputs(mine, theirs)?;
        }
        return Ok(());
    }
    match (mine.dyn_ref::<Element>(), theirs.dyn_ref::<Element>()) {
        (Some(a), Some(b)) if a.tag_name() == b.tag_name() => {
            attributes(a, b)?;
            children(mine, theirs)
        }
        (None, None) => {
            mine.set_node_value(theirs.node_value().as_deref());
            Ok(())
        }
        _ => parent.replace_child(theirs, mine).map(drop),
    }
}

/// Whether a fold is open is the reader's choice, and stays.
fn attributes(mine: &Element, theirs: &Element) -> Result<(), JsValue> {
    for name in theirs.get_attribute_names().iter().filter_map(|name| name.as_string()) {
        let value = theirs.get_attribute(&name);
        if name != "open" && mine.get_attribute(&name) != value {
            mine.set_attribute(&name, &value.unwrap_or_default())?;
        }
    }
    for name in mine.get_attribute_names().iter().filter_map(|name| name.as_string()) {
        if name != "open" && !theirs.has_attribute(&name) {
            mine.remove_attribute(&name)?;
        }
    }
    input(mine, theirs);
    Ok(())
}

/// What a reader typed or ticked is no attribute: it is set as well, also in parts that look the same.
fn inputs(mine: &Element, theirs: &Element) -> Result<(), JsValue> {
    input(mine, theirs);
    let (mine, theirs) = (mine.query_selector_all("input")?, theirs.query_selector_all("input")?);
    for i in 0..mine.length() {
        if let (Some(mine), Some(theirs)) = (mine.item(i), theirs.item(i)) {
            input(mine.unchecked_ref(), theirs.unchecked_ref());
        }
    }
    Ok(())
}

fn input(mine: &Element, theirs: &Element) {
    if let (Some(mine), Some(theirs)) =
        (mine.dyn_ref::<HtmlInputElement>(), theirs.dyn_ref::<HtmlInputElement>())
    {
        if mine.checked() != theirs.checked() {
            mine.set_checked(theirs.checked());
        }
        if mine.value() != theirs.value() {
            mine.set_value(&theirs.value());
        }
    }
}
