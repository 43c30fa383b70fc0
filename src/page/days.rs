//! The open day: a copy of it is in hand, and what changes of the copy goes to the book. Days are made, copied, deleted;
//! changes are taken back.

use super::action::BookAction;
use super::bank::read_log;
use super::effect::{Effect, Part};
use super::storage::by_key;
use super::{Page, Screen};
use crate::book::{Change, Day, DaySummary, Id, Kind, State};
use crate::plan::Plan;
use crate::plan::presets::{self, presets};
use crate::refusal::Refusal;
use crate::small::Set;

/// A day, ms.
const DAY_MS: f64 = 86_400_000.0;

impl Page {
    /// Today's date where the phone is, days since 1970.
    #[must_use]
    pub fn today(&self) -> i32 {
        #[expect(clippy::cast_possible_truncation, reason = "the cast saturates")]
        let today =
            ((self.place.now_ms + 60_000.0 * f64::from(self.place.ahead_min)) / DAY_MS).floor() as i32;
        today
    }

    /// What the list of days holds of the open one; none for a day that is not in the book.
    #[must_use]
    pub fn open_day(&self) -> Option<DaySummary> {
        self.book.summaries().find(|day| Some(day.id) == self.day).cloned()
    }

    /// How far the open day has come.
    #[must_use]
    pub fn state(&self) -> State {
        let open = self.book.summaries().find(|day| Some(day.id) == self.day);
        open.map_or(State::Planned, |day| day.state)
    }

    /// A new record's id.
    pub(super) fn new_id(&mut self) -> Id {
        Id(u128::from(self.draw()) << 64 | u128::from(self.draw()))
    }

    /// The next of this opening's random numbers (`SplitMix64`: Steele, Lea and Flood 2014).
    pub(super) fn draw(&mut self) -> u64 {
        self.drawn = self.drawn.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mixed = (self.drawn ^ self.drawn >> 30).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let mixed = (mixed ^ mixed >> 27).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ mixed >> 31
    }

    /// Does a change of the book; what has to be stored waits for the next save.
    ///
    /// # Errors
    /// What the book cannot keep; nothing is changed then.
    pub(super) fn change(&mut self, change: Change) -> Result<(), Refusal> {
        let step = !matches!(change, Change::State { .. } | Change::Tap { .. });
        let logged = if let Change::Tap { day, .. } = &change { Some(*day) } else { None };
        let on = self.typing.is_some();
        let applied = if on { self.book.apply_on(change) } else { self.book.apply(change) }?;
        if step && !applied.rows.is_empty() && !core::mem::take(&mut self.telling) {
            // What a notice would take back is not the last change any more.
            self.notices.retain(|notice| !notice.undo);
        }
        self.saves.unsaved.extend(by_key(applied.rows));
        if let Some(day) = logged {
            self.unlearn_of(day);
        }
        Ok(())
    }

    /// The same, where a refusal is a sentence to the reader.
    pub(super) fn try_change(&mut self, change: Change) -> bool {
        let done = self.change(change);
        if let Err(refused) = &done {
            self.say(&refused.to_string(), false);
        }
        done.is_ok()
    }

