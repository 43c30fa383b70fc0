//! The wash planner against the published times to a burn and the dilution law.
//!
//! Sources, adults' skin: industry table of second-degree burns (consistent with Moritz and Henriques 1947); Moritz and
//! Henriques 1947, Am. J. Pathol. 23:695, as quoted: 44 °C 6 h, 68 °C 1 s; US Consumer Product Safety Commission, as
//! quoted, third degree: 49 °C 5 min, 54 °C 30 s, 60 °C 6 s, 66 °C 2 s; a children's hospital in the US, any burn: 57 °C
//! 10 s, 60 °C less than 5 s, 63 °C less than 3 s, 66 °C 1.5 s, 68 °C 1 s; a UK plumbers' institute, third degree: 55 °C
//! 30 s; UK housing ministry 2004: 70 °C, second degree in well under 1 s. Where they disagree the shorter must be
//! printed. Left out: a range (60 °C, 1 to 5 s, appendix of Ontario's building code) whose short end is the time of
//! children's skin in another table.
//! UK Health and Safety Executive, "Scalding and burning" and sheet HSIS6: where vulnerable people may be scalded in
//! whole-body immersion, water of at most 44 °C; surfaces that they may be burnt by, at most 43 °C. It gives no limit for
//! the hands of healthy adults.

use crate::common::cases;
use dotdown::bait::wash::{Heat, WashRequest, burns_in_s, wash};
use dotdown::page::sheet::Sheet;
use dotdown::page::{Page, Screen};
use dotdown::view::screen;
use proptest::prelude::*;

const WASH: WashRequest = WashRequest {
    kept_ml: 200.0,
    added_ml: 1000.0,
    left_share: 0.01,
    water_c: 40.0,
    hot_c: 60.0,
    cold_c: 10.0,
};

/// °C and seconds of every published row.
const PUBLISHED: [(f64, f64); 20] = [
    (44.0, 21_600.0),
    (45.0, 7200.0),
    (47.0, 1200.0),
    (48.0, 900.0),
    (49.0, 480.0),
    (51.0, 120.0),
    (55.0, 17.0),
    (60.0, 3.0),
    (68.0, 1.0),
    (49.0, 300.0),
    (54.0, 30.0),
    (60.0, 6.0),
    (66.0, 2.0),
    (55.0, 30.0),
    (57.0, 10.0),
    (60.0, 5.0),
    (63.0, 3.0),
    (66.0, 1.5),
    (68.0, 1.0),
    (70.0, 1.0),
];

#[test]
fn never_longer_than_any_published_time() {
    for (t, s) in PUBLISHED {
        let ours = burns_in_s(t).unwrap();
        assert!(ours <= s * (1.0 + 1e-12), "{t} °C: {ours} s against {s} s");
        assert!(ours > 0.49 * s, "{t} °C: {ours} s is far shorter than {s} s");
    }
    assert_eq!((burns_in_s(43.0), burns_in_s(20.0)), (None, None));
    for i in 0..470 {
        let t = 43.1 + 0.1 * f64::from(i);
        assert!(burns_in_s(t + 0.1).unwrap() <= burns_in_s(t).unwrap(), "{t}");
    }
}

#[test]
fn warm_water_is_safe_to_43_warned_about_above_and_strongly_from_50() {
    let at = |water_c| wash(&WashRequest { water_c, ..WASH }).unwrap();
    for (t, heat) in [
        (15.0, Heat::Safe),
        (43.0, Heat::Safe),
        (43.1, Heat::Prolonged),
        (44.0, Heat::Prolonged),
        (49.9, Heat::Prolonged),
        (50.0, Heat::Scalds),
        (90.0, Heat::Scalds),
    ] {
        let plan = at(t);
        assert_eq!((plan.heat, plan.burns_in_s.is_none()), (heat, heat == Heat::Safe), "{t} °C");
    }
    assert!(at(40.0).caution.starts_with("Safe for hands") && at(15.0).caution.starts_with("Cold water"));
    assert!(at(46.0).caution.contains("long") && at(50.0).caution.starts_with("Too hot"));
    assert!((at(55.0).burns_in_s.unwrap() - 17.0).abs() < 1e-9);
    // 55 °C out of 60 and 10 °C: nine tenths hot; 70 °C cannot be made of them, and is not refused.
    assert!((at(55.0).hot_ml.unwrap() - 900.0).abs() < 1e-9);
    assert_eq!(at(70.0).hot_ml, None);
}

