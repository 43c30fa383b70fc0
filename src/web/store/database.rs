//! The database: jobs that each take one transaction, with an end to every wait.

use super::local::{erased, mark_here};
use super::{PAGE, answer, fills, send_read};
use crate::page::effect::Write;
use crate::page::event::Event;
use crate::page::storage::{LOGS, joined};
use crate::web::optional::{ask, call};
use js_sys::{Array, Object, Reflect};
use std::cell::{Cell, RefCell};
use std::rc::Rc;
use wasm_bindgen::JsCast;
use wasm_bindgen::prelude::*;
use web_sys::{IdbDatabase, IdbKeyRange, IdbObjectStore, IdbRequest, IdbTransaction};

/// The object store.
const RECORDS: &str = "records";
/// A change that has not ended after two of these has failed, ms. Two, so that a phone that wakes from sleep, and whose
/// timers are all due at once, gives the store time to answer.
const PATIENCE_MS: i32 = 5_000;

#[wasm_bindgen]
extern "C" {
    /// The database as it takes a durability, which `web-sys` counts among what is unstable.
    #[wasm_bindgen(extends = Object)]
    type Durable;
    #[wasm_bindgen(method, catch, js_name = transaction)]
    fn begin(this: &Durable, store: &str, mode: &str, options: &Object) -> Result<IdbTransaction, JsValue>;
}

/// Something that the database is to do.
pub(super) enum Job {
    Write(u32, Vec<Write>),
    /// The records whose keys begin so.
    Read(String),
    Erase,
}

/// What is read: what the keys begin with, and for each range the requests for keys and values.
type Reading = (String, Vec<[IdbRequest; 2]>);

/// A job that has no answer yet.
struct Waiting {
    number: u32,
    job: Job,
    /// Its transaction; none while the database is being opened.
    transaction: Option<IdbTransaction>,
    /// Whether the patience ran out once.
    old: bool,
}

#[derive(Default)]
struct State {
    base: Option<IdbDatabase>,
    opening: bool,
    /// Whether the page is in the store, as far as is known.
    filled: bool,
    /// Whether it could not be read yet: nothing is written until then, for it may hold a plan.
    unread: bool,
    waiting: Vec<Waiting>,
    last: u32,
}

pub(super) struct Database {
    send: fn(Event),
    /// What the start script handed over: it opens the database anew.
    opened: JsValue,
    /// Never borrowed while an event is sent: it may bring the next job at once.
    state: RefCell<State>,
    /// Whether a look at what waits is due.
    watched: Cell<bool>,
}

impl Database {
    /// The database that the start script has opened, or is still to open; `unread` where it has not answered yet.
    pub(super) fn new(
        opened: &JsValue,
        base: Option<IdbDatabase>,
        filled: bool,
        unread: bool,
        send: fn(Event),
    ) -> Rc<Self> {
        let state = RefCell::new(State { base, filled, unread, ..State::default() });
        Rc::new(Self { send, opened: opened.clone(), state, watched: Cell::new(false) })
    }

    /// Does a job, now or once the database is open again.
    pub(super) fn take_up(self: &Rc<Self>, job: Job) {
        if let Job::Write(id, _) = job
            && self.state.borrow().unread
        {
            if !self.state.borrow().waiting.iter().any(|entry| matches!(entry.job, Job::Read(_))) {
                self.take_up(Job::Read(String::new()));
            }
            (self.send)(Event::NotStored(id));
            return;
        }
        let number = {
            let mut state = self.state.borrow_mut();
            state.last = state.last.wrapping_add(1);
            let number = state.last;
            state.waiting.push(Waiting { number, job, transaction: None, old: false });
            number
        };
        self.watch();
        if !self.begin(number) {
            self.open();
        }
    }

    /// Begins a job's transaction, and issues all its requests at once: a wait between them would end it. False where the
    /// database is closed; the browser closes it when its data is cleared, the start script when another tab must.
    fn begin(self: &Rc<Self>, number: u32) -> bool {
        let mut state = self.state.borrow_mut();
        let State { base, filled, waiting, .. } = &mut *state;
        let Some(entry) = waiting.iter_mut().find(|entry| entry.number == number) else { return true };
        let Some(durable) = base.as_ref().map(JsCast::unchecked_ref::<Durable>) else { return false };
        let options = Object::new();
        let _ = Reflect::set(&options, &"durability".into(), &"strict".into());
        let mode = if matches!(entry.job, Job::Read(_)) { "readonly" } else { "readwrite" };
        let Ok(transaction) = durable.begin(RECORDS, mode, &options) else {
            *base = None;
            return false;
        };
        if self.issue(&transaction, entry, *filled).is_err() {
            let _ = transaction.abort(); // or half of it would be kept
        }
        entry.transaction = Some(transaction);
        true
    }

