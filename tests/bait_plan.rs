//! The bait in depth as the whole day shows it: the preparation's calendar against an independent parser, and links.
//!
//! Source: the `icalendar` crate's parser. Times of the steps are held against the checklist by `jiff`'s calendar.

use dotdown::plan::presets::presets;
use dotdown::results::calendar_file::calendar_file;
use dotdown::results::work_out;
use dotdown::units::Units;
use icalendar::parser::{read_calendar, unfold};

/// 14:05 UTC on 10 July 2026.
const NOW_MS: f64 = 1_783_692_300_000.0;

#[test]
fn the_stamp_is_the_moment_in_utc() {
    let plan = presets().remove(0).plan;
    let prep = work_out(&plan, Units::default()).prep;
    let stamp = |now_ms: f64| {
        let text = calendar_file(&plan, &prep, now_ms).unwrap_or_else(|e| panic!("{now_ms}: {e}"));
        text.lines().find_map(|line| line.strip_prefix("DTSTAMP:")).expect("a stamp").to_owned()
    };
    let at = jiff::Timestamp::from_millisecond(1_783_692_300_000).unwrap();
    assert_eq!(stamp(NOW_MS), at.strftime("%Y%m%dT%H%M%SZ").to_string());
    // A clock that is no clock makes a stamp all the same.
    for odd in [f64::NAN, f64::NEG_INFINITY, f64::INFINITY, -1.0] {
        assert_eq!(stamp(odd).len(), "20260710T140500Z".len(), "{odd}");
    }
}

#[test]
fn every_step_of_every_worked_day_is_in_the_calendar_at_its_local_time() {
    for preset in presets() {
        let plan = &preset.plan;
        let shown = work_out(plan, Units::default());
        let text = calendar_file(plan, &shown.prep, NOW_MS).unwrap_or_else(|e| panic!("{}: {e}", preset.id));
        let unfolded = unfold(&text);
        let read = read_calendar(&unfolded).unwrap();
        assert_eq!(read.components.len(), shown.prep.len() + 1, "{}", preset.id);
        let midnight =
            jiff::civil::date(1970, 1, 1).at(0, 0, 0, 0) + jiff::Span::new().days(i64::from(plan.day.date.0));
        for (step, event) in shown.prep.iter().zip(&read.components) {
            let of = |name: &str| event.find_prop(name).map(|p| p.val.as_ref().to_owned());
            let at = midnight + jiff::Span::new().minutes(i64::from(step.start_min));
            assert_eq!(of("DTSTART").unwrap(), at.strftime("%Y%m%dT%H%M%S").to_string(), "{}", step.id);
            // Many days lie in one calendar: each entry says of which it is.
            let name = if step.id == "buy" { "Buy bait" } else { step.name };
            let day = midnight.strftime("%-d %B").to_string();
            let summary = of("SUMMARY").unwrap().replace("\\,", ",");
            assert_eq!(summary, format!("{name} ({}, {day})", plan.water.venue));
            assert_eq!(event.components.len(), 1, "an alarm");
        }
        assert!(text.lines().all(|line| line.len() <= 75), "folded");
    }
}
