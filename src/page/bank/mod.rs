//! The session on the page: how it begins, how each tap is stored before it is shown, and which tab has it in hand.

use super::action::BankAction;
use super::tap::Tap;
mod clock;

use super::effect::{Effect, Part};
use super::event::{Message, Rows};
use super::session::RunningSession;
use super::storage::{LOGS, by_key, writes_of};
use super::{Page, Redraw, Screen};
use crate::book::{Change, Day, Id, State};
use crate::session::EventKind;

/// By how much a tap moves the all-in, minutes.
const LATER_MIN: i32 = 10;

const TAP_REFUSED: &str = "This phone would not keep the last tap: its storage is full or switched off. The session goes on; save a backup under Settings before you close the page.";
const START_REFUSED: &str = "This phone keeps nothing for this page. The session runs, but is lost when the page closes: save a backup under Settings.";

/// What waits for the right to write the log.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Wanted {
    /// The stored session of this day is opened, to drive or to watch.
    Open(Id),
    /// A session of the open day begins.
    Begin,
}

/// A tap that was asked to be stored and is not answered.
#[derive(Clone, Debug, PartialEq)]
struct UnderWay {
    id: u32,
    rows: Rows,
    /// What is shown once it is answered.
    then: Then,
}

/// What follows a stored tap.
#[derive(Clone, Debug, PartialEq)]
enum Then {
    /// The session begins.
    Begun,
    /// The tap is shown: what a screen reader hears, and whether the screen changes its form.
    Show { said: String, whole: bool },
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

/// What is open on the bank's screen.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Shown {
    /// The event that is open in the list of the day, by its number.
    pub(crate) event: Option<usize>,
    /// Whether the whole day is listed.
    pub(crate) whole_list: bool,
    /// Whether the all-in was moved, and the all-out may follow.
    pub(crate) moved: bool,
}

/// How the session is kept, and who may write it.
#[derive(Clone, Debug, Default)]
pub struct Bank {
    right: Right,
    wanted: Option<Wanted>,
    /// Whether the store refused a tap, which was told.
    refused: bool,
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
    /// What is open on its screen.
    pub(crate) shown: Shown,
    /// The day whose picture was drawn last, while its end is on the screen.
    pub(super) pictured: Option<Id>,
    /// Feeds that were missed when the page went out of view.
    missed_unseen: u32,
}

impl Bank {
    /// Whether this tab may write the log.
    fn driving(&self) -> bool {
        self.right == Right::Mine
    }
}

impl Page {
    /// The open day in the book, if it was fished.
    #[must_use]
    pub fn fished(&self) -> Option<Day> {
        self.book.day(self.day.filter(|_| self.state() == State::Fished)?).ok()
    }

    /// The session of the open day: the running one, or one that is looked at.
    #[must_use]
    pub fn session_here(&self) -> Option<&RunningSession> {
        let here = |session: &&RunningSession| self.looking.is_none() && Some(session.day) == self.day;
        self.session.as_deref().filter(here).or_else(|| self.past.as_deref().filter(here))
    }

    /// The day whose session runs, with the name of its water.
    #[must_use]
    pub fn running_day(&self) -> Option<(Id, String)> {
        let running = self.book.summaries().find(|day| day.state == State::Running)?;
        let name = if running.venue.is_empty() { &running.name } else { &running.venue };
        Some((running.id, name.clone()))
    }

    /// The log of a day is in the book, and the day's session can be opened.
    pub(super) fn log_read(&mut self, day: Id, at_ms: f64, out: &mut Vec<Effect>) {
        let in_hand = self.session.as_ref().is_some_and(|session| !session.ended() && !session.watching);
        if !in_hand {
            self.want(Wanted::Open(day), at_ms, out);
        } else if self.session.as_ref().is_some_and(|session| session.day != day) {
            match self.opened(day, at_ms) {
                Ok((mut session, _)) => {
                    session.watching = true;
                    self.past = Some(Box::new(session));
                }
                Err(sentence) => self.say(&sentence, false),
            }
            out.push(Effect::Draw(Part::Screen));
        }
    }

    /// Closes a session that is over and not the open day's.
    pub(super) fn close_other_log(&mut self) {
        let other = |session: &&mut Box<RunningSession>| Some(session.day) != self.day;
        self.past.take_if(|session| other(&session));
        self.session.take_if(|session| other(&session) && session.ended());
    }

    /// Does what waits for the right to write at once where this tab has it, or asks for it.
    fn want(&mut self, wanted: Wanted, at_ms: f64, out: &mut Vec<Effect>) {
        if self.bank.right == Right::Open {
            self.bank.right = Right::Asked;
            self.bank.wanted = Some(wanted);
            out.push(Effect::Claim);
        } else {
            self.go_on(wanted, at_ms, out);
        }
    }

