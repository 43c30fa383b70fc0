//! The live session: one tap in, and out of it what the screen shows, what to do next and the day's totals.
//!
//! A session is made from a plan's rigs, water and feeding phases. It takes events with absolute times, keeps
//! them in a log, and carries the belief of where the fish feed from tap to tap. Everything is derived from
//! the log: reading the log back gives the same session.
//!
//! # What a cast is
//! A cast begins when the rig is lowered: said by a `cast` event, or by a feed if the option says that a feed
//! is a re-cast. It ends with a bite, a fish, a lift, another rig, a pause, or the next lowering. If nobody
//! ever says when the rig is lowered, it is taken to hang from the first feed on, and to be back in the water
//! a moment after a bite, a fish or a swap. Water time without any tap for long counts no more, since the
//! angler may be away.
//!
//! # Validity
//! Up to 16 rigs, water of 0.2 to 15 m, a day of at most 20,000 taps.
//!
//! # Example
//! ```
//! use dotdown::session::log::{Event, EventKind};
//! use dotdown::session::{RigSetup, Session, SessionSetup};
//! let rig = |depth_m| RigSetup {
//!     name: String::new(),
//!     depth_m,
//!     on_bottom: false,
//!     sample_dt_s: 0.0,
//!     hook_z_m: Vec::new(),
//! };
//! let start_ms = 1_900_000_000_000.0;
//! let mut session = Session::new(SessionSetup::new(vec![rig(0.4), rig(2.0)], 2.1, start_ms))?;
//! session.record(Event::new(start_ms, EventKind::Cast))?;
//! session.record(Event::new(start_ms + 12_000.0, EventKind::Fish))?;
//! let advice = session.advice(start_ms + 15_000.0)?;
//! assert_eq!(advice.line, "Stay on the rig at 0.40 m.");
//! # Ok::<(), dotdown::refusal::Refusal>(())
//! ```
//!
//! # Source
//! The inference: [`depth_filter`]; the choice: [`rig_choice`]. The rules for shotting and feeding are
//! common practice, no published source.

pub mod depth_filter;
pub mod feed_clock;
pub mod log;
pub mod rig_choice;

use crate::refusal::{self, Refusal};
use crate::units::{Units, between, fixed};
use depth_filter::{Belief, Model, Path, Settings};
use feed_clock::{FeedClock, FeedStatus, Phase, SinkSpeeds, SinkingFeed};
use log::{Event, EventKind, Kept, Log, MAX_RIGS};
use rig_choice::{ChoiceSettings, Planner, chances_best, expected_per_min, rates_per_s};
use serde::{Deserialize, Serialize};
use std::collections::VecDeque;

/// One rig of the session.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RigSetup {
    /// What the angler calls it.
    #[serde(default)]
    pub name: String,
    /// Depth of the hook bait at rest, m, 0.05 to 15.
    pub depth_m: f64,
    /// Whether the bait rests on or just off the bottom.
    #[serde(default)]
    pub on_bottom: bool,
    /// Seconds between samples of the fall; 0 with no samples.
    #[serde(default)]
    pub sample_dt_s: f64,
    /// Depth of the hook bait during the simulated fall, m, the first at the moment of lowering. Empty: at
    /// rest at once.
    #[serde(default)]
    pub hook_z_m: Vec<f64>,
}

/// What a session is made from.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SessionSetup {
    /// The rigs, in the order of the strip on the screen.
    pub rigs: Vec<RigSetup>,
    /// Depth of the water, m, 0.2 to 15; 0: as deep as the deepest rig.
    #[serde(default)]
    pub water_depth_m: f64,
    /// Sinking speeds of the fed cubes.
    #[serde(default = "usual_speeds")]
    pub sink: SinkSpeeds,
    /// The feeding phases, in order.
    #[serde(default)]
    pub phases: Vec<Phase>,
    /// Whether each feed is also a lifting and lowering of the rig.
    #[serde(default)]
    pub feed_is_recast: bool,
    /// When the session starts, ms since 1970; 0: with its first event.
    #[serde(default)]
    pub start_ms: f64,
    /// The rig in hand at the start, from 0.
    #[serde(default)]
    pub first_rig: u32,
    /// Cubes taken to the bank, if counted.
    #[serde(default)]
    pub cubes_taken: Option<f64>,
    /// Usual mass of a fish, g, for the estimate of the weight when a fish is not weighed.
    #[serde(default)]
    pub fish_mass_g: Option<f64>,
    /// The units of depths in sentences; none: metres.
    #[serde(default)]
    pub units: Option<Units>,
    /// Tuning of the inference.
    #[serde(default)]
    pub depth: Settings,
    /// Tuning of the choice between rigs.
    #[serde(default)]
    pub choice: ChoiceSettings,
    /// Tuning of the session's rules.
    #[serde(default)]
    pub rules: Rules,
}

fn usual_speeds() -> SinkSpeeds {
    SinkSpeeds { low_m_per_s: 0.045, mid_m_per_s: 0.06, high_m_per_s: 0.075 }
}

impl SessionSetup {
    /// A setup with these rigs and everything else as usual.
    #[must_use]
    pub fn new(rigs: Vec<RigSetup>, water_depth_m: f64, start_ms: f64) -> Self {
        Self {
            rigs,
            water_depth_m,
            sink: usual_speeds(),
            phases: Vec::new(),
            feed_is_recast: false,
            start_ms,
            first_rig: 0,
            cubes_taken: None,
            fish_mass_g: None,
            units: None,
            depth: Settings::default(),
            choice: ChoiceSettings::default(),
            rules: Rules::default(),
        }
    }
}

/// Tuning numbers of the session's rules; common practice and judgement.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Rules {
    /// The same button twice within this time counts once, ms. Default 400.
    pub double_touch_ms: f64,
    /// Water time counts for at most this long after the last tap, s. Default 300.
    pub idle_s: f64,
    /// When lowering is never said: back in the water this long after a missed bite, s. Default 15.
    pub after_bite_s: f64,
    /// When lowering is never said: back in the water this long after a fish, s. Default 30.
    pub after_fish_s: f64,
    /// Length of a cast before any was seen, s. Default 60.
    pub usual_cast_s: f64,
    /// How many of the last bites are looked at for the shot. Default 8.
    pub shot_bites: usize,
    /// Tighten the shot when at least this share of them was missed. Default 0.6.
    pub tighten_share: f64,
    /// Water time with the right rig and hardly a bite after which to spread the shot or feed faster, s.
    /// Default 600.
    pub slow_s: f64,
    /// Fish in the last ten minutes that count as catching well. Default 4.
    pub catching_well: u32,
    /// Common interval of feeding when fishing shallow, s. Default 15.
    pub shallow_interval_s: f64,
    /// A shot or feed advice is not repeated within this time after it was followed, s. Default 600.
    pub rest_s: f64,
}

