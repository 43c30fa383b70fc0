//! Times the balancer, and beside it a general-purpose integer-programming solver on the same floats in the same run.
//!
//! The balancer answers with every set that no other beats; the solver is only asked for the nearest one. Floats of 0.05
//! to 5 g, 15 sizes with 40 of each in the box, at most 3 distinct sizes and 30 shots.

use dotdown::physics::water::weight_in_water_ng;
use dotdown::rig::balance::{
    Balance, BalanceRequest, BoxedShot, DottedWith, Float, Hook, Resting, ShotPreference, balance,
};
use dotdown::trade::shot::{SHOT_SIZES, usual_kg_per_m3};
use dotdown::units::TenthMg;
use microlp::{ComparisonOp, OptimizationDirection, Problem};
use std::hint::black_box;
use std::time::{Duration, Instant};

const FLOATS: u32 = 40;
/// Every so many-th float is also given to the solver.
const SOLVER_EVERY: u32 = 4;
const SOLVER_LIMIT: Duration = Duration::from_secs(5);
const RUNS: u32 = 50;

fn request(load: u32) -> BalanceRequest {
    let shot_box = SHOT_SIZES
        .iter()
        .take(15)
        .map(|size| BoxedShot {
            name: size.name.to_owned(),
            mass_tenth_mg: size.mass,
            density_kg_per_m3: usual_kg_per_m3(size.name, size.mass).into(),
            count: 40,
            fixed: 0,
        })
        .collect();
    BalanceRequest {
        float: Float {
            load_tenth_mg: TenthMg(load),
            tip_diameter_mm: 1.0,
            tip_length_mm: 25.0,
            own_mass_tenth_mg: None,
            contact_deg: None,
        },
        temperature_c: 18.0,
        shot_box,
        hook: Some(Hook { mass_tenth_mg: TenthMg(100), density_kg_per_m3: 7850.0 }),
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

/// The nearest set by the solver, in mm of tip, and whether it was proved the best in time.
fn solver(request: &BalanceRequest, ours: &Balance) -> Option<(f64, bool)> {
    let per_mm = ours.tip_ng_per_mm as f64;
    let mut problem = Problem::new(OptimizationDirection::Minimize);
    problem.set_time_limit(SOLVER_LIMIT);
    let distance = problem.add_var(1.0, (0.0, f64::INFINITY));
    let (mut over, mut under, mut sizes, mut shots) = (vec![], vec![], vec![], vec![]);
    for shot in &request.shot_box {
        let most = shot.count.min(request.max_shots);
        let mass_ng = f64::from(shot.mass_tenth_mg.0) * 1e5;
        let mm = weight_in_water_ng(mass_ng, shot.density_kg_per_m3, ours.water_kg_per_m3) as f64 / per_mm;
        let count = problem.add_integer_var(0.0, (0, i32::try_from(most).unwrap_or(i32::MAX)));
        let used = problem.add_binary_var(0.0);
        problem.add_constraint([(count, 1.0), (used, -f64::from(most))], ComparisonOp::Le, 0.0);
        over.push((count, mm));
        under.push((count, mm));
        sizes.push((used, 1.0));
        shots.push((count, 1.0));
    }
    let wanted = ours.wanted_shot_ng as f64 / per_mm;
    // The float must not go under.
    problem.add_constraint(&over[..], ComparisonOp::Le, wanted + request.wanted_tip_mm);
    over.push((distance, -1.0));
    under.push((distance, 1.0));
    problem.add_constraint(&over[..], ComparisonOp::Le, wanted);
    problem.add_constraint(&under[..], ComparisonOp::Ge, wanted);
    problem.add_constraint(&sizes[..], ComparisonOp::Le, f64::from(request.max_sizes));
    problem.add_constraint(&shots[..], ComparisonOp::Le, f64::from(request.max_shots));
    let outcome = problem.solve().ok()?;
    let optimal = outcome.is_optimal();
    Some((outcome.solution()?.objective(), optimal))
}

fn main() {
    let mut times = Vec::new();
    let (mut ratios, mut proved, mut unproved, mut beaten, mut failed) = (Vec::new(), Vec::new(), 0, 0, 0);
    for i in 0..FLOATS {
        let share = f64::from(i) / f64::from(FLOATS - 1);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "500 to 50 000")]
        let load = (500.0 * 100_f64.powf(share)).round() as u32;
        let request = request(load);
        let answer = balance(&request).expect("a sound request");
        let start = Instant::now();
        for _ in 0..RUNS {
            black_box(balance(black_box(&request)).expect("a sound request"));
        }
        let ours = start.elapsed().as_secs_f64() / f64::from(RUNS);
        times.push(ours);
        if i % SOLVER_EVERY == SOLVER_EVERY - 1 {
            let start = Instant::now();
            let found = solver(&request, &answer);
            let theirs = start.elapsed().as_secs_f64();
            let best = answer.sets.iter().map(|s| s.off_mm).fold(f64::INFINITY, f64::min);
            let note = if let Some((mm, optimal)) = found {
                unproved += u32::from(!optimal);
                proved.extend(optimal.then_some(theirs / ours));
                beaten += u32::from(mm < best - 1e-6);
                format!("{mm:.6} mm off, {}", if optimal { "proved" } else { "not proved in time" })
            } else {
                failed += 1;
                "no answer".to_owned()
            };
            println!(
                "  {:>6.3} g: ours {:>7.1} us, {} sets, nearest {best:.6} mm; solver {:>10.1} us, {note}: ratio {:.0}",
                f64::from(load) * 1e-4,
                ours * 1e6,
                answer.sets.len(),
                theirs * 1e6,
                theirs / ours
            );
            ratios.push(theirs / ours);
        }
    }
    times.sort_by(f64::total_cmp);
    ratios.sort_by(f64::total_cmp);
    proved.sort_by(f64::total_cmp);
    let at = |list: &[f64], part: usize| {
        list.get(list.len().saturating_sub(1) * part / 100).copied().unwrap_or(f64::NAN)
    };
    println!(
        "balancer, {FLOATS} floats of 0.05 to 5 g: median {:.1} us, slowest {:.1} us (goal 1000 us)",
        at(&times, 50) * 1e6,
        at(&times, 100) * 1e6
    );
    println!(
        "integer-programming solver (microlp) over balancer, {} floats: median {:.0} times, least {:.0}, most {:.0}; \
         {unproved} stopped at {} s, {failed} without answer; balancer beaten {beaten} times",
        ratios.len(),
        at(&ratios, 50),
        at(&ratios, 0),
        at(&ratios, 100),
        SOLVER_LIMIT.as_secs()
    );
    println!("of those that the solver proved ({}): median {:.0} times", proved.len(), at(&proved, 50));
    assert_eq!(beaten, 0, "the solver found a nearer set");
}
