//! Newtypes for what must not be swapped, and numbers to and from text.
//!
//! Every number in the plan is a whole number of a small unit: lengths in tenths of a millimetre (so that an inch is
//! exactly 254), shot in tenths of a milligram, temperatures in tenths of a degree. [`Quantity`] says which unit, how it
//! is written and how it is read. Both decimal signs are read everywhere; which one is written is a choice of
//! [`Units`].
//!
//! Text is written here and nowhere else: the standard library's float formatting alone weighs some 20 kB in
//! WebAssembly, and every figure on a screen wants a fixed number of decimals anyway.

use crate::refusal::Refusal;
use serde::{Deserialize, Serialize};

/// A mass in tenths of a milligram, the grain in which shot is counted exactly.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct TenthMg(pub u32);

impl TenthMg {
    /// The mass in kilograms.
    #[must_use]
    pub fn kg(self) -> f64 {
        f64::from(self.0) * 1e-7
    }

    /// The mass in grams.
    #[must_use]
    pub fn g(self) -> f64 {
        f64::from(self.0) * 1e-4
    }
}

/// A number with a fixed count of decimals (0 to 6) and a decimal point, ties away from zero.
///
/// Values that are not finite, or too large for 15 digits, are written as a dash: no screen ever shows `NaN`.
///
/// # Example
/// ```
/// assert_eq!(dotdown::units::fixed(6.06, 1), "6.1");
/// assert_eq!(dotdown::units::fixed(-0.04, 1), "0.0");
/// assert_eq!(dotdown::units::fixed(f64::NAN, 1), "–");
/// ```
#[must_use]
pub fn fixed(value: f64, decimals: u8) -> String {
    let decimals = decimals.min(6);
    let scale = 10_u64.pow(u32::from(decimals));
    let scaled = (value.abs() * scale as f64).round();
    if !scaled.is_finite() || scaled >= 1e15 {
        return "–".to_owned();
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "below 1e15 and not negative"
    )]
    let whole = scaled as u64;
    decimal(whole, decimals, value < 0.0, '.')
}

/// `whole` tenths, hundredths ... (as `decimals` says) as text with `sign` as the decimal sign.
fn decimal(whole: u64, decimals: u8, negative: bool, sign: char) -> String {
    let scale = 10_u64.pow(u32::from(decimals));
    let mut text = String::new();
    if negative && whole > 0 {
        text.push('-');
    }
    text.push_str(&(whole / scale).to_string());
    if decimals > 0 {
        let rest = (whole % scale).to_string();
        text.push(sign);
        for _ in rest.len()..usize::from(decimals) {
            text.push('0');
        }
        text.push_str(&rest);
    }
    text
}

/// `value` held between `least` and `most`; not-a-number gives `least`.
///
/// `f64::clamp` would do, but its panic text prints floats, which costs 15 kB of WebAssembly.
#[must_use]
pub fn between(value: f64, least: f64, most: f64) -> f64 {
    value.max(least).min(most)
}

/// Tenths of a millimetre in an inch: exact by definition (1959).
pub const INCH_TENTH_MM: i32 = 254;
const FOOT_TENTH_MM: i32 = 12 * INCH_TENTH_MM;

/// How lengths are written and bare numbers are read.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LengthUnits {
    /// Feet and inches.
    #[default]
    Imperial,
    /// Metres and centimetres.
    Metric,
}

/// The decimal sign that is written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum DecimalSign {
    /// 6.1
    #[default]
    Point,
    /// 6,1
    Comma,
}

/// The user's choice of units: lengths in feet and inches or metric, and the decimal sign.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Units {
    /// How lengths are written.
    pub lengths: LengthUnits,
    /// The decimal sign that is written.
    pub sign: DecimalSign,
}

