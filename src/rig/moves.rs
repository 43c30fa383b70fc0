//! What an angler tries at the bank, each move a function from a layout to a new layout with words.
//!
//! When bites are missed, the bulk goes down, or a dropper slides down the hooklength so that an 8 inch hooklength fishes
//! as 6 or 4; when bites do not come, the bulk is spread.
//!
//! Source: common practice, no published source.

use super::layout::{Group, Layout, MAX_SHOTS, Role, Shots, strung};
use serde::{Deserialize, Serialize};

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
pub enum Occasion {
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
    pub when: Occasion,
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

/// The shortest move worth making, mm: less is within what a hand sets.
const LEAST_MM: i32 = 10;
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
        layout.finish(MoveKind::BulkDown, Occasion::BitesMissed, [from_mm, to_mm, to_mm], shots, words)
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
        layout.finish(MoveKind::Spread, Occasion::NoBites, [from_mm, low_mm, high_mm], shots, words)
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
        layout.finish(MoveKind::ShortenHooklength, Occasion::BitesMissed, [from_mm, to_mm, to_mm], 1, words)
    }

    /// Settles and checks a moved layout, and puts the words to it.
    fn finish(
        mut self,
        kind: MoveKind,
        when: Occasion,
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
    /// the bulk spread. Those without room are left out, and those that move nothing that a hand could set.
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
        moves.retain(|one| (one.from_mm - one.to_mm).abs() >= LEAST_MM);
        moves
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rig::layout::{Dropper, LayoutRequest, Pattern, lay_out};

    fn request(pattern: Pattern) -> LayoutRequest {
        LayoutRequest {
            float_to_hook_mm: 2100,
            hooklength_mm: 203,
            shots: vec![Shots { shot: 3, count: 5 }, Shots { shot: 1, count: 3 }],
            pattern,
            on_hooklength: false,
        }
    }

    fn places(layout: &Layout) -> Vec<(i32, usize, u32)> {
        layout.groups.iter().map(|g| (g.from_hook_mm, g.shot, g.count)).collect()
    }

    fn eight_inch() -> Layout {
        let droppers = [203, 400].map(|from_hook_mm| Dropper { from_hook_mm, shot: 1, count: 1 });
        lay_out(&request(Pattern::BulkAndDroppers { bulk_mm: 700, droppers: droppers.to_vec() })).unwrap()
    }

    #[test]
    fn missed_bites_move_the_bulk_down_until_there_is_no_room() {
        let moved = eight_inch().bulk_down(150).unwrap();
        assert_eq!((moved.from_mm, moved.to_mm, moved.shots), (700, 550, 6));
        assert_eq!(places(&moved.layout), [(203, 1, 1), (400, 1, 1), (550, 3, 5), (550, 1, 1)]);
        assert_eq!(moved.when, Occasion::BitesMissed);
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
}
