//! The log on its way to storage and files and back.

use super::event::{Event, EventKind, Fix, KINDS};
use super::export::{CsvDay, local_time, to_csv};
use super::log::{Log, Standing, read_back};
use super::setup::{LineSetup, RigSetup, SessionSetup};
use crate::units::DecimalSign;
use proptest::prelude::*;

const T0: f64 = 1_900_000_000_000.0;

fn sample() -> Log {
    let mut log = Log::default();
    for (at, event) in [
        Event::new(T0, EventKind::Cast).with_rig(1),
        Event::new(T0, EventKind::Fed).with_value(8.0),
        Event::new(T0, EventKind::Fish).with_value(1250.5),
        Event::new(T0, EventKind::Missed),
        Event::new(T0, EventKind::Undo),
        Event::new(T0, EventKind::Note).with_note("=1+1, \"wind_up\" 100 %"),
    ]
    .into_iter()
    .enumerate()
    {
        let event = Event { at_ms: T0 + 5000.0 * at as f64, ..event };
        log.push(event, 400.0).unwrap();
    }
    log
}

#[test]
fn dates() {
    assert_eq!(local_time(0.0, 0), "1970-01-01T00:00:00+00:00");
    assert_eq!(local_time(951_827_696_999.0, 90), "2000-02-29T14:04:56+01:30");
    assert_eq!(local_time(1_900_000_000_000.0, -300), "2030-03-17T12:46:40-05:00");
}

#[test]
fn undo_takes_back_one_tap() {
    let log = sample();
    assert_eq!(log.events().len(), 6);
    assert_eq!(log.standing().len(), 4);
    assert!(log.standing().iter().all(|one| one.event.kind != EventKind::Missed));
    let mut empty = Log::default();
    let refused = empty.push(Event::new(T0, EventKind::Undo), 400.0).unwrap_err();
    assert_eq!(refused.code(), "nothing_to_undo");
}

#[test]
fn double_touch_counts_once() {
    let mut log = Log::default();
    assert_eq!(log.push(Event::new(T0, EventKind::Fed), 400.0), Ok(Some(0)));
    assert_eq!(log.push(Event::new(T0 + 399.0, EventKind::Fed), 400.0), Ok(None));
    assert_eq!(log.push(Event::new(T0 + 399.0, EventKind::Missed), 400.0), Ok(Some(1)));
    assert_eq!(log.push(Event::new(T0 + 900.0, EventKind::Missed), 400.0), Ok(Some(2)));
    let rig = Event::new(T0 + 1400.0, EventKind::PickUpRig);
    assert_eq!(log.push(rig.clone().with_rig(0), 400.0), Ok(Some(3)));
    assert_eq!(log.push(rig.with_rig(1), 400.0), Ok(Some(4)));
}

#[test]
fn stored_text_comes_back() {
    let log = sample();
    let read = read_back(&log.to_text(), 3).unwrap();
    assert_eq!(read.log, log);
    assert!(read.repairs.is_empty());
    assert_eq!(log.line(3).unwrap().split(' ').next(), Some("3"));
}

#[test]
fn cut_anywhere_loses_only_the_last_record() {
    let log = sample();
    let text = log.to_text();
    for cut in (0..text.len()).filter(|&cut| text.is_char_boundary(cut)) {
        let whole_lines = text[..cut].matches('\n').count();
        let read = read_back(&text[..cut], 3).unwrap();
        let kept = read.log.events().len();
        // A line that lacks only its line break is whole.
        let only_break = text[cut..].starts_with('\n');
        assert_eq!(kept, whole_lines + usize::from(only_break), "cut at {cut}");
        assert_eq!(read.log.events(), &log.events()[..kept]);
        let half = !only_break && cut > 0 && !text[..cut].ends_with('\n');
        assert_eq!(read.repairs.len(), usize::from(half));
    }
}

#[test]
fn an_altered_line_is_dropped_and_told() {
    let text = sample().to_text();
    let altered = text.replacen(" f ", " b ", 1);
    let read = read_back(&altered, 3).unwrap();
    assert_eq!(read.log.events().len(), 5);
    assert_eq!(
        read.repairs,
        ["1 stored records could not be read and were left out. The others are kept in order."]
    );
}

