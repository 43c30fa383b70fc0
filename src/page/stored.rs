//! How the page opens from what the store holds, and how each change of it gets there.

use super::bank::read_log;
use super::effect::{Effect, Part, StoreTrouble, Write};
use super::event::{Message, Place, Rows};
use super::saved::{self, Kept};
use super::settings::Surroundings;
use super::storage::{
    Keeping, LOGS, PAGE, Save, all_rows, by_key, rows_of, stored_rows, trouble_sentence, writes_of,
};
use super::{Page, report};
use crate::book::{Book, Id, Phone, State};

const SAVE_REFUSED: &str = "This phone would not keep the last change: its storage is full or switched off. Share the link to keep your plan.";

const LOG_DAMAGED: &str = "A part of a day’s log could not be read. It is set aside on this phone, and the rest stands. “Save a raw copy” under Settings saves that part, too.";

const SET_ASIDE: &str = " It is set aside on this phone";

const NOT_SET_ASIDE: &str = "A part of what this phone kept is damaged, and could not be set aside: its storage is full or switched off. It stays where it is, and nothing is written over it until it is set aside.";

const NOT_ERASED: &str = "This phone’s store does not answer, so nothing was erased. Close the other tabs of this page, load it again, then erase.";

const LOG_LATE: &str =
    "This phone’s store does not answer, so the day’s log could not be read. Load the page again.";

/// What the page meets when it opens.
#[derive(Debug, Default)]
pub struct Opening {
    /// What the store holds but for logs, by key.
    pub records: Vec<(String, String)>,
    /// Why the store is not as it should be.
    pub trouble: Option<StoreTrouble>,
    /// What the page knows of its own making.
    pub build: report::BuildInfo,
    /// Where and when it stands.
    pub place: Surroundings,
    /// The fragment of its address, without its sign.
    pub fragment: String,
    /// Random bits.
    pub random: u64,
}

impl Page {
    /// The page as it opens, and what is to be done first.
    #[must_use]
    pub fn open(opening: Opening) -> (Self, Vec<Effect>) {
        let mut out = Vec::new();
        let mut page = Self::new();
        (page.build, page.place, page.drawn) = (opening.build, opening.place, opening.random);
        page.take_records(opening.records, &mut out);
        if let Some(trouble) = opening.trouble {
            page.say(trouble_sentence(trouble), false);
            // It is told already.
            page.saves.refused = matches!(trouble, StoreTrouble::Refused | StoreTrouble::Late);
            if trouble == StoreTrouble::Late {
                page.saves.keeping = Keeping::Unread;
            }
        }
        out.push(Effect::Tell(Message::Hello));
        page.follow(&opening.fragment, &mut out);
        out.push(Effect::ShowTheme(page.choices.theme));
        out.push(Effect::Draw(Part::Screen));
        page.read_logs(&mut out);
        page.teach_here(&mut out);
        page.fall_soon(&mut out);
        page.run(&mut out);
        page.follow_tub();
        (page, out)
    }

    /// Takes in the settings and the book that the store holds.
    fn take_records(&mut self, records: Vec<(String, String)>, out: &mut Vec<Effect>) {
        let text = records.iter().find(|(key, _)| key == PAGE).map(|(_, text)| text.clone());
        let kept = text.as_deref().map(saved::read);
        if let (Some(text), Some(Err(why))) = (&text, &kept) {
            self.say(&[why.sentence(), SET_ASIDE, "."].concat(), false);
            let id = self.saves.next_id();
            let place = self.draw();
            self.saves.set_aside(place, text, vec![PAGE.to_owned()]);
            out.push(self.saves.change(id, vec![Write::Remove { key: PAGE.to_owned() }]));
        }
        let kept = kept.and_then(Result::ok);
        let phone = kept.as_ref().map_or_else(|| Phone(self.draw()), |kept| kept.phone);
        let [tab, ..] = self.draw().to_le_bytes();
        self.take_habits(&records);
        let opened = Book::open(phone, tab, rows_of(records));
        self.book = opened.book;
        for sentence in opened.told {
            self.say(&sentence, false);
        }
        self.day = kept.as_ref().and_then(|kept| kept.day);
        if let Some(kept) = kept {
            self.saves.serial = kept.serial;
            (self.choices, self.screen, self.rig) = (kept.choices, kept.screen, kept.rig);
            self.shelf.backed_up = kept.backed_up;
            self.take_up(&kept.stopwatch);
        }
        self.take_in_hand();
    }

