//! The running session as the page holds it: what each tap makes of it, its log as a file, and what is kept of it with the
//! plan.

use super::tap::Tap;
use crate::book::Id;
use crate::plan::fields::list_of;
use crate::plan::{self, Group, KitItem, Plan};
use crate::refusal::Refusal;
use crate::results::session_setup::session_setup;
use crate::results::work_out;
use crate::session::export::CsvDay;
use crate::session::habits::Habits;
use crate::session::log::read_back;
use crate::session::state::TickState;
use crate::session::words::counted;
use crate::session::{Advice, AdviceKind, DayPicture, Event, EventKind, Session, State};
use crate::units::{Units, clock_words, fixed};

/// The session in hand.
#[derive(Clone, Debug)]
pub struct RunningSession {
    /// The day that is fished.
    pub day: Id,
    /// The session.
    pub session: Session,
    /// The moment that is shown, ms since 1970.
    pub at_ms: f64,
    /// Whether another tab has the session in hand, so that this one only shows it.
    pub watching: bool,
    pub(crate) state: State,
    pub(crate) glance: TickState,
    pub(crate) advice: Advice,
    pub(crate) water_m: f64,
    pub(crate) cubes_per_tin: f64,
    /// When the day is planned to begin and to end, ms since 1970 as if its own clock were UTC's.
    planned_ms: (f64, f64),
    /// The room that the screen leaves for the water, height over width; as it was told.
    pub(crate) room: Option<f64>,
    /// The day as one picture, once it is over: to work it out takes a replay of the log.
    pub(crate) picture: Option<DayPicture>,
}

/// Keys of the running session, capital, with the tap that each stands for; the first of a tap is shown on its button.
pub const KEYS: [(&str, &str); 7] = [
    ("F", "fed"),
    ("1", "fed"),
    ("M", "missed"),
    ("2", "missed"),
    ("H", "fish"),
    ("3", "fish"),
    ("U", "undo"),
];

/// When a day is planned to begin and to end, ms since 1970 as if its own clock were UTC's.
pub(crate) fn planned_ms(plan: &Plan) -> (f64, f64) {
    let midnight_ms = 86_400_000.0 * f64::from(plan.day.date.0);
    let from = plan.day.all_in_min;
    let at = |minutes: i32| midnight_ms + 60_000.0 * f64::from(minutes);
    (at(from), at(from + plan.day.span_min()))
}

/// A kind of event in words, small.
pub(crate) fn kind_words(kind: EventKind) -> &'static str {
    match kind {
        EventKind::Fed => "feed",
        EventKind::Bite | EventKind::Missed => "missed",
        EventKind::Fish => "fish",
        EventKind::LostFish => "fish lost",
        EventKind::FoulHooked => "foul-hooked",
        EventKind::Cast => "rig in",
        EventKind::Lift => "rig out",
        EventKind::PickUpRig => "change of rig",
        EventKind::Pause => "pause",
        EventKind::Resume => "resume",
        EventKind::PhaseChange => "phase",
        EventKind::Nudge => "pace of feeding",
        EventKind::Shot => "shot moved",
        EventKind::Note => "note",
        EventKind::NextNet => "next net",
        EventKind::Correct => "correction",
        EventKind::End => "end",
        EventKind::Undo => "undo",
    }
}

/// The time of day, `11:42`, on a clock that is ahead of UTC by so many minutes.
pub(crate) fn time_words(at_ms: f64, ahead_min: i32) -> String {
    #[expect(clippy::cast_possible_truncation, reason = "minutes of a day")]
    let minutes = ((at_ms / 60_000.0).floor() + f64::from(ahead_min)).rem_euclid(1440.0) as i32;
    clock_words(minutes)
}

/// A refusal as its sentence.
#[expect(clippy::needless_pass_by_value, reason = "it stands in map_err")]
fn sentence(refused: Refusal) -> String {
    refused.to_string()
}

