//! Everything that is read from outside, without the fuzzer: the inputs that it kept, and seeded changes of them, go
//! through the same checks (`fuzz/checks.rs`). `./build.sh fuzz` runs libFuzzer itself.
//!
//! No outside source: these are laws of the document (what was read writes back and reads the same; a refusal is a
//! sentence and changes nothing; every number is one). The first inputs, from which the fuzzer grew the others, are made
//! and checked here too; `DOTDOWN_WRITE_CORPUS=folder` writes them.

#[path = "fuzz/checks.rs"]
mod checks;

use crate::common::wild::{fill, wild_plan};
use crate::common::{long, make_heavy, seed};
use checks::TARGETS;
use dotdown::book::{Book, Change, Day, Id, Phone, book_from, book_text};
use dotdown::page::saved;
use dotdown::page::{Choices, Page};
use dotdown::plan::fields::FIELDS;
use dotdown::plan::presets::presets;
use dotdown::plan::{FieldMut, link};
use dotdown::session::event::Fix;
use dotdown::session::log::read_back;
use dotdown::session::{Event, EventKind, Log};
use dotdown::units::Units;
use fastrand::Rng;
use std::fs;
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

fn corpus() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fuzz/corpus")
}

/// The kept inputs of a target, in the order of their names.
fn kept_inputs(target: &str) -> Vec<Vec<u8>> {
    let folder = corpus().join(target);
    let mut names: Vec<PathBuf> = fs::read_dir(&folder)
        .unwrap_or_else(|e| panic!("{}: {e}", folder.display()))
        .map(|entry| entry.unwrap().path())
        .collect();
    names.sort();
    assert!(names.len() > 4, "{target} has inputs");
    names.iter().map(|name| fs::read(name).unwrap()).collect()
}

/// One of the small harms that a text comes to: a byte, a piece gone, twice or from another input, a cut, a long run.
fn changed(input: &[u8], other: &[u8], rng: &mut Rng) -> Vec<u8> {
    let mut data = input.to_vec();
    for _ in 0..=rng.usize(..4) {
        let at = rng.usize(..=data.len());
        let end = (at + rng.usize(..24)).min(data.len());
        match rng.u8(..9) {
            0 if at < data.len() => data[at] = rng.u8(..),
            1 if at < data.len() => data[at] ^= 1 << rng.u8(..8),
            2 => drop(data.drain(at..end)),
            3 => {
                let piece = data[at..end].to_vec();
                drop(data.splice(at..at, piece));
            }
            4 if !other.is_empty() => {
                let from = rng.usize(..other.len());
                let to = (from + rng.usize(1..32)).min(other.len());
                drop(data.splice(at..end, other[from..to].to_vec()));
            }
            5 => data.truncate(at),
            6 => drop(data.splice(at..at, rng.choice(WORDS).expect("words").bytes())),
            7 => {
                let run = vec![*rng.choice(b"0919-,\"\n\xff\x80").expect("a byte"); rng.usize(..40)];
                drop(data.splice(at..end, run));
            }
            _ => data.insert(at, rng.u8(..)),
        }
    }
    data
}

/// What a reader of numbers, rows and links may stumble over.
const WORDS: &[&str] = &[
    "NaN",
    "1e999",
    "-1",
    "99999999999999999999",
    "18446744073709551615",
    "4102444800001",
    "½",
    "7 ft 2",
    "٣",
    "\u{202e}",
    "undo",
    "fed",
    "\"",
    "[{",
    "}]",
    "p9-",
    "p1-",
    "<b>",
    "\\u00e",
    "\\ud800",
    " 1/2",
    "time_ms",
    "pick_up_rig",
    "null",
];

