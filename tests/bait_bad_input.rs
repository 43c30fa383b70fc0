//! Numbers that cannot be: every field of the fall, the tub test and the amounts refuses them, names itself, and says
//! what is allowed. The sentences are part of the interface and stand here word for word.

use crate::common::cases;
use dotdown::bait::amount::{AmountRequest, Block, Feeding, Limit, Method, amount};
use dotdown::bait::material::{Label, Matter, TINS};
use dotdown::bait::shape::Shape;
use dotdown::bait::sink::{SinkRequest, sink};
use dotdown::bait::tub_test::{Drop, Target, TubTest, tub_test};
use dotdown::estimate::Estimate;
use proptest::prelude::*;

const NEVER: [f64; 4] = [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, -1e9];

type Change = fn(&mut Label, f64);

fn fall() -> SinkRequest {
    SinkRequest {
        matter: Matter::Label { label: TINS[0].label, air_share: 0.0, block: None, tests: None },
        shape: Shape::Cube { edge_mm: 6.0 },
        water_temperature_c: 15.0,
        depths_m: vec![1.0],
    }
}

fn tub() -> TubTest {
    TubTest {
        matter: Matter::Label { label: TINS[0].label, air_share: 0.0, block: None, tests: None },
        shape: Shape::Cube { edge_mm: 6.0 },
        tub_depth_m: 0.3,
        tub_depth_sd_m: 0.003,
        tub_temperature_c: 15.0,
        drops: vec![Drop { dropped_s: 10.0, landed_s: 15.5 }],
        pieces: 30,
        light: 0,
        targets: vec![Target {
            shape: Shape::Cube { edge_mm: 6.0 },
            water_temperature_c: 12.0,
            depths_m: vec![1.5],
        }],
    }
}

fn day() -> AmountRequest {
    AmountRequest {
        phases: vec![Feeding {
            line: "long".to_owned(),
            method: Method::Catapult,
            start_min: 0.0,
            minutes: 60.0,
            cubes_per_feed: 20,
            seconds_between: 30.0,
        }],
        edge_mm: 6.0,
        cube_mass_g: 0.2232,
        block: Block { length_mm: 90.0, width_mm: 55.0, height_mm: 39.0, net_g: 200.0 },
        pitch_mm: 6.4,
        hook_baits: 50,
        reserve_share: 0.1,
        limit: Some(Limit::Grams { grams: 2000.0 }),
        bag_g: 150.0,
        tins_in_hand: None,
    }
}

#[test]
fn the_fall_refuses_each_field() {
    let refused = |change: &dyn Fn(&mut SinkRequest)| {
        let mut request = fall();
        change(&mut request);
        sink(&request).unwrap_err().field().to_owned()
    };
    let parts: [(&str, Change); 6] = [
        ("label.fat_g", |l, v| l.fat_g = v),
        ("label.protein_g", |l, v| l.protein_g = v),
        ("label.carbohydrate_g", |l, v| l.carbohydrate_g = v),
        ("label.salt_g", |l, v| l.salt_g = v),
        ("label.fibre_g", |l, v| l.fibre_g = v),
        ("label.ash_g", |l, v| l.ash_g = Some(v)),
    ];
    for bad in NEVER {
        for (field, change) in parts {
            let mut label = TINS[0].label;
            change(&mut label, bad);
            assert_eq!(
                refused(&|r| r.matter = Matter::Label { label, air_share: 0.0, block: None, tests: None }),
                field
            );
        }
        assert_eq!(refused(&|r| r.water_temperature_c = bad), "water_temperature_c");
        assert_eq!(refused(&|r| r.depths_m = vec![1.0, bad]), "depths_m");
        assert_eq!(
            refused(&|r| r.matter =
                Matter::Label { label: TINS[0].label, air_share: bad, block: None, tests: None }),
            "air_share"
        );
        assert_eq!(
            refused(&|r| r.matter = Matter::Density { kg_per_m3: bad, sd_kg_per_m3: 1.0 }),
            "density_kg_per_m3"
        );
        assert_eq!(
            refused(&|r| r.matter = Matter::Density { kg_per_m3: 1030.0, sd_kg_per_m3: bad }),
            "sd_kg_per_m3"
        );
        assert_eq!(refused(&|r| r.shape = Shape::Cube { edge_mm: bad }), "shape.edge_mm");
        assert_eq!(refused(&|r| r.shape = Shape::Sphere { diameter_mm: bad }), "shape.diameter_mm");
        assert_eq!(
            refused(&|r| r.shape = Shape::Cylinder { diameter_mm: 8.0, length_mm: bad }),
            "shape.length_mm"
        );
        assert_eq!(
            refused(&|r| r.shape = Shape::Disc { diameter_mm: 8.0, thickness_mm: bad }),
            "shape.thickness_mm"
        );
    }
    assert_eq!(refused(&|r| r.depths_m = vec![1.0; 41]), "depths_m");
    let fast = Matter::Density { kg_per_m3: 3000.0, sd_kg_per_m3: 0.0 };
    let steel =
        sink(&SinkRequest { matter: fast, shape: Shape::Cube { edge_mm: 30.0 }, ..fall() }).unwrap_err();
    assert_eq!((steel.code(), steel.field()), ("beyond_drag_laws", "shape"));
}

