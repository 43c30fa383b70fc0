//! The only room that knows a browser.
//!
//! | module | what it does |
//! | --- | --- |
//! | [`live`] | the live session's wires to `www/live.js` |
//! | [`app`] | the page: events in, markup out |
//! | [`deep`] | long work for the rigs in the worker, and the player of a fall |
//! | [`patch`] | writes markup and leaves what is the same |
//! | [`print`] | what goes on paper |
//! | [`storage`] | what the phone keeps, in two slots |

pub mod app;
pub mod deep;
pub mod live;
mod patch;
mod print;
mod storage;

mod alerts;
mod optional;
mod store;
mod tabs;
