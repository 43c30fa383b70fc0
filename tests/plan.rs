//! The plan as a document: what is typed, what is refused, and the link text.
//!
//! No outside source: these are laws of the document itself (print then parse is identity, refusal changes nothing,
//! a link gives back its plan). Generators read the table of limits and lean to its edges.

use crate::common::{any_plan, cases, number_paths, numbers};
use dotdown::plan::fields::{FIELDS, LISTS, bounds_of};
use dotdown::plan::past_versions::{FORMS, Form};
use dotdown::plan::{FieldMut, Plan, link, presets::presets};
use dotdown::units::{DecimalSign, LengthUnits, Quantity, Units, parse};
use proptest::prelude::*;

const ALL_UNITS: [Units; 4] = [
    Units { lengths: LengthUnits::Imperial, sign: DecimalSign::Point },
    Units { lengths: LengthUnits::Imperial, sign: DecimalSign::Comma },
    Units { lengths: LengthUnits::Metric, sign: DecimalSign::Point },
    Units { lengths: LengthUnits::Metric, sign: DecimalSign::Comma },
];

/// A worked day with an entry in every list.
fn full() -> Plan {
    let mut plan = presets().remove(0).plan;
    plan.rigs[0].more.glass.push(dotdown::plan::ShotCount { shot: 0, count: 3 });
    plan
}

#[test]
fn presets_are_within_the_table_and_every_row_is_used() {
    for mut preset in presets() {
        preset.plan.check().unwrap_or_else(|e| panic!("{}: {} {e}", preset.id, e.field()));
    }
    let mut summer = full();
    for field in FIELDS {
        let paths = summer.paths(field.path);
        assert!(!paths.is_empty(), "{} stands for nothing", field.path);
        for path in paths {
            let number = matches!(summer.field(&path), Some(FieldMut::Number(_) | FieldMut::Maybe(_)));
            assert_eq!(number, field.bounds.is_some(), "{path}");
        }
    }
    for (path, ..) in LISTS {
        assert!(!summer.paths(path).is_empty());
    }
}

#[test]
fn nonsense_in_every_field_is_refused_and_changes_nothing() {
    let mut plan = presets().remove(0).plan;
    let before = plan.clone();
    let nonsense = [
        "NaN",
        "inf",
        "-inf",
        "1e9",
        "0x10",
        "99999999999",
        "999999999999999999999999",
        "-99999",
        "abc",
        "6 kg",
        "7 bananas",
        "--5",
        "1.2.3",
        "1,2,3",
        "½½",
        "<b>1</b>",
        "٣",
        "1 1 1 1",
        "'; drop",
    ];
    for path in number_paths(&before) {
        for text in nonsense {
            for units in ALL_UNITS {
                let error = plan.set(&path, text, units).expect_err(&format!("{path} took {text}"));
                assert_eq!(error.field(), path);
                assert!(!error.to_string().is_empty() && !error.code().is_empty());
                assert_eq!(plan, before);
            }
        }
        let kind = bounds_of(&path).expect("a row").kind;
        let optional = matches!(plan.field(&path), Some(FieldMut::Maybe(_)));
        assert_eq!(plan.clone().set(&path, "  ", Units::default()).is_ok(), optional, "{path}");
        if kind == Quantity::Temperature {
            assert_eq!(plan.set(&path, "20 K", Units::default()).map_err(|e| e.code()), Err("wrong_unit"));
        }
    }
}

