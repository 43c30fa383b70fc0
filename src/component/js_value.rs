//! A script's values as plain objects and back, and refusals as errors.
//!
//! What a script hands in may be anything: a getter that throws or calls back into this module, a proxy, a list of four
//! thousand million holes. So each kind is asked for before it is used, each property is read once, and whatever runs the
//! script's own code is called through an import that catches: an exception that passed through the core's frames would
//! leave them on its stack for good. The parts are counted before they are taken.

use super::fished::at_most_days;
use super::object::{read, wrong};
use crate::book::{Book, book_from, book_text};
use crate::plan::Plan;
use crate::refusal::Refusal;
use crate::session::habits::{Habits, VERSION};
use js_sys::{Array, Date, Error, JSON, JsString, Reflect};
use serde::{Serialize, de::DeserializeOwned};
use serde_json::{Map, Number, Value};
use serde_wasm_bindgen::Serializer;
use std::cell::Cell;
use wasm_bindgen::prelude::*;

/// How deep an object may be nested; a plan is four deep.
const MAX_DEPTH: u32 = 12;
/// The most parts of one argument, a text counting as one more for each so many characters of it: a plan has some
/// hundred, what a water taught some thousand.
const MAX_PARTS: u32 = 100_000;
const CHARS_A_PART: u32 = 64;
/// The most where days and their logs are handed in: 3,000 days of 400 parts and a thousand taps.
const MAX_PARTS_OF_DAYS: u32 = 4_000_000;
/// The most calls within each other, made by getters of what is being read.
const MAX_WITHIN: u32 = 8;
/// The largest whole number up to which every whole number is exact: 2^53.
const MAX_EXACT: f64 = 9_007_199_254_740_992.0;

#[wasm_bindgen]
extern "C" {
    /// Whether it is a list; a revoked proxy throws.
    #[wasm_bindgen(catch, js_namespace = Array, js_name = isArray)]
    fn is_list(value: &JsValue) -> Result<bool, JsValue>;
    /// Name and value of each part, read once.
    #[wasm_bindgen(catch, js_namespace = Object)]
    fn entries(of: &JsValue) -> Result<Array, JsValue>;
}

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

thread_local! {
    /// How many arguments are being read now: more than one when a getter calls.
    static WITHIN: Cell<u32> = const { Cell::new(0) };
}

/// A script's value as plain data of at most so many parts.
fn plain(value: &JsValue, most: u32) -> Result<Value, Refusal> {
    let within = WITHIN.get();
    if within == MAX_WITHIN {
        let why =
            format!("its parts call this module while it is being read, more than {MAX_WITHIN} calls deep");
        return Err(unfit(&why));
    }
    WITHIN.set(within + 1);
    let came = Reader { most, left: most }.value(value, 0);
    WITHIN.set(within);
    came
}

/// Reads one argument.
struct Reader {
    most: u32,
    /// So many more parts are taken.
    left: u32,
}

impl Reader {
    fn count(&mut self, parts: u32) -> Result<(), Refusal> {
        self.left = self.left.checked_sub(parts).ok_or_else(|| {
            let sentence = format!("The object has too many parts: at most {} are read.", self.most);
            Refusal::new("too_large", "", sentence)
        })?;
        Ok(())
    }

    /// A part that is undefined counts as left out.
    fn value(&mut self, value: &JsValue, deep: u32) -> Result<Value, Refusal> {
        self.count(1)?;
        if let Some(number) = value.as_f64() {
            return plain_number(number);
        }
        if let Some(text) = value.dyn_ref::<JsString>() {
            self.count(text.length() / CHARS_A_PART)?;
            return Ok(Value::String(text.into()));
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
            return Err(unfit(
                "plain data is wanted: numbers, texts, true or false, null, lists and objects",
            ));
        }
        if value.is_instance_of::<Date>() {
            return Err(unfit(
                "a Date has no place here: write a day as 2026-07-11, and a moment as its getTime()",
            ));
        }
        if deep == MAX_DEPTH {
            return Err(unfit(&format!("it is nested more than {MAX_DEPTH} deep")));
        }
        if is_list(value).map_err(threw)? { self.list(value, deep) } else { self.object(value, deep) }
    }