#[test]
fn the_tap_that_the_mixture_needs_is_warned_about_however_cool_the_mixture() {
    let tap = |water_c, hot_c| wash(&WashRequest { water_c, hot_c, ..WASH }).unwrap().hot_burns_in_s;
    for (hot_c, s) in [(60.0, 3.0), (66.0, 1.5), (80.0, 1.0)] {
        assert!((tap(40.0, hot_c).unwrap() - s).abs() < 1e-9, "{hot_c} °C");
    }
    assert_eq!((tap(40.0, 43.0), tap(10.0, 60.0)), (None, None), "a cool tap, and one that is not needed");
    assert_eq!(tap(70.0, 60.0), None, "nothing is mixed");
}

/// The Wash part of the Bait screen at a temperature, as it is typed.
fn shown(text: &str, act: &str) -> String {
    let mut page = Page::new();
    page.screen = Screen::Bait;
    page.sheet = Some(Sheet::Wash);
    page.act(act);
    page.type_in("rinse.water", text);
    screen(&page)
}

#[test]
fn the_screen_tells_the_published_time_and_warns_about_the_tap() {
    for (typed, told) in [
        ("44", "6 h"),
        ("55", "17 s"),
        ("60", "3 s"),
        ("66", "1.5 s"),
        ("68", "1 s"),
        ("70", "under a second"),
        ("80", "under a second"),
        ("90", "under a second"),
    ] {
        let text = shown(typed, "sign:point");
        let (_, warning) = text.split_once("data-result=\"wash.burn\"").expect("a warning");
        let warning = warning.split("</p>").next().unwrap();
        assert!(warning.contains(told), "{typed} °C: {warning}");
        assert_eq!(warning.contains("Scalding"), typed != "44", "{typed} °C: {warning}");
    }
    assert!(shown("66", "sign:comma").contains("1,5 s"));
    for cool in ["40", "43"] {
        let text = shown(cool, "sign:point");
        assert!(!text.contains("wash.burn") && text.contains("Safe for hands"), "{cool} °C");
        let (_, tap) = text.split_once("data-result=\"wash.tap\"").expect("a warning about the tap");
        assert!(tap.split("</p>").next().unwrap().contains("3 s"));
    }
}

#[test]
fn what_is_said_of_the_health_authority_is_what_it_says() {
    let text = shown("40", "sign:point");
    let (_, panel) = text.split_once("data-keep=\"why-wash\"").expect("a Why panel");
    let panel = panel.split("</details>").next().unwrap();
    for said in
        ["vulnerable people", "whole-body immersion", "44 °C", "43 °C", "no limit for healthy adults’ hands"]
    {
        assert!(panel.contains(said), "{said} in {panel}");
    }
}

#[test]
fn what_cannot_be_is_refused() {
    for bad in [f64::NAN, f64::INFINITY, -1.0, 0.0] {
        assert_eq!(wash(&WashRequest { kept_ml: bad, ..WASH }).unwrap_err().field(), "kept_ml");
        assert_eq!(wash(&WashRequest { added_ml: bad, ..WASH }).unwrap_err().field(), "added_ml");
        assert_eq!(wash(&WashRequest { left_share: bad, ..WASH }).unwrap_err().field(), "left_share");
    }
    assert_eq!(wash(&WashRequest { water_c: 91.0, ..WASH }).unwrap_err().field(), "water_c");
    let endless = wash(&WashRequest { kept_ml: 20_000.0, added_ml: 10.0, ..WASH }).unwrap_err();
    assert_eq!(
        endless.to_string(),
        "It takes more than 30 such rinses to clear the water; add more water each time or drain better."
    );
}

proptest! {
    #![proptest_config(cases(0x3a5, 256, 20_000))]

    #[test]
    fn mixing_by_the_millilitre_gives_the_same(kept in 20.0..500.0, added in 100.0..3000.0, left in 0.001..0.3) {
        let plan = wash(&WashRequest { kept_ml: kept, added_ml: added, left_share: left, ..WASH }).unwrap();
        // A tracer of one gram: mix, pour off, keep what the sieve keeps.
        let mut grams = 1.0;
        for (i, said) in plan.left_after.iter().enumerate() {
            grams = grams / (kept + added) * kept;
            prop_assert!((grams - said).abs() < 1e-12);
            prop_assert_eq!(grams <= left * (1.0 + 1e-6), i + 1 == plan.left_after.len());
        }
    }
}
