//! The core inside the page's worker: bytes come in and bytes go out, in postcard's form, so that neither side carries a
//! decoder of objects. `www/worker.js` calls these by name. What is refused is thrown as an error with its sentence.

use crate::refusal::Refusal;
use crate::rig::fall::Rig;
use crate::rig::finder::{Finder, Request};
use js_sys::{Error, Uint8Array};
use serde::{Serialize, de::DeserializeOwned};
use wasm_bindgen::prelude::*;

/// A value as bytes for the other side.
pub(super) fn pack<T: Serialize>(value: &T) -> Result<Uint8Array, JsValue> {
    let bytes = postcard::to_allocvec(value).map_err(|e| Error::new(&e.to_string()))?;
    Ok(Uint8Array::from(bytes.as_slice()))
}

/// A value out of the other side's bytes.
pub(super) fn unpack<T: DeserializeOwned>(bytes: &[u8]) -> Result<T, JsValue> {
    Ok(postcard::from_bytes(bytes).map_err(|e| Error::new(&e.to_string()))?)
}

fn thrown(refused: impl Into<Refusal>) -> JsValue {
    Error::new(&refused.into().to_string()).into()
}

/// A rig's fall as one row of numbers for the page's drawing; see [`crate::results::fall::FallPath`].
///
/// # Errors
/// As the fall refuses.
#[wasm_bindgen(js_name = fallRow)]
pub fn fall_row(rig: &[u8]) -> Result<Vec<f32>, JsValue> {
    crate::results::fall::fall_row(&unpack::<Rig>(rig)?).map_err(thrown)
}

/// A search for patterns of shot, in slices.
#[wasm_bindgen]
pub struct Search {
    finder: Finder,
    done: bool,
}

#[wasm_bindgen]
impl Search {
    /// Gets ready for a [`Request`].
    ///
    /// # Errors
    /// As the finder refuses.
    #[wasm_bindgen(constructor)]
    pub fn new(request: &[u8]) -> Result<Search, JsValue> {
        let finder = Finder::new(unpack::<Request>(request)?).map_err(thrown)?;
        Ok(Self { finder, done: false })
    }

    /// Drops about so many patterns; gives the progress so far as bytes.
    ///
    /// # Errors
    /// As the finder refuses.
    pub fn step(&mut self, patterns: u32) -> Result<Uint8Array, JsValue> {
        let progress = self.finder.step(patterns as usize).map_err(thrown)?;
        self.done = progress.done;
        pack(&progress)
    }

    /// Whether the last step ended the search.
    #[wasm_bindgen(getter)]
    #[must_use]
    pub fn done(&self) -> bool {
        self.done
    }
}
