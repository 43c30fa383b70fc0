//! A plain object as one of our types.

use crate::refusal::Refusal;
use serde::de::DeserializeOwned;
use serde_json::Value;
use serde_path_to_error::{Path, Segment};

/// Reads a value.
///
/// # Errors
/// `wrong_shape`, at the part that is missing, unknown or of another kind, such as `rigs.2.depth_tenth_mm`.
///
/// # Example
/// ```
/// use dotdown::{component::object::read, units::Units};
/// let refused = read::<Units>(serde_json::json!({ "lengths": "metric", "colour": "red" })).unwrap_err();
/// assert_eq!((refused.code(), refused.field()), ("wrong_shape", "colour"));
/// ```
pub fn read<T: DeserializeOwned>(value: Value) -> Result<T, Refusal> {
    serde_path_to_error::deserialize(value).map_err(|error| {
        let why = error.inner().to_string();
        let mut parts = parts(error.path());
        // Serde stops one level further out here; its words have the name.
        parts.extend(
            why.strip_prefix("missing field `").and_then(|rest| rest.strip_suffix('`')).map(str::to_owned),
        );
        wrong(parts.join("."), &why)
    })
}

/// A refusal of an object's shape at a place; `why` has no full stop.
pub(super) fn wrong(place: String, why: &str) -> Refusal {
    let what = if place.is_empty() { "The object" } else { &place };
    let sentence = format!("{what} does not fit: {why}. See dotdown.d.ts for the shape.");
    Refusal::new("wrong_shape", place, sentence)
}

/// The names and places of a path.
fn parts(path: &Path) -> Vec<String> {
    let part = |segment: &Segment| match segment {
        Segment::Seq { index } => Some(index.to_string()),
        Segment::Map { key } => Some(key.clone()),
        Segment::Enum { .. } | Segment::Unknown => None,
    };
    path.iter().filter_map(part).collect()
}
