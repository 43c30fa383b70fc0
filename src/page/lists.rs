//! Entries of the plan's lists: added, taken out, filled in from a table.

use super::Page;
use super::rig_tools::Weighing;
use crate::plan::fields::list_of;
use crate::plan::{self, Dropper, Feeding, Group, KitItem, PoleLine, ShotCount};

impl Page {
    /// Adds an entry to a list, made like its last one.
    pub(super) fn add(&mut self, path: &str) {
        let full = match (self.plan.length(path), list_of(path)) {
            (Some(length), Some((_, most))) => length >= most,
            _ => return,
        };
        if full {
            self.say("This list is full.", false);
            return;
        }
        let plan = &mut self.plan;
        match path {
            "lines" => plan.lines.push(plan.lines.last().cloned().map_or(
                PoleLine {
                    name: String::new(),
                    distance_tenth_mm: 50_000,
                    depth_tenth_mm: plan.water.depth_tenth_mm,
                },
                |l| PoleLine { name: "New line".to_owned(), ..l },
            )),
            "feed" => {
                if let Some(last) = plan.feed.last().cloned() {
                    plan.feed.push(Feeding { start_min: (last.start_min + last.minutes).min(720), ..last });
                }
            }
            "rigs" => {
                if let Some(mut rig) = plan.rigs.get(self.rig).cloned() {
                    rig.name = plan.next_letter();
                    plan.rigs.push(rig);
                    self.rig = plan.rigs.len() - 1;
                }
            }
            "shot_box" => {
                if let Some(shot) = plan.shot_box.last().cloned() {
                    plan.shot_box.push(plan::BoxShot {
                        name: "Another size".to_owned(),
                        weighed: false,
                        ..shot
                    });
                }
            }
            "kit" => plan.kit.push(KitItem { group: Group::Peg, name: "My own item".to_owned(), count: 1 }),
            _ => {
                let rig = path.split('.').nth(1).and_then(|i| i.parse::<usize>().ok());
                if path.ends_with("glass") {
                    self.add_hung(rig.unwrap_or(usize::MAX));
                } else if let Some(rig) = rig.and_then(|i| plan.rigs.get_mut(i)) {
                    let lowest =
                        rig.droppers.last().map_or(rig.bulk_from_hook_tenth_mm, |d| d.from_hook_tenth_mm);
                    let shot = rig.droppers.last().map_or(0, |d| d.shot);
                    rig.droppers.push(Dropper { from_hook_tenth_mm: (lowest / 2).max(10), shot, count: 1 });
                }
            }
        }
        self.refresh();
    }

    /// Takes an entry out of a list, unless it is the last that the list must keep.
    pub(super) fn remove(&mut self, path: &str, place: usize) {
        let (Some(length), Some((least, _))) = (self.plan.length(path), list_of(path)) else { return };
        if place >= length {
            return;
        }
        if length <= least {
            self.say("This is the last one and has to stay. Change it instead.", false);
            return;
        }
        if path == "rigs" && self.rigs_stay() {
            return;
        }
        self.remember("Deleted.");
        let plan = &mut self.plan;
        match path {
            "lines" => {
                plan.lines.remove(place);
                for line in
                    plan.feed.iter_mut().map(|p| &mut p.line).chain(plan.rigs.iter_mut().map(|r| &mut r.line))
                {
                    *line = after_removal(*line, place).unwrap_or(0);
                }
            }
            "feed" => drop(plan.feed.remove(place)),
            "rigs" => drop(plan.rigs.remove(place)),
            "shot_box" => {
                plan.shot_box.remove(place);
                let weigh = &mut self.tools.weighing;
                match after_removal(weigh.size, place) {
                    Some(size) => weigh.size = size,
                    None => *weigh = Weighing::default(),
                }
                for rig in &mut plan.rigs {
                    rig.set.clear();
                    rig.droppers.retain_mut(|d| after_removal(d.shot, place).map(|s| d.shot = s).is_some());
                    rig.more.glass.retain_mut(|g| after_removal(g.shot, place).map(|s| g.shot = s).is_some());
                }
            }
            "kit" => drop(plan.kit.remove(place)),
            _ => {
                let rig = path.split('.').nth(1).and_then(|i| i.parse::<usize>().ok());
                if let Some(rig) = rig.and_then(|i| plan.rigs.get_mut(i)) {
                    if path.ends_with("glass") {
                        rig.more.glass.remove(place);
                    } else {
                        rig.droppers.remove(place);
                    }
                }
            }
        }
        // Fields behind the one taken out have moved: what was typed into them no longer belongs there.
        self.rejected.clear();
        self.refresh();
    }

    /// The rig uses the set at that place of its list.
    pub(super) fn use_set(&mut self, rig: usize, place: usize) {
        let set = self.results.rigs.get(rig).and_then(|r| r.balance.as_ref()).and_then(|b| b.sets.get(place));
        let (Some(set), Some(rig)) = (set, self.plan.rigs.get_mut(rig)) else { return };
        rig.set = set
            .shots
            .iter()
            .filter_map(|s| {
                Some(ShotCount { shot: i32::try_from(s.index).ok()?, count: i32::try_from(s.count).ok()? })
            })
            .collect();
        self.refresh();
    }

    /// The label of a generic tin.
    pub(super) fn use_tin(&mut self, about: &str) {
        let Some(tin) = crate::bait::material::TINS.iter().find(|t| t.id == about) else { return };
        self.remember("The label of a generic tin is filled in.");
        #[expect(clippy::cast_possible_truncation, reason = "grams in 100 g")]
        let tenths = |g: f64| (g * 10.0).round() as i32;
        let mine = &mut self.plan.tin;
        mine.name = plan::clean(tin.name);
        mine.fat_tenth_g = tenths(tin.label.fat_g);
        mine.protein_tenth_g = tenths(tin.label.protein_g);
        mine.carbohydrate_tenth_g = tenths(tin.label.carbohydrate_g);
        mine.salt_tenth_g = tenths(tin.label.salt_g);
        mine.fibre_tenth_g = None;
        mine.energy_kcal = None;
        let tub = &mut self.plan.bait_more.tub;
        (tub.before_density_kg_per_m3, tub.before_spread_kg_per_m3, tub.before_drops) = (None, None, None);
        self.rejected.retain(|path| !path.starts_with("tin."));
        self.refresh();
    }

    /// More or fewer of a thing, or as many as the plan says.
    pub(super) fn kit_count(&mut self, id: &str, by: Option<i32>) {
        let Some(item) =
            self.results.kit.iter().flat_map(|g| &g.items).find(|i| i.id == id && i.own.is_none())
        else {
            return;
        };
        let count = by.map(|by| (item.count + by).max(0));
        self.plan.set_kit_count(id, count.filter(|c| Some(*c) != item.derived));
        self.refresh();
    }
}

/// Where a place points after the entry at `removed` is gone; nothing if it pointed there.
fn after_removal(place: i32, removed: usize) -> Option<i32> {
    let removed = i32::try_from(removed).ok()?;
    match place.cmp(&removed) {
        core::cmp::Ordering::Less => Some(place),
        core::cmp::Ordering::Equal => None,
        core::cmp::Ordering::Greater => Some(place - 1),
    }
}
