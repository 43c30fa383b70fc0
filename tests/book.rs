//! The book from outside: what is changed is read back, undo takes back one change and no other, two tabs and several
//! phones come to the same book, a backup is the book.
//!
//! No outside source: these are laws of the document. What a part holds after a merge is compared with the definition
//! beside the code (`src/book/merge.rs`), JSON with an independent reader (`src/book/json.rs`).

use crate::common::wild::wild_plan;
use crate::common::{cases, dice, long, seeds};
use dotdown::book::{
    Applied, Book, Change, Day, Float, Id, Item, Kind, Outcome, Owned, Phone, Shot, Spot, State, Store,
    StoredRow, Test, Value, Water, book_from, book_text, next_saturday, row_to_store,
};
use dotdown::plan::fields::FIELDS;
use dotdown::plan::presets::{first, presets};
use dotdown::plan::{Dropper, Feeding, FieldMut, Plan, Purpose};
use dotdown::refusal::Refusal;
use dotdown::session::{Event, EventKind, Log};
use dotdown::units::{Quantity, Units};
use fastrand::Rng;
use proptest::prelude::*;
use std::collections::BTreeMap;

const DAY: Id = Id(0xd0);

fn empty(phone: u64, tab: u8) -> Book {
    Book::open(Phone(phone), tab, []).book
}

/// A book with one day.
fn with_day(plan: Plan) -> Book {
    let mut book = empty(1, 0);
    book.apply(Change::AddDay { id: DAY, day: Box::new(Day::new(plan)) }).unwrap();
    book
}

fn set(book: &mut Book, path: &str, typed: &str) -> Applied {
    let mut plan = book.day(DAY).unwrap().plan;
    plan.set(path, typed, Units::default()).unwrap();
    book.apply(plan_change(plan)).unwrap()
}

fn plan_change(plan: Plan) -> Change {
    Change::Plan { day: DAY, plan: Box::new(plan), words: String::new() }
}

fn text_of(book: &Book, path: &str) -> String {
    let mut plan = book.day(DAY).unwrap().plan;
    match plan.field(path).unwrap() {
        FieldMut::Number(n) => n.to_string(),
        FieldMut::Text(text) => text.clone(),
        _ => panic!("{path}"),
    }
}

/// What a store holds: rows by store and key, put in one by one as a change says.
#[derive(Clone, Default)]
struct Shelf(BTreeMap<(Store, String), Vec<u8>>);

impl Shelf {
    fn keep(&mut self, rows: &[StoredRow]) {
        for row in rows {
            let key = (row.store, row.key.clone());
            match &row.bytes {
                Some(bytes) => drop(self.0.insert(key, bytes.clone())),
                None => drop(self.0.remove(&key)),
            }
        }
    }

    fn open(&self, phone: u64) -> Book {
        let opened =
            Book::open(Phone(phone), 0, self.0.iter().map(|((store, _), bytes)| (*store, bytes.clone())));
        assert!(opened.told.is_empty(), "{:?}", opened.told);
        opened.book
    }
}

#[test]
fn any_plan_comes_back_from_its_parts_and_from_any_change_to_any_other() {
    for seed in seeds(0xb00c, 20, 5_000) {
        let (one, two) = (wild_plan(seed), wild_plan(seed + 1_000_000));
        let mut book = with_day(one.clone());
        assert_eq!(book.day(DAY).unwrap().plan, one, "seed {seed}");
        book.apply(plan_change(two.clone())).unwrap();
        assert_eq!(book.day(DAY).unwrap().plan, two, "seed {seed}");
        book.undo().unwrap();
        assert_eq!(book.day(DAY).unwrap().plan, one, "seed {seed}: undone");
        book.redo().unwrap();
        assert_eq!(book.day(DAY).unwrap().plan, two, "seed {seed}: redone");
        assert_eq!(book.apply(plan_change(two)).unwrap(), Applied::default(), "the same plan is no change");
    }
}

/// What a reader does to a plan, as the page does it.
fn edited(mut plan: Plan, rng: &mut Rng) -> Plan {
    let units = Units::default();
    match rng.u8(..9) {
        0 => drop(plan.set("water.depth", &format!("{} in", rng.u8(40..200)), units)),
        1 => drop(plan.set("water.peg", &rng.u8(1..60).to_string(), units)),
        2 => drop(plan.step(&format!("rigs.{}.depth", rng.usize(..plan.rigs.len())), 1, units)),
        3 if plan.rigs.len() < 8 => {
            let rig = plan.rigs[rng.usize(..plan.rigs.len())].clone();
            plan.rigs.push(rig);
        }
        4 if plan.rigs.len() > 1 => drop(plan.rigs.remove(rng.usize(..plan.rigs.len()))),
        5 => {
            let rig = rng.usize(..plan.rigs.len());
            let shot = i32::try_from(rng.usize(..plan.shot_box.len())).unwrap();
            let list = &mut plan.rigs[rig].droppers;
            if list.len() < 16 && rng.bool() {
                list.insert(rng.usize(..=list.len()), Dropper { from_hook_tenth_mm: 1_000, shot, count: 2 });
            } else if !list.is_empty() {
                list.remove(rng.usize(..list.len()));
            }
        }
        6 if plan.lines.len() > 1 => {
            // As the page does it: what lay on the line goes to the first, what lay behind it moves up.
            let gone = rng.usize(..plan.lines.len());
            plan.lines.remove(gone);
            let places =
                plan.feed.iter_mut().map(|p| &mut p.line).chain(plan.rigs.iter_mut().map(|r| &mut r.line));
            for place in places {
                let at = usize::try_from(*place).unwrap();
                *place = if at == gone { 0 } else { i32::try_from(at - usize::from(at > gone)).unwrap() };
            }
        }
        7 => plan.bait_more.add_drop(rng.i64(3_000..9_000)).unwrap_or_default(),
        _ => plan.set_kit_count("tins", Some(rng.i32(0..9))),
    }
    plan
}

#[test]
fn each_step_of_many_is_undone_and_redone_and_a_reload_keeps_them() {
    for seed in seeds(0x0d0, 5, 2_000) {
        let mut rng = Rng::with_seed(seed);
        let mut book = with_day(first());
        let mut shelf = Shelf::default();
        shelf.keep(&book.apply(Change::Note { day: DAY, note: "begun".to_owned() }).unwrap().rows);
        let mut plans = vec![first()];
        while plans.len() < 60 {
            let plan = edited(plans.last().unwrap().clone(), &mut rng);
            let done = book.apply(plan_change(plan.clone())).unwrap();
            shelf.keep(&done.rows);
            if !done.changed.is_empty() {
                plans.push(plan);
            }
        }
        assert!(book.steps() >= 60);
        let words = book.undoes(Units::default());
        book = shelf.open(1);
        assert_eq!(book.undoes(Units::default()), words, "seed {seed}: the history is as it was");
        for (i, plan) in plans.iter().enumerate().rev().skip(1) {
            shelf.keep(&book.undo().unwrap().rows);
            assert_eq!(&book.day(DAY).unwrap().plan, plan, "seed {seed}: back to {i}");
            if i % 20 == 0 {
                book = shelf.open(1);
            }
        }
        for plan in &plans[1..] {
            book.redo().unwrap();
            assert_eq!(&book.day(DAY).unwrap().plan, plan, "seed {seed}: brought back");
        }
    }
}

