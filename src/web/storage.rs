//! What the phone keeps: the page's state in two slots, written by turns, each with a serial number and a checksum.
//!
//! A text that cannot be read is set aside under a name of its own, never written over.

use crate::page::Page;
use crate::page::saved::{self, Kept, Unread};
use web_sys::Storage;

const SLOTS: [&str; 2] = ["dotdown.page.a", "dotdown.page.b"];
/// Names under which unreadable texts are set aside; the last is used again when all are taken.
const ASIDE: [&str; 4] = ["dotdown.aside.1", "dotdown.aside.2", "dotdown.aside.3", "dotdown.aside.4"];

/// The browser's storage, if it gives one.
fn storage() -> Option<Storage> {
    web_sys::window()?.local_storage().ok()?
}

/// What was found at the start.
#[derive(Default)]
pub(super) struct Found {
    /// The newest page that could be read.
    pub(super) kept: Option<Kept>,
    /// A page that an older version had set aside, and that this one can read.
    pub(super) aside: Option<Kept>,
    /// A sentence when something could not be read.
    pub(super) trouble: Option<String>,
    /// Whether the browser keeps nothing at all.
    pub(super) refused: bool,
}

/// Reads both slots and sets aside what cannot be read. Where one is damaged, its second copy is asked for.
pub(super) fn load() -> Found {
    let Some(storage) = storage() else {
        let trouble = "This browser keeps nothing for this page. Before you close it, save your plan as a file under Share.";
        return Found { trouble: Some(trouble.to_owned()), refused: true, ..Found::default() };
    };
    let mut found = Found { aside: aside(&storage), ..Found::default() };
    let damaged = read_slots(&storage, &mut found);
    if damaged {
        // The page's script answers at once, by putting back what the second copy has.
        tell("dotdown:damaged");
        read_slots(&storage, &mut found);
    }
    found
}

/// Reads both slots; whether one of them was damaged.
fn read_slots(storage: &Storage, found: &mut Found) -> bool {
    let mut damaged = false;
    for slot in SLOTS {
        let Ok(Some(text)) = storage.get_item(slot) else { continue };
        match saved::read(&text) {
            Ok(kept) => {
                if found.kept.as_ref().is_none_or(|k| k.serial < kept.serial) {
                    found.kept = Some(kept);
                }
            }
            Err(why) => {
                damaged |= why == Unread::Damaged;
                if set_aside(storage, &text) {
                    let _ = storage.remove_item(slot);
                }
                let rest = match why {
                    Unread::Newer => " It is set aside, and comes back when this page is updated.",
                    Unread::Damaged => " It is set aside on this phone, and the last good plan is shown.",
                };
                found.trouble = Some([why.sentence(), rest].concat());
            }
        }
    }
    damaged
}

/// Keeps an unreadable text under a name of its own: one that has it already, a free one, or the last that no newer
/// version wrote.
fn set_aside(storage: &Storage, text: &str) -> bool {
    let held = |name: &&&str| storage.get_item(name).ok().flatten();
    let name = ASIDE
        .iter()
        .find(|name| held(name).is_some_and(|held| held == text))
        .or_else(|| ASIDE.iter().find(|name| held(name).is_none()))
        .or_else(|| {
            ASIDE
                .iter()
                .rev()
                .find(|name| held(name).is_some_and(|held| !matches!(saved::read(&held), Err(Unread::Newer))))
        });
    storage.set_item(name.unwrap_or(&ASIDE[ASIDE.len() - 1]), text).is_ok()
}

/// The newest page among those set aside that this version can read.
fn aside(storage: &Storage) -> Option<Kept> {
    let texts = ASIDE.iter().filter_map(|name| storage.get_item(name).ok().flatten());
    texts.filter_map(|text| saved::read(&text).ok()).max_by_key(|kept| kept.serial)
}

/// Forgets what was set aside and can be read: the reader has been asked about it.
pub(super) fn forget_aside() {
    let Some(storage) = storage() else { return };
    for name in ASIDE {
        if storage.get_item(name).ok().flatten().is_some_and(|text| saved::read(&text).is_ok()) {
            let _ = storage.remove_item(name);
        }
    }
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
    storage.set_item(slot, &saved::write(page, serial)).map_err(|_| refused())?;
    tell("dotdown:kept");
    Ok(())
}

/// Tells the page's script that something was kept (`dotdown:kept`), so that it makes the second copy, or that a copy
/// is damaged (`dotdown:damaged`), so that it puts back the second one.
pub(super) fn tell(what: &str) {
    if let (Some(window), Ok(event)) = (web_sys::window(), web_sys::Event::new(what)) {
        let _ = window.dispatch_event(&event);
    }
}

/// Whether a storage event is about the page's slots.
pub(super) fn is_slot(key: &str) -> bool {
    SLOTS.contains(&key)
}
