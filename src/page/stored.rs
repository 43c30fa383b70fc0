//! How the page opens from what the store holds, and how each change of it gets there.

use super::effect::{Effect, Part, StoreTrouble, Write};
use super::event::Message;
use super::settings::Surroundings;
use super::storage::{Found, Keeping, PAGE, set_aside, trouble_sentence};
use super::{Page, report, saved};
use crate::plan::presets::presets;

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
        (page.build, page.place) = (opening.build, opening.place);
        if let Some(trouble) = opening.trouble {
            page.say(trouble_sentence(trouble), false);
            // It is told already.
            page.saves.refused = matches!(trouble, StoreTrouble::Refused | StoreTrouble::Late);
            if trouble == StoreTrouble::Late {
                page.saves.keeping = Keeping::Unread;
            }
        }
        page.follow(&opening.fragment, &mut out);
        out.push(Effect::ShowTheme(page.choices.theme));
        out.push(Effect::Draw(Part::Screen));
        page.found_log(found, opening.at_ms, &mut out);
        page.fall_soon(&mut out);
        page.run(&mut out);
        (page, out)
    }

    /// Asks for the page to be stored, or notes that it must be once the store has answered.
    pub(super) fn save(&mut self, out: &mut Vec<Effect>) {
        self.saves.serial += 1;
        if self.saves.under_way.is_some() {
            self.saves.changed = true;
        } else {
            self.write_page(out);
        }
    }

    pub(super) fn write_page(&mut self, out: &mut Vec<Effect>) {
        if self.saves.keeping == Keeping::Over {
            return;
        }
        let (id, serial) = (self.saves.next_id(), self.saves.serial);
        let text = saved::write(self, serial);
        self.saves.changed = false;
        self.saves.under_way = Some((id, serial, text.clone()));
        out.push(Effect::Store { id, writes: vec![Write::Put { key: PAGE.to_owned(), value: text }] });
    }

    pub(super) fn stored(&mut self, id: u32, good: bool, out: &mut Vec<Effect>) {
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

    /// What the store holds. One that answers late may hold a plan: it is in hand then, and what was opened or changed
    /// meanwhile is asked about.
    pub(super) fn read(&mut self, found: Found, at_ms: f64, out: &mut Vec<Effect>) {
        let late = self.saves.keeping == Keeping::Unread;
        self.notices.retain(|notice| !late || notice.sentence != trouble_sentence(StoreTrouble::Late));
        if late {
            self.saves.keeping = Keeping::Usual;
        }
        if late && let Some(kept) = found.page.as_deref().and_then(|text| saved::read(text).ok()) {
            let meanwhile = self.plan.clone();
            self.before = None;
            self.notices.retain(|notice| !notice.undo);
            self.take_over(kept, out);
            if meanwhile != self.plan && presets().iter().all(|p| p.plan != meanwhile) {
                self.pending = Some(Box::new(meanwhile));
            }
        }
        self.found_log(found, at_ms, out);
    }

    /// Another tab has spoken.
    pub(super) fn heard(&mut self, message: Message, out: &mut Vec<Effect>) {
        match message {
            Message::Log => out.push(Effect::ReadStore),
            Message::Erased => {
                self.saves.keeping = Keeping::Over;
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
}
