//! Where the shot goes: bulk and droppers, strung shot or a single bulk, every place measured from the hook.
//!
//! A place is the distance along the line from the hook to the middle of the shot (or of the bulk), in whole
//! millimetres. The shots of a bulk sit together and share one place. Droppers are the single small shots between bulk
//! and hook. The knot that joins the hooklength is a place like any other; below it shot is refused unless asked for, as
//! it weakens the thin line.
//!
//! The **moves** are what an angler tries at the bank, each a function from a layout to a new layout with words: when
//! bites are missed, the bulk goes down, or a dropper slides down the hooklength so that an 8 inch hooklength fishes as
//! 6 or 4; when bites do not come, the bulk is spread.
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

    /// Puts the groups in order from the hook up, those of one place as they came (heaviest size first), and joins those of one size, place and role.
    fn settle(&mut self) {
        crate::small::sort_by_key(&mut self.groups, |group| group.from_hook_mm);
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
/// Shot at or below the hook, at or above the float, on the hooklength unless allowed, places that
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
/// # Ok::<(), dotdown::refusal::Refusal>(())
/// ```
pub fn lay_out(request: &LayoutRequest) -> Result<Layout, Refusal> {
    let total = request.shots.iter().fold(0_u32, |sum, shots| sum.saturating_add(shots.count));
    check_count(total)?;
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

fn bulk_and_droppers(
    shots: &[Shots],
    bulk_mm: i32,
    dropper_shot: usize,
    droppers_mm: &[i32],
) -> Result<Vec<Group>, Refusal> {
    let mut left = shots.to_vec();
    let asked = droppers_mm.len();
    let have =
        left.iter().filter(|s| s.shot == dropper_shot).fold(0_u32, |sum, s| sum.saturating_add(s.count));
    if u32::try_from(asked).map_or(true, |asked| asked > have) {
        let sentence = format!(
            "{asked} droppers were asked for, but the set has {have} of that size: use fewer, or another size."
        );
        return Err(Refusal::new("too_few_droppers", "pattern", sentence));
    }
    let mut groups = Vec::new();
    let mut below = None;
    for &from_hook_mm in droppers_mm {
        if let Some(lower_mm) = below.filter(|&lower| lower >= from_hook_mm) {
            return Err(crossing(lower_mm, from_hook_mm));
        }
        below = Some(from_hook_mm);
        if let Some(shots) = left.iter_mut().find(|s| s.shot == dropper_shot && s.count > 0) {
            shots.count -= 1;
        }
        groups.push(Group { from_hook_mm, shot: dropper_shot, count: 1, role: Role::Dropper });
    }
    if let Some(lower_mm) = below.filter(|&lower| lower >= bulk_mm) {
        return Err(crossing(lower_mm, bulk_mm));
    }
    let bulk = bulk(&left, bulk_mm);
    if bulk.is_empty() && asked > 0 {
        let sentence =
            "The droppers take every shot and leave no bulk: use fewer droppers or string the shot.";
        return Err(Refusal::new("no_bulk", "pattern", sentence));
    }
    groups.extend(bulk);
    Ok(groups)
}

fn strung(shots: &[Shots], lowest_mm: i32, highest_mm: i32) -> Result<Vec<Group>, Refusal> {
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

/// What is done to a layout.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum MoveKind {
    /// The bulk goes down.
    BulkDown,
    /// The bulk is spread.
    Spread,
    /// A shot slides down the hooklength.
    ShortenHooklength,
}

/// When a move is tried.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum When {
    /// Bites come and are missed.
    BitesMissed,
    /// Bites do not come.
    NoBites,
}

/// A move: the new layout, and why one would try it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Move {
    /// What is done.
    pub kind: MoveKind,
    /// When it is tried.
    pub when: When,
    /// Where the moved shot was, mm from the hook.
    pub from_mm: i32,
    /// Where it goes, mm from the hook; of a spread bulk the lowest shot.
    pub to_mm: i32,
    /// Of a spread bulk the highest shot, else the same as `to_mm`.
    pub up_to_mm: i32,
    /// How many shots move.
    pub shots: u32,
    /// What to do and why, without figures (the screen adds them in the user's units).
    pub words: String,
    /// The layout after the move.
    pub layout: Layout,
}

/// Least room that a moved bulk leaves above the dropper or knot below it, mm (from memory: a hand's breadth).
pub const ROOM_MM: i32 = 100;

impl Layout {
    /// The highest place below the bulk that it has to stay clear of: the top dropper, else the knot of the hooklength.
    fn below_bulk_mm(&self) -> i32 {
        let droppers = self.groups.iter().filter(|g| g.role == Role::Dropper).map(|g| g.from_hook_mm);
        droppers.max().unwrap_or(0).max(self.hooklength_mm)
    }

