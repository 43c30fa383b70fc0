//! The only room that knows a browser.
//!
//! | module | what it does |
//! | --- | --- |
//! | [`api`] | the component: plain functions over plain objects, for any script |
//! | [`live`] | the live session's wires to `www/live.js` |
//! | [`session_api`] | the live session for any script |
//! | [`app`] | the page: events in, markup out |
//! | [`deep`] | long work for the rigs in the worker, and the player of a fall |
//! | [`patch`] | writes markup and leaves what is the same |
//! | [`print`] | what goes on paper |
//! | [`storage`] | what the phone keeps, in two slots |

pub mod api;
pub mod app;
pub mod deep;
pub mod live;
mod patch;
mod print;
pub mod session_api;
mod storage;
