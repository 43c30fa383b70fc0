#![expect(clippy::cast_possible_truncation, clippy::float_cmp, reason = "small counts; exact zeros")]

use super::*;
use crate::physics::water;
use crate::physics::water::weight_in_water_ng;
use crate::trade::shot::{SHOT_SIZES, nominal_mass, usual_kg_per_m3};
use crate::units::TenthMg;
use proptest::prelude::*;

fn boxed(name: &str, mass: u32, count: u32) -> BoxedShot {
    BoxedShot {
        name: name.to_owned(),
        mass_tenth_mg: TenthMg(mass),
        density_kg_per_m3: usual_kg_per_m3("", TenthMg(mass)).into(),
        count,
        fixed: 0,
    }
}

fn usual_box(count: u32) -> Vec<BoxedShot> {
    SHOT_SIZES.iter().map(|size| boxed(size.name, size.mass.0, count)).collect()
}

fn request(load: u32, shot_box: Vec<BoxedShot>) -> BalanceRequest {
    BalanceRequest {
        float: Float {
            load_tenth_mg: TenthMg(load),
            tip_diameter_mm: 1.0,
            tip_length_mm: 25.0,
            own_mass_tenth_mg: None,
            contact_deg: None,
        },
        temperature_c: 15.0,
        shot_box,
        hook: None,
        bait: None,
        line: Vec::new(),
        resting: Resting::default(),
        wanted_tip_mm: 2.0,
        wanted_state: DottedWith::BaitHanging,
        max_sizes: 3,
        max_shots: 30,
        taste: ShotPreference::ManySmall,
        close_enough_mm: 1.0,
    }
}

/// Every set that the box allows, one after the other, and of those the unbeaten: (sizes, shots, distance).
fn exhaustive(request: &BalanceRequest, answer: &Balance) -> Vec<(u32, u32, u64, u32)> {
    let water = water::density_kg_per_m3(request.temperature_c);
    let weights: Vec<i64> = request
        .shot_box
        .iter()
        .map(|s| weight_in_water_ng(f64::from(s.mass_tenth_mg.0) * 1e5, s.density_kg_per_m3, water))
        .collect();
    let showing = (request.wanted_tip_mm * answer.tip_ng_per_mm as f64).round() as i64;
    let covered =
        ((request.float.tip_length_mm - request.wanted_tip_mm) * answer.tip_ng_per_mm as f64).round() as i64;
    let mut all = Vec::new();
    let mut counts: Vec<u32> = request.shot_box.iter().map(|s| s.fixed).collect();
    loop {
        let sizes = counts.iter().filter(|&&n| n > 0).count() as u32;
        let shots: u32 = counts.iter().sum();
        let weight: i64 = counts.iter().zip(&weights).map(|(&n, w)| i64::from(n) * w).sum();
        let remainder = answer.wanted_shot_ng - weight;
        if sizes <= request.max_sizes && shots <= request.max_shots && -remainder <= showing {
            all.push((sizes, shots, remainder));
        }
        let mut place = 0;
        loop {
            let Some(shot) = request.shot_box.get(place) else {
                let near: Vec<_> = all.iter().copied().filter(|set| set.2 <= covered).collect();
                assert_eq!(answer.on_tip, !near.is_empty());
                return unbeaten(if near.is_empty() { nearest(&all) } else { near });
            };
            if counts[place] < shot.count {
                counts[place] += 1;
                break;
            }
            counts[place] = shot.fixed;
            place += 1;
        }
    }
}

fn nearest(all: &[(u32, u32, i64)]) -> Vec<(u32, u32, i64)> {
    let least = all.iter().map(|set| set.2.abs()).min();
    all.iter().copied().filter(|set| Some(set.2.abs()) == least).collect()
}

