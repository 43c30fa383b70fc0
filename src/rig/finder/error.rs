//! Why a search cannot begin, or go on.

use core::fmt;

use super::super::fall::FallError;
use super::{LONGEST_S, MOST_GROUPS};
use crate::error::Fault;
use crate::units::fixed;

/// Why there is nothing to search.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum SearchError {
    /// The rig itself cannot be dropped in.
    Rig(FallError),
    /// No shot may be moved.
    NoShot,
    /// `most_groups` is not from 1 to 4.
    Groups {
        /// What came.
        came: u8,
    },
    /// `kept` names a place that the rig does not have.
    Kept {
        /// What came.
        index: usize,
        /// Places of shot on the rig.
        places: usize,
    },
    /// No room between what stays and the float.
    NoRoom,
    /// The feed's speed is needed, and there is no bait.
    NoBait,
    /// The user's own pattern does not come down.
    NeverDown,
    /// The latest time is not a positive number, or is too long.
    Latest {
        /// What came, s.
        came_s: f64,
    },
    /// The rig is lowered, so its fall does not depend on the shot.
    Lowered,
}

impl fmt::Display for SearchError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Rig(error) => error.fmt(f),
            Self::NoShot => write!(f, "No shot may be moved: add shot to the rig, or let a dropper move."),
            Self::Groups { came } => write!(f, "Groups must be from 1 to {MOST_GROUPS}; {came} came."),
            Self::Kept { index, places } => {
                write!(f, "Shot {} is to stay, but the rig has {places} places with shot.", index + 1)
            }
            Self::NoRoom => {
                write!(
                    f,
                    "There is no room for the shot: it would lie between the float and what has to stay."
                )
            }
            Self::NoBait => {
                write!(f, "To fall with the feed there must be a cube on the hook: give its side.")
            }
            Self::NeverDown => {
                write!(
                    f,
                    "This rig does not come down within {} minutes: add shot.",
                    fixed(LONGEST_S / 60.0, 0)
                )
            }
            Self::Latest { came_s } => write!(
                f,
                "The latest time down must be from 0.1 to {} s; {} s came.",
                fixed(LONGEST_S, 0),
                fixed(*came_s, 1)
            ),
            Self::Lowered => {
                write!(
                    f,
                    "A lowered rig comes down at the hand's speed wherever the shot is: lay it to search."
                )
            }
        }
    }
}

impl Fault for SearchError {
    fn code(&self) -> &'static str {
        match self {
            Self::Rig(error) => error.code(),
            Self::NoShot => "no_shot",
            Self::Groups { .. } => "groups",
            Self::Kept { .. } => "kept",
            Self::NoRoom => "no_room",
            Self::NoBait => "no_bait",
            Self::NeverDown => "never_down",
            Self::Latest { .. } => "latest",
            Self::Lowered => "lowered",
        }
    }

    fn field(&self) -> String {
        match self {
            Self::Rig(error) => {
                let mut field = "rig.".to_owned();
                field.push_str(&error.field());
                field
            }
            Self::NoShot | Self::NoRoom => "rig.shots".to_owned(),
            Self::Groups { .. } => "most_groups".to_owned(),
            Self::Kept { .. } => "kept".to_owned(),
            Self::NoBait => "rig.bait.side_m".to_owned(),
            Self::NeverDown => "rig".to_owned(),
            Self::Latest { .. } => "latest_s".to_owned(),
            Self::Lowered => "rig.lowered_m_per_s".to_owned(),
        }
    }
}