impl Default for Rules {
    fn default() -> Self {
        Self {
            double_touch_ms: 400.0,
            idle_s: 300.0,
            after_bite_s: 15.0,
            after_fish_s: 30.0,
            usual_cast_s: 60.0,
            shot_bites: 8,
            tighten_share: 0.6,
            slow_s: 600.0,
            catching_well: 4,
            shallow_interval_s: 15.0,
            rest_s: 600.0,
        }
    }
}
/// What became of an event.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
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

/// Fish and missed bites of one hour.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Hour {
    /// Fish landed.
    pub fish: u32,
    /// Bites missed.
    pub missed: u32,
}

/// The day so far.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
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
    /// How many fish of the weight were weighed.
    pub fish_weighed: u32,
    /// Swaps of rig.
    pub swaps: u32,
}

/// One rig as seen now.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RigNow {
    /// Its name.
    pub name: String,
    /// Depth at rest, m.
    pub depth_m: f64,
    /// Bites expected with it, 1/min of water time.
    pub bites_per_min: f64,
    /// Chance that it is the best of the rigs now, 0 to 1.
    pub chance_best: f64,
}

/// Where the fish are believed to feed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
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

/// Everything the running screen shows at one moment.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
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
    /// The last feeds, sinking.
    pub clouds: Vec<SinkingFeed>,
    /// The fish.
    pub fish: FishNow,
    /// The rigs.
    pub rigs: Vec<RigNow>,
    /// The day so far.
    pub totals: Totals,
    /// What an undo would take back now, such as `bite`; empty when nothing.
    pub undoes: String,
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
pub struct Advice {
    /// What to do.
    pub kind: AdviceKind,
    /// The rig to fish with: the one to pick up, otherwise the one in hand. From 0.
    pub rig: u32,
    /// The advice in words.
    pub line: String,
    /// Its reason in words.
    pub reason: String,
    /// How sure, 0 to 1. For a stay or a swap: the chance that the fish are where it pays.
    pub sure: f64,
    /// Bites that the swap is worth beyond staying; 0 for other advice.
    pub gain_bites: f64,
    /// What it rests on.
    pub evidence: Evidence,
}

/// The day in words and numbers, for the end.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Summary {
    /// The day.
    pub totals: Totals,
    /// Hours from the start to the end or to now, pauses included.
    pub hours: f64,
    /// Cubes left to freeze again or use up.
    pub left_cubes: Option<f64>,
    /// The depth of the rig with the most bites per hour of water time, m; none without bites.
    pub best_rig: Option<u32>,
    /// Mean seconds between feeds while running; none with fewer than two feeds.
    pub seconds_between_feeds: Option<f64>,
    /// The notes taken, oldest first.
    pub notes: Vec<String>,
    /// The day in sentences.
    pub lines: Vec<String>,
    /// What was learned and is worth keeping for next time, in sentences.
    pub learned: Vec<String>,
}

/// Everything derived from the log up to one event.
#[derive(Clone, Debug)]
struct Live {
    belief: Belief,
    /// The belief holds for this moment, ms.
    at_ms: f64,
    start_ms: f64,
    last_tap_ms: f64,
    rig: usize,
    /// When the rig was lowered, ms; may lie ahead when lowering is never said.
    lowered_ms: Option<f64>,
    /// When the rig came out with a bite, if it was neither lowered, swapped nor lifted since, ms.
    out_with_bite_ms: Option<f64>,
    /// Whether lowering is said by events.
    casts_said: bool,
    cast_s: f64,
    casts_seen: u32,
    clock: FeedClock,
    totals: Totals,
    fish_mass_g: f64,
    /// Water time, bites and quiet water time since the rig was picked up.
    spell: (f64, u32, f64),
    /// The last bites: when, whether landed.
    bites: VecDeque<(f64, bool)>,
    shot_ms: f64,
    nudged_ms: f64,
    feeds_ms: (f64, f64),
    begun: bool,
    ended: bool,
}

const BITES_KEPT: usize = 32;
const SNAPSHOTS: usize = 32;

/// A running session.
#[derive(Clone, Debug)]
pub struct Session {
    setup: SessionSetup,
    model: Model,
    paths: Vec<Path>,
    planner: Planner,
    log: Log,
    /// For each record of the log, its time on the session's own clock, which never runs backwards, ms.
    times_ms: Vec<f64>,
    /// Added to handed-in times since the clock was found set back, ms.
    shift_ms: f64,
    live: Live,
    /// What was live before each of the last events that stand.
    past: VecDeque<Live>,
    /// The rig whose pick-up is advised at present.
    advised: Option<usize>,
}

impl Session {
    /// Starts a session.
    ///
    /// # Errors
    /// `setup` naming the field that is out of range.
    pub fn new(mut setup: SessionSetup) -> Result<Self, Refusal> {
        check(&mut setup)?;
        let paths: Vec<Path> = setup.rigs.iter().map(|rig| path_of(rig, setup.water_depth_m)).collect();
        let model = Model::new(setup.depth.clone(), setup.water_depth_m, &paths);
        let planner = Planner::new(setup.choice.clone(), &model, setup.rules.usual_cast_s);
        let live = Live::new(&setup, &model);
        Ok(Self {
            setup,
            model,
            paths,
            planner,
            log: Log::default(),
            times_ms: Vec::new(),
            shift_ms: 0.0,
            live,
            past: VecDeque::new(),
            advised: None,
        })
    }

    /// Starts a session from a log kept before. Its records are taken as they are.
    ///
    /// # Errors
    /// As [`Session::new`] and [`Session::record`].
    pub fn with_log(setup: SessionSetup, log: &Log) -> Result<Self, Refusal> {
        let mut session = Self::new(setup)?;
        session.replay(log)?;
        Ok(session)
    }

