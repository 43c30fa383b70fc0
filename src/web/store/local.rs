//! The small storage: it takes the database's place where there is none, and tells the guard that somebody was here.

use crate::page::effect::Write;
use crate::page::event::Event;
use crate::page::storage::{LOGS, joined};
use wasm_bindgen::prelude::*;
use web_sys::Storage;

/// Of localStorage: what begins so is the page's,
const OURS: &str = "dotdown.";
/// what begins so is a record,
const LOCAL: &str = "dotdown.record.";
/// and this tells the guard that somebody was here before.
const HERE: &str = "dotdown.here";

pub(super) fn local() -> Option<Storage> {
    web_sys::window()?.local_storage().ok()?
}

fn local_key(key: &str) -> String {
    [LOCAL, key].concat()
}

pub(super) fn local_get(key: &str) -> Option<String> {
    local()?.get_item(&local_key(key)).ok()?
}

pub(super) fn was_here() -> bool {
    local().is_some_and(|storage| matches!(storage.get_item(HERE), Ok(Some(_))))
}

pub(super) fn mark_here() {
    if !was_here()
        && let Some(storage) = local()
    {
        let _ = storage.set_item(HERE, "yes");
    }
}

/// The keys that begin so.
fn local_keys(storage: &Storage, prefix: &str) -> Vec<String> {
    let count = storage.length().unwrap_or(0);
    let keys = (0..count).filter_map(|place| storage.key(place).ok()?);
    keys.filter(|key| key.starts_with(prefix)).collect()
}

/// The records whose keys begin so, with `""` all but logs.
pub(super) fn local_records(prefix: &str) -> Vec<(String, String)> {
    let Some(storage) = local() else { return Vec::new() };
    let keys = local_keys(&storage, &local_key(prefix));
    keys.into_iter()
        .filter_map(|key| {
            let name = key.strip_prefix(LOCAL)?;
            if prefix.is_empty() && name.starts_with(LOGS) {
                return None;
            }
            Some((name.to_owned(), storage.get_item(&key).ok()??))
        })
        .collect()
}

/// Makes a change in localStorage; what was done of one that is refused is undone.
pub(super) fn write_local(writes: &[Write]) -> Result<(), JsValue> {
    let storage = local().ok_or(JsValue::NULL)?;
    let mut before: Vec<(String, Option<String>)> = Vec::new();
    let done = writes.iter().try_for_each(|write| change_local(&storage, write, &mut before));
    match done {
        Ok(()) => mark_here(),
        Err(_) => {
            for (key, value) in before.into_iter().rev() {
                let _ = match value {
                    Some(value) => storage.set_item(&key, &value),
                    None => storage.remove_item(&key),
                };
            }
        }
    }
    done
}

fn change_local(
    storage: &Storage,
    write: &Write,
    before: &mut Vec<(String, Option<String>)>,
) -> Result<(), JsValue> {
    let (name, value) = match write {
        Write::Put { key, value } => (key, Some(value.clone())),
        Write::Remove { key } => (key, None),
        Write::Join { key, value } => {
            let held = storage.get_item(&local_key(key))?;
            let both = held.map_or(Ok(value.clone()), |held| joined(key, &held, value));
            (key, Some(both.map_err(|_| JsValue::NULL)?))
        }
    };
    let key = local_key(name);
    let held = storage.get_item(&key)?;
    match value {
        Some(value) => storage.set_item(&key, &value)?,
        None => storage.remove_item(&key)?,
    }
    before.push((key, held));
    Ok(())
}

/// The small storage goes last: it holds the mark that somebody was here.
pub(super) fn erased(send: fn(Event)) {
    if let Some(storage) = local() {
        for key in local_keys(&storage, OURS) {
            let _ = storage.remove_item(&key);
        }
    }
    send(Event::Erased);
}