fn unbeaten(all: Vec<(u32, u32, i64)>) -> Vec<(u32, u32, u64, u32)> {
    let mut cells = std::collections::BTreeMap::new();
    for (sizes, shots, remainder) in all {
        let distance = remainder.unsigned_abs();
        let cell = cells.entry((sizes, shots)).or_insert((distance, 0));
        if distance < cell.0 {
            *cell = (distance, 0);
        }
        cell.1 += u32::from(distance == cell.0);
    }
    let beaten = |&(sizes, shots): &(u32, u32), distance: u64| {
        cells.iter().any(|(&(s, n), &(d, _))| {
            s <= sizes && n <= shots && d <= distance && (s, n, d) != (sizes, shots, distance)
        })
    };
    cells
        .iter()
        .filter(|(key, (distance, _))| !beaten(key, *distance))
        .map(|(&(sizes, shots), &(distance, equals))| (sizes, shots, distance, equals))
        .collect()
}

fn told(answer: &Balance) -> Vec<(u32, u32, u64, u32)> {
    let mut told: Vec<_> = answer
        .sets
        .iter()
        .map(|set| (set.sizes, set.shots_total, set.remainder_ng.unsigned_abs(), set.equals))
        .collect();
    told.sort_unstable();
    told.dedup();
    told
}

prop_compose! {
    /// Small boxes that lean to near-ties: masses from a coarse grid as often as from anywhere.
    fn small_request()(
        shots in prop::collection::vec((prop_oneof![(1_u32..12).prop_map(|m| m * 100), 50_u32..2000], 0_u32..8, 0_u32..3, 0_usize..3), 1..6),
        load in 100_u32..6000,
        tip in (0.5_f64..2.0, 5.0_f64..30.0, 0.0_f64..1.0),
        max_sizes in 1_u32..5,
        max_shots in 1_u32..26,
        temperature_c in 0.0_f64..30.0,
        few in any::<bool>(),
        bottom in any::<bool>(),
    ) -> BalanceRequest {
        let densities = [11350.0, 7310.0, 9747.0];
        let shot_box = shots
            .into_iter()
            .enumerate()
            .map(|(i, (mass, count, fixed, kind))| BoxedShot {
                name: i.to_string(),
                mass_tenth_mg: TenthMg(mass),
                density_kg_per_m3: densities[kind],
                count,
                fixed: if fixed == 2 { count.min(1) } else { 0 },
            })
            .collect();
        let mut made = request(load, shot_box);
        made.float.tip_diameter_mm = tip.0;
        made.float.tip_length_mm = tip.1;
        made.wanted_tip_mm = tip.1 * tip.2;
        made.max_sizes = max_sizes;
        made.max_shots = max_shots;
        made.temperature_c = temperature_c;
        made.taste = if few { ShotPreference::FewLarge } else { ShotPreference::ManySmall };
        made.bait = Some(Bait { side_mm: 5.0, density_kg_per_m3: 1040.0 });
        made.wanted_state = if bottom { DottedWith::BaitOnBottom } else { DottedWith::BaitHanging };
        made
    }
}

