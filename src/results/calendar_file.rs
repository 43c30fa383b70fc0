//! The preparation for the phone's calendar: floating local time, an alarm before each step that needs hands.

use super::prep::PrepStep;
use crate::bait::calendar_file::{CalendarEvent, CivilMinute, calendar};
use crate::plan::Plan;
use crate::refusal::Refusal;
use crate::units::{between, date_of, day_words};

/// A minute of the civil calendar, so many minutes after the midnight that begins `days` (since 1 January 1970).
fn civil(days: i32, minutes: i32) -> CivilMinute {
    let (year, month, day) = date_of(days.saturating_add(minutes.div_euclid(1440)));
    let clock = minutes.rem_euclid(1440);
    let small = |n: i32| u8::try_from(n).unwrap_or(0);
    CivilMinute {
        year: u16::try_from(year).unwrap_or(0),
        month: small(month),
        day: small(day),
        hour: small(clock / 60),
        minute: small(clock % 60),
    }
}

/// The moment `now_ms` (milliseconds since 1970, UTC) as a minute of the calendar.
fn civil_now(now_ms: f64) -> CivilMinute {
    let minutes = between((now_ms / 60_000.0).floor(), 0.0, 4e9);
    #[expect(
        clippy::cast_possible_truncation,
        reason = "held between 0 and 4e9, which fits after the division"
    )]
    let (days, minute) = ((minutes / 1440.0).floor() as i32, (minutes % 1440.0) as i32);
    civil(days, minute)
}

/// The steps as a calendar file; `now_ms` is the moment of writing.
///
/// # Errors
/// As [`calendar`] refuses.
pub fn calendar_file(plan: &Plan, prep: &[PrepStep], now_ms: f64) -> Result<String, Refusal> {
    let date = plan.day.date.0;
    let (year, month, day) = date_of(date);
    let venue = &plan.water.venue;
    let month_name = day_words(date);
    let day_name = month_name.split_once(' ').map_or("", |(_, day)| day);
    let place = if venue.is_empty() { day_name.to_owned() } else { [venue, ", ", day_name].concat() };
    let event = |id: &str, start: i32, end: i32, name: &str, how: &str, alarm| CalendarEvent {
        uid: format!("prep-{id}-{year}-{month}-{day}@dotdown"),
        start: civil(date, start),
        minutes: u32::try_from(end.saturating_sub(start)).unwrap_or(0).clamp(1, 10_080),
        summary: [name, " (", &place, ")"].concat(),
        description: how.to_owned(),
        alarm_min_before: Some(alarm),
    };
    let steps = prep.iter().map(|step| {
        // What only waits is started in a moment; the calendar holds that moment, not the hours of the night.
        let end = if step.waits { step.start_min + 5 } else { step.end_min };
        let alarm = if step.id == "leave" { 30 } else { 10 };
        event(
            step.id,
            step.start_min,
            end,
            if step.id == "buy" { "Buy bait" } else { step.name },
            step.how,
            alarm,
        )
    });
    let all_in = plan.day.all_in_min;
    let last = event("all-in", all_in, all_in + 1, "All-in", &plan.water.venue, 10);
    let events: Vec<CalendarEvent> = steps.chain([last]).collect();
    calendar(&plan.name, civil_now(now_ms), &events)
}
