//! What the screens write, in each choice of lengths and decimal sign: no number in the other unit or with the other
//! sign. Every screen, part, fold, drawing name, field, printed page and file name is looked through, on every worked
//! day, with the falls worked out and a session running and ended.
//!
//! Left as they are, whatever the choice: sizes of bait and diameters of line in mm and speeds in cm a second, which are
//! the trade's own units; figures that are quoted (30 m from power lines, 5 m from a fallen one, the trade's own 18
//! inches in 7.5 s); the two switches that choose.

use dotdown::page::falls::FallResult;
use dotdown::page::session::RunningSession;
use dotdown::page::settings::Paper;
use dotdown::page::sheet::{RigTab, Sheet};
use dotdown::page::tap::Tap;
use dotdown::page::{Choices, Page, Screen};
use dotdown::plan::presets::presets;
use dotdown::results::fall::{FallPath, fall_row};
use dotdown::small::Set;
use dotdown::units::{DecimalSign, LengthUnits, Units};
use dotdown::view::print::paper;
use dotdown::view::{head, notices, screen};

/// What a reader or a screen reader meets: texts, fields, names of drawings.
fn read(markup: &str) -> Vec<String> {
    let mut found = Vec::new();
    let mut rest = markup;
    let plain = |text: &str| {
        text.replace("&amp;", "&").replace("&quot;", "\"").replace("&lt;", "<").replace(['\u{a0}', '\n'], " ")
    };
    let mut line = String::new();
    while let Some((text, tail)) = rest.split_once('<') {
        line.push_str(&plain(text));
        let (tag, after) = tail.split_once('>').expect("a whole tag");
        // Words within one line stand in one text.
        let name = tag.trim_start_matches('/').split([' ', '>']).next().unwrap_or("");
        if !["strong", "span", "b", "i"].contains(&name) {
            found.push(std::mem::take(&mut line));
        }
        for attribute in ["aria-label=\"", "value=\"", "placeholder=\"", "title=\""] {
            if let Some((_, value)) = tag.split_once(attribute)
                && !tag.contains("data-share-link")
            {
                found.push(plain(value.split('"').next().unwrap_or("")));
            }
        }
        rest = after;
    }
    found.push(line + &plain(rest));
    found.retain(|text| text.chars().any(|c| c.is_ascii_digit()) && !["6.5", "6,5"].contains(&text.as_str()));
    found
}

/// What stands in `text` against the choice of `units`.
fn wrong(text: &str, units: Units) -> Option<String> {
    let letters: Vec<char> = text.chars().collect();
    let digit = |i: usize| letters.get(i).is_some_and(char::is_ascii_digit);
    let other = if units.sign == DecimalSign::Comma { '.' } else { ',' };
    for (i, c) in letters.iter().enumerate() {
        if *c == other && i > 0 && digit(i - 1) && digit(i + 1) {
            return Some(format!("the sign in “{text}”"));
        }
    }
    for (i, _) in letters.iter().enumerate().filter(|(_, c)| c.is_ascii_digit() || **c == '½') {
        let after: String = letters[i + 1..].iter().collect();
        let after = after.trim_start();
        let word: String = after.chars().take_while(|c| c.is_alphabetic()).collect();
        let speed = ["cm a second", "cm/s"].iter().any(|speed| after.starts_with(speed));
        let published = text.contains("30 m") || text.contains("5 m from") || text.contains("18 inches");
        let bad = match units.lengths {
            LengthUnits::Metric => {
                ["in", "ft", "inch", "inches", "feet"].contains(&word.as_str()) && !published
            }
            LengthUnits::Imperial => {
                ["cm", "m", "metres", "centimetres"].contains(&word.as_str()) && !speed && !published
            }
        };
        // `10 in bags` counts bags.
        if bad
            && !after.starts_with("in all")
            && !after.starts_with("in the")
            && !after.starts_with("in bags")
        {
            return Some(format!("the unit in “{text}”"));
        }
    }
    None
}

/// Works out everything that the open rig's fall is asked for; each fall once.
fn sink_all(page: &mut Page, known: &mut Vec<FallResult>) {
    while let Some(rig) = page.next_fall() {
        if !known.iter().any(|told| told.rig == rig) {
            let fall = fall_row(&rig).map_err(|e| e.to_string());
            let fall = fall.and_then(|row| FallPath::from_row(&row).ok_or_else(String::new));
            known.push(FallResult { rig: rig.clone(), fall, doubt: None });
        }
        let told = known.iter().find(|told| told.rig == rig).expect("it was just worked out").clone();
        page.fall_came(told.rig, told.fall);
    }
}