#[test]
fn sentences() {
    let label = |label| {
        sink(&SinkRequest {
            matter: Matter::Label { label, air_share: 0.0, block: None, tests: None },
            ..fall()
        })
        .unwrap_err()
    };
    assert_eq!(
        label(Label { fat_g: 130.0, ..TINS[0].label }).to_string(),
        "The fat per 100 g must be from 0 to 100 g; 130 g was given."
    );
    assert_eq!(
        label(Label { fat_g: f64::NAN, ..TINS[0].label }).to_string(),
        "The fat per 100 g must be from 0 to 100 g; what was given is not a number that can be used."
    );
    let over = label(Label { fat_g: 90.0, ..TINS[0].label });
    assert_eq!(
        over.to_string(),
        "The label adds up to 109.475 g in 100 g, ash included; check fat, protein, carbohydrate, fibre and salt."
    );
    assert_eq!((over.code(), over.field()), ("label_over_100", "label"));
    let tub = |change: &dyn Fn(&mut TubTest)| {
        let mut test = tub();
        change(&mut test);
        let error = tub_test(&test).unwrap_err();
        (error.field().to_owned(), error.to_string())
    };
    let drop = |dropped_s, landed_s| Drop { dropped_s, landed_s };
    let told = |field: &str, text: &str| (field.to_owned(), text.to_owned());
    assert_eq!(
        tub(&|t| t.drops = vec![drop(0.0, 5.0), drop(10.0, 9.0)]),
        told("drops[1]", "Drop 2 landed before it was let go. Undo it and time it again.")
    );
    assert_eq!(
        tub(&|t| t.drops = vec![drop(3.0, 3.0)]),
        told("drops[0]", "Drop 1 landed before it was let go. Undo it and time it again.")
    );
    assert_eq!(
        tub(&|t| t.drops = vec![drop(3.0, 3.1)]),
        told("drops[0]", "Drop 1 took 0.1 s; a drop takes 0.3 to 120 s. Undo it and time it again.")
    );
    assert_eq!(
        tub(&|t| t.drops = vec![drop(0.0, 5.0); 51]),
        told("drops", "At most 50 drops are taken in one tub test; 51 were given.")
    );
    assert_eq!(
        tub(&|t| t.light = 31),
        told("light", "31 pieces came up again out of 30; give at least as many pieces as floaters.")
    );
    assert_eq!(
        tub(&|t| {
            t.tub_depth_m = 2.0;
            t.shape = Shape::Cube { edge_mm: 2.0 };
            t.drops = vec![drop(0.0, 0.5); 3];
        }),
        told(
            "drops",
            "No piece can fall so fast. Check the tub's depth, the size of the piece and the drops."
        )
    );
}

#[test]
fn the_tub_test_refuses_each_field() {
    let refused = |change: &dyn Fn(&mut TubTest)| {
        let mut test = tub();
        change(&mut test);
        tub_test(&test).unwrap_err().field().to_owned()
    };
    for bad in NEVER {
        assert_eq!(refused(&|t| t.tub_depth_m = bad), "tub_depth_m");
        assert_eq!(refused(&|t| t.tub_temperature_c = bad), "tub_temperature_c");
        assert_eq!(
            refused(&|t| t.matter =
                Matter::Label { label: TINS[0].label, air_share: bad, block: None, tests: None }),
            "air_share"
        );
        assert_eq!(
            refused(&|t| t.matter = Matter::Label {
                label: Label { fat_g: bad, ..TINS[0].label },
                air_share: 0.0,
                block: None,
                tests: None
            }),
            "label.fat_g"
        );
        assert_eq!(refused(&|t| t.shape = Shape::Cube { edge_mm: bad }), "shape.edge_mm");
        assert_eq!(refused(&|t| t.targets[0].water_temperature_c = bad), "targets.water_temperature_c");
        assert_eq!(refused(&|t| t.targets[0].depths_m[0] = bad), "targets.depths_m");
        assert_eq!(refused(&|t| t.drops[0].landed_s = bad), "drops[0]");
        assert_eq!(refused(&|t| t.drops[0].dropped_s = -bad), "drops[0]");
    }
    assert_eq!(refused(&|t| t.targets = vec![t.targets[0].clone(); 13]), "targets");
    assert_eq!(refused(&|t| t.pieces = 10_001), "pieces");
}

