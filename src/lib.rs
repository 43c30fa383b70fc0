//! Dotdown plans and runs a day of pole fishing with cubes of tinned meat.
//!
//! The rooms of the house, and which way the arrows run (a room may use those below it, never those above):
//!
//! | room | what it answers |
//! | --- | --- |
//! | `web` | the only room that knows a browser: events, storage, clock, worker |
//! | [`view`] | what is shown, as markup and SVG text |
//! | [`day`], [`kit`], [`bank`] | plan to everything the screens show; the packing list; the live session |
//! | [`rig`] | shot, balance, layout, fall, search, tackle |
//! | [`bait`] | sinking, tub test, amounts, freezing and thawing, timetable |
//! | [`physics`] | published laws of water, drag, food and rubber, without a trade word |
//! | [`plan`] | the document, its checks, presets and link text |
//! | [`plain`] | our types as a script's plain objects and back |
//! | [`trade`] | facts of the trade, with their sources |
//! | [`small`] | short lists, light in wasm |
//! | [`limits`], [`units`] | one table of limits; newtypes and parsing |
//!
//! The core knows no clock, no storage, no document tree and no randomness that it was not handed.

pub mod bait;
#[cfg(target_arch = "wasm32")]
pub mod component;
#[cfg(test)]
#[path = "../tests/common/draw.rs"]
mod draw;
pub mod error;
pub mod limits;
pub mod page;
pub mod physics;
pub mod plain;
pub mod plan;
pub mod results;
pub mod rig;
pub mod session;
pub mod small;
pub mod trade;
pub mod units;
pub mod view;
#[cfg(target_arch = "wasm32")]
pub mod web;
