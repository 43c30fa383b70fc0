//! What comes out of a plan into the box, and out of the box into a plan.

use super::Page;
use crate::book::{Change, Elastic, Hook, Id, Item, Line, TinLabel, put_hooklength};
use crate::plan::Plan;
use crate::units::{Quantity, Units};

impl Page {
    /// What the open day's rigs are made of comes into the box, each thing once.
    pub(super) fn keep_tackle(&mut self) {
        for (id, item) in things_of(&self.plan) {
            if self.book.item(id).is_err() && !self.try_change(Change::Item { id, item: Box::new(item) }) {
                return;
            }
        }
    }

    /// Puts a thing of the box, or the open one, into the plan: a float, line, hook or elastic into the open rig.
    pub(super) fn use_item(&mut self, id: Option<Id>) {
        let Some(owned) = id.or(self.shelf.item).and_then(|id| self.book.item(id).ok()) else { return };
        let owned = if owned.item.kind() == "tin" { owned.but_for(self.day) } else { owned };
        self.remember(&[owned.item.name(), " is in the plan."].concat());
        let done = match &owned.item {
            // A thin line is one for hooklengths: weaker than the main line that the rig has.
            Item::Line(line)
                if self.plan.rigs.get(self.rig).is_some_and(|rig| line.strength_g < rig.main_strength_g) =>
            {
                put_hooklength(line, &mut self.plan, self.rig)
            }
            _ => owned.put(&mut self.plan, self.rig),
        };
        if !done {
            self.notices.retain(|notice| !notice.undo);
            self.telling = false;
            self.say("The plan has no place for this.", false);
        }
        self.refresh();
    }
}

/// What a plan's rigs are made of, each thing once, with the id that it has on every phone.
fn things_of(plan: &Plan) -> Vec<(Id, Item)> {
    let mut items: Vec<Item> = Vec::new();
    items.extend(plan.shot_box.iter().map(|size| Item::Shot(size.into())));
    items.push(Item::Tin(TinLabel::from(&plan.tin)));
    for rig in &plan.rigs {
        items.push(Item::Float(rig.into()));
        for (diameter_um, strength_g) in
            [(rig.main_um, rig.main_strength_g), (rig.hooklength_um, rig.hooklength_strength_g)]
        {
            let name = [&Units::default().bare(diameter_um, Quantity::Diameter), " mm"].concat();
            items.push(Item::Line(Line { name, diameter_um, strength_g }));
        }
        let name = ["Size ", &rig.hook_size.to_string()].concat();
        items.push(Item::Hook(Hook { name, size: rig.hook_size, mass_tenth_mg: rig.hook_tenth_mg }));
        let more = &rig.more;
        let diameter =
            more.elastic_um.map(|um| [&Units::default().bare(um, Quantity::Diameter), " mm"].concat());
        let number = more.elastic_number.map(|number| ["No. ", &number.to_string()].concat());
        if let Some(name) = number.or(diameter) {
            let (elastic_um, bore_um) = (more.elastic_um, more.bore_um);
            items.push(Item::Elastic(Elastic { name, elastic_um, bore_um, number: more.elastic_number }));
        }
    }
    let named = items.into_iter().filter(|item| !item.name().is_empty());
    named.map(|item| (Id::usual(&[item.kind(), " ", item.name()].concat()), item)).collect()
}
