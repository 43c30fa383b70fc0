//! Our types as plain objects: what is given is taken back, and what does not fit is refused by its path.
//!
//! No outside source: laws of the interface itself.

use dotdown::plain::{Give, Take, Value};
use dotdown::plan::{Plan, presets::presets};
use dotdown::refusal::Refusal;

/// The value at a path of an object, to be changed.
fn at<'a>(value: &'a mut Value, path: &str) -> &'a mut Value {
    path.split('.').fold(value, |value, part| match value {
        Value::Object(parts) => &mut parts.iter_mut().find(|(name, _)| name == part).expect("a part").1,
        Value::List(list) => &mut list[part.parse::<usize>().expect("a place")],
        _ => panic!("nothing at {part}"),
    })
}

#[test]
fn a_plan_that_is_given_is_taken_back() {
    for preset in presets() {
        assert_eq!(Plan::take(&preset.plan.give()), Ok(preset.plan));
    }
}

#[test]
fn what_does_not_fit_is_refused_by_its_path() {
    let good = presets()[0].plan.give();
    for (path, with, expected) in [
        ("rigs.2.depth_tenth_mm", Value::Number(1.5), "a whole number"),
        ("rigs.2.depth_tenth_mm", Value::Number(f64::NAN), "a whole number"),
        ("rigs.2.depth_tenth_mm", Value::Number(3e9), "a whole number of a size that fits"),
        ("water.depth_tenth_mm", Value::Text("7 ft".into()), "a whole number"),
        ("weather.sky", Value::Text("purple".into()), "one of bright mixed overcast"),
        ("day.date", Value::Text("11 July".into()), "a date such as 2026-07-11"),
        ("lines", Value::Null, "a list"),
        ("tin", Value::List(Vec::new()), "an object"),
        ("bait.washed", Value::Number(1.0), "true or false"),
    ] {
        let mut bad = good.clone();
        *at(&mut bad, path) = with;
        let error = Plan::take(&bad).expect_err(path);
        assert_eq!((error.path.as_str(), error.expected), (path, expected));
    }
    let mut more = good.clone();
    if let Value::Object(parts) = at(&mut more, "tin") {
        parts.push(("colour".into(), Value::Null));
    }
    let error = Refusal::from(Plan::take(&more).unwrap_err());
    assert_eq!(
        error.to_string(),
        "tin.colour should be left out: there is no such field. See dotdown.d.ts for the shape."
    );
    if let Value::Object(parts) = at(&mut more, "tin") {
        parts.retain(|(name, _)| name != "colour" && name != "fat_tenth_g");
    }
    assert_eq!(Plan::take(&more).unwrap_err().path, "tin.fat_tenth_g");
}
