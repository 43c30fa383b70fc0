//! Plain objects: values as a script sees them, and the one way in which ours become them and back.
//!
//! A derived decoder for each of our types would weigh some 200 kB of WebAssembly, most of it the same loop over
//! again. Here every object first becomes a [`Value`], by one decoder, and types list their fields in a table
//! (`shapes`). A refusal names the path of the part that does not fit, such as `rigs.2.depth_tenth_mm`.

mod fall;
pub mod session;
mod shapes;

use crate::refusal::Refusal;
use serde::ser::{Serialize, SerializeMap, SerializeSeq, Serializer};
use std::borrow::Cow;

/// A value as a script sees it.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// Nothing.
    Null,
    /// Yes or no.
    Flag(bool),
    /// A number.
    Number(f64),
    /// A text.
    Text(String),
    /// A list.
    List(Vec<Value>),
    /// An object with its parts in order.
    Object(Vec<(Cow<'static, str>, Value)>),
}

impl Serialize for Value {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::Null => serializer.serialize_unit(),
            Self::Flag(flag) => serializer.serialize_bool(*flag),
            Self::Number(number) => serializer.serialize_f64(*number),
            Self::Text(text) => serializer.serialize_str(text),
            Self::List(list) => {
                let mut seq = serializer.serialize_seq(Some(list.len()))?;
                for value in list {
                    seq.serialize_element(value)?;
                }
                seq.end()
            }
            Self::Object(parts) => {
                let mut map = serializer.serialize_map(Some(parts.len()))?;
                for (name, value) in parts {
                    map.serialize_entry(name, value)?;
                }
                map.end()
            }
        }
    }
}

/// A part of an object that is not what it should be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WrongShape {
    /// Where: names and places from the outside in, divided by dots; `""` for the whole.
    pub path: String,
    /// What was expected there.
    pub expected: &'static str,
}

impl From<WrongShape> for Refusal {
    fn from(WrongShape { path, expected }: WrongShape) -> Self {
        let what = if path.is_empty() { "The object" } else { &path };
        let sentence = format!("{what} should be {expected}. See dotdown.d.ts for the shape.");
        Self::new("wrong_shape", path, sentence)
    }
}

/// Says what was expected.
fn wrong<T>(expected: &'static str) -> Result<T, WrongShape> {
    Err(WrongShape { path: String::new(), expected })
}

impl WrongShape {
    /// The same, seen from one level further out.
    #[inline(never)]
    fn under(mut self, name: &str) -> Self {
        self.path = if self.path.is_empty() { name.to_owned() } else { [name, ".", &self.path].concat() };
        self
    }
}

/// A type that can be had from a plain value.
pub trait Take: Sized {
    /// Reads it.
    ///
    /// # Errors
    /// [`WrongShape`] with the path of the part that does not fit.
    fn take(value: &Value) -> Result<Self, WrongShape>;
}

/// A type that becomes a plain value.
pub trait Give {
    /// The plain value.
    fn give(&self) -> Value;
}

impl Value {
    /// The part of that name, if this is an object that has it.
    #[inline(never)]
    pub(crate) fn part(&self, name: &str) -> Option<&Self> {
        let Self::Object(parts) = self else { return None };
        parts.iter().find(|(n, _)| n == name).map(|(_, value)| value)
    }
}

