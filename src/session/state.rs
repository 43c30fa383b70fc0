//! What a session shows: what became of a tap, the state at a moment, its tallies, and one line of advice.

use super::depth_filter::{Belief, Beliefs, Model};
use super::event::Event;
use super::feed_clock::{FeedStatus, SinkingFeed};
use super::rig_choice::{chances_best, expected_per_min, rates_per_s};
use super::setup::Prepared;
use serde::{Deserialize, Serialize};

/// What became of an event.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
pub struct Recorded {
    /// The number of its record, from 0; none if it was a double touch.
    pub number: Option<usize>,
    /// The line to append to storage; empty for a double touch.
    pub line: String,
    /// Whether it was taken for a double touch.
    pub double_touch: bool,
    /// What to tell the user, such as a clock that jumped; mostly empty.
    pub told: Vec<String>,
}

/// What one rig has done.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
pub struct RigTally {
    /// Fish landed.
    pub fish: u32,
    /// Bites missed.
    pub missed: u32,
    /// Fish lost.
    pub lost: u32,
    /// Fish foul-hooked.
    pub foul_hooked: u32,
    /// Times it was lowered.
    pub casts: u32,
    /// Time in the water, s.
    pub water_s: f64,
}

impl RigTally {
    /// Bites of every sort that show fish taking: missed, landed and lost.
    #[must_use]
    pub fn bites(&self) -> u32 {
        self.fish + self.missed + self.lost
    }
}

/// Fish and missed bites of one hour.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
pub struct Hour {
    /// Fish landed.
    pub fish: u32,
    /// Bites missed.
    pub missed: u32,
    /// Fish lost.
    pub lost: u32,
}

/// The day so far.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "SessionTotals"))]
pub struct Totals {
    /// Fish landed.
    pub fish: u32,
    /// Bites missed.
    pub missed: u32,
    /// Fish lost.
    pub lost: u32,
    /// Fish foul-hooked.
    pub foul_hooked: u32,
    /// Each hour since the start.
    pub per_hour: Vec<Hour>,
    /// Each rig, in the order of the setup.
    pub per_rig: Vec<RigTally>,
    /// Feeds.
    pub feeds: u32,
    /// Cubes fed.
    pub cubes_fed: f64,
    /// Cubes left, if those taken were counted; never below 0.
    pub cubes_left: Option<f64>,
    /// Estimated weight, kg, if fish were weighed or a usual mass is set.
    pub weight_kg: Option<f64>,
    /// The same for each keepnet, the one fished into last.
    pub nets_kg: Vec<f64>,
    /// How many fish of the weight were weighed.
    pub fish_weighed: u32,
    /// Swaps of rig.
    pub swaps: u32,
}

/// One rig as seen now.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
pub struct RigNow {
    /// Its name.
    pub name: String,
    /// Depth at rest, m.
    pub depth_m: f64,
    /// Its pole line, from 0.
    pub line: u32,
    /// How good it is: bites expected with it, 1/min of water time. The one number that is shown of it.
    pub bites_per_min: f64,
    /// Chance that it is the best of its line's rigs now, 0 to 1.
    pub chance_best: f64,
}

impl RigNow {
    /// Every rig, for casts of `cast_s` seconds.
    pub(super) fn all(prepared: &Prepared, beliefs: &Beliefs, cast_s: f64) -> Vec<Self> {
        let mut rigs: Vec<Self> = prepared
            .setup
            .rigs
            .iter()
            .map(|rig| Self {
                name: rig.name.clone(),
                depth_m: rig.depth_m,
                line: rig.line,
                bites_per_min: 0.0,
                chance_best: 0.0,
            })
            .collect();
        for (line, belief) in prepared.lines.all().iter().zip(&beliefs.0) {
            let rates = rates_per_s(&line.model, cast_s);
            let expected = expected_per_min(&line.model, belief, &rates);
            let numbers = expected.into_iter().zip(chances_best(&line.model, belief, &rates));
            for (&rig, numbers) in line.rigs.iter().zip(numbers) {
                if let Some(rig) = rigs.get_mut(rig) {
                    (rig.bites_per_min, rig.chance_best) = numbers;
                }
            }
        }
        rigs
    }
}

/// Where the fish are believed to feed.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
pub struct FishNow {
    /// They are above this depth with 5 % chance, m.
    pub from_m: f64,
    /// Median, m.
    pub median_m: f64,
    /// They are above this depth with 95 % chance, m.
    pub to_m: f64,
    /// Expected activity, relative to usual.
    pub activity: f64,
    /// Height of a cell of `chance`, m.
    pub cell_m: f64,
    /// Chance of each cell from the surface down; sums to 1.
    pub chance: Vec<f64>,
}

