//! What a button of the bank records, as its `data-tap` names it.

use crate::session::EventKind;
use crate::session::event::Fix;

/// A tap at the bank.
#[derive(Clone, Debug, PartialEq)]
pub enum Tap {
    /// Begins a session.
    Start,
    /// A kind of event that carries nothing.
    Kind(EventKind),
    /// A rig was picked up, or lowered again.
    Rig(u32),
    /// Feeds faster or slower, by one nudge.
    Faster(bool),
    /// A shot moved: tightened, or spread.
    Tighter(bool),
    /// A note.
    Note(String),
    /// A kind of event with its value: a fish with its mass, a feed with its cubes.
    Valued(EventKind, f64),
    /// An earlier event was wrong.
    Fix(Fix),
}

impl Tap {
    /// The tap of a button by its `data-tap`: the name of a kind of event, `rig:PLACE`, `note:WORDS` or one of our own.
    #[must_use]
    pub fn parse(word: &str) -> Option<Self> {
        let (verb, about) = word.split_once(':').unwrap_or((word, ""));
        Some(match verb {
            "start" => Self::Start,
            "rig" => Self::Rig(about.parse().ok()?),
            "faster" | "slower" => Self::Faster(verb == "faster"),
            "tighten" | "spread" => Self::Tighter(verb == "tighten"),
            "note" if about.trim().is_empty() => return None,
            "note" => Self::Note(about.to_owned()),
            "phase" => Self::Valued(EventKind::PhaseChange, f64::from(about.parse::<u8>().ok()?)),
            "fix" => Self::Fix(fix_of(about)?),
            "fish" | "fed" if !about.is_empty() => {
                let value: f64 = about.trim().replace(',', ".").parse().ok()?;
                Self::Valued(EventKind::from_name(verb)?, value)
            }
            _ => Self::Kind(EventKind::from_name(verb)?),
        })
    }
}

/// What stands behind `fix:` in a button's `data-tap`: the event's number, its kind or `-` for none, its rig or `-` as told,
/// and by how many milliseconds it is later than told.
fn fix_of(about: &str) -> Option<Fix> {
    let mut parts = about.split('.');
    let mut next = || parts.next();
    let number = next()?.parse().ok()?;
    let kind = match next()? {
        "-" => None,
        name => Some(EventKind::from_name(name)?),
    };
    let rig = match next()? {
        "-" => None,
        rig => Some(rig.parse().ok()?),
    };
    let later_ms: i32 = next()?.parse().ok()?;
    Some(Fix { number, kind, rig, later_ms: f64::from(later_ms) })
}
