//! The day in words and numbers, for the end.

use super::log::Log;
use super::replay::Replay;
use super::setup::{Prepared, SessionSetup};
use super::state::{RigTally, Totals, as_u32};
use super::words::counted;
use crate::units::fixed;
use serde::{Deserialize, Serialize};

/// The day in words and numbers, for the end.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
pub struct Summary {
    /// The day.
    pub totals: Totals,
    /// Hours from the start to the end or to now, pauses included.
    pub hours: f64,
    /// Cubes left to freeze again or use up.
    pub left_cubes: Option<f64>,
    /// The rig with the most fish an hour of water time, from 0; none if that is too little to tell.
    pub best_rig: Option<u32>,
    /// Mean seconds between feeds while running; none with fewer than two feeds.
    pub seconds_between_feeds: Option<f64>,
    /// The notes taken, oldest first.
    pub notes: Vec<String>,
    /// The day in sentences.
    pub lines: Vec<String>,
    /// What was learned and is worth keeping for next time, in sentences.
    pub learned: Vec<String>,
}

/// The day as it stands at `own_ms`, the moment of `replay`.
pub(super) fn summary(prepared: &Prepared, log: &Log, replay: &Replay, own_ms: f64) -> Summary {
    let setup = &prepared.setup;
    let totals = replay.totals(setup.fish_mass_g);
    let end_ms = if replay.ended { replay.last_tap_ms } else { own_ms };
    let hours = ((end_ms - replay.start_ms) / 3_600_000.0).max(0.0);
    let best_rig = best_rig(&totals);
    let seconds_between_feeds = (totals.feeds >= 2)
        .then(|| (replay.feeds_ms.1 - replay.feeds_ms.0) / 1000.0 / f64::from(totals.feeds - 1));
    let noted = log.standing().iter().map(|one| &one.event).filter(|event| !event.note.is_empty());
    Summary {
        hours,
        left_cubes: totals.cubes_left,
        best_rig: best_rig.map(as_u32),
        seconds_between_feeds,
        notes: noted.map(|event| event.note.clone()).collect(),
        lines: lines(setup, &totals, hours),
        learned: learned(setup, &totals, best_rig, seconds_between_feeds)
            .chain(told_late(prepared, replay))
            .collect(),
        totals,
    }
}

/// How sure it must be that missed bites are tapped late before it is said.
const SURELY_LATE: f64 = 0.9;

/// A bite as the picture of the day shows it.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// When, ms since 1970.
    pub at_ms: f64,
    /// On which rig, from 0.
    pub rig: u32,
    /// Whether a fish was landed; otherwise the bite was missed.
    pub landed: bool,
}

/// A change of rig that was advised.
#[derive(Clone, Debug, PartialEq)]
pub struct Advised {
    /// When, ms since 1970.
    pub at_ms: f64,
    /// To which rig, from 0.
    pub rig: u32,
    /// Whether it was picked up before something else was advised.
    pub taken: bool,
}

/// The day as one picture: depth against time.
#[derive(Clone, Debug, PartialEq)]
pub struct DayPicture {
    /// The first event, ms since 1970.
    pub from_ms: f64,
    /// The last.
    pub to_ms: f64,
    /// The bites, in order.
    pub marks: Vec<Mark>,
    /// Where the fish were believed to be: a moment, ms since 1970, and the depths, m, above which they were by a chance of
    /// one and of four in five.
    pub band: Vec<(f64, f64, f64)>,
    /// The changes of rig that were advised, in order.
    pub advised: Vec<Advised>,
}

/// Fish an hour of water time, with the band that holds nine times in ten: low, mid, high. The square root of a count of
/// rare events has a deviation of one half whatever the count.
///
/// # Source
/// Anscombe 1948, "The transformation of Poisson, binomial and negative-binomial data", Biometrika 35:246–254 (from memory).
pub(crate) fn fish_an_hour(tally: &RigTally) -> (f64, f64, f64) {
    let (fish, hours) = (f64::from(tally.fish), tally.water_s.max(60.0) / 3600.0);
    let (root, off) = ((fish + 0.375).sqrt(), 1.645 / 2.0);
    ((root - off).max(0.0).powi(2) / hours, fish / hours, (root + off).powi(2) / hours)
}

/// The rig with the most fish an hour, if its band lies above the rate of every other that was fished; none where no other was.
fn best_rig(totals: &Totals) -> Option<usize> {
    let rate = |tally: &RigTally| fish_an_hour(tally).1;
    let rigs =
        || totals.per_rig.iter().enumerate().filter(|(_, tally)| tally.water_s > 0.0 || tally.fish > 0);
    if rigs().count() < 2 {
        return None;
    }
    let (best, tally) =
        rigs().filter(|(_, tally)| tally.fish > 0).max_by(|a, b| rate(a.1).total_cmp(&rate(b.1)))?;
    let low = fish_an_hour(tally).0;
    rigs().all(|(rig, tally)| rig == best || rate(tally) < low).then_some(best)
}

/// That missed bites are tapped late, where that is all but sure.
fn told_late(prepared: &Prepared, replay: &Replay) -> Option<String> {
    let mut beliefs = prepared.lines.all().iter().zip(&replay.belief.0);
    let (from_s, to_s) = beliefs.find_map(|(line, belief)| belief.told_late(&line.model, SURELY_LATE))?;
    Some(format!(
        "Missed bites seem to be tapped {} to {} s late. The depth takes that into account; a quicker tap finds the fish sooner.",
        fixed(from_s, 0),
        fixed(to_s, 0)
    ))
}

fn lines(setup: &SessionSetup, totals: &Totals, hours: f64) -> Vec<String> {
    let mut lines = vec![format!(
        "{} in {} h; {}, {}.",
        counted(totals.fish, "fish", "fish"),
        setup.number(hours, 1),
        counted(totals.missed, "bite missed", "bites missed"),
        counted(totals.lost, "fish lost", "fish lost")
    )];
    let left = totals.cubes_left.map_or_else(String::new, |left| {
        format!("; {} left: freeze again only what was kept cold", fixed(left, 0))
    });
    let feeds = counted(totals.feeds, "feed", "feeds");
    lines.push(format!("{} cubes fed in {feeds}{left}.", fixed(totals.cubes_fed, 0)));
    lines
}

fn learned(
    setup: &SessionSetup,
    totals: &Totals,
    best_rig: Option<usize>,
    between_s: Option<f64>,
) -> impl Iterator<Item = String> {
    let best = best_rig.and_then(|rig| totals.per_rig.get(rig).map(|tally| (rig, tally)));
    let best = best.map(|(rig, tally)| {
        let (low, mid, high) = fish_an_hour(tally);
        format!(
            "Best rig: {}, {} fish an hour in the water ({} to {}).",
            setup.rig_words(rig),
            fixed(mid, 0),
            fixed(low, 0),
            fixed(high, 0)
        )
    });
    let unsure = || "Too little to tell which rig was best.".to_owned();
    let best = best.or_else(|| (totals.fish > 0).then(unsure));
    let bites = totals.missed + totals.fish + totals.lost;
    let missed = (bites >= 10).then(|| format!("{} of {bites} bites were missed.", totals.missed));
    let fed = between_s.map(|between_s| format!("Fed every {} s on average.", fixed(between_s, 0)));
    [best, missed, fed].into_iter().flatten()
}