impl FishNow {
    pub(super) fn new(model: &Model, belief: &Belief) -> Self {
        let chance = belief.depths(model);
        Self {
            from_m: model.quantile_m(&chance, 0.05),
            median_m: model.quantile_m(&chance, 0.5),
            to_m: model.quantile_m(&chance, 0.95),
            activity: belief.activity(model),
            cell_m: model.cell_m(),
            chance,
        }
    }
}

/// Everything the running screen shows at one moment.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "SessionState"))]
pub struct State {
    /// The moment, ms since 1970, as asked.
    pub at_ms: f64,
    /// Whether the session has ended.
    pub ended: bool,
    /// The rig in hand, from 0.
    pub rig: u32,
    /// Whether it is in the water.
    pub in_water: bool,
    /// Seconds since it was lowered; none out of the water.
    pub since_lowered_s: Option<f64>,
    /// Depth of the hook bait now as the simulation says, m; none out of the water.
    pub hook_m: Option<f64>,
    /// The feed clock.
    pub beat: FeedStatus,
    /// The pole line that is fed now, as named in the plan.
    pub line: String,
    /// The feeding phase after this one, from 0, and when it begins, ms since 1970.
    pub next_phase: Option<(usize, f64)>,
    /// Cubes missing for the feeding still to come, as planned and nudged; below 0: left over.
    pub short_cubes: Option<f64>,
    /// The first event, or when the session was planned to start, ms since 1970.
    pub start_ms: f64,
    /// The last feeds, sinking.
    pub clouds: Vec<SinkingFeed>,
    /// The fish of the line in hand.
    pub fish: FishNow,
    /// The fish of each line.
    pub lines: Vec<FishNow>,
    /// The rigs.
    pub rigs: Vec<RigNow>,
    /// The day so far.
    pub totals: Totals,
    /// What an undo would take back now, if anything: a record, with the rig it was on, or a correction.
    pub undoes: Option<Event>,
}

/// What moves from second to second: the clock, the feeds, the hook bait.
#[derive(Clone, Debug, PartialEq)]
pub struct TickState {
    /// The feed clock.
    pub beat: FeedStatus,
    /// The last feeds, sinking.
    pub clouds: Vec<SinkingFeed>,
    /// Depth of the hook bait now, m; none out of the water.
    pub hook_m: Option<f64>,
}

/// What to do next.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum AdviceKind {
    /// Go on with the rig in hand.
    Stay,
    /// Pick up another rig.
    PickUpRig,
    /// Move the bulk nearer the hook and shorten the effective hooklength with its shot.
    TightenShot,
    /// Spread the shot to slow the fall.
    SpreadShot,
    /// Feed less often.
    FeedSlower,
    /// Feed more often.
    FeedFaster,
}

/// What the advice rests on, counted in the log.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
pub struct Evidence {
    /// Water time of the rig in hand since it was last picked up, s.
    pub water_s: f64,
    /// Water time of the rig in hand since its last bite or since it was picked up, s.
    pub quiet_s: f64,
    /// Bites (missed, landed or lost) on the rig in hand since it was picked up.
    pub bites: u32,
    /// Of the last bites looked at, how many there were.
    pub last_bites: u32,
    /// Of those, how many were missed.
    pub last_missed: u32,
    /// Fish in the last ten minutes.
    pub fish_in_ten_min: u32,
}

/// One line of advice with its reason.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
pub struct Advice {
    /// What to do.
    pub kind: AdviceKind,
    /// The rig to fish with: the one to pick up, otherwise the one in hand. From 0.
    pub rig: u32,
    /// The advice in words.
    pub line: String,
    /// Its reason in words.
    pub reason: String,
    /// How sure, 0 to 1. For a stay or a change: the chance that the fish are where it pays.
    pub sure: f64,
    /// Bites that the change is worth beyond staying, when what it costs is paid; what is learned counts. 0 for other
    /// advice.
    pub gain_bites: f64,
    /// Bites that the change costs: those to be expected in the time it takes. 0 for other advice.
    pub cost_bites: f64,
    /// Whether the point of the change is to learn, since no more bites are expected there by what is known now.
    pub learn: bool,
    /// What it rests on.
    pub evidence: Evidence,
}

/// A rig's place, or a count of bites, as a script sees it: neither is ever large.
pub(super) fn as_u32(count: usize) -> u32 {
    u32::try_from(count).unwrap_or(0)
}
