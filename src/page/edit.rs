//! What a reader types, steps and ticks.

use super::{Page, Redraw, RejectedInput};
use crate::plan::FieldMut;
use crate::plan::fields::bounds_of;

/// Whether the field at a path is the depth of the water or of a line.
fn of_depth(path: &str) -> bool {
    path == "water.depth" || path.starts_with("lines.") && path.rsplit('.').next() == Some("depth")
}

impl Page {
    /// What was typed into the field at `path`. On a refusal the plan and its day stay as they were and the sentence
    /// is kept beside the field.
    pub fn type_in(&mut self, path: &str, typed: &str) -> Redraw {
        let units = self.choices.units;
        if path == "days.sought" {
            self.shelf.sought = typed.chars().take(80).collect();
            return Redraw::Results;
        }
        let before = self.plan.clone();
        let set = match (self.set_in_book(path, typed), self.weigh_slot(path)) {
            (Some(set), _) => set,
            (_, Some(slot)) => slot.set(path, typed, units),
            _ => self.plan.set(path, typed, units),
        };
        match set {
            Ok(()) => {
                self.rejected.remove(path);
                if of_depth(path) {
                    self.depth_changed(&before);
                }
                self.refresh();
            }
            Err(refused) if refused.code() == "no_such_field" => return Redraw::Nothing,
            Err(e) => {
                let typed = typed.chars().take(60).collect();
                self.rejected.insert(path, RejectedInput { typed, sentence: e.to_string() });
            }
        }
        Redraw::Results
    }

    /// The plus or minus button of the field at `path`.
    pub fn step(&mut self, path: &str, by: i32) -> Redraw {
        let units = self.choices.units;
        let before = self.plan.clone();
        if let Some(stepped) = self.step_in_book(path, by) {
            if let Err(refused) = stepped {
                self.rejected
                    .insert(path, RejectedInput { typed: String::new(), sentence: refused.to_string() });
                return Redraw::Results;
            }
        } else if let (Some(slot), Some(limit)) = (self.weigh_slot(path), bounds_of(path)) {
            match slot {
                FieldMut::Maybe(value) => *value = Some(limit.moved(value.unwrap_or(0), by, units)),
                FieldMut::Number(value) => *value = limit.moved(*value, by, units),
                _ => return Redraw::Nothing,
            }
        } else if self.plan.step(path, by, units).is_err() {
            return Redraw::Nothing;
        }
        self.rejected.remove(path);
        if of_depth(path) {
            self.depth_changed(&before);
        }
        self.refresh();
        Redraw::Results
    }

    /// The text that belongs in the field at `path`, after a step.
    pub fn text_at(&mut self, path: &str) -> Option<String> {
        if let Some(text) = self.text_in_book(path) {
            return Some(text);
        }
        let kind = bounds_of(path)?.kind;
        let units = self.choices.units;
        let slot = if path.starts_with("weigh.") { self.weigh_slot(path) } else { self.plan.field(path) };
        match slot? {
            FieldMut::Number(value) => Some(units.text(*value, kind)),
            FieldMut::Maybe(value) => Some(value.map_or_else(String::new, |v| units.text(v, kind))),
            _ => None,
        }
    }

    /// A tick set or taken away.
    pub fn tick(&mut self, id: &str, on: bool) -> Redraw {
        let id: String = id.chars().take(80).collect();
        if on && self.ticks.len() < 400 {
            self.ticks.insert(&id, ());
        } else {
            self.ticks.remove(&id);
        }
        Redraw::Results
    }
}
