//! The pattern finder: where to put the shot so that the rig falls as the angler wants.
//!
//! **What it searches.** The shot that the balancer chose, divided into at most so many groups, each on a grid of
//! whole centimetres from the hook. Shot keep their order of size, the lightest nearest the hook (common practice);
//! shots that are to stay (droppers) stay, and the rest goes above them; nothing goes on the hooklength unless allowed.
//!
//! **How.** For every count of groups: a scan of coarse places and divisions; the three best that differ are each
//! improved by moving a group, all groups, or shot from one group to the next, with a stride that is halved down to
//! the grid (pattern search, after Hooke and Jeeves 1961); at the end, with finer steps, every pattern within a
//! centimetre of the best is tried, again and again until none is better. What is proposed is then dropped once more
//! with the settings for showing. Everything is in a fixed order: the same request gives the same answer.
//!
//! **How near the best.** On small rigs, where every pattern can be tried, the proposals are within 1 % of the best
//! score for each aim and count of groups (`tests/rig_search.rs`). On large ones no proof is given.
//!
//! The finder works in slices: [`Finder::step`] tries a few patterns and comes back, so that a worker can show the best
//! so far and be stopped.

mod improve;
mod pattern;
mod scan;
mod search;
mod state;
mod words;

pub use state::Finder;
pub use words::{AS_LONG_S, score, than_feed, words};

use serde::{Deserialize, Serialize};

use super::fall::{Rig, Shot};
use crate::estimate::never;

/// Most groups that a search divides the shot into.
pub const MAX_GROUPS: u8 = 4;
/// Longest time that a pattern is followed, s.
const LONGEST_S: f64 = 300.0;

/// What the angler wants of the fall.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "FindAim"))]
#[serde(rename_all = "snake_case")]
pub enum Aim {
    /// Through the last third of the depth at the speed of the free cube, and there as soon as that allows.
    FallWithFeed,
    /// To 0.67 of the depth as fast as can be, through small fish in the upper water.
    GetDownFast,
    /// As long as can be in the last 30 cm, and there as soon as that allows.
    SlowLast30Cm,
    /// At rest as soon as can be.
    SettleSoonest,
}

/// What to search.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "FindRequest"))]
#[serde(deny_unknown_fields)]
pub struct Request {
    /// The rig as it stands, with the user's own pattern; its shots are what is moved.
    pub rig: Rig,
    /// What is wanted.
    pub aim: Aim,
    /// Most groups to divide the moved shot into, 1 to 4.
    #[serde(default = "three")]
    pub most_groups: u8,
    /// Places in `rig.shots`, from 0, that stay as they are (see [`droppers`]).
    #[serde(default)]
    pub kept: Vec<usize>,
    /// Whether shot may go on the hooklength.
    #[serde(default)]
    pub on_hooklength: bool,
    /// The bait must be down by then, s; `None` is half as long again as the user's own pattern takes.
    #[serde(default)]
    pub latest_s: Option<f64>,
    /// Speed at which the feed falls, m/s; `None` takes that of a free cube like the one on the hook.
    #[serde(default)]
    pub feed_m_per_s: Option<f64>,
}

fn three() -> u8 {
    3
}

/// The droppers of a rig: the places of shot below the heaviest one, by index in `rig.shots`.
#[must_use]
pub fn droppers(rig: &Rig) -> Vec<usize> {
    let mass = |shot: &Shot| shot.mass_kg * f64::from(shot.count);
    let Some(bulk) = rig.shots.iter().max_by(|a, b| mass(a).total_cmp(&mass(b))) else {
        return Vec::new();
    };
    let below = |(i, shot): (usize, &Shot)| (shot.from_hook_m < bulk.from_hook_m - 1e-9).then_some(i);
    rig.shots.iter().enumerate().filter_map(below).collect()
}

/// What a pattern does; a time that is never reached is infinite here, and nothing in its serde form.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "FindFigures"))]
pub struct Figures {
    /// Time to 99 % of the depth, s.
    #[serde(with = "never")]
    #[cfg_attr(feature = "types", schemars(with = "Option<f64>"))]
    pub to_bottom_s: f64,
    /// Time to two thirds of the depth, s.
    #[serde(with = "never")]
    #[cfg_attr(feature = "types", schemars(with = "Option<f64>"))]
    pub to_two_thirds_s: f64,
    /// Speed through the last third over the free cube's; `None` without a bait.
    pub last_third_of_feed: Option<f64>,
    /// Time in the last 30 cm, s (the whole fall of a shallower rig).
    #[serde(with = "never")]
    #[cfg_attr(feature = "types", schemars(with = "Option<f64>"))]
    pub last_30_cm_s: f64,
    /// Time until the bait stays within a hundredth of its way from rest, s.
    #[serde(with = "never")]
    #[cfg_attr(feature = "types", schemars(with = "Option<f64>"))]
    pub settle_s: f64,
}

/// A pattern worth showing.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "FindProposal"))]
pub struct Proposal {
    /// All shots of the rig, from the hook up.
    pub shots: Vec<Shot>,
    /// Groups that the moved shot was divided into.
    pub groups: u8,
    /// What it does.
    pub figures: Figures,
    /// Whether the figures are those for showing; before, they are within 1 %.
    pub exact: bool,
    /// The one to try: as good as the best within 2 %, with the fewest groups.
    pub best: bool,
    /// What it gives and what it costs beside the user's own pattern, in words.
    pub words: String,
}

/// How far a search has come.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "FindProgress"))]
pub struct Progress {
    /// Patterns dropped so far.
    pub evaluated: usize,
    /// How many it will be, about; exact once done.
    pub expected: usize,
    /// Whether the search has ended.
    pub done: bool,
    /// What the user's own pattern does; `None` before the first slice.
    pub own: Option<Figures>,
    /// Best so far for each count of groups that is worth its trouble, fewest groups first.
    pub proposals: Vec<Proposal>,
}