    /// Bites are missed: the bulk goes down by so many millimetres, so that the float shows a lift or a pull sooner.
    ///
    /// It stops 100 mm above the top dropper (or the knot). None if there is no bulk, or no room to go down.
    #[must_use]
    pub fn bulk_down(&self, by_mm: i32) -> Option<Move> {
        let from_mm = self.bulk_mm()?;
        let to_mm = from_mm.saturating_sub(by_mm.max(0)).max(self.below_bulk_mm() + ROOM_MM);
        if to_mm >= from_mm {
            return None;
        }
        let mut layout = self.clone();
        let mut shots = 0_u32;
        for group in layout.groups.iter_mut().filter(|g| g.role == Role::Bulk && g.from_hook_mm == from_mm) {
            group.from_hook_mm = to_mm;
            shots = shots.saturating_add(group.count);
        }
        let words = "Move the bulk down: the bait is held nearer to the weight, and a bite shows sooner.";
        layout.finish(MoveKind::BulkDown, When::BitesMissed, [from_mm, to_mm, to_mm], shots, words)
    }

    /// Bites do not come: the bulk is spread evenly, as far above its place as below it, so that the bait falls slower and
    /// more freely through the last part while the middle of the weight stays where it was.
    ///
    /// The lowest shot stops at the top dropper's (or knot's) 100 mm, the highest 100 mm below the float. None if the bulk
    /// has fewer than two shots or no room.
    #[must_use]
    pub fn spread(&self) -> Option<Move> {
        let from_mm = self.bulk_mm()?;
        let below = from_mm.saturating_sub(self.below_bulk_mm() + ROOM_MM);
        let reach = below.min(self.float_to_hook_mm - ROOM_MM - from_mm);
        let in_bulk = |g: &Group| g.role == Role::Bulk && g.from_hook_mm == from_mm;
        let bulk: Vec<Shots> = self
            .groups
            .iter()
            .filter(|g| in_bulk(g))
            .map(|g| Shots { shot: g.shot, count: g.count })
            .collect();
        let shots = bulk.iter().fold(0_u32, |sum, s| sum.saturating_add(s.count));
        if reach < 1 || !(2..=MAX_SHOTS).contains(&shots) {
            return None;
        }
        let (low_mm, high_mm) = (from_mm - reach, from_mm + reach);
        let mut layout = self.clone();
        layout.groups.retain(|g| !in_bulk(g));
        layout.groups.extend(strung(&bulk, low_mm, high_mm).ok()?);
        let words =
            "Spread the bulk: the bait falls slower, in a longer curve, and looks more like the feed.";
        layout.finish(MoveKind::Spread, When::NoBites, [from_mm, low_mm, high_mm], shots, words)
    }

    /// Bites are missed: the lowest shot slides down the hooklength to so many millimetres from the hook, so that the
    /// hooklength fishes as if it were that long.
    ///
    /// The lowest shot is the lowest dropper; without droppers, one shot is taken from the lowest place, the lightest there.
    /// None if the hooklength is not longer than that already, or the place is below the hook.
    #[must_use]
    pub fn shorten_hooklength(&self, to_mm: i32) -> Option<Move> {
        let lowest = self.groups.first()?;
        let from_mm = lowest.from_hook_mm;
        if to_mm < 1 || to_mm >= self.hooklength_mm || to_mm >= from_mm {
            return None;
        }
        let mut layout = self.clone();
        // At one place a bulk lists its heaviest size first, a string its lightest.
        let mut place = layout.groups.iter().filter(|g| g.from_hook_mm == from_mm && g.count > 0);
        let lightest = if lowest.role == Role::Strung { place.next() } else { place.next_back() };
        let shot = lightest?.shot;
        let role = if lowest.role == Role::Strung { Role::Strung } else { Role::Dropper };
        let group = layout.groups.iter_mut().find(|g| g.from_hook_mm == from_mm && g.shot == shot)?;
        group.count -= 1;
        layout.groups.retain(|g| g.count > 0);
        layout.groups.push(Group { from_hook_mm: to_mm, shot, count: 1, role });
        layout.on_hooklength = true;
        let words =
            "Slide the lowest shot down the hooklength: it fishes as a shorter one, and a bite shows sooner.";
        layout.finish(MoveKind::ShortenHooklength, When::BitesMissed, [from_mm, to_mm, to_mm], 1, words)
    }

