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
pub use fished::{FishedDay, MAX_DAYS, days_that_fit, habits};
pub use log::Log;
use log::{Pushed, Standing};
pub use setup::{LineSetup, RigSetup, SessionSetup};
pub use state::{Advice, AdviceKind, State};

use crate::refusal::Refusal;
use crate::units::fixed;
use advice::Adviser;
use event::check_time;
use export::{CsvDay, to_csv};
use feed_clock::FeedStatus;
use own_clock::{OwnClock, in_order};
use replay::Replay;
use setup::Prepared;
use state::{FishNow, Recorded, RigNow, TickState, as_u32};
use std::collections::VecDeque;
pub use summary::{Advised, DayPicture, Mark};
use summary::{Summary, summary};

/// Between two looks at where the fish were, for the picture of the day, ms; and how many.
const BAND_STEP_MS: f64 = 300_000.0;
const MAX_BAND: usize = 300;

/// The most numbers of the filter that a log may have changed: each tap, and each minute between two for an hour and a half
/// at most, changes all of them. A day of 3,500 taps and minutes on six lines as deep as can be takes as much.
const MAX_CHANGES: f64 = 2e8;
const MAX_QUIET_STEPS: f64 = 95.0;

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
    /// Steps of the filter that the log takes.
    steps: f64,
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
            steps: 0.0,
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
        let (replay, mut clock, mut steps) = (Replay::new(&self.prepared), OwnClock::default(), 0.0);
        for event in tidy.events() {
            let before_ms = clock.times_ms.last().copied();
            let at_ms = clock.take(event.at_ms, replay.start_ms, &mut Vec::new());
            steps = self.steps_to(steps, before_ms, at_ms)?;
        }
        (self.replay, self.clock, self.steps) = (replay, clock, steps);
        self.adviser = Adviser::new(&self.prepared);
        self.log = tidy;
        self.rebuild();
        // What was advised before goes on to be.
        for before in &self.past {
            self.adviser.choose(&self.prepared, before, before.at_ms);
        }
        Ok(())
    }

    /// Steps of the filter with one more tap.
    fn steps_to(&self, steps: f64, before_ms: Option<f64>, at_ms: f64) -> Result<f64, Refusal> {
        let quiet_s = before_ms.map_or(0.0, |before_ms| (at_ms - before_ms) / 1000.0);
        let more = (quiet_s / self.setup().depth.longest_step_s).min(MAX_QUIET_STEPS);
        let steps = steps + 1.0 + more.max(0.0);
        let numbers: usize = self.replay.belief.0.iter().map(|line| line.p.len()).sum();
        let most = MAX_CHANGES / numbers as f64;
        if steps <= most {
            return Ok(steps);
        }
        let sentence = format!(
            "This session has more than {} taps and minutes between them, which is the most that is worked out on its \
             lines. Export it and begin a new one.",
            fixed(most.floor(), 0)
        );
        Err(Refusal::new("too_large", "", sentence))
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
        if self.log.is_double(&event, self.setup().rules.double_touch_ms) {
            return Ok(Recorded { number: None, line: String::new(), double_touch: true, told });
        }
        let steps = self.steps_to(self.steps, self.clock.times_ms.last().copied(), event.at_ms)?;
        let Pushed { number, rewritten } = self.log.push_as_is(event.clone())?;
        self.steps = steps;
        let at_ms = self.clock.take(event.at_ms, self.replay.start_ms, &mut told);
        if rewritten || event.kind == EventKind::Undo {
            self.adviser.corrected();
        }
        let before = if event.kind == EventKind::Undo { self.past.pop_back() } else { None };
        match (rewritten, event.kind, before, self.log.standing().last()) {
            (false, EventKind::Undo, Some(before), _) => self.replay = before,
            (true, ..) | (_, EventKind::Undo, ..) | (_, _, _, None) => self.rebuild(),
            (.., Some(last)) => {
                if self.past.len() >= MAX_SNAPSHOTS {
                    self.past.pop_front();
                }
                self.past.push_back(self.replay.clone());
                self.replay.apply(&self.prepared, last, at_ms);
            }
        }
        let line = self.log.line(number).unwrap_or_default();
        Ok(Recorded { number: Some(number), line, double_touch: false, told })
    }

    /// Derives everything again from the records that stand.
    fn rebuild(&mut self) {
        self.replay = Replay::new(&self.prepared);
        self.past.clear();
        let count = self.log.standing().len();
        for (place, (at_ms, one)) in in_order(&self.log, &self.clock).into_iter().enumerate() {
            if place + MAX_SNAPSHOTS >= count {
                self.past.push_back(self.replay.clone());
            }
            self.replay.apply(&self.prepared, one, at_ms);
        }
        // The order of the past is that of the taps: with a record moved in time, an undo derives it anew.
        if self.log.standing().iter().any(|one| one.later_ms != 0.0) {
            self.past.clear();
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
        let setup = self.setup();
        let since_lowered_s = replay.since_lowered_s(own_ms);
        let TickState { beat, clouds, hook_m } = self.tick(&replay, own_ms);
        let line = beat.phase.and_then(|phase| setup.phases.get(phase)).map(|phase| phase.line.clone());
        let beliefs = self.prepared.lines.all().iter().zip(&replay.belief.0);
        let lines: Vec<FishNow> = beliefs.map(|(line, belief)| FishNow::new(&line.model, belief)).collect();
        let fish = lines.get(self.prepared.lines.of_rig(replay.rig).0).or(lines.first()).cloned();
        Ok(State {
            at_ms,
            ended: replay.ended,
            rig: as_u32(replay.rig),
            in_water: since_lowered_s.is_some(),
            since_lowered_s,
            hook_m,
            beat,
            line: line.unwrap_or_default(),
            next_phase: replay
                .clock
                .next_phase(&setup.phases, replay.start_ms, own_ms)
                .map(|(phase, at_ms)| (phase, at_ms - self.clock.shift_ms)),
            short_cubes: replay.short_cubes(setup, own_ms),
            start_ms: replay.start_ms - self.clock.shift_ms,
            clouds,
            fish: fish.unwrap_or_default(),
            lines,
            rigs: RigNow::all(&self.prepared, &replay.belief, replay.cast_s),
            totals: replay.totals(setup.fish_mass_g),
            undoes: self.undoes(),
        })
    }

    /// What an undo would take back, with the rig that it was on.
    fn undoes(&self) -> Option<Event> {
        let event = self.log.undoes()?;
        let on_a_rig = event.kind.on_a_rig() || event.kind == EventKind::Cast;
        let rig = event.rig.or_else(|| on_a_rig.then(|| as_u32(self.replay.rig)));
        Some(Event { rig, ..event.clone() })
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
        let line = setup.rigs.get(replay.rig).and_then(|rig| setup.lines.get(rig.line as usize));
        let depth_m = line.map_or(setup.water_depth_m, |line| line.depth_m);
        let mut clouds = replay.clock.clouds(setup.sink, depth_m, own_ms);
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

    /// What to do next at `at_ms`, ms since 1970: one line with its reason. It holds: see [`rig_choice`].
    ///
    /// # Errors
    /// `time` for a time that is none.
    pub fn advice(&mut self, at_ms: f64) -> Result<Advice, Refusal> {
        let (replay, own_ms) = self.replay_at(at_ms)?;
        Ok(self.adviser.advice(&self.prepared, &replay, own_ms))
    }

    /// The log as a file for spreadsheets, one line an event: see [`export`].
    #[must_use]
    pub fn csv(&self, day: &CsvDay<'_>) -> String {
        let start_ms =
            (!self.log.standing().is_empty()).then_some(self.replay.start_ms - self.clock.shift_ms);
        to_csv(self.setup(), &self.with_rigs(), start_ms, day)
    }

    /// The records that stand in the order they happened, each with the rig it was on.
    #[must_use]
    pub fn with_rigs(&self) -> Vec<(usize, &Standing)> {
        let mut in_hand = self.setup().first_rig as usize;
        let with_rig = |(_, one): (f64, &'_ Standing)| {
            let rig = one.event.rig.map_or(in_hand, |rig| rig as usize);
            if !one.alone {
                in_hand = rig;
            }
            rig
        };
        let order = in_order(&self.log, &self.clock);
        let rigs: Vec<usize> = order.iter().copied().map(with_rig).collect();
        rigs.into_iter().zip(order).map(|(rig, (_, one))| (rig, one)).collect()
    }

    /// The day as one picture.
    #[must_use]
    pub fn picture(&self) -> DayPicture {
        let shift_ms = self.clock.shift_ms;
        let mark = |&(rig, one): &(usize, &Standing)| {
            let landed = one.event.kind == EventKind::Fish;
            let shown = landed || matches!(one.event.kind, EventKind::Missed | EventKind::Bite);
            (shown && !one.landed).then(|| Mark { at_ms: one.event.at_ms, rig: as_u32(rig), landed })
        };
        let marks = self.with_rigs().iter().filter_map(mark).collect();
        let mut replay = Replay::new(&self.prepared);
        let mut adviser = Adviser::new(&self.prepared);
        let (mut band, mut advised) = (Vec::new(), Vec::<Advised>::new());
        let mut look = |replay: &Replay, at_ms: f64| {
            if let Some(last) = advised.last_mut() {
                last.taken |= last.rig == as_u32(replay.rig);
            }
            adviser.choose(&self.prepared, replay, at_ms);
            let Some(rig) = adviser.target.filter(|&rig| rig != replay.rig).map(as_u32) else { return };
            if advised.last().is_none_or(|last| last.taken || last.rig != rig) {
                advised.push(Advised { at_ms: at_ms - shift_ms, rig, taken: false });
            }
        };
        let mut step = |replay: &mut Replay, until_ms: f64, look: &mut dyn FnMut(&Replay, f64)| {
            while band.len() < MAX_BAND && replay.start_ms + BAND_STEP_MS * band.len() as f64 <= until_ms {
                let at_ms = replay.start_ms + BAND_STEP_MS * band.len() as f64;
                replay.advance(&self.prepared, at_ms);
                look(replay, at_ms);
                let line = self.prepared.line_of(replay.rig);
                let fish =
                    line.and_then(|(line, of, _)| Some((of, replay.belief.0.get(line)?.depths(&of.model))));
                let share =
                    |share: f64| fish.as_ref().map_or(0.0, |(of, fish)| of.model.quantile_m(fish, share));
                band.push((at_ms - shift_ms, share(0.2), share(0.8)));
            }
        };
        for (at_ms, one) in in_order(&self.log, &self.clock) {
            if replay.last_tap_ms > 0.0 {
                step(&mut replay, at_ms, &mut look);
            }
            replay.apply(&self.prepared, one, at_ms);
            // A feed or a cast alone does not change what is advised, and they are most of a log.
            if !matches!(one.event.kind, EventKind::Fed | EventKind::Cast) {
                look(&replay, at_ms);
            }
        }
        let to_ms = replay.last_tap_ms;
        step(&mut replay, to_ms, &mut look);
        DayPicture { from_ms: replay.start_ms - shift_ms, to_ms: to_ms - shift_ms, marks, band, advised }
    }

    /// The day in numbers and words, as it stands at `at_ms`.
    ///
    /// # Errors
    /// `time` for a time that is none.
    pub fn summary(&self, at_ms: f64) -> Result<Summary, Refusal> {
        let (replay, own_ms) = self.replay_at(at_ms)?;
        Ok(summary(&self.prepared, &self.log, &replay, own_ms))
    }
}
