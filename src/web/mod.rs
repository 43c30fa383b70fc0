//! The only room that knows a browser.
//!
//! For now it says the version and puts one result on the page.

use wasm_bindgen::prelude::*;

/// The version of this build, as `Cargo.toml` gives it.
#[wasm_bindgen]
#[must_use]
pub fn version() -> String {
    env!("CARGO_PKG_VERSION").to_owned()
}

/// Starts the page: called once, after the module is ready.
///
/// # Errors
/// When there is no document to show anything in, as in Node.
#[wasm_bindgen]
pub fn start() -> Result<(), JsValue> {
    console_error_panic_hook::set_once();
    let document = web_sys::window().and_then(|window| window.document()).ok_or("there is no page here")?;
    if let Some(main) = document.query_selector("main")? {
        main.set_attribute("data-ready", "yes")?;
    }
    Ok(())
}