#[test]
fn undoing_a_depth_never_takes_back_later_work() {
    let mut book = with_day(first());
    let before = text_of(&book, "water.depth");
    set(&mut book, "water.depth", "6 ft");
    // Another phone's work on other fields, and on the rig list, comes in between.
    let mut other = Book::open(Phone(2), 0, []).book;
    other.merge(&book).unwrap();
    set(&mut other, "water.peg", "22");
    let mut plan = other.day(DAY).unwrap().plan;
    plan.rigs.push(plan.rigs[0].clone());
    other.apply(plan_change(plan)).unwrap();
    book.merge(&other).unwrap();
    book.undo().unwrap();
    let day = book.day(DAY).unwrap();
    assert_eq!(text_of(&book, "water.depth"), before);
    assert_eq!((day.plan.water.peg.as_str(), day.plan.rigs.len()), ("22", first().rigs.len() + 1));
    // Changed by somebody else since: it stays, with words.
    set(&mut book, "water.depth", "5 ft");
    other.merge(&book).unwrap();
    set(&mut other, "water.depth", "4 ft");
    book.merge(&other).unwrap();
    let undone = book.undo().unwrap();
    assert_eq!(undone.told, ["It was changed again since, and stays as it is now."]);
    assert!(undone.changed.is_empty());
    assert_eq!(text_of(&book, "water.depth"), (48 * 254).to_string());
    assert_eq!(book.undoes(Units::default()).as_deref(), Some("new day"), "the step went out of the history");
}

#[test]
fn the_button_says_what_it_will_undo() {
    let units = Units::default();
    let mut book = with_day(first());
    let said = |book: &Book| book.undoes(units).unwrap();
    assert_eq!(said(&book), "new day");
    set(&mut book, "water.depth", "7 ft");
    set(&mut book, "water.depth", "6 ft");
    assert_eq!(said(&book), "depth 6 ft");
    set(&mut book, "water.venue", "Sallow Pond");
    assert_eq!(said(&book), "water");
    let mut plan = book.day(DAY).unwrap().plan;
    plan.rigs.remove(1);
    book.apply(plan_change(plan.clone())).unwrap();
    assert_eq!(said(&book), "rig taken out");
    let last = plan.feed[0].clone();
    plan.feed.push(Feeding { start_min: 200, ..last });
    book.apply(plan_change(plan.clone())).unwrap();
    assert_eq!(said(&book), "feeding phase added");
    plan.water.bottom_tenth_c = None;
    plan.water.surface_tenth_c = 150;
    book.apply(Change::Plan { day: DAY, plan: Box::new(plan), words: "Mend all".to_owned() }).unwrap();
    assert_eq!(said(&book), "Mend all");
    book.apply(Change::Tick { day: DAY, tick: "kit-tins".to_owned(), on: true }).unwrap();
    assert_eq!(said(&book), "tick kit tins");
    assert_eq!(book.redoes(units), None);
    book.undo().unwrap();
    assert_eq!((said(&book).as_str(), book.redoes(units).as_deref()), ("Mend all", Some("tick kit tins")));
    set(&mut book, "water.peg", "9");
    assert_eq!(book.redoes(units), None, "a new change ends what could be brought back");
    assert_eq!(book.redo().unwrap_err().code(), "nothing_to_redo");
}

#[test]
fn letters_typed_one_by_one_are_one_step() {
    let mut book = with_day(first());
    set(&mut book, "water.peg", "");
    for typed in ["2", "22", "22a"] {
        let mut plan = book.day(DAY).unwrap().plan;
        plan.set("water.peg", typed, Units::default()).unwrap();
        book.apply_on(plan_change(plan)).unwrap();
    }
    let steps = book.steps();
    set(&mut book, "water.peg", "23");
    assert_eq!(book.steps(), steps + 1, "a change for itself is a step for itself");
    book.undo().unwrap();
    assert_eq!(text_of(&book, "water.peg"), "22a");
    book.undo().unwrap();
    assert_eq!(text_of(&book, "water.peg"), "14");
}

#[test]
fn a_deleted_day_comes_back_whole_and_what_is_gone_takes_no_change() {
    let mut book = with_day(first());
    book.apply(Change::Tick { day: DAY, tick: "kit-tins".to_owned(), on: true }).unwrap();
    let before = book.day(DAY).unwrap();
    book.apply(Change::Remove { kind: Kind::Day, id: DAY }).unwrap();
    assert_eq!(book.day(DAY).unwrap_err().code(), "no_such_record");
    assert!(book.days("").next.is_empty());
    assert_eq!(book.apply(plan_change(first())).unwrap_err().code(), "no_such_record");
    assert_eq!(book.undoes(Units::default()).as_deref(), Some("day deleted"));
    book.undo().unwrap();
    assert_eq!(book.day(DAY).unwrap(), before);
    book.redo().unwrap();
    assert!(book.day(DAY).is_err());
    let again = Change::AddDay { id: DAY, day: Box::new(before) };
    assert!(book.apply(again).is_err(), "an id is used once");
}

/// Two tabs change something each, before either has heard of the other; then both hear.
fn two_tabs(mine: (&str, &str), theirs: (&str, &str)) -> (Book, Book) {
    let day = with_day(first());
    let rows: Vec<_> = {
        let mut shelf = Shelf::default();
        let mut book = empty(1, 0);
        shelf.keep(&book.merge(&day).unwrap().rows);
        shelf.0.into_iter().map(|((store, _), bytes)| (store, bytes)).collect()
    };
    let mut tabs = [1, 2].map(|tab| Book::open(Phone(1), tab, rows.clone()).book);
    let [a, b] = &mut tabs;
    let first = set(a, mine.0, mine.1);
    let second = set(b, theirs.0, theirs.1);
    let anew = [a.receive(&second.rows).unwrap(), b.receive(&first.rows).unwrap()];
    assert_eq!(a.receive(&anew[1].rows).unwrap(), Applied::default(), "they agree by now");
    assert_eq!(b.receive(&anew[0].rows).unwrap(), Applied::default());
    assert_eq!(book_text(a), book_text(b));
    assert!(a.open_parts().is_empty(), "one phone’s tabs leave nothing to settle");
    let [a, b] = tabs;
    (a, b)
}

#[test]
fn edits_of_different_fields_in_two_tabs_at_once_both_stand() {
    let pairs = [
        (("water.depth", "6 ft"), ("water.peg", "22")),
        (("rigs.0.depth", "20 in"), ("rigs.1.depth", "30 in")),
        (("rigs.0.depth", "20 in"), ("rigs.0.show", "3 mm")),
        (("tin.fat", "25"), ("tin.protein", "13")),
    ];
    for (mine, theirs) in pairs {
        let (mut a, mut b) = two_tabs(mine, theirs);
        let mut wanted = first();
        wanted.set(mine.0, mine.1, Units::default()).unwrap();
        wanted.set(theirs.0, theirs.1, Units::default()).unwrap();
        assert_eq!(a.day(DAY).unwrap().plan, wanted);
        assert_eq!(a.undoes(Units::default()), b.undoes(Units::default()), "one history");
        let rows = a.undo().unwrap().rows;
        b.receive(&rows).unwrap();
        b.undo().unwrap();
        assert_eq!(b.day(DAY).unwrap().plan, first(), "each undo takes back one of them");
    }
}

