//! Our types as a script's plain objects: what is given is taken back, what does not fit is refused by its path, and the
//! declarations say what is read.
//!
//! No outside source: laws of the interface itself.

use dotdown::component::object::read;
use dotdown::component::types::declarations;
use dotdown::plan::fields::FIELDS;
use dotdown::plan::{FieldMut, Plan, link, presets::presets};
use serde_json::{Value, json, to_value};

/// The value at a path of an object, to be changed.
fn at<'a>(value: &'a mut Value, path: &str) -> &'a mut Value {
    path.split('.').fold(value, |value, part| match part.parse::<usize>() {
        Ok(place) => &mut value[place],
        Err(_) => &mut value[part],
    })
}

#[test]
fn a_plan_that_is_given_is_taken_back() {
    for preset in presets() {
        assert_eq!(read(to_value(&preset.plan).unwrap()), Ok(preset.plan));
    }
}

#[test]
fn what_may_be_left_out_of_a_plan_has_its_usual_value() {
    let preset = presets().remove(0);
    let mut short = to_value(&preset.plan).unwrap();
    for (path, name) in [
        ("", "note"),
        ("", "kit"),
        ("", "version"),
        ("", "bank"),
        ("rigs.0.more", "above_tenth_mm"),
        ("water", "bottom_tenth_c"),
    ] {
        let part = if path.is_empty() { &mut short } else { at(&mut short, path) };
        assert!(part.as_object_mut().unwrap().remove(name).is_some(), "{name}");
    }
    let mut want = preset.plan;
    want.note = String::new();
    want.kit = Vec::new();
    want.bank = dotdown::plan::BankChoices::default();
    want.rigs[0].more.above_tenth_mm = dotdown::plan::RigMore::default().above_tenth_mm;
    want.water.bottom_tenth_c = None;
    assert_eq!(read(short), Ok(want));
}

#[test]
fn what_does_not_fit_is_refused_by_its_path() {
    let good = to_value(&presets()[0].plan).unwrap();
    for (path, with, said) in [
        ("rigs.2.depth_tenth_mm", json!(1.5), "invalid type: floating point `1.5`, expected i32"),
        (
            "rigs.2.depth_tenth_mm",
            json!(3_000_000_000_u32),
            "invalid value: integer `3000000000`, expected i32",
        ),
        ("water.depth_tenth_mm", json!("7 ft"), "invalid type: string \"7 ft\", expected i32"),
        (
            "weather.sky",
            json!("purple"),
            "unknown variant `purple`, expected one of `bright`, `mixed`, `overcast`",
        ),
        ("day.date", json!("11 July"), "a date is written 2026-07-11"),
        ("lines", json!(null), "invalid type: null, expected a sequence"),
        ("tin", json!([]), "invalid length 0, expected struct Tin with 13 elements"),
        ("bait.washed", json!(1), "invalid type: integer `1`, expected a boolean"),
        ("tin.colour", json!(null), "unknown field `colour`, expected one of `name`, `fat_tenth_g`, "),
    ] {
        let mut bad = good.clone();
        *at(&mut bad, path) = with;
        let refused = read::<Plan>(bad).expect_err(path);
        assert_eq!((refused.code(), refused.field()), ("wrong_shape", path));
        assert!(refused.to_string().starts_with(&format!("{path} does not fit: {said}")), "{refused}");
    }
    let mut less = good;
    at(&mut less, "tin").as_object_mut().unwrap().remove("fat_tenth_g");
    let refused = read::<Plan>(less).unwrap_err();
    assert_eq!(refused.field(), "tin.fat_tenth_g");
    assert_eq!(
        refused.to_string(),
        "tin.fat_tenth_g does not fit: missing field `fat_tenth_g`. See dotdown.d.ts for the shape."
    );
}

/// What the page takes of no reader, and of no link, it takes of no script: one table holds all of them.
#[test]
fn every_limit_of_the_page_holds_for_a_script() {
    let mut held = 0;
    for field in FIELDS {
        let (plan, Some(bounds)) = (presets().remove(0).plan, field.bounds) else { continue };
        for path in plan.paths(field.path).into_iter().take(1) {
            for beyond in [bounds.least - 1, bounds.most + 1] {
                let mut plan = plan.clone();
                match plan.field(&path) {
                    Some(FieldMut::Number(value)) => *value = beyond,
                    Some(FieldMut::Maybe(value)) => *value = Some(beyond),
                    _ => continue,
                }
                let mut script: Plan = read(to_value(&plan).unwrap()).unwrap();
                let refused = script.check().expect_err(&path);
                assert_eq!((refused.code(), refused.field()), ("out_of_range", &*path));
                assert_eq!(
                    link::read(&link::write(&plan)).unwrap_err().field(),
                    path,
                    "and a link is refused there"
                );
                held += 1;
            }
        }
    }
    assert!(held > 100, "{held} limits");
}

/// The declarations as a whole pass TypeScript's own check in `tests/browser/types.test.mjs`; these are their finer points.
#[test]
fn the_declarations_say_what_is_read_and_written() {
    let text = declarations();
    let part = |name: &str| -> String {
        let found = text.split("\nexport ").find(|part| part.split([' ', '{']).nth(1) == Some(name));
        found.unwrap_or_else(|| panic!("{name} is declared")).split("\n}").next().unwrap().to_owned()
    };
    for (name, line) in [
        ("Plan", "  version?: number;"),
        ("DayTimes", "  date: string;"),
        ("Water", "  bottom_tenth_c?: number | null;"),
        ("Band", "  high: number;"),
        ("TimeBand", "  high: number | null;"),
        ("FindRequest", "  most_groups?: number;"),
        ("FindFigures", "  settle_s: number | null;"),
        ("FallTimes", "  \"0.25\": number | null;"),
        ("SessionEvent", "  rig?: number | string | null;"),
        ("ShotSet", "  remainder_ng: number;"),
        ("Habits", "  standing: HabitsStanding;"),
        ("TaughtWater", "  jump_to: number[][];"),
        ("BookRecord", "  made: [string, number];"),
        ("BookRecord", "  parts: Record<string, PartValue>;"),
    ] {
        assert!(part(name).lines().any(|one| one == line), "{name} has {line:?}:\n{}", part(name));
    }
    assert!(text.contains("export type Verdict = \"sinks\" | \"may_sink\" | \"floats\";"));
    assert!(
        part("FallRig").contains("From straight down") || part("FallRig").contains("@default 90"),
        "{}",
        part("FallRig")
    );
    assert!(!text.contains("unknown") && !text.contains('$'), "every type is known");
}
