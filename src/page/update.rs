//! The loop: an event goes in, what is to be done comes out.

use super::action::Action;
use super::effect::{Effect, File, Part};
use super::event::{Event, Message, Place, too_large};
use super::sheet::Sheet;
use super::shelf::BACKUP_OLDER;
use super::storage::Keeping;
use super::{Page, Redraw, Screen};
use crate::book::Change;
use crate::plan::link;
use crate::plan::presets::presets;
use crate::results::calendar_file::calendar_file;
use crate::units::{Quantity, Units};

impl Page {
    /// What an event makes of the page. Gives what is to be done, in order.
    pub fn update(&mut self, event: Event) -> Vec<Effect> {
        let mut out = Vec::new();
        self.take(event, &mut out);
        self.run(&mut out);
        self.follow_tub();
        // Once the end is drawn, which waits for the store.
        let ended = self.session_here().filter(|live| self.screen == Screen::Bank && live.ended());
        let pictured = ended.map(|live| live.day);
        if pictured != self.bank.pictured && out.contains(&Effect::Draw(Part::Screen)) {
            self.bank.pictured = pictured;
            out.extend(pictured.map(|_| Effect::DrawPicture));
        }
        out
    }

    /// The button with this `data-act`, at no time of day; what is not one of ours does nothing.
    pub fn act(&mut self, act: &str) -> Vec<Effect> {
        Action::parse(act).map_or_else(Vec::new, |action| self.update(Event::Pressed { action, at_ms: 0.0 }))
    }

    fn take(&mut self, event: Event, out: &mut Vec<Effect>) {
        match event {
            Event::Typed { path, text } => {
                // Letters of one text, and steps of one number, are one change.
                self.typing.take_if(|typing| *typing != path);
                let redraw = self.type_in(&path, &text);
                self.mark(path.clone(), out);
                self.settle(redraw, out);
                self.typing = Some(path);
            }
            Event::Left { path } => {
                self.typing = None;
                self.write_out(path, out);
            }
            Event::Stepped { path, by } => {
                self.typing.take_if(|typing| *typing != path);
                let redraw = self.step(&path, by);
                self.write_out(path.clone(), out);
                self.mark(path.clone(), out);
                self.settle(redraw, out);
                self.typing = Some(path);
            }
            Event::Ticked { id, on } => {
                self.typing = None;
                let redraw = self.tick(&id, on);
                self.settle(redraw, out);
            }
            Event::Pressed { action, at_ms } => {
                self.typing = None;
                self.place.now_ms = at_ms.max(self.place.now_ms);
                self.pressed(action, at_ms, out);
            }
            Event::Tapped { tap, at_ms } => self.tapped(tap, at_ms, out),
            Event::Followed(fragment) => {
                let from = self.screen;
                if self.follow(&fragment, out) {
                    // A sheet that opens or closes leaves its screen where it was.
                    self.to_top |= self.screen != from;
                    self.notices.retain(|notice| self.screen == from || notice.sentence != BACKUP_OLDER);
                    self.settle(Redraw::Screen, out);
                }
            }
            Event::Received(text) => {
                self.take_text(&text);
                out.push(Effect::CloseShare);
                self.settle(Redraw::Screen, out);
            }
            Event::BackupOpened { text } => {
                self.backup_opened(&text, out);
                out.push(Effect::Draw(Part::Notices));
            }
            Event::TooLarge { place } => self.say_at(place, too_large(place), out),
            Event::Read { prefix, records, at_ms } => self.read(&prefix, records, at_ms, out),
            Event::Stored(id) => self.stored(id, true, out),
            Event::NotStored(id) => self.stored(id, false, out),
            Event::StoreReopened => self.store_anew(out),
            Event::Claimed { mine, at_ms } => self.claimed(mine, at_ms, out),
            Event::Heard { message, at_ms } => self.heard(message, at_ms, out),
            Event::Wide(wide) => {
                self.place.wide = wide;
                out.push(Effect::Draw(Part::Screen));
            }
            Event::Seen { visible, at_ms } => {
                // What waits for an answer may wait in vain: a page that is out of view may never run again.
                if !visible {
                    self.write_at_once(out);
                }
                out.extend(self.player.pause().then_some(Effect::Draw(Part::Moment)));
                self.seen(visible, at_ms, out);
            }
            Event::Clock { at_ms, forward_ms } => self.clock(at_ms, forward_ms, out),
            Event::Room(room) => {
                if let Some(session) = &mut self.session {
                    session.fit(room);
                    out.push(Effect::Draw(Part::Session { full: true }));
                }
            }
            Event::Quiet => out.push(Effect::Announce),
            Event::FallDue => self.ask_fall(out),
            Event::Fell(fall) => self.fell(fall, out),
            Event::Doubted(row) => self.doubt_came(row.as_deref(), out),
            Event::Searched { progress, ended } => self.searched(progress, ended, out),
            Event::Learned(learned) => self.learned(learned, out),
            Event::Frame { at_ms, in_view } => self.frame(at_ms, in_view, out),
            Event::Scrubbed(at_s) => {
                self.player.scrub(at_s);
                out.push(Effect::Draw(Part::Moment));
            }
            Event::BeforePrint => out.push(Effect::LayOut),
            // What was laid out stays: some browsers say so before they have drawn the pages.
            Event::AfterPrint => self.printing = None,
            Event::Answered { place, sentence } => self.answered(place, sentence, out),
            Event::Erased => out.extend([Effect::Tell(Message::Erased), Effect::Reload]),
            Event::NotErased => self.not_erased(out),
            Event::NotRead { prefix } => self.not_read(&prefix, out),
        }
    }