    /// Hands the book what has changed of the day in hand. The first worked day comes into it with its first change.
    pub(super) fn commit(&mut self) {
        if let Some(looked) = &self.looking {
            if self.plan != **looked || !self.ticks.is_empty() {
                self.plan.clone_from(looked);
                self.ticks = Set::default();
                self.refresh();
                self.say("You only look at this day. Add it to your days to change it.", false);
            }
            return;
        }
        if self.day.is_none() {
            if self.plan == presets::first() && self.ticks.is_empty() {
                return;
            }
            let (id, telling) = (self.new_id(), self.telling);
            if !self.try_change(Change::AddDay { id, day: Box::new(Day::new(presets::first())) }) {
                return;
            }
            (self.day, self.telling) = (Some(id), telling);
        }
        let Some(id) = self.day else { return };
        let Ok(held) = self.book.day(id) else { return };
        if held.plan != self.plan {
            let change = Change::Plan { day: id, plan: Box::new(self.plan.clone()), words: String::new() };
            if self.try_change(change) {
                self.renew_session();
            }
        }
        let on: Vec<String> =
            self.ticks.keys().filter(|tick| !held.ticks.contains_key(*tick)).map(str::to_owned).collect();
        let off: Vec<String> = held.ticks.keys().filter(|tick| !self.ticks.contains(tick)).cloned().collect();
        if off.len() > 1 && self.ticks.is_empty() {
            self.try_change(Change::Untick { day: id, start: String::new() });
        } else {
            let ticks =
                on.into_iter().map(|tick| (tick, true)).chain(off.into_iter().map(|tick| (tick, false)));
            for (tick, on) in ticks {
                self.try_change(Change::Tick { day: id, tick, on });
            }
        }
    }

    /// Takes in hand what the book holds of the open day, as after an undo or a change in another tab. Where the day is
    /// gone, the next one opens.
    pub(super) fn take_in_hand(&mut self) {
        if let Some(Err(refused)) = self.day.map(|id| self.book.day(id))
            && refused.code() == "damaged"
        {
            self.say(&refused.to_string(), false);
        }
        let read = |id: Id| Some((id, self.book.day(id).ok()?));
        let next = || self.book.days("").next.into_iter().find_map(|day| read(day.id));
        let open = self.day.and_then(read).or_else(next);
        self.ticks = Set::default();
        self.day = open.as_ref().map(|(id, _)| *id);
        match open {
            Some((_, day)) => {
                self.plan = day.plan;
                for tick in day.ticks.keys() {
                    self.ticks.insert(tick, ());
                }
            }
            None => self.plan = presets::first(),
        }
        self.rejected.clear();
        self.moved.clear();
        self.refresh();
    }

    /// Opens a day. A session that runs goes on.
    pub(super) fn open_a_day(&mut self, id: Id, out: &mut Vec<Effect>) {
        if let Err(refused) = self.book.day(id) {
            self.say(&refused.to_string(), false);
            return;
        }
        self.typing = None;
        self.looking = None;
        self.day = Some(id);
        self.rig = 0;
        self.stopwatch = super::tub_watch::Stopwatch::default();
        self.take_in_hand();
        if self.state() == State::Planned {
            self.teach_here(out);
        } else {
            out.push(read_log(id));
        }
        self.close_other_log();
    }

    /// A day comes into the book, and is open.
    fn add_day(&mut self, day: Day, out: &mut Vec<Effect>) -> bool {
        let id = self.new_id();
        let added = self.try_change(Change::AddDay { id, day: Box::new(day) });
        if added {
            self.open_a_day(id, out);
        }
        added
    }

    /// The plan in hand is that of a day of the book, which the first worked day comes to be with this.
    pub(super) fn own_day(&mut self, out: &mut Vec<Effect>) -> Option<Id> {
        if self.day.is_none() {
            let day = self.book.day_of(self.plan.clone());
            self.add_day(day, out);
        }
        self.day
    }

    /// Another screen, named in the address and read from its top.
    pub(super) fn go_to(&mut self, screen: Screen, out: &mut Vec<Effect>) {
        (self.screen, self.sheet) = (screen, None);
        self.to_top = true;
        out.push(Effect::NameScreen(screen));
    }

    /// A worked day becomes a day of the book.
    pub(super) fn open_preset(&mut self, id: &str, out: &mut Vec<Effect>) {
        if let Some(preset) = presets().into_iter().find(|preset| preset.id == id) {
            self.add_plan(preset.plan, out);
        }
    }

    /// Somebody's plan becomes a day of the book, shown from its first screen.
    fn add_plan(&mut self, plan: Plan, out: &mut Vec<Effect>) {
        let day = self.book.day_of(plan);
        self.add_or_say(Ok(day), out);
    }

