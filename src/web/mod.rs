//! The only room that knows a browser: what it hears becomes an event of the page, and what the page wants done is
//! carried out here.
//!
//! | module | what it does |
//! | --- | --- |
//! | [`start`] | starts the page and works its events off, one after the other |
//! | [`app`] | carries out each effect, in one `match` |
//! | [`events`] | listens to the document |
//! | [`draw`], [`patch`] | write markup and leave what is the same |
//! | [`player`] | moves the drawing of a fall |
//! | [`store`], [`tabs`] | the phone's store; the other tabs of the page |
//! | [`timers`], [`alerts`] | what comes later; sound, vibration, the screen kept on |
//! | [`share`] | clipboard, share sheet, files, the report, erasing |
//! | [`picture`] | the picture of a day, as PNG |
//! | [`jobs`], [`worker`] | falls and searches: the page's side, the worker's side |
//! | [`dom`], [`optional`] | what all of them ask of the document; what a browser may lack |

mod alerts;
mod app;
mod dom;
mod draw;
mod events;
mod jobs;
mod optional;
mod patch;
mod picture;
mod player;
mod share;
pub mod start;
mod store;
mod tabs;
mod timers;
pub mod worker;