    /// What a button does.
    fn pressed(&mut self, action: Action, at_ms: f64, out: &mut Vec<Effect>) {
        let mut redraw = Redraw::Screen;
        match action {
            Action::OpenPreset(id) => self.open_preset(&id, out),
            Action::AddPending => self.take_pending(false, out),
            Action::LookAtPending => self.take_pending(true, out),
            Action::LeavePending => self.leave_pending(),
            Action::Undo => self.undo(false, out),
            Action::Redo => self.undo(true, out),
            Action::Book(act) => self.day_act(&act, out),
            Action::Bank(act) => redraw = self.bank_act(act),
            Action::Dismiss(place) => {
                if place < self.notices.len() {
                    self.notices.remove(place);
                }
            }
            Action::Add(list) => self.add(&list),
            Action::Remove { list, place } => self.remove(&list, place),
            Action::OpenRig(rig) => self.rig = rig.min(self.plan.rigs.len().saturating_sub(1)),
            Action::MoveRig { place, right } => self.move_rig(place, right),
            Action::Mend(place) => self.mend(place),
            Action::MendAll => self.mend_all(),
            Action::FollowLines(yes) => self.follow_lines(yes),
            Action::UseSet { rig, set } => self.use_set(rig, set),
            Action::UseTin(id) => self.use_tin(&id),
            Action::KitCount { id, by } => self.kit_count(&id, by),
            Action::Lengths(lengths) => {
                self.choices.units.lengths = lengths;
                self.refresh();
            }
            Action::Sign(sign) => {
                self.choices.units.sign = sign;
                self.refresh();
            }
            Action::Theme(theme) => {
                self.choices.theme = theme;
                out.push(Effect::ShowTheme(theme));
            }
            Action::KeepSession => self.keep_session(out),
            Action::UntickAll => {
                self.remember("All ticks are off.");
                self.ticks.clear();
            }
            Action::RigTab(tab) => self.rig_tab = tab,
            Action::Stopwatch => redraw = self.tap(at_ms),
            Action::Practise => {
                self.practice.tap(super::bait::whole_ms(at_ms));
                redraw = Redraw::Results;
            }
            Action::Tub(act) => self.tub_act(act),
            Action::UseFreezing | Action::UseThawing => self.use_duration(action == Action::UseThawing),
            Action::Finder(act) => {
                self.finder_act(act);
                out.push(Effect::Draw(Part::Notices));
                out.push(Effect::Draw(Part::Finder));
                self.fall_soon(out);
                return;
            }
            Action::Compare(with) => self.falls.compare = with,
            Action::UseMove(place) => self.use_move(place),
            Action::UseProposal(place) => self.use_proposal(place),
            Action::Metal(place) => self.box_of(place),
            Action::Olivette => self.add_olivette(),
            Action::Ladder(act) => self.ladder_act(act),
            Action::UseGlass => self.use_glass(),
            Action::UseWeighed => self.use_weighed(),
            Action::Card(size) => self.tools.card = size,
            action => return self.pressed_for_browser(&action, at_ms, out),
        }
        self.settle(redraw, out);
    }

    /// The buttons that change nothing of the plan.
    fn pressed_for_browser(&mut self, action: &Action, at_ms: f64, out: &mut Vec<Effect>) {
        match action {
            Action::Play => {
                let end_s = self.watch_s();
                self.player.toggle(end_s);
                out.extend(self.player.playing.then_some(Effect::AskFrame));
                out.push(Effect::Draw(Part::Moment));
            }
            Action::Print(paper) => {
                self.printing = Some(*paper);
                out.extend([Effect::LayOut, Effect::Print]);
            }
            Action::Share => out.push(Effect::OpenShare),
            Action::CloseShare => out.push(Effect::CloseShare),
            Action::CopyLink => out.push(Effect::Copy { place: Place::Share, text: self.share_text() }),
            Action::SendLink => out.push(Effect::Send(self.share_text())),
            Action::SaveLink => {
                let text = self.share_text() + "\n";
                let file = File { name: self.file_name("plan.txt"), media_type: "text/plain", text };
                out.push(Effect::HandOver { file, place: Place::Share });
            }
            Action::Calendar => match calendar_file(&self.plan, &self.results.prep, at_ms) {
                Ok(text) => {
                    let file = File { name: self.file_name("prep.ics"), media_type: "text/calendar", text };
                    out.push(Effect::HandOver { file, place: Place::Calendar });
                }
                Err(_) => self.say_at(
                    Place::Calendar,
                    "There is nothing to write into a calendar: check the date.".to_owned(),
                    out,
                ),
            },
            Action::SaveLog => {
                if let Some(session) = self.session_here() {
                    let text = session.csv(&self.plan, self.choices.units, self.place.ahead_min);
                    let file = File { name: self.file_name("session.csv"), media_type: "text/csv", text };
                    out.push(Effect::HandOver { file, place: Place::Notices });
                }
            }
            Action::SharePicture => out.push(Effect::SharePicture { name: self.file_name("day.png") }),
            Action::Report { with_plan } => out.push(Effect::Report { with_plan: *with_plan }),
            Action::Erase => out.push(Effect::AskErase(true)),
            Action::EraseNot => out.push(Effect::AskErase(false)),
            Action::EraseNow => {
                self.saves.keeping = Keeping::Over { read: self.saves.keeping != Keeping::Unread };
                (self.session, self.past) = (None, None);
                out.push(Effect::EraseAll);
            }
            _ => {}
        }
    }