#[test]
fn kept_inputs_and_their_changes_hold() {
    let rounds = if long() { 100_000 } else { 500 };
    let seed = seed(0x00d0_7d0e);
    for (target, check) in TARGETS {
        let inputs = kept_inputs(target);
        for input in &inputs {
            check(input);
        }
        let mut rng = Rng::with_seed(seed);
        let mut slowest = Duration::ZERO;
        for _ in 0..rounds {
            let input =
                changed(&inputs[rng.usize(..inputs.len())], &inputs[rng.usize(..inputs.len())], &mut rng);
            let began = Instant::now();
            let came = std::panic::catch_unwind(|| check(&input));
            slowest = slowest.max(began.elapsed());
            if let Err(fault) = came {
                let file = std::env::temp_dir().join(format!("dotdown-{target}"));
                fs::write(&file, &input).unwrap();
                eprintln!("{target}: the input is in {}", file.display());
                std::panic::resume_unwind(fault);
            }
        }
        if long() {
            // Past the test program's capture: the long run tells what it went through.
            let _ = writeln!(io::stderr(), "{target}: {rounds} inputs held, the slowest in {slowest:?}");
        }
    }
}

const NUMBERS: &[&str] = &[
    "7 ft 2",
    "7'2\"",
    "86 in",
    "2.18 m",
    "218 cm",
    "4 1/2 in",
    "2 m 18 cm",
    "½ in",
    "6,5",
    "09:30",
    "0930",
    "2026-07-11",
    "-18",
    "0.0351 g",
    "20 °C",
    "6 s",
    "1.500 kg",
    "99999999999999",
    "3½",
];

/// What a script may ask, in the order of `checks::request`.
const REQUESTS: [(&str, &str); 13] = [
    (
        "sink",
        r#"{"matter":{"kind":"label","label":{"fat_g":20,"protein_g":13,"carbohydrate_g":3.5,"salt_g":2},"air_share":0},
        "shape":{"kind":"cube","edge_mm":6},"water_temperature_c":18,"depths_m":[0.4572,1]}"#,
    ),
    (
        "balance",
        r#"{"float":{"load_tenth_mg":4000,"tip_diameter_mm":1.2,"tip_length_mm":20},"temperature_c":18,"shot_box":[
        {"name":"No. 8","mass_tenth_mg":600,"density_kg_per_m3":11340,"count":30},
        {"name":"No. 10","mass_tenth_mg":340,"density_kg_per_m3":11350,"count":30}],
        "wanted_tip_mm":2,"max_sizes":2,"max_shots":30}"#,
    ),
    (
        "tub_test",
        r#"{"matter":{"kind":"density","kg_per_m3":1030,"sd_kg_per_m3":8},"shape":{"kind":"cube","edge_mm":6},
        "tub_depth_m":0.3,"tub_temperature_c":15,"drops":[{"dropped_s":10,"landed_s":15.5}],"pieces":30,"light":0,
        "targets":[{"shape":{"kind":"cube","edge_mm":6},"water_temperature_c":12,"depths_m":[1.5]}]}"#,
    ),
    (
        "floaters",
        r#"{"edge_mm":6,"excess_kg_per_m3":34,"water_temperature_c":15,"pieces":30,"floated":5,"came_up_again":1}"#,
    ),
    (
        "chill",
        r#"{"label":{"fat_g":20,"protein_g":13,"carbohydrate_g":3.5,"salt_g":2},"thickness_mm":25,"start_c":-18,
        "medium_c":5,"until_c":0,"surface":"still_air"}"#,
    ),
    ("wash", r#"{"kept_ml":200,"added_ml":1000,"left_share":0.01,"water_c":40,"hot_c":60,"cold_c":10}"#),
    (
        "timetable",
        r#"{"steps":[{"id":"cut","name":"Cut","minutes":30,"when":"day_before"},
        {"id":"leave","name":"Leave","minutes":45,"after":["cut"],"when":"morning"}],
        "begin_min":-1440,"night_from_min":-720,"night_to_min":-180}"#,
    ),
    (
        "calendar",
        r#"["Prep",{"year":2031,"month":7,"day":11,"hour":9,"minute":0},[{"uid":"cut@example","start":
        {"year":2031,"month":7,"day":10,"hour":20,"minute":0},"minutes":30,"summary":"Cut","alarm_min_before":null}]]"#,
    ),
    (
        "fall",
        r#"[{"temperature_C":18,"main":{"length_m":0.3,"diameter_m":0.00016},"hooklength":{"length_m":0.15,"diameter_m":
        0.00012},"shots":[{"from_hook_m":0.2,"mass_kg":3.4e-5,"count":6}],"hook":{"mass_kg":1e-5},"bait":{"side_m":0.006,
        "density":1040},"current":{"u0":0.02,"decay_m":1}},{"step_s":0.05,"link_factor":2,"frame_dt_s":0.5}]"#,
    ),
    (
        "finder",
        r#"{"rig":{"temperature_C":18,"main":{"length_m":0.3,"diameter_m":0.00016},"hooklength":{"length_m":0.15,
        "diameter_m":0.00012},"shots":[{"from_hook_m":0.2,"mass_kg":3.4e-5,"count":6},{"from_hook_m":0.1,"mass_kg":2e-5}],
        "hook":{"mass_kg":1e-5},"bait":{"side_m":0.006,"density":1040}},"aim":"get_down_fast","most_groups":2,"kept":[1]}"#,
    ),
    ("habits", "[]"),
    ("event", r#"{"at_ms":1900000000000,"kind":"fish","rig":"A","value":1250.5,"note":"by the reeds"}"#),
    ("plan", "{}"),
];