    fn issue(
        self: &Rc<Self>,
        transaction: &IdbTransaction,
        entry: &Waiting,
        filled: bool,
    ) -> Result<(), JsValue> {
        let (this, number) = (Rc::clone(self), entry.number);
        let write = matches!(entry.job, Job::Write(..));
        let full = matches!(&entry.job, Job::Write(_, writes) if fills(writes));
        // One of the two comes, once.
        let found: Rc<RefCell<Option<Reading>>> = Rc::default();
        let emptied: Rc<Cell<bool>> = Rc::default();
        let (read, empty) = (Rc::clone(&found), Rc::clone(&emptied));
        let ended = Closure::once_into_js(move |event: web_sys::Event| {
            let done = event.type_() == "complete";
            if write && done {
                this.stored(full);
            }
            match read.take() {
                Some((prefix, requests)) if done => {
                    this.answer(number, done);
                    this.state.borrow_mut().unread = false;
                    let read =
                        |[keys, values]: &[IdbRequest; 2]| pairs(keys.result().ok(), values.result().ok());
                    send_read(this.send, &prefix, requests.iter().flat_map(read).collect());
                }
                // All that was in the store is gone, and so is whatever was on its way: one answer for all of it.
                _ if empty.get() => {
                    this.forget(number);
                    if core::mem::take(&mut this.state.borrow_mut().filled) {
                        (this.send)(Event::StoreReopened);
                    }
                }
                _ => {
                    // Stored after all, when the page had been told that it was not.
                    if !this.answer(number, done) && write && done {
                        (this.send)(Event::StoreReopened);
                    }
                }
            }
        });
        transaction.set_oncomplete(Some(ended.unchecked_ref()));
        transaction.set_onabort(Some(ended.unchecked_ref()));
        let records = transaction.object_store(RECORDS)?;
        match &entry.job {
            Job::Write(_, writes) => {
                if filled {
                    look_for_page(transaction, &records, emptied)?;
                }
                writes.iter().try_for_each(|write| put(transaction, &records, write))?;
                if !writes.iter().any(|write| matches!(write, Write::Join { .. })) {
                    // Nothing more comes. A page that goes now has the change on its way; left to end by itself, the
                    // transaction would be given up with the page (Chromium).
                    let _ = call(transaction, "commit", &[]);
                }
                Ok(())
            }
            Job::Read(prefix) => {
                let ranges = ranges(prefix)?;
                let requests = ranges.iter().map(|range| {
                    Ok([records.get_all_keys_with_key(range)?, records.get_all_with_key(range)?])
                });
                *found.borrow_mut() = Some((prefix.clone(), requests.collect::<Result<_, JsValue>>()?));
                Ok(())
            }
            Job::Erase => records.clear().map(drop),
        }
    }

    /// After a change: the page is in the store, and somebody was here.
    fn stored(&self, full: bool) {
        self.state.borrow_mut().filled |= full;
        mark_here();
    }

    /// A job that waits no more; none where its time was over.
    fn forget(&self, number: u32) -> Option<Waiting> {
        let waiting = &mut self.state.borrow_mut().waiting;
        let place = waiting.iter().position(|entry| entry.number == number)?;
        Some(waiting.remove(place))
    }

    /// Answers a job; false where its time was over.
    fn answer(&self, number: u32, done: bool) -> bool {
        let Some(entry) = self.forget(number) else { return false };
        match entry.job {
            Job::Write(id, _) => (self.send)(answer(id, done)),
            Job::Erase if done => erased(self.send),
            Job::Erase => (self.send)(Event::NotErased),
            Job::Read(_) if done => {}
            Job::Read(prefix) => (self.send)(Event::NotRead { prefix }),
        }
        true
    }

    /// Opens the database, and does what waits for it.
    fn open(self: &Rc<Self>) {
        if core::mem::replace(&mut self.state.borrow_mut().opening, true) {
            return;
        }
        let this = Rc::clone(self);
        ask(&self.opened, "reopen", &[], move |base| {
            let numbers: Vec<u32> = {
                let mut state = this.state.borrow_mut();
                state.opening = false;
                state.base = base.ok().and_then(|base| base.dyn_into().ok());
                let closed = state.waiting.iter().filter(|entry| entry.transaction.is_none());
                closed.map(|entry| entry.number).collect()
            };
            for number in numbers {
                if !this.begin(number) {
                    this.answer(number, false);
                }
            }
        });
    }

