//! A rig's JSON object as a script hands it over: the three rigs of `tests/data/rig_fall`, through the component's reader,
//! against the same tables and tolerances as `rig_fall_golden.rs`; and objects that are no rig.

use dotdown::component::object::read;
use dotdown::rig::fall::{FallSettings, Float, Rig, fall};
use dotdown::rig::finder::{Aim, Finder, Request};
use serde_json::Value as Json;

const GOLDEN: [&str; 3] = [
    include_str!("data/rig_fall/g1_deck_bulk_90.json"),
    include_str!("data/rig_fall/g3_shallow050_90_25C.json"),
    include_str!("data/rig_fall/g6_deck_spread_90_20C_slide.json"),
];

fn rig_of(text: &str) -> Json {
    serde_json::from_str::<Json>(text).unwrap()["rig"].clone()
}

#[test]
fn a_rig_is_read_as_it_stands_and_its_fall_told_as_the_tables_are() {
    for text in GOLDEN {
        let golden: Json = serde_json::from_str(text).unwrap();
        let rig = read::<Rig>(golden["rig"].clone()).unwrap();
        let told = serde_json::to_value(fall(&rig, &FallSettings::default()).unwrap()).unwrap();
        let want = &golden["same_mesh"];
        assert_eq!(told["n_links"].as_f64(), want["n_links"].as_f64());
        for field in ["hook_z_m", "hook_x_m"] {
            let (ours, theirs) = (told[field].as_array().unwrap(), want[field].as_array().unwrap());
            assert_eq!(ours.len(), theirs.len());
            for (a, b) in ours.iter().zip(theirs) {
                assert!((a.as_f64().unwrap() - b.as_f64().unwrap()).abs() <= 2e-4, "{field}");
            }
        }
        for field in ["t_fraction_of_final_depth_s", "t_fraction_of_travel_s"] {
            for (share, t) in want[field].as_object().unwrap() {
                let (a, b) = (told[field][share].as_f64().unwrap(), t.as_f64().unwrap());
                assert!((a / b - 1.0).abs() < 5e-4, "{field} {share}: {a} for {b} s");
            }
        }
    }
}

/// The page and its worker talk in postcard bytes.
#[test]
fn a_rig_and_a_search_survive_the_way_to_the_worker() {
    fn there_and_back<T: serde::Serialize + serde::de::DeserializeOwned + PartialEq + std::fmt::Debug>(
        sent: &T,
    ) {
        let bytes = postcard::to_allocvec(sent).unwrap();
        assert_eq!(&postcard::from_bytes::<T>(&bytes).unwrap(), sent);
    }
    for text in GOLDEN {
        let mut rig = read::<Rig>(rig_of(text)).unwrap();
        there_and_back(&rig);
        (rig.bait.sphericity, rig.bait.added_mass, rig.bait.free_m_per_s) = (0.7, 1.5, Some(0.08));
        rig.lowered_m_per_s = Some(0.1);
        rig.float = Float::Slide { mass_kg: 0.001, cda_m2: 0.0002 };
        there_and_back(&rig);
        rig.lowered_m_per_s = None;
        let aim = Aim::GetDownFast;
        let request = Request {
            rig,
            aim,
            most_groups: 1,
            kept: Vec::new(),
            on_hooklength: true,
            latest_s: None,
            feed_m_per_s: None,
        };
        there_and_back(&request);
        there_and_back(&Finder::new(request).unwrap().step(3).unwrap());
    }
}

#[test]
fn what_is_not_known_or_missing_is_named() {
    for (path, wrong) in [
        ("colour", Json::from("green")),
        ("temperature_C", Json::Null),
        ("main", Json::from(3)),
        ("shots", Json::from("many")),
        ("float", serde_json::json!({"mode": "fly"})),
    ] {
        let mut rig = rig_of(GOLDEN[0]);
        rig[path] = wrong;
        let refused = read::<Rig>(rig).unwrap_err();
        assert!(refused.field().starts_with(path), "{refused:?}");
    }
    assert!(read::<Rig>(Json::from(1)).is_err());
}
