//! The loop: an event goes in, what is to be done comes out.

use super::effect::{Effect, File, Part, StoreTrouble, Write};
use super::event::{Action, Event, Message, Place};
use super::settings::Surroundings;
use super::storage::{Found, PAGE, set_aside, trouble_sentence};
use super::{Page, Redraw, Screen, report, saved};
use crate::plan::link;
use crate::plan::presets::presets;
use crate::results::calendar_file::calendar_file;
use crate::results::fall::FallPath;
use crate::rig::finder::Progress;

const SAVE_REFUSED: &str = "This phone would not keep the last change: its storage is full or switched off. Share the link to keep your plan.";

/// What the page meets when it opens.
#[derive(Debug, Default)]
pub struct Opening {
    /// What the store holds, by key.
    pub records: Vec<(String, String)>,
    /// Why the store is not as it should be.
    pub trouble: Option<StoreTrouble>,
    /// What the page knows of its own making.
    pub build: report::BuildInfo,
    /// Where it stands.
    pub place: Surroundings,
    /// Whether the reader wants no motion.
    pub still: bool,
    /// The fragment of its address, without its sign.
    pub fragment: String,
    /// The time, ms since 1970.
    pub at_ms: f64,
}

impl Page {
    /// The page as it opens, and what is to be done first.
    #[must_use]
    pub fn open(opening: Opening) -> (Self, Vec<Effect>) {
        let mut out = Vec::new();
        let mut found = Found::read(opening.records);
        let mut page = Self::new();
        if let Some(text) = found.page.take() {
            match saved::read(&text) {
                Ok(kept) => {
                    page = kept.page;
                    page.saves.serial = kept.serial;
                }
                Err(why) => {
                    page.say(&[why.sentence(), " It is set aside on this phone."].concat(), false);
                    let id = page.saves.next_id();
                    let writes = vec![set_aside(&text), Write::RemoveAll { prefix: PAGE }];
                    out.push(Effect::Store { id, writes });
                }
            }
        }
        (page.build, page.place, page.falls.still) = (opening.build, opening.place, opening.still);
        if let Some(trouble) = opening.trouble {
            page.say(trouble_sentence(trouble), false);
            // It is told already.
            page.saves.refused = matches!(trouble, StoreTrouble::Refused | StoreTrouble::Late);
            page.saves.unread = trouble == StoreTrouble::Late;
        }
        page.follow(&opening.fragment, &mut out);
        out.push(Effect::ShowTheme(page.choices.theme));
        out.push(Effect::Draw(Part::Screen));
        page.found_log(found, opening.at_ms, &mut out);
        page.fall_soon(&mut out);
        page.run(&mut out);
        (page, out)
    }

    /// What an event makes of the page. Gives what is to be done, in order.
    pub fn update(&mut self, event: Event) -> Vec<Effect> {
        let mut out = Vec::new();
        self.take(event, &mut out);
        self.run(&mut out);
        out
    }

    /// The button with this `data-act`, at no time of day; what is not one of ours does nothing.
    pub fn act(&mut self, act: &str) -> Vec<Effect> {
        Action::parse(act).map_or_else(Vec::new, |action| self.update(Event::Pressed { action, at_ms: 0.0 }))
    }