/// What a whole number in the plan means, and so how it is written and read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Quantity {
    /// A depth of water or a pole's reach, tenths of a millimetre; written in metres or feet and inches.
    Reach,
    /// A depth of a rig or a distance from the hook, tenths of a millimetre; written in cm or (feet and) inches.
    Depth,
    /// A size of bait or block, tenths of a millimetre; always written in mm.
    Size,
    /// A line's diameter, micrometres; written in mm with three decimals.
    Diameter,
    /// Tenths of a degree Celsius.
    Temperature,
    /// Tenths of a gram in 100 g.
    PerHundred,
    /// Tenths of a percent.
    Percent,
    /// Whole grams.
    Grams,
    /// Tenths of a milligram; written in grams with four decimals.
    ShotMass,
    /// Whole minutes of duration.
    Minutes,
    /// Minutes since midnight; written 09:30.
    Clock,
    /// Days since 1 January 1970; written 2026-07-11.
    Date,
    /// Whole seconds.
    Seconds,
    /// A bare count.
    Count,
    /// Hectopascals.
    Pressure,
    /// Kilograms per cubic metre.
    Density,
    /// Tenths of a second.
    TenthSeconds,
    /// Thousandths of a second; written in seconds.
    Milliseconds,
    /// Millilitres.
    Millilitres,
}

impl Quantity {
    /// The unit's sign as it is written behind a number, and how many decimals the whole number carries.
    #[must_use]
    pub fn unit(self) -> (&'static str, u8) {
        match self {
            Self::Size => ("mm", 1),
            Self::Diameter => ("mm", 3),
            Self::Temperature => ("°C", 1),
            Self::PerHundred => ("g", 1),
            Self::Percent => ("%", 1),
            Self::Grams => ("g", 0),
            Self::ShotMass => ("g", 4),
            Self::Minutes => ("min", 0),
            Self::Seconds => ("s", 0),
            Self::Pressure => ("hPa", 0),
            Self::Density => ("kg/m3", 0),
            Self::TenthSeconds => ("s", 1),
            Self::Milliseconds => ("s", 3),
            Self::Millilitres => ("ml", 0),
            Self::Reach | Self::Depth | Self::Clock | Self::Date | Self::Count => ("", 0),
        }
    }

    /// The words that may stand behind a number of this kind.
    fn accepts(self, unit: &str) -> bool {
        let (own, _) = self.unit();
        unit == own
            || match self {
                Self::Temperature => matches!(unit, "C" | "c" | "°" | "°c"),
                Self::Minutes => matches!(unit, "m" | "mins" | "minutes"),
                Self::Seconds | Self::TenthSeconds | Self::Milliseconds => {
                    matches!(unit, "sec" | "secs" | "seconds")
                }
                Self::Pressure => matches!(unit, "hpa" | "mb" | "mbar"),
                _ => false,
            }
    }
}
/// Not a number; says what an example looks like.
fn not_a_number(example: &str) -> Refusal {
    let sentence = format!("This is not a number that can be read here. Write it like {example}.");
    Refusal::new("not_a_number", "", sentence)
}

/// More digits than any field takes.
fn too_long() -> Refusal {
    Refusal::new("not_a_number", "", "This number is far too long. Write a few digits.")
}

/// A number with a unit that does not belong here.
fn wrong_unit(came: &str, wanted: &str) -> Refusal {
    let came: String = came.chars().take(12).collect();
    let rather = if wanted.is_empty() {
        "Write the bare number.".to_owned()
    } else {
        format!("Write the number alone or with {wanted}.")
    };
    Refusal::new("wrong_unit", "", format!("The unit “{came}” does not belong here. {rather}"))
}

/// Longest text that is looked at.
const MOST_TEXT: usize = 40;

/// Reads a leading decimal number: its value times `10^decimals` (ties away from zero) and the rest of the text.
fn leading_decimal<'a>(text: &'a str, decimals: u8, example: &str) -> Result<(i64, &'a str), Refusal> {
    let (negative, body) = match text.strip_prefix(['-', '−']) {
        Some(rest) => (true, rest),
        None => (false, text.strip_prefix('+').unwrap_or(text)),
    };
    let mut value: i64 = 0;
    let mut after: Option<u8> = None;
    let mut digits = 0;
    let mut round_up = false;
    let mut end = body.len();
    for (i, c) in body.char_indices() {
        match c {
            '0'..='9' => {
                digits += 1;
                if digits > 15 {
                    return Err(too_long());
                }
                let d = i64::from(u32::from(c) - u32::from('0'));
                match after {
                    Some(n) if n >= decimals => {
                        if n == decimals {
                            round_up = d >= 5;
                        }
                        after = Some(n.saturating_add(1));
                    }
                    Some(n) => {
                        value = value * 10 + d;
                        after = Some(n + 1);
                    }
                    None => value = value * 10 + d,
                }
            }
            '.' | ',' if after.is_none() => after = Some(0),
            _ => {
                end = i;
                break;
            }
        }
    }
    if digits == 0 {
        return Err(not_a_number(example));
    }
    for _ in after.unwrap_or(0).min(decimals)..decimals {
        value = value.checked_mul(10).ok_or_else(too_long)?;
    }
    value += i64::from(round_up);
    let rest = body.get(end..).unwrap_or("");
    Ok((if negative { -value } else { value }, rest))
}

