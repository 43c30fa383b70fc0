//! What must hold of anything that is read from outside, as one function a target. libFuzzer calls them with inputs that
//! it grows by coverage (`targets/`); an ordinary test replays the kept inputs and a few thousand changes of them
//! (`../fuzz.rs`).
//!
//! A checksum would stop a fuzzer at the door, so the first byte of an input says how far the rest is dressed up: as
//! it came, with a right checksum, or packed as well.

#![allow(dead_code, reason = "each target uses its own")]

use ciborium::Value;
use dotdown::bait::{calendar_file, cold, floaters, sink, timetable, tub_test, wash};
use dotdown::book;
use dotdown::component::event::SessionEvent;
use dotdown::component::fished::habits_of_days;
use dotdown::component::object::read;
use dotdown::page::saved;
use dotdown::page::{Choices, Opening, Page, Screen};
use dotdown::plan::fields::FIELDS;
use dotdown::plan::{Plan, link, presets::presets};
use dotdown::refusal::Refusal;
use dotdown::results::session_setup::{session_setup, setup_of};
use dotdown::results::{Results, work_out};
use dotdown::rig::{balance, fall, finder};
use dotdown::session::export::CsvDay;
use dotdown::session::log::read_back;
use dotdown::session::{Log, Session, SessionSetup};
use dotdown::small::Set;
use dotdown::units::{DecimalSign, LengthUnits, Quantity, Units, parse};
use dotdown::view::{head, notices, screen};
use serde::{Serialize, de::DeserializeOwned};
use std::cell::RefCell;
use std::sync::OnceLock;

/// A check of one input.
pub(crate) type Check = fn(&[u8]);

/// Every target by name.
pub(crate) const TARGETS: [(&str, Check); 6] = [
    ("link_text", link_text),
    ("stored_page", stored_page),
    ("stored_log", stored_log),
    ("number", number),
    ("request", request),
    ("book_text", book_text),
];

const DICTIONARY: &[u8] = include_bytes!("../../src/plan/dictionary_1.bin");

fn crc32(bytes: &[u8]) -> u32 {
    crc::Crc::<u32>::new(&crc::CRC_32_ISO_HDLC).checksum(bytes)
}

/// Packed bytes as the text of a link, with the right length and checksum.
pub(crate) fn link_of(packed: &[u8]) -> String {
    let payload = bs58::encode(packed).into_string();
    format!("p1-{}-{:08x}-{payload}", payload.len(), crc32(packed))
}

/// A plan's own bytes as the text of a link.
pub(crate) fn packed(plain: &[u8]) -> String {
    let mut bytes = u16::try_from(plain.len()).unwrap_or(u16::MAX).to_le_bytes().to_vec();
    let mut body = vec![0; lz4_flex::block::get_maximum_output_size(plain.len())];
    let length = lz4_flex::block::compress_into_with_dict(plain, &mut body, DICTIONARY).expect("room enough");
    bytes.extend(&body[..length]);
    link_of(&bytes)
}

fn split(data: &[u8]) -> (u8, &[u8]) {
    data.split_first().map_or((0, data), |(first, rest)| (*first, rest))
}

/// No number in what scripts get is without a value. CBOR holds what JSON cannot.
pub(crate) fn finite<T: serde::Serialize>(given: &T, place: &str) {
    fn look(value: &Value, place: &str) {
        match value {
            Value::Float(number) => assert!(number.is_finite(), "{place} is {number}"),
            Value::Array(list) => list.iter().for_each(|one| look(one, place)),
            Value::Map(parts) => {
                for (name, part) in parts {
                    look(part, &format!("{place}.{}", name.as_text().unwrap_or_default()));
                }
            }
            _ => {}
        }
    }
    look(&Value::serialized(given).expect("plain data"), place);
}