#[test]
fn the_amounts_refuse_each_field() {
    let refused = |change: &dyn Fn(&mut AmountRequest)| {
        let mut request = day();
        change(&mut request);
        let error = amount(&request).unwrap_err();
        assert!(error.to_string().ends_with('.'));
        error.field().to_owned()
    };
    for bad in NEVER {
        assert_eq!(refused(&|r| r.phases[0].start_min = bad), "phases.start_min");
        assert_eq!(refused(&|r| r.phases[0].minutes = bad), "phases.minutes");
        assert_eq!(refused(&|r| r.phases[0].seconds_between = bad), "phases.seconds_between");
        assert_eq!(refused(&|r| r.edge_mm = bad), "edge_mm");
        assert_eq!(refused(&|r| r.cube_mass_g = bad), "cube_mass_g");
        assert_eq!(refused(&|r| r.block.length_mm = bad), "block.length_mm");
        assert_eq!(refused(&|r| r.block.width_mm = bad), "block.width_mm");
        assert_eq!(refused(&|r| r.block.height_mm = bad), "block.height_mm");
        assert_eq!(refused(&|r| r.block.net_g = bad), "block.net_g");
        assert_eq!(refused(&|r| r.pitch_mm = bad), "pitch_mm");
        assert_eq!(refused(&|r| r.reserve_share = bad), "reserve_share");
        assert_eq!(refused(&|r| r.bag_g = bad), "bag_g");
        assert_eq!(refused(&|r| r.limit = Some(Limit::Tins { tins: bad })), "limit.tins");
        assert_eq!(refused(&|r| r.limit = Some(Limit::Grams { grams: bad })), "limit.grams");
    }
    assert_eq!(refused(&|r| r.phases[0].cubes_per_feed = 0), "phases.cubes_per_feed");
    assert_eq!(refused(&|r| r.phases[0].seconds_between = 0.0), "phases.seconds_between");
    assert_eq!(refused(&|r| r.hook_baits = 5001), "hook_baits");
    assert_eq!(refused(&|r| r.tins_in_hand = Some(201)), "tins_in_hand");
    assert_eq!(refused(&|r| r.phases = vec![r.phases[0].clone(); 41]), "phases");
    assert_eq!(
        refused(&|r| {
            r.edge_mm = 28.0;
            r.pitch_mm = 28.0;
            r.block.height_mm = 25.0;
        }),
        "block"
    );
    // The largest of everything is counted, not overflowed.
    let most = Feeding {
        start_min: 1440.0,
        minutes: 1440.0,
        cubes_per_feed: 2000,
        seconds_between: 1.0,
        ..day().phases[0].clone()
    };
    assert_eq!(refused(&|r| r.phases = vec![most.clone(); 40]), "phases");
}

proptest! {
    #![proptest_config(cases(0xbad, 256, 5_000))]

    #[test]
    fn a_tub_test_of_any_times_gives_numbers_in_order(
        times in prop::collection::vec(0.31..120.0, 0..50), depth in 0.1..2.0, edge in 2.0..30.0, t in 0.0..40.0,
        air in 0.0..0.3, light in 0_u32..40,
    ) {
        let test = TubTest {
            drops: times.iter().map(|s| Drop { dropped_s: 7.0, landed_s: 7.0 + s }).collect(),
            tub_depth_m: depth, tub_depth_sd_m: 0.003,tub_temperature_c: t, matter: Matter::Label { label: TINS[0].label, air_share: air, block: None, tests: None }, shape: Shape::Cube { edge_mm: edge },
            pieces: 40, light, ..tub()
        };
        match tub_test(&test) {
            Err(error) => prop_assert_eq!(error.code(), "no_fit"),
            Ok(result) => {
                let rising = |b: Estimate| b.low <= b.mid && b.mid <= b.high;
                let in_order = |b: Estimate| rising(b) && b.low >= 0.0 && b.high.is_finite();
                prop_assert!(result.tub_time_s.is_none_or(|time| time.low > 0.0 && time.mid.is_finite() && rising(time)), "{result:?}");
                prop_assert_eq!(result.tub_time_s.is_none(), result.floats_share >= 0.5);
                prop_assert!(rising(result.excess_kg_per_m3) && in_order(result.spread_kg_per_m3), "{result:?}");
                prop_assert!((0.0..=1.0).contains(&result.floats_share) && (0.0..=1.0).contains(&result.depth_share) && (0.0..=1.0).contains(&result.spread_share), "{result:?}");
                for target in &result.targets {
                    prop_assert!(in_order(target.speed_m_per_s) && in_order(target.piece_speed_m_per_s), "{target:?}");
                    prop_assert!(target.piece_speed_m_per_s.low <= target.speed_m_per_s.low, "{target:?}");
                    for fall in target.falls.iter().chain(&target.piece_falls) {
                        // Never is later than any time.
                        let [low, mid, high] = [fall.low_s, fall.mid_s, fall.high_s].map(|s| s.unwrap_or(f64::INFINITY));
                        prop_assert!(low <= mid && mid <= high, "{fall:?}");
                    }
                }
            }
        }
    }
}