proptest! {
    #![proptest_config(crate::draw::cases(0xba1, 30_000, 300_000))]

    #[test]
    fn equals_exhaustive_search(request in small_request()) {
        match balance(&request) {
            Ok(answer) => {
                prop_assert_eq!(told(&answer), exhaustive(&request, &answer));
                for set in &answer.sets {
                    let count: u32 = set.shots.iter().map(|s| s.count).sum();
                    prop_assert_eq!(count, set.shots_total);
                    for (i, shot) in request.shot_box.iter().enumerate() {
                        let used = set.shots.iter().find(|s| s.index == i).map_or(0, |s| s.count);
                        prop_assert!(used >= shot.fixed && used <= shot.count);
                    }
                }
            }
            Err(refused) => {
                let (mut sizes, mut shots) = (0, 0);
                for shot in request.shot_box.iter().filter(|shot| shot.fixed > 0) {
                    (sizes, shots) = (sizes + 1, shots + shot.fixed);
                }
                match refused.code() {
                    "empty_box" => prop_assert!(request.shot_box.iter().all(|s| s.count == 0)),
                    "fixed_too_many" => {
                        prop_assert!(sizes > request.max_sizes || shots > request.max_shots);
                    }
                    "cannot_carry" => {}
                    other => prop_assert!(false, "{other}"),
                }
            }
        }
    }

    /// What is told of a set follows from the model alone, with its own floats.
    #[test]
    fn tip_left_is_the_balance_of_forces(request in small_request()) {
        if let Ok(answer) = balance(&request) {
            let rho = water::density_kg_per_m3(request.temperature_c);
            let rho15 = water::density_kg_per_m3(15.0);
            let lift = request.float.load_tenth_mg.kg() * (1.0 - rho15 / 11350.0);
            let r = request.float.tip_diameter_mm * 0.5e-3;
            let per_mm = core::f64::consts::PI * r * r * 1e-3 * rho;
            for set in &answer.sets {
                let shot: f64 = set.shots.iter().map(|s| {
                    let kind = &request.shot_box[s.index];
                    f64::from(s.count) * kind.mass_tenth_mg.kg() * (1.0 - rho / kind.density_kg_per_m3)
                }).sum();
                let bait = 0.005_f64.powi(3) * (1040.0 - rho);
                let expected = request.float.tip_length_mm - (shot + bait - lift) / per_mm;
                // The tip's lift is rounded to a nanogram per millimetre, 1e-5 of the thinnest tip's.
                let near = |a: f64, b: f64| (a - b).abs() < 1e-3 + 1e-5 * b.abs();
                prop_assert!(near(set.tip_hanging_mm, expected));
                let expected = request.float.tip_length_mm - (shot - lift) / per_mm;
                prop_assert!(near(set.tip_bottom_mm, expected));
                prop_assert!(set.off_mm >= 0.0);
                let tip = match request.wanted_state {
                    DottedWith::BaitHanging => set.tip_hanging_mm,
                    DottedWith::BaitOnBottom => set.tip_bottom_mm,
                };
                prop_assert!(((tip - request.wanted_tip_mm).abs() - set.off_mm).abs() < 1e-3);
                prop_assert!(tip >= -1e-3, "a set that takes the float under was told");
            }
        }
    }
}

/// Common practice, no published source: a float of about 0.4 g takes 11 No. 10 (here with a light hook, dotted).
#[test]
fn a_four_tenths_float_takes_eleven_number_tens() {
    let ten = nominal_mass("No. 10").unwrap();
    let mut request = request(4000, vec![boxed("No. 10", ten.0, 60)]);
    request.hook = Some(Hook { mass_tenth_mg: TenthMg(150), density_kg_per_m3: 7850.0 });
    let answer = balance(&request).unwrap();
    assert_eq!(answer.sets.len(), 1);
    assert_eq!(answer.sets[0].shots[0].count, 11);
}

/// The definition itself: the load in lead, hung at 15 °C, leaves the whole tip and nothing of the body.
#[test]
fn the_load_in_lead_brings_the_water_to_the_base_of_the_tip() {
    let mut request = request(4000, vec![boxed("lead", 400, 10)]);
    request.wanted_tip_mm = 25.0;
    let answer = balance(&request).unwrap();
    let best = answer.sets.iter().min_by_key(|set| set.remainder_ng.abs()).unwrap();
    assert_eq!(best.shots_total, 10);
    // Ten shots, each rounded to a nanogram: a hundred-thousandth of a millimetre of tip.
    assert!(best.remainder_ng.abs() <= 5 && (best.tip_hanging_mm - 25.0).abs() < 1e-5);
    assert_eq!(best.hanging, Waterline::OnTip);
}

#[test]
fn a_hanging_six_millimetre_cube_is_worth_many_millimetres() {
    let mut request = request(4000, usual_box(40));
    request.bait = Some(Bait { side_mm: 6.0, density_kg_per_m3: 1040.0 });
    let answer = balance(&request).unwrap();
    // 216 mm3 times (1040 - 999.103) kg/m3 is 8.834 mg; a millimetre of a 1 mm tip displaces 0.7847 mg.
    assert!((answer.bait_worth_mm - 11.258).abs() < 0.002);
    assert!(!answer.sets.is_empty());
    for set in &answer.sets {
        assert!((set.tip_bottom_mm - set.tip_hanging_mm - answer.bait_worth_mm).abs() < 1e-6);
    }
}

