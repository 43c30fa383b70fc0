//! What the fields of a water, a thing in the box or a result may hold: a struct's members as parts of a record and back,
//! each held against a row like those of the plan's table.

use super::merge::{Record, Value};
use crate::plan::fields::{Bounds, bounds_of};
use crate::plan::{FieldMut, Lead, TipOf, clean};
use crate::refusal::Refusal;
use crate::units::Units;

macro_rules! opened {
    ($($type:ty => $kind:ident),*) => {
        $(impl<'a> From<&'a mut $type> for FieldMut<'a> {
            fn from(member: &'a mut $type) -> Self {
                Self::$kind(member)
            }
        })*
    };
}
opened!(i32 => Number, Option<i32> => Maybe, String => Text, bool => Flag, Lead => Choice, TipOf => Choice);

/// What a part holds of a field; of a place its number.
pub(super) fn give(field: &FieldMut<'_>) -> Value {
    match field {
        FieldMut::Number(number) | FieldMut::Place(number, _) => Value::Number((**number).into()),
        FieldMut::Maybe(number) => number.map_or(Value::Nothing, |number| Value::Number(number.into())),
        FieldMut::Text(text) => Value::Text((*text).clone()),
        FieldMut::Flag(flag) => Value::Flag(**flag),
        FieldMut::Choice(pick) => Value::Number(i64::try_from(pick.index()).unwrap_or(0)),
    }
}

/// Puts what a part holds into a field, if it is of its kind and within its row; `place` says where a name stands.
pub(super) fn put(
    field: FieldMut<'_>,
    value: &Value,
    row: Option<&Bounds>,
    place: &dyn Fn(&str) -> Option<i32>,
) {
    match (field, value) {
        (FieldMut::Number(field), Value::Number(n)) => *field = within(*n, row).unwrap_or(*field),
        (FieldMut::Maybe(field), Value::Number(n)) => *field = within(*n, row).or(*field),
        (FieldMut::Maybe(field), Value::Nothing) => *field = None,
        (FieldMut::Text(field), Value::Text(text)) => *field = clean(text),
        (FieldMut::Flag(field), Value::Flag(flag)) => *field = *flag,
        (FieldMut::Choice(field), Value::Number(n)) => {
            let _ = usize::try_from(*n).is_ok_and(|n| field.choose(n));
        }
        // What it referred to may be gone.
        (FieldMut::Place(field, _), Value::Text(name)) => *field = place(name).unwrap_or(0),
        (FieldMut::Place(field, _), _) => *field = 0,
        _ => {}
    }
}

/// A number that lies within its row.
pub(super) fn within(number: i64, row: Option<&Bounds>) -> Option<i32> {
    let number = i32::try_from(number).ok()?;
    row.is_none_or(|row| (row.least..=row.most).contains(&number)).then_some(number)
}

/// Holds a number that came from outside against the row at `path`.
pub(super) fn held(number: i32, key: &str, path: &str) -> Result<(), Refusal> {
    bounds_of(path).map_or(Ok(()), |row| row.check(key, number.into(), Units::default()).map(drop))
}

/// A struct whose members are parts.
pub(super) trait Members {
    /// The keys of its members, in their order.
    fn keys(&self) -> &'static [&'static str];
    /// The member of a key, opened for change, and the path of its row.
    fn member(&mut self, key: &str) -> Option<(FieldMut<'_>, &'static str)>;
}

/// The parts of a struct.
pub(super) fn parts_of(all: &mut dyn Members) -> Vec<(String, Value)> {
    let keys = all.keys().iter();
    keys.filter_map(|key| all.member(key).map(|(member, _)| ((*key).to_owned(), give(&member)))).collect()
}

/// Takes what a record holds of a struct; what is missing or out of its row stays.
pub(super) fn read(all: &mut dyn Members, record: &Record) {
    for key in all.keys() {
        if let Some((member, path)) = all.member(key) {
            let value = record.get(key);
            let row = if matches!(value, Value::Number(_)) { bounds_of(path) } else { None };
            put(member, value, row, &|_| None);
        }
    }
}

/// Holds a struct that came from outside against its rows, and makes its texts plain.
pub(super) fn check(all: &mut dyn Members) -> Result<(), Refusal> {
    for key in all.keys() {
        match all.member(key) {
            Some((FieldMut::Text(text), _)) => *text = clean(text),
            Some((FieldMut::Number(&mut n) | FieldMut::Maybe(&mut Some(n)), path)) => held(n, key, path)?,
            _ => {}
        }
    }
    Ok(())
}

/// A struct whose members are parts: of each its key, the path of the row it is held against (`""` where it is no number)
/// and what it is where nothing was written.
macro_rules! parts {
    ($(#[$doc:meta])* $name:ident {
        $($(#[$member_doc:meta])* $member:ident: $type:ty = $key:literal, $row:literal, $usual:expr;)*
    }) => {
        $(#[$doc])*
        #[derive(Clone, Debug, PartialEq, Eq)]
        pub struct $name { $($(#[$member_doc])* pub $member: $type,)* }

        impl Default for $name {
            fn default() -> Self {
                Self { $($member: $usual,)* }
            }
        }

        impl $name {
            /// The keys of its members, in their order.
            pub const KEYS: &'static [&'static str] = &[$($key),*];

            /// The member of a key, opened for change, and the row that a number is held against.
            pub fn field(&mut self, key: &str) -> Option<($crate::plan::FieldMut<'_>, &'static str)> {
                match key {
                    $($key => Some(((&mut self.$member).into(), $row)),)*
                    _ => None,
                }
            }
        }

        impl $crate::book::fields::Members for $name {
            fn keys(&self) -> &'static [&'static str] {
                Self::KEYS
            }

            fn member(&mut self, key: &str) -> Option<($crate::plan::FieldMut<'_>, &'static str)> {
                self.field(key)
            }
        }
    };
}
pub(super) use parts;
