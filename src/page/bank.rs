//! The session on the page: how it begins, how each tap is stored before it is shown, and which tab has it in hand.

use super::effect::{Effect, Part, Write};
use super::event::{Message, Tap};
use super::session::RunningSession;
use super::storage::{Found, StoredLog, add_line};
use super::{Page, Screen};
use crate::plan::link;
use crate::session::EventKind;
use crate::session::feed_clock::clock_jump_s;

/// A jump of the clock that is worth a word, s.
const MIN_JUMP_S: f64 = 5.0;
/// The state of the fish is worked out at each so many-th tick; the clock and the sinking feed at each.
const TICKS_A_LOOK: u32 = 20;
/// A feed that was due longer ago than this, ms, is called no more.
const MAX_LATE_MS: f64 = 5000.0;

const TAP_REFUSED: &str = "This phone would not keep the last tap: its storage is full or switched off. The session goes on; save the log as a file below before you close the page.";
const START_REFUSED: &str = "This phone keeps nothing for this page. The session runs, but is lost when the page closes: save its log as a file.";

/// What waits for the right to write the log.
#[derive(Clone, Debug, PartialEq)]
enum Wanted {
    /// The stored session is opened, to drive or to watch.
    Open,
    /// A session begins.
    Begin,
    /// A session goes on from the log of a file.
    Import(String),
    /// The log that was put away comes back.
    BringBack,
}

/// A write of the log that was asked for and is not answered.
#[derive(Clone, Debug, PartialEq)]
struct UnderWay {
    id: u32,
    /// Whether it is of all of the log.
    whole: bool,
    /// What is shown once it is answered.
    then: Then,
}

/// What follows a write of the log.
#[derive(Clone, Debug, PartialEq)]
enum Then {
    /// The log begins, or is written anew.
    Begun,
    /// A tap is shown: what a screen reader hears, and whether the screen changes its form.
    Show { said: String, whole: bool },
    /// Nothing.
    Nothing,
}

/// The right to write the log, which one tab has.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum Right {
    /// It was not asked for.
    #[default]
    Open,
    /// It was asked for; another tab may have it.
    Asked,
    /// This tab has it.
    Mine,
}

/// Whether the store lacks something of the log in hand, for it has refused a write: the next one is of all of it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
enum Lacking {
    #[default]
    Nothing,
    /// Something that nobody waits for.
    Untold,
    /// Something, and the reader was told.
    Told,
}

/// How the session is kept, and who may write it.
#[derive(Clone, Debug, Default)]
pub struct Bank {
    right: Right,
    wanted: Option<Wanted>,
    /// The stored session that is not open: one that waits for the right, or that cannot be read.
    closed: Option<StoredLog>,
    /// The log that was put away.
    away: Option<StoredLog>,
    /// The link text of the plan of the session in hand.
    link: String,
    lacking: Lacking,
    under_way: Vec<UnderWay>,
    ticks: u32,
    /// When the next feed is due, ms since 1970.
    due_ms: Option<f64>,
    /// The last look at both clocks, ms.
    looked: Option<(f64, f64)>,
    /// Whether the page is out of view.
    hidden: bool,
    /// Whether the tick runs.
    running: bool,
}

impl Bank {
    /// Whether this tab may write the log.
    fn driving(&self) -> bool {
        self.right == Right::Mine
    }

    /// The log that was put away and can be brought back.
    #[must_use]
    pub fn away(&self) -> Option<&StoredLog> {
        self.away.as_ref()
    }
}

impl Page {
    /// What the store holds of a session, at the start or after another tab has written.
    pub(super) fn found_log(&mut self, found: Found, at_ms: f64, out: &mut Vec<Effect>) {
        let in_hand = self.session.as_ref().is_some_and(|session| !session.watching);
        if in_hand && self.bank.driving() {
            if self.bank.lacking != Lacking::Nothing {
                // The store has answered late, when another session had begun.
                self.bank.closed = found.log;
                self.store_whole_log(Then::Nothing, out);
            }
            return;
        }
        self.bank.away = found.away;
        self.bank.closed = found.log;
        self.want(Wanted::Open, at_ms, out);
    }

    /// Does what waits for the right to write at once where this tab has it, or asks for it.
    fn want(&mut self, wanted: Wanted, at_ms: f64, out: &mut Vec<Effect>) {
        if self.bank.right != Right::Open {
            self.go_on(wanted, at_ms, out);
        } else if wanted != Wanted::Open || self.bank.closed.is_some() {
            self.bank.wanted = Some(wanted);
            self.bank.right = Right::Asked;
            out.push(Effect::Claim);
        }
    }