#[test]
fn of_one_field_the_later_stands_and_undo_brings_the_other() {
    let (mut a, mut b) = two_tabs(("water.depth", "6 ft"), ("water.depth", "5 ft"));
    for book in [&mut a, &mut b] {
        assert_eq!(
            text_of(book, "water.depth"),
            (60 * 254).to_string(),
            "the higher tab is the later at one instant"
        );
        book.undo().unwrap();
        assert_eq!(text_of(book, "water.depth"), (72 * 254).to_string());
        book.undo().unwrap();
        assert_eq!(book.day(DAY).unwrap().plan, first());
        assert!(book.undo().is_err());
    }
    // Not at one instant: whoever had heard is the later, whatever its number.
    let (mut a, mut b) = two_tabs(("water.depth", "6 ft"), ("water.peg", "22"));
    b.receive(&set(&mut a, "water.depth", "4 ft").rows).unwrap();
    a.receive(&set(&mut b, "water.depth", "8 ft").rows).unwrap();
    b.receive(&set(&mut a, "water.depth", "9 ft").rows).unwrap();
    assert_eq!(text_of(&b, "water.depth"), (108 * 254).to_string());
}

/// Each tab stores before it hears of the other: what the transaction finds is joined, so that the later one to store takes
/// nothing away.
#[test]
fn a_store_joins_what_two_tabs_put_in_one_row() {
    let mut book = with_day(first());
    let mut log = Log::default();
    let mut tap = |book: &mut Book, at_ms: f64| {
        let number = log.push(Event::new(1.9e12 + at_ms, EventKind::Missed), 0.0).unwrap().unwrap();
        book.apply(Change::Tap { day: DAY, line: log.line(number).unwrap() }).unwrap().rows.remove(0)
    };
    let begun = tap(&mut book, 0.0);
    let mut tabs = [book.clone(), book];
    let [a, b] = &mut tabs;
    let day = |applied: Applied| {
        applied.rows.into_iter().find(|row| row.store == Store::Days).unwrap().bytes.unwrap()
    };
    let rows = [day(set(a, "water.depth", "6 ft")), day(set(b, "water.peg", "22"))];
    let [one, two] = rows.clone();
    let joined = row_to_store(Store::Days, &one, two.clone()).unwrap();
    assert_eq!(joined, row_to_store(Store::Days, &two, one.clone()).unwrap());
    assert_eq!(row_to_store(Store::Days, &joined, one).unwrap(), joined);
    let stored = Book::open(Phone(1), 0, [(Store::Days, joined)]).book;
    assert_eq!(
        (text_of(&stored, "water.depth"), text_of(&stored, "water.peg")),
        ((72 * 254).to_string(), "22".into())
    );
    let (shorter, longer) = (begun.bytes.unwrap(), tap(a, 5e3).bytes.unwrap());
    assert_eq!(row_to_store(Store::Logs, &longer, shorter.clone()).unwrap(), longer);
    assert_eq!(row_to_store(Store::Logs, &shorter, longer.clone()).unwrap(), longer);
    assert_eq!(row_to_store(Store::Days, &[1, 2], two).unwrap_err().code(), "damaged");
}

#[test]
fn what_two_phones_changed_is_kept_twice_and_settled() {
    let mut mine = with_day(first());
    let mut theirs = empty(2, 0);
    theirs.merge(&mine).unwrap();
    set(&mut mine, "water.depth", "6 ft");
    set(&mut theirs, "water.depth", "5 ft");
    set(&mut theirs, "water.peg", "22");
    let merged = mine.merge(&theirs).unwrap();
    assert_eq!(merged.told, ["One part was changed on both sides. Both are kept: choose which one stands."]);
    let [open] = mine.open_parts().try_into().unwrap();
    assert_eq!((open.kind, open.id, open.part.as_str()), (Kind::Day, DAY, "plan.water.depth"));
    let values: Vec<_> = open.values.iter().map(|entry| (entry.phone, entry.value.clone())).collect();
    let depth = |inches: i64| Some(Value::Number(inches * 254));
    assert_eq!(values, [(Phone(2), depth(60)), (Phone(1), depth(72))]);
    assert_eq!(text_of(&mine, "water.peg"), "22", "changed on one side only: taken");
    mine.apply(Change::Settle { kind: Kind::Day, id: DAY, part: open.part, phone: Phone(1) }).unwrap();
    assert_eq!((text_of(&mine, "water.depth"), mine.open_parts()), ((72 * 254).to_string(), Vec::new()));
    theirs.merge(&mine).unwrap();
    assert_eq!((text_of(&theirs, "water.depth"), theirs.open_parts()), ((72 * 254).to_string(), Vec::new()));
    assert_eq!(book_text(&mine), book_text(&theirs));
    // The same value on both sides is nothing to choose from.
    set(&mut mine, "water.depth", "7 ft");
    set(&mut theirs, "water.depth", "7 ft");
    mine.merge(&theirs).unwrap();
    assert!(mine.open_parts().is_empty());
}

#[test]
fn a_day_deleted_here_and_changed_there_is_shown_until_it_is_settled() {
    for keep in [true, false] {
        let mut mine = with_day(first());
        let mut theirs = empty(2, 0);
        theirs.merge(&mine).unwrap();
        mine.apply(Change::Remove { kind: Kind::Day, id: DAY }).unwrap();
        set(&mut theirs, "water.peg", "22");
        mine.merge(&theirs).unwrap();
        assert_eq!(text_of(&mine, "water.peg"), "22");
        assert_eq!(mine.open_parts()[0].part, "gone");
        let phone = Phone(if keep { 2 } else { 1 });
        mine.apply(Change::Settle { kind: Kind::Day, id: DAY, part: "gone".to_owned(), phone }).unwrap();
        assert!(mine.open_parts().is_empty());
        theirs.merge(&mine).unwrap();
        assert_eq!((mine.day(DAY).is_ok(), theirs.day(DAY).is_ok()), (keep, keep));
    }
}

#[test]
fn rigs_that_two_phones_added_at_once_both_stand_and_a_removed_line_takes_nothing_else() {
    let mut mine = with_day(first());
    let mut theirs = empty(2, 0);
    theirs.merge(&mine).unwrap();
    let rigs = first().rigs.len();
    for (book, name) in [(&mut mine, "X"), (&mut theirs, "Y")] {
        let mut plan = book.day(DAY).unwrap().plan;
        let mut rig = plan.rigs[0].clone();
        rig.name = name.to_owned();
        plan.rigs.push(rig);
        book.apply(plan_change(plan)).unwrap();
    }
    let mut plan = theirs.day(DAY).unwrap().plan;
    let (line, depth) = (plan.lines[0].name.clone(), plan.rigs[1].depth_tenth_mm + 254);
    plan.shot_box.remove(0);
    for rig in &mut plan.rigs {
        rig.droppers.iter_mut().for_each(|dropper| dropper.shot -= 1);
    }
    plan.rigs[1].depth_tenth_mm = depth;
    theirs.apply(plan_change(plan)).unwrap();
    mine.merge(&theirs).unwrap();
    theirs.merge(&mine).unwrap();
    assert_eq!(book_text(&mine), book_text(&theirs));
    let mut plan = mine.day(DAY).unwrap().plan;
    let mut names: Vec<_> = plan.rigs[rigs..].iter().map(|rig| rig.name.as_str()).collect();
    names.sort_unstable();
    assert_eq!(names, ["X", "Y"]);
    assert_eq!((plan.rigs[1].depth_tenth_mm, &plan.lines[0].name), (depth, &line));
    let sizes = |plan: &Plan| -> Vec<Vec<String>> {
        let size = |dropper: &Dropper| plan.shot_box[usize::try_from(dropper.shot).unwrap()].name.clone();
        plan.rigs[..rigs].iter().map(|rig| rig.droppers.iter().map(size).collect()).collect()
    };
    assert_eq!(sizes(&plan), sizes(&first()), "droppers keep their sizes when one is taken out of the box");
    plan.check().unwrap();
}