/// Energy by the label's parts, 9, 4 and 4 kcal a gram (a tin of 23.5, 13.5 and 3.0 g: 277.5 kcal), and a block's mass by its
/// size, are held against each other where they are typed; later changes are told as a warning, not refused.
#[test]
fn energy_and_a_block_that_do_not_fit_are_refused_beside_their_field_with_what_was_expected() {
    let units = Units::default();
    let mut plan = presets().remove(0).plan;
    let refused = plan.set("tin.energy", "1160", units).unwrap_err();
    assert_eq!(refused.field(), "tin.energy");
    let refused = plan.set("tin.energy", "200", units).unwrap_err();
    assert_eq!((refused.code(), refused.field()), ("energy", "tin.energy"));
    assert!(
        refused.to_string().starts_with("The parts of this label make 250 to 305 kcal, not 200."),
        "{refused}"
    );
    assert_eq!(plan.tin.energy_kcal, None);
    plan.set("tin.energy", "280", units).unwrap();
    plan.set("tin.net", "50", units).unwrap();
    let refused = plan.set("tin.size_off", "0.5", units).unwrap_err();
    assert_eq!((refused.code(), refused.field()), ("block_density", "tin.size_off"));
    assert!(refused.to_string().contains("weighs from 198 to 462 g, not 50"), "{refused}");
    plan.set("tin.net", "340", units).unwrap();
    plan.set("tin.size_off", "0.5", units).unwrap();
    plan.set("tin.net", "50", units).unwrap();
    plan.set("tin.fat", "5", units).unwrap();
    let warnings = dotdown::results::work_out(&plan, units).warnings;
    for code in ["energy", "block_density"] {
        assert!(warnings.iter().any(|warning| warning.code == code), "{code}: {warnings:?}");
    }
    // A plan that the page holds is taken from a link and a script, too.
    plan.clone().check().unwrap();
    assert_eq!(link::read(&link::write(&plan)), Ok(plan));
}

#[test]
fn a_label_of_more_than_100_g_is_refused_at_its_field() {
    let mut plan = presets().remove(0).plan;
    let error = plan.set("tin.fat", "95", Units::default()).unwrap_err();
    assert_eq!((error.code(), error.field()), ("label_over_100", "tin.fat"));
    assert_eq!(
        error.to_string(),
        "Fat, protein, carbohydrate, fibre and salt come to 113.8 g of 100 g, and some of it is water. \
         Check the label."
    );
}

#[test]
fn sentences_of_refusal() {
    let mut plan = presets().remove(0).plan;
    let mut say = |path: &str, text: &str, units| plan.set(path, text, units).unwrap_err().to_string();
    assert_eq!(
        say("water.depth", "70 ft", ALL_UNITS[0]),
        "70 ft is outside what is taken here. Write from 8 in to 39 ft 4½."
    );
    assert_eq!(
        say("bait.edge", "2,5", ALL_UNITS[3]),
        "2,5 mm is outside what is taken here. Write from 3 mm to 20 mm."
    );
    assert_eq!(
        say("tin.fat", "3 oz", ALL_UNITS[0]),
        "The unit “oz” does not belong here. Write the number alone or with g."
    );
    assert_eq!(
        say("day.all_in", "25:00", ALL_UNITS[0]),
        "This is not a number that can be read here. Write it like 09:30."
    );
    assert_eq!(say("nothing.here", "1", ALL_UNITS[0]), "There is no field called “nothing.here” in a plan.");
}

#[test]
fn lengths_are_read_in_every_usual_form() {
    let feet = ALL_UNITS[0];
    let metric = ALL_UNITS[2];
    for (text, kind, units, tenth_mm) in [
        ("7", Quantity::Reach, feet, 21_336),
        ("7 ft", Quantity::Reach, feet, 21_336),
        ("7ft 2", Quantity::Reach, feet, 21_844),
        ("7'2\"", Quantity::Reach, feet, 21_844),
        ("7′ 2½″", Quantity::Reach, feet, 21_971),
        ("86 in", Quantity::Reach, feet, 21_844),
        ("4 1/2", Quantity::Depth, feet, 1_143),
        ("4,5 inches", Quantity::Depth, feet, 1_143),
        ("½ in", Quantity::Depth, feet, 127),
        ("¼", Quantity::Depth, feet, 64),
        ("7 ft ½", Quantity::Reach, feet, 21_463),
        ("2.18 m", Quantity::Reach, feet, 21_800),
        ("2,18", Quantity::Reach, metric, 21_800),
        ("2 m 18 cm", Quantity::Reach, metric, 21_800),
        ("46", Quantity::Depth, metric, 4_600),
        ("460 mm", Quantity::Depth, metric, 4_600),
    ] {
        assert_eq!(parse(text, kind, units), Ok(tenth_mm), "{text}");
    }
}

