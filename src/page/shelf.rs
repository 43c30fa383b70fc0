//! Waters, tackle and the backup on the page: which of them is open, what is typed into it, what a plan offers to keep.

use super::action::BookAction;
use super::effect::{Effect, File};
use super::event::Place;
use super::storage::{LOGS, by_key};
use super::{Page, Screen};
use crate::bait::material::TESTED_C;
use crate::book::{Book, Change, Id, Item, Kind, Offer, Outcome, State, Test, Water, book_from, book_text};
use crate::physics::water::density_kg_per_m3;
use crate::plan::FieldMut;
use crate::refusal::Refusal;
use crate::results::requests::label;
use crate::units::{Quantity, Units};

/// Said once, on the screen of the day that it is of: a notice lies over the number of another one.
pub(super) const BACKUP_OLDER: &str = "Your newest backup is older than this day. Save one under Settings.";
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
    /// The day whose end was told to be in no backup.
    reminded: Option<Id>,
    /// Whether the browser was asked not to clear away what is kept.
    pub(super) asked_to_keep: bool,
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
        let set = set.and_then(|()| self.change(open.change()));
        if path == "place.use_taught" {
            self.renew_session();
        }
        Some(set)
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
        offers.extend(self.book.tackle_offers(id, &self.plan));
        offers.extend(self.tub_test().and_then(|test| self.book.tub_offer(id, &self.plan, test)));
        offers
    }

    /// What the open day's tub test found of its tin, at the temperature that tests are kept at.
    fn tub_test(&self) -> Option<Test> {
        let tub = self.results.tub.as_ref()?;
        let bucket_c = f64::from(self.plan.bait_more.tub.water_tenth_c) / 10.0;
        let solid = label(&self.plan).composition().ok()?;
        let warmer = solid.density_kg_per_m3(TESTED_C) - solid.density_kg_per_m3(bucket_c);
        let density = density_kg_per_m3(bucket_c) + tub.excess_kg_per_m3.mid + warmer;
        #[expect(
            clippy::cast_possible_truncation,
            reason = "the casts saturate, and the book checks its limits"
        )]
        let whole = |number: f64| number.round() as i32;
        Some(Test::Tub {
            density_kg_per_m3: whole(density),
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
            BookAction::TakeOutTest(name) => {
                if let Some(item) = self.shelf.item {
                    self.remember("The test is taken out.");
                    self.try_change(Change::TakeOutTest { item, name: name.clone() });
                }
            }
            BookAction::DeleteItem => {
                if let Some(id) = self.shelf.item.take() {
                    self.remember("Taken out of the box.");
                    self.try_change(Change::Remove { kind: Kind::Tackle, id });
                }
            }
            BookAction::UseItem(id) => self.use_item(*id),
            BookAction::Offer(place) => {
                let before = self.plan.clone();
                if let Some(offer) = self.offers().into_iter().nth(*place)
                    && offer.changes.into_iter().all(|change| self.try_change(change))
                {
                    self.take_in_hand();
                    self.depth_changed(&before);
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

    /// A file was handed over, or not: a sentence says which. Of a backup that was taken the date is kept.
    pub(super) fn answered(&mut self, place: Place, sentence: &str, out: &mut Vec<Effect>) {
        if place == Place::Backup {
            self.shelf.backed_up = Some(self.today());
            self.save(out);
        }
        self.say_at(place, sentence.to_owned(), out);
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
                        if !applied.rows.is_empty() {
                            self.unlearn_all();
                        }
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

    /// After a day was fished: a word on the backup, once for each day. One of the same date was made before.
    pub(super) fn remind_of_backup(&mut self) {
        let older = self.shelf.backed_up.is_none_or(|backup| backup <= self.plan.day.date.0);
        if older && self.state() == State::Fished && self.shelf.reminded != self.day {
            self.shelf.reminded = self.day;
            self.say(BACKUP_OLDER, false);
        }
    }
}
