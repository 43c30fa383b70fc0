//! What a script calls, the session apart. Shapes and units of the objects stand at their types, out of which `dotdown.d.ts`
//! is written. Every refusal is an `Error` with a `code`, a `field` and a sentence as its `message`.

#![expect(clippy::needless_pass_by_value, reason = "a script's value is handed over, not lent")]

use super::fished::{FishedDay, habits_of_days};
use super::js_value::{
    fault, give, give_book, take, take_book, take_days, take_number, take_or_usual, take_plan, take_text,
};
use crate::bait::sink::{self, SinkRequest};
use crate::bait::{calendar_file, cold, floaters, timetable, tub_test, wash};
use crate::book::{MAX_BOOK_BYTES, book_from, book_text};
use crate::plan::{link, presets};
use crate::refusal::within;
use crate::results;
use crate::rig::balance::{self, BalanceRequest};
use crate::rig::fall::{self, Rig};
use crate::rig::finder::{self, Request};
use wasm_bindgen::prelude::*;

/// The most patterns of one slice of a search.
const MAX_PATTERNS: f64 = 1e6;

/// The version of this build.
#[wasm_bindgen]
#[must_use]
pub fn version() -> String {
    super::VERSION.to_owned()
}

/// The worked days: `{ id, title, plan }` each.
///
/// # Errors
/// Never in practice: the presets are plain data.
#[wasm_bindgen(unchecked_return_type = "Preset[]")]
pub fn presets() -> Result<JsValue, JsValue> {
    give(&presets::presets())
}

/// Everything that the screens show of a plan.
///
/// # Errors
/// `wrong_shape` when the object is not a plan; `out_of_range` and its like when a value is outside its limits.
#[wasm_bindgen(unchecked_return_type = "Day")]
pub fn day(
    #[wasm_bindgen(unchecked_param_type = "Plan")] plan: JsValue,
    #[wasm_bindgen(unchecked_optional_param_type = "Units")] units: JsValue,
) -> Result<JsValue, JsValue> {
    let plan = take_plan(&plan)?;
    let units = take_or_usual(&units)?;
    give(&results::work_out(&plan, units))
}

/// How a piece of bait sinks.
///
/// # Errors
/// As the bait's room refuses: a number outside its range, a label over 100 g.
#[wasm_bindgen(unchecked_return_type = "Sink")]
pub fn sink(#[wasm_bindgen(unchecked_param_type = "SinkRequest")] bait: JsValue) -> Result<JsValue, JsValue> {
    let request: SinkRequest = take(&bait)?;
    give(&sink::sink(&request).map_err(fault)?)
}

/// The sets of shot that dot a float best.
///
/// # Errors
/// As the balancer refuses.
#[wasm_bindgen(unchecked_return_type = "Balance")]
pub fn balance(
    #[wasm_bindgen(unchecked_param_type = "BalanceRequest")] request: JsValue,
) -> Result<JsValue, JsValue> {
    let request: BalanceRequest = take(&request)?;
    give(&balance::balance(&request).map_err(fault)?)
}

/// The plan as link text, to stand behind a `#`.
///
/// # Errors
/// `wrong_shape` or a value outside its limits.
#[wasm_bindgen(js_name = linkFrom)]
pub fn link_from(#[wasm_bindgen(unchecked_param_type = "Plan")] plan: JsValue) -> Result<String, JsValue> {
    Ok(link::write(&take_plan(&plan)?))
}

/// The plan that a link holds.
///
/// # Errors
/// A code and a sentence for each way in which a text can fail to be a plan.
#[wasm_bindgen(js_name = planFrom, unchecked_return_type = "Plan")]
pub fn plan_from(#[wasm_bindgen(unchecked_param_type = "string")] link: JsValue) -> Result<JsValue, JsValue> {
    give(&link::read(&take_text(&link, "link", link::MAX_TEXT)?).map_err(fault)?)
}

/// What timed drops in a bucket tell of the bait, carried to other water, sizes and depths.
///
/// # Errors
/// A number outside its range, more than 50 drops, a landing before its drop, more floaters than pieces.
#[wasm_bindgen(js_name = tubTest, unchecked_return_type = "TubResult")]
pub fn tub(#[wasm_bindgen(unchecked_param_type = "TubTest")] test: JsValue) -> Result<JsValue, JsValue> {
    give(&tub_test::tub_test(&take(&test)?).map_err(fault)?)
}

/// Why pieces float, and the cures.
///
/// # Errors
/// A number outside its range, more floaters than pieces.
#[wasm_bindgen(unchecked_return_type = "Floaters")]
pub fn floaters(
    #[wasm_bindgen(unchecked_param_type = "FloatRequest")] request: JsValue,
) -> Result<JsValue, JsValue> {
    give(&floaters::floaters(&take(&request)?).map_err(fault)?)
}

/// How long a bag takes to freeze or to thaw.
///
/// # Errors
/// A number outside its range; a temperature that is never reached.
#[wasm_bindgen(unchecked_return_type = "Chill")]
pub fn chill(
    #[wasm_bindgen(unchecked_param_type = "ChillRequest")] request: JsValue,
) -> Result<JsValue, JsValue> {
    give(&cold::freezing_time(&take(&request)?).map_err(fault)?)
}

/// Rinses to clear water, and what the water does to hands.
///
/// # Errors
/// A number outside its range; more than 30 rinses.
#[wasm_bindgen(unchecked_return_type = "Wash")]
pub fn wash(
    #[wasm_bindgen(unchecked_param_type = "WashRequest")] request: JsValue,
) -> Result<JsValue, JsValue> {
    give(&wash::wash(&take(&request)?).map_err(fault)?)
}

