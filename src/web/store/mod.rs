//! What the phone keeps: one `IndexedDB` database with one object store of texts by key, written in strict transactions
//! ("strict": the answer comes when the change is on the disk). The start script has opened and read it beside the
//! compilation of the core. Where there is none, localStorage takes its place, which a browser may write to the disk
//! seconds later.
//!
//! Every wait has an end: after a full disk Firefox left the first write without an answer (measured).

mod database;
mod local;

use super::optional::get;
use crate::page::effect::{StoreTrouble, Write};
use crate::page::event::Event;
use database::{Database, Job, pairs};
use js_sys::Array;
use local::{erased, local, local_get, local_records, was_here, write_local};
use std::rc::Rc;
use wasm_bindgen::JsCast;
use wasm_bindgen::prelude::*;
use web_sys::IdbDatabase;

/// The record that is there whenever the page was stored: without it, somebody has emptied the store.
const PAGE: &str = "page";

/// The phone's store.
pub(in crate::web) struct Store {
    kind: Kind,
    trouble: Option<StoreTrouble>,
    send: fn(Event),
}

enum Kind {
    Database(Rc<Database>),
    Local { filled: bool },
    Nothing,
}

impl Store {
    /// Takes over what the start script has opened:
    /// `{ base?: IDBDatabase, keys?: string[], values?: string[], fault?: string, reopen: () => Promise<IDBDatabase> }`,
    /// where `fault` is the name of the error, or `late` where the database has not answered yet.
    pub(in crate::web) fn new(opened: &JsValue, send: fn(Event)) -> Self {
        let base = get(opened, "base").and_then(|base| base.dyn_into::<IdbDatabase>().ok());
        let fault = get(opened, "fault").and_then(|fault| fault.as_string()).unwrap_or_default();
        let in_local = !local_records("").is_empty();
        // A database that was there and cannot be opened now may be there the next time, with all that it holds.
        let late =
            base.is_none() && (fault == "late" || (fault != "VersionError" && was_here() && !in_local));
        let trouble = if base.is_some() {
            None
        } else if late {
            Some(StoreTrouble::Late)
        } else if fault == "VersionError" {
            Some(StoreTrouble::Newer)
        } else if local().is_some() {
            // Told once on each phone: not to who has stored something here before.
            (!was_here()).then_some(StoreTrouble::Slow)
        } else {
            Some(StoreTrouble::Refused)
        };
        let kind = if base.is_some() || late {
            let keys = get(opened, "keys").and_then(|keys| keys.dyn_into::<Array>().ok());
            let filled = keys.is_some_and(|keys| keys.includes(&PAGE.into(), 0));
            let database = Database::new(opened, base, filled, late, send);
            if late {
                database.take_up(Job::Read(String::new()));
            }
            Kind::Database(database)
        } else if local().is_some() {
            Kind::Local { filled: local_get(PAGE).is_some() }
        } else {
            Kind::Nothing
        };
        Self { kind, trouble, send }
    }

    /// What is wrong with the store, as it was found at the start.
    pub(in crate::web) fn trouble(&self) -> Option<StoreTrouble> {
        self.trouble
    }

    /// Makes a change, all of it or nothing: answered by [`Event::Stored`] or [`Event::NotStored`]; where the store was
    /// emptied under the page, by one [`Event::StoreReopened`] for all that is on its way.
    pub(in crate::web) fn write(&mut self, id: u32, writes: &[Write]) {
        match &mut self.kind {
            Kind::Database(database) => database.take_up(Job::Write(id, writes.to_vec())),
            Kind::Local { filled } => {
                let emptied = *filled && local_get(PAGE).is_none();
                let stored = !emptied && write_local(writes).is_ok();
                *filled = !emptied && (*filled || (stored && fills(writes)));
                (self.send)(if emptied { Event::StoreReopened } else { answer(id, stored) });
            }
            Kind::Nothing => (self.send)(Event::NotStored(id)),
        }
    }

    /// Reads the records whose keys begin so, with `""` all but logs: answered by [`Event::Read`] or
    /// [`Event::NotRead`].
    pub(in crate::web) fn read(&self, prefix: &str) {
        match &self.kind {
            Kind::Database(database) => database.take_up(Job::Read(prefix.to_owned())),
            Kind::Local { .. } => send_read(self.send, prefix, local_records(prefix)),
            Kind::Nothing => send_read(self.send, prefix, Vec::new()),
        }
    }

    /// Erases everything that the page keeps on the phone: answered by [`Event::Erased`] or
    /// [`Event::NotErased`].
    pub(in crate::web) fn erase_all(&mut self) {
        match &self.kind {
            Kind::Database(database) => database.take_up(Job::Erase),
            _ => erased(self.send),
        }
    }
}

/// What was read at the start.
pub(in crate::web) fn records(opened: &JsValue) -> Vec<(String, String)> {
    if get(opened, "base").is_some() {
        pairs(get(opened, "keys"), get(opened, "values"))
    } else {
        local_records("")
    }
}

fn answer(id: u32, stored: bool) -> Event {
    if stored { Event::Stored(id) } else { Event::NotStored(id) }
}

fn send_read(send: fn(Event), prefix: &str, records: Vec<(String, String)>) {
    send(Event::Read { prefix: prefix.to_owned(), records, at_ms: js_sys::Date::now() });
}

/// Whether a change leaves the page in the store.
fn fills(writes: &[Write]) -> bool {
    writes.iter().any(|write| matches!(write, Write::Put { key, .. } if key == PAGE))
}
