//! Where the shot goes: bulk and droppers, strung shot or a single bulk, every place measured from the hook.
//!
//! A place is the distance along the line from the hook to the middle of the shot (or of the bulk), in whole
//! millimetres. The shots of a bulk sit together and share one place. Droppers are the single small shots between bulk
//! and hook. The knot that joins the hooklength is a place like any other; below it shot is refused unless asked for, as
//! it weakens the thin line.
//!
//! Source: common practice, no published source.

use crate::error::Fault;
use core::fmt;
use serde::{Deserialize, Serialize};

/// Longest rig, mm.
pub const RIG_LENGTH_MOST_MM: i32 = 20_000;
/// Most shots on one rig.
pub const SHOTS_MOST: u32 = 100;

/// What a shot does on the rig.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// Part of the bulk.
    Bulk,
    /// A dropper below the bulk.
    Dropper,
    /// One of a string.
    Strung,
}

/// So many of one size (place in the shot box, from 0).
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Shots {
    /// Place of the size in the shot box, from 0.
    pub shot: usize,
    /// How many.
    pub count: u32,
}

/// Shots of one size at one place.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Group {
    /// Distance from the hook along the line, mm.
    pub from_hook_mm: i32,
    /// Place of the size in the shot box, from 0.
    pub shot: usize,
    /// How many.
    pub count: u32,
    /// What they do.
    pub role: Role,
}

/// A pattern in the trade's words.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "kind")]
pub enum Pattern {
    /// A bulk with single droppers below it.
    BulkAndDroppers {
        /// The bulk's distance from the hook, mm.
        bulk_mm: i32,
        /// Place of the droppers' size in the shot box.
        dropper_shot: usize,
        /// Distances of the droppers from the hook, mm, lowest first.
        droppers_mm: Vec<i32>,
    },
    /// All shots together.
    SingleBulk {
        /// The bulk's distance from the hook, mm.
        bulk_mm: i32,
    },
    /// All shots evenly strung, the last of the list nearest the hook.
    Strung {
        /// Distance of the lowest from the hook, mm.
        lowest_mm: i32,
        /// Distance of the highest from the hook, mm.
        highest_mm: i32,
    },
}

/// What is to be laid out.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct LayoutRequest {
    /// Line from the float to the hook, mm (20 to 20 000).
    pub float_to_hook_mm: i32,
    /// The hooklength, mm (0 to the whole; 0 is none).
    pub hooklength_mm: i32,
    /// The shots, heaviest size first, as the balancer tells them.
    pub shots: Vec<Shots>,
    /// The pattern.
    pub pattern: Pattern,
    /// Whether shot may sit on the hooklength.
    #[serde(default)]
    pub on_hooklength: bool,
}

/// A rig's shot in place, from the hook up.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Layout {
    /// Line from the float to the hook, mm.
    pub float_to_hook_mm: i32,
    /// The hooklength, mm.
    pub hooklength_mm: i32,
    /// Whether shot may sit on the hooklength.
    pub on_hooklength: bool,
    /// The groups, lowest first.
    pub groups: Vec<Group>,
}

/// Why a layout was refused.
#[non_exhaustive]
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LayoutError {
    /// The rig's length is outside its limits.
    Length {
        /// What came, mm.
        got_mm: i32,
    },
    /// The hooklength is below nothing or longer than the rig.
    Hooklength {
        /// What came, mm.
        got_mm: i32,
        /// The rig, mm.
        rig_mm: i32,
    },
    /// A shot sits at or below the hook.
    BelowHook {
        /// Its distance from the hook, mm.
        got_mm: i32,
    },
    /// A shot sits at or above the float.
    AboveFloat {
        /// Its distance from the hook, mm.
        got_mm: i32,
        /// The float's distance from the hook, mm.
        float_mm: i32,
    },
    /// A shot sits on the hooklength, which was not asked for.
    OnHooklength {
        /// Its distance from the hook, mm.
        got_mm: i32,
        /// The hooklength, mm.
        hooklength_mm: i32,
    },
    /// A place that has to lie above another lies at it or below it.
    Crossing {
        /// The lower place, mm.
        lower_mm: i32,
        /// The place that should be above it, mm.
        upper_mm: i32,
    },
    /// There are not so many shots of the droppers' size.
    TooFewDroppers {
        /// Droppers asked for.
        asked: usize,
        /// Shots of that size.
        have: u32,
    },
    /// The droppers take every shot, so that no bulk is left.
    NoBulk,
    /// There is no shot.
    NoShots,
    /// There are more shots than a rig may have.
    TooManyShots {
        /// How many came.
        got: u32,
    },
}

