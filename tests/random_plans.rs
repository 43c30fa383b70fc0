//! Plans that nobody would make: nothing panics, no screen shows a number that is none, and every plan comes back from
//! its link and from the phone's storage.
//!
//! No outside source: these are laws of the document. The plans are made from the table of limits by their seeds; 200
//! in a usual run, 10,000 with `DOTDOWN_LONG=1`.

use crate::common::seeds;
use crate::common::wild::wild_plan;
use ciborium::Value;
use dotdown::book::{Book, Change, Day, Id, Phone};
use dotdown::page::sheet::{RigTab, Sheet};
use dotdown::page::{Choices, Page, Screen};
use dotdown::plan::fields::FIELDS;
use dotdown::plan::presets::presets;
use dotdown::plan::{FieldMut, Plan, link};
use dotdown::results::fall::{fall_rig, fall_row};
use dotdown::results::session_setup::setup_of;
use dotdown::results::work_out;
use dotdown::session::Session;
use dotdown::small::Set;
use dotdown::units::{DecimalSign, LengthUnits, Units};
use dotdown::view::{announcement, head, notices, screen, share};

/// Every number of what scripts get is finite, and each middle lies within its band. CBOR holds what JSON cannot.
fn sound(value: &Value, place: &str) {
    match value {
        Value::Float(number) => assert!(number.is_finite(), "{place} is {number}"),
        Value::Array(list) => list.iter().for_each(|one| sound(one, place)),
        Value::Map(parts) => {
            let number = |name: &str| {
                let part = parts.iter().find(|(n, _)| n.as_text() == Some(name));
                part.and_then(|(_, number)| number.as_float())
            };
            for unit in ["", "_s", "_min"] {
                let name = |end: &str| [end, unit].concat();
                if let (Some(low), Some(high)) = (number(&name("low")), number(&name("high"))) {
                    assert!(low <= high, "{place}: {low} to {high}");
                    let mid = number(&name("mid")).unwrap_or(low);
                    assert!((low..=high).contains(&mid), "{place}: {mid} of {low} to {high}");
                }
            }
            for (name, part) in parts {
                sound(part, &[place, ".", name.as_text().unwrap_or_default()].concat());
            }
        }
        _ => {}
    }
}

/// The texts of a markup and the values of its fields and drawings, one a line, without the markup itself.
fn words(markup: &str) -> String {
    let mut words = String::new();
    for piece in markup.split('<').skip(1) {
        let (tag, text) = piece.split_once('>').unwrap_or((piece, ""));
        for (i, part) in tag.split('"').enumerate() {
            if i % 2 == 1 {
                words.push_str(part);
                words.push('\n');
            }
        }
        words.push_str(text);
        words.push('\n');
    }
    words
}

/// What only a number that is none would leave on a screen. A dash stands where there is nothing to say; with a unit
/// behind it, it stands for a number that could not be written.
const STRANGE: &[&str] = &[
    "NaN",
    "nan ",
    "inf ",
    "-inf",
    "Infinity",
    "undefined",
    "null",
    "(–",
    "– to ",
    " to –",
    "– s",
    "– %",
    "– g",
    "– cm",
    "– mm",
    "– m",
    "– °C",
    "– kg",
    "– cubes",
    "– fish",
    "– min",
];

/// What stands around the first `part` of a text.
fn around(text: &str, part: &str) -> String {
    let at = text.find(part).unwrap_or(0);
    let from = text[..at].char_indices().rev().take(60).last().map_or(0, |(i, _)| i);
    text[from..].chars().take(120).collect()
}

fn looks_right(page: &Page, what: &str) {
    let text = head(page) + &notices(page) + &screen(page) + &announcement(page);
    let text = words(&text);
    for strange in STRANGE {
        assert!(!text.contains(strange), "{what} shows {strange:?}: {}", around(&text, strange));
    }
    // The largest true number is the off-cuts of twelve phases without a pause, from the heaviest tins: 5e11 g.
    for run in text.split(|c: char| !c.is_ascii_digit()) {
        assert!(run.len() <= 12, "{what} shows the number {run}: {}", around(&text, run));
    }
    bands(&text, what);
}

/// Each `(LOW to HIGH` that is printed runs upwards.
fn bands(text: &str, what: &str) {
    for piece in text.split('(').skip(1) {
        let inside = piece.split([')', '\n']).next().unwrap_or("");
        if let Some((low, high)) = inside.split_once(" to ") {
            let read = |text: &str| text.trim().trim_end_matches('%').trim().replace(',', ".").parse::<f64>();
            if let (Ok(low), Ok(high)) = (read(low), read(high)) {
                assert!(low <= high, "{what} shows the band ({inside})");
            }
        }
    }
}

fn every_screen(page: &mut Page, seed: u64) {
    for (open, name) in Screen::ALL {
        page.screen = open;
        let parts: Vec<String> = match open {
            Screen::Rigs => (0..page.plan.rigs.len())
                .flat_map(|rig| RigTab::ALL.map(|(_, tab, _)| [format!("rig:{rig}"), format!("tab:{tab}")]))
                .flatten()
                .collect(),
            _ => vec![String::new()],
        };
        for part in parts {
            page.act(&part);
            looks_right(page, &format!("seed {seed}, screen {name}, {part}"));
        }
        for (sheet, ..) in Sheet::ALL.iter().filter(|(_, on, ..)| *on == open) {
            page.sheet = Some(*sheet);
            looks_right(page, &format!("seed {seed}, sheet {}", sheet.address()));
        }
        page.sheet = None;
    }
}