#[test]
fn the_bed_carries_hook_and_line_too() {
    let mut request = request(4000, usual_box(40));
    request.bait = Some(Bait { side_mm: 6.0, density_kg_per_m3: 1040.0 });
    request.hook = Some(Hook { mass_tenth_mg: TenthMg(150), density_kg_per_m3: 7850.0 });
    request.line = vec![
        LinePiece { length_m: 2.0, diameter_mm: 0.15, density_kg_per_m3: 1140.0 },
        LinePiece { length_m: 0.15, diameter_mm: 0.10, density_kg_per_m3: 1140.0 },
    ];
    let with_hook = balance(&request).unwrap();
    assert_eq!(with_hook.resting_ng, with_hook.bait_ng + with_hook.hook_ng);
    request.resting = Resting { hook: false, line_m: 0.0 };
    assert_eq!(balance(&request).unwrap().resting_ng, with_hook.bait_ng);
    request.resting = Resting { hook: true, line_m: 2.15 };
    let all = balance(&request).unwrap();
    assert!((all.resting_ng - with_hook.bait_ng - with_hook.hook_ng - with_hook.line_ng).abs() <= 1);
    request.resting.line_m = 2.2;
    assert_eq!(balance(&request).unwrap_err().field(), "resting.line_m");
}

#[test]
fn a_weighed_float_counts_its_own_change_of_lift() {
    let mut request = request(4000, usual_box(40));
    request.temperature_c = 25.0;
    let unweighed = balance(&request).unwrap();
    assert!(unweighed.left_out_mm < 0.0, "warm water lifts less, so the float sits lower than told");
    request.float.own_mass_tenth_mg = Some(TenthMg(4000));
    let weighed = balance(&request).unwrap();
    let lost = unweighed.lift_ng - weighed.lift_ng;
    assert!((lost as f64 / weighed.tip_ng_per_mm as f64 + unweighed.left_out_mm).abs() < 1e-6);
    assert_eq!(weighed.left_out_mm, 0.0);
    request.temperature_c = 15.0;
    assert_eq!(balance(&request).unwrap().lift_ng, unweighed.lift_ng);
}

#[test]
fn floating_bait_is_not_held_by_the_bottom() {
    let mut request = request(4000, usual_box(40));
    request.bait = Some(Bait { side_mm: 6.0, density_kg_per_m3: 900.0 });
    let answer = balance(&request).unwrap();
    assert!(answer.bait_ng < 0);
    assert_eq!(answer.resting_ng, 0);
}

#[test]
fn taste_only_orders() {
    let mut request = request(8000, usual_box(40));
    let many = balance(&request).unwrap();
    request.taste = ShotPreference::FewLarge;
    let few = balance(&request).unwrap();
    assert_eq!(told(&many), told(&few));
    // Those within a millimetre of the nearest are equals: fewer sizes first, then by taste.
    let nearest = |answer: &Balance| answer.sets.iter().map(|s| s.off_mm).fold(f64::INFINITY, f64::min);
    let equals = |answer: &Balance| -> Vec<(u32, u32)> {
        let most = nearest(answer) + request.close_enough_mm;
        answer.sets.iter().take_while(|s| s.off_mm <= most).map(|s| (s.sizes, s.shots_total)).collect()
    };
    assert!(equals(&many).len() > 1);
    assert!(equals(&many).is_sorted_by_key(|(sizes, shots)| (*sizes, core::cmp::Reverse(*shots))));
    assert!(equals(&few).is_sorted());
    let after: Vec<f64> = few.sets.iter().skip(equals(&few).len()).map(|s| s.off_mm).collect();
    assert!(after.iter().all(|off| *off > nearest(&few) + request.close_enough_mm), "{after:?}");
}

