//! Starts the page, and works its events off one after the other. The one place that holds the page: whoever hears
//! something at the edge makes an [`Event`] of it and hands it to [`send`].

use super::app::App;
use crate::page::event::Event;
use std::cell::{Cell, RefCell};
use wasm_bindgen::prelude::*;

thread_local! {
    static APP: RefCell<Option<App>> = const { RefCell::new(None) };
    static QUEUE: Cell<Vec<Event>> = const { Cell::new(Vec::new()) };
}

/// Hands an event to the page. One that comes while another is being worked off waits for its turn; none is dropped.
fn send(event: Event) {
    let mut queue = QUEUE.take();
    queue.push(event);
    QUEUE.set(queue);
    with_app(|_| ());
}

/// Does something with the page, if it is not at work already, and works off what waits.
fn with_app(first: impl FnOnce(&mut App)) {
    APP.with(|cell| {
        let Ok(mut app) = cell.try_borrow_mut() else { return };
        let Some(app) = app.as_mut() else { return };
        first(app);
        loop {
            let waiting = QUEUE.take();
            if waiting.is_empty() {
                return;
            }
            for event in waiting {
                app.take(event);
            }
        }
    });
}

/// Whether the page was left in the middle of an event, by a fault that no code of ours can catch: nothing is answered any
/// more. To be asked outside of any event.
#[wasm_bindgen]
#[must_use]
pub fn stuck() -> bool {
    APP.with(|cell| cell.try_borrow().is_err())
}

/// Starts the page, once the module is ready. `handed` is what `start.js` has prepared: the compiled module, the name of
/// the store and what became of opening it.
///
/// # Errors
/// When there is no document to show anything in, as in Node.
#[wasm_bindgen]
pub fn start(handed: &JsValue) -> Result<(), JsValue> {
    console_error_panic_hook::set_once();
    let (app, first) = App::open(handed, send)?;
    APP.with(|cell| *cell.borrow_mut() = Some(app));
    super::events::listen(send)?;
    with_app(|app| app.carry_out(first));
    super::draw::ready();
    Ok(())
}
