//! The wash planner against the published times to a burn and the dilution law.
//!
//! Sources: industry table of second-degree burns in adults (consistent with Moritz and Henriques 1947); US Consumer
//! Product Safety Commission: 66 °C 2 s, 60 °C 6 s, 54 °C 30 s, 49 °C 5 min; UK Health and Safety Executive: immersion up
//! to 44 °C. Where they disagree the shorter must be printed. The CPSC's are for a serious burn of an adult.

mod common;

use common::cases;
use dotdown::bait::wash::{WashRequest, burns_in_s, wash};
use dotdown::error::Fault;
use proptest::prelude::*;

const WASH: WashRequest = WashRequest {
    kept_ml: 200.0,
    added_ml: 1000.0,
    left_share: 0.01,
    water_c: 40.0,
    hot_c: 60.0,
    cold_c: 10.0,
};

#[test]
fn never_longer_than_any_published_time() {
    let industry = [
        (45.0, 7200.0),
        (47.0, 1200.0),
        (48.0, 900.0),
        (49.0, 480.0),
        (51.0, 120.0),
        (55.0, 17.0),
        (60.0, 3.0),
    ];
    let cpsc = [(66.0, 2.0), (60.0, 6.0), (54.0, 30.0), (49.0, 300.0)];
    for (t, s) in industry.into_iter().chain(cpsc) {
        let ours = burns_in_s(t).unwrap();
        assert!(ours <= s * (1.0 + 1e-12), "{t} °C: {ours} s against {s} s");
        assert!(ours > 0.5 * s, "{t} °C: {ours} s is far shorter than {s} s");
    }
    assert_eq!((burns_in_s(44.0), burns_in_s(20.0)), (None, None));
    for i in 0..400 {
        let t = 44.1 + 0.1 * f64::from(i);
        assert!(burns_in_s(t + 0.1).unwrap() <= burns_in_s(t).unwrap(), "{t}");
    }
}

#[test]
fn hot_water_is_called_hot() {
    let plan = wash(&WashRequest { water_c: 55.0, ..WASH }).unwrap();
    assert!(
        !plan.hands_safe
            && (plan.burns_in_s.unwrap() - 17.0).abs() < 1e-9
            && plan.caution.starts_with("Too hot")
    );
    // 55 °C out of 60 and 10 °C: nine tenths hot.
    assert!((plan.hot_ml.unwrap() - 900.0).abs() < 1e-9);
    assert_eq!(wash(&WashRequest { water_c: 70.0, ..WASH }).unwrap().hot_ml, None);
    assert!(wash(&WashRequest { water_c: 15.0, ..WASH }).unwrap().caution.starts_with("Cold water"));
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