    fn take(&mut self, event: Event, out: &mut Vec<Effect>) {
        match event {
            Event::Typed { path, text } => {
                let redraw = self.type_in(&path, &text);
                self.mark(path, out);
                self.settle(redraw, out);
            }
            Event::Left { path } => self.write_out(path, out),
            Event::Stepped { path, by } => {
                let redraw = self.step(&path, by);
                self.write_out(path.clone(), out);
                self.mark(path, out);
                self.settle(redraw, out);
            }
            Event::Ticked { id, on } => {
                let redraw = self.tick(&id, on);
                self.settle(redraw, out);
            }
            Event::Pressed { action, at_ms } => self.pressed(action, at_ms, out),
            Event::Tapped { tap, at_ms } => self.tapped(tap, at_ms, out),
            Event::Followed(fragment) => {
                if self.follow(&fragment, out) {
                    self.settle(Redraw::Screen, out);
                    out.push(Effect::ToTop);
                }
            }
            Event::Received(text) => {
                self.take_text(&text);
                out.push(Effect::CloseShare);
                self.settle(Redraw::Screen, out);
            }
            Event::LogOpened { text, at_ms } => self.import(text, at_ms, out),
            Event::TooLarge { place } => {
                let what = if place == Place::Share { "a plan." } else { "the log of a day." };
                self.say_at(place, ["This file is too large for ", what].concat(), out);
            }
            Event::Read { records, at_ms } => self.read(Found::read(records), at_ms, out),
            Event::Stored(id) => self.stored(id, true, out),
            Event::NotStored(id) => self.stored(id, false, out),
            Event::StoreReopened => {
                self.saves.under_way = None;
                self.save(out);
                self.store_log_anew(out);
            }
            Event::Claimed { mine, at_ms } => self.claimed(mine, at_ms, out),
            Event::Heard { message, .. } => self.heard(message, out),
            Event::Seen { visible, at_ms } => {
                // What waits for an answer may wait in vain: a page that is out of view may never run again.
                if !visible && self.saves.changed {
                    self.write_page(out);
                }
                if self.player.pause() {
                    out.push(Effect::Draw(Part::Moment));
                }
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
            Event::Searched { progress, ended } => self.searched(progress, ended, out),
            Event::Frame { at_ms, in_view } => self.frame(at_ms, in_view, out),
            Event::Scrubbed(at_s) => {
                self.player.scrub(at_s);
                out.push(Effect::Draw(Part::Moment));
            }
            Event::BeforePrint => out.push(Effect::LayOut),
            // What was laid out stays: some browsers say so before they have drawn the pages.
            Event::AfterPrint => self.printing = None,
            Event::Answered { place, sentence } => self.say_at(place, sentence.to_owned(), out),
            Event::Erased => out.extend([Effect::Tell(Message::Erased), Effect::Reload]),
        }
    }

    /// What a button does.
    fn pressed(&mut self, action: Action, at_ms: f64, out: &mut Vec<Effect>) {
        let redraw = match action {
            Action::OpenPreset(id) => {
                if let Some(preset) = presets().into_iter().find(|p| p.id == id) {
                    self.replace(preset.plan);
                }
                Redraw::Screen
            }
            Action::OpenPending => {
                if let Some(plan) = self.pending.take() {
                    self.replace(*plan);
                }
                Redraw::Screen
            }
            Action::KeepMine => {
                self.pending = None;
                Redraw::Screen
            }
            Action::Undo => {
                self.undo();
                Redraw::Screen
            }
            Action::Dismiss(place) => {
                if place < self.notices.len() {
                    self.notices.remove(place);
                }
                Redraw::Screen
            }
            Action::Add(list) => {
                self.add(&list);
                Redraw::Screen
            }
            Action::Remove { list, place } => {
                self.remove(&list, place);
                Redraw::Screen
            }
            Action::OpenRig(rig) => {
                self.rig = rig.min(self.plan.rigs.len().saturating_sub(1));
                Redraw::Screen
            }
            Action::UseSet { rig, set } => {
                self.use_set(rig, set);
                Redraw::Screen
            }
            Action::UseTin(id) => {
                self.use_tin(&id);
                Redraw::Screen
            }
            Action::KitCount { id, by } => {
                self.kit_count(&id, by);
                Redraw::Screen
            }
            Action::Lengths(lengths) => {
                self.choices.units.lengths = lengths;
                self.refresh();
                Redraw::Screen
            }
            Action::Sign(sign) => {
                self.choices.units.sign = sign;
                self.refresh();
                Redraw::Screen
            }
            Action::Theme(theme) => {
                self.choices.theme = theme;
                out.push(Effect::ShowTheme(theme));
                Redraw::Screen
            }
            Action::KeepSession => {
                self.keep_session();
                Redraw::Screen
            }
            Action::UntickAll => {
                self.remember("All ticks are off.");
                self.ticks.clear();
                Redraw::Screen
            }
            Action::BaitTab(tab) => {
                self.bait_tab = tab;
                Redraw::Screen
            }
            Action::Stopwatch => self.tap(at_ms),
            Action::Tub(act) => {
                self.tub_act(act);
                Redraw::Screen
            }
            Action::UseFreezing | Action::UseThawing => {
                self.use_duration(action == Action::UseThawing);
                Redraw::Screen
            }
            Action::Finder(act) => {
                self.finder_act(act);
                out.push(Effect::Draw(Part::Notices));
                out.push(Effect::Draw(Part::Finder));
                self.fall_soon(out);
                Redraw::Nothing
            }
            Action::Compare(with) => {
                self.falls.compare = with;
                Redraw::Screen
            }
            Action::UseMove(place) => {
                self.use_move(place);
                Redraw::Screen
            }
            Action::UseProposal(place) => {
                self.use_proposal(place);
                Redraw::Screen
            }
            Action::Ladder(act) => {
                self.ladder_act(act);
                Redraw::Screen
            }
            Action::UseGlass => {
                self.use_glass();
                Redraw::Screen
            }
            Action::UseWeighed => {
                self.use_weighed();
                Redraw::Screen
            }
            Action::Card(size) => {
                self.tools.card = size;
                Redraw::Screen
            }
            action => {
                self.pressed_for_browser(action, at_ms, out);
                Redraw::Nothing
            }
        };
        self.settle(redraw, out);
    }

    /// The buttons that change nothing of the plan.
    fn pressed_for_browser(&mut self, action: Action, at_ms: f64, out: &mut Vec<Effect>) {
        match action {
            Action::Play => {
                let end_s = self.watch_s();
                self.player.toggle(end_s);
                out.extend(self.player.playing.then_some(Effect::AskFrame));
                out.push(Effect::Draw(Part::Moment));
            }
            Action::Print(paper) => {
                self.printing = Some(paper);
                out.extend([Effect::LayOut, Effect::Print]);
            }
            Action::Share => out.push(Effect::OpenShare),
            Action::CloseShare => out.push(Effect::CloseShare),
            Action::CopyLink => out.push(Effect::Copy { place: Place::Share, text: self.share_text() }),
            Action::SendLink => out.push(Effect::Send(self.share_text())),
            Action::SaveLink => {
                let text = self.share_text() + "\n";
                let file = File { name: "dotdown-plan.txt", media_type: "text/plain", text };
                out.push(Effect::HandOver { file, place: Place::Share });
            }
            Action::Calendar => match calendar_file(&self.plan, &self.results.prep, at_ms) {
                Ok(text) => {
                    let file = File { name: "dotdown-prep.ics", media_type: "text/calendar", text };
                    out.push(Effect::HandOver { file, place: Place::Calendar });
                }
                Err(_) => self.say_at(
                    Place::Calendar,
                    "There is nothing to write into a calendar: check the date.".to_owned(),
                    out,
                ),
            },
            Action::SaveLog(form) => {
                if let Some(session) = &self.session {
                    let file =
                        File { name: form.name(), media_type: form.media_type(), text: session.file(form) };
                    out.push(Effect::HandOver { file, place: Place::Notices });
                }
            }
            Action::Report { with_plan } => out.push(Effect::Report { with_plan }),
            Action::Erase => out.push(Effect::AskErase(true)),
            Action::EraseNot => out.push(Effect::AskErase(false)),
            Action::EraseNow => {
                self.saves.erased = true;
                self.session = None;
                out.push(Effect::EraseAll);
            }
            _ => {}
        }
    }

    /// Goes where a fragment says: a screen, or a plan that came with a link. Says whether it leads anywhere.
    fn follow(&mut self, name: &str, out: &mut Vec<Effect>) -> bool {
        // The second is the link past the bar, which the browser follows by itself.
        if matches!(name, "" | "main") {
            return false;
        }
        if let Some(screen) = Screen::named(name) {
            self.screen = screen;
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

    fn say_at(&mut self, place: Place, sentence: String, out: &mut Vec<Effect>) {
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
    fn settle(&mut self, redraw: Redraw, out: &mut Vec<Effect>) {
        let part = match redraw {
            Redraw::Nothing => return,
            Redraw::Results => Part::Results,
            Redraw::Screen => Part::Screen,
        };
        self.save(out);
        out.push(Effect::Draw(part));
        out.push(Effect::AwaitQuiet);
        self.fall_soon(out);
    }

    /// Asks for the page to be stored, or notes that it must be once the store has answered.
    fn save(&mut self, out: &mut Vec<Effect>) {
        self.saves.serial += 1;
        if self.saves.under_way.is_some() {
            self.saves.changed = true;
        } else {
            self.write_page(out);
        }
    }

    fn write_page(&mut self, out: &mut Vec<Effect>) {
        if self.saves.erased {
            return;
        }
        let (id, serial) = (self.saves.next_id(), self.saves.serial);
        let text = saved::write(self, serial);
        self.saves.changed = false;
        self.saves.under_way = Some((id, serial, text.clone()));
        out.push(Effect::Store { id, writes: vec![Write::Put { key: PAGE.to_owned(), value: text }] });
    }

    fn stored(&mut self, id: u32, good: bool, out: &mut Vec<Effect>) {
        let Some((_, serial, text)) = self.saves.under_way.take_if(|(asked, ..)| *asked == id) else {
            self.log_stored(id, good, out);
            return;
        };
        let refused = core::mem::replace(&mut self.saves.refused, !good);
        if good {
            out.extend([Effect::ShowStored(serial), Effect::Tell(Message::Page(text))]);
        } else if !refused {
            self.say(SAVE_REFUSED, false);
            out.push(Effect::Draw(Part::Notices));
        }
        if self.saves.changed {
            self.write_page(out);
        }
    }

    /// What the store holds. One that answers late may hold a plan, which takes the place of the worked day, or is asked
    /// about where that was changed meanwhile.
    fn read(&mut self, found: Found, at_ms: f64, out: &mut Vec<Effect>) {
        let late = core::mem::take(&mut self.saves.unread);
        self.notices.retain(|notice| !late || notice.sentence != trouble_sentence(StoreTrouble::Late));
        if late && let Some(kept) = found.page.as_deref().and_then(|text| saved::read(text).ok()) {
            if self.saves.serial == 0 {
                self.take_over(kept, out);
            } else {
                self.saves.serial = self.saves.serial.max(kept.serial);
                self.offer(kept.page.plan);
                self.settle(Redraw::Screen, out);
            }
        }
        self.found_log(found, at_ms, out);
    }

    /// Another tab has spoken.
    fn heard(&mut self, message: Message, out: &mut Vec<Effect>) {
        match message {
            Message::Log => out.push(Effect::ReadStore),
            Message::Erased => {
                self.saves.erased = true;
                out.push(Effect::Reload);
            }
            Message::Page(text) => {
                if let Ok(kept) = saved::read(&text)
                    && kept.serial > self.saves.serial
                {
                    self.take_over(kept, out);
                }
            }
        }
    }

    /// The plan, ticks and choices of a kept page take the place of those in hand; the reader stays where he is.
    fn take_over(&mut self, kept: saved::Kept, out: &mut Vec<Effect>) {
        self.saves.serial = kept.serial;
        (self.plan, self.ticks) = (kept.page.plan, kept.page.ticks);
        (self.choices, self.stopwatch) = (kept.page.choices, kept.page.stopwatch);
        self.refresh();
        out.extend([Effect::ShowTheme(self.choices.theme), Effect::Draw(Part::Screen)]);
    }

    /// After any change: starts or stops the search, and asks for a fall soon.
    fn fall_soon(&mut self, out: &mut Vec<Effect>) {
        let wanted = self.falls.search.as_ref().filter(|search| search.running);
        match (wanted, self.falls.searching) {
            (Some(search), false) => out.push(Effect::Search(Box::new(search.request.clone()))),
            (None, true) => out.push(Effect::StopSearch),
            _ => {}
        }
        self.falls.searching = wanted.is_some();
        if self.screen == Screen::Rigs {
            out.push(Effect::Draw(Part::Moment));
            out.push(Effect::FallSoon);
        } else {
            self.player.pause();
        }
    }

    /// Sends the next fall that is wanted to the worker.
    fn ask_fall(&mut self, out: &mut Vec<Effect>) {
        if self.falls.asked.is_none()
            && self.screen == Screen::Rigs
            && let Some(rig) = self.next_fall()
        {
            self.falls.asked = Some(rig.clone());
            out.push(Effect::Fall(Box::new(rig)));
        }
    }

    fn fell(&mut self, fall: Result<FallPath, String>, out: &mut Vec<Effect>) {
        if let Some(rig) = self.falls.asked.take() {
            let drawn = self.own_rig().as_ref() == Some(&rig)
                || self.compared().is_some_and(|(_, other)| other == rig);
            self.fall_came(rig, fall);
            out.push(Effect::Draw(if drawn { Part::Fall } else { Part::MoveEffects }));
            out.push(Effect::Draw(Part::Moment));
        }
        self.ask_fall(out);
    }

    fn searched(&mut self, progress: Result<Progress, String>, ended: bool, out: &mut Vec<Effect>) {
        // What was on its way when the search was stopped no longer counts.
        if !self.falls.searching {
            return;
        }
        self.falls.searching = !ended;
        self.falls.search_came(progress);
        // While it goes on, the button that stops it must stay under the finger.
        let runs = self.falls.search.as_ref().is_some_and(|search| search.running);
        out.push(Effect::Draw(if runs { Part::Found } else { Part::Finder }));
        if ended {
            self.ask_fall(out);
        }
    }

    /// A frame of the player. Out of view it stops.
    fn frame(&mut self, at_ms: f64, in_view: bool, out: &mut Vec<Effect>) {
        if !self.player.playing {
            return;
        }
        self.player.frame(at_ms, self.watch_s());
        if !in_view || self.screen != Screen::Rigs {
            self.player.pause();
        }
        out.push(Effect::Draw(Part::Moment));
        out.extend(self.player.playing.then_some(Effect::AskFrame));
    }

    /// Writes the end of the session into the plan, which can be taken back.
    fn keep_session(&mut self) {
        if let Some(session) = self.session.take() {
            self.remember("Note and kit list are kept with the plan.");
            session.keep(&mut self.plan);
            self.session = Some(session);
            self.refresh();
        }
    }
}