    pub(super) fn claimed(&mut self, mine: bool, at_ms: f64, out: &mut Vec<Effect>) {
        if mine {
            self.bank.right = Right::Mine;
        }
        match self.bank.wanted.take() {
            Some(wanted) => self.go_on(wanted, at_ms, out),
            // The tab that had it is gone: what it has stored is taken up.
            None => out.extend(self.session.as_ref().map(|session| read_log(session.day))),
        }
    }

    fn go_on(&mut self, wanted: Wanted, at_ms: f64, out: &mut Vec<Effect>) {
        match wanted {
            Wanted::Open(day) => self.open_session(day, at_ms, out),
            Wanted::Begin if self.bank.driving() => self.begin(at_ms, out),
            // Another tab has a session in hand.
            Wanted::Begin => out.extend(self.running_day().map(|(day, _)| read_log(day))),
        }
    }

    /// The session of a day of the book, as its log tells it.
    fn opened(&self, day: Id, at_ms: f64) -> Result<(RunningSession, Vec<String>), String> {
        let refused = |refused: crate::refusal::Refusal| refused.to_string();
        let plan = self.book.day(day).map_err(refused)?.plan;
        let read = self.book.log(day, plan.rigs.len()).map_err(refused)?;
        let (mut session, mut told) = RunningSession::open(
            &plan,
            self.choices.units,
            &read.log.to_text(),
            self.habits_for(day),
            at_ms,
        )?;
        session.day = day;
        // Two phones number their lines each for itself: such a log is only looked at.
        session.watching = !self.bank.driving() || self.book.logged_elsewhere(day);
        told.extend(read.repairs);
        Ok((session, told))
    }

    /// Opens the stored session of a day, to drive where this tab may write it.
    fn open_session(&mut self, day: Id, at_ms: f64, out: &mut Vec<Effect>) {
        match self.opened(day, at_ms) {
            Ok((session, told)) => {
                let (lines, held) = (session.session.log().to_text(), self.book.own_lines(day));
                if !session.watching && lines != held {
                    // What could not be read was left out, and the records behind it have new numbers.
                    let rows = by_key(self.book.replace_log(day, &lines).unwrap_or_default());
                    let place = self.draw();
                    self.saves.set_aside(place, &held, rows.keys().cloned().collect());
                    self.saves.unsaved.extend(rows);
                    if self.saves.under_way.is_some() {
                        self.saves.changed = true;
                    } else {
                        self.write_page(out);
                    }
                }
                self.put_session(session, told);
            }
            Err(sentence) => self.say(&sentence, false),
        }
        out.push(Effect::Draw(Part::Screen));
    }

    fn put_session(&mut self, mut session: RunningSession, told: Vec<String>) {
        session.room = self.session.as_ref().and_then(|session| session.room);
        self.bank.due_ms = session.next_at_ms();
        self.session = Some(Box::new(session));
        for sentence in told {
            self.say(&sentence, false);
        }
    }

    /// The plan of the day that is fished has changed: the session goes on with it.
    pub(super) fn renew_session(&mut self) {
        let Some((day, at_ms)) = self.session.as_ref().map(|session| (session.day, session.at_ms)) else {
            return;
        };
        if Some(day) == self.day
            && let Ok((session, told)) = self.opened(day, at_ms)
        {
            self.put_session(session, told);
        }
    }

