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
//! use dotdown::session::{Event, EventKind, RigSetup, Session, SessionSetup};
//! let rig = |depth_m| RigSetup { depth_m, ..RigSetup::default() };
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

mod advice;
pub mod depth_filter;
pub mod event;
pub mod export;
pub mod feed_clock;
mod fished;
pub mod habits;
pub mod import;
pub mod log;
mod own_clock;
mod replay;
pub mod rig_choice;
pub mod setup;
pub mod state;
pub mod summary;
#[cfg(test)]
mod tests;
pub(crate) mod words;

pub use event::{Event, EventKind};
pub use fished::{FishedDay, MAX_DAYS, habits};
pub use log::Log;
pub use setup::{RigSetup, SessionSetup};
pub use state::{Advice, AdviceKind, State};

use crate::refusal::Refusal;
use advice::Adviser;
use event::check_time;
use feed_clock::FeedStatus;
use own_clock::OwnClock;
use replay::Replay;
use setup::Prepared;
use state::{FishNow, Recorded, RigNow, TickState, as_u32};
use std::collections::VecDeque;
use summary::{Summary, summary};

/// How many undos are quick; beyond, the log is gone through again.
const MAX_SNAPSHOTS: usize = 32;

/// A running session.
#[derive(Clone, Debug)]
pub struct Session {
    prepared: Prepared,
    log: Log,
    clock: OwnClock,
    replay: Replay,
    /// The replay before each of the last events that stand.
    past: VecDeque<Replay>,
    adviser: Adviser,
}