#[test]
fn the_buttons_step_to_whole_steps_and_stop_at_the_limits() {
    let mut plan = presets().remove(0).plan;
    let feet = ALL_UNITS[0];
    plan.set("water.depth", "2.13 m", feet).unwrap();
    plan.step("water.depth", 1, feet).unwrap();
    assert_eq!(feet.text(plan.water.depth_tenth_mm, Quantity::Reach), "7 ft");
    for _ in 0..2000 {
        plan.step("water.depth", 1, feet).unwrap();
    }
    assert_eq!(plan.water.depth_tenth_mm, bounds_of("water.depth").unwrap().most);
}

#[test]
fn preset_links_are_500_characters_or_fewer_and_open_to_the_same_plan() {
    for preset in presets() {
        let text = link::write(&preset.plan);
        assert!(text.len() <= 500, "{}: {} characters", preset.id, text.len());
        assert!(text.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'-'), "{text}");
        assert!(!text.ends_with('-'));
        assert_eq!(link::read(&text), Ok(preset.plan.clone()));
        assert_eq!(link::read(&format!("https://example.org/dotdown/#{text}")), Ok(preset.plan));
    }
}

/// Links of every version that was ever written, with the plan each stands for, as text a reader can check.
#[test]
fn links_of_past_versions_still_open() {
    let links = include_str!("data/links.txt");
    if let Some(path) = std::env::var_os("DOTDOWN_WRITE_LINKS") {
        let mut mine = presets().remove(0);
        for (path, text) in [
            ("water.venue", "Another water"),
            ("water.depth", "8 ft 3"),
            ("feed.1.cubes", "33"),
            ("rigs.2.load", "0.1777"),
            ("shot_box.3.mass", "0.0351"),
            ("tin.protein", "14.2"),
            ("note", "Wind behind"),
        ] {
            mine.plan.set(path, text, Units::default()).unwrap();
        }
        let lines: Vec<String> =
            presets().iter().chain([&mine]).map(|p| format!("{} {}", p.id, link::write(&p.plan))).collect();
        std::fs::write(path, lines.join("\n")).unwrap();
    }
    let links: Vec<&str> = links.lines().filter(|l| !l.starts_with("//") && !l.is_empty()).collect();
    for Form { version, .. } in FORMS {
        let form = format!(" p{version}-");
        assert!(links.iter().any(|line| line.contains(&form)), "no link of version {version} is held");
    }
    for line in links {
        let (id, text) = line.split_once(' ').unwrap();
        let plan = link::read(text).unwrap_or_else(|e| panic!("{id}: {e}"));
        assert!(presets().iter().any(|p| p.id == id && p.plan.name == plan.name), "{id}");
        assert_eq!(plan.rigs.len(), if id == "summer" { 5 } else { 3 });
        assert_eq!(plan.shot_box.len(), 11);
        assert_eq!(plan.tin.fat_tenth_g, 235);
        assert_eq!(link::read(&link::write(&plan)), Ok(plan));
    }
}

#[test]
fn cut_altered_newer_and_hostile_links_get_a_sentence() {
    let text = link::write(&presets().remove(1).plan);
    let code = |t: &str| link::read(t).map_err(|e| e.code());
    for cut in 1..text.len() {
        assert!(link::read(&text[..cut]).is_err(), "cut at {cut}");
    }
    assert_eq!(code(&text[..text.len() - 3]), Err("cut"));
    assert_eq!(code(&(text.clone() + "z")), Err("cut"));
    assert_eq!(code(&text.replacen("p1-", "p2-", 1)), Err("newer_version"));
    assert_eq!(code("<img src=x onerror=alert(1)>"), Err("not_a_link"));
    assert_eq!(code(&"p1-".repeat(20_000)), Err("too_long"));
    let last = if text.ends_with('2') { '3' } else { '2' };
    assert_eq!(code(&format!("{}{last}", &text[..text.len() - 1])), Err("altered"));
    assert_eq!(
        link::read(&text.replacen("p1-", "p9-", 1)).unwrap_err().to_string(),
        "This link was made by a newer version of the page (9). Update this page, then open the link again."
    );
}

