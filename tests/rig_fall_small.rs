//! The fall of four small rigs against link angles stepped by an adaptive stiff solver (BDF of the scipy library, relative tolerance
//! 1e-8), written apart in `tests/reference/rig_fall.py`: a steep lay, one laid up-current, a float sliding in a drift,
//! a bare hook.
//!
//! Table: `tests/data/rig_fall_small.json`. Tolerance: same links, depth and place within 2e-4 m at every sample.
//! Left out: both use the same published laws, so this checks the stepping and the algebra, not the laws.

use dotdown::rig::fall::{FallSettings, Rig, fall};
use serde_json::Value;

#[test]
fn same_links_within_a_fifth_of_a_millimetre() {
    let table: Vec<Value> = serde_json::from_str(include_str!("data/rig_fall_small.json")).unwrap();
    assert_eq!(table.len(), 4);
    for case in table {
        let rig: Rig = serde_json::from_value(case["rig"].clone()).unwrap();
        let fall = fall(&rig, &FallSettings::default()).unwrap();
        assert_eq!(fall.n_links as u64, case["n_links"].as_u64().unwrap(), "{}", rig.name);
        for (ours, field) in [(&fall.hook_z_m, "hook_z_m"), (&fall.hook_x_m, "hook_x_m")] {
            let theirs = case[field].as_array().unwrap();
            assert_eq!(ours.len(), theirs.len());
            let worst =
                ours.iter().zip(theirs).map(|(a, b)| (a - b.as_f64().unwrap()).abs()).fold(0.0, f64::max);
            println!(
                "{} {field}: worst {worst:.1e} m, least tension {:.1e} N",
                rig.name, fall.least_tension_n
            );
            assert!(worst <= 2e-4, "{} {field}: {worst:e} m", rig.name);
        }
    }
}
