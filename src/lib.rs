//! Dotdown plans and runs a day of pole fishing with cubes of tinned meat.
//!
//! The rooms of the house, from the roof down; a room may use those below it, never those above. Which uses which stands in
//! the table of DEVELOPERS.md, which a test holds against the `use` lines (`tests/house.rs`).
//!
//! | room | what it answers |
//! | --- | --- |
//! | `web` | the page in a browser: hears events, carries out what the page wants done |
//! | [`component`] | the core for any script: plain functions over plain objects |
//! | [`view`] | what is shown, as markup and SVG text |
//! | [`page`] | the page as one loop: an event goes in, what is to be done comes out |
//! | [`results`] | plan to everything that the screens show |
//! | [`book`] | days, waters and tackle of years: changes, undo, merge, backup |
//! | [`session`] | the live session: log, feed clock, depth filter, advice |
//! | [`rig`] | shot, balance, layout, fall, finder, tackle |
//! | [`bait`] | sinking, tub test, amounts, freezing and thawing, timetable |
//! | [`plan`] | the document, the one table of its fields, presets and link text |
//! | [`physics`] | published laws of water, drag, food and rubber, without a trade word |
//! | [`trade`] | facts of the trade, with their sources |
//! | [`small`], [`units`], [`checksum`], [`estimate`], [`refusal`] | short lists; quantities and their text; one checksum; a figure with its doubt; what a refusal says |
//!
//! The core knows no clock, no storage, no document tree and no randomness that it was not handed.

pub mod bait;
pub mod book;
pub mod checksum;
#[cfg(feature = "component")]
pub mod component;
#[cfg(test)]
#[path = "../tests/common/draw.rs"]
mod draw;
pub mod estimate;
pub mod page;
pub mod physics;
pub mod plan;
pub mod refusal;
pub mod results;
pub mod rig;
pub mod session;
pub mod small;
pub mod trade;
pub mod units;
pub mod view;
#[cfg(all(feature = "app", target_arch = "wasm32"))]
pub mod web;