    /// Takes a log kept before in place of the session's own. Its records are taken as they are.
    ///
    /// # Errors
    /// As [`Session::record`]; nothing is changed then.
    pub fn replay(&mut self, log: &Log) -> Result<(), Refusal> {
        let rigs = self.setup.rigs.len();
        let mut kept = Log::default();
        for event in log.events() {
            let (event, _) = event.clone().tidy(rigs)?;
            kept.push(event, 0.0)?;
        }
        self.live = Live::new(&self.setup, &self.model);
        self.shift_ms = 0.0;
        self.advised = None;
        self.times_ms.clear();
        for event in kept.events() {
            let at_ms = self.own_time(event.at_ms, &mut Vec::new());
            self.times_ms.push(at_ms);
        }
        self.log = kept;
        self.go_through();
        Ok(())
    }

    /// The setup, with defaults filled in.
    #[must_use]
    pub fn setup(&self) -> &SessionSetup {
        &self.setup
    }

    /// The log.
    #[must_use]
    pub fn log(&self) -> &Log {
        &self.log
    }

    /// The names of the rigs, for exports.
    #[must_use]
    pub fn rig_names(&self) -> Vec<String> {
        self.setup.rigs.iter().map(|rig| rig.name.clone()).collect()
    }

    /// Takes one event. Its line must be stored before the next is taken.
    ///
    /// A time before the last event's by up to 2 s is taken as that event's time. If it lies further back,
    /// the clock was set back: the session's own clock goes on from the last event, and the user is told.
    ///
    /// # Errors
    /// A bad time, rig or value, a full log, or an undo with nothing to take back.
    /// Nothing is changed then.
    pub fn record(&mut self, event: Event) -> Result<Recorded, Refusal> {
        let (event, changed) = event.tidy(self.setup.rigs.len())?;
        let mut told = Vec::new();
        if changed {
            told.push("The note held markup or too many words and was made plain.".to_owned());
        }
        let Kept::Yes(number) = self.log.push(event.clone(), self.setup.rules.double_touch_ms)? else {
            return Ok(Recorded { number: None, line: String::new(), double_touch: true, told });
        };
        let at_ms = self.own_time(event.at_ms, &mut told);
        self.times_ms.push(at_ms);
        if event.kind == EventKind::Undo {
            self.step_back();
        } else {
            if self.past.len() >= SNAPSHOTS {
                self.past.pop_front();
            }
            self.past.push_back(self.live.clone());
            self.live.apply(&self.setup, &self.model, &event, at_ms);
        }
        let line = self.log.line(number).unwrap_or_default();
        Ok(Recorded { number: Some(number), line, double_touch: false, told })
    }

    /// The session's own time for a handed-in time.
    fn own_time(&mut self, handed_ms: f64, told: &mut Vec<String>) -> f64 {
        let at_ms = handed_ms + self.shift_ms;
        let last_ms = self.times_ms.last().copied().unwrap_or(self.live.start_ms.min(at_ms));
        let back_ms = last_ms - at_ms;
        if back_ms > 2000.0 {
            self.shift_ms += back_ms;
            told.push(told_jump("back", back_ms));
        } else if back_ms < -6.0 * 3_600_000.0 && !self.times_ms.is_empty() {
            told.push(told_jump("ahead", -back_ms));
        }
        at_ms.max(last_ms)
    }

    /// Takes the last event that stood out of what is live: from a snapshot, or by going through the log
    /// again.
    fn step_back(&mut self) {
        if let Some(before) = self.past.pop_back() {
            self.live = before;
            return;
        }
        self.go_through();
    }

    /// Derives everything again from the records that stand.
    fn go_through(&mut self) {
        self.live = Live::new(&self.setup, &self.model);
        self.past.clear();
        let standing = self.log.standing_numbered();
        let count = standing.len();
        for (place, (number, event)) in standing.into_iter().enumerate() {
            if place + SNAPSHOTS >= count {
                self.past.push_back(self.live.clone());
            }
            let at_ms = self.times_ms.get(number).copied().unwrap_or(event.at_ms);
            self.live.apply(&self.setup, &self.model, event, at_ms);
        }
    }

    /// What was believed and counted, moved on to a moment.
    fn live_at(&self, at_ms: f64) -> Result<(Live, f64), Refusal> {
        log::check_time("at_ms", at_ms)?;
        let mut live = self.live.clone();
        live.begin(at_ms);
        let own_ms = (at_ms + self.shift_ms).max(live.at_ms);
        live.advance(&self.setup, &self.model, own_ms);
        Ok((live, own_ms))
    }

    /// Everything the screen shows at `at_ms`, ms since 1970. A moment before the last event is taken as that
    /// event's.
    ///
    /// # Errors
    /// `time` for a time that is none.
    pub fn state(&self, at_ms: f64) -> Result<State, Refusal> {
        let (live, own_ms) = self.live_at(at_ms)?;
        let since_lowered_s = live.since_lowered_s(own_ms);
        let TickState { beat, clouds, hook_m } = self.glance_of(&live, own_ms);
        let line = beat.phase.and_then(|phase| self.setup.phases.get(phase)).map(|phase| phase.line.clone());
        Ok(State {
            at_ms,
            ended: live.ended,
            rig: small(live.rig),
            in_water: since_lowered_s.is_some(),
            since_lowered_s,
            hook_m,
            beat,
            line: line.unwrap_or_default(),
            clouds,
            fish: self.fish_now(&live),
            rigs: self.rigs_now(&live),
            totals: live.totals(&self.setup),
            undoes: self.log.last_standing().map_or("", |event| event.kind.name()).to_owned(),
        })
    }

    /// What moves from second to second, without weighing where the fish are: light enough for every tick. A moment
    /// before the last event is taken as that event's, and one that is no time as well.
    #[must_use]
    pub fn glance(&self, at_ms: f64) -> TickState {
        self.glance_of(&self.live, (at_ms + self.shift_ms).max(self.live.at_ms))
    }

    fn glance_of(&self, live: &Live, own_ms: f64) -> TickState {
        let beat = live.clock.beat(&self.setup.phases, live.start_ms, own_ms);
        let mut clouds = live.clock.clouds(self.setup.sink, self.setup.water_depth_m, own_ms);
        for cloud in &mut clouds {
            cloud.fed_at_ms -= self.shift_ms;
        }
        TickState {
            beat: FeedStatus { next_at_ms: beat.next_at_ms.map(|next| next - self.shift_ms), ..beat },
            clouds,
            hook_m: live
                .since_lowered_s(own_ms)
                .and_then(|s| self.paths.get(live.rig).map(|path| path.depth_m(s))),
        }
    }