fn csv(log: &Log, day: &CsvDay<'_>) -> String {
    let rig = |name: &str| RigSetup { name: name.to_owned(), depth_m: 0.5, ..RigSetup::default() };
    let mut setup = SessionSetup::new(vec![rig("A"), rig("-B"), rig("C")], 2.0, T0);
    setup.lines = vec![LineSetup { name: "long, 13 m".to_owned(), depth_m: 2.0 }];
    let records: Vec<(usize, &Standing)> =
        log.standing().iter().map(|one| (one.event.rig.unwrap_or(1) as usize, one)).collect();
    to_csv(&setup, &records, Some(T0), day)
}

#[test]
fn a_spreadsheet_gets_one_line_an_event_and_no_formula() {
    let log = sample();
    let day = CsvDay { water: "@SUM(1)", peg: "\t=1", ahead_min: 60, sign: DecimalSign::Comma };
    let text = csv(&log, &day);
    assert_eq!(text.lines().count(), 1 + 1 + log.standing().len());
    assert_eq!(
        text.lines().nth(3),
        Some("2030-03-17T18:46:45+01:00;\"'@SUM(1)\";\"'\t'=1\";\"long, 13 m\";\"'-B\";fed;8;")
    );
    assert!(text.contains(";fish;1250,500;"), "{text}");
    assert!(text.contains("note;;\"'=1+1, \"\"wind_up\"\" 100 %\""), "{text}");
    // What somebody may have typed, and its cell.
    for (text, cell) in [
        ("=1", "\"'=1\""),
        ("\t=1", "\"'\t'=1\""),
        (" =1", "\"' =1\""),
        ("long; 13 m", "\"long; 13 m\""),
        (";=1", "\";'=1\""),
        ("a;=1,=1", "\"a;'=1,'=1\""),
        ("\";=1", "\"\"\";'=1\""),
        ("a;\"=1\"", "\"a;'\"\"=1\"\"\""),
    ] {
        for (sign, between) in [(DecimalSign::Point, ","), (DecimalSign::Comma, ";")] {
            let file = csv(&log, &CsvDay { water: text, peg: text, sign, ..CsvDay::default() });
            let cells = [between, cell, between, cell, between].concat();
            assert_eq!(file.matches(&cells).count(), 1 + log.standing().len(), "{text}: {file}");
        }
    }
}

/// The cells of a file as a spreadsheet with this separator takes them: a quotation mark that does not begin its cell is
/// text, and so is what follows the closing one.
fn cells(file: &str, separator: char) -> Vec<String> {
    let (mut cells, mut cell, mut quoted, mut fresh) = (Vec::new(), String::new(), false, true);
    let mut letters = file.chars().peekable();
    while let Some(letter) = letters.next() {
        match letter {
            '"' if quoted && letters.next_if_eq(&'"').is_some() => cell.push('"'),
            '"' if quoted => quoted = false,
            '"' if fresh => (quoted, fresh) = (true, false),
            _ if !quoted && (letter == separator || letter == '\n' || letter == '\r') => {
                cells.push(core::mem::take(&mut cell));
                fresh = true;
            }
            _ => {
                fresh = false;
                cell.push(letter);
            }
        }
    }
    cells.push(cell);
    cells
}

/// No outside source: in the reader above, whichever separator it takes, no cell begins a formula. A file of commas was
/// taken apart at the `;` of its words by a spreadsheet that separates by that, for a row's first cell is not quoted.
#[test]
fn no_words_make_a_formula_whatever_separates_cells() {
    let log = sample();
    let pieces = ["=1", "+", "-", "@", ";", ",", "\t", "\n", "\"", "'", " ", "a"];
    let mut tried = 0;
    for number in 0..pieces.len().pow(4) {
        let place = |nth: u32| pieces[number / pieces.len().pow(nth) % pieces.len()];
        let text = [place(0), place(1), place(2), place(3)].concat();
        for sign in [DecimalSign::Point, DecimalSign::Comma] {
            let day = CsvDay { water: &text, peg: &text, sign, ..CsvDay::default() };
            // The rows but for values below zero, which are numbers.
            let file = csv(&log, &day);
            let rows: Vec<&str> = file.split("\r\n").take(3).collect();
            for separator in [',', ';', '\t'] {
                for cell in cells(&rows.join("\r\n"), separator) {
                    let begins = cell.trim_start().starts_with(['=', '+', '-', '@']);
                    assert!(!begins, "{cell:?} of {text:?} by {separator:?}");
                    tried += 1;
                }
            }
        }
    }
    assert!(tried > 1_000_000);
}