    /// Asks for the logs that the page needs: of the day that is fished, and of the open one.
    fn read_logs(&mut self, out: &mut Vec<Effect>) {
        let running = self.running_day().map(|(day, _)| day);
        let open = self.open_day().filter(|day| day.state != State::Planned).map(|day| day.id);
        out.extend(running.map(read_log));
        out.extend(open.filter(|day| Some(*day) != running).map(read_log));
    }

    /// The page's own text.
    #[must_use]
    pub fn kept(&self) -> Kept {
        Kept {
            serial: self.saves.serial,
            phone: self.book.phone(),
            day: self.day,
            choices: self.choices,
            screen: self.screen,
            rig: self.rig,
            backed_up: self.shelf.backed_up,
            stopwatch: self.stopwatch.kept(),
        }
    }

    /// Hands the book what has changed, and asks for it to be stored, or notes that it must be once the store has
    /// answered.
    pub(super) fn save(&mut self, out: &mut Vec<Effect>) {
        self.commit();
        self.saves.serial += 1;
        if self.saves.under_way.is_some() {
            self.saves.changed = true;
        } else {
            self.write_page(out);
        }
    }

    /// The write of the page's own text.
    pub(super) fn page_write(&self) -> Write {
        Write::Put { key: PAGE.to_owned(), value: saved::write(&self.kept()) }
    }

    pub(super) fn write_page(&mut self, out: &mut Vec<Effect>) {
        if matches!(self.saves.keeping, Keeping::Over { .. }) {
            return;
        }
        let (id, serial) = (self.saves.next_id(), self.saves.serial);
        let (page, text) = (self.page_write(), saved::write(&self.kept()));
        let rows = core::mem::take(&mut self.saves.unsaved);
        let mut writes = writes_of(&rows, !self.saves.others);
        writes.push(page);
        self.saves.changed = false;
        self.saves.under_way = Some(Save { id, serial, text, rows });
        out.push(self.saves.change(id, writes));
    }

    /// Writes what is not known to be on the disk without another look at what stands there.
    pub(super) fn write_at_once(&mut self, out: &mut Vec<Effect>) {
        let lost = self.saves.under_way.take().map(|save| save.rows);
        if lost.is_none() && !self.saves.changed && self.saves.unsaved.is_empty() {
            return;
        }
        if let Some(rows) = lost {
            self.saves.put_back(rows);
        }
        let first = out.len();
        self.write_page(out);
        let asked = out.get_mut(first).filter(|effect| matches!(effect, Effect::Store { .. }));
        if let (Some(asked), Some(save)) = (asked, &self.saves.under_way) {
            let (id, mut writes) = (save.id, writes_of(&save.rows, true));
            writes.push(Write::Put { key: PAGE.to_owned(), value: save.text.clone() });
            *asked = self.saves.change(id, writes);
        }
    }

    pub(super) fn stored(&mut self, id: u32, good: bool, out: &mut Vec<Effect>) {
        let aside = self.saves.answered(id, good);
        let Some(Save { serial, text, rows, .. }) = self.saves.under_way.take_if(|save| save.id == id) else {
            if !self.tap_stored(id, good, out) && aside && !good {
                self.notices.retain(|notice| !notice.sentence.contains(SET_ASIDE));
                self.say(NOT_SET_ASIDE, false);
                out.push(Effect::Draw(Part::Notices));
            }
            return;
        };
        let refused = core::mem::replace(&mut self.saves.refused, !good);
        if good {
            let message = Message::Stored { page: Some(text), rows };
            out.extend([Effect::ShowStored(serial), Effect::Tell(message)]);
            if self.day.is_some() && !core::mem::replace(&mut self.shelf.asked_to_keep, true) {
                out.push(Effect::AskToKeep);
            }
        } else {
            self.put_back(id, rows);
            if !refused {
                self.say(SAVE_REFUSED, false);
                out.push(Effect::Draw(Part::Notices));
            }
        }
        if self.saves.changed {
            self.write_page(out);
        }
    }

    /// The store was emptied under the page: everything is written anew.
    pub(super) fn store_anew(&mut self, out: &mut Vec<Effect>) {
        self.saves.under_way = None;
        self.saves.unsaved = all_rows(&self.book);
        self.forget_taps(out);
        self.save(out);
    }