/// Anything that a reader may do to a book.
fn deed(book: &Book, rng: &mut Rng) -> Option<Change> {
    let days = book.days("");
    let days: Vec<Id> = days.next.iter().chain(&days.fished).map(|day| day.id).collect();
    let day = if days.is_empty() { None } else { Some(days[rng.usize(..days.len())]) };
    // Few ids, so that phones meet.
    let id = Id(u128::from(rng.u8(1..5)));
    let new = Id(rng.u128(..));
    Some(match rng.u8(..14) {
        0 if days.len() < 4 => {
            let plan = presets().remove(rng.usize(..3)).plan;
            Change::AddDay { id: new, day: Box::new(Day::new(plan)) }
        }
        1..=4 => {
            let plan = edited(book.day(day?).ok()?.plan, rng);
            Change::Plan { day: day?, plan: Box::new(plan), words: String::new() }
        }
        5 => Change::Tick { day: day?, tick: format!("kit-{}", rng.u8(..4)), on: rng.bool() },
        6 => Change::Note { day: day?, note: format!("note {}", rng.u8(..9)) },
        7 => {
            let outcome = Outcome {
                weight_g: Some(rng.i32(0..50_000)),
                fish: Some(rng.i32(0..90)),
                ..Outcome::default()
            };
            Change::Outcome { day: day?, outcome }
        }
        8 => {
            let mut water = book.water(id).unwrap_or_default();
            water.facts.name = format!("Water {}", rng.u8(..3));
            let spot = Spot { peg: rng.u8(..3).to_string(), line: "Long".to_owned() };
            water.depths.insert(spot, rng.i32(10_000..30_000));
            Change::Water { id, water: Box::new(water) }
        }
        9 => {
            let float =
                Float { name: "4×10".to_owned(), load_tenth_mg: rng.i32(500..2_000), ..Float::default() };
            Change::Item { id, item: Box::new(Item::Float(float)) }
        }
        10 => Change::Test { item: id, day: day?, test: Test::Glass { load_tenth_mg: rng.i32(900..1_100) } },
        11 => Change::Remove { kind: *rng.choice(&Kind::ALL)?, id: if rng.bool() { id } else { day? } },
        12 => {
            let open = book.open_parts();
            let open = rng.choice(&open)?;
            let phone = rng.choice(&open.values)?.phone;
            Change::Settle { kind: open.kind, id: open.id, part: open.part.clone(), phone }
        }
        _ => {
            let mut log = book.log(day?, 8).ok()?.log;
            let event = Event::new(1.9e12 + 1e3 * f64::from(rng.u16(..)), EventKind::Missed);
            let number = log.push(event, 0.0).ok()??;
            Change::Tap { day: day?, line: log.line(number)? }
        }
    })
}

/// Books of phones with a history in common: each does as it likes, and now and then takes in another's backup.
fn phones(seed: u64, count: usize, deeds: usize) -> Vec<Book> {
    let mut rng = Rng::with_seed(seed);
    let mut books: Vec<Book> = (0..count).map(|i| empty(u64::try_from(i).unwrap() + 1, 0)).collect();
    let mut shelves = vec![Shelf::default(); count];
    for _ in 0..deeds {
        let i = rng.usize(..count);
        let applied = match rng.u8(..12) {
            0 => books[i].undo(),
            1 => books[i].redo(),
            2 => {
                let from = rng.usize(..count);
                let theirs = book_from(&book_text(&books[from])).expect("a backup is read");
                books[i].merge(&theirs)
            }
            _ => match deed(&books[i], &mut rng) {
                Some(change) => books[i].apply(change),
                None => continue,
            },
        };
        if let Ok(applied) = applied {
            shelves[i].keep(&applied.rows);
        }
    }
    for (book, shelf) in books.iter().zip(&shelves) {
        let again = Shelf(shelf.0.clone()).open(1);
        assert_eq!(book_text(&again), book_text(book), "seed {seed}: what was stored is what is there");
        assert_eq!(again.undoes(Units::default()), book.undoes(Units::default()), "seed {seed}");
    }
    books
}

fn merged(a: &Book, b: &Book) -> Book {
    let mut both = a.clone();
    both.merge(b).unwrap();
    both
}

proptest! {
    #![proptest_config(cases(0xb00c, 16, 1_000))]

    #[test]
    fn merging_books_is_commutative_associative_and_idempotent(seed in any::<u64>(), deeds in 10..120_usize) {
        let [a, b, c] = phones(seed, 3, deeds).try_into().unwrap();
        prop_assert_eq!(book_text(&merged(&a, &b)), book_text(&merged(&b, &a)));
        let left = merged(&merged(&a, &b), &c);
        prop_assert_eq!(book_text(&left), book_text(&merged(&a, &merged(&b, &c))));
        let mut again = left.clone();
        prop_assert_eq!(again.merge(&left).unwrap().rows, vec![]);
        prop_assert_eq!(again.merge(&b).unwrap().rows, vec![]);
        // What came of it is within every limit, and so can be shared and worked out.
        let days = left.days("");
        for day in days.next.iter().chain(&days.fished) {
            let mut plan = left.day(day.id).unwrap().plan;
            let whole = plan.clone();
            plan.check().unwrap();
            prop_assert_eq!(&plan, &whole);
            prop_assert_eq!(dotdown::plan::link::read(&dotdown::plan::link::write(&plan)).unwrap(), plan);
        }
    }
}

