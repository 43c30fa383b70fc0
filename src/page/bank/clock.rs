//! What runs with the session's clock: the beat, its calls, and what was missed while the page was out of view.

use super::Wanted;
use crate::book::State;
use crate::page::effect::{Effect, Part};
use crate::page::session::planned_ms;
use crate::page::{Page, Screen};
use crate::session::feed_clock::clock_jump_s;
use crate::session::words::counted;

/// A jump of the clock that is worth a word, s.
const MIN_JUMP_S: f64 = 5.0;
/// The state of the fish is worked out at each so many-th tick; the clock and the sinking feed at each.
const TICKS_A_LOOK: u32 = 20;
/// A feed that was due longer ago than this, ms, is called no more.
const MAX_LATE_MS: f64 = 5000.0;
/// How long before the all-out it is called, ms, and what is said then.
const END_CALLS_MS: [(f64, &str); 2] =
    [(600_000.0, "Ten minutes to the all-out."), (0.0, "All-out: lines out of the water.")];

impl Page {
    /// A tick: the clock and the sinking feed, and now and then where the fish are.
    pub(in crate::page) fn clock(&mut self, at_ms: f64, forward_ms: f64, out: &mut Vec<Effect>) {
        let before_ms = core::mem::replace(&mut self.place.now_ms, at_ms);
        if let Some(all_in_ms) = self.waits_for(before_ms) {
            if (before_ms..at_ms).contains(&all_in_ms) {
                self.want(Wanted::Begin, at_ms, out);
            } else {
                out.push(Effect::Draw(Part::Session { full: false }));
            }
            return;
        }
        let (ahead_min, alarm) = (self.place.ahead_min, self.alarm());
        let Some(session) = &mut self.session else { return };
        let bank = &mut self.bank;
        let jump_s = bank
            .looked
            .replace((at_ms, forward_ms))
            .and_then(|(wall, forward)| clock_jump_s(wall, forward, at_ms, forward_ms, MIN_JUMP_S));
        let due = bank.due_ms.is_some_and(|due| at_ms >= due && at_ms - due < MAX_LATE_MS);
        bank.ticks = bank.ticks.wrapping_add(1);
        // What a tap has counted is shown when the store has answered; the feed clock follows it at once.
        let full = bank.ticks.is_multiple_of(TICKS_A_LOOK) && bank.under_way.is_empty();
        session.look(at_ms, full);
        bank.due_ms = session.next_at_ms();
        let shown = self.screen == Screen::Bank && Some(session.day) == self.day;
        if shown {
            out.push(Effect::Draw(Part::Session { full }));
        }
        let end_ms = session.all_out_ms(ahead_min);
        let passed = |left_ms: f64| (before_ms..at_ms).contains(&(end_ms - left_ms));
        let end = END_CALLS_MS.into_iter().find(|&(left_ms, _)| passed(left_ms) && session.runs());
        if due || end.is_some() {
            out.push(alarm);
        }
        if let Some((_, sentence)) = end {
            self.say(sentence, false);
            out.push(Effect::Draw(Part::Notices));
        }
        if let Some(jump_s) = jump_s {
            let size = crate::units::fixed(jump_s.abs(), 0);
            self.say(
                &if jump_s < 0.0 {
                    ["The phone’s clock went back by ", &size, " s. The session goes on from its last tap."]
                        .concat()
                } else {
                    [
                        "The phone slept or its clock went ahead by ",
                        &size,
                        " s. The feed clock counts on by the clock.",
                    ]
                    .concat()
                },
                false,
            );
            out.push(Effect::Draw(Part::Notices));
        }
    }

    /// The alarm as it is wanted.
    pub(super) fn alarm(&self) -> Effect {
        let sound = self.bank.driving() && !self.plan.bank.silent;
        Effect::Call { sound, vibration: !self.choices.bank.no_vibration }
    }

    /// The all-in that the open day waits for on the bank screen, ms since 1970, if it is within a day from `now_ms`.
    pub(crate) fn waits_for(&self, now_ms: f64) -> Option<f64> {
        let waits = self.screen == Screen::Bank
            && self.looking.is_none()
            && self.session.is_none()
            && self.state() == State::Planned
            && self.running_day().is_none();
        let all_in_ms = planned_ms(&self.plan).0 - 60_000.0 * f64::from(self.place.ahead_min);
        let left_ms = all_in_ms - now_ms;
        (waits && (0.0..86_400_000.0).contains(&left_ms)).then_some(all_in_ms)
    }

    /// The page came into view, or went out of it.
    pub(in crate::page) fn seen(&mut self, visible: bool, at_ms: f64, out: &mut Vec<Effect>) {
        self.bank.hidden = !visible;
        self.place.now_ms = at_ms;
        if let Some(session) = self.session.as_mut().filter(|session| session.runs()) {
            session.look(at_ms, false);
            let missed = session.glance.beat.missed_beats;
            if !visible {
                self.bank.missed_unseen = missed;
            } else if missed > self.bank.missed_unseen {
                let feeds = counted(missed - self.bank.missed_unseen, "feed was", "feeds were");
                self.say(&["While the page was out of sight ", &feeds, " due."].concat(), false);
                out.push(Effect::Draw(Part::Notices));
            }
        }
        if let Some(session) = self.session.as_mut().filter(|_| visible) {
            session.look(at_ms, true);
            self.bank.due_ms = session.next_at_ms();
            if self.screen == Screen::Bank {
                out.push(Effect::Draw(Part::Session { full: true }));
            }
        }
    }

    /// Starts or stops what runs with the session's clock.
    pub(in crate::page) fn run(&mut self, out: &mut Vec<Effect>) {
        let runs = self.session.as_ref().is_some_and(|session| session.runs());
        let wanted = !self.bank.hidden && (runs || self.waits_for(self.place.now_ms).is_some());
        if core::mem::replace(&mut self.bank.running, wanted) != wanted {
            self.bank.looked = None;
            out.push(Effect::Run(wanted));
        }
    }
}