/// Source: the calendar of the `jiff` crate, an independent implementation, over the plan's whole range of dates.
#[test]
fn dates_agree_with_a_calendar_library() {
    let limit = bounds_of("day.date").unwrap();
    let epoch = jiff::civil::date(1970, 1, 1);
    for days in limit.least..=limit.most {
        let date = epoch.checked_add(jiff::Span::new().days(days)).unwrap();
        let ours = dotdown::units::date_of(days);
        assert_eq!(ours, (i32::from(date.year()), i32::from(date.month()), i32::from(date.day())));
        assert_eq!(dotdown::units::date_from(&date.to_string()), Some(days));
        let weekday = format!("{:?}", date.weekday());
        assert_eq!(dotdown::units::weekday(days), &weekday[..3]);
    }
    for text in
        ["2026-02-29", "2026-13-01", "2026-00-10", "2026-1-1", "2026-04-31", "20260401", "2026-04-01-"]
    {
        assert_eq!(dotdown::units::date_from(text), None, "{text}");
    }
}

proptest! {
    #![proptest_config(cases(0x91a, 200, 5_000))]

    #[test]
    fn a_link_gives_back_its_plan(plan in any_plan()) {
        prop_assert_eq!(link::read(&link::write(&plan)), Ok(plan));
    }

    #[test]
    fn what_is_written_is_read_back(row in 0..numbers().count(), random in any::<u32>(), which in 0..4_usize) {
        let (_, limit) = numbers().nth(row).unwrap();
        let units = ALL_UNITS[which];
        let span = u32::try_from(limit.most - limit.least).unwrap() + 1;
        let value = limit.least + i32::try_from(random % span).unwrap();
        let text = units.text(value, limit.kind);
        let read = parse(&text, limit.kind, units).map_err(|e| TestCaseError::fail(format!("{text}: {e}")))?;
        let again = units.text(i32::try_from(read).unwrap(), limit.kind);
        prop_assert_eq!(&text, &again);
        if !matches!(limit.kind, Quantity::Reach | Quantity::Depth) {
            prop_assert_eq!(read, i64::from(value));
        }
    }

    #[test]
    fn no_text_makes_a_link_panic(text in "\\PC{0,300}", head in prop::bool::ANY) {
        let text = if head { format!("p1-{text}") } else { text };
        prop_assert!(link::read(&text).is_err());
    }

    #[test]
    fn altered_bytes_never_panic_and_never_pass(at in any::<prop::sample::Index>(), with in "[0-9A-Za-z<-]") {
        let plan = presets().remove(0).plan;
        let text = link::write(&plan);
        let at = at.index(text.len());
        let mut altered = text.clone();
        altered.replace_range(at..=at, &with);
        // Separators carry nothing, so a change there may leave the plan as it was; nothing else may come out.
        if let Ok(read) = link::read(&altered) {
            prop_assert_eq!(read, plan);
        }
    }

    #[test]
    fn no_typed_text_panics(row in 0..numbers().count(), text in "\\PC{0,50}", which in 0..4_usize) {
        let mut plan = full();
        let path = plan.paths(numbers().nth(row).unwrap().0).remove(0);
        let before = plan.clone();
        if plan.set(&path, &text, ALL_UNITS[which]).is_err() {
            prop_assert_eq!(plan, before);
        }
    }
}

/// The dictionary of a released form is frozen: links in the world depend on its every byte. `DOTDOWN_WRITE_DICTIONARY=path` writes
/// what the presets of today would make, for a new version of the link.
#[test]
fn the_dictionaries_are_those_that_links_depend_on() {
    if let Some(path) = std::env::var_os("DOTDOWN_WRITE_DICTIONARY") {
        let mut bytes = Vec::new();
        for preset in presets() {
            bytes.extend(postcard::to_allocvec(&preset.plan).unwrap());
        }
        std::fs::write(path, bytes).unwrap();
    }
    let crc = crc::Crc::<u32>::new(&crc::CRC_32_ISO_HDLC);
    assert_eq!(crc.checksum(include_bytes!("../src/plan/dictionary_1.bin")), 2847190965);
}