impl Session {
    /// Starts a session.
    ///
    /// # Errors
    /// `setup` naming the field that is out of range.
    pub fn new(setup: SessionSetup) -> Result<Self, Refusal> {
        let prepared = Prepared::new(setup)?;
        Ok(Self {
            log: Log::default(),
            clock: OwnClock::default(),
            replay: Replay::new(&prepared),
            past: VecDeque::new(),
            adviser: Adviser::new(&prepared),
            prepared,
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
        let tidy = log.tidy(self.setup().rigs.len())?;
        self.replay = Replay::new(&self.prepared);
        self.clock = OwnClock::default();
        self.adviser.advised = None;
        for event in tidy.events() {
            self.clock.take(event.at_ms, self.replay.start_ms, &mut Vec::new());
        }
        self.log = tidy;
        self.rebuild();
        Ok(())
    }

    /// The setup, with defaults filled in.
    #[must_use]
    pub fn setup(&self) -> &SessionSetup {
        &self.prepared.setup
    }

    /// The log.
    #[must_use]
    pub fn log(&self) -> &Log {
        &self.log
    }

    /// The names of the rigs, for exports.
    #[must_use]
    pub fn rig_names(&self) -> Vec<String> {
        self.setup().rigs.iter().map(|rig| rig.name.clone()).collect()
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
        let (event, changed) = event.tidy(self.setup().rigs.len())?;
        let mut told = Vec::new();
        if changed {
            told.push("The note held markup or too many words and was made plain.".to_owned());
        }
        let Some(number) = self.log.push(event.clone(), self.setup().rules.double_touch_ms)? else {
            return Ok(Recorded { number: None, line: String::new(), double_touch: true, told });
        };
        let at_ms = self.clock.take(event.at_ms, self.replay.start_ms, &mut told);
        if event.kind == EventKind::Undo {
            match self.past.pop_back() {
                Some(before) => self.replay = before,
                None => self.rebuild(),
            }
        } else {
            if self.past.len() >= MAX_SNAPSHOTS {
                self.past.pop_front();
            }
            self.past.push_back(self.replay.clone());
            self.replay.apply(&self.prepared, &event, at_ms);
        }
        let line = self.log.line(number).unwrap_or_default();
        Ok(Recorded { number: Some(number), line, double_touch: false, told })
    }

    /// Derives everything again from the records that stand.
    fn rebuild(&mut self) {
        self.replay = Replay::new(&self.prepared);
        self.past.clear();
        let count = self.log.standing().count();
        for (place, (number, event)) in self.log.standing_numbered().enumerate() {
            if place + MAX_SNAPSHOTS >= count {
                self.past.push_back(self.replay.clone());
            }
            let at_ms = self.clock.times_ms.get(number).copied().unwrap_or(event.at_ms);
            self.replay.apply(&self.prepared, event, at_ms);
        }
    }

    /// The replay moved on to a moment, and that moment on the session's own clock.
    fn replay_at(&self, at_ms: f64) -> Result<(Replay, f64), Refusal> {
        check_time("at_ms", at_ms)?;
        let mut replay = self.replay.clone();
        replay.begin(at_ms);
        let own_ms = (at_ms + self.clock.shift_ms).max(replay.at_ms);
        replay.advance(&self.prepared, own_ms);
        Ok((replay, own_ms))
    }

    /// Everything the screen shows at `at_ms`, ms since 1970. A moment before the last event is taken as that
    /// event's.
    ///
    /// # Errors
    /// `time` for a time that is none.
    pub fn state(&self, at_ms: f64) -> Result<State, Refusal> {
        let (replay, own_ms) = self.replay_at(at_ms)?;
        let Prepared { setup, model, .. } = &self.prepared;
        let since_lowered_s = replay.since_lowered_s(own_ms);
        let TickState { beat, clouds, hook_m } = self.tick(&replay, own_ms);
        let line = beat.phase.and_then(|phase| setup.phases.get(phase)).map(|phase| phase.line.clone());
        Ok(State {
            at_ms,
            ended: replay.ended,
            rig: as_u32(replay.rig),
            in_water: since_lowered_s.is_some(),
            since_lowered_s,
            hook_m,
            beat,
            line: line.unwrap_or_default(),
            clouds,
            fish: FishNow::new(model, &replay.belief),
            rigs: RigNow::all(&self.prepared, &replay.belief, replay.cast_s),
            totals: replay.totals(setup.fish_mass_g),
            undoes: self.log.standing().next_back().map_or("", |event| event.kind.name()).to_owned(),
        })
    }

    /// What moves from second to second, without weighing where the fish are: light enough for every tick. A moment
    /// before the last event is taken as that event's, and one that is no time as well.
    #[must_use]
    pub fn glance(&self, at_ms: f64) -> TickState {
        self.tick(&self.replay, (at_ms + self.clock.shift_ms).max(self.replay.at_ms))
    }

    fn tick(&self, replay: &Replay, own_ms: f64) -> TickState {
        let Prepared { setup, paths, .. } = &self.prepared;
        let beat = replay.clock.beat(&setup.phases, replay.start_ms, own_ms);
        let mut clouds = replay.clock.clouds(setup.sink, setup.water_depth_m, own_ms);
        for cloud in &mut clouds {
            cloud.fed_at_ms -= self.clock.shift_ms;
        }
        let hook_m = |since_s| paths.get(replay.rig).map(|path| path.depth_m(since_s));
        TickState {
            beat: FeedStatus { next_at_ms: beat.next_at_ms.map(|next| next - self.clock.shift_ms), ..beat },
            clouds,
            hook_m: replay.since_lowered_s(own_ms).and_then(hook_m),
        }
    }

    /// What to do next at `at_ms`, ms since 1970: one line with its reason. A swap once advised stays advised
    /// until it is clearly no longer worth it.
    ///
    /// # Errors
    /// `time` for a time that is none.
    pub fn advice(&mut self, at_ms: f64) -> Result<Advice, Refusal> {
        let (replay, own_ms) = self.replay_at(at_ms)?;
        Ok(self.adviser.advice(&self.prepared, &replay, own_ms))
    }

    /// The day in numbers and words, as it stands at `at_ms`.
    ///
    /// # Errors
    /// `time` for a time that is none.
    pub fn summary(&self, at_ms: f64) -> Result<Summary, Refusal> {
        let (replay, own_ms) = self.replay_at(at_ms)?;
        Ok(summary(self.setup(), &self.log, &replay, own_ms))
    }
}