    /// What becomes of a plan that came with a link: a day, or it is looked at; nothing where it is left alone.
    pub(super) fn take_pending(&mut self, look: bool, out: &mut Vec<Effect>) {
        let Some(plan) = self.pending.take().or_else(|| self.looking.take()) else { return };
        if look {
            (self.plan, self.ticks, self.rig) = (Plan::clone(&plan), Set::default(), 0);
            self.looking = Some(plan);
            self.rejected.clear();
            self.refresh();
            self.go_to(Screen::Day, out);
        } else {
            self.add_plan(*plan, out);
        }
    }

    /// Leaves alone what came with a link; the own day is in hand again.
    pub(super) fn leave_pending(&mut self) {
        self.pending = None;
        if self.looking.take().is_some() {
            self.rig = 0;
            self.take_in_hand();
        }
    }

    /// What is done with days.
    pub(super) fn day_act(&mut self, act: &BookAction, out: &mut Vec<Effect>) {
        match act {
            BookAction::Open(id) => {
                self.open_a_day(*id, out);
                let screen = if self.state() == State::Planned { Screen::Day } else { Screen::Bank };
                self.go_to(screen, out);
            }
            BookAction::New(water) => {
                let day = self.book.new_day(*water, "", self.today());
                self.add_or_say(day, out);
            }
            BookAction::Copy(id) => {
                let day = self.book.copy_of(*id, self.today());
                self.add_or_say(day, out);
            }
            BookAction::Delete(id) => {
                if self.session.as_ref().is_some_and(|session| session.day == *id && !session.ended()) {
                    self.say("This day is being fished. End its session first.", false);
                    return;
                }
                self.remember("The day is deleted.");
                self.try_change(Change::Remove { kind: Kind::Day, id: *id });
                if self.day == Some(*id) {
                    self.take_in_hand();
                    self.close_other_log();
                }
            }
            _ => self.shelf_act(act, out),
        }
    }

    fn add_or_say(&mut self, day: Result<Day, Refusal>, out: &mut Vec<Effect>) {
        match day {
            Ok(day) => {
                if self.add_day(day, out) {
                    self.go_to(Screen::Day, out);
                }
            }
            Err(refused) => self.say(&refused.to_string(), false),
        }
    }

    /// Takes the last change of the book back, or brings it back, and shows the day that it is of.
    pub(super) fn undo(&mut self, redo: bool, out: &mut Vec<Effect>) {
        self.typing = None;
        self.notices.retain(|notice| !notice.undo);
        let (rigs, fished) = (self.plan.rigs.len(), self.state() != State::Planned);
        let logged: Vec<Id> =
            self.book.summaries().filter(|day| day.state != State::Planned).map(|day| day.id).collect();
        let open = self.day;
        let done = if redo { self.book.redo() } else { self.book.undo() };
        let applied = match done {
            Ok(applied) => applied,
            Err(refused) => return self.say(&refused.to_string(), false),
        };
        self.saves.unsaved.extend(by_key(applied.rows));
        for sentence in applied.told {
            self.say(&sentence, false);
        }
        let days =
            applied.changed.iter().filter(|(kind, id)| *kind == Kind::Day && self.book.day(*id).is_ok());
        let days: Vec<Id> = days.map(|(_, id)| *id).collect();
        match days.first() {
            Some(id) if self.day.is_none_or(|open| !days.contains(&open)) && self.looking.is_none() => {
                self.open_a_day(*id, out);
            }
            _ if self.looking.is_none() => self.take_in_hand(),
            _ => {}
        }
        let gone = logged.iter().any(|day| self.book.day(*day).is_err());
        if !redo && (gone || fished && self.plan.rigs.len() < rigs) {
            // A log speaks of it.
            let again = self.book.redo().map(|applied| applied.rows).unwrap_or_default();
            self.saves.unsaved.extend(by_key(again));
            self.day = open.filter(|_| gone).or(self.day);
            self.take_in_hand();
            self.say("This day has a log: it and its rigs stay as they are.", false);
        }
        self.renew_session();
        out.push(Effect::Draw(Part::Notices));
    }
}
