//! What the reader's waters taught: read again when a day there has changed, worked out in the worker, kept for each water.

use super::Page;
use super::bank::read_log;
use super::effect::{Effect, Part};
use super::storage::{bytes_of, text_of};
use crate::book::{DaySummary, Id, State};
use crate::checksum::crc32;
use crate::plan::link;
use crate::results::lessons::{Habits, Lesson};
use crate::session::MAX_DAYS;
use crate::small::Sorted;

/// What the keys of kept habits begin with.
const HABITS: &str = "habits/";

/// What each water taught, and what is being learned.
#[derive(Clone, Debug, Default)]
pub struct Taught {
    /// Of each water the mark of the days that it was learned from, and the habits.
    known: Sorted<Id, (u32, Habits)>,
    /// The water that is being learned, its mark, and the days whose logs are not read yet.
    reading: Option<(Id, u32, Sorted<Id, ()>)>,
    /// The water that the worker is at.
    asked: Option<(Id, u32)>,
}

impl Page {
    /// What a water taught, where that is known.
    #[must_use]
    pub fn habits_of(&self, water: Id) -> Option<&Habits> {
        self.taught.known.get(&water).map(|(_, habits)| habits)
    }

    /// What a session at the water of a day uses: what it taught, unless the reader has switched that off.
    pub(super) fn habits_for(&self, day: Id) -> Option<Habits> {
        let water = self.book.day(day).ok()?.water?;
        let used = self.book.water(water).is_ok_and(|water| water.facts.use_taught);
        self.habits_of(water).filter(|_| used).cloned()
    }

    /// The days that a water is learned from, and a mark that changes with them.
    fn lessons(&self, water: Id) -> (Vec<Id>, u32) {
        let days: Vec<Id> = self.book.fished_at(water).into_iter().take(MAX_DAYS).map(|day| day.id).collect();
        let marks = days.iter().flat_map(|&day| self.book.mark_of(day).to_le_bytes());
        let mark = crc32(&marks.collect::<Vec<u8>>());
        (days, mark)
    }

    /// Whether a water's days are being read, or the worker is at them.
    #[must_use]
    pub fn is_learning(&self, water: Id) -> bool {
        let read = self.taught.reading.as_ref().is_some_and(|(of, ..)| *of == water);
        read || self.taught.asked.is_some_and(|(of, _)| of == water)
    }

    /// The log of a day has changed: if it was fished, what was learned from it is not known any more.
    pub(super) fn unlearn_of(&mut self, day: Id) {
        let fished = |of: &&DaySummary| of.id == day && of.state == State::Fished;
        let water = self.book.summaries().find(fished).and_then(|day| day.water);
        if let Some(water) = water {
            self.unlearn(water);
        }
    }

    fn unlearn(&mut self, water: Id) {
        if self.taught.known.remove(&water).is_some() {
            self.saves.unsaved.insert([HABITS, &water.to_string()].concat(), None);
        }
    }

    /// Nothing is known any more, as after days and logs came from elsewhere.
    pub(super) fn unlearn_all(&mut self) {
        let waters: Vec<Id> = self.taught.known.keys().copied().collect();
        for water in waters {
            self.unlearn(water);
        }
    }

    /// Learns a water anew, if a day there has changed since it was learned.
    pub(super) fn teach(&mut self, water: Id, out: &mut Vec<Effect>) {
        let (days, mark) = self.lessons(water);
        if days.is_empty() {
            self.unlearn(water);
        }
        let known = self.taught.known.get(&water).is_some_and(|(known, _)| *known == mark);
        let busy = self.taught.asked == Some((water, mark));
        if days.is_empty() || known || busy {
            return;
        }
        out.extend(days.iter().map(|&day| read_log(day)));
        self.taught.reading = Some((water, mark, days.into_iter().map(|day| (day, ())).collect()));
    }

    /// The water of the open day is learned anew where it must be.
    pub(super) fn teach_here(&mut self, out: &mut Vec<Effect>) {
        if let Some(water) = self.open_day().and_then(|day| day.water) {
            self.teach(water, out);
        }
    }

    /// The log of a day is in the book: with the last one the worker begins.
    pub(super) fn lesson_read(&mut self, day: Id, out: &mut Vec<Effect>) {
        let Some((water, mark, left)) = &mut self.taught.reading else { return };
        left.remove(&day);
        if !left.is_empty() {
            return;
        }
        let (water, mark) = (*water, *mark);
        self.taught.reading = None;
        let lesson = |day: Id| {
            let plan = self.book.day(day).ok()?.plan;
            let log = self.book.log(day, plan.rigs.len()).ok()?.log;
            let lesson = Lesson { link: link::write(&plan), log: log.to_text() };
            (!lesson.log.is_empty()).then_some(lesson)
        };
        let lessons: Vec<Lesson> = self.lessons(water).0.into_iter().filter_map(lesson).collect();
        self.taught.asked = Some((water, mark));
        out.push(Effect::Learn(lessons));
    }

    /// The worker has learned: what came of it is kept, and a session at this water goes on with it.
    pub(super) fn learned(&mut self, learned: Result<Box<Habits>, String>, out: &mut Vec<Effect>) {
        let (Some((water, mark)), Ok(habits)) = (self.taught.asked.take(), learned) else { return };
        let text = postcard::to_allocvec(&(mark, &*habits)).map(|bytes| text_of(&bytes)).unwrap_or_default();
        self.saves.unsaved.insert([HABITS, &water.to_string()].concat(), Some(text));
        self.taught.known.insert(water, (mark, *habits));
        self.renew_session();
        self.save(out);
        out.push(Effect::Draw(Part::Screen));
    }

    /// Takes in what was kept; what cannot be read is learned again.
    pub(super) fn take_habits(&mut self, records: &[(String, String)]) {
        for (key, text) in records {
            let read = || {
                let water = Id::read(key.strip_prefix(HABITS)?)?;
                let (mark, habits): (u32, Habits) = postcard::from_bytes(&bytes_of(text)).ok()?;
                Some((water, (mark, habits.checked().ok()?)))
            };
            self.taught.known.extend(read());
        }
    }
}
