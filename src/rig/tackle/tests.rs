use super::*;
use crate::estimate::Estimate;
use crate::trade::shot::nominal_mass;
use proptest::prelude::*;

fn line(diameter_mm: f64) -> LineSpec {
    LineSpec { diameter_mm, spool_kg: None }
}

fn spool(diameter_mm: f64, kg: f64) -> LineSpec {
    LineSpec { diameter_mm, spool_kg: Some(kg) }
}

fn request(main: LineSpec, hooklength: LineSpec) -> TackleRequest {
    TackleRequest { main, hooklength: Some(hooklength), knot: None, elastic: None }
}

fn elastic() -> Elastic {
    Elastic {
        section: Section::Solid { diameter_mm: 1.6 },
        off_share: 0.0,
        relaxed_m: 1.5,
        kit_m: 2.0,
        taken_up_m: 0.0,
        run_m: 3.0,
    }
}

fn check(request: &TackleRequest) -> Tackle {
    check_tackle(request, &TackleSettings::default()).unwrap()
}

fn codes(request: &TackleRequest) -> Vec<String> {
    let name = |w: &TackleWarning| serde_json::to_value(w).unwrap()["code"].as_str().unwrap().to_owned();
    check(request).warnings.iter().map(name).collect()
}

#[test]
fn strength_is_section_times_nylon_times_knot() {
    let tackle = check(&request(line(0.15), line(0.10)));
    // 0.017671 mm2 times 700 MPa, a tenth less wet, times 0.8; down by 0.2412, 0.1178 and 0.4700 and up by 0.3959, 0.1054 and
    // 0.1719 in the logarithm, as squares.
    assert!((tackle.main.newtons.mid - 8.906).abs() < 1e-3);
    assert!((tackle.main.newtons.low - 5.1838).abs() < 1e-3, "{:?}", tackle.main);
    assert!((tackle.main.newtons.high - 13.8881).abs() < 1e-3, "{:?}", tackle.main);
    let mut known = request(spool(0.15, 2.0), spool(0.10, 1.0));
    known.knot = Some(0.5);
    let tackle = check(&known);
    assert!((tackle.main.kg.mid - 1.0).abs() < 1e-12);
    assert!((tackle.weaker_by_n.unwrap() - 0.5 * 9.80665).abs() < 1e-12);
    assert!(tackle.main.from_spool);
}

#[test]
fn the_weak_link_is_told_at_its_edges() {
    // Knots (0.5 to 0.95) and spools (0.85 to 1.1) as 90 % bands of logarithms: a standard deviation of 0.297 between two lines,
    // so that three in four are met at 0.8186 of the main line.
    assert_eq!(codes(&request(spool(0.15, 2.0), spool(0.15, 1.62))), Vec::<String>::new());
    assert_eq!(codes(&request(spool(0.15, 2.0), spool(0.15, 1.66))), ["hooklength_close"]);
    let chance = |kg| check(&request(spool(0.15, 2.0), spool(0.15, kg))).weaker_chance.unwrap();
    assert!((chance(2.0) - 0.5).abs() < 1e-9 && (chance(1.637) - 0.75).abs() < 0.012 && chance(1.0) > 0.97);
    assert_eq!(codes(&request(spool(0.15, 2.0), spool(0.15, 1.999))), ["hooklength_close"]);
    assert_eq!(codes(&request(spool(0.15, 2.0), spool(0.15, 2.0))), ["hooklength_not_weaker"]);
    assert_eq!(codes(&request(line(0.12), line(0.12))), ["hooklength_not_weaker"]);
    assert_eq!(codes(&request(line(0.12), line(0.1199))), ["hooklength_close"]);
    let mut none = request(line(0.12), line(0.1));
    none.hooklength = None;
    assert_eq!(codes(&none), ["no_hooklength"]);
    assert!(check(&none).ratio.is_none());
}

/// The low end of what a kilogram on a spool holds at a knot, kg: 0.8 times exp of minus the hypotenuse of ln(1/0.85) and
/// ln(0.8/0.5).
const LOW_OF_SPOOL: f64 = 0.486532235;

#[test]
fn a_spool_and_a_rule_of_thumb_are_not_trusted_together() {
    // The thumb puts 0.10 mm at 6.2 N at most at the knot.
    let kg = 6.1725 / (9.80665 * LOW_OF_SPOOL);
    assert_eq!(codes(&request(spool(0.2, kg * 1.001), line(0.10))), Vec::<String>::new());
    assert_eq!(codes(&request(spool(0.2, kg * 0.999), line(0.10))), ["mixed_sources"]);
}