impl fmt::Display for LayoutError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Length { got_mm } => write!(
                f,
                "The rig must be from 20 to {RIG_LENGTH_MOST_MM} mm from float to hook, but is {got_mm} mm."
            ),
            Self::Hooklength { got_mm, rig_mm } => {
                write!(f, "The hooklength must be from 0 to the rig's {rig_mm} mm, but is {got_mm} mm.")
            }
            Self::BelowHook { got_mm } => {
                write!(f, "A shot at {got_mm} mm is not above the hook: move it to 1 mm or more.")
            }
            Self::AboveFloat { got_mm, float_mm } => {
                write!(
                    f,
                    "A shot at {got_mm} mm is not below the float, which is {float_mm} mm from the hook: move it down."
                )
            }
            Self::OnHooklength { got_mm, hooklength_mm } => write!(
                f,
                "A shot at {got_mm} mm sits on the hooklength of {hooklength_mm} mm: move it up to the knot, or allow it."
            ),
            Self::Crossing { lower_mm, upper_mm } => {
                write!(
                    f,
                    "The shot at {upper_mm} mm has to sit above the one at {lower_mm} mm: move one of them."
                )
            }
            Self::TooFewDroppers { asked, have } => {
                write!(
                    f,
                    "{asked} droppers were asked for, but the set has {have} of that size: use fewer, or another size."
                )
            }
            Self::NoBulk => f.write_str(
                "The droppers take every shot and leave no bulk: use fewer droppers or string the shot.",
            ),
            Self::NoShots => f.write_str("There is no shot to lay out: balance the float first."),
            Self::TooManyShots { got } => {
                write!(f, "A rig may carry {SHOTS_MOST} shots at most, but has {got}: use larger ones.")
            }
        }
    }
}

impl core::error::Error for LayoutError {}

impl Fault for LayoutError {
    fn code(&self) -> &'static str {
        match self {
            Self::Length { .. } => "rig_length",
            Self::Hooklength { .. } => "hooklength",
            Self::BelowHook { .. } => "below_hook",
            Self::AboveFloat { .. } => "above_float",
            Self::OnHooklength { .. } => "on_hooklength",
            Self::Crossing { .. } => "crossing",
            Self::TooFewDroppers { .. } => "too_few_droppers",
            Self::NoBulk => "no_bulk",
            Self::NoShots => "no_shots",
            Self::TooManyShots { .. } => "too_many_shots",
        }
    }

    fn field(&self) -> String {
        match self {
            Self::Length { .. } => "float_to_hook_mm",
            Self::Hooklength { .. } => "hooklength_mm",
            Self::NoShots | Self::TooManyShots { .. } => "shots",
            _ => "pattern",
        }
        .to_owned()
    }
}

impl Layout {
    /// Checks that every shot sits between hook and float, and none on the hooklength unless allowed.
    ///
    /// # Errors
    /// [`LayoutError`] naming the first place that is wrong, from the hook up.
    pub fn check(&self) -> Result<(), LayoutError> {
        if !(20..=RIG_LENGTH_MOST_MM).contains(&self.float_to_hook_mm) {
            return Err(LayoutError::Length { got_mm: self.float_to_hook_mm });
        }
        if !(0..=self.float_to_hook_mm).contains(&self.hooklength_mm) {
            let (got_mm, rig_mm) = (self.hooklength_mm, self.float_to_hook_mm);
            return Err(LayoutError::Hooklength { got_mm, rig_mm });
        }
        let shots = self.shots_total();
        if shots == 0 {
            return Err(LayoutError::NoShots);
        }
        if shots > SHOTS_MOST {
            return Err(LayoutError::TooManyShots { got: shots });
        }
        for group in &self.groups {
            let got_mm = group.from_hook_mm;
            if got_mm < 1 {
                return Err(LayoutError::BelowHook { got_mm });
            }
            if got_mm >= self.float_to_hook_mm {
                return Err(LayoutError::AboveFloat { got_mm, float_mm: self.float_to_hook_mm });
            }
            if got_mm < self.hooklength_mm && !self.on_hooklength {
                return Err(LayoutError::OnHooklength { got_mm, hooklength_mm: self.hooklength_mm });
            }
        }
        for (lower, upper) in self.groups.iter().zip(self.groups.iter().skip(1)) {
            let (lower_mm, upper_mm) = (lower.from_hook_mm, upper.from_hook_mm);
            if lower_mm > upper_mm {
                return Err(LayoutError::Crossing { lower_mm, upper_mm });
            }
        }
        Ok(())
    }

