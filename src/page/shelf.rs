//! Waters, tackle and the backup on the page: which of them is open, what is typed into it, what a plan offers to keep.

use super::action::BookAction;
use super::effect::{Effect, File};
use super::event::Place;
use super::storage::{LOGS, by_key};
use super::{Page, Screen};
use crate::book::{
    Book, Change, Elastic, Float, Hook, Id, Item, Kind, Line, Offer, Outcome, Shot, State, Test, TinLabel,
    Water, book_from, book_text, put_hooklength,
};
use crate::physics::water::density_kg_per_m3;
use crate::plan::{FieldMut, Plan};
use crate::refusal::Refusal;
use crate::units::{Quantity, Units};

/// Fewer drops are no test.
const MIN_DROPS: i32 = 5;

/// What is open of waters and tackle, what is sought, what a backup is for.
#[derive(Clone, Debug, Default)]
pub struct Shelf {
    /// The open water.
    pub water: Option<Id>,
    /// The open thing in the box.
    pub item: Option<Id>,
    /// What is sought among the days.
    pub sought: String,
    /// Whether all days are listed, not the nearest alone.
    pub all_days: bool,
    /// The day of the newest backup, days since 1970.
    pub backed_up: Option<i32>,
    /// What is done with all logs, once they are read.
    wanted: Option<WithLogs>,
}

#[derive(Clone, Debug)]
enum WithLogs {
    Save,
    Merge(Box<Book>),
}

/// A record with a field in it that may be set.
enum Open {
    Outcome(Id, Outcome),
    Note(Id, String),
    Water(Id, Box<Water>),
    Item(Id, Box<Item>),
}

impl Open {
    fn field(&mut self, key: &str) -> Option<(FieldMut<'_>, &'static str)> {
        match self {
            Self::Outcome(_, outcome) => outcome.field(key),
            Self::Note(_, note) => Some((FieldMut::Text(note), "")),
            Self::Water(_, water) => water.facts.field(key),
            Self::Item(_, item) => item.field(key),
        }
    }

    fn change(self) -> Change {
        match self {
            Self::Outcome(day, outcome) => Change::Outcome { day, outcome },
            Self::Note(day, note) => Change::Note { day, note },
            Self::Water(id, water) => Change::Water { id, water },
            Self::Item(id, item) => Change::Item { id, item },
        }
    }
}