    pub(super) fn claimed(&mut self, mine: bool, at_ms: f64, out: &mut Vec<Effect>) {
        if mine {
            self.bank.right = Right::Mine;
        }
        match self.bank.wanted.take() {
            Some(wanted) => self.go_on(wanted, at_ms, out),
            // The tab that had it is gone: what it has stored is taken up.
            None => out.push(Effect::ReadStore),
        }
    }

    fn go_on(&mut self, wanted: Wanted, at_ms: f64, out: &mut Vec<Effect>) {
        if !self.bank.driving() && wanted != Wanted::Open {
            // Another tab has a session in hand.
            out.push(Effect::ReadStore);
            return;
        }
        match wanted {
            Wanted::Open => self.open_stored(at_ms, out),
            Wanted::Begin => {
                let begun = RunningSession::open(&self.plan, &self.results, self.choices.units, "", at_ms);
                self.begin(begun, out);
            }
            Wanted::Import(text) if self.session.is_none() => {
                let units = self.choices.units;
                let begun = RunningSession::import(&self.plan, &self.results, units, &text, at_ms);
                self.begin(begun, out);
            }
            Wanted::Import(_) => {}
            Wanted::BringBack => {
                self.bank.closed = self.bank.away.take();
                if let Some(log) = self.bank.closed.clone() {
                    self.store_log(log.writes(), Then::Nothing, out);
                }
                self.open_stored(at_ms, out);
            }
        }
    }

    /// Opens the stored session, to drive where this tab may write it.
    fn open_stored(&mut self, at_ms: f64, out: &mut Vec<Effect>) {
        let Some(stored) = &self.bank.closed else {
            self.session = None;
            out.push(Effect::Draw(Part::Screen));
            return;
        };
        match RunningSession::reopen(&stored.link, self.choices.units, &stored.lines.join("\n"), at_ms) {
            Ok((session, repairs)) => {
                let lines = session.lines();
                if self.bank.driving() && lines != stored.lines {
                    // What could not be read was left out, and the records behind it have new numbers.
                    let mut writes = vec![stored.write_aside()];
                    writes.extend(StoredLog { link: stored.link.clone(), lines }.writes());
                    self.store_log(writes, Then::Nothing, out);
                }
                self.bank.link = self.bank.closed.take().unwrap_or_default().link;
                self.take_in_hand(session, repairs);
            }
            Err(sentence) => {
                self.session = None;
                self.say(&sentence, false);
            }
        }
        out.push(Effect::Draw(Part::Screen));
    }

    fn take_in_hand(&mut self, mut session: RunningSession, told: Vec<String>) {
        session.watching = !self.bank.driving();
        session.room = self.session.as_ref().and_then(|session| session.room);
        self.bank.due_ms = session.next_at_ms();
        self.session = Some(Box::new(session));
        for sentence in told {
            self.say(&sentence, false);
        }
    }

    /// A session of the plan in hand begins. A stored one that could not be read is set aside.
    fn begin(&mut self, begun: Result<(RunningSession, Vec<String>), String>, out: &mut Vec<Effect>) {
        match begun {
            Ok((session, told)) => {
                self.bank.link = link::write(&self.plan);
                self.bank.away = None;
                self.take_in_hand(session, told);
                self.store_whole_log(Then::Begun, out);
                out.push(Effect::Draw(Part::Screen));
                out.push(Effect::Focus("tap-fed"));
            }
            Err(sentence) => {
                self.say(&sentence, false);
                out.push(Effect::Draw(Part::Screen));
            }
        }
    }

    /// A button or key of the session.
    pub(super) fn tapped(&mut self, tap: Tap, at_ms: f64, out: &mut Vec<Effect>) {
        out.push(Effect::ReadySound);
        match tap {
            Tap::Start => self.want(Wanted::Begin, at_ms, out),
            Tap::BringBack => self.want(Wanted::BringBack, at_ms, out),
            Tap::PutAway => self.put_away(out),
            tap => self.record(&tap, at_ms, out),
        }
    }

    pub(super) fn import(&mut self, text: String, at_ms: f64, out: &mut Vec<Effect>) {
        self.want(Wanted::Import(text), at_ms, out);
    }

    /// Puts the log away, until the next session begins.
    fn put_away(&mut self, out: &mut Vec<Effect>) {
        let Some(session) = self.session.take_if(|session| !session.watching) else { return };
        let log = StoredLog { link: core::mem::take(&mut self.bank.link), lines: session.lines() };
        self.store_log(log.writes_away(), Then::Nothing, out);
        self.bank.away = Some(log);
        out.push(Effect::Draw(Part::Screen));
        out.push(Effect::Focus("tap-back"));
    }

