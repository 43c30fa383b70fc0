//! The forms of a link, and how each becomes the plan of today: the newest last. A form that was ever released is never
//! edited, only added to: its number, its dictionary, and the struct that its bytes were written from, with a `From` that
//! makes a plan of it. Nothing is released yet, so there is one, and it may still change.

use super::Plan;
use serde::de::DeserializeOwned;

/// One form of a link.
#[derive(Clone, Copy, Debug)]
pub struct Form {
    /// The number that its text begins with.
    pub version: u32,
    /// What it is packed against: the worked days of its version, which most plans resemble.
    pub dictionary: &'static [u8],
    /// Its bytes as a plan of today, not yet held against any limit; nothing if they are not one.
    pub plan: fn(&[u8]) -> Option<Plan>,
}

/// All forms that can be read; the last is the one that is written.
pub const FORMS: &[Form] =
    &[Form { version: 1, dictionary: include_bytes!("dictionary_1.bin"), plan: plan_of::<Plan> }];

/// Reads a form's struct and makes a plan of it; nothing where bytes are left over.
#[must_use]
pub fn plan_of<T: DeserializeOwned + Into<Plan>>(bytes: &[u8]) -> Option<Plan> {
    let (form, left) = postcard::take_from_bytes::<T>(bytes).ok()?;
    left.is_empty().then(|| form.into())
}
