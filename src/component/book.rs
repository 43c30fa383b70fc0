//! A book as a plain object: what its file is in a script's hands. `src/book/FORMAT.md` describes both; these types are for the
//! declarations alone, since the file's own reader and writer serve the object too.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// A book: days, waters, things in the box and session logs. The package's `FORMAT.md` describes it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Book {
    /// The version of the form, 1.
    #[serde(rename = "dotdown_book")]
    version: u32,
    /// The days.
    days: Vec<BookRecord>,
    /// The waters.
    waters: Vec<BookRecord>,
    /// The things in the box.
    tackle: Vec<BookRecord>,
    /// The session logs.
    logs: Vec<BookLog>,
    /// Records that a newer version wrote, to be passed on as they are.
    newer: Vec<NewerRecord>,
}

/// A record of a book.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BookRecord {
    /// 32 hexadecimal digits.
    id: String,
    /// The record's form, 1.
    form: u32,
    /// The phone that made it, and the moment.
    made: (String, u64),
    /// What each part shows.
    parts: BTreeMap<String, PartValue>,
    /// The parts that are not simply as they were made: of each phone that wrote one, the moment and the value.
    #[serde(default)]
    written: BTreeMap<String, Vec<BookEntry>>,
    /// Of a day, its plan as a link. Never read.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    link: Option<String>,
    /// The checksum. Whoever changes a record takes it out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    check: Option<String>,
}

/// What a part of a record holds.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
enum PartValue {
    Flag(bool),
    Number(i64),
    Text(String),
    Numbers(Vec<i64>),
    Pairs(Vec<(String, i64)>),
    Nothing(()),
}

/// Which phone wrote a part, when, and what; without a value once it was written over.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
enum BookEntry {
    Value(String, u64, PartValue),
    Gone(String, u64),
}

/// One phone's log of a day.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BookLog {
    /// The day's id.
    day: String,
    /// The phone, 16 hexadecimal digits.
    phone: String,
    /// The lines, as `Session.log` has them.
    lines: Vec<String>,
}

/// A record that only a newer version can read.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct NewerRecord {
    /// `days`, `waters` or `tackle`.
    store: String,
    /// Its bytes as hexadecimal digits.
    bytes: String,
}
