//! The calendar file against an independent parser and against the letter of RFC 5545.
//!
//! Source: the `icalendar` crate's parser (unfolds, splits properties, reads components); line length, folding and
//! escaping by RFC 5545 3.1 and 3.3.11. Left out: time zones (times are floating by design).

use crate::common::cases;
use dotdown::bait::calendar_file::{CalendarEvent, CivilMinute, calendar};
use icalendar::parser::{read_calendar, unfold};
use proptest::prelude::*;

const AT: CivilMinute = CivilMinute { year: 2026, month: 6, day: 14, hour: 5, minute: 30 };

fn event(uid: &str, summary: &str) -> CalendarEvent {
    CalendarEvent {
        uid: uid.to_owned(),
        start: AT,
        minutes: 45,
        summary: summary.to_owned(),
        description: String::new(),
        alarm_min_before: Some(15),
    }
}

#[test]
fn the_whole_text() {
    let events = [CalendarEvent {
        description: "Two tins,\nsix bags".to_owned(),
        ..event("pack-1@plan", "Pack; check")
    }];
    let expected = "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//Dotdown//Bait timetable//EN\r\nCALSCALE:GREGORIAN\r\n\
        METHOD:PUBLISH\r\nX-WR-CALNAME:Sunday\r\nBEGIN:VEVENT\r\nUID:pack-1@plan\r\nDTSTAMP:20260614T053000Z\r\n\
        DTSTART:20260614T053000\r\nDURATION:PT45M\r\nSUMMARY:Pack\\; check\r\nDESCRIPTION:Two tins\\,\\nsix bags\r\n\
        BEGIN:VALARM\r\nACTION:DISPLAY\r\nDESCRIPTION:Pack\\; check\r\nTRIGGER:-PT15M\r\nEND:VALARM\r\nEND:VEVENT\r\n\
        END:VCALENDAR\r\n";
    assert_eq!(calendar("Sunday", AT, &events).unwrap(), expected);
}

/// Undoes 3.3.11's escapes.
fn plain(text: &str) -> String {
    let mut out = String::new();
    let mut letters = text.chars();
    while let Some(c) = letters.next() {
        match c {
            '\\' => match letters.next().unwrap() {
                'n' | 'N' => out.push('\n'),
                other => out.push(other),
            },
            c => out.push(c),
        }
    }
    out
}

/// What may come back of a text: line ends as LF, no other control character but the tab.
fn kept(text: &str) -> String {
    text.replace("\r\n", "\n")
        .replace('\r', "\n")
        .chars()
        .filter(|c| !c.is_control() || matches!(c, '\n' | '\t'))
        .collect()
}

fn hostile() -> impl Strategy<Value = String> {
    prop_oneof![
        ".{0,120}",
        "[\\\\;,:\"\r\n\tnN ]{0,60}",
        "(BEGIN:VEVENT\r\n|END:VCALENDAR\n|\\\\n|é|🐟|\u{0}|\u{85}|\u{2028}){0,30}",
    ]
}

proptest! {
    #![proptest_config(cases(0xca1, 256, 20_000))]

    #[test]
    fn hostile_text_comes_back_through_the_parser(summary in hostile(), description in hostile(), name in hostile()) {
        let written = CalendarEvent { description: description.clone(), ..event("id-1", &summary) };
        let text = calendar(&name, AT, &[written, event("id-2", "second")]).unwrap();
        // By the letter: CR LF ends, no other control, 75 octets at most, folds start with a space.
        prop_assert!(text.ends_with("\r\n"));
        for line in text.trim_end_matches("\r\n").split("\r\n") {
            prop_assert!(line.len() <= 75 && !line.is_empty());
            prop_assert!(line.chars().all(|c| !c.is_control() || c == '\t'), "{line:?}");
        }
        // By the parser.
        let unfolded = unfold(&text);
        let read = read_calendar(&unfolded).unwrap();
        prop_assert_eq!(read.components.len(), 2);
        let first = &read.components[0];
        prop_assert_eq!(first.name.as_str(), "VEVENT");
        let value = |key: &str| first.properties.iter().find(|p| p.name == key).map(|p| p.val.as_str().to_owned());
        prop_assert_eq!(value("DTSTART").unwrap(), "20260614T053000");
        prop_assert_eq!(value("DURATION").unwrap(), "PT45M");
        prop_assert_eq!(first.components.len(), 1);
        prop_assert_eq!(first.components[0].name.as_str(), "VALARM");
        // By hand: unfold, find the property, undo the escapes.
        let unfolded = text.replace("\r\n ", "");
        let found = |key: &str| unfolded.split("\r\n").find_map(|l| l.strip_prefix(key)).map(plain);
        prop_assert_eq!(found("SUMMARY:").unwrap(), kept(&summary));
        prop_assert_eq!(found("X-WR-CALNAME:").unwrap(), kept(&name));
        if !description.is_empty() { prop_assert_eq!(found("DESCRIPTION:").unwrap(), kept(&description)); }
    }

    #[test]
    fn days_that_exist_are_taken_and_others_refused(year in 0_u16..10_001, month in 0_u8..14, day in 0_u8..33) {
        let at = CivilMinute { year, month, day, ..AT };
        // Days of a month by the knuckles, and Gregory's rule.
        let leap = year % 4 == 0 && year % 100 != 0 || year % 400 == 0;
        let days = match month { 2 => 28 + u8::from(leap), m if (1..=12).contains(&m) => 30 + (m + m / 8) % 2, _ => 0 };
        let there = (1..=9999).contains(&year) && day >= 1 && day <= days;
        let wanted = CalendarEvent { start: at, ..event("a", "") };
        prop_assert_eq!(calendar("", AT, &[wanted]).is_ok(), there);
    }
}

#[test]
fn what_cannot_be_is_refused() {
    let refused = |events: &[CalendarEvent]| calendar("", AT, events).unwrap_err();
    assert_eq!(refused(&[]).code(), "count");
    assert_eq!(refused(&vec![event("a", ""); 201]).code(), "count");
    assert_eq!(
        refused(&[event("a", ""), event("a", "")]).to_string(),
        "Entry 2 needs an id of its own, 1 to 200 letters, different from all others."
    );
    assert_eq!(refused(&[event("", "")]).code(), "bad_id");
    assert_eq!(refused(&[event("a\r\nSUMMARY:b", "")]).code(), "bad_id");
    assert_eq!(refused(&[CalendarEvent { minutes: 0, ..event("a", "") }]).field(), "events.minutes");
    assert_eq!(
        refused(&[CalendarEvent { alarm_min_before: Some(20_000), ..event("a", "") }]).field(),
        "events.alarm_min_before"
    );
    let noon = CivilMinute { hour: 24, ..AT };
    assert_eq!(calendar("", noon, &[event("a", "")]).unwrap_err().field(), "stamp");
    assert_eq!(refused(&[CalendarEvent { start: noon, ..event("a", "") }]).code(), "no_such_day");
}
