//! The core inside the page's worker. Page and worker speak in postcard's bytes, so that neither side carries a decoder
//! of objects: an [`Order`] comes in with its number, and one or more [`Answer`]s go out with the same.

use crate::results::fall::{doubt_row, fall_row};
use crate::results::lessons::{Habits, Lesson, learn};
use crate::rig::fall::Rig;
use crate::rig::finder::{Finder, Progress, Request};
use crate::units::between;
use js_sys::Uint8Array;
use serde::{Deserialize, Serialize, de::DeserializeOwned};
use std::cell::RefCell;
use wasm_bindgen::JsCast;
use wasm_bindgen::prelude::*;
use web_sys::{DedicatedWorkerGlobalScope, MessageEvent};

/// How long a slice of a search may take, ms: a stop waits for so long at most.
const SLICE_MS: f64 = 40.0;
/// How long after another the progress of a search is told, ms.
const TELL_MS: f64 = 200.0;
/// Most patterns in a slice.
const MAX_PATTERNS: f64 = 64.0;

/// What the page asks for.
#[derive(Debug, Serialize, Deserialize)]
pub(super) enum Order {
    /// A rig's fall.
    Fall(Rig),
    /// The few figures of the rigs that hold a fall's doubts.
    Doubt(Vec<Rig>),
    /// A search for patterns of shot, in place of any other.
    Search(Request),
    /// The search ends, without an answer.
    StopSearch,
    /// What days teach.
    Learn(Vec<Lesson>),
}

/// What the worker answers.
#[derive(Debug, Serialize, Deserialize)]
pub(super) enum Answer {
    /// A fall as one row of numbers (see [`crate::results::fall::FallPath`]), or why there is none.
    Fell(Result<Vec<f32>, String>),
    /// What they are (see [`doubt_row`]).
    Doubted(Vec<f32>),
    /// How far a search has come, or why it could not go on; and whether it has ended.
    Searched { progress: Result<Progress, String>, ended: bool },
    /// What days taught, or why they cannot be learned from.
    Learned(Result<Box<Habits>, String>),
}

/// A value as bytes for the other side.
pub(super) fn pack<T: Serialize>(value: &T) -> Option<Uint8Array> {
    Some(Uint8Array::from(postcard::to_allocvec(value).ok()?.as_slice()))
}

/// A value out of the other side's bytes.
pub(super) fn unpack<T: DeserializeOwned>(bytes: &JsValue) -> Option<T> {
    postcard::from_bytes(&bytes.dyn_ref::<Uint8Array>()?.to_vec()).ok()
}

/// A search under way.
struct Search {
    number: u32,
    finder: Finder,
    /// Patterns of the next slice.
    patterns: f64,
    told_ms: f64,
}

thread_local! {
    static SEARCH: RefCell<Option<Search>> = const { RefCell::new(None) };
}

fn scope() -> Option<DedicatedWorkerGlobalScope> {
    js_sys::global().dyn_into().ok()
}

fn now_ms() -> f64 {
    scope().and_then(|scope| scope.performance()).map_or(0.0, |clock| clock.now())
}

fn post(number: u32, answer: Answer) {
    if let (Some(scope), Some(bytes)) = (scope(), pack(&(number, answer))) {
        let _ = scope.post_message(&bytes);
    }
}

/// Works off the page's orders from now on; called once by `worker.js`.
#[wasm_bindgen]
pub fn work() {
    console_error_panic_hook::set_once();
    let heard = Closure::<dyn Fn(MessageEvent)>::new(|event: MessageEvent| {
        if let Some((number, order)) = unpack(&event.data()) {
            obey(number, order);
        }
    });
    if let Some(scope) = scope() {
        scope.set_onmessage(Some(heard.into_js_value().unchecked_ref()));
    }
}

fn obey(number: u32, order: Order) {
    match order {
        Order::Fall(rig) => post(number, Answer::Fell(fall_row(&rig).map_err(|refused| refused.to_string()))),
        Order::Doubt(rigs) => post(number, Answer::Doubted(doubt_row(&rigs))),
        Order::Search(request) => match Finder::new(request) {
            Ok(finder) => {
                SEARCH.set(Some(Search { number, finder, patterns: 1.0, told_ms: 0.0 }));
                slice(number);
            }
            Err(refused) => {
                let progress = Err(refused.to_string());
                post(number, Answer::Searched { progress, ended: true });
            }
        },
        Order::StopSearch => SEARCH.set(None),
        Order::Learn(days) => post(number, Answer::Learned(learn(&days).map(Box::new))),
    }
}

/// One slice of a search, and the next one after the messages that wait.
fn slice(number: u32) {
    let goes_on = SEARCH.with_borrow_mut(|running| {
        let Some(search) = running.as_mut().filter(|search| search.number == number) else { return false };
        let begun_ms = now_ms();
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "1 to 64")]
        let step = search.finder.step(search.patterns.round() as usize);
        let now_ms = now_ms();
        let took_ms = (now_ms - begun_ms).max(1.0);
        search.patterns = between(search.patterns * SLICE_MS / took_ms, 1.0, MAX_PATTERNS);
        let progress = step.map_err(|refused| refused.to_string());
        let ended = progress.as_ref().map_or(true, |progress| progress.done);
        if ended || now_ms - search.told_ms > TELL_MS {
            search.told_ms = now_ms;
            post(number, Answer::Searched { progress, ended });
        }
        if ended {
            *running = None;
        }
        !ended
    });
    if let Some(scope) = scope().filter(|_| goes_on) {
        let next = Closure::once_into_js(move || slice(number));
        let _ = scope.set_timeout_with_callback(next.unchecked_ref());
    }
}