    /// A list by its places: what it says of its own iteration is not asked.
    fn list(&mut self, list: &JsValue, deep: u32) -> Result<Value, Refusal> {
        let length = Reflect::get(list, &"length".into()).map_err(threw)?.as_f64().unwrap_or(f64::INFINITY);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a cast takes the nearest"
        )]
        let length = length as u32;
        if deep == 0 && self.most == MAX_PARTS_OF_DAYS {
            at_most_days(length as usize)?;
        }
        self.count(length)?;
        self.left += length;
        let mut all = Vec::new();
        for at in 0..length {
            let part = Reflect::get_u32(list, at).map_err(threw).and_then(|part| self.value(&part, deep + 1));
            all.push(part.map_err(|refused| refused.below(&at.to_string()))?);
        }
        Ok(Value::Array(all))
    }

    fn object(&mut self, object: &JsValue, deep: u32) -> Result<Value, Refusal> {
        let parts = entries(object).map_err(threw)?;
        self.count(parts.length())?;
        self.left += parts.length();
        let mut all = Map::new();
        for pair in parts.iter() {
            let pair: Array = pair.unchecked_into();
            let (name, part) = (pair.get(0).as_string().unwrap_or_default(), pair.get(1));
            if !part.is_undefined() {
                let part = self.value(&part, deep + 1).map_err(|refused| refused.below(&name))?;
                all.insert(name, part);
            }
        }
        Ok(Value::Object(all))
    }
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

/// The script's own code threw while its object was read.
fn threw(_: JsValue) -> Refusal {
    unfit("reading it threw an error")
}

/// A plain object as one of our types.
pub(super) fn take<T: DeserializeOwned>(value: &JsValue) -> Result<T, JsValue> {
    plain(value, MAX_PARTS).and_then(read).map_err(fault)
}

/// Days with their logs.
pub(super) fn take_days<T: DeserializeOwned>(value: &JsValue) -> Result<Vec<T>, JsValue> {
    plain(value, MAX_PARTS_OF_DAYS).and_then(read).map_err(fault)
}

/// A text. Of one that is longer than its reader takes only so much comes that it is refused there.
pub(super) fn take_text(value: &JsValue, name: &str, most: usize) -> Result<String, JsValue> {
    let text =
        value.dyn_ref::<JsString>().ok_or_else(|| fault(wrong(name.to_owned(), "a text is wanted")))?;
    Ok(text.slice(0, u32::try_from(most).unwrap_or(u32::MAX).saturating_add(1)).into())
}

/// A number.
pub(super) fn take_number(value: &JsValue, name: &str) -> Result<f64, JsValue> {
    value.as_f64().ok_or_else(|| fault(wrong(name.to_owned(), "a number is wanted")))
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
    // A copy of what was read: JSON would read the script's object again, and make nothing of what it does not know.
    let copy = give(&plain(value, MAX_PARTS_OF_DAYS).map_err(fault)?)?;
    let text = JSON::stringify(&copy).ok().and_then(|text| text.as_string()).unwrap_or_default();
    book_from(&text).map_err(fault)
}

/// Habits as they are handed in, if they are.
pub(super) fn take_habits(value: &JsValue) -> Result<Option<Habits>, JsValue> {
    if value.is_undefined() || value.is_null() {
        return Ok(None);
    }
    let habits = plain(value, MAX_PARTS).map_err(fault)?;
    // Asked first: habits of a newer version have fields that this one does not know.
    if habits.get("version").and_then(Value::as_f64).is_some_and(|version| version > f64::from(VERSION)) {
        return Err(fault(Habits::newer()));
    }
    read(habits).map(Some).map_err(fault)
}