    fn fish_now(&self, live: &Live) -> FishNow {
        let chance = live.belief.depths(&self.model);
        FishNow {
            from_m: self.model.quantile_m(&chance, 0.05),
            median_m: self.model.quantile_m(&chance, 0.5),
            to_m: self.model.quantile_m(&chance, 0.95),
            activity: live.belief.activity(&self.model),
            cell_m: self.model.cell_m(),
            chance,
        }
    }

    fn rigs_now(&self, live: &Live) -> Vec<RigNow> {
        let rates = rates_per_s(&self.model, live.cast_s);
        let expected = expected_per_min(&self.model, &live.belief, &rates);
        let numbers = expected.into_iter().zip(chances_best(&self.model, &live.belief, &rates));
        let rigs = self.setup.rigs.iter().zip(numbers);
        rigs.map(|(rig, (bites_per_min, chance_best))| RigNow {
            name: rig.name.clone(),
            depth_m: rig.depth_m,
            bites_per_min,
            chance_best,
        })
        .collect()
    }

    /// What to do next at `at_ms`, ms since 1970: one line with its reason. A swap once advised stays advised
    /// until it is clearly no longer worth it.
    ///
    /// # Errors
    /// `time` for a time that is none.
    pub fn advice(&mut self, at_ms: f64) -> Result<Advice, Refusal> {
        let (live, own_ms) = self.live_at(at_ms)?;
        self.fit_planner(&live);
        let worths = self.planner.worths(&self.model, &live.belief, live.rig);
        let stay = worths.get(live.rig).copied().unwrap_or(0.0);
        let gain = |rig: usize| worths.get(rig).map_or(0.0, |worth| worth - stay);
        let best =
            (0..worths.len()).filter(|rig| *rig != live.rig).max_by(|&a, &b| gain(a).total_cmp(&gain(b)));
        let choice = &self.setup.choice;
        let kept = self.advised.filter(|&rig| {
            rig != live.rig
                && gain(rig) > choice.keep_bites
                && best.is_none_or(|best| gain(best) < gain(rig) + choice.begin_bites)
        });
        let swap = kept.or(best.filter(|&rig| gain(rig) > choice.begin_bites));
        self.advised = swap;
        let evidence = live.evidence(&self.setup.rules, own_ms);
        Ok(match swap {
            Some(rig) => self.advise_swap(&live, rig, gain(rig), evidence),
            None => self.advise_rules(&live, own_ms, evidence),
        })
    }

    /// Works the planner out again when the casts turn out clearly longer or shorter than it was made for.
    fn fit_planner(&mut self, live: &Live) {
        let ratio = live.cast_s / self.planner.cast_s();
        if !(0.75..=1.33).contains(&ratio) && self.setup.rigs.iter().any(|rig| !rig.hook_z_m.is_empty()) {
            self.planner = Planner::new(self.setup.choice.clone(), &self.model, live.cast_s);
        }
    }

    /// A number with the reader's decimal sign.
    fn number(&self, value: f64, decimals: u8) -> String {
        self.setup.units.map_or_else(|| fixed(value, decimals), |units| units.number(value, decimals))
    }

    /// A depth in the reader's units, or in metres with so many decimals.
    fn depth_words(&self, depth_m: f64, decimals: u8) -> String {
        match self.setup.units {
            Some(units) => units.depth_m(depth_m),
            None => [&fixed(depth_m, decimals), " m"].concat(),
        }
    }

    fn rig_words(&self, rig: usize) -> String {
        let Some(rig) = self.setup.rigs.get(rig) else { return String::new() };
        let mut words = String::from("the rig at ");
        words.push_str(&self.depth_words(rig.depth_m, 2));
        if !rig.name.is_empty() {
            words.push_str(" (");
            words.push_str(&rig.name);
            words.push(')');
        }
        words
    }

    fn advise_swap(&self, live: &Live, rig: usize, gain_bites: f64, evidence: Evidence) -> Advice {
        let sure = self.planner.chance_swap_pays(&self.model, &live.belief, live.rig, rig);
        let mut line = String::from("Pick up ");
        line.push_str(&self.rig_words(rig));
        line.push('.');
        let mut reason = quiet_words(&evidence);
        let fish = self.fish_now(live);
        reason.push_str(" Fish are most likely between ");
        reason.push_str(&match self.setup.units {
            Some(units) => units.depth_m(fish.from_m),
            None => fixed(fish.from_m, 1),
        });
        reason.push_str(" and ");
        reason.push_str(&self.depth_words(fish.to_m, 1));
        reason.push_str("; the swap is worth about ");
        reason.push_str(&self.number(gain_bites, 1));
        reason.push_str(" bites.");
        Advice { kind: AdviceKind::PickUpRig, rig: small(rig), line, reason, sure, gain_bites, evidence }
    }

    /// Staying, and what else could be changed then.
    fn advise_rules(&self, live: &Live, own_ms: f64, evidence: Evidence) -> Advice {
        let stay_sure = self.planner.chance_stay_pays(&self.model, &live.belief, live.rig);
        let (kind, line, reason, sure) = self.rule(live, own_ms, &evidence).unwrap_or_else(|| {
            let mut line = String::from("Stay on ");
            line.push_str(&self.rig_words(live.rig));
            line.push('.');
            (AdviceKind::Stay, line, quiet_words(&evidence), stay_sure)
        });
        Advice { kind, rig: small(live.rig), line, reason, sure, gain_bites: 0.0, evidence }
    }