    /// Shots in all.
    #[must_use]
    pub fn shots_total(&self) -> u32 {
        self.groups.iter().fold(0, |sum, group| sum.saturating_add(group.count))
    }

    /// The bulk's distance from the hook, mm: the lowest, if there is one.
    #[must_use]
    pub fn bulk_mm(&self) -> Option<i32> {
        self.groups.iter().find(|group| group.role == Role::Bulk).map(|group| group.from_hook_mm)
    }

    /// Puts the groups in order from the hook up, and joins those of one size, place and role.
    fn settle(&mut self) {
        self.groups.sort_by_key(|group| (group.from_hook_mm, core::cmp::Reverse(group.shot)));
        self.groups.dedup_by(|next, kept| {
            let same = (next.from_hook_mm, next.shot, next.role) == (kept.from_hook_mm, kept.shot, kept.role);
            if same {
                kept.count = kept.count.saturating_add(next.count);
            }
            same
        });
    }
}

/// Lays the shots of a set out in a pattern.
///
/// # Errors
/// [`LayoutError`] for shot at or below the hook, at or above the float, on the hooklength unless allowed, places that
/// cross, and shots that are not there.
///
/// # Example
/// ```
/// use dotdown::rig::layout::{LayoutRequest, Pattern, Shots, lay_out};
/// let layout = lay_out(&LayoutRequest {
///     float_to_hook_mm: 2100,
///     hooklength_mm: 100,
///     shots: vec![Shots { shot: 0, count: 11 }],
///     pattern: Pattern::BulkAndDroppers { bulk_mm: 600, dropper_shot: 0, droppers_mm: vec![100, 300] },
///     on_hooklength: false,
/// })?;
/// let places: Vec<_> = layout.groups.iter().map(|g| (g.from_hook_mm, g.count)).collect();
/// assert_eq!(places, [(100, 1), (300, 1), (600, 9)]);
/// # Ok::<(), dotdown::rig::layout::LayoutError>(())
/// ```
pub fn lay_out(request: &LayoutRequest) -> Result<Layout, LayoutError> {
    let total = request.shots.iter().fold(0_u32, |sum, shots| sum.saturating_add(shots.count));
    if total > SHOTS_MOST {
        return Err(LayoutError::TooManyShots { got: total });
    }
    let groups = match &request.pattern {
        Pattern::BulkAndDroppers { bulk_mm, dropper_shot, droppers_mm } => {
            bulk_and_droppers(&request.shots, *bulk_mm, *dropper_shot, droppers_mm)?
        }
        Pattern::SingleBulk { bulk_mm } => bulk(&request.shots, *bulk_mm),
        Pattern::Strung { lowest_mm, highest_mm } => strung(&request.shots, *lowest_mm, *highest_mm)?,
    };
    let mut layout = Layout {
        float_to_hook_mm: request.float_to_hook_mm,
        hooklength_mm: request.hooklength_mm,
        on_hooklength: request.on_hooklength,
        groups,
    };
    layout.settle();
    layout.check()?;
    Ok(layout)
}

/// All these shots at one place.
fn bulk(shots: &[Shots], from_hook_mm: i32) -> Vec<Group> {
    shots
        .iter()
        .filter(|shots| shots.count > 0)
        .map(|shots| Group { from_hook_mm, shot: shots.shot, count: shots.count, role: Role::Bulk })
        .collect()
}

