//! A script's values as plain objects and back, and refusals as errors.

use super::object::{read, wrong};
use crate::book::{Book, book_from, book_text};
use crate::plan::Plan;
use crate::refusal::Refusal;
use js_sys::{Array, Date, Error, JSON, Object, Reflect};
use serde::{Serialize, de::DeserializeOwned};
use serde_json::{Map, Number, Value};
use serde_wasm_bindgen::Serializer;
use wasm_bindgen::{JsCast, JsValue};

/// How deep an object may be nested; a plan is four deep.
const MAX_DEPTH: u32 = 12;
/// The largest whole number up to which every whole number is exact: 2^53.
const MAX_EXACT: f64 = 9_007_199_254_740_992.0;

/// Any room's refusal as a JavaScript error.
pub(super) fn fault(refused: impl Into<Refusal>) -> JsValue {
    let refused = refused.into();
    let error = Error::new(&refused.to_string());
    for (name, text) in [("code", refused.code()), ("field", refused.field())] {
        // Setting a property of a fresh error cannot fail.
        let _ = Reflect::set(&error, &name.into(), &text.into());
    }
    error.into()
}

/// A value as a plain object.
pub(super) fn give<T: Serialize + ?Sized>(value: &T) -> Result<JsValue, JsValue> {
    value
        .serialize(&Serializer::json_compatible())
        .map_err(|e| fault(Refusal::new("not_shown", "", format!("The result cannot be shown: {e}."))))
}

/// A script's value as plain data. A part that is undefined counts as left out.
fn plain(value: &JsValue, deep: u32) -> Result<Value, Refusal> {
    if let Some(number) = value.as_f64() {
        return plain_number(number);
    }
    if let Some(text) = value.as_string() {
        return Ok(Value::String(text));
    }
    if let Some(flag) = value.as_bool() {
        return Ok(Value::Bool(flag));
    }
    if value.is_null() || value.is_undefined() {
        return Ok(Value::Null);
    }
    if value.is_bigint() {
        let number =
            i64::try_from(value.clone()).map_err(|_| unfit("a whole number below 2^63 is wanted"))?;
        return Ok(number.into());
    }
    if !value.is_object() || value.is_function() {
        return Err(unfit("plain data is wanted: numbers, texts, true or false, null, lists and objects"));
    }
    if value.is_instance_of::<Date>() {
        return Err(unfit(
            "a Date has no place here: write a day as 2026-07-11, and a moment as its getTime()",
        ));
    }
    if deep == MAX_DEPTH {
        return Err(unfit("it is nested too deeply"));
    }
    if let Some(list) = value.dyn_ref::<Array>() {
        let part =
            |(i, part): (usize, JsValue)| plain(&part, deep + 1).map_err(|r| below(&r, &i.to_string()));
        return list.iter().enumerate().map(part).collect::<Result<_, _>>().map(Value::Array);
    }
    let mut object = Map::new();
    for pair in Object::entries(value.unchecked_ref()).iter() {
        let pair: Array = pair.unchecked_into();
        let (name, part) = (pair.get(0).as_string().unwrap_or_default(), pair.get(1));
        if !part.is_undefined() {
            let part = plain(&part, deep + 1).map_err(|r| below(&r, &name))?;
            object.insert(name, part);
        }
    }
    Ok(Value::Object(object))
}

/// A whole number as such, since serde takes 5.0 for no whole number.
fn plain_number(number: f64) -> Result<Value, Refusal> {
    #[expect(clippy::float_cmp, reason = "a whole number equals its whole part exactly")]
    let whole = number.trunc() == number && number.abs() <= MAX_EXACT;
    if whole {
        #[expect(clippy::cast_possible_truncation, reason = "a whole number up to 2^53")]
        return Ok(Value::from(number as i64));
    }
    Number::from_f64(number).map(Value::Number).ok_or_else(|| unfit("a number must be finite"))
}

fn unfit(why: &str) -> Refusal {
    wrong(String::new(), why)
}

fn below(refused: &Refusal, parent: &str) -> Refusal {
    refused.clone().below(parent)
}

/// A plain object as one of our types.
pub(super) fn take<T: DeserializeOwned>(value: &JsValue) -> Result<T, JsValue> {
    plain(value, 0).and_then(read).map_err(fault)
}

/// The same, or the usual value where nothing was handed in.
pub(super) fn take_or_usual<T: DeserializeOwned + Default>(value: &JsValue) -> Result<T, JsValue> {
    if value.is_undefined() || value.is_null() { Ok(T::default()) } else { take(value) }
}

/// A plan as a value, held against its limits.
pub(super) fn take_plan(value: &JsValue) -> Result<Plan, JsValue> {
    let mut plan: Plan = take(value)?;
    plan.check().map_err(fault)?;
    Ok(plan)
}

/// A book as a plain object: what its file holds.
pub(super) fn give_book(book: &Book) -> Result<JsValue, JsValue> {
    JSON::parse(&book_text(book))
}

/// A script's object as a book, held against everything that a file is held against.
pub(super) fn take_book(value: &JsValue) -> Result<Book, JsValue> {
    // JSON would make nothing of what it does not know, such as a number that is not finite.
    plain(value, 0).map_err(fault)?;
    let text = JSON::stringify(value).ok().and_then(|text| text.as_string()).unwrap_or_default();
    book_from(&text).map_err(fault)
}