impl RunningSession {
    /// A session of a plan, going on from the text of its log, `""` for a fresh one, with what its water taught. With it what had to be left out
    /// of the log, in sentences.
    ///
    /// # Errors
    /// A sentence when the plan makes no session or the text is too large for a log.
    pub fn open(
        plan: &Plan,
        units: Units,
        log: &str,
        habits: Option<Habits>,
        at_ms: f64,
    ) -> Result<(Self, Vec<String>), String> {
        let results = work_out(plan, units);
        let (sink, amount) = (results.sink.as_ref(), results.amount.as_ref());
        let mut setup = session_setup(plan, sink, amount, &results.rigs, &results.order, units);
        setup.habits = habits;
        let read = read_back(log, setup.rigs.len()).map_err(sentence)?;
        let water_m = setup.water_depth_m;
        let mut session = Session::with_log(setup, &read.log).map_err(sentence)?;
        let state = session.state(at_ms).map_err(sentence)?;
        let advice = session.advice(at_ms).map_err(sentence)?;
        let glance = session.glance(at_ms);
        let picture = state.ended.then(|| session.picture());
        let cubes_per_tin = amount.map_or(0.0, |amount| f64::from(amount.cubes_per_tin));
        Ok((
            Self {
                day: Id::default(),
                session,
                at_ms,
                watching: false,
                state,
                glance,
                advice,
                water_m,
                cubes_per_tin,
                planned_ms: planned_ms(plan),
                room: None,
                picture,
            },
            read.repairs,
        ))
    }

    /// Looks at the session at a moment: `full` also weighs where the fish are and what to do.
    pub fn look(&mut self, at_ms: f64, full: bool) {
        self.at_ms = at_ms;
        self.glance = self.session.glance(at_ms);
        if full && let (Ok(state), Ok(advice)) = (self.session.state(at_ms), self.session.advice(at_ms)) {
            self.state = state;
            self.advice = advice;
            self.picture = self.state.ended.then(|| self.session.picture());
        }
    }

    /// When the day ends, ms since 1970, on a clock that is ahead of UTC by so many minutes: as planned, or, if that is not the
    /// day, as long after the start.
    pub(crate) fn all_out_ms(&self, ahead_min: i32) -> f64 {
        let (from_ms, to_ms) = self.planned_ms;
        let to_ms = to_ms - 60_000.0 * f64::from(ahead_min);
        let length_ms = self.planned_ms.1 - from_ms;
        let start_ms =
            if self.session.log().standing().is_empty() { self.at_ms } else { self.state.start_ms };
        if (0.0..=length_ms + 7_200_000.0).contains(&(to_ms - start_ms)) {
            to_ms
        } else {
            start_ms + length_ms
        }
    }

    /// Hours since the start, and at most to the end.
    pub(crate) fn hours(&self) -> f64 {
        ((self.at_ms - self.state.start_ms) / 3_600_000.0).max(0.0)
    }

    /// Takes note of the room that is left for the water: height over width.
    pub fn fit(&mut self, room: f64) {
        self.room = Some(room);
    }

    /// Whether no feed sinks.
    pub(crate) fn floats(&self) -> bool {
        self.session.setup().sink.high_m_per_s <= 0.0
    }

    /// When the next feed is due, ms since 1970; none when nothing is due or the clock is stopped.
    #[must_use]
    pub fn next_at_ms(&self) -> Option<f64> {
        self.glance.beat.next_at_ms
    }

    /// Whether the clock runs.
    #[must_use]
    pub fn runs(&self) -> bool {
        !self.state.ended && !self.state.beat.paused
    }

    /// A tap that records something. Gives the line to be stored, nothing for a double touch, and what is to be told.
    ///
    /// # Errors
    /// A sentence when the tap cannot be taken; nothing is changed then.
    pub fn tap(&mut self, tap: &Tap, at_ms: f64) -> Result<(Option<String>, Vec<String>), String> {
        let event = |kind| Event::new(at_ms, kind);
        let interval_s = self.glance.beat.interval_s.unwrap_or(15.0);
        let nudge_s = if interval_s > 20.0 { 5.0 } else { 1.0 };
        let event = match tap {
            Tap::Rig(rig) if *rig == self.state.rig => event(EventKind::Cast),
            Tap::Rig(rig) => event(EventKind::PickUpRig).with_rig(*rig),
            Tap::Faster(faster) => {
                event(EventKind::Nudge).with_value(if *faster { -nudge_s } else { nudge_s })
            }
            Tap::Tighter(tighter) => event(EventKind::Shot).with_value(if *tighter { -1.0 } else { 1.0 }),
            Tap::Note(words) => event(EventKind::Note).with_note(words),
            Tap::Kind(kind) => event(*kind),
            Tap::Valued(kind, value) => event(*kind).with_value(*value),
            Tap::Fix(fix) => fix.event(at_ms),
            Tap::Start => return Ok((None, Vec::new())),
        };
        let recorded = self.session.record(event).map_err(sentence)?;
        self.look(at_ms, true);
        Ok((recorded.number.map(|_| recorded.line), recorded.told))
    }