#[test]
fn elastic_pulls_as_rubber() {
    let pull = elastic().pull(1.0);
    assert!((pull.stretch - 2.0).abs() < 1e-12);
    let stress = crate::physics::rubber::nominal_stress_mpa(&crate::physics::rubber::OGDEN_1972, 2.0);
    assert!((pull.newtons.mid - stress * core::f64::consts::PI * 0.64).abs() < 1e-12);
    let hollow = Section::Hollow { outer_mm: 2.0, inner_mm: 1.0 };
    assert!((hollow.area_mm2() - core::f64::consts::PI * 0.75).abs() < 1e-12);
    // Slack elastic does not pull.
    let slack = Elastic { relaxed_m: 3.0, ..elastic() };
    assert!(slack.pull(0.5).newtons.high.abs() < 1e-12);
    assert!(slack.pull(1.5).newtons.mid > 0.0);
}

#[test]
fn elastic_warnings_come_at_their_edges() {
    let mut asked = request(spool(0.15, 2.0), spool(0.10, 1.0));
    asked.elastic = Some(elastic());
    let report = check(&asked).elastic.unwrap();
    // A hooklength that holds exactly the pull at the run, by the middle figures.
    let set_kg = |asked: &mut TackleRequest, kg: f64| asked.hooklength = Some(spool(0.10, kg));
    let mid_kg = report.run.newtons.mid / 9.80665 / 0.8;
    set_kg(&mut asked, mid_kg * 0.999_999);
    assert_eq!(codes(&asked), ["elastic_breaks_line"]);
    set_kg(&mut asked, mid_kg * 1.000_001);
    assert_eq!(codes(&asked), ["elastic_may_break_line"]);
    // And one whose weakest knot holds exactly the stiffest pull.
    let high_kg = report.run.newtons.high / 9.80665 / LOW_OF_SPOOL;
    asked.main = spool(0.15, 10.0);
    set_kg(&mut asked, high_kg * 0.999_999);
    assert_eq!(codes(&asked), ["elastic_may_break_line"]);
    set_kg(&mut asked, high_kg * 1.000_001);
    assert_eq!(codes(&asked), Vec::<String>::new());

    let with = |change: &dyn Fn(&mut Elastic)| {
        let mut asked = request(spool(0.2, 20.0), spool(0.18, 10.0));
        let mut changed = elastic();
        change(&mut changed);
        asked.elastic = Some(changed);
        codes(&asked)
    };
    assert_eq!(with(&|e| e.relaxed_m = 2.0), Vec::<String>::new());
    assert_eq!(with(&|e| e.relaxed_m = 2.001), ["elastic_slack"]);
    // 7.6 times 1.5 m less the 2 m of the kit.
    assert_eq!(with(&|e| e.run_m = 9.3999), Vec::<String>::new());
    assert_eq!(with(&|e| e.run_m = 9.4001), ["elastic_beyond_points"]);
}

#[test]
fn a_stop_bead_makes_it_pull_harder_and_sooner() {
    let mut asked = request(spool(0.15, 2.0), spool(0.10, 0.5));
    asked.elastic = Some(elastic());
    let before = check(&asked).elastic.unwrap();
    asked.elastic = Some(Elastic { taken_up_m: 0.3, ..elastic() });
    let after = check(&asked).elastic.unwrap();
    assert_eq!(after.run_not_taken_up, before.run);
    assert!(after.run.newtons.mid > before.run.newtons.mid);
    assert!(after.reach.mid_m.unwrap() < before.reach.mid_m.unwrap());
    let reach = &after.reach;
    assert!(reach.soonest_m.unwrap() < reach.mid_m.unwrap());
    let at = asked.elastic.unwrap().pull(reach.mid_m.unwrap());
    assert!((at.newtons.mid - 0.5 * 9.80665 * 0.8).abs() < 1e-9);
    assert_eq!(after.curve.len(), 25);
    assert!((after.curve[24].stretch - 7.6).abs() < 1e-9);
}

