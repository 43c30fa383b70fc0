//! What a browser may lack or refuse, reached by its name: what is not there is a `None` or an `Err`. A typed call would
//! throw through Rust instead, and leave whatever was borrowed on the way borrowed for good.

use js_sys::{Array, Function, Object, Promise, Reflect};
use wasm_bindgen::JsCast;
use wasm_bindgen::prelude::*;

/// A property that is there and holds something.
pub(super) fn get(object: &JsValue, name: &str) -> Option<JsValue> {
    Reflect::get(object, &name.into()).ok().filter(|value| !value.is_undefined() && !value.is_null())
}

/// A property of the browser's `navigator`.
pub(super) fn of_navigator(name: &str) -> Option<JsValue> {
    get(&web_sys::window()?.navigator(), name)
}

/// Calls a method.
///
/// # Errors
/// What the browser threw: also where there is no such method.
pub(super) fn call(object: &JsValue, name: &str, arguments: &[&JsValue]) -> Result<JsValue, JsValue> {
    let method: Function = Reflect::get(object, &name.into())?.dyn_into()?;
    method.apply(object, &arguments.iter().copied().collect::<Array>())
}

/// Calls a method that gives a promise, and then `ended` with what became of it: perhaps before this returns, where there
/// is no such method.
pub(super) fn ask(
    object: &JsValue,
    name: &str,
    arguments: &[&JsValue],
    ended: impl FnOnce(Result<JsValue, JsValue>) + 'static,
) {
    match call(object, name, arguments) {
        Ok(promise) => when_settled(&promise, ended),
        Err(error) => ended(Err(error)),
    }
}

/// Calls `ended` when the promise is kept or broken. One closure serves both ends and is freed by either.
pub(super) fn when_settled(promise: &JsValue, ended: impl FnOnce(Result<JsValue, JsValue>) + 'static) {
    let ended = Closure::once_into_js(move |all: Array| {
        let one = all.get(0);
        let broken = get(&one, "status").is_some_and(|status| status == "rejected");
        let part = |name: &str| get(&one, name).unwrap_or_default();
        ended(if broken { Err(part("reason")) } else { Ok(part("value")) });
    });
    let _ = call(&Promise::all_settled(&Array::of1(promise)), "then", &[&ended]);
}

/// The name of an error of the browser's.
pub(super) fn name_of(error: &JsValue) -> String {
    get(error, "name").and_then(|name| name.as_string()).unwrap_or_default()
}

/// An object of these members.
pub(super) fn object(parts: &[(&str, JsValue)]) -> Object {
    let object = Object::new();
    for (name, value) in parts {
        let _ = Reflect::set(&object, &(*name).into(), value);
    }
    object
}