/// Reads `text` as a number of `kind`.
///
/// Lengths take `7 ft 2`, `7'2"`, `86 in`, `2.18 m`, `218 cm`, `4 1/2 in`; a bare number is read in the unit that
/// is shown. The result is in the kind's whole unit and has not been held against any limit.
///
/// # Errors
/// An empty text, one that is not a number, has a foreign unit or too many digits.
///
/// # Example
/// ```
/// use dotdown::units::{Quantity, Units, parse};
/// let units = Units::default();
/// assert_eq!(parse("7 ft 2", Quantity::Reach, units), Ok(21844));
/// assert_eq!(parse("6,5", Quantity::Size, units), Ok(65));
/// assert_eq!(parse("18:05", Quantity::Clock, units), Ok(1085));
/// ```
pub fn parse(text: &str, kind: Quantity, units: Units) -> Result<i64, Refusal> {
    let text = text.trim();
    if text.is_empty() {
        return Err(Refusal::new("empty", "", "Write a number here."));
    }
    if text.len() > MOST_TEXT {
        return Err(too_long());
    }
    match kind {
        Quantity::Reach | Quantity::Depth => parse_length(text, kind, units),
        Quantity::Clock => parse_clock(text),
        Quantity::Date => parse_date(text),
        _ => {
            let (unit, decimals) = kind.unit();
            let (value, rest) = leading_decimal(text, decimals, "6.5 or 6,5")?;
            let rest = rest.trim();
            if rest.is_empty() || kind.accepts(rest) {
                Ok(value)
            } else if rest.starts_with(|c: char| c.is_alphabetic() || c == '°' || c == '%') {
                Err(wrong_unit(rest, unit))
            } else {
                Err(not_a_number("6.5 or 6,5"))
            }
        }
    }
}

/// The tenths of a millimetre in a unit of length, by the unit's name.
fn length_unit(name: &str) -> Option<i32> {
    Some(match name {
        "m" | "metre" | "metres" => 10_000,
        "cm" => 100,
        "mm" => 10,
        "ft" | "'" | "′" | "’" | "foot" | "feet" => FOOT_TENTH_MM,
        "in" | "\"" | "″" | "”" | "''" | "inch" | "inches" => INCH_TENTH_MM,
        _ => return None,
    })
}

/// Reads a length as a sum of numbers with units.
fn parse_length(text: &str, kind: Quantity, units: Units) -> Result<i64, Refusal> {
    let example =
        if units.lengths == LengthUnits::Imperial { "7 ft 2 or 2.18 m" } else { "218 cm or 2.18 m" };
    let mut rest = text;
    let mut total: i64 = 0;
    let mut last_unit: Option<i32> = None;
    let mut parts = 0;
    while !rest.is_empty() {
        if parts == 3 || (parts > 0 && rest.starts_with(['-', '−', '+'])) {
            return Err(not_a_number(example));
        }
        parts += 1;
        // A fraction may stand alone, as in `½ in`.
        let alone = rest.starts_with(['½', '¼', '¾']);
        let (mut micro, mut after) = if alone { (0, rest) } else { leading_decimal(rest, 4, example)? };
        if let Some((fraction, tail)) = vulgar_fraction(after) {
            micro += fraction;
            after = tail;
        }
        let after = after.trim_start();
        let end = after.find(|c: char| c.is_ascii_digit() || c.is_whitespace()).unwrap_or(after.len());
        let (name, tail) = after.split_at(end);
        let unit = if name.is_empty() {
            match (last_unit, kind, units.lengths) {
                (Some(FOOT_TENTH_MM), _, _) => INCH_TENTH_MM,
                (Some(_), _, _) => return Err(not_a_number(example)),
                (None, Quantity::Reach, LengthUnits::Imperial) => FOOT_TENTH_MM,
                (None, _, LengthUnits::Imperial) => INCH_TENTH_MM,
                (None, Quantity::Reach, LengthUnits::Metric) => 10_000,
                (None, _, LengthUnits::Metric) => 100,
            }
        } else {
            let imperial = units.lengths == LengthUnits::Imperial;
            let wanted = if imperial { "ft, in, m or cm" } else { "m, cm or mm" };
            length_unit(name).ok_or_else(|| wrong_unit(name, wanted))?
        };
        if last_unit.is_some_and(|last| unit >= last) {
            return Err(not_a_number(example));
        }
        last_unit = Some(unit);
        let product = micro.checked_mul(i64::from(unit)).ok_or_else(too_long)?;
        let sign = if product < 0 { -1 } else { 1 };
        total = total.checked_add((product + sign * 5000) / 10_000).ok_or_else(too_long)?;
        rest = tail.trim_start();
    }
    Ok(total)
}

