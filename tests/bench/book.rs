//! Prints how long a book of 500 days with 300 logs of 2,000 lines takes to open, to list, to search, to change, to
//! save and to read as a backup, and how large it is. `cargo bench --bench book`; with `DOTDOWN_BOOK=FILE` it writes it.

use dotdown::book::{
    Book, Change, Day, Id, Outcome, Phone, State, Store, StoredRow, Water, book_from, book_text,
};
use dotdown::plan::presets::presets;
use dotdown::session::{Event, EventKind, Log};
use dotdown::units::Units;
use std::collections::BTreeMap;
use std::hint::black_box;
use std::time::Instant;

/// The median of a few runs, milliseconds.
fn median_ms<T>(mut run: impl FnMut() -> T) -> f64 {
    let mut times: Vec<f64> = (0..9)
        .map(|_| {
            let start = Instant::now();
            black_box(run());
            start.elapsed().as_secs_f64() * 1e3
        })
        .collect();
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

fn keep(shelf: &mut BTreeMap<(Store, String), Vec<u8>>, rows: Vec<StoredRow>) {
    for row in rows {
        match row.bytes {
            Some(bytes) => drop(shelf.insert((row.store, row.key), bytes)),
            None => drop(shelf.remove(&(row.store, row.key))),
        }
    }
}

/// The lines of a day's log.
fn lines(day: i32) -> Vec<String> {
    let mut log = Log::default();
    for tap in 0..2_000 {
        let kind = [EventKind::Fed, EventKind::Missed, EventKind::Fish, EventKind::Cast][tap % 4];
        let at_ms = 1.7e12 + f64::from(day) * 86.4e6 + 9e3 * f64::from(u32::try_from(tap).unwrap_or(0));
        let _ = log.push(Event::new(at_ms, kind), 0.0);
    }
    log.to_text().lines().map(str::to_owned).collect()
}

fn main() -> Result<(), dotdown::refusal::Refusal> {
    let units = Units::default();
    let mut book = Book::open(Phone(1), 0, []).book;
    let mut shelf = BTreeMap::new();
    for water in 0..6 {
        let plan = &presets()[water % 3].plan;
        let mut water_of: Water = Book::water_of(plan);
        water_of.facts.name = format!("Water {water}");
        let id = Id(u128::try_from(water).unwrap_or(0));
        keep(&mut shelf, book.apply(Change::Water { id, water: Box::new(water_of) })?.rows);
    }
    for number in 0..500_i32 {
        let id = Id(1_000 + u128::from(number.unsigned_abs()));
        let place = usize::try_from(number).unwrap_or(0);
        let mut plan = presets().remove(place % 3).plan;
        plan.day.date.0 = 19_000 + 3 * number;
        plan.water.venue = format!("Water {}", place % 6);
        let mut day = Day::new(plan.clone());
        day.water = Some(Id(u128::try_from(place % 6).unwrap_or(0)));
        keep(&mut shelf, book.apply(Change::AddDay { id, day: Box::new(day) })?.rows);
        for (path, typed) in [("water.depth", "6 ft 6"), ("water.peg", "22"), ("rigs.0.depth", "20 in")] {
            plan.set(path, typed, units)?;
            let change = Change::Plan { day: id, plan: Box::new(plan.clone()), words: String::new() };
            keep(&mut shelf, book.apply(change)?.rows);
        }
        if number < 300 {
            keep(&mut shelf, book.apply(Change::State { day: id, state: State::Fished })?.rows);
            let outcome = Outcome { weight_g: Some(12_000), fish: Some(30), ..Outcome::default() };
            keep(&mut shelf, book.apply(Change::Outcome { day: id, outcome })?.rows);
        }
    }
    let logs = (0..300_i32).map(|number| {
        let lines: Vec<String> = lines(number).iter().map(|line| ["\"", line, "\""].concat()).collect();
        let day = Id(1_000 + u128::from(number.unsigned_abs()));
        format!("{{\"day\":\"{day}\",\"phone\":\"{}\",\"lines\":[{}]}}", Phone(1), lines.join(","))
    });
    let logs: Vec<String> = logs.collect();
    let logs = book_from(&format!("{{\"dotdown_book\":1,\"logs\":[{}]}}", logs.join(",")))?;
    keep(&mut shelf, book.merge(&logs)?.rows);
    let rows = |logs: bool| {
        let rows = shelf.iter().filter(|((store, _), _)| logs == (*store == Store::Logs));
        rows.map(|((store, _), bytes)| (*store, bytes.clone())).collect::<Vec<_>>()
    };
    let bytes = |logs| rows(logs).iter().map(|(_, bytes)| bytes.len()).sum::<usize>() as f64 / 1e6;
    println!(
        "stored: {:.1} MB without logs, {:.1} MB of logs in {} rows",
        bytes(false),
        bytes(true),
        rows(true).len()
    );
    let (few, many) = (rows(false), rows(true));
    println!("open 500 days, history: {:.1} ms", median_ms(|| Book::open(Phone(1), 0, few.clone())));
    println!("take in 300 logs: {:.0} ms", median_ms(|| Book::open(Phone(1), 0, many.clone())));
    let mut book = Book::open(Phone(1), 0, rows(false).into_iter().chain(rows(true))).book;
    println!("list: {:.2} ms", median_ms(|| book.days("")));
    println!("search “water 3 sat july”: {:.2} ms", median_ms(|| book.days("water 3 sat july")));
    let id = Id(1_400);
    println!("open a day: {:.2} ms", median_ms(|| book.day(id)));
    println!("new day: {:.2} ms", median_ms(|| book.new_day(Some(Id(3)), "", 20_000)));
    println!("a day's log as a session's: {:.2} ms", median_ms(|| book.log(Id(1_100), 8)));
    let mut plan = book.day(id)?.plan;
    let edit = median_ms(|| {
        plan.water.depth_tenth_mm += 254;
        book.apply(Change::Plan { day: id, plan: Box::new(plan.clone()), words: String::new() })
    });
    println!("change a depth: {edit:.2} ms; undo it: {:.2} ms", median_ms(|| book.undo()));
    let mut taps = lines(1).into_iter();
    let tap = median_ms(|| taps.next().map(|line| book.apply(Change::Tap { day: Id(1_450), line })));
    println!("a tap: {tap:.3} ms");
    let text = book_text(&book);
    println!(
        "backup: {:.1} MB, written in {:.0} ms",
        text.len() as f64 / 1e6,
        median_ms(|| book_text(&book))
    );
    if let Some(file) = std::env::var_os("DOTDOWN_BOOK") {
        std::fs::write(file, &text).expect("the book as a file");
    }
    println!("read: {:.0} ms", median_ms(|| book_from(&text)));
    let theirs = book_from(&text)?;
    println!(
        "merge into an empty book: {:.0} ms",
        median_ms(|| { Book::open(Phone(2), 0, []).book.merge(&theirs) })
    );
    println!("merge into itself: {:.0} ms", median_ms(|| book.clone().merge(&theirs)));
    Ok(())
}