#[test]
fn every_warning_is_a_sentence() {
    for warning in [
        TackleWarning::NoHooklength,
        TackleWarning::HooklengthNotWeaker { ratio: 1.0 },
        TackleWarning::HooklengthClose { ratio: 0.95 },
        TackleWarning::MixedSources,
        TackleWarning::ElasticSlack { slack_m: 0.3 },
        TackleWarning::ElasticBeyondPoints { stretch: 8.0 },
        TackleWarning::ElasticBreaksLine { pull_n: 5.0, strength_n: 4.0 },
        TackleWarning::ElasticMayBreakLine { pull_n: 5.0, strength_n: 4.0 },
    ] {
        let text = warning.to_string();
        assert!(text.ends_with('.') && !text.contains('–'), "{text}");
    }
    assert_eq!(
        TackleWarning::HooklengthClose { ratio: 0.95 }.to_string(),
        "The hooklength has 95 % of the main line's strength; knots differ by more. Use a thinner hooklength."
    );
}

#[test]
fn bad_numbers_are_refused() {
    let refuse = |change: &dyn Fn(&mut TackleRequest)| {
        let mut bad = request(line(0.15), line(0.1));
        bad.elastic = Some(elastic());
        change(&mut bad);
        let error = check_tackle(&bad, &TackleSettings::default()).unwrap_err();
        assert_eq!(error.code(), "out_of_range");
        error.field().to_owned()
    };
    assert_eq!(refuse(&|r| r.main.diameter_mm = f64::NAN), "main.diameter_mm");
    assert_eq!(refuse(&|r| r.main.spool_kg = Some(f64::INFINITY)), "main.spool_kg");
    assert_eq!(refuse(&|r| r.hooklength = Some(line(0.0))), "hooklength.diameter_mm");
    assert_eq!(refuse(&|r| r.knot = Some(0.1)), "knot");
    let elastic = |change: &dyn Fn(&mut Elastic)| refuse(&|r| r.elastic.iter_mut().for_each(change));
    assert_eq!(elastic(&|e| e.relaxed_m = -1.0), "elastic.relaxed_m");
    assert_eq!(elastic(&|e| e.taken_up_m = 1.45), "elastic.taken_up_m");
    assert_eq!(elastic(&|e| e.run_m = f64::NAN), "elastic.run_m");
    assert_eq!(
        elastic(&|e| e.section = Section::Hollow { outer_mm: 2.0, inner_mm: 2.0 }),
        "elastic.section.inner_mm"
    );
    let error = check_tackle(&request(line(0.0), line(0.1)), &TackleSettings::default()).unwrap_err();
    assert_eq!(error.to_string(), "main.diameter_mm must be from 0.03 to 1 mm; 0 mm was given.");
}

#[test]
fn back_shot_goes_halfway_in_wind() {
    let shot = back_shot(1200, true).unwrap();
    assert_eq!((shot.size.as_str(), shot.count, shot.above_float_mm), ("No. 8", 2, 600));
    assert!(nominal_mass(&shot.size).is_some());
    assert_eq!(back_shot(1200, false), None);
    assert!(back_shot(300, true).is_some());
    assert_eq!(back_shot(299, true), None);
    assert_eq!(back_shot(i32::MIN, true), None);
}

proptest! {
    #![proptest_config(crate::draw::cases(0x7ac, 256, 20_000))]

    /// More out never pulls less, and less elastic in use never pulls less.
    #[test]
    fn pull_never_falls(out in 0.0_f64..10.0, more in 0.0_f64..2.0, taken in 0.0_f64..1.0) {
        let loose = elastic();
        let taken_up = Elastic { taken_up_m: taken, ..elastic() };
        for part in [|b: &Estimate| b.low, |b: &Estimate| b.mid, |b: &Estimate| b.high] {
            prop_assert!(part(&taken_up.pull(out).newtons) >= part(&loose.pull(out).newtons));
        }
        prop_assert!(loose.pull(out + more).newtons.mid >= loose.pull(out).newtons.mid);
    }
}

#[test]
fn an_elastic_by_its_number_pulls_with_a_wider_band() {
    let measured = elastic().pull(1.0).newtons;
    let by_number = Elastic { off_share: 0.15, ..elastic() }.pull(1.0).newtons;
    assert!((by_number.mid - measured.mid).abs() < 1e-12);
    // Areas go as the square of the diameter.
    assert!(
        (by_number.low / measured.low - 0.7225).abs() < 1e-9
            && (by_number.high / measured.high - 1.3225).abs() < 1e-9
    );
}
