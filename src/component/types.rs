//! Our types as TypeScript's declarations. `schemars` reads serde's attributes, so that what is declared is what is read
//! and written; each comment there is the comment of the Rust type.

use super::book::Book;
use super::event::SessionEvent;
use super::fished::FishedDay;
use crate::bait::{calendar_file, cold, floaters, sink, timetable, tub_test, wash};
use crate::plan::{Plan, presets::Preset};
use crate::results::Results;
use crate::rig::{balance, fall, finder};
use crate::session::{habits::Habits, state, summary::Summary};
use crate::units::Units;
use schemars::SchemaGenerator;
use schemars::generate::SchemaSettings;
use serde_json::{Map, Value};
use std::fmt::Write as _;

const REFUSAL: &str = "
/** A refusal: thrown by every function. */
export interface Refusal extends Error {
  /** A short stable word, such as `too_large`. */
  code: string;
  /** The field that was refused, such as `water.depth`, or \"\" for the whole. */
  field: string;
}
";

/// Puts the types of a list into a generator.
macro_rules! put {
    ($generator:ident: $($kind:ty),* $(,)?) => { $($generator.subschema_for::<$kind>();)* };
}

/// The declarations of everything that goes in or comes out, to stand beside those of the functions.
#[must_use]
pub fn declarations() -> String {
    let mut taken = SchemaSettings::default().for_deserialize().into_generator();
    put!(taken: Plan, Units, sink::SinkRequest, balance::BalanceRequest, tub_test::TubTest, floaters::FloatRequest,
        cold::FreezingRequest, wash::WashRequest, timetable::TimetableRequest, calendar_file::CivilMinute,
        calendar_file::CalendarEvent, fall::Rig, fall::FallSettings, finder::Request, SessionEvent,
        FishedDay, Habits, Book);
    let mut given = SchemaSettings::default().for_serialize().into_generator();
    put!(given: Preset, Results, sink::Sink, balance::Balance, tub_test::TubResult, floaters::Floaters,
        cold::FreezingTime, wash::Wash, timetable::Timetable, fall::Fall, finder::Progress, state::Recorded,
        state::State, state::Advice, Summary);
    let mut all = definitions(taken);
    for (name, schema) in definitions(given) {
        // What goes in too is declared as it goes in, with what may be left out.
        all.entry(name).or_insert(schema);
    }
    all.iter().fold(REFUSAL.to_owned(), |mut text, (name, schema)| {
        let body = kind(schema, "");
        let docs = docs(schema, "");
        let _ = if schema.get("properties").is_some() {
            write!(text, "\n{docs}export interface {name} {body}\n")
        } else {
            write!(text, "\n{docs}export type {name} = {body};\n")
        };
        text
    })
}

fn definitions(mut generator: SchemaGenerator) -> Map<String, Value> {
    generator.take_definitions(true)
}

/// A comment, with the value that stands for what is left out.
fn docs(schema: &Value, indent: &str) -> String {
    let mut lines: Vec<String> = Vec::new();
    if let Some(text) = schema.get("description").and_then(Value::as_str) {
        lines.extend(
            text.replace("[`", "`").replace("`]", "`").lines().map(|line| line.trim_end().to_owned()),
        );
    }
    match schema.get("default") {
        Some(value) if value.is_number() || value.is_boolean() || value.is_string() => {
            lines.push(format!("@default {value}"));
        }
        _ => {}
    }
    match lines.as_slice() {
        [] => String::new(),
        [line] => format!("{indent}/** {line} */\n"),
        lines => {
            let start = format!("\n{indent} * ");
            format!("{indent}/**{start}{}\n{indent} */\n", lines.join(&start))
        }
    }
}

/// The type that a schema describes.
fn kind(schema: &Value, indent: &str) -> String {
    if let Some(path) = schema.get("$ref").and_then(Value::as_str) {
        return path.rsplit('/').next().unwrap_or_default().to_owned();
    }
    if let Some(value) = schema.get("const") {
        return value.to_string();
    }
    if let Some(values) = schema.get("enum").and_then(Value::as_array) {
        return either(values.iter().map(Value::to_string));
    }
    if let Some(kinds) = schema.get("oneOf").or_else(|| schema.get("anyOf")).and_then(Value::as_array) {
        return either(kinds.iter().map(|one| kind(one, indent)));
    }
    match schema.get("type") {
        Some(Value::Array(names)) => either(names.iter().map(|name| named(name, schema, indent))),
        Some(name) => named(name, schema, indent),
        None => "unknown".to_owned(),
    }
}

/// The type of a schema by JSON Schema's name of it.
fn named(name: &Value, schema: &Value, indent: &str) -> String {
    match name.as_str() {
        Some("integer" | "number") => "number".to_owned(),
        Some("array") if schema.get("prefixItems").is_some() => {
            let items = schema.get("prefixItems").and_then(Value::as_array).into_iter().flatten();
            format!("[{}]", items.map(|item| kind(item, indent)).collect::<Vec<_>>().join(", "))
        }
        Some("array") => {
            let item = schema.get("items").map_or_else(|| "unknown".to_owned(), |items| kind(items, indent));
            if item.contains(" | ") { format!("({item})[]") } else { format!("{item}[]") }
        }
        Some("object") => match schema.get("additionalProperties").filter(|part| part.is_object()) {
            Some(part) => format!("Record<string, {}>", kind(part, indent)),
            None => fields(schema, indent),
        },
        Some(name) => name.to_owned(),
        None => "unknown".to_owned(),
    }
}

/// An object's fields; a tagged one stands on one line.
fn fields(schema: &Value, indent: &str) -> String {
    let required: Vec<&str> = schema
        .get("required")
        .and_then(Value::as_array)
        .into_iter()
        .flatten()
        .filter_map(Value::as_str)
        .collect();
    let inner = format!("{indent}  ");
    let mut text = "{\n".to_owned();
    for (name, part) in schema.get("properties").and_then(Value::as_object).into_iter().flatten() {
        let left_out = if required.contains(&name.as_str()) { "" } else { "?" };
        let plain = name.chars().all(|c| c.is_alphanumeric() || c == '_')
            && !name.starts_with(|c: char| c.is_numeric());
        let name = if plain { name.clone() } else { format!("\"{name}\"") };
        let _ = writeln!(text, "{}{inner}{name}{left_out}: {};", docs(part, &inner), kind(part, &inner));
    }
    format!("{text}{indent}}}")
}

/// One of several types, each named once.
fn either(kinds: impl Iterator<Item = String>) -> String {
    let mut all: Vec<String> = Vec::new();
    for kind in kinds.filter(|kind| !kind.is_empty()) {
        if !all.contains(&kind) {
            all.push(kind);
        }
    }
    all.join(" | ")
}
