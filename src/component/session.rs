//! The live session for any script: made from a plan, fed with events, asked for its state and its advice. It reads
//! no clock: every time is handed in, in milliseconds since 1970.

#![expect(clippy::needless_pass_by_value, reason = "a script's value is handed over, not lent")]

use super::event::SessionEvent;
use super::js_value::{fault, give, take, take_habits, take_number, take_or_usual, take_plan, take_text};
use crate::results::session_setup::setup_of;
use crate::session::export::CsvDay;
use crate::session::log::{MAX_LOG_BYTES, read_back};
use crate::session::{self, SessionSetup};
use std::cell::RefCell;
use wasm_bindgen::prelude::*;

/// A live session of one plan. It is borrowed only while no code of the script's can run: a getter of an event may call it.
#[wasm_bindgen]
pub struct Session {
    inner: RefCell<session::Session>,
    names: Vec<String>,
}

#[wasm_bindgen]
impl Session {
    /// A session that starts with its first event. It uses what the water taught, as `habits` gives it, if that is handed in.
    ///
    /// # Errors
    /// As `day` refuses a plan; `setup` when a number is outside what a session takes; for habits `wrong_shape`,
    /// `newer_version` or a number outside its range.
    #[wasm_bindgen(constructor)]
    pub fn new(
        #[wasm_bindgen(unchecked_param_type = "Plan")] plan: JsValue,
        #[wasm_bindgen(unchecked_optional_param_type = "Units")] units: JsValue,
        #[wasm_bindgen(unchecked_optional_param_type = "Habits | null")] habits: JsValue,
    ) -> Result<Session, JsValue> {
        let setup = setup_of(&take_plan(&plan)?, take_or_usual(&units)?);
        let habits = take_habits(&habits)?;
        let inner = session::Session::new(SessionSetup { habits, ..setup }).map_err(fault)?;
        let names = inner.setup().rigs.iter().map(|rig| rig.name.clone()).collect();
        Ok(Self { names, inner: RefCell::new(inner) })
    }

    /// Goes on from the text of a log, as `log` gives it, in place of what was recorded so far. Lines that cannot be
    /// read are left out; the sentences that tell so are returned.
    ///
    /// # Errors
    /// As the constructor; `too_large` for a text that no session writes.
    #[wasm_bindgen]
    pub fn resume(
        &self,
        #[wasm_bindgen(unchecked_param_type = "string")] log: JsValue,
    ) -> Result<Vec<String>, JsValue> {
        let log = take_text(&log, "log", MAX_LOG_BYTES)?;
        let read = read_back(&log, self.names.len()).map_err(fault)?;
        self.inner.borrow_mut().replay(&read.log).map_err(fault)?;
        Ok(read.repairs)
    }

    /// Takes one event: `{ at_ms, kind, rig?, value?, note? }`.
    ///
    /// # Errors
    /// `wrong_shape`, `time`, `unknown_rig`, `value`, `too_large` or `nothing_to_undo`; nothing is changed then.
    #[wasm_bindgen(unchecked_return_type = "Recorded")]
    pub fn record(
        &self,
        #[wasm_bindgen(unchecked_param_type = "SessionEvent")] happened: JsValue,
    ) -> Result<JsValue, JsValue> {
        let happened = take::<SessionEvent>(&happened)?.of(&self.names).map_err(fault)?;
        let recorded = self.inner.borrow_mut().record(happened).map_err(fault)?;
        give(&recorded)
    }

    /// Everything the running screen shows at a moment.
    ///
    /// # Errors
    /// `time` for a time that is none.
    #[wasm_bindgen(unchecked_return_type = "SessionState")]
    pub fn state(
        &self,
        #[wasm_bindgen(unchecked_param_type = "number")] at_ms: JsValue,
    ) -> Result<JsValue, JsValue> {
        let at_ms = take_number(&at_ms, "at_ms")?;
        let state = self.inner.borrow().state(at_ms).map_err(fault)?;
        give(&state)
    }

    /// What to do next at a moment.
    ///
    /// # Errors
    /// `time` for a time that is none.
    #[wasm_bindgen(unchecked_return_type = "Advice")]
    pub fn advice(
        &self,
        #[wasm_bindgen(unchecked_param_type = "number")] at_ms: JsValue,
    ) -> Result<JsValue, JsValue> {
        let at_ms = take_number(&at_ms, "at_ms")?;
        let advice = self.inner.borrow_mut().advice(at_ms).map_err(fault)?;
        give(&advice)
    }

    /// The day in numbers and words.
    ///
    /// # Errors
    /// `time` for a time that is none.
    #[wasm_bindgen(unchecked_return_type = "Summary")]
    pub fn summary(
        &self,
        #[wasm_bindgen(unchecked_param_type = "number")] at_ms: JsValue,
    ) -> Result<JsValue, JsValue> {
        let at_ms = take_number(&at_ms, "at_ms")?;
        let summary = self.inner.borrow().summary(at_ms).map_err(fault)?;
        give(&summary)
    }

    /// The whole log as text, one line a record, each with its number and checksum.
    #[must_use]
    pub fn log(&self) -> String {
        self.inner.borrow().log().to_text()
    }

    /// The records that stand as CSV for a spreadsheet: one line an event, the times in UTC.
    #[must_use]
    pub fn csv(&self) -> String {
        self.inner.borrow().csv(&CsvDay::default())
    }
}
