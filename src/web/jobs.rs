//! Long work, kept off the page's thread: one worker, which is opened with the first job and ended with the first fault.

use super::optional::{call, get};
use super::worker::{Answer, Order, pack, unpack};
use crate::page::event::Event;
use crate::results::fall::FallPath;
use crate::results::lessons::Lesson;
use crate::rig::fall::Rig;
use crate::rig::finder::Request;
use std::cell::RefCell;
use std::rc::Rc;
use wasm_bindgen::JsCast;
use wasm_bindgen::prelude::*;
use web_sys::{MessageEvent, Worker};

/// What is said where the browser, or a viewer of files, runs no worker for the page.
const NONE: &str = "The background work could not run here. Load the page again; if that does not help, open it in a browser that is up to date.";

/// The worker, and the number of the order that each kind of work waits for.
#[derive(Default)]
struct State {
    worker: Option<Worker>,
    last: u32,
    fall: Option<u32>,
    doubt: Option<u32>,
    search: Option<u32>,
    learn: Option<u32>,
}

/// The page's long work: a fall and a search at a time.
pub(super) struct Jobs {
    /// What `start.js` handed over: `worker` opens one, and `module` is the compiled core. The worker fetches none: in
    /// Firefox a worker's own fetch passes the service worker by, and fails with no signal.
    handed: JsValue,
    state: Rc<RefCell<State>>,
    send: fn(Event),
}

impl Jobs {
    pub(super) fn new(handed: JsValue, send: fn(Event)) -> Self {
        Self { handed, state: Rc::default(), send }
    }

    /// Asks for a fall: answered by [`Event::Fell`].
    pub(super) fn fall(&mut self, rig: &Rig) {
        self.order(Order::Fall(rig.clone()));
    }

    /// Asks what doubtful inputs do to a fall: answered by [`Event::Doubted`].
    pub(super) fn doubt(&mut self, rigs: Vec<Rig>) {
        self.order(Order::Doubt(rigs));
    }

    /// Begins a search: answered by [`Event::Searched`], again and again.
    pub(super) fn search(&mut self, request: &Request) {
        self.order(Order::Search(request.clone()));
    }

    /// Ends the search; what it was about to tell no longer counts.
    pub(super) fn stop_search(&mut self) {
        if self.state.borrow_mut().search.take().is_some() {
            self.order(Order::StopSearch);
        }
    }

    /// Asks what days teach: answered by [`Event::Learned`].
    pub(super) fn learn(&mut self, days: Vec<Lesson>) {
        self.order(Order::Learn(days));
    }

    fn order(&mut self, order: Order) {
        let posted = {
            let mut state = self.state.borrow_mut();
            state.last = state.last.wrapping_add(1);
            let number = state.last;
            match order {
                Order::Fall(_) => state.fall = Some(number),
                Order::Doubt(_) => state.doubt = Some(number),
                Order::Search(_) => state.search = Some(number),
                Order::Learn(_) => state.learn = Some(number),
                Order::StopSearch => {}
            }
            if state.worker.is_none() {
                state.worker = self.open().ok();
            }
            let bytes = pack(&(number, order));
            state
                .worker
                .as_ref()
                .zip(bytes)
                .is_some_and(|(worker, bytes)| worker.post_message(&bytes).is_ok())
        };
        if !posted {
            fail(&self.state, self.send);
        }
    }

    fn open(&self) -> Result<Worker, JsValue> {
        let worker: Worker = call(&self.handed, "worker", &[])?.dyn_into()?;
        let (state, send) = (Rc::clone(&self.state), self.send);
        let heard = Closure::<dyn Fn(MessageEvent)>::new(move |event: MessageEvent| {
            if let Some((number, answer)) = unpack(&event.data()) {
                hear(&state, number, answer, send);
            }
        });
        worker.set_onmessage(Some(heard.into_js_value().unchecked_ref()));
        let state = Rc::clone(&self.state);
        let failed = Closure::<dyn Fn(web_sys::Event)>::new(move |event: web_sys::Event| {
            event.prevent_default();
            fail(&state, send);
        });
        worker.set_onerror(Some(failed.into_js_value().unchecked_ref()));
        worker.post_message(&get(&self.handed, "module").unwrap_or_default())?;
        Ok(worker)
    }
}

fn hear(state: &RefCell<State>, number: u32, answer: Answer, send: fn(Event)) {
    let mut state = state.borrow_mut();
    let event = match answer {
        Answer::Fell(row) if state.fall == Some(number) => {
            state.fall = None;
            let drawn =
                |row: Vec<f32>| FallPath::from_row(&row).ok_or("The fall could not be drawn.".to_owned());
            Event::Fell(row.and_then(drawn))
        }
        Answer::Doubted(row) if state.doubt == Some(number) => {
            state.doubt = None;
            Event::Doubted(Some(row))
        }
        Answer::Searched { progress, ended } if state.search == Some(number) => {
            if ended {
                state.search = None;
            }
            Event::Searched { progress, ended }
        }
        Answer::Learned(learned) if state.learn == Some(number) => {
            state.learn = None;
            Event::Learned(learned)
        }
        _ => return,
    };
    drop(state);
    send(event);
}

/// Ends the worker, and with it every job that has not answered.
fn fail(state: &RefCell<State>, send: fn(Event)) {
    let (worker, fall, doubt, search, learn) = {
        let mut state = state.borrow_mut();
        let State { worker, fall, doubt, search, learn, .. } = &mut *state;
        (worker.take(), fall.take(), doubt.take(), search.take(), learn.take())
    };
    if let Some(worker) = worker {
        worker.terminate();
    }
    if fall.is_some() {
        send(Event::Fell(Err(NONE.to_owned())));
    }
    if doubt.is_some() {
        send(Event::Doubted(None));
    }
    if learn.is_some() {
        send(Event::Learned(Err(NONE.to_owned())));
    }
    if search.is_some() {
        send(Event::Searched { progress: Err(NONE.to_owned()), ended: true });
    }
}