    /// The first rule of common practice whose evidence is there.
    fn rule(
        &self,
        live: &Live,
        own_ms: f64,
        evidence: &Evidence,
    ) -> Option<(AdviceKind, String, String, f64)> {
        let rules = &self.setup.rules;
        let rested = |since_ms: f64| own_ms - since_ms > rules.rest_s * 1000.0;
        if evidence.last_bites as usize >= rules.shot_bites && rested(live.shot_ms) {
            let missed = f64::from(evidence.last_missed);
            let of = f64::from(evidence.last_bites);
            if missed >= rules.tighten_share * of {
                let mut reason = evidence.last_missed.to_string();
                reason.push_str(" of the last ");
                reason.push_str(&evidence.last_bites.to_string());
                reason.push_str(" bites were missed: the bite shows too late. Common practice.");
                let line = "Move the bulk nearer the hook and shorten the hooklength below its lowest shot.";
                // Chance, from a flat start, that more than half of the bites are being missed (normal
                // approximation).
                let mean = (missed + 1.0) / (of + 2.0);
                let sure = tail_above_half(mean, of);
                return Some((AdviceKind::TightenShot, line.to_owned(), reason, sure));
            }
        }
        let interval_s = live.clock.beat(&self.setup.phases, live.start_ms, own_ms).interval_s;
        if evidence.fish_in_ten_min >= rules.catching_well && interval_s.is_some() && rested(live.nudged_ms) {
            let mut reason = evidence.fish_in_ten_min.to_string();
            reason.push_str(
                " fish in the last ten minutes: they are there, do not fill them up. Common practice.",
            );
            let line = "Feed a little slower while you catch.";
            return Some((AdviceKind::FeedSlower, line.to_owned(), reason, 0.6));
        }
        if evidence.quiet_s < rules.slow_s {
            return None;
        }
        let rates = rates_per_s(&self.model, live.cast_s);
        let best = chances_best(&self.model, &live.belief, &rates);
        let right_rig = best.get(live.rig).copied().unwrap_or(0.0);
        if right_rig >= 0.5 {
            if let Some(interval_s) = interval_s
                && rested(live.nudged_ms)
            {
                let shallow = self.setup.rigs.get(live.rig).is_some_and(|rig| !rig.on_bottom);
                let mut line = String::from("Feed faster");
                if shallow && interval_s > rules.shallow_interval_s {
                    line.push_str(", about every ");
                    line.push_str(&fixed(rules.shallow_interval_s, 0));
                    line.push_str(" s while fishing shallow");
                }
                line.push('.');
                let mut reason = quiet_words(evidence);
                reason.push_str(" The depth seems right. Common practice.");
                return Some((AdviceKind::FeedFaster, line, reason, right_rig));
            }
            if rested(live.shot_ms) {
                let mut reason = quiet_words(evidence);
                reason
                    .push_str(" The depth seems right; a slower fall is seen by more fish. Common practice.");
                let line = "Spread the shot to slow the fall.";
                return Some((AdviceKind::SpreadShot, line.to_owned(), reason, right_rig));
            }
        }
        None
    }

    /// The day in numbers and words, as it stands at `at_ms`.
    ///
    /// # Errors
    /// `time` for a time that is none.
    pub fn summary(&self, at_ms: f64) -> Result<Summary, Refusal> {
        let (live, own_ms) = self.live_at(at_ms)?;
        let totals = live.totals(&self.setup);
        let end_ms = if live.ended { live.last_tap_ms } else { own_ms };
        let hours = ((end_ms - live.start_ms) / 3_600_000.0).max(0.0);
        let best_rig = best_rig(&totals);
        let seconds_between_feeds = (totals.feeds >= 2)
            .then(|| (live.feeds_ms.1 - live.feeds_ms.0) / 1000.0 / f64::from(totals.feeds - 1));
        let standing = self.log.standing().filter(|event| !event.note.is_empty());
        Ok(Summary {
            hours,
            left_cubes: totals.cubes_left,
            best_rig,
            seconds_between_feeds,
            notes: standing.map(|event| event.note.clone()).collect(),
            lines: self.summary_lines(&totals, hours),
            learned: self.learned(&totals, best_rig, seconds_between_feeds),
            totals,
        })
    }

    fn summary_lines(&self, totals: &Totals, hours: f64) -> Vec<String> {
        let mut lines = Vec::new();
        let mut line = counted(totals.fish, "fish", "fish");
        line.push_str(" in ");
        line.push_str(&self.number(hours, 1));
        line.push_str(" h; ");
        line.push_str(&counted(totals.missed, "bite missed", "bites missed"));
        line.push_str(", ");
        line.push_str(&counted(totals.lost, "fish lost", "fish lost"));
        line.push('.');
        lines.push(line);
        if let Some(weight_kg) = totals.weight_kg {
            let mut line = String::from("About ");
            line.push_str(&self.number(weight_kg, 1));
            line.push_str(" kg, ");
            line.push_str(&counted(totals.fish_weighed, "fish", "fish"));
            line.push_str(" of it weighed.");
            lines.push(line);
        }
        let mut line = fixed(totals.cubes_fed, 0);
        line.push_str(" cubes fed in ");
        line.push_str(&counted(totals.feeds, "feed", "feeds"));
        if let Some(left) = totals.cubes_left {
            line.push_str("; ");
            line.push_str(&fixed(left, 0));
            line.push_str(" left: freeze again only what was kept cold");
        }
        line.push('.');
        lines.push(line);
        lines
    }

    fn learned(&self, totals: &Totals, best: Option<u32>, between_s: Option<f64>) -> Vec<String> {
        let mut learned = Vec::new();
        if let Some((rig, tally)) = best.and_then(|rig| {
            let rig = rig as usize;
            totals.per_rig.get(rig).map(|tally| (rig, tally))
        }) {
            let mut line = String::from("Most bites came to ");
            line.push_str(&self.rig_words(rig));
            line.push_str(": ");
            line.push_str(&counted(tally.bites(), "bite", "bites"));
            line.push_str(" in ");
            line.push_str(&fixed(tally.water_s / 60.0, 0));
            line.push_str(" min of water time.");
            learned.push(line);
        }
        let struck = totals.missed + totals.fish + totals.lost;
        if struck >= 10 {
            let mut line = totals.missed.to_string();
            line.push_str(" of ");
            line.push_str(&struck.to_string());
            line.push_str(" bites were missed.");
            learned.push(line);
        }
        if let Some(between_s) = between_s {
            let mut line = String::from("Fed every ");
            line.push_str(&fixed(between_s, 0));
            line.push_str(" s on average.");
            learned.push(line);
        }
        learned
    }
}

impl RigTally {
    /// Bites of every sort that show fish taking: missed, landed and lost.
    #[must_use]
    pub fn bites(&self) -> u32 {
        self.fish + self.missed + self.lost
    }
}

fn best_rig(totals: &Totals) -> Option<u32> {
    let rate = |tally: &RigTally| f64::from(tally.bites()) / tally.water_s.max(60.0);
    let rigs = totals.per_rig.iter().enumerate().filter(|(_, tally)| tally.bites() > 0);
    rigs.max_by(|a, b| rate(a.1).total_cmp(&rate(b.1))).map(|(rig, _)| small(rig))
}

fn counted(count: u32, one: &str, many: &str) -> String {
    let mut words = count.to_string();
    words.push(' ');
    words.push_str(if count == 1 { one } else { many });
    words
}