    /// What a screen reader hears after a tap: the count that the tap changed, or the advice when that is new.
    #[must_use]
    pub fn heard(&self, tap: &Tap, advised: (AdviceKind, u32)) -> String {
        let totals = &self.state.totals;
        let mut said = match tap {
            Tap::Kind(EventKind::Fed) => counted(totals.feeds, "feed", "feeds"),
            Tap::Kind(EventKind::Missed) => counted(totals.missed, "bite missed", "bites missed"),
            Tap::Kind(EventKind::Fish) => counted(totals.fish, "fish", "fish"),
            Tap::Kind(EventKind::Undo) => "Taken back".to_owned(),
            Tap::Fix(_) => "Put right".to_owned(),
            Tap::Kind(EventKind::Pause) => "Paused".to_owned(),
            Tap::Kind(EventKind::Resume) => "Running".to_owned(),
            Tap::Kind(EventKind::End) => "The session is over".to_owned(),
            _ => "Kept".to_owned(),
        };
        said.push_str(". ");
        if self.advised() != advised {
            said.push_str(&self.advice.line);
        }
        said
    }

    /// `Undo fish, B, 11:42`: what an undo would take back, on a clock that is ahead of UTC by so many minutes.
    pub(crate) fn undo_words(&self, ahead_min: i32) -> String {
        let Some(event) = &self.state.undoes else { return "Undo".to_owned() };
        let mut words = ["Undo ", kind_words(event.kind)].concat();
        if let Some(rig) = event.rig.and_then(|rig| self.session.setup().rigs.get(rig as usize)) {
            words.push_str(", ");
            words.push_str(&rig.name);
        }
        words.push_str(", ");
        words.push_str(&time_words(event.at_ms, ahead_min));
        words
    }

    /// What is advised, in short.
    #[must_use]
    pub fn advised(&self) -> (AdviceKind, u32) {
        (self.advice.kind, self.advice.rig)
    }

    /// The log as rows for a spreadsheet; the phone's clock is ahead of UTC by so many minutes.
    #[must_use]
    pub fn csv(&self, plan: &Plan, units: Units, ahead_min: i32) -> String {
        let day = CsvDay { water: &plan.water.venue, peg: &plan.water.peg, ahead_min, sign: units.sign };
        self.session.csv(&day)
    }

    /// Fish landed.
    pub(super) fn fish(&self) -> u32 {
        self.state.totals.fish
    }

    /// What its rigs are called, in their order.
    pub(crate) fn names(&self) -> impl Iterator<Item = &str> {
        self.state.rigs.iter().map(|rig| rig.name.as_str())
    }

    /// Whether it is over.
    #[must_use]
    pub fn ended(&self) -> bool {
        self.state.ended
    }

    /// `Running 1 h 42`.
    #[must_use]
    pub fn words(&self) -> String {
        let hours = self.session.summary(self.at_ms).map_or(0.0, |s| s.hours);
        let word = if self.state.ended {
            "Ended after "
        } else if self.state.beat.paused {
            "Paused at "
        } else {
            "Running "
        };
        #[expect(clippy::cast_possible_truncation, reason = "hours of one day")]
        let minutes = (hours * 60.0) as i32;
        [word, &crate::units::duration_words(minutes)].concat()
    }

    /// Keeps the end of the day with the plan: a note, and what was used up on the kit list.
    pub fn keep(&self, plan: &mut Plan) {
        let totals = &self.state.totals;
        let mut note = counted(totals.fish, "fish", "fish");
        if let Ok(summary) = self.session.summary(self.at_ms)
            && let Some(rig) = summary.best_rig.and_then(|rig| plan.rigs.get(rig as usize))
        {
            note.push_str(", best rig ");
            note.push_str(&rig.name);
            if let Some(every_s) = summary.seconds_between_feeds {
                note.push_str(", fed every ");
                note.push_str(&fixed(every_s, 0));
                note.push_str(" s");
            }
        }
        plan.note = plan::clean(&note);
        if self.cubes_per_tin > 0.0 && totals.cubes_fed > 0.0 {
            #[expect(clippy::cast_possible_truncation, reason = "tins of one day")]
            let tins = (totals.cubes_fed / self.cubes_per_tin).ceil().min(500.0) as i32;
            let name = plan::clean(&["Tins of ", &plan.tin.name].concat());
            plan.kit.retain(|item| item.group != Group::Shop);
            if list_of("kit").is_some_and(|(_, most)| plan.kit.len() < most) {
                plan.kit.push(KitItem { group: Group::Shop, name, count: tins });
            }
        }
    }
}