    /// Sees to it that what waits is looked after.
    fn watch(self: &Rc<Self>) {
        if self.watched.replace(true) {
            return;
        }
        let this = Rc::clone(self);
        let due = Closure::once_into_js(move || {
            this.watched.set(false);
            let (over, more): (Vec<u32>, bool) = {
                let mut state = this.state.borrow_mut();
                let over = state.waiting.iter().filter(|entry| entry.old).map(|entry| entry.number).collect();
                state.waiting.iter_mut().for_each(|entry| entry.old = true);
                (over, !state.waiting.is_empty())
            };
            for number in over {
                let transaction = {
                    let state = this.state.borrow();
                    let entry = state.waiting.iter().find(|entry| entry.number == number);
                    entry.and_then(|entry| entry.transaction.clone())
                };
                let _ = transaction.map(|transaction| transaction.abort());
                this.answer(number, false);
            }
            if more {
                this.watch();
            }
        });
        let set = web_sys::window().map(|window| {
            window.set_timeout_with_callback_and_timeout_and_arguments_0(due.unchecked_ref(), PATIENCE_MS)
        });
        if !matches!(set, Some(Ok(_))) {
            self.watched.set(false);
        }
    }
}

/// Ends a change where the page is gone from the store: what the change leaves alone is gone too.
fn look_for_page(
    transaction: &IdbTransaction,
    records: &IdbObjectStore,
    emptied: Rc<Cell<bool>>,
) -> Result<(), JsValue> {
    let request = records.get_key(&PAGE.into())?;
    let (key, transaction) = (request.clone(), transaction.clone());
    let found = Closure::once_into_js(move || {
        if key.result().is_ok_and(|key| key.is_undefined()) {
            emptied.set(true);
            let _ = transaction.abort();
        }
    });
    request.set_onsuccess(Some(found.unchecked_ref()));
    Ok(())
}

/// The ranges of the keys that begin so; with `""` of all but logs.
fn ranges(prefix: &str) -> Result<Vec<JsValue>, JsValue> {
    Ok(if prefix.is_empty() {
        let before = IdbKeyRange::upper_bound_with_open(&LOGS.into(), true)?;
        vec![before.into(), IdbKeyRange::lower_bound(&beyond(LOGS).into())?.into()]
    } else {
        vec![IdbKeyRange::bound(&prefix.into(), &beyond(prefix).into())?.into()]
    })
}

fn put(transaction: &IdbTransaction, records: &IdbObjectStore, write: &Write) -> Result<(), JsValue> {
    match write {
        Write::Put { key, value } => records.put_with_key(&value.into(), &key.into()).map(drop),
        Write::Join { key, value } => join(transaction, records, key, value),
        Write::Remove { key } => records.delete(&key.into()).map(drop),
    }
}

/// Writes a row as one with what its key holds by then. What cannot be read there is left alone, and ends the change.
fn join(
    transaction: &IdbTransaction,
    records: &IdbObjectStore,
    key: &str,
    value: &str,
) -> Result<(), JsValue> {
    let request = records.get(&key.into())?;
    let (held, transaction, records) = (request.clone(), transaction.clone(), records.clone());
    let (key, value) = (key.to_owned(), value.to_owned());
    let found = Closure::once_into_js(move || {
        let held = held.result().ok().filter(|held| !held.is_undefined()).map(|held| text(&held));
        let both = held.map_or(Ok(value.clone()), |held| joined(&key, &held, &value)).ok();
        let put = both.map(|both| records.put_with_key(&both.into(), &key.into()));
        if !matches!(put, Some(Ok(_))) {
            let _ = transaction.abort();
        }
    });
    request.set_onsuccess(Some(found.unchecked_ref()));
    Ok(())
}

/// The text of a record. What is none is no record of this page's, and is told as one that is damaged.
fn text(value: &JsValue) -> String {
    value.as_string().unwrap_or_default()
}

pub(super) fn pairs(keys: Option<JsValue>, values: Option<JsValue>) -> Vec<(String, String)> {
    let list = |of: Option<JsValue>| of.and_then(|of| of.dyn_into::<Array>().ok()).unwrap_or_default();
    let texts = list(keys).into_iter().zip(list(values));
    texts.filter_map(|(key, value)| Some((key.as_string()?, text(&value)))).collect()
}

/// The first key that lies beyond all that begin so.
fn beyond(prefix: &str) -> String {
    [prefix, "\u{ffff}"].concat()
}