/// Nothing on any screen that only a mistake would write.
pub(crate) fn shown(page: &mut Page) {
    let open = page.screen;
    let mut text = head(page) + &notices(page);
    for (each, _) in Screen::ALL {
        page.screen = each;
        text += &screen(page);
    }
    page.screen = open;
    for strange in ["NaN", "inf ", "Infinity", "undefined", "null", "<script", "<img"] {
        assert!(!text.contains(strange), "a screen shows {strange}");
    }
}

/// A plan that came from outside is within every limit, comes back from its own link, and can be worked out.
fn sound(plan: &Plan) -> Results {
    let mut again = plan.clone();
    again.check().expect("what was read is within its limits");
    assert_eq!(&again, plan, "a second look changes nothing");
    let text = link::write(plan);
    assert_eq!(link::read(&text).as_ref(), Ok(plan), "its link opens to the same plan: {text}");
    let results = work_out(plan, Units::default());
    finite(&results, "day");
    results
}

/// Link text: read, refused with a sentence, or a sound plan; the page in hand is only ever asked.
pub(crate) fn link_text(data: &[u8]) {
    let (how, rest) = split(data);
    let text = match how % 5 {
        0 => String::from_utf8_lossy(rest).into_owned(),
        1 | 2 => link_of(rest),
        _ => packed(rest),
    };
    match link::read(&text) {
        Ok(plan) => {
            sound(&plan);
            let mut page = Page::new();
            page.type_in("water.peg", "mine");
            let mine = page.plan.clone();
            page.offer(plan.clone());
            assert_eq!(page.plan, mine, "nothing is replaced before the answer");
            page.act("accept");
            assert!(page.plan == plan || page.pending.as_deref() == Some(&plan));
            page.act("undo");
            assert_eq!(page.plan, mine);
        }
        Err(e) => sentence(&e),
    }
}

/// A refusal is a code and a sentence of a fit length; of a wrong shape it repeats what came.
fn sentence(error: &Refusal) {
    let sentence = error.to_string();
    let fit = error.code() == "wrong_shape" || sentence.chars().count() < 400;
    assert!(!error.code().is_empty() && sentence.ends_with('.') && fit, "{sentence}");
}

/// What a script asks, by the first byte: answered in plain numbers or refused. A plan that a day is worked out of makes
/// a session too.
pub(crate) fn request(data: &[u8]) {
    fn answer<Q: DeserializeOwned, A: Serialize>(
        request: serde_json::Value,
        ask: impl Fn(Q) -> Result<A, Refusal>,
    ) {
        match read(request).and_then(ask) {
            Ok(answer) => finite(&answer, "the answer"),
            Err(refused) => sentence(&refused),
        }
    }
    let (which, rest) = split(data);
    let Ok(json) = serde_json::from_slice(rest) else { return };
    match which % 13 {
        0 => answer(json, |asked| sink::sink(&asked)),
        1 => answer(json, |asked| balance::balance(&asked)),
        2 => answer(json, |asked| tub_test::tub_test(&asked)),
        3 => answer(json, |asked| floaters::floaters(&asked)),
        4 => answer(json, |asked| cold::freezing_time(&asked)),
        5 => answer(json, |asked| wash::wash(&asked)),
        6 => answer(json, |asked| timetable::timetable(&asked)),
        7 => answer(json, |(name, stamp, events): (String, _, Vec<calendar_file::CalendarEvent>)| {
            calendar_file::calendar(&name, stamp, &events)
        }),
        8 => answer(json, |(rig, settings)| fall::fall(&rig, &settings)),
        9 => answer(json, |asked| finder::Finder::new(asked)?.step(2)),
        10 => answer(json, habits_of_days),
        11 => answer(json, |event: SessionEvent| Ok(event.of(&bank().3)?.tidy(bank().3.len())?.0)),
        _ => answer(json, |mut plan: Plan| {
            plan.check()?;
            let session = Session::new(setup_of(&plan, Units::default()));
            session.expect("what a day takes, a session takes").state(1.9e12)
        }),
    }
}

