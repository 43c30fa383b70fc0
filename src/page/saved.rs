//! What the phone keeps of the page beside the book, as text: its number, the reader's choices, where the reader was.
//!
//! The text has a version, a serial number and a checksum, so that a copy that was half written when the phone died is
//! told apart from a good one.

use super::settings::{Choices, Handling, Screen, Theme};
use crate::book::{Id, Phone};
use crate::checksum::crc32;
use crate::units::{DecimalSign, LengthUnits, Units};

/// First line of the kept text, before its version.
const MAGIC: &str = "dotdown ";
/// The version of the kept text that this code writes.
const VERSION: u32 = 1;
/// Most characters of a kept text that are looked at.
const MAX_BYTES: usize = 60_000;

/// What is kept.
#[derive(Clone, Debug, PartialEq)]
pub struct Kept {
    /// Its number; each save is one higher.
    pub serial: u64,
    /// This phone's number in the book.
    pub phone: Phone,
    /// The open day; none for the first worked day, before it is changed.
    pub day: Option<Id>,
    /// The reader's choices.
    pub choices: Choices,
    /// The open screen.
    pub screen: Screen,
    /// The open rig.
    pub rig: usize,
    /// The day of the newest backup, days since 1970.
    pub backed_up: Option<i32>,
    /// The stopwatch, as `tub_watch` writes it.
    pub stopwatch: String,
}

/// What is kept, as text.
#[must_use]
pub fn write(kept: &Kept) -> String {
    let units = kept.choices.units;
    let body = [
        [MAGIC, &VERSION.to_string()].concat().as_str(),
        &kept.serial.to_string(),
        &kept.phone.to_string(),
        &kept.day.map_or_else(String::new, |id| id.to_string()),
        if units.lengths == LengthUnits::Metric { "metric" } else { "imperial" },
        if units.sign == DecimalSign::Comma { "comma" } else { "point" },
        &[kept.choices.theme.name(), &kept.choices.bank.words()].concat(),
        kept.screen.name(),
        &kept.rig.to_string(),
        &kept.backed_up.map_or_else(String::new, |day| day.to_string()),
        &kept.stopwatch,
    ]
    .join("\n");
    let sum = crc32(body.as_bytes()).to_string();
    [&sum, "\n", &body].concat()
}

/// Why a kept text cannot be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unread {
    /// It is not whole.
    Damaged,
    /// A newer version of the page wrote it.
    Newer,
}

impl Unread {
    /// The sentence that tells it.
    #[must_use]
    pub fn sentence(self) -> &'static str {
        match self {
            Self::Damaged => "What this phone had kept of your settings is damaged.",
            Self::Newer => {
                "What this phone had kept of your settings was written by a newer version of the page."
            }
        }
    }
}

/// Reads a kept text; nothing when it is not whole.
///
/// # Errors
/// [`Unread`]. Whoever has the text keeps it then: a newer page may read it.
pub fn read(text: &str) -> Result<Kept, Unread> {
    let broken = || Unread::Damaged;
    let (sum, body) = text.split_once('\n').ok_or_else(broken)?;
    // Before anything else: a newer version may have other sizes and another checksum.
    let (head, _) = body.split_once('\n').ok_or_else(broken)?;
    let version: u32 = head.strip_prefix(MAGIC).and_then(|v| v.parse().ok()).ok_or_else(broken)?;
    if version > VERSION {
        return Err(Unread::Newer);
    }
    if text.len() > MAX_BYTES || sum.parse() != Ok(crc32(body.as_bytes())) {
        return Err(broken());
    }
    let mut lines = body.split('\n').skip(1);
    let mut next = || lines.next().ok_or_else(broken);
    let serial = next()?.parse().map_err(|_| broken())?;
    let phone = Phone::read(next()?).ok_or_else(broken)?;
    let day = Id::read(next()?);
    let lengths = if next()? == "metric" { LengthUnits::Metric } else { LengthUnits::Imperial };
    let sign = if next()? == "comma" { DecimalSign::Comma } else { DecimalSign::Point };
    let looks = next()?;
    let (theme, bank) = looks.split_once(' ').unwrap_or((looks, ""));
    let (theme, bank) = (Theme::named(theme).unwrap_or_default(), Handling::read(bank));
    let screen = Screen::named(next()?).unwrap_or_default();
    let rig = next()?.parse().unwrap_or(0);
    let backed_up = next()?.parse().ok();
    let stopwatch = lines.next().unwrap_or_default().to_owned();
    let choices = Choices { units: Units { lengths, sign }, theme, bank };
    Ok(Kept { serial, phone, day, choices, screen, rig, backed_up, stopwatch })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_kept_comes_back_and_a_cut_text_does_not() {
        let kept = Kept {
            serial: 41,
            phone: Phone(0xfeed),
            day: Some(Id(77)),
            choices: Choices {
                units: Units { lengths: LengthUnits::Metric, sign: DecimalSign::Comma },
                theme: Theme::Night,
                bank: Handling { left_handed: true, no_vibration: true, no_flash: true },
            },
            screen: Screen::Rigs,
            rig: 2,
            backed_up: Some(20_700),
            stopwatch: String::new(),
        };
        let text = write(&kept);
        assert_eq!(read(&text), Ok(kept.clone()));
        let first = Kept { day: None, backed_up: None, ..kept };
        assert_eq!(read(&write(&first)), Ok(first));
        for cut in 0..text.len() {
            assert!(read(&text[..cut]).is_err(), "cut at {cut}");
        }
        assert!(read(&text.replace("metric", "imperial")).is_err());
        assert_eq!(read(&text.replace("dotdown 1", "dotdown 2")), Err(Unread::Newer));
    }
}