fn told_jump(way: &str, by_ms: f64) -> String {
    let mut told = String::from("The clock jumped ");
    told.push_str(way);
    told.push_str(" by ");
    if by_ms < 120_000.0 {
        told.push_str(&fixed(by_ms / 1000.0, 0));
        told.push_str(" s");
    } else {
        told.push_str(&fixed(by_ms / 60_000.0, 0));
        told.push_str(" min");
    }
    told.push_str(". Every tap is kept in order; check the time of the end.");
    told
}

/// How the rig in hand has done since it was picked up.
fn quiet_words(evidence: &Evidence) -> String {
    let mut words = counted(evidence.bites, "bite", "bites");
    words.push_str(" in ");
    words.push_str(&fixed(evidence.water_s / 60.0, 0));
    words.push_str(" min of water time with this rig");
    if evidence.quiet_s >= 90.0 && evidence.bites > 0 {
        words.push_str(", none for ");
        words.push_str(&fixed(evidence.quiet_s / 60.0, 0));
        words.push_str(" min");
    }
    words.push('.');
    words
}

/// Chance that a share is above one half, for a share estimated as `mean` from `count` trials (normal
/// approximation, logistic form of the tail, within 0.02).
fn tail_above_half(mean: f64, count: f64) -> f64 {
    let deviation = (mean * (1.0 - mean) / (count + 3.0)).sqrt().max(1e-9);
    1.0 / (1.0 + (-1.702 * (mean - 0.5) / deviation).exp())
}

fn small(rig: usize) -> u32 {
    u32::try_from(rig).unwrap_or(0)
}

fn path_of(rig: &RigSetup, water_depth_m: f64) -> Path {
    Path {
        rest_m: rig.depth_m.min(water_depth_m),
        sample_dt_s: if rig.sample_dt_s > 0.0 { rig.sample_dt_s } else { 1.0 },
        hook_z_m: rig.hook_z_m.clone(),
    }
}

/// Refuses a number of the setup that is outside its limits, under the one code for that.
fn within(field: &'static str, came: f64, least: f64, most: f64) -> Result<(), Refusal> {
    refusal::within(field, "", came, (least, most), "").map(drop).map_err(|refused| refused.coded("setup"))
}

/// Checks every number of a setup and fills in the water's depth.
fn check(setup: &mut SessionSetup) -> Result<(), Refusal> {
    within("rigs", setup.rigs.len() as f64, 1.0, MAX_RIGS as f64)?;
    let mut deepest_m = 0.2;
    for rig in &setup.rigs {
        within("rigs.depth_m", rig.depth_m, 0.05, 15.0)?;
        deepest_m = rig.depth_m.max(deepest_m);
        within("rigs.hook_z_m", rig.hook_z_m.len() as f64, 0.0, 20_000.0)?;
        within("rigs.sample_dt_s", rig.sample_dt_s, if rig.hook_z_m.is_empty() { 0.0 } else { 0.001 }, 60.0)?;
        for &depth_m in &rig.hook_z_m {
            within("rigs.hook_z_m", depth_m, -1.0, 20.0)?;
        }
    }
    if setup.water_depth_m == 0.0 {
        setup.water_depth_m = deepest_m;
    }
    within("water_depth_m", setup.water_depth_m, 0.2, 15.0)?;
    within("first_rig", f64::from(setup.first_rig), 0.0, setup.rigs.len() as f64 - 1.0)?;
    within("start_ms", setup.start_ms, 0.0, log::MAX_AT_MS)?;
    for speed in [setup.sink.low_m_per_s, setup.sink.mid_m_per_s, setup.sink.high_m_per_s] {
        within("sink", speed, -1.0, 2.0)?;
    }
    within("phases", setup.phases.len() as f64, 0.0, 99.0)?;
    for phase in &setup.phases {
        within("phases.minutes", phase.minutes, 0.1, 1440.0)?;
        within("phases.cubes_per_feed", phase.cubes_per_feed, 0.0, 10_000.0)?;
        within("phases.seconds_between", phase.seconds_between, 0.0, 3600.0)?;
    }
    within("cubes_taken", setup.cubes_taken.unwrap_or(0.0), 0.0, 1e6)?;
    within("fish_mass_g", setup.fish_mass_g.unwrap_or(0.0), 0.0, 50_000.0)?;
    check_tuning(setup)
}

fn check_tuning(setup: &SessionSetup) -> Result<(), Refusal> {
    let depth = &setup.depth;
    within("depth.cell_m", depth.cell_m, 0.01, 0.05)?;
    within("depth.drift_m_per_sqrt_s", depth.drift_m_per_sqrt_s, 0.0, 0.1)?;
    within("depth.jump_every_s", depth.jump_every_s, 10.0, 1e6)?;
    within("depth.shallow_share", depth.shallow_share, 0.0, 1.0)?;
    within("depth.bottom_share", depth.bottom_share, 0.0, 1.0 - depth.shallow_share)?;
    within("depth.shallow_band_m", depth.shallow_band_m.0, 0.0, depth.shallow_band_m.1)?;
    within("depth.shallow_band_m", depth.shallow_band_m.1, 0.0, 15.0)?;
    within("depth.bottom_band_m", depth.bottom_band_m, 0.05, 15.0)?;
    within("depth.background_per_min", depth.background_per_min, 1e-6, 10.0)?;
    within("depth.peak_per_min", depth.peak_per_min, 1e-3, 60.0)?;
    within("depth.guesses", depth.guesses.len() as f64, 1.0, 8.0)?;
    for guess in &depth.guesses {
        within("depth.guesses.band_m", guess.band_m, 0.01, 2.0)?;
        within("depth.guesses.fall", guess.fall, 0.0, 10.0)?;
    }
    within("depth.activity_levels", depth.activity_levels as f64, 1.0, 9.0)?;
    within("depth.activity_every_s", depth.activity_every_s, 60.0, 1e7)?;
    within("depth.reaction_s", depth.reaction_s, 0.0, 30.0)?;
    within("depth.landing_s", depth.landing_s, 0.0, 300.0)?;
    within("depth.fall_spread", depth.fall_spread, 0.0, 1.0)?;
    within("depth.longest_step_s", depth.longest_step_s, 1.0, 600.0)?;
    let choice = &setup.choice;
    within("choice.swap_s", choice.swap_s, 0.0, 600.0)?;
    within("choice.horizon_s", choice.horizon_s, 60.0, 20_000.0)?;
    within("choice.reveal_s", choice.reveal_s, 0.0, 8000.0)?;
    within("choice.block_s", choice.block_s, 5.0, 600.0)?;
    within("choice.blocks", choice.blocks as f64, 0.0, 3.0)?;
    within("choice.begin_bites", choice.begin_bites, 0.0, 100.0)?;
    within("choice.keep_bites", choice.keep_bites, -100.0, choice.begin_bites)?;
    let rules = &setup.rules;
    within("rules.double_touch_ms", rules.double_touch_ms, 0.0, 5000.0)?;
    within("rules.usual_cast_s", rules.usual_cast_s, 5.0, 600.0)?;
    for (field, came) in [
        ("rules.idle_s", rules.idle_s),
        ("rules.after_bite_s", rules.after_bite_s),
        ("rules.after_fish_s", rules.after_fish_s),
        ("rules.slow_s", rules.slow_s),
        ("rules.shallow_interval_s", rules.shallow_interval_s),
        ("rules.rest_s", rules.rest_s),
    ] {
        within(field, came, 0.0, 36_000.0)?;
    }
    within("rules.shot_bites", rules.shot_bites as f64, 1.0, BITES_KEPT as f64)?;
    within("rules.tighten_share", rules.tighten_share, 0.0, 1.0)
}