    /// A session of the open day begins.
    fn begin(&mut self, at_ms: f64, out: &mut Vec<Effect>) {
        let Some(day) = self.own_day(out) else { return };
        match self.opened(day, at_ms) {
            Ok((session, told)) => {
                self.try_change(Change::State { day, state: State::Running });
                self.put_session(session, told);
                self.screen = Screen::Bank;
                self.store_tap(Then::Begun, out);
                out.push(Effect::NameScreen(Screen::Bank));
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
            Tap::Start if self.looking.is_some() || self.running_day().is_some() => {}
            Tap::Start => self.want(Wanted::Begin, at_ms, out),
            tap => self.record(&tap, at_ms, out),
        }
    }

    /// Takes a tap into the session and asks for it to be stored; it is shown when it is.
    fn record(&mut self, tap: &Tap, at_ms: f64, out: &mut Vec<Effect>) {
        let Some(session) = self.session.as_mut().filter(|session| !session.watching) else { return };
        let advised = session.advised();
        let (line, told) = session.tap(tap, at_ms).unwrap_or_else(|sentence| (None, vec![sentence]));
        let then = Then::Show {
            said: session.heard(tap, advised),
            whole: matches!(
                tap,
                Tap::Fix(_)
                    | Tap::Kind(EventKind::End | EventKind::Undo | EventKind::Pause | EventKind::Resume)
            ),
        };
        let (day, ended) = (session.day, session.ended());
        self.bank.due_ms = session.next_at_ms();
        for sentence in told {
            self.say(&sentence, false);
        }
        let Some(line) = line else { return follow_up(then, out) };
        self.try_change(Change::Tap { day, line });
        self.try_change(Change::State { day, state: if ended { State::Fished } else { State::Running } });
        self.store_tap(then, out);
    }

    /// Asks for a tap to be stored, with what the store lacks.
    fn store_tap(&mut self, then: Then, out: &mut Vec<Effect>) {
        let id = self.saves.next_id();
        let rows = core::mem::take(&mut self.saves.unsaved);
        let mut writes = writes_of(&rows, !self.saves.others);
        // Which day is open, and the number that this phone's lines go by.
        writes.push(self.page_write());
        self.bank.under_way.push(UnderWay { id, rows, then });
        out.push(self.saves.change(id, writes));
    }

    /// Rows that the store refused wait for the next write, but for those that a later change carries: they are newer there.
    pub(super) fn put_back(&mut self, id: u32, mut rows: Rows) {
        let taps = self.bank.under_way.iter().map(|write| (write.id, &write.rows));
        let save = self.saves.under_way.iter().map(|save| (save.id, &save.rows));
        for (_, later) in taps.chain(save).filter(|(later, _)| *later > id) {
            rows.retain(|key, _| !later.contains_key(key));
        }
        self.saves.put_back(rows);
    }

    /// The store has answered; says whether it was about a tap.
    pub(super) fn tap_stored(&mut self, id: u32, good: bool, out: &mut Vec<Effect>) -> bool {
        let Some(place) = self.bank.under_way.iter().position(|write| write.id == id) else { return false };
        let UnderWay { rows, then, .. } = self.bank.under_way.remove(place);
        if good {
            self.bank.refused = false;
            out.push(Effect::Tell(Message::Stored { page: None, rows }));
        } else {
            self.put_back(id, rows);
            if !core::mem::replace(&mut self.bank.refused, true) {
                self.say(if then == Then::Begun { START_REFUSED } else { TAP_REFUSED }, false);
                out.push(Effect::Draw(Part::Notices));
            }
        }
        follow_up(then, out);
        true
    }

    /// The store was emptied under the page: nothing of what was on its way is in it.
    pub(super) fn forget_taps(&mut self, out: &mut Vec<Effect>) {
        for write in core::mem::take(&mut self.bank.under_way) {
            follow_up(write.then, out);
        }
    }

    /// Another tab has stored something of the day that is fished.
    pub(super) fn watch(&mut self, at_ms: f64, out: &mut Vec<Effect>) {
        let watched = self.session.as_ref().filter(|session| session.watching).map(|session| session.day);
        if let Some(day) = watched {
            self.open_session(day, at_ms, out);
        } else if let Some((day, _)) = self.running_day().filter(|_| self.session.is_none()) {
            out.push(read_log(day));
        }
    }

    /// A button of the bank that is no event of the session.
    pub(super) fn bank_act(&mut self, act: BankAction) -> Redraw {
        let handling = &mut self.choices.bank;
        match act {
            BankAction::Open(number) => {
                let shown = &mut self.bank.shown.event;
                *shown = if *shown == Some(number) { None } else { Some(number) };
            }
            BankAction::All => self.bank.shown.whole_list = !self.bank.shown.whole_list,
            BankAction::Hand => handling.left_handed = !handling.left_handed,
            BankAction::Vibration => handling.no_vibration = !handling.no_vibration,
            BankAction::Flash => handling.no_flash = !handling.no_flash,
            BankAction::Later | BankAction::LaterOut => {
                let day = &mut self.plan.day;
                let (of, moved) = match act {
                    BankAction::Later => (&mut day.all_in_min, true),
                    _ => (&mut day.all_out_min, false),
                };
                *of = (*of + LATER_MIN) % 1440;
                self.bank.shown.moved = moved;
                self.refresh();
            }
        }
        Redraw::Screen
    }
}

/// The log of a day is read.
pub(super) fn read_log(day: Id) -> Effect {
    Effect::ReadStore { prefix: [LOGS, &day.to_string()].concat() }
}

/// What follows a write that was answered.
fn follow_up(then: Then, out: &mut Vec<Effect>) {
    if let Then::Show { said, whole } = then {
        out.push(Effect::Draw(if whole { Part::Screen } else { Part::Session { full: true } }));
        out.push(Effect::Draw(Part::Notices));
        out.push(Effect::Say(said));
    }
}