#[test]
fn a_new_day_comes_from_a_water_and_its_last_day() {
    let mut book = empty(1, 0);
    let (lake, today) = (Id(1), 20_640);
    let mut water = Book::water_of(&first());
    water.facts.tins = Some(4);
    water.depths.insert(Spot { peg: "22".to_owned(), line: first().lines[0].name.clone() }, 19_050);
    book.apply(Change::Water { id: lake, water: Box::new(water) }).unwrap();
    // Without a day there: from the box.
    let float = Float { name: "Mine".to_owned(), load_tenth_mg: 2_010, ..Float::default() };
    book.apply(Change::Item { id: Id(2), item: Box::new(Item::Float(float)) }).unwrap();
    // Of one day the last test counts.
    for (day, test) in [(7, 1_500), (7, 1_990), (8, 2_000)] {
        let test = Test::Glass { load_tenth_mg: test };
        book.apply(Change::Test { item: Id(2), day: Id(day), test }).unwrap();
    }
    for (id, name, mass) in [(3, "No. 8", 610), (4, "No. 11", 262)] {
        let shot = Shot { name: name.to_owned(), mass_tenth_mg: mass, count: 90, ..Shot::default() };
        book.apply(Change::Item { id: Id(id), item: Box::new(Item::Shot(shot)) }).unwrap();
    }
    let mut day = book.new_day(Some(lake), "22", today).unwrap();
    assert_eq!(day.plan.shot_box.iter().map(|size| size.mass_tenth_mg).collect::<Vec<_>>(), [262, 610]);
    assert!(day.plan.rigs.iter().all(|rig| rig.float_name == "Mine" && rig.load_tenth_mg == 1_995));
    assert_eq!((day.plan.rules.tins, day.plan.water.depth_tenth_mm), (Some(4), 19_050));
    assert_eq!(
        (day.plan.day.date.0, day.plan.water.venue.as_str()),
        (next_saturday(today), "Withybank Lake")
    );
    let line = day.plan.lines[0].depth_tenth_mm;
    assert!(day.plan.rigs.iter().filter(|rig| rig.line == 0).all(|rig| rig.depth_tenth_mm <= line));
    // With one: everything of it, but the date and what is of that day alone.
    day.plan.rigs.truncate(2);
    day.ticks.insert("kit-tins".to_owned(), ());
    day.note = "windy".to_owned();
    book.apply(Change::AddDay { id: DAY, day: Box::new(day.clone()) }).unwrap();
    book.apply(Change::State { day: DAY, state: State::Fished }).unwrap();
    let outcome = Outcome { weight_g: Some(15_000), fish: Some(30), place: Some(2), of: Some(20) };
    book.apply(Change::Outcome { day: DAY, outcome }).unwrap();
    let next = book.new_day(Some(lake), "", today + 30).unwrap();
    assert_eq!(
        (next.plan.rigs.len(), next.ticks.len(), next.note.as_str(), next.state),
        (2, 0, "", State::Planned)
    );
    assert_eq!((next.plan.water.peg.as_str(), next.water), ("", Some(lake)));
    assert_eq!(
        next.plan.water.depth_tenth_mm,
        first().water.depth_tenth_mm,
        "an unknown peg: the usual depth"
    );
    assert_eq!(next.plan.bank.fish_g, Some(500), "what was weighed there");
    assert_eq!(book.usual_fish(lake).unwrap().fish, 30);
    let mut kept = next.plan.clone();
    kept.check().unwrap();
    let copy = book.copy_of(DAY, today).unwrap();
    assert_eq!((copy.plan.water.peg.as_str(), copy.outcome), ("22", Outcome::default()));
}

#[test]
fn what_a_plan_learned_is_offered_to_water_and_box() {
    let units = Units::default();
    let mut book = empty(1, 0);
    let plan = first();
    book.apply(Change::Water { id: Id(1), water: Box::new(Book::water_of(&plan)) }).unwrap();
    book.apply(Change::AddDay { id: DAY, day: Box::new(book.day_of(plan)) }).unwrap();
    assert_eq!(book.day(DAY).unwrap().water, Some(Id(1)), "found by its name");
    let words = |book: &Book| -> Vec<String> {
        book.water_offers(DAY).unwrap().iter().map(|offer| offer.words(units)).collect()
    };
    let other_lines = words(&book).len();
    set(&mut book, "lines.0.depth", "6 ft 6");
    set(&mut book, "rules.tins", "3");
    let offers = book.water_offers(DAY).unwrap();
    assert!(words(&book).contains(&"Keep 6 ft 6 for Withybank Lake".to_owned()), "{:?}", words(&book));
    assert!(words(&book).contains(&"Keep 3 tins for Withybank Lake".to_owned()));
    assert_eq!(offers.len(), other_lines + 2);
    for _ in 0..offers.len() {
        let offer = book.water_offers(DAY).unwrap().remove(0);
        offer.changes.into_iter().for_each(|change| drop(book.apply(change).unwrap()));
    }
    assert_eq!(book.water_offers(DAY).unwrap(), [], "each keeps what it says");
    // The box.
    let mut plan = book.day(DAY).unwrap().plan;
    plan.rigs[0].load_measured = true;
    plan.rigs[0].load_tenth_mg = 810;
    plan.rigs[0].float_name = "Mine".to_owned();
    plan.rigs[0].more.maker_tenth_mg = Some(800);
    let [offer] = book.tackle_offers(DAY, &plan).try_into().unwrap();
    assert_eq!(offer.words(units), "Save 0.081 g to my floats");
    offer.changes.into_iter().for_each(|change| drop(book.apply(change).unwrap()));
    assert_eq!(book.tackle_offers(DAY, &plan), []);
    let tackle = book.tackle();
    let [(_, Owned { item: Item::Float(float), tests })] = tackle.as_slice() else { panic!("{tackle:?}") };
    assert_eq!((float.name.as_str(), float.load_tenth_mg, tests.len()), ("Mine", 800, 1));
    // A size in the box is as it was: weighed or not.
    let shot = Shot { name: plan.shot_box[0].name.clone(), mass_tenth_mg: 600, ..Shot::default() };
    book.apply(Change::Item { id: Id(3), item: Box::new(Item::Shot(shot)) }).unwrap();
    let [offer] = book.tackle_offers(DAY, &plan).try_into().unwrap();
    let [Change::Item { item, .. }] = &*offer.changes else { panic!("{offer:?}") };
    let Item::Shot(Shot { mass_tenth_mg, weighed, .. }) = **item else { panic!("{item:?}") };
    assert_eq!((mass_tenth_mg, weighed), (plan.shot_box[0].mass_tenth_mg, false));
    // A tub test goes to my tin, which is new with the first; with more drops it takes the place of that day's.
    let tub = |drops| Test::Tub { density_kg_per_m3: 1_060, spread_kg_per_m3: 8, drops };
    for drops in [6, 10] {
        let offer = book.tub_offer(DAY, &plan, tub(drops)).unwrap();
        assert!(offer.words(units).starts_with(&format!("Save the tub test of {drops} drops to my tin ")));
        offer.changes.into_iter().for_each(|change| drop(book.apply(change).unwrap()));
    }
    assert_eq!(book.tub_offer(DAY, &plan, tub(10)), None);
    let tin = book.tackle().into_iter().find(|(_, owned)| owned.item.kind() == "tin").unwrap().1;
    assert_eq!(tin.tests.iter().map(|(_, test)| *test).collect::<Vec<_>>(), [tub(10)]);
    // A plan takes it with the tin, but a day not its own; the next day at the water has it in place of the drops.
    let before = |plan: &Plan| {
        let tub = &plan.bait_more.tub;
        (tub.before_density_kg_per_m3, tub.before_spread_kg_per_m3, tub.before_drops)
    };
    let known = (Some(1_060), Some(8), Some(10));
    for (day, wanted) in [(None, known), (Some(Id(77)), known), (Some(DAY), (None, None, None))] {
        let mut plan = plan.clone();
        assert!(tin.clone().but_for(day).put(&mut plan, 0));
        plan.check().unwrap();
        assert_eq!(before(&plan), wanted, "{day:?}");
    }
    plan.bait_more.tub.drops_ms = vec![5_000; 10];
    book.apply(Change::Plan { day: DAY, plan: Box::new(plan.clone()), words: String::new() }).unwrap();
    let next = book.new_day(Some(Id(1)), "", 20_640).unwrap().plan;
    assert_eq!((before(&next), next.bait_more.tub.drops_ms.len()), (known, 0));
    let link = dotdown::plan::link::write(&next);
    assert_eq!(before(&dotdown::plan::link::read(&link).unwrap()), known, "a link carries it");
}