impl Live {
    fn new(setup: &SessionSetup, model: &Model) -> Self {
        Self {
            belief: Belief::prior(model),
            at_ms: setup.start_ms,
            start_ms: setup.start_ms,
            last_tap_ms: setup.start_ms,
            rig: setup.first_rig as usize,
            lowered_ms: None,
            out_with_bite_ms: None,
            casts_said: setup.feed_is_recast,
            cast_s: setup.rules.usual_cast_s,
            casts_seen: 0,
            clock: FeedClock::default(),
            totals: Totals {
                per_rig: vec![RigTally::default(); setup.rigs.len()],
                cubes_left: setup.cubes_taken,
                ..Totals::default()
            },
            fish_mass_g: 0.0,
            spell: (0.0, 0, 0.0),
            bites: VecDeque::new(),
            shot_ms: f64::NEG_INFINITY,
            nudged_ms: f64::NEG_INFINITY,
            feeds_ms: (0.0, 0.0),
            begun: false,
            ended: false,
        }
    }

    /// Without a start, or with a first tap before it, the session starts now.
    fn begin(&mut self, at_ms: f64) {
        if !self.begun && (self.start_ms == 0.0 || at_ms < self.start_ms) {
            (self.start_ms, self.at_ms, self.last_tap_ms) = (at_ms, at_ms, at_ms);
        }
    }

    fn since_lowered_s(&self, at_ms: f64) -> Option<f64> {
        self.lowered_ms.filter(|&lowered| lowered <= at_ms).map(|lowered| (at_ms - lowered) / 1000.0)
    }

    /// Moves the belief on to `to_ms`, with the rig in the water as far as that is known.
    fn advance(&mut self, setup: &SessionSetup, model: &Model, to_ms: f64) {
        let seen_ms = to_ms.min(self.last_tap_ms + setup.rules.idle_s * 1000.0);
        let longest_ms = model.settings().longest_step_s * 1000.0;
        while self.at_ms < to_ms {
            let at_ms = self.at_ms;
            let (end_ms, lowered) = match self.lowered_ms {
                Some(lowered) if lowered > at_ms => (lowered.min(to_ms), None),
                Some(lowered) if at_ms < seen_ms => (seen_ms.min(at_ms + longest_ms), Some(lowered)),
                _ => (to_ms, None),
            };
            let dt_s = (end_ms - at_ms) / 1000.0;
            self.belief.predict(model, dt_s);
            if let Some(lowered) = lowered {
                let from_s = (at_ms - lowered) / 1000.0;
                self.belief.no_bite(model, self.rig, from_s, from_s + dt_s);
                if let Some(tally) = self.totals.per_rig.get_mut(self.rig) {
                    tally.water_s += dt_s;
                }
                self.spell.0 += dt_s;
                self.spell.2 += dt_s;
            }
            self.at_ms = end_ms;
        }
    }