#[test]
fn a_record_is_put_right_and_the_last_thing_is_undone_first() {
    let mut log = sample();
    let fix = |kind, rig, later_ms| Fix { number: 2, kind, rig, later_ms }.event(T0 + 60_000.0);
    let mut told = |event| log.push(event, 400.0).map(|_| log.standing().to_vec());
    let before = told(Event::new(T0 + 59_000.0, EventKind::Cast)).unwrap();
    let right = told(fix(Some(EventKind::Missed), Some(0), -3000.0)).unwrap();
    assert_eq!(right[2].event, Event::new(T0 + 7000.0, EventKind::Missed).with_rig(0));
    assert!(right[2].alone && (right[2].later_ms + 3000.0).abs() < 1e-9);
    let gone = told(fix(None, None, 0.0)).unwrap();
    assert_eq!(gone.len(), before.len() - 1);
    assert_eq!(told(Event::new(T0 + 61_000.0, EventKind::Undo)).unwrap(), right);
    assert_eq!(told(Event::new(T0 + 62_000.0, EventKind::Undo)).unwrap(), before);
    // What was undone, what only puts right, and what was never told cannot be put right.
    for number in [3, 4, 99] {
        let of = Fix { number, kind: None, rig: None, later_ms: 0.0 }.event(T0 + 63_000.0);
        assert_eq!(told(of).unwrap_err().code(), "nothing_to_correct", "{number}");
    }
    let worse = Event::new(T0, EventKind::Correct).with_value(1.0).with_note("f 1e9");
    assert_eq!(worse.tidy(3).unwrap_err().code(), "nothing_to_correct");
    assert_eq!(read_back(&log.to_text(), 3).unwrap().log, log);
}

#[test]
fn events_from_javascript_may_be_short() {
    let event: Event = serde_json::from_str(r#"{"kind":"missed","at_ms":12.0}"#).unwrap();
    assert_eq!(event, Event::new(12.0, EventKind::Missed));
    let second = serde_json::from_str::<Event>(r#"{"type":"swap","at":12,"rig":2}"#);
    assert!(second.is_err(), "and have one spelling: {second:?}");
}

#[test]
fn every_letter_is_described() {
    let format = include_str!("../book/FORMAT.md");
    for (kind, letter, _) in KINDS {
        assert!(format.contains(&format!("`{letter}` ")), "{letter}, {kind:?}");
    }
}

proptest! {
    #![proptest_config(crate::draw::cases(0x109, 256, 20_000))]

    #[test]
    fn any_record_survives_storage(kind in 0..KINDS.len(), at in 0.0..4e12, rig in proptest::option::of(0..3_u32),
        value in proptest::option::of(0.0..99.0), note in "\\PC{0,40}") {
        let kind = KINDS[kind].0;
        let value = value.filter(|_| kind != EventKind::Shot);
        let event = if kind == EventKind::Correct {
            Fix { number: 0, kind: Some(EventKind::Fed), rig, later_ms: 1234.0 }.event(at)
        } else {
            Event { at_ms: at, kind, rig, value, note }
        };
        let (event, _) = event.tidy(3).unwrap();
        let mut log = Log::default();
        log.push(Event::new(1.0, EventKind::Cast), 0.0).unwrap();
        log.push(event, 0.0).unwrap();
        let read = read_back(&log.to_text(), 3).unwrap();
        prop_assert_eq!((&read.log, read.repairs.len()), (&log, 0));
    }

    #[test]
    fn no_text_panics(text in "\\PC{0,200}") {
        let _ = read_back(&text, 3);
    }

    #[test]
    fn non_finite_is_refused(bad in proptest::sample::select(vec![f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -1.0])) {
        prop_assert!(Event::new(bad, EventKind::Fed).tidy(3).is_err());
        prop_assert!(Event::new(1.0, EventKind::Fed).with_value(bad).tidy(3).is_err());
    }
}
