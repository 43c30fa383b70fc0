//! Where the shot goes: bulk and droppers, strung shot or a single bulk, every place measured from the hook.
//!
//! A place is the distance along the line from the hook to the middle of the shot (or of the bulk), in whole
//! millimetres. The shots of a bulk sit together and share one place. Droppers are the single small shots between bulk
//! and hook. The knot that joins the hooklength is a place like any other; below it shot is refused unless asked for, as
//! it weakens the thin line.
//!
//! Source: common practice, no published source.

use crate::refusal::Refusal;
use serde::{Deserialize, Serialize};

/// Longest rig, mm.
pub const MAX_RIG_LENGTH_MM: i32 = 20_000;
/// Most shots on one rig.
pub const MAX_SHOTS: u32 = 100;

/// What a shot does on the rig.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
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
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(rename = "ShotGroup"))]
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

/// A dropper, or a few together at one place.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Dropper {
    /// Distance from the hook along the line, mm.
    pub from_hook_mm: i32,
    /// Place of the size in the shot box, from 0.
    pub shot: usize,
    /// How many.
    pub count: u32,
}

/// A pattern in the trade's words.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", tag = "kind")]
pub enum Pattern {
    /// A bulk with droppers below it; without a bulk where they take every shot.
    BulkAndDroppers {
        /// The bulk's distance from the hook, mm.
        bulk_mm: i32,
        /// The droppers, in any order; they are taken off the shots.
        droppers: Vec<Dropper>,
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
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
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
impl Layout {
    /// Checks that every shot sits between hook and float, and none on the hooklength unless allowed.
    ///
    /// # Errors
    /// Naming the first place that is wrong, from the hook up.
    pub fn check(&self) -> Result<(), Refusal> {
        if !(20..=MAX_RIG_LENGTH_MM).contains(&self.float_to_hook_mm) {
            let got = self.float_to_hook_mm;
            let sentence = format!(
                "The rig must be from 20 to {MAX_RIG_LENGTH_MM} mm from float to hook, but is {got} mm."
            );
            return Err(Refusal::new("rig_length", "float_to_hook_mm", sentence));
        }
        if !(0..=self.float_to_hook_mm).contains(&self.hooklength_mm) {
            let (got, rig) = (self.hooklength_mm, self.float_to_hook_mm);
            let sentence = format!("The hooklength must be from 0 to the rig's {rig} mm, but is {got} mm.");
            return Err(Refusal::new("hooklength", "hooklength_mm", sentence));
        }
        let shots = self.shots_total();
        if shots == 0 {
            let sentence = "There is no shot to lay out: balance the float first.";
            return Err(Refusal::new("no_shots", "shots", sentence));
        }
        check_count(shots)?;
        let (float_mm, knot_mm) = (self.float_to_hook_mm, self.hooklength_mm);
        for at in self.groups.iter().map(|group| group.from_hook_mm) {
            let (code, sentence) = if at < 1 {
                let sentence = format!("A shot at {at} mm is not above the hook: move it to 1 mm or more.");
                ("below_hook", sentence)
            } else if at >= float_mm {
                let sentence = format!(
                    "A shot at {at} mm is not below the float, which is {float_mm} mm from the hook: move it down."
                );
                ("above_float", sentence)
            } else if at < knot_mm && !self.on_hooklength {
                let sentence = format!(
                    "A shot at {at} mm sits on the hooklength of {knot_mm} mm: move it up to the knot, or allow it."
                );
                ("on_hooklength", sentence)
            } else {
                continue;
            };
            return Err(Refusal::new(code, "pattern", sentence));
        }
        for (lower, upper) in self.groups.iter().zip(self.groups.iter().skip(1)) {
            if lower.from_hook_mm > upper.from_hook_mm {
                return Err(crossing(lower.from_hook_mm, upper.from_hook_mm));
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

    /// Puts the groups in order from the hook up, those of one place as they came (heaviest size first), and joins those of
    /// one size, place and role.
    pub(super) fn settle(&mut self) {
        crate::small::sort_by_key(&mut self.groups, |group| group.from_hook_mm);
        self.groups.dedup_by(|next, group| {
            let same =
                (next.from_hook_mm, next.shot, next.role) == (group.from_hook_mm, group.shot, group.role);
            if same {
                group.count = group.count.saturating_add(next.count);
            }
            same
        });
    }
}

/// Lays the shots of a set out in a pattern.
///
/// # Errors
/// Shot at or below the hook, at or above the float, on the hooklength unless allowed, places that
/// cross, and shots that are not there.
///
/// # Example
/// ```
/// use dotdown::rig::layout::{Dropper, LayoutRequest, Pattern, Shots, lay_out};
/// let layout = lay_out(&LayoutRequest {
///     float_to_hook_mm: 2100,
///     hooklength_mm: 100,
///     shots: vec![Shots { shot: 0, count: 11 }],
///     pattern: Pattern::BulkAndDroppers {
///         bulk_mm: 600,
///         droppers: vec![
///             Dropper { from_hook_mm: 300, shot: 0, count: 1 },
///             Dropper { from_hook_mm: 100, shot: 0, count: 1 },
///         ],
///     },
///     on_hooklength: false,
/// })?;
/// let places: Vec<_> = layout.groups.iter().map(|g| (g.from_hook_mm, g.count)).collect();
/// assert_eq!(places, [(100, 1), (300, 1), (600, 9)]);
/// # Ok::<(), dotdown::refusal::Refusal>(())
/// ```
pub fn lay_out(request: &LayoutRequest) -> Result<Layout, Refusal> {
    let total = request.shots.iter().fold(0_u32, |sum, shots| sum.saturating_add(shots.count));
    check_count(total)?;
    let groups = match &request.pattern {
        Pattern::BulkAndDroppers { bulk_mm, droppers } => {
            bulk_and_droppers(&request.shots, *bulk_mm, droppers)?
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

/// Refuses more shots than a rig may carry.
fn check_count(shots: u32) -> Result<(), Refusal> {
    if shots <= MAX_SHOTS {
        return Ok(());
    }
    let sentence = format!("A rig may carry {MAX_SHOTS} shots at most, but has {shots}: use larger ones.");
    Err(Refusal::new("too_many_shots", "shots", sentence))
}

/// A place that has to lie above another lies at it or below it.
fn crossing(lower_mm: i32, upper_mm: i32) -> Refusal {
    let sentence =
        format!("The shot at {upper_mm} mm has to sit above the one at {lower_mm} mm: move one of them.");
    Refusal::new("crossing", "pattern", sentence)
}

/// All these shots at one place.
fn bulk(shots: &[Shots], from_hook_mm: i32) -> Vec<Group> {
    shots
        .iter()
        .filter(|shots| shots.count > 0)
        .map(|shots| Group { from_hook_mm, shot: shots.shot, count: shots.count, role: Role::Bulk })
        .collect()
}

fn bulk_and_droppers(shots: &[Shots], bulk_mm: i32, droppers: &[Dropper]) -> Result<Vec<Group>, Refusal> {
    let mut left = shots.to_vec();
    let mut groups = Vec::new();
    for &Dropper { from_hook_mm, shot, count } in droppers {
        let rest = left.iter_mut().find(|s| s.shot == shot && s.count >= count).ok_or_else(|| {
            let sentence =
                "The set has too few shots of a size for its droppers: use fewer droppers, or another size.";
            Refusal::new("too_few_droppers", "pattern", sentence)
        })?;
        rest.count -= count;
        groups.push(Group { from_hook_mm, shot, count, role: Role::Dropper });
    }
    groups.extend(bulk(&left, bulk_mm));
    Ok(groups)
}

pub(super) fn strung(shots: &[Shots], lowest_mm: i32, highest_mm: i32) -> Result<Vec<Group>, Refusal> {
    let singles: Vec<usize> =
        shots.iter().rev().flat_map(|shots| core::iter::repeat_n(shots.shot, shots.count as usize)).collect();
    let gaps = i64::try_from(singles.len()).unwrap_or(i64::MAX) - 1;
    if gaps > 0 && lowest_mm >= highest_mm {
        return Err(crossing(lowest_mm, highest_mm));
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
        let dropper = |&from_hook_mm| Dropper { from_hook_mm, shot: 1, count: 1 };
        Pattern::BulkAndDroppers { bulk_mm, droppers: droppers_mm.iter().map(dropper).collect() }
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
        assert_eq!(told(droppers(600, &[100, 200, 300, 400])).0, "too_few_droppers");
        assert_eq!(told(Pattern::Strung { lowest_mm: 800, highest_mm: 100 }).0, "crossing");
        assert_eq!(told(Pattern::Strung { lowest_mm: i32::MIN, highest_mm: i32::MAX }).0, "below_hook");
        let mut bad = request(droppers(600, &[100]));
        bad.shots = vec![Shots { shot: 1, count: 500 }];
        assert_eq!(lay_out(&bad).unwrap_err().code(), "too_many_shots");
        bad.shots = vec![Shots { shot: 1, count: u32::MAX }, Shots { shot: 2, count: u32::MAX }];
        assert_eq!(lay_out(&bad).unwrap_err().code(), "too_many_shots");
        bad = request(Pattern::SingleBulk { bulk_mm: 50 });
        bad.shots.clear();
        assert_eq!(lay_out(&bad).unwrap_err().code(), "no_shots");
        bad = request(Pattern::SingleBulk { bulk_mm: 600 });
        bad.float_to_hook_mm = 30_000;
        assert_eq!(lay_out(&bad).unwrap_err().code(), "rig_length");
        bad = request(Pattern::SingleBulk { bulk_mm: 600 });
        bad.hooklength_mm = 2101;
        assert_eq!(lay_out(&bad).unwrap_err().code(), "hooklength");
    }

    #[test]
    fn droppers_may_take_every_shot_and_sit_anywhere_in_any_order() {
        let mut asked = request(droppers(300, &[400, 200]));
        asked.shots = vec![Shots { shot: 1, count: 2 }];
        assert_eq!(places(&lay_out(&asked).unwrap()), [(200, 1, 1), (400, 1, 1)]);
        asked.shots = vec![Shots { shot: 1, count: 3 }, Shots { shot: 0, count: 1 }];
        asked.pattern = Pattern::BulkAndDroppers {
            bulk_mm: 300,
            droppers: vec![
                Dropper { from_hook_mm: 200, shot: 1, count: 2 },
                Dropper { from_hook_mm: 200, shot: 0, count: 1 },
            ],
        };
        assert_eq!(places(&lay_out(&asked).unwrap()), [(200, 1, 2), (200, 0, 1), (300, 1, 1)]);
    }

    #[test]
    fn shot_on_the_hooklength_has_to_be_asked_for() {
        let mut asked = request(droppers(600, &[50]));
        asked.on_hooklength = true;
        assert!(lay_out(&asked).is_ok());
    }

    proptest::proptest! {
        #![proptest_config(crate::draw::cases(0x1a1, 256, 20_000))]

        /// Whatever comes in, a layout that is given back is sound and has every shot, and so has every move from it.
        #[test]
        fn shots_are_never_lost(
            rig in -10_i32..4000, hooklength in -10_i32..400, counts in (0_u32..8, 0_u32..8),
            bulk in -10_i32..4000, droppers in proptest::collection::vec(-5_i32..1500, 0..4), kind in 0_u8..3, on in proptest::bool::ANY,
        ) {
            let pattern = match kind {
                0 => Pattern::SingleBulk { bulk_mm: bulk },
                1 => Pattern::Strung { lowest_mm: hooklength, highest_mm: bulk },
                _ => self::droppers(bulk, &droppers),
            };
            let asked = LayoutRequest {
                float_to_hook_mm: rig,
                hooklength_mm: hooklength,
                shots: vec![Shots { shot: 0, count: counts.0 }, Shots { shot: 1, count: counts.1 }],
                pattern,
                on_hooklength: on,
            };
            if let Ok(layout) = lay_out(&asked) {
                proptest::prop_assert_eq!(layout.shots_total(), counts.0 + counts.1);
                proptest::prop_assert!(layout.check().is_ok());
                for moved in layout.usual_moves() {
                    proptest::prop_assert_eq!(moved.layout.shots_total(), counts.0 + counts.1);
                    proptest::prop_assert!(moved.layout.check().is_ok());
                }
            }
        }
    }
}