fn bulk_and_droppers(
    shots: &[Shots],
    bulk_mm: i32,
    dropper_shot: usize,
    droppers_mm: &[i32],
) -> Result<Vec<Group>, LayoutError> {
    let mut left = shots.to_vec();
    let asked = droppers_mm.len();
    let have =
        left.iter().filter(|s| s.shot == dropper_shot).fold(0_u32, |sum, s| sum.saturating_add(s.count));
    if u32::try_from(asked).map_or(true, |asked| asked > have) {
        return Err(LayoutError::TooFewDroppers { asked, have });
    }
    let mut groups = Vec::new();
    let mut below = None;
    for &from_hook_mm in droppers_mm {
        if let Some(lower_mm) = below.filter(|&lower| lower >= from_hook_mm) {
            return Err(LayoutError::Crossing { lower_mm, upper_mm: from_hook_mm });
        }
        below = Some(from_hook_mm);
        if let Some(shots) = left.iter_mut().find(|s| s.shot == dropper_shot && s.count > 0) {
            shots.count -= 1;
        }
        groups.push(Group { from_hook_mm, shot: dropper_shot, count: 1, role: Role::Dropper });
    }
    if let Some(lower_mm) = below.filter(|&lower| lower >= bulk_mm) {
        return Err(LayoutError::Crossing { lower_mm, upper_mm: bulk_mm });
    }
    let bulk = bulk(&left, bulk_mm);
    if bulk.is_empty() && asked > 0 {
        return Err(LayoutError::NoBulk);
    }
    groups.extend(bulk);
    Ok(groups)
}