/// A book's text: refused, or a book that writes and reads the same, and gains nothing by itself.
pub(crate) fn book_text(data: &[u8]) {
    match book::book_from(&String::from_utf8_lossy(data)) {
        Ok(mut book) => {
            let text = book::book_text(&book);
            let again = book::book_from(&text).expect("what was written is read");
            assert_eq!(book::book_text(&again), text);
            book.merge(&again).expect("no more than before");
            assert_eq!(book::book_text(&book), text);
        }
        Err(refused) => sentence(&refused),
    }
}

/// What the phone kept of the page: refused, or read and kept again as it is.
pub(crate) fn stored_page(data: &[u8]) {
    let (how, rest) = split(data);
    let body = String::from_utf8_lossy(rest);
    let text = match how % 3 {
        0 => body.into_owned(),
        1 => format!("{}\n{body}", crc32(body.as_bytes())),
        _ => {
            let body = format!("dotdown 1\n7\n0123456789abcdef\n{body}");
            format!("{}\n{body}", crc32(body.as_bytes()))
        }
    };
    let Ok(first) = saved::read(&text) else { return };
    let text = saved::write(&first);
    assert_eq!(saved::read(&text).as_ref(), Ok(&first));
    let mut page = Page::open(Opening { records: vec![("page".to_owned(), text)], ..Opening::default() }).0;
    assert_eq!(page.choices, first.choices);
    shown(&mut page);
}

/// A worked day with what a session of it is made from.
fn bank() -> &'static (Plan, Results, SessionSetup, Vec<String>) {
    static BANK: OnceLock<(Plan, Results, SessionSetup, Vec<String>)> = OnceLock::new();
    BANK.get_or_init(|| {
        let plan = presets().remove(0).plan;
        let made = work_out(&plan, Units::default());
        let (sink, amount) = (made.sink.as_ref(), made.amount.as_ref());
        let setup = session_setup(&plan, sink, amount, &made.rigs, &made.order, Units::default());
        let names = plan.rigs.iter().map(|rig| rig.name.clone()).collect();
        (plan, made, setup, names)
    })
}

/// A log that was read makes a session whose every number is one, at its end and, if `far`, at other times too.
fn runs(log: &Log, far: bool) {
    thread_local! {
        // Its model is worked out once; a log is replayed on it.
        static SESSION: RefCell<Session> = RefCell::new(Session::new(bank().2.clone()).expect("a session"));
    }
    SESSION.with_borrow_mut(|session| runs_in(session, log, far));
}

fn runs_in(session: &mut Session, log: &Log, far: bool) {
    if let Err(refused) = session.replay(log) {
        sentence(&refused);
        return;
    }
    let (first, last) = match (log.events().first(), log.events().last()) {
        (Some(first), Some(last)) => (first.at_ms, last.at_ms),
        _ => (0.0, 0.0),
    };
    let times = [last + 7_000.0, first, last, 4_102_444_800_000.0];
    for &at_ms in times.iter().take(if far { 4 } else { 1 }) {
        finite(&session.state(at_ms).expect("a time"), "state");
        finite(&session.advice(at_ms).expect("a time"), "advice");
        finite(&session.summary(at_ms).expect("a time"), "summary");
    }
    assert_eq!(session.log(), log, "nothing was added or lost");
    let csv = session.csv(&CsvDay::default());
    assert!(csv.lines().count() >= log.standing().len(), "{csv}");
}

/// A log comes back from storage whole.
fn comes_back(log: &Log) {
    let read = read_back(&log.to_text(), bank().3.len()).expect("not too large");
    assert_eq!((&read.log, read.repairs), (log, Vec::new()));
}

/// A line with the checksum that it should have.
pub(crate) fn summed(line: &str) -> String {
    format!("{line} {:08x}", crc32(line.as_bytes()))
}