/// A fraction such as ` 1/2` or `½`, in ten-thousandths, and what follows.
fn vulgar_fraction(text: &str) -> Option<(i64, &str)> {
    let text = text.trim_start();
    for (sign, value) in [('½', 5000), ('¼', 2500), ('¾', 7500)] {
        if let Some(rest) = text.strip_prefix(sign) {
            return Some((value, rest));
        }
    }
    let (over, tail) = text.split_once('/')?;
    let over: i64 = if over.len() <= 2 { over.parse().ok()? } else { return None };
    let end = tail.find(|c: char| !c.is_ascii_digit()).unwrap_or(tail.len());
    let under: i64 = if end <= 2 { tail.get(..end)?.parse().ok()? } else { return None };
    (under > over && over > 0).then(|| (over * 10_000 / under, tail.get(end..).unwrap_or("")))
}

/// Reads a time of day such as 9:30, 09.30 or 0930.
fn parse_clock(text: &str) -> Result<i64, Refusal> {
    let bad = || not_a_number("09:30");
    let (hours, minutes) = match text.split_once([':', '.', 'h']) {
        Some(pair) => pair,
        None if text.len() == 4 && text.is_ascii() => text.split_at(2),
        None => return Err(bad()),
    };
    let (hours, minutes) = (hours.trim(), minutes.trim());
    let short = |t: &str| (1..=2).contains(&t.len()) && t.bytes().all(|b| b.is_ascii_digit());
    if !short(hours) || minutes.len() != 2 || !short(minutes) {
        return Err(bad());
    }
    let (h, m): (i64, i64) = (hours.parse().map_err(|_| bad())?, minutes.parse().map_err(|_| bad())?);
    if h < 24 && m < 60 { Ok(h * 60 + m) } else { Err(bad()) }
}

/// Reads a date such as 2026-07-11.
fn parse_date(text: &str) -> Result<i64, Refusal> {
    date_from(text).map(i64::from).ok_or_else(|| not_a_number("2026-07-11"))
}

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

/// Two digits with a leading zero.
fn two(n: i64) -> String {
    let text = n.unsigned_abs().to_string();
    if n < 10 { "0".to_owned() + &text } else { text }
}

/// A day in words, such as `Sat 11 July`.
#[must_use]
pub fn day_words(days: i32) -> String {
    let (_, month, day) = date_of(days);
    let month = usize::try_from(month - 1).ok().and_then(|m| MONTHS.get(m)).copied().unwrap_or("");
    [weekday(days), " ", &day.to_string(), " ", month].concat()
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
    let m = i64::from(minutes.rem_euclid(1440));
    two(m / 60) + ":" + &two(m % 60)
}

/// A duration in words, such as `3 h 10 min` or `45 min`.
#[must_use]
pub fn duration_words(minutes: i32) -> String {
    let (h, m) = (minutes / 60, minutes % 60);
    match (h, m) {
        (0, m) => m.to_string() + " min",
        (h, 0) => h.to_string() + " h",
        (h, m) => h.to_string() + " h " + &m.to_string() + " min",
    }
}

impl Units {
    /// Puts the decimal sign of this choice into a text written with a point.
    pub(crate) fn signed(self, text: String) -> String {
        if self.sign == DecimalSign::Comma { text.replace('.', ",") } else { text }
    }

    /// A written text with this choice's decimal sign between its digits.
    #[must_use]
    pub(crate) fn prose(self, text: &str) -> String {
        if self.sign == DecimalSign::Point {
            return text.to_owned();
        }
        let mut out = String::with_capacity(text.len());
        let mut last = ' ';
        let mut letters = text.chars().peekable();
        while let Some(c) = letters.next() {
            let decimal =
                c == '.' && last.is_ascii_digit() && letters.peek().is_some_and(char::is_ascii_digit);
            out.push(if decimal { ',' } else { c });
            last = c;
        }
        out
    }