    /// Takes a tap into the session and asks for it to be stored; it is shown when it is.
    fn record(&mut self, tap: &Tap, at_ms: f64, out: &mut Vec<Effect>) {
        let Some(session) = self.session.as_mut().filter(|session| !session.watching) else { return };
        let advised = session.advised();
        let (line, told) = session.tap(tap, at_ms).unwrap_or_else(|sentence| (None, vec![sentence]));
        let then = Then::Show {
            said: session.heard(tap, advised),
            whole: matches!(tap, Tap::Kind(EventKind::End | EventKind::Undo)),
        };
        self.bank.due_ms = session.next_at_ms();
        for sentence in told {
            self.say(&sentence, false);
        }
        if self.bank.lacking != Lacking::Nothing {
            self.store_whole_log(then, out);
        } else if let Some(line) = line {
            self.store_log(vec![add_line(&line)], then, out);
        } else {
            follow_up(then, out);
        }
    }

    /// Asks for all of the log in hand to be stored. A stored one that could not be read is set aside.
    fn store_whole_log(&mut self, then: Then, out: &mut Vec<Effect>) {
        let Some(session) = &self.session else { return };
        let log = StoredLog { link: self.bank.link.clone(), lines: session.lines() };
        let mut writes: Vec<Write> = self.bank.closed.iter().map(StoredLog::write_aside).collect();
        writes.extend(log.writes());
        self.store_log(writes, then, out);
    }

    fn store_log(&mut self, writes: Vec<Write>, then: Then, out: &mut Vec<Effect>) {
        let id = self.saves.next_id();
        let whole = writes.iter().any(|write| matches!(write, Write::RemoveAll { .. }));
        self.bank.under_way.push(UnderWay { id, whole, then });
        out.push(Effect::Store { id, writes });
    }

    /// The store has answered; says whether it was about the log.
    pub(super) fn log_stored(&mut self, id: u32, good: bool, out: &mut Vec<Effect>) -> bool {
        let Some(place) = self.bank.under_way.iter().position(|write| write.id == id) else { return false };
        let UnderWay { whole, then, .. } = self.bank.under_way.remove(place);
        if good {
            if whole {
                (self.bank.lacking, self.bank.closed) = (Lacking::Nothing, None);
            }
            out.push(Effect::Tell(Message::Log));
        } else if then == Then::Nothing || self.bank.lacking == Lacking::Told {
            self.bank.lacking = self.bank.lacking.max(Lacking::Untold);
        } else {
            self.bank.lacking = Lacking::Told;
            self.say(if then == Then::Begun { START_REFUSED } else { TAP_REFUSED }, false);
            out.push(Effect::Draw(Part::Notices));
        }
        follow_up(then, out);
        true
    }

    /// The store was emptied under the page: the log in hand is written anew.
    pub(super) fn store_log_anew(&mut self, out: &mut Vec<Effect>) {
        let lost = core::mem::take(&mut self.bank.under_way);
        if self.session.is_some() && self.bank.driving() {
            self.store_whole_log(Then::Nothing, out);
        } else if let Some(log) = self.bank.away.clone().filter(|_| self.bank.driving()) {
            self.store_log(log.writes_away(), Then::Nothing, out);
        }
        for write in lost {
            follow_up(write.then, out);
        }
    }

    /// A tick: the clock and the sinking feed, and now and then where the fish are.
    pub(super) fn clock(&mut self, at_ms: f64, forward_ms: f64, out: &mut Vec<Effect>) {
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
        if self.screen == Screen::Bank {
            out.push(Effect::Draw(Part::Session { full }));
        }
        if due {
            out.push(Effect::Call { sound: self.bank.driving() && !self.plan.bank.silent });
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

    /// The page came into view, or went out of it.
    pub(super) fn seen(&mut self, visible: bool, at_ms: f64, out: &mut Vec<Effect>) {
        self.bank.hidden = !visible;
        if let Some(session) = self.session.as_mut().filter(|_| visible) {
            session.look(at_ms, true);
            self.bank.due_ms = session.next_at_ms();
            if self.screen == Screen::Bank {
                out.push(Effect::Draw(Part::Session { full: true }));
            }
        }
    }

    /// Starts or stops what runs with the session's clock.
    pub(super) fn run(&mut self, out: &mut Vec<Effect>) {
        let wanted = !self.bank.hidden && self.session.as_ref().is_some_and(|session| session.runs());
        if core::mem::replace(&mut self.bank.running, wanted) != wanted {
            self.bank.looked = None;
            out.push(Effect::Run(wanted));
        }
    }
}

/// What follows a write that was answered.
fn follow_up(then: Then, out: &mut Vec<Effect>) {
    if let Then::Show { said, whole } = then {
        out.push(Effect::Draw(if whole { Part::Screen } else { Part::Session { full: true } }));
        out.push(Effect::Draw(Part::Notices));
        out.push(Effect::Say(said));
    }
}