/// Every markup that the page can show of its plan.
fn everything(page: &mut Page, known: &mut Vec<FallResult>) -> Vec<(String, String)> {
    let mut all = Vec::new();
    let mut keep = |name: &str, markup: String| all.push((name.to_owned(), markup));
    for (open, name) in Screen::ALL {
        page.screen = open;
        match open {
            Screen::Day | Screen::Bait => {
                for (sheet, ..) in Sheet::ALL.iter().filter(|(_, on, ..)| *on == open) {
                    page.sheet = Some(*sheet);
                    keep(&sheet.address(), screen(page));
                }
                page.sheet = None;
            }
            Screen::Rigs => {
                for (path, typed) in [("weigh.size", "5"), ("weigh.count", "20"), ("weigh.shown", "1.25")] {
                    page.type_in(path, typed);
                }
                for i in [0, page.plan.rigs.len() - 1] {
                    page.act(&format!("rig:{i}"));
                    page.act("move:0");
                    sink_all(page, known);
                    for (tab, ..) in RigTab::ALL {
                        page.rig_tab = tab;
                        keep(name, screen(page));
                    }
                    for (sheet, ..) in Sheet::ALL.iter().filter(|(_, on, ..)| *on == open) {
                        page.sheet = Some(*sheet);
                        keep(&sheet.address(), screen(page));
                    }
                    page.sheet = None;
                }
            }
            _ => keep(name, screen(page)),
        }
    }
    keep("head", head(page));
    page.act("ladder");
    keep("notices", notices(page));
    page.act("undo");
    for (asked, name) in [(Paper::Cards, "cards"), (Paper::Prep, "prep"), (Paper::Kit, "list")] {
        keep(name, paper(page, Some(asked), None).expect("something to print").0);
    }
    page.screen = Screen::Bank;
    let at = |seconds: f64| 1_900_000_000_000.0 + seconds * 1000.0;
    let (mut live, _) =
        RunningSession::open(&page.plan, page.choices.units, "", None, at(0.0)).expect("a session");
    for (i, word) in ["bite", "fish", "rig:1", "bite"].into_iter().cycle().take(40).enumerate() {
        let now = i as f64 * 90.0;
        live.tap(&Tap::parse("fed").expect("a tap"), at(now)).expect("a feed");
        live.tap(&Tap::parse(word).expect("a tap"), at(now + 12.0)).expect("a tap");
    }
    page.day = Some(live.day);
    page.session = Some(Box::new(live));
    for (name, word) in [("running", "fed"), ("paused", "pause"), ("ended", "end")] {
        let live = page.session.as_mut().expect("the session");
        live.tap(&Tap::parse(word).expect("a tap"), at(4000.0)).expect("a tap");
        live.look(at(4001.0), true);
        keep(name, screen(page));
    }
    page.session = None;
    all
}

#[test]
fn no_screen_writes_a_number_in_the_other_unit_or_sign() {
    let mut faults = Vec::new();
    for preset in presets() {
        let mut known = Vec::new();
        for lengths in [LengthUnits::Imperial, LengthUnits::Metric] {
            for sign in [DecimalSign::Point, DecimalSign::Comma] {
                let units = Units { lengths, sign };
                let choices = Choices { units, ..Choices::default() };
                let mut page = Page::with(preset.plan.clone(), Set::default(), choices);
                for (name, markup) in everything(&mut page, &mut known) {
                    for text in read(&markup) {
                        // A version is not a number.
                        let text = text.replace(env!("CARGO_PKG_VERSION"), "");
                        if let Some(fault) = wrong(&text, units) {
                            let fault = format!("{lengths:?} {sign:?}, {name}: {fault}");
                            if !faults.contains(&fault) {
                                faults.push(fault);
                            }
                        }
                    }
                }
            }
        }
    }
    assert!(faults.is_empty(), "{} faults:\n{}", faults.len(), faults.join("\n"));
}

#[test]
fn the_look_finds_what_it_is_for() {
    let units = |lengths, sign| Units { lengths, sign };
    let metric = units(LengthUnits::Metric, DecimalSign::Point);
    let feet = units(LengthUnits::Imperial, DecimalSign::Comma);
    assert!(wrong("6½ in deep", metric).is_some() && wrong("17 inches", metric).is_some());
    assert!(wrong("1,5 m", metric).is_some() && wrong("1.5 m", metric).is_none());
    assert!(
        wrong("30 cm", feet).is_some() && wrong("3 m", feet).is_some() && wrong("4.5 mm", feet).is_some()
    );
    assert!(wrong("5,6 cm a second, 6 mm, No. 10", feet).is_none());
    assert_eq!(read("<p>1 <strong>in</strong></p><svg aria-label=\"2 ft\"></svg>"), ["1 in", "2 ft"]);
}
