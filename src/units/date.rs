//! Days of the calendar, times of day and durations.

/// Days since 1 January 1970 of a date written 2026-07-11; nothing when there is no such day.
#[must_use]
pub fn date_from(text: &str) -> Option<i32> {
    let mut parts = text.split('-');
    let mut part = |digits: usize| {
        let part = parts.next()?;
        (part.len() == digits && part.bytes().all(|b| b.is_ascii_digit()))
            .then(|| part.parse::<i32>().ok())?
    };
    let (year, month, day) = (part(4)?, part(2)?, part(2)?);
    let days = days_of(year, month, day);
    (parts.next().is_none() && date_of(days) == (year, month, day)).then_some(days)
}

/// Days since 1 January 1970 of a date of the Gregorian calendar.
///
/// A date library would do it in 75 kB of WebAssembly; the tests hold these two against one over every day of the
/// plan's range.
///
/// # Source
/// Hinnant 2013, `chrono`-compatible low-level date algorithms, `days_from_civil`.
#[must_use]
pub fn days_of(year: i32, month: i32, day: i32) -> i32 {
    // The year begins in March, so that the leap day comes last.
    let year = if month <= 2 { year - 1 } else { year };
    let era = year.div_euclid(400);
    let of_era = year.rem_euclid(400);
    let of_year = (153 * (month + if month > 2 { -3 } else { 9 }) + 2) / 5 + day - 1;
    era * 146_097 + of_era * 365 + of_era / 4 - of_era / 100 + of_year - 719_468
}

/// Year, month and day of a count of days since 1 January 1970.
///
/// # Source
/// Hinnant 2013, `civil_from_days`.
#[must_use]
pub fn date_of(days: i32) -> (i32, i32, i32) {
    let days = days.saturating_add(719_468);
    let era = days.div_euclid(146_097);
    let of_era = days.rem_euclid(146_097);
    let year = (of_era - of_era / 1460 + of_era / 36_524 - of_era / 146_096) / 365;
    let of_year = of_era - (365 * year + year / 4 - year / 100);
    let from_march = (5 * of_year + 2) / 153;
    let month = if from_march < 10 { from_march + 3 } else { from_march - 9 };
    (year + era * 400 + i32::from(month <= 2), month, of_year - (153 * from_march + 2) / 5 + 1)
}

const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

/// A day in words, such as `Sat 11 July`.
#[must_use]
pub fn day_words(days: i32) -> String {
    let (_, month, day) = date_of(days);
    let month = usize::try_from(month - 1).ok().and_then(|m| MONTHS.get(m)).copied().unwrap_or("");
    format!("{} {day} {month}", weekday(days))
}

/// The weekday of a day in three letters.
#[must_use]
pub fn weekday(days: i32) -> &'static str {
    // 1 January 1970 was a Thursday.
    let place = usize::try_from(days.rem_euclid(7)).unwrap_or(0);
    ["Thu", "Fri", "Sat", "Sun", "Mon", "Tue", "Wed"].get(place).copied().unwrap_or("")
}

/// A time of day from minutes since midnight of any day, such as `09:30`.
#[must_use]
pub fn clock_words(minutes: i32) -> String {
    let minutes = minutes.rem_euclid(1440);
    format!("{:02}:{:02}", minutes / 60, minutes % 60)
}

/// A duration in words, such as `3 h 10 min` or `45 min`.
#[must_use]
pub fn duration_words(minutes: i32) -> String {
    let (h, m) = (minutes / 60, minutes % 60);
    match (h, m) {
        (0, m) => format!("{m} min"),
        (h, 0) => format!("{h} h"),
        (h, m) => format!("{h} h {m} min"),
    }
}
