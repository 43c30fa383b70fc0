//! What the phone keeps: the page's state in two slots, written by turns, each with a serial number and a checksum.
//!
//! A text that cannot be read is set aside under a name of its own, never written over.

use crate::view::kept::{self, Kept};
use crate::view::page::Page;
use web_sys::Storage;

const SLOTS: [&str; 2] = ["dotdown.page.a", "dotdown.page.b"];
/// Names under which unreadable texts are set aside; the last is used again when all are taken.
const ASIDE: [&str; 4] = ["dotdown.aside.1", "dotdown.aside.2", "dotdown.aside.3", "dotdown.aside.4"];

/// The browser's storage, if it gives one.
fn storage() -> Option<Storage> {
    web_sys::window()?.local_storage().ok()?
}

/// What was found at the start.
pub(super) struct Found {
    /// The newest page that could be read.
    pub(super) kept: Option<Kept>,
    /// A sentence when something could not be read.
    pub(super) trouble: Option<String>,
}

/// Reads both slots and sets aside what cannot be read.
pub(super) fn load() -> Found {
    let Some(storage) = storage() else {
        let trouble =
            "This browser keeps nothing for this page. Before you close it, save your plan as a file under Share.".to_owned();
        return Found { kept: None, trouble: Some(trouble) };
    };
    let mut found = Found { kept: None, trouble: None };
    for slot in SLOTS {
        let Ok(Some(text)) = storage.get_item(slot) else { continue };
        match kept::read(&text) {
            Ok(kept) => {
                if found.kept.as_ref().is_none_or(|k| k.serial < kept.serial) {
                    found.kept = Some(kept);
                }
            }
            Err(sentence) => {
                if set_aside(&storage, &text) {
                    let _ = storage.remove_item(slot);
                }
                found.trouble = Some(
                    [&sentence, " It is set aside on this phone, and the last good plan is shown."].concat(),
                );
            }
        }
    }
    found
}

/// Keeps an unreadable text under the first free name.
fn set_aside(storage: &Storage, text: &str) -> bool {
    let free = ASIDE.iter().find(|name| matches!(storage.get_item(name), Ok(None)));
    let name = free.unwrap_or(&ASIDE[ASIDE.len() - 1]);
    storage.set_item(name, text).is_ok()
}

/// Writes the page into the slot whose turn it is.
///
/// # Errors
/// A sentence when the browser refuses.
pub(super) fn save(page: &Page, serial: u64) -> Result<(), String> {
    let slot = if serial.is_multiple_of(2) { SLOTS[0] } else { SLOTS[1] };
    let refused = || {
        "This phone would not keep the last change: its storage is full or switched off. Share the link to keep your plan."
            .to_owned()
    };
    let storage = storage().ok_or_else(refused)?;
    storage.set_item(slot, &kept::write(page, serial)).map_err(|_| refused())?;
    tell();
    Ok(())
}

/// Tells the page's script that something was kept, so that it makes the second copy.
pub(super) fn tell() {
    if let (Some(window), Ok(event)) = (web_sys::window(), web_sys::Event::new("dotdown:kept")) {
        let _ = window.dispatch_event(&event);
    }
}

/// Whether a storage event is about the page's slots.
pub(super) fn is_slot(key: &str) -> bool {
    SLOTS.contains(&key)
}