    /// What the store holds under keys that begin so.
    pub(super) fn read(
        &mut self,
        prefix: &str,
        records: Vec<(String, String)>,
        at_ms: f64,
        out: &mut Vec<Effect>,
    ) {
        if prefix.is_empty() {
            return self.read_late(records, out);
        }
        let mut writes = Vec::new();
        for (key, text) in records {
            for (store, bytes) in rows_of([(key.clone(), text.clone())]) {
                match self.book.take_row(store, bytes) {
                    Err(refused) if refused.code() == "damaged" => {
                        let place = self.draw();
                        self.saves.set_aside(place, &text, vec![key.clone()]);
                        writes.push(Write::Remove { key: key.clone() });
                        self.say(LOG_DAMAGED, false);
                    }
                    Err(refused) => self.say(&refused.to_string(), false),
                    Ok(()) => {}
                }
            }
        }
        if !writes.is_empty() {
            let id = self.saves.next_id();
            out.push(self.saves.change(id, writes));
        }
        if let Some(day) = prefix.strip_prefix(LOGS).and_then(Id::read) {
            self.lesson_read(day, out);
            let here = self.day == Some(day) && self.state() != State::Planned;
            if here || self.running_day().is_some_and(|(running, _)| running == day) {
                self.log_read(day, at_ms, out);
            }
        } else if self.logs_read(out) {
            self.save(out);
            out.push(Effect::Draw(Part::Screen));
        }
    }

    /// A store that answers late may hold days: both are one book then. What was made meanwhile stays open.
    fn read_late(&mut self, records: Vec<(String, String)>, out: &mut Vec<Effect>) {
        if self.saves.keeping != Keeping::Unread {
            return;
        }
        self.saves.keeping = Keeping::Usual;
        self.notices.retain(|notice| notice.sentence != trouble_sentence(StoreTrouble::Late));
        let (mine, open, place, choices) =
            (all_rows(&self.book), self.day, (self.screen, self.rig), self.choices);
        let watch = self.stopwatch.kept();
        self.take_records(records, out);
        // What the reader did meanwhile is newer than what was kept.
        (self.screen, self.rig) = place;
        let chosen = self.choices.overlaid(choices);
        let changed = core::mem::replace(&mut self.choices, chosen) != chosen;
        if !watch.is_empty() {
            self.take_up(&watch);
        }
        if self.receive_rows(&mine) {
            self.saves.unsaved.extend(mine);
        }
        if open.is_some() {
            self.day = open;
            self.take_in_hand();
        }
        out.extend([Effect::ShowTheme(self.choices.theme), Effect::Draw(Part::Screen)]);
        self.read_logs(out);
        if changed || !watch.is_empty() || !self.saves.unsaved.is_empty() {
            self.save(out);
        }
    }

    /// The store could not be emptied: the page goes on with what it holds.
    pub(super) fn not_erased(&mut self, out: &mut Vec<Effect>) {
        if let Keeping::Over { read } = self.saves.keeping {
            self.saves.keeping = if read { Keeping::Usual } else { Keeping::Unread };
        }
        self.say_at(Place::Erase, NOT_ERASED.to_owned(), out);
        self.read_logs(out);
    }

    /// The store has not answered. What it holds but for logs comes when it does.
    pub(super) fn not_read(&mut self, prefix: &str, out: &mut Vec<Effect>) {
        if prefix.starts_with(LOGS) {
            self.say(LOG_LATE, false);
            out.push(Effect::Draw(Part::Notices));
        }
    }

    /// Takes rows from another tab into the book; false where they cannot be read.
    fn receive_rows(&mut self, rows: &Rows) -> bool {
        match self.book.receive(&stored_rows(rows)) {
            Ok(applied) => {
                self.saves.unsaved.extend(by_key(applied.rows));
                true
            }
            Err(_) => false,
        }
    }

    /// Another tab has spoken.
    pub(super) fn heard(&mut self, message: Message, at_ms: f64, out: &mut Vec<Effect>) {
        self.saves.others = true;
        match message {
            Message::Hello => out.push(Effect::Tell(Message::Here)),
            Message::Here => {}
            Message::Erased => {
                self.saves.keeping = Keeping::Over { read: true };
                out.push(Effect::Reload);
            }
            Message::Stored { page, rows } => {
                if let Some(kept) = page.and_then(|text| saved::read(&text).ok())
                    && kept.serial > self.saves.serial
                {
                    self.saves.serial = kept.serial;
                    self.choices = kept.choices;
                    self.shelf.backed_up = kept.backed_up.max(self.shelf.backed_up);
                    out.push(Effect::ShowTheme(self.choices.theme));
                }
                if self.receive_rows(&rows) && self.looking.is_none() {
                    let typed = core::mem::take(&mut self.rejected);
                    self.take_in_hand();
                    self.rejected = typed;
                }
                self.watch(at_ms, out);
                out.push(Effect::Draw(Part::Screen));
            }
        }
    }
}