    /// Settles and checks a moved layout, and puts the words to it.
    fn finish(
        mut self,
        kind: MoveKind,
        when: When,
        [from_mm, to_mm, up_to_mm]: [i32; 3],
        shots: u32,
        words: &str,
    ) -> Option<Move> {
        self.settle();
        self.check().ok()?;
        let words = words.to_owned();
        Some(Move { kind, when, from_mm, to_mm, up_to_mm, shots, words, layout: self })
    }

    /// The usual moves from here: the bulk down by 100 mm and by 200, the hooklength fished at three quarters and at half,
    /// the bulk spread. Those without room are left out.
    #[must_use]
    pub fn usual_moves(&self) -> Vec<Move> {
        let mut moves = Vec::new();
        for by_mm in [100, 200] {
            let next = self.bulk_down(by_mm);
            if next.as_ref().is_some_and(|next| moves.last() != Some(next)) {
                moves.extend(next);
            }
        }
        moves.extend(self.shorten_hooklength(self.hooklength_mm * 3 / 4));
        moves.extend(self.shorten_hooklength(self.hooklength_mm / 2));
        moves.extend(self.spread());
        moves
    }
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
        assert_eq!(lay_out(&bad).unwrap_err().code(), "no_bulk");
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
    fn shot_on_the_hooklength_has_to_be_asked_for() {
        let mut asked = request(droppers(600, &[50]));
        asked.on_hooklength = true;
        assert!(lay_out(&asked).is_ok());
    }

    fn eight_inch() -> Layout {
        let mut asked = request(droppers(700, &[203, 400]));
        asked.hooklength_mm = 203;
        lay_out(&asked).unwrap()
    }

    #[test]
    fn missed_bites_move_the_bulk_down_until_there_is_no_room() {
        let moved = eight_inch().bulk_down(150).unwrap();
        assert_eq!((moved.from_mm, moved.to_mm, moved.shots), (700, 550, 6));
        assert_eq!(places(&moved.layout), [(203, 1, 1), (400, 1, 1), (550, 3, 5), (550, 1, 1)]);
        assert_eq!(moved.when, When::BitesMissed);
        let least = eight_inch().bulk_down(i32::MAX).unwrap();
        assert_eq!(least.to_mm, 500);
        assert_eq!(least.layout.bulk_down(50), None);
        assert_eq!(eight_inch().bulk_down(0), None);
        assert_eq!(eight_inch().bulk_down(i32::MIN), None);
    }

    #[test]
    fn an_eight_inch_hooklength_fishes_as_six_or_four() {
        for to_mm in [152, 102] {
            let moved = eight_inch().shorten_hooklength(to_mm).unwrap();
            assert_eq!((moved.from_mm, moved.to_mm, moved.shots), (203, to_mm, 1));
            assert_eq!(places(&moved.layout)[0], (to_mm, 1, 1));
            assert_eq!(moved.layout.shots_total(), 8);
            assert!(moved.layout.on_hooklength);
        }
        assert_eq!(eight_inch().shorten_hooklength(203), None);
        assert_eq!(eight_inch().shorten_hooklength(0), None);
        // Without droppers, the lightest of the bulk slides down.
        let mut asked = request(Pattern::SingleBulk { bulk_mm: 300 });
        asked.hooklength_mm = 150;
        let moved = lay_out(&asked).unwrap().shorten_hooklength(75).unwrap();
        assert_eq!(places(&moved.layout), [(75, 1, 1), (300, 3, 5), (300, 1, 2)]);
    }

    #[test]
    fn no_bites_spread_the_bulk_around_its_place() {
        let moved = eight_inch().spread().unwrap();
        assert_eq!((moved.from_mm, moved.to_mm, moved.up_to_mm, moved.shots), (700, 500, 900, 6));
        assert_eq!(moved.layout.shots_total(), 8);
        let strung: Vec<i32> =
            moved.layout.groups.iter().filter(|g| g.role == Role::Strung).map(|g| g.from_hook_mm).collect();
        assert_eq!(strung, [500, 580, 660, 740, 820, 900]);
        assert_eq!(moved.layout.spread(), None, "there is no bulk left");
    }

    #[test]
    fn usual_moves_lose_no_shot_and_stay_sound() {
        let layout = eight_inch();
        let moves = layout.usual_moves();
        assert_eq!(moves.len(), 5);
        for moved in moves {
            assert_eq!(moved.layout.shots_total(), layout.shots_total());
            assert!(moved.layout.check().is_ok());
            assert_ne!(moved.layout, layout);
            for again in moved.layout.usual_moves() {
                assert_eq!(again.layout.shots_total(), layout.shots_total());
            }
        }
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
                _ => Pattern::BulkAndDroppers { bulk_mm: bulk, dropper_shot: 1, droppers_mm: droppers },
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
