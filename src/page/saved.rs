//! What the phone keeps of the page, as text: the plan (in its link form), ticks, choices, where the reader was.
//!
//! The text has a version, a serial number (of two copies the higher one is newer) and a checksum, so that a copy
//! that was half written when the phone died is told apart from a good one.

use super::{Choices, Page, Screen, Theme};
use crate::checksum::crc32;
use crate::plan::link;
use crate::refusal::Refusal;
use crate::small::Set;
use crate::units::{DecimalSign, LengthUnits, Units};

/// First line of the kept text, before its version.
const MAGIC: &str = "dotdown ";
/// The version of the kept text that this code writes.
const VERSION: u32 = 1;
/// Most characters of a kept text that are looked at.
const MAX_BYTES: usize = 60_000;

/// A page as it was kept.
#[derive(Clone, Debug)]
pub struct Kept {
    /// Its number; each save is one higher.
    pub serial: u64,
    /// The page.
    pub page: Page,
}

/// The page as text.
#[must_use]
pub fn write(page: &Page, serial: u64) -> String {
    let units = page.choices.units;
    let ticks: Vec<&str> = page.ticks.keys().collect();
    let body = [
        [MAGIC, &VERSION.to_string()].concat().as_str(),
        &serial.to_string(),
        &link::write(&page.plan),
        if units.lengths == LengthUnits::Metric { "metric" } else { "imperial" },
        if units.sign == DecimalSign::Comma { "comma" } else { "point" },
        page.choices.theme.name(),
        page.screen.name(),
        &page.rig.to_string(),
        &ticks.join("\t"),
        &page.stopwatch.kept(),
    ]
    .join("\n");
    let sum = crc32(body.as_bytes()).to_string();
    [&sum, "\n", &body].concat()
}

/// Why a kept text cannot be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unread {
    /// It is not whole, or no plan.
    Damaged,
    /// A newer version of the page wrote it.
    Newer,
}

impl Unread {
    /// The sentence that tells it.
    #[must_use]
    pub fn sentence(self) -> &'static str {
        match self {
            Self::Damaged => "What this phone had kept of a plan is damaged.",
            Self::Newer => "What this phone had kept was written by a newer version of the page.",
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
    if text.len() > MAX_BYTES {
        return Err(broken());
    }
    if sum.parse() != Ok(crc32(body.as_bytes())) {
        return Err(broken());
    }
    let mut lines = body.split('\n');
    let mut next = || lines.next().ok_or_else(broken);
    next()?;
    let serial = next()?.parse().map_err(|_| broken())?;
    let newer = |e: &Refusal| e.code() == "newer_version";
    let plan = link::read(next()?).map_err(|e| if newer(&e) { Unread::Newer } else { Unread::Damaged })?;
    let lengths = if next()? == "metric" { LengthUnits::Metric } else { LengthUnits::Imperial };
    let sign = if next()? == "comma" { DecimalSign::Comma } else { DecimalSign::Point };
    let theme = next()?;
    let theme = Theme::ALL.iter().find(|(_, name, _)| *name == theme).map_or(Theme::Phone, |t| t.0);
    let screen = Screen::named(next()?).unwrap_or_default();
    let rig = next()?.parse().unwrap_or(0);
    let mut ticks = Set::default();
    next()?.split('\t').filter(|t| !t.is_empty()).for_each(|t| ticks.insert(t, ()));
    let choices = Choices { units: Units { lengths, sign }, theme };
    let mut page = Page::with(plan, ticks, choices);
    page.screen = screen;
    page.rig = page.plan.rigs.len().saturating_sub(1).min(rig);
    page.take_up(lines.next().unwrap_or(""));
    Ok(Kept { serial, page })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_kept_page_comes_back_and_a_cut_one_does_not() {
        let mut page = Page::new();
        page.tick("prep-cut", true);
        page.tick("kit-tins", true);
        page.act("units:metric");
        page.act("rig:2");
        page.screen = Screen::Rigs;
        let text = write(&page, 41);
        let kept = read(&text).unwrap();
        assert_eq!(kept.serial, 41);
        assert_eq!(kept.page.plan, page.plan);
        assert_eq!(kept.page.ticks, page.ticks);
        assert_eq!(kept.page.choices, page.choices);
        assert_eq!((kept.page.screen, kept.page.rig), (Screen::Rigs, 2));
        for cut in 0..text.len() {
            assert!(read(&text[..cut]).is_err(), "cut at {cut}");
        }
        assert!(read(&text.replace("metric", "imperial")).is_err());
    }
}