#[test]
fn one_size_goes_before_two_for_what_nobody_sees() {
    // A tip of 2 mm: 3 mg a millimetre, so that a tenth of one is 0.3 mg; the mixture is the nearer by less than that.
    let shots = vec![boxed("13", 150, 20), boxed("11", 260, 20)];
    let mut asked = request(1_200, shots);
    asked.close_enough_mm = 0.5;
    let sets = balance(&asked).unwrap().sets;
    let place = |sizes: u32| sets.iter().position(|set| set.sizes == sizes);
    if let (Some(one), Some(two)) = (place(1), place(2))
        && sets[one].off_mm < sets[two].off_mm + 0.5
    {
        assert!(one < two, "{sets:?}");
    }
    assert!(place(1).is_some() && place(2).is_some(), "{sets:?}");
}

#[test]
fn the_order_in_the_box_does_not_change_the_sets() {
    let forward = balance(&request(5000, usual_box(20))).unwrap();
    let mut shots = usual_box(20);
    shots.reverse();
    let backward = balance(&request(5000, shots)).unwrap();
    let names = |answer: &Balance| -> Vec<Vec<(String, u32)>> {
        answer.sets.iter().map(|s| s.shots.iter().map(|c| (c.name.clone(), c.count)).collect()).collect()
    };
    assert_eq!(names(&forward), names(&backward));
}

#[test]
fn equals_are_counted_and_kept() {
    // 2 of 300 and 1 + 1 of 200 and 400 differ in sizes; 200 + 500 and 300 + 400 are equals.
    let shots = vec![boxed("a", 200, 1), boxed("b", 300, 1), boxed("c", 400, 1), boxed("d", 500, 1)];
    let mut request = request(700, shots);
    request.wanted_tip_mm = 25.0;
    let answer = balance(&request).unwrap();
    let best: Vec<_> = answer.sets.iter().filter(|s| s.remainder_ng == 0).collect();
    assert_eq!(best.len(), 2);
    assert!(best.iter().all(|s| s.equals == 2 && s.sizes == 2));
    assert_eq!((best[0].shots[0].name.as_str(), best[1].shots[0].name.as_str()), ("d", "c"));
}

#[test]
fn a_box_too_light_tells_the_nearest() {
    let answer = balance(&request(10_000, vec![boxed("No. 10", 350, 5)])).unwrap();
    assert!(!answer.on_tip);
    assert_eq!(answer.sets.len(), 1);
    assert_eq!(answer.sets[0].shots_total, 5);
    assert_eq!(answer.sets[0].hanging, Waterline::BodyShows);
}

#[test]
fn a_bait_that_takes_the_float_under_is_told() {
    let mut request = request(600, usual_box(40));
    request.wanted_state = DottedWith::BaitOnBottom;
    request.bait = Some(Bait { side_mm: 8.0, density_kg_per_m3: 1060.0 });
    let answer = balance(&request).unwrap();
    assert_eq!(answer.sets[0].hanging, Waterline::Under);
    assert!(answer.sets[0].tip_hanging_mm < 0.0);
    assert_eq!(answer.sets[0].bottom, Waterline::OnTip);
    request.bait = Some(Bait { side_mm: 20.0, density_kg_per_m3: 1060.0 });
    request.wanted_state = DottedWith::BaitHanging;
    let error = balance(&request).unwrap_err();
    assert_eq!(error.code(), "cannot_carry");
}