/// The stored log: whole records are kept in order, the rest is counted and told.
pub(crate) fn stored_log(data: &[u8]) {
    let (how, rest) = split(data);
    let text = String::from_utf8_lossy(rest);
    let text: String = match how % 3 {
        0 => text.into_owned(),
        1 => text.lines().map(|line| summed(line) + "\n").collect(),
        _ => text.lines().enumerate().map(|(i, line)| summed(&format!("{i} {line}")) + "\n").collect(),
    };
    match read_back(&text, bank().3.len()) {
        Ok(read) => {
            let count = read.log.events().len();
            assert!(count <= text.lines().count());
            if read.repairs.is_empty() {
                let numbers = text.lines().filter_map(|line| line.split(' ').next()?.parse::<usize>().ok());
                assert_eq!(count, numbers.max().map_or(0, |last| last + 1), "what was left out is told");
            }
            comes_back(&read.log);
            if how < 128 {
                runs(&read.log, how & 64 != 0);
            }
        }
        Err(e) => sentence(&e),
    }
}

const KINDS: [Quantity; 18] = [
    Quantity::Reach,
    Quantity::Depth,
    Quantity::Size,
    Quantity::Diameter,
    Quantity::Temperature,
    Quantity::PerHundred,
    Quantity::Percent,
    Quantity::Grams,
    Quantity::ShotMass,
    Quantity::Minutes,
    Quantity::Clock,
    Quantity::Date,
    Quantity::Seconds,
    Quantity::Count,
    Quantity::Pressure,
    Quantity::Density,
    Quantity::Milliseconds,
    Quantity::Millilitres,
];

/// A number: what is read is written as a text that reads as the same; a refused one leaves plan and page as they were.
pub(crate) fn number(data: &[u8]) {
    let (how, rest) = split(data);
    let (which, rest) = split(rest);
    let text = String::from_utf8_lossy(rest);
    let units = Units {
        lengths: if how & 1 == 0 { LengthUnits::Imperial } else { LengthUnits::Metric },
        sign: if how & 2 == 0 { DecimalSign::Point } else { DecimalSign::Comma },
    };
    let kind = KINDS[usize::from(which) % KINDS.len()];
    match parse(&text, kind, units) {
        Ok(value) => {
            // A number beyond every field's limits is never written out.
            if let Ok(value) = i32::try_from(value)
                && FIELDS
                    .iter()
                    .filter_map(|field| field.bounds)
                    .any(|row| row.kind == kind && (row.least..=row.most).contains(&value))
            {
                for (written, form) in [(units.text(value, kind), "text"), (units.bare(value, kind), "bare")]
                {
                    let again = parse(&written, kind, units);
                    let again = again.unwrap_or_else(|e| panic!("{form} {written} of {text}: {e}"));
                    let again = i32::try_from(again).expect("as small as before");
                    let twice =
                        if form == "text" { units.text(again, kind) } else { units.bare(again, kind) };
                    assert_eq!(twice, written, "{form} of {text}");
                    // Feet and inches are written to the nearest half inch; everything else is exact.
                    let most = if matches!(kind, Quantity::Reach | Quantity::Depth) { 100 } else { 0 };
                    assert!((again - value).abs() <= most, "{form} {written} of {text}");
                }
            }
        }
        Err(e) => assert!(!e.to_string().is_empty() && e.to_string().chars().count() < 200),
    }
    let numbers = FIELDS.iter().filter(|field| field.bounds.is_some());
    let path = numbers.cycle().nth(usize::from(which)).expect("some").path;
    let mut plan = bank().0.clone();
    let Some(path) = plan.paths(path).into_iter().next() else { return };
    if let Err(e) = plan.set(&path, &text, units) {
        sentence(&e);
        assert_eq!(plan, bank().0, "a refused text changes nothing");
        if how & 4 == 0 {
            return;
        }
        let mut page = Page::with(plan, Set::default(), Choices { units, ..Choices::default() });
        let sink = page.results.sink.clone();
        page.type_in(&path, &text);
        assert_eq!((&page.plan, &page.results.sink), (&bank().0, &sink), "and the page shows what it showed");
        assert!(page.rejected.contains(&path), "and says so beside the field");
    } else {
        plan.clone().check().expect("what a field takes is within every limit");
    }
}
