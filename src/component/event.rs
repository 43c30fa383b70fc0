//! An event of a session as a script writes it: its rig goes by name or by place.

use super::object::wrong;
use crate::refusal::Refusal;
use crate::session::{Event, EventKind};
use serde::Deserialize;

/// One tap.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct SessionEvent {
    /// Milliseconds since 1970.
    at_ms: f64,
    /// What happened.
    kind: EventKind,
    /// Which rig, by its name or its place in the plan; left out: the one in hand.
    rig: Option<RigName>,
    /// `fed`: cubes; `fish`: grams; `nudge`: seconds added; `shot`: below 0 tightened, above 0 spread; `phase_change`:
    /// place.
    value: Option<f64>,
    /// A note.
    #[serde(default)]
    note: String,
}

/// A rig of the plan.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(feature = "types", derive(schemars::JsonSchema), schemars(inline))]
#[serde(untagged, expecting = "expected a rig of the plan, by name or place")]
enum RigName {
    Place(u32),
    Name(String),
}

impl SessionEvent {
    /// The event in a session of rigs with these names.
    ///
    /// # Errors
    /// `wrong_shape` at `rig` when no rig has that name.
    pub fn of(self, rigs: &[String]) -> Result<Event, Refusal> {
        let rig = match self.rig {
            None => None,
            Some(RigName::Place(place)) => Some(place),
            Some(RigName::Name(name)) => {
                let known = rigs.iter().position(|rig| *rig == name).and_then(|at| u32::try_from(at).ok());
                let place = known.or_else(|| name.parse().ok());
                Some(
                    place.ok_or_else(|| {
                        wrong("rig".to_owned(), "expected a rig of the plan, by name or place")
                    })?,
                )
            }
        };
        Ok(Event { at_ms: self.at_ms, kind: self.kind, rig, value: self.value, note: self.note })
    }
}