/// Rows as they were once stored, a line each: the store and the bytes as hexadecimal digits; new forms are added beside them.
const KINDS: &str = include_str!("data/book/kinds.txt");

#[test]
fn stored_rows_of_every_kind_open() {
    if std::env::var_os("DOTDOWN_WRITE").is_some() {
        let mut book = with_day(first());
        let mut water = Book::water_of(&first());
        water.facts.name = "Reed Mere".to_owned();
        water.depths.insert(Spot { peg: "22".to_owned(), line: "Margin".to_owned() }, 9_144);
        book.apply(Change::Water { id: Id(1), water: Box::new(water) }).unwrap();
        for (id, kind) in (2..).zip(dotdown::book::ItemKind::ALL) {
            book.apply(Change::Item { id: Id(id), item: Box::new(kind.0.usual()) }).unwrap();
        }
        let glass = Test::Glass { load_tenth_mg: 810 };
        book.apply(Change::Test { item: Id(2), day: DAY, test: glass }).unwrap();
        set(&mut book, "water.peg", "22");
        book.apply(Change::DayWater { day: DAY, water: Some(Id(1)) }).unwrap();
        let mut log = Log::default();
        for (at, kind) in
            [(1.9e12, EventKind::Fed), (1.9e12 + 9e3, EventKind::Missed), (1.9e12 + 5e4, EventKind::Fish)]
        {
            log.push(Event::new(at, kind), 0.0).unwrap();
        }
        for number in 0..3 {
            book.apply(Change::Tap { day: DAY, line: log.line(number).unwrap() }).unwrap();
        }
        let row = |row: StoredRow| {
            let bytes = row.bytes.unwrap();
            let hex = bytes.iter().fold(String::new(), |text, byte| text + &format!("{byte:02x}"));
            format!("{} {hex}\n", row.store.name())
        };
        let text: String = book.all_rows().into_iter().map(row).collect();
        std::fs::write(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/data/book/kinds.txt"), text).unwrap();
        panic!("written, not tested");
    }
    let byte = |digits: &[u8]| u8::from_str_radix(std::str::from_utf8(digits).unwrap(), 16).unwrap();
    let rows = KINDS.lines().filter_map(|line| line.split_once(' ')).map(|(store, hex)| {
        (Store::named(store).unwrap(), hex.as_bytes().chunks(2).map(byte).collect::<Vec<u8>>())
    });
    let opened = Book::open(Phone(1), 0, rows);
    assert_eq!(opened.told, Vec::<String>::new());
    let mut book = opened.book;
    let day = book.day(DAY).unwrap();
    assert_eq!((day.water, day.plan.water.peg.as_str(), day.plan.rigs.len()), (Some(Id(1)), "22", 5));
    let water = book.water(Id(1)).unwrap();
    assert_eq!((water.facts.name.as_str(), water.depth_at("22", "Margin")), ("Reed Mere", Some(9_144)));
    let tackle = book.tackle();
    assert_eq!(tackle.len(), dotdown::book::ItemKind::ALL.len());
    let float = book.item(Id(2)).unwrap();
    assert_eq!(float.tests, [(DAY.to_string(), Test::Glass { load_tenth_mg: 810 })]);
    let log = book.log(DAY, 5).unwrap();
    let kinds: Vec<EventKind> = log.log.events().iter().map(|event| event.kind).collect();
    assert_eq!((kinds, log.repairs), (vec![EventKind::Fed, EventKind::Missed, EventKind::Fish], vec![]));
    book.undo().unwrap();
    book.undo().unwrap();
    assert_eq!(book.day(DAY).unwrap().plan.water.peg, first().water.peg, "the history was read as well");
}

#[test]
fn the_depths_of_a_peg_are_offered_to_a_plan() {
    let mut book = empty(1, 0);
    let plan = first();
    let mut water = Book::water_of(&plan);
    let line = plan.lines[0].name.clone();
    water.depths.insert(Spot { peg: "22".to_owned(), line: line.clone() }, 19_812);
    book.apply(Change::Water { id: Id(1), water: Box::new(water) }).unwrap();
    book.apply(Change::AddDay { id: DAY, day: Box::new(book.day_of(plan)) }).unwrap();
    let taken = |book: &Book| -> Vec<_> {
        book.water_offers(DAY).unwrap().into_iter().filter(dotdown::book::Offer::is_for_plan).collect()
    };
    assert_eq!(taken(&book), [], "nothing is known of this peg");
    set(&mut book, "water.peg", "22");
    let [offer] = taken(&book).try_into().unwrap();
    assert_eq!(offer.words(Units::default()), format!("Take 6 ft 6 as on peg 22, {line}"));
    offer.changes.into_iter().for_each(|change| drop(book.apply(change).unwrap()));
    assert_eq!(book.day(DAY).unwrap().plan.lines[0].depth_tenth_mm, 19_812);
    assert_eq!(taken(&book), []);
    book.undo().unwrap();
    assert_eq!(taken(&book).len(), 1);
}

#[test]
fn days_are_listed_sorted_and_found() {
    let mut book = empty(1, 0);
    for (i, preset) in presets().into_iter().enumerate() {
        for week in 0..4 {
            let mut plan = preset.plan.clone();
            plan.day.date.0 = 20_645 + 7 * week + i32::try_from(i).unwrap();
            let id = Id(u128::from(u32::try_from(i * 10).unwrap() + u32::try_from(week).unwrap()));
            book.apply(Change::AddDay { id, day: Box::new(Day::new(plan)) }).unwrap();
            if week < 2 {
                book.apply(Change::State { day: id, state: State::Fished }).unwrap();
            }
        }
    }
    let all = book.days("");
    assert!(
        all.next.is_sorted_by_key(|day| day.date) && all.fished.iter().rev().is_sorted_by_key(|day| day.date)
    );
    assert_eq!((all.next.len(), all.fished.len()), (6, 6));
    for (sought, found) in
        [("withybank", 4), ("WITHY  july", 3), ("2026-07-11", 1), ("sat 11", 1), ("nowhere", 0)]
    {
        let days = book.days(sought);
        assert_eq!(days.next.len() + days.fished.len(), found, "{sought}");
    }
    let running = all.next.last().unwrap().id;
    book.apply(Change::State { day: running, state: State::Running }).unwrap();
    assert_eq!(book.days("").next[0].id, running, "the one that is fished stands first");
    assert_eq!(book.steps(), 12, "how far a day has come is no step");
}

#[test]
fn what_cannot_be_kept_is_refused_and_changes_nothing() {
    let mut book = with_day(first());
    let text = book_text(&book);
    let mut broken = first();
    broken.water.depth_tenth_mm = -1;
    let mut many = Water::default();
    for peg in 0..500 {
        many.depths.insert(Spot { peg: peg.to_string(), line: String::new() }, 20_000);
    }
    let bad_place = Outcome { place: Some(9), of: Some(8), ..Outcome::default() };
    let float = |load_tenth_mg| Box::new(Item::Float(Float { load_tenth_mg, ..Float::default() }));
    let changes = [
        (plan_change(broken), "out_of_range", "plan.water.depth"),
        (Change::Water { id: Id(1), water: Box::new(many) }, "too_many", "depths"),
        (Change::Outcome { day: DAY, outcome: bad_place }, "out_of_range", "result.place"),
        (Change::Item { id: Id(1), item: float(-5) }, "out_of_range", "load"),
        (Change::Tick { day: DAY, tick: "x".repeat(81), on: true }, "bad_part", "ticks"),
        (
            Change::Test { item: Id(9), day: DAY, test: Test::Glass { load_tenth_mg: 900 } },
            "no_such_record",
            "id",
        ),
        (Change::Tap { day: DAY, line: "0 b 19 - - - 00000000".to_owned() }, "bad_line", "line"),
        (Change::Tap { day: Id(9), line: String::new() }, "no_such_record", "id"),
        (Change::Remove { kind: Kind::Water, id: DAY }, "no_such_record", "id"),
        (Change::AddDay { id: DAY, day: Box::new(Day::new(first())) }, "known_id", "id"),
    ];
    for (change, code, field) in changes {
        let refused: Refusal = book.apply(change).unwrap_err();
        assert_eq!((refused.code(), refused.field()), (code, field), "{refused}");
    }
    assert_eq!(book_text(&book), text);
}

/// A book with everything in it.
fn full_book() -> Book {
    let [one, two] = phones(7, 2, 400).try_into().unwrap();
    let mut book = merged(&one, &two);
    book.apply(Change::AddDay { id: DAY, day: Box::new(Day::new(wild_plan(3))) }).unwrap();
    let mut log = Log::default();
    for tap in 0..70 {
        let event = Event::new(1.9e12 + 1e3 * f64::from(tap), EventKind::Note).with_note("a “b”\\ 鱼🐟");
        let number = log.push(event.tidy(4).unwrap().0, 0.0).unwrap().unwrap();
        book.apply(Change::Tap { day: DAY, line: log.line(number).unwrap() }).unwrap();
    }
    book
}

#[test]
fn a_backup_is_the_book() {
    let book = full_book();
    let text = book_text(&book);
    let json: serde_json::Value = serde_json::from_str(&text).expect("an independent reader takes it");
    assert_eq!(json["dotdown_book"], 1);
    let read = book_from(&text).unwrap();
    assert_eq!(book_text(&read), text);
    let mut restored = empty(9, 0);
    let applied = restored.merge(&read).unwrap();
    assert_eq!(book_text(&restored), text, "erased and restored: all there");
    assert_eq!(restored.day(DAY).unwrap(), book.day(DAY).unwrap());
    assert_eq!(restored.log(DAY, 8).unwrap(), book.log(DAY, 8).unwrap());
    let mut shelf = Shelf::default();
    shelf.keep(&applied.rows);
    assert_eq!(book_text(&shelf.open(9)), text, "and stored");
    // As another program writes it: other spaces, members and entries in any order.
    let pretty = serde_json::to_string_pretty(&json).unwrap();
    assert_eq!(book_text(&book_from(&pretty).unwrap()), text);
    let declared: dotdown::component::book::Book = dotdown::component::object::read(json.clone()).unwrap();
    assert_eq!(serde_json::to_value(declared).unwrap(), json, "a script's types hold all of it");
    let link = json["days"][0]["link"].as_str().expect("a day has its plan as a link");
    assert!(dotdown::plan::link::read(link).is_ok());
}

#[test]
fn a_damaged_or_foreign_file_says_where_it_cannot_be_read() {
    let text = book_text(&with_day(first()));
    let said = |text: &str| {
        let refused = book_from(text).unwrap_err();
        format!("{} | {} | {refused}", refused.code(), refused.field())
    };
    let no_backup =
        "not_a_book |  | This file is no Dotdown backup. Choose one that was saved under Settings, Back up.";
    for foreign in ["", "[]", "{\"a\":1}", "p2-12-00000000-abc", "\u{0}", "{\"dotdown_books\":1}"] {
        assert_eq!(said(foreign), no_backup, "{foreign}");
    }
    assert!(
        said(&text.replacen(":1", ":2", 1))
            .starts_with("newer_version | dotdown_book | This backup was made by")
    );
    let depth = text.replace("\"plan.water.depth\":21336", "\"plan.water.depth\":2133.6");
    assert!(
        said(&depth).starts_with("unreadable | days.0.parts.plan.water.depth | Line 3, column "),
        "{}",
        said(&depth)
    );
    let other = text.replace("\"plan.water.depth\":21336", "\"plan.water.depth\":21337");
    assert!(said(&other).contains("its checksum does not fit"), "{}", said(&other));
    let without =
        other.replace(&format!(",\"check\":{}", &other[other.rfind("\"check\":").unwrap() + 8..][..10]), "");
    assert_eq!(
        text_of(&book_from(&without).unwrap(), "water.depth"),
        "21337",
        "who changes it takes the check out"
    );
    for cut in (0..text.trim_end().len())
        .step_by(7)
        .chain([text.trim_end().len() - 1])
        .filter(|cut| text.is_char_boundary(*cut))
    {
        let refused = book_from(&text[..cut]).unwrap_err();
        assert!(matches!(refused.code(), "unreadable" | "not_a_book"), "cut at {cut}: {refused}");
    }
}

/// What comes from a file or a store, changed a little or much, is refused with a sentence or read as a book within every
/// limit; nothing panics.
#[test]
fn damaged_rows_and_files_are_refused_or_within_every_limit() {
    let book = full_book();
    let text = book_text(&book);
    let mut rng = dice(0xbad);
    let rounds = if long() { 20_000 } else { 50 };
    let words: &[&str] =
        &["null", "[]", "{}", "\"", "-1", "9007199254740993", "1e9", "\\ud800", "gone", ".", "plan.rigs.0"];
    let (mut taken, mut opened) = (0, 0);
    for _ in 0..rounds {
        let mut data = text.clone().into_bytes();
        for _ in 0..=rng.usize(..3) {
            let at = rng.usize(..data.len());
            let end = (at + rng.usize(..20)).min(data.len());
            match rng.u8(..5) {
                0 => data[at] = rng.u8(..),
                1 => drop(data.drain(at..end)),
                2 => drop(data.splice(at..end, rng.choice(words).unwrap().bytes())),
                3 => {
                    let piece = data[at..end].to_vec();
                    drop(data.splice(at..at, piece));
                }
                _ => data.truncate(at.max(40)),
            }
        }
        // Without the checksums, so that what they would stop is read.
        let data = String::from_utf8_lossy(&data).replace("\"check\"", "\"chuck\"");
        match book_from(&data) {
            Ok(read) => {
                within_limits(&read, &book);
                taken += 1;
            }
            Err(refused) => {
                assert!(refused.to_string().chars().count() < 300, "{refused}");
            }
        }
    }
    let rows: Vec<StoredRow> = empty(1, 0).merge(&book).unwrap().rows;
    for _ in 0..rounds * 10 {
        let row = rng.choice(&rows).unwrap();
        let mut bytes = row.bytes.clone().unwrap();
        let at = rng.usize(..bytes.len());
        bytes[at] = rng.u8(..);
        let came = Book::open(Phone(1), 0, [(row.store, bytes.clone())]);
        opened += usize::from(came.told.is_empty());
        let mut read = came.book;
        within_limits(&read, &book);
        let _ = read.receive(&[StoredRow { bytes: Some(bytes), ..row.clone() }]);
    }
    let rows = rounds * 10;
    println!("{rounds} damaged files, {taken} of them read; {rows} damaged rows, {opened} of them opened");
}

fn within_limits(read: &Book, book: &Book) {
    let days = read.days("");
    for day in days.next.iter().chain(&days.fished) {
        if let Ok(day) = read.day(day.id) {
            let mut plan = day.plan.clone();
            plan.check().expect("within the limits");
            assert_eq!(plan, day.plan);
        }
    }
    read.waters().iter().for_each(|(id, _)| drop(read.water(*id)));
    drop(read.tackle());
    let mut mine = book.clone();
    if mine.merge(read).is_ok() {
        let mut twice = mine.clone();
        assert_eq!(twice.merge(read).unwrap().rows, []);
    }
}

#[test]
fn rows_of_a_newer_form_are_kept_untouched_and_told() {
    let book = with_day(first());
    let mut rows = empty(1, 0).merge(&book).unwrap().rows;
    let mut bytes = rows.remove(0).bytes.unwrap();
    bytes[0] += 1;
    let opened = Book::open(Phone(1), 0, [(Store::Days, bytes.clone())]);
    assert_eq!(
        opened.told,
        ["1 of what this phone kept was written by a newer version of the page, and is left as it is."]
    );
    assert!(opened.book.days("").next.is_empty());
    let text = book_text(&opened.book);
    let applied = empty(2, 0).merge(&book_from(&text).unwrap()).unwrap();
    assert_eq!(applied.rows[0].bytes.as_ref(), Some(&bytes), "it goes with a backup as it came");
    let broken = Book::open(Phone(1), 0, [(Store::Days, vec![1, 2, 3])]);
    assert!(broken.told[0].starts_with("1 of what this phone kept could not be read."));
}

#[test]
fn bottom_rigs_are_what_follows_a_depth() {
    // The presets have one each, else the tests above would test nothing.
    assert!(presets().iter().all(|preset| preset.plan.rigs.iter().any(|rig| rig.purpose == Purpose::Bottom)));
}

const FORMAT: &str = include_str!("../src/book/FORMAT.md");

/// The table of fields in the description of the format: what the code says, so that no field goes in unseen. Written anew
/// by `DOTDOWN_WRITE=1`, which fails.
#[test]
fn the_format_names_every_field_of_a_plan() {
    let mut plan = first();
    crate::common::wild::fill(&mut plan);
    let mut table = String::from("| part | value |\n| --- | --- |\n");
    for field in FIELDS {
        let path = plan.paths(field.path).remove(0);
        let unit = field.bounds.map(|row| format!("{}, {} to {}", unit(row.kind), row.least, row.most));
        let value = match plan.field(&path).unwrap() {
            FieldMut::Number(_) => unit.unwrap(),
            FieldMut::Maybe(_) => unit.unwrap() + ", or nothing",
            FieldMut::Text(_) => "a text of at most 40 characters".to_owned(),
            FieldMut::Flag(_) => "true or false".to_owned(),
            FieldMut::Choice(pick) => pick.words().join(" / "),
            FieldMut::Place(..) if path.rsplit('.').next() == Some("line") => {
                "a NAME in `plan.lines`".to_owned()
            }
            FieldMut::Place(..) => "a NAME in `plan.shot_box`".to_owned(),
        };
        table.extend(["| `plan.", field.path, "` | ", &value, " |\n"]);
    }
    let (before, rest) = FORMAT.split_once("<!-- fields -->\n").unwrap();
    let (_, after) = rest.split_once("\nBeside these:").unwrap();
    let wanted = format!("{before}<!-- fields -->\n\n{table}\nBeside these:{after}");
    if std::env::var_os("DOTDOWN_WRITE").is_some() {
        let file = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src/book/FORMAT.md");
        std::fs::write(file, &wanted).unwrap();
        panic!("written, not tested");
    }
    let named = |key: &str| assert!(FORMAT.contains(&format!("`{key}`")), "{key} is not described");
    dotdown::book::WaterFacts::KEYS.iter().copied().for_each(named);
    for (kind, word, _) in dotdown::book::ItemKind::ALL {
        let row = FORMAT.lines().find(|line| line.starts_with(&format!("| `{word}` |"))).unwrap();
        for key in kind.usual().keys() {
            assert!(row.contains(&format!("`{key}`")), "{key} of {word} is not described");
        }
    }
    assert!(FORMAT == wanted, "write it anew with DOTDOWN_WRITE=1 cargo test --test main book::the_format");
}

fn unit(kind: Quantity) -> &'static str {
    match kind {
        Quantity::Reach | Quantity::Depth | Quantity::Size => "tenths of a mm",
        Quantity::Diameter => "µm",
        Quantity::Temperature => "tenths of a °C",
        Quantity::PerHundred => "tenths of a g in 100 g",
        Quantity::Percent => "tenths of a %",
        Quantity::Grams => "g",
        Quantity::ShotMass => "tenths of a mg",
        Quantity::Minutes => "min",
        Quantity::Clock => "min since midnight",
        Quantity::Date => "days since 1 January 1970",
        Quantity::Seconds => "s",
        Quantity::Count => "a number",
        Quantity::Pressure => "hPa",
        Quantity::Density => "kg/m3",
        Quantity::Milliseconds => "ms",
        Quantity::Millilitres => "ml",
    }
}