/// An object in the making. Out of line on purpose: it is called for every field of every type.
struct Object(Vec<(Cow<'static, str>, Value)>);

impl Object {
    #[inline(never)]
    fn new(parts: usize) -> Self {
        Self(Vec::with_capacity(parts))
    }

    #[inline(never)]
    fn put(&mut self, name: &'static str, value: Value) {
        self.0.push((Cow::Borrowed(name), value));
    }

    fn done(self) -> Value {
        Value::Object(self.0)
    }
}

/// Refuses anything but an object whose parts are all among `names`.
#[inline(never)]
fn known(value: &Value, names: &[&str]) -> Result<(), WrongShape> {
    let Value::Object(parts) = value else { return wrong("an object") };
    match parts.iter().find(|(name, _)| !names.contains(&name.as_ref())) {
        Some((name, _)) => wrong("left out: there is no such field").map_err(|w: WrongShape| w.under(name)),
        None => Ok(()),
    }
}

/// The part called `name`; one that is not there is read as nothing, which only an optional part can be.
fn field<T: Take>(value: &Value, name: &'static str) -> Result<T, WrongShape> {
    T::take(value.part(name).unwrap_or(&Value::Null)).map_err(|w| w.under(name))
}

/// The part called `name`, or what it is when left out.
fn field_or<T: Take>(value: &Value, name: &'static str, otherwise: T) -> Result<T, WrongShape> {
    match value.part(name) {
        Some(part) => T::take(part).map_err(|w| w.under(name)),
        None => Ok(otherwise),
    }
}

impl Take for bool {
    fn take(value: &Value) -> Result<Self, WrongShape> {
        if let Value::Flag(flag) = value { Ok(*flag) } else { wrong("true or false") }
    }
}

impl Take for f64 {
    #[inline(never)]
    fn take(value: &Value) -> Result<Self, WrongShape> {
        if let Value::Number(number) = value { Ok(*number) } else { wrong("a number") }
    }
}

impl Take for String {
    #[inline(never)]
    fn take(value: &Value) -> Result<Self, WrongShape> {
        if let Value::Text(text) = value { Ok(text.clone()) } else { wrong("a text") }
    }
}

/// A whole number up to 2^53, where every whole number is still exact.
#[inline(never)]
fn whole(value: &Value) -> Result<i64, WrongShape> {
    match value {
        #[expect(clippy::cast_possible_truncation, reason = "a whole number below 2^53")]
        #[expect(clippy::float_cmp, reason = "a whole number equals its whole part exactly")]
        Value::Number(n) if n.trunc() == *n && n.abs() <= 9_007_199_254_740_992.0 => Ok(*n as i64),
        _ => wrong("a whole number"),
    }
}

macro_rules! whole_numbers {
    ($($kind:ty),*) => { $(
        impl Take for $kind {
            #[inline(never)]
            fn take(value: &Value) -> Result<Self, WrongShape> {
                Self::try_from(whole(value)?).or_else(|_| wrong("a whole number of a size that fits"))
            }
        }
        impl Give for $kind {
            fn give(&self) -> Value {
                #[allow(clippy::cast_lossless, reason = "one line for all kinds")]
                Value::Number(*self as f64)
            }
        }
    )* };
}
whole_numbers!(i32, u32, u16, usize, i64, u64);

impl<T: Take> Take for Option<T> {
    fn take(value: &Value) -> Result<Self, WrongShape> {
        if *value == Value::Null { Ok(None) } else { T::take(value).map(Some) }
    }
}

impl<T: Take> Take for Vec<T> {
    fn take(value: &Value) -> Result<Self, WrongShape> {
        let Value::List(list) = value else { return wrong("a list") };
        let mut all = Self::with_capacity(list.len());
        for (i, value) in list.iter().enumerate() {
            all.push(T::take(value).map_err(|w| w.under(&i.to_string()))?);
        }
        Ok(all)
    }
}

impl Give for bool {
    fn give(&self) -> Value {
        Value::Flag(*self)
    }
}

impl Give for f64 {
    fn give(&self) -> Value {
        // A script cannot tell infinity in JSON; what never comes is nothing there.
        if self.is_finite() { Value::Number(*self) } else { Value::Null }
    }
}

impl Give for String {
    #[inline(never)]
    fn give(&self) -> Value {
        Value::Text(self.clone())
    }
}

impl Give for &'static str {
    #[inline(never)]
    fn give(&self) -> Value {
        Value::Text((*self).to_owned())
    }
}

impl<T: Give> Give for Option<T> {
    fn give(&self) -> Value {
        self.as_ref().map_or(Value::Null, Give::give)
    }
}

impl<T: Give> Give for Vec<T> {
    fn give(&self) -> Value {
        self.as_slice().give()
    }
}

impl<T: Give, const N: usize> Give for [T; N] {
    fn give(&self) -> Value {
        self.as_slice().give()
    }
}

impl<T: Give> Give for [T] {
    fn give(&self) -> Value {
        Value::List(self.iter().map(Give::give).collect())
    }
}
