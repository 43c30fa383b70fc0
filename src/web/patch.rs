//! Writes markup into an element and leaves alone what it already shows: a changed number then costs the browser the
//! layout and paint of its own line, not of the whole screen.

use super::dom::set;
use super::optional::{call, get, object};
use crate::view::nodes::{alike as alike_nodes, attributes_of, name_of, nodes, opened, text_of};
use js_sys::Reflect;
use wasm_bindgen::{JsCast, JsValue};
use web_sys::{Element, HtmlElement, HtmlInputElement, Node};

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
    let fresh = read(place, markup)?;
    children(place, &fresh)
}

/// The same where `before` was written there last: the browser reads only what differs from it. Nothing but folds and what a
/// reader typed or ticked may have changed since.
pub(super) fn patch_from(place: &Element, before: &str, markup: &str) -> Result<(), JsValue> {
    differing(place, before, markup)?;
    inputs(place)
}

/// An element like `place` with other content.
fn read(place: &Element, markup: &str) -> Result<Element, JsValue> {
    let fresh: Element = place.clone_node_with_deep(false)?.unchecked_into();
    put_markup(&fresh, markup);
    Ok(fresh)
}

/// Pairs the nodes of the markup as [`children`] pairs those of the page.
fn differing(place: &Element, before: &str, markup: &str) -> Result<(), JsValue> {
    if before == markup {
        return Ok(());
    }
    let (Some(was), Some(is)) = (nodes(before), nodes(markup)) else { return patch(place, markup) };
    if usize::try_from(place.child_nodes().length()) != Ok(was.len()) {
        return patch(place, markup);
    }
    let (mut was, mut is) = (&was[..], &is[..]);
    let mut child = place.first_child();
    loop {
        match (was.split_first(), is.split_first()) {
            (Some((a, later)), Some((b, rest)))
                if alike_nodes(a, b)
                    || !(rest.first().is_some_and(|next| alike_nodes(a, next))
                        || later.first().is_some_and(|next| alike_nodes(next, b))) =>
            {
                let next = child.as_ref().and_then(Node::next_sibling);
                if let Some(child) = child.filter(|_| a != b) {
                    node(place, &child, a, b)?;
                }
                (was, is, child) = (later, rest, next);
            }
            (Some((a, later)), of_now)
                if of_now.is_none_or(|(_, rest)| !rest.first().is_some_and(|next| alike_nodes(a, next))) =>
            {
                let next = child.as_ref().and_then(Node::next_sibling);
                child.map_or(Ok(()), |child| place.remove_child(&child).map(drop))?;
                (was, child) = (later, next);
            }
            (_, Some((b, rest))) => {
                if let Some(fresh) = read(place, b)?.first_child() {
                    place.insert_before(&fresh, child.as_ref())?;
                }
                is = rest;
            }
            _ => return Ok(()),
        }
    }
}

/// Makes one node what `is` says, which `was` said so far.
fn node(place: &Element, child: &Node, was: &str, is: &str) -> Result<(), JsValue> {
    match (opened(was).zip(opened(is)), child.dyn_ref::<Element>()) {
        (Some(((start_was, was), (start, is))), Some(element)) if name_of(start_was) == name_of(start) => {
            let (before, now) = (attributes_of(start_was), attributes_of(start));
            for (name, value) in now.iter().filter(|now| now.0 != "open" && !before.contains(now)) {
                element.set_attribute(name, &text_of(value))?;
            }
            for (name, _) in
                before.iter().filter(|was| was.0 != "open" && now.iter().all(|now| now.0 != was.0))
            {
                element.remove_attribute(name)?;
            }
            differing(element, was, is)
        }
        (_, None) if !is.starts_with('<') => {
            child.set_node_value(Some(&text_of(is)));
            Ok(())
        }
        _ => read(place, is)?.first_child().map_or(Ok(()), |fresh| one(place, child, &fresh)),
    }
}

/// Writes a text, unless it stands there already: a text that is replaced between press and release takes the click with
/// it in `WebKit`, which gives none to a node that has left the document.
pub(super) fn put_text(place: &Node, text: &str) {
    if place.text_content().as_deref() != Some(text) {
        place.set_text_content(Some(text));
    }
}

/// Pairs the children by their places, but for a part that comes between or goes.
fn children(old: &Node, new: &Node) -> Result<(), JsValue> {
    let (mut mine, mut theirs) = (old.first_child(), new.first_child());
    loop {
        // What comes next is looked up before a node moves.
        let next = (mine.as_ref().and_then(Node::next_sibling), theirs.as_ref().and_then(Node::next_sibling));
        match (&mine, &theirs) {
            (Some(a), Some(b)) if a.is_equal_node(Some(b)) => a.dyn_ref().map_or(Ok(()), inputs)?,
            (Some(a), Some(b)) if !alike(a, b) && next.1.as_ref().is_some_and(|next| alike(a, next)) => {
                old.insert_before(b, Some(a))?;
                theirs = next.1;
                continue;
            }
            (Some(a), Some(b)) if !alike(a, b) && next.0.as_ref().is_some_and(|next| alike(next, b)) => {
                old.remove_child(a)?;
                mine = next.0;
                continue;
            }
            (Some(mine), Some(theirs)) => one(old, mine, theirs)?,
            (None, Some(theirs)) => drop(old.append_child(theirs)?),
            (Some(mine), None) => drop(old.remove_child(mine)?),
            (None, None) => return Ok(()),
        }
        (mine, theirs) = next;
    }
}

/// Whether two nodes may be the same part of the page: elements of one name, in HTML also of one class.
fn alike(mine: &Node, theirs: &Node) -> bool {
    mine.node_name() == theirs.node_name()
        && match (mine.dyn_ref::<HtmlElement>(), theirs.dyn_ref::<HtmlElement>()) {
            (Some(mine), Some(theirs)) => mine.class_name() == theirs.class_name(),
            _ => true,
        }
}

fn one(parent: &Node, mine: &Node, theirs: &Node) -> Result<(), JsValue> {
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
    // Most often only something below has changed.
    if mine.clone_node_with_deep(false)?.is_equal_node(Some(&theirs.clone_node_with_deep(false)?)) {
        input(mine, theirs);
        return Ok(());
    }
    for name in theirs.get_attribute_names().iter().filter_map(|name| name.as_string()) {
        if name != "open" {
            set(mine, &name, theirs.get_attribute(&name).as_deref())?;
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

/// Inputs that may show another state than their attributes do.
const TOUCHED: &str =
    "input:not([type=checkbox]), input:checked:not([checked]), input[checked]:not(:checked)";

/// What a reader typed or ticked is no attribute: in a part that looks the same it is set to what the attributes say.
fn inputs(part: &Element) -> Result<(), JsValue> {
    if part.matches(TOUCHED)? {
        input(part, part);
    }
    let inside = part.query_selector_all(TOUCHED)?;
    for one in (0..inside.length()).filter_map(|i| inside.item(i)) {
        input(one.unchecked_ref(), one.unchecked_ref());
    }
    Ok(())
}

/// Gives an input the state that the attributes of `theirs` say.
fn input(mine: &Element, theirs: &Element) {
    if let (Some(mine), Some(theirs)) =
        (mine.dyn_ref::<HtmlInputElement>(), theirs.dyn_ref::<HtmlInputElement>())
    {
        let (checked, value) = (theirs.default_checked(), theirs.default_value());
        if mine.checked() != checked {
            mine.set_checked(checked);
        }
        if mine.value() != value {
            mine.set_value(&value);
        }
    }
}