/// The example, its checksums and its order of members were made by another program (Python's `json` and `zlib`).
#[test]
fn the_example_of_the_format_is_read() {
    let example = FORMAT.split_once("```json\n").unwrap().1.split_once("```").unwrap().0;
    let book = book_from(example).unwrap();
    let (water, name) = book.waters().remove(0);
    assert_eq!(name, "Sallow Pond");
    assert_eq!(book.water(water).unwrap().depth_at("7", "Long"), Some(13_716));
    let [open] = book.open_parts().try_into().unwrap();
    assert_eq!((open.part.as_str(), open.values.len()), ("travel", 2));
    assert_eq!(book.water(water).unwrap().facts.travel_min, Some(55), "the later one shows");
    let measured = book.tackle()[0].1.measured().unwrap();
    assert_eq!((measured.tests, measured.mean), (2, 1_015.0));
    let day = book.fished_at(water).remove(0);
    let whole = book.day(day.id).unwrap();
    assert_eq!((day.weight_g, whole.note.as_str()), (Some(15_000), "Bream “topping” at noon"));
    let names: Vec<_> = whole.plan.rigs.iter().map(|rig| rig.name.as_str()).collect();
    assert_eq!(names, ["A", "D"], "what is not in the file is as usual");
    let log = book.log(day.id, 2).unwrap();
    assert_eq!((log.log.events().len(), log.repairs.len()), (3, 0));
    assert_eq!(log.log.events()[2].note, "far bank");
    // What is written of it is the same again, and an independent reader sees the same parts.
    let json = |text: &str| -> serde_json::Value { serde_json::from_str(text).unwrap() };
    let (theirs, ours) = (json(example), json(&book_text(&book)));
    for record in ["days", "waters", "tackle"] {
        for member in ["id", "made", "parts", "written"] {
            assert_eq!(theirs[record][0][member], ours[record][0][member], "{record} {member}");
        }
    }
    assert_eq!(theirs["waters"], ours["waters"], "checksum and all");
    assert_eq!(theirs["logs"], ours["logs"]);
}