impl Page {
    /// The record of the book that a path leads into, and the rest of the path: `result.weight`, `place.depth`,
    /// `box.load`.
    fn record_at<'a>(&self, path: &'a str) -> Option<(Open, &'a str)> {
        let (of, key) = path.split_once('.')?;
        let open = match of {
            "result" if key == "note" => {
                self.day.map(|id| Some(Open::Note(id, self.book.day(id).ok()?.note)))?
            }
            "result" => self.day.map(|id| Some(Open::Outcome(id, self.book.day(id).ok()?.outcome)))?,
            "place" => {
                self.shelf.water.map(|id| Some(Open::Water(id, Box::new(self.book.water(id).ok()?))))?
            }
            "box" => {
                self.shelf.item.map(|id| Some(Open::Item(id, Box::new(self.book.item(id).ok()?.item))))?
            }
            _ => None,
        }?;
        Some((open, if of == "result" { path } else { key }))
    }

    /// Types into a record of the book; nothing where the path leads into none.
    pub(super) fn set_in_book(&mut self, path: &str, text: &str) -> Option<Result<(), Refusal>> {
        let units = self.choices.units;
        let (mut open, key) = self.record_at(path)?;
        let (slot, row) = open.field(key)?;
        let set = slot.set(row, text, units);
        Some(set.and_then(|()| self.change(open.change())))
    }

    /// Steps a number of a record of the book.
    pub(super) fn step_in_book(&mut self, path: &str, by: i32) -> Option<Result<(), Refusal>> {
        let units = self.choices.units;
        let (mut open, key) = self.record_at(path)?;
        let (slot, row) = open.field(key)?;
        let limit = crate::plan::fields::bounds_of(row)?;
        match slot {
            FieldMut::Number(number) => *number = limit.moved(*number, by, units),
            FieldMut::Maybe(number) => *number = Some(limit.moved(number.unwrap_or(0), by, units)),
            _ => return None,
        }
        Some(self.change(open.change()))
    }

    /// What a number in the book is, as text.
    pub(super) fn text_in_book(&self, path: &str) -> Option<String> {
        let (mut open, key) = self.record_at(path)?;
        let (slot, row) = open.field(key)?;
        let kind = crate::plan::fields::bounds_of(row)?.kind;
        match slot {
            FieldMut::Number(number) => Some(self.choices.units.text(*number, kind)),
            FieldMut::Maybe(number) => {
                Some(number.map_or_else(String::new, |number| self.choices.units.text(number, kind)))
            }
            _ => None,
        }
    }

    /// What the open day's plan offers its water and the box to keep.
    #[must_use]
    pub fn offers(&self) -> Vec<Offer> {
        let Some(id) = self.day.filter(|_| self.looking.is_none()) else { return Vec::new() };
        let mut offers = self.book.water_offers(id).unwrap_or_default();
        if !self.book.tackle().is_empty() {
            offers.extend(self.book.tackle_offers(&self.plan));
            offers.extend(self.tub_test().and_then(|test| self.book.tub_offer(&self.plan, test)));
        }
        offers
    }

    /// What the open day's tub test found of its tin.
    fn tub_test(&self) -> Option<Test> {
        let tub = self.results.tub.as_ref()?;
        let water = density_kg_per_m3(f64::from(self.plan.bait_more.tub.water_tenth_c) / 10.0);
        #[expect(
            clippy::cast_possible_truncation,
            reason = "the casts saturate, and the book checks its limits"
        )]
        let whole = |number: f64| number.round() as i32;
        Some(Test::Tub {
            density_kg_per_m3: whole(water + tub.excess_kg_per_m3.mid),
            spread_kg_per_m3: whole(tub.spread_kg_per_m3.mid),
            drops: i32::try_from(tub.drops).ok().filter(|drops| *drops >= MIN_DROPS)?,
        })
    }

    /// Whether the newest backup is older than the last fished day.
    #[must_use]
    pub fn backup_is_old(&self) -> bool {
        let fished = self.book.summaries().filter(|day| day.state == State::Fished);
        let last = fished.map(|day| day.date).max();
        last.is_some_and(|last| self.shelf.backed_up.is_none_or(|backup| backup < last))
    }

    pub(super) fn shelf_act(&mut self, act: &BookAction, out: &mut Vec<Effect>) {
        match act {
            BookAction::OpenWater(id) => {
                self.shelf.water = Some(*id);
                self.teach(*id, out);
                self.go_to(Screen::Water, out);
            }
            BookAction::NewWater => {
                let mut water = Water::default();
                "New water".clone_into(&mut water.facts.name);
                self.add_water(water, out);
            }
            BookAction::AllDays => self.shelf.all_days = true,
            BookAction::KeepWater => self.keep_water(out),
            BookAction::DeleteWater => {
                if let Some(id) = self.shelf.water.take() {
                    self.remember("The water is deleted. Its days stay.");
                    self.try_change(Change::Remove { kind: Kind::Water, id });
                    self.go_to(Screen::Days, out);
                }
            }
            BookAction::RemoveDepth(place) => {
                let Some((id, mut water)) =
                    self.shelf.water.and_then(|id| Some((id, self.book.water(id).ok()?)))
                else {
                    return;
                };
                let spot = water.depths.keys().nth(*place).cloned();
                if let Some(spot) = spot {
                    water.depths.remove(&spot);
                    self.try_change(Change::Water { id, water: Box::new(water) });
                }
            }
            BookAction::OpenItem(id) => {
                self.shelf.item = if self.shelf.item == Some(*id) { None } else { Some(*id) };
            }
            BookAction::NewItem(kind) => {
                let id = self.new_id();
                if self.try_change(Change::Item { id, item: Box::new(kind.usual()) }) {
                    self.shelf.item = Some(id);
                }
            }
            BookAction::KeepTackle => self.keep_tackle(),
            BookAction::DeleteItem => {
                if let Some(id) = self.shelf.item.take() {
                    self.remember("Taken out of the box.");
                    self.try_change(Change::Remove { kind: Kind::Tackle, id });
                }
            }
            BookAction::UseItem(id) => self.use_item(*id),
            BookAction::Offer(place) => {
                let mut offers = self.offers();
                if *place < offers.len() {
                    self.try_change(offers.remove(*place).change);
                }
            }
            BookAction::Settle { part, phone } => {
                let open = self.book.open_parts().into_iter().nth(*part);
                if let Some(open) = open
                    && self.try_change(Change::Settle {
                        kind: open.kind,
                        id: open.id,
                        part: open.part,
                        phone: *phone,
                    })
                {
                    self.take_in_hand();
                }
            }
            BookAction::Backup => {
                self.shelf.wanted = Some(WithLogs::Save);
                out.push(Effect::ReadStore { prefix: LOGS.to_owned() });
            }
            _ => {}
        }
    }

    fn add_water(&mut self, water: Water, out: &mut Vec<Effect>) -> Option<Id> {
        let id = self.new_id();
        let added = self.try_change(Change::Water { id, water: Box::new(water) });
        if added {
            self.shelf.water = Some(id);
            self.go_to(Screen::Water, out);
        }
        added.then_some(id)
    }

    /// The water of the open day comes into the book, and the day belongs to it.
    fn keep_water(&mut self, out: &mut Vec<Effect>) {
        if self.plan.water.venue.is_empty() {
            self.say("This day has no venue yet. Give it a name under Venue and peg.", false);
            return;
        }
        let Some(day) = self.own_day(out) else { return };
        if let Some(id) = self.add_water(Book::water_of(&self.plan), out) {
            self.try_change(Change::DayWater { day, water: Some(id) });
        }
    }

    /// What the open day's rigs are made of comes into the box, each thing once.
    fn keep_tackle(&mut self) {
        for (id, item) in things_of(&self.plan) {
            if self.book.item(id).is_err() && !self.try_change(Change::Item { id, item: Box::new(item) }) {
                return;
            }
        }
    }

    /// Puts a thing of the box, or the open one, into the plan: a float, line, hook or elastic into the open rig.
    fn use_item(&mut self, id: Option<Id>) {
        let Some(owned) = id.or(self.shelf.item).and_then(|id| self.book.item(id).ok()) else { return };
        self.remember(&[owned.item.name(), " is in the plan."].concat());
        let done = match &owned.item {
            // A thin line is one for hooklengths: weaker than the main line that the rig has.
            Item::Line(line)
                if self.plan.rigs.get(self.rig).is_some_and(|rig| line.strength_g < rig.main_strength_g) =>
            {
                put_hooklength(line, &mut self.plan, self.rig)
            }
            _ => owned.put(&mut self.plan, self.rig),
        };
        if !done {
            self.notices.retain(|notice| !notice.undo);
            self.telling = false;
            self.say("The plan has no place for this.", false);
        }
        self.refresh();
    }

    /// A backup was opened: it is merged, once the logs here are read.
    pub(super) fn backup_opened(&mut self, text: &str, out: &mut Vec<Effect>) {
        match book_from(text) {
            Ok(book) => {
                self.shelf.wanted = Some(WithLogs::Merge(Box::new(book)));
                out.push(Effect::ReadStore { prefix: LOGS.to_owned() });
            }
            Err(refused) => {
                self.say(&[&refused.to_string(), " Nothing was changed."].concat(), false);
            }
        }
    }

    /// All logs are read: what waited for them is done. Says whether the book has changed.
    pub(super) fn logs_read(&mut self, out: &mut Vec<Effect>) -> bool {
        match self.shelf.wanted.take() {
            Some(WithLogs::Save) => {
                self.shelf.backed_up = Some(self.today());
                let date = Units::default().bare(self.today(), Quantity::Date);
                let file = File {
                    name: ["dotdown-backup-", &date, ".json"].concat(),
                    media_type: "application/json",
                    text: book_text(&self.book),
                };
                out.push(Effect::HandOver { file, place: Place::Backup });
                true
            }
            Some(WithLogs::Merge(book)) => {
                match self.book.merge(&book) {
                    Ok(applied) => {
                        let days = applied.changed.iter().filter(|(kind, _)| *kind == Kind::Day).count();
                        self.saves.unsaved.extend(by_key(applied.rows));
                        let sentence = match days {
                            0 => "The backup holds nothing that is not here already.".to_owned(),
                            1 => "One day came from the backup.".to_owned(),
                            days => [&days.to_string(), " days came from the backup."].concat(),
                        };
                        self.say(&sentence, false);
                        for sentence in applied.told {
                            self.say(&sentence, false);
                        }
                        self.take_in_hand();
                    }
                    Err(refused) => {
                        self.say(&[&refused.to_string(), " Nothing was changed."].concat(), false);
                    }
                }
                true
            }
            None => false,
        }
    }

    /// After a day was fished: a word on the backup, once for each day.
    pub(super) fn remind_of_backup(&mut self) {
        if self.state() == State::Fished && self.backup_is_old() {
            self.say("Your newest backup is older than this day. Save one under Settings.", false);
        }
    }
}