    fn apply(&mut self, setup: &SessionSetup, model: &Model, event: &Event, at_ms: f64) {
        self.begin(at_ms);
        self.begun = true;
        // Only what ends or begins water time needs the belief at this moment; for the rest it is moved on
        // later.
        let late = at_ms - self.last_tap_ms > setup.rules.idle_s * 1000.0;
        if late {
            self.advance(setup, model, at_ms);
        }
        if let Some(rig) = event.rig
            && rig as usize != self.rig
        {
            self.advance(setup, model, at_ms);
            self.change_rig(rig as usize);
        }
        match event.kind {
            EventKind::Fed => self.fed(setup, model, event, at_ms),
            EventKind::Cast => {
                self.casts_said = true;
                self.lower(setup, model, at_ms);
            }
            EventKind::Bite | EventKind::Fish | EventKind::LostFish => self.bite(setup, model, event, at_ms),
            EventKind::FoulHooked => {
                self.totals.foul_hooked += 1;
                self.tally(|tally| tally.foul_hooked += 1);
                self.lift(setup, model, at_ms, setup.rules.after_fish_s);
            }
            EventKind::Lift => {
                self.lift(setup, model, at_ms, 0.0);
                self.lowered_ms = None;
            }
            EventKind::PickUpRig => self.lift(setup, model, at_ms, setup.choice.swap_s),
            EventKind::Pause => {
                self.lift(setup, model, at_ms, 0.0);
                self.lowered_ms = None;
                self.clock.pause(at_ms);
            }
            EventKind::Resume => {
                self.clock.resume(at_ms);
                self.lift(setup, model, at_ms, 0.0);
            }
            EventKind::PhaseChange => {
                #[expect(
                    clippy::cast_possible_truncation,
                    clippy::cast_sign_loss,
                    reason = "checked: 0 to 99"
                )]
                self.clock.change_phase(event.value.unwrap_or(0.0) as usize, at_ms);
            }
            EventKind::Nudge => {
                self.clock.nudge(event.value.unwrap_or(0.0));
                self.nudged_ms = at_ms;
            }
            EventKind::Shot => self.shot_ms = at_ms,
            EventKind::Note | EventKind::Undo => {}
            EventKind::End => {
                self.lift(setup, model, at_ms, 0.0);
                self.lowered_ms = None;
                self.clock.pause(at_ms);
                self.ended = true;
            }
        }
        self.last_tap_ms = at_ms;
    }

    fn tally(&mut self, change: impl FnOnce(&mut RigTally)) {
        if let Some(tally) = self.totals.per_rig.get_mut(self.rig) {
            change(tally);
        }
    }

    fn change_rig(&mut self, rig: usize) {
        self.rig = rig;
        self.lowered_ms = None;
        self.out_with_bite_ms = None;
        self.spell = (0.0, 0, 0.0);
        self.totals.swaps += 1;
    }

    /// The rig comes out of the water. If lowering is never said, it is back in after `back_s`.
    fn lift(&mut self, setup: &SessionSetup, model: &Model, at_ms: f64, back_s: f64) {
        self.advance(setup, model, at_ms);
        self.lowered_ms = (!self.casts_said).then_some(at_ms + back_s * 1000.0);
        self.out_with_bite_ms = None;
    }

    fn lower(&mut self, setup: &SessionSetup, model: &Model, at_ms: f64) {
        // A lowering corrected at once is no cast.
        if let Some(length_s) = self.since_lowered_s(at_ms).filter(|&length_s| length_s >= 5.0) {
            // The mean over the first ten casts, then over about the last ten.
            self.casts_seen += 1;
            let share = 1.0 / f64::from(self.casts_seen.min(10));
            self.cast_s += share * (between(length_s, 10.0, 180.0) - self.cast_s);
        }
        self.advance(setup, model, at_ms);
        self.lowered_ms = Some(at_ms);
        self.out_with_bite_ms = None;
        self.tally(|tally| tally.casts += 1);
    }

    fn fed(&mut self, setup: &SessionSetup, model: &Model, event: &Event, at_ms: f64) {
        let phase = self.clock.phase(&setup.phases, self.start_ms, at_ms);
        let usual = phase.and_then(|phase| setup.phases.get(phase)).map_or(0.0, |phase| phase.cubes_per_feed);
        let cubes = event.value.unwrap_or(usual);
        self.totals.feeds += 1;
        self.totals.cubes_fed += cubes;
        if let Some(left) = &mut self.totals.cubes_left {
            *left = (*left - cubes).max(0.0);
        }
        if self.totals.feeds == 1 {
            self.feeds_ms.0 = at_ms;
        }
        self.feeds_ms.1 = at_ms;
        self.clock.fed(at_ms);
        let first = !self.casts_said && self.lowered_ms.is_none();
        if setup.feed_is_recast || first {
            self.lower(setup, model, at_ms);
        }
    }

    /// A bite: how deep the hook bait was just before it was tapped weighs the belief.
    ///
    /// A bite on a rig that came out with the bite before, and was not said to be lowered again, tells that
    /// it was: it is then taken to have hung since.
    fn bite(&mut self, setup: &SessionSetup, model: &Model, event: &Event, at_ms: f64) {
        if self.lowered_ms.is_none() {
            self.lowered_ms = self.out_with_bite_ms;
        }
        let missed = event.kind == EventKind::Bite;
        let settings = model.settings();
        let window_s = if missed { settings.reaction_s } else { settings.landing_s };
        if let Some(to_s) = self.since_lowered_s(at_ms) {
            let from_s = (to_s - window_s).max(0.0);
            let middle_ms = at_ms - 500.0 * (to_s - from_s);
            self.advance(setup, model, middle_ms.max(self.at_ms));
            self.belief.bite(model, self.rig, from_s, to_s);
        } else {
            self.advance(setup, model, at_ms);
            self.belief.bite(model, self.rig, 0.0, 0.0);
        }
        self.count_bite(event, at_ms);
        // The rig is out now; the belief is moved on from the bite when the next water time begins.
        let back_s = if missed { setup.rules.after_bite_s } else { setup.rules.after_fish_s };
        self.lowered_ms = (!self.casts_said).then_some(at_ms + back_s * 1000.0);
        self.out_with_bite_ms = Some(at_ms);
    }

    fn count_bite(&mut self, event: &Event, at_ms: f64) {
        let hour = (at_ms - self.start_ms).max(0.0) / 3_600_000.0;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "not negative, capped")]
        let hour = hour.min(47.0) as usize;
        if self.totals.per_hour.len() <= hour {
            self.totals.per_hour.resize(hour + 1, Hour::default());
        }
        let mut in_hour = Hour::default();
        match event.kind {
            EventKind::Fish => {
                self.totals.fish += 1;
                in_hour.fish = 1;
                self.tally(|tally| tally.fish += 1);
                if let Some(mass_g) = event.value {
                    self.totals.fish_weighed += 1;
                    self.fish_mass_g += mass_g;
                }
            }
            EventKind::LostFish => {
                self.totals.lost += 1;
                self.tally(|tally| tally.lost += 1);
            }
            _ => {
                self.totals.missed += 1;
                in_hour.missed = 1;
                self.tally(|tally| tally.missed += 1);
            }
        }
        if let Some(hour) = self.totals.per_hour.get_mut(hour) {
            hour.fish += in_hour.fish;
            hour.missed += in_hour.missed;
        }
        self.spell.1 += 1;
        self.spell.2 = 0.0;
        if self.bites.len() >= BITES_KEPT {
            self.bites.pop_front();
        }
        self.bites.push_back((at_ms, event.kind == EventKind::Fish));
    }

    fn totals(&self, setup: &SessionSetup) -> Totals {
        let mut totals = self.totals.clone();
        let unweighed = f64::from(totals.fish - totals.fish_weighed.min(totals.fish));
        let usual_g = setup
            .fish_mass_g
            .or_else(|| (totals.fish_weighed > 0).then(|| self.fish_mass_g / f64::from(totals.fish_weighed)));
        totals.weight_kg = usual_g.map(|usual_g| (self.fish_mass_g + unweighed * usual_g) / 1000.0);
        totals
    }

    fn evidence(&self, rules: &Rules, at_ms: f64) -> Evidence {
        let since = |minutes: f64| at_ms - minutes * 60_000.0;
        let shot = self.bites.iter().rev().take(rules.shot_bites);
        let shot: Vec<_> = shot.filter(|bite| bite.0 > since(60.0).max(self.shot_ms)).collect();
        let missed = shot.iter().filter(|bite| !bite.1).count();
        let fish = self.bites.iter().filter(|bite| bite.1 && bite.0 > since(10.0)).count();
        Evidence {
            water_s: self.spell.0,
            quiet_s: self.spell.2,
            bites: self.spell.1,
            last_bites: small(shot.len()),
            last_missed: small(missed),
            fish_in_ten_min: small(fish),
        }
    }
}