/// The most that is taken of each, by its number above: what the fuzzer holds to a second.
const HEAVIEST: [(&str, u8, &str); 4] = [
    (
        "fall",
        8,
        r#"[{"temperature_C":18,"main":{"length_m":15,"diameter_m":0.00016},"hooklength":{"length_m":0.15,"diameter_m":
        0.00012},"shots":[{"from_hook_m":2,"mass_kg":3.4e-5,"count":6}],"hook":{"mass_kg":1e-5},"bait":{"side_m":0.006,
        "density":1040},"current":{"u0":0.2,"decay_m":1},"t_end_s":150},{}]"#,
    ),
    (
        "fall-that-fails",
        8,
        r#"[{"temperature_C":18,"main":{"length_m":15,"diameter_m":0.00016},"hooklength":{"length_m":0.15,"diameter_m":
        0.00012},"shots":[{"from_hook_m":2,"mass_kg":3.4e-5,"count":6}],"hook":{"mass_kg":1e-5},"bait":{"side_m":0.006,
        "density":1040},"max_link_m":0.01},{"newton_most":1000,"newton_tolerance_m":1e-13,"start_s":1}]"#,
    ),
    (
        "finder",
        9,
        r#"{"rig":{"temperature_C":18,"main":{"length_m":12,"diameter_m":0.00016},"hooklength":{"length_m":0.15,
        "diameter_m":0.00012},"shots":[{"from_hook_m":2,"mass_kg":3.4e-6,"count":400}],"hook":{"mass_kg":1e-5},
        "bait":{"side_m":0.006,"density":1040},"current":{"u0":0.05,"decay_m":1}},"aim":"settle_soonest","most_groups":4}"#,
    ),
    (
        "balance",
        1,
        r#"{"float":{"load_tenth_mg":20000,"tip_diameter_mm":1.2,"tip_length_mm":20},"temperature_c":18,"shot_box":[
        {"name":"a","mass_tenth_mg":101,"density_kg_per_m3":11340,"count":60},{"name":"b","mass_tenth_mg":137,"density_kg_per_m3":11340,"count":60},
        {"name":"c","mass_tenth_mg":173,"density_kg_per_m3":11340,"count":60},{"name":"d","mass_tenth_mg":211,"density_kg_per_m3":11340,"count":60},
        {"name":"e","mass_tenth_mg":241,"density_kg_per_m3":11340,"count":60},{"name":"f","mass_tenth_mg":281,"density_kg_per_m3":11340,"count":60},
        {"name":"g","mass_tenth_mg":317,"density_kg_per_m3":11340,"count":60},{"name":"h","mass_tenth_mg":353,"density_kg_per_m3":11340,"count":60},
        {"name":"i","mass_tenth_mg":389,"density_kg_per_m3":11340,"count":60},{"name":"j","mass_tenth_mg":419,"density_kg_per_m3":11340,"count":60},
        {"name":"k","mass_tenth_mg":457,"density_kg_per_m3":11340,"count":60},{"name":"l","mass_tenth_mg":491,"density_kg_per_m3":11340,"count":60},
        {"name":"m","mass_tenth_mg":523,"density_kg_per_m3":11340,"count":60},{"name":"n","mass_tenth_mg":563,"density_kg_per_m3":11340,"count":60},
        {"name":"o","mass_tenth_mg":601,"density_kg_per_m3":11340,"count":60},{"name":"p","mass_tenth_mg":641,"density_kg_per_m3":11340,"count":60},
        {"name":"q","mass_tenth_mg":677,"density_kg_per_m3":11340,"count":60},{"name":"r","mass_tenth_mg":709,"density_kg_per_m3":11340,"count":60},
        {"name":"s","mass_tenth_mg":751,"density_kg_per_m3":11340,"count":60},{"name":"t","mass_tenth_mg":787,"density_kg_per_m3":11340,"count":60},
        {"name":"u","mass_tenth_mg":821,"density_kg_per_m3":11340,"count":60},{"name":"v","mass_tenth_mg":857,"density_kg_per_m3":11340,"count":60},
        {"name":"w","mass_tenth_mg":887,"density_kg_per_m3":11340,"count":60},{"name":"x","mass_tenth_mg":929,"density_kg_per_m3":11340,"count":60}],
        "wanted_tip_mm":2,"max_sizes":4,"max_shots":60,"close_enough_mm":150}"#,
    ),
];