fn strung(shots: &[Shots], lowest_mm: i32, highest_mm: i32) -> Result<Vec<Group>, LayoutError> {
    let singles: Vec<usize> =
        shots.iter().rev().flat_map(|shots| core::iter::repeat_n(shots.shot, shots.count as usize)).collect();
    let gaps = i64::try_from(singles.len()).unwrap_or(i64::MAX) - 1;
    if gaps > 0 && lowest_mm >= highest_mm {
        return Err(LayoutError::Crossing { lower_mm: lowest_mm, upper_mm: highest_mm });
    }
    let span = i64::from(highest_mm) - i64::from(lowest_mm);
    let place = |i: usize| {
        let along = i64::try_from(i).unwrap_or(0) * span;
        // Rounded to the nearest millimetre.
        let mm = i64::from(lowest_mm) + (2 * along + gaps).div_euclid((2 * gaps).max(1));
        i32::try_from(mm).unwrap_or(i32::MAX)
    };
    Ok(singles
        .into_iter()
        .enumerate()
        .map(|(i, shot)| {
            let from_hook_mm = if i == 0 { lowest_mm } else { place(i) };
            Group { from_hook_mm, shot, count: 1, role: Role::Strung }
        })
        .collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn request(pattern: Pattern) -> LayoutRequest {
        LayoutRequest {
            float_to_hook_mm: 2100,
            hooklength_mm: 100,
            shots: vec![Shots { shot: 3, count: 5 }, Shots { shot: 1, count: 3 }],
            pattern,
            on_hooklength: false,
        }
    }

    fn places(layout: &Layout) -> Vec<(i32, usize, u32)> {
        layout.groups.iter().map(|g| (g.from_hook_mm, g.shot, g.count)).collect()
    }

    fn droppers(bulk_mm: i32, droppers_mm: &[i32]) -> Pattern {
        Pattern::BulkAndDroppers { bulk_mm, dropper_shot: 1, droppers_mm: droppers_mm.to_vec() }
    }

    #[test]
    fn patterns_keep_every_shot() {
        let layout = lay_out(&request(droppers(600, &[100, 300]))).unwrap();
        assert_eq!(places(&layout), [(100, 1, 1), (300, 1, 1), (600, 3, 5), (600, 1, 1)]);
        assert_eq!(layout.bulk_mm(), Some(600));
        let layout = lay_out(&request(Pattern::SingleBulk { bulk_mm: 700 })).unwrap();
        assert_eq!(places(&layout), [(700, 3, 5), (700, 1, 3)]);
        let layout = lay_out(&request(Pattern::Strung { lowest_mm: 100, highest_mm: 800 })).unwrap();
        let strung: Vec<_> = places(&layout);
        assert_eq!(strung.iter().map(|p| p.0).collect::<Vec<_>>(), [100, 200, 300, 400, 500, 600, 700, 800]);
        assert_eq!(strung.iter().map(|p| p.1).collect::<Vec<_>>(), [1, 1, 1, 3, 3, 3, 3, 3]);
        assert_eq!(layout.shots_total(), 8);
    }

    #[test]
    fn a_string_too_tight_joins_shots_and_loses_none() {
        let layout = lay_out(&request(Pattern::Strung { lowest_mm: 100, highest_mm: 103 })).unwrap();
        assert_eq!(layout.shots_total(), 8);
        assert!(layout.groups.iter().all(|g| (100..=103).contains(&g.from_hook_mm)));
        let mut one = request(Pattern::Strung { lowest_mm: 150, highest_mm: 800 });
        one.shots = vec![Shots { shot: 0, count: 1 }];
        assert_eq!(places(&lay_out(&one).unwrap()), [(150, 0, 1)]);
    }

    #[test]
    fn wrong_places_are_refused_with_a_sentence() {
        let told = |pattern| {
            let error = lay_out(&request(pattern)).unwrap_err();
            (error.code(), error.to_string())
        };
        assert_eq!(
            told(droppers(600, &[0])),
            ("below_hook", "A shot at 0 mm is not above the hook: move it to 1 mm or more.".to_owned())
        );
        assert_eq!(told(droppers(600, &[-5])).0, "below_hook");
        assert_eq!(
            told(Pattern::SingleBulk { bulk_mm: 2100 }).1,
            "A shot at 2100 mm is not below the float, which is 2100 mm from the hook: move it down."
        );
        assert_eq!(
            told(droppers(600, &[99])).1,
            "A shot at 99 mm sits on the hooklength of 100 mm: move it up to the knot, or allow it."
        );
        assert_eq!(told(droppers(300, &[100, 300])).0, "crossing");
        assert_eq!(told(droppers(600, &[300, 100])).0, "crossing");
        assert_eq!(told(droppers(600, &[200, 200])).0, "crossing");
        assert_eq!(told(droppers(600, &[100, 200, 300, 400])).0, "too_few_droppers");
        assert_eq!(told(Pattern::Strung { lowest_mm: 800, highest_mm: 100 }).0, "crossing");
        assert_eq!(told(Pattern::Strung { lowest_mm: i32::MIN, highest_mm: i32::MAX }).0, "below_hook");
        let mut bad = request(droppers(600, &[100]));
        bad.shots = vec![Shots { shot: 1, count: 1 }];
        assert_eq!(lay_out(&bad), Err(LayoutError::NoBulk));
        bad.shots = vec![Shots { shot: 1, count: 500 }];
        assert_eq!(lay_out(&bad), Err(LayoutError::TooManyShots { got: 500 }));
        bad.shots = vec![Shots { shot: 1, count: u32::MAX }, Shots { shot: 2, count: u32::MAX }];
        assert_eq!(lay_out(&bad), Err(LayoutError::TooManyShots { got: u32::MAX }));
        bad = request(Pattern::SingleBulk { bulk_mm: 50 });
        bad.shots.clear();
        assert_eq!(lay_out(&bad), Err(LayoutError::NoShots));
        bad = request(Pattern::SingleBulk { bulk_mm: 600 });
        bad.float_to_hook_mm = 30_000;
        assert_eq!(lay_out(&bad), Err(LayoutError::Length { got_mm: 30_000 }));
        bad = request(Pattern::SingleBulk { bulk_mm: 600 });
        bad.hooklength_mm = 2101;
        assert_eq!(lay_out(&bad).unwrap_err().code(), "hooklength");
    }

    #[test]
    fn shot_on_the_hooklength_has_to_be_asked_for() {
        let mut asked = request(droppers(600, &[50]));
        asked.on_hooklength = true;
        assert!(lay_out(&asked).is_ok());
    }
}