    /// Goes where a fragment says: a screen, or a plan that came with a link. Says whether it leads anywhere.
    pub(super) fn follow(&mut self, name: &str, out: &mut Vec<Effect>) -> bool {
        // The second is the link past the bar, which the browser follows by itself.
        if matches!(name, "" | "main") {
            return false;
        }
        let (screen, sheet) = name.split_once('.').unwrap_or((name, ""));
        if let Some(screen) = Screen::named(screen) {
            (self.screen, self.sheet) = (screen, Sheet::named(screen, sheet));
            return true;
        }
        match presets().into_iter().find(|p| p.id == name) {
            Some(preset) => self.offer(preset.plan),
            None => self.take_text(name),
        }
        // The link has been read: a reload shall not ask again.
        out.push(Effect::NameScreen(self.screen));
        true
    }

    /// Reads a plan from outside and offers it.
    fn take_text(&mut self, text: &str) {
        match link::read(text) {
            Ok(plan) => self.offer(plan),
            Err(e) => self.say(&[&e.to_string(), " Your plan is as it was."].concat(), false),
        }
    }

    pub(super) fn say_at(&mut self, place: Place, sentence: String, out: &mut Vec<Effect>) {
        if place == Place::Notices {
            self.say(&sentence, false);
            out.push(Effect::Draw(Part::Notices));
        } else {
            out.push(Effect::SayAt { place, sentence });
        }
    }

    /// Shows or clears the refusal beside the field at `path`.
    fn mark(&self, path: String, out: &mut Vec<Effect>) {
        let refusal = self.rejected.get(&path).map(|rejected| rejected.sentence.clone());
        out.push(Effect::MarkField { path, refusal });
    }

    /// Writes a good number out in full.
    fn write_out(&mut self, path: String, out: &mut Vec<Effect>) {
        if self.rejected.contains(&path) {
            return;
        }
        if let Some(text) = self.text_at(&path) {
            out.push(Effect::WriteField { path, text });
        }
    }

    /// After a change: it is stored, shown, and told when no other follows.
    pub(super) fn settle(&mut self, redraw: Redraw, out: &mut Vec<Effect>) {
        let part = match redraw {
            Redraw::Nothing => return,
            Redraw::Results => Part::Results,
            Redraw::Screen => Part::Screen,
        };
        self.save(out);
        out.push(Effect::Draw(part));
        out.extend(core::mem::take(&mut self.to_top).then_some(Effect::ToTop));
        out.push(Effect::AwaitQuiet);
        self.fall_soon(out);
    }

    /// Writes the end of the session into its day.
    fn keep_session(&mut self, out: &mut Vec<Effect>) {
        if let Some(session) = self.session.take_if(|session| Some(session.day) == self.day) {
            session.keep(&mut self.plan);
            let fish = i32::try_from(session.fish()).ok();
            if let Ok(mut day) = self.book.day(session.day)
                && day.outcome.fish.is_none()
            {
                day.outcome.fish = fish;
                self.try_change(Change::Outcome { day: session.day, outcome: day.outcome });
            }
            self.session = Some(session);
            self.refresh();
            self.say("The day is finished: note, number of fish and kit list are kept with it.", false);
            self.remind_of_backup();
            self.commit();
            self.teach_here(out);
        }
    }

    /// A file's name: the water and the date, and what it is.
    fn file_name(&self, what: &str) -> String {
        let plan = &self.plan;
        let venue = if plan.water.venue.is_empty() { "dotdown" } else { &plan.water.venue };
        let words: Vec<String> = venue
            .split(|letter: char| !letter.is_alphanumeric())
            .filter(|word| !word.is_empty())
            .map(crate::small::lowercase)
            .collect();
        let date = Units::default().bare(plan.day.date.0, Quantity::Date);
        [&words.join("-"), "-", &date, "-", what].concat()
    }
}