/// What a plan's rigs are made of, each thing once, with the id that it has on every phone.
fn things_of(plan: &Plan) -> Vec<(Id, Item)> {
    let mut items: Vec<Item> = Vec::new();
    for shot in &plan.shot_box {
        items.push(Item::Shot(Shot {
            name: shot.name.clone(),
            mass_tenth_mg: shot.mass_tenth_mg,
            weighed: shot.weighed,
            density_kg_per_m3: shot.density_kg_per_m3,
            count: shot.count,
        }));
    }
    items.push(Item::Tin(TinLabel::from(&plan.tin)));
    for rig in &plan.rigs {
        items.push(Item::Float(Float {
            name: rig.float_name.clone(),
            load_tenth_mg: rig.load_tenth_mg,
            tip_um: rig.tip_um,
            tip_length_tenth_mm: rig.tip_length_tenth_mm,
            tip_of: rig.more.tip_of,
        }));
        for (diameter_um, strength_g) in
            [(rig.main_um, rig.main_strength_g), (rig.hooklength_um, rig.hooklength_strength_g)]
        {
            let name = [&Units::default().bare(diameter_um, Quantity::Diameter), " mm"].concat();
            items.push(Item::Line(Line { name, diameter_um, strength_g }));
        }
        let name = ["Size ", &rig.hook_size.to_string()].concat();
        items.push(Item::Hook(Hook { name, size: rig.hook_size, mass_tenth_mg: rig.hook_tenth_mg }));
        let more = &rig.more;
        let diameter =
            more.elastic_um.map(|um| [&Units::default().bare(um, Quantity::Diameter), " mm"].concat());
        let number = more.elastic_number.map(|number| ["No. ", &number.to_string()].concat());
        if let Some(name) = number.or(diameter) {
            let (elastic_um, bore_um) = (more.elastic_um, more.bore_um);
            items.push(Item::Elastic(Elastic { name, elastic_um, bore_um, number: more.elastic_number }));
        }
    }
    let named = items.into_iter().filter(|item| !item.name().is_empty());
    named.map(|item| (Id::usual(&[item.kind(), " ", item.name()].concat()), item)).collect()
}