#[test]
fn every_refusal_says_what_to_do() {
    let good = request(4000, usual_box(10));
    let refuse = |change: &dyn Fn(&mut BalanceRequest)| {
        let mut bad = good.clone();
        change(&mut bad);
        let error = balance(&bad).unwrap_err();
        (error.code(), error.field().to_owned(), error.to_string())
    };
    let told = refuse(&|r| r.temperature_c = f64::NAN);
    assert_eq!(
        told.2,
        "temperature_c must be from 0 to 40 °C; what was given is not a number that can be used."
    );
    let told = refuse(&|r| r.wanted_tip_mm = 25.5);
    assert_eq!(told.2, "wanted_tip_mm must be from 0 to 25 mm; 25.5 mm was given.");
    assert_eq!(refuse(&|r| r.float.load_tenth_mg = TenthMg(u32::MAX)).1, "float.load_tenth_mg");
    assert_eq!(refuse(&|r| r.float.tip_diameter_mm = f64::INFINITY).1, "float.tip_diameter_mm");
    assert_eq!(refuse(&|r| r.max_sizes = 0).1, "max_sizes");
    assert_eq!(refuse(&|r| r.max_shots = u32::MAX).1, "max_shots");
    assert_eq!(refuse(&|r| r.shot_box.clear()).0, "empty_box");
    assert_eq!(refuse(&|r| r.shot_box.iter_mut().for_each(|s| s.count = 0)).0, "empty_box");
    assert_eq!(refuse(&|r| r.shot_box = vec![r.shot_box[0].clone(); 25]).0, "box_too_large");
    assert_eq!(refuse(&|r| r.shot_box[1].mass_tenth_mg = TenthMg(0)).1, "shot_box.1.mass_tenth_mg");
    assert_eq!(refuse(&|r| r.shot_box[1].density_kg_per_m3 = -1.0).1, "shot_box.1.density_kg_per_m3");
    let told = refuse(&|r| r.shot_box[3].fixed = 11);
    assert_eq!(told.1, "shot_box.3.fixed");
    assert_eq!(
        told.2,
        "11 of No. 10 are fixed on the rig, but only 10 are in the box: add some or fix fewer."
    );
    assert_eq!(refuse(&|r| r.shot_box.iter_mut().take(4).for_each(|s| s.fixed = 1)).0, "fixed_too_many");
    assert_eq!(refuse(&|r| r.shot_box[0].count = u32::MAX).1, "shot_box.0.count");
    let pieces = |r: &mut BalanceRequest| {
        r.line = vec![LinePiece { length_m: -1.0, diameter_mm: 0.1, density_kg_per_m3: 1140.0 }];
    };
    assert_eq!(refuse(&pieces).1, "line.0.length_m");
}

#[test]
fn a_request_in_javascript_words_is_read() {
    let text = r#"{"float":{"load_tenth_mg":4000,"tip_diameter_mm":1.0,"tip_length_mm":25.0},"temperature_c":15.0,
        "shot_box":[{"name":"No. 10","mass_tenth_mg":350,"density_kg_per_m3":11350.0,"count":40}],
        "wanted_tip_mm":2.0,"max_sizes":3,"max_shots":30}"#;
    let request: BalanceRequest = serde_json::from_str(text).unwrap();
    assert_eq!(request.resting, Resting { hook: true, line_m: 0.0 });
    let answer = balance(&request).unwrap();
    let back: Balance = serde_json::from_str(&serde_json::to_string(&answer).unwrap()).unwrap();
    assert_eq!(back.sets, answer.sets);
}

/// By hand: a 1 mm tip at 70° and 15 °C is pulled down by 8.0 mg, 10.3 mm of it (facts, part 2); without an angle by nothing. The
/// shot that dots it is lighter by as much.
#[test]
fn water_that_climbs_the_tip_takes_its_share_of_the_load() {
    let plain = request(4_000, usual_box(20));
    let mut wet = plain.clone();
    wet.float.contact_deg = Some(70.0);
    let (plain, wet) = (balance(&plain).unwrap(), balance(&wet).unwrap());
    assert_eq!((plain.meniscus_ng, plain.lift_ng), (0, wet.lift_ng));
    let mm = wet.meniscus_ng as f64 / wet.tip_ng_per_mm as f64;
    assert!((mm - 10.3).abs() < 0.1, "{mm}");
    assert_eq!(plain.wanted_shot_ng - wet.wanted_shot_ng, wet.meniscus_ng);
    let mut bad = request(4_000, usual_box(20));
    for angle in [-1.0, 181.0, f64::NAN] {
        bad.float.contact_deg = Some(angle);
        assert_eq!(balance(&bad).unwrap_err().field(), "float.contact_deg");
    }
}
