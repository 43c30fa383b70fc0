//! What a tap mends of a plan, and whether rigs follow when the depth of their line changes.

use super::Page;
use crate::book::State;
use crate::plan::fields::bounds_of;
use crate::plan::{FieldMut, Plan, Purpose, Rig};
use crate::results::warnings::How;
use crate::units::Quantity;

/// A line whose depth was changed, and what it was before that.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Moved {
    line: usize,
    was_tenth_mm: i32,
}

impl Page {
    /// Mends one thing, by its place among the warnings.
    pub(super) fn mend(&mut self, place: usize) {
        let Some(mend) = self.results.warnings.get(place).and_then(|warning| warning.mend.clone()) else {
            return;
        };
        self.remember(&[&mend.button, ": done."].concat());
        self.mend_by(&mend.how);
    }

    /// Mends everything in order, for one mend alters the next; one step of undo.
    pub(super) fn mend_all(&mut self) {
        self.remember("Everything is mended that a tap can mend.");
        // Each round mends one thing; a plan has fewer.
        for _ in 0..80 {
            let next = self.results.warnings.iter().find_map(|warning| warning.mend.clone());
            let Some(mend) = next else { break };
            let before = self.plan.clone();
            self.mend_by(&mend.how);
            if self.plan == before {
                break;
            }
        }
    }

    fn mend_by(&mut self, how: &How) {
        match how {
            How::Set(edits) => {
                for (path, to) in edits {
                    set(&mut self.plan, path, *to);
                    self.rejected.remove(path);
                }
            }
            How::DeleteRig(place) => {
                if self.rigs_stay() {
                    return;
                }
                if *place < self.plan.rigs.len() {
                    self.plan.rigs.remove(*place);
                    self.rejected.clear();
                }
            }
            How::AddRig(line) => self.add_rig_for(*line),
        }
        self.refresh();
    }

    /// Whether a log speaks of the day's rigs by their places; it is told then.
    pub(super) fn rigs_stay(&mut self) -> bool {
        let stay = self.state() != State::Planned;
        if stay {
            self.say("This day has a log: its rigs stay as they are. Copy the day to change them.", false);
        }
        stay
    }

    /// A rig for a line, made like the one whose depth is nearest.
    fn add_rig_for(&mut self, line: usize) {
        let (Some(there), Ok(place)) = (self.plan.lines.get(line), i32::try_from(line)) else { return };
        let (depth, margin) = (there.depth_tenth_mm, there.name.trim_start().starts_with(['M', 'm']));
        let Some(like) = self.plan.rigs.iter().min_by_key(|rig| (rig.depth_tenth_mm - depth).abs()).cloned()
        else {
            return;
        };
        let free = self.plan.rigs.iter().all(|rig| rig.name != "M");
        let name = if margin && free { "M".to_owned() } else { self.plan.next_letter() };
        let mut rig = Rig { name, line: place, purpose: Purpose::Bottom, depth_tenth_mm: depth, ..like };
        let third = depth / 3;
        rig.hooklength_tenth_mm = rig.hooklength_tenth_mm.min((depth / 2).max(200));
        rig.bulk_from_hook_tenth_mm = rig.bulk_from_hook_tenth_mm.min(third);
        rig.droppers.retain(|dropper| dropper.from_hook_tenth_mm < third);
        rig.set.clear();
        rig.more.glass.clear();
        self.plan.rigs.push(rig);
    }

    /// After a depth was changed: what is as deep as the whole water goes with it, and rigs on the bottom wait to be asked about.
    pub(super) fn depth_changed(&mut self, before: &Plan) {
        let plan = &mut self.plan;
        let (was, now) = (before.water.depth_tenth_mm, plan.water.depth_tenth_mm);
        for (line, old) in plan.lines.iter_mut().zip(&before.lines) {
            if was != now && old.depth_tenth_mm == was {
                line.depth_tenth_mm = now;
            }
        }
        // The water is as deep as its deepest line.
        let deepest = |lines: &[crate::plan::PoleLine]| lines.iter().map(|line| line.depth_tenth_mm).max();
        if was == now && deepest(&before.lines) == Some(was) {
            plan.water.depth_tenth_mm = deepest(&plan.lines).unwrap_or(now);
        }
        for (line, (new, old)) in plan.lines.iter().zip(&before.lines).enumerate() {
            if new.depth_tenth_mm != old.depth_tenth_mm && self.moved.iter().all(|moved| moved.line != line) {
                self.moved.push(Moved { line, was_tenth_mm: old.depth_tenth_mm });
            }
        }
    }

    /// The rigs that lay on the bottom of a line that was moved, with its depth now.
    fn left_behind(&self) -> Vec<(usize, i32)> {
        let on = |rig: &Rig, moved: &Moved| {
            usize::try_from(rig.line) == Ok(moved.line) && rig.depth_tenth_mm == moved.was_tenth_mm
        };
        let mut rigs = Vec::new();
        for moved in &self.moved {
            let Some(line) = self.plan.lines.get(moved.line) else { continue };
            if line.depth_tenth_mm != moved.was_tenth_mm {
                let here = self.plan.rigs.iter().enumerate().filter(|(_, rig)| on(rig, moved));
                rigs.extend(here.map(|(place, _)| (place, line.depth_tenth_mm)));
            }
        }
        rigs
    }

    /// What is asked about them: `D 7 ft 0 to 5 ft 6?`
    #[must_use]
    pub fn follow_words(&self) -> Option<String> {
        let text = |tenth_mm: i32| self.choices.units.text(tenth_mm, Quantity::Depth);
        let words = self.left_behind().into_iter().filter_map(|(place, to)| {
            let rig = self.plan.rigs.get(place)?;
            Some([&rig.name, " ", &text(rig.depth_tenth_mm), " to ", &text(to)].concat())
        });
        let words: Vec<String> = words.collect();
        (!words.is_empty()).then(|| [&words.join(", "), "?"].concat())
    }

    /// The answer: they follow, or stay.
    pub(super) fn follow_lines(&mut self, yes: bool) {
        if yes {
            for (place, to) in self.left_behind() {
                set(&mut self.plan, &["rigs.", &place.to_string(), ".depth"].concat(), to);
            }
        }
        self.moved.clear();
        self.refresh();
    }

    /// A rig changes places with its neighbour.
    pub(super) fn move_rig(&mut self, place: usize, right: bool) {
        let other = if right { place.saturating_add(1) } else { place.wrapping_sub(1) };
        if place < self.plan.rigs.len() && other < self.plan.rigs.len() && !self.rigs_stay() {
            self.plan.rigs.swap(place, other);
            self.rig = other;
            self.rejected.clear();
            self.refresh();
        }
    }
}

/// Writes a number into a field, held within its row.
fn set(plan: &mut Plan, path: &str, to: i32) {
    let within = bounds_of(path).map_or(to, |row| to.clamp(row.least, row.most));
    match plan.field(path) {
        Some(FieldMut::Number(value)) => *value = within,
        Some(FieldMut::Maybe(value)) => *value = Some(within),
        Some(FieldMut::Place(place, length)) if usize::try_from(to).is_ok_and(|to| to < length) => {
            *place = to;
        }
        _ => {}
    }
}
