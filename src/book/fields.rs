//! What the fields of a water, a thing in the box or a result may hold: a struct's members as parts of a record and back,
//! each held against a row like those of the plan's table.

use super::merge::Value;
use crate::plan::Choice;
use crate::plan::Lead;
use crate::plan::clean;
use crate::plan::fields::{Bounds, bounds_of};
use crate::refusal::Refusal;
use crate::units::{Quantity, Units};

/// Numbers of the book that no plan has.
const OWN: &[(&str, Bounds)] = &[
    row("result.weight", "Weight at the scales", Quantity::Grams, 0, 1_000_000),
    row("result.fish", "Fish", Quantity::Count, 0, 20_000),
    row("result.place", "Place", Quantity::Count, 1, 2_000),
    row("result.of", "Of how many", Quantity::Count, 1, 2_000),
    row("tests.density", "Density", Quantity::Density, 500, 3_000),
    row("tests.spread", "Spread", Quantity::Density, 0, 1_000),
    row("tests.drops", "Drops", Quantity::Count, 1, 10_000),
];

const fn row(
    path: &'static str,
    name: &'static str,
    kind: Quantity,
    least: i32,
    most: i32,
) -> (&'static str, Bounds) {
    (path, Bounds { name, kind, least, most, step: 1 })
}

/// What the number of this key may be: one of the book's own, or as the plan's field at this path.
pub(super) fn row_of(path: &str) -> Option<&'static Bounds> {
    OWN.iter().find(|(own, _)| *own == path).map(|(_, row)| row).or_else(|| bounds_of(path))
}

/// A member that is a part.
pub(super) trait Part: Sized {
    /// What the part holds.
    fn give(&self) -> Value;
    /// What the part held, if it is of this kind; a number is held against the row at `path` elsewhere.
    fn take(value: &Value) -> Option<Self>;
    /// The number in it, if it is one.
    fn number(&self) -> Option<i32> {
        None
    }
    /// Takes out what no text may hold.
    fn tidy(&mut self) {}
}

impl Part for i32 {
    fn give(&self) -> Value {
        Value::Number((*self).into())
    }
    fn take(value: &Value) -> Option<Self> {
        match value {
            Value::Number(number) => (*number).try_into().ok(),
            _ => None,
        }
    }
    fn number(&self) -> Option<i32> {
        Some(*self)
    }
}

impl Part for Option<i32> {
    fn give(&self) -> Value {
        self.as_ref().map_or(Value::Nothing, Part::give)
    }
    fn take(value: &Value) -> Option<Self> {
        if *value == Value::Nothing { Some(None) } else { i32::take(value).map(Some) }
    }
    fn number(&self) -> Option<i32> {
        *self
    }
}

impl Part for bool {
    fn give(&self) -> Value {
        Value::Flag(*self)
    }
    fn take(value: &Value) -> Option<Self> {
        if let Value::Flag(flag) = value { Some(*flag) } else { None }
    }
}

impl Part for String {
    fn give(&self) -> Value {
        Value::Text(self.clone())
    }
    fn take(value: &Value) -> Option<Self> {
        if let Value::Text(text) = value { Some(clean(text)) } else { None }
    }
    fn tidy(&mut self) {
        *self = clean(self);
    }
}

impl Part for Lead {
    fn give(&self) -> Value {
        Value::Number(i64::try_from(self.index()).unwrap_or(0))
    }
    fn take(value: &Value) -> Option<Self> {
        let place = i32::take(value).and_then(|place| usize::try_from(place).ok())?;
        Self::ALL.get(place).copied()
    }
}

/// What a part held, if it is of the member's kind and within its row.
pub(super) fn taken<T: Part>(value: &Value, path: &str) -> Option<T> {
    let member = T::take(value)?;
    let fits = |number| row_of(path).is_none_or(|row| (row.least..=row.most).contains(&number));
    member.number().is_none_or(fits).then_some(member)
}

/// Holds a member that came from outside against its row.
pub(super) fn held<T: Part>(member: &mut T, key: &str, path: &str) -> Result<(), Refusal> {
    member.tidy();
    match (member.number(), row_of(path)) {
        (Some(number), Some(row)) => row.check(key, number.into(), Units::default()).map(drop),
        _ => Ok(()),
    }
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
            /// Its parts.
            pub(super) fn parts(&self) -> Vec<(String, $crate::book::merge::Value)> {
                vec![$(($key.to_owned(), $crate::book::fields::Part::give(&self.$member)),)*]
            }

            /// What a record holds of it.
            pub(super) fn read(record: &$crate::book::merge::Record) -> Self {
                let usual = Self::default();
                Self { $($member: $crate::book::fields::taken(record.get($key), $row).unwrap_or(usual.$member),)* }
            }

            /// Holds its members against their rows, and makes its texts plain.
            pub(super) fn check(&mut self) -> Result<(), $crate::refusal::Refusal> {
                $($crate::book::fields::held(&mut self.$member, $key, $row)?;)*
                Ok(())
            }
        }
    };
}
pub(super) use parts;
