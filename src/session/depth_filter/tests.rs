//! Laws of the filter: sums, forgetting, what evidence does.

use super::{Belief, Bite, FilterSettings, Model, Path, Witness};

fn model() -> Model {
    let at_rest = |rest_m| Path { rest_m, sample_dt_s: 1.0, hook_z_m: Vec::new() };
    let falling =
        Path { rest_m: 1.5, sample_dt_s: 0.5, hook_z_m: (0..30).map(|at| 0.05 * f64::from(at)).collect() };
    Model::new(FilterSettings::default(), 2.0, &[at_rest(0.4), falling])
}

fn chance_near(model: &Model, belief: &Belief, depth_m: f64) -> f64 {
    let depths = belief.depths(model);
    (0..model.cells())
        .filter(|&cell| (model.depth_m(cell) - depth_m).abs() < 0.1)
        .map(|cell| depths[cell])
        .sum()
}

#[test]
fn prediction_keeps_the_sum_and_forgets() {
    let model = model();
    let mut belief = Belief::prior(&model);
    belief.bite(&model, 0, &Bite::default());
    let sharp = chance_near(&model, &belief, 0.4);
    belief.predict(&model, 90.0 * 60.0);
    assert!((belief.p.iter().sum::<f64>() - 1.0).abs() < 1e-12);
    assert!(chance_near(&model, &belief, 0.4) < sharp);
    // After a long day nothing is left of it but where jumps end, spread a little by the drift since.
    let mut unbitten = Belief::prior(&model);
    for _ in 0..200 {
        belief.predict(&model, 5400.0);
        unbitten.predict(&model, 5400.0);
    }
    let off = |a: &Belief, b: &Belief| -> f64 {
        a.depths(&model).iter().zip(b.depths(&model)).map(|(a, b)| (a - b).abs()).sum::<f64>() / 2.0
    };
    println!("bite {:e}, prior {}", off(&belief, &unbitten), off(&belief, &Belief::prior(&model)));
    assert!(off(&belief, &unbitten) < 1e-9);
    assert!(off(&belief, &Belief::prior(&model)) < 0.1, "{}", off(&belief, &Belief::prior(&model)));
}

#[test]
fn bites_and_waiting_speak_against_each_other() {
    let model = model();
    let prior = chance_near(&model, &Belief::prior(&model), 0.4);
    let mut quiet = Belief::prior(&model);
    quiet.no_bite(&model, 0, 0.0, 240.0);
    assert!(chance_near(&model, &quiet, 0.4) < 0.7 * prior);
    let mut bitten = Belief::prior(&model);
    bitten.bite(&model, 0, &Bite::default());
    assert!(chance_near(&model, &bitten, 0.4) > 2.0 * prior);
    assert!(quiet.activity(&model) < Belief::prior(&model).activity(&model));
}

#[test]
fn exposure_adds_up_and_ends_at_rest() {
    let model = model();
    for guess in 0..3 {
        let whole = model.exposure_s(1, guess, 0.0, 40.0);
        let parts = [(0.0, 3.3), (3.3, 14.9), (14.9, 40.0)];
        let mut sum = vec![0.0; model.cells()];
        for (from, to) in parts {
            for (sum, part) in sum.iter_mut().zip(model.exposure_s(1, guess, from, to)) {
                *sum += part;
            }
        }
        assert!(whole.iter().zip(&sum).all(|(a, b)| (a - b).abs() < 1e-12));
        let rest = model.exposure_s(1, guess, 100.0, 101.0);
        assert!(rest.iter().zip(model.rest_kernel(1, guess)).all(|(a, b)| (a - b).abs() < 1e-12));
    }
    assert!(model.exposure_s(9, 0, 0.0, 1.0).iter().all(|e| *e == 0.0));
}

#[test]
fn quantiles_lie_within_cells() {
    let model = model();
    let mut depths = vec![0.0; model.cells()];
    depths[10] = 1.0;
    assert!((model.quantile_m(&depths, 0.5) - 0.525).abs() < 1e-12);
    assert!((model.quantile_m(&depths, 0.05) - 0.5025).abs() < 1e-12);
}