/// First inputs by their targets.
#[derive(Default)]
struct First(Vec<(&'static str, String, Vec<u8>)>);

impl First {
    fn put(&mut self, target: &'static str, name: &str, how: u8, bytes: &[u8]) {
        self.put_bare(target, name, &[&[how], bytes].concat());
    }

    fn put_bare(&mut self, target: &'static str, name: &str, bytes: &[u8]) {
        self.0.push((target, name.to_owned(), bytes.to_owned()));
    }
}

/// Each holds, whole ones are read as what they were written from (beside where they are made), and no target is left
/// without.
#[test]
fn first_inputs_hold_and_whole_ones_are_read() {
    let mut first = First::default();
    first_plans(&mut first);
    first_logs(&mut first);
    for (place, (name, json)) in REQUESTS.iter().enumerate() {
        first.put("request", name, u8::try_from(place).unwrap(), json.as_bytes());
    }
    for (name, which, json) in HEAVIEST {
        first.put("request", &format!("heaviest-{name}"), which, json.as_bytes());
    }
    // In the test's own build these take seconds: `./build.sh fuzz` runs them as they ship.
    if long() || std::env::var_os("DOTDOWN_WRITE_CORPUS").is_some() {
        heaviest_made(&mut first);
    }
    let example = include_str!("../src/book/FORMAT.md").split("```").nth(1).unwrap();
    let book = book_from(example.trim_start_matches("json")).unwrap();
    first.put_bare("book_text", "whole", book_text(&book).as_bytes());
    for part in ["days", "waters", "tackle", "logs", "newer"] {
        let mut json: serde_json::Value = serde_json::from_str(&book_text(&book)).unwrap();
        json.as_object_mut().unwrap().retain(|name, _| name == part || name == "dotdown_book");
        first.put_bare("book_text", part, json.to_string().as_bytes());
    }
    for (i, text) in NUMBERS.iter().enumerate() {
        let place = u8::try_from(i).unwrap();
        first.put("number", &format!("text-{i}"), place % 8, &[&[place], text.as_bytes()].concat());
    }
    for (target, check) in TARGETS {
        let mine: Vec<_> = first.0.iter().filter(|(of, ..)| *of == target).collect();
        assert!(mine.len() > 4, "{target} has first inputs");
        for (_, name, input) in mine {
            if !name.starts_with(MADE) || long() {
                println!("{target} {name}");
                check(input);
            }
            if let Some(folder) = std::env::var_os("DOTDOWN_WRITE_CORPUS") {
                let folder = Path::new(&folder).join(target);
                fs::create_dir_all(&folder).unwrap();
                fs::write(folder.join(name), input).unwrap();
            }
        }
    }
}

/// What the heaviest inputs that are made here are called: too long to be kept beside the others.
const MADE: &str = "made-heaviest-";

/// The most that is taken of what has no place in the table above.
fn heaviest_made(first: &mut First) {
    let mut put = |target, name: &str, how: Option<u8>, bytes: &[u8]| {
        let name = [MADE, name].concat();
        match how {
            Some(how) => first.put(target, &name, how, bytes),
            None => first.put_bare(target, &name, bytes),
        }
    };
    let mut plan = presets().remove(0).plan;
    plan.rigs = vec![plan.rigs[0].clone(); 8];
    make_heavy(&mut plan);
    let rigs = serde_json::to_value(&plan).unwrap();
    put("request", "plan", Some(12), rigs.to_string().as_bytes());
    let mut plan = wild_plan(0);
    fill(&mut plan);
    let mut rng = Rng::with_seed(1);
    for path in FIELDS.iter().flat_map(|field| plan.paths(field.path)).collect::<Vec<_>>() {
        if matches!(plan.field(&path), Some(FieldMut::Text(_))) {
            let text: String = (0..40).map(|_| rng.char('\u{20000}'..='\u{2a6df}')).collect();
            plan.set(&path, &text, Units::default()).unwrap();
        }
    }
    put("link_text", "link", Some(0), link::write(&plan).as_bytes());
    let log = |taps: usize, every_ms: f64| {
        let mut log = Log::default();
        let kinds = [EventKind::Cast, EventKind::Missed, EventKind::Cast, EventKind::Fish, EventKind::Lift];
        for (place, kind) in kinds.into_iter().cycle().take(taps).enumerate() {
            let place = f64::from(u32::try_from(place).unwrap());
            log.push(Event::new(1.9e12 + every_ms * place, kind), 0.0).unwrap();
        }
        log.to_text()
    };
    put("stored_log", "log", Some(0), log(3_500, 5_000.0).as_bytes());
    let lines = log(300, 50_000.0);
    let days: Vec<_> = (0..24).map(|_| serde_json::json!({"plan": rigs, "log": lines})).collect();
    put("request", "habits", Some(10), serde_json::Value::from(days).to_string().as_bytes());
    let drops: Vec<_> =
        (0..50).map(|i| serde_json::json!({"dropped_s": 10, "landed_s": 14 + i % 5})).collect();
    let depths: Vec<f64> = (1..=40).map(|i| 0.7 * f64::from(i)).collect();
    let target = serde_json::json!({"shape": {"kind": "cube", "edge_mm": 6}, "water_temperature_c": 12,
        "depths_m": depths});
    let tub = serde_json::json!({"matter": {"kind": "density", "kg_per_m3": 1030, "sd_kg_per_m3": 8},
        "shape": {"kind": "cube", "edge_mm": 6}, "tub_depth_m": 0.3, "tub_temperature_c": 15, "drops": drops,
        "pieces": 10_000, "light": 0, "targets": vec![target; 12]});
    put("request", "tub", Some(2), tub.to_string().as_bytes());
    let moment = serde_json::json!({"year": 2031, "month": 7, "day": 10, "hour": 20, "minute": 0});
    let long = "\u{20000},;\\\n".repeat(1_200);
    let entry = |i: i32| {
        serde_json::json!({"uid": format!("{i}@example"), "start": moment, "minutes": 30, "summary": long,
            "description": long, "alarm_min_before": 5})
    };
    let entries: Vec<_> = (0..200).map(entry).collect();
    put("request", "calendar", Some(7), serde_json::json!(["Prep", moment, entries]).to_string().as_bytes());
    let mut book = Book::open(Phone(1), 0, []).book;
    for id in 1..=100 {
        let day = Box::new(Day::new(presets().remove(0).plan));
        book.apply(Change::AddDay { id: Id(id), day }).unwrap();
    }
    put("book_text", "book", None, book_text(&book).as_bytes());
}

fn first_plans(first: &mut First) {
    for preset in presets() {
        let plan = preset.plan;
        let id = preset.id;
        let plain = postcard::to_allocvec(&plan).unwrap();
        let text = link::write(&plan);
        assert_eq!(link::read(&text).as_ref(), Ok(&plan));
        assert_eq!(link::read(&checks::packed(&plain)).as_ref(), Ok(&plan));
        first.put("link_text", &format!("text-{id}"), 0, text.as_bytes());
        first.put("link_text", &format!("plain-{id}"), 4, &plain);
        first.put("request", &format!("plan-{id}"), 12, &serde_json::to_vec(&plan).unwrap());
        let mut page = Page::with(plan.clone(), dotdown::small::Set::default(), Choices::default());
        page.tick("prep-cut", true);
        page.act("units:metric");
        page.tap(1e12);
        let whole = saved::write(&page.kept());
        assert_eq!(saved::read(&whole), Ok(page.kept()));
        first.put("stored_page", &format!("whole-{id}"), 0, whole.as_bytes());
        let (_, body) = whole.split_once('\n').expect("a checksum, and what it is of");
        first.put("stored_page", &format!("body-{id}"), 1, body.as_bytes());
    }
    for (name, text) in include_str!("data/links.txt").lines().skip(1).filter_map(|line| line.split_once(' '))
    {
        first.put("link_text", &format!("past-{name}-{}", text.len()), 0, text.as_bytes());
    }
}

fn first_logs(first: &mut First) {
    let mut log = Log::default();
    let kinds = [
        EventKind::Cast,
        EventKind::Fed,
        EventKind::Missed,
        EventKind::Fish,
        EventKind::LostFish,
        EventKind::FoulHooked,
        EventKind::Undo,
        EventKind::Lift,
        EventKind::PickUpRig,
        EventKind::Pause,
        EventKind::Resume,
        EventKind::PhaseChange,
        EventKind::Nudge,
        EventKind::Shot,
        EventKind::Note,
        EventKind::Bite,
        EventKind::Correct,
        EventKind::NextNet,
        EventKind::End,
    ];
    for (place, kind) in kinds.into_iter().enumerate() {
        let mut event = Event::new(1.9e12 + 5_000.0 * f64::from(u8::try_from(place).unwrap()), kind);
        match kind {
            EventKind::PickUpRig => event = event.with_rig(2),
            EventKind::Correct => {
                event = Fix { number: 2, kind: Some(EventKind::Fish), rig: Some(1), later_ms: -2_500.0 }
                    .event(event.at_ms);
            }
            EventKind::Nudge => event = event.with_value(-1.0),
            EventKind::Fish => event = event.with_value(1250.5),
            EventKind::Note => event = event.with_note("=1, \"wind_up\" 100 %"),
            _ => {}
        }
        let (event, _) = event.tidy(4).unwrap();
        log.push(event, 0.0).unwrap();
    }
    let names: Vec<String> = presets().remove(0).plan.rigs.iter().map(|rig| rig.name.clone()).collect();
    let text = log.to_text();
    let read = read_back(&text, names.len()).unwrap();
    assert_eq!((&read.log, read.repairs.len()), (&log, 0));
    first.put("stored_log", "whole", 0, text.as_bytes());
    let bare: Vec<&str> = text.lines().map(|line| line.rsplit_once(' ').unwrap().0).collect();
    first.put("stored_log", "summed", 1, bare.join("\n").as_bytes());
    let numberless: Vec<&str> = bare.iter().map(|line| line.split_once(' ').unwrap().1).collect();
    first.put("stored_log", "numbered", 2, numberless.join("\n").as_bytes());
    for (i, line) in numberless.iter().enumerate() {
        first.put("stored_log", &format!("one-{i}"), 2, line.as_bytes());
    }
}
