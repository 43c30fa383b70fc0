//! What was typed as a number of a quantity: units, fractions and either decimal sign.

use super::date::date_from;
use super::quantity::{FOOT_TENTH_MM, INCH_TENTH_MM, LengthUnits, Quantity, Units};
use crate::refusal::Refusal;

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
const MAX_TEXT: usize = 40;

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
    if text.len() > MAX_TEXT {
        return Err(too_long());
    }
    match kind {
        Quantity::Reach | Quantity::Depth => parse_length(text, kind, units),
        Quantity::Clock => parse_clock(text),
        Quantity::Minutes if text.contains(['h', ':']) => parse_hours(text),
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
                // Two bare numbers are feet and inches.
                (None, Quantity::Depth, LengthUnits::Imperial) if two_whole(rest) => FOOT_TENTH_MM,
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

/// Whether a text is two whole numbers and nothing else: `6 6`.
fn two_whole(text: &str) -> bool {
    let mut words = text.split_whitespace();
    let mut whole = || words.next().is_some_and(|word| word.bytes().all(|b| b.is_ascii_digit()));
    whole() && whole() && words.next().is_none()
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

/// Reads a duration such as 1 h 10, 1h, 1:10 or 2 h 5 min, in minutes.
fn parse_hours(text: &str) -> Result<i64, Refusal> {
    let bad = || not_a_number("70 or 1 h 10");
    let (hours, minutes) = text.split_once(['h', ':']).ok_or_else(bad)?;
    let minutes = minutes.trim().trim_end_matches("min").trim_end_matches('m').trim();
    let whole = |text: &str| text.trim().parse::<u16>().map_err(|_| bad());
    let minutes = if minutes.is_empty() { 0 } else { whole(minutes)? };
    if minutes < 60 { Ok(i64::from(whole(hours)?) * 60 + i64::from(minutes)) } else { Err(bad()) }
}

/// Reads a time of day such as 9:30, 09.30, 0930 or 930.
fn parse_clock(text: &str) -> Result<i64, Refusal> {
    let bad = || not_a_number("09:30");
    let (hours, minutes) = match text.split_once([':', '.', 'h']) {
        Some(pair) => pair,
        None if matches!(text.len(), 3 | 4) && text.is_ascii() => text.split_at(text.len() - 2),
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
