//! The log on its way to storage and files and back.

use super::event::{Event, EventKind, KINDS};
use super::export::{to_csv, to_json, utc};
use super::import::{import, repair};
use super::log::{Log, read_back};
use proptest::prelude::*;

const T0: f64 = 1_900_000_000_000.0;

fn names() -> Vec<String> {
    ["shallow", "mid", "deck"].map(str::to_owned).to_vec()
}

fn sample() -> Log {
    let mut log = Log::default();
    for (at, event) in [
        Event::new(T0, EventKind::Cast).with_rig(1),
        Event::new(T0, EventKind::Fed).with_value(8.0),
        Event::new(T0, EventKind::Fish).with_value(1250.5),
        Event::new(T0, EventKind::Bite),
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
    assert_eq!(utc(0.0), "1970-01-01T00:00:00Z");
    assert_eq!(utc(951_827_696_999.0), "2000-02-29T12:34:56Z");
    assert_eq!(utc(1_900_000_000_000.0), "2030-03-17T17:46:40Z");
}

#[test]
fn undo_takes_back_one_tap() {
    let log = sample();
    assert_eq!(log.events().len(), 6);
    assert_eq!(log.standing().count(), 4);
    assert!(log.standing().all(|event| event.kind != EventKind::Bite));
    let mut empty = Log::default();
    let refused = empty.push(Event::new(T0, EventKind::Undo), 400.0).unwrap_err();
    assert_eq!(refused.code(), "nothing_to_undo");
}

#[test]
fn double_touch_counts_once() {
    let mut log = Log::default();
    assert_eq!(log.push(Event::new(T0, EventKind::Fed), 400.0), Ok(Some(0)));
    assert_eq!(log.push(Event::new(T0 + 399.0, EventKind::Fed), 400.0), Ok(None));
    assert_eq!(log.push(Event::new(T0 + 399.0, EventKind::Bite), 400.0), Ok(Some(1)));
    assert_eq!(log.push(Event::new(T0 + 900.0, EventKind::Bite), 400.0), Ok(Some(2)));
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

#[test]
fn exports_come_back() {
    let log = sample();
    for text in [to_csv(&log, &names()), to_json(&log, &names())] {
        let back = import(&text, &names()).unwrap();
        assert!(back.repairs.is_empty(), "{:?}", back.repairs);
        assert!(back.log.standing().eq(log.standing()), "{text}");
    }
    assert!(to_csv(&log, &names()).contains(r#""'=1+1, ""wind_up"" 100 %""#));
    let _: serde_json::Value = serde_json::from_str(&to_json(&log, &names())).unwrap();
}

#[test]
fn a_million_rows_are_refused() {
    let mut csv = String::from("time_ms,kind\n");
    for _ in 0..1_000_000 {
        csv.push_str("1,fed\n");
    }
    assert_eq!(import(&csv, &names()).unwrap_err().code(), "too_large");
    let some: String = csv.chars().take(12 + 6 * 20_002).collect();
    assert_eq!(import(&some, &names()).unwrap_err().code(), "too_large");
    let events = vec![Event::new(1.0, EventKind::Fed); 1_000_000];
    assert_eq!(repair(events, 3).unwrap_err().code(), "too_large");
}

#[test]
fn bad_rows_are_refused_with_a_sentence() {
    for (csv, code) in [
        ("time_ms,kind,rig\n1,fed,7\n", "unknown_rig"),
        ("time_ms,kind,rig_name\n1,fed,feeder\n", "unknown_rig"),
        ("time_ms,kind\nsoon,fed\n", "row"),
        ("time_ms,kind\n1,ate\n", "row"),
        ("time_ms,kind\n1,\"fed\n", "row"),
        ("time_ms,kind\n9999999999999,fed\n", "time"),
        ("time_ms,kind,value\n1,fed,-3\n", "value"),
        ("time_ms,kind\n1,undo\n", "nothing_to_undo"),
        ("hello", "not_a_log"),
        ("", "not_a_log"),
        ("[{\"time_ms\":1,\"kind\":{}}]", "row"),
        ("[{\"time_ms\":1,\"kind\":\"fed\"}", "not_a_log"),
    ] {
        let error = import(csv, &names()).unwrap_err();
        assert_eq!(error.code(), code, "{csv}");
        assert!(error.to_string().ends_with('.'));
    }
}

#[test]
fn bad_rows_are_repaired_with_a_sentence() {
    let csv = "time_ms,kind,note\n9000000,fed,\n1000,note,<img src=x onerror=alert(1)>\n1000,note,<img src=x onerror=alert(1)>\n";
    let back = import(csv, &names()).unwrap();
    assert_eq!(
        back.repairs,
        [
            "1 times ran backwards; the rows were sorted by time.",
            "1 rows stood there twice and were kept once.",
            "2 notes held markup, control characters or too many words and were made plain.",
            "1 gaps of more than an hour were found and left as they are.",
        ]
    );
    let notes: Vec<_> = back.log.standing().map(|event| event.note.as_str()).collect();
    assert_eq!(notes, ["‹img src=x onerror=alert(1)›", ""]);
}

#[test]
fn events_from_javascript_may_be_short() {
    let event: Event = serde_json::from_str(r#"{"kind":"bite","at_ms":12.0}"#).unwrap();
    assert_eq!(event, Event::new(12.0, EventKind::Bite));
    let event: Event = serde_json::from_str(r#"{"type":"swap","at":12,"rig":2}"#).unwrap();
    assert_eq!(event, Event::new(12.0, EventKind::PickUpRig).with_rig(2));
}

proptest! {
    #![proptest_config(crate::draw::cases(0x109, 256, 20_000))]

    #[test]
    fn any_record_survives_storage(kind in 0..KINDS.len(), at in 0.0..4e12, rig in proptest::option::of(0..3_u32),
        value in proptest::option::of(0.0..99.0), note in "\\PC{0,40}") {
        let kind = KINDS[kind].0;
        let (event, _) = Event { at_ms: at, kind, rig, value: value.filter(|_| kind != EventKind::Shot), note }
            .tidy(3).unwrap();
        let mut log = Log::default();
        log.push(Event::new(1.0, EventKind::Cast), 0.0).unwrap();
        log.push(event, 0.0).unwrap();
        let read = read_back(&log.to_text(), 3).unwrap();
        prop_assert_eq!((&read.log, read.repairs.len()), (&log, 0));
    }

    #[test]
    fn no_text_panics(text in "\\PC{0,200}", json in "[\\[\\]{}\",:a-z0-9\\\\ ]{0,80}") {
        let _ = import(&text, &names());
        let _ = import(&format!("[{json}"), &names());
        let _ = import(&format!("time_ms,kind\n{text}"), &names());
        let _ = read_back(&text, 3);
    }

    #[test]
    fn non_finite_is_refused(bad in proptest::sample::select(vec![f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -1.0])) {
        prop_assert!(Event::new(bad, EventKind::Fed).tidy(3).is_err());
        prop_assert!(Event::new(1.0, EventKind::Fed).with_value(bad).tidy(3).is_err());
    }
}
