//! The component: plain functions over plain objects, usable in a browser or in Node without any screen.
//!
//! | module | what it does |
//! | --- | --- |
//! | `exports`, `session` | the functions and classes that a script calls |
//! | `js_value` | a script's values as plain objects and back |
//! | [`object`] | a plain object as one of our types |
//! | [`event`], [`fished`] | a script's event of a session, its fished days |
//! | `book` | a book as a plain object, for its declarations |
//! | [`types`] | our types as TypeScript's declarations |
//!
//! What a script hands in goes through [`object::read`], which refuses an unknown field and names the place of what does
//! not fit. What it gets is what serde makes of our types: nothing is `null`, every number is a number.

/// The version of this build.
pub const VERSION: &str = env!("CARGO_PKG_VERSION");

#[cfg(feature = "types")]
pub mod book;
pub mod event;
#[cfg(target_arch = "wasm32")]
pub mod exports;
pub mod fished;
#[cfg(target_arch = "wasm32")]
mod js_value;
pub mod object;
#[cfg(target_arch = "wasm32")]
pub mod session;
#[cfg(feature = "types")]
pub mod types;
