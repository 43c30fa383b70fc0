//! The only room that knows a browser.
//!
//! | module | what it does |
//! | --- | --- |
//! | [`live`] | the live session's wires to `www/live.js` |
//! | [`app`] | the page: events in, markup out |
//! | `deep` | long work for the rigs in the worker, and the player of a fall |
//! | [`worker`] | the core inside the worker: bytes in, bytes out |
//! | [`patch`] | writes markup and leaves what is the same |
//! | [`print`] | what goes on paper |
//! | [`storage`] | what the phone keeps, in two slots |

pub mod app;
mod deep;
pub mod live;
mod patch;
mod print;
mod storage;
pub mod worker;