    /// A number with fixed decimals and this choice's decimal sign.
    #[must_use]
    pub fn number(self, value: f64, decimals: u8) -> String {
        self.signed(fixed(value, decimals))
    }

    /// The grams of a mass with at least so many decimals (0 to 4) and as many more as it has: `0.062` and `0.0625`.
    #[must_use]
    pub fn shot_g(self, mass: TenthMg, least: u8) -> String {
        let exact =
            |decimals: &u8| mass.0.is_multiple_of(10_u32.pow(4_u32.saturating_sub((*decimals).into())));
        self.number(mass.g(), (least..4).find(exact).unwrap_or(4))
    }

    /// A whole number of `kind` as text, with its unit where one belongs behind it.
    ///
    /// What [`parse`] makes of the text is the number rounded to what is shown.
    #[must_use]
    pub fn text(self, value: i32, kind: Quantity) -> String {
        let bare = self.bare(value, kind);
        let (unit, _) = kind.unit();
        if unit.is_empty() { bare } else { bare + if unit == "%" { "" } else { " " } + unit }
    }

    /// The same without the unit, for an input field whose unit stands beside it. Lengths keep theirs.
    #[must_use]
    pub fn bare(self, value: i32, kind: Quantity) -> String {
        match kind {
            Quantity::Reach | Quantity::Depth => self.length(value, kind),
            Quantity::Clock => clock_words(value),
            Quantity::Date => {
                let (year, month, day) = date_of(value);
                [&year.to_string(), "-", &two(month.into()), "-", &two(day.into())].concat()
            }
            _ => {
                let (_, decimals) = kind.unit();
                let sign = if self.sign == DecimalSign::Comma { ',' } else { '.' };
                let mut text = decimal(u64::from(value.unsigned_abs()), decimals, value < 0, sign);
                if matches!(kind, Quantity::Size | Quantity::Temperature | Quantity::Percent)
                    && let Some(short) = text.strip_suffix(".0").or_else(|| text.strip_suffix(",0"))
                {
                    text.truncate(short.len());
                }
                text
            }
        }
    }

    /// A length from tenths of a millimetre.
    fn length(self, value: i32, kind: Quantity) -> String {
        match (self.lengths, kind) {
            (LengthUnits::Imperial, _) => feet_inches(value, kind == Quantity::Reach),
            (LengthUnits::Metric, Quantity::Reach) => self.number(f64::from(value) / 1e4, 2) + " m",
            (LengthUnits::Metric, _) => {
                let text = self.number(f64::from(value) / 1e2, 1);
                let short = text.strip_suffix(".0").or_else(|| text.strip_suffix(",0")).unwrap_or(&text);
                short.to_owned() + " cm"
            }
        }
    }

    /// A depth given in metres, in this choice's words.
    #[must_use]
    pub fn depth_m(self, depth_m: f64) -> String {
        self.length(tenth_mm(depth_m), Quantity::Depth)
    }
}

/// Tenths of a millimetre from metres; saturates, and not-a-number gives 0.
#[must_use]
pub fn tenth_mm(metres: f64) -> i32 {
    #[expect(clippy::cast_possible_truncation, reason = "the cast saturates, which is what is wanted")]
    let whole = (metres * 1e4).round() as i32;
    whole
}

/// Feet and inches to the half inch; under two feet, and where `feet` is not asked for, inches alone.
fn feet_inches(value: i32, feet: bool) -> String {
    let negative = value < 0;
    let halves = (i64::from(value).abs() * 2 + i64::from(INCH_TENTH_MM) / 2) / i64::from(INCH_TENTH_MM);
    let (whole, half) = (halves / 2, halves % 2 == 1);
    let mut text = String::new();
    if negative && halves > 0 {
        text.push('-');
    }
    let tail = if half { "½" } else { "" };
    if feet || whole >= 24 {
        text = text + &(whole / 12).to_string() + " ft " + &(whole % 12).to_string() + tail;
    } else if whole == 0 && half {
        text = text + tail + " in";
    } else {
        text = text + &whole.to_string() + tail + " in";
    }
    text
}
