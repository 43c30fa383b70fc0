//! The small tools of the rigs screen, as state, the metal of the shot box, and the shallow set.

use super::Page;
use super::action::LadderAction;
use super::settings::CardSize;
use crate::plan::fields::list_of;
use crate::plan::{BoxShot, Purpose, Rig};
use crate::results::warnings::depth_of_line;
use crate::trade::shot::METALS;
use crate::units::Quantity;

/// Two rigs of one line this near in depth are one rig to the fish, tenths of a millimetre.
const ALIKE_TENTH_MM: i32 = 100;

/// Many shot of one size on a scale, as far as they are entered.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Weighing {
    /// Place of the size in the shot box.
    pub size: i32,
    /// How many.
    pub count: Option<i32>,
    /// What the scale showed, tenths of a milligram.
    pub shown_tenth_mg: Option<i32>,
    /// Its step, tenths of a milligram.
    pub step_tenth_mg: i32,
}

impl Default for Weighing {
    fn default() -> Self {
        Self { size: 0, count: None, shown_tenth_mg: None, step_tenth_mg: 100 }
    }
}

/// The tools.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RigTools {
    /// A ladder's count, first depth and step, tenths of a millimetre.
    pub ladder: [i32; 3],
    /// A weighing of shot.
    pub weighing: Weighing,
    /// The size of the rig cards that are printed.
    pub card: CardSize,
}

impl Default for RigTools {
    fn default() -> Self {
        Self { ladder: [3, 3_048, 1_143], weighing: Weighing::default(), card: CardSize::default() }
    }
}

/// Mass of an olivette before the user's own is typed, tenths of a milligram.
const OLIVETTE_TENTH_MG: i32 = 5_000;

impl Page {
    /// Lead or not, as one switch for the box: the masses stay, since a size's number stands for a mass.
    pub(super) fn box_of(&mut self, metal: usize) {
        let Some((name, density)) = METALS.get(metal) else { return };
        self.remember(&["The box is ", name, "."].concat());
        for size in &mut self.plan.shot_box {
            size.density_kg_per_m3 = *density;
        }
        self.refresh();
    }

    /// Olivettes and in-line weights lie in the box as one more size, with a mass of its own.
    pub(super) fn add_olivette(&mut self) {
        let room = list_of("shot_box").is_some_and(|(_, most)| self.plan.shot_box.len() < most);
        let Some(last) = self.plan.shot_box.last().filter(|_| room) else {
            return self.say("The box is full: delete a size first.", false);
        };
        let density_kg_per_m3 = last.density_kg_per_m3;
        self.remember("An olivette is in the box.");
        self.plan.shot_box.push(BoxShot {
            name: "Olivette".to_owned(),
            mass_tenth_mg: OLIVETTE_TENTH_MG,
            density_kg_per_m3,
            count: 2,
            weighed: false,
        });
        self.refresh();
    }

    /// A button of the shallow set.
    pub(super) fn ladder_act(&mut self, act: LadderAction) {
        let [count, first, step] = &mut self.tools.ladder;
        match act {
            LadderAction::Count(by) => *count = (*count + by).clamp(1, 6),
            LadderAction::First(by) => *first = (*first + by * 508).clamp(1_524, 30_480),
            LadderAction::Step(by) => *step = (*step + by * 127).clamp(254, 6_096),
            LadderAction::Make => {
                let (rigs, _) = self.shallow_set();
                let Some(added) = rigs.len().checked_sub(1) else { return };
                self.remember("The shallow set is made.");
                self.plan.rigs.extend(rigs);
                self.rig = self.plan.rigs.len() - 1 - added;
                self.refresh();
            }
        }
    }

    /// The shallow rigs that "Make the set" adds: made like the open one, each deeper by a step, with the bulk two thirds down.
    /// And what it leaves out, each with its reason: no rig is made twice, none through the bed, none beyond what a plan holds.
    #[must_use]
    pub fn shallow_set(&self) -> (Vec<Rig>, Vec<String>) {
        let [count, first, step] = self.tools.ladder;
        let (mut made, mut left_out) = (Vec::new(), Vec::new());
        let Some(model) = self.plan.rigs.get(self.rig) else { return (made, left_out) };
        let most = list_of("rigs").map_or(0, |(_, most)| most);
        let mut plan = self.plan.clone();
        for depth in (0..count).map(|k| first + k * step) {
            let here = self.choices.units.text(depth, Quantity::Depth);
            let near =
                |rig: &&Rig| rig.line == model.line && (rig.depth_tenth_mm - depth).abs() < ALIKE_TENTH_MM;
            if let Some(twin) = plan.rigs.iter().find(near) {
                left_out.push([&twin.name, " hangs at ", &here, " already."].concat());
            } else if depth >= depth_of_line(&plan, model) {
                left_out.push([&here, " is through the bed."].concat());
            } else if plan.rigs.len() >= most {
                left_out
                    .push(["No room for ", &here, ": a plan holds ", &most.to_string(), " rigs."].concat());
            } else {
                let mut rig = model.clone();
                rig.name = plan.next_letter();
                rig.purpose = Purpose::Shallow;
                rig.depth_tenth_mm = depth;
                rig.hooklength_tenth_mm = rig.hooklength_tenth_mm.min(depth / 4 / 10 * 10).max(200);
                rig.bulk_from_hook_tenth_mm = depth / 3 / 10 * 10;
                let bulk = rig.bulk_from_hook_tenth_mm;
                rig.droppers.retain(|d| d.from_hook_tenth_mm < bulk);
                rig.set.clear();
                rig.more.glass.clear();
                plan.rigs.push(rig.clone());
                made.push(rig);
            }
        }
        (made, left_out)
    }
}