fn holds(seed: u64) {
    let plan: Plan = wild_plan(seed);
    let text = link::write(&plan);
    let same = link::read(&text)
        .unwrap_or_else(|e| panic!("seed {seed}: its link of {} characters: {e}", text.len()))
        == plan;
    assert!(same, "seed {seed}: its link opens to another plan");
    let units = Units {
        lengths: if seed.is_multiple_of(2) { LengthUnits::Imperial } else { LengthUnits::Metric },
        sign: if seed.is_multiple_of(4) { DecimalSign::Point } else { DecimalSign::Comma },
    };
    let value = Value::serialized(&work_out(&plan, units)).expect("plain data");
    sound(&value, &format!("seed {seed}: day"));
    let mut page = Page::with(plan, Set::default(), Choices { units, ..Choices::default() });
    every_screen(&mut page, seed);
    assert!(stored_again(page.plan.clone()) == page.plan, "seed {seed}: what is kept is another plan");
    assert!(share::panel(&page).contains(&text), "seed {seed}: what is shared is another plan");
}

#[test]
fn random_plans_hold_on_every_screen() {
    let mut plans = 0;
    for seed in seeds(0, 200, 10_000) {
        plans += 1;
        if let Err(fault) = std::panic::catch_unwind(|| holds(seed)) {
            eprintln!("DOTDOWN_SEED={seed} begins with it");
            std::panic::resume_unwind(fault);
        }
    }
    println!("{plans} random plans, each on every screen, in its link and in its row");
}

/// A session is made of every plan that a day is worked out of: it has no limits of its own that a plan could pass.
#[test]
fn every_plan_that_is_taken_makes_a_session() {
    let mut plans: Vec<Plan> = seeds(500, 12, 2_000).map(wild_plan).collect();
    for end in [true, false] {
        let mut plan = wild_plan(0);
        crate::common::wild::fill(&mut plan);
        for field in FIELDS {
            let Some(bounds) = field.bounds else { continue };
            for path in plan.paths(field.path) {
                let value = if end { bounds.most } else { bounds.least };
                // Refused where numbers are held against each other.
                let _ = plan.set(&path, &Units::default().bare(value, bounds.kind), Units::default());
            }
        }
        plan.check().unwrap();
        plans.push(plan);
    }
    for plan in plans {
        let session = Session::new(setup_of(&plan, Units::default()));
        let session = session.unwrap_or_else(|e| panic!("{e} of {}", link::write(&plan)));
        sound(&Value::serialized(&session.state(1.9e12).unwrap()).unwrap(), "state");
    }
}

/// The page never refuses a rig of its own for the work of its fall: not the deepest, in the strongest drift.
#[test]
fn the_deepest_rig_of_a_plan_can_be_followed() {
    for drift in [0, 300] {
        let mut plan = presets().remove(0).plan;
        for (path, most) in [
            ("water.depth", 120_000),
            ("lines.0.depth", 120_000),
            ("rigs.0.depth", 120_000),
            ("rigs.0.more.drift", drift),
            ("rigs.0.more.drift_depth", 50_000),
        ] {
            match plan.field(path) {
                Some(FieldMut::Number(value)) => *value = most,
                _ => panic!("{path} is a number"),
            }
        }
        plan.check().unwrap();
        let made = work_out(&plan, Units::default());
        let layout = made.rigs[0].layout.as_ref().expect("a layout");
        let fell = fall_row(&fall_rig(&plan, made.sink.as_ref(), &plan.rigs[0], layout));
        assert!(fell.is_ok(), "drift {drift}: {fell:?}");
    }
}

/// What the looks above would find, they find.
#[test]
fn the_looks_find_what_they_are_for() {
    use std::panic::catch_unwind;
    let object =
        |low: f64, high: f64| Value::Map(vec![("low".into(), low.into()), ("high".into(), high.into())]);
    assert!(catch_unwind(|| sound(&object(1.0, 2.0), "a band")).is_ok());
    assert!(catch_unwind(|| sound(&object(2.0, 1.0), "a band")).is_err());
    assert!(catch_unwind(|| sound(&f64::NAN.into(), "a number")).is_err());
    let shown = words("<p title=\"5 (4,2 to 6)\">7 (8 to 6.5) <b>– s</b></p>");
    assert!(catch_unwind(|| bands("5 (4,2 to 6)", "a screen")).is_ok());
    assert!(catch_unwind(|| bands(&shown, "a screen")).is_err());
    assert!(STRANGE.iter().any(|strange| shown.contains(strange)));
}

/// The longest plan that the limits allow, all of its texts in letters of four bytes.
#[test]
fn the_longest_plan_comes_back_from_its_link_and_from_storage() {
    let mut plan = wild_plan(0);
    crate::common::wild::fill(&mut plan);
    let mut rng = fastrand::Rng::with_seed(1);
    for path in FIELDS.iter().flat_map(|field| plan.paths(field.path)).collect::<Vec<_>>() {
        if !matches!(plan.field(&path), Some(FieldMut::Text(_))) {
            continue;
        }
        let text: String = (0..40).map(|_| rng.char('\u{20000}'..='\u{2a6df}')).collect();
        plan.set(&path, &text, Units::default()).unwrap();
    }
    plan.check().unwrap();
    let begun = std::time::Instant::now();
    let text = link::write(&plan);
    assert!(link::read(&text).unwrap() == plan);
    println!("{} characters, written and read in {:?}", text.len(), begun.elapsed());
    assert!(stored_again(plan.clone()) == plan);
}

/// A plan as it comes back from the rows of a book.
fn stored_again(plan: Plan) -> Plan {
    let mut book = Book::open(Phone(1), 1, []).book;
    let rows = book.apply(Change::AddDay { id: Id(1), day: Box::new(Day::new(plan)) }).expect("a day").rows;
    let rows = rows.into_iter().filter_map(|row| Some((row.store, row.bytes?)));
    Book::open(Phone(2), 1, rows).book.day(Id(1)).expect("the day").plan
}