/// Steps that wait for each other, worked back from the all-in.
///
/// # Errors
/// A number outside its range; an id twice, unknown or in a ring; a night that is none.
#[wasm_bindgen(unchecked_return_type = "Timetable")]
pub fn timetable(
    #[wasm_bindgen(unchecked_param_type = "TimetableRequest")] request: JsValue,
) -> Result<JsValue, JsValue> {
    give(&timetable::timetable(&take(&request)?).map_err(fault)?)
}

/// Entries as the text of an iCalendar file.
///
/// # Errors
/// No entry or more than 200, a day that does not exist, an id that is not its own.
#[wasm_bindgen]
pub fn calendar(
    #[wasm_bindgen(unchecked_param_type = "string")] name: JsValue,
    #[wasm_bindgen(unchecked_param_type = "CivilMinute")] stamp: JsValue,
    #[wasm_bindgen(unchecked_param_type = "CalendarEvent[]")] events: JsValue,
) -> Result<String, JsValue> {
    let events: Vec<calendar_file::CalendarEvent> = take(&events)?;
    let name = take_text(&name, "name", calendar_file::MAX_NAME)?;
    calendar_file::calendar(&name, take(&stamp)?, &events).map_err(fault)
}

/// What a water taught on its fished days, in any order: to be handed to a session there. Its `standing` says whether a session
/// uses it, and otherwise why not.
///
/// # Errors
/// `wrong_shape`; `too_many` days; as a plan, a log or a session refuses, at the day's place.
#[wasm_bindgen(unchecked_return_type = "Habits")]
pub fn habits(
    #[wasm_bindgen(unchecked_param_type = "FishedDay[]")] days: JsValue,
) -> Result<JsValue, JsValue> {
    let days: Vec<FishedDay> = take_days(&days)?;
    give(&habits_of_days(days).map_err(fault)?)
}

/// The book that a backup's text holds.
///
/// # Errors
/// `not_a_book`, `newer_version`, `too_large`; `unreadable` with the path of the place that cannot be read.
#[wasm_bindgen(js_name = bookFrom, unchecked_return_type = "Book")]
pub fn book_from_text(
    #[wasm_bindgen(unchecked_param_type = "string")] text: JsValue,
) -> Result<JsValue, JsValue> {
    give_book(&book_from(&take_text(&text, "text", MAX_BOOK_BYTES)?).map_err(fault)?)
}

/// A book as a backup's text, which the page opens too. Checksums and links are written anew where they are left out.
///
/// # Errors
/// `wrong_shape` for what is no plain data; else as `bookFrom`.
#[wasm_bindgen(js_name = bookText)]
pub fn text_of_book(#[wasm_bindgen(unchecked_param_type = "Book")] book: JsValue) -> Result<String, JsValue> {
    Ok(book_text(&take_book(&book)?))
}

/// Two books as one, whatever their order. A part that was written in both since they parted keeps both values.
///
/// # Errors
/// As `bookText`; `too_many` where both together hold more than a book can.
#[wasm_bindgen(js_name = mergeBooks, unchecked_return_type = "Book")]
pub fn merge_books(
    #[wasm_bindgen(unchecked_param_type = "Book")] a: JsValue,
    #[wasm_bindgen(unchecked_param_type = "Book")] b: JsValue,
) -> Result<JsValue, JsValue> {
    let mut book = take_book(&a)?;
    book.merge(&take_book(&b)?).map_err(fault)?;
    give_book(&book)
}

/// The fall of a rig, from the lay to rest.
///
/// # Errors
/// `wrong_shape` when a part is missing, unknown or of another kind; else as the fall refuses: a shot off the line, a bait that
/// floats, a step that does not converge.
#[wasm_bindgen(unchecked_return_type = "Fall")]
pub fn fall(
    #[wasm_bindgen(unchecked_param_type = "FallRig")] rig: JsValue,
    #[wasm_bindgen(unchecked_optional_param_type = "FallSettings")] settings: JsValue,
) -> Result<JsValue, JsValue> {
    let rig: Rig = take(&rig)?;
    give(&fall::fall(&rig, &take_or_usual(&settings)?).map_err(fault)?)
}

/// A search for the pattern of shot that falls as wanted. It goes on in slices, so that it can be watched and stopped.
#[wasm_bindgen]
pub struct Finder(finder::Finder);

#[wasm_bindgen]
impl Finder {
    /// Checks the request and gets ready.
    ///
    /// # Errors
    /// `wrong_shape`, or as the search refuses.
    #[wasm_bindgen(constructor)]
    pub fn new(
        #[wasm_bindgen(unchecked_param_type = "FindRequest")] request: JsValue,
    ) -> Result<Finder, JsValue> {
        let request: Request = take(&request)?;
        Ok(Self(finder::Finder::new(request).map_err(fault)?))
    }

    /// Drops about so many patterns, fewer where they take long, and says how far the search has come. To stop, call it no
    /// more (and `free` it).
    ///
    /// # Errors
    /// When the user's own pattern cannot be followed or does not come down.
    #[wasm_bindgen(unchecked_return_type = "FindProgress")]
    pub fn step(
        &mut self,
        #[wasm_bindgen(unchecked_param_type = "number")] patterns: JsValue,
    ) -> Result<JsValue, JsValue> {
        let patterns = take_number(&patterns, "patterns")?;
        let patterns =
            within("patterns", "number of patterns", patterns, (0.0, MAX_PATTERNS), "").map_err(fault)?;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 1,000,000")]
        give(&self.0.step(patterns as usize).map_err(fault)?)
    }
}
